//! Where the exact motion begins to hold: filling over, spikes gone, not yet the ground.
//!
//! While a canopy fills its drag area grows and no closed form holds. From the ground backwards the window is widened
//! piece by piece; as long as the motion holds, a piece of m points adds about m to the sum of squares. Where it adds
//! far more, filling (or whatever else) has begun, and the window stays short of it by one piece. A window is never
//! shorter than the last third of the fall.

use super::gls::{Errors, Fit, Prior};
use super::motion::Motion;
use super::points::Point;
use crate::maths::sqrt;

/// A piece that fits worse than this many standard deviations of its chi-square stops the widening.
const WORSE: f64 = 2.3;
/// Length by which the window is widened at a time, s.
const PIECE_S: f64 = 0.1;
/// The window holds at least this share of the fall.
const LEAST_SHARE: f64 = 0.33;

/// The widest window in which the motion holds: number of points (the points come ground first) and its beginning.
pub(crate) fn window(
    errors: &Errors,
    points: &[Point],
    guess: Motion,
    prior: Prior,
) -> Option<(usize, f64, Fit)> {
    let end_s = points.first()?.time_s;
    let whole_s = end_s - points.last()?.time_s;
    let least_s = LEAST_SHARE * whole_s;
    let count_back = |back_s: f64| points.partition_point(|p| end_s - p.time_s <= back_s + 1e-9);
    let mut count = count_back(least_s).max(6).min(points.len());
    let start = |count: usize| points[count - 1].time_s;
    let mut fit = errors.fit(points, count, start(count), guess, prior)?;
    let mut kept = vec![count];
    let mut chi2 = fit.chi2;
    while count < points.len() {
        let next = count_back(end_s - start(count) + PIECE_S).max(count + 1).min(points.len());
        let wider = errors.fit(
            points,
            next,
            start(next),
            seen_from(&fit.motion, start(count) - start(next)),
            prior,
        )?;
        let added = (next - count) as f64;
        // Early points fit by luck sometimes; two pieces together then tell.
        let surprise = |from: usize, chi2_from: f64| {
            let m = (next - from) as f64;
            (wider.chi2 - chi2_from - m) / sqrt(2.0 * m)
        };
        if added > 0.0 && surprise(count, chi2) > WORSE {
            break;
        }
        (count, chi2) = (next, wider.chi2);
        fit = wider;
        kept.push(count);
    }
    if count < points.len() && kept.len() > 1 {
        kept.pop();
        count = kept[kept.len() - 1];
        fit = errors.fit(points, count, start(count), seen_from(&fit.motion, 0.0), prior)?;
    }
    Some((count, start(count), fit))
}

/// The same motion counted from `earlier_s` before its beginning.
fn seen_from(motion: &Motion, earlier_s: f64) -> Motion {
    let lead = motion.lead * crate::maths::exp(motion.decay_per_s() * earlier_s);
    Motion {
        line_m: motion.line_m + motion.rate_m_per_s * earlier_s,
        lead: lead.clamp(-0.8, 0.95),
        ..*motion
    }
}
