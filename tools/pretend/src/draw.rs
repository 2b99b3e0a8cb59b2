//! Random draws: one ChaCha8 stream a purpose, so that a change in one nuisance leaves the others as they were.
//!
//! Normal deviates by the polar method (Marsaglia and Bray 1964, SIAM Review 6, 260; from memory of the paper).
//! `libm` supplies the logarithm, so that a seed gives the same bytes on every platform.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// What a stream of draws is for. The numbers are part of the meaning of a seed and never change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Purpose {
    Options = 1,
    Session = 2,
    Handling = 3,
    Drop = 4,
    Air = 5,
    Noise = 6,
    Flaws = 7,
}

/// A stream of random draws.
#[derive(Clone, Debug)]
pub(crate) struct Draw {
    rng: ChaCha8Rng,
    spare_normal: Option<f64>,
}

impl Draw {
    pub(crate) fn new(seed: u64, purpose: Purpose) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(purpose as u64);
        Self { rng, spare_normal: None }
    }

    /// Uniform on [0, 1), with 53 random bits.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Log-uniform between two positive bounds.
    pub(crate) fn log_between(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.unit())
    }

    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// A whole number in 0..count; `count` is at least 1.
    pub(crate) fn index(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.index(from.len())]
    }

    /// Standard normal.
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare_normal.take() {
            return spare;
        }
        loop {
            let (x, y) = (2.0 * self.unit() - 1.0, 2.0 * self.unit() - 1.0);
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                let scale = (-2.0 * libm::log(square) / square).sqrt();
                self.spare_normal = Some(y * scale);
                return x * scale;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COUNT: usize = 200_000;

    #[test]
    fn normal_deviates_have_the_moments_of_a_standard_normal() {
        let mut draw = Draw::new(20_260_501, Purpose::Noise);
        let mut sums = [0.0; 4];
        for _ in 0..COUNT {
            let z = draw.normal();
            for (power, sum) in sums.iter_mut().enumerate() {
                *sum += z.powi(power as i32 + 1);
            }
        }
        let n = COUNT as f64;
        // Moments of N(0, 1): 0, 1, 0, 3; the variances of z, z², z³, z⁴ are 1, 2, 15, 96.
        for (sum, (expected, variance)) in
            sums.iter().zip([(0.0, 1.0), (1.0, 2.0), (0.0, 15.0), (3.0, 96.0_f64)])
        {
            let error = sum / n - expected;
            assert!(error.abs() < 4.0 * (variance / n).sqrt(), "moment off by {error}");
        }
    }

    #[test]
    fn streams_of_one_seed_differ_and_repeat() {
        let first = |purpose| Draw::new(7, purpose).unit().to_bits();
        assert_eq!(first(Purpose::Air), first(Purpose::Air));
        assert_ne!(first(Purpose::Air), first(Purpose::Noise));
    }

    #[test]
    fn log_uniform_draws_halve_at_the_geometric_mean() {
        let mut draw = Draw::new(11, Purpose::Options);
        let below = (0..COUNT).filter(|_| draw.log_between(0.1, 1.0) < 0.1_f64.sqrt()).count();
        let n = COUNT as f64;
        assert!((below as f64 - n / 2.0).abs() < 4.0 * (n / 4.0).sqrt());
    }
}
