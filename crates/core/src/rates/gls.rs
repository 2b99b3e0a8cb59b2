//! Generalised least squares of the motion on correlated heights.
//!
//! `y = h(t; p) + gusts + noise`. The covariance of the errors is white (each point's own), correlated noise
//! `s_c² e^(-|dt|/tau)` and the integrated gust, an air speed of standard deviation s_g and correlation time tau_g that
//! begins to count at the release:
//! `s_g² [2 tau_g min(s,t) + tau_g² (e^(-s/tau_g) + e^(-t/tau_g) - 1 - e^(-|s-t|/tau_g))]`
//! (double integral of the exponential covariance). Parameters with a prior are drawn to it. Damped Gauss-Newton with
//! slopes by differences. Units: metres, seconds. Source: textbook; the restricted likelihood, which tells the
//! size of gusts, is Patterson and Thompson 1971 (from memory of that paper).

use nalgebra::{DMatrix, DVector, SMatrix, SVector};

use super::motion::{AIR, FILLING, GRAVITY, GROWTH, Motion, OPEN, PARAMETERS, RATE, TOP};
use super::points::Point;
use crate::drops::Noise;
use crate::maths::{exp, ln};

/// Gusts along the fall: an air speed that forgets itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gust {
    pub deviation_m_per_s: f64,
    pub correlation_s: f64,
}

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

/// The covariance of points and its factor.
pub(crate) struct Errors {
    factor: DMatrix<f64>,
    gust: DMatrix<f64>,
}

/// A fit.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    pub motion: Motion,
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

impl Errors {
    /// The covariance of `points` and its factor; `None` if it is not positive definite.
    /// Gusts count from `release_s`.
    pub(crate) fn new(points: &[Point], release_s: f64, noise: &Noise, gust: Gust) -> Option<Errors> {
        let n = points.len();
        let (variance, tau) = (gust.deviation_m_per_s.powi(2), gust.correlation_s);
        let since: Vec<f64> = points.iter().map(|p| (p.time_s - release_s).max(0.0)).collect();
        let fade: Vec<f64> = since.iter().map(|s| exp(-s / tau)).collect();
        let mut drift = DMatrix::zeros(n, n);
        let mut total = DMatrix::zeros(n, n);
        for i in 0..n {
            for j in 0..=i {
                let (a, b) = (since[i], since[j]);
                let apart = exp(-(a - b).abs() / tau);
                let gusts = variance * (2.0 * tau * a.min(b) + tau * tau * (fade[i] + fade[j] - 1.0 - apart));
                let value = gusts + noise.correlated_covariance_m2(points[i].time_s - points[j].time_s);
                (drift[(i, j)], drift[(j, i)]) = (gusts, gusts);
                (total[(i, j)], total[(j, i)]) = (value, value);
            }
            // Two millimetres keep the factor sound where a logger shows no noise at all, and bear the stepping.
            total[(i, i)] += points[i].white_m2 + 4e-6;
        }
        let factor = total.cholesky()?.unpack();
        Some(Errors { factor, gust: drift })
    }

    /// Fits the motion to the points, from a guess, in at most `rounds` rounds: Gauss-Newton, damped where a step would
    /// make the fit worse (Levenberg and Marquardt).
    pub(crate) fn fit(&self, points: &[Point], guess: Motion, prior: &Prior, rounds: usize) -> Option<Fit> {
        let mut motion = guess;
        for (value, known) in motion.0.iter_mut().zip(prior) {
            if let Known::Fixed(fixed) = known {
                *value = *fixed;
            }
        }
        let mut at = self.residual(points, &motion, prior)?;
        let mut damping = 1e-3;
        let mut white = self.slopes(points, &motion, prior)?;
        let (mut normal, mut right) = normal_equations(&white, &at, &motion, prior);
        for _ in 0..rounds {
            let mut damped = normal;
            for k in 0..PARAMETERS {
                damped[(k, k)] *= 1.0 + damping;
            }
            let step = damped.cholesky()?.solve(&right);
            let trial = stepped(&motion, &step, prior, guess.rate());
            let there = self.residual(points, &trial, prior)?;
            let gained = at.chi2 - there.chi2;
            if gained < 0.0 {
                damping *= 10.0;
                continue;
            }
            damping = (damping * 0.1).max(1e-9);
            (motion, at) = (trial, there);
            white = self.slopes(points, &motion, prior)?;
            (normal, right) = normal_equations(&white, &at, &motion, prior);
            if gained < 1e-4 {
                break;
            }
        }
        let covariance = normal.cholesky()?.inverse();
        let n = points.len();
        let chi2 = at.chi2;
        let mut told = normal;
        for k in [AIR, OPEN, FILLING, GROWTH] {
            told[(k, k)] += 1e12;
        }
        let if_told = told.cholesky()?.inverse()[(RATE, RATE)];
        // Weights of the points in the rate: what a gust does to the rate goes through them.
        let mut weights: DVector<f64> = &white * covariance.column(RATE);
        self.factor.tr_solve_lower_triangular_mut(&mut weights);
        let gust_variance = weights.dot(&(&self.gust * &weights));
        let log_factor: f64 = (0..n).map(|i| ln(self.factor[(i, i)])).sum();
        let log_normal: f64 = 0.5 * ln(normal.determinant().max(f64::MIN_POSITIVE));
        Some(Fit {
            motion,
            chi2,
            restricted_log_likelihood: -0.5 * chi2 - log_factor - log_normal,
            noise_variance: (covariance[(RATE, RATE)] - gust_variance).max(0.0),
            gust_variance,
            filling_variance: (covariance[(RATE, RATE)] - if_told).max(0.0),
            gravity_variance: covariance[(GRAVITY, GRAVITY)],
        })
    }

    /// Whitened residuals of a motion.
    fn residual(&self, points: &[Point], motion: &Motion, prior: &Prior) -> Option<Residual> {
        let mut heights = Vec::with_capacity(points.len());
        motion.heights(points.iter().map(|p| p.time_s), &mut heights);
        let mut white =
            DVector::from_iterator(points.len(), points.iter().zip(&heights).map(|(p, h)| p.height_m - h));
        if !self.factor.solve_lower_triangular_mut(&mut white) {
            return None;
        }
        let pulls: f64 = prior
            .iter()
            .zip(&motion.0)
            .map(|(known, value)| match known {
                Known::About(mean, deviation) => ((value - mean) / deviation).powi(2),
                Known::Free | Known::Fixed(_) => 0.0,
            })
            .sum();
        Some(Residual { chi2: white.dot(&white) + pulls, white })
    }

    /// Whitened slopes of the heights by the parameters.
    fn slopes(&self, points: &[Point], motion: &Motion, prior: &Prior) -> Option<DMatrix<f64>> {
        const STEP: f64 = 1e-4;
        let (mut here, mut there) = (Vec::new(), Vec::new());
        motion.heights(points.iter().map(|p| p.time_s), &mut here);
        let mut white = DMatrix::zeros(points.len(), PARAMETERS);
        for (k, known) in prior.iter().enumerate() {
            if matches!(known, Known::Fixed(_)) {
                continue;
            }
            if k == TOP {
                white.column_mut(TOP).fill(1.0);
                continue;
            }
            let mut moved = *motion;
            moved.0[k] += STEP;
            moved.heights(points.iter().map(|p| p.time_s), &mut there);
            for i in 0..points.len() {
                white[(i, k)] = (there[i] - here[i]) / STEP;
            }
        }
        self.factor.solve_lower_triangular_mut(&mut white).then_some(white)
    }
}

/// Whitened residuals and their sum of squares, the prior's pulls included.
struct Residual {
    white: DVector<f64>,
    chi2: f64,
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
