//! Many falls, as columns.

use super::Landed;
use crate::cases::Quantiles;
use crate::maths;
use crate::stats::sample::Sample;

/// The most stages a fall has.
pub const MOST_STAGES: usize = 6;

/// Where and how trials came down, one value a trial.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Falls {
    /// East of the pad, m.
    pub east_m: Vec<f64>,
    /// North of the pad, m.
    pub north_m: Vec<f64>,
    /// From the start to the ground, s.
    pub time_s: Vec<f64>,
    /// Speed down at the ground, m/s.
    pub down_m_per_s: Vec<f64>,
    /// Speed over ground there, m/s.
    pub over_m_per_s: Vec<f64>,
    /// Mass, kg.
    pub mass_kg: Vec<f64>,
}

impl Falls {
    pub(super) fn of(landed: &[(Landed, f64)]) -> Self {
        let column = |value: &dyn Fn(&(Landed, f64)) -> f64| landed.iter().map(value).collect();
        Falls {
            east_m: column(&|(fall, _)| fall.place_m[0]),
            north_m: column(&|(fall, _)| fall.place_m[1]),
            time_s: column(&|(fall, _)| fall.time_s),
            down_m_per_s: column(&|(fall, _)| -fall.velocity_m_per_s[2]),
            over_m_per_s: column(&|(fall, _)| maths::hypot(fall.velocity_m_per_s[0], fall.velocity_m_per_s[1])),
            mass_kg: column(&|(_, mass)| *mass),
        }
    }

    /// Number of falls.
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.time_s.is_empty()
    }

    /// Places, m from the pad.
    pub fn places(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.east_m.iter().zip(&self.north_m).map(|(east, north)| [*east, *north])
    }

    /// Distances from the pad, m.
    pub fn drifts_m(&self) -> Vec<f64> {
        self.places().map(|[east, north]| maths::hypot(east, north)).collect()
    }

    /// Energies at the ground, J: of the speed down, and of the speed over ground.
    pub fn energies_j(&self) -> [Vec<f64>; 2] {
        [&self.down_m_per_s, &self.over_m_per_s].map(|speeds| {
            speeds.iter().zip(&self.mass_kg).map(|(speed, mass)| 0.5 * mass * speed * speed).collect()
        })
    }

    /// Mean place, m from the pad.
    pub fn mean_place_m(&self) -> [f64; 2] {
        let mean = |column: &[f64]| column.iter().sum::<f64>() / column.len() as f64;
        [mean(&self.east_m), mean(&self.north_m)]
    }
}

/// 2.5, 50 and 97.5 % of a column; `None` of an empty one.
pub fn quantiles(column: &[f64]) -> Option<Quantiles> {
    let sample = Sample::new(column.to_vec())?;
    let [low, median, high] = [0.025, 0.5, 0.975].map(|at| sample.quantile(at));
    Some(Quantiles { low, median, high })
}
