//! The plan: who answers for it, outlines and events, the winds that all parts have in common.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{BeginsSheet, CommonWindSheet, EventSheet, PlanPartSheet, PlanSheet};

use super::common::{NumberJson, each, number};
use super::landing::RangeJson;

#[derive(Serialize, JsonSchema)]
pub(super) struct PlanJson {
    /// The number under which it is filed.
    number: Option<String>,
    builder: Option<String>,
    safety_officer: Option<String>,
    /// Year, month, day.
    date: Option<String>,
    place: Option<String>,
    /// Each part in outline, and what opens when.
    parts: Vec<OutlineJson>,
    /// Winds in which every part may fly at once; empty at quick effort, or where some part has none.
    winds: Vec<CommonWindJson>,
}

impl From<&PlanSheet> for PlanJson {
    fn from(plan: &PlanSheet) -> Self {
        PlanJson {
            number: plan.number.clone(),
            builder: plan.builder.clone(),
            safety_officer: plan.safety_officer.clone(),
            date: plan.date.clone(),
            place: plan.place.clone(),
            parts: each(&plan.parts),
            winds: each(&plan.winds),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct OutlineJson {
    name: String,
    body_length: Option<NumberJson>,
    body_diameter: Option<NumberJson>,
    /// Whether the long axis hangs level.
    level: bool,
    /// Canopies chosen; 0 where none is.
    count: usize,
    line_length: Option<NumberJson>,
    riser_length: Option<NumberJson>,
    events: Vec<EventJson>,
    /// What closes and opens its bay, as it was written.
    bay: Vec<String>,
    pyrotechnic: bool,
    /// Drops that its answer rests on.
    drops: usize,
    /// Whether any test was made with a model.
    model: bool,
    /// Share of landings outside the field or over a place to keep out of.
    outside: Option<NumberJson>,
}

impl From<&PlanPartSheet> for OutlineJson {
    fn from(part: &PlanPartSheet) -> Self {
        OutlineJson {
            name: part.part.clone(),
            body_length: number(&part.body_length),
            body_diameter: number(&part.body_diameter),
            level: part.level,
            count: part.count,
            line_length: number(&part.line_length),
            riser_length: number(&part.riser_length),
            events: each(&part.events),
            bay: part.bay.clone(),
            pyrotechnic: part.pyrotechnic,
            drops: part.drops,
            model: part.model,
            outside: number(&part.outside),
        }
    }
}

/// A stage begins at the top where neither time nor height is given and it is known.
#[derive(Serialize, JsonSchema)]
struct EventJson {
    name: String,
    /// Whether the part's canopies open.
    canopies: bool,
    begins_at_top: bool,
    /// From the top.
    after: Option<NumberJson>,
    /// Height above the field's ground.
    below: Option<NumberJson>,
}

impl From<&EventSheet> for EventJson {
    fn from(event: &EventSheet) -> Self {
        let (mut after, mut below) = (None, None);
        match &event.begins {
            Some(BeginsSheet::After(time)) => after = Some(time.into()),
            Some(BeginsSheet::Below(height)) => below = Some(height.into()),
            Some(BeginsSheet::Top) | None => {}
        }
        EventJson {
            name: event.name.clone(),
            canopies: event.canopies,
            begins_at_top: event.begins == Some(BeginsSheet::Top),
            after,
            below,
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct CommonWindJson {
    /// Degrees.
    id: String,
    /// Where the ground wind blows from.
    from: NumberJson,
    /// Ranges by best estimate.
    ranges: Vec<RangeJson>,
    /// Ranges that are 95 % sure.
    sure_ranges: Vec<RangeJson>,
    /// The part whose sure winds end first.
    limited_by: String,
}

impl From<&CommonWindSheet> for CommonWindJson {
    fn from(wind: &CommonWindSheet) -> Self {
        CommonWindJson {
            id: wind.id.clone(),
            from: (&wind.from).into(),
            ranges: each(&wind.ranges),
            sure_ranges: each(&wind.sure_ranges),
            limited_by: wind.limited_by.clone(),
        }
    }
}
