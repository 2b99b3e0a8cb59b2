//! The place of rest: the point furthest from E among those that the legs allow, and the tensions there.

use super::vector::{cross, dot, length, minus, plus, times, unit};
use super::{Hang, Harness, Load, NoHang, Place};
use crate::maths::{asin, atan2, cos, sin, sqrt};

/// Lengths that differ by less than this share of the harness's size are one: a micrometre in a metre.
const SAME: f64 = 1e-6;
/// A tension below this share of the pull is none.
const NONE: f64 = 1e-9;

/// Lengths of the legs with which the body hangs at `pitch_rad` (front end above level), the confluence `above_m` over the
/// centre of mass, under its weight and drag. That it rests so is for [`hang`] to tell: where a leg would have to
/// push, it does not.
///
/// # Errors
/// [`NoHang::BlownUp`], [`NoHang::NoLegs`].
///
/// # Examples
/// Level, points 0.6 m ahead of the centre of mass and 0.9 m behind it, the legs meeting 0.7 m above: √(0.6² + 0.7²) and
/// √(0.9² + 0.7²).
/// ```
/// use silkfall_core::hanging::{Harness, leg_lengths};
/// let harness = Harness {
///     points: vec![[0.6, 0.0, 0.0], [-0.9, 0.0, 0.0]],
///     legs_m: vec![],
///     centre_of_mass: [0.0; 3],
///     centre_of_area: [0.0; 3],
///     weight_n: 90.0,
///     drag_n: 0.0,
/// };
/// let legs = leg_lengths(&harness, 0.0, 0.7).unwrap();
/// assert!((legs[0] - 0.922).abs() < 5e-4 && (legs[1] - 1.140).abs() < 5e-4);
/// ```
pub fn leg_lengths(harness: &Harness, pitch_rad: f64, above_m: f64) -> Result<Vec<f64>, NoHang> {
    if harness.points.is_empty() {
        return Err(NoHang::NoLegs);
    }
    let end = resultant(harness)?;
    let up = [sin(pitch_rad), 0.0, cos(pitch_rad)];
    let above_end = dot(minus(harness.centre_of_mass, end), up) + above_m;
    let confluence = plus(end, above_end, up);
    Ok(harness.points.iter().map(|point| length(minus(confluence, *point))).collect())
}

/// Where W − D acts.
fn resultant(harness: &Harness) -> Result<Place, NoHang> {
    let pull = harness.weight_n - harness.drag_n;
    if pull <= 0.0 {
        return Err(NoHang::BlownUp);
    }
    let weighted = times(harness.weight_n / pull, harness.centre_of_mass);
    Ok(plus(weighted, -harness.drag_n / pull, harness.centre_of_area))
}

/// How the body comes to rest in its harness.
///
/// Of several places of rest the lowest; of alike ones that with the side up that is meant to be.
///
/// # Errors
/// As [`NoHang`].
pub fn hang(harness: &Harness) -> Result<Hang, NoHang> {
    let end = resultant(harness)?;
    let Harness { points, legs_m: legs, .. } = harness;
    if points.is_empty() {
        return Err(NoHang::NoLegs);
    }
    for (i, j) in pairs(points.len()) {
        let wanting = length(minus(points[i], points[j])) - legs[i] - legs[j];
        if wanting > 0.0 {
            return Err(NoHang::TooShort(i, j, wanting));
        }
    }
    let size = size(harness, end);
    let rests = rests(harness, end, size);
    let lowest = |rest: &Rest| length(minus(rest.confluence, end));
    let deepest = rests.iter().map(lowest).fold(f64::NEG_INFINITY, f64::max);
    let best = rests
        .iter()
        .filter(|rest| lowest(rest) > deepest - SAME * size)
        .max_by(|a, b| a.up[2].total_cmp(&b.up[2]))
        .ok_or(NoHang::NoCommonPoint)?;
    let pull = harness.weight_n - harness.drag_n;
    let up = best.up;
    let across = sqrt(up[1] * up[1] + up[2] * up[2]);
    Ok(Hang {
        confluence: best.confluence,
        up,
        pitch_rad: asin(up[0].clamp(-1.0, 1.0)),
        roll_rad: (!best.any_side && across > 1e-3).then(|| atan2(up[1], up[2])),
        pull_n: pull,
        legs: loads(harness, best, pull, size),
    })
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).flat_map(move |i| (i + 1..count).map(move |j| (i, j)))
}

/// How large the harness is, m.
fn size(harness: &Harness, end: Place) -> f64 {
    let reach = harness.points.iter().map(|point| length(minus(*point, end)));
    reach.chain(harness.legs_m.iter().copied()).fold(0.0, f64::max)
}

/// A place of rest.
#[derive(Clone, Debug)]
struct Rest {
    confluence: Place,
    up: Place,
    /// The body may turn about its legs' line freely.
    any_side: bool,
}

/// All stable places of rest on one, two and three taut legs.
fn rests(harness: &Harness, end: Place, size: f64) -> Vec<Rest> {
    let Harness { points, legs_m: legs, .. } = harness;
    let count = points.len();
    let mut found = Vec::new();
    let mut keep = |confluence: Place, taut: &[usize], any_side: bool| {
        let allowed = (0..count)
            .all(|k| taut.contains(&k) || length(minus(confluence, points[k])) <= legs[k] + SAME * size);
        let Some(up) = unit(minus(confluence, end), SAME * size) else { return };
        let towards = |k: &usize| unit(minus(confluence, points[*k]), SAME * size);
        let Some(directions) = taut.iter().map(towards).collect::<Option<Vec<_>>>() else { return };
        let pulls = shares(&directions, up).is_some_and(|shares| shares.iter().all(|share| *share >= -NONE));
        if allowed && pulls {
            found.push(Rest { confluence, up, any_side });
        }
    };
    for i in 0..count {
        // On one leg: point, confluence and E on one line.
        let from_end = minus(points[i], end);
        let (along, any_side) = match unit(from_end, SAME * size) {
            Some(along) => (along, false),
            None => ([0.0, 0.0, 1.0], true),
        };
        keep(plus(points[i], legs[i], along), &[i], any_side || is_on_axis(along));
    }
    for (i, j) in pairs(count) {
        if let Some((centre, radius, line)) = circle(points[i], legs[i], points[j], legs[j], size) {
            let from_end = minus(centre, end);
            let out = plus(from_end, -dot(from_end, line), line);
            let (out, any_side) = match unit(out, SAME * size) {
                Some(out) => (out, false),
                None => (side_of(line), true),
            };
            keep(plus(centre, radius, out), &[i, j], any_side);
            for k in j + 1..count {
                for confluence in meeting(points, legs, [i, j, k], size) {
                    keep(confluence, &[i, j, k], false);
                }
            }
        }
    }
    found
}

/// A body that hangs end on may turn about its long axis.
fn is_on_axis(along: Place) -> bool {
    along[1].abs() < SAME && along[2].abs() < SAME
}

/// The side meant to be up, square to a line; the other side where the line lies along it.
fn side_of(line: Place) -> Place {
    let square = |to: Place| unit(plus(to, -dot(to, line), line), 1e-3);
    square([0.0, 0.0, 1.0]).or_else(|| square([0.0, 1.0, 0.0])).expect("no line lies along two axes")
}

/// Where two legs meet: a circle's centre, radius and axis; `None` where one reaches the confluence only within the
/// other's reach.
fn circle(p: Place, leg_p: f64, q: Place, leg_q: f64, size: f64) -> Option<(Place, f64, Place)> {
    let apart = length(minus(q, p));
    let line = unit(minus(q, p), SAME * size)?;
    let along = (apart * apart + leg_p * leg_p - leg_q * leg_q) / (2.0 * apart);
    let squared = leg_p * leg_p - along * along;
    (squared > -SAME * size * size).then(|| (plus(p, along, line), sqrt(squared.max(0.0)), line))
}

/// Where three legs meet: none, one or two points.
fn meeting(points: &[Place], legs: &[f64], taut: [usize; 3], size: f64) -> Vec<Place> {
    let [i, j, k] = taut;
    let Some(along) = unit(minus(points[j], points[i]), SAME * size) else { return Vec::new() };
    let to_k = minus(points[k], points[i]);
    let Some(aside) = unit(plus(to_k, -dot(to_k, along), along), SAME * size) else { return Vec::new() };
    let normal = cross(along, aside);
    let (d, e, f) = (length(minus(points[j], points[i])), dot(to_k, along), dot(to_k, aside));
    let x = (legs[i] * legs[i] - legs[j] * legs[j] + d * d) / (2.0 * d);
    let y = (legs[i] * legs[i] - legs[k] * legs[k] + e * e + f * f - 2.0 * e * x) / (2.0 * f);
    let squared = legs[i] * legs[i] - x * x - y * y;
    if squared < -SAME * size * size {
        return Vec::new();
    }
    let foot = plus(plus(points[i], x, along), y, aside);
    let out = sqrt(squared.max(0.0));
    [out, -out].map(|out| plus(foot, out, normal)).to_vec()
}

/// Shares sᵢ with Σ sᵢ nᵢ = u for one to three directions; `None` where they are not independent or cannot make it.
fn shares(directions: &[Place], up: Place) -> Option<Vec<f64>> {
    const INDEPENDENT: f64 = 1e-9;
    const MAKES: f64 = 1e-5;
    let shares = match directions {
        [n] => vec![dot(*n, up)],
        [n, m] => {
            let (nm, nu, mu) = (dot(*n, *m), dot(*n, up), dot(*m, up));
            let rest = 1.0 - nm * nm;
            if rest < INDEPENDENT {
                return None;
            }
            vec![(nu - nm * mu) / rest, (mu - nm * nu) / rest]
        }
        [n, m, l] => {
            let volume = dot(*n, cross(*m, *l));
            if volume.abs() < INDEPENDENT {
                return None;
            }
            [cross(*m, *l), cross(*l, *n), cross(*n, *m)].map(|square| dot(up, square) / volume).to_vec()
        }
        _ => return None,
    };
    let made = directions.iter().zip(&shares).fold([0.0; 3], |sum, (n, share)| plus(sum, *share, *n));
    (length(minus(made, up)) < MAKES).then_some(shares)
}

/// What each leg bears at the place of rest. More taut legs than statics can tell apart: the range over every way in which
/// one to three of them alone would do, which holds every other way too.
fn loads(harness: &Harness, rest: &Rest, pull: f64, size: f64) -> Vec<Load> {
    let Harness { points, legs_m: legs, .. } = harness;
    let count = points.len();
    let ways: Vec<Place> = points.iter().map(|point| minus(rest.confluence, *point)).collect();
    let taut: Vec<usize> = (0..count).filter(|&i| legs[i] - length(ways[i]) < 10.0 * SAME * size).collect();
    let directions: Vec<Option<Place>> = ways.iter().map(|way| unit(*way, SAME * size)).collect();
    let mut ranges: Vec<Option<(f64, f64)>> = vec![None; count];
    for group in groups(&taut) {
        let Some(towards) = group.iter().map(|&i| directions[i]).collect::<Option<Vec<_>>>() else {
            continue;
        };
        let Some(shares) = shares(&towards, rest.up).filter(|s| s.iter().all(|s| *s >= -NONE)) else {
            continue;
        };
        for &i in &taut {
            let share = group.iter().position(|&g| g == i).map_or(0.0, |at| shares[at].max(0.0));
            let (low, high) = ranges[i].unwrap_or((share, share));
            ranges[i] = Some((low.min(share), high.max(share)));
        }
    }
    let one = |i: usize| match ranges[i] {
        Some((low, high)) if high - low > 1e-6 => Load::Between(low * pull, high * pull),
        Some((_, high)) if high > NONE => Load::Taut(high * pull),
        _ => Load::Slack((legs[i] - length(ways[i])).max(0.0)),
    };
    (0..count).map(one).collect()
}

/// All groups of one to three.
fn groups(of: &[usize]) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = of.iter().map(|&i| vec![i]).collect();
    for (a, b) in pairs(of.len()) {
        found.push(vec![of[a], of[b]]);
        found.extend((b + 1..of.len()).map(|c| vec![of[a], of[b], of[c]]));
    }
    found
}
