//! The drag fit against scipy's bounded least squares and its Monte Carlo: tests/reference/drag.

use outside_check::check;
use silkfall_core::drag::{Below, Canopy, Configuration, Drag, Fall, TestArea, fit, of_fall};
use silkfall_core::ledger::{Estimate, Ledger, Trust};
use uom::si::acceleration::meter_per_second_squared;

const REFERENCE: &str = include_str!("../reference/drag/reference.csv");
const AGAINST: &str =
    "tests/reference/drag/make.py, scipy 1.17.1 least_squares, bounded, and 4,000 refits of drawn tests";

/// Name, serials, distance of the body below, ln D, own standard deviation, part of the day's slow air: as in make.py.
type Row = (&'static str, &'static [&'static str], Option<f64>, f64, f64, f64);

const FULL: [Row; 8] = [
    ("1a", &["a"], None, 0.010, 0.030, 0.02),
    ("1b", &["b"], None, -0.015, 0.025, 0.02),
    ("2", &["a", "b"], None, 0.660, 0.020, 0.02),
    ("3", &["a", "b", "c"], None, 1.020, 0.020, -0.01),
    ("1s", &["a"], Some(1.5), 0.490, 0.030, 0.02),
    ("1l", &["a"], Some(4.5), 0.580, 0.030, -0.01),
    ("2s", &["a", "b"], Some(1.5), 0.965, 0.020, -0.01),
    ("3s", &["a", "b", "c"], Some(1.5), 1.240, 0.020, 0.00),
];

fn alone(two_with_the_body: f64) -> [Row; 5] {
    [
        ("1", &["a"], None, 0.000, 0.020, if two_with_the_body < 0.9 { 0.01 } else { 0.0 }),
        ("2", &["a", "b"], None, 0.650, 0.020, if two_with_the_body < 0.9 { 0.01 } else { 0.0 }),
        ("1s", &["a"], Some(2.0), 0.350, 0.020, 0.00),
        ("2s", &["a", "b"], Some(2.0), two_with_the_body, 0.020, 0.00),
        ("0", &[], Some(2.0), -0.400, 0.030, 0.00),
    ]
}

fn fitted(rows: &[Row]) -> Drag {
    let test = |row: &Row| {
        let (name, serials, distance_m, ln_area, own, air) = *row;
        let rate = (-0.5 * ln_area).exp();
        let fall = Fall {
            mass_kg: Estimate::exact(1.0),
            rate_m_per_s: Estimate::exact(rate)
                .with(format!("{name}.rate"), -0.5 * rate * own, f64::INFINITY)
                .with("slow-air", -0.5 * rate * air, f64::INFINITY),
            density_kg_per_m3: Estimate::exact(2.0 * 9.8),
            gravity: silkfall_core::quantity::Acceleration::new::<meter_per_second_squared>(9.8),
        };
        let (ln_area, how) = of_fall(&fall, Trust::Measured);
        let canopies =
            serials.iter().map(|s| Canopy { kind: "plain".to_owned(), serial: (*s).to_owned() }).collect();
        let below = distance_m.map_or(Below::Weight, |x| Below::Body { distance_m: Some(x) });
        TestArea { name: name.to_owned(), configuration: Configuration { canopies, below }, ln_area, how }
    };
    fit(rows.iter().map(test).collect(), "x", &mut Ledger::default())
}

/// Value and standard uncertainty of a factor, by the name it has in the reference; logarithms where it says so.
fn factor(drag: &Drag, name: &str) -> (f64, f64) {
    let body = drag.body.as_ref().expect("tests of the body");
    let number = |prefix: &str| -> Option<usize> { name.strip_prefix(prefix)?.parse().ok() };
    let (factor, is_log) = if name == "ln_area" {
        (drag.kinds[0].mean.factor(), true)
    } else if let Some(count) = number("ln_cluster.") {
        (drag.clusters.iter().find(|c| c.count == count).and_then(|c| c.factor.factor()), true)
    } else if name == "body" {
        (body.area.factor(), false)
    } else {
        let count = number("share.").expect("one of the reference's names");
        (body.shielded.iter().find(|s| s.count == count).and_then(|s| s.share.factor()), false)
    };
    let factor = factor.expect("told");
    let own = factor.estimate.standard_uncertainty();
    match (is_log, factor.scale) {
        (true, _) => (factor.value.ln(), own),
        (false, silkfall_core::drag::Scale::Log) => (factor.value, own * factor.value),
        (false, silkfall_core::drag::Scale::Linear) => (factor.value, own),
    }
}

#[test]
fn values_and_uncertainties_are_those_of_another_program() {
    let campaigns =
        [("full", fitted(&FULL)), ("alone", fitted(&alone(0.890))), ("bound", fitted(&alone(0.990)))];
    let (mut values, mut doubts) = (Vec::new(), Vec::new());
    for line in REFERENCE.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let (campaign, name, value) = (cells[0], cells[1], cells[2].parse::<f64>().unwrap());
        let drag = &campaigns.iter().find(|(label, _)| *label == campaign).unwrap().1;
        if name == "chi_squared" {
            values.push((format!("{campaign} {name}"), drag.chi_squared, value));
            continue;
        }
        let (got, uncertainty) = factor(drag, name);
        values.push((format!("{campaign} {name}"), got, value));
        let drawn: f64 = cells[3].parse().unwrap();
        doubts.push((format!("{campaign} {name}"), uncertainty / drawn, 1.0));
    }
    assert_eq!((values.len(), doubts.len()), (20, 17));
    check! {
        area: "drag areas", what: "canopy and body areas, cluster factors, wake shares and chi-squared of three campaigns",
        against: AGAINST, leg: Independent,
        rows: values, within: 2e-5,
        because: "variances of ln D here have 1e-10 added, and scipy stops a little short of a bound",
    }
    check! {
        area: "drag areas", what: "standard uncertainties of the same, over those drawn",
        against: AGAINST, leg: Independent,
        rows: doubts, within: 0.08,
        because: "4,000 draws tell a standard deviation to 1.1 %; the rest is the curvature that first order leaves out",
    }
}
