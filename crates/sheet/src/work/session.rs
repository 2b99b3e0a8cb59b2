//! A day and place of tests, or the site: its air and gravity, and what all its drops share.
//!
//! ρ by CIPM-2007 from temperature, pressure and humidity ([`silkfall_core::air::site`]), g by latitude and height. What
//! is not stated is assumed with its doubt. Ledger ids stand under `session.NAME` or `site`; the same entries reach the
//! density, the height scale and gravity, so that they cancel where they are truly shared.

use silkfall_core::air::{
    self, Contribution, Input as AirInput, Reading, SiteAir, SitePressure, contribution, site,
};
use silkfall_core::derivation::{Derivation, Function, NumberId, num, sym};
use silkfall_core::drag::Interval;
use silkfall_core::finding::Subject;
use silkfall_core::ledger::{Entry, Estimate, Sharing, Trust};
use silkfall_core::quantity::{
    Acceleration, Kind, Length, Pressure, Ratio, System, TemperatureInterval, ThermodynamicTemperature, show,
};
use silkfall_project::project::{Air, Session};
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::words::PressureIs;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::radian;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_interval;
use uom::si::thermodynamic_temperature::kelvin;

use super::notes::{Notes, closed, input, linear};
use crate::number::Number;
use crate::reduce::configuration::{Said, Spreads, day_density, named};
use crate::sheet::SessionSheet;

/// Air and gravity of one place and day.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PlaceWorked {
    /// Prefix of its ledger ids: `session.may`, `site`.
    pub prefix: String,
    /// Its air for core.
    pub air: SiteAir,
    /// ρ, kg/m³.
    pub density_kg_per_m3: Estimate,
    /// Gravity.
    pub gravity: Acceleration,
    /// Relative standard uncertainty of gravity, which belongs to the entry `latitude`.
    pub gravity_relative: f64,
    /// What its drops share.
    pub spreads: Spreads,
    /// Its numbers.
    pub sheet: SessionSheet,
    /// What it adds.
    pub notes: Notes,
}

impl PlaceWorked {
    /// The path of its gravity in the JSON.
    pub fn gravity_id(&self) -> NumberId {
        self.sheet.gravity.id.clone()
    }

    /// m·g over m: the mass estimate with the doubt of gravity.
    pub fn weighed(&self, mass_kg: Estimate) -> Estimate {
        let part = mass_kg.value * self.gravity_relative;
        if part > 0.0 {
            mass_kg.with(format!("{}.latitude", self.prefix), part, f64::INFINITY)
        } else {
            mass_kg
        }
    }
}

/// The air temperature used at a place.
pub(crate) fn temperature_of(place: &PlaceWorked) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<kelvin>(place.sheet.temperature.si)
}

/// A session of the project.
pub(crate) fn session(session: &Session) -> PlaceWorked {
    let name = &session.name.value;
    let spreads = Spreads {
        slow_air_m_per_s: said(&session.slow_air),
        clock: said(&session.clock),
        height_scale: said(&session.height_scale),
        wind: session.wind.given().map(Quantity::value),
    };
    let (prefix, path) = (format!("session.{name}"), format!("sessions.{name}"));
    place(&Of { name, prefix: &prefix, path: &path, spreads, sharing: Sharing::Knowledge }, &session.air)
}

fn said<Q: Measured>(known: &Known<Quantity<Q>>) -> Said {
    known.given().map_or(Said::Default, |quantity| Said::Given(quantity.si()))
}

/// Of what place and day.
pub(crate) struct Of<'a> {
    /// Its name.
    pub name: &'a str,
    /// Prefix of its ledger ids.
    pub prefix: &'a str,
    /// Where its numbers stand in the JSON.
    pub path: &'a str,
    /// What its drops share.
    pub spreads: Spreads,
    /// Whether its air is one day's, or differs from flight to flight.
    pub sharing: Sharing,
}

/// Air and gravity at a place.
pub(crate) fn place(of: &Of<'_>, air: &Air) -> PlaceWorked {
    let Of { name, prefix, path, spreads, .. } = *of;
    let mut notes = Notes::default();
    let about = Subject::Key(prefix.to_owned());
    let site_air = site_air(air);
    let mut findings = Vec::new();
    let density = day_density(&site_air, &about, &mut findings);
    let gravity = site::gravity_at(&site_air);
    findings.extend(density.findings.iter().cloned());
    for mut finding in findings {
        if let (None, Some(spot)) = (&finding.place, air.pressure.spot().or(air.temperature.spot())) {
            finding = finding.at(super::notes::PROJECT_FILE, Some(spot.line), Some(spot.column));
        }
        notes.find(finding);
    }
    for contribution in &density.contributions {
        let entry = Entry { sharing: of.sharing, ..named(contribution, Some(name)) };
        notes.enter(&contribution.ledger_id(prefix), entry);
    }
    let rho = density.density.get::<kilogram_per_cubic_meter>();
    let density_kg_per_m3 = contribution::estimate(rho, &density.contributions, prefix);
    let gravity_relative = gravity.relative_standard_uncertainty.get::<ratio>();
    let temperature_k = density.temperature.get::<kelvin>();
    let pressure_pa = density.pressure.get::<pascal>();

    let temperature = temperature(&mut notes, path, prefix, air, &density.contributions, temperature_k);
    let pressure = pressure(&mut notes, path, prefix, air, &density.contributions, pressure_pa);
    let how = density_how(&site_air, &density, &temperature.id, &pressure.id);
    let density_number =
        notes.derived(linear(format!("{path}.density"), &density_kg_per_m3, Kind::Density), how);
    let how = gravity_how(air);
    let estimate = Estimate::exact(gravity.gravity.get::<meter_per_second_squared>());
    let part = estimate.value * gravity_relative;
    let estimate = estimate.with(format!("{prefix}.latitude"), part, f64::INFINITY);
    let gravity_number = notes.derived(linear(format!("{path}.gravity"), &estimate, Kind::Acceleration), how);
    let sheet = SessionSheet {
        name: name.to_owned(),
        density: density_number,
        gravity: gravity_number,
        temperature,
        pressure,
        says: says(air),
    };
    PlaceWorked {
        prefix: prefix.to_owned(),
        air: site_air,
        density_kg_per_m3,
        gravity: gravity.gravity,
        gravity_relative,
        spreads,
        sheet,
        notes,
    }
}

/// What the project says of the air, for core; what is unknown is not there.
pub(crate) fn site_air(air: &Air) -> SiteAir {
    SiteAir {
        temperature: air.temperature.given().map(|t| Reading {
            value: t.value(),
            standard_uncertainty: TemperatureInterval::new::<kelvin_interval>(t.standard_uncertainty_si()),
        }),
        pressure: air.pressure.given().map_or(SitePressure::NotKnown, |p| {
            let reading = Reading {
                value: p.value(),
                standard_uncertainty: Pressure::new::<pascal>(p.standard_uncertainty_si()),
            };
            match air.pressure_is.given() {
                Some(PressureIs::SeaLevel) => SitePressure::ReducedToSeaLevel(reading),
                Some(PressureIs::Station) => SitePressure::Station(reading),
                None => SitePressure::KindNotStated(reading),
            }
        }),
        relative_humidity: air.humidity.given().map(|h| Reading {
            value: Ratio::new::<ratio>(h.si()),
            standard_uncertainty: Ratio::new::<ratio>(h.standard_uncertainty_si()),
        }),
        elevation: air.elevation.given().map(|e| Reading {
            value: e.value(),
            standard_uncertainty: Length::new::<meter>(e.standard_uncertainty_si()),
        }),
        latitude: air.latitude.given().map(Quantity::value),
    }
}

/// The input's spread about its value, where it has one.
fn interval(contributions: &[Contribution], of: AirInput, value: f64) -> Option<Interval> {
    let spread = contributions.iter().find(|c| c.input == of)?.standard_uncertainty;
    let half = 1.959_963_984_540_054 * spread;
    (half > 0.0).then_some(Interval { low: value - half, high: value + half })
}

fn temperature(
    notes: &mut Notes,
    path: &str,
    prefix: &str,
    air: &Air,
    contributions: &[Contribution],
    si: f64,
) -> Number {
    let id = NumberId(format!("{path}.temperature"));
    let interval_95 = interval(contributions, AirInput::Temperature, si);
    let number = Number { id, si, kind: Kind::Temperature, interval_95 };
    match air.temperature.given() {
        Some(given) => notes.given(number, &format!("{prefix}.temperature"), given.text()),
        None => {
            let (elevation_m, trust) = elevation(air);
            let how = closed(
                "T",
                "air temperature, taken from the standard atmosphere",
                Kind::Temperature,
                num(288.15) - num(0.0065) * sym("z"),
                vec![input("z", "elevation of the ground", elevation_m, Kind::Length, trust, None)],
                Trust::Memory("US Standard Atmosphere 1976".to_owned()),
            );
            notes.derived(Number { si: how.si, ..number }, how)
        }
    }
}

fn pressure(
    notes: &mut Notes,
    path: &str,
    prefix: &str,
    air: &Air,
    contributions: &[Contribution],
    si: f64,
) -> Number {
    let id = NumberId(format!("{path}.pressure"));
    let interval_95 = interval(contributions, AirInput::Pressure, si);
    let number = Number { id, si, kind: Kind::Pressure, interval_95 };
    // A pressure that was taken down from sea level differs from the stated one.
    let is_stations = |stated: f64| (stated - si).abs() < 1.0;
    match air.pressure.given() {
        Some(given) if is_stations(given.si()) => {
            notes.given(number, &format!("{prefix}.pressure"), given.text())
        }
        stated => {
            let (stated_pa, trust) = match stated {
                Some(given) => (given.si(), Trust::Given),
                None => (101_325.0, Trust::Assumed("the standard pressure at sea level".to_owned())),
            };
            let (elevation_m, of_elevation) = elevation(air);
            // (p/p₀)^(1/n) falls by L/T₀ a metre in the standard atmosphere below 11 km, n = g₀ M/(R L).
            let exponent = 5.255_876;
            let how = closed(
                "p",
                "pressure at the place: the stated one taken down from sea level as an altimeter setting is",
                Kind::Pressure,
                num(101_325.0)
                    * ((sym("p_0") / num(101_325.0)).pow(num(1.0) / num(exponent))
                        - num(0.0065) * sym("z") / num(288.15))
                    .pow(num(exponent)),
                vec![
                    input("p_0", "pressure reduced to sea level", stated_pa, Kind::Pressure, trust, None),
                    input("z", "elevation of the ground", elevation_m, Kind::Length, of_elevation, None),
                ],
                Trust::Memory("US Standard Atmosphere 1976".to_owned()),
            );
            notes.derived(Number { si: how.si, ..number }, how)
        }
    }
}

/// Elevation used, m.
fn elevation(air: &Air) -> (f64, Trust) {
    match air.elevation.given() {
        Some(given) => (given.si(), Trust::Given),
        None => (0.0, Trust::Assumed("no elevation is stated".to_owned())),
    }
}

/// CIPM-2007 with its numbers put in.
fn density_how(
    air: &SiteAir,
    density: &air::SiteDensity,
    temperature: &NumberId,
    pressure: &NumberId,
) -> Derivation {
    let moist = air::moist::at(density.temperature, density.pressure, density.relative_humidity)
        .expect("the density was worked out from this air");
    let source = Trust::Memory("Picard et al., Metrologia 45 (2008) 149, CIPM-2007".to_owned());
    let trust = |given: bool| {
        if given { Trust::Given } else { Trust::Assumed("nothing is stated".to_owned()) }
    };
    let known_pressure = !matches!(air.pressure, SitePressure::NotKnown);
    let mut derivation = closed(
        "rho",
        "density of moist air",
        Kind::Density,
        sym("p") * num(28.965_46e-3) / (sym("Z") * num(8.314_472) * sym("T"))
            * (num(1.0) - sym("x_v") * num(1.0 - 18.015_28e-3 / 28.965_46e-3)),
        vec![
            input(
                "p",
                "pressure",
                density.pressure.get::<pascal>(),
                Kind::Pressure,
                trust(known_pressure),
                Some(pressure),
            ),
            input(
                "T",
                "temperature",
                density.temperature.get::<kelvin>(),
                Kind::Temperature,
                trust(air.temperature.is_some()),
                Some(temperature),
            ),
            input(
                "Z",
                "compressibility",
                moist.compressibility.get::<ratio>(),
                Kind::Ratio,
                source.clone(),
                None,
            ),
            input(
                "x_v",
                "mole fraction of water vapour",
                moist.vapour_fraction.get::<ratio>(),
                Kind::Ratio,
                trust(air.relative_humidity.is_some()),
                None,
            ),
        ],
        source,
    );
    derivation.si = density.density.get::<kilogram_per_cubic_meter>();
    derivation
}

/// Normal gravity with its numbers put in.
fn gravity_how(air: &Air) -> Derivation {
    let (latitude, trust) = match air.latitude.given() {
        Some(given) => (given.value().get::<radian>(), Trust::Given),
        None => (45_f64.to_radians(), Trust::Assumed("no latitude is stated".to_owned())),
    };
    let (elevation_m, of_elevation) = elevation(air);
    let s = || sym("phi").call(Function::Sin).pow(2.0);
    let (a, f, m) = (6_378_137.0, 1.0 / 298.257_223_563, 0.003_449_786_506_84);
    closed(
        "g",
        "normal gravity",
        Kind::Acceleration,
        num(9.780_325_335_9) * (num(1.0) + num(0.001_931_852_652_41) * s())
            / (num(1.0) - num(0.006_694_379_990_14) * s()).root()
            * (num(1.0) - num(2.0 / a) * (num(1.0 + f + m) - num(2.0 * f) * s()) * sym("z")
                + num(3.0 / (a * a)) * sym("z").pow(2.0)),
        vec![
            input("phi", "latitude", latitude, Kind::Angle, trust, None),
            input("z", "elevation of the ground", elevation_m, Kind::Length, of_elevation, None),
        ],
        Trust::Published("WGS 84 (NIMA TR8350.2, 2000), equations 4-1 and 4-3".to_owned()),
    )
}

/// How the air was had.
fn says(air: &Air) -> String {
    let text = |known: Option<&str>, name: &str| known.map_or(format!("{name} not stated"), str::to_owned);
    let pressure = air.pressure.given().map(|p| match air.pressure_is.given() {
        Some(PressureIs::SeaLevel) => format!("{} reduced to sea level", p.text()),
        Some(PressureIs::Station) => format!("{} at the station", p.text()),
        None => format!("{}, at the station or reduced not stated", p.text()),
    });
    [
        text(air.temperature.given().map(Quantity::text), "temperature"),
        pressure.unwrap_or_else(|| "pressure not stated".to_owned()),
        text(air.humidity.given().map(|h| show(h.si(), 0.0, Kind::Share, System::Si)).as_deref(), "humidity"),
    ]
    .join(", ")
}
