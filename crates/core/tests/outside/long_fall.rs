//! Long falls against instruments that others let fall from aircraft: tests/data/dropsondes.
//!
//! A load under an open canopy keeps D ρ v²/2 = m g all the way down, while ρ grows sevenfold and v falls to a third. Core sees the
//! pressures and temperatures of each file only; against it stand the speeds its source worked out, and the drag area its source states.

use outside_check::check;
use silkfall_core::air::standard;
use silkfall_core::drag::{Fall, of_fall};
use silkfall_core::drops::{FindConfig, Found, find};
use silkfall_core::ledger::{Estimate, Trust};
use silkfall_core::quantity::Acceleration;
use silkfall_core::rates::{DropRate, Given, HeightScale, RateConfig, fit};
use silkfall_core::recording::{Channel, Recording, RowMap, Temperatures};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

const SOURCE: &str = "PyPI pydropsonde 0.5.5, its example data: three instruments under 0.09 m² canopies";
const FILES: [(&str, &str); 3] = [
    ("a", include_str!("../data/dropsondes/a.csv")),
    ("b", include_str!("../data/dropsondes/b.csv")),
    ("c", include_str!("../data/dropsondes/c.csv")),
];

/// What the source states, as settings of its processing.
const MASS_KG: f64 = 0.320;
const DRAG_AREA_M2: f64 = 0.0900 * 0.61;

/// Gas constant of dry air, J/(kg K): US Standard Atmosphere 1976, R*/M₀ = 8314.32/28.9644.
const DRY_AIR_J_PER_KG_K: f64 = 287.053;

/// Rows with pressure and temperature; the last has no speed.
#[derive(Default)]
struct Columns {
    time_s: Vec<f64>,
    pressure_pa: Vec<f64>,
    temperature_k: Vec<f64>,
    height_m: Vec<f64>,
    speed_m_per_s: Vec<Option<f64>>,
}

fn read(text: &str) -> Columns {
    let names: Vec<&str> = text.lines().next().expect("a line of names").split(',').collect();
    let at = |name: &str| names.iter().position(|n| *n == name).expect("a column of that name");
    let wanted = ["time_s", "pressure_hPa", "temp_C", "alt_m", "dz_m_s"].map(at);
    let mut columns = Columns::default();
    for row in text.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let [time, hectopascal, celsius, height, climb] = wanted.map(|n| cells[n].parse::<f64>().ok());
        if let (Some(time), Some(hectopascal), Some(celsius)) = (time, hectopascal, celsius) {
            columns.time_s.push(time);
            columns.pressure_pa.push(100.0 * hectopascal);
            columns.temperature_k.push(celsius + 273.15);
            columns.height_m.push(height.expect("a height with each pressure"));
            columns.speed_m_per_s.push(climb.map(|climb| -climb));
        }
    }
    columns
}

/// Temperatures in kelvin, 0 for a blank.
fn temperatures(kelvin: &[f64]) -> Temperatures {
    let written = |k: &f64| if *k > 0.0 { Temperatures::ODD } else { Temperatures::BLANK };
    let odd = kelvin.iter().copied().enumerate().filter(|odd| odd.1 > 0.0);
    Temperatures::new(kelvin.iter().map(written).collect(), odd.collect(), 1.0, 0.0)
}

/// Fits the one fall of a recording.
fn fitted(columns: &Columns, channel: Channel) -> DropRate {
    let first_s = columns.time_s[0];
    let recording = Recording {
        name: "dropsonde.csv".to_owned(),
        time_s: columns.time_s.iter().map(|t| t - first_s).collect::<Vec<_>>().into(),
        value: match channel {
            Channel::Pressure => columns.pressure_pa.clone().into(),
            Channel::PressureHeight | Channel::TrueHeight => columns.height_m.clone().into(),
        },
        channel,
        temperature_k: (channel == Channel::Pressure).then(|| temperatures(&columns.temperature_k)),
        segments: vec![0],
        rows: RowMap::default(),
    };
    let Found { falls, noise, .. } = find(&recording, &FindConfig::default());
    assert_eq!(falls.len(), 1, "one fall in the file");
    let given = Given {
        recording: &recording,
        fall: &falls[0],
        noise: &noise,
        scale: HeightScale::AS_RECORDED,
        window: None,
    };
    fit(&given, &RateConfig::default())
}

/// Rate at the reference density, m/s, and that density, kg/m³.
fn rate_and_density(drop: &DropRate) -> (f64, f64) {
    let rate = drop.rate().expect("a rate");
    (
        rate.rate.get::<meter_per_second>(),
        rate.reference_density.expect("a long fall has one").get::<kilogram_per_cubic_meter>(),
    )
}

/// Drag area over the stated one.
fn share_of_stated(drop: &DropRate) -> f64 {
    let (rate_m_per_s, density) = rate_and_density(drop);
    let fall = Fall {
        mass_kg: Estimate::exact(MASS_KG),
        rate_m_per_s: Estimate::exact(rate_m_per_s),
        density_kg_per_m3: Estimate::exact(density),
        gravity: Acceleration::new::<meter_per_second_squared>(standard::STANDARD_GRAVITY_M_PER_S2),
    };
    of_fall(&fall, Trust::Measured).0.value.exp() / DRAG_AREA_M2
}

/// ρ v²/2 of each row from the source's own speeds, Pa, from ten seconds after the release on; ascending.
fn dynamic_pressures_pa(columns: &Columns) -> Vec<f64> {
    let rows = columns.pressure_pa.iter().zip(&columns.temperature_k).zip(&columns.speed_m_per_s);
    let mut all: Vec<f64> = rows
        .zip(&columns.time_s)
        .filter(|(_, time)| **time > columns.time_s[0] + 10.0)
        .filter_map(|(((p, t), v), _)| v.map(|v| 0.5 * p / (DRY_AIR_J_PER_KG_K * t) * v * v))
        .collect();
    all.sort_by(f64::total_cmp);
    all
}

/// ρ v²/2 of the rate, Pa.
fn dynamic_pressure_pa(drop: &DropRate) -> f64 {
    let (rate_m_per_s, density) = rate_and_density(drop);
    0.5 * density * rate_m_per_s * rate_m_per_s
}

fn at_share(ascending: &[f64], share: f64) -> f64 {
    ascending[(share * (ascending.len() - 1) as f64) as usize]
}

#[test]
fn dynamic_pressure_stays_and_is_that_of_the_sources_own_speeds() {
    let (mut medians, mut deciles, mut by_height) = (Vec::new(), Vec::new(), Vec::new());
    for (name, text) in FILES {
        let columns = read(text);
        let theirs = dynamic_pressures_pa(&columns);
        let median = at_share(&theirs, 0.5);
        assert!((59.0..=71.0).contains(&median), "{name}: {median} Pa");
        let ours = fitted(&columns, Channel::Pressure);
        medians.push((name, dynamic_pressure_pa(&ours), median));
        for share in [0.1, 0.9] {
            deciles.push((format!("{name}, {share}"), at_share(&theirs, share), dynamic_pressure_pa(&ours)));
        }
        by_height.push((name, dynamic_pressure_pa(&fitted(&columns, Channel::TrueHeight)), median));
    }
    check! {
        area: "long falls", what: "dynamic pressure of the rate, from pressures and temperatures, Pa",
        against: SOURCE, leg: Independent,
        rows: medians, within_relative: 0.015,
        because: "a mean of rates over time here, a median of squares there, which a skewed slow air moves by a per cent",
    }
    check! {
        area: "long falls", what: "tenth and ninetieth hundredth of ρ v²/2 over the fall, Pa, against that of the one rate",
        against: SOURCE, leg: Independent,
        rows: deciles, within_relative: 0.07,
        because: "slow air of a third of a metre a second; density itself grows two- to sixfold",
    }
    check! {
        area: "long falls", what: "dynamic pressure of the rate from heights alone, standard atmosphere, Pa",
        against: SOURCE, leg: Independent,
        rows: by_height, within_relative: 0.03,
        because: "the tropics' air is up to some per cent thicker or thinner than the standard one",
    }
}

#[test]
fn drag_area_is_that_of_the_instrument() {
    // From the medians of the source's own speeds, worked apart: m g/(0.0549 m² · 63.75, 70.75, 59.86 Pa).
    let expected = [0.896, 0.807, 0.954];
    let ours = FILES.map(|(name, text)| (name, share_of_stated(&fitted(&read(text), Channel::Pressure))));
    check! {
        area: "long falls", what: "drag area over the stated 0.0549 m², by the source's own speeds",
        against: SOURCE, leg: Independent,
        rows: ours.into_iter().zip(expected).map(|((name, got), want)| (name, got, want)), within: 0.015,
        because: "as for the dynamic pressure, of which it is the inverse",
    }
    check! {
        area: "long falls", what: "drag area over the stated 0.0549 m²",
        against: SOURCE, leg: Published,
        rows: ours.map(|(name, got)| (name, got, 1.0)), within: 0.2,
        because: "mass, area and coefficient are stated settings, not weighings; the three instruments differ by 19 %",
    }
}

#[test]
fn steady_stretch_lies_inside_the_fall() {
    for (name, text) in FILES {
        let columns = read(text);
        let drop = fitted(&columns, Channel::Pressure);
        let whole_s = columns.time_s[columns.time_s.len() - 1] - columns.time_s[0];
        let from = drop.steady_from.expect("a rate, so a stretch").get::<second>();
        let to = drop.steady_to.expect("a rate, so a stretch").get::<second>();
        assert!(drop.release.get::<second>() <= from && from <= 15.0, "{name}: from {from} s");
        assert!(to <= whole_s && to > whole_s - 15.0, "{name}: to {to} s of {whole_s} s");
    }
}
