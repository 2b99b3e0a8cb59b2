//! Hanging against scipy, which turns and moves the whole body: tests/reference/hanging.

use std::collections::BTreeMap;

use outside_check::check;
use silkfall_core::hanging::{Harness, Load, hang};

const REFERENCE: &str = include_str!("../reference/hanging/reference.csv");
const AGAINST: &str = "tests/reference/hanging/make.py, scipy 1.17.1 SLSQP, least potential energy of the body as a whole from 60 starts";

/// What the reference says of one harness.
#[derive(Default)]
struct Row {
    harness: Option<Harness>,
    pitch_rad: f64,
    tensions_n: Vec<f64>,
}

fn rows() -> BTreeMap<usize, Row> {
    let mut rows: BTreeMap<usize, Row> = BTreeMap::new();
    for line in REFERENCE.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let place = [3, 4, 5].map(|at: usize| cells[at].parse::<f64>().expect("a number"));
        let row = rows.entry(cells[0].parse().expect("a number")).or_default();
        let harness = row.harness.get_or_insert_with(|| Harness {
            points: Vec::new(),
            legs_m: Vec::new(),
            centre_of_mass: [0.0; 3],
            centre_of_area: [0.0; 3],
            weight_n: 100.0,
            drag_n: 0.0,
        });
        match cells[1] {
            "point" => harness.points.push(place),
            "mass" => harness.centre_of_mass = place,
            "area" => harness.centre_of_area = place,
            "drag" => harness.drag_n = place[0],
            "leg" => harness.legs_m.push(place[0]),
            "pitch" => row.pitch_rad = place[0],
            "tension" => row.tensions_n.push(place[0]),
            other => panic!("{other}"),
        }
    }
    rows
}

#[test]
fn angles_and_tensions_are_those_of_least_energy() {
    let (mut pitches, mut tensions, mut slack) = (Vec::new(), Vec::new(), 0);
    for (number, row) in rows() {
        let hang = hang(row.harness.as_ref().unwrap()).unwrap();
        pitches.push((format!("{number}"), hang.pitch_rad.to_degrees(), row.pitch_rad.to_degrees()));
        for (i, (load, want)) in hang.legs.iter().zip(&row.tensions_n).enumerate() {
            let got = match load {
                Load::Taut(n) => *n,
                Load::Slack(_) => 0.0,
                Load::Between(..) => panic!("{number}.{i} is not told apart"),
            };
            slack += usize::from(got == 0.0);
            tensions.push((format!("{number}.{i}"), got, *want));
        }
    }
    assert!(slack >= 4, "slack legs are among them: {slack}");
    check! {
        area: "hanging", what: "angle of eight invented harnesses of two to five legs, some slack, at rest and in descent, °",
        against: AGAINST, leg: Independent,
        rows: pitches, within: 0.01, because: "the minimum is flat: scipy stops where the energy no longer falls",
    }
    check! {
        area: "hanging", what: "tension of each of their legs, N of 100 N weight",
        against: AGAINST, leg: Independent,
        rows: tensions, within: 0.02, because: "central differences of the least energy over 0.2 mm of leg",
    }
}
