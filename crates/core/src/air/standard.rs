//! The U.S. Standard Atmosphere 1976, from 5 km below sea level to 47 km, both ways.
//!
//! In each layer temperature is linear in geopotential height, T = T_b + L (H − H_b), and hydrostatic balance
//! with the ideal gas law gives
//!
//! - p = p_b (T / T_b)^(−K / L) where L is not 0,
//! - p = p_b exp(−K (H − H_b) / T_b) where it is,
//!
//! with K = g₀ M₀ / R* = 0.034163 K/m. Density is p M₀ / (R* T), the speed of sound √(γ R* T / M₀), viscosity
//! Sutherland's β T^(3/2) / (T + S). Geopotential and geometric height are related by H = r₀ Z / (r₀ + Z).
//! Heights in m, temperature in K, pressure in Pa, density in kg/m³.
//!
//! Source: U.S. Standard Atmosphere, 1976 (NOAA, NASA, USAF), equations 18, 23, 33a, 33b, 42, 50 and 51 and its tables
//! of layers and constants, from memory of that document; the tables of its results are reproduced (docs/CHECKS.md).
//! Dry air, a mid-latitude mean of the year: the air of a day differs by tens of kelvin, see [`crate::air::site`].

use uom::si::dynamic_viscosity::pascal_second;
use uom::si::f64::DynamicViscosity;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::thermodynamic_temperature::kelvin;
use uom::si::velocity::meter_per_second;

use super::AirError;
use crate::maths::{exp, ln, pow, sqrt};
use crate::quantity::{Length, MassDensity, Pressure, ThermodynamicTemperature, Velocity};

/// Standard gravity g₀, m/s². 3rd General Conference on Weights and Measures (1901), exact.
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.806_65;
/// Pressure at the height 0, Pa. From memory of U.S. Standard Atmosphere 1976.
pub const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;
/// Temperature at the height 0, K. From memory of U.S. Standard Atmosphere 1976.
pub const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;
/// Gas constant R*, J/(kmol K): the value of 1976, not today's. From memory of U.S. Standard Atmosphere 1976.
const GAS_CONSTANT_J_PER_KMOL_K: f64 = 8314.32;
/// Mean molar mass M₀ of dry air, kg/kmol. From memory of U.S. Standard Atmosphere 1976.
const MOLAR_MASS_KG_PER_KMOL: f64 = 28.9644;
/// Gas constant of dry air R* / M₀, J/(kg K).
pub(crate) const DRY_AIR_J_PER_KG_K: f64 = GAS_CONSTANT_J_PER_KMOL_K / MOLAR_MASS_KG_PER_KMOL;
/// K = g₀ M₀ / R*, K/m: how fast a column at 1 K would thin out.
pub(crate) const COLUMN_K_PER_M: f64 = STANDARD_GRAVITY_M_PER_S2 / DRY_AIR_J_PER_KG_K;
/// Effective radius of the earth r₀, m. From memory of U.S. Standard Atmosphere 1976.
pub(crate) const EARTH_RADIUS_M: f64 = 6_356_766.0;
/// Ratio of specific heats γ. From memory of U.S. Standard Atmosphere 1976.
const HEAT_RATIO: f64 = 1.4;
/// Sutherland's β, kg/(s m √K). From memory of U.S. Standard Atmosphere 1976.
const SUTHERLAND_BETA: f64 = 1.458e-6;
/// Sutherland's constant S, K. From memory of U.S. Standard Atmosphere 1976.
const SUTHERLAND_K: f64 = 110.4;

/// A layer in which temperature is linear in geopotential height.
struct Layer {
    base_m: f64,
    base_k: f64,
    lapse_k_per_m: f64,
    /// Follows from the layers below; a test works it out.
    base_pa: f64,
}

/// The layers up to the stratopause. From memory of U.S. Standard Atmosphere 1976, table of reference levels.
const LAYERS: [Layer; 4] = [
    Layer {
        base_m: 0.0,
        base_k: SEA_LEVEL_TEMPERATURE_K,
        lapse_k_per_m: -0.0065,
        base_pa: SEA_LEVEL_PRESSURE_PA,
    },
    Layer { base_m: 11_000.0, base_k: 216.65, lapse_k_per_m: 0.0, base_pa: 22_632.063_973_463 },
    Layer { base_m: 20_000.0, base_k: 216.65, lapse_k_per_m: 0.001, base_pa: 5_474.888_669_677_8 },
    Layer { base_m: 32_000.0, base_k: 228.65, lapse_k_per_m: 0.0028, base_pa: 868.018_684_755_23 },
];
/// Lowest geopotential height kept, m; the lowest layer is carried on below 0.
const LOWEST_M: f64 = -5_000.0;
/// Highest geopotential height kept, m.
const HIGHEST_M: f64 = 47_000.0;
/// Pressures at the two ends, Pa; a test works them out.
const LOWEST_PA: f64 = 177_686.975_465;
const HIGHEST_PA: f64 = 110.906_305_555;

/// The air at one height of the standard atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandardAir {
    /// Temperature.
    pub temperature: ThermodynamicTemperature,
    /// Pressure.
    pub pressure: Pressure,
    /// Density.
    pub density: MassDensity,
    /// Speed of sound.
    pub speed_of_sound: Velocity,
    /// Dynamic viscosity.
    pub viscosity: DynamicViscosity,
}

/// The air at a geopotential height above sea level.
///
/// # Errors
/// [`AirError::HeightOutOfRange`] below −5 km and above 47 km.
///
/// # Examples
/// ```
/// use silkfall_core::air::standard;
/// use silkfall_core::quantity::Length;
/// use uom::si::{length::meter, mass_density::kilogram_per_cubic_meter};
///
/// let air = standard::at_geopotential(Length::new::<meter>(0.0))?;
/// assert!((air.density.get::<kilogram_per_cubic_meter>() - 1.225).abs() < 5e-6);
/// # Ok::<(), silkfall_core::air::AirError>(())
/// ```
pub fn at_geopotential(height: Length) -> Result<StandardAir, AirError> {
    let height_m = height.get::<meter>();
    let pressure_pa = pressure_pa(height_m)?;
    let temperature_k = temperature_k(height_m);
    Ok(StandardAir {
        temperature: ThermodynamicTemperature::new::<kelvin>(temperature_k),
        pressure: Pressure::new::<pascal>(pressure_pa),
        density: MassDensity::new::<kilogram_per_cubic_meter>(
            pressure_pa / (DRY_AIR_J_PER_KG_K * temperature_k),
        ),
        speed_of_sound: Velocity::new::<meter_per_second>(speed_of_sound_m_per_s(temperature_k)),
        viscosity: DynamicViscosity::new::<pascal_second>(viscosity_pa_s(temperature_k)),
    })
}

/// The air at a geometric height above sea level.
///
/// # Errors
/// As [`at_geopotential`].
pub fn at_geometric(height: Length) -> Result<StandardAir, AirError> {
    at_geopotential(geopotential_of(height))
}

/// Geopotential height of a geometric height, both above sea level.
pub fn geopotential_of(geometric: Length) -> Length {
    let height_m = geometric.get::<meter>();
    Length::new::<meter>(EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M + height_m))
}

/// Geometric height of a geopotential height, both above sea level.
pub fn geometric_of(geopotential: Length) -> Length {
    let height_m = geopotential.get::<meter>();
    Length::new::<meter>(EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M - height_m))
}

/// The geopotential height at which the standard atmosphere has this pressure: what an altimeter shows.
///
/// # Errors
/// [`AirError::PressureOutOfRange`] outside the pressures from −5 km to 47 km.
///
/// # Examples
/// ```
/// use silkfall_core::air::standard;
/// use uom::si::{f64::Pressure, length::meter, pressure::pascal};
///
/// let height = standard::pressure_height(Pressure::new::<pascal>(95_000.0))?;
/// assert!((height.get::<meter>() - 540.337).abs() < 5e-4);
/// # Ok::<(), silkfall_core::air::AirError>(())
/// ```
pub fn pressure_height(pressure: Pressure) -> Result<Length, AirError> {
    pressure_height_m(pressure.get::<pascal>()).map(Length::new::<meter>)
}

/// Dynamic viscosity of air by Sutherland's formula, which knows temperature only.
pub fn viscosity(temperature: ThermodynamicTemperature) -> DynamicViscosity {
    DynamicViscosity::new::<pascal_second>(viscosity_pa_s(temperature.get::<kelvin>()))
}

/// Pressure at a geopotential height.
pub(crate) fn pressure_pa(height_m: f64) -> Result<f64, AirError> {
    if !(LOWEST_M..=HIGHEST_M).contains(&height_m) {
        return Err(AirError::HeightOutOfRange { height_m, lowest_m: LOWEST_M, highest_m: HIGHEST_M });
    }
    Ok(layer_at(height_m).pressure_pa(height_m))
}

/// Temperature at a geopotential height; the outermost layers are carried on beyond the range.
pub(crate) fn temperature_k(height_m: f64) -> f64 {
    layer_at(height_m).temperature_k(height_m)
}

/// Geopotential height at a pressure.
pub(crate) fn pressure_height_m(pressure_pa: f64) -> Result<f64, AirError> {
    if !(HIGHEST_PA..=LOWEST_PA).contains(&pressure_pa) {
        return Err(AirError::PressureOutOfRange {
            pressure_pa,
            lowest_pa: HIGHEST_PA,
            highest_pa: LOWEST_PA,
        });
    }
    let layer = LAYERS.iter().rev().find(|layer| pressure_pa <= layer.base_pa).unwrap_or(&LAYERS[0]);
    Ok(layer.height_m(pressure_pa))
}

fn layer_at(height_m: f64) -> &'static Layer {
    LAYERS.iter().rev().find(|layer| height_m >= layer.base_m).unwrap_or(&LAYERS[0])
}

/// ∫ (1 + ΔT / T(H)) dH between two geopotential heights: the thickness of the same pressures where the air is
/// warmer by ΔT throughout. Its sign is that of `to_m - from_m`.
pub(crate) fn thickness_m(from_m: f64, to_m: f64, warmer_k: f64) -> f64 {
    if to_m < from_m {
        return -thickness_m(to_m, from_m, warmer_k);
    }
    let mut extra_m = 0.0;
    for (index, layer) in LAYERS.iter().enumerate() {
        // The lowest and the highest layer are carried on, as in `temperature_k`.
        let bottom_m = if index == 0 { f64::NEG_INFINITY } else { layer.base_m };
        let top_m = LAYERS.get(index + 1).map_or(f64::INFINITY, |above| above.base_m);
        let (low_m, high_m) = (from_m.max(bottom_m), to_m.min(top_m));
        if low_m < high_m {
            extra_m += warmer_k * layer.inverse_temperature_integral(low_m, high_m);
        }
    }
    to_m - from_m + extra_m
}

fn speed_of_sound_m_per_s(temperature_k: f64) -> f64 {
    sqrt(HEAT_RATIO * DRY_AIR_J_PER_KG_K * temperature_k)
}

fn viscosity_pa_s(temperature_k: f64) -> f64 {
    SUTHERLAND_BETA * temperature_k * sqrt(temperature_k) / (temperature_k + SUTHERLAND_K)
}

impl Layer {
    fn is_isothermal(&self) -> bool {
        self.lapse_k_per_m.abs() < 1e-12
    }

    fn temperature_k(&self, height_m: f64) -> f64 {
        self.base_k + self.lapse_k_per_m * (height_m - self.base_m)
    }

    fn pressure_pa(&self, height_m: f64) -> f64 {
        if self.is_isothermal() {
            self.base_pa * exp(-COLUMN_K_PER_M * (height_m - self.base_m) / self.base_k)
        } else {
            let warmth = self.temperature_k(height_m) / self.base_k;
            self.base_pa * pow(warmth, -COLUMN_K_PER_M / self.lapse_k_per_m)
        }
    }

    fn height_m(&self, pressure_pa: f64) -> f64 {
        if self.is_isothermal() {
            self.base_m - self.base_k / COLUMN_K_PER_M * ln(pressure_pa / self.base_pa)
        } else {
            let warmth = pow(pressure_pa / self.base_pa, -self.lapse_k_per_m / COLUMN_K_PER_M);
            self.base_m + self.base_k / self.lapse_k_per_m * (warmth - 1.0)
        }
    }

    /// ∫ dH / T inside the layer, m/K.
    fn inverse_temperature_integral(&self, from_m: f64, to_m: f64) -> f64 {
        if self.is_isothermal() {
            (to_m - from_m) / self.base_k
        } else {
            ln(self.temperature_k(to_m) / self.temperature_k(from_m)) / self.lapse_k_per_m
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_meet_in_temperature_and_pressure() {
        for pair in LAYERS.windows(2) {
            let (below, above) = (&pair[0], &pair[1]);
            assert!((below.temperature_k(above.base_m) - above.base_k).abs() < 1e-10);
            assert!(
                (below.pressure_pa(above.base_m) / above.base_pa - 1.0).abs() < 1e-13,
                "{}",
                above.base_m
            );
        }
        assert!((LAYERS[3].pressure_pa(HIGHEST_M) / HIGHEST_PA - 1.0).abs() < 1e-9);
        assert!((LAYERS[0].pressure_pa(LOWEST_M) / LOWEST_PA - 1.0).abs() < 1e-9);
    }

    #[test]
    fn what_lies_outside_is_refused() {
        for height_m in [-5001.0, 47_001.0, f64::NAN] {
            assert!(pressure_pa(height_m).is_err(), "{height_m}");
        }
        for pressure_pa in [0.0, -1.0, 100.0, 180_000.0, f64::NAN, f64::INFINITY] {
            assert!(pressure_height_m(pressure_pa).is_err(), "{pressure_pa}");
        }
    }

    #[test]
    fn thickness_is_additive_and_odd() {
        let whole = thickness_m(-200.0, 33_000.0, 12.0);
        let parts = thickness_m(-200.0, 9_000.0, 12.0) + thickness_m(9_000.0, 33_000.0, 12.0);
        assert!((whole - parts).abs() < 1e-8);
        assert!((thickness_m(33_000.0, -200.0, 12.0) + whole).abs() < 1e-8);
        assert!((thickness_m(3.0, 17.0, 0.0) - 14.0).abs() < 1e-12);
    }
}
