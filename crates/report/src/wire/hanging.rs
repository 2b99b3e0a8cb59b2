//! Harness, hanging, riser geometry and failure tree in `assess --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{
    FailureSheet, HangSheet, HarnessSheet, LegSheet, LikenessSheet, PointSheet, RiggingSheet, TiltSheet,
};

use super::common::{NumberJson, each, number};

/// How a part is fastened to its riser.
#[derive(Serialize, JsonSchema)]
pub(super) struct HarnessJson {
    /// The wanted angle of the front end above level.
    wanted: Option<NumberJson>,
    /// The state it is wanted in: `at rest`, or a case.
    wanted_in: String,
    confluence: Option<NumberJson>,
    /// From the front end.
    centre_of_mass: NumberJson,
    /// From the front end.
    centre_of_area: NumberJson,
    weight: NumberJson,
    /// What each leg has to bear alone: the hardest pull on the riser, at opening or at rest.
    each_bears: NumberJson,
    /// What pulls so, in words.
    bears_what: String,
    points: Vec<PointJson>,
    tilt: Option<TiltJson>,
}

impl From<&HarnessSheet> for HarnessJson {
    fn from(of: &HarnessSheet) -> Self {
        HarnessJson {
            wanted: number(&of.wanted),
            wanted_in: of.wanted_in.clone(),
            confluence: number(&of.confluence),
            centre_of_mass: (&of.centre_of_mass).into(),
            centre_of_area: (&of.centre_of_area).into(),
            weight: (&of.weight).into(),
            each_bears: (&of.each_bears).into(),
            bears_what: of.bears_what.clone(),
            points: each(&of.points),
            tilt: of.tilt.as_ref().map(TiltJson::from),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct PointJson {
    id: String,
    at: NumberJson,
    leg: NumberJson,
    /// Whether the leg is made already; otherwise its length is the one wanted.
    made: bool,
}

impl From<&PointSheet> for PointJson {
    fn from(of: &PointSheet) -> Self {
        PointJson { id: of.id.clone(), at: (&of.at).into(), leg: (&of.leg).into(), made: of.made }
    }
}

#[derive(Serialize, JsonSchema)]
struct TiltJson {
    off: NumberJson,
    tilt: NumberJson,
}

impl From<&TiltSheet> for TiltJson {
    fn from(of: &TiltSheet) -> Self {
        TiltJson { off: (&of.off).into(), tilt: (&of.tilt).into() }
    }
}

/// How the part hangs in one state.
#[derive(Serialize, JsonSchema)]
pub(super) struct HangJson {
    /// `at rest`, or the case in whose steady descent it hangs so.
    id: String,
    /// Of the front end above level.
    angle: NumberJson,
    /// From the side meant to be up to the side that is; null where every side may be up.
    roll: Option<NumberJson>,
    /// Which end and which side point down.
    says: String,
    pull: NumberJson,
    drag: Option<NumberJson>,
    legs: Vec<LegJson>,
}

impl From<&HangSheet> for HangJson {
    fn from(of: &HangSheet) -> Self {
        HangJson {
            id: of.id.clone(),
            angle: (&of.angle).into(),
            roll: number(&of.roll),
            says: of.says.clone(),
            pull: (&of.pull).into(),
            drag: number(&of.drag),
            legs: each(&of.legs),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct LegJson {
    id: String,
    /// `taut`, `slack` or `not told`.
    state: &'static str,
    tension: Option<NumberJson>,
    /// By how much it is too long to be taut.
    slack: Option<NumberJson>,
    from_upright: Option<NumberJson>,
}

impl From<&LegSheet> for LegJson {
    fn from(of: &LegSheet) -> Self {
        LegJson {
            id: of.id.clone(),
            state: of.state,
            tension: number(&of.tension),
            slack: number(&of.slack),
            from_upright: number(&of.from_upright),
        }
    }
}

/// Riser and cluster geometry, and the body's drag area by its shape.
#[derive(Serialize, JsonSchema)]
pub(super) struct RiggingJson {
    count: usize,
    /// Lines and own risers, from where the risers part to the skirt.
    own_length: Option<NumberJson>,
    ring_radius: Option<NumberJson>,
    /// How far the canopies lean out.
    fly_out: Option<NumberJson>,
    /// Share of their drag left along the fall.
    left_along: Option<NumberJson>,
    /// From memory of a handbook.
    length_wanted: Option<NumberJson>,
    /// From body to skirt.
    distance: Option<NumberJson>,
    /// Diameter of a disc as large as the body across the stream.
    disc: Option<NumberJson>,
    /// From body to skirt in those diameters.
    in_bodies: Option<NumberJson>,
    /// Largest share of the canopies' drag lost in the body's wake.
    wake_bound: Option<NumberJson>,
    /// The share that handbooks expect, from memory of one.
    expected_loss: Option<NumberJson>,
    reynolds: Option<NumberJson>,
    body_by_shape: Option<NumberJson>,
    body_tested: Option<NumberJson>,
    /// Model beside full size.
    likeness: Vec<LikenessJson>,
    says: Vec<String>,
}

impl From<&RiggingSheet> for RiggingJson {
    fn from(of: &RiggingSheet) -> Self {
        RiggingJson {
            count: of.count,
            own_length: number(&of.own_length),
            ring_radius: number(&of.ring_radius),
            fly_out: number(&of.fly_out),
            left_along: number(&of.left_along),
            length_wanted: number(&of.length_wanted),
            distance: number(&of.distance),
            disc: number(&of.disc),
            in_bodies: number(&of.in_bodies),
            wake_bound: number(&of.wake_bound),
            expected_loss: number(&of.expected_loss),
            reynolds: number(&of.reynolds),
            body_by_shape: number(&of.body_by_shape),
            body_tested: number(&of.body_tested),
            likeness: each(&of.likeness),
            says: of.says.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct LikenessJson {
    id: String,
    meaning: String,
    model: Option<NumberJson>,
    full: Option<NumberJson>,
    alike: bool,
}

impl From<&LikenessSheet> for LikenessJson {
    fn from(of: &LikenessSheet) -> Self {
        LikenessJson {
            id: of.id.clone(),
            meaning: of.meaning.clone(),
            model: number(&of.model),
            full: number(&of.full),
            alike: of.alike,
        }
    }
}

/// One failure and what follows.
#[derive(Serialize, JsonSchema)]
pub(super) struct FailureJson {
    id: String,
    fails: String,
    /// What it is.
    is: Option<&'static str>,
    /// `does nothing`, `acts too early` or `shared cause`.
    how: &'static str,
    /// What fails or acts with it.
    also: Vec<String>,
    needs: Vec<String>,
    fired_by: Vec<String>,
    shared_causes: Vec<String>,
    opens: Option<String>,
    /// What follows for the way down.
    then: String,
    /// It alone keeps a stage, or every canopy, from coming.
    single_point: bool,
    /// A shared cause that does so although no device concerned does by itself.
    undoes_redundancy: bool,
    /// The case of the sheet that it is.
    case: Option<String>,
    /// Nothing follows.
    harmless: bool,
}

impl From<&FailureSheet> for FailureJson {
    fn from(of: &FailureSheet) -> Self {
        FailureJson {
            id: of.id.clone(),
            fails: of.fails.clone(),
            is: of.is,
            how: of.how,
            also: of.also.clone(),
            needs: of.needs.clone(),
            fired_by: of.fired_by.clone(),
            shared_causes: of.shared_causes.clone(),
            opens: of.opens.clone(),
            then: of.then.clone(),
            single_point: of.single_point,
            undoes_redundancy: of.undoes_redundancy,
            case: of.case.clone(),
            harmless: of.harmless,
        }
    }
}
