//! Drops: where in a recording something fell, and what the logger does when nothing moves.
//!
//! One recording holds many falls: ground, hoist, hang, fall, ground. Heights are averaged to blocks of about a
//! tenth of a second, cut into legs at their turning points ([`legs`]), and in each descending leg the shortest time
//! in which a good part of it was lost is the core of a fall; slower than [`FindConfig::slowest_fall_m_per_s`] it was
//! carrying or lowering. The core is followed both ways until the speed breaks off. What is left of the leg is looked
//! at again, so that a flight under a drogue and then under a main canopy gives two falls.
//!
//! Assumes that heights are metres or pressures through the standard atmosphere ([`heights`]); nothing is corrected.
//! Range: 1 to 1000 Hz, one pass and so linear in the number of samples. A restart of the clock is never crossed.
//! It does not say how fast: that is `rates`.

mod heights;
mod legs;
mod rest;
mod spells;
mod spikes;
mod stuck;

pub use heights::heights_m;
pub use rest::{Noise, step as value_step};
pub(crate) use rest::{line, median};
pub use spells::{Doing, Spell};

use crate::finding::{Code, Finding, Subject};
use crate::maths::sqrt;
use crate::pyramid::{Extremes, extremes};
use crate::recording::Recording;

/// What counts as a fall. The defaults suit models of some kilograms under their canopies and aircraft drops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FindConfig {
    /// A slower descent is carrying or lowering, m/s. Hands lower at up to about 1 m/s (common practice, no
    /// published source); the slowest canopies worth measuring fall at about 2 m/s.
    pub slowest_fall_m_per_s: f64,
    /// A shorter descent is handling, m.
    pub least_fall_m: f64,
    /// Length of the blocks that falls are looked for in, s.
    pub block_s: f64,
    /// A smaller change is no spike, m.
    pub least_spike_m: f64,
    /// A longer excursion is no spike, s.
    pub longest_spike_s: f64,
    /// Noise below this is not believed, m: sensors have at least some millimetres.
    pub least_noise_m: f64,
}

impl Default for FindConfig {
    fn default() -> Self {
        FindConfig {
            slowest_fall_m_per_s: 1.6,
            least_fall_m: 4.0,
            block_s: 0.1,
            least_spike_m: 2.0,
            longest_spike_s: 0.6,
            least_noise_m: 0.005,
        }
    }
}

/// One fall as samples of its recording.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// First sample after release; where a canopy changed the rate in flight, the first after the change.
    pub release: usize,
    /// Last sample before the ground or, without ground, before the fall ends otherwise.
    pub last: usize,
    /// First sample on the ground; `None` where the recording, its clock or this stretch ends in the air.
    pub ground: Option<usize>,
    /// Whether the fall was already going on when it comes into sight: the recording begins in the air, or an
    /// earlier stretch of the same flight ends here.
    pub starts_in_air: bool,
    /// A first guess of the rate of descent, m/s.
    pub guess_m_per_s: f64,
    /// Height between the levels before and after over the time between, m/s; `None` where one of them is not there.
    pub mean_m_per_s: Option<f64>,
    /// Samples from some seconds before release to some seconds after the ground that are spikes or were held by a stuck
    /// sensor, and are not used; ascending.
    pub masked: Vec<usize>,
}

/// A recording looked through.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Its falls in the order of time; they do not overlap. Without a fall the list is empty; that is no finding of this
    /// stage, since a recording of something else may stand beside one with drops.
    pub falls: Vec<Fall>,
    /// Its noise at rest.
    pub noise: Noise,
    /// What it does from its first to its last sample, in words.
    pub spells: Vec<Spell>,
    /// Least and greatest height, m, of each of [`OUTLINE_CELLS`] equal stretches of its time; `None` where no sample lies
    /// in one.
    pub outline: Vec<Option<Extremes>>,
    /// What is odd about its samples.
    pub findings: Vec<Finding>,
}

/// Level of [`Found::outline`] as [`crate::pyramid`] counts them.
const OUTLINE_LEVEL: u32 = 9;
/// Cells of [`Found::outline`]: as many as a drawing of a whole recording has dots across.
pub const OUTLINE_CELLS: usize = 1 << OUTLINE_LEVEL;

/// Spikes are named with a fall from so long before its release until so long after its ground, s.
const AROUND_S: f64 = 10.0;

/// Finds the falls of a recording, its noise at rest, and what is odd about its samples.
pub fn find(recording: &Recording, cfg: &FindConfig) -> Found {
    let heights = heights_m(recording);
    let outline = || extremes(&recording.time_s, &heights, OUTLINE_LEVEL);
    let (outline, found) = rayon::join(outline, || look_through(recording, &heights, cfg));
    Found { outline, ..found }
}

/// All of [`Found`] but the outline, which nothing else asks for.
fn look_through(recording: &Recording, heights: &[f64], cfg: &FindConfig) -> Found {
    let interval_s = rest::interval_s(&recording.time_s);
    let step_m = rest::step(&recording.value) * metres_per_unit(recording, heights);
    let rough = rough_noise_m(&recording.time_s, heights, interval_s, cfg);
    let mut findings = Vec::new();
    let mut masked = Vec::new();
    let mut blocks = Vec::new();
    let mut spans = Vec::new();
    let mut hidden_releases: Vec<usize> = Vec::new();
    let ends = recording.segments.iter().copied().skip(1).chain([recording.len()]);
    for (first, end) in recording.segments.iter().copied().zip(ends) {
        let (time, height) = (&recording.time_s[first..end], &heights[first..end]);
        let mut runs = spikes::spikes(time, height, rough, step_m, cfg);
        for &(a, b) in &runs {
            findings.push(spike_finding(recording, heights, first + a, first + b));
        }
        for held in stuck::held(time, height, (rough, step_m, interval_s), cfg) {
            findings.push(held_finding(recording, first, &held));
            hidden_releases.extend(held.hides_release.then_some(first + held.run.1));
            runs.push(held.run);
        }
        runs.sort_unstable();
        let from = blocks.len();
        legs::blocks(time, height, &runs, first, cfg.block_s.max(interval_s), &mut blocks);
        spans.push((from, blocks.len()));
        masked.extend(runs.iter().flat_map(|&(a, b)| first + a..=first + b));
    }
    masked.sort_unstable();
    masked.dedup();
    let mut falls = Vec::new();
    let mut busy = Vec::new();
    for &(from, to) in &spans {
        legs::falls(&blocks[from..to], rough, step_m, cfg, &mut falls, &mut busy);
    }
    let rests = legs::rests(&blocks, &spans, &busy, rough, cfg);
    let noise = rest::measure(&recording.time_s, heights, &rests, step_m, interval_s, cfg);
    for fall in &mut falls {
        // What is left of a fall whose release was held begins after the jump.
        if let Some(&last) =
            hidden_releases.iter().find(|&&last| fall.release <= last + 1 && last < fall.last)
        {
            fall.release = last + 1;
            fall.starts_in_air = true;
            fall.mean_m_per_s = None;
        }
        let (before_s, after_s) =
            (recording.time_s[fall.release] - AROUND_S, recording.time_s[fall.last] + AROUND_S);
        let from = masked.partition_point(|&i| i < fall.release && recording.time_s[i] < before_s);
        let to = masked.partition_point(|&i| i <= fall.last || recording.time_s[i] < after_s);
        fall.masked = masked[from..to].to_vec();
        if fall.ground.is_none() && !fall.starts_in_air {
            let message = "the recording ends, or its clock restarts, before this drop reaches the ground";
            findings.push(Finding::new(Code::DropEndsInAir, subject(recording, fall), message));
        }
    }
    let spells = spells::spells(recording, &blocks, &falls);
    Found { falls, noise, spells, outline: Vec::new(), findings }
}

/// The subject of findings about a fall.
pub(crate) fn subject(recording: &Recording, fall: &Fall) -> Subject {
    let release_ms = (recording.time_s[fall.release] * 1000.0).round() as i64;
    Subject::Drop { recording: recording.name.clone(), release_ms }
}

/// Metres of height for one unit of the recorded value: 1 for heights, about 0.083 m/Pa for pressures.
fn metres_per_unit(recording: &Recording, heights: &[f64]) -> f64 {
    if std::ptr::eq(heights.as_ptr(), recording.value.as_ptr()) {
        return 1.0;
    }
    let (mut low, mut high) = (0, 0);
    for i in 0..heights.len() {
        low = if recording.value[i] < recording.value[low] { i } else { low };
        high = if recording.value[i] > recording.value[high] { i } else { high };
    }
    let span = recording.value.get(high).zip(recording.value.get(low)).map_or(0.0, |(h, l)| h - l);
    if span > 0.0 { (heights[low] - heights[high]) / span } else { 0.083 }
}

/// A robust first look at the noise: the lower quartile of the scatter about lines of four seconds, m.
fn rough_noise_m(time_s: &[f64], height_m: &[f64], interval_s: f64, cfg: &FindConfig) -> f64 {
    let length = ((4.0 / interval_s) as usize).max(8);
    let chunks = height_m.len() / length;
    let stride = (chunks / 2000).max(1);
    let mut scatter = Vec::new();
    for chunk in (0..chunks).step_by(stride) {
        let range = chunk * length..(chunk + 1) * length;
        let (time, height) = (&time_s[range.clone()], &height_m[range]);
        if let Some((mean_t, mean_h, slope)) = line(time, height) {
            let sum: f64 =
                time.iter().zip(height).map(|(t, h)| (h - mean_h - slope * (t - mean_t)).powi(2)).sum();
            scatter.push(sqrt(sum / (length - 2) as f64));
        }
    }
    scatter.sort_unstable_by(f64::total_cmp);
    scatter.get(scatter.len() * 2 / 5).copied().unwrap_or(0.0).max(cfg.least_noise_m)
}

fn held_finding(recording: &Recording, offset: usize, held: &stuck::Held) -> Finding {
    let (first, last) = (offset + held.run.0, offset + held.run.1);
    let message = format!(
        "the height stands still for {:.2} s of a fall{} and then jumps down by {:.1} m; these samples are not used",
        recording.time_s[last] - recording.time_s[first],
        if held.hides_release { ", from before its release," } else { "" },
        held.jump_m
    );
    Finding::new(
        Code::DropSensorStuck,
        Subject::Samples { recording: recording.name.clone(), first, last },
        message,
    )
}

fn spike_finding(recording: &Recording, heights: &[f64], first: usize, last: usize) -> Finding {
    let before = heights[first.saturating_sub(1)];
    let far = (first..=last).map(|i| heights[i] - before).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let message = format!(
        "height jumps by {:.1} m for {} and comes back; these samples are not used",
        far.unwrap_or(0.0),
        if last == first { "one sample".to_owned() } else { format!("{} samples", last - first + 1) },
    );
    Finding::new(
        Code::DropSpike,
        Subject::Samples { recording: recording.name.clone(), first, last },
        message,
    )
}
