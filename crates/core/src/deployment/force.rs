//! Pressure on a bulkhead against what holds it.
//!
//! F = p A with A = π D²/4; wanted is k (F_p + F_f + m g), with k the margin, F_p the pins at their strongest, F_f
//! friction and m g the weight of what is pushed, as if it stood on end. Statics; leaks are not in it.

use std::f64::consts::PI;

use crate::derivation::{Derivation, Expr, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

fn statics() -> Trust {
    Trust::Published("statics: pressure times area against what holds".to_owned())
}

fn area() -> Expr {
    num(PI / 4.0) * sym("D").pow(2.0)
}

/// F_h = F_p + F_f + m g, N: all that holds, as if it stood on end.
pub fn holds(pins_n: f64, friction_n: f64, pushed_kg: f64, gravity: f64) -> Derivation {
    Derivation::of(
        "F_h",
        "all that holds: pins at their strongest, friction, weight",
        Kind::Force,
        sym("F_p") + sym("F_f") + sym("m") * sym("g"),
        vec![
            Input::new("F_p", "pins at their strongest", pins_n, Kind::Force, Trust::Given),
            Input::new("F_f", "friction", friction_n, Kind::Force, Trust::Given),
            Input::new("m", "mass that is pushed", pushed_kg, Kind::Mass, Trust::Given),
            Input::new("g", "gravity", gravity, Kind::Acceleration, Trust::Given),
        ],
        statics(),
    )
    .expect("a sum is finite")
}

/// F_l = F_p + F_f, N: what holds at least, pins at their weakest.
pub fn holds_least(pins_n: f64, friction_n: f64) -> Derivation {
    Derivation::of(
        "F_l",
        "what holds at least: pins at their weakest, friction",
        Kind::Force,
        sym("F_p") + sym("F_f"),
        vec![
            Input::new("F_p", "pins at their weakest", pins_n, Kind::Force, Trust::Given),
            Input::new("F_f", "friction", friction_n, Kind::Force, Trust::Given),
        ],
        statics(),
    )
    .expect("a sum is finite")
}

/// F_w = k F_h, N.
pub fn force_wanted(margin: f64, holds_n: f64) -> Derivation {
    Derivation::of(
        "F_w",
        "force wanted on the bulkhead",
        Kind::Force,
        sym("k") * sym("F_h"),
        vec![
            Input::new("k", "margin wanted", margin, Kind::Ratio, Trust::Given),
            Input::new("F_h", "all that holds", holds_n, Kind::Force, Trust::Given),
        ],
        statics(),
    )
    .expect("a product is finite")
}

/// p = F_l/(k π D²/4), Pa: what may be left inside in the climb.
pub fn pressure_allowed(holds_n: f64, margin: f64, diameter_m: f64) -> Derivation {
    Derivation::of(
        "p_a",
        "pressure that may be left inside in the climb",
        Kind::OverPressure,
        sym("F_l") / (sym("k") * area()),
        vec![
            Input::new("F_l", "what holds at least", holds_n, Kind::Force, Trust::Given),
            Input::new("k", "margin wanted", margin, Kind::Ratio, Trust::Given),
            Input::new("D", "diameter of the bulkhead", diameter_m, Kind::Length, Trust::Given),
        ],
        statics(),
    )
    .expect("a bulkhead has an area")
}

/// p = F/(π D²/4), Pa over the outside.
pub fn pressure_wanted(force_n: f64, diameter_m: f64) -> Derivation {
    Derivation::of(
        "p_w",
        "pressure wanted in the bay, over the outside",
        Kind::OverPressure,
        sym("F_w") / area(),
        vec![
            Input::new("F_w", "force wanted", force_n, Kind::Force, Trust::Given),
            Input::new("D", "diameter of the bulkhead", diameter_m, Kind::Length, Trust::Given),
        ],
        statics(),
    )
    .expect("a bulkhead has an area")
}

/// F = p π D²/4, N.
pub fn force_of_pressure(pressure_pa: f64, diameter_m: f64) -> Derivation {
    Derivation::of(
        "F",
        "force on the bulkhead",
        Kind::Force,
        sym("p") * area(),
        vec![
            Input::new("p", "pressure over the outside", pressure_pa, Kind::OverPressure, Trust::Given),
            Input::new("D", "diameter of the bulkhead", diameter_m, Kind::Length, Trust::Given),
        ],
        statics(),
    )
    .expect("a product is finite")
}

/// j = F/F_h: force over what holds; `None` where nothing holds.
pub fn force_margin(force_n: f64, holds_n: f64) -> Option<Derivation> {
    (holds_n > 0.0).then_some(())?;
    Derivation::of(
        "j",
        "force over what holds it",
        Kind::Ratio,
        sym("F") / sym("F_h"),
        vec![
            Input::new("F", "force on the bulkhead", force_n, Kind::Force, Trust::Given),
            Input::new("F_h", "what holds it", holds_n, Kind::Force, Trust::Given),
        ],
        statics(),
    )
}
