//! Statistics against certified data sets, the guides' examples, published results and general-purpose packages.

use nalgebra::{DMatrix, DVector};
use outside_check::check;
use silkfall_core::ledger::Estimate;
use silkfall_core::stats::distribution::{
    beta_quantile, coverage_factor, normal_quantile, student_t_quantile,
};
use silkfall_core::stats::random_effects::{Between, Heterogeneity, OfTheMean, Pooled, heterogeneity, pool};
use silkfall_core::stats::ratio::{Quotient, RatioInterval};
use silkfall_core::stats::regression::{Errors, Fit, fit};
use silkfall_core::stats::sample::Sample;
use silkfall_core::stats::share::Share;
use silkfall_core::stats::stream::{Stream, trials};

pub const PRINTED: &str = "half a unit of the last printed digit";
const SCIPY: &str = "PyPI package scipy 1.17.1";
const STATSMODELS: &str = "PyPI package statsmodels 0.15.0";

/// Rows of a reference file without its header.
pub fn table(text: &'static str) -> Vec<Vec<&'static str>> {
    text.lines().skip(1).map(|line| line.split(',').collect()).collect()
}

pub fn number(text: &str) -> f64 {
    text.parse().expect("reference files hold numbers")
}

pub fn certified(what: &str, data: &str, got: &[f64], want: &[f64], within_relative: f64, because: &str) {
    check! {
        area: "statistics", what: what, against: data, leg: Published,
        rows: (0..want.len()).map(|i| (format!("B{i}"), got[i], want[i])),
        within_relative: within_relative, because: because,
    }
    assert_eq!(got.len(), want.len());
}

pub fn fit_alike(rows: usize, columns: usize, x: impl Fn(usize, usize) -> f64, y: &[f64]) -> Fit {
    let design = DMatrix::from_fn(rows, columns, x);
    fit(&design, &DVector::from_column_slice(y), Errors::Alike)
        .expect("the columns of the data are independent")
}

pub fn errors_of(fit: &Fit) -> Vec<f64> {
    (0..fit.coefficients.len()).map(|i| fit.standard_error(i)).collect()
}

#[test]
fn norris() {
    let data = "NIST StRD, Norris";
    let x = [
        0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9,
        338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0,
        11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    ];
    let y = [
        0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8,
        339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9,
        10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    ];
    let line = fit_alike(36, 2, |i, j| if j == 0 { 1.0 } else { x[i] }, &y);
    let because = "a line in double precision; the certified values have 15 digits";
    let coefficients = [-0.262_323_073_774_029, 1.002_116_818_020_45];
    certified("coefficients of a line", data, line.coefficients.as_slice(), &coefficients, 1e-11, because);
    let errors = [0.232_818_234_301_152, 0.429_796_848_199_937e-3];
    certified("standard errors of a line", data, &errors_of(&line), &errors, 1e-11, because);
    check! {
        area: "statistics", what: "residual standard deviation of a line", against: data, leg: Published,
        got: line.residual_standard_deviation().unwrap(), want: 0.884_796_396_144_373, within_relative: 1e-11,
        because: because,
    }
}

#[test]
fn longley() {
    let data = "NIST StRD, Longley";
    let rows = table(include_str!("../reference/stats/longley.csv"));
    let y: Vec<f64> = rows.iter().map(|row| number(row[0])).collect();
    let plane = fit_alike(16, 7, |i, j| if j == 0 { 1.0 } else { number(rows[i][j]) }, &y);
    let coefficients = [
        -3_482_258.634_595_82,
        15.061_872_271_373_3,
        -0.035_819_179_292_591_0,
        -2.020_229_803_816_83,
        -1.033_226_867_173_59,
        -0.051_104_105_653_580_7,
        1_829.151_464_613_55,
    ];
    let because = "the columns are nearly collinear (condition 5e9): 16 digits less those";
    certified(
        "coefficients of six nearly collinear columns",
        data,
        plane.coefficients.as_slice(),
        &coefficients,
        1e-8,
        because,
    );
    check! {
        area: "statistics", what: "standard error of the intercept, six nearly collinear columns", against: data, leg: Published,
        got: plane.standard_error(0), want: 890_420.383_607_373, within_relative: 1e-9, because: because,
    }
    check! {
        area: "statistics", what: "residual standard deviation, six nearly collinear columns", against: data, leg: Published,
        got: plane.residual_standard_deviation().unwrap(), want: 304.854_073_561_965, within_relative: 1e-10,
        because: because,
    }
}

#[test]
fn polynomials_of_wampler_and_a_line_through_the_origin() {
    let because = "columns up to the fifth power of 0 to 20 (condition 5e6), solved to 1e-9";
    for (name, base) in [("Wampler1", 1.0_f64), ("Wampler2", 0.1)] {
        let want: Vec<f64> = (0..6).map(|power| base.powi(power)).collect();
        let y: Vec<f64> = (0..21)
            .map(|x| (0..6).map(|power| want[power as usize] * f64::from(x).powi(power)).sum())
            .collect();
        let curve = fit_alike(21, 6, |i, j| (i as f64).powi(j as i32), &y);
        certified(
            "coefficients of a polynomial",
            &format!("NIST StRD, {name}, from memory of its certified values"),
            curve.coefficients.as_slice(),
            &want,
            1e-9,
            because,
        );
    }
    let y: Vec<f64> = (130..=140).map(f64::from).collect();
    let line = fit_alike(11, 1, |i, _| 60.0 + i as f64, &y);
    let data = "NIST StRD, NoInt1, from memory of its certified values";
    let because = "15 certified digits, double precision";
    certified(
        "slope through the origin",
        data,
        line.coefficients.as_slice(),
        &[2.074_380_165_289_26],
        1e-13,
        because,
    );
    certified(
        "standard error of the slope through the origin",
        data,
        &errors_of(&line),
        &[0.165_289_256_198_347e-1],
        1e-12,
        because,
    );
}

#[test]
fn weights_and_covariance() {
    let x = [0.0, 1.0, 2.0, 3.5, 5.0, 7.0, 8.0];
    let y = DVector::from_column_slice(&[1.1, 2.9, 5.2, 8.1, 10.7, 15.3, 16.8]);
    let weights = [1.0, 2.0, 0.5, 4.0, 1.0, 3.0, 0.25];
    let design = DMatrix::from_fn(7, 2, |i, j| if j == 0 { 1.0 } else { x[i] });
    let covariance = DMatrix::from_fn(7, 7, |i, j| {
        let apart: f64 = x[i] - x[j];
        0.04 * (-apart.abs() / 1.5).exp() + if i == j { 0.01 * (i + 1) as f64 } else { 0.0 }
    });
    for row in table(include_str!("../reference/stats/weighted.csv")) {
        let errors =
            if row[0] == "weights" { Errors::Weights(&weights) } else { Errors::Covariance(&covariance) };
        let line = fit(&design, &y, errors).unwrap();
        let got = [
            line.coefficients[0],
            line.coefficients[1],
            line.covariance[(0, 0)],
            line.covariance[(0, 1)],
            line.covariance[(1, 1)],
        ];
        check! {
            area: "statistics", what: &format!("line and its covariance from errors given as {}", row[0]), against: STATSMODELS,
            leg: Independent, rows: (0..5).map(|i| (i, got[i], number(row[i + 1]))), within_relative: 1e-10,
            because: "both work in double precision",
        }
    }
}

/// JCGM 100:2008, H.3: calibration of a thermometer.
#[test]
fn calibration_of_a_thermometer() {
    let guide = "JCGM 100:2008, H.3";
    let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
    let line = fit_alike(11, 2, |i, j| if j == 0 { 1.0 } else { t[i] - 20.0 }, &b);
    let (y1, y2) = (line.coefficients[0], line.coefficients[1]);
    let (u1, u2) = (line.standard_error(0), line.standard_error(1));
    let (b30, u30) = line.at(&DVector::from_column_slice(&[1.0, 10.0]));
    let rows = [
        ("intercept, °C", y1, -0.171_203_79, 5e-9),
        ("standard uncertainty of the intercept, °C", u1, 0.002_877_6, 5e-8),
        ("slope", y2, 0.002_182_7, 5e-8),
        ("standard uncertainty of the slope", u2, 0.000_667_94, 5e-9),
        ("correlation", line.covariance[(0, 1)] / (u1 * u2), -0.930_430, 5e-7),
        ("residual standard deviation, °C", line.residual_standard_deviation().unwrap(), 0.003_497_56, 5e-9),
        ("sum of squares, °C²", line.chi_squared, 1.100_965_83e-4, 5e-13),
        ("correction at 30 °C, °C", b30, -0.149_376_81, 5e-9),
        ("standard uncertainty of the correction, °C", u30, 0.004_138_60, 5e-9),
    ];
    for (what, got, want, half_digit) in rows {
        check! {
            area: "statistics", what: &format!("thermometer calibration: {what}"), against: guide, leg: Published,
            got: got, want: want, within: half_digit, because: PRINTED,
        }
    }
    assert_eq!(line.degrees_of_freedom, 9);
}

/// JCGM 100:2008, H.1 and G.4: an end gauge, and effective degrees of freedom.
#[test]
fn uncertainty_by_inputs() {
    let guide = "JCGM 100:2008, H.1";
    let parts = [(25.0, 18.0), (5.8, 24.0), (3.9, 5.0), (6.7, 8.0), (2.9, 50.0), (16.6, 2.0)];
    let length = parts
        .iter()
        .enumerate()
        .fold(Estimate::exact(50_000_838.0), |sum, (i, &(part, dof))| sum.with(format!("{i}"), part, dof));
    let u = length.standard_uncertainty();
    check! {
        area: "statistics", what: "end gauge: combined standard uncertainty, nm", against: guide, leg: Published,
        got: u, want: 32.0, within: 0.5, because: PRINTED,
    }
    check! {
        area: "statistics", what: "end gauge: effective degrees of freedom", against: guide, leg: Published,
        got: length.dof(), want: 16.75, within: 0.005, because: PRINTED,
    }
    check! {
        area: "statistics", what: "end gauge: expanded uncertainty at 99 %, nm", against: guide, leg: Published,
        got: coverage_factor(0.99, length.dof().floor()) * u, want: 93.0, within: 0.6,
        because: "half a unit of the last printed digit, from an uncertainty that the guide rounds to 32 first",
    }
    let guide = "JCGM 100:2008, G.4, from memory of that example";
    let sum = [(0.25, 9.0), (0.57, 4.0), (0.82, 14.0)]
        .iter()
        .enumerate()
        .fold(Estimate::exact(0.0), |sum, (i, &(part, dof))| sum.with(format!("{i}"), part, dof));
    check! {
        area: "statistics", what: "three parts: effective degrees of freedom", against: guide, leg: Published,
        got: sum.dof(), want: 19.0, within: 0.05, because: PRINTED,
    }
    check! {
        area: "statistics", what: "three parts: coverage factor at 95 %", against: guide, leg: Published,
        got: coverage_factor(0.95, sum.dof()), want: 2.09, within: 0.005, because: PRINTED,
    }
}

#[test]
fn quantiles_of_distributions() {
    let rows = table(include_str!("../reference/stats/quantiles.csv"));
    let of = |name: &str, quantile: fn(f64, f64, f64) -> f64| {
        let rows = rows.iter().filter(|row| row[0] == name);
        let found: Vec<_> = rows
            .map(|row| {
                let [p, a, b, want] = [1, 2, 3, 4].map(|i| number(row[i]));
                (format!("p = {p}, {a}, {b}"), quantile(p, a, b), want)
            })
            .collect();
        assert!(found.len() > 10, "{name}");
        found
    };
    check! {
        area: "statistics", what: "quantiles of the normal distribution", against: SCIPY, leg: Independent,
        rows: of("normal", |p, _, _| normal_quantile(p)), within_relative: 1e-14,
        because: "both are rational approximations good to the last digits",
    }
    check! {
        area: "statistics", what: "quantiles of Student's t, 0.5 to 1e5 degrees of freedom", against: SCIPY, leg: Independent,
        rows: of("t", |p, dof, _| student_t_quantile(p, dof)), within_relative: 1e-9,
        because: "inversion of an incomplete beta function on both sides",
    }
    check! {
        area: "statistics", what: "quantiles of the beta distribution", against: SCIPY, leg: Independent,
        rows: of("beta", beta_quantile), within_relative: 1e-8,
        because: "inversion of an incomplete beta function on both sides",
    }
}

/// The BCG vaccine trials: log risk ratio and its variance.
fn vaccine_trials() -> (Vec<f64>, Vec<f64>) {
    let trials: [[f64; 4]; 13] = [
        [4.0, 119.0, 11.0, 128.0],
        [6.0, 300.0, 29.0, 274.0],
        [3.0, 228.0, 11.0, 209.0],
        [62.0, 13_536.0, 248.0, 12_619.0],
        [33.0, 5036.0, 47.0, 5761.0],
        [180.0, 1361.0, 372.0, 1079.0],
        [8.0, 2537.0, 10.0, 619.0],
        [505.0, 87_886.0, 499.0, 87_892.0],
        [29.0, 7470.0, 45.0, 7232.0],
        [17.0, 1699.0, 65.0, 1600.0],
        [186.0, 50_448.0, 141.0, 27_197.0],
        [5.0, 2493.0, 3.0, 2338.0],
        [27.0, 16_886.0, 29.0, 17_825.0],
    ];
    trials
        .iter()
        .map(|&[a, b, c, d]| {
            ((a / (a + b)).ln() - (c / (c + d)).ln(), 1.0 / a - 1.0 / (a + b) + 1.0 / c - 1.0 / (c + d))
        })
        .unzip()
}

fn pooled(between: Between, of_the_mean: OfTheMean) -> Pooled {
    let (effects, variances) = vaccine_trials();
    pool(&effects, &variances, between, of_the_mean).expect("thirteen trials can be pooled")
}

fn heterogeneity_of(pooled: &Pooled) -> Heterogeneity {
    let (effects, variances) = vaccine_trials();
    heterogeneity(&effects, &variances, pooled.between_variance)
}

#[test]
fn vaccine_trials_by_restricted_likelihood() {
    let source = "BCG vaccine trials (Colditz et al., JAMA 271 (1994) 698), published random-effects results";
    let plain = pooled(Between::RestrictedLikelihood, OfTheMean::Plain);
    let adjusted = pooled(Between::RestrictedLikelihood, OfTheMean::HartungKnapp);
    let scatter = heterogeneity_of(&plain);
    let bound = |pooled: &Pooled, side: f64| {
        pooled.mean + side * coverage_factor(0.95, pooled.degrees_of_freedom) * pooled.standard_error
    };
    let rows = [
        ("variance between trials", plain.between_variance, 0.3132, 5e-5),
        ("its standard error", scatter.between_variance_error, 0.1664, 5e-5),
        ("mean", plain.mean, -0.7145, 5e-5),
        ("standard error", plain.standard_error, 0.1798, 5e-5),
        ("lower bound", bound(&plain, -1.0), -1.0669, 5e-5),
        ("upper bound", bound(&plain, 1.0), -0.3622, 5e-5),
        ("Q", scatter.q, 152.2330, 5e-5),
        ("share between trials, %", scatter.share_between * 100.0, 92.22, 5e-3),
        ("standard error by Hartung and Knapp", adjusted.standard_error, 0.1808, 5e-5),
        ("lower bound by Hartung and Knapp", bound(&adjusted, -1.0), -1.1084, 5e-5),
        ("upper bound by Hartung and Knapp", bound(&adjusted, 1.0), -0.3206, 5e-5),
    ];
    for (what, got, want, half_digit) in rows {
        check! {
            area: "statistics", what: &format!("vaccine trials, restricted likelihood: {what}"), against: source,
            leg: Published, got: got, want: want, within: half_digit, because: PRINTED,
        }
    }
}

#[test]
fn vaccine_trials_by_moments() {
    for row in table(include_str!("../reference/stats/pooling.csv")) {
        let between = if row[0] == "Paule-Mandel" { Between::PauleMandel } else { Between::DerSimonianLaird };
        let plain = pooled(between, OfTheMean::Plain);
        let adjusted = pooled(between, OfTheMean::HartungKnapp);
        let got = [
            ("variance between trials", plain.between_variance),
            ("mean", plain.mean),
            ("standard error", plain.standard_error),
            ("standard error by Hartung and Knapp", adjusted.standard_error),
            ("Q", heterogeneity_of(&plain).q),
        ];
        check! {
            area: "statistics", what: &format!("vaccine trials, {}", row[0]), against: STATSMODELS, leg: Independent,
            rows: got.iter().enumerate().map(|(i, &(what, got))| (what, got, number(row[i + 1]))),
            within_relative: 1e-8, because: "the package iterates Paule and Mandel's to a tolerance of its own",
        }
    }
}

#[test]
fn quotients() {
    let source = "Fieller (1954), closed form worked out independently";
    let bounds = |quotient: &Quotient| match quotient.interval(1.959_964) {
        RatioInterval::Bounded { low, high } => [low, high],
        other => panic!("{other:?}"),
    };
    let sure = Quotient {
        numerator: 10.0,
        denominator: 5.0,
        numerator_variance: 0.25,
        denominator_variance: 0.16,
        covariance: 0.0,
    };
    let unsure = Quotient {
        numerator: 0.15,
        denominator: 0.25,
        numerator_variance: 0.002,
        denominator_variance: 0.005,
        covariance: 0.0001,
    };
    let cases = [
        ("10 over 5", &sure, [1.672_595, 2.428_225], 0.024_585_3),
        ("0.15 over 0.25", &unsure, [0.230_626, 1.484_021], 0.307_317),
    ];
    for (what, quotient, want, g) in cases {
        let got = bounds(quotient);
        check! {
            area: "statistics", what: &format!("interval of a quotient, {what}"), against: source, leg: Closed,
            rows: [("low", got[0], want[0]), ("high", got[1], want[1])], within: 1e-6,
            because: "a unit of the last digit; the coverage factor has seven",
        }
        check! {
            area: "statistics", what: &format!("doubt of the denominator g, {what}"), against: source, leg: Closed,
            got: quotient.doubt_of_denominator(1.959_964), want: g, within: 5e-7, because: PRINTED,
        }
    }
    let word = |quotient: Quotient| match quotient.interval(1.959_964) {
        RatioInterval::Bounded { .. } => "bounded",
        RatioInterval::Outside { .. } => "unbounded, a gap left out",
        RatioInterval::Anywhere => "unbounded, anywhere",
    };
    check! {
        area: "statistics", what: "interval of a quotient, denominator compatible with 0", against: source, leg: Closed,
        got: word(Quotient { denominator: 0.5, ..sure }), want: "unbounded, a gap left out",
    }
    check! {
        area: "statistics", what: "interval of a quotient, both compatible with 0", against: source, leg: Closed,
        got: word(Quotient { numerator: 0.1, denominator: 0.1, ..sure }), want: "unbounded, anywhere",
    }
}

#[test]
fn shares_and_samples() {
    for row in table(include_str!("../reference/stats/shares.csv")) {
        let share = Share { hits: row[0].parse().unwrap(), trials: row[1].parse().unwrap() };
        let (low, high) = share.interval(0.95);
        check! {
            area: "statistics", what: &format!("95 % interval of {} hits in {}", row[0], row[1]), against: SCIPY, leg: Independent,
            rows: [("low", low, number(row[2])), ("high", high, number(row[3]))], within: 1e-8,
            because: "inversion of an incomplete beta function on both sides",
        }
    }
    let sample = Sample::new(vec![5.1, 4.9, 5.6, 5.2, 4.7, 6.3, 5.0, 5.3]).unwrap();
    check! {
        area: "statistics", what: "quantiles of eight values", against: "PyPI package numpy 2.4.6, linear", leg: Independent,
        rows: table(include_str!("../reference/stats/samples.csv"))
            .into_iter()
            .map(|row| (row[0], sample.quantile(number(row[0])), number(row[1]))),
        within: 1e-12, because: "both work in double precision",
    }
}

/// A sum of the inputs of one trial.
type Draw = fn(&mut Stream) -> f64;

/// JCGM 101:2008, 9.2: sums of four inputs; the bounds of the 95 % interval within four standard errors of a quantile.
#[test]
fn sums_by_monte_carlo() {
    const TRIALS: u64 = 200_000;
    let guide = "JCGM 101:2008, 9.2";
    let bounds = |draw: Draw| {
        let sums = trials(0..TRIALS, |trial| {
            let mut stream = Stream::new(101, trial);
            draw(&mut stream)
        });
        let sample = Sample::new(sums).expect("all sums are finite");
        [0.025, 0.975].map(|p| (sample.quantile(p), sample.quantile_standard_error(p)))
    };
    let root3 = 3f64.sqrt();
    let cases: [(&str, Draw, f64); 3] = [
        ("four normals", |s| s.normal() + s.normal() + s.normal() + s.normal(), 3.92),
        (
            "four rectangular inputs",
            |s| {
                let half = 3f64.sqrt();
                (0..4).map(|_| s.rectangular(-half, half)).sum()
            },
            2.0 * root3 * (2.0 - 0.6f64.powf(0.25)),
        ),
        (
            "four rectangular inputs, one ten times as wide",
            |s| {
                let half = 3f64.sqrt();
                (0..3).map(|_| s.rectangular(-half, half)).sum::<f64>()
                    + s.rectangular(-10.0 * half, 10.0 * half)
            },
            17.02,
        ),
    ];
    for (what, draw, want) in cases {
        let [(low, low_error), (high, high_error)] = bounds(draw);
        let error = low_error.max(high_error);
        check! {
            area: "statistics", what: &format!("95 % interval by Monte Carlo: {what}"), against: guide, leg: Published,
            rows: [("low", low, -want), ("high", high, want)], within: 4.0 * error + 0.005,
            because: "four standard errors of a quantile of 200,000 trials, and half a printed digit",
        }
    }
}
