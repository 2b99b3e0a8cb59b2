//! Closed forms of hanging, each with its derivation.
//!
//! Textbook statics: Pythagoras for a leg, the sine rule for two legs in a plane, moments about the confluence for a tilt.

use crate::derivation::{Derivation, Function, Input, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

fn statics() -> Trust {
    Trust::Published("statics of a rigid body".to_owned())
}

/// L = √(a² + h²), m: a from the point to under the confluence, h from the point up to it.
pub fn leg_length(aside_m: f64, up_m: f64) -> Derivation {
    Derivation::of(
        "L",
        "length of a leg",
        Kind::Length,
        (sym("a").pow(2.0) + sym("h").pow(2.0)).root(),
        vec![
            Input::new(
                "a",
                "from the point to under the confluence, level",
                aside_m,
                Kind::Length,
                Trust::Given,
            ),
            Input::new("h", "from the point up to the confluence", up_m, Kind::Length, Trust::Given),
        ],
        statics(),
    )
    .expect("a root of squares is finite")
}

/// T₁ = F sin β/(sin α cos β + cos α sin β), N: of two legs α and β from upright on either side, the first's; `None` where
/// both lie along one line.
///
/// # Examples
/// Legs to points 0.6 m and 0.9 m aside and 0.7 m below: 0.790 and 0.652 of the pull.
/// ```
/// use silkfall_core::hanging::tension_of_two;
/// let (a, b) = ((0.6f64 / 0.7).atan(), (0.9f64 / 0.7).atan());
/// assert!((tension_of_two(1.0, a, b).unwrap().si - 0.790).abs() < 5e-4);
/// assert!((tension_of_two(1.0, b, a).unwrap().si - 0.652).abs() < 5e-4);
/// ```
pub fn tension_of_two(pull_n: f64, own_rad: f64, other_rad: f64) -> Option<Derivation> {
    let call = |symbol, function| sym(symbol).call(function);
    Derivation::of(
        "T",
        "tension of one of two legs",
        Kind::Force,
        sym("F") * call("beta", Function::Sin)
            / (call("alpha", Function::Sin) * call("beta", Function::Cos)
                + call("alpha", Function::Cos) * call("beta", Function::Sin)),
        vec![
            Input::new("F", "what the riser pulls", pull_n, Kind::Force, Trust::Given),
            Input::new("alpha", "this leg from upright", own_rad, Kind::Angle, Trust::Given),
            Input::new("beta", "the other leg from upright", other_rad, Kind::Angle, Trust::Given),
        ],
        statics(),
    )
}

/// δ = asin(e/√(e² + h²)), radians: by so much a body tilts whose centre of mass lies e aside of where it was meant to be,
/// h below the confluence.
///
/// # Examples
/// ```
/// let tilt = silkfall_core::hanging::tilt(0.05, 0.7).si.to_degrees();
/// assert!((tilt - 4.09).abs() < 0.005);
/// ```
pub fn tilt(off_m: f64, below_m: f64) -> Derivation {
    Derivation::of(
        "delta",
        "tilt by a centre of mass that lies aside",
        Kind::Angle,
        (sym("e") / (sym("e").pow(2.0) + sym("h").pow(2.0)).root()).call(Function::Asin),
        vec![
            Input::new("e", "how far the centre of mass lies aside", off_m, Kind::Length, Trust::Given),
            Input::new("h", "how far it lies below the confluence", below_m, Kind::Length, Trust::Given),
        ],
        statics(),
    )
    .expect("h is above 0")
}

/// What hangs and what brakes in a steady descent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Descending {
    /// Mass of the body, kg.
    pub body_kg: f64,
    /// All that descends, kg.
    pub all_kg: f64,
    /// Gravity, m/s².
    pub gravity: f64,
    /// The body's own drag area, m².
    pub body_m2: f64,
    /// All drag area, m².
    pub all_m2: f64,
}

/// F = m g − M g B/D, N: what the riser pulls in steady descent, where the body carries the share B/D of all weight.
/// `body_trust` says where B comes from.
pub fn pull_in_descent(of: &Descending, body_trust: &Trust) -> Pulls {
    let inputs = vec![
        Input::new("M", "all that descends", of.all_kg, Kind::Mass, Trust::Given),
        Input::new("g", "gravity of the place", of.gravity, Kind::Acceleration, Trust::Given),
        Input::new("B", "drag area of the body", of.body_m2, Kind::DragArea, body_trust.clone()),
        Input::new("D", "all that brakes", of.all_m2, Kind::DragArea, Trust::Measured),
    ];
    let drag = Derivation::of(
        "F_b",
        "drag of the body in steady descent",
        Kind::Force,
        sym("M") * sym("g") * sym("B") / sym("D"),
        inputs,
        statics(),
    )
    .expect("D is above 0");
    let pull = Derivation::of(
        "F",
        "what the riser pulls",
        Kind::Force,
        sym("m") * sym("g") - sym("F_b"),
        vec![
            Input::new("m", "mass of the body", of.body_kg, Kind::Mass, Trust::Given),
            Input::new("g", "gravity of the place", of.gravity, Kind::Acceleration, Trust::Given),
            Input::new("F_b", "drag of the body in steady descent", drag.si, Kind::Force, body_trust.clone()),
        ],
        statics(),
    )
    .expect("finite inputs");
    Pulls { drag, pull }
}

/// Both sums of [`pull_in_descent`].
#[derive(Clone, Debug, PartialEq)]
pub struct Pulls {
    /// Drag of the body, N.
    pub drag: Derivation,
    /// Pull of the riser, N.
    pub pull: Derivation,
}
