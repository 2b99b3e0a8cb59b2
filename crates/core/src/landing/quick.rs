//! A fall in microseconds, to decimetres.
//!
//! A fall is near its rate nearly all the time: there it goes layer by layer in closed form ([`super::quasi_steady`]). What is
//! left are the starts: some relaxation times after the start, after each stage's begin and while it fills. These go in
//! small steps ([`super::steps`]), a half of the time in which the drag answers each. Nothing is allocated.
//!
//! How far it is from [`super::reference()`] is tested over many falls and measured in the bench.

use super::motion::{Layer, Stages, State, rising_m_per_s};
use super::quasi_steady::{self, Until};
use super::steps::{Steps, longest_s};
use super::{Descent, LONGEST_FALL_S, Landed, NoLanding};

/// C: share of the time in which the drag answers that a step takes.
const STEP_SHARE: f64 = 0.5;

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
        let air = rising_m_per_s(layer.wind_m_per_s(state.height_m()), descent.updraft_m_per_s);
        stages.update(&state, air);
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
        let air = rising_m_per_s(layer.wind_m_per_s(state.height_m()), descent.updraft_m_per_s);
        let longest_s = longest_s(descent, &stages, &state, air, STEP_SHARE);
        let steps = Steps { descent, stages: &stages, lull_m_per_s: |_| [0.0; 3] };
        state = steps.take(&mut layer, &state, until, longest_s);
        if state.height_m() <= 0.0 {
            return Ok(stages.landed(&state));
        }
        if state.time_s > LONGEST_FALL_S {
            return Err(NoLanding::StaysUp { height_m: state.height_m(), after_s: state.time_s });
        }
    }
}
