//! Quantiles of a sample with their standard errors.
//!
//! The p-quantile of n sorted values lies at the rank 1 + p (n − 1), linear between neighbours. Its standard error needs no
//! density: the number of values below the true quantile is binomial, so that half the distance between the
//! quantiles at p ± √(p (1 − p) / n) is one standard error.
//!
//! Sources: R. J. Hyndman, Y. Fan, "Sample quantiles in statistical packages", The American Statistician 50 (1996)
//! 361-365, definition 7; R. S. Woodruff, J. Amer. Statist. Assoc. 47 (1952) 635-646, from memory of those papers. In the
//! outermost values, where the binomial step leaves the sample, the error is understated.

use crate::maths::sqrt;

/// A sorted sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample(Vec<f64>);

impl Sample {
    /// Sorts the values; `None` if there is none or one is not finite.
    pub fn new(mut values: Vec<f64>) -> Option<Sample> {
        if values.is_empty() || values.iter().any(|value| !value.is_finite()) {
            return None;
        }
        values.sort_unstable_by(f64::total_cmp);
        Some(Sample(values))
    }

    /// The values, lowest first.
    pub fn sorted(&self) -> &[f64] {
        &self.0
    }

    /// Mean, summed from the lowest up.
    pub fn mean(&self) -> f64 {
        self.0.iter().sum::<f64>() / self.0.len() as f64
    }

    /// √(Σ (x − mean)² / (n − 1)); `None` for a single value.
    pub fn standard_deviation(&self) -> Option<f64> {
        let mean = self.mean();
        let squares: f64 = self.0.iter().map(|value| (value - mean).powi(2)).sum();
        (self.0.len() > 1).then(|| sqrt(squares / (self.0.len() - 1) as f64))
    }

    /// The quantile at `p`, 0 to 1.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::stats::sample::Sample;
    ///
    /// let sample = Sample::new(vec![4.0, 1.0, 2.0, 3.0]).unwrap();
    /// assert_eq!(sample.quantile(0.5), 2.5);
    /// ```
    pub fn quantile(&self, p: f64) -> f64 {
        let rank = p.clamp(0.0, 1.0) * (self.0.len() - 1) as f64;
        let below = (rank as usize).min(self.0.len() - 1);
        let above = (below + 1).min(self.0.len() - 1);
        self.0[below] + (rank - below as f64) * (self.0[above] - self.0[below])
    }

    /// Standard error of the quantile at `p`.
    pub fn quantile_standard_error(&self, p: f64) -> f64 {
        let step = sqrt(p * (1.0 - p) / self.0.len() as f64);
        0.5 * (self.quantile(p + step) - self.quantile(p - step))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::distribution::normal_quantile;

    #[test]
    fn nothing_and_what_is_not_finite_are_no_sample() {
        assert_eq!(Sample::new(vec![]), None);
        assert_eq!(Sample::new(vec![1.0, f64::NAN]), None);
        let one = Sample::new(vec![3.0]).unwrap();
        assert_eq!(one.standard_deviation(), None);
        assert!((one.quantile(0.9) - 3.0).abs() < 1e-15);
    }

    /// At the median of n normal values the standard error is √(π / 2n).
    #[test]
    fn the_error_of_a_median_is_that_of_the_normal() {
        let n = 10_000;
        let even = (0..n).map(|i| normal_quantile((i as f64 + 0.5) / n as f64)).collect();
        let sample = Sample::new(even).unwrap();
        let expected = sqrt(std::f64::consts::FRAC_PI_2 / n as f64);
        assert!((sample.quantile_standard_error(0.5) / expected - 1.0).abs() < 0.01);
    }
}
