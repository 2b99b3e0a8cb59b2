//! A fall in microseconds, to decimetres.
//!
//! A fall is near its rate nearly all the time: there it goes layer by layer in closed form ([`super::quasi_steady`]). What is
//! left are the starts: some relaxation times after the start, after each stage's begin and while it fills. These go in
//! classical Runge-Kutta steps of order 4 of the length C/(κ |w| + √(κ g)), a share C of the time in which the drag
//! answers (near the rate that is C v/(2 g)), no longer than a sixth of a filling and ending near the edges of the wind's layers. A
//! stage's height and the ground are found on the cubic through both ends' heights and speeds, and the step is done again
//! to there. Nothing is allocated.
//!
//! How far it is from [`super::reference`] is tested over many falls and measured in the bench.

use super::motion::{Layer, Stages, State, acceleration_m_per_s2, length, through_air_m_per_s};
use super::quasi_steady::{self, Until};
use super::{Descent, LONGEST_FALL_S, Landed, NoLanding};
use crate::maths::sqrt;

/// C: share of the time in which the drag answers that a step takes.
const STEP_SHARE: f64 = 0.5;
/// Most of a filling that a step takes.
const FILL_SHARE: f64 = 1.0 / 6.0;
/// Longest step, s: where nothing brakes.
const LONGEST_STEP_S: f64 = 2.0;

/// One fall to the ground by the fast scheme.
///
/// # Errors
/// What is no fall, or has no landing: see [`NoLanding`].
pub fn quick(descent: &Descent) -> Result<Landed, NoLanding> {
    let mut stages = Stages::new(descent)?;
    let start = descent.start;
    let mut state = State { time_s: 0.0, place_m: start.place_m, velocity_m_per_s: start.velocity_m_per_s };
    let mut layer = Layer::holding(descent.wind.levels(), state.height_m());
    loop {
        stages.update(&state, layer.wind_m_per_s(state.height_m()));
        let height_m = stages.next_height_m(state.height_m());
        let until = Until { height_m, time_s: stages.next_instant_s() };
        if !stages.is_filling {
            let k_per_m = stages.brake.k_per_m(state.time_s);
            if quasi_steady::is_near(descent, k_per_m, &layer, &state) {
                quasi_steady::go(descent, k_per_m, &mut layer, &mut state, until);
                if state.height_m() <= 0.0 {
                    return Ok(stages.landed(&state));
                }
                if state.height_m() <= height_m || state.time_s >= until.time_s {
                    continue;
                }
            }
        }
        state = step(descent, &stages, &mut layer, &state, until);
        if state.height_m() <= 0.0 {
            return Ok(stages.landed(&state));
        }
        if state.time_s > LONGEST_FALL_S {
            return Err(NoLanding::StaysUp { height_m: state.height_m(), after_s: state.time_s });
        }
    }
}

/// One small step, ending on a height or an instant that it would pass.
fn step<'a>(descent: &Descent, stages: &Stages, layer: &mut Layer<'a>, state: &State, until: Until) -> State {
    let height_m = state.height_m();
    let climb = state.climb_m_per_s();
    layer.follow(height_m);
    if height_m <= layer.bottom_m && climb < 0.0 {
        *layer = layer.below();
    }
    let slope = acceleration(
        descent,
        layer,
        stages.brake.k_per_m(state.time_s),
        state.place_m,
        state.velocity_m_per_s,
    );
    let longest_s = longest_s(descent, stages, layer, state);
    let aimed_s = longest_s.min(to_edge_s(layer, state, slope[2]));
    let left_s = until.time_s - state.time_s;
    let ends_at_instant = aimed_s >= left_s;
    let length_s = if ends_at_instant { left_s } else { aimed_s };
    let again =
        |length_s: f64, layer: &mut Layer<'a>| runge_kutta(descent, stages, layer, state, slope, length_s);
    let mut end = again(length_s, layer);
    if climb > 0.0 && end.climb_m_per_s() < 0.0 {
        // The top of a rise ends a step: stages by height wait for it.
        let first_s = length_s * climb / (climb - end.climb_m_per_s());
        end = again(first_s, layer);
        end = again(first_s * climb / (climb - end.climb_m_per_s()), layer);
        end.velocity_m_per_s[2] = 0.0;
    } else if end.height_m() < until.height_m {
        let share = share_to(state, &end, length_s, until.height_m);
        end = again(share * length_s, layer);
        let miss_s = (end.height_m() - until.height_m) / end.climb_m_per_s();
        end = again(share * length_s - miss_s, layer);
        end.place_m[2] = until.height_m;
    } else if ends_at_instant {
        end.time_s = until.time_s;
    }
    end
}

/// The longest step that follows the drag and the filling, s.
fn longest_s(descent: &Descent, stages: &Stages, layer: &Layer, state: &State) -> f64 {
    let height_m = state.height_m();
    let wind = layer.wind_m_per_s(height_m);
    let airspeed = length(through_air_m_per_s(wind, descent.updraft_m_per_s, state.velocity_m_per_s));
    let sigma = descent.column.relative_density(height_m);
    let gravity = descent.column.gravity_m_per_s2(height_m);
    let answer_s = |k_per_m: f64| {
        let kappa = k_per_m * sigma;
        let rate_per_s = kappa * airspeed + sqrt(kappa * gravity);
        (STEP_SHARE / rate_per_s).min(LONGEST_STEP_S)
    };
    if !stages.is_filling {
        return answer_s(stages.brake.k_per_m(state.time_s));
    }
    let share_s = FILL_SHARE * stages.brake.fill_s();
    // k at the end of the step, where it brakes most.
    let first_s = share_s.min(answer_s(stages.brake.k_per_m(state.time_s)));
    first_s.min(answer_s(stages.brake.k_per_m(state.time_s + first_s)))
}

/// About when the edge of the wind's layer ahead is met, s.
fn to_edge_s(layer: &Layer, state: &State, climb_m_per_s2: f64) -> f64 {
    let (height_m, climb) = (state.height_m(), state.climb_m_per_s());
    let (way_m, speed, gain) = if climb < 0.0 {
        let bottom_m = if layer.is_lowest() { 0.0 } else { layer.bottom_m };
        (height_m - bottom_m, -climb, -climb_m_per_s2)
    } else {
        (layer.top_m - height_m, climb, climb_m_per_s2)
    };
    if !way_m.is_finite() {
        return f64::INFINITY;
    }
    // way = speed t + gain t²/2; where the gain is a loss that never gets there, by half the speed.
    let root = sqrt((speed * speed + 2.0 * gain * way_m).max(0.25 * speed * speed));
    // A little beyond, so that the next step begins on the other side; from rest some time all the same.
    2.0 * (way_m + 1e-3) / (speed + root).max(1e-3)
}

/// The share of a step at which the cubic through its ends passes a height on the way down.
fn share_to(start: &State, end: &State, length_s: f64, height_m: f64) -> f64 {
    let (from, to) = (start.height_m() - height_m, end.height_m() - height_m);
    let (a, b) = (length_s * start.climb_m_per_s(), length_s * end.climb_m_per_s());
    let (square, cube) = (3.0 * (to - from) - 2.0 * a - b, 2.0 * (from - to) + a + b);
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..20 {
        let middle = 0.5 * (low + high);
        if from + middle * (a + middle * (square + middle * cube)) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

fn acceleration(
    descent: &Descent,
    layer: &mut Layer,
    k_per_m: f64,
    place_m: [f64; 3],
    velocity_m_per_s: [f64; 3],
) -> [f64; 3] {
    let height_m = place_m[2];
    layer.follow(height_m);
    acceleration_m_per_s2(
        k_per_m * descent.column.relative_density(height_m),
        descent.column.gravity_m_per_s2(height_m),
        layer.wind_m_per_s(height_m),
        descent.updraft_m_per_s,
        velocity_m_per_s,
    )
}

/// A classical Runge-Kutta step of order 4 from where the acceleration is `slope`.
fn runge_kutta(
    descent: &Descent,
    stages: &Stages,
    layer: &mut Layer,
    state: &State,
    slope: [f64; 3],
    length_s: f64,
) -> State {
    let h = length_s;
    let k_middle = stages.brake.k_per_m(state.time_s + 0.5 * h);
    let k_end = stages.brake.k_per_m(state.time_s + h);
    let along = |from: [f64; 3], share_s: f64, by: [f64; 3]| -> [f64; 3] {
        std::array::from_fn(|i| from[i] + share_s * by[i])
    };
    let (x, v1, a1) = (state.place_m, state.velocity_m_per_s, slope);
    let v2 = along(v1, 0.5 * h, a1);
    let a2 = acceleration(descent, layer, k_middle, along(x, 0.5 * h, v1), v2);
    let v3 = along(v1, 0.5 * h, a2);
    let a3 = acceleration(descent, layer, k_middle, along(x, 0.5 * h, v2), v3);
    let v4 = along(v1, h, a3);
    let a4 = acceleration(descent, layer, k_end, along(x, h, v3), v4);
    let sum = |from: f64, first: f64, second: f64, third: f64, last: f64| {
        from + h / 6.0 * (first + 2.0 * (second + third) + last)
    };
    State {
        time_s: state.time_s + h,
        place_m: std::array::from_fn(|i| sum(x[i], v1[i], v2[i], v3[i], v4[i])),
        velocity_m_per_s: std::array::from_fn(|i| sum(v1[i], a1[i], a2[i], a3[i], a4[i])),
    }
}
