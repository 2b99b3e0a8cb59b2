//! The factor from logged to true heights near the ground, with its uncertainty by input.
//!
//! F = (T_v / T_scale) (g₀ / g), dimensionless: the limit of [`Column`](super::Column) at the ground. T_v is the day's virtual
//! temperature, T_scale the temperature that the logger's scale takes for the ground: 15 °C less 0.65 K per 100 m of
//! the ground's pressure height, or 15 °C where the scale starts at the ground. Logged heights and rates times F are
//! true ones.
//!
//! What is not known of the day is assumed as in [`crate::air::site`]; then the uncertainty says how large the error may be:
//! some 3.5 % for an unknown temperature, since F goes with it. Density goes with its inverse, so that a drag area
//! D = 2 m g / (ρ v²) is off by 1/F, not its square: contributions are kept by input for that.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::degree;
use uom::si::ratio::ratio;

use super::LoggerScale;
use crate::air::contribution::{InputSpread, combined, doubt_of_a_rule};
use crate::air::{AirError, Contribution, Input, Origin, SiteAir, site, standard};
use crate::finding::{Code, Finding, Subject};
use crate::maths::{ln, sqrt};
use crate::quantity::Ratio;

/// The factor from logged to true heights and rates.
#[derive(Clone, Debug, PartialEq)]
pub struct HeightScale {
    /// True height over logged height, near the ground.
    pub factor: Ratio,
    /// Its relative standard uncertainty.
    pub relative_standard_uncertainty: Ratio,
    /// What each input contributes; the inputs are those of the site's density.
    pub contributions: Vec<Contribution>,
    /// What is in doubt.
    pub findings: Vec<Finding>,
}

/// The factor from logged to true heights near the ground of a site; `subject` is what findings are about.
///
/// For a recording of pressure take [`LoggerScale::StandardFromSeaLevel`]: the pressure heights are then ours.
///
/// # Errors
/// As [`site::density`].
///
/// # Examples
/// ```
/// use silkfall_core::{air::SiteAir, finding::Subject, height::{self, LoggerScale}};
/// use uom::si::ratio::percent;
///
/// // Without the day's air heights may be off by 3.7 %, one standard uncertainty: 10 K, and the vapour warm air holds.
/// let scale = height::scale(&SiteAir::UNKNOWN, LoggerScale::StandardFromSeaLevel, &Subject::Whole)?;
/// assert!((scale.relative_standard_uncertainty.get::<percent>() - 3.7).abs() < 0.1);
/// # Ok::<(), silkfall_core::air::AirError>(())
/// ```
pub fn scale(site: &SiteAir, scale: LoggerScale, subject: &Subject) -> Result<HeightScale, AirError> {
    let gravity = site::gravity_at(site);
    let gravity_m_per_s2 = gravity.gravity.get::<meter_per_second_squared>();
    let scale_k = |scale: LoggerScale, pressure_pa| scale.datum_m(pressure_pa).map(standard::temperature_k);
    let propagated =
        site::propagate(site, |air| Ok(ln(air.virtual_temperature_k / scale_k(scale, air.pressure_pa)?)))?;
    let air = propagated.air;
    let factor = air.virtual_temperature_k / scale_k(scale, air.pressure_pa)?
        * (standard::STANDARD_GRAVITY_M_PER_S2 / gravity_m_per_s2);

    let mut contributions = propagated.contributions;
    let pull = gravity.relative_standard_uncertainty.get::<ratio>();
    contributions.push(
        InputSpread {
            input: Input::Latitude,
            origin: gravity.origin,
            value: site.latitude.map_or(45.0, |latitude| latitude.get::<degree>()).to_radians(),
            standard_uncertainty: pull * gravity_m_per_s2,
        }
        .contributes(-pull),
    );
    let mut findings = Vec::new();
    if scale == LoggerScale::NotKnown {
        let one = scale_k(LoggerScale::StandardFromSeaLevel, air.pressure_pa)?;
        let other = scale_k(LoggerScale::StandardFromGround, air.pressure_pa)?;
        let apart = ln(other / one).abs();
        contributions.push(doubt_of_a_rule(Input::LoggerScale, Ratio::new::<ratio>(apart / sqrt(12.0))));
        // Two parts in a thousand are below what anything else here can be known to.
        if apart > 0.002 {
            let message = format!(
                "loggers make height of pressure by the standard atmosphere, from sea level or from the ground; which \
                 is not known, and here the two differ by {:.1} % of height",
                apart * 100.0
            );
            findings.push(Finding::new(Code::HeightLoggerScaleUnknown, subject.clone(), message).hint(
                "state `fell`, the height of the drop as taped; until then the doubt is in every interval",
            ));
        }
    }
    if contributions.iter().any(|c| c.input == Input::Temperature && c.origin == Origin::Assumed) {
        findings.push(Finding::new(
            Code::HeightDayUnknown,
            subject.clone(),
            format!(
                "the day's air temperature is not stated; heights and rates may be off by {:.1} % (standard uncertainty)",
                combined(&contributions).get::<ratio>() * 100.0
            ),
        ));
    }
    Ok(HeightScale {
        factor: Ratio::new::<ratio>(factor),
        relative_standard_uncertainty: combined(&contributions),
        contributions,
        findings,
    })
}
