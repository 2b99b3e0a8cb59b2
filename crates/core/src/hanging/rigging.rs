//! Riser and cluster geometry: how far canopies of a cluster lean out, how far behind the body they are, and what that may
//! cost.
//!
//! n canopies of mouth D_p, m, touching one another in a ring of radius R = D_p/(2 sin(π/n)), on lines and risers of
//! length L, m, from where they part: they lean out by θ = asin(R/L), so that cos θ of their drag is left along the fall. A
//! wake's momentum deficit is what the body brakes, so that canopies that swallow all of it lose at most the share
//! B/(n S_p) of their drag, S_p = π D_p²/4, m² (far wake, first order; textbook).
//!
//! Rules of distance and length are from memory and never judge by themselves. Not here: canopies that press on one
//! another, breathing, pendulum motion of two.

use super::FlowAlong;
use crate::derivation::{Derivation, Expr, Function, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;
use crate::shapes::Range;

/// Skirt behind the body in its diameters: at least so much ...
pub const DISTANCE_LEAST: f64 = 4.0;
/// ... and better so much, from memory of [`FOREBODY_SOURCE`].
pub const DISTANCE_WANTED: f64 = 6.0;
/// Where both stand, as [`Trust::Memory`] prints it.
pub const FOREBODY_SOURCE: &str =
    "Knacke, Parachute Recovery Systems Design Manual (NWC TP 6575), chapter 5, on forebody wakes";
/// Where the length for a cluster stands, as [`Trust::Memory`] prints it.
pub const EFFECTIVE_LENGTH_SOURCE: &str =
    "Ewing, Bixby and Knacke, Recovery Systems Design Guide (AFFDL-TR-78-151), section on clusters";

fn geometry() -> Trust {
    Trust::Published("geometry of touching circles".to_owned())
}

/// R = D_p/(2 sin(π/n)), m: the ring on which the middles of `count` touching canopies lie, from 2.
pub fn ring_radius(count: usize, projected_m: f64) -> Option<Derivation> {
    if count < 2 {
        return None;
    }
    Derivation::of(
        "R",
        "radius of the ring of canopies",
        Kind::Length,
        sym("D_p") / (num(2.0) * slice()),
        vec![
            Input::new("D_p", "diameter of the mouth in flight", projected_m, Kind::Length, Trust::Given),
            Input::new("n", "number of canopies", count as f64, Kind::Ratio, Trust::Given),
        ],
        geometry(),
    )
}

/// sin(π/n).
fn slice() -> Expr {
    (num(std::f64::consts::PI) / sym("n")).call(Function::Sin)
}

/// θ = asin(R/L), radians; `None` where the ring does not fit on lines so short, or for one canopy.
///
/// # Examples
/// ```
/// use silkfall_core::hanging::{fly_out, ring_radius};
/// let ring = ring_radius(3, 0.67).unwrap().si;
/// assert!((fly_out(ring, 1.0).unwrap().si.to_degrees() - 22.8).abs() < 0.05);
/// assert!(fly_out(ring, 0.3).is_none());
/// ```
pub fn fly_out(ring_m: f64, length_m: f64) -> Option<Derivation> {
    Derivation::of(
        "theta",
        "how far the canopies lean out",
        Kind::Angle,
        (sym("R") / sym("L")).call(Function::Asin),
        vec![
            Input::new("R", "radius of the ring of canopies", ring_m, Kind::Length, Trust::Given),
            Input::new("L", "lines and risers from where they part", length_m, Kind::Length, Trust::Given),
        ],
        geometry(),
    )
}

/// √n D₀, m: how long lines and own risers of a cluster should be, from memory of [`EFFECTIVE_LENGTH_SOURCE`] with low
/// confidence.
pub fn effective_length_wanted(count: usize, nominal_m: f64) -> Derivation {
    Derivation::of(
        "L_e",
        "length wanted from where the risers part to the skirt",
        Kind::Length,
        sym("n").root() * sym("D_0"),
        vec![
            Input::new("n", "number of canopies", count as f64, Kind::Ratio, Trust::Given),
            Input::new("D_0", "nominal diameter", nominal_m, Kind::Length, Trust::Given),
        ],
        Trust::Memory(EFFECTIVE_LENGTH_SOURCE.to_owned()),
    )
    .expect("finite inputs")
}

/// Diameter of the disc as large as the body across the stream: √(4 l d/π) level, d upright.
pub fn disc_across(flow: FlowAlong, length_m: f64, diameter_m: f64) -> Derivation {
    let diameter = Input::new("d", "diameter of the body", diameter_m, Kind::Length, Trust::Given);
    let (expr, inputs) = match flow {
        FlowAlong::Across => (
            (num(4.0) * sym("l") * sym("d") / num(std::f64::consts::PI)).root(),
            vec![Input::new("l", "length of the body", length_m, Kind::Length, Trust::Given), diameter],
        ),
        FlowAlong::Axis => (sym("d"), vec![diameter]),
    };
    Derivation::of(
        "d_b",
        "diameter of a disc as large as the body across the stream",
        Kind::Length,
        expr,
        inputs,
        geometry(),
    )
    .expect("lengths above 0")
}

/// x/d_b: how many body diameters the skirt is behind the body; `distance_m` lines and riser, `disc_m` from
/// [`disc_across`].
pub fn distance_in_bodies(distance_m: f64, disc_m: f64) -> Derivation {
    Derivation::of(
        "k",
        "from body to skirt in body diameters",
        Kind::Ratio,
        sym("x") / sym("d_b"),
        vec![
            Input::new("x", "from body to skirt", distance_m, Kind::Length, Trust::Given),
            Input::new("d_b", "diameter of a disc as large as the body", disc_m, Kind::Length, Trust::Given),
        ],
        geometry(),
    )
    .expect("a body has a diameter")
}

/// B/(n π D_p²/4): the largest share of their drag that `count` canopies can lose to the wake of a body of drag area
/// `body_m2`, of which `body_trust` says where it comes from.
pub fn wake_bound(body_m2: f64, body_trust: &Trust, count: usize, projected_m: f64) -> Derivation {
    Derivation::of(
        "w",
        "largest share of the canopies' drag lost in the body's wake",
        Kind::Share,
        sym("B") / (sym("n") * num(std::f64::consts::PI) * sym("D_p").pow(2.0) / num(4.0)),
        vec![
            Input::new("B", "drag area of the body", body_m2, Kind::DragArea, body_trust.clone()),
            Input::new("n", "number of canopies", count as f64, Kind::Ratio, Trust::Given),
            Input::new("D_p", "diameter of the mouth in flight", projected_m, Kind::Length, Trust::Given),
        ],
        Trust::Published("momentum of a far wake, first order".to_owned()),
    )
    .expect("a canopy has a diameter")
}

/// What handbooks expect the canopies to lose in the body's wake, by mouth over body diameter and distance in body
/// diameters; `None` where nothing is remembered. From memory of [`FOREBODY_SOURCE`], with low confidence.
pub fn expected_loss(mouth_over_body: f64, distance_in_bodies: f64) -> Option<Range> {
    if mouth_over_body >= 5.0 && distance_in_bodies >= 6.0 {
        Some(Range { low: 0.0, high: 0.05 })
    } else if (1.0..=2.0).contains(&mouth_over_body) && (3.0..=5.0).contains(&distance_in_bodies) {
        Some(Range { low: 0.20, high: 0.30 })
    } else {
        None
    }
}

/// cos θ of a lean of θ.
pub fn left_along(lean_rad: f64) -> Derivation {
    Derivation::of(
        "q",
        "share of the canopies' drag left along the fall",
        Kind::Ratio,
        sym("theta").call(Function::Cos),
        vec![Input::new("theta", "how far the canopies lean out", lean_rad, Kind::Angle, Trust::Given)],
        geometry(),
    )
    .expect("an angle has a cosine")
}
