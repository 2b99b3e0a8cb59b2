//! What is asked of the openings of all cases, each question worked once, by draws.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::super::{GRAVITY_MATTERS, InSteps, Method, Pull, Quantiles, Steps};
use super::Inputs;
use super::setting::Setting;
use super::way::{Speed, size};
use super::worlds::{World, Worlds};
use crate::stats::sample::Sample;

/// What has opened before a stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Before {
    All,
    Nothing,
}

/// When a stage opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum When {
    Planned,
    Late,
    AtTheTop,
}

/// How hard so many canopies pull together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Question {
    pub stage: usize,
    /// How many canopies fill.
    pub filled: usize,
    pub before: Before,
    pub when: When,
}

impl Question {
    /// That on which the speed depends.
    fn at_speed(self) -> Question {
        Question { filled: 0, ..self }
    }

    /// Speed at line stretch in one world; `None` where nothing tells it.
    pub fn speed(&self, worlds: &Worlds<'_>, world: &World) -> Option<Speed> {
        let before: Vec<usize> = match self.before {
            Before::All => (0..self.stage).collect(),
            Before::Nothing => Vec::new(),
        };
        match self.when {
            When::AtTheTop => Worlds::at_the_top(world),
            When::Planned => worlds.speed(self.stage, &before, 0.0, world),
            When::Late => {
                let late_s = worlds.inputs.asked.late_s.unwrap_or_default();
                worlds.speed(self.stage, &before, late_s, world)
            }
        }
    }
}

/// The pull of all together.
struct Answer {
    force_n: Quantiles,
    speed_m_per_s: Quantiles,
    method: Method,
    steps: Option<InSteps>,
}

/// All that was asked; what nothing tells is `None`.
pub(super) struct Answers<'a> {
    worlds: Worlds<'a>,
    at_speeds: BTreeMap<Question, Option<Vec<Speed>>>,
    by_question: BTreeMap<Question, Option<Answer>>,
}

/// Which questions are worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Worked {
    /// All.
    All,
    /// Of so many canopies of a stage those at the highest speeds: at much less the same canopies pull less.
    Fastest,
}

/// Questions at less than this share of the highest speed are not among the fastest.
const MUCH_LESS: f64 = 0.8;

impl<'a> Answers<'a> {
    pub fn to(inputs: &'a Inputs<'a>, questions: impl Iterator<Item = Question>, worked: Worked) -> Self {
        let worlds = Worlds::new(inputs);
        let mut by_question: BTreeMap<Question, Option<Answer>> =
            questions.map(|question| (question, None)).collect();
        let at_speeds: BTreeMap<Question, Option<Vec<Speed>>> =
            by_question.keys().map(|question| (question.at_speed(), None)).collect();
        let at_speeds: BTreeMap<Question, Option<Vec<Speed>>> =
            at_speeds.into_keys().map(|question| (question, speeds(&worlds, &question))).collect();
        if worked == Worked::Fastest {
            let hardly: BTreeMap<Question, f64> = at_speeds
                .iter()
                .filter_map(|(question, speeds)| Some((*question, at_95(speeds.as_ref()?)?)))
                .collect();
            let highest = |stage: usize| {
                let of_stage = hardly.iter().filter(|(question, _)| question.stage == stage);
                of_stage.map(|(_, speed)| *speed).fold(0.0, f64::max)
            };
            // What has no speed stays, and has no answer.
            by_question.retain(|question, _| {
                hardly
                    .get(&question.at_speed())
                    .is_none_or(|speed| *speed >= MUCH_LESS * highest(question.stage))
            });
        }
        by_question.par_iter_mut().for_each(|(question, answer)| {
            let speeds = at_speeds[&question.at_speed()].as_deref();
            *answer = speeds.and_then(|speeds| answer_to(&worlds, question, speeds));
        });
        Answers { worlds, at_speeds, by_question }
    }

    /// Whether a question was not worked since another pulls harder.
    pub fn left_out(&self, question: &Question) -> bool {
        !self.by_question.contains_key(question)
    }

    /// The pull of all together, and `part` of it on one canopy.
    pub fn pull(&self, question: &Question, part: f64) -> Option<Pull> {
        let answer = self.by_question.get(question)?.as_ref()?;
        Some(Pull {
            on_one_canopy_n: answer.force_n.times(part),
            on_all_n: answer.force_n,
            speed_m_per_s: answer.speed_m_per_s,
            method: answer.method,
            steps: answer.steps.as_ref().map(|steps| InSteps {
                held_n: steps.held_n.times(part),
                after_n: steps.after_n.times(part),
                ..*steps
            }),
        })
    }

    /// Values of each draw.
    pub fn worlds(&self) -> &Worlds<'a> {
        &self.worlds
    }

    /// Speed at line stretch in each draw, m/s.
    pub fn speeds(&self, question: &Question) -> Option<Vec<f64>> {
        let speeds = self.at_speeds.get(&question.at_speed())?.as_ref()?;
        Some(speeds.iter().copied().map(size).collect())
    }

    /// What was asked, as printed.
    pub fn asked(&self, question: &Question) -> String {
        match (question.when, question.before) {
            (When::Late, _) => {
                format!("{} s late", self.worlds.inputs.asked.late_s.unwrap_or_default())
            }
            (When::AtTheTop, _) => "open at the top".to_owned(),
            (When::Planned, _) => "nothing opened before".to_owned(),
        }
    }

    /// Whether the filling of a stage rests on a value from memory.
    pub fn rests_on_memory(&self, stage: usize) -> bool {
        let (plan, filling) = &self.worlds.inputs.stages[stage];
        let held = plan.reefing.iter().flat_map(|held| [Some(&held.growth), held.first.as_ref()]).flatten();
        let mut all = [&filling.growth, &filling.factor].into_iter().chain(held);
        all.any(|of| self.worlds.draws.rests_on_memory(of))
    }
}

/// What 95 of 100 speeds stay below, m/s.
fn at_95(speeds: &[Speed]) -> Option<f64> {
    Some(Sample::new(speeds.iter().copied().map(size).collect())?.quantile(0.95))
}

/// Speed at line stretch in each draw.
fn speeds(worlds: &Worlds<'_>, question: &Question) -> Option<Vec<Speed>> {
    worlds.drawn.iter().map(|world| question.speed(worlds, world)).collect()
}

fn answer_to(worlds: &Worlds<'_>, question: &Question, speeds: &[Speed]) -> Option<Answer> {
    let worlds_at_speed = worlds.drawn.iter().zip(speeds);
    let settings: Vec<Setting<'_>> = worlds_at_speed
        .map(|(world, speed)| Setting::new(worlds, question.stage, question.filled, world, *speed))
        .collect();
    let opened = Setting::open(&settings, worlds);
    let steps: Vec<Steps> = opened.iter().filter_map(|opening| opening.steps).collect();
    let of = |value: fn(&Steps) -> f64| quantiles(steps.iter().map(value));
    let level = steps.is_empty() && opened.iter().all(|opening| opening.gravity < GRAVITY_MATTERS);
    Some(Answer {
        force_n: quantiles(opened.iter().map(|opening| opening.force_n))?,
        speed_m_per_s: quantiles(speeds.iter().copied().map(size))?,
        method: if level { Method::HorizontalClosedForm } else { Method::Integrated },
        steps: of(|steps| steps.held_n).and_then(|held_n| {
            Some(InSteps {
                held_n,
                after_n: of(|steps| steps.after_n)?,
                let_go_m_per_s: of(|steps| steps.let_go_m_per_s)?,
                lost_m: of(|steps| steps.lost_m)?,
            })
        }),
    })
}

pub(super) fn quantiles(values: impl Iterator<Item = f64>) -> Option<Quantiles> {
    let sample = Sample::new(values.collect())?;
    Some(Quantiles {
        low: sample.quantile(0.025),
        median: sample.quantile(0.5),
        p95: sample.quantile(0.95),
        high: sample.quantile(0.975),
        standard_error: sample.quantile_standard_error(0.95),
    })
}
