//! Loads of a part under the canopies chosen, as rows of the sheet.
//!
//! The simulation is core's ([`silkfall_core::loads`]); here stands what it is fed: the stages, air and start that the landing
//! flies too, and how canopies fill. Exponent and opening force factor come from the shape, from memory of a handbook; the
//! air taken along from a judgement of ours.

use silkfall_core::cases::{Case, Load};
use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::full_size::Offer;
use silkfall_core::landing::{Brakes, PlannedFill, PlannedStage};
use silkfall_core::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use silkfall_core::loads::{
    Asked, DRAWS, Entry as Row, FACTOR_SOURCE, Filling, GROWTH_SOURCE, Inflation, Inputs, Method, PeakLoad,
    Quantiles, inflation, remembered, work,
};
use silkfall_core::maths::exp;
use silkfall_core::quantity::Kind;
use silkfall_core::shapes::{Range, Shape, circle_diameter_m};

use super::landing::Fall;
use super::notes::Notes;
use super::tests::exact_or;
use crate::from_memory::sources_of;
use crate::loads::{LoadSheet, PullSheet, WorstSheet};
use crate::number::Number;

/// Air taken along over a half sphere of the mouth, from and to: a judgement of ours.
const AIR: Range = Range { low: 0.5, high: 1.5 };
/// Mouth over nominal diameter where the shape does not say: that of solid cloth, from memory of Knacke, table 5-1.
const MOUTH: f64 = 0.68;

/// What loads are worked from.
pub(super) struct Given<'a> {
    pub fall: &'a Fall<'a>,
    pub load: &'a Load,
    pub offer: Option<&'a Offer>,
    pub cases: &'a [Case],
    pub ledger: &'a Ledger,
    pub seed: u64,
}

impl Given<'_> {
    /// All rows: cases × canopies × 2, and as core made them. Empty where the stages do not say enough, which the landing says.
    pub fn rows(&self, notes: &mut Notes) -> (Vec<LoadSheet>, Vec<Row>) {
        let Fall { reading, planned, notes: of_fall } = self.fall;
        let mut own = Notes::default();
        let stages = match planned {
            Ok(planned) => planned.stages.clone(),
            Err(_) => match reading.stages(&mut own, &mut Vec::new()) {
                Ok(stages) => stages,
                Err(_) => return (Vec::new(), Vec::new()),
            },
        };
        own.ledger.take_in(&of_fall.ledger);
        // What the landing finds about stages and winds it says itself.
        own.findings.clear();
        let stages: Vec<(PlannedStage, Filling)> = stages
            .into_iter()
            .map(|stage| {
                let filling = self.filling(&stage, &mut own);
                (stage, filling)
            })
            .collect();
        let mut ledger = self.ledger.clone();
        ledger.take_in(&own.ledger);
        notes.merge(own);
        let drawn = stages.iter().flat_map(|(stage, filling)| {
            let fill = match &stage.fill {
                PlannedFill::Time { s } => s,
                PlannedFill::Diameters { count, .. } => count,
            };
            [fill, &filling.growth, &filling.factor]
        });
        let remembered = sources_of(&ledger, drawn);
        let start = planned.as_ref().ok().map(|planned| &planned.start);
        let asked = Asked { late_s: None, alone: true, at_the_top: true };
        let rows = work(&Inputs {
            load: self.load,
            rig: reading.rig,
            cases: self.cases,
            stages: &stages,
            start: start.map(|start| (&start.top_m, &start.speed_m_per_s)),
            column: planned.as_ref().ok().map(|planned| &planned.column),
            asked: &asked,
            share: None,
            ledger: &ledger,
        });
        let sheets: Vec<LoadSheet> = rows.iter().map(|row| self.sheet(row, notes)).collect();
        for pull in sheets.iter().filter_map(|row| row.load.as_ref().ok()).filter(|pull| pull.rests_on_memory)
        {
            let worst = pull.worst.as_ref().map(|worst| &worst.at_95);
            for number in [&pull.force, &pull.at_95, &pull.all_at_95].into_iter().chain(worst) {
                notes.remember(&number.id.0, remembered.clone());
            }
        }
        (sheets, rows)
    }

    /// How the canopies of a stage fill: as stated, else as remembered of the shape.
    fn filling(&self, stage: &PlannedStage, notes: &mut Notes) -> Filling {
        let rig = self.fall.reading.rig;
        let (shape, diameter_m) = match &stage.brakes {
            Brakes::Canopies => (
                self.offer.and_then(|offer| offer.shape),
                rig.canopy.nominal_diameter_m.unwrap_or_else(|| circle_diameter_m(rig.canopy.area.value)),
            ),
            Brakes::Own { ln_area } => (None, circle_diameter_m(exp(ln_area.value))),
        };
        let of = shape.map_or("a canopy of no stated shape", Shape::name);
        let Inflation { growth, factor, .. } = inflation(shape);
        let mut known = |what: &str, meaning: &str, range: Range, source: &str| {
            let id = LedgerId(format!("shape.{of}.{what}"));
            notes.enter(&id, remembered(format!("{meaning} of {of}"), range, source));
            anywhere(id, range)
        };
        let stated = self.fall.reading.part.stages.iter().find(|said| said.name.value == stage.name);
        let growth = match stated.and_then(|said| said.growth.given()) {
            Some(growth) => Estimate::exact(growth.si()),
            None => known("growth", "exponent by which the drag area grows", growth, GROWTH_SOURCE),
        };
        let factor = known("opening-force", "opening force factor", factor, FACTOR_SOURCE);
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
        let ratio = shape.and_then(|shape| shape.row().projected_over_nominal).map_or(MOUTH, Range::middle);
        Filling { growth, factor, air: anywhere(id, AIR), mouth_m: ratio * diameter_m }
    }

    fn sheet(&self, row: &Row, notes: &mut Notes) -> LoadSheet {
        let Row { case, canopy, event, load } = row.clone();
        let id = format!("{case}, {canopy}, {}", event.word());
        let path = format!("parts.{}.loads.{id}", self.fall.reading.part.name.value);
        let load = load.map(|peak| self.pull(&path, &peak, notes));
        LoadSheet { id, case, canopy, event, load }
    }

    fn pull(&self, path: &str, peak: &PeakLoad, notes: &mut Notes) -> PullSheet {
        let design = &peak.design;
        let mut number = |name: &str, of: Figure, kind: Kind, procedure: &str| {
            let id = format!("{path}.{name}");
            let number = match of {
                Figure::Spread(of) => {
                    Number::between(id, of.median, Interval { low: of.low, high: of.high }, kind)
                }
                // The doubt of a 95th percentile is that of the draws behind it.
                Figure::At95(of) => {
                    let half = 1.96 * of.standard_error;
                    Number::between(id, of.p95, Interval { low: of.p95 - half, high: of.p95 + half }, kind)
                }
            };
            notes.number(
                number,
                How::Simulation { procedure: procedure.to_owned(), trials: DRAWS, seed: self.seed },
            )
        };
        let (why, procedure) = match design.method {
            Method::HorizontalClosedForm => {
                ("g t_f/v stays below 0.03 in all draws: gravity does not count while it fills", HORIZONTAL)
            }
            Method::Integrated | Method::Energy => {
                ("g t_f/v reaches 0.03: gravity adds to the load while it fills", INTEGRATED)
            }
        };
        PullSheet {
            speed: number("speed", Figure::Spread(design.speed_m_per_s), Kind::Speed, SPEED),
            force: number("force", Figure::Spread(design.on_one_canopy_n), Kind::Force, procedure),
            at_95: number("at_95", Figure::At95(design.on_one_canopy_n), Kind::Force, procedure),
            all_at_95: number("all_at_95", Figure::At95(design.on_all_n), Kind::Force, procedure),
            worst: peak.worst.as_ref().map(|(asked, pull)| WorstSheet {
                asked: asked.clone(),
                speed: number("worst.speed", Figure::Spread(pull.speed_m_per_s), Kind::Speed, SPEED),
                at_95: number("worst.at_95", Figure::At95(pull.on_one_canopy_n), Kind::Force, procedure),
            }),
            method: design.method,
            why,
            rests_on_memory: peak.rests_on_memory,
        }
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
const HORIZONTAL: &str = "F = C_X X₁ ½ ρ v² (C_D S)₀, X₁ the peak of the horizontal closed form u = 1/(1 + τ^(j+1)/(A (j+1))), over \
                          draws of speed, mass, air, area, diameters to fill over, exponent and opening force factor (Latin \
                          hypercube).";

/// Anywhere in a range alike.
fn anywhere(id: LedgerId, range: Range) -> Estimate {
    exact_or(range.middle(), id, range.standard_uncertainty())
}
