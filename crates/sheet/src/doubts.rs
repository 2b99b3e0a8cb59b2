//! The doubt of a result by cause, in words: what an [`Estimate`] says, put beside what the ledger says of each entry.

use silkfall_core::ledger::{Estimate, Ledger, LedgerId, Trust};
use silkfall_core::maths::exp;
use silkfall_core::pooling::student_95;

use crate::reduction::{Doubt, DoubtCure};
use silkfall_core::drag::Interval;

/// Parts of an estimate that matter, largest first; `relative_to` turns a part into a share of the value (1 for a logarithm).
pub(crate) fn by_cause(estimate: &Estimate, relative_to: f64, ledger: &Ledger) -> Vec<(LedgerId, Doubt)> {
    let mut doubts: Vec<(LedgerId, Doubt)> = estimate
        .parts
        .iter()
        .filter(|(_, part)| part.signed.abs() > 0.0)
        .map(|(id, part)| {
            let cause = match ledger.get(id) {
                Some(entry) if matches!(entry.trust, Trust::Assumed(_)) => {
                    format!("{}, not stated", entry.meaning)
                }
                Some(entry) => entry.meaning.clone(),
                None => id.0.clone(),
            };
            let relative = part.signed.abs() / relative_to;
            (id.clone(), Doubt { cause, relative, remark: None, cure: None })
        })
        .collect();
    doubts.sort_by(|a, b| b.1.relative.total_cmp(&a.1.relative));
    // What is a thousandth of the largest cannot be seen in the sum of squares.
    let least = doubts.first().map_or(0.0, |largest| 1e-3 * largest.1.relative);
    doubts.retain(|(_, doubt)| doubt.relative >= least);
    doubts
}

/// The cure of one doubt: the option, and the interval of a rate without that part.
pub(crate) fn cure(estimate: &Estimate, without: &LedgerId, option: &str) -> DoubtCure {
    let mut rest = estimate.clone();
    rest.parts.remove(without);
    DoubtCure { option: option.to_owned(), interval_95: interval_of_log(&rest) }
}

/// value · exp(± t(ν) u/value).
pub(crate) fn interval_of_log(estimate: &Estimate) -> Interval {
    let reach = student_95(estimate.dof()) * estimate.standard_uncertainty() / estimate.value;
    Interval { low: estimate.value * exp(-reach), high: estimate.value * exp(reach) }
}
