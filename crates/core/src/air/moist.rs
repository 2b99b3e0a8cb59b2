//! The density of moist air, CIPM-2007.
//!
//! ρ = p M_a / (Z R T) · [1 − x_v (1 − M_v / M_a)], in kg/m³ with p in Pa and T in K, where
//!
//! - x_v = h f p_sv / p is the mole fraction of water vapour at the relative humidity h,
//! - p_sv = exp(A T² + B T + C + D / T) the saturation vapour pressure over water, Pa,
//! - f = α + β p + γ t² the enhancement factor, t in °C,
//! - Z = 1 − p/T [a₀ + a₁ t + a₂ t² + (b₀ + b₁ t) x_v + (c₀ + c₁ t) x_v²] + p²/T² (d + e x_v²).
//!
//! Source: A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist air (CIPM-2007)",
//! Metrologia 45 (2008) 149-155, equations 1 to 7 and appendix A; the constants from memory of it. Carbon dioxide
//! is taken as 400 µmol/mol; 20 µmol/mol more makes the air denser by 0.0008 %.
//!
//! Valid from 600 hPa to 1100 hPa and 15 °C to 27 °C with a relative standard uncertainty of 22e-6. Outside, the
//! formula still runs, and [`relative_uncertainty`] is a larger one of our own judgement. Humidity is over
//! water also below 0 °C, as hygrometers and weather services state it.

use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

use super::AirError;
use crate::maths::exp;
use crate::quantity::{MassDensity, Pressure, Ratio, ThermodynamicTemperature};

// All constants of this module: from memory of Picard et al. 2008.

/// Gas constant R, J/(mol K): CODATA 2006, the one of the formula.
const GAS_CONSTANT: f64 = 8.314_472;
/// Molar mass M_a of dry air at 400 µmol/mol of carbon dioxide, kg/mol.
const DRY_AIR_KG_PER_MOL: f64 = 28.965_46e-3;
/// Molar mass M_v of water, kg/mol.
const WATER_KG_PER_MOL: f64 = 18.015_28e-3;
/// A, B, C, D of the saturation vapour pressure: 1/K², 1/K, 1, K.
const SATURATION: [f64; 4] = [1.237_884_7e-5, -1.912_131_6e-2, 33.937_110_47, -6.343_164_5e3];
/// α, β, γ of the enhancement factor: 1, 1/Pa, 1/°C².
const ENHANCEMENT: [f64; 3] = [1.000_62, 3.14e-8, 5.6e-7];
/// a₀, a₁, a₂ of the compressibility: K/Pa, 1/Pa, 1/(K Pa).
const COMPRESSIBILITY_A: [f64; 3] = [1.581_23e-6, -2.933_1e-8, 1.104_3e-10];
/// b₀, b₁: K/Pa, 1/Pa.
const COMPRESSIBILITY_B: [f64; 2] = [5.707e-6, -2.051e-8];
/// c₀, c₁: K/Pa, 1/Pa.
const COMPRESSIBILITY_C: [f64; 2] = [1.989_8e-4, -2.376e-6];
/// d, e: K²/Pa².
const COMPRESSIBILITY_DE: [f64; 2] = [1.83e-11, -0.765e-8];

/// Relative standard uncertainty of the formula inside its range.
const INSIDE: f64 = 22e-6;
/// The same outside: our judgement, from how far Z and f could be off at -20 °C and 45 °C.
const OUTSIDE: f64 = 3e-4;

/// Air with vapour in it: the density and what led to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistAir {
    /// Density.
    pub density: MassDensity,
    /// Saturation vapour pressure over water at this temperature.
    pub saturation_pressure: Pressure,
    /// Enhancement factor f.
    pub enhancement: Ratio,
    /// Mole fraction of water vapour.
    pub vapour_fraction: Ratio,
    /// Compressibility Z.
    pub compressibility: Ratio,
}

impl MoistAir {
    /// The temperature at which dry air of the same pressure would be as light: T_v = T / [1 − x_v (1 − M_v/M_a)].
    pub fn virtual_temperature(&self, temperature: ThermodynamicTemperature) -> ThermodynamicTemperature {
        let lightness = lightness(self.vapour_fraction.get::<ratio>());
        ThermodynamicTemperature::new::<kelvin>(temperature.get::<kelvin>() / lightness)
    }
}

/// Density of moist air at a temperature, absolute pressure and relative humidity (0 to 1).
///
/// # Errors
/// [`AirError::HumidityOutOfRange`], [`AirError::TemperatureOutOfRange`], and
/// [`AirError::PressureOutOfRange`] for a pressure that is none of air's.
///
/// # Examples
/// ```
/// use silkfall_core::air::moist;
/// use uom::si::{f64::*, mass_density::kilogram_per_cubic_meter, pressure::pascal, ratio::percent,
///               thermodynamic_temperature::degree_celsius};
///
/// let air = moist::at(
///     ThermodynamicTemperature::new::<degree_celsius>(20.0),
///     Pressure::new::<pascal>(101_325.0),
///     Ratio::new::<percent>(50.0),
/// )?;
/// assert!((air.density.get::<kilogram_per_cubic_meter>() - 1.1993139).abs() < 5e-8);
/// # Ok::<(), silkfall_core::air::AirError>(())
/// ```
pub fn at(
    temperature: ThermodynamicTemperature,
    pressure: Pressure,
    relative_humidity: Ratio,
) -> Result<MoistAir, AirError> {
    let celsius = temperature.get::<degree_celsius>();
    if !(-60.0..=60.0).contains(&celsius) {
        return Err(AirError::TemperatureOutOfRange { celsius });
    }
    let humidity = relative_humidity.get::<ratio>();
    if !(0.0..=1.0).contains(&humidity) {
        return Err(AirError::HumidityOutOfRange { percent: humidity * 100.0 });
    }
    let pressure_pa = pressure.get::<pascal>();
    let (lowest_pa, highest_pa) = (1e4, 1.2e5);
    if !(lowest_pa..=highest_pa).contains(&pressure_pa) {
        return Err(AirError::PressureOutOfRange { pressure_pa, lowest_pa, highest_pa });
    }
    Ok(work_out(celsius, pressure_pa, humidity))
}

/// Whether a temperature and pressure lie inside the formula's published range.
pub fn is_in_range(temperature: ThermodynamicTemperature, pressure: Pressure) -> bool {
    (15.0..=27.0).contains(&temperature.get::<degree_celsius>())
        && (6e4..=1.1e5).contains(&pressure.get::<pascal>())
}

/// Relative standard uncertainty of the formula itself at a temperature and pressure.
pub fn relative_uncertainty(temperature: ThermodynamicTemperature, pressure: Pressure) -> Ratio {
    Ratio::new::<ratio>(if is_in_range(temperature, pressure) { INSIDE } else { OUTSIDE })
}

fn work_out(celsius: f64, pressure_pa: f64, humidity: f64) -> MoistAir {
    let t = celsius;
    let t_k = celsius + 273.15;
    let [a, b, c, d] = SATURATION;
    let saturation_pa = exp(a * t_k * t_k + b * t_k + c + d / t_k);
    let [alpha, beta, gamma] = ENHANCEMENT;
    let enhancement = alpha + beta * pressure_pa + gamma * t * t;
    let x_v = humidity * enhancement * saturation_pa / pressure_pa;
    let over_t = pressure_pa / t_k;
    let [a0, a1, a2] = COMPRESSIBILITY_A;
    let [b0, b1] = COMPRESSIBILITY_B;
    let [c0, c1] = COMPRESSIBILITY_C;
    let [d, e] = COMPRESSIBILITY_DE;
    let z = 1.0 - over_t * (a0 + a1 * t + a2 * t * t + (b0 + b1 * t) * x_v + (c0 + c1 * t) * x_v * x_v)
        + over_t * over_t * (d + e * x_v * x_v);
    let density = pressure_pa * DRY_AIR_KG_PER_MOL / (z * GAS_CONSTANT * t_k) * lightness(x_v);
    MoistAir {
        density: MassDensity::new::<kilogram_per_cubic_meter>(density),
        saturation_pressure: Pressure::new::<pascal>(saturation_pa),
        enhancement: Ratio::new::<ratio>(enhancement),
        vapour_fraction: Ratio::new::<ratio>(x_v),
        compressibility: Ratio::new::<ratio>(z),
    }
}

/// Mean molar mass of the moist air over that of dry air.
fn lightness(vapour_fraction: f64) -> f64 {
    1.0 - vapour_fraction * (1.0 - WATER_KG_PER_MOL / DRY_AIR_KG_PER_MOL)
}
