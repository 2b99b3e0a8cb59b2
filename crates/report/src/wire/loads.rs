//! Loads at opening in `assess --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{LoadSheet, NoLoad, PullSheet, WorstSheet};

use super::common::NumberJson;

/// One row: case × canopy × snatch or opening.
#[derive(Serialize, JsonSchema)]
pub struct LoadJson {
    id: String,
    case: String,
    /// A stage's own name; of the chosen canopies `each` (all fill together) or `leading` (one catches the whole mass).
    canopy: String,
    /// `snatch` or `opening`.
    event: &'static str,
    /// Whether it happens in this case at all.
    applies: bool,
    /// Why there is no load, where there is none.
    missing: Option<String>,
    /// Speed at line stretch.
    speed: Option<NumberJson>,
    /// On the lines of the hardest loaded canopy.
    force: Option<NumberJson>,
    /// The same, 95 of 100 openings below: strength is checked here.
    at_95: Option<NumberJson>,
    /// On the riser of all canopies together, 95 of 100 openings below.
    all_at_95: Option<NumberJson>,
    /// The worst of what was asked beside the plan, where it is worse.
    worst: Option<WorstJson>,
    /// `integrated with gravity` or `horizontal closed form`.
    method: Option<&'static str>,
    /// Why so.
    why: Option<&'static str>,
    rests_on_memory: bool,
}

impl From<&LoadSheet> for LoadJson {
    fn from(of: &LoadSheet) -> Self {
        let pull: Option<&PullSheet> = of.load.as_ref().ok();
        LoadJson {
            id: of.id.clone(),
            case: of.case.clone(),
            canopy: of.canopy.clone(),
            event: of.event.word(),
            applies: !matches!(of.load, Err(NoLoad::DoesNotApply(_))),
            missing: match &of.load {
                Ok(_) => None,
                Err(NoLoad::DoesNotApply(why) | NoLoad::NotKnown(why)) => Some(why.clone()),
            },
            speed: pull.map(|pull| (&pull.speed).into()),
            force: pull.map(|pull| (&pull.force).into()),
            at_95: pull.map(|pull| (&pull.at_95).into()),
            all_at_95: pull.map(|pull| (&pull.all_at_95).into()),
            worst: pull.and_then(|pull| pull.worst.as_ref()).map(WorstJson::from),
            method: pull.map(|pull| pull.method.word()),
            why: pull.map(|pull| pull.why),
            rests_on_memory: pull.is_some_and(|pull| pull.rests_on_memory),
        }
    }
}

/// A load at another speed than the planned one.
#[derive(Serialize, JsonSchema)]
struct WorstJson {
    asked: String,
    speed: NumberJson,
    at_95: NumberJson,
}

impl From<&WorstSheet> for WorstJson {
    fn from(of: &WorstSheet) -> Self {
        WorstJson { asked: of.asked.clone(), speed: (&of.speed).into(), at_95: (&of.at_95).into() }
    }
}
