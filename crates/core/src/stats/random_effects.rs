//! A mean of values that scatter by more than their own variances.
//!
//! y_i = μ + d_i + e_i with var e_i = v_i known and var d_i = τ² not. With w_i = 1 / (v_i + τ²) the mean is Σ w y / Σ w.
//! τ² is found by one of
//!
//! - DerSimonian and Laird (1986): from Q = Σ (y − ȳ)² / v and its expectation, in one step;
//! - Paule and Mandel (1982): the τ² at which Σ w (y − μ)² = k − 1. A scatter τ₀ stated beforehand, worth ν values, joins
//!   as Σ w (y − μ)² + ν τ₀² / τ² = k − 1 + ν: the left side falls in τ², so there is one root, and a single value takes τ₀;
//! - restricted likelihood, by Fisher scoring.
//!
//! The variance of μ is 1 / Σ w, or, by Hartung and Knapp (2001), that times q = Σ w (y − μ)² / (k − 1), with
//! Student's t of k − 1 degrees of freedom. q below 1 says that the values agree better than they should; it may be
//! held at 1. A scatter stated beforehand joins here too: q = (Σ w (y − μ)² + ν) / (k − 1 + ν), k − 1 + ν degrees of freedom.
//! Units are the caller's, variances in their square.
//!
//! Sources: R. DerSimonian, N. Laird, Controlled Clinical Trials 7 (1986) 177; R. C. Paule, J. Mandel, J. Res. NBS 87
//! (1982) 377; J. Hartung, G. Knapp, Statistics in Medicine 20 (2001) 3875; all from memory of those papers. Values are
//! independent: what they share is added afterwards.

use crate::maths::sqrt;

/// How the variance between values is found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Between {
    /// DerSimonian and Laird.
    DerSimonianLaird,
    /// Paule and Mandel.
    PauleMandel,
    /// Paule and Mandel with a scatter stated beforehand.
    PauleMandelWith(ScatterPrior),
    /// Restricted maximum likelihood.
    RestrictedLikelihood,
}

/// Scatter stated beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScatterPrior {
    /// τ₀, the standard deviation between values.
    pub standard_deviation: f64,
    /// ν, for how many values that counts.
    pub degrees_of_freedom: f64,
}

impl ScatterPrior {
    const NONE: ScatterPrior = ScatterPrior { standard_deviation: 0.0, degrees_of_freedom: 0.0 };

    /// ν τ₀².
    fn squares(self) -> f64 {
        self.degrees_of_freedom * self.standard_deviation * self.standard_deviation
    }
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
    /// The part of the standard error's square that the values' own variances make; the rest is the scatter's.
    pub own_variance: f64,
    /// Degrees of freedom for its interval; infinite for [`OfTheMean::Plain`].
    pub degrees_of_freedom: f64,
    /// τ².
    pub between_variance: f64,
}

/// Pools values with their variances. `None` for less than two values, or a variance not above 0; with a scatter stated
/// beforehand one value is enough, and a variance may be 0.
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
    let prior = match between {
        Between::PauleMandelWith(prior) => prior,
        _ => ScatterPrior::NONE,
    };
    let is_stated = prior.squares() > 0.0;
    let fits = |&variance: &f64| variance.is_finite() && (variance > 0.0 || (is_stated && variance >= 0.0));
    let least = if is_stated { 1 } else { 2 };
    if values.len() < least || values.len() != variances.len() || !variances.iter().all(fits) {
        return None;
    }
    let free = (values.len() - 1) as f64;
    let tau2 = match between {
        Between::DerSimonianLaird => {
            let fixed = Weighted::at(values, variances, 0.0);
            ((fixed.squares - free) / fixed.trace()).max(0.0)
        }
        Between::PauleMandel | Between::PauleMandelWith(_) => paule_mandel(values, variances, prior),
        Between::RestrictedLikelihood => restricted_likelihood(values, variances),
    };
    let weighted = Weighted::at(values, variances, tau2);
    let plain = 1.0 / weighted.sum_w;
    let free = free + prior.degrees_of_freedom;
    let agreement = (weighted.squares + prior.degrees_of_freedom) / free;
    let (factor, degrees_of_freedom) = match of_the_mean {
        OfTheMean::Plain => (1.0, f64::INFINITY),
        OfTheMean::HartungKnapp => (agreement, free),
        OfTheMean::HartungKnappAtLeastOne => (agreement.max(1.0), free),
    };
    let own: f64 = variances.iter().map(|v| v / ((v + tau2) * (v + tau2))).sum::<f64>() * plain * plain;
    Some(Pooled {
        mean: weighted.mean,
        standard_error: sqrt(factor * plain),
        own_variance: factor * own.min(plain),
        degrees_of_freedom,
        between_variance: tau2,
    })
}

/// What the values say of their scatter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heterogeneity {
    /// Q = Σ (y − ȳ)² / v with ȳ the mean at τ² = 0: k − 1 in the mean if nothing scatters.
    pub q: f64,
    /// τ² / (τ² + a typical v): the share of all variance that lies between the values.
    pub share_between: f64,
    /// Standard error of τ² from the restricted likelihood's information at it.
    pub between_variance_error: f64,
}

/// What the values, their variances above 0, say of a scatter τ² found for them.
pub fn heterogeneity(values: &[f64], variances: &[f64], between_variance: f64) -> Heterogeneity {
    let fixed = Weighted::at(values, variances, 0.0);
    // Typical variance of the values: Higgins and Thompson, Statistics in Medicine 21 (2002) 1539, from memory.
    let typical = (values.len() - 1) as f64 / fixed.trace();
    Heterogeneity {
        q: fixed.squares,
        share_between: between_variance / (between_variance + typical),
        between_variance_error: sqrt(
            2.0 / Weighted::at(values, variances, between_variance).trace_of_square(),
        ),
    }
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

/// The root of a function that is convex and falls in τ²: Newton's steps from below never pass it.
fn paule_mandel(values: &[f64], variances: &[f64], prior: ScatterPrior) -> f64 {
    let wanted = (values.len() - 1) as f64 + prior.degrees_of_freedom;
    let stated = prior.squares();
    // Here the stated scatter alone makes the left side, so that the root lies above.
    let mut tau2 = stated / wanted.max(f64::MIN_POSITIVE);
    for _ in 0..200 {
        let weighted = Weighted::at(values, variances, tau2);
        let (from_prior, slope_of_prior) =
            if stated > 0.0 { (stated / tau2, stated / (tau2 * tau2)) } else { (0.0, 0.0) };
        let step = (weighted.squares + from_prior - wanted) / (weighted.squares_w2 + slope_of_prior);
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
    let mut tau2 = paule_mandel(values, variances, ScatterPrior::NONE);
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
    fn a_stated_scatter_is_taken_by_one_value_and_overruled_by_many() {
        let prior = ScatterPrior { standard_deviation: 0.03, degrees_of_freedom: 4.0 };
        let held = |values: &[f64], variances: &[f64]| {
            pool(values, variances, Between::PauleMandelWith(prior), OfTheMean::HartungKnappAtLeastOne)
                .unwrap()
        };
        let one = held(&[1.0], &[1e-4]);
        assert!((one.between_variance - 9e-4).abs() < 1e-12);
        assert!((one.standard_error - sqrt(10e-4)).abs() < 1e-12 && (one.own_variance - 1e-4).abs() < 1e-12);
        let values: Vec<f64> = (0..400).map(|i| if i % 2 == 0 { 0.1 } else { -0.1 }).collect();
        let many = held(&values, &[0.0; 400]);
        assert!((many.between_variance - 0.01).abs() < 2e-4);
        assert!((many.degrees_of_freedom - 403.0).abs() < 1e-12);
        // The equation itself, for values between the two.
        let (values, variances) = ([0.0, 0.04, 0.11], [1e-4, 4e-4, 2e-4]);
        let some = held(&values, &variances);
        let weighted = Weighted::at(&values, &variances, some.between_variance);
        assert!((weighted.squares + 4.0 * 9e-4 / some.between_variance - 6.0).abs() < 1e-12);
    }

    #[test]
    fn one_value_or_a_variance_of_nothing_cannot_be_pooled() {
        assert_eq!(pool(&[1.0], &[1.0], Between::PauleMandel, OfTheMean::Plain), None);
        assert_eq!(pool(&[1.0, 2.0], &[1.0, 0.0], Between::PauleMandel, OfTheMean::Plain), None);
        assert_eq!(pool(&[1.0, 2.0], &[1.0], Between::PauleMandel, OfTheMean::Plain), None);
    }
}
