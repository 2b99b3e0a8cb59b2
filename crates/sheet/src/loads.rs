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
    /// Of an opening in two steps, each of them.
    pub steps: Option<StepsSheet>,
    /// Of a snatch: the cord at its best values.
    pub snatch: Option<SnatchSheet>,
    /// How it was worked out.
    pub method: Method,
    /// Why so.
    pub why: &'static str,
    /// Whether a stated share of what all pull together took the place of one canopy that catches the whole mass.
    pub by_stated_share: bool,
    /// Whether it rests on a value from memory.
    pub rests_on_memory: bool,
}

/// An opening in two steps: held small, then let go.
#[derive(Clone, Debug, PartialEq)]
pub struct StepsSheet {
    /// On one canopy while held, 95 of 100 openings below, N.
    pub held_at_95: Number,
    /// On one canopy after, 95 of 100 openings below, N.
    pub after_at_95: Number,
    /// Speed when it is let go, m/s.
    pub let_go: Number,
    /// Fallen from line stretch until all is open, m.
    pub lost: Number,
}

/// A snatch at best values: two masses part, and a cord takes up their energy.
#[derive(Clone, Debug, PartialEq)]
pub struct SnatchSheet {
    /// In the cord of one canopy, N.
    pub force: Number,
    /// That it takes up, J.
    pub energy: Number,
    /// That breaks it, J.
    pub to_break: Number,
    /// Its rated strength, N.
    pub strength: Number,
    /// On the rim that it leaves, at the force that 95 of 100 snatches stay below, N.
    pub edge: Number,
    /// Whether its strength is more than that force.
    pub holds: bool,
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
    /// On the riser of all canopies together, 95 of 100 openings below, N.
    pub all_at_95: Number,
}

impl PullSheet {
    /// What the riser of all canopies together has to bear: the worst asked, else as planned; 95 of 100 openings below.
    pub fn riser_bears(&self) -> &Number {
        self.worst.as_ref().map_or(&self.all_at_95, |worst| &worst.all_at_95)
    }
}
