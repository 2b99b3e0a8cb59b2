//! Vents: a closed room in a climb, and holes that let its air out.
//!
//! Sealed, a room keeps the pressure of the ground: Δp = p(h₀) − p(h₀ + h) in the standard atmosphere. With holes of area A the
//! air leaves as fast as the pressure outside falls: V ρ g v/(R T) = C A √(2 ρ Δp), so that Δp = (V ρ g v/(R T C A))²/(2 ρ), Pa,
//! for a room of volume V (m³) climbing at v (m/s). Quasi-steady, sharp-edged holes with discharge coefficient C, air of
//! one temperature: holds while Δp is small beside the pressure. A barometer reads it as the height Δp/(ρ g) too low.
//!
//! Source: continuity and Bernoulli, worked out here. Does not do: wind on the holes, which often is more (a quarter of
//! ρ v²/2 is possible behind a shoulder), and waves near the speed of sound.

use std::f64::consts::PI;

use uom::si::length::meter;
use uom::si::pressure::pascal;

use crate::air::{AirError, standard};
use crate::derivation::{Derivation, Expr, Input, num, sym};
use crate::ledger::Trust;
use crate::maths::sqrt;
use crate::quantity::{Kind, Length};

/// Discharge coefficient of a sharp-edged hole, and its standard uncertainty: 0.60 ± 0.03, common practice.
pub const DISCHARGE: [f64; 2] = [0.60, 0.03];
/// Specific gas constant of dry air, J/(kg K), US Standard Atmosphere 1976.
const DRY_AIR_J_PER_KG_K: f64 = 287.053;

/// Δp = p(h₀) − p(h₀ + h), Pa: what a sealed room holds after a climb by h from the elevation h₀, standard atmosphere.
///
/// # Errors
/// [`AirError::HeightOutOfRange`] outside −5 to 47 km.
pub fn sealed_pressure(ground: Length, climb: Length) -> Result<f64, AirError> {
    let at = |height: Length| standard::at_geometric(height).map(|air| air.pressure.get::<pascal>());
    Ok(at(ground)? - at(Length::new::<meter>(ground.get::<meter>() + climb.get::<meter>()))?)
}

/// A sealed room's Δp as a derivation: p₀ − p₁.
pub fn climb_pressure(below_pa: f64, above_pa: f64) -> Derivation {
    let standard = || Trust::Published("US Standard Atmosphere 1976".to_owned());
    Derivation::of(
        "Delta_p",
        "pressure a sealed bay would hold at the top",
        Kind::OverPressure,
        sym("p_0") - sym("p_1"),
        vec![
            Input::new("p_0", "air pressure on the ground", below_pa, Kind::Pressure, standard()),
            Input::new("p_1", "air pressure at the top", above_pa, Kind::Pressure, standard()),
        ],
        standard(),
    )
    .expect("a difference is finite")
}

/// A room with holes in a climb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Volume of its air, m³.
    pub volume_m3: f64,
    /// Density of the air outside, kg/m³.
    pub density_kg_per_m3: f64,
    /// Gravity, m/s².
    pub gravity: f64,
    /// Speed of the climb, m/s.
    pub speed_m_per_s: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Discharge coefficient of the holes.
    pub discharge: f64,
}

fn source() -> Trust {
    Trust::Published("continuity and Bernoulli for a quasi-steady flow".to_owned())
}

/// V ρ g v/(R T C): mass flow over the discharge coefficient.
fn flow() -> Expr {
    sym("V") * sym("rho") * sym("g") * sym("v") / (num(DRY_AIR_J_PER_KG_K) * sym("T") * sym("C"))
}

impl Flow {
    fn inputs(&self) -> Vec<Input> {
        vec![
            Input::new("V", "volume of air", self.volume_m3, Kind::Volume, Trust::Given),
            Input::new("rho", "air density", self.density_kg_per_m3, Kind::Density, Trust::Given),
            Input::new("g", "gravity", self.gravity, Kind::Acceleration, Trust::Given),
            Input::new("v", "fastest climb", self.speed_m_per_s, Kind::Speed, Trust::Given),
            Input::new("T", "temperature of the air", self.temperature_k, Kind::Temperature, Trust::Given),
            Input::new(
                "C",
                "discharge coefficient of a sharp-edged hole",
                self.discharge,
                Kind::Ratio,
                Trust::Practice,
            ),
        ]
    }
}

/// Δp = (V ρ g v/(R T C A))²/(2 ρ), Pa, for holes of diameter d: A = n π d²/4.
///
/// # Examples
/// One litre behind one hole of 3 mm at 50 m/s: 1.20 Pa.
/// ```
/// use silkfall_core::deployment::{Flow, lag_pressure};
/// let flow = Flow { volume_m3: 1e-3, density_kg_per_m3: 1.225, gravity: 9.806_65, speed_m_per_s: 50.0,
///                   temperature_k: 288.15, discharge: 0.6 };
/// assert!((lag_pressure(&flow, 1.0, 0.003).unwrap().si - 1.20).abs() < 5e-3);
/// ```
pub fn lag_pressure(room: &Flow, holes: f64, diameter_m: f64) -> Option<Derivation> {
    let area = num(PI / 4.0) * sym("n") * sym("d").pow(2.0);
    let mut inputs = room.inputs();
    inputs.push(Input::new("n", "holes", holes, Kind::Ratio, Trust::Given));
    inputs.push(Input::new("d", "diameter of one", diameter_m, Kind::Length, Trust::Given));
    Derivation::of(
        "Delta_p",
        "pressure by which the inside lags in the climb",
        Kind::OverPressure,
        (flow() / area).pow(2.0) / (num(2.0) * sym("rho")),
        inputs,
        source(),
    )
}

/// h = Δp/(ρ g), m: what a barometer reads too low while it climbs.
pub fn height_error(lag_pa: f64, density_kg_per_m3: f64, gravity: f64) -> Derivation {
    Derivation::of(
        "h",
        "height read too low in the climb",
        Kind::Length,
        sym("Delta_p") / (sym("rho") * sym("g")),
        vec![
            Input::new("Delta_p", "lag of the pressure", lag_pa, Kind::OverPressure, Trust::Given),
            Input::new("rho", "air density", density_kg_per_m3, Kind::Density, Trust::Given),
            Input::new("g", "gravity", gravity, Kind::Acceleration, Trust::Given),
        ],
        Trust::Published("hydrostatics".to_owned()),
    )
    .expect("air has a density")
}

/// d = √(4 V ρ g v/(π n R T C √(2 ρ Δp))), m: each of n holes that keep the inside within Δp; `None` without a hole, or
/// where no pressure is allowed.
pub fn hole_wanted(room: &Flow, holes: f64, allowed_pa: f64) -> Option<Derivation> {
    (allowed_pa > 0.0 && holes > 0.0).then_some(())?;
    let mut inputs = room.inputs();
    inputs.push(Input::new("n", "holes", holes, Kind::Ratio, Trust::Given));
    inputs.push(Input::new("Delta_p", "pressure allowed", allowed_pa, Kind::OverPressure, Trust::Given));
    let bernoulli = (num(2.0) * sym("rho") * sym("Delta_p")).root();
    Derivation::of(
        "d_w",
        "diameter of each hole that keeps the inside within it",
        Kind::Length,
        (num(4.0 / PI) * flow() / (sym("n") * bernoulli)).root(),
        inputs,
        source(),
    )
}

/// The amateurs' rule, m: one hole of a quarter inch for each 100 in³, spread over n holes by area. Common practice, no
/// published source, and silent on the speed of the climb.
pub fn port_diameter_by_rule(volume_m3: f64, holes: f64) -> Derivation {
    let (hole_m, cubic_m) = (0.25 * 0.0254, 100.0 * 0.0254f64.powi(3));
    Derivation::of(
        "d_r",
        "diameter of each hole by the amateurs' rule",
        Kind::Length,
        num(hole_m / sqrt(cubic_m)) * (sym("V") / sym("n")).root(),
        vec![
            Input::new("V", "volume of air", volume_m3, Kind::Volume, Trust::Given),
            Input::new("n", "holes", holes, Kind::Ratio, Trust::Given),
        ],
        Trust::Practice,
    )
    .expect("there is a hole")
}
