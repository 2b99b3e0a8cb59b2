//! The errors of heights, made white in one pass.
//!
//! An error is white (each point's own), correlated noise of covariance `s_c² e^(-|dt|/tau_c)`, and the integrated gust: an
//! air speed of standard deviation s_g and correlation time tau that begins to count at the release, of covariance
//!
//! `s_g² [2 tau min(s,t) + tau² (e^(-s/tau) + e^(-t/tau) - 1 - e^(-|s-t|/tau))]`
//!
//! (double integral of the exponential covariance). All three forget in steps: with c the correlated noise, u the gust and y
//! its integral, from one point to the next, a = e^(-dt/tau_c) and b = e^(-dt/tau),
//!
//! `c' = a c + ..`, `u' = b u + ..`, `y' = y + tau (1 - b) u + ..`,
//!
//! the dots of variance `s_c² (1 - a²)`, `s_g² (1 - b²)`, `s_g² tau² (2 dt/tau - 3 + 4b - b²)` and, between the last two,
//! covariance `s_g² tau (1 - b)²`. The innovations of that filter, over their deviations, are exactly what the inverse of the
//! Cholesky factor of the covariance makes of the heights, in n steps instead of n³/6. Units: metres, seconds. Source:
//! Kalman 1960 (textbook); held to the dense factor below. Assumes times that do not fall.

use super::points::Point;
use crate::drops::Noise;
use crate::maths::{exp, ln, sqrt};

/// Two millimetres keep the variances sound where a logger shows no noise at all, and bear the stepping of the motion.
const AT_LEAST_M2: f64 = 4e-6;

/// Gusts along the fall: an air speed that forgets itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gust {
    pub deviation_m_per_s: f64,
    pub correlation_s: f64,
}

/// The filter that makes the errors of some points white.
pub(crate) struct Errors {
    steps: Vec<Step>,
    /// Variance of the gust where it begins to count, m²/s².
    gust_m2_per_s2: f64,
}

/// From one point to the next, and what the next tells.
struct Step {
    /// a and b of the module; tau (1 - b), s.
    noise_kept: f64,
    gust_kept: f64,
    carried_s: f64,
    /// What is added to gust and way: variances of both, and their covariance.
    gust_added: Added,
    /// Standard deviation of the innovation, m.
    deviation_m: f64,
    /// Share of an innovation that noise, gust (1/s) and its integral take.
    gain: [f64; 3],
}

/// What is added to a gust u and its integral y from one point to the next.
#[derive(Clone, Copy)]
struct Added {
    u: f64,
    uy: f64,
    y: f64,
}

impl Errors {
    /// The filter of `points` for one size of gusts, which count from `release_s`; `None` if a variance is none.
    pub(crate) fn new(points: &[Point], release_s: f64, noise: &Noise, gust: Gust) -> Option<Errors> {
        let (variance, tau) = (gust.deviation_m_per_s.powi(2), gust.correlation_s);
        let noise_m2 = noise.correlated_covariance_m2(0.0);
        // Covariance of what is not known of noise, gust and its integral: (c, u, y).
        let (mut cc, mut cu, mut cy) = (noise_m2, 0.0, 0.0);
        let (mut uu, mut uy, mut yy) = (variance, 0.0, 0.0);
        let (mut before_s, mut counted_s) = (points.first()?.time_s, 0.0);
        let mut steps = Vec::with_capacity(points.len());
        for point in points {
            let apart_s = point.time_s - before_s;
            let since_s = (point.time_s - release_s).max(0.0);
            let over = (since_s - counted_s) / tau;
            (before_s, counted_s) = (point.time_s, since_s);
            let a = exp(-apart_s / noise.correlation_s);
            let b = exp(-over);
            let carried = tau * (1.0 - b);
            let added = Added {
                u: variance * (1.0 - b * b),
                uy: variance * tau * (1.0 - b) * (1.0 - b),
                y: variance * tau * tau * (2.0 * over - 3.0 + 4.0 * b - b * b),
            };
            cy = a * (cy + carried * cu);
            cu *= a * b;
            cc = a * a * cc + noise_m2 * (1.0 - a * a);
            yy += carried * (2.0 * uy + carried * uu) + added.y;
            uy = b * (uy + carried * uu) + added.uy;
            uu = b * b * uu + added.u;
            // A height is the sum of noise, way and what is its own.
            let [c, u, y] = [cc + cy, cu + uy, cy + yy];
            let seen_m2 = c + y + point.white_m2 + AT_LEAST_M2;
            let is_sound = seen_m2 > 0.0 && seen_m2.is_finite();
            if !is_sound {
                return None;
            }
            cc -= c * c / seen_m2;
            cu -= c * u / seen_m2;
            cy -= c * y / seen_m2;
            uu -= u * u / seen_m2;
            uy -= u * y / seen_m2;
            yy -= y * y / seen_m2;
            steps.push(Step {
                noise_kept: a,
                gust_kept: b,
                carried_s: carried,
                gust_added: added,
                deviation_m: sqrt(seen_m2),
                gain: [c / seen_m2, u / seen_m2, y / seen_m2],
            });
        }
        Some(Errors { steps, gust_m2_per_s2: variance })
    }

    /// Makes heights white: what each tells beyond those before it, over its deviation.
    pub(crate) fn whiten(&self, heights_m: &mut [f64]) {
        let (mut c, mut u, mut y) = (0.0, 0.0, 0.0);
        for (height, step) in heights_m.iter_mut().zip(&self.steps) {
            c *= step.noise_kept;
            y += step.carried_s * u;
            u *= step.gust_kept;
            let innovation = *height - c - y;
            c += step.gain[0] * innovation;
            u += step.gain[1] * innovation;
            y += step.gain[2] * innovation;
            *height = innovation / step.deviation_m;
        }
    }

    /// What [`Errors::whiten`] makes of columns, turned about: weights of white heights become weights of heights.
    pub(crate) fn turn(&self, weights: &mut [f64]) {
        let (mut c, mut u, mut y) = (0.0, 0.0, 0.0);
        for (weight, step) in weights.iter_mut().zip(&self.steps).rev() {
            *weight = *weight / step.deviation_m + step.gain[0] * c + step.gain[1] * u + step.gain[2] * y;
            c = step.noise_kept * (c - *weight);
            y -= *weight;
            u = step.gust_kept * u + step.carried_s * y;
        }
    }

    /// Variance that the gusts alone make in a sum of heights with these weights.
    pub(crate) fn gust_variance(&self, weights: &[f64]) -> f64 {
        let (mut u, mut y, mut sum) = (0.0, 0.0, 0.0);
        for (weight, step) in weights.iter().zip(&self.steps).rev() {
            y += weight;
            let added = step.gust_added;
            sum += added.u * u * u + 2.0 * added.uy * u * y + added.y * y * y;
            u = step.gust_kept * u + step.carried_s * y;
        }
        sum + self.gust_m2_per_s2 * u * u
    }

    /// Logarithm of the determinant of the Cholesky factor.
    pub(crate) fn log_factor(&self) -> f64 {
        self.steps.iter().map(|step| ln(step.deviation_m)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    const GUST: Gust = Gust { deviation_m_per_s: 0.12, correlation_s: 1.2 };
    const RELEASE_S: f64 = 0.7;

    fn noise() -> Noise {
        Noise {
            step_m: 0.0,
            interval_s: 0.05,
            white_m: 0.05,
            correlated_m: 0.3,
            correlation_s: 0.8,
            degrees_of_freedom: 30.0,
        }
    }

    /// Points at rest before the release, close together and far apart after it.
    fn points() -> Vec<Point> {
        [0.0, 0.3, 0.6, 0.75, 0.8, 0.8, 1.1, 1.9, 2.0, 2.05, 4.0, 9.0]
            .into_iter()
            .enumerate()
            .map(|(n, time_s)| Point { time_s, height_m: n as f64, white_m2: 0.001 * (1.0 + n as f64) })
            .collect()
    }

    /// Covariance of gusts, and of everything, written down entry by entry from the module's formulas.
    fn dense(points: &[Point]) -> (DMatrix<f64>, DMatrix<f64>) {
        let tau = GUST.correlation_s;
        let gust = DMatrix::from_fn(points.len(), points.len(), |i, j| {
            let [s, t] = [i, j].map(|k: usize| (points[k].time_s - RELEASE_S).max(0.0));
            GUST.deviation_m_per_s.powi(2)
                * (2.0 * tau * s.min(t)
                    + tau * tau * ((-s / tau).exp() + (-t / tau).exp() - 1.0 - (-(s - t).abs() / tau).exp()))
        });
        let all = DMatrix::from_fn(points.len(), points.len(), |i, j| {
            let own = if i == j { points[i].white_m2 + AT_LEAST_M2 } else { 0.0 };
            gust[(i, j)] + noise().correlated_covariance_m2(points[i].time_s - points[j].time_s) + own
        });
        (gust, all)
    }

    /// Independent: nalgebra's Cholesky factor of the dense covariance.
    #[test]
    fn the_filter_does_what_the_dense_factor_does() {
        let points = points();
        let errors = Errors::new(&points, RELEASE_S, &noise(), GUST).unwrap();
        let (gust, all) = dense(&points);
        let factor = all.cholesky().unwrap().unpack();
        let heights = DVector::from_fn(points.len(), |n, _| (1.3 * n as f64).sin());
        let mut white = heights.clone();
        errors.whiten(white.as_mut_slice());
        let expected = factor.solve_lower_triangular(&heights).unwrap();
        assert!((&white - expected).amax() < 1e-11);
        let mut weights = heights.clone();
        errors.turn(weights.as_mut_slice());
        let expected = factor.tr_solve_lower_triangular(&heights).unwrap();
        assert!((&weights - expected).amax() < 1e-11 * weights.amax());
        let expected = weights.dot(&(&gust * &weights));
        assert!((errors.gust_variance(weights.as_slice()) / expected - 1.0).abs() < 1e-11);
        let expected: f64 = factor.diagonal().iter().map(|d| d.ln()).sum();
        assert!((errors.log_factor() - expected).abs() < 1e-11);
    }

    #[test]
    fn a_variance_that_is_none_gives_no_filter() {
        let mut points = points();
        points[3].white_m2 = f64::NAN;
        assert!(Errors::new(&points, RELEASE_S, &noise(), GUST).is_none());
    }
}
