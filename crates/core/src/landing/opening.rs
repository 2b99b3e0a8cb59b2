//! The lowest safe height to open the main, and what a higher one costs in drift.
//!
//! Below the height of opening there must be room to fill, to settle, and before that to notice a failure and act:
//!
//! h_low = lost(95 %) + t_r v(95 %)
//!
//! lost: from the begin of the stage to where it is filled, and on to within 5 % of the rate: a body that enters the
//! last rate v_t with speed r v_t needs s = v_t²/(2 g) ln((r² − 1)/(1.05² − 1)) more (from v dv/ds = g (1 − v²/v_t²),
//! exact at constant density). r is taken at the begin of the stage, before the canopy has slowed it, so that s is
//! never too short. t_r: the time to react. v: the speed before the opening. All of 100 flights the 95th is taken.
//!
//! The curve: for other heights of opening, the drift that 95 of 100 landings do not exceed, the share inside the field,
//! and the share of flights whose height of opening is above their own h_low.

use super::Landed;
use super::falls::{Fall, length};
use super::inputs::{Frame, Inputs, draw};
use super::plan::{Brakes, Plan, PlannedBegin, PlannedStage};
use crate::cases::draws::Memory;
use crate::cases::engine::Engine;
use crate::cases::{CaseKind, Trials};
use crate::ledger::{Estimate, Ledger};
use crate::maths;
use crate::stats::sample::Sample;
use rayon::prelude::*;

/// Heights of opening asked about, m.
pub const HEIGHTS_M: [f64; 12] =
    [40.0, 60.0, 80.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 700.0];
/// Trials behind each.
const TRIALS: usize = 1_000;
/// Standard gravity, m/s²: the way to settle changes with it by a part in a thousand.
const GRAVITY_M_PER_S2: f64 = 9.806_65;
/// Settled: within this of the rate.
const SETTLED: f64 = 1.05;

/// The lowest safe height, and the curve about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Index of the stage.
    pub stage: usize,
    /// Height as planned, m.
    pub planned_m: f64,
    /// Lost in filling and settling by 95 of 100 flights, m.
    pub lost_m: f64,
    /// Lost while a failure is noticed and acted on by 95 of 100 flights, m.
    pub reacting_m: f64,
    /// Their sum, m.
    pub lowest_m: f64,
    /// By height, rising.
    pub curve: Vec<AtHeight>,
}

/// One height of opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtHeight {
    /// m.
    pub height_m: f64,
    /// Distance from the pad that 95 of 100 landings do not exceed, m.
    pub drift_m: f64,
    /// Share inside the field; `None` without one.
    pub inside: Option<f64>,
    /// Share of flights with room to react, fill and settle.
    pub in_time: f64,
}

/// The lowest safe height for the case in which all opens; `None` where the canopies do not open by height.
pub(super) fn opening(plan: &Plan<'_>, ledger: &Ledger, trials: Trials, reaction_s: f64) -> Option<Opening> {
    let stage = plan.stages.iter().position(|stage| stage.brakes == Brakes::Canopies)?;
    let PlannedBegin::Below { height_m: planned } = &plan.stages[stage].begins else { return None };
    let trials = Trials { count: trials.count.min(TRIALS), ..trials };
    let draws = draw(plan, (ledger, None), trials);
    let engine = Engine::new(plan.load, &draws);
    let canopy = engine.canopy(&plan.rig.canopy.area.estimate);
    let at = |height_m: f64| -> Option<Vec<(Fall, Room)>> {
        let stages = opening_at(plan.stages, stage, planned, height_m);
        let plan = Plan { stages: &stages, ..*plan };
        let inputs = Inputs::new(plan, (&draws, &engine, &canopy), trials, Memory::Drawn);
        let case = inputs.case(CaseKind::AllOpen)?;
        let best = inputs.wind(None);
        let one = |i: usize| {
            let landed = inputs.fall(&case, &inputs.wind_of(&best, i), Frame::Ground, i).ok()?;
            let room = Room::of(&landed, stage, inputs.last_rate_m_per_s(&case, i), reaction_s)?;
            Some((Fall::new(&landed, inputs.mass_kg(i)), room))
        };
        Some((0..trials.count).into_par_iter().with_min_len(64).filter_map(one).collect())
    };
    let top = plan.start.top_m.value;
    let heights: Vec<f64> = HEIGHTS_M.into_iter().filter(|height| *height < 0.95 * top).collect();
    // From high enough that every flight has room.
    let (_, rooms): (Vec<Fall>, Vec<Room>) = at(*heights.last()?)?.into_iter().unzip();
    let at_95 = |of: &dyn Fn(&Room) -> f64| Some(Sample::new(rooms.iter().map(of).collect())?.quantile(0.95));
    let (lost_m, reacting_m) = (at_95(&|room| room.lost_m)?, at_95(&|room| room.reacting_m)?);
    let point = |height_m: f64| -> Option<AtHeight> {
        let falls = at(height_m)?;
        let drifts = falls.iter().map(|(fall, _)| length(fall.place_m)).collect();
        let flown = trials.count as f64;
        let share_of =
            |is: &dyn Fn(&(Fall, Room)) -> bool| falls.iter().filter(|one| is(one)).count() as f64 / flown;
        Some(AtHeight {
            height_m,
            drift_m: Sample::new(drifts)?.quantile(0.95),
            inside: plan.field.map(|field| share_of(&|(fall, _)| field.allows(fall.place_m))),
            in_time: share_of(&|(_, room)| room.opened_m >= room.lost_m + room.reacting_m),
        })
    };
    Some(Opening {
        stage,
        planned_m: planned.value,
        lost_m,
        reacting_m,
        lowest_m: lost_m + reacting_m,
        curve: heights.iter().filter_map(|height| point(*height)).collect(),
    })
}

/// The stages with the main opening at another height; its doubt stays.
fn opening_at(stages: &[PlannedStage], main: usize, planned: &Estimate, height_m: f64) -> Vec<PlannedStage> {
    let mut stages = stages.to_vec();
    let height_m = Estimate { value: height_m, parts: planned.parts.clone() };
    stages[main].begins = PlannedBegin::Below { height_m };
    stages
}

/// The room one flight had and needed.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Room {
    opened_m: f64,
    lost_m: f64,
    reacting_m: f64,
}

impl Room {
    /// `None` where the stage never began.
    fn of(landed: &Landed, stage: usize, rate_m_per_s: f64, reaction_s: f64) -> Option<Room> {
        let begun = landed.stages().iter().find(|begun| begun.stage == stage)?;
        // Not filled before the ground: all of the height was not enough.
        let filling = begun.height_m - begun.filled_height_m.unwrap_or(0.0);
        Some(Room {
            opened_m: begun.height_m,
            lost_m: filling + settling_m(begun.airspeed_m_per_s, rate_m_per_s),
            reacting_m: reaction_s * begun.airspeed_m_per_s,
        })
    }
}

/// Height lost in settling from a speed to within 5 % of the rate, m.
fn settling_m(speed_m_per_s: f64, rate_m_per_s: f64) -> f64 {
    let over = speed_m_per_s / rate_m_per_s;
    if over <= SETTLED {
        return 0.0;
    }
    let fold = (over * over - 1.0) / (SETTLED * SETTLED - 1.0);
    rate_m_per_s * rate_m_per_s / (2.0 * GRAVITY_M_PER_S2) * maths::ln(fold)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// v dv/ds = g (1 − v²/v_t²), stepped finely, from 20 m/s to 5.25 m/s at a rate of 5 m/s.
    #[test]
    fn settling_takes_the_way_that_the_equation_of_motion_says() {
        let (mut speed, mut way, step) = (20.0, 0.0, 1e-5);
        while speed > 5.25 {
            speed -= step * 9.806_65 * (speed * speed / 25.0 - 1.0) / speed;
            way += step;
        }
        assert!((settling_m(20.0, 5.0) - way).abs() < 1e-3, "{way}");
        assert!(settling_m(5.2, 5.0).abs() < 1e-15);
    }
}
