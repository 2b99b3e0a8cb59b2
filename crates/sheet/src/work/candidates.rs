//! Candidates as lines of the sheet: those that stay first, then the rest, each with its reason.

use silkfall_core::candidates::{Candidates, Cost, Entry, EntryCase, Neighbour, Standing};
use silkfall_core::cases::{Trials, Verdict};
use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::quantity::{Kind, System, show};

use super::notes::{Notes, closed, input};
use crate::number::Number;
use crate::sheet::{CandidateCase, CandidateSheet};
use silkfall_core::derivation::{num, sym};
use silkfall_core::ledger::Trust;

/// All entries of a part.
pub(super) fn sheets(part: &str, candidates: &Candidates, notes: &mut Notes) -> Vec<CandidateSheet> {
    let list = List { part, candidates };
    let stays = candidates.kept.iter().copied();
    let goes = (0..candidates.entries.len()).filter(|i| !candidates.kept.contains(i));
    stays.chain(goes).map(|i| list.one(&candidates.entries[i], notes)).collect()
}

struct List<'a> {
    part: &'a str,
    candidates: &'a Candidates,
}

impl List<'_> {
    fn one(&self, entry: &Entry, notes: &mut Notes) -> CandidateSheet {
        let path = format!("parts.{}.candidates.{}", self.part, entry.id);
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
            stays: entry.standing == Standing::Kept,
            reason: self.reason(entry),
            beaten_by: match &entry.standing {
                Standing::BeatenBy { id } => Some(id.clone()),
                _ => None,
            },
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

    /// Why it stays or goes, and what its neighbours cost or lack.
    fn reason(&self, entry: &Entry) -> String {
        let percent = |share: f64| show(share.abs(), 0.0, Kind::Share, System::Si);
        match &entry.standing {
            Standing::Kept => self.speaks_for(entry),
            Standing::Misses { case, margin } => {
                format!("misses \"{case}\" by {} of flights", percent(*margin))
            }
            Standing::BeatenBy { id } => {
                format!("{id} is at least as good in everything and better in something")
            }
            Standing::OutOfBounds { .. } => out_of_bounds(entry).unwrap_or_default(),
            Standing::NoAnswer { reason } => reason.clone(),
        }
    }

    fn speaks_for(&self, entry: &Entry) -> String {
        let word = match entry.verdict {
            Verdict::Meets => "meets all".to_owned(),
            Verdict::Undecided => {
                let open: Vec<&str> = entry
                    .cases
                    .iter()
                    .filter(|case| case.verdict == Verdict::Undecided)
                    .map(|case| case.case.as_str())
                    .collect();
                format!("undecided in {}", open.join(", "))
            }
            Verdict::Misses => "misses".to_owned(),
            Verdict::NotJudged => "no limit judges it".to_owned(),
        };
        let smaller = entry.next_smaller.as_ref().map(|next| match &next.case {
            Some(case) => format!("the next smaller, {}, {} \"{case}\"", next.id, next.verdict.word()),
            None => format!("the next smaller is {}", next.id),
        });
        let larger = entry.next_larger.as_ref().map(|next| format!("{} {}", next.id, more(next)));
        [Some(word), smaller, larger].into_iter().flatten().collect::<Vec<_>>().join("; ")
    }
}

/// "is 210 g heavier, 0.4 L bulkier and 38 cheaper".
fn more(next: &Neighbour) -> String {
    let part = |si: Option<f64>, kind: Kind, more: &str, less: &str| {
        let si = si.filter(|si| si.abs() > 1e-9)?;
        let word = if si > 0.0 { more } else { less };
        Some(format!("{} {word}", show(si.abs(), 0.0, kind, System::Si)))
    };
    let parts: Vec<String> = [
        part(next.more.mass_kg, Kind::Mass, "heavier", "lighter"),
        part(next.more.volume_m3, Kind::Volume, "bulkier", "smaller packed"),
        part(next.more.price, Kind::Money, "dearer", "cheaper"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match parts.as_slice() {
        [] => "costs nothing more".to_owned(),
        [one] => format!("is {one}"),
        [first @ .., last] => format!("is {} and {last}", first.join(", ")),
    }
}

/// "needs 11 L, the canopies have room for 9 L"; `None` for an entry within bounds.
pub(super) fn out_of_bounds(entry: &Entry) -> Option<String> {
    let Standing::OutOfBounds { cost, needs, bound } = entry.standing else { return None };
    let (kind, what) = match cost {
        Cost::Mass => (Kind::Mass, "may weigh"),
        Cost::Volume => (Kind::Volume, "have room for"),
        Cost::Price => (Kind::Money, "may cost"),
    };
    let text = |si: f64| show(si, 0.0, kind, System::Si);
    Some(format!("needs {}, the canopies {what} {}", text(needs), text(bound)))
}
