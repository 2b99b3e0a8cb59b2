//! The table of loads of a part: case × canopy × snatch or opening, by draws of everything uncertain.
//!
//! Speed at line stretch: on the way down under what braked before ([`way`]). Opening: F = C_X x ½ ρ v_f² (C_D S)₀ with x of
//! [`Motion`](super::Motion), on draws of mass, air, drag area, speed, n, j, C_X and air taken along. Where g t_f/v stays below
//! [`GRAVITY_MATTERS`](super::GRAVITY_MATTERS) in all draws, x is the horizontal closed form. `each`: all canopies fill together
//! and share alike. `leading`: one canopy catches the whole mass before any other fills, which bounds it whatever the lag; a stated
//! share of what all pull together takes its place only where that is more.
//!
//! What several cases ask alike is worked once ([`answers`]).
//!
//! Source: Newton's second law; Latin hypercube of [`DRAWS`] draws. Assumed: air taken along is a half sphere of the canopy's mouth,
//! from half to one and a half of it (a judgement of ours). Not here: shares of a cluster that are drawn.

mod answers;
mod drawn_out;
mod setting;
mod snatches;
mod way;
mod worlds;

pub use drawn_out::{Lag, Sweep, SweepRow, Trace};

use super::{Entry, Event, NoLoad, PeakLoad, Pull, StatedShare};
use crate::cases::draws::SLICE;
use crate::cases::engine::State;
use crate::cases::{Case, CaseKind, Load, Rig};
use crate::landing::{Brakes, Column, PlannedStage};
use crate::ledger::{Estimate, Ledger};
use answers::{Answers, Before, Question, When, Worked};

/// Draws behind the quantiles of a load.
pub const DRAWS: usize = 2 * SLICE;

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
    /// What is thrown out when the stage begins, where that is stated.
    pub thrown: Option<Thrown>,
}

/// What is thrown out when a stage begins, and the cord at whose end it snatches; of several canopies one, on a cord of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Thrown {
    /// At the far end of the cord, kg.
    pub mass_kg: Estimate,
    /// Speed at which the two are apart when the cord comes taut, m/s; `None`: all of the speed at that moment bounds it.
    pub apart_m_per_s: Option<Estimate>,
    /// Of the cord, m.
    pub length_m: Estimate,
    /// At its break, over its length.
    pub stretch: Estimate,
    /// Of the cord, N.
    pub strength_n: Estimate,
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
    /// A stated share of what several canopies pull together, on the hardest loaded of them.
    pub share: Option<f64>,
    /// All entries.
    pub ledger: &'a Ledger,
}

impl Inputs<'_> {
    /// All that comes down, kg.
    fn total_kg(&self) -> f64 {
        self.load.mass_kg.value + self.rig.count as f64 * self.rig.mass_each_kg
    }

    fn has_its_own(&self, stage: usize) -> bool {
        matches!(self.stages[stage].0.brakes, Brakes::Own { .. })
    }
}

/// Names of the canopies in the table: stages of their own, then `each` and, of several, `leading`.
pub fn canopies(stages: &[(PlannedStage, Filling)], count: usize) -> Vec<(usize, String)> {
    let mut names = Vec::new();
    for (at, (stage, _)) in stages.iter().enumerate() {
        match stage.brakes {
            Brakes::Own { .. } => names.push((at, stage.name.clone())),
            Brakes::Canopies => {
                names.push((at, EACH.to_owned()));
                if count > 1 {
                    names.push((at, LEADING.to_owned()));
                }
            }
        }
    }
    names
}

/// All canopies of the choice fill together.
const EACH: &str = "each";
/// One of them catches the whole mass.
const LEADING: &str = "leading";

/// The loads of a part, and what figures show of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Cases × canopies × 2, in that order.
    pub entries: Vec<Entry>,
    /// Force against time, a canopy each.
    pub traces: Vec<Trace>,
    /// The leading one of several by the lag of the others.
    pub lag: Option<Lag>,
    /// Canopies that are held small, by how small.
    pub sweeps: Vec<Sweep>,
}

/// All loads, and what figures show of them.
pub fn work(inputs: &Inputs<'_>) -> Loads {
    let table = Table::new(inputs, Worked::All);
    let entries = table.entries();
    let hardest = table.hardest(&entries);
    let answers = &table.answers;
    Loads {
        traces: hardest.iter().filter_map(|hardest| hardest.trace(answers)).collect(),
        lag: hardest.iter().find_map(|hardest| hardest.lag(answers)),
        sweeps: hardest.iter().filter_map(|hardest| hardest.sweep(answers)).collect(),
        entries,
    }
}

/// All loads as far as they may be the hardest, in the same order, for weighing candidates: a row that is much slower at line
/// stretch than another of the same canopies takes the pull of that one.
pub fn hardest(inputs: &Inputs<'_>) -> Vec<Entry> {
    // A stated share is compared with the plan, whatever its speed.
    let worked = if inputs.share.is_some() { Worked::All } else { Worked::Fastest };
    Table::new(inputs, worked).entries()
}

/// The rows, what is asked of them, and the answers.
struct Table<'a> {
    rows: Vec<(Row<'a>, Result<Openings, NoLoad>)>,
    answers: Answers<'a>,
}

impl<'a> Table<'a> {
    fn new(inputs: &'a Inputs<'a>, worked: Worked) -> Self {
        let names = canopies(inputs.stages, inputs.rig.count);
        let rows: Vec<(Row<'_>, Result<Openings, NoLoad>)> = inputs
            .cases
            .iter()
            .flat_map(|case| {
                names.iter().map(move |(stage, canopy)| {
                    let row = Row { inputs, case, stage: *stage, canopy: canopy.clone() };
                    let openings = row.openings();
                    (row, openings)
                })
            })
            .collect();
        let questions = rows.iter().filter_map(|(_, plan)| plan.as_ref().ok()).flat_map(Openings::questions);
        let answers = Answers::to(inputs, questions, worked);
        Table { rows, answers }
    }

    fn entries(&self) -> Vec<Entry> {
        let both = |(row, plan): &(Row<'_>, Result<Openings, NoLoad>)| {
            let entry =
                |event, load| Entry { case: row.case.name.clone(), canopy: row.canopy.clone(), event, load };
            let opening = plan.clone().and_then(|plan| row.opening(&plan, &self.answers));
            let snatch = row.snatch(plan.as_ref().ok(), &self.answers);
            [entry(Event::Snatch, snatch), entry(Event::Opening, opening)]
        };
        self.rows.iter().flat_map(both).collect()
    }

    /// The hardest opening of each canopy, the first of equal ones.
    fn hardest(&self, entries: &[Entry]) -> Vec<Hardest<'_>> {
        let mut hardest: Vec<Hardest<'_>> = Vec::new();
        let openings = entries.iter().filter(|entry| entry.event == Event::Opening);
        for ((row, plan), entry) in self.rows.iter().zip(openings) {
            let (Ok(plan), Ok(load)) = (plan, &entry.load) else { continue };
            let p95_n = load.to_bear().on_one_canopy_n.p95;
            let asked = load.worst.as_ref().map(|(asked, _)| asked.clone());
            let new = Hardest { row, plan, p95_n, asked };
            match hardest.iter_mut().find(|other| other.row.canopy == row.canopy) {
                Some(old) if old.p95_n >= p95_n => {}
                Some(old) => *old = new,
                None => hardest.push(new),
            }
        }
        hardest
    }
}

/// The case whose opening is the hardest of a canopy.
struct Hardest<'a> {
    row: &'a Row<'a>,
    plan: &'a Openings,
    p95_n: f64,
    /// What was asked, where that is worse than the plan.
    asked: Option<String>,
}

impl Hardest<'_> {
    fn part(&self) -> f64 {
        1.0 / self.plan.sharing as f64
    }

    fn trace(&self, answers: &Answers<'_>) -> Option<Trace> {
        let mut lines = vec![(None, answers.trace(&self.plan.design, self.part())?)];
        let asked = self.plan.others.iter().find(|other| Some(answers.asked(other)) == self.asked);
        lines.extend(asked.and_then(|asked| Some((self.asked.clone(), answers.trace(asked, self.part())?))));
        let (canopy, case) = (self.row.canopy.clone(), self.row.case.name.clone());
        let weight_n = self.part() * answers.weight_n(&self.plan.design)?;
        Some(Trace { canopy, case, lines, weight_n })
    }

    /// Of all that fill in the case, for the leading one.
    fn lag(&self, answers: &Answers<'_>) -> Option<Lag> {
        let (plan, _) = &self.row.inputs.stages[self.row.stage];
        let leads = self.row.canopy == LEADING && plan.reefing.is_none();
        let filled = self.row.filled().ok().filter(|filled| leads && *filled > 1)?;
        Some(Lag {
            case: self.row.case.name.clone(),
            filled,
            points: answers.lag(&Question { filled, ..self.plan.design })?,
            bound_n: answers.best_n(&self.plan.design)?,
        })
    }

    fn sweep(&self, answers: &Answers<'_>) -> Option<Sweep> {
        let (plan, filling) = &self.row.inputs.stages[self.row.stage];
        plan.reefing.as_ref()?;
        Some(Sweep {
            canopy: self.row.canopy.clone(),
            case: self.row.case.name.clone(),
            mouth_m: filling.mouth_m,
            rows: answers.sweep(&self.plan.design, self.part())?,
        })
    }
}

/// A row of the table.
struct Row<'a> {
    inputs: &'a Inputs<'a>,
    case: &'a Case,
    stage: usize,
    canopy: String,
}

/// What is asked of a row's opening.
#[derive(Clone, Debug)]
struct Openings {
    design: Question,
    others: Vec<Question>,
    /// How many canopies share the pull.
    sharing: usize,
    /// How many they are of which a share on one is stated.
    together: Option<usize>,
}

impl Openings {
    fn questions(&self) -> impl Iterator<Item = Question> + '_ {
        let own = || [self.design].into_iter().chain(self.others.iter().copied());
        own().chain(
            self.together.into_iter().flat_map(move |filled| own().map(move |of| Question { filled, ..of })),
        )
    }
}

impl Row<'_> {
    /// How many canopies fill in this row's case, or why none does.
    fn filled(&self) -> Result<usize, NoLoad> {
        let does_not = |why: &str| Err(NoLoad::DoesNotApply(why.to_owned()));
        let own = self.inputs.has_its_own(self.stage);
        match (self.case.kind, State::of(self.case.kind, self.inputs.rig.count)) {
            (CaseKind::Nothing, _) => does_not("Nothing opens in this case."),
            (CaseKind::NoDrogue, _) if own => does_not("It does not open in this case."),
            _ if own => Ok(1),
            (CaseKind::EarlyOpening, _) => {
                Err(NoLoad::NotKnown("How fast it climbs when it opens is not known.".to_owned()))
            }
            (_, State::Open(open)) => Ok(open),
            (_, State::Unfilled(_)) => does_not("It comes out and does not fill in this case."),
            (_, State::Nothing) => does_not("No canopy opens in this case."),
        }
    }

    fn openings(&self) -> Result<Openings, NoLoad> {
        let count = self.filled()?;
        let (inputs, kind) = (self.inputs, self.case.kind);
        let alone = self.canopy == LEADING;
        let before =
            if kind == CaseKind::NoDrogue || self.stage == 0 { Before::Nothing } else { Before::All };
        let at_the_top = kind == CaseKind::MainAtTop && !inputs.has_its_own(self.stage);
        let when = if at_the_top { When::AtTheTop } else { When::Planned };
        let design = Question { stage: self.stage, filled: if alone { 1 } else { count }, before, when };
        let mut others = Vec::new();
        if !at_the_top {
            if inputs.asked.late_s.is_some() {
                others.push(Question { when: When::Late, ..design });
            }
            if inputs.asked.alone && before == Before::All {
                others.push(Question { before: Before::Nothing, ..design });
            }
            if inputs.asked.at_the_top {
                others.push(Question { when: When::AtTheTop, ..design });
            }
        }
        Ok(Openings {
            design,
            others,
            sharing: if alone { 1 } else { count },
            together: inputs.share.filter(|_| alone && count > 1).map(|_| count),
        })
    }

    fn opening(&self, plan: &Openings, answers: &Answers<'_>) -> Result<PeakLoad, NoLoad> {
        let unknown = || {
            let why = "Its speed at line stretch is not known: [flight] top says from where it falls.";
            NoLoad::NotKnown(why.to_owned())
        };
        let of = |question: &Question| answers.pull(question, 1.0 / plan.sharing as f64);
        // In place of a plan that is not worked stands what pulls harder.
        let stands_in = plan.others.iter().find(|other| !answers.left_out(other));
        let stands_in = stands_in.filter(|_| answers.left_out(&plan.design));
        if answers.left_out(&plan.design) && stands_in.is_none() {
            return Err(NoLoad::DoesNotApply("Another case pulls harder.".to_owned()));
        }
        let design = stands_in.unwrap_or(&plan.design);
        let worked = of(design).ok_or_else(unknown)?;
        let by_share = plan.together.zip(self.inputs.share).map(|(filled, share)| {
            move |question: &Question| answers.pull(&Question { filled, ..*question }, share)
        });
        let stated_share = by_share.and_then(|by_share| {
            let p95_n = by_share(design)?.on_one_canopy_n.p95;
            let used = p95_n > worked.on_one_canopy_n.p95;
            Some((StatedShare { share: self.inputs.share?, p95_n, used }, by_share))
        });
        let pull = |question: &Question| match &stated_share {
            Some((stated, by_share)) if stated.used => by_share(question),
            _ => of(question),
        };
        let planned = pull(design).ok_or_else(unknown)?;
        let harder = |pull: &Pull| pull.on_one_canopy_n.p95 > planned.on_one_canopy_n.p95;
        let worst = plan
            .others
            .iter()
            .filter_map(|question| Some((answers.asked(question), pull(question)?)))
            .filter(|(_, pull)| stands_in.is_some() || harder(pull))
            .max_by(|a, b| a.1.on_one_canopy_n.p95.total_cmp(&b.1.on_one_canopy_n.p95));
        Ok(PeakLoad {
            case: self.case.name.clone(),
            canopy: self.canopy.clone(),
            event: Event::Opening,
            design: planned,
            worst,
            stated_share: stated_share.map(|(stated, _)| stated),
            parting: None,
            mass_kg: self.inputs.total_kg(),
            rests_on_memory: answers.rests_on_memory(self.stage),
        })
    }
}
