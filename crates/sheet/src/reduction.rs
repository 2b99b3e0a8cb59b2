//! What `reduce` comes to: recordings of one configuration, their drops, the pooled rate and the doubt by cause.
//!
//! All values are SI, times are seconds from the recording's first sample. A drop's uncertainty is that of its own
//! fit; the scatter between drops and what all drops share enters in the pooled rate. What cannot be known is
//! `None`: the ground of a recording that ends in the air, the pooled rate without a drop.

use std::collections::BTreeMap;
use std::sync::Arc;

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::Finding;

use crate::outcome::Outcome;
use silkfall_core::drag::Interval;

/// Everything worked out from recordings of one configuration, without a project.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduction {
    /// The recordings as read, in the order given, each with its drops.
    pub recordings: Vec<ReducedRecording>,
    /// The rate of all drops kept; `None` without one.
    pub pooled: Option<PooledRate>,
    /// The rates fall into these groups, the slower first; empty where they are one. Two configurations in one
    /// recording, perhaps: each has the command that reduces it alone.
    pub groups: Vec<Group>,
    /// Where the doubt of the pooled rate comes from, the largest first.
    pub doubts: Vec<Doubt>,
    /// What was taken because nothing was said, in full sentences: "air of the standard atmosphere at ...".
    pub defaults: Vec<String>,
    /// Arguments of the command that repeats this reading exactly, without the program's name:
    /// `reduce tower.csv --time 1:s --height 2:ft`.
    pub repeat: String,
    /// Arguments of the one command to go on with, without the program's name.
    pub next: Option<String>,
    /// How each number came about, by its path in the JSON.
    pub hows: BTreeMap<NumberId, How>,
    /// All findings, in the order of the recordings and of their rows.
    pub findings: Vec<Finding>,
    /// Done, or an input gave no answer.
    pub outcome: Outcome,
}

/// A recording as it was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct ReducedRecording {
    /// The path as the person gave it.
    pub path: String,
    /// Number of samples used.
    pub samples: usize,
    /// From its first to its last sample, s.
    pub duration_s: f64,
    /// Samples a second; `None` with fewer than two samples.
    pub sample_rate_hz: Option<f64>,
    /// Smallest step of height that the logger writes, m; `None` where its steps are finer than the noise.
    pub height_step_m: Option<f64>,
    /// The columns as they were understood.
    pub columns: Vec<ColumnRead>,
    /// Options that repeat the reading of this recording, as typed: `--time 1:s --height 2:ft --delimiter ,`.
    pub repeat: String,
    /// What it does from its first to its last sample, in words and in the order of time.
    pub spells: Vec<SpellRead>,
    /// The whole of it, for figures.
    pub outline: Outline,
    /// Its drops in the order of time.
    pub drops: Vec<ReducedDrop>,
}

/// What a recording does for a while.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpellRead {
    /// In a word: `ground`, `hoist`, `hang`, `fall` or `lowering`.
    pub is: &'static str,
    /// Its beginning, s.
    pub from_s: f64,
    /// Its end, s.
    pub to_s: f64,
}

/// A whole recording, drawn small: times from its first sample, and the least and greatest height recorded about each.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Seconds, rising.
    pub time_s: Arc<[f64]>,
    /// Least height, m, from the logger's zero.
    pub low_m: Arc<[f64]>,
    /// Greatest height, m.
    pub high_m: Arc<[f64]>,
}

/// A column as it was understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnRead {
    /// Its number, from 1.
    pub index: usize,
    /// Its heading, where the file has one.
    pub name: Option<String>,
    /// What it was taken for: `time`, `height`, `pressure`, `temperature` or `not used`.
    pub means: String,
    /// The unit it was taken to be in, as printed.
    pub unit: Option<String>,
}

/// One drop.
#[derive(Clone, Debug, PartialEq)]
pub struct ReducedDrop {
    /// Its letter, running over all recordings: a, b, ... z, aa.
    pub letter: String,
    /// When it was let go; where the recording begins in the air, its first sample.
    pub release_s: f64,
    /// Where the steady stretch begins; `None` where there is none.
    pub steady_from_s: Option<f64>,
    /// Where it ends.
    pub steady_to_s: Option<f64>,
    /// When it came to the ground; `None` where the recording ends in the air.
    pub ground_s: Option<f64>,
    /// The rate of its own fit; `None` where the fall gives none.
    pub rate: Option<DropRate>,
    /// What is known instead where the fall was too short for a steady stretch: one side.
    pub bound: Option<RateBound>,
    /// Whether it enters the pooled rate.
    pub kept: bool,
    /// Why it does not.
    pub set_aside: Option<String>,
    /// The argument that takes it back or sets it aside: `--keep 14:31`; `None` where neither helps.
    pub take_back: Option<String>,
    /// What was noticed about it.
    pub findings: Vec<Finding>,
    /// What the figures draw.
    pub trace: Trace,
}

/// The rate of one drop by its own fit, corrected for the day's air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropRate {
    /// Descent rate, m/s, positive downwards.
    pub m_per_s: f64,
    /// Standard uncertainty of its own fit, m/s.
    pub standard_uncertainty_m_per_s: f64,
    /// Degrees of freedom behind that; `None` where nothing limits them.
    pub degrees_of_freedom: Option<f64>,
    /// 95 % interval of its own fit.
    pub interval_95: Interval,
}

/// A rate known from one side only, 95 % sure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateBound {
    /// Which side.
    pub side: Bound,
    /// The bound, m/s.
    pub m_per_s: f64,
}

/// Which side a rate is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The steady rate is at most this.
    AtMost,
    /// The steady rate is at least this.
    AtLeast,
}

impl Bound {
    /// As printed before the rate and as it stands in JSON.
    pub fn words(self) -> &'static str {
        match self {
            Bound::AtMost => "at most",
            Bound::AtLeast => "at least",
        }
    }
}

/// The samples of one drop, for figures: times from its release, heights over its end, as recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Seconds from release; begins a little before it.
    pub time_s: Arc<[f64]>,
    /// Metres over the ground, or over the last sample in the air.
    pub height_m: Arc<[f64]>,
    /// The fitted line through the steady stretch, where there is one.
    pub line: Option<TraceLine>,
}

/// A line h = height_m − slope·(t − from_s) through the steady stretch, in the trace's own axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TraceLine {
    /// Begin of the steady stretch, s from release.
    pub from_s: f64,
    /// Its end, s from release.
    pub to_s: f64,
    /// Height at `from_s`, m.
    pub height_m: f64,
    /// Fall, m/s of recorded height (before the day's air is allowed for).
    pub slope_m_per_s: f64,
}

/// The rate of all drops kept.
#[derive(Clone, Debug, PartialEq)]
pub struct PooledRate {
    /// Descent rate, m/s.
    pub m_per_s: f64,
    /// Standard uncertainty, m/s, of what scatters and of what all share.
    pub standard_uncertainty_m_per_s: f64,
    /// Effective degrees of freedom; `None` where nothing limits them.
    pub degrees_of_freedom: Option<f64>,
    /// 95 % interval.
    pub interval_95: Interval,
    /// How many drops are in it.
    pub drops_kept: usize,
    /// How many were set aside.
    pub drops_set_aside: usize,
    /// Density of the air that the rate refers to, kg/m³; `None` where it is as it fell that day and the day's
    /// air is not given.
    pub reference_density_kg_m3: Option<f64>,
    /// Scatter between the drops, relative standard deviation.
    pub scatter_relative: f64,
}

/// Drops whose rates belong together when they do not all.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Letters of its drops.
    pub letters: Vec<String>,
    /// Mean rate of them, m/s.
    pub m_per_s: f64,
    /// Arguments of the command that reduces this group alone, without the program's name.
    pub command: String,
}

/// One cause of doubt.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// In words: "slow air, shared by all drops".
    pub cause: String,
    /// One standard uncertainty over the rate, dimensionless.
    pub relative: f64,
    /// What is known of it: "4 drops, scatter 1.7 %".
    pub remark: Option<String>,
    /// The option that would take it away, and the interval that would be left.
    pub cure: Option<DoubtCure>,
}

/// What would take a doubt away.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtCure {
    /// As typed: `--air "18 °C"`.
    pub option: String,
    /// The 95 % interval without this doubt, about the present value.
    pub interval_95: Interval,
}
