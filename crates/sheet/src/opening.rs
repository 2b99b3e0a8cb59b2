//! Openings as a whole: what was asked of them beside the plan, and what figures show of them at best values.

use crate::number::Number;

/// What was asked of a part's openings, and how they run.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningsSheet {
    /// What was asked beside the plan, in the order of the project's keys.
    pub asked: Vec<AskedSheet>,
    /// Force against time, a canopy each, in the case that is the hardest for it.
    pub traces: Vec<TraceSheet>,
    /// The leading one of several canopies by the lag of the others; `None` of one canopy, and of those held small.
    pub lag: Option<LagSheet>,
    /// Canopies that are held small at first, by how small.
    pub reefing: Vec<ReefingSheet>,
}

/// One thing that was asked, or not.
#[derive(Clone, Debug, PartialEq)]
pub struct AskedSheet {
    /// `2 s late`, `nothing opened before`, `open at the top`.
    pub id: String,
    /// Whether it was asked.
    pub asked: bool,
    /// Whether the project says so; else it is as taken.
    pub stated: bool,
}

/// Force against time on one canopy, at best values.
#[derive(Clone, Debug, PartialEq)]
pub struct TraceSheet {
    /// As [`crate::LoadSheet::canopy`].
    pub id: String,
    /// The case.
    pub case: String,
    /// As planned, and at the worst asked where that is worse.
    pub lines: Vec<ForceLine>,
    /// What it bears in the end, N.
    pub weight: Number,
}

/// One line of a [`TraceSheet`].
#[derive(Clone, Debug, PartialEq)]
pub struct ForceLine {
    /// `as planned`, or what was asked.
    pub id: String,
    /// Since line stretch, s, and the force on one canopy, N.
    pub points: Vec<[f64; 2]>,
}

/// The load on the leading canopy by the lag of all others, at best values.
#[derive(Clone, Debug, PartialEq)]
pub struct LagSheet {
    /// The case.
    pub case: String,
    /// How many canopies fill.
    pub filled: usize,
    /// Lag, s, and the force on the leading canopy, N.
    pub points: Vec<[f64; 2]>,
    /// One canopy that catches the whole mass, N: no lag makes more.
    pub bound: Number,
}

/// A canopy that is held small at first, by how small, at best values.
#[derive(Clone, Debug, PartialEq)]
pub struct ReefingSheet {
    /// As [`crate::LoadSheet::canopy`].
    pub id: String,
    /// The case.
    pub case: String,
    /// What holds it: `line` or `slider`.
    pub by: &'static str,
    /// Share of the drag area as stated, or as the line stated makes it.
    pub share: Number,
    /// Length of the line as stated, or for the share stated; none of a slider.
    pub line: Option<Number>,
    /// By growing share.
    pub rows: Vec<ReefingRow>,
}

/// One share of a [`ReefingSheet`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReefingRow {
    /// Of the drag area, held; 1: not held.
    pub share: f64,
    /// Largest pull on one canopy while held, N.
    pub held_n: f64,
    /// Largest pull on one canopy after, N.
    pub after_n: f64,
    /// Fallen from line stretch until all is open, m.
    pub lost_m: f64,
    /// Length of the line: from, best, to, m.
    pub line_m: [f64; 3],
}
