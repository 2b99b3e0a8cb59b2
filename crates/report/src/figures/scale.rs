//! A linear scale with ticks at round numbers.

use silkfall_core::maths;

/// Values to places: `low` goes to the first end, `high` to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Linear {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Linear {
    /// From `low..high` to `ends`. Where both values are one, a little room is made on either side.
    pub fn new(low: f64, high: f64, ends: (f64, f64)) -> Self {
        let (low, high) = if high > low {
            (low, high)
        } else {
            let room = if low.abs() > 0.0 { 0.05 * low.abs() } else { 1.0 };
            (low - room, low + room)
        };
        Linear { low, high, from: ends.0, to: ends.1 }
    }

    /// The same with a twentieth of the span left free on either side.
    pub fn around(low: f64, high: f64, ends: (f64, f64)) -> Self {
        let tight = Linear::new(low, high, ends);
        let room = (tight.high - tight.low) / 20.0;
        Linear { low: tight.low - room, high: tight.high + room, ..tight }
    }

    /// The place of a value; values outside go beyond the ends.
    pub fn at(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    /// About `wanted` round numbers within it: steps of 1, 2 or 5 times a power of ten.
    pub fn ticks(&self, wanted: usize) -> Vec<f64> {
        let span = self.high - self.low;
        let rough = span / wanted.max(1) as f64;
        let power = maths::pow(10.0, maths::floor(maths::log10(rough)));
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|lead| lead * power)
            .find(|step| *step >= rough * (1.0 - 1e-9))
            .unwrap_or(10.0 * power);
        let first = maths::ceil(self.low / step - 1e-9) as i64;
        let last = maths::floor(self.high / step + 1e-9) as i64;
        // From whole multiples, so that 0.3 is 0.3 and not 0.30000000000000004 more than it.
        let per_one = 1.0 / step;
        (first..=last)
            .map(
                |multiple| {
                    if step < 1.0 { multiple as f64 / per_one.round() } else { multiple as f64 * step }
                },
            )
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(Linear::new(2.4, 4.3, (0.0, 1.0)).ticks(4), [2.5, 3.0, 3.5, 4.0]);
        assert_eq!(Linear::new(0.0, 1.0, (0.0, 1.0)).ticks(5), [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
        assert_eq!(Linear::new(-0.03, 0.03, (0.0, 1.0)).ticks(3), [-0.02, 0.0, 0.02]);
        assert_eq!(Linear::new(0.0, 900.0, (0.0, 1.0)).ticks(5), [0.0, 200.0, 400.0, 600.0, 800.0]);
    }

    #[test]
    fn one_value_still_has_a_scale() {
        let scale = Linear::new(5.0, 5.0, (0.0, 100.0));
        assert!((scale.at(5.0) - 50.0).abs() < 1e-9);
        assert!(!scale.ticks(3).is_empty());
    }

    #[test]
    fn a_scale_may_run_backwards() {
        let scale = Linear::new(0.0, 10.0, (100.0, 0.0));
        assert!((scale.at(2.5) - 75.0).abs() < 1e-12);
    }
}
