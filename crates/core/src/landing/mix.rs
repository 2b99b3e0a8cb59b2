//! The mix of cases: every case by its chance.
//!
//! Chances that are stated need not sum to 1: what is left over is the case in which all opens, or where that one has its
//! own, all are divided by their sum. Failures with a cause common to all canopies are in the chances already
//! ([`crate::cases::chance_of_shut`]).

use super::judged::{Judging, share};
use crate::cases::{CaseKind, Share};

/// The weights of a mix, in the order of the cases; they sum to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights(pub(super) Vec<f64>);

impl Weights {
    /// From the chance of each case where one is known; `None` where no case has any.
    pub fn new(cases: &[(CaseKind, Option<f64>)]) -> Option<Weights> {
        let known: f64 = cases.iter().filter_map(|(_, chance)| *chance).sum();
        let rest = (1.0 - known).max(0.0);
        let mut all_open =
            cases.iter().filter(|(kind, chance)| *kind == CaseKind::AllOpen && chance.is_none()).count()
                as f64;
        if all_open > 0.0 && rest <= 0.0 {
            all_open = 0.0;
        }
        let weight = |(kind, chance): &(CaseKind, Option<f64>)| match chance {
            Some(chance) => *chance,
            None if *kind == CaseKind::AllOpen && all_open > 0.0 => rest / all_open,
            None => 0.0,
        };
        let weights: Vec<f64> = cases.iter().map(weight).collect();
        let sum: f64 = weights.iter().sum();
        (sum > 0.0).then(|| Weights(weights.iter().map(|weight| weight / sum).collect()))
    }

    /// By case.
    pub fn of(&self, case: usize) -> f64 {
        self.0.get(case).copied().unwrap_or(0.0)
    }

    /// The same with one chance multiplied: the cases in which all opens take up the difference, or all others where
    /// there is none.
    #[must_use]
    pub fn with_chance_times(&self, case: usize, factor: f64, kinds: &[CaseKind]) -> Weights {
        let mut weights = self.0.clone();
        let Some(old) = weights.get(case).copied() else { return self.clone() };
        let new = (old * factor).min(1.0);
        let takes_up = |i: usize| i != case && kinds.get(i) == Some(&CaseKind::AllOpen);
        let any_open = (0..weights.len()).any(takes_up);
        let takes = |i: usize| if any_open { takes_up(i) } else { i != case };
        let others: f64 = (0..weights.len()).filter(|i| takes(*i)).map(|i| self.0[i]).sum();
        let left = (others + old - new).max(0.0);
        for (i, weight) in weights.iter_mut().enumerate() {
            if takes(i) && others > 0.0 {
                *weight *= left / others;
            }
        }
        weights[case] = new;
        let sum: f64 = weights.iter().sum();
        Weights(weights.iter().map(|weight| weight / sum).collect())
    }
}

/// The answer with one failure's chance at nothing and at three times what was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// Index of the case.
    pub case: usize,
    /// Share inside when it never happens.
    pub never: f64,
    /// Share inside when it happens three times as often.
    pub thrice: f64,
}

/// The share over a mix.
pub(super) fn mixed(weights: &Weights, within: &[Option<Vec<bool>>], flights: usize) -> Option<Share> {
    let cases: Vec<Judging<'_>> = within
        .iter()
        .enumerate()
        .filter_map(|(i, within)| {
            let weight = weights.of(i);
            within.as_ref().filter(|_| weight > 0.0).map(|within| Judging { weight, within })
        })
        .collect();
    // A case that could happen and could not be worked leaves no answer for the mix.
    let covered: f64 = cases.iter().map(|case| case.weight).sum();
    (!cases.is_empty() && covered > 1.0 - 1e-9).then(|| share(&cases, flights))
}

/// How much each failure's chance matters.
pub(super) fn sensitivity(
    weights: &Weights,
    kinds: &[CaseKind],
    within: &[Option<Vec<bool>>],
    flights: usize,
) -> Vec<Sensitivity> {
    (0..kinds.len())
        .filter(|i| kinds[*i] != CaseKind::AllOpen && weights.of(*i) > 0.0)
        .filter_map(|case| {
            let at = |factor| {
                mixed(&weights.with_chance_times(case, factor, kinds), within, flights)
                    .map(|share| share.best)
            };
            Some(Sensitivity { case, never: at(0.0)?, thrice: at(3.0)? })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_over_is_the_case_in_which_all_opens() {
        let weights = Weights::new(&[
            (CaseKind::AllOpen, None),
            (CaseKind::StayShut(1), Some(0.03)),
            (CaseKind::Nothing, None),
        ]);
        let weights = weights.unwrap();
        assert!((weights.of(0) - 0.97).abs() < 1e-12 && weights.of(2).abs() < 1e-12);
        assert_eq!(Weights::new(&[(CaseKind::Nothing, None)]), None);
        let over = Weights::new(&[(CaseKind::AllOpen, Some(0.9)), (CaseKind::Nothing, Some(0.3))]).unwrap();
        assert!((over.of(0) - 0.75).abs() < 1e-12);
    }

    #[test]
    fn a_chance_times_three_is_taken_from_the_case_in_which_all_opens() {
        let kinds = [CaseKind::AllOpen, CaseKind::StayShut(1), CaseKind::Nothing];
        let weights = Weights(vec![0.95, 0.04, 0.01]);
        let thrice = weights.with_chance_times(2, 3.0, &kinds);
        assert!((thrice.of(0) - 0.93).abs() < 1e-12 && (thrice.of(1) - 0.04).abs() < 1e-12);
        assert!((thrice.of(2) - 0.03).abs() < 1e-12);
        let never = weights.with_chance_times(2, 0.0, &kinds);
        assert!((never.of(0) - 0.96).abs() < 1e-12);
    }

    #[test]
    fn failures_that_land_outside_cost_their_chance() {
        let kinds = [CaseKind::AllOpen, CaseKind::Nothing];
        let weights = Weights(vec![0.98, 0.02]);
        let within = [Some(vec![true; 80]), Some(vec![false; 80])];
        let matters = sensitivity(&weights, &kinds, &within, 40);
        assert_eq!(matters.len(), 1);
        assert!((matters[0].never - 1.0).abs() < 1e-12 && (matters[0].thrice - 0.94).abs() < 1e-12);
        assert_eq!(
            mixed(&weights, &[Some(vec![true; 80]), None], 40),
            None,
            "a hole in the mix is no answer"
        );
    }
}
