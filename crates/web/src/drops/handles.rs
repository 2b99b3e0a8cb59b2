//! The ends of a drop's steady stretch as samples of its recording, as places and as words.

use silkfall_core::quantity::{Kind, System};
use silkfall_core::recording::Recording;
use silkfall_report::document::Shown;
use silkfall_report::figures::{End, Handle};
use silkfall_report::show::{self, NO_BREAK};
use silkfall_sheet::{ReducedDrop, TestSheet};

use super::{end_s, samples_of};

/// A stretch of fewer samples tells no rate.
const FEWEST: usize = 6;

/// A steady stretch by the numbers of its first and its last sample, within the samples of the fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Steady {
    pub(super) from: usize,
    pub(super) to: usize,
    first: usize,
    last: usize,
}

impl Steady {
    /// Of a drop; `None` where it has none.
    pub(super) fn of(drop: &ReducedDrop, recording: &Recording) -> Option<Self> {
        // Times are differences of what was written, so that equal ones may differ in the last bit.
        const SAME_S: f64 = 1e-6;
        let time = &recording.time_s;
        let from_s = drop.steady_from_s?;
        let to_s = drop.steady_to_s?;
        let from = time.partition_point(|t| *t < from_s - SAME_S);
        let to = time.partition_point(|t| *t <= to_s + SAME_S).checked_sub(1)?;
        let first = time.partition_point(|t| *t < drop.release_s - SAME_S);
        let last = time.partition_point(|t| *t <= end_s(drop) + SAME_S).checked_sub(1)?;
        (first <= from && from + FEWEST <= to && to <= last).then_some(Steady { from, to, first, last })
    }

    /// The samples that an end can be moved to.
    pub(super) fn range(self, end: End) -> (usize, usize) {
        match end {
            End::From => (self.first, self.to - FEWEST),
            End::To => (self.from + FEWEST, self.last),
        }
    }

    /// With an end at a sample, or as near to it as it can be.
    pub(super) fn with(self, end: End, sample: usize) -> Self {
        let (first, last) = self.range(end);
        let sample = sample.clamp(first, last);
        match end {
            End::From => Steady { from: sample, ..self },
            End::To => Steady { to: sample, ..self },
        }
    }
}

/// The handles of all drops of a test that have a steady stretch.
pub(super) fn handles(test: &TestSheet, recordings: &[silkfall_sheet::Input], system: System) -> Vec<Handle> {
    let mut handles = Vec::new();
    for recording in &test.recordings {
        let Some(samples) = samples_of(recordings, &recording.path) else { continue };
        for drop in &recording.drops {
            let Some(steady) = Steady::of(drop, samples) else { continue };
            for end in [End::From, End::To] {
                let now = if end == End::From { steady.from } else { steady.to };
                let at_s = samples.time_s[now] - drop.release_s;
                handles.push(Handle {
                    letter: drop.letter.clone(),
                    end,
                    at_s,
                    now,
                    range: steady.range(end),
                    says: says(drop, at_s, system),
                });
            }
        }
    }
    handles
}

/// "1.21 s after release, 3.31 m/s".
fn says(drop: &ReducedDrop, at_s: f64, system: System) -> String {
    let words = |si: f64, doubt: f64, kind| {
        show::number(&Shown::new("", si, doubt, kind), system, None).replace(NO_BREAK, " ")
    };
    // To a hundredth of a second.
    let time = words(at_s, 0.03, Kind::Time);
    match &drop.rate {
        Some(rate) => {
            format!(
                "{time} after release, {}",
                words(rate.m_per_s, rate.standard_uncertainty_m_per_s, Kind::Speed)
            )
        }
        None => format!("{time} after release, no rate"),
    }
}
