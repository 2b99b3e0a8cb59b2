//! Go or no-go: for which ground winds at least the wanted share lands inside the field.
//!
//! A wind from another direction turns the whole wind by height with it, and with it every fall: a fall in wind from
//! θ is the fall in wind from north turned by θ, but for what is fixed to the ground, the start's place and
//! heading. So each speed is flown once, from north and above the pad; what is fixed to the ground is the difference of
//! two falls in still air, and is added after the turn: x(θ) = R(θ) x_wind + x_ground. That is exact for the place of
//! the start, and leaves out only how a heading and the wind's own pull bend each other in the first seconds.
//!
//! The share is not monotonic in the wind: a pad off the middle, or a climb that leans into the wind, can want
//! some. The answer for a direction is a list of ranges, their ends linear between the speeds flown.

use super::falls::{Fall, Falls};
use super::inputs::{CaseColumns, FLIGHTS, Frame, Inputs};
use super::judged::{Judging, share};
use super::mix::Weights;
use super::plan::OtherWind;
use super::side_by_side::all_falls;
use crate::geo::Field;
use crate::maths;

/// Directions asked about.
pub const DIRECTIONS: usize = 16;
/// Ground winds flown, m/s.
pub const SPEEDS_M_PER_S: [f64; 13] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0];

/// What is allowed for one case, or the mix, from one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Allowed {
    /// Index of the case; `None`: the mix.
    pub case: Option<usize>,
    /// Where the ground wind blows from, rad from north.
    pub from_rad: f64,
    /// Best estimate of the share inside, by speed of [`SPEEDS_M_PER_S`].
    pub shares: Vec<f64>,
    /// The share at worst, by speed.
    pub at_worst: Vec<f64>,
    /// Ranges of the ground wind, m/s, in which the best estimate reaches the wanted share.
    pub ranges_m_per_s: Vec<[f64; 2]>,
    /// Ranges in which the share at worst does.
    pub sure_ranges_m_per_s: Vec<[f64; 2]>,
}

/// Falls of one case for every speed, to be turned.
struct Flown {
    case: usize,
    by_speed: Vec<Falls>,
    /// Fixed to the ground: what is added after the turn, m; `None` where it does not come down.
    ground_m: Vec<Option<[f64; 2]>>,
}

/// What is allowed, case after case and then the mix, each from every direction, by the first `count` trials. `None` where
/// it was stopped.
pub(super) fn allowed(
    inputs: &Inputs<'_>,
    cases: &[Option<CaseColumns>],
    count: usize,
    (field, wanted): (&Field, f64),
    weights: Option<&Weights>,
    go_on: &(dyn Fn(f64) -> bool + Sync),
) -> Option<Vec<Allowed>> {
    let steps = SPEEDS_M_PER_S.len() + 1;
    let at = |step: usize, speed_m_per_s, frame| {
        let other = OtherWind { speed_m_per_s, from_rad: 0.0 };
        let told = |done: f64| go_on((step as f64 + done) / steps as f64);
        all_falls(inputs, cases, (Some(other), frame), count, &told)
    };
    let fixed = at(0, 0.0, Frame::Ground)?;
    let by_speed = SPEEDS_M_PER_S.iter().enumerate().map(|(i, speed)| at(i + 1, *speed, Frame::Wind));
    let mut by_speed: Vec<Vec<Option<Falls>>> = by_speed.collect::<Option<_>>()?;
    let mut flown = Vec::new();
    for (case, fixed) in fixed.iter().enumerate() {
        let Some(fixed) = fixed else { continue };
        let by_speed: Vec<Falls> = by_speed.iter_mut().filter_map(|all| all[case].take()).collect();
        let ground_m = fixed.trials().iter().zip(by_speed[0].trials()).map(|(with, without)| {
            let (with, without) = (with.as_ref()?.place_m, without.as_ref()?.place_m);
            Some([with[0] - without[0], with[1] - without[1]])
        });
        flown.push(Flown { case, ground_m: ground_m.collect(), by_speed });
    }
    let directions = (0..DIRECTIONS).map(|i| std::f64::consts::TAU * i as f64 / DIRECTIONS as f64);
    let by_direction: Vec<(f64, Vec<Vec<Vec<bool>>>)> = {
        use rayon::prelude::*;
        let directions: Vec<f64> = directions.collect();
        directions
            .into_par_iter()
            .map(|from_rad| (from_rad, flown.iter().map(|flown| flown.within(from_rad, field)).collect()))
            .collect()
    };
    let mut answers = Vec::new();
    for (at, flown) in flown.iter().enumerate() {
        for (from_rad, within) in &by_direction {
            let shares = within[at].iter().map(|within| share(&[Judging { weight: 1.0, within }], FLIGHTS));
            answers.push(answer(Some(flown.case), *from_rad, wanted, shares));
        }
    }
    let weights = weights.filter(|weights| {
        (0..cases.len()).all(|case| weights.of(case) <= 0.0 || flown.iter().any(|flown| flown.case == case))
    });
    if let Some(weights) = weights {
        for (from_rad, within) in &by_direction {
            let shares = (0..SPEEDS_M_PER_S.len()).map(|speed| {
                let cases: Vec<Judging<'_>> = flown
                    .iter()
                    .zip(within)
                    .map(|(flown, within)| Judging { weight: weights.of(flown.case), within: &within[speed] })
                    .filter(|judging| judging.weight > 0.0)
                    .collect();
                share(&cases, FLIGHTS)
            });
            answers.push(answer(None, *from_rad, wanted, shares));
        }
    }
    Some(answers)
}

impl Flown {
    /// By speed and trial, whether it comes down inside with the wind from `from_rad`.
    fn within(&self, from_rad: f64, field: &Field) -> Vec<Vec<bool>> {
        let (sin, cos) = (maths::sin(from_rad), maths::cos(from_rad));
        let place = |[east, north]: [f64; 2], [east_0, north_0]: [f64; 2]| {
            [east * cos + north * sin + east_0, north * cos - east * sin + north_0]
        };
        let at = |falls: &Falls| {
            let landed = falls.trials().iter().zip(&self.ground_m);
            let inside = |(fall, fixed): (&Option<Fall>, &Option<[f64; 2]>)| {
                fall.zip(*fixed).is_some_and(|(fall, fixed)| field.allows(place(fall.place_m, fixed)))
            };
            landed.map(inside).collect()
        };
        self.by_speed.iter().map(at).collect()
    }
}

fn answer(
    case: Option<usize>,
    from_rad: f64,
    wanted: f64,
    shares: impl Iterator<Item = crate::cases::Share>,
) -> Allowed {
    let (shares, at_worst): (Vec<f64>, Vec<f64>) = shares.map(|share| (share.best, share.surely())).unzip();
    Allowed {
        case,
        from_rad,
        ranges_m_per_s: ranges(&SPEEDS_M_PER_S, &shares, wanted),
        sure_ranges_m_per_s: ranges(&SPEEDS_M_PER_S, &at_worst, wanted),
        shares,
        at_worst,
    }
}

/// Where a share given at rising speeds reaches the wanted one, linear between them.
fn ranges(speeds: &[f64], shares: &[f64], wanted: f64) -> Vec<[f64; 2]> {
    let mut ranges: Vec<[f64; 2]> = Vec::new();
    let mut open: Option<f64> = shares.first().filter(|share| **share >= wanted).map(|_| speeds[0]);
    for (speed, share) in speeds.windows(2).zip(shares.windows(2)) {
        let crossing = || speed[0] + (wanted - share[0]) / (share[1] - share[0]) * (speed[1] - speed[0]);
        match (open, share[1] >= wanted) {
            (None, true) => open = Some(crossing()),
            (Some(from), false) => {
                ranges.push([from, crossing()]);
                open = None;
            }
            _ => {}
        }
    }
    ranges.extend(open.zip(speeds.last()).map(|(from, to)| [from, *to]));
    ranges
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_have_both_ends() {
        let speeds = [0.0, 2.0, 4.0, 6.0];
        let near = |got: Vec<[f64; 2]>, want: &[[f64; 2]]| {
            assert_eq!(got.len(), want.len(), "{got:?}");
            got.iter().flatten().zip(want.iter().flatten()).for_each(|(a, b)| assert!((a - b).abs() < 1e-12));
        };
        near(ranges(&speeds, &[0.8, 1.0, 1.0, 0.8], 0.9), &[[1.0, 5.0]]);
        near(ranges(&speeds, &[1.0, 0.8, 0.8, 1.0], 0.9), &[[0.0, 1.0], [5.0, 6.0]]);
        near(ranges(&speeds, &[0.1; 4], 0.9), &[]);
        near(ranges(&speeds, &[0.9; 4], 0.9), &[[0.0, 6.0]]);
    }
}
