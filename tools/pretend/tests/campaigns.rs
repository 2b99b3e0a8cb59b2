//! Campaigns: repeatable, true to their stated truth, and wide in every nuisance.

use pretend::{
    Campaign, CampaignOptions, Channel, ClockJump, Deed, Filter, Flaws, GustClass, Kind, Shared, campaign,
    draw_options, oracle, strung_together,
};

fn made(seed: u64) -> (CampaignOptions, Campaign) {
    let (_, options) = draw_options(seed);
    let campaign = campaign(seed, &options);
    (options, campaign)
}

#[test]
fn a_seed_gives_the_same_bytes_and_another_seed_others() {
    let bits = |campaign: &Campaign| -> Vec<u64> {
        campaign.time_s.iter().chain(&campaign.value).map(|x| x.to_bits()).collect()
    };
    assert_eq!(bits(&made(42).1), bits(&made(42).1));
    assert_eq!(made(42).1.truth, made(42).1.truth);
    assert_ne!(bits(&made(42).1), bits(&made(43).1));
}

#[test]
fn the_columns_agree_and_time_runs_forward_within_a_segment() {
    for seed in 0..100 {
        let (_, campaign) = made(seed);
        assert_eq!(campaign.time_s.len(), campaign.value.len());
        assert_eq!(campaign.time_s.len(), campaign.truth.spiked.len());
        assert!(campaign.value.iter().chain(&campaign.time_s).all(|x| x.is_finite()));
        for sample in 1..campaign.time_s.len() {
            let forward = campaign.time_s[sample] > campaign.time_s[sample - 1];
            assert!(forward || campaign.segments.contains(&sample), "seed {seed}, sample {sample}");
        }
        assert_eq!(campaign.segments[0], 0);
    }
}

#[test]
fn whole_drops_fall_from_the_tower_to_the_ground_between_their_times() {
    let mut seen = 0;
    for seed in 0..60 {
        let (options, campaign) = made(seed);
        for drop in campaign.truth.drops.iter().filter(|drop| drop.kind == Kind::Good) {
            let release_s = drop.release_s.unwrap();
            let ground_s = drop.ground_s.unwrap();
            let steady_s = drop.steady_from_s.unwrap();
            assert!(release_s < steady_s && steady_s < ground_s);
            assert!(drop.filled_s.unwrap() < ground_s);
            let fall_s = ground_s - release_s;
            // Never faster than a free fall, never slower than all of it at the terminal rate with the added second.
            assert!(fall_s > (2.0 * drop.fall_m / 9.9).sqrt());
            assert!(fall_s < drop.fall_m / drop.rate_m_s * 1.25 + 1.0, "seed {seed}: {fall_s}");
            assert!((drop.fall_m - options.tower_m).abs() <= 0.2 + 1e-9);
            assert!(
                drop.samples.start <= drop.steady_samples.start
                    && drop.samples.end == drop.steady_samples.end
            );
            seen += 1;
        }
    }
    assert!(seen > 60);
}

#[test]
fn the_oracle_finds_the_true_rate_when_nothing_disturbs() {
    // 0.03 m over 2.3 s at 50 a second leaves 0.004 m/s a drop; the tail of settling within 1 % adds up to 0.2 %.
    let options = CampaignOptions::plain(3.6);
    let campaign = campaign(1, &options);
    let oracle = oracle(&campaign);
    assert!(oracle.drops.iter().all(Option::is_some));
    assert!((oracle.mean_m_s.unwrap() / 3.6 - 1.0).abs() < 0.004, "{oracle:?}");
}

#[test]
fn what_a_session_shares_shows_in_the_oracle_as_stated() {
    let mut options = CampaignOptions::plain(3.6);
    options.shared = Shared {
        slow_air_sd_m_s: 0.2,
        clock_sd_relative: 0.01,
        height_scale_sd_relative: 0.03,
        height_scale_mean_relative: -0.02,
        ..Shared::NONE
    };
    for seed in 0..20 {
        let campaign = campaign(seed, &options);
        let truth = &campaign.truth;
        let expected =
            (3.6 + truth.slow_air_m_s) * (1.0 + truth.height_scale_error) / (1.0 + truth.clock_error);
        let found = oracle(&campaign).mean_m_s.unwrap();
        assert!((found / expected - 1.0).abs() < 0.006, "seed {seed}: {found} {expected}");
    }
}

#[test]
fn shared_errors_have_the_stated_spread() {
    let mut options = CampaignOptions::plain(4.0);
    options.drops = 1;
    options.logger.rate_hz = 10.0;
    options.shared = Shared {
        slow_air_sd_m_s: 0.05,
        clock_sd_relative: 0.002,
        height_scale_sd_relative: 0.03,
        ..Shared::NONE
    };
    let count = 300;
    let mut squares = [0.0; 3];
    for seed in 0..count {
        let truth = campaign(seed, &options).truth;
        let reduced = [truth.slow_air_m_s / 0.05, truth.clock_error / 0.002, truth.height_scale_error / 0.03];
        for (square, z) in squares.iter_mut().zip(reduced) {
            *square += z * z / count as f64;
        }
    }
    for square in squares {
        assert!((square - 1.0).abs() < 4.0 * (2.0 / count as f64).sqrt(), "{square}");
    }
}

#[test]
fn a_tangled_drop_falls_faster_by_its_factor() {
    let mut options = CampaignOptions::plain(3.0);
    options.flaws.tangled = Some((1, 1.25));
    let campaign = campaign(2, &options);
    let kinds: Vec<Kind> = campaign.truth.drops.iter().map(|drop| drop.kind).collect();
    assert_eq!(kinds, [Kind::Good, Kind::Tangled, Kind::Good]);
    let rates = oracle(&campaign).drops;
    assert!((rates[1].unwrap() / rates[0].unwrap() - 1.25).abs() < 0.02, "{rates:?}");
}

#[test]
fn recordings_begin_and_end_in_the_air_when_asked() {
    let mut options = CampaignOptions::plain(3.0);
    options.flaws.starts_in_air = Some(0.4);
    options.flaws.ends_in_air = Some(0.8);
    let campaign = campaign(3, &options);
    let drops = &campaign.truth.drops;
    assert_eq!(drops[0].kind, Kind::StartsInAir);
    assert_eq!((drops[0].release_s, drops[0].samples.start), (None, 0));
    assert_eq!(drops[1].kind, Kind::Good);
    assert_eq!(drops[2].kind, Kind::EndsInAir);
    assert_eq!((drops[2].ground_s, drops[2].samples.end), (None, campaign.time_s.len()));
    assert!(oracle(&campaign).drops.iter().all(|rate| (rate.unwrap() / 3.0 - 1.0).abs() < 0.02));
}

#[test]
fn a_restart_begins_a_segment_at_zero_and_gaps_take_samples_out() {
    let mut options = CampaignOptions::plain(3.0);
    options.flaws = Flaws { gaps: 2, clock_jump: Some(ClockJump::Restart), ..Flaws::default() };
    let flawed = campaign(4, &options);
    assert_eq!(flawed.segments.len(), 2);
    assert!(flawed.time_s[flawed.segments[1]].abs() < 1e-12);
    assert_eq!(flawed.truth.gaps.len(), 2);
    let missing: usize =
        flawed.truth.gaps.iter().map(|(_, length_s)| (length_s * 50.0).round() as usize).sum();
    options.flaws = Flaws::default();
    let whole = campaign(4, &options);
    let lost = whole.time_s.len() - flawed.time_s.len();
    assert!(lost.abs_diff(missing) <= 2, "{lost} lost, {missing} stated");
    let (after, length_s) = flawed.truth.gaps[0];
    if flawed.segments[1] != after {
        let step_s = flawed.time_s[after] - flawed.time_s[after - 1];
        // The neighbours of a gap stand within a sample of each of its ends.
        assert!((step_s - length_s).abs() < 0.04, "{step_s} {length_s}");
    }
}

#[test]
fn another_logger_sees_the_same_falls() {
    let options = CampaignOptions::plain(3.0);
    let mut slower = options.clone();
    slower.logger.rate_hz = 10.0;
    let (fast, slow) = (campaign(6, &options), campaign(6, &slower));
    for (a, b) in fast.truth.drops.iter().zip(&slow.truth.drops) {
        assert!((a.release_s.unwrap() - b.release_s.unwrap()).abs() < 1e-9);
        assert!((a.ground_s.unwrap() - b.ground_s.unwrap()).abs() < 1e-9);
    }
}

#[test]
fn two_recordings_strung_together_run_on() {
    let (slow, fast) = (CampaignOptions::plain(3.0), CampaignOptions::plain(4.0));
    let (slow, fast) = (campaign(8, &slow), campaign(9, &fast));
    let (time_s, value) = strung_together(&[&slow, &fast], 10.0);
    assert_eq!(time_s.len(), slow.time_s.len() + 500 + fast.time_s.len());
    assert_eq!(value.len(), time_s.len());
    assert!(time_s.windows(2).all(|pair| (pair[1] - pair[0] - 0.02).abs() < 1e-6));
    assert!(value.starts_with(&slow.value) && value.ends_with(&fast.value));
}

#[test]
fn every_nuisance_is_realised_over_its_stated_range() {
    let mut rates = Vec::new();
    let mut ranges: Vec<(&str, f64, f64, Vec<f64>)> = vec![
        ("rate", 2.5, 7.0, vec![]),
        ("tower", 8.0, 14.0, vec![]),
        ("carried air", 0.1, 0.6, vec![]),
        ("canopy", 0.3, 0.9, vec![]),
        ("swing", 0.0, 25.0, vec![]),
        ("gusts", 0.0, 0.25, vec![]),
        ("gust time", 0.5, 3.0, vec![]),
        ("white noise", 0.03, 0.15, vec![]),
        ("port noise", 0.1, 1.0, vec![]),
        ("port noise time", 0.3, 3.0, vec![]),
        ("drops", 1.0, 7.0, vec![]),
        ("sample rate", 10.0, 100.0, vec![]),
    ];
    let (mut flawed, mut filtered) = ([0; 6], 0);
    let count = 3000;
    for seed in 0..count {
        let (cell, options) = draw_options(seed);
        rates.push(options.model.rate_m_s);
        let values = [
            options.model.rate_m_s,
            options.tower_m,
            options.model.air_mass_ratio,
            options.model.canopy_diameter_m,
            options.swing.peak_deg,
            options.gusts.vertical_sd_m_s,
            if cell.gusts == GustClass::Still { 1.0 } else { options.gusts.correlation_s },
            options.logger.white_sd_m,
            options.logger.port_sd_m,
            options.logger.port_correlation_s,
            options.drops as f64,
            options.logger.rate_hz,
        ];
        for (range, value) in ranges.iter_mut().zip(values) {
            range.3.push(value);
        }
        let flaws = options.flaws;
        for (count, there) in flawed.iter_mut().zip([
            flaws.spikes > 0,
            flaws.gaps > 0,
            flaws.clock_jump.is_some(),
            flaws.tangled.is_some(),
            flaws.starts_in_air.is_some(),
            flaws.ends_in_air.is_some(),
        ]) {
            *count += usize::from(there);
        }
        filtered += usize::from(options.logger.filter != Filter::None);
    }
    for (name, low, high, values) in &ranges {
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let span = high - low;
        assert!(least >= *low && least < low + 0.05 * span, "{name}: least {least}");
        assert!(most <= *high && most > high - 0.05 * span, "{name}: most {most}");
    }
    let share = |n: usize| n as f64 / count as f64;
    assert!((share(filtered) - 0.5).abs() < 4.0 * (0.25 / count as f64).sqrt());
    // Spikes, gaps, clock jumps; tangled, starting and ending in the air only in campaigns with drops enough.
    let expected = [0.15, 0.12, 0.06, 0.125 / 3.0, 0.04 * 2.0 / 3.0, 0.04 * 2.0 / 3.0];
    for (found, expected) in flawed.iter().zip(expected) {
        let error = 4.0 * (expected * (1.0 - expected) / count as f64).sqrt();
        assert!((share(*found) - expected).abs() < error, "{found} of {count}, expected {expected}");
    }
}

#[test]
fn over_many_campaigns_the_oracle_is_unbiased_and_most_drops_are_good() {
    let count = 400;
    let (mut errors, mut kinds, mut deeds, mut pressures) = (Vec::new(), [0; 5], [0; 2], 0);
    for seed in 1000..1000 + count {
        let (_, options) = draw_options(seed);
        let campaign = campaign(seed, &options);
        for drop in &campaign.truth.drops {
            kinds[drop.kind as usize] += 1;
        }
        for deed in &campaign.truth.deeds {
            deeds[usize::from(deed.deed == Deed::Stairs)] += 1;
        }
        pressures += usize::from(campaign.channel == Channel::Pressure);
        if let Some(mean_m_s) = oracle(&campaign).mean_m_s {
            errors.push(mean_m_s / campaign.truth.rate_m_s - 1.0);
        }
    }
    let n = errors.len() as f64;
    let mean = errors.iter().sum::<f64>() / n;
    let sd = (errors.iter().map(|e| (e - mean) * (e - mean)).sum::<f64>() / (n - 1.0)).sqrt();
    println!("oracle: mean {mean:.5} ± {:.5}, sd {sd:.4}; kinds {kinds:?}; deeds {deeds:?}", sd / n.sqrt());
    // Settling, swing and sideways wind are allowed 0.3 % besides the sampling error.
    assert!(mean.abs() < 0.003 + 4.0 * sd / n.sqrt(), "mean relative error {mean}");
    let drops: usize = kinds.iter().sum();
    assert!(kinds[Kind::Good as usize] as f64 > 0.8 * drops as f64, "{kinds:?}");
    assert!(kinds.iter().all(|&kind| kind > 0), "{kinds:?}");
    assert!(deeds.iter().all(|&deed| deed > 20), "{deeds:?}");
    assert!((pressures as f64 / count as f64 - 1.0 / 3.0).abs() < 4.0 * (2.0 / 9.0 / count as f64).sqrt());
}
