//! `reduce`: what counts, what counts once, and what can be said.

use silkfall_core::finding::Code;
use silkfall_sheet::{Input, Moment, Outcome, ReduceOptions, Reduction, Stretch, reduce};

use crate::invented::{demo, hurried, input, joined};

fn codes(reduction: &Reduction) -> Vec<Code> {
    reduction.findings.iter().map(|finding| finding.code).collect()
}

fn with_air(celsius: f64) -> ReduceOptions {
    let mut options = ReduceOptions::default();
    options.air.set("air", &format!("{celsius} °C")).expect("a temperature");
    options.air.set("elevation", "372 m").expect("a height");
    options
}

fn value<'a>(words: &mut impl Iterator<Item = &'a str>) -> &'a str {
    words.next().expect("an option has a value")
}

/// The options of a printed command, as a shell and the program would read them.
fn rerun(inputs: &[Input], command: &str) -> Reduction {
    let mut options = ReduceOptions::default();
    let mut words = command.split(' ');
    while let Some(word) = words.next() {
        match word {
            "--between" => options.between = Some(Stretch::read(value(&mut words)).expect("a stretch")),
            "--set-aside" => options.set_aside.push(Moment::read(value(&mut words)).expect("a moment")),
            "--keep" => options.keep.push(Moment::read(value(&mut words)).expect("a moment")),
            _ => {}
        }
    }
    let named: Vec<Input> =
        inputs.iter().filter(|i| command.contains(i.recording.name.as_str())).cloned().collect();
    reduce(&named, &options)
}

/// The truth of an invented file lies in its interval, and the day's air narrows it.
#[test]
fn the_interval_holds_the_truth_and_the_days_air_narrows_it() {
    let file = demo("one-weight.csv");
    let inputs = [input("one-weight.csv", &file.campaign)];
    let known = reduce(&inputs, &with_air(file.day.temperature_c)).pooled.unwrap();
    let unknown = reduce(&inputs, &ReduceOptions::default());
    let pooled = unknown.pooled.as_ref().unwrap();
    for interval in [known.interval_95, pooled.interval_95] {
        let truth = file.campaign.truth.rate_m_s;
        assert!(interval.low < truth && truth < interval.high, "{truth} in {interval:?}");
    }
    let width = |i: silkfall_sheet::Interval| i.high - i.low;
    assert!(width(known.interval_95) < 0.7 * width(pooled.interval_95));
    assert_eq!(known.drops_kept, 5);
    assert!(codes(&unknown).contains(&Code::HeightDayUnknown));
    let first = &unknown.doubts[0];
    assert!(first.relative > 0.03 && first.cause.contains("temperature"), "{first:?}");
    let cure = first.cure.as_ref().unwrap();
    assert!(cure.option.starts_with("--air ") && width(cure.interval_95) < 0.7 * width(pooled.interval_95));
    assert!(unknown.next.unwrap().starts_with("new "));
}

#[test]
fn a_copy_counts_once() {
    let file = demo("one-weight.csv");
    let one = input("a.csv", &file.campaign);
    let copy = Input {
        recording: {
            let mut r = one.recording.clone();
            r.name = "copy_of_a.csv".into();
            r
        },
        ..one.clone()
    };
    let alone = reduce(std::slice::from_ref(&one), &ReduceOptions::default());
    let both = reduce(&[one, copy], &ReduceOptions::default());
    assert_eq!(alone.pooled.as_ref().unwrap().interval_95, both.pooled.as_ref().unwrap().interval_95);
    assert_eq!(alone.pooled.unwrap().drops_kept, both.pooled.as_ref().unwrap().drops_kept);
    assert_eq!(codes(&both).iter().filter(|code| **code == Code::PoolSameFall).count(), 5);
    assert!(both.recordings[1].drops.iter().all(|drop| !drop.kept && drop.set_aside.is_some()));
}

#[test]
fn an_odd_drop_is_set_aside_and_can_be_taken_back() {
    let file = demo("one-weight.csv");
    let inputs = [hurried(input("two.csv", &file.campaign), &file.campaign.truth.drops[2].samples, 1.5)];
    let reduction = reduce(&inputs, &ReduceOptions::default());
    let odd = &reduction.recordings[0].drops[2];
    assert!(!odd.kept && odd.set_aside.is_some(), "{odd:?}");
    assert_eq!(odd.findings.iter().filter(|finding| finding.code == Code::PoolOddDrop).count(), 1);
    let line = odd.findings[0].place.as_ref().unwrap().line.unwrap();
    let time_s = &inputs[0].recording.time_s;
    let sample = time_s.iter().position(|t| *t >= odd.release_s).unwrap() as u64;
    assert_eq!(line, sample + 2, "the header is line 1");
    let back = rerun(&inputs, &format!("reduce two.csv {}", odd.take_back.as_ref().unwrap()));
    assert!(back.recordings[0].drops[2].kept);
    assert_eq!(back.pooled.unwrap().drops_kept, 5);
}

#[test]
fn what_is_repeated_comes_out_the_same() {
    let file = demo("two-weight.csv");
    let inputs = [input("two.csv", &file.campaign)];
    let mut options = ReduceOptions::default();
    options
        .keep
        .push(Moment::read(&format!("{} s", file.campaign.truth.drops[2].ground_s.unwrap() - 1.0)).unwrap());
    options.keep[0].text = options.keep[0].text.replace(" s", "");
    let first = reduce(&inputs, &options);
    let again = rerun(&inputs, &first.repeat);
    assert_eq!(first, again);
}

#[test]
fn two_configurations_are_named_with_the_command_for_each() {
    let (slow, fast) = (demo("one-weight.csv"), demo("three-tube.csv"));
    let slow = input("day.csv", &slow.campaign);
    let mut fast = input("day.csv", &fast.campaign);
    // The same recording as if everything in it fell a third faster.
    fast.recording.time_s = fast.recording.time_s.iter().map(|t| t / 1.33).collect::<Vec<_>>().into();
    let inputs = [joined(&[&slow, &fast])];
    let reduction = reduce(&inputs, &ReduceOptions::default());
    assert!(codes(&reduction).contains(&Code::PoolTwoGroups));
    assert_eq!(reduction.groups.len(), 2);
    for group in &reduction.groups {
        assert!(group.command.contains("--between"), "{}", group.command);
        let alone = rerun(&inputs, &group.command);
        assert!(alone.groups.is_empty() && alone.pooled.as_ref().unwrap().drops_kept >= 5);
        assert!((alone.pooled.unwrap().m_per_s / group.m_per_s - 1.0).abs() < 0.03);
    }
    let finding = reduction.findings.iter().find(|f| f.code == Code::PoolTwoGroups).unwrap();
    assert!(finding.hint.as_ref().unwrap().matches("--between").count() == 2);
}

#[test]
fn groups_that_alternate_set_the_others_aside() {
    let (slow, fast) = (demo("one-weight.csv"), demo("three-tube.csv"));
    let slow = input("day.csv", &slow.campaign);
    let mut fast = input("day.csv", &fast.campaign);
    fast.recording.time_s = fast.recording.time_s.iter().map(|t| t / 1.33).collect::<Vec<_>>().into();
    let inputs = [joined(&[&slow, &fast, &slow])];
    let reduction = reduce(&inputs, &ReduceOptions::default());
    let of_slow = &reduction.groups[0];
    assert_eq!(of_slow.command.matches("--set-aside").count(), reduction.groups[1].letters.len());
    assert!(rerun(&inputs, &of_slow.command).groups.is_empty());
}

#[test]
fn a_recording_without_a_drop_gives_no_answer_and_a_whole_result() {
    let file = demo("one-weight.csv");
    let mut still = input("still.csv", &file.campaign);
    still.recording.value = still.recording.value.iter().map(|_| 3.0).collect::<Vec<_>>().into();
    let reduction = reduce(&[still], &ReduceOptions::default());
    assert_eq!(reduction.outcome, Outcome::NoAnswer);
    assert!(reduction.pooled.is_none() && reduction.recordings[0].drops.is_empty());
    let mut options = ReduceOptions::default();
    options.set_aside.push(Moment::read("9:59:59").unwrap());
    let reduction = reduce(&[input("one.csv", &file.campaign)], &options);
    assert!(codes(&reduction).contains(&Code::DropNotMet));
}

#[test]
fn impossible_air_is_said_and_not_used() {
    let file = demo("one-weight.csv");
    let mut options = ReduceOptions::default();
    options.air.set("air", "90 °C").unwrap();
    let reduction = reduce(&[input("one.csv", &file.campaign)], &options);
    assert!(codes(&reduction).contains(&Code::AirImpossible));
    assert_eq!(reduction.outcome, Outcome::NoAnswer);
}

/// What figures draw agrees with what is printed.
#[test]
fn the_line_of_a_trace_is_the_drops_rate() {
    let file = demo("capsule.csv");
    let reduction = reduce(&[input("capsule.csv", &file.campaign)], &ReduceOptions::default());
    for drop in &reduction.recordings[0].drops {
        let line = drop.trace.line.unwrap();
        assert!((line.from_s + drop.release_s - drop.steady_from_s.unwrap()).abs() < 1e-9);
        let worst = drop
            .trace
            .time_s
            .iter()
            .zip(drop.trace.height_m.iter())
            .filter(|(t, _)| **t >= line.from_s && **t <= line.to_s)
            .map(|(t, h)| (h - (line.height_m - line.slope_m_per_s * (t - line.from_s))).abs())
            .fold(0.0, f64::max);
        assert!(worst < 1.0, "within the noise of the logger, {worst} m");
    }
}

/// Three drops from a high tower, fast enough that they are still falls when their metres are read as feet.
fn high_tower() -> pretend::Campaign {
    let mut options = pretend::CampaignOptions::plain(7.0);
    options.tower_m = 40.0;
    pretend::campaign(11, &options)
}

fn times(mut input: Input, factor: f64) -> Input {
    input.recording.value = input.recording.value.iter().map(|h| h * factor).collect::<Vec<_>>().into();
    input
}

/// Gravity says which unit the heights are in; right ones are left alone.
#[test]
fn a_mistaken_unit_is_noticed_by_how_things_fall() {
    let campaign = high_tower();
    let codes_of =
        |factor: f64| codes(&reduce(&[times(input("h.csv", &campaign), factor)], &ReduceOptions::default()));
    let is_claim = |code: &Code| matches!(code, Code::HeightFallsTooFast | Code::HeightFallsTooSlow);
    let claims = |factor: f64| codes_of(factor).into_iter().filter(is_claim).collect::<Vec<_>>();
    assert_eq!(claims(1.0), []);
    assert_eq!(claims(1.0 / 0.3048), [Code::HeightFallsTooFast]);
    assert_eq!(claims(0.3048), [Code::HeightFallsTooSlow]);
}

/// A clock that counts half the seconds makes everything gain speed four times as fast.
#[test]
fn a_clock_at_half_its_speed_is_noticed() {
    let mut slow = input("h.csv", &high_tower());
    slow.recording.time_s = slow.recording.time_s.iter().map(|t| t / 2.0).collect::<Vec<_>>().into();
    assert!(codes(&reduce(&[slow], &ReduceOptions::default())).contains(&Code::HeightFallsTooFast));
}

/// A sensor that hangs in the middle of a fall: its samples are not used, and the rate is that of the other samples.
#[test]
fn a_sensor_that_hangs_in_a_fall_costs_its_samples_and_not_the_rate() {
    let campaign = pretend::campaign(12, &pretend::CampaignOptions::plain(4.0));
    let sound = reduce(&[input("a.csv", &campaign)], &ReduceOptions::default());
    let mut hung = input("a.csv", &campaign);
    let mut values = hung.recording.value.to_vec();
    let drop = &campaign.truth.drops[1].samples;
    let from = drop.start + drop.len() / 2;
    let to = from + 40; // 0.8 s at 50 a second
    let held = values[from];
    values[from..=to].fill(held);
    hung.recording.value = values.into();
    let hung = reduce(&[hung], &ReduceOptions::default());
    assert!(codes(&hung).contains(&Code::DropSensorStuck) && !codes(&sound).contains(&Code::DropSensorStuck));
    let (a, b) = (&sound.recordings[0].drops, &hung.recordings[0].drops);
    assert_eq!(a.len(), b.len());
    assert!(b[1].kept && (b[1].release_s - a[1].release_s).abs() < 0.3, "{:?}", b[1]);
    let (rate, other) = (a[1].rate.unwrap(), b[1].rate.unwrap());
    let reach = 3.0 * other.standard_uncertainty_m_per_s;
    assert!((rate.m_per_s - other.m_per_s).abs() < reach.min(0.05 * rate.m_per_s), "{rate:?} {other:?}");
}

/// A sensor that hangs since before the release hides it: the fall counts as already going on.
#[test]
fn a_sensor_that_hangs_over_the_release_leaves_the_rest_of_the_fall() {
    let campaign = pretend::campaign(12, &pretend::CampaignOptions::plain(4.0));
    let mut hung = input("a.csv", &campaign);
    let mut values = hung.recording.value.to_vec();
    let release = campaign.truth.drops[1].samples.start;
    let held = values[release - 30];
    values[release - 30..=release + 60].fill(held);
    hung.recording.value = values.into();
    let hung = reduce(&[hung], &ReduceOptions::default());
    assert!(codes(&hung).contains(&Code::DropSensorStuck), "{:?}", codes(&hung));
    let drop = &hung.recordings[0].drops[1];
    assert!(drop.findings.iter().any(|finding| finding.code == Code::DropStartsInAir), "{drop:?}");
    assert!((drop.rate.unwrap().m_per_s / 4.0 - 1.0).abs() < 0.1, "{drop:?}");
}
