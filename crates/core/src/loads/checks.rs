//! Checks of the loads against closed forms and values computed independently of this project.

use outside_check::check;

use super::*;
use crate::loads::filling::Growth;

/// X₁ by A for j of ½, 1, 2 and 6, as printed in a table computed from the stated closed form with an adaptive integrator
/// (RK45) independently of this project.
const X1: [(f64, [f64; 4]); 16] = [
    (0.02, [0.1262, 0.0650, 0.0429, 0.0473]),
    (0.05, [0.1713, 0.1027, 0.0790, 0.1038]),
    (0.1, [0.2158, 0.1452, 0.1255, 0.1880]),
    (0.2, [0.2719, 0.2054, 0.1992, 0.3403]),
    (0.3, [0.3112, 0.2516, 0.2610, 0.4589]),
    (0.5, [0.3690, 0.3248, 0.3669, 0.6049]),
    (0.7, [0.4128, 0.3843, 0.4589, 0.6897]),
    (1.0, [0.4649, 0.4593, 0.5625, 0.7656]),
    (1.5, [0.5322, 0.5625, 0.6694, 0.8336]),
    (2.0, [0.5857, 0.6400, 0.7347, 0.8711]),
    (3.0, [0.6705, 0.7347, 0.8100, 0.9112]),
    (5.0, [0.7785, 0.8264, 0.8789, 0.9452]),
    (10.0, [0.8789, 0.9070, 0.9365, 0.9720]),
    (50.0, [0.9739, 0.9803, 0.9868, 0.9943]),
    (100.0, [0.9868, 0.9901, 0.9934, 0.9971]),
    (1000.0, [0.9987, 0.9990, 0.9993, 0.9997]),
];
const EXPONENTS: [f64; 4] = [0.5, 1.0, 2.0, 6.0];

fn level(ballistic: f64) -> Motion {
    Motion { ballistic, gravity: 0.0, air: 0.0, beside: 0.0, start: [1.0, 0.0] }
}

#[test]
fn the_closed_form_is_the_table() {
    let rows = X1.iter().flat_map(|(a, row)| {
        EXPONENTS.iter().zip(row).map(|(j, want)| (*a, horizontal_peak(*a, *j).share, *want))
    });
    check! {
        area: "loads", what: "share of q C_D S at the peak by A, exponents 1/2, 1, 2, 6",
        against: "64 values computed independently from the stated formula", leg: Closed,
        rows: rows.collect::<Vec<_>>(), within: 5e-5,
        because: "half a unit of the last printed digit",
    }
    // τ_m of the first rows of the same table.
    let times = [
        (0.02, 0.5, 0.0330),
        (0.02, 1.0, 0.1155),
        (0.02, 2.0, 0.3107),
        (0.02, 6.0, 0.7247),
        (0.1, 6.0, 0.9121),
        (0.5, 0.5, 0.2823),
        (0.5, 2.0, 0.9086),
        (1.0, 1.0, 0.8165),
        (2.0, 0.5, 0.7114),
    ];
    check! {
        area: "loads", what: "instant of that peak over the time to fill",
        against: "nine values of the same table", leg: Closed,
        rows: times.map(|(a, j, want)| (a, horizontal_peak(a, j).at, want)).to_vec(), within: 5e-5,
        because: "half a unit of the last printed digit",
    }
}

#[test]
fn the_march_is_the_closed_form_where_that_holds() {
    let mut worst: f64 = 0.0;
    let mut worst_at: f64 = 0.0;
    for (a, _) in X1 {
        for j in EXPONENTS {
            let (want, got) = (horizontal_peak(a, j), level(a).peak(&Ramp::new(j)));
            worst = worst.max((got.share / want.share - 1.0).abs());
            worst_at = worst_at.max((got.at - want.at).abs());
        }
    }
    check! {
        area: "loads", what: "largest relative error of the march over that table",
        against: "the closed form, 64 cases", leg: Closed,
        got: worst, want: 0.0, within: 1e-3,
        because: "what the number of steps was chosen for; an exponent of 6 is the hardest",
    }
    assert!(worst_at < 2e-3, "{worst_at}");
}

/// Halving the step takes 2⁴ off the error: the order of the rule.
#[test]
fn the_error_falls_with_the_fourth_power_of_the_step() {
    for j in [0.5, 1.0, 1.5, 2.0] {
        // At the end of the filling, so that the reading of the peak has no part in it.
        let end = |steps: usize| {
            let motion = Motion { gravity: 0.25, start: [0.3, 0.9], air: 0.1, ..level(0.4) };
            motion.trace(&[Growth::single(j)], 0.0, steps).last().unwrap().0.speed
        };
        let fine = end(2048);
        let order = 0.5 * ((end(32) - fine) / (end(128) - fine)).abs().log2();
        assert!((3.6..5.6).contains(&order), "order {order} at j = {j}");
    }
}

/// 10 kg under 2 m at 25 m/s: computed with an adaptive integrator independently of this project.
struct Example {
    mass_kg: f64,
    area_m2: f64,
    fill_s: f64,
}

const EXAMPLE: Example = Example { mass_kg: 10.0, area_m2: 2.356_194, fill_s: 0.64 };
const DENSITY: f64 = 1.225;
const G: f64 = 9.806_65;

fn hanging(example: &Example, speed: f64) -> (Motion, f64) {
    let ballistic = ballistic_parameter(example.mass_kg, DENSITY, example.area_m2, speed, example.fill_s);
    let q_area = 0.5 * DENSITY * speed * speed * example.area_m2;
    (
        Motion { ballistic, gravity: G * example.fill_s / speed, air: 0.0, beside: 0.0, start: [0.0, 1.0] },
        q_area,
    )
}

#[test]
fn the_example_level_and_hanging() {
    let (motion, q_area) = hanging(&EXAMPLE, 25.0);
    let level = |j| 1.7 * q_area * horizontal_peak(motion.ballistic, j).share;
    check! {
        area: "loads", what: "10 kg under 2 m at 25 m/s, level, exponents 1 and 2, N",
        against: "computed independently from the stated formula", leg: Closed,
        rows: vec![("1", level(1.0), 463.45), ("2", level(2.0), 511.17)], within: 0.01,
        because: "a unit of the last printed digit: inputs are printed to six",
    }
    let below = |j| motion.peak(&Ramp::with_steps(j, 64));
    check! {
        area: "loads", what: "the same hanging below, N",
        against: "computed independently with an adaptive integrator", leg: Independent,
        rows: vec![("1", 1.7 * q_area * below(1.0).share, 593.49), ("2", 1.7 * q_area * below(2.0).share, 714.13)],
        within: 0.02, because: "two units of the last printed digit: inputs are printed to six",
    }
    assert!((below(1.0).at - 0.616).abs() < 2e-3 && (below(2.0).at - 0.910).abs() < 2e-3);
    let quick = 1.7 * q_area * motion.peak(&Ramp::new(2.0)).share;
    assert!((quick / 714.13 - 1.0).abs() < 3e-4, "{quick}");
}

#[test]
fn with_gravity_by_a() {
    // Vertical, v_s = 20 m/s, t_f = 0.5 s.
    let peak = |ballistic, j| {
        let motion = Motion { ballistic, gravity: G * 0.5 / 20.0, air: 0.0, beside: 0.0, start: [0.0, 1.0] };
        motion.peak(&Ramp::with_steps(j, 64)).share
    };
    let table = [(0.1, 0.1633, 0.1547), (0.5, 0.4208, 0.5163), (1.0, 0.6591, 0.8237), (5.0, 1.2617, 1.3416)];
    let rows = table.iter().flat_map(|(a, one, two)| [(*a, peak(*a, 1.0), *one), (*a, peak(*a, 2.0), *two)]);
    check! {
        area: "loads", what: "share of q C_D S at the peak by A, hanging below, 20 m/s, 0.5 s, exponents 1 and 2",
        against: "eight values computed independently with an adaptive integrator", leg: Independent,
        rows: rows.collect::<Vec<_>>(), within: 6e-5,
        because: "half a unit of the last printed digit, and the march's own 1e-5",
    }
}

/// Two canopies of half the area each: 2/√2 m fills in 8 · 1.414/25 s.
#[test]
fn a_cluster_of_two_by_lag() {
    let fill_s = 8.0 * std::f64::consts::SQRT_2 / 25.0;
    let (motion, q_area) = hanging(&Example { fill_s, ..EXAMPLE }, 25.0);
    let half = |from: f64| Growth { gain: 0.5, from: from / fill_s, ..Growth::single(2.0) };
    let leading = |lag: f64| q_area * motion.peaks(&[half(0.0), half(lag)], 64).0[0].share;
    check! {
        area: "loads", what: "load on the leading of two canopies by lag in s, N",
        against: "computed independently with an adaptive integrator", leg: Independent,
        rows: vec![(0.0, leading(0.0), 248.0), (0.1, leading(0.1), 303.0), (0.2, leading(0.2), 344.0),
                   (0.3, leading(0.3), 366.0), (0.5, leading(0.5), 372.0)],
        within: 1.0, because: "a unit of the last printed digit: the last value is cut there, scipy gives 372.78",
    }
    // Bounded by one of them that catches the whole mass.
    let alone = Motion { ballistic: 2.0 * motion.ballistic, ..motion };
    assert!(
        (leading(0.5) / (0.5 * q_area * alone.peak(&Ramp::with_steps(2.0, 64)).share) - 1.0).abs() < 1e-4
    );
}

#[test]
fn snatch_air_and_units() {
    check! {
        area: "loads", what: "snatch of 1.5 kg at 12 m/s on 5 kN/m, N",
        against: "computed independently from the stated formula", leg: Closed,
        got: snatch_n(1.5, 12.0, 5_000.0), want: 1039.0, within: 0.5,
        because: "half a unit of the last printed digit",
    }
    check! {
        area: "loads", what: "fill constant 4 of feet and seconds with exponent 0.85, in metres",
        against: "computed independently from the stated formula", leg: Closed,
        got: fill_constant_from_feet(4.0, 0.85), want: 4.78, within: 0.005,
        because: "half a unit of the last printed digit",
    }
}
