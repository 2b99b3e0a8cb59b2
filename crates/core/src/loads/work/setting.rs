//! One opening in one world: so many canopies of a stage, from a speed at line stretch.

use std::collections::BTreeMap;

use super::super::{GRAVITY_MATTERS, Motion, Over, Reefed, STEPS, Slung, Step, Steps, horizontal_peak};
use super::way::Speed;
use super::worlds::{ReefedValues, StageValues, World, Worlds};
use crate::landing::{Brakes, PlannedFill};

/// Half sphere of diameter D: π/12 D³.
const HALF_SPHERE: f64 = std::f64::consts::PI / 12.0;

/// An opening ready to be stepped; SI.
pub(super) struct Setting<'a> {
    values: &'a StageValues,
    pub filled: usize,
    slung: Slung,
    start: Speed,
    over: Over,
}

/// An opening in one world.
pub(super) struct Opening {
    /// Of all canopies, N.
    pub force_n: f64,
    /// g t_f/v.
    pub gravity: f64,
    /// Where it opens in two steps.
    pub steps: Option<Steps>,
}

impl<'a> Setting<'a> {
    pub fn new(worlds: &Worlds<'_>, stage: usize, filled: usize, world: &'a World, start: Speed) -> Self {
        let (planned, filling) = &worlds.inputs.stages[stage];
        let values = &world.stages[stage];
        let load = worlds.inputs.load;
        // What else brakes takes load off the canopies; of a drogue's bare body nothing is taken off.
        let (cluster, beside_m2) = match planned.brakes {
            Brakes::Own { .. } => (1.0, 0.0),
            Brakes::Canopies => (
                load.clusters.get(filled - 1).map_or(1.0, |cluster| cluster.factor.value),
                load.under.get(filled - 1).map_or(0.0, |net| net.area.value.max(0.0)),
            ),
        };
        let density = worlds.density(stage, world);
        Setting {
            values,
            filled,
            slung: Slung {
                mass_kg: world.mass_kg,
                density,
                gravity: worlds.gravity,
                area_m2: filled as f64 * cluster * values.area_m2,
                beside_m2,
                air_kg: filled as f64 * values.air * density * HALF_SPHERE * filling.mouth_m.powi(3),
            },
            start,
            over: match &planned.fill {
                PlannedFill::Time { .. } => Over::Time(values.fill),
                PlannedFill::Diameters { diameter_m, .. } => Over::Distance(values.fill * diameter_m),
            },
        }
    }

    /// The opening of all canopies together in one step, with the opening force factor.
    pub fn plain(&self) -> Step {
        let step = self.slung.step(self.start, (self.over, self.values.growth), 1.0);
        Step { unit_n: self.values.factor * step.unit_n, ..step }
    }

    /// The same in two steps, where the stage is held small; forces without the opening force factor.
    pub fn reefed(&self) -> Option<Reefed> {
        self.values.reefed.as_ref().map(|values| self.reefed_by(values))
    }

    fn reefed_by(&self, values: &ReefedValues) -> Reefed {
        let over = |count: Option<f64>| match (self.over, count) {
            (Over::Distance(whole), Some(count)) => Over::Distance(whole / self.values.fill * count),
            (over, _) => over,
        };
        Reefed {
            slung: self.slung,
            start: self.start,
            share: values.share,
            by: values.by,
            held_s: values.held_s,
            first: (over(values.first), values.growth),
            second: (over(values.second), self.values.growth),
        }
    }

    /// The opening force factor.
    pub fn factor(&self) -> f64 {
        self.values.factor
    }

    /// What all canopies bear in the end, N: the weight, less what brakes beside them.
    pub fn weight_n(&self) -> f64 {
        let Slung { mass_kg, gravity, area_m2, beside_m2, .. } = self.slung;
        mass_kg * gravity * area_m2 / (area_m2 + beside_m2)
    }

    /// The largest pull of each: while it fills, with the opening force factor, or the weight where the load is still gaining speed
    /// when all is open.
    pub fn open(settings: &[Setting<'_>], worlds: &Worlds<'_>) -> Vec<Opening> {
        let plains: Vec<Step> = settings.iter().map(Setting::plain).collect();
        // Those that fill alike are stepped side by side.
        let mut alike: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
        for (at, (setting, plain)) in settings.iter().zip(&plains).enumerate() {
            if setting.values.reefed.is_none() && plain.motion.gravity >= GRAVITY_MATTERS {
                alike.entry(setting.values.growth.to_bits()).or_default().push(at);
            }
        }
        let mut stepped = vec![0.0; settings.len()];
        for of in alike.values() {
            let motions: Vec<Motion> = of.iter().map(|at| plains[*at].motion).collect();
            let peaks = Motion::filling_peaks(&motions, worlds.ramp(settings[of[0]].values.growth));
            of.iter().zip(peaks).for_each(|(at, peak)| stepped[*at] = peak.share);
        }
        settings
            .iter()
            .zip(&plains)
            .zip(stepped)
            .map(|((setting, plain), share)| setting.opened(plain, share))
            .collect()
    }

    fn opened(&self, plain: &Step, stepped: f64) -> Opening {
        let gravity = plain.motion.gravity;
        if let Some(reefed) = self.reefed() {
            let steps = reefed.work().times(self.values.factor);
            let force_n = steps.held_n.max(steps.after_n).max(self.weight_n());
            return Opening { force_n, gravity, steps: Some(steps) };
        }
        let share = match gravity < GRAVITY_MATTERS {
            true => horizontal_peak(plain.motion.ballistic, self.values.growth).share,
            false => stepped,
        };
        Opening { force_n: (share * plain.unit_n).max(self.weight_n()), gravity, steps: None }
    }

    /// At a stated share: the steps of the canopy if it were held so small; of all of it, its plain opening.
    pub fn at_share(&self, share: f64) -> Option<Steps> {
        let values = self.values.reefed.as_ref()?;
        if share >= 1.0 {
            let plain = self.plain();
            let opened = plain.motion.open(&[plain.growth], plain.until, STEPS);
            let force = opened.all.share * plain.unit_n;
            return Some(Steps {
                held_n: force,
                after_n: force,
                let_go_m_per_s: opened.end.speed * plain.unit_m_per_s,
                lost_m: opened.end.fallen * plain.unit_m_per_s * plain.unit_s,
            });
        }
        Some(self.reefed_by(&ReefedValues { share, ..*values }).work().times(self.values.factor))
    }
}
