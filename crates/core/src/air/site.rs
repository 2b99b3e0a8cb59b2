//! The air of a site: density and gravity from what a person knows, with what each unknown contributes.
//!
//! ρ comes from [`moist::at`] at the station's temperature, pressure and humidity. What is not known is assumed,
//! with an uncertainty that says so:
//!
//! | not known | assumed | standard uncertainty | ground for it |
//! | --- | --- | --- | --- |
//! | temperature | standard at the elevation | 10 K | our judgement: a season by day at middle latitudes |
//! | pressure | standard at the elevation | 10 hPa | our judgement: the spread of sea-level pressure |
//! | humidity | 50 % | 29 % | rectangular from 0 % to 100 % |
//! | elevation | 0 m | 300 m | our judgement: most fields lie below 600 m |
//! | latitude | 45° | 0.015 m/s² of gravity | rectangular from the equator's to the pole's |
//!
//! A pressure reduced to sea level is taken back to the station as an altimeter setting is:
//! p = p_std(elevation + H_std(p₀)). Weather services reduce with the day's temperature instead; how much that
//! would change is one of the contributions.
//!
//! A pressure of unstated kind is taken for the likelier one; half the distance to the other is a contribution too
//! (rectangular between the two).
//!
//! The uncertainty is the root sum of squares of sensitivity × standard uncertainty (JCGM 100:2008, equation 10,
//! inputs independent); sensitivities are central differences of the whole working. They are kept by input, since
//! the same temperature also stretches pressure heights ([`crate::height`]) and partly cancels there.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::degree;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::{hectopascal, pascal};
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_interval;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

use super::contribution::{Contribution, Input, InputSpread, Origin, Reading, combined, doubt_of_a_rule};
use super::{AirError, gravity, moist, pressure_check, standard};
use crate::finding::{Code, Finding, Subject};
use crate::maths::{exp, ln, sqrt};
use crate::quantity::{
    Acceleration, Angle, Length, MassDensity, Pressure, Ratio, TemperatureInterval, ThermodynamicTemperature,
};

/// Standard uncertainty of an unknown air temperature, K: our judgement.
pub const UNKNOWN_TEMPERATURE_K: f64 = 10.0;
/// Standard uncertainty of sea-level pressure from day to day, Pa: our judgement for middle latitudes.
pub const WEATHER_PRESSURE_PA: f64 = 1000.0;
/// Standard uncertainty of an unknown elevation, m: our judgement.
const UNKNOWN_ELEVATION_M: f64 = 300.0;
/// Standard uncertainty of gravity at an unknown latitude, m/s²: (9.832 − 9.780) / √12.
const UNKNOWN_LATITUDE_M_PER_S2: f64 = 0.015;

/// What is known of the pressure at a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SitePressure {
    /// Absolute pressure at the site itself.
    Station(Reading<Pressure>),
    /// Pressure reduced to sea level: what weather reports and altimeter settings give.
    ReducedToSeaLevel(Reading<Pressure>),
    /// One of the two: taken for the one that the elevation makes more likely, the station's without an elevation.
    KindNotStated(Reading<Pressure>),
    /// Nothing is known.
    NotKnown,
}

/// What is known of the air of a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SiteAir {
    /// Air temperature in the shade, not the logger's own.
    pub temperature: Option<Reading<ThermodynamicTemperature, TemperatureInterval>>,
    /// Pressure, of whichever kind.
    pub pressure: SitePressure,
    /// Relative humidity over water, 0 to 1.
    pub relative_humidity: Option<Reading<Ratio>>,
    /// Height of the ground above sea level.
    pub elevation: Option<Reading<Length>>,
    /// Geodetic latitude.
    pub latitude: Option<Angle>,
}

impl SiteAir {
    /// Nothing is known: everything is assumed as in the table above.
    pub const UNKNOWN: SiteAir = SiteAir {
        temperature: None,
        pressure: SitePressure::NotKnown,
        relative_humidity: None,
        elevation: None,
        latitude: None,
    };
}

/// Density at a site and all that led to it.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteDensity {
    /// Density of the air.
    pub density: MassDensity,
    /// Relative standard uncertainty of the density.
    pub relative_standard_uncertainty: Ratio,
    /// Temperature used.
    pub temperature: ThermodynamicTemperature,
    /// Temperature at which dry air would be as light.
    pub virtual_temperature: ThermodynamicTemperature,
    /// Absolute pressure at the site used.
    pub pressure: Pressure,
    /// Relative humidity used.
    pub relative_humidity: Ratio,
    /// What each input contributes, in the order of [`Input`].
    pub contributions: Vec<Contribution>,
    /// What is in doubt.
    pub findings: Vec<Finding>,
}

/// Gravity at a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SiteGravity {
    /// Normal gravity.
    pub gravity: Acceleration,
    /// Relative standard uncertainty.
    pub relative_standard_uncertainty: Ratio,
    /// Whether the latitude was stated.
    pub origin: Origin,
}

/// Gravity at the site's latitude and elevation, or at what is assumed for them.
pub fn gravity_at(site: &SiteAir) -> SiteGravity {
    let elevation = site.elevation.map_or(Length::new::<meter>(0.0), |reading| reading.value);
    let latitude = site.latitude.unwrap_or(Angle::new::<degree>(45.0));
    let gravity = gravity::normal(latitude, elevation);
    let (uncertainty, origin) = match site.latitude {
        // What rocks add to normal gravity: 0.0003 m/s², our judgement.
        Some(_) => (3e-4, Origin::Given),
        None => (UNKNOWN_LATITUDE_M_PER_S2, Origin::Assumed),
    };
    SiteGravity {
        gravity,
        relative_standard_uncertainty: Ratio::new::<ratio>(
            uncertainty / gravity.get::<meter_per_second_squared>(),
        ),
        origin,
    }
}

/// Density at the site; `subject` is what findings are about.
///
/// # Errors
/// Where a stated value lies outside every atmosphere: see [`AirError`].
///
/// # Examples
/// ```
/// use silkfall_core::{air::{self, SiteAir}, finding::Subject};
/// use uom::si::ratio::percent;
///
/// // With nothing known, density is doubtful by about 5 %, most of it by the temperature and the elevation.
/// let air = air::site::density(&SiteAir::UNKNOWN, &Subject::Whole)?;
/// assert!((air.relative_standard_uncertainty.get::<percent>() - 4.7).abs() < 0.2);
/// # Ok::<(), air::AirError>(())
/// ```
pub fn density(site: &SiteAir, subject: &Subject) -> Result<SiteDensity, AirError> {
    let (site, other_kind) = pressure_check::likelier_kind(site);
    let site = &site;
    let propagated = propagate(site, |air| Ok(ln(air.density_kg_per_m3)))?;
    let Propagated { values, air, mut contributions } = propagated;
    let mut findings = Vec::new();
    let mut reduction = 0.0;
    if let SitePressure::ReducedToSeaLevel(_) = site.pressure {
        reduction = values.reduction_doubt(air.pressure_pa);
    }
    if let Some(other) = other_kind {
        let other_pa = numbers(&other).0.work_out()?.pressure_pa;
        let apart = ln(other_pa / air.pressure_pa).abs();
        reduction = sqrt(reduction * reduction + apart * apart / 12.0);
        findings.push(pressure_check::kind_finding(site, apart, subject));
    }
    if reduction > 0.0 {
        contributions.push(doubt_of_a_rule(Input::Reduction, Ratio::new::<ratio>(reduction)));
    }
    let temperature = ThermodynamicTemperature::new::<kelvin>(values.temperature_k);
    let pressure = Pressure::new::<pascal>(air.pressure_pa);
    contributions.push(doubt_of_a_rule(Input::Equation, moist::relative_uncertainty(temperature, pressure)));
    contributions.sort_by_key(|contribution| contribution.input);

    findings.extend(pressure_check::finding(site, subject));
    if !moist::is_in_range(temperature, pressure) {
        findings.push(Finding::new(
            Code::AirOutsideFormula,
            subject.clone(),
            format!(
                "air of {:.1} °C and {:.0} hPa; the formula's published range is 15 °C to 27 °C and 600 hPa to 1100 hPa",
                temperature.get::<degree_celsius>(),
                pressure.get::<hectopascal>()
            ),
        ));
    }
    Ok(SiteDensity {
        density: MassDensity::new::<kilogram_per_cubic_meter>(air.density_kg_per_m3),
        relative_standard_uncertainty: combined(&contributions),
        temperature,
        virtual_temperature: ThermodynamicTemperature::new::<kelvin>(air.virtual_temperature_k),
        pressure,
        relative_humidity: Ratio::new::<ratio>(values.humidity),
        contributions,
        findings,
    })
}

/// The air of a site, and what each of its inputs contributes to a result that follows from it.
pub(crate) struct Propagated {
    values: Values,
    pub(crate) air: Worked,
    pub(crate) contributions: Vec<Contribution>,
}

/// Works out the air of a site and how the logarithm of a result follows its inputs.
pub(crate) fn propagate(
    site: &SiteAir,
    log_result: impl Fn(&Worked) -> Result<f64, AirError>,
) -> Result<Propagated, AirError> {
    let (site, _) = pressure_check::likelier_kind(site);
    let (values, spreads) = numbers(&site);
    let air = values.work_out()?;
    let mut contributions = Vec::new();
    for spread in spreads {
        if spread.standard_uncertainty > 0.0 {
            let relative = values.relative_change(spread.input, spread.standard_uncertainty, &log_result)?;
            contributions.push(spread.contributes(relative));
        }
    }
    Ok(Propagated { values, air, contributions })
}

/// The inputs as plain numbers, what is unknown filled in.
#[derive(Clone, Copy)]
struct Values {
    temperature_k: f64,
    pressure_pa: f64,
    pressure_is_reduced: bool,
    humidity: f64,
    elevation_m: f64,
    /// An unknown temperature follows the elevation.
    temperature_follows: bool,
}

/// The air that follows from [`Values`].
pub(crate) struct Worked {
    density_kg_per_m3: f64,
    pub(crate) pressure_pa: f64,
    pub(crate) virtual_temperature_k: f64,
}

fn numbers(site: &SiteAir) -> (Values, [InputSpread; 4]) {
    let (elevation_m, elevation_step, elevation_origin) = match site.elevation {
        Some(reading) => {
            (reading.value.get::<meter>(), reading.standard_uncertainty.get::<meter>(), Origin::Given)
        }
        None => (0.0, UNKNOWN_ELEVATION_M, Origin::Assumed),
    };
    let (temperature_k, temperature_step, temperature_origin) = match site.temperature {
        Some(reading) => (
            reading.value.get::<kelvin>(),
            reading.standard_uncertainty.get::<kelvin_interval>(),
            Origin::Given,
        ),
        None => (standard::temperature_k(elevation_m), UNKNOWN_TEMPERATURE_K, Origin::Assumed),
    };
    let (pressure, pressure_is_reduced, pressure_origin) = match site.pressure {
        SitePressure::Station(reading) | SitePressure::KindNotStated(reading) => {
            (reading, false, Origin::Given)
        }
        SitePressure::ReducedToSeaLevel(reading) => (reading, true, Origin::Given),
        SitePressure::NotKnown => (
            Reading {
                value: Pressure::new::<pascal>(standard::SEA_LEVEL_PRESSURE_PA),
                standard_uncertainty: Pressure::new::<pascal>(WEATHER_PRESSURE_PA),
            },
            true,
            Origin::Assumed,
        ),
    };
    let (humidity, humidity_step, humidity_origin) = match site.relative_humidity {
        Some(reading) => {
            (reading.value.get::<ratio>(), reading.standard_uncertainty.get::<ratio>(), Origin::Given)
        }
        None => (0.5, 1.0 / sqrt(12.0), Origin::Assumed),
    };
    let values = Values {
        temperature_k,
        pressure_pa: pressure.value.get::<pascal>(),
        pressure_is_reduced,
        humidity,
        elevation_m,
        temperature_follows: site.temperature.is_none(),
    };
    let spread = |input, origin, value, standard_uncertainty| InputSpread {
        input,
        origin,
        value,
        standard_uncertainty,
    };
    let spreads = [
        spread(Input::Temperature, temperature_origin, temperature_k, temperature_step),
        spread(
            Input::Pressure,
            pressure_origin,
            values.pressure_pa,
            pressure.standard_uncertainty.get::<pascal>(),
        ),
        spread(Input::Humidity, humidity_origin, humidity, humidity_step),
        spread(Input::Elevation, elevation_origin, elevation_m, elevation_step),
    ];
    (values, spreads)
}

impl Values {
    fn work_out(&self) -> Result<Worked, AirError> {
        let pressure_pa = if self.pressure_is_reduced {
            standard::pressure_pa(self.elevation_m + standard::pressure_height_m(self.pressure_pa)?)?
        } else {
            self.pressure_pa
        };
        let temperature = ThermodynamicTemperature::new::<kelvin>(self.temperature_k);
        let pressure = Pressure::new::<pascal>(pressure_pa);
        let moist = moist::at(temperature, pressure, Ratio::new::<ratio>(self.humidity))?;
        Ok(Worked {
            density_kg_per_m3: moist.density.get::<kilogram_per_cubic_meter>(),
            pressure_pa,
            virtual_temperature_k: moist.virtual_temperature(temperature).get::<kelvin>(),
        })
    }

    /// Change of a logarithm for one `step` of an input: the central difference over a tenth of it either way,
    /// cut short at the edges of what is possible (0 % and 100 % humidity).
    fn relative_change(
        &self,
        input: Input,
        step: f64,
        log_result: impl Fn(&Worked) -> Result<f64, AirError>,
    ) -> Result<f64, AirError> {
        let at = |share: f64| self.moved(input, share * step).work_out().and_then(|air| log_result(&air));
        let (low, high) = if input == Input::Humidity {
            (((0.0 - self.humidity) / step).max(-0.1), ((1.0 - self.humidity) / step).min(0.1))
        } else {
            (-0.1, 0.1)
        };
        Ok((at(high)? - at(low)?) / (high - low))
    }

    fn moved(mut self, input: Input, by: f64) -> Values {
        match input {
            Input::Temperature => self.temperature_k += by,
            Input::Pressure => self.pressure_pa += by,
            Input::Humidity => self.humidity += by,
            Input::Elevation => {
                if self.temperature_follows {
                    self.temperature_k += standard::temperature_k(self.elevation_m + by)
                        - standard::temperature_k(self.elevation_m);
                }
                self.elevation_m += by;
            }
            Input::Reduction | Input::Latitude | Input::Equation | Input::LoggerScale => {}
        }
        self
    }

    /// What it would change had the pressure been reduced with the day's temperature instead of the standard
    /// one, as a standard uncertainty (rectangular between the two rules' difference either way).
    fn reduction_doubt(&self, station_pa: f64) -> f64 {
        let standard_thickness_k = standard::temperature_k(self.elevation_m / 2.0);
        let lapse_k = standard::temperature_k(0.0) - standard_thickness_k;
        let days_thickness_k = self.temperature_k + lapse_k;
        let column = standard::STANDARD_GRAVITY_M_PER_S2 * self.elevation_m / standard::DRY_AIR_J_PER_KG_K;
        let other_pa = self.pressure_pa * exp(-column / days_thickness_k);
        ln(other_pa / station_pa).abs() / sqrt(3.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::contribution::{enter, estimate};
    use crate::ledger::{Ledger, LedgerId};

    fn celsius(value: f64, doubt: f64) -> Option<Reading<ThermodynamicTemperature, TemperatureInterval>> {
        Some(Reading {
            value: ThermodynamicTemperature::new::<degree_celsius>(value),
            standard_uncertainty: TemperatureInterval::new::<kelvin_interval>(doubt),
        })
    }

    fn hectopascals(value: f64, doubt: f64) -> Reading<Pressure> {
        Reading {
            value: Pressure::new::<hectopascal>(value),
            standard_uncertainty: Pressure::new::<hectopascal>(doubt),
        }
    }

    fn metres(value: f64, doubt: f64) -> Option<Reading<Length>> {
        Some(Reading {
            value: Length::new::<meter>(value),
            standard_uncertainty: Length::new::<meter>(doubt),
        })
    }

    fn share(air: &SiteDensity, input: Input) -> f64 {
        let found = air.contributions.iter().find(|contribution| contribution.input == input);
        found.map_or(0.0, |contribution| contribution.relative.get::<ratio>())
    }

    fn kilograms(air: &SiteDensity) -> f64 {
        air.density.get::<kilogram_per_cubic_meter>()
    }

    /// ln ρ = ln p − ln T + ..., so 1 K at 20 °C is −1/293 and 1 hPa at 1000 hPa is 1e-3; vapour adds a little to
    /// the first: warm air at the same relative humidity holds more of it (0.378 · h · dp_sv/dT / p = 0.027 % per K). The
    /// compressibility adds 1e-5 per K, which the tolerance covers.
    #[test]
    fn contributions_are_those_of_the_gas_law() {
        let site = SiteAir {
            temperature: celsius(20.0, 1.0),
            pressure: SitePressure::Station(hectopascals(1000.0, 1.0)),
            relative_humidity: Some(Reading {
                value: Ratio::new::<ratio>(0.5),
                standard_uncertainty: Ratio::new::<ratio>(0.1),
            }),
            ..SiteAir::UNKNOWN
        };
        let air = density(&site, &Subject::Whole).unwrap();
        assert!((share(&air, Input::Temperature) - (-1.0 / 293.15 - 0.000_274)).abs() < 1.5e-5);
        assert!((share(&air, Input::Pressure) - 1e-3).abs() < 5e-6);
        assert!((share(&air, Input::Humidity) + 0.378 * 0.1 * 23.39 / 1000.0).abs() < 1e-5);
        assert!(share(&air, Input::Elevation).abs() < 1e-15, "a station's pressure needs no elevation");
        assert!(air.findings.is_empty(), "{:?}", air.findings);
    }

    #[test]
    fn a_reduced_pressure_is_taken_back_to_the_station() {
        let known = SiteAir {
            temperature: celsius(13.05, 0.5),
            pressure: SitePressure::ReducedToSeaLevel(hectopascals(1013.25, 0.5)),
            elevation: metres(300.0, 5.0),
            ..SiteAir::UNKNOWN
        };
        let air = density(&known, &Subject::Whole).unwrap();
        let expected = standard::pressure_pa(300.0).unwrap();
        assert!((air.pressure.get::<pascal>() - expected).abs() < 1e-6);
        let not_taken_back = SiteAir { pressure: SitePressure::Station(hectopascals(1013.25, 0.5)), ..known };
        let wrong = density(&not_taken_back, &Subject::Whole).unwrap();
        assert!((kilograms(&wrong) / kilograms(&air) - 1.036).abs() < 5e-4, "3.6 % at 300 m");
        // At the standard temperature both rules of reduction agree; 25 K warmer they do not.
        assert!(share(&air, Input::Reduction) < 1e-4);
        let hot = SiteAir { temperature: celsius(38.0, 0.5), ..known };
        let hot = density(&hot, &Subject::Whole).unwrap();
        assert!(share(&hot, Input::Reduction) > 0.001 && share(&hot, Input::Reduction) < 0.003);
    }

    #[test]
    fn an_unstated_kind_of_pressure_is_taken_and_doubted() {
        let stated = SiteAir {
            temperature: celsius(15.0, 0.5),
            pressure: SitePressure::KindNotStated(hectopascals(1010.0, 0.5)),
            elevation: metres(300.0, 5.0),
            ..SiteAir::UNKNOWN
        };
        let air = density(&stated, &Subject::Whole).unwrap();
        assert!(air.pressure < Pressure::new::<hectopascal>(980.0), "taken for a reduced one");
        // ln(1010 / 974.5) / √12
        assert!((share(&air, Input::Reduction) - 0.0103).abs() < 2e-4);
        assert_eq!(air.findings[0].code, Code::AirPressureKindUnknown);
    }

    #[test]
    fn humidity_at_its_edges_has_a_contribution() {
        for humidity in [0.0, 1.0] {
            let reading = Reading {
                value: Ratio::new::<ratio>(humidity),
                standard_uncertainty: Ratio::new::<ratio>(0.05),
            };
            let site = SiteAir {
                temperature: celsius(20.0, 0.5),
                relative_humidity: Some(reading),
                ..SiteAir::UNKNOWN
            };
            let air = density(&site, &Subject::Whole).unwrap();
            assert!((share(&air, Input::Humidity) + 0.000_436).abs() < 1e-5, "at {humidity}");
        }
    }

    #[test]
    fn what_is_stated_outside_every_atmosphere_is_refused() {
        let humid =
            Some(Reading { value: Ratio::new::<ratio>(1.2), standard_uncertainty: Ratio::new::<ratio>(0.1) });
        let sites = [
            SiteAir { temperature: celsius(200.0, 1.0), ..SiteAir::UNKNOWN },
            SiteAir { pressure: SitePressure::Station(hectopascals(1.0, 0.1)), ..SiteAir::UNKNOWN },
            SiteAir { relative_humidity: humid, ..SiteAir::UNKNOWN },
            SiteAir { elevation: metres(99_000.0, 1.0), ..SiteAir::UNKNOWN },
        ];
        for site in sites {
            assert!(density(&site, &Subject::Whole).is_err(), "{site:?}");
        }
    }

    #[test]
    fn the_ledger_has_each_input_once_and_gives_the_same_uncertainty() {
        let air = density(&SiteAir::UNKNOWN, &Subject::Whole).unwrap();
        let mut ledger = Ledger::default();
        enter(&air.contributions, "session.may", &mut ledger);
        assert_eq!(ledger.len(), air.contributions.len());
        let estimate = estimate(kilograms(&air), &air.contributions, "session.may");
        let relative = estimate.standard_uncertainty() / estimate.value;
        assert!((relative - air.relative_standard_uncertainty.get::<ratio>()).abs() < 1e-15);
        assert!(estimate.parts.contains_key(&LedgerId::from("session.may.air-temperature")));
    }
}
