//! Chances: how many of n canopies stay shut.
//!
//! Each stays shut with chance p, of which the share β has a cause common to all (beta-factor model of common-cause
//! failures: Fleming, 1975, from memory): all stay shut with chance c = β p, and if not, each by itself with
//! q = (1 − β) p: P(j of n) = (1 − c) C(n, j) qʲ (1 − q)ⁿ⁻ʲ, and c more for j = n.

use super::{CaseKind, Chance, Failures};
use crate::maths;

/// Chance that exactly `shut` of `count` canopies stay shut.
///
/// # Examples
/// Three canopies, each shut with chance 0.1, no common cause: one shut 3 · 0.1 · 0.9² = 0.243.
pub fn chance_of_shut(failures: &Failures, count: usize, shut: usize) -> f64 {
    if shut > count {
        return 0.0;
    }
    let common = failures.shared * failures.each;
    let own = (1.0 - failures.shared) * failures.each;
    let ways = (0..shut).fold(1.0, |ways, i| ways * (count - i) as f64 / (i + 1) as f64);
    let apart = ways * maths::pow(own, shut as f64) * maths::pow(1.0 - own, (count - shut) as f64);
    (1.0 - common) * apart + if shut == count { common } else { 0.0 }
}

/// The chance of a case: as given, else as the failures make it; `None` where they say nothing of it.
pub(crate) fn chance(
    kind: CaseKind,
    given: Option<f64>,
    failures: &Failures,
    count: usize,
) -> Option<Chance> {
    if let Some(probability) = given {
        return Some(Chance { probability, trust: crate::ledger::Trust::Given });
    }
    let shut = match kind {
        CaseKind::AllOpen => 0,
        CaseKind::StayShut(shut) => shut,
        CaseKind::Only(open) => count.saturating_sub(open),
        CaseKind::Nothing => count,
        CaseKind::MainAtTop | CaseKind::NoDrogue | CaseKind::EarlyOpening | CaseKind::NotFilled => {
            return None;
        }
    };
    Some(Chance { probability: chance_of_shut(failures, count, shut), trust: failures.trust.clone() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::Trust;

    fn failures(each: f64, shared: f64) -> Failures {
        Failures { each, shared, trust: Trust::Given }
    }

    #[test]
    fn chances_sum_to_one_and_follow_the_binomial() {
        for shared in [0.0, 0.1, 1.0] {
            let sum: f64 = (0..=4).map(|shut| chance_of_shut(&failures(0.2, shared), 4, shut)).sum();
            assert!((sum - 1.0).abs() < 1e-12);
        }
        assert!((chance_of_shut(&failures(0.1, 0.0), 3, 1) - 0.243).abs() < 1e-12);
        assert!((chance_of_shut(&failures(0.1, 0.0), 3, 2) - 0.027).abs() < 1e-12);
        assert!(chance_of_shut(&failures(0.1, 0.0), 3, 4).abs() < 1e-15);
    }

    #[test]
    fn a_common_cause_shuts_all_of_them() {
        // β = 0.1, p = 0.1: c = 0.01, q = 0.09.
        let all = chance_of_shut(&failures(0.1, 0.1), 3, 3);
        assert!((all - (0.01 + 0.99 * 0.09f64.powi(3))).abs() < 1e-12);
        assert!((chance_of_shut(&failures(0.1, 1.0), 3, 0) - 0.9).abs() < 1e-12);
    }

    #[test]
    fn a_case_without_a_chance_has_none() {
        let failures = failures(0.1, 0.1);
        let of = |kind, given| chance(kind, given, &failures, 3).map(|chance| chance.probability);
        assert_eq!(of(CaseKind::MainAtTop, None), None);
        assert_eq!(of(CaseKind::MainAtTop, Some(0.02)), Some(0.02));
        assert_eq!(of(CaseKind::Nothing, None), Some(chance_of_shut(&failures, 3, 3)));
        assert_eq!(of(CaseKind::AllOpen, None), Some(chance_of_shut(&failures, 3, 0)));
    }
}
