//! All drops of a configuration laid over one another from release; below, what the fitted lines leave.

use std::sync::Arc;

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::data::{DropLine, Overlay, SteadyLine};
use super::handle::Grip;
use super::svg::{Anchor, Canvas, HAIRLINE, Label, Role, Stroke, TextBox};

const LEFT: f64 = 44.0;
const RIGHT: f64 = 26.0;
const TOP: f64 = 24.0;
/// A point that is nearer to the line between its neighbours is not drawn, px.
const STRAY: f64 = 0.35;
/// Rules of height steps closer than this would be a grey area, px.
const RULES_APART: f64 = 5.0;

/// Which end of a steady stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// Its beginning.
    From,
    /// Its end.
    To,
}

impl End {
    /// In a word, for attributes and requests.
    pub fn word(self) -> &'static str {
        match self {
            End::From => "from",
            End::To => "to",
        }
    }
}

/// An end of a drop's steady stretch that a page can move, sample by sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Handle {
    /// The drop.
    pub letter: String,
    /// Which end.
    pub end: End,
    /// Where it is, s from release.
    pub at_s: f64,
    /// The number of its sample in the recording.
    pub now: usize,
    /// The first and the last sample that it can be moved to.
    pub range: (usize, usize),
    /// Time and rate, as spoken.
    pub says: String,
}

/// What stands at a moment of an overlay: the time from release, and each drop's height and what its line leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadOff {
    /// Seconds from release.
    pub time_s: f64,
    /// Letter, height over the ground in m, and metres above the fitted line within the steady stretch.
    pub drops: Vec<(String, f64, Option<f64>)>,
}

impl Overlay {
    /// The times in sight, s from release.
    pub fn times(&self) -> (f64, f64) {
        self.span_s.unwrap_or_else(|| self.all_times())
    }

    /// The times of all its samples, s from release.
    pub fn all_times(&self) -> (f64, f64) {
        span(self.drops.iter().flat_map(|drop| drop.time_s.iter().copied()))
    }

    /// The time at a share of the width in sight, 0 to 1 from left to right.
    pub fn time_across(&self, share: f64) -> f64 {
        let (from_s, to_s) = self.times();
        from_s + share.clamp(0.0, 1.0) * (to_s - from_s)
    }

    /// What is nearest to a share of the width in sight.
    pub fn read_off(&self, share: f64) -> ReadOff {
        let time_s = self.time_across(share);
        let drops = self.drops.iter().filter_map(|drop| {
            let after = drop.time_s.partition_point(|t| *t < time_s);
            let near = |at: usize| drop.time_s.get(at).map(|t| ((t - time_s).abs(), at));
            let nearest = [after.checked_sub(1).and_then(near), near(after)];
            let (away_s, at) = nearest.into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0))?;
            let is_there = away_s <= 1.0;
            let (t, h) = (drop.time_s[at], drop.height_m[at]);
            let line = drop.steady.filter(|line| (line.from_s..=line.to_s).contains(&t));
            let rest = line.map(|line| h - (line.height_m - line.slope_m_per_s * (t - line.from_s)));
            is_there.then(|| (drop.letter.clone(), h, rest))
        });
        ReadOff { time_s, drops: drops.collect() }
    }
}

pub(super) fn draw(overlay: &Overlay, handles: &[Handle], id: &str, width: f64, system: System) -> Canvas {
    let (upper, lower) = if width < 500.0 { (210.0, 100.0) } else { (270.0, 120.0) };
    let lower_top = TOP + upper + 44.0;
    let lower_bottom = lower_top + lower;
    let mut canvas = Canvas::new(id, width, lower_bottom + Axis::BELOW);
    let times = overlay.times();
    let seen: Vec<DropLine> = overlay.drops.iter().map(|drop| seen(drop, times)).collect();
    let ground = overlay.span_s.is_none().then_some(0.0);
    let heights = span(seen.iter().flat_map(|drop| drop.height_m.iter().copied()).chain(ground));
    let heights = if heights.0.is_finite() { heights } else { (0.0, 1.0) };
    let time = Axis::new(times, Kind::Time, system, (LEFT, width - RIGHT), 80.0);
    let height = Axis::new(heights, Kind::Length, system, (TOP + upper, TOP), 50.0);
    height.draw_left(&mut canvas, LEFT, "height over the ground");
    canvas.line((LEFT, TOP + upper), (width - RIGHT, TOP + upper), HAIRLINE);

    let left_over: Vec<Vec<(f64, f64)>> = seen.iter().map(residuals).collect();
    let largest = left_over.iter().flatten().map(|(_, r)| r.abs()).fold(0.0, f64::max);
    let largest = largest.max(overlay.height_step_m.unwrap_or(0.0)).max(0.01) * 1.1;
    let residual = Axis::new((-largest, largest), Kind::Length, system, (lower_bottom, lower_top), 36.0);
    height_steps(&mut canvas, overlay.height_step_m, largest, &residual, width);
    residual.draw_left(&mut canvas, LEFT, "above or below its fitted line");
    canvas.line((LEFT, residual.at(0.0)), (width - RIGHT, residual.at(0.0)), Stroke::new(Role::Quiet, 1.0));
    time.draw_below(&mut canvas, lower_bottom, "time from release");

    let frame = TextBox { left: LEFT, right: width - RIGHT, top: TOP, bottom: lower_bottom };
    canvas.within("plot", frame, |canvas| {
        for (drop, rest) in seen.iter().zip(&left_over) {
            canvas.of_drop(&drop.letter, |canvas| {
                draw_drop(canvas, drop, &time, &height);
                let line: Vec<(f64, f64)> =
                    rest.iter().map(|(t, r)| (time.at(*t), residual.at(*r))).collect();
                canvas.polyline(&thinned(&line), stroke_of(drop, 1.0));
            });
        }
    });
    letters(&mut canvas, &seen, times, &time, &height);
    canvas.tell("plot", &[LEFT, TOP, width - RIGHT, lower_bottom]);
    for handle in handles.iter().filter(|handle| (times.0..=times.1).contains(&handle.at_s)) {
        let (x, middle) = (time.at(handle.at_s), TOP + upper / 2.0);
        grip(&mut canvas, handle, id, (x, middle), lower_bottom);
    }
    canvas
}

/// A handle over both drawings, its grip beside the line, away from the other's.
fn grip(canvas: &mut Canvas, handle: &Handle, id: &str, (x, middle): (f64, f64), bottom: f64) {
    let (side, which) = match handle.end {
        End::From => (-1.0, "start"),
        End::To => (1.0, "end"),
    };
    let label = format!("{which} of the steady stretch of drop {}", handle.letter);
    canvas.of_drop(&handle.letter, |canvas| {
        canvas.handle(&Grip {
            id: &format!("{id}-{}-{}", handle.letter, handle.end.word()),
            label: &label,
            says: &handle.says,
            end: handle.end.word(),
            now: handle.now,
            range: handle.range,
            x,
            top: TOP,
            bottom,
            grip_y: middle,
            side,
        });
    });
}

/// The samples of a drop within a stretch of time, with one more on either side.
fn seen(drop: &DropLine, (from_s, to_s): (f64, f64)) -> DropLine {
    let first = drop.time_s.partition_point(|t| *t < from_s).saturating_sub(1);
    let end = (drop.time_s.partition_point(|t| *t <= to_s) + 1).min(drop.time_s.len());
    let of = |values: &Arc<[f64]>| {
        if (first, end) == (0, values.len()) { Arc::clone(values) } else { values[first..end].into() }
    };
    DropLine { time_s: of(&drop.time_s), height_m: of(&drop.height_m), ..drop.clone() }
}

fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
}

fn stroke_of(drop: &DropLine, width: f64) -> Stroke {
    if drop.kept { Stroke::new(Role::Ink, width) } else { Stroke::new(Role::Quiet, width).dashed() }
}

fn draw_drop(canvas: &mut Canvas, drop: &DropLine, time: &Axis, height: &Axis) {
    let points: Vec<(f64, f64)> =
        drop.time_s.iter().zip(drop.height_m.iter()).map(|(t, h)| (time.at(*t), height.at(*h))).collect();
    let thin = Stroke { role: Role::Quiet, ..stroke_of(drop, 0.8) };
    canvas.polyline(&thinned(&points), thin);
    let Some(SteadyLine { from_s, to_s, .. }) = drop.steady else { return };
    let inside: Vec<(f64, f64)> = drop
        .time_s
        .iter()
        .zip(&points)
        .filter(|(t, _)| (from_s..=to_s).contains(*t))
        .map(|(_, point)| *point)
        .collect();
    canvas.polyline(&thinned(&inside), stroke_of(drop, 2.0));
}

/// Time and height over the line, through the steady stretch.
fn residuals(drop: &DropLine) -> Vec<(f64, f64)> {
    let Some(SteadyLine { from_s, to_s, height_m, slope_m_per_s }) = drop.steady else { return Vec::new() };
    drop.time_s
        .iter()
        .zip(drop.height_m.iter())
        .filter(|(t, _)| (from_s..=to_s).contains(*t))
        .map(|(t, h)| (*t, h - (height_m - slope_m_per_s * (t - from_s))))
        .collect()
}

/// The same line with fewer points: first the lowest and the highest of those on one pixel, then without those that
/// lie on the line between others ([`STRAY`]).
fn thinned(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for same in points.chunk_by(|a, b| a.0.floor() as i64 == b.0.floor() as i64) {
        let by_height = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let (low, high) = (same.iter().min_by(by_height), same.iter().max_by(by_height));
        if let (Some(low), Some(high)) = (low, high) {
            let (early, late) = if low.0 <= high.0 { (low, high) } else { (high, low) };
            kept.push(*early);
            if late != early {
                kept.push(*late);
            }
        }
    }
    without_strays(&kept)
}

/// Ramer (1972), Douglas and Peucker (1973): keeps the point furthest from the chord while it is further than
/// [`STRAY`] (from memory of both).
pub(super) fn without_strays(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let Some(last) = points.len().checked_sub(1) else { return Vec::new() };
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[last] = true;
    let mut open = vec![(0, last)];
    while let Some((from, to)) = open.pop() {
        let furthest = (from + 1..to)
            .map(|at| (at, distance(points[at], points[from], points[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, _)) = furthest.filter(|(_, away)| *away > STRAY) {
            keep[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

/// Of a point from the line through two others.
fn distance(point: (f64, f64), from: (f64, f64), to: (f64, f64)) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    let (px, py) = (point.0 - from.0, point.1 - from.1);
    if length > 0.0 { (px * dy - py * dx).abs() / length } else { px.hypot(py) }
}

/// Faint rules a height step apart: what the logger cannot tell.
fn height_steps(canvas: &mut Canvas, step_m: Option<f64>, largest_m: f64, axis: &Axis, width: f64) {
    let Some(step_m) = step_m.filter(|step| *step > 0.0) else { return };
    if (axis.at(0.0) - axis.at(step_m)).abs() < RULES_APART {
        return;
    }
    let count = (largest_m / step_m).floor() as i32;
    for at in (-count..=count).filter(|at| *at != 0) {
        let y = axis.at(f64::from(at) * step_m);
        canvas.line((LEFT, y), (width - RIGHT, y), Stroke { dashes: Some("1 3"), ..HAIRLINE });
    }
}

/// Each drop's letter where its line ends; those set aside first, since there are fewer of them.
fn letters(canvas: &mut Canvas, seen: &[DropLine], (from_s, to_s): (f64, f64), time: &Axis, height: &Axis) {
    let mut drops: Vec<&DropLine> = seen.iter().collect();
    drops.sort_by_key(|drop| drop.kept);
    for drop in drops {
        // Where the stretch that counts ends, lines lie apart; else where the recording ends.
        let end = match drop.steady {
            Some(line) => Some((line.to_s, line.height_m - line.slope_m_per_s * (line.to_s - line.from_s))),
            None => drop.time_s.last().copied().zip(drop.height_m.last().copied()),
        };
        let Some((t, h)) = end.filter(|(t, _)| (from_s..=to_s).contains(t)) else { continue };
        let (x, y) = (time.at(t), height.at(h));
        let role = if drop.kept { Role::Ink } else { Role::Quiet };
        let mut places = Vec::new();
        for away in 0..8 {
            let away = f64::from(away) * 13.0;
            places.extend([
                (x + 5.0 + away, y - 3.0),
                (x + 5.0 + away, y - 15.0),
                (x + 5.0 + away, y - 27.0),
            ]);
        }
        canvas.of_drop(&drop.letter, |canvas| {
            canvas.text_where_free(&places, Label::new(&drop.letter, Anchor::Start).role(role).strong());
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_line_keeps_its_corners_and_loses_the_rest() {
        let steps: Vec<(f64, f64)> =
            (0..1000).map(|i| (f64::from(i) * 0.5, f64::from(i / 100) * 20.0)).collect();
        let thin = thinned(&steps);
        assert_eq!(thin.len(), 20, "two corners a step: {thin:?}");
        for point in &steps {
            let near = thin.windows(2).any(|pair| distance(*point, pair[0], pair[1]) <= STRAY + 0.6);
            assert!(near, "{point:?} is not on the line any more");
        }
        assert!(thinned(&[]).is_empty());
        assert_eq!(thinned(&[(1.0, 2.0)]), [(1.0, 2.0)]);
    }
}
