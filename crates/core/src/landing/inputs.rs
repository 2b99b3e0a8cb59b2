//! What each trial draws: one column an input, from the ledger's streams.
//!
//! Forty trials in a row fly in one world: what is fixed but not known is common to them, so that the share of landings
//! inside the field can be told world by world (see [`super::judged`]). Fewer trials are the first of more, and an
//! input that is added moves no draw of another.

use super::falls::{Fall, Falls, length};
use super::plan::{
    Brakes, Gusts, Holds, Lean, OtherWind, Plan, PlannedBegin, PlannedFill, PlannedStage, Reefing, Towards,
    at_wind,
};
use super::{
    Begins, Descent, Fill, Held, Landed, MOST_STAGES, NoLanding, Point, Stage, Start, quick, quick_in_gusts,
    track,
};
use crate::cases::draws::{Doubt as Kind, Draws, Memory};
use crate::cases::engine::{Canopy, Engine, State};
use crate::cases::{CaseKind, Standards, Trials};
use crate::ledger::{Estimate, Ledger};
use crate::maths;
use crate::quantity::Angle;
use crate::stats::stream::Stream;
use crate::wind::{self, Doubt, Profile};
use uom::si::angle::radian;

/// Flights in a world.
pub const FLIGHTS: usize = 40;

/// Stream numbers of what is not in the ledger, far from those of its ids by their hash.
const LEVELS: u64 = 0x6c65_7665_6c73_0000;
const HEADING: u64 = 0x6865_6164_0000_0000;
const GUSTS: u64 = 0x6775_7374_0000_0000;

/// The estimates of a plan that are drawn, beside those of its load and canopies.
pub(super) fn estimates<'a>(plan: &Plan<'a>) -> Vec<&'a Estimate> {
    let (start, wind) = (plan.start, plan.wind);
    let mut all = vec![&start.top_m, &start.east_m, &start.north_m, &start.speed_m_per_s];
    all.extend([&wind.ln_speed_factor, &wind.turn_rad, &wind.rising_m_per_s]);
    if let Towards::Fixed(angle) = &start.towards {
        all.push(angle);
    }
    if let Lean::Linear { upwind_s, top_s, speed } = &start.lean {
        all.extend([upwind_s, top_s, speed]);
    }
    for stage in plan.stages {
        if let Brakes::Own { ln_area } = &stage.brakes {
            all.push(ln_area);
        }
        match &stage.begins {
            PlannedBegin::Start => {}
            PlannedBegin::After { s: at } | PlannedBegin::Below { height_m: at } => all.push(at),
        }
        match &stage.fill {
            PlannedFill::Time { s: fill } | PlannedFill::Diameters { count: fill, .. } => all.push(fill),
        }
        if let Some(Reefing { share, held_s, first, second, .. }) = &stage.reefing {
            all.extend([share, held_s].into_iter().chain(first).chain(second));
        }
    }
    all
}

/// Draws for everything that a plan rests on.
pub(super) fn draw(plan: &Plan<'_>, (ledger, kept): (&Ledger, Option<&Standards>), trials: Trials) -> Draws {
    let mut beside = estimates(plan);
    beside.push(&plan.rig.canopy.area.estimate);
    crate::cases::engine::draw(plan.load, &beside, ledger, trials, kept)
}

/// The columns of a plan.
pub(super) struct Inputs<'a> {
    plan: Plan<'a>,
    trials: Trials,
    engine: &'a Engine<'a>,
    canopy: &'a Canopy,
    memory: Memory,
    /// ρ_ground/(2 m), 1/m³: what an area is multiplied by.
    per_area: f64,
    total_mass_kg: f64,
    /// Mass over its mean.
    mass: Vec<f64>,
    /// Drag over inertia of the bare body, 1/m; 0 where its area is not known.
    bare: Vec<f64>,
    start: StartColumns,
    wind_ln_factor: Vec<f64>,
    wind_turn: Vec<f64>,
    rising: Vec<f64>,
    stages: Vec<StageColumns>,
}

struct StartColumns {
    top: Vec<f64>,
    east: Vec<f64>,
    north: Vec<f64>,
    speed: Vec<f64>,
    /// rad from north; empty where it follows the wind.
    heading: Vec<f64>,
    /// Upwind, top, speed, by m/s of ground wind; empty without a linear law.
    lean: [Vec<f64>; 3],
}

struct StageColumns {
    /// Drag over inertia of a canopy of its own, 1/m; empty for the canopies of the choice.
    own: Vec<f64>,
    /// s or m; empty where it begins with the fall.
    begins: Vec<f64>,
    fill: Vec<f64>,
    held: Option<HeldColumns>,
}

/// Of what holds its canopies small at first.
struct HeldColumns {
    share: Vec<f64>,
    held_s: Vec<f64>,
    /// Diameters that the two steps fill over, where they differ from the stage's own.
    first: Option<Vec<f64>>,
    second: Option<Vec<f64>>,
}

/// The stages of one case with their columns.
pub(super) struct CaseColumns {
    /// Index of the planned stage, and how it begins if not as planned.
    stages: Vec<CaseStage>,
    /// Drag over inertia of the canopies of the choice as the case leaves them, 1/m.
    canopies: Vec<f64>,
}

/// What a fall is told in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Frame {
    /// As it is: with the start's place and heading over ground.
    Ground,
    /// Only what turns with the wind: a start above the pad, without a heading of its own.
    Wind,
}

#[derive(Clone, Copy)]
struct CaseStage {
    planned: usize,
    begins_as: usize,
}

impl<'a> Inputs<'a> {
    pub fn new(
        plan: Plan<'a>,
        (draws, engine, canopy): (&'a Draws, &'a Engine<'a>, &'a Canopy),
        trials: Trials,
        memory: Memory,
    ) -> Self {
        let column = |estimate: &Estimate| nested(draws, estimate, memory);
        let total_mass_kg = plan.load.mass_kg.value + plan.rig.count as f64 * plan.rig.mass_each_kg;
        let per_area = plan.load.density_kg_per_m3.value / (2.0 * total_mass_kg);
        let over_inertia = |areas: Vec<f64>| areas.into_iter().map(|area| per_area * area).collect();
        let (start, wind) = (plan.start, plan.wind);
        let stage = |stage: &PlannedStage| StageColumns {
            own: match &stage.brakes {
                Brakes::Canopies => Vec::new(),
                Brakes::Own { ln_area } => over_inertia(engine.ballistic_of(ln_area, memory, FLIGHTS)),
            },
            begins: match &stage.begins {
                PlannedBegin::Start => Vec::new(),
                PlannedBegin::After { s: at } | PlannedBegin::Below { height_m: at } => column(at),
            },
            fill: match &stage.fill {
                PlannedFill::Time { s: fill } | PlannedFill::Diameters { count: fill, .. } => column(fill),
            },
            held: stage.reefing.as_ref().map(|held| HeldColumns {
                share: column(&held.share).into_iter().map(Reefing::share).collect(),
                held_s: column(&held.held_s),
                first: held.first.as_ref().map(column),
                second: held.second.as_ref().map(column),
            }),
        };
        let bare = engine.ballistic(State::Nothing, canopy, memory, FLIGHTS);
        Inputs {
            per_area,
            total_mass_kg,
            mass: engine.masses(FLIGHTS),
            bare: bare.map_or_else(|| vec![0.0; trials.count], over_inertia),
            start: StartColumns {
                top: column(&start.top_m),
                east: column(&start.east_m),
                north: column(&start.north_m),
                speed: column(&start.speed_m_per_s),
                heading: match &start.towards {
                    Towards::Fixed(angle) => column(angle),
                    Towards::Any => (0..trials.count as u64)
                        .map(|i| std::f64::consts::TAU * Stream::new(trials.seed, HEADING | i).uniform())
                        .collect(),
                    Towards::IntoWind => Vec::new(),
                },
                lean: match &start.lean {
                    Lean::Linear { upwind_s, top_s, speed } => {
                        [column(upwind_s), column(top_s), column(speed)]
                    }
                    Lean::NotStated | Lean::Table(_) => [Vec::new(), Vec::new(), Vec::new()],
                },
            },
            wind_ln_factor: column(&wind.ln_speed_factor),
            wind_turn: column(&wind.turn_rad),
            rising: column(&wind.rising_m_per_s),
            stages: plan.stages.iter().map(stage).collect(),
            plan,
            trials,
            engine,
            canopy,
            memory,
        }
    }

    /// The stages of a case; `None` where what brakes then is not known.
    pub fn case(&self, kind: CaseKind) -> Option<CaseColumns> {
        let state = State::of(kind, self.plan.rig.count);
        let planned = self.plan.stages;
        let main = planned.iter().position(|stage| stage.brakes == Brakes::Canopies);
        let as_planned = |i: usize| CaseStage { planned: i, begins_as: i };
        let stages: Vec<CaseStage> = match (kind, state) {
            (_, State::Nothing) => Vec::new(),
            // The canopies come out with whatever comes first, and nothing else opens.
            (CaseKind::MainAtTop | CaseKind::EarlyOpening, _) => {
                main.map(|main| CaseStage { planned: main, begins_as: 0 }).into_iter().collect()
            }
            (CaseKind::NoDrogue, _) => main.map(as_planned).into_iter().collect(),
            _ => (0..planned.len()).map(as_planned).collect(),
        };
        let falls_bare = stages
            .first()
            .is_none_or(|first| !matches!(planned[first.begins_as].begins, PlannedBegin::Start));
        if falls_bare && self.plan.load.ln_bare.is_none() {
            return None;
        }
        let areas = self.engine.ballistic(state, self.canopy, self.memory, FLIGHTS)?;
        let canopies = areas.into_iter().map(|area| self.per_area * area).collect();
        Some(CaseColumns { stages, canopies })
    }

    /// These trials of every case, in the day's wind or another one; `None` where what brakes is not known. A trial has one
    /// wind in all cases.
    pub fn falls(
        &self,
        cases: &[Option<CaseColumns>],
        (other, frame): (Option<OtherWind>, Frame),
        trials: std::ops::Range<usize>,
    ) -> Vec<Option<Falls>> {
        let best = self.wind(other);
        let of_case = |case: &Option<CaseColumns>| case.as_ref().map(|_| Vec::with_capacity(trials.len()));
        let mut all: Vec<_> = cases.iter().map(of_case).collect();
        for i in trials {
            let wind = self.wind_of(&best, i);
            for (case, falls) in cases.iter().zip(&mut all) {
                if let (Some(case), Some(falls)) = (case, falls) {
                    let landed = self.fall(case, &wind, frame, i);
                    falls.push(landed.map(|landed| Fall::new(&landed, self.mass_kg(i))));
                }
            }
        }
        all.into_iter().map(|falls| falls.map(Falls::new)).collect()
    }

    /// Mass of a trial, kg.
    pub fn mass_kg(&self, i: usize) -> f64 {
        self.total_mass_kg * self.mass[i]
    }

    /// Rate at the ground of a case in still air, m/s.
    pub fn last_rate_m_per_s(&self, case: &CaseColumns, i: usize) -> f64 {
        maths::sqrt(self.plan.column.gravity_m_per_s2(0.0) / case.canopies[i])
    }

    /// The best wind by height: the day's, or another one.
    pub fn wind(&self, other: Option<OtherWind>) -> Profile {
        other.map_or_else(|| self.plan.wind.profile.clone(), |other| self.plan.wind.with_ground(other))
    }

    /// The wind of a trial: the best one with its doubt.
    pub fn wind_of(&self, best: &Profile, i: usize) -> Profile {
        let day = self.plan.wind;
        let turn = Angle::new::<radian>(self.wind_turn[i]);
        let wind = best.turned_and_scaled(turn, maths::exp(self.wind_ln_factor[i]));
        let mut levels = Stream::new(self.trials.seed, LEVELS | i as u64);
        let by_level = Doubt {
            speed_relative: 0.0,
            direction: Angle::new::<radian>(0.0),
            level_m_per_s: day.level_m_per_s,
            level_correlation_m: day.level_correlation_m,
        };
        wind::perturbed(&wind, &by_level, self.start.top[i], || levels.normal())
    }

    /// One fall, in the wind of its trial.
    pub fn fall(
        &self,
        case: &CaseColumns,
        wind: &Profile,
        frame: Frame,
        i: usize,
    ) -> Result<Landed, NoLanding> {
        self.descending(case, wind, frame, i, |descent| match self.plan.wind.gusts {
            Gusts::Off => quick(descent),
            Gusts::Dryden => {
                let mut gusts = Stream::new(self.trials.seed, GUSTS | i as u64);
                quick_in_gusts(descent, &mut || gusts.normal())
            }
        })
    }

    /// One fall as points, without gusts; none where it does not come down.
    pub fn track(&self, case: &CaseColumns, i: usize, every_s: f64) -> Vec<Point> {
        let track = |descent: &Descent<'_>| track(descent, every_s).unwrap_or_default();
        self.descending(case, &self.wind_of(&self.plan.wind.profile, i), Frame::Ground, i, track)
    }

    fn descending<T>(
        &self,
        case: &CaseColumns,
        wind: &Profile,
        frame: Frame,
        i: usize,
        fly: impl Fn(&Descent<'_>) -> T,
    ) -> T {
        let mut stages = [Stage::NONE; MOST_STAGES];
        for (stage, of) in stages.iter_mut().zip(&case.stages) {
            *stage = self.stage(case, *of, i);
        }
        fly(&Descent {
            start: self.start(wind, frame, i),
            bare_k_per_m: self.bare[i],
            stages: &stages[..case.stages.len().min(MOST_STAGES)],
            column: self.plan.column,
            wind,
            updraft_m_per_s: self.rising[i],
        })
    }

    fn stage(&self, case: &CaseColumns, of: CaseStage, i: usize) -> Stage {
        let (planned, columns) = (&self.plan.stages[of.planned], &self.stages[of.planned]);
        let (begins, begins_columns) = (&self.plan.stages[of.begins_as].begins, &self.stages[of.begins_as]);
        let alone = match planned.brakes {
            Brakes::Canopies => case.canopies[i],
            Brakes::Own { .. } => columns.own[i] + self.bare[i],
        };
        let before = of.planned.checked_sub(1).filter(|_| planned.keeps_last && of.planned == of.begins_as);
        let beside = before.and_then(|before| self.stages[before].own.get(i)).copied().unwrap_or(0.0);
        let growth = planned.growth;
        let held = planned.reefing.as_ref().zip(columns.held.as_ref());
        let held = held.map(|(plan, columns)| OfHeld { plan, columns });
        Stage {
            begins: match begins {
                PlannedBegin::Start => Begins::Start,
                PlannedBegin::After { .. } => Begins::After { s: begins_columns.begins[i].max(0.0) },
                PlannedBegin::Below { .. } => Begins::Below { height_m: begins_columns.begins[i] },
            },
            k_per_m: alone + beside,
            fill: match &held {
                Some(held) => held.after(planned, columns, i),
                None => filling(planned, columns.fill[i], 1.0, growth),
            },
            // What the body brakes is not held.
            held: held.as_ref().map(|held| Held {
                k_per_m: self.bare[i] + held.columns.share[i] * (alone - self.bare[i]).max(0.0) + beside,
                fill: held.first(planned, columns, i),
                held_s: match held.plan.by {
                    Holds::Line => held.columns.held_s[i].max(0.0),
                    Holds::Slider => 0.0,
                },
            }),
        }
    }

    /// Where and how fast the fall begins in this wind.
    fn start(&self, wind: &Profile, frame: Frame, i: usize) -> Start {
        let columns = &self.start;
        let [east, north] = wind.at(self.plan.wind.ground_height_m);
        let ground = length([east, north]);
        // Unit vector against the ground wind.
        let [up_east, up_north] = if ground > 0.0 { [-east / ground, -north / ground] } else { [0.0, 0.0] };
        let (upwind, top, speed) = match &self.plan.start.lean {
            Lean::Linear { .. } => (
                ground * columns.lean[0][i],
                columns.top[i] + ground * columns.lean[1][i],
                columns.speed[i] + ground * columns.lean[2][i],
            ),
            Lean::Table(rows) if let Some(row) = at_wind(rows, ground) => {
                let over = |column: &[f64], estimate: &Estimate| column[i] - estimate.value;
                (
                    row.upwind_m,
                    row.top_m + over(&columns.top, &self.plan.start.top_m),
                    row.speed_m_per_s + over(&columns.speed, &self.plan.start.speed_m_per_s),
                )
            }
            Lean::NotStated | Lean::Table(_) => (0.0, columns.top[i], columns.speed[i]),
        };
        let [towards_east, towards_north] = match columns.heading.get(i) {
            Some(heading) => [maths::sin(*heading), maths::cos(*heading)],
            None => [up_east, up_north],
        };
        // What is fixed to the ground, not to the wind.
        let fixed = f64::from(u8::from(frame == Frame::Ground));
        let follows = matches!(self.plan.start.towards, Towards::IntoWind | Towards::Any);
        let speed = if follows { speed.max(0.0) } else { fixed * speed.max(0.0) };
        Start {
            place_m: [
                fixed * columns.east[i] + upwind * up_east,
                fixed * columns.north[i] + upwind * up_north,
                top.max(1.0),
            ],
            velocity_m_per_s: [speed * towards_east, speed * towards_north, 0.0],
        }
    }
}

/// A filling of a part of the canopies: over a time or so many diameters of the whole, which the width of the part shortens.
fn filling(planned: &PlannedStage, over: f64, width: f64, growth: f64) -> Fill {
    match planned.fill {
        PlannedFill::Time { .. } => Fill::Time { s: (width * over).max(0.0), growth },
        PlannedFill::Diameters { diameter_m, .. } => {
            Fill::Distance { diameters_m: (width * over * diameter_m).max(0.0), growth }
        }
    }
}

/// Canopies that are held small at first, in two steps as [`crate::loads::Reefed`] has them.
struct OfHeld<'a> {
    plan: &'a Reefing,
    columns: &'a HeldColumns,
}

impl OfHeld<'_> {
    /// Diameters in steps are of the way, not of a time that is stated.
    fn over(&self, planned: &PlannedStage, of: &StageColumns, step: Option<&Vec<f64>>, i: usize) -> f64 {
        match (&planned.fill, step) {
            (PlannedFill::Diameters { .. }, Some(step)) => step[i],
            _ => of.fill[i],
        }
    }

    fn first(&self, planned: &PlannedStage, of: &StageColumns, i: usize) -> Fill {
        let over = self.over(planned, of, self.columns.first.as_ref(), i);
        filling(planned, over, maths::sqrt(self.columns.share[i]), self.plan.growth.value)
    }

    fn after(&self, planned: &PlannedStage, of: &StageColumns, i: usize) -> Fill {
        let over = self.over(planned, of, self.columns.second.as_ref(), i);
        match self.plan.by {
            Holds::Line => filling(planned, over, maths::sqrt(1.0 - self.columns.share[i]), planned.growth),
            Holds::Slider => Fill::Time { s: self.columns.held_s[i].max(0.0), growth: planned.growth },
        }
    }
}

/// Value and both kinds of doubt of an estimate, one value a trial.
pub(super) fn nested(draws: &Draws, estimate: &Estimate, memory: Memory) -> Vec<f64> {
    if estimate.parts.is_empty() {
        return vec![estimate.value; draws.count];
    }
    let known = draws.column(estimate, Kind::Knowledge, memory);
    let mut all = draws.column(estimate, Kind::Flight, memory);
    for (i, value) in all.iter_mut().enumerate() {
        *value += estimate.value + known[i / FLIGHTS];
    }
    all
}
