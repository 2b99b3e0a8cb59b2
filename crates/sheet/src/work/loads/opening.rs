//! How openings run at best values: force against time, and the leading canopy by the lag of the others.

use silkfall_core::derivation::How;
use silkfall_core::loads::{Lag, Trace};
use silkfall_core::quantity::Kind;
use silkfall_project::project::Part;

use super::super::notes::Notes;
use crate::number::Number;
use crate::opening::{ForceLine, LagSheet, TraceSheet};

const BOUND: &str = "F = C_X x ½ ρ v² (C_D S)₀ of one canopy that catches the whole mass, x the peak of the opening stepped with gravity, \
                     finite mass and the air taken along, at the best value of everything.";

const WEIGHT: &str = "m g A/(A + B) of all that falls, A the canopies and B what brakes beside them, and the canopy's part of it.";

pub(super) fn trace(part: &Part, of: &Trace, notes: &mut Notes) -> TraceSheet {
    let line = |(asked, points): &(Option<String>, Vec<[f64; 2]>)| ForceLine {
        id: asked.clone().unwrap_or_else(|| "as planned".to_owned()),
        points: points.clone(),
    };
    let id = format!("parts.{}.openings.traces.{}.weight", part.name.value, of.canopy);
    let how =
        How::Fit { procedure: WEIGHT.to_owned(), data: "the ledger's best values".to_owned(), count: 1 };
    TraceSheet {
        id: of.canopy.clone(),
        case: of.case.clone(),
        lines: of.lines.iter().map(line).collect(),
        weight: notes.number(Number::exact(id, of.weight_n, Kind::Force), how),
    }
}

pub(super) fn lag(part: &Part, of: &Lag, notes: &mut Notes) -> LagSheet {
    let id = format!("parts.{}.openings.lag.bound", part.name.value);
    let how = How::Fit { procedure: BOUND.to_owned(), data: "the ledger's best values".to_owned(), count: 1 };
    LagSheet {
        case: of.case.clone(),
        filled: of.filled,
        points: of.points.clone(),
        bound: notes.number(Number::exact(id, of.bound_n, Kind::Force), how),
    }
}
