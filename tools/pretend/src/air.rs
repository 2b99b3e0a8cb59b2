//! Air at rest: the standard atmosphere that loggers assume, and the density and gravity of a day and place.
//!
//! - Standard pressure below 11 km: p = 101325 (1 - L H/T0)^(g0 M0/R* L), L = 6.5 K/km, T0 = 288.15 K, R* = 8314.32,
//!   M0 = 28.9644, g0 = 9.80665 (constants from memory of the U.S. Standard Atmosphere 1976).
//! - Moist density: (0.34848 p - 0.009 h exp(0.061 t))/(273.15 + t), p in hPa, h in %, t in °C: the usual
//!   approximation of the CIPM formula, good to about 2e-4 within 900 to 1100 hPa, 10 to 30 °C (from memory of the
//!   legal-metrology literature).
//! - Gravity: 9.780327 (1 + 0.0053024 sin²φ - 0.0000058 sin²2φ) - 3.086e-6 h (from memory of the Geodetic Reference
//!   System 1980 and the free-air gradient), m/s².
//!
//! Assumes dry standard air in the height scale; the humid day's scale differs by less than 0.5 %.

const SEA_LEVEL_PA: f64 = 101_325.0;
const SEA_LEVEL_K: f64 = 288.15;
const LAPSE_K_PER_M: f64 = 0.0065;
/// g0 M0 / (R* L), no unit.
const EXPONENT: f64 = 9.806_65 * 28.9644 / (8314.32 * LAPSE_K_PER_M);
/// Standard gravity, m/s².
pub(crate) const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;

/// Standard-atmosphere pressure in pascals at a pressure height in metres, below 11 km.
pub fn standard_pressure_pa(height_m: f64) -> f64 {
    SEA_LEVEL_PA * libm::pow(1.0 - LAPSE_K_PER_M * height_m / SEA_LEVEL_K, EXPONENT)
}

/// Pressure height in metres for a pressure in pascals, below 11 km.
pub fn standard_height_m(pressure_pa: f64) -> f64 {
    SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - libm::pow(pressure_pa / SEA_LEVEL_PA, 1.0 / EXPONENT))
}

/// The air of a day at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// Air temperature, °C.
    pub temperature_c: f64,
    /// Pressure at the station, not reduced to sea level, hPa.
    pub station_pressure_hpa: f64,
    /// Relative humidity, %.
    pub humidity_percent: f64,
    /// Height of the ground above sea level, m.
    pub elevation_m: f64,
    /// Latitude, degrees north.
    pub latitude_deg: f64,
}

impl Day {
    /// Density of the moist air, kg/m³.
    pub fn density_kg_m3(&self) -> f64 {
        (0.348_48 * self.station_pressure_hpa
            - 0.009 * self.humidity_percent * libm::exp(0.061 * self.temperature_c))
            / (273.15 + self.temperature_c)
    }

    /// Gravity at the ground, m/s².
    pub fn gravity_m_s2(&self) -> f64 {
        let sine = libm::sin(self.latitude_deg.to_radians());
        let sine_twice = libm::sin(2.0 * self.latitude_deg.to_radians());
        9.780_327 * (1.0 + 0.005_302_4 * sine * sine - 0.000_005_8 * sine_twice * sine_twice)
            - 3.086e-6 * self.elevation_m
    }

    /// Pressure-height metres a logger counts for each true metre, by hydrostatics:
    /// dHp/dz = (standard air's p/(rho g0)) inverse times the day's rho g/p, less 1. A warm day gives a negative error.
    pub fn height_scale_error(&self) -> f64 {
        let pressure_pa = 100.0 * self.station_pressure_hpa;
        let height_m = standard_height_m(pressure_pa);
        let standard_density = pressure_pa * 28.9644 / (8314.32 * (SEA_LEVEL_K - LAPSE_K_PER_M * height_m));
        self.density_kg_m3() * self.gravity_m_s2() / (standard_density * STANDARD_GRAVITY_M_S2) - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_pressures_are_those_computed_independently_from_the_stated_formula() {
        // U.S. Standard Atmosphere 1976, geopotential heights; half a unit of the last digit given.
        for (height_m, pressure_pa) in
            [(0.0, 101_325.0), (500.0, 95_460.839), (1000.0, 89_874.571), (5000.0, 54_019.912)]
        {
            assert!((standard_pressure_pa(height_m) - pressure_pa).abs() < 5e-4);
            assert!((standard_height_m(standard_pressure_pa(height_m)) - height_m).abs() < 1e-8);
        }
    }

    #[test]
    fn moist_density_gravity_and_scale_are_near_independent_values() {
        let day = Day {
            temperature_c: 20.0,
            station_pressure_hpa: 1013.25,
            humidity_percent: 50.0,
            elevation_m: 0.0,
            latitude_deg: 45.0,
        };
        // CIPM-2007 at this state, computed independently from the stated formula: 1.1993139; this formula 1.1992943.
        assert!((day.density_kg_m3() - 1.199_294_3).abs() < 5e-8);
        assert!((day.density_kg_m3() - 1.199_313_9).abs() < 2e-4);
        // WGS 84 normal gravity at 45°, computed independently: 9.806198.
        assert!((day.gravity_m_s2() - 9.806_198).abs() < 2e-5);
        // Five kelvin warmer than standard: 288.15/293.15 - 1 = -1.71 %, and humidity takes off another 0.44 %.
        assert!((day.height_scale_error() + 0.0210).abs() < 5e-4, "{}", day.height_scale_error());
    }
}
