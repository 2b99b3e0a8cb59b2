//! Loads at opening in `assess --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{LoadSheet, NoLoad, PullSheet, SnatchSheet, StepsSheet, WorstSheet};

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
    /// Of an opening in two steps, each of them.
    steps: Option<StepsJson>,
    /// Of a snatch: the cord at its best values.
    snatch: Option<SnatchJson>,
    /// `integrated with gravity`, `horizontal closed form` or `energy of the cord`.
    method: Option<&'static str>,
    /// Why so.
    why: Option<&'static str>,
    /// Whether a stated share of what all pull together took the place of one canopy that catches the whole mass.
    by_stated_share: bool,
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
            steps: pull.and_then(|pull| pull.steps.as_ref()).map(StepsJson::from),
            snatch: pull.and_then(|pull| pull.snatch.as_ref()).map(SnatchJson::from),
            method: pull.map(|pull| pull.method.word()),
            why: pull.map(|pull| pull.why),
            by_stated_share: pull.is_some_and(|pull| pull.by_stated_share),
            rests_on_memory: pull.is_some_and(|pull| pull.rests_on_memory),
        }
    }
}

/// An opening in two steps: held small, then let go.
#[derive(Serialize, JsonSchema)]
struct StepsJson {
    /// On one canopy while held, 95 of 100 openings below.
    held_at_95: NumberJson,
    /// On one canopy after, 95 of 100 openings below.
    after_at_95: NumberJson,
    /// Speed when it is let go.
    let_go: NumberJson,
    /// Fallen from line stretch until all is open.
    lost: NumberJson,
}

impl From<&StepsSheet> for StepsJson {
    fn from(of: &StepsSheet) -> Self {
        StepsJson {
            held_at_95: (&of.held_at_95).into(),
            after_at_95: (&of.after_at_95).into(),
            let_go: (&of.let_go).into(),
            lost: (&of.lost).into(),
        }
    }
}

/// A snatch at best values.
#[derive(Serialize, JsonSchema)]
struct SnatchJson {
    /// In the cord of one canopy.
    force: NumberJson,
    /// That it takes up.
    energy: NumberJson,
    /// That breaks it.
    to_break: NumberJson,
    strength: NumberJson,
    /// On the rim that it leaves, at the force that 95 of 100 snatches stay below.
    edge: NumberJson,
    /// Whether its strength is more than that force.
    holds: bool,
}

impl From<&SnatchSheet> for SnatchJson {
    fn from(of: &SnatchSheet) -> Self {
        SnatchJson {
            force: (&of.force).into(),
            energy: (&of.energy).into(),
            to_break: (&of.to_break).into(),
            strength: (&of.strength).into(),
            edge: (&of.edge).into(),
            holds: of.holds,
        }
    }
}

/// A load at another speed than the planned one.
#[derive(Serialize, JsonSchema)]
struct WorstJson {
    asked: String,
    speed: NumberJson,
    at_95: NumberJson,
    /// On the riser of all canopies together, 95 of 100 openings below.
    all_at_95: NumberJson,
}

impl From<&WorstSheet> for WorstJson {
    fn from(of: &WorstSheet) -> Self {
        WorstJson {
            asked: of.asked.clone(),
            speed: (&of.speed).into(),
            at_95: (&of.at_95).into(),
            all_at_95: (&of.all_at_95).into(),
        }
    }
}
