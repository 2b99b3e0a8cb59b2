//! The interval of a quotient a / b of two normal estimates.
//!
//! The values θ for which a − θ b is compatible with 0: (a − θ b)² ≤ t² (v_a − 2 θ c + θ² v_b), v the variances, c the
//! covariance, t the coverage factor. The bounds are the roots of
//!
//! (b² − t² v_b) θ² − 2 (a b − t² c) θ + (a² − t² v_a) = 0.
//!
//! With g = t² v_b / b² at 1 or above, b itself is compatible with 0 and no bounded interval holds; that is reported as it is.
//!
//! Source: E. C. Fieller, "Some problems in interval estimation", J. R. Statist. Soc. B 16 (1954) 175-185, from memory of
//! that paper. Units are the caller's.

use crate::maths::sqrt;

/// Two estimates to be divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quotient {
    /// a.
    pub numerator: f64,
    /// b.
    pub denominator: f64,
    /// Variance of a.
    pub numerator_variance: f64,
    /// Variance of b.
    pub denominator_variance: f64,
    /// Covariance of a and b.
    pub covariance: f64,
}

/// Where a quotient lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RatioInterval {
    /// Between two bounds.
    Bounded {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// Anywhere but between two values: the denominator may be 0, the numerator is not.
    Outside {
        /// End of the part that goes to −∞.
        up_to: f64,
        /// Start of the part that goes to +∞.
        from: f64,
    },
    /// Anywhere.
    Anywhere,
}

impl Quotient {
    /// g = t² v_b / b²: from 1 on, no bounded interval holds.
    pub fn doubt_of_denominator(&self, coverage_factor: f64) -> f64 {
        coverage_factor * coverage_factor * self.denominator_variance / (self.denominator * self.denominator)
    }

    /// Fieller's interval for a coverage factor.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::stats::ratio::{Quotient, RatioInterval};
    ///
    /// let quotient = Quotient {
    ///     numerator: 10.0,
    ///     denominator: 5.0,
    ///     numerator_variance: 0.25,
    ///     denominator_variance: 0.16,
    ///     covariance: 0.0,
    /// };
    /// let RatioInterval::Bounded { low, high } = quotient.interval(1.959964) else { panic!() };
    /// assert!((low - 1.672595).abs() < 1e-6 && (high - 2.428225).abs() < 1e-6);
    /// ```
    pub fn interval(&self, coverage_factor: f64) -> RatioInterval {
        let t2 = coverage_factor * coverage_factor;
        let square = self.denominator * self.denominator - t2 * self.denominator_variance;
        let half_linear = self.numerator * self.denominator - t2 * self.covariance;
        let constant = self.numerator * self.numerator - t2 * self.numerator_variance;
        let discriminant = half_linear * half_linear - square * constant;
        if square.abs() <= f64::EPSILON * self.denominator * self.denominator || discriminant < 0.0 {
            return RatioInterval::Anywhere;
        }
        // The root without cancellation first, the other from the product of the two.
        let sum = half_linear + sqrt(discriminant).copysign(half_linear);
        let (one, other) = (sum / square, if sum.abs() > 0.0 { constant / sum } else { 0.0 });
        let (low, high) = if one < other { (one, other) } else { (other, one) };
        if square > 0.0 {
            RatioInterval::Bounded { low, high }
        } else {
            RatioInterval::Outside { up_to: low, from: high }
        }
    }
}
