//! Generalised least squares of the motion on correlated heights.
//!
//! `y = h(t; p) + gusts + noise`, the errors made white by [`super::errors`], the motion and its slopes by
//! [`super::motion`]. Parameters with a prior are drawn to it. Damped Gauss-Newton. Units: metres, seconds. Source:
//! textbook; the restricted likelihood, which tells the size of gusts, is Patterson and Thompson 1971 (from memory of
//! that paper).

use nalgebra::{DMatrix, DVector, SMatrix, SVector};

use super::errors::Errors;
use super::motion::{AIR, Course, FILLING, GRAVITY, GROWTH, Motion, OPEN, PARAMETERS, RATE};
use super::points::Point;
use crate::maths::ln;

/// What is known beforehand of a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Known {
    /// Nothing.
    Free,
    /// A normal distribution: mean and standard deviation.
    About(f64, f64),
    /// Its value.
    Fixed(f64),
}

/// What is known beforehand of each parameter of the motion.
pub(crate) type Prior = [Known; PARAMETERS];

/// A fit.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    /// The motion, worked out at the points.
    pub course: Course,
    /// Sum of squares of the whitened residuals and of the prior's pulls.
    pub chi2: f64,
    /// Logarithm of the restricted likelihood, up to a constant shared by all gust levels.
    pub restricted_log_likelihood: f64,
    /// Variance of the rate without gusts, m²/s².
    pub noise_variance: f64,
    /// Variance of the rate that the assumed gusts make, m²/s².
    pub gust_variance: f64,
    /// Part of `noise_variance` that comes from not knowing how the canopy fills and how much air goes along, m²/s².
    pub filling_variance: f64,
    /// Variance of the logarithm of gravity as recorded over gravity; 1 where that is fixed.
    pub gravity_variance: f64,
}

impl Fit {
    /// The motion that fits.
    pub(crate) fn motion(&self) -> &Motion {
        &self.course.motion
    }
}

/// Fits the motion to the points, from a guess worked out at them that has the fixed values, in at most `rounds` rounds:
/// Gauss-Newton, damped where a step would make the fit worse (Levenberg and Marquardt).
pub(crate) fn fit(
    points: &[Point],
    errors: &Errors,
    guess: &Course,
    prior: &Prior,
    rounds: usize,
) -> Option<Fit> {
    let usual_rate = guess.motion.rate();
    let mut course = guess.clone();
    let mut at = Residual::of(points, errors, &course, prior);
    let mut damping = 1e-3;
    let mut white = white_slopes(errors, &course, prior);
    let (mut normal, mut right) = normal_equations(&white, &at, &course.motion, prior);
    for _ in 0..rounds {
        let mut damped = normal;
        for k in 0..PARAMETERS {
            damped[(k, k)] *= 1.0 + damping;
        }
        let step = damped.cholesky()?.solve(&right);
        let trial = stepped(&course.motion, &step, prior, usual_rate).course(points.iter().map(|p| p.time_s));
        let there = Residual::of(points, errors, &trial, prior);
        let gained = at.chi2 - there.chi2;
        if gained < 0.0 {
            damping *= 10.0;
            continue;
        }
        damping = (damping * 0.1).max(1e-9);
        (course, at) = (trial, there);
        white = white_slopes(errors, &course, prior);
        (normal, right) = normal_equations(&white, &at, &course.motion, prior);
        if gained < 1e-4 {
            break;
        }
    }
    let covariance = normal.cholesky()?.inverse();
    let mut told = normal;
    for k in [AIR, OPEN, FILLING, GROWTH] {
        told[(k, k)] += 1e12;
    }
    let if_told = told.cholesky()?.inverse()[(RATE, RATE)];
    // Weights of the points in the rate: what a gust does to the rate goes through them.
    let mut weights: DVector<f64> = &white * covariance.column(RATE);
    errors.turn(weights.as_mut_slice());
    let gust_variance = errors.gust_variance(weights.as_slice());
    let log_normal: f64 = 0.5 * ln(normal.determinant().max(f64::MIN_POSITIVE));
    Some(Fit {
        course,
        chi2: at.chi2,
        restricted_log_likelihood: -0.5 * at.chi2 - errors.log_factor() - log_normal,
        noise_variance: (covariance[(RATE, RATE)] - gust_variance).max(0.0),
        gust_variance,
        filling_variance: (covariance[(RATE, RATE)] - if_told).max(0.0),
        gravity_variance: covariance[(GRAVITY, GRAVITY)],
    })
}

/// Whitened residuals and their sum of squares, the prior's pulls included.
struct Residual {
    white: DVector<f64>,
    chi2: f64,
}

impl Residual {
    fn of(points: &[Point], errors: &Errors, course: &Course, prior: &Prior) -> Residual {
        let left = points.iter().zip(&course.heights_m).map(|(p, h)| p.height_m - h);
        let mut white = DVector::from_iterator(points.len(), left);
        errors.whiten(white.as_mut_slice());
        let pulls: f64 = prior
            .iter()
            .zip(&course.motion.0)
            .map(|(known, value)| match known {
                Known::About(mean, deviation) => ((value - mean) / deviation).powi(2),
                Known::Free | Known::Fixed(_) => 0.0,
            })
            .sum();
        Residual { chi2: white.dot(&white) + pulls, white }
    }
}

/// Whitened slopes of the heights by the parameters that are not fixed; the others' are nought.
fn white_slopes(errors: &Errors, course: &Course, prior: &Prior) -> DMatrix<f64> {
    let mut white = course.slopes.clone();
    for (mut column, known) in white.column_iter_mut().zip(prior) {
        match known {
            Known::Fixed(_) => column.fill(0.0),
            Known::Free | Known::About(..) => errors.whiten(column.as_mut_slice()),
        }
    }
    white
}

type Normal = (SMatrix<f64, PARAMETERS, PARAMETERS>, SVector<f64, PARAMETERS>);

fn normal_equations(white: &DMatrix<f64>, at: &Residual, motion: &Motion, prior: &Prior) -> Normal {
    let mut normal = SMatrix::from_fn(|i, j| white.column(i).dot(&white.column(j)));
    let mut right = SVector::from_fn(|i, _| white.column(i).dot(&at.white));
    for (k, known) in prior.iter().enumerate() {
        match known {
            Known::Free => normal[(k, k)] += 1e-12,
            Known::Fixed(_) => normal[(k, k)] = 1.0,
            Known::About(mean, deviation) => {
                let precision = 1.0 / (deviation * deviation);
                normal[(k, k)] += precision;
                right[k] += precision * (mean - motion.0[k]);
            }
        }
    }
    (normal, right)
}

/// A step of bounded length.
fn stepped(motion: &Motion, step: &SVector<f64, PARAMETERS>, prior: &Prior, usual_rate: f64) -> Motion {
    let mut to = *motion;
    for (k, known) in prior.iter().enumerate() {
        let most = match known {
            Known::Free if k == RATE => 0.3 * usual_rate,
            Known::Free => 2.0,
            Known::About(_, deviation) => 1.5 * deviation,
            Known::Fixed(_) => 0.0,
        };
        to.0[k] += step[k].clamp(-most, most);
    }
    to.0[RATE] = to.0[RATE].clamp(0.3 * usual_rate, 3.0 * usual_rate);
    to
}
