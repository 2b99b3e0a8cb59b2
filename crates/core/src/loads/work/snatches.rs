//! Snatches of the table: what a cord bears when what is thrown out comes to its end.
//!
//! Of several canopies that go out together each has a cord of its own, and an n-th of the rest hangs on each; the leading one
//! has all of the rest, the others being still aboard. Where the speed at which the two part is not stated, all of the speed at
//! line stretch bounds it for what is let go: it would then stand still in the air. What a spring or gas throws may part faster.

use super::answers::{Answers, Question, quantiles};
use super::worlds::{ThrownValues, World};
use super::{LEADING, Openings, Row};
use crate::cases::CaseKind;
use crate::cases::engine::State;
use crate::loads::{Cord, Event, Method, NoLoad, Parting, PeakLoad, Pull};

impl Row<'_> {
    pub(super) fn snatch(&self, plan: Option<&Openings>, answers: &Answers<'_>) -> Result<PeakLoad, NoLoad> {
        let out = self.thrown_out()?;
        let not_known = |why: &str| NoLoad::NotKnown(why.to_owned());
        let (_, filling) = &self.inputs.stages[self.stage];
        let thrown = filling.thrown.as_ref().ok_or_else(|| {
            not_known("Its snatch is not known: neither the cord nor what is thrown out is stated.")
        })?;
        let best = ThrownValues {
            mass_kg: thrown.mass_kg.value,
            apart_m_per_s: thrown.apart_m_per_s.as_ref().map(|apart| apart.value),
            cord: Cord {
                length_m: thrown.length_m.value,
                stretch: thrown.stretch.value,
                strength_n: thrown.strength_n.value,
            },
        };
        let together = if self.canopy == LEADING { 1 } else { out };
        let pull = |speeds: Option<Vec<f64>>| -> Option<Pull> {
            let drawn = &answers.worlds().drawn;
            let apart: Vec<f64> = match speeds {
                Some(speeds) => speeds,
                None => drawn.iter().map(|world| self.of(world)?.apart_m_per_s).collect::<Option<_>>()?,
            };
            let force = |(world, apart): (&World, &f64)| {
                Some(self.parting(world.mass_kg, self.of(world)?, out, *apart).force_n())
            };
            let forces: Vec<f64> = drawn.iter().zip(&apart).map(force).collect::<Option<_>>()?;
            let on_one_canopy_n = quantiles(forces.into_iter())?;
            Some(Pull {
                on_one_canopy_n,
                on_all_n: on_one_canopy_n.times(together as f64),
                speed_m_per_s: quantiles(apart.into_iter())?,
                method: Method::Energy,
                steps: None,
            })
        };
        let unknown = || not_known("How fast it parts is not known: [part.stage.cord] apart says.");
        let at = |question: &Question| pull(Some(answers.speeds(question)?));
        let (design, worst) = match best.apart_m_per_s {
            Some(_) => (pull(None).ok_or_else(unknown)?, None),
            None => {
                let plan = plan.ok_or_else(unknown)?;
                let design = at(&plan.design).ok_or_else(unknown)?;
                let worst = plan
                    .others
                    .iter()
                    .filter_map(|question| Some((answers.asked(question), at(question)?)))
                    .filter(|(_, pull)| pull.on_one_canopy_n.p95 > design.on_one_canopy_n.p95)
                    .max_by(|a, b| a.1.on_one_canopy_n.p95.total_cmp(&b.1.on_one_canopy_n.p95));
                (design, worst)
            }
        };
        let total_kg = self.inputs.total_kg();
        let apart = best.apart_m_per_s.unwrap_or(design.speed_m_per_s.median);
        Ok(PeakLoad {
            case: self.case.name.clone(),
            canopy: self.canopy.clone(),
            event: Event::Snatch,
            parting: Some(self.parting(total_kg, best, out, apart)),
            design,
            worst,
            stated_share: None,
            mass_kg: total_kg,
            rests_on_memory: false,
        })
    }

    fn of(&self, world: &World) -> Option<ThrownValues> {
        world.stages[self.stage].thrown
    }

    /// How many are thrown out in this row's case, or why none is.
    fn thrown_out(&self) -> Result<usize, NoLoad> {
        let does_not = |why: &str| Err(NoLoad::DoesNotApply(why.to_owned()));
        let own = self.inputs.has_its_own(self.stage);
        match (self.case.kind, State::of(self.case.kind, self.inputs.rig.count)) {
            (CaseKind::Nothing, _) => does_not("Nothing opens in this case."),
            (CaseKind::NoDrogue, _) if own => does_not("It does not come out in this case."),
            _ if own => Ok(1),
            (_, State::Open(out) | State::Unfilled(out)) if out > 0 => Ok(out),
            _ => does_not("No canopy comes out in this case."),
        }
    }

    /// What parts on one cord, `out` going together.
    fn parting(&self, total_kg: f64, thrown: ThrownValues, out: usize, apart_m_per_s: f64) -> Parting {
        let together = if self.canopy == LEADING { 1 } else { out } as f64;
        // What is thrown out is part of all that comes down.
        let rest_kg = (total_kg - together * thrown.mass_kg).max(0.05 * total_kg);
        Parting { one_kg: rest_kg / together, other_kg: thrown.mass_kg, apart_m_per_s, cord: thrown.cord }
    }
}
