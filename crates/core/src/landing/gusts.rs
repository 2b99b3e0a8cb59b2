//! A fall through turbulence: small steps all the way, with the gusts of [`crate::wind::dryden`] along the way through the air.
//!
//! The air moves with W(z) + u e_z + gust. A gust is drawn at the end of each step, from the one at its begin and the way
//! through the air between them, and goes in a straight line in time within the step; its strength and lengths are those of
//! the height, for the fall's own mean wind at 20 ft. A step near the rate is 0.4 v/g, so its way 0.4 v²/g, 1.5 m at 6 m/s:
//! short against the gusts' lengths, of which the least is 3 m, up and down, next to the ground.
//!
//! Frozen turbulence, the air alike all around the canopy; gusts shorter than the canopy is wide act on it less than told here. A
//! step that a stage's begin or the ground cuts short leaves the next with the gust of its whole length.

use uom::si::length::{foot, meter};
use uom::si::velocity::meter_per_second;

use super::motion::{Layer, Stages, State, length, rising_m_per_s, through_air_m_per_s};
use super::quasi_steady::Until;
use super::steps::{Steps, longest_s, to_edge_s};
use super::{Descent, LONGEST_FALL_S, Landed, NoLanding};
use crate::maths::sqrt;
use crate::quantity::{Length, Velocity};
use crate::wind::dryden::{self, Gusts};

/// C: share of the time in which the drag answers that a step takes.
const STEP_SHARE: f64 = 0.8;

/// One fall to the ground in gusts that `normal` draws: standard normals, [`dryden::NORMALS`] at the start and as many a step.
///
/// # Errors
/// What is no fall, or has no landing: see [`NoLanding`].
pub fn quick_in_gusts(descent: &Descent, normal: &mut impl FnMut() -> f64) -> Result<Landed, NoLanding> {
    let mut stages = Stages::new(descent)?;
    let start = descent.start;
    let mut state = State { time_s: 0.0, place_m: start.place_m, velocity_m_per_s: start.velocity_m_per_s };
    let mut layer = Layer::holding(descent.wind.levels(), state.height_m());
    let mut draw = || std::array::from_fn(|_| normal());
    let wind_at_20_ft = wind_at_20_ft(descent);
    let mut gusts = Gusts::start(draw());
    loop {
        let scales = dryden::scales(Length::new::<meter>(state.height_m()), wind_at_20_ft);
        let wind = layer.wind_m_per_s(state.height_m());
        let vector = |gusts: &Gusts| gusts.gust(&scales).components(wind);
        let gust = vector(&gusts);
        let mean = rising_m_per_s(wind, descent.updraft_m_per_s);
        let air = std::array::from_fn(|i| mean[i] + gust[i]);
        stages.update(&state, air);
        // Where it is not near its rate it meets an edge a little sooner than told here.
        let length_s =
            longest_s(descent, &stages, &state, air, STEP_SHARE).min(to_edge_s(&layer, &state, 0.0));
        let way_m = length_s * length(through_air_m_per_s(air, state.velocity_m_per_s));
        gusts = gusts.after(way_m, &scales, draw());
        let next = vector(&gusts);
        let begin_s = state.time_s;
        let lull_m_per_s = |time_s: f64| {
            let share = (time_s - begin_s) / length_s;
            std::array::from_fn(|i| -gust[i] - share * (next[i] - gust[i]))
        };
        let until =
            Until { height_m: stages.next_height_m(state.height_m()), time_s: stages.next_instant_s() };
        state = Steps { descent, stages: &stages, lull_m_per_s }.take(&mut layer, &state, until, length_s);
        if state.height_m() <= 0.0 {
            return Ok(stages.landed(&state));
        }
        if state.time_s > LONGEST_FALL_S {
            return Err(NoLanding::StaysUp { height_m: state.height_m(), after_s: state.time_s });
        }
    }
}

fn wind_at_20_ft(descent: &Descent) -> Velocity {
    let [east, north] = descent.wind.at(Length::new::<foot>(20.0).get::<meter>());
    Velocity::new::<meter_per_second>(sqrt(east * east + north * north))
}
