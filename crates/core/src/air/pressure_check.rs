//! Whether a stated pressure and a stated elevation can both be right.
//!
//! Weather reports give pressure reduced to sea level; taken for the station's, it makes the air too dense by 3.6 % at
//! 300 m. At the elevation E the station's own pressure is near p_std(E), a reduced one near 1013.25 hPa, each
//! give or take the weather (10 hPa, our judgement). In units of that spread, a statement z₁ away from its own kind and
//! z₂ away from the other is doubted where |z₁| > 2 and |z₂| < |z₁| − 1 (it fits the other kind better), or where |z₁| > 4
//! (it fits no weather). Below some 150 m the two kinds cannot be told apart, and the error is below 1.8 %.

use uom::si::length::meter;
use uom::si::pressure::{hectopascal, pascal};

use super::site::WEATHER_PRESSURE_PA;
use super::{Reading, SiteAir, SitePressure, standard};
use crate::finding::{Code, Finding, Subject};
use crate::maths::ln;
use crate::quantity::Pressure;

/// Spreads of weather beyond which a statement is looked at.
const ODD: f64 = 2.0;
/// By how many spreads the other kind has to fit better.
const BETTER_BY: f64 = 1.0;
/// Spreads of weather beyond which a statement fits nothing.
const IMPOSSIBLE: f64 = 4.0;

/// A finding where the site's pressure disagrees with its elevation.
pub(super) fn finding(site: &SiteAir, subject: &Subject) -> Option<Finding> {
    let elevation_m = site.elevation?.value.get::<meter>();
    let expected_pa = standard::pressure_pa(elevation_m).ok()?;
    let away = |pressure_pa: f64, from_pa: f64| ((pressure_pa - from_pa) / WEATHER_PRESSURE_PA).abs();
    let sea_level_pa = standard::SEA_LEVEL_PRESSURE_PA;
    let density_error = ln(sea_level_pa / expected_pa).abs() * 100.0;
    match site.pressure {
        // One whose kind is not stated has a finding of its own.
        SitePressure::NotKnown | SitePressure::KindNotStated(_) => None,
        SitePressure::Station(reading) => {
            let stated_pa = reading.value.get::<pascal>();
            let (own, other) = (away(stated_pa, expected_pa), away(stated_pa, sea_level_pa));
            doubted(own, other).then(|| {
                let finding = Finding::new(
                    Code::AirPressureElevation,
                    subject.clone(),
                    format!(
                        "a station pressure of {:.1} hPa at an elevation of {elevation_m:.0} m; expected about {:.1} hPa",
                        reading.value.get::<hectopascal>(),
                        expected_pa / 100.0
                    ),
                );
                if other < own {
                    finding.hint(format!(
                        "pressure is often reduced to sea level ({density_error:.1} % of density here): if this one is, say so"
                    ))
                } else {
                    finding
                }
            })
        }
        SitePressure::ReducedToSeaLevel(reading) => {
            let stated_pa = reading.value.get::<pascal>();
            let (own, other) = (away(stated_pa, sea_level_pa), away(stated_pa, expected_pa));
            doubted(own, other).then(|| {
                let finding = Finding::new(
                    Code::AirPressureElevation,
                    subject.clone(),
                    format!(
                        "a pressure reduced to sea level of {:.1} hPa; expected about {:.1} hPa",
                        reading.value.get::<hectopascal>(),
                        sea_level_pa / 100.0
                    ),
                );
                if other < own {
                    finding.hint(format!(
                        "it is near what a barometer at {elevation_m:.0} m reads ({:.1} hPa): if it was read there, say station pressure",
                        expected_pa / 100.0
                    ))
                } else {
                    finding
                }
            })
        }
    }
}

/// The site with a pressure of unstated kind taken for the likelier one, and with the other where both are possible.
pub(super) fn likelier_kind(site: &SiteAir) -> (SiteAir, Option<SiteAir>) {
    let SitePressure::KindNotStated(reading) = site.pressure else { return (*site, None) };
    let with = |kind: fn(Reading<Pressure>) -> SitePressure| SiteAir { pressure: kind(reading), ..*site };
    let (station, reduced) = (with(SitePressure::Station), with(SitePressure::ReducedToSeaLevel));
    let expected = site.elevation.map(|elevation| standard::pressure_pa(elevation.value.get::<meter>()));
    match expected {
        None | Some(Err(_)) => (station, None),
        Some(Ok(expected_pa)) => {
            let stated_pa = reading.value.get::<pascal>();
            let from_station = (stated_pa - expected_pa).abs();
            let from_sea_level = (stated_pa - standard::SEA_LEVEL_PRESSURE_PA).abs();
            if from_station <= from_sea_level { (station, Some(reduced)) } else { (reduced, Some(station)) }
        }
    }
}

/// Which kind a pressure of unstated kind was taken for, and what the other would change.
pub(super) fn kind_finding(taken: &SiteAir, apart: f64, subject: &Subject) -> Finding {
    let kind = match taken.pressure {
        SitePressure::ReducedToSeaLevel(_) => "reduced to sea level",
        _ => "the station's own",
    };
    let message = format!(
        "the pressure is taken for one {kind}, by the elevation; the other kind would change density by {:.1} %",
        apart * 100.0
    );
    Finding::new(Code::AirPressureKindUnknown, subject.clone(), message)
}

fn doubted(own: f64, other: f64) -> bool {
    own > IMPOSSIBLE || (own > ODD && other < own - BETTER_BY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn site(elevation_m: f64, kind: fn(Reading<Pressure>) -> SitePressure, hpa: f64) -> SiteAir {
        let pressure = kind(Reading {
            value: Pressure::new::<hectopascal>(hpa),
            standard_uncertainty: Pressure::new::<hectopascal>(0.5),
        });
        let elevation = Some(Reading {
            value: Length::new::<meter>(elevation_m),
            standard_uncertainty: Length::new::<meter>(1.0),
        });
        SiteAir { pressure, elevation, ..SiteAir::UNKNOWN }
    }

    #[test]
    fn a_reduced_pressure_called_the_stations_is_noticed() {
        let found = finding(&site(300.0, SitePressure::Station, 1013.0), &Subject::Whole).unwrap();
        assert_eq!(found.code, Code::AirPressureElevation);
        assert!(found.message.contains("expected about 977.7 hPa"), "{}", found.message);
        assert!(found.hint.unwrap().contains("reduced to sea level (3.6 % of density here)"));
    }

    #[test]
    fn a_stations_pressure_called_reduced_is_noticed() {
        let found = finding(&site(300.0, SitePressure::ReducedToSeaLevel, 977.0), &Subject::Whole).unwrap();
        assert!(found.hint.unwrap().contains("station pressure"));
    }

    #[test]
    fn ordinary_weather_is_not() {
        for hpa in [995.0, 1013.0, 1032.0] {
            assert_eq!(finding(&site(300.0, SitePressure::ReducedToSeaLevel, hpa), &Subject::Whole), None);
            let at_300_m = hpa - 35.5;
            assert_eq!(finding(&site(300.0, SitePressure::Station, at_300_m), &Subject::Whole), None);
        }
    }

    #[test]
    fn an_unstated_kind_is_taken_by_the_elevation() {
        let taken = |hpa| likelier_kind(&site(300.0, SitePressure::KindNotStated, hpa));
        assert!(matches!(taken(1009.0).0.pressure, SitePressure::ReducedToSeaLevel(_)));
        assert!(matches!(taken(981.0).0.pressure, SitePressure::Station(_)));
        let no_elevation = SiteAir { elevation: None, ..site(0.0, SitePressure::KindNotStated, 981.0) };
        assert_eq!(likelier_kind(&no_elevation).1, None);
    }

    #[test]
    fn a_pressure_that_fits_no_weather_is_noticed_without_a_guess() {
        let found = finding(&site(0.0, SitePressure::Station, 930.0), &Subject::Whole).unwrap();
        assert_eq!(found.hint, None);
    }
}
