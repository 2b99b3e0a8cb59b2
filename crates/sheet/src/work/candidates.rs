//! Candidates as lines of the sheet: those that stay first, then the rest, each with why it stays or goes.
//!
//! What one takes more than another is the difference of their costs, X = x₂ − x₁, in the unit of each cost.

use silkfall_core::candidates::{Candidates, Cost, Costs, Entry, EntryCase, Neighbour, Standing};
use silkfall_core::cases::Trials;
use silkfall_core::derivation::{How, NumberId};
use silkfall_core::drag::Interval;
use silkfall_core::quantity::{Kind, System, show};

use super::notes::{Notes, closed, input};
use crate::number::Number;
use crate::sheet::{CandidateCase, CandidateSheet, CandidateStanding, CostsSheet, NeighbourSheet};
use silkfall_core::derivation::{num, sym};
use silkfall_core::ledger::Trust;

/// All entries of a part; `choice` is the id of the one that the cases stand for.
pub(super) fn sheets(
    part: &str,
    candidates: &Candidates,
    choice: Option<&str>,
    notes: &mut Notes,
) -> Vec<CandidateSheet> {
    let chosen = choice.and_then(|id| candidates.entries.iter().find(|entry| entry.id == id));
    let list = List { part, candidates, chosen };
    let stays = candidates.kept.iter().copied();
    let goes = (0..candidates.entries.len()).filter(|i| !candidates.kept.contains(i));
    stays.chain(goes).map(|i| list.one(&candidates.entries[i], notes)).collect()
}

struct List<'a> {
    part: &'a str,
    candidates: &'a Candidates,
    chosen: Option<&'a Entry>,
}

impl List<'_> {
    fn one(&self, entry: &Entry, notes: &mut Notes) -> CandidateSheet {
        let path = self.path(&entry.id);
        let each = |si: Option<f64>, name: &str, kind: Kind, what: &str, notes: &mut Notes| {
            let total = si?;
            let each = total / entry.count as f64;
            let how = closed(
                "X",
                what,
                kind,
                num(entry.count as f64) * sym("x"),
                vec![input("x", "of one canopy, by the offer", each, kind, Trust::Given, None)],
                Trust::Practice,
            );
            Some(notes.derived(Number::exact(format!("{path}.{name}"), total, kind), how))
        };
        let diameter = entry.canopy.as_ref().and_then(|canopy| canopy.nominal_diameter_m).map(|si| {
            let text = show(si, 0.0, Kind::Length, System::Si);
            notes.given(
                Number::exact(format!("{path}.diameter"), si, Kind::Length),
                &format!("offer.{}", entry.offer),
                &text,
            )
        });
        let margin = entry.worst_margin.map(|si| {
            let number = Number::exact(format!("{path}.margin"), si, Kind::Share);
            notes.number(
                number,
                self.simulation("The least over the judged cases of the sure share less the wanted share."),
            )
        });
        CandidateSheet {
            id: entry.id.clone(),
            offer: entry.offer.clone(),
            count: entry.count,
            diameter,
            standing: self.standing(entry, &path, notes),
            beside: entry.beside.clone(),
            over_choice: self.over_choice(entry, &path, notes),
            next_smaller: self.neighbour(entry, entry.next_smaller.as_ref(), "next_smaller", notes),
            next_larger: self.neighbour(entry, entry.next_larger.as_ref(), "next_larger", notes),
            verdict: entry.verdict,
            cases: entry.cases.iter().filter_map(|case| self.case(case, &path, notes)).collect(),
            margin,
            mass: each(entry.costs.mass_kg, "mass", Kind::Mass, "mass of the canopies", notes),
            volume: each(
                entry.costs.volume_m3,
                "volume",
                Kind::Volume,
                "packed volume of the canopies",
                notes,
            ),
            price: each(entry.costs.price, "price", Kind::Money, "price, those owned being free", notes),
        }
    }

    fn simulation(&self, procedure: &str) -> How {
        let Trials { count, seed } = self.candidates.trials;
        How::Simulation {
            procedure: format!("{procedure} All candidates see the same draws (JCGM 101:2008)."),
            trials: count,
            seed,
        }
    }

    fn case(&self, case: &EntryCase, path: &str, notes: &mut Notes) -> Option<CandidateCase> {
        let rate = case.rate_m_per_s?;
        let id = |name: &str| format!("{path}.cases.{}.{name}", case.case);
        let interval = Interval { low: rate.low, high: rate.high };
        let number = Number::between(id("rate"), rate.median, interval, Kind::Speed);
        let rate = notes.number(number, self.simulation("v = √(2 m g/(ρ D)) in simulated flights."));
        let share = case.share.as_ref().map(|share| {
            let number = Number::between(id("share"), share.best, share.interval, Kind::Share);
            notes.number(number, self.simulation("The share of simulated flights within the limit."))
        });
        let at_worst = case.share.as_ref().map(|share| {
            let number = Number::exact(id("at_worst"), share.at_worst, Kind::Share);
            notes.number(number, self.simulation("The share that is 95 % sure."))
        });
        Some(CandidateCase { case: case.case.clone(), rate, share, at_worst, verdict: case.verdict })
    }

    fn path(&self, id: &str) -> String {
        format!("parts.{}.candidates.{id}", self.part)
    }

    fn standing(&self, entry: &Entry, path: &str, notes: &mut Notes) -> CandidateStanding {
        match &entry.standing {
            Standing::Kept => CandidateStanding::Stays,
            Standing::Misses { case, .. } => CandidateStanding::Misses { case: case.clone() },
            Standing::BeatenBy { id } => CandidateStanding::BeatenBy { id: id.clone() },
            Standing::OutOfBounds { cost, bound, .. } => {
                let (kind, key) = match cost {
                    Cost::Mass => (Kind::Mass, "mass_at_most"),
                    Cost::Volume => (Kind::Volume, "room"),
                    Cost::Price => (Kind::Money, "price_at_most"),
                };
                let bound = notes.given(
                    Number::exact(format!("{path}.bound"), *bound, kind),
                    &format!("part.{}.rig.{key}", self.part),
                    &show(*bound, 0.0, kind, System::Si),
                );
                CandidateStanding::OutOfBounds { cost: *cost, bound }
            }
            Standing::RuledOut { by, reason } => {
                CandidateStanding::RuledOut { by: *by, reason: reason.clone() }
            }
            Standing::NoAnswer { reason } => CandidateStanding::NoAnswer { reason: reason.clone() },
        }
    }

    fn over_choice(&self, entry: &Entry, path: &str, notes: &mut Notes) -> Option<CostsSheet> {
        let chosen =
            self.chosen.filter(|chosen| chosen.id != entry.id && entry.standing == Standing::Kept)?;
        Some(self.more(&format!("{path}.over_choice"), entry, chosen, notes))
    }

    fn neighbour(
        &self,
        of: &Entry,
        next: Option<&Neighbour>,
        name: &str,
        notes: &mut Notes,
    ) -> Option<NeighbourSheet> {
        let next = next?;
        let other = self.candidates.entries.iter().find(|entry| entry.id == next.id)?;
        Some(NeighbourSheet {
            id: other.id.clone(),
            offer: other.offer.clone(),
            count: other.count,
            verdict: next.verdict,
            case: next.case.clone(),
            beside: next.beside.clone(),
            more: self.more(&format!("{}.{name}.more", self.path(&of.id)), other, of, notes),
        })
    }

    /// What `entry` takes more than `than`.
    fn more(&self, path: &str, entry: &Entry, than: &Entry, notes: &mut Notes) -> CostsSheet {
        let mut one = |name: &str, kind: Kind, of: fn(&Costs) -> Option<f64>| {
            let (this, other) = (of(&entry.costs)?, of(&than.costs)?);
            if (this - other).abs() < 1e-9 {
                return None;
            }
            let cost = |symbol, meaning: &str, entry: &Entry, si| {
                let number = NumberId(format!("{}.{name}", self.path(&entry.id)));
                input(symbol, meaning, si, kind, Trust::Given, Some(&number))
            };
            let how = closed(
                "X",
                "what one candidate takes more than the other",
                kind,
                sym("x_2") - sym("x_1"),
                vec![cost("x_2", "of the one", entry, this), cost("x_1", "of the other", than, other)],
                Trust::Practice,
            );
            Some(notes.derived(Number::exact(format!("{path}.{name}"), how.si, kind), how))
        };
        CostsSheet {
            mass: one("mass", Kind::Mass, |costs| costs.mass_kg),
            volume: one("volume", Kind::Volume, |costs| costs.volume_m3),
            price: one("price", Kind::Money, |costs| costs.price),
        }
    }
}
