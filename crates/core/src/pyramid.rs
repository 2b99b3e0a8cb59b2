//! The extremes of a recording at every zoom: least and greatest value of each cell of time.
//!
//! Level k cuts the time from the first to the last sample into 2^k equal cells; a sample at time t lies in cell
//! `floor((t - first) / span * 2^k)`. Since a factor of two is exact in binary, a cell's samples are those of its two
//! halves one level deeper, and so are its extremes: nothing that stands out is lost at any zoom. Levels with many samples
//! a cell are kept; deeper ones are looked up in the samples, of which few lie in what is in sight.
//!
//! Building is one pass over the samples. It does not smooth, and says nothing about what lies between samples.

use std::ops::Range;
use std::sync::Arc;

/// Least and greatest of some values, in their unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extremes {
    /// The least.
    pub low: f64,
    /// The greatest.
    pub high: f64,
}

impl Extremes {
    fn with(self, value: f64) -> Self {
        Extremes { low: self.low.min(value), high: self.high.max(value) }
    }

    fn and(self, other: Extremes) -> Self {
        Extremes { low: self.low.min(other.low), high: self.high.max(other.high) }
    }
}

/// Cells of the levels that are kept hold about so many samples or more.
const SAMPLES_A_CELL: usize = 16;
/// Cells of the deepest level are so many powers of two shorter than a usual step between samples.
const BELOW_A_STEP: u32 = 6;

/// The extremes of the cells of one level. Times in s, rising, one a value.
pub fn extremes(time_s: &[f64], value: &[f64], level: u32) -> Vec<Option<Extremes>> {
    let clock = Clock::of(time_s);
    let mut from = 0;
    (0..1_u64 << level)
        .map(|cell| {
            let end = from + time_s[from..].partition_point(|t| clock.cell_of(level, *t) <= cell);
            let inside = &value[std::mem::replace(&mut from, end)..end];
            let first = *inside.first()?;
            Some(inside.iter().fold(Extremes { low: first, high: first }, |so_far, v| so_far.with(*v)))
        })
        .collect()
}

/// The time from the first sample to the last.
#[derive(Clone, Copy, Debug)]
struct Clock {
    first_s: f64,
    span_s: f64,
}

impl Clock {
    fn of(time_s: &[f64]) -> Self {
        let first_s = time_s.first().copied().unwrap_or(0.0);
        Clock { first_s, span_s: time_s.last().map_or(0.0, |last| last - first_s) }
    }

    fn cell_of(self, level: u32, time_s: f64) -> u64 {
        if self.span_s <= 0.0 {
            return 0;
        }
        let count = 1_u64 << level;
        let at = (time_s - self.first_s) / self.span_s * count as f64;
        (at.max(0.0) as u64).min(count - 1)
    }
}

/// A recording with its extremes at every level.
#[derive(Clone, Debug)]
pub struct Pyramid {
    time_s: Arc<Vec<f64>>,
    value: Arc<Vec<f64>>,
    clock: Clock,
    /// From the whole recording as one cell to the deepest level kept; `None` where no sample lies in a cell.
    kept: Vec<Vec<Option<Extremes>>>,
    deepest: u32,
}

impl Pyramid {
    /// Of samples: times in s, rising, and values. They are shared, not copied.
    pub fn of(time_s: Arc<Vec<f64>>, value: Arc<Vec<f64>>) -> Self {
        let samples = time_s.len();
        let depth = (samples / SAMPLES_A_CELL).max(1).ilog2();
        let mut pyramid = Pyramid {
            clock: Clock::of(&time_s),
            time_s,
            value,
            kept: Vec::new(),
            deepest: Self::deepest_of(samples),
        };
        let mut levels = vec![pyramid.looked_up(depth, 0..1 << depth)];
        for _ in 0..depth {
            let below: &[Option<Extremes>] = levels.last().expect("the deepest level stands first");
            let half = |pair: &[Option<Extremes>]| match (pair[0], pair[1]) {
                (Some(one), Some(other)) => Some(one.and(other)),
                (one, other) => one.or(other),
            };
            let level = below.chunks_exact(2).map(half).collect();
            levels.push(level);
        }
        levels.reverse();
        pyramid.kept = levels;
        pyramid
    }

    /// The deepest level of a recording of so many samples.
    pub fn deepest_of(samples: usize) -> u32 {
        samples.max(1).ilog2() + BELOW_A_STEP
    }

    /// The deepest level; its cells are far shorter than the usual step between samples.
    pub fn deepest(&self) -> u32 {
        self.deepest
    }

    /// The extremes of the whole recording; `None` without a sample.
    pub fn whole(&self) -> Option<Extremes> {
        self.kept[0][0]
    }

    /// The cells of a level, each with its extremes or `None` where no sample lies in it. What is asked for beyond the
    /// recording or below the deepest level is left out.
    pub fn cells(&self, level: u32, cells: Range<u64>) -> Vec<Option<Extremes>> {
        if level > self.deepest {
            return Vec::new();
        }
        let cells = cells.start..cells.end.min(1 << level);
        if cells.is_empty() {
            return Vec::new();
        }
        match self.kept.get(level as usize) {
            Some(kept) => kept[cells.start as usize..cells.end as usize].to_vec(),
            None => self.looked_up(level, cells),
        }
    }

    /// The cell of a level in which a time lies, s from the first sample; the first or last for times beyond.
    pub fn cell_of(&self, level: u32, time_s: f64) -> u64 {
        self.clock.cell_of(level, time_s)
    }

    fn looked_up(&self, level: u32, cells: Range<u64>) -> Vec<Option<Extremes>> {
        let mut found: Vec<Option<Extremes>> = vec![None; (cells.end - cells.start) as usize];
        let from = self.time_s.partition_point(|t| self.cell_of(level, *t) < cells.start);
        for (t, value) in self.time_s[from..].iter().zip(&self.value[from..]) {
            let cell = self.cell_of(level, *t);
            if cell >= cells.end {
                break;
            }
            let slot = &mut found[(cell - cells.start) as usize];
            *slot = Some(match slot {
                Some(extremes) => extremes.with(*value),
                None => Extremes { low: *value, high: *value },
            });
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn pyramid(time_s: Vec<f64>, value: Vec<f64>) -> Pyramid {
        Pyramid::of(Arc::new(time_s), Arc::new(value))
    }

    /// Samples in steps that differ by far, with gaps.
    fn samples() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
        let step = prop_oneof![4 => Just(0.01), 2 => 0.001..1.0, 1 => 5.0..50.0];
        prop::collection::vec((step, -50.0..900.0_f64), 1..600).prop_map(|rows| {
            let mut t = 0.0;
            rows.into_iter()
                .map(|(step, value)| {
                    t += step;
                    (t, value)
                })
                .unzip()
        })
    }

    proptest! {
        #[test]
        fn every_cell_of_every_level_has_the_extremes_of_its_samples((time_s, value) in samples()) {
            let pyramid = pyramid(time_s.clone(), value.clone());
            for level in 0..=pyramid.deepest().min(14) {
                let cells = pyramid.cells(level, 0..1 << level);
                prop_assert_eq!(cells.len(), 1_usize << level);
                let mut expected: Vec<Option<Extremes>> = vec![None; cells.len()];
                for (t, v) in time_s.iter().zip(&value) {
                    let slot = &mut expected[pyramid.cell_of(level, *t) as usize];
                    *slot = Some(slot.map_or(Extremes { low: *v, high: *v }, |e| e.with(*v)));
                }
                prop_assert_eq!(&cells, &expected, "level {}", level);
                prop_assert_eq!(&extremes(&time_s, &value, level), &expected, "level {} by itself", level);
                // A part of a level is the same as that part of the whole.
                let part = cells.len() as u64 / 3..cells.len() as u64 * 2 / 3 + 1;
                prop_assert_eq!(&pyramid.cells(level, part.clone()), &expected[part.start as usize..part.end as usize]);
            }
        }
    }

    #[test]
    fn one_sample_among_a_million_is_seen_at_every_zoom() {
        let count = 1_000_000;
        let mut value = vec![10.0; count];
        value[654_321] = 99.0;
        let time_s: Vec<f64> = (0..count).map(|i| i as f64 * 0.01).collect();
        let pyramid = pyramid(time_s, value);
        for level in 0..=pyramid.deepest() {
            let cell = pyramid.cell_of(level, 6543.21);
            let found = pyramid.cells(level, cell..cell + 1)[0].unwrap();
            assert!(found.high > 98.0, "level {level}: {found:?}");
        }
        assert_eq!(pyramid.whole(), Some(Extremes { low: 10.0, high: 99.0 }));
    }

    #[test]
    fn what_is_asked_for_beyond_is_left_out() {
        let empty = pyramid(Vec::new(), Vec::new());
        assert_eq!((empty.whole(), empty.cells(3, 0..8)), (None, vec![None; 8]));
        let one = pyramid(vec![0.0], vec![5.0]);
        assert_eq!(one.whole(), Some(Extremes { low: 5.0, high: 5.0 }));
        assert_eq!(one.cells(1, 1..9), [None]);
        assert_eq!(one.cells(40, 0..1), []);
        assert_eq!(one.cells(2, 9..12), []);
    }
}
