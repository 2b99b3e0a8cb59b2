//! The interval of a share of trials.
//!
//! Of n independent trials k went well. The bounds are the shares at which k or more, and k or fewer, would have
//! half the error probability: quantiles of beta(k, n − k + 1) and beta(k + 1, n − k). Never too short; for a share near 1 as much
//! too long as it has to be.
//!
//! Source: C. J. Clopper, E. S. Pearson, "The use of confidence or fiducial limits", Biometrika 26 (1934) 404-413, from
//! memory of that paper.

use super::distribution::beta_quantile;
use crate::maths::sqrt;

/// A share of trials.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    /// Trials that went well.
    pub hits: u64,
    /// All trials, at least one.
    pub trials: u64,
}

impl Share {
    /// k / n.
    pub fn value(self) -> f64 {
        self.hits as f64 / self.trials as f64
    }

    /// √(p (1 − p) / n): what more trials would lessen.
    pub fn standard_error(self) -> f64 {
        let p = self.value();
        sqrt(p * (1.0 - p) / self.trials as f64)
    }

    /// Lower and upper bound of the two-sided interval.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::stats::share::Share;
    ///
    /// // None of 59 failed: with 95 % on one side, at least 95 % hold (0.95^59 = 0.0485).
    /// let (low, high) = Share { hits: 59, trials: 59 }.interval(0.90);
    /// assert!((low - 0.05f64.powf(1.0 / 59.0)).abs() < 1e-9 && high == 1.0);
    /// ```
    pub fn interval(self, coverage: f64) -> (f64, f64) {
        let (k, n) = (self.hits as f64, self.trials as f64);
        let tail = 0.5 * (1.0 - coverage);
        let low = if self.hits == 0 { 0.0 } else { beta_quantile(tail, k, n - k + 1.0) };
        let high = if self.hits == self.trials { 1.0 } else { beta_quantile(1.0 - tail, k + 1.0, n - k) };
        (low, high)
    }
}
