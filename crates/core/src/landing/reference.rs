//! A fall to a tolerance: order 5 in adaptive steps, each kink met on its instant.
//!
//! y = (place, velocity), y' = (v, a); see the parent. Steps are those of [`super::dormand_prince`], their length such that the
//! root mean square of error/(tolerance · (1 + |y|)), in m and m/s, stays below 1. The right-hand side has kinks: where the wind's
//! straight lines meet, where a stage begins and where it has filled, and the ground ends it. Within a step it is smooth:
//! instants that are known end a step; heights and turning points are looked for on the step's polynomial, and the step is
//! then done again with its length corrected by Newton's rule until it ends there.
//!
//! Near its rate a fall is stiff: the step is held below about 3.3 times the relaxation time v/(2 g) whatever the tolerance.

use super::dormand_prince::Step;
use super::motion::{Layer, Stages, State, acceleration_m_per_s2, rising_m_per_s};
use super::{Descent, LONGEST_FALL_S, Landed, NoLanding};
use crate::maths::{pow, sqrt};

/// First step, s.
const FIRST_STEP_S: f64 = 1e-3;
/// Longest step, s: with nothing that brakes the error estimate would allow any.
const LONGEST_STEP_S: f64 = 10.0;
/// Newton's steps onto a kink; each squares an error that begins below a centimetre.
const CORRECTIONS: usize = 4;
/// Halvings of a step to find a kink on its polynomial: a trillionth of the step.
const HALVINGS: usize = 40;

/// One fall to the ground; `tolerance` is the error allowed in a step, of 1 + |y| in m and m/s: 1e-9 for a reference.
///
/// # Errors
/// What is no fall, or has no landing: see [`NoLanding`].
///
/// # Examples
/// ```
/// use silkfall_core::landing::{Column, Descent, Start, reference};
/// use silkfall_core::quantity::{Acceleration, MassDensity};
/// use silkfall_core::wind::Profile;
/// use uom::si::{acceleration::meter_per_second_squared, mass_density::kilogram_per_cubic_meter};
///
/// let column = Column::uniform(
///     MassDensity::new::<kilogram_per_cubic_meter>(1.2),
///     Acceleration::new::<meter_per_second_squared>(9.8),
/// );
/// let descent = Descent {
///     start: Start { place_m: [0.0, 0.0, 100.0], velocity_m_per_s: [0.0; 3] },
///     bare_k_per_m: 0.098, // a rate of √(9.8/0.098) = 10 m/s
///     stages: &[],
///     column: &column,
///     wind: &Profile::still(),
///     updraft_m_per_s: 0.0,
/// };
/// let landed = reference(&descent, 1e-9)?;
/// assert!((landed.velocity_m_per_s[2] + 10.0).abs() < 1e-7);
/// # Ok::<(), silkfall_core::landing::NoLanding>(())
/// ```
pub fn reference(descent: &Descent, tolerance: f64) -> Result<Landed, NoLanding> {
    walk(descent, tolerance, |_, _| ())
}

const HEIGHT: usize = 2;
const CLIMB: usize = 5;

/// Where a step ends before its length.
#[derive(Clone, Copy)]
enum Kink {
    /// At a height.
    Height(f64),
    /// Where it stops rising or falling.
    Turn,
}

/// The fall step by step; `observe` sees each with the time of its start.
pub(super) fn walk(
    descent: &Descent,
    tolerance: f64,
    mut observe: impl FnMut(f64, &Step<6>),
) -> Result<Landed, NoLanding> {
    let mut stages = Stages::new(descent)?;
    let start = descent.start;
    let mut state = State { time_s: 0.0, place_m: start.place_m, velocity_m_per_s: start.velocity_m_per_s };
    let mut layer = Layer::holding(descent.wind.levels(), state.height_m());
    let mut length_s = FIRST_STEP_S;
    loop {
        let air = |layer: &Layer, height_m: f64| {
            rising_m_per_s(layer.wind_m_per_s(height_m), descent.updraft_m_per_s)
        };
        if stages.update(&state, air(&layer, state.height_m())) {
            length_s = length_s.min(FIRST_STEP_S);
        }
        let brake = stages.brake;
        let right_hand_side = |layer: Layer, time_s: f64, y: &[f64; 6]| {
            let [_, _, height_m, east, north, climb] = *y;
            let [east_m_per_s2, north_m_per_s2, up_m_per_s2] = acceleration_m_per_s2(
                brake.k_per_m(time_s) * descent.column.relative_density(height_m),
                descent.column.gravity_m_per_s2(height_m),
                air(&layer, height_m),
                [east, north, climb],
            );
            [east, north, climb, east_m_per_s2, north_m_per_s2, up_m_per_s2]
        };
        let y = joined(&state);
        let mut slope = right_hand_side(layer, state.time_s, &y);
        if let Some(next) = next_layer(&layer, &state, slope[CLIMB]) {
            layer = next;
            slope = right_hand_side(layer, state.time_s, &y);
        }
        let here = |time_s: f64, y: &[f64; 6]| right_hand_side(layer, time_s, y);
        let step_of = |length_s: f64| Step::new(here, state.time_s, &y, &slope, length_s);

        let until_s = stages.next_instant_s() - state.time_s;
        let ends_at_instant = length_s >= until_s;
        let step = step_of(if ends_at_instant { until_s } else { length_s });
        let share = error_share(&step, &y, tolerance);
        let growth = (0.9 * pow(share.max(1e-10), -0.2)).clamp(0.2, 5.0);
        if share > 1.0 {
            length_s = step.length * growth;
            continue;
        }
        let low_m = stages.next_height_m(state.height_m()).max(floor_m(&layer));
        let kink = first_kink(&step, state.climb_m_per_s(), low_m, layer.top_m);
        let (step, kink) = match kink {
            Some((share, kink)) => (onto(&step_of, share * step.length, kink), Some(kink)),
            None => (step, None),
        };
        observe(state.time_s, &step);
        let instant_s = if ends_at_instant && kink.is_none() {
            // Exactly, so that what begins then is due.
            stages.next_instant_s()
        } else {
            state.time_s + step.length
        };
        state = parted(instant_s, &step.end);
        match kink {
            Some(Kink::Height(height_m)) => {
                state.place_m[2] = height_m;
                if height_m <= 0.0 {
                    return Ok(stages.landed(&state));
                }
            }
            Some(Kink::Turn) => state.velocity_m_per_s[2] = 0.0,
            // A step cut short at an instant says nothing of how long the next may be.
            None if ends_at_instant => length_s = length_s.max(step.length * growth),
            None => length_s = (step.length * growth).min(LONGEST_STEP_S),
        }
        if state.time_s > LONGEST_FALL_S {
            return Err(NoLanding::StaysUp { height_m: state.height_m(), after_s: state.time_s });
        }
    }
}

/// The bottom of a layer; the lowest goes on below the ground.
fn floor_m(layer: &Layer) -> f64 {
    if layer.is_lowest() { 0.0 } else { layer.bottom_m }
}

/// The layer to go on in where the state is at an edge of this one and leaves it.
fn next_layer<'a>(layer: &Layer<'a>, state: &State, climb_m_per_s2: f64) -> Option<Layer<'a>> {
    let (height_m, climb) = (state.height_m(), state.climb_m_per_s());
    let rises = climb > 0.0 || (climb >= 0.0 && climb_m_per_s2 > 0.0);
    if rises {
        (height_m >= layer.top_m).then(|| layer.above())
    } else {
        (height_m <= layer.bottom_m && !layer.is_lowest()).then(|| layer.below())
    }
}

/// Error over what is allowed, root mean square.
fn error_share(step: &Step<6>, start: &[f64; 6], tolerance: f64) -> f64 {
    let squares = step.error.iter().zip(start).zip(&step.end).map(|((error, before), after)| {
        let share = error / (tolerance * (1.0 + before.abs().max(after.abs())));
        share * share
    });
    sqrt(squares.sum::<f64>() / 6.0)
}

/// The first kink inside a step and the share of the step at which it lies.
fn first_kink(step: &Step<6>, climb_m_per_s: f64, low_m: f64, high_m: f64) -> Option<(f64, Kink)> {
    let turns = climb_m_per_s * step.end[CLIMB] < 0.0;
    // Up to its turn the height goes one way.
    let end = if turns { crossing(step, CLIMB, 0.0, 1.0) } else { 1.0 };
    let height_m = step.component(HEIGHT, end);
    if height_m < low_m {
        Some((crossing(step, HEIGHT, low_m, end), Kink::Height(low_m)))
    } else if height_m > high_m {
        Some((crossing(step, HEIGHT, high_m, end), Kink::Height(high_m)))
    } else {
        turns.then_some((end, Kink::Turn))
    }
}

/// The share of a step, up to `end`, at which a component passes a value, by halving.
fn crossing(step: &Step<6>, component: usize, value: f64, end: f64) -> f64 {
    let is_before = step.component(component, 0.0) > value;
    let (mut low, mut high) = (0.0, end);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if (step.component(component, middle) > value) == is_before {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The step done again so that it ends on a kink near a length.
fn onto(step_of: &impl Fn(f64) -> Step<6>, length_s: f64, kink: Kink) -> Step<6> {
    let mut step = step_of(length_s);
    for _ in 0..CORRECTIONS {
        let (miss, per_s) = match kink {
            Kink::Height(height_m) => (step.end[HEIGHT] - height_m, step.end[CLIMB]),
            Kink::Turn => (step.end[CLIMB], step.end_slope[CLIMB]),
        };
        // On a level that it only just touches there is nothing to divide by: the halvings found it well enough.
        let correction_s = if per_s.abs() > 1e-6 { miss / per_s } else { 0.0 };
        if correction_s.abs() < 1e-14 {
            break;
        }
        step = step_of((step.length - correction_s).max(0.0));
    }
    step
}

fn joined(state: &State) -> [f64; 6] {
    let ([x, y, z], [east, north, climb]) = (state.place_m, state.velocity_m_per_s);
    [x, y, z, east, north, climb]
}

/// The state of joined components.
pub(super) fn parted(time_s: f64, y: &[f64; 6]) -> State {
    let [east_m, north_m, height_m, east, north, climb] = *y;
    State { time_s, place_m: [east_m, north_m, height_m], velocity_m_per_s: [east, north, climb] }
}
