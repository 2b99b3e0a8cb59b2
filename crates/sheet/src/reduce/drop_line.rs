//! One drop and one recording as they stand in the results.

use silkfall_core::drops::{Fall, Found, OUTLINE_CELLS, Spell, heights_m};
use silkfall_core::finding::{Finding, Subject};
use silkfall_core::pooling::{Fate, student_95};
use silkfall_core::rates::{Answer, DropRate as FittedDrop};
use silkfall_core::recording::Recording;
use uom::si::velocity::meter_per_second;

use super::configuration::seconds;
use super::options::{Input, clock, quoted};
use crate::reduction::{
    Bound, DropRate, Outline, RateBound, ReducedDrop, ReducedRecording, SpellRead, Trace, TraceLine,
};
use silkfall_core::drag::Interval;

/// Points of a trace at most: more than a figure has dots across.
const MOST_POINTS: usize = 1200;
/// How much of the recording before release and after the ground a trace shows, s.
const MARGIN_S: f64 = 1.0;

/// The recording's own line, without its drops.
pub(super) fn recording(input: &Input, found: &Found) -> ReducedRecording {
    let recording = &input.recording;
    let noise = &found.noise;
    let duration_s = match (recording.time_s.first(), recording.time_s.last()) {
        (Some(first), Some(last)) => last - first,
        _ => 0.0,
    };
    let rate = (noise.interval_s > 0.0).then(|| 1.0 / noise.interval_s);
    ReducedRecording {
        path: recording.name.clone(),
        samples: recording.len(),
        duration_s,
        sample_rate_hz: rate.filter(|rate| recording.len() > 1 && rate.is_finite()),
        height_step_m: (noise.step_m > 0.0).then_some(noise.step_m),
        columns: input.columns.clone(),
        repeat: input.reading.clone(),
        spells: found.spells.iter().map(spell).collect(),
        outline: outline(found, duration_s),
        drops: Vec::new(),
    }
}

fn spell(spell: &Spell) -> SpellRead {
    SpellRead { is: spell.doing.word(), from_s: spell.from_s, to_s: spell.to_s }
}

/// The middle of each cell of time that holds a sample, with its extremes.
fn outline(found: &Found, duration_s: f64) -> Outline {
    let cell_s = duration_s / OUTLINE_CELLS as f64;
    let cells = found.outline.iter().enumerate();
    let held = || cells.clone().filter_map(|(at, cell)| cell.map(|cell| ((at as f64 + 0.5) * cell_s, cell)));
    Outline {
        time_s: held().map(|(t, _)| t).collect(),
        low_m: held().map(|(_, cell)| cell.low).collect(),
        high_m: held().map(|(_, cell)| cell.high).collect(),
    }
}

/// a, b, ... z, aa, ab, ...
pub(super) fn letter(number: usize) -> String {
    let last = char::from(b'a' + (number % 26) as u8);
    match number / 26 {
        0 => last.to_string(),
        rest => letter(rest - 1) + &last.to_string(),
    }
}

/// What a drop's line is made of.
pub(super) struct Line<'a> {
    pub letter: String,
    pub input: &'a Input,
    pub fall: &'a Fall,
    /// True over recorded height.
    pub scale: f64,
    /// Its fit; for a drop that stands elsewhere too, the fit of that one.
    pub rate: &'a FittedDrop,
    pub is_twin: bool,
    pub fate: Fate,
    /// All findings; its own are picked by subject.
    pub findings: &'a [Finding],
}

impl Line<'_> {
    pub fn drop(self) -> ReducedDrop {
        let recording = &self.input.recording;
        let release_s = recording.time_s[self.fall.release];
        let release_ms = (release_s * 1000.0).round() as i64;
        let shift_s = if self.is_twin { release_s - seconds(self.rate.release) } else { 0.0 };
        let steady_from_s = self.rate.steady_from.map(|time| seconds(time) + shift_s);
        let steady_to_s = self.rate.steady_to.map(|time| seconds(time) + shift_s);
        let mine = |subject: &Subject| match subject {
            Subject::Drop { recording: name, release_ms: at } => {
                *name == recording.name && (at - release_ms).abs() <= 1
            }
            Subject::Samples { recording: name, first, last } => {
                *name == recording.name && *first <= self.fall.last && *last >= self.fall.release
            }
            Subject::Whole | Subject::Recording(_) | Subject::Key(_) => false,
        };
        let rate = rate(&self.rate.answer);
        let kept = self.fate == Fate::Kept;
        let option = if kept { "--set-aside" } else { "--keep" };
        let moment = clock((release_s + recording.time_s[self.fall.last]) / 2.0);
        let take_back = (rate.is_some() && !self.is_twin).then(|| format!("{option} {}", quoted(&moment)));
        ReducedDrop {
            letter: self.letter,
            release_s,
            steady_from_s,
            steady_to_s,
            ground_s: self.fall.ground.map(|sample| recording.time_s[sample]),
            bound: bound(&self.rate.answer),
            kept,
            set_aside: match self.fate {
                Fate::SetAside(reason) | Fate::Odd(reason) => Some(reason),
                Fate::NoRate => Some("no steady stretch gives it a rate".to_owned()),
                Fate::Kept => None,
            },
            take_back,
            findings: self.findings.iter().filter(|finding| mine(&finding.subject)).cloned().collect(),
            trace: trace(recording, self.fall, release_s, steady_from_s.zip(steady_to_s), &rate, self.scale),
            rate,
        }
    }
}

fn rate(answer: &Answer) -> Option<DropRate> {
    let Answer::Rate(rate) = answer else { return None };
    let m_per_s = rate.rate.get::<meter_per_second>();
    let u = rate.standard_uncertainty.get::<meter_per_second>();
    let half = student_95(rate.degrees_of_freedom) * u;
    Some(DropRate {
        m_per_s,
        standard_uncertainty_m_per_s: u,
        degrees_of_freedom: rate.degrees_of_freedom.is_finite().then_some(rate.degrees_of_freedom),
        interval_95: Interval { low: m_per_s - half, high: m_per_s + half },
    })
}

fn bound(answer: &Answer) -> Option<RateBound> {
    let (side, bound) = match answer {
        Answer::AtMost(bound) => (Bound::AtMost, bound),
        Answer::AtLeast(bound) => (Bound::AtLeast, bound),
        Answer::Rate(_) | Answer::Nothing => return None,
    };
    Some(RateBound { side, m_per_s: bound.get::<meter_per_second>() })
}

/// The samples about a drop, thinned where there are many, and the line of the fit through the steady ones.
fn trace(
    recording: &Recording,
    fall: &Fall,
    release_s: f64,
    steady: Option<(f64, f64)>,
    rate: &Option<DropRate>,
    scale: f64,
) -> Trace {
    let time = &recording.time_s;
    let end = fall.ground.unwrap_or(fall.last);
    let segment = recording.segments.partition_point(|&first| first <= fall.release);
    let begin = recording.segments[segment - 1];
    let stop = recording.segments.get(segment).copied().unwrap_or(recording.len());
    let from = begin + time[begin..fall.release].partition_point(|&t| t < release_s - MARGIN_S);
    let to = end + time[end..stop].partition_point(|&t| t <= time[end] + MARGIN_S);
    let part = part_of(recording, from, to);
    let heights = heights_m(&part);
    let foot = heights[end - from];
    let stride = (to - from).div_ceil(MOST_POINTS).max(1);
    let points = || (from..to).step_by(stride);
    let line = steady.zip(rate.as_ref()).and_then(|((from_s, to_s), rate)| {
        let inside: Vec<usize> = (from..to)
            .filter(|&i| time[i] >= from_s && time[i] <= to_s && !fall.masked.contains(&i))
            .collect();
        let count = inside.len() as f64;
        let slope_m_per_s = rate.m_per_s / scale;
        let mean_s = inside.iter().map(|&i| time[i]).sum::<f64>() / count;
        let mean_m = inside.iter().map(|&i| heights[i - from]).sum::<f64>() / count;
        let height_m = mean_m - foot + slope_m_per_s * (mean_s - from_s);
        (count > 0.0).then_some(TraceLine {
            from_s: from_s - release_s,
            to_s: to_s - release_s,
            height_m,
            slope_m_per_s,
        })
    });
    Trace {
        time_s: points().map(|i| time[i] - release_s).collect(),
        height_m: points().map(|i| heights[i - from] - foot).collect(),
        line,
    }
}

/// Samples `from..to` as a recording of their own, so that heights are worked out for no more than these.
fn part_of(recording: &Recording, from: usize, to: usize) -> Recording {
    Recording {
        name: recording.name.clone(),
        time_s: recording.time_s[from..to].to_vec().into(),
        value: recording.value[from..to].to_vec().into(),
        channel: recording.channel,
        temperature_k: None,
        segments: vec![0],
        rows: silkfall_core::recording::RowMap::default(),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn letters_go_on_after_z() {
        let letters: Vec<String> = [0, 25, 26, 51, 52, 701, 702].into_iter().map(super::letter).collect();
        assert_eq!(letters, ["a", "z", "aa", "az", "ba", "zz", "aaa"]);
    }
}
