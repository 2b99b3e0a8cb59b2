//! Times of a recording put in order: repeated and backward rows left out, clocks that restart told from clocks
//! that wrap, coarse clocks spread, gaps and stuck sensors named.
//!
//! In one pass over the samples, with T the last time kept and t the next one:
//!
//! | seen | taken for | done |
//! |---|---|---|
//! | t = T | repeated time | row left out |
//! | t < T, t + period just above T (a day for h:m:s, an hour for m:s, 2^32 ms or us) | the clock wraps | period added |
//! | t < T, and T was far ahead of the row before it | one time that is wrong | that row left out |
//! | t < T for at most three rows, or rows that repeat earlier ones | backward rows | rows left out |
//! | t < T otherwise | the clock restarts | a new segment, counted on one usual step after T |
//!
//! If two steps in five are 0, the clock is coarser than the sampling, and the rows of each tick are spread evenly
//! over it. A gap is more than five usual steps. A top that is flat though reached and left at full speed is the end of
//! the sensor's range.

#![expect(clippy::float_cmp, reason = "equal means written alike: nothing was worked out in between")]

use crate::clock::TimeForm;
use crate::notes::Notes;
use crate::units::Means;
use rayon::prelude::*;
use silkfall_core::finding::Code;
use silkfall_core::leaps::leaps;
use silkfall_core::recording::RowMap;
use std::ops::Range;

/// A gap is longer than so many usual steps.
const GAP: f64 = 5.0;
/// So many backward rows may be single bad times.
const FEW: usize = 3;
/// So many equal values in a row are a rest.
const STUCK: usize = 8;
/// With a slower step than this, in seconds, a fall from rest cannot be told from one at full speed.
const SLOW_S: f64 = 0.125;
/// Samples that one thread looks through at a time.
const PIECE: usize = 1 << 18;
/// How far ahead a repeated block is looked for.
const FAR: usize = 100_000;

/// Which samples stay, and their times.
pub(crate) struct Mended {
    /// Indices of the samples that stay, ascending.
    pub keep: Vec<usize>,
    pub time: Vec<f64>,
    pub segments: Vec<usize>,
}

/// Samples with what messages about them need.
pub(crate) struct Series<'a> {
    pub time: &'a [f64],
    pub value: &'a [f64],
    pub rows: &'a RowMap,
    pub form: TimeForm,
    pub means: Means,
    /// Number of the time column from 1, 0 if rows are the clock.
    pub time_column: u64,
    /// Number of the value column from 1.
    pub value_column: u64,
}

/// The usual step between times that differ.
pub(crate) fn usual_step(time: &[f64]) -> f64 {
    let pairs = time.len().saturating_sub(1);
    let stride = (pairs / 20_000).max(1);
    let mut steps: Vec<f64> =
        (0..pairs).step_by(stride).map(|i| time[i + 1] - time[i]).filter(|s| *s > 0.0).collect();
    let middle = steps.len() / 2;
    if steps.is_empty() {
        return 1.0;
    }
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// The least and the largest value.
fn extremes(value: &[f64]) -> (f64, f64) {
    let of = |piece: &[f64]| {
        piece.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), v| (l.min(*v), m.max(*v)))
    };
    let both = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
    value.par_chunks(PIECE).map(of).reduce(|| (f64::INFINITY, f64::NEG_INFINITY), both)
}

/// Runs of at least [`STUCK`] equal values, such as are asked for. Each covers a multiple of `STUCK`, so that only those
/// places are looked at.
fn rests(value: &[f64], asked: impl Fn(f64) -> bool) -> Vec<Range<usize>> {
    let mut rests: Vec<Range<usize>> = Vec::new();
    for at in (0..value.len()).step_by(STUCK) {
        if asked(value[at]) && rests.last().is_none_or(|last| last.end <= at) {
            let same = |v: &&f64| **v == value[at];
            let from = at - value[..at].iter().rev().take_while(same).count();
            let to = at + value[at..].iter().take_while(same).count();
            if to - from >= STUCK {
                rests.push(from..to);
            }
        }
    }
    rests
}

impl Series<'_> {
    fn line(&self, sample: usize) -> Option<u64> {
        self.rows.line_of(sample)
    }

    /// Puts times in order.
    pub fn mend(&self, notes: &mut Notes) -> Mended {
        let spread = self.spread(notes);
        let time = spread.as_deref().unwrap_or(self.time);
        let step = usual_step(time);
        let mut order = Order {
            series: self,
            time,
            step,
            keep: Vec::new(),
            kept: Vec::new(),
            segments: Vec::new(),
            offset: 0.0,
        };
        let mut at = 0;
        while at < time.len() {
            at = order.next(at, notes);
        }
        Mended { keep: order.keep, time: order.kept, segments: order.segments }
    }

    /// Times spread within the ticks of a clock that is coarser than the sampling; `None` if it is not.
    fn spread(&self, notes: &mut Notes) -> Option<Vec<f64>> {
        let time = self.time;
        let same = time.windows(2).filter(|p| p[0] == p[1]).count();
        if same * 5 < time.len() * 2 || time.len() < 4 {
            return None;
        }
        let tick = usual_step(time);
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for at in 0..time.len() {
            match runs.last_mut() {
                Some((first, count)) if time[*first] == time[at] => *count += 1,
                _ => runs.push((at, 1)),
            }
        }
        let mut counts: Vec<usize> = runs.iter().map(|r| r.1).collect();
        counts.sort_unstable();
        let usual = counts[counts.len() / 2];
        let mut spread = Vec::with_capacity(time.len());
        for (nth, &(first, count)) in runs.iter().enumerate() {
            let whole = nth > 0 && nth + 1 < runs.len();
            let apart = tick / if whole { count.max(1) } else { usual.max(count) } as f64;
            // The first tick may have begun before the recording, so its rows stand at its end.
            let late = if nth == 0 { tick - apart * count as f64 } else { 0.0 };
            spread.extend((0..count).map(|n| time[first] + late + apart * n as f64));
        }
        let begin = spread[0];
        spread.iter_mut().for_each(|t| *t -= begin);
        notes.say(
            Code::LogClockCoarse,
            self.line(0),
            self.time_column,
            format!("times move in steps of {tick} s with about {usual} rows each; rows are spread evenly over each step"),
            None,
        );
        Some(spread)
    }

    /// Notes gaps in times that are in order.
    pub fn gaps(&self, time: &[f64], segments: &[usize], kept: Option<&[usize]>, notes: &mut Notes) {
        let step = usual_step(time);
        let step_to = |at: usize| time[at] - time[at - 1];
        let far: Vec<(usize, f64)> = leaps(time.len(), step_to, GAP * step)
            .into_iter()
            .filter(|at| segments.binary_search(at).is_err())
            .map(|at| (at, step_to(at)))
            .collect();
        let Some(&(at, dt)) = far.first() else { return };
        let sample = kept.map_or(at, |k| k[at]);
        notes.add(Code::LogGap, self.line(sample), self.time_column, far.len(), || {
            let all = if far.len() > 1 {
                let missing: f64 = far.iter().map(|(_, dt)| dt - step).sum();
                format!(" ({missing:.3} s missing in {} gaps)", far.len())
            } else {
                String::new()
            };
            format!("no samples for {dt:.3} s before this row, where {step:.4} s is usual{all}")
        });
    }

    /// Notes values that never change, and a top that looks cut off.
    ///
    /// A hang before release looks much the same, but a fall from rest gathers speed: its second step is at most
    /// half of a later one. So the top must be left (and reached) at full speed, which slow sampling cannot show, by a
    /// sensor that elsewhere hardly shows a value twice.
    pub fn stuck(&self, notes: &mut Notes) {
        let value = self.value;
        let (least, most) = extremes(value);
        if value.len() > 1 && least == most {
            let message = "the value never changes in the whole recording".to_owned();
            notes.say(Code::LogSensorStuck, self.line(0), self.value_column, message, None);
            return;
        }
        if usual_step(self.time) > SLOW_S {
            return;
        }
        let top = if self.means == Means::Pressure { least } else { most };
        let rests = rests(value, |v| v == least || v == most);
        let cut: Vec<&Range<usize>> =
            rests.iter().filter(|r| value[r.start] == top && self.at_speed(r.start, r.end)).collect();
        let Some(first) = cut.first() else { return };
        let resting: usize = rests.iter().map(|r| r.len()).sum();
        let alike = value.windows(2).filter(|pair| pair[0] == pair[1]).count() + rests.len() - resting;
        if alike * 10 < value.len() - resting {
            notes.add(Code::LogSensorStuck, self.line(first.start), self.value_column, cut.len(), || {
                format!(
                    "the value stays at its extreme for {} rows and is reached and left at full speed",
                    first.len()
                )
            });
        }
    }

    /// Whether the run `from..to` is reached and left at full speed: on both sides the second step is like the four
    /// beyond it (the first is cut by the run itself).
    fn at_speed(&self, from: usize, to: usize) -> bool {
        let Some(before) = from.checked_sub(6).map(|start| &self.value[start..from]) else { return false };
        let Some(after) = self.value.get(to..to + 6) else { return false };
        let full = |near: f64, next: f64, far: f64| {
            let usual = (far - next) / 4.0;
            usual != 0.0 && (next - near) / usual > 0.75
        };
        full(after[0], after[1], after[5]) && full(before[5], before[4], before[0])
    }
}

/// The state of the pass.
struct Order<'a, 'b> {
    series: &'a Series<'b>,
    time: &'a [f64],
    step: f64,
    keep: Vec<usize>,
    kept: Vec<f64>,
    segments: Vec<usize>,
    /// Added to all times from here on.
    offset: f64,
}

impl Order<'_, '_> {
    fn accept(&mut self, at: usize) -> usize {
        self.keep.push(at);
        self.kept.push(self.time[at] + self.offset);
        at + 1
    }

    /// Takes or leaves sample `at`; the next one to look at.
    fn next(&mut self, at: usize, notes: &mut Notes) -> usize {
        let (line, column) = (self.series.line(at), self.series.time_column);
        let t = self.time[at] + self.offset;
        let Some(&last) = self.kept.last() else {
            self.segments.push(0);
            return self.accept(at);
        };
        if t > last {
            return self.accept(at);
        }
        if t == last {
            notes.add(Code::LogTimeRepeated, line, column, 1, || {
                "the time of the row before stands again; the row is not used".to_owned()
            });
            return at + 1;
        }
        let back = last - t;
        if let Some(period) = self.series.form.period_s()
            && t + period > last
            && t + period - last < (100.0 * self.step).clamp(10.0, 600.0)
        {
            self.offset += period;
            notes.add(Code::LogClockWrapped, line, column, 1, || {
                format!("the clock starts again after {period} s; times are counted on")
            });
            return self.accept(at);
        }
        if self.ran_ahead(t, last) {
            let wrong = self.keep.pop().expect("a row that ran ahead was kept");
            self.kept.pop();
            notes.add(Code::LogTimeBackwards, self.series.line(wrong), column, 1, || {
                format!("the time of this row is ahead of the next by {back:.3} s; the row is not used")
            });
            return self.accept(at);
        }
        let over = self.back_in_step(at, last);
        if let Some(over) = over.filter(|over| over - at <= FEW || self.repeats(at, *over)) {
            let again = if self.repeats(at, over) { ", and the rows repeat earlier ones" } else { "" };
            notes.add(Code::LogTimeBackwards, line, column, over - at, || {
                format!("time goes backwards by {back:.3} s{again}; rows are not used until it passes where it was")
            });
            return over;
        }
        notes.add(Code::LogClockRestart, line, column, 1, || {
            format!("the clock goes back by {back:.3} s and runs on from there; a new stretch begins, counted on after the last")
        });
        self.offset = last + self.step - self.time[at];
        self.segments.push(self.kept.len());
        self.accept(at)
    }

    /// Whether the last row kept, not this one, has the wrong time: far ahead of the row before it, which this follows.
    fn ran_ahead(&self, t: f64, last: f64) -> bool {
        let n = self.kept.len();
        let segment = self.segments.last().copied().unwrap_or(0);
        n >= segment + 2
            && t > self.kept[n - 2]
            && last - self.kept[n - 2] > 4.0 * GAP * self.step
            && t - self.kept[n - 2] <= GAP * self.step
    }

    /// The first row from `at` on whose time is above `last`, before time turns back once more.
    fn back_in_step(&self, at: usize, last: f64) -> Option<usize> {
        let end = self.time.len().min(at + FAR);
        for next in at..end {
            if self.time[next] + self.offset > last {
                return Some(next);
            }
            if next > at + FEW && self.time[next] < self.time[next - 1] {
                return None;
            }
        }
        None
    }

    /// Whether rows `at..over` stand earlier with the same times and values.
    fn repeats(&self, at: usize, over: usize) -> bool {
        let segment = self.segments.last().copied().unwrap_or(0);
        let kept = &self.kept[segment..];
        (at..over).all(|row| {
            let t = self.time[row] + self.offset;
            kept.binary_search_by(|k| k.total_cmp(&t))
                .is_ok_and(|found| self.series.value[self.keep[segment + found]] == self.series.value[row])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mend(time: &[f64], value: &[f64], form: TimeForm) -> (Mended, Vec<Code>) {
        let rows = RowMap(vec![(0, 1)]);
        let mut notes = Notes::new("x");
        let series =
            Series { time, value, rows: &rows, form, means: Means::Height, time_column: 1, value_column: 2 };
        let mended = series.mend(&mut notes);
        (mended, notes.findings().iter().map(|f| f.code).collect())
    }

    const SECONDS: TimeForm = TimeForm::Number(crate::units::Unit::Second);

    #[test]
    fn each_trouble_is_told_from_the_others() {
        let value = |n: usize| (0..n).map(|i| i as f64).collect::<Vec<_>>();
        let (m, codes) = mend(&[0.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0], &value(7), SECONDS);
        assert_eq!((m.keep, codes), (vec![0, 1, 3, 4, 5, 6], vec![Code::LogTimeRepeated]));
        let (m, codes) = mend(&[0.0, 1.0, 0.5, 2.0, 3.0], &value(5), SECONDS);
        assert_eq!((m.keep, codes), (vec![0, 1, 3, 4], vec![Code::LogTimeBackwards]));
        let (m, codes) = mend(&[0.0, 1.0, 99.0, 3.0, 4.0], &value(5), SECONDS);
        assert_eq!((m.keep, codes), (vec![0, 1, 3, 4], vec![Code::LogTimeBackwards]));
        let again = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
        let same = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
        let (m, codes) = mend(&again, &same, SECONDS);
        assert_eq!((m.keep, codes), (vec![0, 1, 2, 3, 4, 5, 11], vec![Code::LogTimeBackwards]));
        let (m, codes) = mend(&again, &value(12), SECONDS);
        assert_eq!((m.segments, m.time[6..].to_vec()), (vec![0, 6], vec![6.0, 7.0, 8.0, 9.0, 10.0, 11.0]));
        assert_eq!(codes, vec![Code::LogClockRestart]);
        let (m, codes) = mend(&[86_398.0, 86_399.0, 0.0, 1.0], &value(4), TimeForm::HourMinuteSecond);
        assert_eq!((m.segments, m.time[3]), (vec![0], 86_401.0));
        assert_eq!(codes, vec![Code::LogClockWrapped]);
    }

    #[test]
    fn a_coarse_clock_is_spread() {
        let time: Vec<f64> = (0..40).map(|n| f64::from((n + 2) / 4)).collect();
        let value: Vec<f64> = (0..40).map(f64::from).collect();
        let (m, codes) = mend(&time, &value, SECONDS);
        assert_eq!(codes, vec![Code::LogClockCoarse]);
        assert!(m.time.iter().enumerate().all(|(n, t)| (t - 0.25 * n as f64).abs() < 1e-12), "{:?}", m.time);
    }
}
