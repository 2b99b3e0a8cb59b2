//! Small steps of a fall: what [`super::quick()`] takes where the fall is not near its rate, and [`super::quick_in_gusts`] all
//! the way.
//!
//! Classical Runge-Kutta of order 4 over the length C/(κ |w| + √(κ g)), a share C of the time in which the drag answers (near
//! the rate that is C v/(2 g)), no longer than a sixth of a filling, and ending near the edges of the wind's layers. A
//! height that a step would pass is found on the cubic through both ends' heights and speeds, and the step is done
//! again to there, once more corrected by Newton's rule. Nothing is allocated.

use super::Descent;
use super::motion::{
    Layer, Stages, State, acceleration_m_per_s2, length, rising_m_per_s, through_air_m_per_s,
};
use super::quasi_steady::Until;
use crate::maths::sqrt;

/// Most of a filling that a step takes.
const FILL_SHARE: f64 = 1.0 / 6.0;
/// Longest step, s: where nothing brakes.
const LONGEST_STEP_S: f64 = 2.0;

/// The longest step that follows the drag and the filling, s: `share` of the time in which the drag answers.
pub(super) fn longest_s(
    descent: &Descent,
    stages: &Stages,
    state: &State,
    air_m_per_s: [f64; 3],
    share: f64,
) -> f64 {
    let height_m = state.height_m();
    let airspeed = length(through_air_m_per_s(air_m_per_s, state.velocity_m_per_s));
    let sigma = descent.column.relative_density(height_m);
    let gravity = descent.column.gravity_m_per_s2(height_m);
    let answer_s = |k_per_m: f64| {
        let kappa = k_per_m * sigma;
        (share / (kappa * airspeed + sqrt(kappa * gravity))).min(LONGEST_STEP_S)
    };
    let now_s = answer_s(stages.brake.k_per_m(state.time_s));
    if !stages.is_filling {
        return now_s;
    }
    // k at the end of the step, where it brakes most.
    let first_s = now_s.min(FILL_SHARE * stages.brake.fill_s());
    first_s.min(answer_s(stages.brake.k_per_m(state.time_s + first_s)))
}

/// What the steps need to know of a fall under way.
pub(super) struct Steps<'a, G> {
    pub descent: &'a Descent<'a>,
    pub stages: &'a Stages<'a>,
    /// How the air moves against the wind and its rise, m/s, by time, s.
    pub lull_m_per_s: G,
}

impl<G: Fn(f64) -> [f64; 3]> Steps<'_, G> {
    /// One step of at most a length, ending on a height or an instant that it would pass.
    pub fn take(&self, layer: &mut Layer, state: &State, until: Until, longest_s: f64) -> State {
        let climb = state.climb_m_per_s();
        layer.follow(state.height_m());
        if state.height_m() <= layer.bottom_m && climb < 0.0 {
            *layer = layer.below();
        }
        let k_per_m = self.stages.brake.k_per_m(state.time_s);
        let slope = self.acceleration(layer, k_per_m, state.time_s, state.place_m, state.velocity_m_per_s);
        let aimed_s = longest_s.min(to_edge_s(layer, state, slope[2]));
        let left_s = until.time_s - state.time_s;
        let ends_at_instant = aimed_s >= left_s;
        let length_s = if ends_at_instant { left_s } else { aimed_s };
        let mut end = self.runge_kutta(layer, state, slope, length_s);
        if climb > 0.0 && end.climb_m_per_s() < 0.0 {
            // The top of a rise ends a step: stages by height wait for it.
            let (whole_s, fall) = (length_s, end.climb_m_per_s());
            let first_s = zero(0.0, climb, whole_s, fall);
            let near = self.runge_kutta(layer, state, slope, first_s).climb_m_per_s();
            let second_s =
                if near > 0.0 { zero(first_s, near, whole_s, fall) } else { zero(0.0, climb, first_s, near) };
            end = self.runge_kutta(layer, state, slope, second_s);
            end.velocity_m_per_s[2] = 0.0;
        } else if end.height_m() < until.height_m {
            let first_s = length_s * share_to(state, &end, length_s, until.height_m);
            end = self.runge_kutta(layer, state, slope, first_s);
            let second_s = first_s - (end.height_m() - until.height_m) / end.climb_m_per_s();
            // A gust may hold it all but still there: then there is nothing to divide by.
            if end.climb_m_per_s() < 0.0 && (0.0..=length_s).contains(&second_s) {
                end = self.runge_kutta(layer, state, slope, second_s);
            }
            end.place_m[2] = until.height_m;
        } else if ends_at_instant {
            end.time_s = until.time_s;
        }
        end
    }

    fn acceleration(
        &self,
        layer: &mut Layer,
        k_per_m: f64,
        time_s: f64,
        place_m: [f64; 3],
        velocity_m_per_s: [f64; 3],
    ) -> [f64; 3] {
        let height_m = place_m[2];
        layer.follow(height_m);
        let column = self.descent.column;
        let mean = rising_m_per_s(layer.wind_m_per_s(height_m), self.descent.updraft_m_per_s);
        let lull = (self.lull_m_per_s)(time_s);
        acceleration_m_per_s2(
            k_per_m * column.relative_density(height_m),
            column.gravity_m_per_s2(height_m),
            [mean[0] - lull[0], mean[1] - lull[1], mean[2] - lull[2]],
            velocity_m_per_s,
        )
    }

    /// A classical Runge-Kutta step of order 4 from where the acceleration is `slope`.
    fn runge_kutta(&self, layer: &mut Layer, state: &State, slope: [f64; 3], length_s: f64) -> State {
        let h = length_s;
        let (middle_s, end_s) = (state.time_s + 0.5 * h, state.time_s + h);
        let [k_middle, k_end] = [middle_s, end_s].map(|time_s| self.stages.brake.k_per_m(time_s));
        let along = |from: [f64; 3], share_s: f64, by: [f64; 3]| -> [f64; 3] {
            std::array::from_fn(|i| from[i] + share_s * by[i])
        };
        let (x, v1, a1) = (state.place_m, state.velocity_m_per_s, slope);
        let v2 = along(v1, 0.5 * h, a1);
        let a2 = self.acceleration(layer, k_middle, middle_s, along(x, 0.5 * h, v1), v2);
        let v3 = along(v1, 0.5 * h, a2);
        let a3 = self.acceleration(layer, k_middle, middle_s, along(x, 0.5 * h, v2), v3);
        let v4 = along(v1, h, a3);
        let a4 = self.acceleration(layer, k_end, end_s, along(x, h, v3), v4);
        let sum = |from: f64, first: f64, second: f64, third: f64, last: f64| {
            from + h / 6.0 * (first + 2.0 * (second + third) + last)
        };
        State {
            time_s: end_s,
            place_m: std::array::from_fn(|i| sum(x[i], v1[i], v2[i], v3[i], v4[i])),
            velocity_m_per_s: std::array::from_fn(|i| sum(v1[i], a1[i], a2[i], a3[i], a4[i])),
        }
    }
}

/// Where the straight line through two points, one above 0 and one not, is 0.
fn zero(from_s: f64, from: f64, to_s: f64, to: f64) -> f64 {
    from_s + (to_s - from_s) * from / (from - to)
}

/// About when the edge of the wind's layer ahead is met, s.
pub(super) fn to_edge_s(layer: &Layer, state: &State, climb_m_per_s2: f64) -> f64 {
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
