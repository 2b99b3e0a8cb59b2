//! `work`: a whole project, in the order in which a person does the job.
//!
//! sessions → tests → drag areas → full size → candidates → choice → cases → sheet. Each stage takes what the stages
//! before it made and none reaches back. Tests and parts are worked side by side and put together in the order of the
//! project, so that the number of threads cannot change a digit.

mod defaults;
mod drag;
mod notes;
mod part;
mod session;
mod tests;
mod unknowns;

pub(crate) use tests::TestWorked;

use rayon::prelude::*;
use silkfall_core::finding::{Finding, Severity};
use silkfall_project::Project;

use crate::memo::{Key, Keyed, Memo};
use crate::outcome::Outcome;
use crate::place;
use crate::reduce::Input;
use crate::reduce::configuration::Spreads;
use crate::sheet::{Effort, PartSheet, Sheet, Tally};
use crate::watch::{Stage, Stopped, Watch, go_on};
use notes::Notes;
use session::PlaceWorked;

/// A project folder, read: what is known, its recordings, and what was noticed in reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Folder {
    /// What is known.
    pub project: Project,
    /// Its recordings, each by the path that its tests give it.
    pub recordings: Vec<Input>,
    /// What reading the project file and the offers found; what reading a recording found stands with it.
    pub findings: Vec<Finding>,
}

/// A part, worked.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PartWorked {
    sheet: PartSheet,
    notes: Notes,
}

/// Works a whole project.
///
/// # Errors
/// [`Stopped`] where the watch asks for it; nothing else: what cannot be worked is said in the sheet.
pub fn work(folder: &Folder, effort: Effort, memo: &mut Memo, watch: &dyn Watch) -> Result<Sheet, Stopped> {
    let project = &folder.project;
    let mut notes = Notes::default();
    folder.findings.iter().for_each(|finding| notes.find(finding.clone()));

    watch.stage(Stage::Tests);
    let places = Places::new(project);
    let tests = tests(folder, &places, memo, watch)?;

    watch.stage(Stage::Drag);
    let parts = parts(folder, effort, &places, &tests, memo, watch)?;

    watch.stage(Stage::Sheet);
    go_on(watch)?;
    places.all().for_each(|place| notes.merge(place.notes.clone()));
    tests.into_iter().for_each(|test| notes.merge(test.notes));
    let unknowns = unknowns::unknowns(project, &mut notes);
    let mut sheets = Vec::new();
    for part in parts {
        notes.merge(part.notes);
        sheets.push(part.sheet);
    }
    let trials = part::trials(effort);
    Ok(Sheet {
        name: project.name.given().cloned().unwrap_or_else(|| "unnamed".to_owned()),
        about: None,
        effort,
        trials: trials.count,
        seed: trials.seed,
        fingerprint: fingerprint(folder).to_string(),
        outcome: outcome(&sheets, !unknowns.is_empty(), &notes.findings),
        parts: sheets,
        sessions: places.sessions.iter().map(|place| place.sheet.clone()).collect(),
        site: places.site.sheet.clone(),
        defaults: defaults::said(project, &notes.ledger),
        unknowns,
        findings: in_order(notes.findings, &folder.recordings),
        ledger: notes.ledger,
        hows: notes.hows,
    })
}

/// The places of tests, and the site.
struct Places {
    sessions: Vec<PlaceWorked>,
    /// For tests without a session: nothing is known of their air.
    nowhere: PlaceWorked,
    site: PlaceWorked,
}

impl Places {
    fn new(project: &Project) -> Self {
        let nothing = silkfall_project::project::Air::default();
        Places {
            sessions: project.sessions.par_iter().map(session::session).collect(),
            nowhere: session::place(
                "not stated",
                "session.not-stated",
                "sessions.not stated",
                &nothing,
                Spreads::DEFAULT,
            ),
            site: session::place("site", "site", "site", &project.site.air, Spreads::DEFAULT),
        }
    }

    fn of(&self, test: &silkfall_project::project::Test) -> &PlaceWorked {
        let named = |said: &silkfall_project::value::Said<String>| {
            self.sessions.iter().find(|place| place.sheet.name == said.value)
        };
        test.session.as_ref().and_then(named).unwrap_or(&self.nowhere)
    }

    fn all(&self) -> impl Iterator<Item = &PlaceWorked> {
        self.sessions.iter().chain([&self.site])
    }
}

/// All tests in the order of the project.
fn tests(
    folder: &Folder,
    places: &Places,
    memo: &mut Memo,
    watch: &dyn Watch,
) -> Result<Vec<TestWorked>, Stopped> {
    let project = &folder.project;
    let done = std::sync::atomic::AtomicUsize::new(0);
    let kept = &memo.tests;
    let worked: Result<Vec<(Key, TestWorked)>, Stopped> = project
        .tests
        .par_iter()
        .map(|test| {
            go_on(watch)?;
            let place = places.of(test);
            let inputs = inputs_of(test, &folder.recordings);
            let mut keyed = Keyed::new("test");
            keyed.value(test);
            keyed.value(&(&place.air, place.spreads, &place.prefix));
            keyed.value(&(&project.canopies, &project.models));
            for input in &inputs {
                keyed.recording(&input.recording);
                keyed.value(&(&input.columns, &input.reading, &input.findings));
            }
            let key = keyed.key();
            let worked = kept.get(key).unwrap_or_else(|| tests::work(test, project, place, &inputs));
            let so_far = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1;
            watch.progress(so_far as f64 / project.tests.len() as f64);
            Ok((key, worked))
        })
        .collect();
    let worked = worked?;
    memo.tests.replace(worked.iter().cloned());
    Ok(worked.into_iter().map(|(_, test)| test).collect())
}

/// A test's recordings in the order of the project.
fn inputs_of<'a>(test: &silkfall_project::project::Test, recordings: &'a [Input]) -> Vec<&'a Input> {
    let silkfall_project::project::Evidence::Logs { logs, .. } = &test.evidence else { return Vec::new() };
    logs.iter().filter_map(|log| recordings.iter().find(|input| input.recording.name == log.value)).collect()
}

/// All parts in the order of the project.
fn parts(
    folder: &Folder,
    effort: Effort,
    places: &Places,
    tests: &[TestWorked],
    memo: &mut Memo,
    watch: &dyn Watch,
) -> Result<Vec<PartWorked>, Stopped> {
    let project = &folder.project;
    let kept = &memo.parts;
    let worked: Result<Vec<(Key, PartWorked)>, Stopped> = project
        .parts
        .par_iter()
        .map(|part| {
            go_on(watch)?;
            let name = &part.name.value;
            let mine: Vec<&TestWorked> = tests.iter().filter(|test| test.part == *name).collect();
            let mut keyed = Keyed::new("part");
            keyed.value(&(
                part,
                effort,
                project.choice(name),
                &project.offers,
                &project.models,
                &project.canopies,
            ));
            keyed.value(&project.tests);
            keyed.value(&(&places.site.air, &places.site.density_kg_per_m3));
            for test in &mine {
                keyed.value(&(&test.sheet, &test.area));
            }
            let key = keyed.key();
            let worked = match kept.get(key) {
                Some(worked) => worked,
                None => part::work(part, project, &places.site, &mine, effort, watch)?,
            };
            Ok((key, worked))
        })
        .collect();
    let worked = worked?;
    memo.parts.replace(worked.iter().cloned());
    Ok(worked.into_iter().map(|(_, part)| part).collect())
}

/// The hash of all inputs.
fn fingerprint(folder: &Folder) -> Key {
    let mut keyed = Keyed::new("sheet");
    keyed.value(&folder.project);
    for input in &folder.recordings {
        keyed.recording(&input.recording);
    }
    keyed.key()
}

/// No answer before a missed limit before done.
fn outcome(parts: &[PartSheet], unknown: bool, findings: &[Finding]) -> Outcome {
    let tally = |pick: fn(&Tally) -> usize| parts.iter().map(|part| pick(&part.tally)).sum::<usize>();
    if unknown || findings.iter().any(|finding| finding.severity() == Severity::Error) {
        Outcome::NoAnswer
    } else if tally(|t| t.misses) + tally(|t| t.undecided) > 0 {
        Outcome::LimitMissed
    } else {
        Outcome::Done
    }
}

/// Placed in their files, the gravest first, else by place.
fn in_order(mut findings: Vec<Finding>, recordings: &[Input]) -> Vec<Finding> {
    let inputs: Vec<&Input> = recordings.iter().collect();
    findings.iter_mut().for_each(|finding| place::in_recordings(finding, &inputs));
    findings.sort_by(|a, b| {
        let key = |f: &Finding| (std::cmp::Reverse(f.severity()), f.place.clone());
        key(a).cmp(&key(b))
    });
    findings
}
