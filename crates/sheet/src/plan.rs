//! The plan, as the sheet holds it: who answers for it, what falls in outline and in which order, and the winds in which
//! every part may fly at once.

use crate::landing::RangeSheet;
use crate::number::Number;

/// What the paper that is handed over says beyond the parts themselves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanSheet {
    /// The number under which it is filed.
    pub number: Option<String>,
    /// Who built what flies.
    pub builder: Option<String>,
    /// Who decides at the field.
    pub safety_officer: Option<String>,
    /// The day it is meant for, year, month, day.
    pub date: Option<String>,
    /// Where it flies, in words.
    pub place: Option<String>,
    /// Each part in outline, in the order of the project.
    pub parts: Vec<PlanPartSheet>,
    /// Winds in which every part may fly at once, a direction each; empty where some part has none.
    pub winds: Vec<CommonWindSheet>,
}

/// A part in outline: what is drawn of it to scale, and what opens when.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanPartSheet {
    /// The part.
    pub part: String,
    /// Length of its body along its long axis.
    pub body_length: Option<Number>,
    /// Its diameter.
    pub body_diameter: Option<Number>,
    /// Whether its long axis hangs level.
    pub level: bool,
    /// How many canopies were chosen.
    pub count: usize,
    /// Nominal diameter of one.
    pub canopy_diameter: Option<Number>,
    /// Length of its lines.
    pub line_length: Option<Number>,
    /// From the body to where the lines begin.
    pub riser_length: Option<Number>,
    /// What opens, in that order.
    pub events: Vec<EventSheet>,
    /// What closes and opens its bay, in words with the quantities as they were written: "2 pins M3".
    pub bay: Vec<String>,
    /// Whether a pyrotechnic source opens it.
    pub pyrotechnic: bool,
    /// Drops that its answer rests on, of all its tests.
    pub drops: usize,
    /// Whether any of its tests was made with a model.
    pub model: bool,
    /// Share of landings outside the field or over a place to keep out of; `None` where that is not judged.
    pub outside: Option<Number>,
}

/// A stage of the way down.
#[derive(Clone, Debug, PartialEq)]
pub struct EventSheet {
    /// Its name.
    pub name: String,
    /// When it begins; `None` where the project does not know yet.
    pub begins: Option<BeginsSheet>,
    /// Whether it is the part's canopies that open.
    pub canopies: bool,
}

/// When a stage begins.
#[derive(Clone, Debug, PartialEq)]
pub enum BeginsSheet {
    /// Where the fall starts.
    Top,
    /// So long after that.
    After(Number),
    /// At this height above the field's ground.
    Below(Number),
}

/// The ground winds of one direction in which every part may fly.
#[derive(Clone, Debug, PartialEq)]
pub struct CommonWindSheet {
    /// Its id: the direction in degrees, `270.0`.
    pub id: String,
    /// Where the ground wind blows from.
    pub from: Number,
    /// Ranges by best estimate.
    pub ranges: Vec<RangeSheet>,
    /// Ranges that are 95 % sure.
    pub sure_ranges: Vec<RangeSheet>,
    /// The part whose sure winds end first.
    pub limited_by: String,
}
