//! The few sums with vectors that a harness needs.

use super::Place;
use crate::maths::sqrt;

pub(super) fn minus(a: Place, b: Place) -> Place {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// a + s b.
pub(super) fn plus(a: Place, s: f64, b: Place) -> Place {
    [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]]
}

pub(super) fn times(s: f64, a: Place) -> Place {
    [s * a[0], s * a[1], s * a[2]]
}

pub(super) fn dot(a: Place, b: Place) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Place, b: Place) -> Place {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub(super) fn length(a: Place) -> f64 {
    sqrt(dot(a, a))
}

/// The unit vector along it; `None` where it is shorter than `least`.
pub(super) fn unit(a: Place, least: f64) -> Option<Place> {
    let of = length(a);
    (of > least).then(|| times(1.0 / of, a))
}
