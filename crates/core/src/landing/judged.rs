//! The share of landings inside the field, and over places to keep out of.
//!
//! p̂ = Σ_c w_c k_c/n over the cases c of a mix, w_c their chances: the best estimate over all flights of all worlds. In
//! world j the flights say p_j. What the worlds differ by is what is not known; what each p_j scatters by beside
//! that is only that few flights were flown in it: s² = Σ_c w_c² p_c (1 − p_c)/n_j. The observed spread of the p_j is
//! drawn in about p̂ by √(1 − s²/S²), S² their variance, and the share at worst (95 % sure) is the 5 % quantile of
//! what is left (moment matching of a variance in two layers; Searle, Casella, McCulloch, Variance Components
//! (1992), section 3.5, from memory). S² ≤ s²: the worlds are not told apart, and the share at worst is p̂.
//!
//! Not here: the chance of a case, which is stated or assumed and has no doubt of its own; see
//! [`super::mix::sensitivity`].

use crate::cases::Share;
use crate::drag::Interval;
use crate::maths;
use crate::stats::sample::Sample;

/// One case in a mix: its weight and, for each trial, whether it came down as wanted.
pub(super) struct Judging<'a> {
    pub weight: f64,
    pub within: &'a [bool],
}

/// The share over a mix of cases whose weights sum to 1, `flights` trials in a row of each being of one world.
///
/// # Panics
/// Without a case or a trial.
pub(super) fn share(cases: &[Judging<'_>], flights: usize) -> Share {
    let worlds = cases[0].within.len().div_ceil(flights);
    let mut by_world = vec![0.0; worlds];
    let (mut best, mut variance, mut within_variance) = (0.0, 0.0, 0.0);
    for Judging { weight, within } in cases {
        let trials = within.len() as f64;
        let hits = |within: &[bool]| within.iter().filter(|is_within| **is_within).count() as f64;
        let p = hits(within) / trials;
        for (world, flown) in by_world.iter_mut().zip(within.chunks(flights)) {
            *world += weight * hits(flown) / flown.len() as f64;
        }
        best += weight * p;
        variance += weight * weight * p * (1.0 - p) / trials;
        within_variance += weight * weight * p * (1.0 - p) / flights as f64;
    }
    let observed = by_world.iter().map(|p| (p - best) * (p - best)).sum::<f64>() / worlds.max(2) as f64;
    let drawn_in =
        if observed > within_variance { maths::sqrt(1.0 - within_variance / observed) } else { 0.0 };
    let shares = by_world.iter().map(|p| (best + drawn_in * (p - best)).clamp(0.0, 1.0)).collect();
    let shares = Sample::new(shares).expect("there is a world, and shares are finite");
    Share {
        best,
        interval: Interval { low: shares.quantile(0.025), high: shares.quantile(0.975) },
        at_worst: shares.quantile(0.05),
        at_worst_without_memory: None,
        standard_error: maths::sqrt(variance),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::stream::Stream;

    fn flown(worlds: usize, flights: usize, of_world: impl Fn(usize) -> f64) -> Vec<bool> {
        let mut stream = Stream::new(11, 0);
        (0..worlds * flights).map(|i| stream.uniform() < of_world(i / flights)).collect()
    }

    #[test]
    fn few_flights_in_worlds_that_are_all_alike_make_no_doubt() {
        let within = flown(50, 12, |_| 0.95);
        let share = share(&[Judging { weight: 1.0, within: &within }], 12);
        // The raw 5 % quantile of twelve flights is near 0.83.
        assert!(share.best - share.at_worst < 0.04, "{share:?}");
        assert!((share.best - 0.95).abs() < 3.0 * share.standard_error);
    }

    /// Worlds evenly from 0.80 to 1.00: 5 % of them lie below 0.81.
    #[test]
    fn worlds_that_differ_are_told_apart() {
        let within = flown(50, 800, |world| 0.80 + 0.20 * (world as f64 + 0.5) / 50.0);
        let share = share(&[Judging { weight: 1.0, within: &within }], 800);
        assert!((share.at_worst - 0.81).abs() < 0.02, "{share:?}");
        assert!((share.best - 0.90).abs() < 0.01);
    }

    #[test]
    fn a_mix_is_weighted_by_its_chances() {
        let (all, none) = (vec![true; 100], vec![false; 100]);
        let cases = [Judging { weight: 0.97, within: &all }, Judging { weight: 0.03, within: &none }];
        let share = share(&cases, 10);
        assert!((share.best - 0.97).abs() < 1e-12 && (share.at_worst - 0.97).abs() < 1e-12);
        assert!(share.standard_error.abs() < 1e-12);
    }
}
