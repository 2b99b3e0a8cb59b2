//! `work`: a whole project, in the order in which a person does the job.
//!
//! sessions → tests → drag areas → full size → candidates → choice → cases → sheet. Each stage takes what the stages
//! before it made and none reaches back. Tests and parts are worked side by side and put together in the order of the
//! project, so that the number of threads cannot change a digit.

mod bay;
mod bears;
mod candidates;
mod canopy;
mod cases;
mod defaults;
mod drag;
mod failure_tree;
mod flown;
mod full;
mod geometry;
mod hanging;
mod landing;
mod load_path;
mod loads;
mod next;
mod notes;
mod offers;
mod part;
mod plan;
mod reefing;
mod rests;
mod rigging;
mod session;
mod sets;
mod tests;
mod under;

pub(crate) use sets::Sets;
pub(crate) use tests::TestWorked;

use std::sync::Arc;

use rayon::prelude::*;
use silkfall_core::cases::Verdict;
use silkfall_core::finding::{Code, Finding, Severity, Subject};
use silkfall_core::ledger::Sharing;
use silkfall_project::Project;
use silkfall_project::project::Part;

use crate::from_memory;
use crate::landing::LandingSheet;
use crate::memo::{Keeping, Key, Keyed, Memo};
use crate::outcome::Outcome;
use crate::place;
use crate::reduce::Input;
use crate::reduce::configuration::Spreads;
use crate::sheet::{Effort, PartSheet, Sheet, Tally, Unknown};
use crate::watch::{Stage, Stopped, Watch, go_on};
use notes::Notes;
use session::{Of, PlaceWorked};

/// What a project folder holds, read: what is known, its recordings, and what was noticed in reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Loaded {
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
    landed: Option<landing::Landed>,
    notes: Notes,
}

/// Works a whole project.
///
/// # Errors
/// [`Stopped`] where the watch asks for it; nothing else: what cannot be worked is said in the sheet.
pub fn work(loaded: &Loaded, effort: Effort, memo: &mut Memo, watch: &dyn Watch) -> Result<Sheet, Stopped> {
    let project = &loaded.project;
    let mut notes = Notes::default();
    loaded.findings.iter().for_each(|finding| notes.find(finding.clone()));

    watch.stage(Stage::Tests);
    let places = Places::new(project);
    let tests = tests(loaded, &places, memo, watch)?;

    watch.stage(Stage::Drag);
    let parts = parts(loaded, effort, &places, &tests, memo, watch)?;

    watch.stage(Stage::Sheet);
    go_on(watch)?;
    places.all().for_each(|place| notes.merge(place.notes.clone()));
    for (_, test) in tests {
        notes.merge(Arc::try_unwrap(test).map_or_else(|kept| kept.notes.clone(), |test| test.notes));
    }
    project.unknowns.iter().for_each(|unknown| notes.find(unknown.finding()));
    let unknowns: Vec<Unknown> = project.unknowns.iter().map(unknown).collect();
    let (mut sheets, mut landings, mut go_no_go) = (Vec::new(), Vec::new(), Vec::new());
    for (_, part) in parts {
        let part = Arc::unwrap_or_clone(part);
        notes.merge(part.notes);
        sheets.push(part.sheet);
        if let Some(landed) = part.landed {
            landings.push(landed.sheet);
            go_no_go.extend(landed.go_no_go);
        }
    }
    let trials = part::trials(effort);
    let plan = plan::plan(project, &sheets, &landings, &go_no_go, &mut notes);
    let mut sheet = Sheet {
        name: project.name.given().cloned().unwrap_or_else(|| "unnamed".to_owned()),
        effort,
        trials: trials.count,
        seed: trials.seed,
        fingerprint: fingerprint(loaded).to_string(),
        outcome: outcome((&sheets, &landings), !unknowns.is_empty(), &notes.findings),
        parts: sheets,
        landing: landings,
        go_no_go,
        plan,
        sessions: places.of_tests().map(|place| place.sheet.clone()).collect(),
        site: places.site.sheet.clone(),
        defaults: defaults::said(project, &notes.ledger),
        unknowns,
        findings: in_order(folded(notes.findings), project, &loaded.recordings),
        from_memory: Vec::new(),
        ledger: notes.ledger,
        hows: notes.hows,
    };
    sheet.from_memory = from_memory::list(&sheet, &notes.remembered);
    Ok(sheet)
}

/// An unknown of the project as the sheet lists it.
fn unknown(of: &silkfall_project::unknowns::Unknown) -> Unknown {
    Unknown {
        key: of.path.clone(),
        file: of.file.clone(),
        line: Some(of.spot.line),
        column: Some(of.spot.column),
        gives: of.unlocks().to_owned(),
    }
}

/// The places of tests, and the site.
struct Places {
    sessions: Vec<PlaceWorked>,
    /// For tests without a session: nothing is known of their air.
    nowhere: PlaceWorked,
    site: PlaceWorked,
    /// Whether a test has no session.
    somewhere_not_stated: bool,
}

impl Places {
    fn new(project: &Project) -> Self {
        let nothing = silkfall_project::project::Air::default();
        Places {
            somewhere_not_stated: project.tests.iter().any(|test| test.session.is_none()),
            sessions: project.sessions.par_iter().map(session::session).collect(),
            nowhere: session::place(
                &Of {
                    name: "not stated",
                    prefix: "session.not-stated",
                    path: "sessions.not stated",
                    spreads: Spreads::DEFAULT,
                    sharing: Sharing::Knowledge,
                },
                &nothing,
            ),
            // What is stated of the site covers the days on which it may fly.
            site: session::place(
                &Of {
                    name: "site",
                    prefix: "site",
                    path: "site",
                    spreads: Spreads::DEFAULT,
                    sharing: Sharing::Flight,
                },
                &project.site.air,
            ),
        }
    }

    fn of(&self, test: &silkfall_project::project::Test) -> &PlaceWorked {
        self.named(test.session.as_ref().map(|said| said.value.as_str()))
    }

    /// The session of that name; nowhere without one.
    fn named(&self, session: Option<&str>) -> &PlaceWorked {
        let is_it = |place: &&PlaceWorked| Some(place.sheet.name.as_str()) == session;
        self.sessions.iter().find(is_it).unwrap_or(&self.nowhere)
    }

    fn of_tests(&self) -> impl Iterator<Item = &PlaceWorked> {
        self.sessions.iter().chain(self.somewhere_not_stated.then_some(&self.nowhere))
    }

    fn all(&self) -> impl Iterator<Item = &PlaceWorked> {
        self.of_tests().chain([&self.site])
    }
}

/// All tests in the order of the project, with their keys where any are kept.
fn tests(
    loaded: &Loaded,
    places: &Places,
    memo: &mut Memo,
    watch: &dyn Watch,
) -> Result<Vec<Keeping<TestWorked>>, Stopped> {
    let project = &loaded.project;
    let done = std::sync::atomic::AtomicUsize::new(0);
    let kept = &memo.tests;
    let of_all = kept.common(|keyed| keyed.wherever(&(&project.canopies, &project.models)));
    let worked: Result<Vec<(bool, Keeping<TestWorked>)>, Stopped> = project
        .tests
        .par_iter()
        .map(|test| {
            go_on(watch)?;
            let place = places.of(test);
            let inputs = inputs_of(test, &loaded.recordings);
            let key = || {
                let mut keyed = Keyed::new("test");
                // What is worked of a test says its keys, and `place` at the end where they stand.
                keyed.wherever(test);
                keyed.value(&(&place.air, place.spreads, &place.prefix));
                keyed.value(&of_all);
                for input in &inputs {
                    keyed.recording(&input.recording);
                    keyed.value(&(&input.columns, &input.reading, &input.findings));
                }
                keyed.key()
            };
            let mut is_fresh = false;
            let worked = kept.or_work(key, || {
                is_fresh = true;
                Ok(tests::work(test, project, place, &inputs))
            });
            let so_far = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1;
            watch.progress(so_far as f64 / project.tests.len() as f64);
            worked.map(|worked| (is_fresh, worked))
        })
        .collect();
    let worked = worked?;
    let fresh = worked.iter().filter(|(is_fresh, _)| *is_fresh).map(|(_, (_, test))| test.told());
    watch.tests(&fresh.collect::<Vec<_>>());
    let worked: Vec<Keeping<TestWorked>> = worked.into_iter().map(|(_, worked)| worked).collect();
    memo.tests.replace(&worked);
    Ok(worked)
}

/// A test's recordings in the order of the project.
fn inputs_of<'a>(test: &silkfall_project::project::Test, recordings: &'a [Input]) -> Vec<&'a Input> {
    let silkfall_project::project::Evidence::Logs { logs, .. } = &test.evidence else { return Vec::new() };
    logs.iter().filter_map(|log| recordings.iter().find(|input| input.recording.name == log.value)).collect()
}

/// All parts in the order of the project.
fn parts(
    loaded: &Loaded,
    effort: Effort,
    places: &Places,
    tests: &[Keeping<TestWorked>],
    memo: &mut Memo,
    watch: &dyn Watch,
) -> Result<Vec<Keeping<PartWorked>>, Stopped> {
    let project = &loaded.project;
    let kept = &memo.parts;
    let of_cases = kept.common(|keyed| {
        keyed.value(&(
            (effort, &project.offers, &project.models, &project.canopies, &project.tests),
            (&project.site, &places.site.air, &places.site.density_kg_per_m3),
            places.sessions.iter().map(|place| &place.notes.ledger).collect::<Vec<_>>(),
        ));
    });
    let of_day =
        kept.common(|keyed| keyed.value(&(&project.wind, &project.flight, &project.winds, &project.field)));
    let work = |part: &Part| {
        go_on(watch)?;
        let name = &part.name.value;
        let of_part = tests.iter().filter(|(_, test)| test.part == *name);
        let (keys, mine): (Vec<Option<Key>>, Vec<&TestWorked>) =
            of_part.map(|(key, test)| (*key, &**test)).unzip();
        let cases = of_cases.map(|of_cases| {
            let mut keyed = Keyed::new("cases");
            keyed.value(&(part, project.choice(name), of_cases));
            keyed.value(&keys);
            keyed.key()
        });
        let key = || {
            let mut keyed = Keyed::new("part");
            keyed.value(&(cases, of_day));
            keyed.key()
        };
        let fitted = || {
            let mut keyed = Keyed::new("sets");
            keyed.value(&(name, &project.models, &keys));
            keyed.key()
        };
        let fitted = memo.sets.or_work(fitted, || Ok(Sets::new(project, name, &mine)))?;
        // What is other than it was is worked first.
        let falls_first = cases.is_some_and(|key| memo.cases.contains(&key));
        let kept_draws = memo.draws.as_ref();
        let given = part::Given {
            part,
            project,
            places,
            tests: &mine,
            sets: &fitted.1,
            effort,
            kept: kept_draws,
            falls_first,
        };
        kept.or_work(key, || part::work(&given, watch)).map(|worked| (cases, fitted, worked))
    };
    // Where the next text is waited for, what is told of the first part comes sooner by itself; all parts are done sooner side
    // by side.
    type Worked = (Option<Key>, Keeping<Sets>, Keeping<PartWorked>);
    let worked: Result<Vec<Worked>, Stopped> = match memo.draws {
        Some(_) => project.parts.iter().map(work).collect(),
        None => project.parts.par_iter().map(work).collect(),
    };
    memo.cases.clear();
    let (mut sets, mut parts) = (Vec::new(), Vec::new());
    for (cases, of_part, part) in worked? {
        memo.cases.extend(cases);
        sets.push(of_part);
        parts.push(part);
    }
    memo.sets.replace(&sets);
    memo.parts.replace(&parts);
    Ok(parts)
}

/// The hash of all inputs.
fn fingerprint(loaded: &Loaded) -> Key {
    let mut keyed = Keyed::new("sheet");
    keyed.value(&loaded.project);
    for input in &loaded.recordings {
        keyed.recording(&input.recording);
    }
    keyed.key()
}

/// Whether a verdict keeps an outcome from being done.
fn is_open(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::Misses | Verdict::Undecided)
}

/// No answer before a missed limit before done.
fn outcome(
    (parts, landings): (&[PartSheet], &[LandingSheet]),
    unknown: bool,
    findings: &[Finding],
) -> Outcome {
    let tally = |pick: fn(&Tally) -> usize| parts.iter().map(|part| pick(&part.tally)).sum::<usize>();
    if unknown || findings.iter().any(|finding| finding.severity() == Severity::Error) {
        Outcome::NoAnswer
    } else if tally(|t| t.misses) + tally(|t| t.undecided) > 0
        || landings.iter().filter_map(|landing| landing.mix.as_ref()).any(|mix| is_open(mix.verdict))
        || parts.iter().flat_map(|part| &part.packing).any(|packing| is_open(packing.verdict))
        || parts.iter().any(|part| is_open(part.strength.verdict))
        || parts.iter().flat_map(|part| &part.deployment).any(|sheet| is_open(sheet.verdict))
    {
        Outcome::LimitMissed
    } else {
        Outcome::Done
    }
}

/// The doubt of a logger's scale is one thing to mend whatever the number of days: said once, with the days named.
fn folded(findings: Vec<Finding>) -> Vec<Finding> {
    let (scales, mut others): (Vec<Finding>, Vec<Finding>) =
        findings.into_iter().partition(|finding| finding.code == Code::HeightLoggerScaleUnknown);
    let days: Vec<&str> = scales
        .iter()
        .filter_map(|finding| match &finding.subject {
            Subject::Key(key) => key.strip_prefix("session."),
            _ => None,
        })
        .collect();
    if let Some(first) = scales.first() {
        let message = match days.as_slice() {
            [] | [_] => first.message.clone(),
            [day, rest @ ..] => {
                format!("{} (session {day}; much the same: {})", first.message, rest.join(", "))
            }
        };
        others.push(Finding { message, ..first.clone() });
    }
    others
}

/// Placed in their files, the gravest first; of errors what is not known yet, the most valuable first; else by place.
fn in_order(mut findings: Vec<Finding>, project: &Project, recordings: &[Input]) -> Vec<Finding> {
    let inputs: Vec<&Input> = recordings.iter().collect();
    for finding in &mut findings {
        place::in_recordings(finding, &inputs);
        place::in_project(finding, project);
    }
    // The sort is stable: unknowns stay in their order, the most valuable first.
    let place = |f: &Finding| f.place.clone().filter(|_| f.code != Code::ProjectUnknown);
    findings.sort_by_cached_key(|finding| (std::cmp::Reverse(finding.severity()), place(finding)));
    findings
}

/// A finding about an offer, placed in the offers file.
fn offered(finding: &Finding, project: &Project) -> Finding {
    match (&finding.subject, project.offers_file.given()) {
        (Subject::Key(key), Some(file)) if key.starts_with("offer.") && finding.place.is_none() => {
            finding.clone().at(file.clone(), None, None)
        }
        _ => finding.clone(),
    }
}
