//! What a figure shows of the openings, at best values: force against time, the leading canopy against the lag of the others,
//! and a held canopy against how small it is held.

use super::super::{Growth, STEPS, Step};
use super::answers::{Answers, Question};
use super::setting::Setting;
use super::way::Speed;

/// Times to fill that are shown after the beginning.
const SHOWN: f64 = 1.25;
/// Of every so many steps one is shown.
const EVERY: usize = 2;
/// Lags that are looked at, over the time to fill.
const LAGS: usize = 12;
/// How far they go.
const LONGEST_LAG: f64 = 1.2;
/// Shares of the drag area that are looked at; the last: not held.
const SHARES: [f64; 10] = [0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.7, 0.9, 1.0];

/// Force against time on one canopy.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// As [`super::PeakLoad::canopy`].
    pub canopy: String,
    /// The case whose opening is the hardest.
    pub case: String,
    /// What was asked, `None` as planned; and since line stretch, s, with the force, N.
    pub lines: Vec<(Option<String>, Vec<[f64; 2]>)>,
    /// What it bears in the end, N.
    pub weight_n: f64,
}

/// The load on the leading of several canopies by the lag of the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Lag {
    /// The case.
    pub case: String,
    /// How many canopies fill.
    pub filled: usize,
    /// Lag of all others, s, and the force on the leading one, N.
    pub points: Vec<[f64; 2]>,
    /// One canopy that catches the whole mass, N.
    pub bound_n: f64,
}

/// A canopy that is held small, by how small.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// As [`super::PeakLoad::canopy`].
    pub canopy: String,
    /// The case.
    pub case: String,
    /// Diameter of the mouth when all is open, m.
    pub mouth_m: f64,
    /// By growing share.
    pub rows: Vec<SweepRow>,
}

/// One share of a [`Sweep`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepRow {
    /// Of the drag area, held; 1: not held.
    pub share: f64,
    /// Largest pull on one canopy while held, N.
    pub held_n: f64,
    /// Largest pull on one canopy after, N.
    pub after_n: f64,
    /// Fallen from line stretch until all is open, m.
    pub lost_m: f64,
}

impl Answers<'_> {
    fn best_setting(&self, question: &Question) -> Option<Setting<'_>> {
        let worlds = self.worlds();
        let speed: Speed = question.speed(worlds, &worlds.best)?;
        Some(Setting::new(worlds, question.stage, question.filled, &worlds.best, speed))
    }

    /// Force against time on one of those that share, s and N.
    pub(super) fn trace(&self, question: &Question, part: f64) -> Option<Vec<[f64; 2]>> {
        let setting = self.best_setting(question)?;
        let factor = part * setting.factor();
        let Some(reefed) = setting.reefed() else {
            let plain = setting.plain();
            return Some(points(&plain, SHOWN, 0.0, part).0);
        };
        let held = reefed.held();
        let (mut all, end_s, velocity) = points(&held, held.until, 0.0, factor);
        let after = reefed.after(velocity);
        all.extend(points(&after, SHOWN, end_s, factor).0);
        Some(all)
    }

    /// The leading one of so many by the lag of the others.
    pub(super) fn lag(&self, question: &Question) -> Option<Vec<[f64; 2]>> {
        let setting = self.best_setting(question)?;
        let plain = setting.plain();
        let part = 1.0 / setting.filled as f64;
        let first = Growth { gain: part, ..plain.growth };
        let leading = |at: usize| {
            let lag = LONGEST_LAG * at as f64 / LAGS as f64;
            // All others fill alike, so that they are one.
            let others = Growth { gain: 1.0 - part, from: lag, ..plain.growth };
            let opened = plain.motion.open(&[first, others], 0.0, STEPS / 2);
            [lag * plain.unit_s, opened.each[0].share * plain.unit_n]
        };
        Some((0..=LAGS).map(leading).collect())
    }

    /// What all bear in the end at best values, N.
    pub(super) fn weight_n(&self, question: &Question) -> Option<f64> {
        Some(self.best_setting(question)?.weight_n())
    }

    /// The pull of all together at best values, N.
    pub(super) fn best_n(&self, question: &Question) -> Option<f64> {
        let setting = self.best_setting(question)?;
        Setting::open(&[setting], self.worlds()).first().map(|opening| opening.force_n)
    }

    /// A held canopy by its share; `None` where it is not held.
    pub(super) fn sweep(&self, question: &Question, part: f64) -> Option<Vec<SweepRow>> {
        let setting = self.best_setting(question)?;
        let row = |share: f64| {
            let steps = setting.at_share(share)?;
            let (held_n, after_n) = (part * steps.held_n, part * steps.after_n);
            Some(SweepRow { share, held_n, after_n, lost_m: steps.lost_m })
        };
        SHARES.into_iter().map(row).collect()
    }
}

/// A step's moments from `begin_s` on with the force times `factor`; when it ends, and how fast it is then.
fn points(step: &Step, until: f64, begin_s: f64, factor: f64) -> (Vec<[f64; 2]>, f64, [f64; 2]) {
    let trace = step.motion.trace(&[step.growth], until, STEPS);
    let last = trace.len().saturating_sub(1);
    let shown = trace.iter().enumerate().filter(|(at, _)| at % EVERY == 0 || *at == last);
    let points = shown
        .map(|(_, (moment, _))| [begin_s + moment.tau * step.unit_s, factor * moment.all * step.unit_n])
        .collect();
    let end = trace.last().map(|(moment, _)| *moment);
    let velocity = end.map_or(step.motion.start, |end| end.velocity).map(|u| u * step.unit_m_per_s);
    (points, begin_s + end.map_or(0.0, |end| end.tau) * step.unit_s, velocity)
}
