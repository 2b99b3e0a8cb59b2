//! The horizontal closed form: how much of q (C_D S)₀ a canopy bears while it fills and slows its load.
//!
//! Along a level path, without gravity and with a mass that stays the same, u = v/v_s and τ = t/t_f obey
//! du/dτ = −(1/A) τ^j u², so u = 1/(1 + τ^(j+1)/(A (j+1))), and the force over q_s (C_D S)₀ is x = τ^j u². Its peak X₁:
//!
//! A ≤ A* = (j+2)/(j (j+1)):  τ_m = (A j (j+1)/(j+2))^(1/(j+1)),  X₁ = ((j+2)/(2 (j+1)))² τ_m^j
//!
//! else at τ = 1:  X₁ = (1 + 1/(A (j+1)))⁻²
//!
//! with A = 2 m/(ρ (C_D S)₀ v_s t_f), pure numbers all.
//!
//! Source: the ballistic parameter A and the growth by a power of time are Pflanz's, from memory of Knacke, Parachute Recovery
//! Systems Design Manual (1992), section 5.4; the integral is worked out here. Range: g t_f/v_s below
//! [`GRAVITY_MATTERS`]: a load that hangs below is pulled on while the canopy fills, and the closed form is then too low by one to
//! about 2.2 times g t_f/v_s. Not here: gravity, air taken along, canopies that fill one after the other ([`super::filling`]).

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::maths::{pow, sqrt};
use crate::quantity::Kind;

/// g t_f/v_s from which gravity has to be integrated: worked out from the equations of motion, where 0.03 makes 3 to 7 %.
pub const GRAVITY_MATTERS: f64 = 0.03;

/// The largest share of q (C_D S)₀ and when it comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Force over q_s (C_D S)₀.
    pub share: f64,
    /// Time over the time to fill.
    pub at: f64,
}

/// A = 2 m/(ρ (C_D S)₀ v_s t_f) for m in kg, ρ in kg/m³, the drag area in m², v_s in m/s and t_f in s.
pub fn ballistic_parameter(
    mass_kg: f64,
    density_kg_per_m3: f64,
    area_m2: f64,
    speed_m_per_s: f64,
    fill_s: f64,
) -> f64 {
    2.0 * mass_kg / (density_kg_per_m3 * area_m2 * speed_m_per_s * fill_s)
}

/// X₁ and τ_m for the ballistic parameter A and the exponent j, both above 0.
///
/// # Examples
/// ```
/// let peak = silkfall_core::loads::horizontal_peak(1.0, 2.0);
/// assert!((peak.share - 0.5625).abs() < 1e-12, "(1 + 1/3) to the power of −2");
/// ```
pub fn horizontal_peak(a: f64, j: f64) -> Peak {
    let inner = (j + 2.0) / (j * (j + 1.0));
    if a <= inner {
        let at = pow(a / inner, 1.0 / (j + 1.0));
        let half = (j + 2.0) / (2.0 * (j + 1.0));
        Peak { share: half * half * pow(at, j), at }
    } else {
        let slowed = 1.0 + 1.0 / (a * (j + 1.0));
        Peak { share: 1.0 / (slowed * slowed), at: 1.0 }
    }
}

/// F = C_X X₁ ½ ρ v² A_c with X₁ of the closed form, where it comes before the canopy is full or at that instant.
pub fn derive_horizontal_peak(of: &HorizontalInputs) -> Derivation {
    let a = ballistic_parameter(of.mass_kg, of.density_kg_per_m3, of.area_m2, of.speed_m_per_s, of.fill_s);
    let (j, peak) = (of.growth, horizontal_peak(a, of.growth));
    let inner = (j + 2.0) / (j * (j + 1.0));
    let parameter = num(2.0) * sym("m") / (sym("rho") * sym("A_c") * sym("v_s") * sym("t_f"));
    let share = if a <= inner {
        let at = (parameter * (sym("j") * (sym("j") + num(1.0)) / (sym("j") + num(2.0))))
            .pow(num(1.0) / (sym("j") + num(1.0)));
        ((sym("j") + num(2.0)) / (num(2.0) * (sym("j") + num(1.0)))).pow(2.0) * at.pow(sym("j"))
    } else {
        (num(1.0) + num(1.0) / (parameter * (sym("j") + num(1.0)))).pow(-2.0)
    };
    let input =
        |symbol, meaning: &str, si, kind, trust: &Trust| Input::new(symbol, meaning, si, kind, trust.clone());
    Derivation {
        symbol: "F",
        meaning: "largest force while the canopy fills, by the horizontal closed form".to_owned(),
        si: of.factor
            * peak.share
            * 0.5
            * of.density_kg_per_m3
            * of.speed_m_per_s
            * of.speed_m_per_s
            * of.area_m2,
        kind: Kind::Force,
        expr: sym("C_X") * share * num(0.5) * sym("rho") * sym("v_s").pow(2.0) * sym("A_c"),
        inputs: vec![
            input("C_X", "opening force factor", of.factor, Kind::Ratio, &of.trusts[0]),
            input("j", "exponent of the growth of the drag area", of.growth, Kind::Ratio, &of.trusts[1]),
            input("t_f", "time to fill", of.fill_s, Kind::Time, &of.trusts[2]),
            input("m", "all that comes down", of.mass_kg, Kind::Mass, &Trust::Given),
            input("rho", "density of the air there", of.density_kg_per_m3, Kind::Density, &Trust::Given),
            input("A_c", "drag area when filled", of.area_m2, Kind::DragArea, &Trust::Given),
            input("v_s", "speed at line stretch", of.speed_m_per_s, Kind::Speed, &Trust::Given),
        ],
        source: Trust::Memory(
            "Knacke, Parachute Recovery Systems Design Manual (1992), section 5.4: Pflanz's method"
                .to_owned(),
        ),
    }
}

/// What the closed form takes.
#[derive(Clone, Debug, PartialEq)]
pub struct HorizontalInputs {
    /// All that comes down, kg.
    pub mass_kg: f64,
    /// Density of the air, kg/m³.
    pub density_kg_per_m3: f64,
    /// Drag area when filled, m².
    pub area_m2: f64,
    /// Speed at line stretch, m/s.
    pub speed_m_per_s: f64,
    /// Time to fill, s.
    pub fill_s: f64,
    /// Exponent of growth.
    pub growth: f64,
    /// Opening force factor.
    pub factor: f64,
    /// How far factor, exponent and time to fill can be trusted.
    pub trusts: [Trust; 3],
}

/// t_f = c D₀/v^p with c for metres and seconds from one for feet and seconds: c · 0.3048^(p − 1).
///
/// A constant of this form belongs to its units unless p is 1.
pub fn fill_constant_from_feet(constant: f64, exponent: f64) -> f64 {
    constant * pow(0.3048, exponent - 1.0)
}

/// Speed below which it is not: √(g · distance/2), the mean of a fall over that distance from rest.
pub fn least_fill_speed_m_per_s(gravity_m_per_s2: f64, distance_m: f64) -> f64 {
    sqrt(0.5 * gravity_m_per_s2 * distance_m)
}
