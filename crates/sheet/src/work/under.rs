//! A part under the canopies chosen for it: all that descends, and what its cases come to.

use silkfall_core::candidates::{self, Offered};
use silkfall_core::cases::{self, Case, Cases, Engine, Rig};
use silkfall_project::Project;

use super::notes::Notes;
use super::rests::{Answer, Rests};
use crate::sheet::{CaseSheet, Choice};
use crate::watch::{CasesWorked, Watch};

/// The answer under one choice. It is told to whoever watches as soon as it is there.
pub(super) struct Under<'a> {
    pub choice: Choice,
    pub rig: Option<Rig>,
    pub rests: Option<Rests<'a>>,
    pub sheets: Vec<CaseSheet>,
    pub cases: Option<Cases>,
    pub notes: Notes,
}

impl<'a> Under<'a> {
    /// Under a choice, if it has an answer.
    pub fn work(
        answer: &Answer<'a>,
        cases: &[Case],
        (choice, rig): (Choice, Option<Rig>),
        engine: Option<&Engine>,
        watch: &dyn Watch,
    ) -> Self {
        let mut notes = Notes::default();
        let rests = rig.as_ref().and_then(|rig| Rests::new(answer, rig, &mut notes));
        let (sheets, worked) = case_sheets(answer, cases, rig.as_ref().zip(engine), &mut notes);
        let falls = rests.as_ref().map(|rests| &rests.falls);
        let part = &answer.given.part.name.value;
        watch.cases(&CasesWorked { part, falls, choice: &choice, cases: &sheets });
        worked.iter().flat_map(|cases| &cases.findings).for_each(|finding| notes.find(finding.clone()));
        Under { choice, rig, rests, sheets, cases: worked, notes }
    }
}

/// The id of the candidate that the project chooses for a part.
pub(super) fn chosen_id(project: &Project, part: &str) -> Option<String> {
    project.choice(part).map(|choice| candidates::id(&choice.offer.value, choice.count.value as usize))
}

/// The canopies that the project states, before any others are weighed; `None` where it states none that can be worked.
pub(super) fn stated(answer: &Answer<'_>, cases: &[Case], offered: &[Offered]) -> Option<(Choice, Rig)> {
    let stated = answer.given.project.choice(&answer.given.part.name.value)?;
    let count = stated.count.value as usize;
    let of = offered.iter().find(|offered| offered.offer.name == stated.offer.value)?;
    let rig = of.rig(count).filter(|_| !cases.is_empty() && answer.load.is_some_and(|l| l.answers(count)))?;
    Some((Choice::Chosen(candidates::id(&rig.offer, count)), rig))
}

/// The canopies of a candidate; `None` where no drag area is known.
pub(super) fn rig_of(entry: &candidates::Entry, offered: &[Offered]) -> Option<Rig> {
    entry.canopy.as_ref()?;
    offered.iter().find(|offered| offered.offer.name == entry.offer)?.rig(entry.count)
}

/// The cases under the choice, or what is missing for them.
fn case_sheets(
    answer: &Answer<'_>,
    cases: &[Case],
    rig: Option<(&Rig, &Engine)>,
    notes: &mut Notes,
) -> (Vec<CaseSheet>, Option<Cases>) {
    let links = |open: usize| answer.links(rig.map(|(rig, _)| rig), open);
    let shown = super::cases::Shown { part: answer.given.part, trials: answer.trials, links: &links };
    match (answer.load, rig) {
        (Some(_), Some((rig, engine))) => {
            let results = cases::work(engine, rig, cases);
            (shown.sheets(&results, notes), Some(results))
        }
        (None, _) => (shown.missing(cases, "the mass of the part is not known"), None),
        (Some(_), None) => {
            (shown.missing(cases, "no canopies are known: no offer, and no test of a real one"), None)
        }
    }
}
