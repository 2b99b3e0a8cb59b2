//! Openings as a whole in `assess --json`: what was asked of them, and how they run at best values.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{AskedSheet, ForceLine, LagSheet, OpeningsSheet, ReefingRow, ReefingSheet, TraceSheet};

use super::common::{NumberJson, each, number};

/// What was asked of a part's openings, and how they run.
#[derive(Serialize, JsonSchema)]
pub(super) struct OpeningsJson {
    /// What was asked beside the plan.
    asked: Vec<AskedJson>,
    /// Force against time, a canopy each.
    traces: Vec<TraceJson>,
    /// The leading one of several canopies by the lag of the others.
    lag: Option<LagJson>,
    /// Canopies that are held small at first, by how small.
    reefing: Vec<ReefingJson>,
}

impl From<&OpeningsSheet> for OpeningsJson {
    fn from(of: &OpeningsSheet) -> Self {
        OpeningsJson {
            asked: each(&of.asked),
            traces: each(&of.traces),
            lag: of.lag.as_ref().map(LagJson::from),
            reefing: each(&of.reefing),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct AskedJson {
    /// `2 s late`, `nothing opened before`, `open at the top`.
    id: String,
    asked: bool,
    /// Whether the project says so; else it is as taken.
    stated: bool,
}

impl From<&AskedSheet> for AskedJson {
    fn from(of: &AskedSheet) -> Self {
        AskedJson { id: of.id.clone(), asked: of.asked, stated: of.stated }
    }
}

/// Force against time on one canopy, at best values.
#[derive(Serialize, JsonSchema)]
struct TraceJson {
    id: String,
    case: String,
    lines: Vec<ForceLineJson>,
    /// What it bears in the end.
    weight: NumberJson,
}

impl From<&TraceSheet> for TraceJson {
    fn from(of: &TraceSheet) -> Self {
        TraceJson {
            id: of.id.clone(),
            case: of.case.clone(),
            lines: each(&of.lines),
            weight: (&of.weight).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct ForceLineJson {
    /// `as planned`, or what was asked.
    id: String,
    /// Since line stretch, s, and the force, N.
    points: Vec<[f64; 2]>,
}

impl From<&ForceLine> for ForceLineJson {
    fn from(of: &ForceLine) -> Self {
        ForceLineJson { id: of.id.clone(), points: of.points.clone() }
    }
}

/// The load on the leading canopy by the lag of all others, at best values.
#[derive(Serialize, JsonSchema)]
struct LagJson {
    case: String,
    /// How many canopies fill.
    filled: usize,
    /// Lag, s, and the force on the leading canopy, N.
    points: Vec<[f64; 2]>,
    /// One canopy that catches the whole mass: no lag makes more.
    bound: NumberJson,
}

impl From<&LagSheet> for LagJson {
    fn from(of: &LagSheet) -> Self {
        LagJson {
            case: of.case.clone(),
            filled: of.filled,
            points: of.points.clone(),
            bound: (&of.bound).into(),
        }
    }
}

/// A canopy that is held small at first, by how small, at best values.
#[derive(Serialize, JsonSchema)]
struct ReefingJson {
    id: String,
    case: String,
    /// `line` or `slider`.
    by: &'static str,
    /// Of the drag area, while held.
    share: NumberJson,
    /// Length of the line; none of a slider.
    line: Option<NumberJson>,
    /// By growing share.
    rows: Vec<ReefingRowJson>,
}

impl From<&ReefingSheet> for ReefingJson {
    fn from(of: &ReefingSheet) -> Self {
        ReefingJson {
            id: of.id.clone(),
            case: of.case.clone(),
            by: of.by,
            share: (&of.share).into(),
            line: number(&of.line),
            rows: each(&of.rows),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct ReefingRowJson {
    /// Of the drag area, held; 1: not held.
    share: f64,
    /// Largest pull on one canopy while held, N.
    held_n: f64,
    /// Largest pull on one canopy after, N.
    after_n: f64,
    /// Fallen from line stretch until all is open, m.
    lost_m: f64,
    /// Length of the line: from, best, to, m.
    line_m: [f64; 3],
}

impl From<&ReefingRow> for ReefingRowJson {
    fn from(of: &ReefingRow) -> Self {
        let ReefingRow { share, held_n, after_n, lost_m, line_m } = *of;
        ReefingRowJson { share, held_n, after_n, lost_m, line_m }
    }
}
