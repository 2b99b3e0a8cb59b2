//! Normal gravity by latitude and height.
//!
//! On the ellipsoid, with s = sin² φ: γ(φ) = γ_e (1 + k s) / √(1 − e² s) (Somigliana). At the height h above it
//!
//! γ(φ, h) = γ(φ) [1 − 2 h (1 + f + m − 2 f s) / a + 3 h² / a²],
//!
//! a series good to 1e-8 of itself below 10 km. In m/s²; heights in m.
//!
//! Source: WGS 84 (NIMA TR8350.2, 3rd edition, 2000, equations 4-1 and 4-3 and its tables of constants), the constants as
//! quoted in several documents, m from memory. The pull of the rocks around a real place differs by some 1e-4 of
//! itself at most, which nothing here needs.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::radian;
use uom::si::length::meter;

use crate::maths::{sin, sqrt};
use crate::quantity::{Acceleration, Angle, Length};

/// Normal gravity γ_e at the equator, m/s². WGS 84.
const EQUATOR_M_PER_S2: f64 = 9.780_325_335_9;
/// Somigliana's k. WGS 84.
const SOMIGLIANA_K: f64 = 0.001_931_852_652_41;
/// First eccentricity squared e². WGS 84.
const ECCENTRICITY_SQUARED: f64 = 0.006_694_379_990_14;
/// Semi-major axis a, m. WGS 84, defining.
const SEMI_MAJOR_M: f64 = 6_378_137.0;
/// Flattening f. WGS 84, defining.
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// m = ω² a² b / GM. WGS 84, from memory.
const CENTRIFUGAL_M: f64 = 0.003_449_786_506_84;

/// Normal gravity at a geodetic latitude and a height above the ellipsoid; height above sea level does as well.
///
/// # Examples
/// ```
/// use silkfall_core::air::gravity;
/// use uom::si::{acceleration::meter_per_second_squared, angle::degree, f64::{Angle, Length}, length::meter};
///
/// let pull = gravity::normal(Angle::new::<degree>(45.0), Length::new::<meter>(0.0));
/// assert!((pull.get::<meter_per_second_squared>() - 9.806198).abs() < 5e-7);
/// ```
pub fn normal(latitude: Angle, height: Length) -> Acceleration {
    let height_m = height.get::<meter>();
    let sine = sin(latitude.get::<radian>());
    let s = sine * sine;
    let on_ellipsoid = EQUATOR_M_PER_S2 * (1.0 + SOMIGLIANA_K * s) / sqrt(1.0 - ECCENTRICITY_SQUARED * s);
    let slope = 2.0 * (1.0 + FLATTENING + CENTRIFUGAL_M - 2.0 * FLATTENING * s) / SEMI_MAJOR_M;
    let bend = 3.0 / (SEMI_MAJOR_M * SEMI_MAJOR_M);
    Acceleration::new::<meter_per_second_squared>(
        on_ellipsoid * (1.0 - slope * height_m + bend * height_m * height_m),
    )
}
