//! What pulls at a member the hardest: over cases, canopies and events, as planned and at the worst asked.

use silkfall_core::load_path::{Carries, MemberKind, stated_pull};
use silkfall_core::loads::{Entry as Row, Event, NoLoad, PeakLoad, Quantiles};
use silkfall_core::quantity::Force;
use silkfall_project::landing::Stage;
use silkfall_project::value::{Known, Quantity};

use super::Link;

/// When nothing else was asked.
const AS_PLANNED: &str = "as planned";

/// A pull that has to be borne.
#[derive(Clone, Debug)]
pub(super) struct Borne {
    pub pull: Quantiles,
    pub when: String,
    /// The row of loads; `None` where it is measured.
    pub row: Option<Source>,
    /// What may pull harder and is not known.
    pub unknown: Option<String>,
}

/// Where a pull stands in the table of loads.
#[derive(Clone, Debug)]
pub(super) struct Source {
    pub case: String,
    pub canopy: String,
    pub event: Event,
    /// Whether it is the worst asked, not the plan.
    pub asked: bool,
    /// Mass that is shaken, kg.
    pub mass_kg: f64,
}

/// The hardest pull on what carries so much, of rows by canopy; why it is not known, where nothing is.
pub(super) fn hardest(
    rows: &[Row],
    carries: Carries,
    at: &dyn Fn(&Row) -> bool,
) -> Result<Option<Borne>, String> {
    let mut best: Option<Borne> = None;
    let mut unknown: Option<String> = None;
    for row in rows.iter().filter(|row| at(row)) {
        match &row.load {
            Ok(peak) => {
                for borne in of_peak(peak, carries) {
                    if best.as_ref().is_none_or(|best| borne.pull.p95 > best.pull.p95) {
                        best = Some(borne);
                    }
                }
            }
            // A snatch that is not known is said of the whole path, once.
            Err(NoLoad::NotKnown(why)) if row.event == Event::Opening => {
                unknown.get_or_insert_with(|| why.trim_end_matches('.').to_owned());
            }
            Err(NoLoad::NotKnown(_) | NoLoad::DoesNotApply(_)) => {}
        }
    }
    match (best, unknown) {
        (None, Some(why)) => Err(why),
        (best, unknown) => Ok(best.map(|best| Borne { unknown, ..best })),
    }
}

fn of_peak(peak: &PeakLoad, carries: Carries) -> impl Iterator<Item = Borne> + '_ {
    let planned = (AS_PLANNED, &peak.design, false);
    let asked = peak.worst.as_ref().map(|(asked, pull)| (asked.as_str(), pull, true));
    // Of equal ones what was asked: it stands in for a plan that is not worked.
    asked.into_iter().chain([planned]).map(move |(when, pull, asked)| Borne {
        pull: match carries {
            Carries::OneCanopy => pull.on_one_canopy_n,
            Carries::All | Carries::OneLeg => pull.on_all_n,
        },
        when: when.to_owned(),
        row: Some(Source {
            case: peak.case.clone(),
            canopy: peak.canopy.clone(),
            event: peak.event,
            asked,
            mass_kg: peak.mass_kg,
        }),
        unknown: None,
    })
}

/// The hardest pull on a member: as measured, else as worked out.
pub(super) fn of_link(rows: &[Row], stages: &[Stage], link: &Link<'_>) -> Result<Option<Borne>, String> {
    match link.said.map(|said| &said.pull) {
        Some(Known::Given(said)) => Ok(Some(measured(&said.value))),
        Some(Known::Unknown { .. }) => Err("its pull is not known".to_owned()),
        Some(Known::Absent) | None if rows.is_empty() => {
            Err("what opens, and how fast it falls then, is not stated".to_owned())
        }
        Some(Known::Absent) | None => {
            let own =
                |name: &str| stages.iter().any(|stage| stage.name.value == name && !stage.opens_canopies());
            // No cord snatches at cloth.
            let event = |row: &Row| row.event == Event::Opening || link.kind != MemberKind::Fabric;
            let of_canopies = |row: &Row| event(row) && !own(&row.canopy);
            match link.stage {
                Some(stage) if own(stage) => {
                    hardest(rows, link.carries, &|row| event(row) && row.canopy == stage)
                }
                Some(_) => hardest(rows, link.carries, &of_canopies),
                None if link.kind.is_of_a_canopy() => hardest(rows, link.carries, &of_canopies),
                None => hardest(rows, link.carries, &event),
            }
        }
    }
}

fn measured(pull: &Quantity<Force>) -> Borne {
    Borne {
        pull: stated_pull(pull.si(), pull.spread()),
        when: "as measured".to_owned(),
        row: None,
        unknown: None,
    }
}

/// What a member carries where nothing is said.
pub(super) fn carries(kind: MemberKind) -> Carries {
    if kind.is_of_a_canopy() { Carries::OneCanopy } else { Carries::All }
}
