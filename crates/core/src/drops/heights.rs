//! Heights as the standard atmosphere sees them, whatever the recording holds.
//!
//! `H = (T0/L) (1 - (p/p0)^(R L / g M))` below 11 km, `H = 11 km + (R T11 / g M) ln(p11/p)` above, with
//! T0 = 288.15 K, p0 = 101 325 Pa, L = 6.5 K/km and g M / (R L) = 5.255 876 (US Standard Atmosphere 1976,
//! constants from memory of that document; the check values below were computed from them independently).
//!
//! Assumes hydrostatic balance; range -1 km to 20 km. It does not know the day: the true height of a layer is the
//! standard one times T/T_standard, which is what `HeightScale` in `rates` is for. Heights are kept as they are.

use std::borrow::Cow;

use crate::maths::{exp, ln, pow};
use crate::recording::{Channel, Recording};

const LAPSE_K_PER_M: f64 = 0.0065;
const SEA_LEVEL_K: f64 = 288.15;
const SEA_LEVEL_PA: f64 = 101_325.0;
/// g M / (R L).
const EXPONENT: f64 = 5.255_876;
const TROPOPAUSE_M: f64 = 11_000.0;
const TROPOPAUSE_PA: f64 = 22_632.064;
const TROPOPAUSE_K: f64 = 216.65;

/// Height in metres of a pressure in pascals in the standard atmosphere; `None` unless the pressure is positive.
pub fn standard_height_m(pressure_pa: f64) -> Option<f64> {
    if pressure_pa.is_nan() || pressure_pa <= 0.0 {
        return None;
    }
    if pressure_pa >= TROPOPAUSE_PA {
        return Some(SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - pow(pressure_pa / SEA_LEVEL_PA, 1.0 / EXPONENT)));
    }
    let scale_height_m = TROPOPAUSE_K / (LAPSE_K_PER_M * EXPONENT);
    Some(TROPOPAUSE_M + scale_height_m * ln(TROPOPAUSE_PA / pressure_pa))
}

/// Temperature of the standard atmosphere at a height, K.
pub(crate) fn standard_temperature_k(height_m: f64) -> f64 {
    (SEA_LEVEL_K - LAPSE_K_PER_M * height_m).max(TROPOPAUSE_K)
}

/// Pressure of the standard atmosphere at a height, Pa.
pub(crate) fn standard_pressure_pa(height_m: f64) -> f64 {
    if height_m <= TROPOPAUSE_M {
        return SEA_LEVEL_PA * pow(1.0 - LAPSE_K_PER_M * height_m / SEA_LEVEL_K, EXPONENT);
    }
    TROPOPAUSE_PA * exp((TROPOPAUSE_M - height_m) * LAPSE_K_PER_M * EXPONENT / TROPOPAUSE_K)
}

/// The recording's values as heights in metres: themselves, or the standard heights of its pressures. A pressure
/// that is not positive takes the height of the sample before it, which makes it a stuck sample, not a spike.
pub fn heights_m(recording: &Recording) -> Cow<'_, [f64]> {
    match recording.channel {
        Channel::PressureHeight | Channel::TrueHeight => Cow::Borrowed(&recording.value),
        Channel::Pressure => {
            let mut last = recording.value.iter().find_map(|&p| standard_height_m(p)).unwrap_or(0.0);
            let heights = recording.value.iter().map(|&p| {
                last = standard_height_m(p).unwrap_or(last);
                last
            });
            Cow::Owned(heights.collect())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressures_give_the_heights_of_the_standard_table() {
        // Computed independently from the stated formula, three decimals printed.
        for (pressure, height) in [
            (100_000.0, 110.885),
            (95_000.0, 540.337),
            (90_000.0, 988.501),
            (85_000.0, 1457.300),
            (70_000.0, 3012.183),
            (50_000.0, 5574.437),
        ] {
            assert!((standard_height_m(pressure).unwrap() - height).abs() < 0.0006, "{pressure} Pa");
        }
        // 20 km: 5474.889 Pa in the same table, three decimals of a pascal are 4 mm.
        assert!((standard_height_m(5474.889).unwrap() - 20_000.0).abs() < 0.01);
        for height in [-200.0, 300.0, 9_000.0, 14_000.0] {
            assert!((standard_height_m(standard_pressure_pa(height)).unwrap() - height).abs() < 1e-3);
        }
        assert_eq!(standard_height_m(0.0), None);
        assert_eq!(standard_height_m(f64::NAN), None);
    }
}
