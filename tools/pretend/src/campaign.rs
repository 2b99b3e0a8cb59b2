//! A campaign: one long recording of one configuration, with the truth beside it.
//!
//! On the ground at rest; now and then hoisted and lowered by hand, or carried up stairs; carried about; hoisted;
//! hanging; let go; falling ([`crate::physics`]); at rest; and again. The logger ([`crate::logger`]) records all of it. Each
//! nuisance has a stream of draws of its own, so that the same seed with another logger gives the same falls.
//!
//! A seed and equal options give equal bytes, on every platform.

use std::ops::Range;

use crate::draw::{Draw, Purpose};
use crate::gusts::{AirMotion, MovingAir};
use crate::logger::{self, Resolution, Samples, Session, Spike};
use crate::options::{CampaignOptions, ClockJump};
use crate::path::{Deed, Path};
use crate::physics::{self, Fall, Model, STEP_S, Swinging};
use crate::truth::{DeedTruth, DropTruth, Kind, Truth};

/// A whole drop whose recorded steady stretch is shorter is flagged [`Kind::Hard`], s.
pub const SHORTEST_STEADY_S: f64 = 0.8;

/// What the values of a campaign are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channel {
    /// Pressure heights in metres.
    Height,
    /// Pressures in pascals.
    Pressure,
}

/// A recording and the truth about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Campaign {
    /// Seconds as the clock wrote them, from the first sample; falls or leaps where the clock jumped.
    pub time_s: Vec<f64>,
    /// Metres or pascals.
    pub value: Vec<f64>,
    /// Which of the two.
    pub channel: Channel,
    /// First samples of stretches with a clock of their own: 0, and where the clock jumped.
    pub segments: Vec<usize>,
    /// What only the generator knows.
    pub truth: Truth,
}

/// One drop on the path, in true seconds.
struct Dropped {
    release_s: f64,
    fall: Fall,
    settled_s: Option<f64>,
    model: Model,
    tangled_factor: f64,
    release_m: f64,
    swing_deg: f64,
}

struct Played {
    path: Path,
    drops: Vec<Dropped>,
    deeds: Vec<(Deed, f64, f64)>,
}

/// Makes a campaign.
///
/// # Panics
/// If the options describe no fall (one that does not end within a minute) or no drop.
pub fn campaign(seed: u64, options: &CampaignOptions) -> Campaign {
    assert!(options.drops > 0, "a campaign has at least one drop");
    let mut draw = Draw::new(seed, Purpose::Session);
    let shared = &options.shared;
    let slow_air_m_s = shared.slow_air_mean_m_s + shared.slow_air_sd_m_s * draw.normal();
    let session = Session {
        clock_error: shared.clock_mean_relative + shared.clock_sd_relative * draw.normal(),
        scale_error: shared.height_scale_mean_relative + shared.height_scale_sd_relative * draw.normal(),
        ground_m: options.ground_m,
    };
    let played = play(seed, options, slow_air_m_s);
    let mut flaw_draw = Draw::new(seed, Purpose::Flaws);
    let spikes = draw_spikes(&played, options, &mut flaw_draw);
    let span = recorded_span(&played, options);
    let mut noise = Draw::new(seed, Purpose::Noise);
    let mut samples = logger::record(&played.path, span, &options.logger, &session, &spikes, &mut noise);
    let gaps = cut_gaps(&mut samples, &played, options, &mut flaw_draw);
    let segments = jump_clock(&mut samples, &played, options, &mut flaw_draw);
    let times = Times { samples: &samples, clock_rate: 1.0 + session.clock_error };
    let truth = Truth {
        rate_m_s: options.model.rate_m_s,
        drops: played.drops.iter().map(|dropped| times.drop_truth(dropped, options, &gaps)).collect(),
        deeds: played
            .deeds
            .iter()
            .map(|&(deed, from_s, to_s)| {
                let range = times.range(from_s, to_s);
                DeedTruth { deed, samples: range }
            })
            .filter(|deed| !deed.samples.is_empty())
            .collect(),
        slow_air_m_s,
        clock_error: session.clock_error,
        height_scale_error: session.scale_error,
        spikes: spikes
            .iter()
            .filter_map(|spike| Some((times.written(spike.from_s)?, spike.height_m)))
            .collect(),
        gaps: gaps.iter().map(|gap| (times.range(gap.0, gap.1).start, gap.1 - gap.0)).collect(),
        spiked: samples.spiked.clone(),
    };
    let channel = match options.logger.resolution {
        Resolution::Height { .. } => Channel::Height,
        Resolution::Pressure { .. } => Channel::Pressure,
    };
    Campaign { time_s: samples.written_s, value: samples.value, channel, segments, truth }
}

/// Strings recordings of one channel together as if one logger had run on, with a pause at the last value between
/// them: columns of time (s) and value. What a test of several configurations in one file needs.
pub fn strung_together(campaigns: &[&Campaign], pause_s: f64) -> (Vec<f64>, Vec<f64>) {
    let (mut time_s, mut value): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for campaign in campaigns {
        let step_s = campaign.time_s[1] - campaign.time_s[0];
        let mut next_s = 0.0;
        if let (Some(&last_s), Some(&last)) = (time_s.last(), value.last()) {
            let count = (pause_s / step_s).round().max(1.0) as usize;
            for k in 1..=count {
                time_s.push(last_s + k as f64 * step_s);
                value.push(last);
            }
            next_s = last_s + (count + 1) as f64 * step_s;
        }
        time_s.extend(campaign.time_s.iter().map(|t| t - campaign.time_s[0] + next_s));
        value.extend(&campaign.value);
    }
    (time_s, value)
}

/// Plays the whole campaign on the ground, the hoist and in the air.
fn play(seed: u64, options: &CampaignOptions, slow_air_m_s: f64) -> Played {
    let mut hands = Draw::new(seed, Purpose::Handling);
    let mut drop_draw = Draw::new(seed, Purpose::Drop);
    let mut air_draw = Draw::new(seed, Purpose::Air);
    let handling = &options.handling;
    let hoist = |path: &mut Path, target_m: f64, hands: &mut Draw| {
        let speed_m_s = hands.between(handling.hoist_m_s.0, handling.hoist_m_s.1);
        path.lift_to(target_m, speed_m_s, hands);
        path.hang(hands.between(handling.hang_s.0, handling.hang_s.1), hands);
    };
    let mut played = Played { path: Path::new(), drops: Vec::new(), deeds: Vec::new() };
    for number in 0..options.drops {
        let path = &mut played.path;
        path.stay(hands.between(handling.rest_s.0, handling.rest_s.1));
        if hands.chance(handling.lowering_chance) {
            hoist(path, options.tower_m, &mut hands);
            let from_s = path.end_s();
            path.lift_to(0.0, hands.between(0.4, 1.2), &mut hands);
            played.deeds.push((Deed::Lowering, from_s, path.end_s()));
            path.stay(hands.between(3.0, 10.0));
        }
        if hands.chance(handling.stairs_chance) {
            let from_s = path.end_s();
            path.stairs(options.tower_m * hands.between(0.3, 0.9), &mut hands);
            played.deeds.push((Deed::Stairs, from_s, path.end_s()));
        }
        path.carry(hands.between(handling.carry_s.0, handling.carry_s.1), &mut hands);
        hoist(path, options.tower_m + hands.between(-0.2, 0.2), &mut hands);
        let dropped = let_go(path, number, options, slow_air_m_s, &mut drop_draw, &mut air_draw);
        played.drops.push(dropped);
        path.stay(hands.between(3.0, 10.0));
    }
    played
}

fn let_go(
    path: &mut Path,
    number: usize,
    options: &CampaignOptions,
    slow_air_m_s: f64,
    draw: &mut Draw,
    air_draw: &mut Draw,
) -> Dropped {
    let tangled_factor = match options.flaws.tangled {
        Some((which, factor)) if which == number => factor,
        _ => 1.0,
    };
    let scatter = libm::exp(options.rate_scatter_relative * draw.normal());
    let model = Model { rate_m_s: options.model.rate_m_s * scatter * tangled_factor, ..options.model };
    let swing_deg = options.swing.peak_deg * draw.between(0.5, 1.0);
    let swinging = Swinging {
        peak_rad: swing_deg.to_radians(),
        pendulum_m: options.swing.pendulum_m,
        decay_s: options.swing.decay_s,
        phase_rad: draw.between(0.0, std::f64::consts::TAU),
    };
    let (release_s, release_m) = (path.end_s(), path.height_m());
    let mut air = MovingAir::new(&options.gusts, slow_air_m_s, STEP_S, air_draw);
    let fall = physics::fall(&model, &options.surroundings, &swinging, release_m, || air.step());
    // The twin without gusts and swing says from when on the rate, seen through the logger's filter, is steady.
    let twin = physics::fall(&model, &options.surroundings, &Swinging::NONE, release_m, AirMotion::default);
    let settled_s = physics::settled_s(&options.logger.filter.smooth(&twin.speed_m_s), model.rate_m_s);
    let last = fall.height_m.len() - 1;
    for (k, &height_m) in fall.height_m.iter().enumerate().skip(1) {
        let since_s = if k == last { fall.ground_s } else { k as f64 * STEP_S };
        path.push(release_s + since_s, height_m);
    }
    Dropped { release_s, fall, settled_s, model, tangled_factor, release_m, swing_deg }
}

fn recorded_span(played: &Played, options: &CampaignOptions) -> (f64, f64) {
    let (first, last) = (&played.drops[0], &played.drops[played.drops.len() - 1]);
    let from_s =
        options.flaws.starts_in_air.map_or(0.0, |share| first.release_s + share * first.fall.ground_s);
    let to_s = options
        .flaws
        .ends_in_air
        .map_or(played.path.end_s(), |share| last.release_s + share * last.fall.ground_s);
    (from_s, to_s)
}

/// A bang at letting go in half of the cases, else somewhere in the fall or on the ground soon after.
fn draw_spikes(played: &Played, options: &CampaignOptions, draw: &mut Draw) -> Vec<Spike> {
    (0..options.flaws.spikes)
        .map(|_| {
            let dropped = &played.drops[draw.index(played.drops.len())];
            let after_s =
                if draw.chance(0.5) { 0.05 } else { draw.between(0.0, dropped.fall.ground_s + 1.0) };
            let from_s = dropped.release_s + after_s;
            let length_s = draw.between(0.02, 0.08).max(1.0 / options.logger.rate_hz);
            let sign = if draw.chance(0.5) { 1.0 } else { -1.0 };
            Spike { from_s, to_s: from_s + length_s, height_m: sign * draw.log_between(3.0, 40.0) }
        })
        .collect()
}

/// Takes samples out: half of the gaps stand in a fall (up to half a second), the others anywhere (up to 4 s). Gives
/// true times from and to.
fn cut_gaps(
    samples: &mut Samples,
    played: &Played,
    options: &CampaignOptions,
    draw: &mut Draw,
) -> Vec<(f64, f64)> {
    let mut gaps = Vec::new();
    for _ in 0..options.flaws.gaps {
        let (from_s, length_s) = if draw.chance(0.5) {
            let dropped = &played.drops[draw.index(played.drops.len())];
            (dropped.release_s + draw.between(0.0, dropped.fall.ground_s), draw.between(0.15, 0.5))
        } else {
            (draw.between(0.0, played.path.end_s()), draw.between(0.3, 4.0))
        };
        gaps.push((from_s, from_s + length_s));
    }
    // The first sample stays, so that times still count from it.
    let lost = |true_s: f64| gaps.iter().any(|gap| true_s >= gap.0 && true_s < gap.1);
    let keep: Vec<bool> = samples.true_s.iter().enumerate().map(|(k, &t)| k == 0 || !lost(t)).collect();
    let mut flags = keep.iter();
    samples.true_s.retain(|_| *flags.next().expect("one flag a sample"));
    for column in [&mut samples.written_s, &mut samples.value] {
        let mut flags = keep.iter();
        column.retain(|_| *flags.next().expect("one flag a sample"));
    }
    let mut flags = keep.iter();
    samples.spiked.retain(|_| *flags.next().expect("one flag a sample"));
    let (first_s, last_s) = (samples.true_s[0], samples.true_s[samples.true_s.len() - 1]);
    gaps.retain(|gap| gap.0 > first_s && gap.1 < last_s);
    gaps
}

/// Makes the clock jump once, between drops: half a second to two after a landing. Gives the segments.
fn jump_clock(
    samples: &mut Samples,
    played: &Played,
    options: &CampaignOptions,
    draw: &mut Draw,
) -> Vec<usize> {
    let Some(jump) = options.flaws.clock_jump else { return vec![0] };
    let landed = &played.drops[draw.index(played.drops.len())];
    let at_s = landed.release_s + landed.fall.ground_s + draw.between(0.5, 2.0);
    let first = samples.true_s.partition_point(|&true_s| true_s < at_s);
    if first == 0 || first == samples.true_s.len() {
        return vec![0];
    }
    let offset_s = match jump {
        ClockJump::Restart => -samples.written_s[first],
        ClockJump::Set(offset_s) => offset_s,
    };
    for written_s in &mut samples.written_s[first..] {
        *written_s += offset_s;
    }
    vec![0, first]
}

/// Turns true times into written times and sample numbers.
struct Times<'a> {
    samples: &'a Samples,
    clock_rate: f64,
}

impl Times<'_> {
    /// The clock's time at a true time within the recording.
    fn written(&self, true_s: f64) -> Option<f64> {
        let before = self.samples.true_s.partition_point(|&t| t <= true_s).checked_sub(1)?;
        let last_s = self.samples.true_s[self.samples.true_s.len() - 1];
        (true_s <= last_s).then(|| {
            self.samples.written_s[before] + (true_s - self.samples.true_s[before]) * self.clock_rate
        })
    }

    /// Samples from a true time up to another.
    fn range(&self, from_s: f64, to_s: f64) -> Range<usize> {
        let first = self.samples.true_s.partition_point(|&t| t < from_s);
        let end = self.samples.true_s.partition_point(|&t| t < to_s);
        first..end.max(first)
    }

    fn drop_truth(&self, dropped: &Dropped, options: &CampaignOptions, gaps: &[(f64, f64)]) -> DropTruth {
        let (release_s, fall) = (dropped.release_s, &dropped.fall);
        let ground_s = release_s + fall.ground_s;
        let steady_from_s =
            dropped.settled_s.map(|settled_s| release_s + settled_s).filter(|&steady_s| steady_s < ground_s);
        let steady_samples = match steady_from_s {
            Some(from_s) => self.range(from_s, ground_s),
            None => {
                let at_ground = self.range(ground_s, ground_s).start;
                at_ground..at_ground
            }
        };
        let first_s = self.samples.true_s[0];
        let last_s = self.samples.true_s[self.samples.true_s.len() - 1];
        let steady_for_s = steady_from_s.map_or(0.0, |from_s| {
            let (from_s, to_s) = (from_s.max(first_s), ground_s.min(last_s));
            let lost: f64 = gaps.iter().map(|gap| (gap.1.min(to_s) - gap.0.max(from_s)).max(0.0)).sum();
            (to_s - from_s - lost).max(0.0)
        });
        let written = [self.written(release_s), self.written(ground_s)];
        let kind = match written {
            _ if dropped.tangled_factor > 1.0 => Kind::Tangled,
            [None, _] => Kind::StartsInAir,
            [_, None] => Kind::EndsInAir,
            _ if steady_for_s < SHORTEST_STEADY_S => Kind::Hard,
            _ => Kind::Good,
        };
        let first_node = dropped.settled_s.map_or(0, |settled_s| (settled_s / STEP_S).round() as usize);
        let air = &fall.air[first_node.min(fall.air.len() - 1)..];
        let mean = |value: fn(&AirMotion) -> f64| air.iter().map(value).sum::<f64>() / air.len() as f64;
        DropTruth {
            kind,
            release_s: written[0],
            filled_s: fall.filled_s.and_then(|filled_s| self.written(release_s + filled_s)),
            steady_from_s: steady_from_s.and_then(|steady_s| self.written(steady_s)),
            ground_s: written[1],
            samples: self.range(release_s, ground_s),
            steady_samples,
            steady_for_s,
            rate_m_s: dropped.model.rate_m_s,
            tangled_factor: dropped.tangled_factor,
            fall_m: dropped.release_m,
            fill_m: options.model.fill_diameters * options.model.canopy_diameter_m,
            air_mass_ratio: options.model.air_mass_ratio,
            swing_deg: dropped.swing_deg,
            mean_air_down_m_s: mean(|air| air.down_m_s),
            sideways_rms_m_s: mean(|air| air.sideways_m_s * air.sideways_m_s).sqrt(),
        }
    }
}
