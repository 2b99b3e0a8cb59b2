//! Loads at opening: part × case × canopy × snatch or opening, under the canopies chosen.

use silkfall_core::loads::{Event, Method, NoLoad};

use crate::number::Number;

/// One row of the table of loads.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadSheet {
    /// `one stays shut, leading, opening`.
    pub id: String,
    /// The case, by its name.
    pub case: String,
    /// A stage's own name; of the chosen canopies `each` (all fill together) or `leading` (one catches the whole mass).
    pub canopy: String,
    /// What pulls.
    pub event: Event,
    /// The load, or why there is none.
    pub load: Result<PullSheet, NoLoad>,
}

/// A load with what it follows from.
#[derive(Clone, Debug, PartialEq)]
pub struct PullSheet {
    /// Speed at line stretch, m/s: the median, and where 95 of 100 lie.
    pub speed: Number,
    /// On the lines of the hardest loaded canopy at the speed of the plan, N: the median, and where 95 of 100 lie.
    pub force: Number,
    /// The same force that 95 of 100 openings stay below: strength is checked here.
    pub at_95: Number,
    /// On the riser of all canopies together, 95 of 100 openings below.
    pub all_at_95: Number,
    /// The worst of what was asked beside the plan, where it is worse.
    pub worst: Option<WorstSheet>,
    /// How it was worked out.
    pub method: Method,
    /// Why so.
    pub why: &'static str,
    /// Whether it rests on a value from memory.
    pub rests_on_memory: bool,
}

/// A load at another speed than the planned one.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstSheet {
    /// What was asked: `nothing opened before`, `open at the top`.
    pub asked: String,
    /// Speed at line stretch then, m/s.
    pub speed: Number,
    /// On the lines of the hardest loaded canopy, 95 of 100 openings below, N.
    pub at_95: Number,
}
