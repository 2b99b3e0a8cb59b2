//! Loads of a part under the canopies chosen, as rows of the sheet.
//!
//! The simulation is core's ([`silkfall_core::loads`]); here stands what it is fed: the stages, air and start that the landing
//! flies too, and how canopies fill. Exponent and opening force factor come from the shape, from memory of a handbook; the
//! air taken along from a judgement of ours.

mod opening;
mod reefing;
mod snatch;

use std::collections::BTreeSet;

use silkfall_core::cases::{Case, Load};
use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::finding::Code;
use silkfall_core::full_size::Offer;
use silkfall_core::landing::PlannedStage;
use silkfall_core::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use silkfall_core::loads::{
    Asked, DRAWS, Entry as Row, Event, FACTOR_SOURCE, Filling, GROWTH_SOURCE, Inflation, Inputs, Method,
    PeakLoad, Quantiles, hardest, inflation, work,
};
use silkfall_core::quantity::{Kind, Ratio, System, show};
use silkfall_core::shapes::Range;
use silkfall_project::landing::Stage;
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Quantity};

use super::canopy::{Canopy, anywhere, remembered_of};
use super::landing::Fall;
use super::notes::Notes;
use super::tests::{entry, exact_or};
use crate::from_memory::sources_of;
use crate::loads::{LoadSheet, PullSheet, StepsSheet, WorstSheet};
use crate::number::Number;
use crate::opening::{AskedSheet, OpeningsSheet};

/// Air taken along over a half sphere of the mouth, from and to: a judgement of ours.
const AIR: Range = Range { low: 0.5, high: 1.5 };

/// What loads are worked from.
pub(super) struct Given<'a> {
    pub fall: &'a Fall<'a>,
    pub load: &'a Load,
    pub offer: Option<&'a Offer>,
    pub cases: &'a [Case],
    pub ledger: &'a Ledger,
    pub seed: u64,
}

/// The loads of a part.
#[derive(Default)]
pub(super) struct Loads {
    /// Cases × canopies × 2.
    pub rows: Vec<LoadSheet>,
    /// The same as core made them.
    pub entries: Vec<Row>,
    /// What was asked, and how openings run; `None` where the stages do not say enough.
    pub openings: Option<OpeningsSheet>,
}

impl Given<'_> {
    /// All loads as rows of the sheet, and as core made them.
    pub fn work(&self, notes: &mut Notes) -> Loads {
        let Some((stages, ledger)) = self.stages(notes) else { return Loads::default() };
        let part = self.fall.reading.part;
        let asked = self.asks();
        let loads = work(&self.inputs(&stages, &asked, &ledger));
        self.say_share(&loads.entries, notes);
        let openings = OpeningsSheet {
            asked: self.asked(&asked),
            traces: loads.traces.iter().map(|trace| opening::trace(part, trace, notes)).collect(),
            lag: loads.lag.as_ref().map(|lag| opening::lag(part, lag, notes)),
            reefing: reefing::sheets(part, &loads.sweeps, notes),
        };
        let rows: Vec<LoadSheet> = loads.entries.iter().map(|row| self.sheet(row.clone(), notes)).collect();
        snatch::say_broken(part, &rows, notes);
        self.remember(&rows, sources_of(&ledger, stages.iter().flat_map(drawn)), notes);
        Loads { rows, entries: loads.entries, openings: Some(openings) }
    }

    /// The hardest of them as core made them, without what figures show: to weigh a candidate by.
    pub fn hardest(&self, notes: &mut Notes) -> Vec<Row> {
        let Some((stages, ledger)) = self.stages(notes) else { return Vec::new() };
        hardest(&self.inputs(&stages, &self.asks(), &ledger))
    }

    /// What the loads rest on that is remembered.
    fn remember(&self, rows: &[LoadSheet], remembered: BTreeSet<String>, notes: &mut Notes) {
        let pulls = rows.iter().filter_map(|row| row.load.as_ref().ok()).filter(|pull| pull.rests_on_memory);
        for pull in pulls {
            let worst = pull.worst.iter().flat_map(|worst| [&worst.at_95, &worst.all_at_95]);
            let steps = pull.steps.iter().flat_map(|steps| [&steps.held_at_95, &steps.after_at_95]);
            for number in [&pull.force, &pull.at_95, &pull.all_at_95].into_iter().chain(worst).chain(steps) {
                notes.remember(&number.id.0, remembered.clone());
            }
        }
        notes.remember(&format!("parts.{}.openings.lag", self.fall.reading.part.name.value), remembered);
    }

    /// What opens and how it fills, with all entries; `None` where the stages do not say enough, which the landing says.
    fn stages(&self, notes: &mut Notes) -> Option<(Vec<(PlannedStage, Filling)>, Ledger)> {
        let Fall { reading, planned, notes: of_fall } = self.fall;
        let mut own = Notes::default();
        let stages = match planned {
            Ok(planned) => planned.stages.clone(),
            Err(_) => reading.stages(&mut own, &mut Vec::new()).ok()?,
        };
        own.ledger.take_in(&of_fall.ledger);
        // What the landing finds about stages and winds it says itself.
        own.findings.clear();
        let stages = stages
            .into_iter()
            .map(|stage| {
                let filling = self.filling(&stage, &mut own);
                (stage, filling)
            })
            .collect();
        let mut ledger = self.ledger.clone();
        ledger.take_in(&own.ledger);
        notes.merge(own);
        Some((stages, ledger))
    }

    fn inputs<'b>(
        &'b self,
        stages: &'b [(PlannedStage, Filling)],
        asked: &'b Asked,
        ledger: &'b Ledger,
    ) -> Inputs<'b> {
        let Fall { reading, planned, .. } = self.fall;
        let planned = planned.as_ref().ok();
        Inputs {
            load: self.load,
            rig: reading.rig,
            cases: self.cases,
            stages,
            start: planned.map(|planned| (&planned.start.top_m, &planned.start.speed_m_per_s)),
            column: planned.map(|planned| &planned.column),
            asked,
            share: reading.part.opening.share_of_one.given().map(Quantity::si),
            ledger,
        }
    }

    /// What the project asks beside the plan.
    fn asks(&self) -> Asked {
        let opening = &self.fall.reading.part.opening;
        Asked {
            late_s: opening.late.given().map(Quantity::si).filter(|late| *late > 0.0),
            alone: opening.nothing_before.given() != Some(&false),
            at_the_top: opening.at_the_top.given() != Some(&false),
        }
    }

    /// What was asked beside the plan, and whether the project says so.
    fn asked(&self, asked: &Asked) -> Vec<AskedSheet> {
        let said = &self.fall.reading.part.opening;
        let sheet = |id: String, asked, stated: bool| AskedSheet { id, asked, stated };
        let late = asked.late_s.map_or_else(|| "late".to_owned(), |late| format!("{late} s late"));
        vec![
            sheet(late, asked.late_s.is_some(), !said.late.is_absent()),
            sheet("nothing opened before".to_owned(), asked.alone, !said.nothing_before.is_absent()),
            sheet("open at the top".to_owned(), asked.at_the_top, !said.at_the_top.is_absent()),
        ]
    }

    /// A stated share of one canopy that is milder than what is worked is not used, and said.
    fn say_share(&self, rows: &[Row], notes: &mut Notes) {
        let part = self.fall.reading.part;
        let loads = rows.iter().filter_map(|row| row.load.as_ref().ok());
        let milder = loads
            .filter_map(|load| Some((load, load.stated_share?)))
            .filter(|(_, stated)| !stated.used)
            .max_by(|a, b| a.0.design.on_one_canopy_n.p95.total_cmp(&b.0.design.on_one_canopy_n.p95));
        let Some((load, stated)) = milder else { return };
        let force = |si: f64| show(si, 0.05 * si, Kind::Force, System::Si);
        let message = format!(
            "{} of what all pull together makes {} on one canopy, {} are worked of one that catches the whole mass ({})",
            show(stated.share, 0.0, Kind::Share, System::Si),
            force(stated.p95_n),
            force(load.design.on_one_canopy_n.p95),
            load.case,
        );
        let key = format!("part.{}.opening.share_of_one", part.name.value);
        notes.find_at(Code::OpeningShareTooSmall, &key, part.opening.share_of_one.spot(), message);
    }

    /// How the canopies of a stage fill: as stated, else as remembered of the shape.
    fn filling(&self, stage: &PlannedStage, notes: &mut Notes) -> Filling {
        let rig = self.fall.reading.rig;
        let canopy = Canopy::of(&stage.brakes, rig, self.offer);
        let (shape, of) = (canopy.shape, canopy.named());
        let Inflation { growth, factor, .. } = inflation(shape);
        let stated = self.fall.reading.part.stages.iter().find(|said| said.name.value == stage.name);
        let part = self.fall.reading.part;
        let measured = stated.map(|stated| Measured { part, stated });
        let said = |key: &str,
                    meaning: &str,
                    notes: &mut Notes,
                    of: fn(&Stage) -> &Known<Quantity<Ratio>>| {
            measured.as_ref().and_then(|measured| measured.estimate(key, meaning, of(measured.stated), notes))
        };
        let growth_means = "exponent by which the drag area grows";
        let growth = match said("growth", growth_means, notes, |stage| &stage.growth) {
            Some(growth) => growth,
            None => remembered_of(of, "growth", growth_means, growth, GROWTH_SOURCE, notes),
        };
        let factor_means = "opening force factor";
        let factor = match said("opening_force", factor_means, notes, |stage| &stage.opening_force) {
            Some(factor) => factor,
            None => remembered_of(of, "opening-force", factor_means, factor, FACTOR_SOURCE, notes),
        };
        let id = LedgerId("canopies.air-taken-along".to_owned());
        notes.enter(
            &id,
            Entry {
                meaning: "air taken along, over a half sphere of the mouth".to_owned(),
                value: AIR.middle(),
                distribution: Distribution::Rectangular { low: AIR.low, high: AIR.high },
                sharing: Sharing::Knowledge,
                trust: Trust::Assumed("a judgement of ours".to_owned()),
            },
        );
        let thrown = stated.and_then(|stated| snatch::thrown(&stated.cord, part, stage, rig, notes));
        Filling { growth, factor, air: anywhere(id, AIR), mouth_m: canopy.mouth_m, thrown }
    }

    fn sheet(&self, row: Row, notes: &mut Notes) -> LoadSheet {
        let Row { case, canopy, event, load } = row;
        let id = format!("{case}, {canopy}, {}", event.word());
        let path = format!("parts.{}.loads.{id}", self.fall.reading.part.name.value);
        let part = self.fall.reading.part;
        let of_canopies = |stage: &&Stage| stage.opens_canopies();
        let stage = part.stages.iter().find(|stage| stage.name.value == canopy && !stage.opens_canopies());
        let stage = stage.or_else(|| part.stages.iter().find(of_canopies));
        let load = load.map(|peak| self.pull(&path, stage, &peak, notes));
        LoadSheet { id, case, canopy, event, load }
    }

    fn pull(&self, path: &str, stage: Option<&Stage>, peak: &PeakLoad, notes: &mut Notes) -> PullSheet {
        let design = &peak.design;
        let mut number = |name: &str, of: Figure, kind: Kind, procedure: &str| {
            let id = format!("{path}.{name}");
            let number = match of {
                Figure::Spread(of) => {
                    Number::between(id, of.median, Interval { low: of.low, high: of.high }, kind)
                }
                Figure::At95(of) => {
                    let half = of.half_width_of_p95();
                    Number::between(id, of.p95, Interval { low: of.p95 - half, high: of.p95 + half }, kind)
                }
            };
            notes.number(
                number,
                How::Simulation { procedure: procedure.to_owned(), trials: DRAWS, seed: self.seed },
            )
        };
        let (why, procedure) = match design.method {
            Method::Integrated if design.steps.is_some() => {
                ("it opens in two steps, each stepped with gravity", IN_STEPS)
            }
            Method::HorizontalClosedForm => {
                ("g t_f/v stays below 0.03 in all draws: gravity does not count while it fills", HORIZONTAL)
            }
            Method::Integrated => {
                ("g t_f/v reaches 0.03: gravity adds to the load while it fills", INTEGRATED)
            }
            Method::Energy => ("what parts is stopped by its cord", snatch::SNATCH),
        };
        let speed = if peak.event == Event::Snatch { snatch::APART } else { SPEED };
        let mut pull = PullSheet {
            speed: number("speed", Figure::Spread(design.speed_m_per_s), Kind::Speed, speed),
            force: number("force", Figure::Spread(design.on_one_canopy_n), Kind::Force, procedure),
            at_95: number("at_95", Figure::At95(design.on_one_canopy_n), Kind::Force, procedure),
            all_at_95: number("all_at_95", Figure::At95(design.on_all_n), Kind::Force, procedure),
            worst: peak.worst.as_ref().map(|(asked, pull)| WorstSheet {
                asked: asked.clone(),
                speed: number("worst.speed", Figure::Spread(pull.speed_m_per_s), Kind::Speed, speed),
                at_95: number("worst.at_95", Figure::At95(pull.on_one_canopy_n), Kind::Force, procedure),
                all_at_95: number("worst.all_at_95", Figure::At95(pull.on_all_n), Kind::Force, procedure),
            }),
            method: design.method,
            why,
            by_stated_share: peak.stated_share.is_some_and(|stated| stated.used),
            rests_on_memory: peak.rests_on_memory,
            snatch: None,
            steps: design.steps.as_ref().map(|steps| {
                let mut of =
                    |name: &str, of: Figure, kind| number(&format!("steps.{name}"), of, kind, IN_STEPS);
                StepsSheet {
                    held_at_95: of("held_at_95", Figure::At95(steps.held_n), Kind::Force),
                    after_at_95: of("after_at_95", Figure::At95(steps.after_n), Kind::Force),
                    let_go: of("let_go", Figure::Spread(steps.let_go_m_per_s), Kind::Speed),
                    lost: of("lost", Figure::Spread(steps.lost_m), Kind::Length),
                }
            }),
        };
        pull.snatch = peak
            .parting
            .as_ref()
            .and_then(|parting| snatch::sheet(self.fall.reading.part, stage?, (parting, &pull), path, notes));
        pull
    }
}

/// Which quantiles a number shows.
enum Figure {
    /// The median and where 95 of 100 lie.
    Spread(Quantiles),
    /// What 95 of 100 stay below.
    At95(Quantiles),
}

const SPEED: &str = "The fall from the start to line stretch under what brakes before, dv/dt = g − ρ D v²/(2 m), in closed form at \
                     the density of the opening, over draws of mass, air, areas, heights and times (Latin hypercube).";
const INTEGRATED: &str = "F = C_X x ½ ρ v² (C_D S)₀, x the peak of the opening stepped with gravity, finite mass and the air taken \
                          along, over draws of speed, mass, air, area, diameters to fill over, exponent and opening force \
                          factor (Latin hypercube).";
const IN_STEPS: &str = "F = C_X x ½ ρ v² (C_D S)₀, x the larger peak of two steps with gravity, finite mass and the air taken along: the held \
                        share fills over n D₀ √ζ, and once it is let go the rest over n D₀ √(1 − ζ) or the slider's time, over draws \
                        (Latin hypercube).";
const HORIZONTAL: &str = "F = C_X X₁ ½ ρ v² (C_D S)₀, X₁ the peak of the horizontal closed form u = 1/(1 + τ^(j+1)/(A (j+1))), over \
                          draws of speed, mass, air, area, diameters to fill over, exponent and opening force factor (Latin \
                          hypercube).";

/// A value that a test of this stage's canopies told, or that was given.
struct Measured<'a> {
    part: &'a Part,
    stated: &'a Stage,
}

impl Measured<'_> {
    fn estimate(
        &self,
        key: &str,
        meaning: &str,
        known: &Known<Quantity<Ratio>>,
        notes: &mut Notes,
    ) -> Option<Estimate> {
        let quantity = known.given()?;
        let name = &self.stated.name.value;
        let id = LedgerId(format!("part.{}.stage.{name}.{key}", self.part.name.value));
        let (meaning, trust) = match self.stated.filling_from.given() {
            Some(source) => (format!("{meaning} of {name}: {source}"), Trust::Measured),
            None => (format!("{meaning} of {name}"), Trust::Given),
        };
        notes.enter(&id, Entry { trust, ..entry(meaning, quantity) });
        Some(exact_or(quantity.si(), id, quantity.standard_uncertainty_si()))
    }
}

/// What the filling of a stage is drawn from.
fn drawn((stage, filling): &(PlannedStage, Filling)) -> impl Iterator<Item = &Estimate> {
    stage.filled_over().chain([&filling.growth, &filling.factor])
}
