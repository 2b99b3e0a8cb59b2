//! Landing of a part: how it comes down, how far it drifts, in which winds it may fly.
//!
//! The simulation is core's ([`silkfall_core::landing`]). Here it is settled what it flies ([`from_project`]) and how its results
//! stand on the sheet ([`show`]). At quick effort only places and energies are worked out, from the first trials of those
//! that full effort takes.

mod from_project;
mod show;

use silkfall_core::cases::{Case, Load, Rig, Standards};
use silkfall_core::finding::Code;
use silkfall_core::geo::{Field, Plane, Position};
use silkfall_core::landing::{Depth, Plan, PlannedStage, WANTED_INSIDE, work as fly};
use silkfall_core::ledger::Ledger;
use silkfall_project::Project;
use silkfall_project::project::Part;
use silkfall_project::value::Quantity;

use super::notes::Notes;
use crate::from_memory::sources_of;
use crate::landing::{GoNoGoSheet, LandingSheet};
use crate::sheet::Effort;
use crate::watch::{Stage, Stopped, Watch, go_on};
use from_project::Planned;
pub(super) use from_project::Reading;

/// Time from a failure of the main to an action where the project does not say, s: a judgement of ours.
pub(super) const REACTION_S: f64 = 2.0;

/// What a part falls through and how, read once for its landing and its loads.
pub(super) struct Fall<'a> {
    pub reading: Reading<'a>,
    /// The plan, or what is missing for it in a sentence.
    pub planned: Result<Planned, String>,
    /// What was entered and found on the way.
    pub notes: Notes,
}

impl<'a> Fall<'a> {
    pub fn read(reading: Reading<'a>) -> Self {
        let mut notes = Notes::default();
        let planned = reading.plan(&mut notes);
        Fall { reading, planned, notes }
    }
}

/// What a landing is worked from.
pub(super) struct Given<'a> {
    pub project: &'a Project,
    pub part: &'a Part,
    pub fall: &'a Fall<'a>,
    pub load: &'a Load,
    pub rig: &'a Rig,
    pub cases: &'a [Case],
    pub ledger: &'a Ledger,
    /// What was drawn for the text before.
    pub kept: Option<&'a Standards>,
    pub effort: Effort,
}

/// A part's landing on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Landed {
    pub sheet: LandingSheet,
    pub go_no_go: Vec<GoNoGoSheet>,
}

/// Works a part's landing; `None` where the project says nothing of a start, or not enough.
pub(super) fn work(
    given: &Given<'_>,
    notes: &mut Notes,
    watch: &dyn Watch,
) -> Result<Option<Landed>, Stopped> {
    let Given { project, part, fall, load, rig, cases, effort, .. } = *given;
    let says_nothing = project.flight_key(part, |flight| &flight.top).0.is_absent();
    if says_nothing {
        return Ok(None);
    }
    watch.stage(Stage::Landing);
    notes.merge(fall.notes.clone());
    let planned = match &fall.planned {
        Ok(planned) => planned,
        Err(missing) => {
            let key = format!("part.{}", part.name.value);
            notes.find_at(Code::LandingNotWorked, &key, None, missing.as_str());
            return Ok(None);
        }
    };
    let mut ledger = given.ledger.clone();
    ledger.take_in(&fall.notes.ledger);
    let remembered = sources_of(&ledger, planned.stages.iter().flat_map(PlannedStage::filled_over));
    for path in follow_from_falls(&part.name.value) {
        notes.remember(&path, remembered.clone());
    }
    let field = field(project, notes);
    let plan = Plan {
        load,
        rig,
        cases,
        column: &planned.column,
        stages: &planned.stages,
        start: &planned.start,
        wind: &planned.wind,
        field: field.as_ref(),
        wanted_inside: project.site.share_inside.given().map_or(WANTED_INSIDE, Quantity::si),
        reaction_s: part.reaction.given().map_or(REACTION_S, Quantity::si),
    };
    let (trials, depth) = match effort {
        Effort::Quick => (silkfall_core::landing::QUICK, Depth::Places),
        Effort::Full => (silkfall_core::landing::FULL, Depth::Everything),
    };
    let told = |share: f64| {
        watch.progress(share);
        !watch.stopped()
    };
    let Some(landing) = fly(plan, (&ledger, given.kept), trials, depth, &told) else { return Err(Stopped) };
    go_on(watch)?;
    found(given, &landing, notes);
    let shown = show::Shown { given, plan: &plan, planned, ledger: &ledger, landing: &landing };
    Ok(Some(shown.landed(notes)))
}

/// Paths of the figures that follow from a part's simulated falls.
pub(super) fn follow_from_falls(part: &str) -> [String; 4] {
    [
        format!("landing.{part}.cases"),
        format!("landing.{part}.mix"),
        format!("landing.{part}.opening"),
        format!("go_no_go.{part}"),
    ]
}

/// What the falls themselves showed.
fn found(given: &Given<'_>, landing: &silkfall_core::landing::Landing, notes: &mut Notes) {
    let key = format!("part.{}", given.part.name.value);
    for (case, landed) in given.cases.iter().zip(&landing.cases) {
        let Some(falls) = &landed.falls else { continue };
        let stayed_up = falls.stayed_up();
        if stayed_up > 0 {
            let message =
                format!("{}: {stayed_up} of {} flights do not come down", case.name, falls.trials().len());
            notes.find_at(Code::LandingStaysUp, &key, None, message);
        }
    }
    let stated: f64 = landing.cases.iter().filter_map(|case| Some(case.chance.as_ref()?.probability)).sum();
    if stated > 1.0 + 1e-9 {
        let message = format!("the chances of the cases sum to {:.1} %", 100.0 * stated);
        notes.find_at(Code::LandingChances, &key, None, message);
    }
}

/// The field in metres about the pad; without the pad's place on the Earth, a field cannot be told.
fn field(project: &Project, notes: &mut Notes) -> Option<Field> {
    let file = project.field.as_ref()?;
    let Some(plane) = plane(project) else {
        let message =
            "a field is given, and not where the pad stands: [site] latitude and longitude".to_owned();
        notes.find_at(Code::PadNotStated, "site.longitude", project.site.spot, message);
        return None;
    };
    let (field, findings) = file.in_plane(&plane);
    findings.into_iter().for_each(|finding| notes.find(finding));
    field
}

/// The plane about the pad: as the field file marks it, else the site's latitude and longitude.
fn plane(project: &Project) -> Option<Plane> {
    let marked = project.field.as_ref().and_then(|file| file.pad());
    let site = &project.site;
    let stated = site.air.latitude.given().zip(site.longitude.given());
    let of_site =
        stated.and_then(|(latitude, longitude)| Position::try_new(latitude.value(), longitude.value()).ok());
    marked.or(of_site).map(Plane::new)
}
