//! A pack thrown out sideways through a door, past fins behind it.
//!
//! A push F (N) over the stroke s (m) gives a pack of mass m (kg) the speed w = √(2 F s/m). The stream of speed u takes it back
//! with the force ρ u² D/2 on its drag area D: to the fins, x (m) behind the door, it drifts in t = √(4 m x/(ρ u² D)) at the
//! soonest, since the force only lessens as it gathers way. Sideways it is then y = w t out: clear of fins of span b where
//! y > b. Newton's second law with constant forces; the pack is taken as a point that does not turn, lines not yet taut.

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

fn newton() -> Trust {
    Trust::Published("Newton's second law with a constant force".to_owned())
}

/// Drag coefficient of a pack on the area of its door, and its standard uncertainty: assumed, a short block across the stream.
pub const PACK_COEFFICIENT: [f64; 2] = [1.2, 0.2];

/// A = l w, m².
pub fn door_area(length_m: f64, width_m: f64) -> Derivation {
    Derivation::of(
        "A_d",
        "area of the door",
        Kind::Area,
        sym("l") * sym("w_d"),
        vec![
            Input::new("l", "length of the door", length_m, Kind::Length, Trust::Given),
            Input::new("w_d", "width of the door", width_m, Kind::Length, Trust::Given),
        ],
        Trust::Published("area of a rectangle".to_owned()),
    )
    .expect("a product is finite")
}

/// F = p A_d, N.
pub fn push_of_pressure(pressure_pa: f64, area_m2: f64) -> Derivation {
    Derivation::of(
        "F",
        "force of the push",
        Kind::Force,
        sym("p") * sym("A_d"),
        vec![
            Input::new("p", "pressure over the outside", pressure_pa, Kind::OverPressure, Trust::Given),
            Input::new("A_d", "area of the door", area_m2, Kind::Area, Trust::Given),
        ],
        Trust::Published("statics: pressure times area".to_owned()),
    )
    .expect("a product is finite")
}

/// D = C A_d, m²: of a pack as large as its door.
pub fn pack_drag_area(coefficient: f64, area_m2: f64) -> Derivation {
    Derivation::of(
        "D",
        "drag area of the pack",
        Kind::DragArea,
        sym("C") * sym("A_d"),
        vec![
            Input::new("C", "drag coefficient on the door's area", coefficient, Kind::Ratio, Trust::Given),
            Input::new("A_d", "area of the door", area_m2, Kind::Area, Trust::Given),
        ],
        Trust::Practice,
    )
    .expect("a product is finite")
}

/// w = √(2 F s/m), m/s.
pub fn speed_of_push(force_n: f64, stroke_m: f64, mass_kg: f64) -> Option<Derivation> {
    Derivation::of(
        "w",
        "speed with which it leaves the door",
        Kind::Speed,
        (num(2.0) * sym("F") * sym("s") / sym("m")).root(),
        vec![
            Input::new("F", "force of the push", force_n, Kind::Force, Trust::Given),
            Input::new("s", "way over which it pushes", stroke_m, Kind::Length, Trust::Given),
            Input::new("m", "mass that is thrown", mass_kg, Kind::Mass, Trust::Given),
        ],
        newton(),
    )
}

/// t = √(4 m x/(ρ u² D)), s: the soonest that the stream has it back at the fins; `None` without a stream.
pub fn drift_back(
    mass_kg: f64,
    back_m: f64,
    density_kg_per_m3: f64,
    stream_m_per_s: f64,
    drag_area_m2: f64,
) -> Option<Derivation> {
    Derivation::of(
        "t",
        "soonest that the stream has it back at the fins",
        Kind::Time,
        (num(4.0) * sym("m") * sym("x") / (sym("rho") * sym("u").pow(2.0) * sym("D"))).root(),
        vec![
            Input::new("m", "mass that is thrown", mass_kg, Kind::Mass, Trust::Given),
            Input::new("x", "from the door back to the fins", back_m, Kind::Length, Trust::Given),
            Input::new("rho", "air density", density_kg_per_m3, Kind::Density, Trust::Given),
            Input::new("u", "speed of the stream", stream_m_per_s, Kind::Speed, Trust::Given),
            Input::new("D", "drag area of the pack", drag_area_m2, Kind::DragArea, Trust::Given),
        ],
        newton(),
    )
}

/// c = w t − b, m: how far clear of the fins it passes, below 0 where it does not.
pub fn out_of_the_way(speed_m_per_s: f64, time_s: f64, span_m: f64) -> Derivation {
    Derivation::of(
        "c",
        "clearance from the fins",
        Kind::Length,
        sym("w") * sym("t") - sym("b"),
        vec![
            Input::new("w", "speed out of the door", speed_m_per_s, Kind::Speed, Trust::Given),
            Input::new("t", "time to the fins", time_s, Kind::Time, Trust::Given),
            Input::new("b", "how far the fins stand out", span_m, Kind::Length, Trust::Given),
        ],
        newton(),
    )
    .expect("a difference is finite")
}
