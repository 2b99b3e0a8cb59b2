//! 95 % intervals of factors: on a log scale, of a difference of two positive quantities, of a quotient.
//!
//! All take Student's t with the effective degrees of freedom (JCGM 100:2008, G.4.1) by widening the standard
//! uncertainty by t/1.96.

use statrs::function::erf::erfc;

use crate::ledger::Estimate;
use crate::maths;
use crate::stats::distribution::coverage_factor;
use crate::stats::ratio::{Quotient, RatioInterval};

/// The two-sided 95 % point of the normal distribution.
const NORMAL_95: f64 = 1.959_963_984_540_054;

/// An interval, both ends in the unit of its factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies in it.
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// The part of it between two bounds; a bound where all of it lies beyond.
    #[must_use]
    pub fn within(self, low: f64, high: f64) -> Interval {
        Interval { low: self.low.clamp(low, high), high: self.high.clamp(low, high) }
    }
}

/// value ± t u.
pub(crate) fn linear(estimate: &Estimate) -> Interval {
    let reach = coverage_factor(0.95, estimate.dof()) * estimate.standard_uncertainty();
    Interval { low: estimate.value - reach, high: estimate.value + reach }
}

/// exp(value ± t u) of the logarithm of a factor.
pub(crate) fn log(ln_estimate: &Estimate) -> Interval {
    let Interval { low, high } = linear(ln_estimate);
    Interval { low: maths::exp(low), high: maths::exp(high) }
}

/// 95 % interval of e^X − e^Y, X and Y jointly normal about the two estimates: the 2.5 and 97.5 % points of
/// P(e^X − e^Y ≤ z) = ∫ φ(y) Φ((ln(z + e^y) − E(X|y))/sd(X|y)) dy. `dof` is that of the difference.
pub(crate) fn difference_of_exponentials(x: &Estimate, y: &Estimate, dof: f64) -> Interval {
    let widening = coverage_factor(0.95, dof) / NORMAL_95;
    let (sd_x, sd_y) = (x.standard_uncertainty() * widening, y.standard_uncertainty() * widening);
    let covariance = x.covariance(y) * widening * widening;
    let slope = if sd_y > 0.0 { covariance / (sd_y * sd_y) } else { 0.0 };
    let spread = maths::sqrt((sd_x * sd_x - slope * covariance).max(1e-18));
    let below = |z: f64| {
        const PANELS: usize = 96;
        const REACH: f64 = 7.0;
        let step = 2.0 * REACH / PANELS as f64;
        let mut sum = 0.0;
        for i in 0..=PANELS {
            let u = -REACH + step * i as f64;
            let weight = match i {
                0 | PANELS => 1.0,
                _ if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let total = z + maths::exp(y.value + sd_y * u);
            if total > 0.0 {
                let mean = x.value + slope * sd_y * u;
                sum += weight * maths::exp(-0.5 * u * u) * normal_cdf((maths::ln(total) - mean) / spread);
            }
        }
        sum * step / 3.0 / maths::sqrt(2.0 * std::f64::consts::PI)
    };
    let middle = maths::exp(x.value) - maths::exp(y.value);
    let unit = (maths::exp(x.value) * sd_x).hypot(maths::exp(y.value) * sd_y).max(1e-12);
    Interval { low: root(&below, 0.025, middle, unit), high: root(&below, 0.975, middle, unit) }
}

/// Where a rising function reaches `wanted`, by halving about `middle`.
fn root(rising: &dyn Fn(f64) -> f64, wanted: f64, middle: f64, unit: f64) -> f64 {
    let (mut low, mut high) = (middle - unit, middle + unit);
    while rising(low) > wanted {
        low -= high - low;
    }
    while rising(high) < wanted {
        high += high - low;
    }
    for _ in 0..40 {
        let centre = f64::midpoint(low, high);
        if rising(centre) < wanted {
            low = centre
        } else {
            high = centre
        }
        if high - low < 1e-9 * unit {
            break;
        }
    }
    f64::midpoint(low, high)
}

/// Fieller's interval (1954) of numerator over denominator. `None` where it is unbounded: the denominator is not
/// told from 0.
pub(crate) fn quotient(numerator: &Estimate, denominator: &Estimate) -> Option<Interval> {
    let (a, b) = (numerator.value, denominator.value);
    let at = a / b;
    let t = coverage_factor(0.95, quotient_estimate(numerator, denominator, at).dof());
    let quotient = Quotient {
        numerator: a,
        denominator: b,
        numerator_variance: numerator.covariance(numerator),
        denominator_variance: denominator.covariance(denominator),
        covariance: numerator.covariance(denominator),
    };
    match quotient.interval(t) {
        RatioInterval::Bounded { low, high } => Some(Interval { low, high }),
        _ => None,
    }
}

/// First-order estimate of numerator over denominator, of value `at`.
pub(crate) fn quotient_estimate(numerator: &Estimate, denominator: &Estimate, at: f64) -> Estimate {
    let mut quotient = numerator.mapped(at, 1.0 / denominator.value);
    for (id, part) in &denominator.parts {
        quotient = quotient.with(id.clone(), -at * part.signed / denominator.value, part.dof);
    }
    quotient
}

/// `a` + `factor` · `b`, of value `value`.
pub(crate) fn combined(value: f64, a: &Estimate, factor: f64, b: &Estimate) -> Estimate {
    let mut sum = Estimate { value, parts: a.parts.clone() };
    for (id, part) in &b.parts {
        sum = sum.with(id.clone(), factor * part.signed, part.dof);
    }
    sum
}

/// Φ.
pub(crate) fn normal_cdf(x: f64) -> f64 {
    0.5 * erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}
