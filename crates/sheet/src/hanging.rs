//! How a part hangs: its harness, the angle and the pull of each leg at rest and in descent, and the geometry of riser and
//! cluster.

use crate::number::Number;

/// How a part is fastened to its riser.
#[derive(Clone, Debug, PartialEq)]
pub struct HarnessSheet {
    /// The wanted angle of the front end above level; `None` where every leg is made already and none is stated.
    pub wanted: Option<Number>,
    /// The state it is wanted in: `at rest`, or a case.
    pub wanted_in: String,
    /// Height of the confluence above the centre of mass, where legs are worked out for it.
    pub confluence: Option<Number>,
    /// From the front end to the centre of mass.
    pub centre_of_mass: Number,
    /// From the front end to the centre of area.
    pub centre_of_area: Number,
    /// Weight of what hangs.
    pub weight: Number,
    /// Where the legs are fastened, in the order of the project.
    pub points: Vec<PointSheet>,
    /// What each leg has to bear alone, since one snatches first: the hardest pull on the riser, at opening or at rest.
    pub each_bears: Number,
    /// What pulls so, in words.
    pub bears_what: String,
    /// How far the centre of mass may lie aside, and the tilt at rest that it makes.
    pub tilt: Option<TiltSheet>,
}

/// A point of the harness.
#[derive(Clone, Debug, PartialEq)]
pub struct PointSheet {
    /// Its name.
    pub id: String,
    /// From the front end.
    pub at: Number,
    /// Length of its leg.
    pub leg: Number,
    /// Whether the leg is made already; otherwise it is as the wanted angle asks for.
    pub made: bool,
}

/// A centre of mass that lies aside.
#[derive(Clone, Debug, PartialEq)]
pub struct TiltSheet {
    /// How far.
    pub off: Number,
    /// By so much the body tilts, at rest.
    pub tilt: Number,
}

/// How the part hangs in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct HangSheet {
    /// `at rest`, or the case in whose steady descent it hangs so.
    pub id: String,
    /// Angle of the front end above level.
    pub angle: Number,
    /// Angle about the long axis from the side meant to be up to the side that is; `None` where every side may be up.
    pub roll: Option<Number>,
    /// Which end and which side point down, in words.
    pub says: String,
    /// What the riser pulls.
    pub pull: Number,
    /// Drag of the body, at its centre of area; `None` at rest.
    pub drag: Option<Number>,
    /// Each leg, in the order of the points.
    pub legs: Vec<LegSheet>,
    /// To be drawn to scale.
    pub drawing: HangDrawing,
}

/// A leg in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct LegSheet {
    /// The name of its point.
    pub id: String,
    /// `taut`, `slack` or `not told`: more legs are taut than statics can tell apart.
    pub state: &'static str,
    /// What it pulls, where it is not slack; its interval is all that it may be.
    pub tension: Option<Number>,
    /// By how much it is longer than its way, where it is slack.
    pub slack: Option<Number>,
    /// How far from upright it stands, where it is not slack.
    pub from_upright: Option<Number>,
}

/// Places in the plane through the long axis and the riser, m: across to the front, and up, from the confluence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HangDrawing {
    /// Where each leg is fastened, and whether it is slack.
    pub points: Vec<((f64, f64), bool)>,
    /// Centre of mass.
    pub mass: (f64, f64),
    /// Centre of area.
    pub area: (f64, f64),
    /// The front end of the long axis.
    pub front: (f64, f64),
    /// The rear end.
    pub rear: (f64, f64),
    /// Thickness of the body.
    pub thickness: f64,
}

/// Riser and cluster geometry, and the body's drag area by its shape.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RiggingSheet {
    /// How many canopies.
    pub count: usize,
    /// Lines and own risers, from where the risers part to the skirt.
    pub own_length: Option<Number>,
    /// Radius of the ring of touching canopies; `None` for one.
    pub ring_radius: Option<Number>,
    /// How far they lean out.
    pub fly_out: Option<Number>,
    /// Share of their drag left along the fall.
    pub left_along: Option<Number>,
    /// Length wanted for so many, from memory of a handbook.
    pub length_wanted: Option<Number>,
    /// From body to skirt.
    pub distance: Option<Number>,
    /// Diameter of a disc as large as the body across the stream.
    pub disc: Option<Number>,
    /// From body to skirt in those diameters.
    pub in_bodies: Option<Number>,
    /// Largest share of the canopies' drag that the body's wake can take.
    pub wake_bound: Option<Number>,
    /// What handbooks expect it to take, from memory of one.
    pub expected_loss: Option<Number>,
    /// Reynolds number of the body, on its diameter.
    pub reynolds: Option<Number>,
    /// The body's drag area by its shape.
    pub body_by_shape: Option<Number>,
    /// The same as its tests tell it.
    pub body_tested: Option<Number>,
    /// Model beside full size, ratio by ratio.
    pub likeness: Vec<LikenessSheet>,
    /// What is to be said of all that, in full sentences.
    pub says: Vec<String>,
}

/// One ratio of the geometry of model and full size.
#[derive(Clone, Debug, PartialEq)]
pub struct LikenessSheet {
    /// `lines`, `distance`, `canopy-over-body`, `lean`.
    pub id: String,
    /// In words.
    pub meaning: String,
    /// At the model.
    pub model: Option<Number>,
    /// At full size.
    pub full: Option<Number>,
    /// Whether they are alike; what is not stated is not.
    pub alike: bool,
}
