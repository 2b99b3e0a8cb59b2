//! The way down as points at equal times, for a figure: the steps of [`super::reference()`] with their polynomials.

use super::reference::{parted, walk};
use super::{Descent, Landed, NoLanding};
use crate::maths::ceil;

/// Error allowed in a step: far below the width of a line.
const TOLERANCE: f64 = 1e-6;

/// A moment of a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// After the start, s.
    pub time_s: f64,
    /// East and north of the pad and height above its ground, m.
    pub place_m: [f64; 3],
    /// Over ground, east, north, up, m/s.
    pub velocity_m_per_s: [f64; 3],
}

/// The way down at every multiple of `every_s` from the start on, and at the ground; `every_s` above 0.
///
/// # Errors
/// As [`super::reference()`].
pub fn track(descent: &Descent, every_s: f64) -> Result<Vec<Point>, NoLanding> {
    let start = descent.start;
    let mut points =
        vec![Point { time_s: 0.0, place_m: start.place_m, velocity_m_per_s: start.velocity_m_per_s }];
    let landed: Landed = walk(descent, TOLERANCE, |begin_s, step| {
        let end_s = begin_s + step.length;
        let mut next = points.len().max(ceil(begin_s / every_s) as usize);
        while next as f64 * every_s < end_s {
            let time_s = next as f64 * every_s;
            let state = parted(time_s, &step.at((time_s - begin_s) / step.length));
            points.push(Point { time_s, place_m: state.place_m, velocity_m_per_s: state.velocity_m_per_s });
            next += 1;
        }
    })?;
    let [east_m, north_m] = landed.place_m;
    points.push(Point {
        time_s: landed.time_s,
        place_m: [east_m, north_m, 0.0],
        velocity_m_per_s: landed.velocity_m_per_s,
    });
    Ok(points)
}
