//! Cases of a part as numbers of the sheet: rates, energies, shares of flights, verdicts, the size that would do.
//!
//! The simulation is core's ([`silkfall_core::cases`]). A rate's interval is where 95 of 100 flights lie, over all that is
//! not known; a share's interval is what is not known of it. Beside each simulated rate stands the closed form at the
//! median inputs, so that it can be followed by hand.

use silkfall_core::cases::{
    self, Case, CaseKind, CaseResult, Cases, Judged, Limit, LimitOn, Quantiles, Trials, WANTED_SHARE,
};
use silkfall_core::derivation::{Derivation, How, NumberId};
use silkfall_core::drag::Interval;
use silkfall_core::quantity::Kind;
use silkfall_project::project::{self, Limit as Stated, Part};
use silkfall_project::value::{Known, Quantity};
use silkfall_project::words::Opens;
use uom::si::energy::joule;
use uom::si::velocity::meter_per_second;

use super::notes::{Notes, linked};
use crate::number::Number;
use crate::sheet::{AtMedians, CaseSheet, LimitSheet};

/// The name of the case that always stands, where the project names none.
const NOTHING: &str = "nothing opens";

/// The project's cases for core, `nothing opens` added where it is not named.
pub(super) fn stated(part: &Part) -> Vec<Case> {
    let wanted_of = |case: &project::Case| {
        let said = case.share_wanted.given().or(part.share_wanted.given());
        said.map_or(WANTED_SHARE, Quantity::si)
    };
    let mut all: Vec<Case> = part
        .cases
        .iter()
        .map(|case| Case {
            name: case.name.value.clone(),
            kind: kind(case.opens.value),
            limits: case
                .limit
                .given()
                .map(|limit| Limit {
                    on: match limit {
                        Stated::Rate(rate) => LimitOn::Rate(rate.value()),
                        Stated::Energy(energy) => LimitOn::Energy(energy.value()),
                    },
                    wanted_share: wanted_of(case),
                })
                .into_iter()
                .collect(),
            chance: case.chance.given().map(Quantity::si),
        })
        .collect();
    if !all.iter().any(|case| case.kind == CaseKind::Nothing) {
        let name = NOTHING.to_owned();
        all.push(Case { name, kind: CaseKind::Nothing, limits: Vec::new(), chance: None });
    }
    all
}

fn kind(opens: Opens) -> CaseKind {
    match opens {
        Opens::All => CaseKind::AllOpen,
        Opens::AllBut(shut) => CaseKind::StayShut(shut as usize),
        Opens::Count(open) => CaseKind::Only(open as usize),
        Opens::Nothing => CaseKind::Nothing,
        Opens::MainAtTop => CaseKind::MainAtTop,
        Opens::NoDrogueThenMain => CaseKind::NoDrogue,
        Opens::Early => CaseKind::EarlyOpening,
        Opens::NotFilled => CaseKind::NotFilled,
    }
}

/// What the numbers of a case are linked to and drawn from.
pub(super) struct Shown<'a> {
    pub part: &'a Part,
    pub trials: Trials,
    /// Symbols of the closed form that are numbers of the sheet for a count of open canopies.
    pub links: &'a dyn Fn(usize) -> Vec<(&'static str, NumberId)>,
}

impl Shown<'_> {
    /// All cases of a choice.
    pub fn sheets(&self, cases: &Cases, notes: &mut Notes) -> Vec<CaseSheet> {
        let one = |(i, result): (usize, &CaseResult)| self.sheet(result, cases.governing == Some(i), notes);
        cases.results.iter().enumerate().map(one).collect()
    }

    /// Cases that cannot be worked, with the reason.
    pub fn missing(&self, cases: &[Case], why: &str) -> Vec<CaseSheet> {
        cases
            .iter()
            .map(|case| CaseSheet {
                id: case.name.clone(),
                title: case.name.clone(),
                chance: None,
                chance_says: None,
                rate: None,
                rate_quantiles: Vec::new(),
                energy: None,
                at_medians: None,
                size_wanted: None,
                limits: Vec::new(),
                verdict: cases::Verdict::NotJudged,
                governs: false,
                missing: Some(why.to_owned()),
            })
            .collect()
    }

    fn sheet(&self, result: &CaseResult, governs: bool, notes: &mut Notes) -> CaseSheet {
        let case = &result.case;
        let path = format!("parts.{}.cases.{}", self.part.name.value, case.name);
        let stated = self.part.cases.iter().find(|stated| stated.name.value == case.name);
        let rate =
            result.rate_m_per_s.map(|q| self.simulated(&format!("{path}.rate"), q, Kind::Speed, RATE, notes));
        let energy = result
            .energy_j
            .map(|q| self.simulated(&format!("{path}.energy"), q, Kind::Energy, ENERGY, notes));
        let rate_quantiles = result.rate_m_per_s.map_or_else(Vec::new, |q| {
            [("p2.5", q.low), ("p50", q.median), ("p97.5", q.high)]
                .into_iter()
                .map(|(name, si)| {
                    let number = Number::exact(format!("{path}.rate_quantiles.{name}"), si, Kind::Speed);
                    (name.to_owned(), notes.number(number, self.simulation(RATE)))
                })
                .collect()
        });
        let limits = result.judged.iter().map(|judged| self.limit(judged, stated, &path, notes)).collect();
        let size =
            result.judged.iter().filter_map(|j| j.wanted.as_ref()?.nominal_diameter_m).max_by(f64::total_cmp);
        let size_wanted = size.map(|si| {
            let number = Number::exact(format!("{path}.size_wanted"), si, Kind::Length);
            notes.number(number, self.simulation(SIZE))
        });
        let missing = match (&rate, stated.map(|stated| &stated.limit)) {
            (None, _) => Some("nothing is known of what brakes then".to_owned()),
            (_, Some(Known::Unknown { .. })) => Some("its limit is not known yet".to_owned()),
            _ => None,
        };
        CaseSheet {
            id: case.name.clone(),
            title: case.name.clone(),
            chance: self.chance(result, stated, &path, notes),
            chance_says: self.chance_says(result, stated),
            rate,
            rate_quantiles,
            energy,
            at_medians: self.at_medians(result, &path, notes),
            size_wanted,
            limits,
            verdict: result.verdict,
            governs,
            missing,
        }
    }

    fn simulation(&self, procedure: &str) -> How {
        How::Simulation { procedure: procedure.to_owned(), trials: self.trials.count, seed: self.trials.seed }
    }

    fn simulated(&self, id: &str, of: Quantiles, kind: Kind, procedure: &str, notes: &mut Notes) -> Number {
        let interval = Interval { low: of.low, high: of.high };
        notes.number(Number::between(id, of.median, interval, kind), self.simulation(procedure))
    }

    fn limit(
        &self,
        judged: &Judged,
        stated: Option<&project::Case>,
        path: &str,
        notes: &mut Notes,
    ) -> LimitSheet {
        let (of, si, kind) = match judged.limit.on {
            LimitOn::Rate(rate) => ("rate", rate.get::<meter_per_second>(), Kind::Speed),
            LimitOn::Energy(energy) => ("energy", energy.get::<joule>(), Kind::Energy),
        };
        let id = |what: &str| format!("{path}.limits.{of}.{what}");
        let key = |name: &str| format!("part.{}.case.{}.{name}", self.part.name.value, path);
        let text = stated.and_then(|case| case.limit.given()).map_or_else(String::new, |limit| match limit {
            Stated::Rate(rate) => rate.text().to_owned(),
            Stated::Energy(energy) => energy.text().to_owned(),
        });
        let said = stated.and_then(|case| case.share_wanted.given()).or(self.part.share_wanted.given());
        let wanted_text =
            said.map_or_else(|| "the default, 95 %".to_owned(), |share| share.text().to_owned());
        let share = &judged.share;
        let number = Number::between(id("share"), share.best, share.interval, Kind::Share);
        LimitSheet {
            of: of.to_owned(),
            limit: notes.given(Number::exact(id("limit"), si, kind), &key("limit"), &text),
            wanted: notes.given(
                Number::exact(id("wanted"), judged.limit.wanted_share, Kind::Share),
                &key("share_wanted"),
                &wanted_text,
            ),
            share: notes.number(number, self.simulation(SHARE)),
            at_worst: notes.number(
                Number::exact(id("at_worst"), share.surely(), Kind::Share),
                self.simulation(AT_WORST),
            ),
            standard_error: share.standard_error,
            verdict: judged.verdict,
            settle: judged.would_settle.clone(),
        }
    }

    fn chance(
        &self,
        result: &CaseResult,
        stated: Option<&project::Case>,
        path: &str,
        notes: &mut Notes,
    ) -> Option<Number> {
        let chance = result.chance.as_ref()?;
        let number = Number::exact(format!("{path}.chance"), chance.probability, Kind::Share);
        Some(match stated.and_then(|case| case.chance.given()) {
            Some(given) => notes.given(number, &format!("part.{}.case", self.part.name.value), given.text()),
            None => {
                let how = super::tests::fit(
                    "Each canopy stays shut with the stated chance; a stated share of that has one cause for all, \
                     the rest is independent.",
                    chance.trust.mark(),
                    0,
                );
                notes.number(number, how)
            }
        })
    }

    fn chance_says(&self, result: &CaseResult, stated: Option<&project::Case>) -> Option<String> {
        let chance = result.chance.as_ref()?;
        let source = stated.and_then(|case| case.chance_source.given());
        Some(match (source, stated.and_then(|case| case.chance.given())) {
            (Some(source), _) => source.clone(),
            (None, Some(_)) => "stated without a source".to_owned(),
            (None, None) => chance.trust.mark(),
        })
    }

    /// D, v and E at the median inputs, each a closed form whose inputs are numbers of the sheet.
    fn at_medians(&self, result: &CaseResult, path: &str, notes: &mut Notes) -> Option<AtMedians> {
        let [brakes, rate, energy] = result.how.as_slice() else { return None };
        let id = |name: &str| NumberId(format!("{path}.at_medians.{name}"));
        let links = (self.links)(result.open);
        let mut linked_to: Vec<(&str, &NumberId)> = links.iter().map(|(symbol, id)| (*symbol, id)).collect();
        let (area_id, rate_id) = (id("drag_area"), id("rate"));
        linked_to.extend([("D", &area_id), ("v", &rate_id)]);
        let mut one = |derivation: &Derivation, id: NumberId| {
            let number = Number::exact(id, derivation.si, derivation.kind);
            notes.derived(number, linked(derivation.clone(), &linked_to))
        };
        Some(AtMedians {
            drag_area: one(brakes, area_id.clone()),
            rate: one(rate, rate_id.clone()),
            energy: one(energy, id("energy")),
        })
    }
}

const RATE: &str = "v = √(2 m g/(ρ D)) in simulated flights: what is fixed but not known is drawn once a world, what \
                    differs from flight to flight once a flight (JCGM 101:2008). The median, and where 95 of 100 flights \
                    of all worlds lie.";
const ENERGY: &str = "E = m v²/2 in simulated flights, of the descent alone, without drift (JCGM 101:2008). The median, and \
                      where 95 of 100 flights of all worlds lie.";
const SHARE: &str = "The share of simulated flights within the limit, over all flights of all worlds; its interval is where \
                     the share of the one true world lies, 95 % sure (JCGM 101:2008).";
const AT_WORST: &str = "The share of flights within the limit in the world at the 5 % end, with what is from memory at its worse \
                        end, and never above the best estimate: 95 % sure that it is no less (JCGM 101:2008).";
const SIZE: &str = "The nominal diameter at which the share that is sure just reaches the wanted one, all areas of the \
                    canopies scaled alike in every simulated world (JCGM 101:2008).";
