//! Random draws: one stream a trial, one uniform a draw.
//!
//! A trial's stream is ChaCha8 keyed by the seed, its stream number the trial's, so that a trial can be repeated by itself and
//! the first n trials of many are those of few. Every draw takes one uniform and goes through the inverse of its
//! distribution: draws keep their rank when a parameter changes (common random numbers), and one more input does not
//! shift those before it. [`trials`] runs over fixed chunks and returns in order: the number of threads cannot change a digit.
//!
//! Source: D. J. Bernstein, "ChaCha, a variant of Salsa20" (2008), by the crate rand_chacha; JCGM 101:2008, 6.4. [`fnv_1a`]: Fowler, Noll
//! and Vo, from memory of their reference code.

use std::ops::Range;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;

use super::distribution::{beta_quantile, normal_quantile, student_t_quantile};
use crate::ledger::{Distribution, Entry};
use crate::maths::exp;

/// Trials in one piece of work: large enough to be worth a thread's while, and never changed by their number.
const CHUNK: usize = 64;

/// A number for a name: FNV-1a of 64 bits, the same on every platform. Tells names apart, secures nothing.
pub fn fnv_1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// The random draws of one trial.
#[derive(Clone, Debug)]
pub struct Stream(ChaCha8Rng);

impl Stream {
    /// The stream of a trial.
    pub fn new(seed: u64, trial: u64) -> Stream {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(trial);
        Stream(generator)
    }

    /// Uniform between 0 and 1, neither of them: 2⁵³ values, each in the middle of its step.
    pub fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }

    /// Student's t.
    pub fn student_t(&mut self, dof: f64) -> f64 {
        student_t_quantile(self.uniform(), dof)
    }

    /// Uniform between two bounds.
    pub fn rectangular(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// `median` times the exponential of a normal with the standard deviation `sd_log`.
    pub fn log_normal(&mut self, median: f64, sd_log: f64) -> f64 {
        median * exp(sd_log * self.normal())
    }

    /// Beta with shapes `a` and `b`.
    pub fn beta(&mut self, a: f64, b: f64) -> f64 {
        beta_quantile(self.uniform(), a, b)
    }

    /// A value of a ledger entry. An exact entry takes a uniform too, so that making one exact moves no other draw.
    pub fn entry(&mut self, entry: &Entry) -> f64 {
        let u = self.uniform();
        match entry.distribution {
            Distribution::Exact => entry.value,
            Distribution::Normal { sd } => entry.value + sd * normal_quantile(u),
            Distribution::LogNormal { sd_log } => entry.value * exp(sd_log * normal_quantile(u)),
            Distribution::LogT { scale_log, dof } => {
                entry.value * exp(scale_log * student_t_quantile(u, dof))
            }
            Distribution::Rectangular { low, high } => low + (high - low) * u,
            // The upper half of a normal, largest doubt for the smallest u: ranks of the value follow u.
            Distribution::OneSidedBelow { sd_relative } => {
                entry.value * (1.0 + sd_relative * normal_quantile(0.5 * u))
            }
        }
    }
}

/// The results of trials, in the order of their numbers, worked out on as many threads as there are.
///
/// # Examples
/// ```
/// use silkfall_core::stats::stream::{Stream, trials};
///
/// let draws = trials(0..1000, |trial| Stream::new(7, trial).uniform());
/// let first = trials(0..10, |trial| Stream::new(7, trial).uniform());
/// assert_eq!(draws[..10], first[..]);
/// ```
pub fn trials<T: Send>(numbers: Range<u64>, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let first = numbers.start;
    let count =
        usize::try_from(numbers.end.saturating_sub(first)).expect("as many trials as memory can hold");
    (0..count)
        .into_par_iter()
        .with_min_len(CHUNK)
        .with_max_len(CHUNK)
        .map(|i| work(first + i as u64))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{Sharing, Trust};

    fn on_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(work)
    }

    /// Values from memory of the published reference code: the empty text gives the offset basis, "a" this.
    #[test]
    fn names_have_the_numbers_of_the_reference_code() {
        assert_eq!(fnv_1a(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv_1a(b"a"), 0xaf63_dc4c_8601_ec8c);
    }

    #[test]
    fn the_number_of_threads_changes_no_digit() {
        let run = || {
            trials(5..3000, |trial| {
                let mut stream = Stream::new(20_260_512, trial);
                stream.normal() + stream.student_t(3.0) * stream.beta(2.0, 5.0)
            })
        };
        let bits = |values: Vec<f64>| values.into_iter().map(f64::to_bits).collect::<Vec<_>>();
        assert_eq!(bits(on_threads(1, run)), bits(on_threads(2, run)));
    }

    #[test]
    fn streams_of_trials_and_seeds_differ() {
        let first = |seed, trial| Stream::new(seed, trial).uniform().to_bits();
        assert_ne!(first(1, 0), first(1, 1));
        assert_ne!(first(1, 0), first(2, 0));
    }

    #[test]
    fn a_draw_keeps_its_rank_when_a_parameter_changes() {
        let draw = |seed, distribution| {
            let entry = Entry {
                meaning: "mass".to_owned(),
                value: 2.0,
                distribution,
                sharing: Sharing::Flight,
                trust: Trust::Given,
            };
            Stream::new(seed, 0).entry(&entry)
        };
        let distributions = [
            Distribution::Normal { sd: 0.1 },
            Distribution::LogNormal { sd_log: 0.3 },
            Distribution::LogT { scale_log: 0.1, dof: 3.0 },
            Distribution::Rectangular { low: -1.0, high: 5.0 },
            Distribution::OneSidedBelow { sd_relative: 0.1 },
        ];
        let seeds = || 0..40u64;
        let order = |distribution| {
            let mut seeds: Vec<u64> = seeds().collect();
            seeds.sort_by(|&a, &b| draw(a, distribution).total_cmp(&draw(b, distribution)));
            seeds
        };
        let by_rank = order(distributions[0]);
        for distribution in distributions {
            assert_eq!(order(distribution), by_rank, "{distribution:?}");
        }
        assert!(seeds().all(|seed| draw(seed, distributions[4]) <= 2.0), "never above the maker's figure");
    }
}
