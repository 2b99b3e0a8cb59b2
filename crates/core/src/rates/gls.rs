//! Generalised least squares of the motion on correlated heights.
//!
//! `y = h(s; p) + gusts + noise`. The covariance of the errors is white (each point's own), correlated noise
//! `s_c² e^(-|dt|/tau)` and the integrated gust, an air speed of standard deviation s_g and correlation time tau_g:
//! `s_g² [2 tau_g min(s,t) + tau_g² (e^(-s/tau_g) + e^(-t/tau_g) - 1 - e^(-|s-t|/tau_g))]`
//! (integral of the exponential covariance). Points are ordered from the ground backwards, so that the Cholesky
//! factor of a shorter window is a leading block of the longer one's and each window costs only substitutions.
//! Parameters with a prior (lead, air share) are drawn to it; the others are free. Gauss-Newton, a fixed number of
//! rounds. Units: metres, seconds. Source: generalised least squares, textbook; the restricted likelihood is
//! Patterson and Thompson 1971 (from memory of that paper).

use nalgebra::{DMatrix, DVector, SMatrix, SVector};

use super::motion::{Motion, PARAMETERS};
use super::points::Point;
use crate::drops::Noise;
use crate::maths::{exp, ln, sqrt};

/// Gusts along the fall: an air speed that forgets itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gust {
    pub deviation_m_per_s: f64,
    pub correlation_s: f64,
}

/// What is known beforehand of the two nuisances: (mean, standard deviation) of lead and air share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Prior {
    pub lead: (f64, f64),
    pub air_share: (f64, f64),
}

/// Points from the ground backwards, with the factor of their covariance.
pub(crate) struct Errors {
    factor: DMatrix<f64>,
    gust: DMatrix<f64>,
}

/// A fit to the last `count` points.
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
    /// Standard uncertainty of the lead.
    pub lead_uncertainty: f64,
}

impl Errors {
    /// The covariance of `points` (ground first) and its factor; `None` if it is not positive definite.
    pub(crate) fn new(points: &[Point], noise: &Noise, gust: Gust) -> Option<Errors> {
        let n = points.len();
        let end = points.first()?.time_s;
        let (variance, tau) = (gust.deviation_m_per_s.powi(2), gust.correlation_s);
        let fade: Vec<f64> = points.iter().map(|p| exp((p.time_s - end) / tau)).collect();
        let drift = DMatrix::from_fn(n, n, |i, j| {
            let (a, b) = (end - points[i].time_s, end - points[j].time_s);
            let apart = exp(-(a - b).abs() / tau);
            variance * (2.0 * tau * a.min(b) + tau * tau * (fade[i] + fade[j] - 1.0 - apart))
        });
        let mut total = drift.clone();
        for i in 0..n {
            for j in 0..n {
                total[(i, j)] += noise.correlated_covariance_m2(points[i].time_s - points[j].time_s);
            }
            // A millimetre keeps the factor sound where a logger shows no noise at all.
            total[(i, i)] += points[i].white_m2 + 1e-6;
        }
        let factor = total.cholesky()?.unpack();
        Some(Errors { factor, gust: drift })
    }

    /// Fits the motion to the first `count` points (the last of the fall), beginning at `start_s`.
    pub(crate) fn fit(
        &self,
        points: &[Point],
        count: usize,
        start_s: f64,
        guess: Motion,
        prior: Prior,
    ) -> Option<Fit> {
        let factor = self.factor.view((0, 0), (count, count));
        let mut motion = guess;
        let precision = [0.0, 0.0, prior.lead.1.powi(-2), prior.air_share.1.powi(-2)];
        let mut normal = SMatrix::<f64, PARAMETERS, PARAMETERS>::zeros();
        let mut white = DMatrix::zeros(count, PARAMETERS + 1);
        for round in 0..5 {
            for (i, point) in points[..count].iter().enumerate() {
                let (height, slopes) = motion.slopes(point.time_s - start_s);
                for (j, slope) in slopes.iter().enumerate() {
                    white[(i, j)] = *slope;
                }
                white[(i, PARAMETERS)] = point.height_m - height;
            }
            if !factor.solve_lower_triangular_mut(&mut white) {
                return None;
            }
            let design = white.columns(0, PARAMETERS);
            let residual = white.column(PARAMETERS);
            normal = SMatrix::from_fn(|i, j| design.column(i).dot(&design.column(j)));
            let mut right = SVector::<f64, PARAMETERS>::from_fn(|i, _| design.column(i).dot(&residual));
            for (k, pulled) in [(2, prior.lead.0 - motion.lead), (3, prior.air_share.0 - motion.air_share)] {
                normal[(k, k)] += precision[k];
                right[k] += precision[k] * pulled;
            }
            if round == 4 {
                break;
            }
            let step = normal.cholesky()?.solve(&right);
            motion.line_m += step[0];
            motion.rate_m_per_s =
                (motion.rate_m_per_s + step[1]).clamp(0.3 * guess.rate_m_per_s, 3.0 * guess.rate_m_per_s);
            motion.lead = (motion.lead + step[2]).clamp(-0.9, 1.0);
            motion.air_share = (motion.air_share + step[3]).clamp(0.02, 1.2);
        }
        let covariance = normal.cholesky()?.inverse();
        let residual = white.column(PARAMETERS);
        let pulls = (motion.lead - prior.lead.0).powi(2) * precision[2]
            + (motion.air_share - prior.air_share.0).powi(2) * precision[3];
        let chi2 = residual.dot(&residual) + pulls;
        // Weights of the points in the rate: what a gust does to the rate goes through them.
        let mut weights: DVector<f64> = white.columns(0, PARAMETERS) * covariance.column(1);
        factor.tr_solve_lower_triangular_mut(&mut weights);
        let gust_variance = weights.dot(&(self.gust.view((0, 0), (count, count)) * &weights));
        let log_factor: f64 = (0..count).map(|i| ln(self.factor[(i, i)])).sum();
        let log_normal: f64 = 0.5 * ln(normal.determinant().max(f64::MIN_POSITIVE));
        Some(Fit {
            motion,
            chi2,
            restricted_log_likelihood: -0.5 * chi2 - log_factor - log_normal,
            noise_variance: (covariance[(1, 1)] - gust_variance).max(0.0),
            gust_variance,
            lead_uncertainty: sqrt(covariance[(2, 2)]),
        })
    }
}
