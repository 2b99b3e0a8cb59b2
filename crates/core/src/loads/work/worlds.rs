//! Everything that a part's loads rest on: at its best values, and drawn.

use std::collections::BTreeMap;

use uom::si::acceleration::meter_per_second_squared;

use super::super::{Cord, Ramp};
use super::way::{Speed, Way};
use super::{DRAWS, Filling, Inputs};
use crate::cases::{Draws, Rig, Trials};
use crate::landing::{Brakes, Holds, PlannedBegin, PlannedFill, PlannedStage, Reefing};
use crate::ledger::Estimate;
use crate::maths::exp;

/// Exponents are drawn in steps of this, so that few ramps serve all draws; the rounding is without bias.
const EXPONENT_STEP: f64 = 1.0 / 16.0;

/// One set of values.
#[derive(Clone, Debug)]
pub(super) struct World {
    /// All that comes down, kg.
    pub mass_kg: f64,
    /// At the ground, kg/m³.
    density: f64,
    /// Drag area of the bare body, m²; 0 where it is not known.
    bare_m2: f64,
    /// Height of the start, m, and level speed there, m/s.
    start: Option<(f64, f64)>,
    pub stages: Vec<StageValues>,
}

/// Of a stage.
#[derive(Clone, Debug)]
pub(super) struct StageValues {
    /// Of one canopy, m².
    pub area_m2: f64,
    /// When it begins, s or m; `None`: with the fall.
    begins: Option<f64>,
    /// Time, s, or diameters.
    pub fill: f64,
    pub growth: f64,
    pub factor: f64,
    /// Over a half sphere.
    pub air: f64,
    pub thrown: Option<ThrownValues>,
    pub reefed: Option<ReefedValues>,
}

/// Of what holds a canopy small.
#[derive(Clone, Copy, Debug)]
pub(super) struct ReefedValues {
    pub by: Holds,
    pub share: f64,
    pub held_s: f64,
    pub growth: f64,
    /// Diameters that the two steps fill over, where they differ from the stage's own.
    pub first: Option<f64>,
    pub second: Option<f64>,
}

/// Of what is thrown out.
#[derive(Clone, Copy, Debug)]
pub(super) struct ThrownValues {
    pub mass_kg: f64,
    /// `None`: bounded by the speed at line stretch.
    pub apart_m_per_s: Option<f64>,
    pub cord: Cord,
}

/// How an estimate is turned into a value.
#[derive(Clone, Copy)]
enum As {
    /// The exponential: of a logarithm.
    Exponential,
    /// As it is, no less than a tenth of its best: a normal doubt has a tail that a time or a mass has not.
    Positive,
    /// Without its sign.
    Size,
    /// An exponent, in steps where it is drawn, and no less than ½.
    Exponent,
    /// A share of the drag area that is held.
    Share,
}

impl As {
    fn of(self, value: f64, estimate: &Estimate) -> f64 {
        let positive = value.max(0.1 * estimate.value);
        match self {
            As::Exponential => exp(value),
            As::Positive => positive,
            As::Size => value.abs(),
            As::Share => Reefing::share(value),
            As::Exponent if estimate.parts.is_empty() => positive.max(0.5),
            As::Exponent => (libm::round(positive / EXPONENT_STEP) * EXPONENT_STEP).max(0.5),
        }
    }
}

/// Everything drawn.
pub(super) struct Worlds<'a> {
    pub inputs: &'a Inputs<'a>,
    pub draws: Draws,
    pub drawn: Vec<World>,
    pub best: World,
    pub gravity: f64,
    ramps: BTreeMap<u64, Ramp>,
}

impl<'a> Worlds<'a> {
    pub fn new(inputs: &'a Inputs<'a>) -> Self {
        let mut all: Vec<&Estimate> = Vec::new();
        // Which estimates there are is learnt by asking for them.
        worlds(inputs, 0, &mut |estimate, _| {
            all.push(estimate);
            Vec::new()
        });
        let draws = Draws::sliced(all, inputs.ledger, Trials { count: DRAWS, ..Trials::QUICK });
        let drawn = worlds(inputs, DRAWS, &mut |estimate, of| {
            draws.values(estimate).into_iter().map(|value| of.of(value, estimate)).collect()
        });
        let best = worlds(inputs, 1, &mut |estimate, of| vec![of.of(estimate.value, estimate)]);
        let best = best.into_iter().next().expect("one was asked for");
        let mut ramps = BTreeMap::new();
        for j in drawn.iter().chain([&best]).flat_map(|world| &world.stages).map(|stage| stage.growth) {
            ramps.entry(j.to_bits()).or_insert_with(|| Ramp::new(j));
        }
        let gravity = inputs.load.gravity.get::<meter_per_second_squared>();
        Worlds { inputs, draws, drawn, best, gravity, ramps }
    }

    pub fn ramp(&self, exponent: f64) -> &Ramp {
        &self.ramps[&exponent.to_bits()]
    }

    /// Air where a stage opens, kg/m³.
    pub fn density(&self, stage: usize, world: &World) -> f64 {
        let height_m = match self.inputs.stages.get(stage).map(|(stage, _)| &stage.begins) {
            Some(PlannedBegin::Below { height_m }) => height_m.value,
            _ => self.inputs.start.map_or(0.0, |(top, _)| top.value),
        };
        world.density * self.inputs.column.map_or(1.0, |column| column.relative_density(height_m))
    }

    /// Speed at line stretch of a stage after those `before` it have opened; `None` where nothing tells it.
    pub fn speed(&self, stage: usize, before: &[usize], late_s: f64, world: &World) -> Option<Speed> {
        let brakes = |at: Option<usize>| at.map_or(0.0, |at| world.stages[at].area_m2) + world.bare_m2;
        let mut way = Way {
            at_m: world.start.map(|(top, _)| top),
            after_s: world.start.map(|_| 0.0),
            speed: [world.start.map_or(0.0, |(_, level)| level), 0.0],
            pull: self.gravity,
            over: self.density(stage, world) / (2.0 * world.mass_kg),
        };
        let mut last = None;
        for next in before.iter().copied().chain([stage]) {
            way.to(&self.inputs.stages[next].0.begins, world.stages[next].begins, brakes(last))?;
            last = Some(next);
        }
        if late_s > 0.0 {
            way.time(late_s, brakes(before.last().copied()));
        }
        Some(way.speed)
    }

    /// Speed where the fall starts.
    pub fn at_the_top(world: &World) -> Option<Speed> {
        world.start.map(|(_, level)| [level, 0.0])
    }
}

/// So many worlds, from the values that each estimate has in them.
fn worlds<'a>(
    inputs: &'a Inputs<'a>,
    count: usize,
    values: &mut dyn FnMut(&'a Estimate, As) -> Vec<f64>,
) -> Vec<World> {
    let Inputs { load, rig, .. } = inputs;
    let mass = values(&load.mass_kg, As::Positive);
    let density = values(&load.density_kg_per_m3, As::Positive);
    let bare = load.ln_bare.as_ref().map(|ln_bare| values(ln_bare, As::Exponential));
    let start = inputs.start.map(|(top, level)| (values(top, As::Positive), values(level, As::Size)));
    let stages: Vec<Columns> = inputs.stages.iter().map(|stage| Columns::new(stage, rig, values)).collect();
    let added = rig.count as f64 * rig.mass_each_kg;
    (0..count)
        .map(|at| World {
            mass_kg: mass[at] + added,
            density: density[at],
            bare_m2: bare.as_ref().map_or(0.0, |bare| bare[at]),
            start: start.as_ref().map(|(top, level)| (top[at], level[at])),
            stages: stages.iter().map(|columns| columns.at(at)).collect(),
        })
        .collect()
}

/// The values of a stage in all worlds.
struct Columns {
    area: Vec<f64>,
    begins: Option<Vec<f64>>,
    fill: Vec<f64>,
    growth: Vec<f64>,
    factor: Vec<f64>,
    air: Vec<f64>,
    thrown: Option<ThrownColumns>,
    reefed: Option<ReefedColumns>,
}

struct ReefedColumns {
    by: Holds,
    share: Vec<f64>,
    held: Vec<f64>,
    growth: Vec<f64>,
    first: Option<Vec<f64>>,
    second: Option<Vec<f64>>,
}

struct ThrownColumns {
    mass: Vec<f64>,
    apart: Option<Vec<f64>>,
    length: Vec<f64>,
    stretch: Vec<f64>,
    strength: Vec<f64>,
}

impl Columns {
    fn new<'a>(
        (stage, filling): &'a (PlannedStage, Filling),
        rig: &'a Rig,
        values: &mut dyn FnMut(&'a Estimate, As) -> Vec<f64>,
    ) -> Self {
        Columns {
            area: match &stage.brakes {
                Brakes::Own { ln_area } => values(ln_area, As::Exponential),
                Brakes::Canopies => values(&rig.canopy.area.estimate, As::Exponential),
            },
            begins: match &stage.begins {
                PlannedBegin::Start => None,
                PlannedBegin::After { s: at } | PlannedBegin::Below { height_m: at } => {
                    Some(values(at, As::Positive))
                }
            },
            fill: match &stage.fill {
                PlannedFill::Time { s: fill } | PlannedFill::Diameters { count: fill, .. } => {
                    values(fill, As::Positive)
                }
            },
            growth: values(&filling.growth, As::Exponent),
            factor: values(&filling.factor, As::Positive),
            air: values(&filling.air, As::Positive),
            thrown: filling.thrown.as_ref().map(|thrown| ThrownColumns {
                mass: values(&thrown.mass_kg, As::Positive),
                apart: thrown.apart_m_per_s.as_ref().map(|apart| values(apart, As::Positive)),
                length: values(&thrown.length_m, As::Positive),
                stretch: values(&thrown.stretch, As::Positive),
                strength: values(&thrown.strength_n, As::Positive),
            }),
            reefed: stage.reefing.as_ref().map(|reefed| ReefedColumns {
                by: reefed.by,
                share: values(&reefed.share, As::Share),
                held: values(&reefed.held_s, As::Positive),
                growth: values(&reefed.growth, As::Exponent),
                first: reefed.first.as_ref().map(|count| values(count, As::Positive)),
                second: reefed.second.as_ref().map(|count| values(count, As::Positive)),
            }),
        }
    }

    fn at(&self, at: usize) -> StageValues {
        StageValues {
            area_m2: self.area[at],
            begins: self.begins.as_ref().map(|begins| begins[at]),
            fill: self.fill[at],
            growth: self.growth[at],
            factor: self.factor[at],
            air: self.air[at],
            thrown: self.thrown.as_ref().map(|thrown| ThrownValues {
                mass_kg: thrown.mass[at],
                apart_m_per_s: thrown.apart.as_ref().map(|apart| apart[at]),
                cord: Cord {
                    length_m: thrown.length[at],
                    stretch: thrown.stretch[at],
                    strength_n: thrown.strength[at],
                },
            }),
            reefed: self.reefed.as_ref().map(|reefed| ReefedValues {
                by: reefed.by,
                share: reefed.share[at],
                held_s: reefed.held[at],
                growth: reefed.growth[at],
                first: reefed.first.as_ref().map(|count| count[at]),
                second: reefed.second.as_ref().map(|count| count[at]),
            }),
        }
    }
}
