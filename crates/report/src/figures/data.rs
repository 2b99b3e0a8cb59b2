//! What the figures draw: SI numbers and short labels.

use std::sync::Arc;

use silkfall_core::ledger::Trust;
use silkfall_core::quantity::Kind;

use crate::document::{Range, Verdict};

/// How a shape is filled: how far its value can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fill {
    /// Measured, or given by the person.
    Solid,
    /// From a handbook that was read.
    Stripes,
    /// From memory of one.
    Stipple,
    /// Assumed.
    Outline,
}

impl Fill {
    /// All, the firmest first.
    pub const ALL: [Fill; 4] = [Fill::Solid, Fill::Stripes, Fill::Stipple, Fill::Outline];

    /// What it says, in a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Fill::Solid => "measured",
            Fill::Stripes => "handbook",
            Fill::Stipple => "from memory",
            Fill::Outline => "assumed",
        }
    }
}

impl From<&Trust> for Fill {
    fn from(trust: &Trust) -> Self {
        match trust {
            Trust::Given | Trust::Measured => Fill::Solid,
            Trust::Published(_) => Fill::Stripes,
            Trust::Memory(_) => Fill::Stipple,
            Trust::Practice | Trust::Assumed(_) => Fill::Outline,
        }
    }
}

/// All drops of a configuration from release, with what the fitted lines leave below.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// The drops.
    pub drops: Vec<DropLine>,
    /// The logger's height step, m, where one was seen.
    pub height_step_m: Option<f64>,
    /// The stretch that is looked at, s from release; `None`: all of it.
    pub span_s: Option<(f64, f64)>,
}

/// One drop of an [`Overlay`].
#[derive(Clone, Debug, PartialEq)]
pub struct DropLine {
    /// Its letter.
    pub letter: String,
    /// Seconds from release, rising.
    pub time_s: Arc<[f64]>,
    /// Metres over the ground.
    pub height_m: Arc<[f64]>,
    /// The line through its steady stretch, where it has one.
    pub steady: Option<SteadyLine>,
    /// Whether it counts; set aside is dashed.
    pub kept: bool,
}

/// A line h = height − slope·(t − from) through a steady stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyLine {
    /// Begin, s from release.
    pub from_s: f64,
    /// End, s from release.
    pub to_s: f64,
    /// Height at the begin, m.
    pub height_m: f64,
    /// Fall, m/s.
    pub slope_m_per_s: f64,
}

/// A whole recording, or a stretch of it: the heights, and below in words what the logger did.
#[derive(Clone, Debug, PartialEq)]
pub struct Ribbon {
    /// Seconds from the recording's first sample, rising.
    pub time_s: Arc<[f64]>,
    /// Least height about each time, m.
    pub low_m: Arc<[f64]>,
    /// Greatest height about each time, m.
    pub high_m: Arc<[f64]>,
    /// What it does, in the order of time.
    pub spells: Vec<RibbonSpell>,
    /// The stretch that is looked at, s.
    pub span_s: (f64, f64),
}

/// What a recording does for a while.
#[derive(Clone, Debug, PartialEq)]
pub struct RibbonSpell {
    /// In a word.
    pub is: String,
    /// Its beginning, s.
    pub from_s: f64,
    /// Its end, s.
    pub to_s: f64,
    /// The drop that it is, by its letter, and whether that counts.
    pub drop: Option<(String, bool)>,
}

/// Rates with their intervals.
#[derive(Clone, Debug, PartialEq)]
pub struct RateDots {
    /// The drops.
    pub drops: Vec<DropRate>,
    /// The pooled rate, m/s.
    pub pooled: Option<Range>,
}

/// One drop of [`RateDots`].
#[derive(Clone, Debug, PartialEq)]
pub struct DropRate {
    /// Its letter.
    pub letter: String,
    /// Its rate and interval, m/s.
    pub rate: Range,
    /// Why it does not count; `None` where it does.
    pub set_aside: Option<String>,
}

/// Drag areas as stacked parts, a configuration or case a row.
#[derive(Clone, Debug, PartialEq)]
pub struct PartStacks {
    /// The rows, as read.
    pub rows: Vec<PartRow>,
    /// What is stacked.
    pub kind: Kind,
}

/// One stack.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRow {
    /// What it is.
    pub label: String,
    /// Its parts, from the axis outward.
    pub pieces: Vec<PartPiece>,
    /// The total with its interval, SI.
    pub total: Option<Range>,
}

/// One part of a stack.
#[derive(Clone, Debug, PartialEq)]
pub struct PartPiece {
    /// What it is.
    pub label: String,
    /// Its size, SI, not below 0.
    pub si: f64,
    /// How far to trust it.
    pub fill: Fill,
}

/// Candidates by what they cost and how fast they come down.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateField {
    /// The candidates.
    pub marks: Vec<CandidateMark>,
    /// What is counted across.
    pub cost: Kind,
    /// In words: "mass of the canopies".
    pub cost_words: String,
    /// In words: "rate with one canopy shut, at worst".
    pub rate_words: String,
    /// The limit on the rate, m/s.
    pub limit_m_per_s: Option<f64>,
}

/// One candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateMark {
    /// Its name: "3 × Plain 1.8 m".
    pub label: String,
    /// How many canopies: the numeral that is drawn.
    pub count: usize,
    /// What it costs, SI.
    pub cost_si: f64,
    /// Its rate, m/s.
    pub rate_m_per_s: f64,
    /// Whether nothing beats it on all counts.
    pub stays: bool,
    /// Whether it is the one chosen.
    pub chosen: bool,
    /// How it stands.
    pub verdict: Verdict,
}

/// Cases against their limits.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseBars {
    /// The cases, as read.
    pub cases: Vec<CaseMark>,
    /// What is judged.
    pub kind: Kind,
    /// In words: "descent rate, 95 of 100 flights".
    pub words: String,
}

/// One case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseMark {
    /// Its name.
    pub label: String,
    /// Where flights lie, SI.
    pub range: Range,
    /// How it stands.
    pub verdict: Verdict,
}

/// A bay cut along its axis, with what is packed in it.
#[derive(Clone, Debug, PartialEq)]
pub struct BayDrawing {
    /// Inner diameter, m, above 0.
    pub diameter_m: f64,
    /// Length from bulkhead to lid, m, above 0.
    pub length_m: f64,
    /// What lies in it, end on end from the bulkhead.
    pub pieces: Vec<BayPiece>,
}

/// Something in a bay.
#[derive(Clone, Debug, PartialEq)]
pub struct BayPiece {
    /// What it is.
    pub label: String,
    /// Where it begins, m from the bulkhead.
    pub from_m: f64,
    /// Where it ends, m from the bulkhead.
    pub to_m: f64,
    /// How far what it takes can be trusted.
    pub fill: Fill,
}

/// Members of a load path, each against what it may be given.
#[derive(Clone, Debug, PartialEq)]
pub struct MemberBars {
    /// The members, from the cloth to the part.
    pub members: Vec<MemberMark>,
}

/// One member of [`MemberBars`].
#[derive(Clone, Debug, PartialEq)]
pub struct MemberMark {
    /// Its name.
    pub label: String,
    /// What 95 of 100 pulls stay below, N; `None` where it is not known.
    pub at_95_n: Option<f64>,
    /// Where 95 of 100 pulls lie, N.
    pub between_n: Option<(f64, f64)>,
    /// What it may be given, N; `None` where its strength is not known.
    pub allowed_n: Option<f64>,
    /// How far strength and factors are to be trusted.
    pub fill: Fill,
    /// Its word.
    pub verdict: Verdict,
    /// Whether it is the weakest.
    pub weakest: bool,
}
