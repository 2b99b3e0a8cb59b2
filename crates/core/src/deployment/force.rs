//! Pressure on a bulkhead against what holds it.
//!
//! F = p A with A = π D²/4; wanted is k (F_p + F_f + m g), with k the margin, F_p the pins at their strongest, F_f
//! friction at its upper end and m g the weight of what is pushed, as if it stood on end. Statics; leaks are not in it.

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

/// F_w = k (F_p + F_f + m g), N.
pub fn force_wanted(
    margin: f64,
    pins_n: f64,
    friction_n: f64,
    pushed_kg: f64,
    gravity: f64,
    trust: Trust,
) -> Derivation {
    Derivation::of(
        "F_w",
        "force wanted on the bulkhead",
        Kind::Force,
        sym("k") * (sym("F_p") + sym("F_f") + sym("m") * sym("g")),
        vec![
            Input::new("k", "margin wanted", margin, Kind::Ratio, trust),
            Input::new("F_p", "pins at their strongest", pins_n, Kind::Force, Trust::Given),
            Input::new("F_f", "friction at its upper end", friction_n, Kind::Force, Trust::Given),
            Input::new("m", "mass that is pushed", pushed_kg, Kind::Mass, Trust::Given),
            Input::new("g", "gravity", gravity, Kind::Acceleration, Trust::Given),
        ],
        statics(),
    )
    .expect("a sum is finite")
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
            Input::new(
                "F_h",
                "pins, friction and weight at their strongest",
                holds_n,
                Kind::Force,
                Trust::Given,
            ),
        ],
        statics(),
    )
}
