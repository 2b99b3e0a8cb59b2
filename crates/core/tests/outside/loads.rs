//! Openings against scipy, which steps them along time in SI: tests/reference/loads.

use outside_check::check;
use silkfall_core::landing::Holds;
use silkfall_core::loads::{
    Growth, Motion, Over, Reefed, STEPS, Slung, ballistic_parameter, reefing_line_m, snatch_n,
};

const REFERENCE: &str = include_str!("../reference/loads/openings.csv");
const AGAINST: &str = "tests/reference/loads/make.py, scipy 1.17.1 DOP853 at rtol 1e-11";

/// A row: its cells by the names of the columns.
fn rows() -> Vec<Vec<&'static str>> {
    REFERENCE.lines().skip(2).map(|line| line.split(',').collect()).collect()
}

fn number(row: &[&str], column: usize) -> f64 {
    row[column].parse().expect("a number")
}

#[test]
fn six_openings_of_one_to_three_canopies() {
    let (mut leading, mut together, mut lost) = (Vec::new(), Vec::new(), Vec::new());
    for row in rows().into_iter().filter(|row| row[1] == "cluster") {
        let of = |column: usize| number(&row, column);
        let [mass, density, area, beside, air, exponent, distance] = [2, 3, 4, 5, 6, 7, 8].map(of);
        let start = [of(9), of(10)];
        let speed = start[0].hypot(start[1]);
        let unit_s = distance / speed;
        let motion = Motion {
            ballistic: ballistic_parameter(mass, density, area, speed, unit_s),
            gravity: 9.80665 * unit_s / speed,
            air: air / mass,
            beside: beside / area,
            start: start.map(|v| v / speed),
        };
        let lags: Vec<f64> = row[11].split(';').map(|lag| lag.parse().expect("a number")).collect();
        let canopies: Vec<Growth> = lags
            .iter()
            .map(|lag| Growth {
                gain: 1.0 / lags.len() as f64,
                from: lag / unit_s,
                ..Growth::single(exponent)
            })
            .collect();
        let unit_n = 0.5 * density * speed * speed * area;
        let opened = motion.open(&canopies, 0.0, 2 * STEPS);
        leading.push((row[0], opened.each[0].share * unit_n, of(15)));
        together.push((row[0], opened.all.share * unit_n, of(16)));
        lost.push((row[0], opened.end.fallen * distance, of(17)));
    }
    assert_eq!(leading.len(), 6);
    let within = 0.05;
    let because = "a part in five thousand of the least of them, at twice the steps that the program takes";
    check! {
        area: "loads", what: "largest pull of one or the leading canopy, six openings, N",
        against: AGAINST, leg: Independent, rows: leading, within: within, because: because,
    }
    check! {
        area: "loads", what: "largest pull of all canopies together, six openings, N",
        against: AGAINST, leg: Independent, rows: together, within: within, because: because,
    }
    check! {
        area: "loads", what: "height from line stretch until all is open, six openings, m",
        against: AGAINST, leg: Independent, rows: lost, within: 1e-3,
        because: "a millimetre",
    }
}

#[test]
fn a_canopy_held_by_a_line_and_one_by_a_slider() {
    let (mut held_n, mut after_n, mut lost_m) = (Vec::new(), Vec::new(), Vec::new());
    for row in rows().into_iter().filter(|row| row[1] != "cluster") {
        let of = |column: usize| number(&row, column);
        let over = Over::Distance(of(8));
        let steps = Reefed {
            slung: Slung {
                mass_kg: of(2),
                density: of(3),
                gravity: 9.80665,
                area_m2: of(4),
                beside_m2: of(5),
                air_kg: of(6),
            },
            start: [of(9), of(10)],
            share: of(12),
            by: if row[1] == "slider" { Holds::Slider } else { Holds::Line },
            held_s: of(13),
            first: (over, of(14)),
            second: (over, of(7)),
        }
        .work();
        held_n.push((row[0], steps.held_n, of(15)));
        after_n.push((row[0], steps.after_n, of(16)));
        lost_m.push((row[0], steps.lost_m, of(17)));
    }
    assert_eq!(held_n.len(), 2);
    check! {
        area: "loads", what: "largest pull while held by a line and by a slider, N",
        against: AGAINST, leg: Independent, rows: held_n, within: 0.2,
        because: "a part in a thousand, for which the number of steps was chosen",
    }
    check! {
        area: "loads", what: "largest pull after it is let go, N",
        against: AGAINST, leg: Independent, rows: after_n, within: 0.2,
        because: "a part in a thousand, for which the number of steps was chosen",
    }
    check! {
        area: "loads", what: "height from line stretch until all is open, held at first, m",
        against: AGAINST, leg: Independent, rows: lost_m, within: 5e-3,
        because: "half a centimetre: the fall while held is long against the steps",
    }
}

/// A canopy held to all of itself is not held, and a smaller one lets go faster and loses more height.
#[test]
fn holding_less_is_no_holding_and_holding_more_takes_more_height() {
    let over = Over::Distance(15.0);
    let of = |share: f64| {
        Reefed {
            slung: Slung {
                mass_kg: 8.0,
                density: 1.2,
                gravity: 9.80665,
                area_m2: 2.5,
                beside_m2: 0.1,
                air_kg: 0.6,
            },
            start: [0.0, 30.0],
            share,
            by: Holds::Line,
            held_s: 1.5,
            first: (over, 0.5),
            second: (over, 2.0),
        }
        .work()
    };
    let shares = [0.05, 0.1, 0.2, 0.4, 0.7];
    for pair in shares.windows(2) {
        let (small, large) = (of(pair[0]), of(pair[1]));
        assert!(small.let_go_m_per_s > large.let_go_m_per_s && small.lost_m > large.lost_m);
        assert!(small.held_n < large.held_n && small.after_n >= large.after_n);
    }
}

#[test]
fn a_reefing_line_goes_round_the_mouth() {
    // All open: the circle itself, π D. A quarter of the drag area has half of it.
    let circle = std::f64::consts::PI * 1.25;
    assert!((reefing_line_m(1.25, 1.0, 1.0) - circle).abs() < 1e-12);
    assert!((reefing_line_m(1.25, 0.25, 1.0) - circle / 2.0).abs() < 1e-12);
}

/// A softer cord is snatched less hard: four times the length, half the force.
#[test]
fn a_snatch_goes_with_the_root_of_the_stiffness() {
    assert!((snatch_n(1.5, 12.0, 5_000.0) / snatch_n(1.5, 12.0, 1_250.0) - 2.0).abs() < 1e-12);
}
