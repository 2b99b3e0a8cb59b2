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
/// An end below 0, where a net area is cut, is good to a hundredth of the doubt: there the integrand begins between two nodes.
pub(crate) fn difference_of_exponentials(x: &Estimate, y: &Estimate, dof: f64) -> Interval {
    let widening = coverage_factor(0.95, dof) / NORMAL_95;
    let (sd_x, sd_y) = (x.standard_uncertainty() * widening, y.standard_uncertainty() * widening);
    let covariance = x.covariance(y) * widening * widening;
    let slope = if sd_y > 0.0 { covariance / (sd_y * sd_y) } else { 0.0 };
    let spread = maths::sqrt((sd_x * sd_x - slope * covariance).max(1e-18));
    const REACH: f64 = 7.0;
    // Where X hangs on Y, Φ is steep in y: as many panels as resolve it, within reason.
    let panels = 2 * ((REACH * sd_y / spread) as usize).clamp(48, 400);
    let step = 2.0 * REACH / panels as f64;
    // Simpson's weight with the density of y, e^y, and E(X|y) at each node.
    let nodes: Vec<(f64, f64, f64)> = (0..=panels)
        .map(|i| {
            let u = -REACH + step * i as f64;
            let simpson = match i {
                _ if i == 0 || i == panels => 1.0,
                _ if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let density = maths::exp(-0.5 * u * u) / maths::sqrt(2.0 * std::f64::consts::PI);
            (simpson * step / 3.0 * density, maths::exp(y.value + sd_y * u), x.value + slope * sd_y * u)
        })
        .collect();
    let below = |z: f64| -> f64 {
        let part = |&(weight, exp_y, mean): &(f64, f64, f64)| match z + exp_y {
            total if total > 0.0 => weight * normal_cdf((maths::ln(total) - mean) / spread),
            _ => 0.0,
        };
        nodes.iter().map(part).sum()
    };
    let middle = maths::exp(x.value) - maths::exp(y.value);
    let unit = (maths::exp(x.value) * sd_x).hypot(maths::exp(y.value) * sd_y).max(1e-12);
    Interval { low: root(&below, 0.025, middle, unit), high: root(&below, 0.975, middle, unit) }
}

/// Where a rising function reaches `wanted`: bracketed about `middle`, then false position in the Illinois variant
/// (Dowell and Jarratt, BIT 11 (1971) 168, from memory of it), to a millionth of `unit`.
fn root(rising: &dyn Fn(f64) -> f64, wanted: f64, middle: f64, unit: f64) -> f64 {
    let over = |z: f64| rising(z) - wanted;
    let (mut low, mut high) = (middle - unit, middle + unit);
    let (mut over_low, mut over_high) = (over(low), over(high));
    while over_low > 0.0 {
        low -= high - low;
        over_low = over(low);
    }
    while over_high < 0.0 {
        high += high - low;
        over_high = over(high);
    }
    let mut at = f64::midpoint(low, high);
    let mut last = std::cmp::Ordering::Equal;
    for _ in 0..60 {
        let next = high - over_high * (high - low) / (over_high - over_low);
        let moved = (next - at).abs();
        at = next;
        let over_at = over(at);
        if moved < 1e-6 * unit || over_at.abs() <= 1e-12 {
            break;
        }
        // An end that stays for a second time counts half.
        let side = over_at.total_cmp(&0.0);
        let again = side == last;
        last = side;
        if over_at < 0.0 {
            (low, over_low) = (at, over_at);
            over_high *= if again { 0.5 } else { 1.0 };
        } else {
            (high, over_high) = (at, over_at);
            over_low *= if again { 0.5 } else { 1.0 };
        }
    }
    at
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

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;

    fn own(value: f64, id: &str, sd: f64) -> Estimate {
        Estimate::exact(value).with(id, sd, f64::INFINITY)
    }

    /// Drawn in numpy 2.4.6, seed 1, 4,000,000 draws: percentiles of e^X − e^Y for X = ln 3.13931805 and
    /// Y = ln 2.19972226 with a third quantity, each with a standard deviation of 0.04, taken off both.
    #[test]
    fn the_difference_of_two_lognormals_is_that_of_draws() {
        let base = |value: f64, id: &str| own(maths::ln(value), id, 0.04).with("base", -0.04, f64::INFINITY);
        let two =
            difference_of_exponentials(&base(3.139_318_05, "x"), &base(2.199_722_26, "y"), f64::INFINITY);
        let one = difference_of_exponentials(&base(1.716_555_12, "x"), &Estimate::exact(0.0), f64::INFINITY);
        check! {
            area: "drag areas", what: "95 % interval of a net area over one canopy: ends under one and under two",
            against: "4,000,000 draws with numpy 2.4.6, seed 1", leg: Independent,
            rows: [
                ("one low", one.low, 0.536_253), ("one high", one.high, 0.917_770),
                ("two low", two.low, 0.637_691), ("two high", two.high, 1.258_158),
            ],
            within: 1e-3, because: "three standard errors of a drawn 2.5 % point",
        }
    }

    #[test]
    fn a_difference_the_other_way_round_is_its_negative() {
        let x = own(maths::ln(0.5), "x", 0.4).with("both", 0.05, f64::INFINITY);
        let y = own(0.0, "y", 0.3).with("both", 0.05, f64::INFINITY);
        let (less, more) = (difference_of_exponentials(&x, &y, 9.0), difference_of_exponentials(&y, &x, 9.0));
        assert!(less.low < -1.0 && less.high > 0.0, "{less:?}");
        // The doubt is 0.4, and an end below 0 is good to a hundredth of it.
        assert!((less.low + more.high).abs() < 0.004 && (less.high + more.low).abs() < 0.004, "{more:?}");
    }

    #[test]
    fn what_both_share_in_full_is_no_doubt_of_the_quotient() {
        let both = |value: f64| own(value, "scale", 0.3);
        let interval =
            difference_of_exponentials(&both(maths::ln(3.0)), &both(maths::ln(2.0)), f64::INFINITY);
        // e^z with z normal of 0.3.
        assert!((interval.low - maths::exp(-1.96 * 0.3)).abs() < 0.003, "{interval:?}");
        assert!((interval.high - maths::exp(1.96 * 0.3)).abs() < 0.01, "{interval:?}");
    }

    /// X = ln 2.2 + s + ε and Y = ln 2 + s: e^X − e^Y = e^s (2.2 e^ε − 2), so that
    /// P(≤ z) = ∫ φ(ε) Φ(ln(z/(2.2 e^ε − 2))/sd(s)) dε, which is smooth where the integral over Y is steep.
    #[test]
    fn where_both_share_most_the_ends_are_those_of_the_integral_over_what_they_do_not() {
        let (shared, own_sd) = (0.3, 0.0075);
        let x = own(maths::ln(2.2), "s", shared).with("own", own_sd, f64::INFINITY);
        let interval = difference_of_exponentials(&x, &own(maths::ln(2.0), "s", shared), f64::INFINITY);
        let below = |z: f64| -> f64 {
            let step = 0.01;
            let part = |i: i32| {
                let u = step * f64::from(i);
                let density = maths::exp(-0.5 * u * u) / maths::sqrt(2.0 * std::f64::consts::PI);
                let scale = 2.2 * maths::exp(own_sd * u) - 2.0;
                step * density * normal_cdf(maths::ln(z / scale) / shared)
            };
            (-700..=700).map(part).sum()
        };
        // The ends are found to a millionth of the doubt.
        assert!((below(interval.low) - 0.025).abs() < 1e-6, "{interval:?}");
        assert!((below(interval.high) - 0.975).abs() < 1e-6, "{interval:?}");
    }

    #[test]
    fn few_degrees_of_freedom_widen_it() {
        let part_shared = |value, id: &str| own(value, id, 0.001).with("both", 0.002, f64::INFINITY);
        let of = |dof| difference_of_exponentials(&part_shared(1.0, "x"), &part_shared(0.5, "y"), dof);
        let width = |dof| of(dof).high - of(dof).low;
        // t of 4 degrees: 2.776 (from memory of JCGM 100:2008, table G.2).
        assert!((width(4.0) / width(f64::INFINITY) - 2.776 / 1.960).abs() < 0.002);
    }

    #[test]
    fn a_quotient_is_fiellers_and_open_where_the_denominator_may_be_nothing() {
        let interval = quotient(&own(10.0, "a", 0.5), &own(5.0, "b", 0.4)).unwrap();
        check! {
            area: "drag areas", what: "Fieller interval of 10 ± 0.5 over 5 ± 0.4",
            against: "computed independently from Fieller (1954)", leg: Closed,
            rows: [("low", interval.low, 1.672_595), ("high", interval.high, 2.428_225)],
            within: 1e-6, because: "half a unit of the last printed digit, and 1.96 to its seventh digit",
        }
        assert_eq!(quotient(&own(1.0, "a", 0.1), &own(0.1, "b", 0.2)), None);
        let estimate = quotient_estimate(&own(10.0, "a", 0.5), &own(5.0, "b", 0.4), 2.0);
        assert!((estimate.parts[&"a".into()].signed - 0.1).abs() < 1e-12);
        assert!((estimate.parts[&"b".into()].signed + 0.16).abs() < 1e-12);
    }

    /// At either end R of Fieller's interval (a − R b)² = t² (u²(a) + R² u²(b)).
    #[test]
    fn a_quotient_of_few_degrees_takes_students_t() {
        let interval = quotient(&Estimate::exact(10.0).with("a", 0.5, 4.0), &own(5.0, "b", 0.4)).unwrap();
        // Of the quotient 2: u² = (0.5/5)² + (2 · 0.4/5)² = 0.0356, ν = 0.0356²/(0.01²/4).
        let t = coverage_factor(0.95, 0.0356 * 0.0356 / (0.01 * 0.01 / 4.0));
        for end in [interval.low, interval.high] {
            let reach = t * 0.5f64.hypot(end * 0.4);
            assert!(((10.0 - 5.0 * end).abs() / reach - 1.0).abs() < 1e-9, "{interval:?}");
        }
    }

    #[test]
    fn intervals_are_cut_to_what_is_allowed() {
        let cut = |low, high| Interval { low, high }.within(0.0, 1.0);
        assert_eq!(cut(-0.5, 0.4), Interval { low: 0.0, high: 0.4 });
        assert_eq!(cut(1.5, 2.0), Interval { low: 1.0, high: 1.0 });
        let interval = Interval { low: 0.2, high: 0.4 };
        assert!(interval.holds(0.2) && interval.holds(0.4) && !interval.holds(0.41) && !interval.holds(0.19));
    }

    #[test]
    fn estimates_add_with_their_signs() {
        let sum = combined(7.0, &own(1.0, "a", 0.1), -2.0, &own(3.0, "a", 0.03));
        assert!((sum.value - 7.0).abs() < 1e-15);
        assert!((sum.parts[&"a".into()].signed - 0.04).abs() < 1e-15);
        let log = log(&own(maths::ln(2.0), "a", 0.1));
        assert!((log.high / 2.0 - maths::exp(0.196)).abs() < 1e-4 && (log.low * log.high - 4.0).abs() < 1e-9);
    }

    /// Halving a bracket of two units to a millionth of one asks 21 times.
    #[test]
    fn a_root_is_found_in_fewer_steps_than_by_halving() {
        for (wanted, middle, unit) in
            [(0.025, 0.0, 1.0), (0.975, 0.2, 1.0), (0.5, 0.3, 0.5), (0.025, 5.0, 0.5), (0.975, -5.0, 0.5)]
        {
            let asked = std::cell::Cell::new(0);
            let counted = |z: f64| {
                asked.set(asked.get() + 1);
                normal_cdf(z)
            };
            root(&counted, wanted, middle, unit);
            assert!(asked.get() < 21, "{wanted} from {middle}: asked {} times", asked.get());
        }
    }

    #[test]
    fn a_root_far_from_where_the_search_begins_is_bracketed_first() {
        for (wanted, middle) in [(0.025, 5.0), (0.975, -5.0), (0.5, 0.3), (0.975, 1.9)] {
            let at = root(&normal_cdf, wanted, middle, 0.5);
            let want = crate::stats::distribution::normal_quantile(wanted);
            assert!((at - want).abs() < 1e-5, "{wanted} from {middle}: {at}");
        }
    }
}
