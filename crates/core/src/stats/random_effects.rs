//! A mean of values that scatter by more than their own variances.
//!
//! y_i = μ + d_i + e_i with var e_i = v_i known and var d_i = τ² not. With w_i = 1 / (v_i + τ²) the mean is Σ w y / Σ w.
//! τ² is found by one of
//!
//! - DerSimonian and Laird (1986): from Q = Σ (y − ȳ)² / v and its expectation, in one step;
//! - Paule and Mandel (1982): the τ² at which Σ w (y − μ)² = k − 1;
//! - restricted likelihood, by Fisher scoring.
//!
//! The variance of μ is 1 / Σ w, or, by Hartung and Knapp (2001), that times q = Σ w (y − μ)² / (k − 1), with
//! Student's t of k − 1 degrees of freedom. q below 1 says that the values agree better than they should; it may be
//! held at 1. Units are the caller's, variances in their square.
//!
//! Sources: R. DerSimonian, N. Laird, Controlled Clinical Trials 7 (1986) 177; R. C. Paule, J. Mandel, J. Res. NBS 87
//! (1982) 377; J. Hartung, G. Knapp, Statistics in Medicine 20 (2001) 3875; all from memory of those papers. Values are
//! independent: what they share is added afterwards.

use crate::maths::sqrt;

/// How the variance between values is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    /// DerSimonian and Laird.
    DerSimonianLaird,
    /// Paule and Mandel.
    PauleMandel,
    /// Restricted maximum likelihood.
    RestrictedLikelihood,
}

/// How the variance of the mean is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfTheMean {
    /// 1 / Σ w, as if τ² were known; infinitely many degrees of freedom.
    Plain,
    /// Hartung and Knapp, their factor as it comes.
    HartungKnapp,
    /// Hartung and Knapp, their factor never below 1.
    HartungKnappAtLeastOne,
}

/// The pooled mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooled {
    /// μ.
    pub mean: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Degrees of freedom for its interval; infinite for [`OfTheMean::Plain`].
    pub degrees_of_freedom: f64,
    /// τ².
    pub between_variance: f64,
    /// Standard error of τ² from the restricted likelihood's information at it.
    pub between_variance_error: f64,
    /// Q = Σ (y − ȳ)² / v with ȳ the mean at τ² = 0: k − 1 in the mean if nothing scatters.
    pub heterogeneity: f64,
    /// τ² / (τ² + a typical v): the share of all variance that lies between the values.
    pub share_between: f64,
}

/// Pools at least two values with their variances, each above 0; `None` if they are fewer or not so.
///
/// # Examples
/// ```
/// use silkfall_core::stats::random_effects::{Between, OfTheMean, pool};
///
/// // Two values 2 apart, hardly uncertain: τ² is their variance, 2, and the mean's standard error 1.
/// let pooled = pool(&[4.0, 6.0], &[1e-9, 1e-9], Between::PauleMandel, OfTheMean::HartungKnappAtLeastOne).unwrap();
/// assert!((pooled.mean - 5.0).abs() < 1e-9);
/// assert!((pooled.between_variance - 2.0).abs() < 1e-6 && (pooled.standard_error - 1.0).abs() < 1e-6);
/// ```
pub fn pool(values: &[f64], variances: &[f64], between: Between, of_the_mean: OfTheMean) -> Option<Pooled> {
    let all_above_0 = variances.iter().all(|&variance| variance > 0.0 && variance.is_finite());
    if values.len() < 2 || values.len() != variances.len() || !all_above_0 {
        return None;
    }
    let free = (values.len() - 1) as f64;
    let fixed = Weighted::at(values, variances, 0.0);
    // Typical variance of the values: Higgins and Thompson, Statistics in Medicine 21 (2002) 1539, from memory.
    let typical = free * fixed.sum_w / (fixed.sum_w * fixed.sum_w - fixed.sum_w2);
    let tau2 = match between {
        Between::DerSimonianLaird => {
            ((fixed.squares - free) / (fixed.sum_w - fixed.sum_w2 / fixed.sum_w)).max(0.0)
        }
        Between::PauleMandel => paule_mandel(values, variances, free),
        Between::RestrictedLikelihood => restricted_likelihood(values, variances),
    };
    let weighted = Weighted::at(values, variances, tau2);
    let plain = 1.0 / weighted.sum_w;
    let factor = weighted.squares / free;
    let (variance, degrees_of_freedom) = match of_the_mean {
        OfTheMean::Plain => (plain, f64::INFINITY),
        OfTheMean::HartungKnapp => (plain * factor, free),
        OfTheMean::HartungKnappAtLeastOne => (plain * factor.max(1.0), free),
    };
    Some(Pooled {
        mean: weighted.mean,
        standard_error: sqrt(variance),
        degrees_of_freedom,
        between_variance: tau2,
        between_variance_error: sqrt(2.0 / weighted.trace_of_square()),
        heterogeneity: fixed.squares,
        share_between: tau2 / (tau2 + typical),
    })
}

/// Sums at one τ².
struct Weighted {
    sum_w: f64,
    sum_w2: f64,
    sum_w3: f64,
    mean: f64,
    /// Σ w (y − μ)².
    squares: f64,
    /// Σ w² (y − μ)².
    squares_w2: f64,
}

impl Weighted {
    fn at(values: &[f64], variances: &[f64], tau2: f64) -> Weighted {
        let weights: Vec<f64> = variances.iter().map(|variance| 1.0 / (variance + tau2)).collect();
        let sum_w: f64 = weights.iter().sum();
        let mean = values.iter().zip(&weights).map(|(y, w)| y * w).sum::<f64>() / sum_w;
        let sum =
            |power: i32| values.iter().zip(&weights).map(|(y, w)| w.powi(power) * (y - mean).powi(2)).sum();
        Weighted {
            sum_w,
            sum_w2: weights.iter().map(|w| w * w).sum(),
            sum_w3: weights.iter().map(|w| w * w * w).sum(),
            mean,
            squares: sum(1),
            squares_w2: sum(2),
        }
    }

    /// Trace of P, where P projects out the mean: Σ w − Σ w² / Σ w.
    fn trace(&self) -> f64 {
        self.sum_w - self.sum_w2 / self.sum_w
    }

    /// Trace of P P; half of it is the information on τ².
    fn trace_of_square(&self) -> f64 {
        let ratio = self.sum_w2 / self.sum_w;
        self.sum_w2 - 2.0 * self.sum_w3 / self.sum_w + ratio * ratio
    }
}

/// The root of a function that falls in τ², by Newton's steps from 0, where they never pass it (it is convex).
fn paule_mandel(values: &[f64], variances: &[f64], free: f64) -> f64 {
    let mut tau2 = 0.0;
    for _ in 0..200 {
        let weighted = Weighted::at(values, variances, tau2);
        let step = (weighted.squares - free) / weighted.squares_w2;
        let goes_up = step > 1e-15 * tau2;
        if !goes_up {
            break;
        }
        tau2 += step;
    }
    tau2
}

fn restricted_likelihood(values: &[f64], variances: &[f64]) -> f64 {
    // Starting from Paule and Mandel's, a few steps do; the bound is for values that have no scatter at all.
    let mut tau2 = paule_mandel(values, variances, (values.len() - 1) as f64);
    for _ in 0..200 {
        let weighted = Weighted::at(values, variances, tau2);
        let next = (tau2 + (weighted.squares_w2 - weighted.trace()) / weighted.trace_of_square()).max(0.0);
        let is_settled = (next - tau2).abs() <= 1e-14 * tau2;
        tau2 = next;
        if is_settled {
            break;
        }
    }
    tau2
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_agree_have_no_scatter_and_a_factor_held_at_one() {
        let (values, variances) = ([1.0, 1.01, 0.99], [0.04, 0.04, 0.04]);
        for between in [Between::DerSimonianLaird, Between::PauleMandel, Between::RestrictedLikelihood] {
            let held = pool(&values, &variances, between, OfTheMean::HartungKnappAtLeastOne).unwrap();
            assert_eq!(held.between_variance.to_bits(), 0.0f64.to_bits());
            assert!((held.standard_error - sqrt(0.04 / 3.0)).abs() < 1e-12);
            let free = pool(&values, &variances, between, OfTheMean::HartungKnapp).unwrap();
            assert!(free.standard_error < 0.1 * held.standard_error);
        }
    }

    #[test]
    fn one_value_or_a_variance_of_nothing_cannot_be_pooled() {
        assert_eq!(pool(&[1.0], &[1.0], Between::PauleMandel, OfTheMean::Plain), None);
        assert_eq!(pool(&[1.0, 2.0], &[1.0, 0.0], Between::PauleMandel, OfTheMean::Plain), None);
        assert_eq!(pool(&[1.0, 2.0], &[1.0], Between::PauleMandel, OfTheMean::Plain), None);
    }
}
