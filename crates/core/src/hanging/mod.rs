//! Hanging: at which angle a body hangs in its harness, and what each leg pulls, at rest and in steady descent.
//!
//! A rigid body hangs by n legs that meet in one point, the confluence C, from a riser that pulls straight up. Legs
//! cannot stretch and cannot push: |C − Pᵢ| ≤ Lᵢ. The weight W, N, acts at the centre of mass G; in steady descent the
//! body's drag D, N, acts upwards at its own centre of area A. Their resultant W − D acts at
//!
//! E = (W G − D A)/(W − D)
//!
//! so that the body comes to rest where E lies lowest below C: C makes |C − E| largest among all points that the legs
//! allow (least potential energy). Up is then u = (C − E)/|C − E|, and the multipliers of the taut legs are their
//! tensions, Σ Tᵢ nᵢ = (W − D) u with nᵢ = (C − Pᵢ)/|C − Pᵢ| and Tᵢ ≥ 0; a leg that would push is slack. Forces and moments sum
//! to nothing at every such place (a property test holds it).
//!
//! Body frame, m: x along the long axis towards the front end, z to the side that is meant to be up, y completing a
//! right-handed frame. Statics of rigid bodies; no source beyond the textbook.
//!
//! Not here: stretch of the legs (with more taut legs than equations the tensions lie in a range, [`Load::Between`]),
//! swinging, a riser that pulls aslant, drag that changes with the angle, lift of the body.

#[cfg(test)]
mod checks;
mod forms;
mod rigging;
mod shape;
mod solve;
mod vector;

pub use forms::{Descending, Pulls, leg_length, pull_in_descent, tension_of_two, tilt};
pub use rigging::{
    DISTANCE_LEAST, DISTANCE_WANTED, EFFECTIVE_LENGTH_SOURCE, FOREBODY_SOURCE, disc_across,
    distance_in_bodies, effective_length_wanted, expected_loss, fly_out, left_along, ring_radius, wake_bound,
};
pub use shape::{BodyArea, Fins, FlowAlong, body_area, crossflow_coefficient};
pub use solve::{hang, leg_lengths};

/// A place in the body frame, m: x to the front end, y, z to the side meant to be up.
pub type Place = [f64; 3];

/// A body in its harness.
#[derive(Clone, Debug, PartialEq)]
pub struct Harness {
    /// Where the legs are fastened.
    pub points: Vec<Place>,
    /// Length of each leg, m, above 0; as many as points.
    pub legs_m: Vec<f64>,
    /// Centre of mass.
    pub centre_of_mass: Place,
    /// Where the body's drag acts.
    pub centre_of_area: Place,
    /// Weight of the body, N, above 0.
    pub weight_n: f64,
    /// Its drag, N, upwards, from 0.
    pub drag_n: f64,
}

/// How a body hangs.
#[derive(Clone, Debug, PartialEq)]
pub struct Hang {
    /// The confluence in the body frame.
    pub confluence: Place,
    /// Up in the body frame, a unit vector.
    pub up: Place,
    /// Angle of the front end above level, radians, −π/2 to π/2.
    pub pitch_rad: f64,
    /// Angle about the long axis from the side meant to be up to the side that is, radians, −π to π; `None` where every
    /// side may be up, or the body stands on end.
    pub roll_rad: Option<f64>,
    /// What the riser pulls, N: W − D.
    pub pull_n: f64,
    /// What each leg bears, in the order of the points.
    pub legs: Vec<Load>,
}

/// What a leg bears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// It pulls so much, N.
    Taut(f64),
    /// It hangs loose: so much longer than the way from its point to the confluence, m.
    Slack(f64),
    /// More legs are taut than statics can tell apart: somewhere between, N.
    Between(f64, f64),
}

/// Why a body does not hang.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoHang {
    /// No leg.
    NoLegs,
    /// The legs from these two points, by index, cannot meet: so much is wanting, m.
    TooShort(usize, usize, f64),
    /// Each pair can meet, all of them cannot.
    NoCommonPoint,
    /// The body's drag is not below its weight.
    BlownUp,
}
