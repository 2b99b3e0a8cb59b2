//! The other way about: where to stand the pad, or to aim, for this wind.
//!
//! Standing the pad elsewhere by d moves every landing by d; aiming so that the top of flight lies d further does the
//! same. The share inside is looked for over a grid of d, then a finer one about the best. Only a pad that itself stands
//! inside the field and out of every place to keep out of counts.

use super::falls::{Falls, bearing_rad, length};
use super::mix::Weights;
use crate::geo::Field;
use crate::geo::polygon::Bounds;

/// Steps of the grid across the field.
const STEPS: usize = 24;
/// Landings of each case that are looked at: the first ones.
const LOOKED_AT: usize = 600;

/// Where to stand instead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BetterPad {
    /// East of the pad, m.
    pub east_m: f64,
    /// North of it, m.
    pub north_m: f64,
    /// Share inside from there.
    pub share: f64,
    /// Share inside from where it stands, of the same landings.
    pub share_now: f64,
}

impl BetterPad {
    /// How far from where it stands, m.
    pub fn distance_m(&self) -> f64 {
        length([self.east_m, self.north_m])
    }

    /// In which direction, rad from north.
    pub fn bearing_rad(&self) -> f64 {
        bearing_rad([self.east_m, self.north_m])
    }
}

/// The best place for the pad; `None` where no place is better than the present one.
pub(super) fn better_pad(cases: &[Option<Falls>], weights: &Weights, field: &Field) -> Option<BetterPad> {
    let clouds: Vec<(f64, Vec<[f64; 2]>)> = cases
        .iter()
        .enumerate()
        .filter_map(|(i, falls)| {
            Some((weights.of(i), falls.as_ref()?.landed().take(LOOKED_AT).map(|fall| fall.place_m).collect()))
        })
        .filter(|(weight, places): &(f64, Vec<[f64; 2]>)| *weight > 0.0 && !places.is_empty())
        .collect();
    let inside = |d: [f64; 2]| -> f64 {
        let of = |places: &[[f64; 2]]| {
            let hits = places.iter().filter(|p| field.allows([p[0] + d[0], p[1] + d[1]])).count();
            hits as f64 / places.len() as f64
        };
        clouds.iter().map(|(weight, places)| weight * of(places)).sum()
    };
    let corners = field.edges.iter().flat_map(|edge| [edge.bounds().least_m, edge.bounds().greatest_m]);
    let Bounds { least_m: low, greatest_m: high } = Bounds::of(corners)?;
    let share_now = inside([0.0, 0.0]);
    let mut best = BetterPad { east_m: 0.0, north_m: 0.0, share: share_now, share_now };
    let mut from = [f64::midpoint(low[0], high[0]), f64::midpoint(low[1], high[1])];
    let mut half = [0.5 * (high[0] - low[0]), 0.5 * (high[1] - low[1])];
    for _ in 0..2 {
        let at = |i: usize, axis: usize| from[axis] + half[axis] * (2.0 * i as f64 / STEPS as f64 - 1.0);
        let grid = (0..=STEPS).flat_map(|i| (0..=STEPS).map(move |j| (i, j)));
        let tried: Vec<BetterPad> = {
            use rayon::prelude::*;
            let places: Vec<[f64; 2]> =
                grid.map(|(i, j)| [at(i, 0), at(j, 1)]).filter(|d| field.allows(*d)).collect();
            let try_one =
                |d: [f64; 2]| BetterPad { east_m: d[0], north_m: d[1], share: inside(d), share_now };
            places.into_par_iter().map(try_one).collect()
        };
        // The first of equals that is nearest to where the pad stands.
        let way = |pad: &BetterPad| pad.east_m * pad.east_m + pad.north_m * pad.north_m;
        for pad in tried {
            if pad.share > best.share || (pad.share >= best.share && way(&pad) < way(&best)) {
                best = pad;
            }
        }
        from = [best.east_m, best.north_m];
        half = half.map(|half| 2.0 * half / STEPS as f64);
    }
    (best.share > share_now).then_some(best)
}
