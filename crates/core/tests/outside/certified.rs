//! Least squares and correlated inputs on data whose answers are proven by working them out anew: polynomials of NIST StRD in
//! exact rational arithmetic (`reference/stats/make_exact.py`), and the example H.2 of JCGM 100:2008.

use nalgebra::DMatrix;
use outside_check::check;
use silkfall_core::ledger::Estimate;
use silkfall_core::stats::sample::Sample;

use crate::stats::{certified, errors_of, fit_alike, number, table};

const EXACT: &str = "from memory of NIST StRD; certified values recomputed in exact rational arithmetic";

/// Coefficients, their standard errors, and the residual standard deviation of a data set.
fn exact(name: &str) -> (Vec<f64>, Vec<f64>, f64) {
    let rows: Vec<_> = table(include_str!("../reference/stats/exact.csv"))
        .into_iter()
        .filter(|row| row[0] == name)
        .collect();
    let (deviation, coefficients) = rows.split_last().expect("the data set stands in the file");
    assert_eq!(deviation[1], "deviation");
    let column = |at: usize| coefficients.iter().map(|row| number(row[at])).collect();
    (column(2), column(3), number(deviation[2]))
}

/// A polynomial through x and y against the exact solution.
fn polynomial(name: &str, x: &[f64], y: &[f64], within: [f64; 3], because: &str) {
    let (coefficients, errors, deviation) = exact(name);
    let curve = fit_alike(x.len(), coefficients.len(), |row, power| x[row].powi(power as i32), y);
    let data = format!("NIST StRD, {name}, {EXACT}");
    let what = "coefficients of a polynomial through what does not lie on it";
    certified(what, &data, curve.coefficients.as_slice(), &coefficients, within[0], because);
    certified("their standard errors", &data, &errors_of(&curve), &errors, within[1], because);
    check! {
        area: "statistics", what: "residual standard deviation of a polynomial", against: &data, leg: Published,
        got: curve.residual_standard_deviation().expect("more rows than columns"), want: deviation,
        within_relative: within[2], because: because,
    }
}

/// The polynomial 1 + x + ... + x⁵ at 0 to 20, and deviations that no coefficient takes up.
#[test]
fn wampler_with_deviations() {
    const DELTA: [i32; 21] = [
        759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 1838, -2048, 2048,
        -2048, 2523, -2048, 2048, -2048, 759,
    ];
    let x: Vec<f64> = (0..21).map(f64::from).collect();
    for (name, size, within) in [("Wampler3", 1.0, 1e-8), ("Wampler4", 100.0, 1e-6), ("Wampler5", 1e4, 1e-4)]
    {
        let y: Vec<f64> = x
            .iter()
            .zip(DELTA)
            .map(|(x, delta)| (0..6).map(|power| x.powi(power)).sum::<f64>() + size * f64::from(delta))
            .collect();
        polynomial(
            name,
            &x,
            &y,
            [within, 1e-9, 1e-11],
            "condition of the columns 5e6; coefficients of 1 beside deviations of 2e3, 2e5, 2e7 lose as many digits more",
        );
    }
}

/// The tenth power of -9 to -3: eleven columns that are nearly one.
#[test]
fn filip() {
    let rows = table(include_str!("../reference/stats/filip.csv"));
    let column = |at: usize| rows.iter().map(|row| number(row[at])).collect::<Vec<f64>>();
    polynomial(
        "Filip",
        &column(1),
        &column(0),
        [1e-6, 1e-6, 1e-7],
        "condition of the columns 5e9, once scaled alike: 16 digits less those",
    );
}

/// JCGM 100:2008, H.2: resistance, reactance and impedance from means of voltage, current and phase taken together, five
/// times. What the inputs share is said by three independent parts: the rows of the Cholesky factor of their covariance.
#[test]
fn resistance_and_reactance() {
    let guide = "JCGM 100:2008, H.2 (its readings from memory of that example; its results come out)";
    let readings = [
        [5.007, 4.994, 5.005, 4.990, 4.999],
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    ];
    let mean = readings.map(|row| Sample::new(row.to_vec()).expect("five readings").mean());
    let covariance = DMatrix::from_fn(3, 3, |a, b| {
        let product = |i: usize| (readings[a][i] - mean[a]) * (readings[b][i] - mean[b]);
        (0..5).map(product).sum::<f64>() / (5.0 * 4.0)
    });
    let parts = covariance.cholesky().expect("no reading follows from the others").l();
    let [voltage, current, phase] = mean;
    let [sin, cos] = [phase.sin(), phase.cos()];
    let ratio = voltage / current;
    let result = |value: f64, slopes: [f64; 3]| {
        (0..3).fold(Estimate::exact(value), |sum, part| {
            let signed = (0..3).map(|input| slopes[input] * parts[(input, part)]).sum();
            sum.with(format!("{part}"), signed, 4.0)
        })
    };
    let r = result(ratio * cos, [cos / current, -ratio * cos / current, -ratio * sin]);
    let x = result(ratio * sin, [sin / current, -ratio * sin / current, ratio * cos]);
    let z = result(ratio, [1.0 / current, -ratio / current, 0.0]);
    let correlation =
        |a: &Estimate, b: &Estimate| a.covariance(b) / (a.standard_uncertainty() * b.standard_uncertainty());
    for (what, got, want) in [
        ("R, Ω", r.value, 127.732),
        ("X, Ω", x.value, 219.847),
        ("Z, Ω", z.value, 254.260),
        ("u(R), Ω", r.standard_uncertainty(), 0.071),
        ("u(X), Ω", x.standard_uncertainty(), 0.296),
        ("u(Z), Ω", z.standard_uncertainty(), 0.236),
        ("r(R, X)", correlation(&r, &x), -0.588),
        ("r(R, Z)", correlation(&r, &z), -0.485),
        ("r(X, Z)", correlation(&x, &z), 0.993),
    ] {
        check! {
            area: "statistics", what: &format!("inputs read together: {what}"), against: guide, leg: Published,
            got: got, want: want, within: 5e-4, because: crate::stats::PRINTED,
        }
    }
}
