//! All falls of all cases, side by side on every core.

use std::ops::Range;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::falls::Falls;
use super::inputs::{CaseColumns, Frame, Inputs};
use super::plan::OtherWind;

/// Trials that go together: between such slices it is asked whether to go on. Few enough that no core waits long for
/// another at the end.
fn slice_of(count: usize) -> usize {
    (count / 16).clamp(25, 250)
}

/// The first `count` falls of every case; `None` where `go_on`, told how much is done, says no.
pub(super) fn all_falls(
    inputs: &Inputs<'_>,
    cases: &[Option<CaseColumns>],
    in_what: (Option<OtherWind>, Frame),
    count: usize,
    go_on: &(dyn Fn(f64) -> bool + Sync),
) -> Option<Vec<Option<Falls>>> {
    let slice = slice_of(count);
    let slices: Vec<Range<usize>> =
        (0..count).step_by(slice).map(|from| from..count.min(from + slice)).collect();
    let done = AtomicUsize::new(0);
    let one = |trials: &Range<usize>| {
        let before = done.fetch_add(1, Ordering::Relaxed);
        go_on(before as f64 / slices.len() as f64).then(|| inputs.falls(cases, in_what, trials.clone()))
    };
    let mut flown = slices.par_iter().with_max_len(1).map(one).collect::<Option<Vec<_>>>()?;
    let joined = |(at, case): (usize, &Option<CaseColumns>)| {
        case.as_ref().map(|_| Falls::joined(flown.iter_mut().filter_map(|slice| slice[at].take())))
    };
    Some(cases.iter().enumerate().map(joined).collect())
}
