//! Many falls: one a trial.

use super::{Landed, NoLanding};
use crate::cases::Quantiles;
use crate::maths;
use crate::stats::sample::Sample;

/// One fall at the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// East and north of the pad, m.
    pub place_m: [f64; 2],
    /// From the start to the ground, s.
    pub time_s: f64,
    /// Speed down, m/s.
    pub down_m_per_s: f64,
    /// Speed over ground, m/s.
    pub over_m_per_s: f64,
    /// Mass, kg.
    pub mass_kg: f64,
}

impl Fall {
    pub(super) fn new(landed: &Landed, mass_kg: f64) -> Self {
        let [east, north, up] = landed.velocity_m_per_s;
        Fall {
            place_m: landed.place_m,
            time_s: landed.time_s,
            down_m_per_s: -up,
            over_m_per_s: length([east, north]),
            mass_kg,
        }
    }
}

pub(super) fn length([east, north]: [f64; 2]) -> f64 {
    maths::sqrt(east * east + north * north)
}

/// Direction of a place from the pad, rad from north.
pub(super) fn bearing_rad([east, north]: [f64; 2]) -> f64 {
    maths::atan2(east, north).rem_euclid(std::f64::consts::TAU)
}

/// All trials of a case, in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Falls(Vec<Option<Fall>>);

impl Falls {
    pub(super) fn new(landed: Vec<Result<Fall, NoLanding>>) -> Self {
        Falls(landed.into_iter().map(Result::ok).collect())
    }

    /// Those of slices of the trials one after the other.
    pub(super) fn joined(slices: impl IntoIterator<Item = Falls>) -> Self {
        Falls(slices.into_iter().flat_map(|slice| slice.0).collect())
    }

    /// Every trial; `None` where it did not come down within hours, which counts as outside every field.
    pub fn trials(&self) -> &[Option<Fall>] {
        &self.0
    }

    /// Those that came down.
    pub fn landed(&self) -> impl Iterator<Item = &Fall> {
        self.0.iter().flatten()
    }

    /// How many did not come down.
    pub fn stayed_up(&self) -> usize {
        self.0.iter().filter(|fall| fall.is_none()).count()
    }

    /// By trial, whether it came down where `inside` says.
    pub(super) fn within(&self, inside: impl Fn([f64; 2]) -> bool) -> Vec<bool> {
        self.0.iter().map(|fall| fall.is_some_and(|fall| inside(fall.place_m))).collect()
    }

    /// 2.5, 50 and 97.5 % of something over those that came down; `None` where none did.
    pub fn quantiles(&self, of: impl Fn(&Fall) -> f64) -> Option<Quantiles> {
        let sample = Sample::new(self.landed().map(of).collect())?;
        let [low, median, high] = [0.025, 0.5, 0.975].map(|at| sample.quantile(at));
        Some(Quantiles { low, median, high })
    }

    /// Mean place of those that came down, m from the pad.
    pub fn mean_place_m(&self) -> Option<[f64; 2]> {
        let count = self.landed().count() as f64;
        let sum =
            self.landed().fold([0.0, 0.0], |sum, fall| [sum[0] + fall.place_m[0], sum[1] + fall.place_m[1]]);
        (count > 0.0).then(|| sum.map(|sum| sum / count))
    }
}
