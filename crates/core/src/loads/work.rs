//! The table of loads of a part: case × canopy × snatch or opening, by draws of everything uncertain.
//!
//! Speed at line stretch: on the way down under what braked before, with v_t² = 2 m g/(ρ D) and k = g/v_t²,
//! v² = v_t² + (v₀² − v_t²) e^(−2 k s) after a fall of s, v = v_t (v₀ + v_t tanh(g t/v_t))/(v_t + v₀ tanh(g t/v_t)) after a time,
//! both exact at one density, for which that at the opening is taken; level speed fades with e^(−k s), or 1/(1 + k v t).
//!
//! Opening: F = C_X x ½ ρ v_f² (C_D S)₀ with x of [`Motion`], on draws of mass, air, drag area, speed, n, j, C_X and air taken along.
//! Where g t_f/v stays below [`GRAVITY_MATTERS`] in all draws, x is the horizontal closed form. `each`: all canopies fill together
//! and share alike. `leading`: one canopy catches the whole mass before any other fills, which bounds it whatever the lag.
//!
//! Source: Newton's second law; Latin hypercube of [`DRAWS`] draws. Assumed: air taken along is a half sphere of the canopy's mouth,
//! from half to one and a half of it (a judgement of ours). Not here: shares of a cluster that are drawn, reefing in the table.

use std::collections::BTreeMap;

use rayon::prelude::*;
use uom::si::acceleration::meter_per_second_squared;

use super::{
    Entry, Event, GRAVITY_MATTERS, Method, Motion, NoLoad, PeakLoad, Pull, Quantiles, Ramp,
    ballistic_parameter, horizontal_peak, least_fill_speed_m_per_s,
};
use crate::cases::draws::SLICE;
use crate::cases::engine::State;
use crate::cases::{Case, CaseKind, Draws, Load, Rig, Trials};
use crate::landing::{Brakes, Column, PlannedBegin, PlannedFill, PlannedStage};
use crate::ledger::{Estimate, Ledger};
use crate::maths::{exp, sqrt, tanh};
use crate::stats::sample::Sample;

/// Draws behind the quantiles of a load.
pub const DRAWS: usize = 2 * SLICE;
/// Exponents are drawn in steps of this, so that few ramps serve all draws; the rounding is without bias.
const EXPONENT_STEP: f64 = 1.0 / 16.0;
/// Half sphere of diameter D: π/12 D³.
const HALF_SPHERE: f64 = std::f64::consts::PI / 12.0;

/// How the canopies of a stage fill, beside what the landing knows of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Filling {
    /// j.
    pub growth: Estimate,
    /// C_X.
    pub factor: Estimate,
    /// Air taken along, over a half sphere of the mouth.
    pub air: Estimate,
    /// Diameter of the mouth in flight, m.
    pub mouth_m: f64,
}

/// Speeds asked about beside the design's.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// It opens so many seconds late.
    pub late_s: Option<f64>,
    /// The stages before it did not open.
    pub alone: bool,
    /// It opens where the fall starts.
    pub at_the_top: bool,
}

/// What the loads of a part follow from.
pub struct Inputs<'a> {
    /// Mass, air, clusters and body.
    pub load: &'a Load,
    /// The canopies.
    pub rig: &'a Rig,
    /// What may happen.
    pub cases: &'a [Case],
    /// What opens, in order, and how it fills.
    pub stages: &'a [(PlannedStage, Filling)],
    /// Height of the start above the field's ground, m, and speed over ground there, m/s, where stated.
    pub start: Option<(&'a Estimate, &'a Estimate)>,
    /// Density by height.
    pub column: Option<&'a Column>,
    /// Speeds asked about.
    pub asked: &'a Asked,
    /// A stated share of the load on one canopy of several.
    pub share: Option<f64>,
    /// All entries.
    pub ledger: &'a Ledger,
}

/// Names of the canopies in the table: stages of their own, then `each` and, of several, `leading`.
pub fn canopies(stages: &[(PlannedStage, Filling)], count: usize) -> Vec<(usize, String)> {
    let mut names = Vec::new();
    for (at, (stage, _)) in stages.iter().enumerate() {
        match stage.brakes {
            Brakes::Own { .. } => names.push((at, stage.name.clone())),
            Brakes::Canopies => {
                names.push((at, "each".to_owned()));
                if count > 1 {
                    names.push((at, "leading".to_owned()));
                }
            }
        }
    }
    names
}

/// All loads: cases × canopies × 2, in that order.
pub fn work(inputs: &Inputs<'_>) -> Vec<Entry> {
    let bench = Bench::new(inputs);
    let names = canopies(inputs.stages, inputs.rig.count);
    let rows: Vec<(&Case, &(usize, String))> =
        inputs.cases.iter().flat_map(|case| names.iter().map(move |name| (case, name))).collect();
    rows.into_par_iter()
        .flat_map_iter(|(case, (stage, canopy))| {
            let entry = |event, load| Entry { case: case.name.clone(), canopy: canopy.clone(), event, load };
            let no_cord = "Its snatch is not known: neither the cord nor what is thrown out is stated.";
            let opening = bench.opening(case, *stage, canopy);
            let snatch = match &opening {
                Err(NoLoad::DoesNotApply(why)) => NoLoad::DoesNotApply(why.clone()),
                _ => NoLoad::NotKnown(no_cord.to_owned()),
            };
            [entry(Event::Snatch, Err(snatch)), entry(Event::Opening, opening)]
        })
        .collect()
}

/// Everything drawn.
struct Bench<'a> {
    inputs: &'a Inputs<'a>,
    draws: Draws,
    mass_kg: Vec<f64>,
    density: Vec<f64>,
    gravity: f64,
    /// Of each stage.
    drawn: Vec<Drawn>,
    bare: Option<Vec<f64>>,
    start: Option<(Vec<f64>, Vec<f64>)>,
    ramps: BTreeMap<u64, Ramp>,
}

struct Drawn {
    /// Of one canopy, m².
    area: Vec<f64>,
    begins: Option<Vec<f64>>,
    fill: Vec<f64>,
    growth: Vec<f64>,
    factor: Vec<f64>,
    air: Vec<f64>,
}

/// Level and downward, m/s.
type Speed = [f64; 2];

impl<'a> Bench<'a> {
    fn new(inputs: &'a Inputs<'a>) -> Self {
        let Inputs { load, rig, stages, .. } = inputs;
        let mut all = vec![&load.mass_kg, &load.density_kg_per_m3, &rig.canopy.area.estimate];
        all.extend(load.ln_bare.iter());
        all.extend(inputs.start.iter().flat_map(|(top, speed)| [*top, *speed]));
        for (stage, filling) in *stages {
            if let Brakes::Own { ln_area } = &stage.brakes {
                all.push(ln_area);
            }
            match &stage.begins {
                PlannedBegin::After { s } => all.push(s),
                PlannedBegin::Below { height_m } => all.push(height_m),
                PlannedBegin::Start => {}
            }
            match &stage.fill {
                PlannedFill::Time { s } => all.push(s),
                PlannedFill::Diameters { count, .. } => all.push(count),
            }
            all.extend([&filling.growth, &filling.factor, &filling.air]);
        }
        let trials = Trials { count: DRAWS, ..Trials::QUICK };
        let draws = Draws::sliced(all.iter().copied(), inputs.ledger, trials);
        let exponentials =
            |estimate: &Estimate| -> Vec<f64> { draws.values(estimate).into_iter().map(exp).collect() };
        // No draw goes below a tenth of its value: a normal doubt has a tail that a time or a mass has not.
        let positive = |estimate: &Estimate| -> Vec<f64> {
            draws.values(estimate).into_iter().map(|x| x.max(0.1 * estimate.value)).collect()
        };
        let added = rig.count as f64 * rig.mass_each_kg;
        let mut ramps = BTreeMap::new();
        let drawn: Vec<Drawn> = stages
            .iter()
            .map(|(stage, filling)| {
                let growth: Vec<f64> = positive(&filling.growth)
                    .into_iter()
                    .map(|j| match filling.growth.parts.is_empty() {
                        true => j.max(0.5),
                        false => (libm::round(j / EXPONENT_STEP) * EXPONENT_STEP).max(0.5),
                    })
                    .collect();
                for j in &growth {
                    ramps.entry(j.to_bits()).or_insert_with(|| Ramp::new(*j));
                }
                Drawn {
                    area: match &stage.brakes {
                        Brakes::Own { ln_area } => exponentials(ln_area),
                        Brakes::Canopies => exponentials(&rig.canopy.area.estimate),
                    },
                    begins: match &stage.begins {
                        PlannedBegin::Start => None,
                        PlannedBegin::After { s: at } | PlannedBegin::Below { height_m: at } => {
                            Some(positive(at))
                        }
                    },
                    fill: match &stage.fill {
                        PlannedFill::Time { s } => positive(s),
                        PlannedFill::Diameters { count, .. } => positive(count),
                    },
                    growth,
                    factor: positive(&filling.factor),
                    air: positive(&filling.air),
                }
            })
            .collect();
        let bare = load.ln_bare.as_ref().map(exponentials);
        let start = inputs
            .start
            .map(|(top, speed)| (positive(top), draws.values(speed).into_iter().map(f64::abs).collect()));
        Bench {
            inputs,
            mass_kg: positive(&load.mass_kg).into_iter().map(|mass| mass + added).collect(),
            density: positive(&load.density_kg_per_m3),
            gravity: load.gravity.get::<meter_per_second_squared>(),
            drawn,
            bare,
            start,
            ramps,
            draws,
        }
    }

    fn height(&self, stage: usize) -> f64 {
        let begins = self.inputs.stages.get(stage).map(|(stage, _)| &stage.begins);
        match begins {
            Some(PlannedBegin::Below { height_m }) => height_m.value,
            _ => self.inputs.start.map_or(0.0, |(top, _)| top.value),
        }
    }

    fn density(&self, stage: usize, draw: usize) -> f64 {
        self.density[draw]
            * self.inputs.column.map_or(1.0, |column| column.relative_density(self.height(stage)))
    }

    /// Speed at line stretch of a stage, those `before` it having opened; `None` where nothing tells it.
    fn speed(&self, stage: usize, before: &[usize], asked: &str, late_s: f64, draw: usize) -> Option<Speed> {
        let density = self.density(stage, draw);
        let (start_m, level) = match &self.start {
            Some((top, speed)) => (Some(top[draw]), speed[draw]),
            None => (None, 0.0),
        };
        let brakes = |at: Option<usize>| -> f64 {
            let own = at.map_or(0.0, |at| self.drawn[at].area[draw]);
            own + self.bare.as_ref().map_or(0.0, |bare| bare[draw])
        };
        let mut path = Path {
            at_m: start_m,
            after_s: start_m.map(|_| 0.0),
            speed: [level, 0.0],
            pull: self.gravity,
            over: density / (2.0 * self.mass_kg[draw]),
        };
        if asked == AT_THE_TOP {
            return self.start.is_some().then_some(path.speed);
        }
        let mut last = None;
        for next in before.iter().copied().chain([stage]) {
            path.to(
                &self.inputs.stages[next].0.begins,
                self.drawn[next].begins.as_ref().map(|b| b[draw]),
                brakes(last),
            )?;
            last = Some(next);
        }
        if late_s > 0.0 {
            path.time(late_s, brakes(before.last().copied()));
        }
        Some(path.speed)
    }

    fn opening(&self, case: &Case, stage: usize, canopy: &str) -> Result<PeakLoad, NoLoad> {
        let does_not = |why: &str| Err(NoLoad::DoesNotApply(why.to_owned()));
        let rig = self.inputs.rig;
        let own = matches!(self.inputs.stages[stage].0.brakes, Brakes::Own { .. });
        let state = State::of(case.kind, rig.count);
        let count = match (case.kind, state) {
            (CaseKind::Nothing, _) => return does_not("Nothing opens in this case."),
            (CaseKind::NoDrogue, _) if own => return does_not("It does not open in this case."),
            _ if own => 1,
            (CaseKind::EarlyOpening, _) => {
                return Err(NoLoad::NotKnown("How fast it climbs when it opens is not known.".to_owned()));
            }
            (_, State::Open(open)) => open,
            (_, State::Unfilled(_)) => return does_not("It comes out and does not fill in this case."),
            (_, State::Nothing) => return does_not("No canopy opens in this case."),
        };
        let all: Vec<usize> = (0..stage).collect();
        let before = if case.kind == CaseKind::NoDrogue { &[][..] } else { &all[..] };
        let at_the_top = case.kind == CaseKind::MainAtTop && !own;
        let main = if at_the_top { AT_THE_TOP } else { "" };
        let unknown = || {
            let why = "Its speed at line stretch is not known: [flight] top says from where it falls.";
            NoLoad::NotKnown(why.to_owned())
        };
        let alone = canopy == "leading" || count == 1;
        let pull = |before: &[usize], asked: &str, late_s: f64| -> Option<Pull> {
            self.pull(stage, (count, alone), &|draw| self.speed(stage, before, asked, late_s, draw))
        };
        let design = pull(before, main, 0.0).ok_or_else(unknown)?;
        let asked = self.inputs.asked;
        let mut others: Vec<(String, Pull)> = Vec::new();
        if !at_the_top {
            if let Some(late) = asked.late_s {
                others.extend(pull(before, "", late).map(|pull| (format!("{late} s late"), pull)));
            }
            if asked.alone && !before.is_empty() {
                others.extend(pull(&[], "", 0.0).map(|pull| ("nothing opened before".to_owned(), pull)));
            }
            if asked.at_the_top {
                others.extend(pull(before, AT_THE_TOP, 0.0).map(|pull| (AT_THE_TOP.to_owned(), pull)));
            }
        }
        let worst = others
            .into_iter()
            .filter(|(_, pull)| pull.on_one_canopy_n.p95 > design.on_one_canopy_n.p95)
            .max_by(|a, b| a.1.on_one_canopy_n.p95.total_cmp(&b.1.on_one_canopy_n.p95));
        let (_, filling) = &self.inputs.stages[stage];
        let rests_on_memory =
            [&filling.growth, &filling.factor].into_iter().any(|of| self.draws.rests_on_memory(of));
        Ok(PeakLoad {
            case: case.name.clone(),
            canopy: canopy.to_owned(),
            event: Event::Opening,
            design,
            worst,
            mass_kg: self.inputs.load.mass_kg.value + rig.count as f64 * rig.mass_each_kg,
            rests_on_memory,
        })
    }

    /// The pull at a speed by draw; `alone`: one canopy catches all of it.
    fn pull(
        &self,
        stage: usize,
        (count, alone): (usize, bool),
        speed: &dyn Fn(usize) -> Option<Speed>,
    ) -> Option<Pull> {
        let load = self.inputs.load;
        let (planned, filling) = &self.inputs.stages[stage];
        let drawn = &self.drawn[stage];
        let filled = if alone { 1 } else { count };
        let cluster = match planned.brakes {
            Brakes::Own { .. } => 1.0,
            Brakes::Canopies => load.clusters.get(filled - 1).map_or(1.0, |cluster| cluster.factor.value),
        };
        // What else brakes takes load off the canopies; of a drogue's bare body nothing is taken off.
        let beside = match planned.brakes {
            Brakes::Canopies => load.under.get(filled - 1).map_or(0.0, |net| net.area.value.max(0.0)),
            Brakes::Own { .. } => 0.0,
        };
        let one = |draw: usize| -> Option<[f64; 3]> {
            let [level, down] = speed(draw)?;
            let v = sqrt(level * level + down * down);
            let (mass, density) = (self.mass_kg[draw], self.density(stage, draw));
            let area = filled as f64 * cluster * drawn.area[draw];
            let (fill_s, scale) = match &planned.fill {
                PlannedFill::Time { .. } => (drawn.fill[draw], v.max(0.5 * self.gravity * drawn.fill[draw])),
                PlannedFill::Diameters { diameter_m, .. } => {
                    let distance = drawn.fill[draw] * diameter_m;
                    let scale = v.max(least_fill_speed_m_per_s(self.gravity, distance));
                    (distance / scale, scale)
                }
            };
            let air = filled as f64 * drawn.air[draw] * density * HALF_SPHERE * filling.mouth_m.powi(3);
            let motion = Motion {
                ballistic: ballistic_parameter(mass, density, area, scale, fill_s),
                gravity: self.gravity * fill_s / scale,
                air: air / mass,
                beside: beside / area,
                start: [level / scale, down / scale],
            };
            let j = drawn.growth[draw];
            let share = match motion.gravity < GRAVITY_MATTERS {
                true => horizontal_peak(motion.ballistic, j).share,
                false => motion.peak(&self.ramps[&j.to_bits()]).share,
            };
            let force = drawn.factor[draw] * share * 0.5 * density * scale * scale * area;
            Some([force, v, motion.gravity])
        };
        let all: Vec<[f64; 3]> = (0..DRAWS).map(one).collect::<Option<_>>()?;
        let of = |value: &dyn Fn(&[f64; 3]) -> f64| quantiles(all.iter().map(value).collect());
        let on_all_n = of(&|draw| draw[0])?;
        let part = if alone { 1.0 } else { (1.0 / count as f64).max(self.inputs.share.unwrap_or(0.0)) };
        let level = all.iter().all(|draw| draw[2] < GRAVITY_MATTERS);
        Some(Pull {
            on_one_canopy_n: of(&|draw| part * draw[0])?,
            on_all_n,
            speed_m_per_s: of(&|draw| draw[1])?,
            method: if level { Method::HorizontalClosedForm } else { Method::Integrated },
        })
    }
}

/// What was asked, as printed.
const AT_THE_TOP: &str = "open at the top";

fn quantiles(values: Vec<f64>) -> Option<Quantiles> {
    let sample = Sample::new(values)?;
    Some(Quantiles {
        low: sample.quantile(0.025),
        median: sample.quantile(0.5),
        p95: sample.quantile(0.95),
        high: sample.quantile(0.975),
        standard_error: sample.quantile_standard_error(0.95),
    })
}

/// The way down to an opening.
struct Path {
    /// Height, where known, m.
    at_m: Option<f64>,
    /// Since the start, where known, s.
    after_s: Option<f64>,
    speed: Speed,
    /// g, m/s².
    pull: f64,
    /// ρ/(2 m), 1/m³·m².
    over: f64,
}

impl Path {
    /// Under what brakes, m², to where a stage begins; `None` where nothing tells how fast it is then.
    fn to(&mut self, begins: &PlannedBegin, drawn: Option<f64>, brakes_m2: f64) -> Option<()> {
        match (begins, drawn) {
            (PlannedBegin::Below { .. }, Some(height)) => {
                match self.at_m {
                    Some(at) => self.fall((at - height).max(0.0), brakes_m2),
                    None if brakes_m2 > 0.0 => self.speed = [0.0, self.settled(brakes_m2)],
                    None => return None,
                }
                (self.at_m, self.after_s) = (Some(height), None);
            }
            (PlannedBegin::After { .. }, Some(at_s)) => match self.after_s {
                Some(after) => self.time((at_s - after).max(0.0), brakes_m2),
                None if brakes_m2 > 0.0 => self.speed = [0.0, self.settled(brakes_m2)],
                None => return None,
            },
            _ => self.at_m.map(|_| ())?,
        }
        Some(())
    }

    fn settled(&self, brakes_m2: f64) -> f64 {
        sqrt(self.pull / (self.over * brakes_m2))
    }

    fn fall(&mut self, way_m: f64, brakes_m2: f64) {
        let [level, down] = self.speed;
        let k = self.over * brakes_m2;
        let down = if k > 0.0 {
            let square = self.pull / k;
            sqrt(square + (down * down - square) * exp(-2.0 * k * way_m))
        } else {
            sqrt(down * down + 2.0 * self.pull * way_m)
        };
        self.speed = [level * exp(-k * way_m), down];
    }

    fn time(&mut self, time_s: f64, brakes_m2: f64) {
        let [level, down] = self.speed;
        let k = self.over * brakes_m2;
        let next = if k > 0.0 {
            let rate = sqrt(self.pull / k);
            let bent = tanh(self.pull * time_s / rate);
            rate * (down + rate * bent) / (rate + down * bent)
        } else {
            down + self.pull * time_s
        };
        self.speed = [level / (1.0 + k * sqrt(level * level + down * down) * time_s), next];
        let fallen = 0.5 * (down + next) * time_s;
        self.at_m = self.at_m.map(|at| at - fallen);
        self.after_s = self.after_s.map(|after| after + time_s);
    }
}
