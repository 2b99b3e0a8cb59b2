//! One thread that works: the latest text wins, what is worked for an older one is stopped.
//!
//! A text is worked at quick effort at once. When it has stood a while, full effort refines it behind; the digits refine
//! and do not jump. Whoever waits for a text waits for the view of it or of a later one.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex};
use std::time::Duration;

use silkfall_core::quantity::System;
use silkfall_folder::{Loader, Loading};
use silkfall_project::project::Evidence;
use silkfall_project::words::Units;
use silkfall_project::{PROJECT_FILE, Project};
use silkfall_report::assess_document;
use silkfall_sheet::{
    CaseSheet, CasesWorked, Choice, Effort, Falls, LandingTold, Loaded, Memo, Outcome, Sheet, Stage, Stopped,
    TestSheet, TestTold, Watch,
};
use tokio::sync::{broadcast, watch};

use crate::fault::unworkable;
use crate::page::{self, Fragment, Given, Kept, Part, by_id, differs};

/// What is shown.
#[derive(Debug)]
pub(crate) struct View {
    /// Counts views; fragments know in which they changed.
    pub(crate) revision: u64,
    /// Of the text that it shows.
    pub(crate) sequence: u64,
    pub(crate) name: String,
    pub(crate) system: System,
    pub(crate) sheet: Arc<Sheet>,
    /// What the sheet was worked from.
    pub(crate) loaded: Arc<Loaded>,
    pub(crate) top: Fragment,
    pub(crate) parts: Vec<Part>,
    pub(crate) block: [Fragment; 2],
    /// The ways about the sheet.
    pub(crate) ways: [Fragment; 2],
    /// The revision in which each fragment, and each piece of one, changed last, by its id.
    pub(crate) changed: BTreeMap<String, u64>,
    /// The revision in which the list of sections changed last.
    pub(crate) laid_out: u64,
    /// Files that it was read from, beside the project file.
    pub(crate) files: Vec<PathBuf>,
}

impl View {
    /// Every piece of the page.
    pub(crate) fn fragments(&self) -> impl Iterator<Item = &Fragment> {
        std::iter::once(&self.top)
            .chain(self.parts.iter().flat_map(|part| &part.fragments))
            .chain(self.block.iter().chain(&self.ways))
    }
}

/// The cases of a part, before the rest of its sheet is worked.
#[derive(Clone, Debug)]
pub(crate) struct Worked {
    pub(crate) part: String,
    pub(crate) falls: Option<Falls>,
    pub(crate) choice: Choice,
    pub(crate) cases: Vec<CaseSheet>,
}

/// What can be shown of a text before all of it is worked.
#[derive(Clone, Debug)]
pub(crate) struct Glimpse {
    pub(crate) sequence: u64,
    /// Its place among those of that text, from 1.
    pub(crate) nth: usize,
    /// All that this one and those before it showed, each with the place of the last that did.
    pub(crate) fragments: Vec<(usize, Fragment)>,
    /// The test that was told of.
    pub(crate) told: Option<Arc<Told>>,
}

/// A test before the rest of the sheet is worked.
#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) test: TestSheet,
    /// What it was worked from.
    pub(crate) loaded: Arc<Loaded>,
}

/// What is known of a test.
#[derive(Debug)]
pub(crate) struct KnownTest {
    /// The view last shown ...
    pub(crate) view: Arc<View>,
    /// ... and what was told of the test since.
    pub(crate) told: Option<Arc<Told>>,
}

/// What is there first of a text.
#[derive(Debug)]
pub(crate) enum First {
    /// The view.
    View,
    /// Its drops, its cases or a landing, over an older view.
    Glimpse(Glimpse, Arc<View>),
}

/// What the page is told without asking.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Event {
    /// There is a new view.
    Shown(u64),
    /// The text or the file changed, or what can be undone: the state of it in a word.
    Desk(String),
    /// Full effort goes on: its stage and how much of it is done, 0 to 1.
    Progress(&'static str, f64),
    /// Full effort is done or stopped.
    Rests,
}

/// What a text is worked with.
#[derive(Clone, Debug)]
pub(crate) struct Task {
    pub(crate) text: String,
    pub(crate) read: String,
    pub(crate) sequence: u64,
}

/// What works a project: [`silkfall_sheet::work`], or what a test has fail.
pub(crate) type Work = fn(&Loaded, Effort, &mut Memo, &dyn Watch) -> Result<Sheet, Stopped>;

/// How a project is worked.
#[derive(Clone, Debug)]
pub(crate) struct Manner {
    pub(crate) work: Work,
    pub(crate) system: Option<System>,
    /// The program as it was called, for the commands that the sheet names.
    pub(crate) program: String,
    pub(crate) may_write: bool,
    /// How long a text stands before it is worked at full effort; `None`: never.
    pub(crate) refine_after: Option<Duration>,
}

#[derive(Debug, Default)]
struct Wanted {
    task: Option<Task>,
    ends: bool,
}

#[derive(Debug)]
struct Shared {
    wanted: Mutex<Wanted>,
    woken: Condvar,
    /// Counts tasks: one that is behind is stopped.
    newest: AtomicU64,
    /// Whether somebody asked to stop refining.
    rest: AtomicBool,
    events: broadcast::Sender<Event>,
}

/// The thread, from outside.
#[derive(Debug)]
pub(crate) struct Worker {
    shared: Arc<Shared>,
    views: watch::Receiver<Option<Arc<View>>>,
    glimpses: watch::Receiver<Option<Glimpse>>,
}

impl Worker {
    /// Starts it on a folder.
    pub(crate) fn start(dir: &Path, manner: Manner) -> std::io::Result<Self> {
        let (events, _) = broadcast::channel(64);
        let shared = Arc::new(Shared {
            wanted: Mutex::default(),
            woken: Condvar::new(),
            newest: AtomicU64::new(0),
            rest: AtomicBool::new(false),
            events,
        });
        let (sender, views) = watch::channel(None);
        let (glimpse, glimpses) = watch::channel(None);
        let thread = Thread {
            shared: Arc::clone(&shared),
            views: sender,
            glimpses: glimpse,
            loader: Loader::new(dir),
            manner,
            quick: Memo::default(),
            full: Memo::default(),
            kept: Kept::default(),
            revision: 0,
        };
        std::thread::Builder::new().name("work".to_owned()).spawn(move || thread.run())?;
        Ok(Worker { shared, views, glimpses })
    }

    /// Has a text worked; what is worked now is stopped.
    pub(crate) fn give(&self, task: Task) {
        let mut wanted = self.shared.wanted.lock().expect("nobody panics while holding it");
        self.shared.newest.fetch_add(1, Ordering::Relaxed);
        self.shared.rest.store(false, Ordering::Relaxed);
        wanted.task = Some(task);
        self.shared.woken.notify_one();
    }

    /// Stops refining until the next text.
    pub(crate) fn rest(&self) {
        self.shared.rest.store(true, Ordering::Relaxed);
    }

    /// The view of that text or of a later one; `None` when the thread ended.
    pub(crate) async fn view_of(&self, sequence: u64) -> Option<Arc<View>> {
        let mut views = self.views.clone();
        let is_it = |view: &Option<Arc<View>>| view.as_ref().is_some_and(|view| view.sequence >= sequence);
        let view = views.wait_for(is_it).await.ok()?;
        view.clone()
    }

    /// What is known of a test in that text or a later one, as soon as it is. `None` when the thread ended.
    pub(crate) async fn knows(&self, sequence: u64, test: &str) -> Option<KnownTest> {
        let mut glimpses = self.glimpses.clone();
        let tells = |glimpse: &Option<Glimpse>| {
            let told = glimpse.as_ref().filter(|glimpse| glimpse.sequence >= sequence)?.told.clone();
            told.filter(|told| told.test.name == test)
        };
        tokio::select! {
            biased;
            view = self.view_of(sequence) => Some(KnownTest { view: view?, told: None }),
            glimpse = glimpses.wait_for(|glimpse| tells(glimpse).is_some()) => {
                let told = tells(&*glimpse.ok()?);
                Some(KnownTest { view: self.shown()?, told })
            }
        }
    }

    /// What those who saw so many glimpses of that text were shown of it.
    pub(crate) fn glimpsed(&self, sequence: u64, seen: usize) -> Vec<Fragment> {
        let glimpse = self.glimpses.borrow();
        let of = glimpse.iter().filter(|glimpse| glimpse.sequence == sequence);
        let shown = of.flat_map(|glimpse| &glimpse.fragments).filter(|(nth, _)| *nth <= seen);
        shown.map(|(_, fragment)| fragment.clone()).collect()
    }

    /// What is there first of that text beyond so many glimpses of it, or of a later one; `None` when the thread ended.
    pub(crate) async fn first_of(&self, sequence: u64, seen: usize) -> Option<First> {
        let mut glimpses = self.glimpses.clone();
        let is_new = |of: &Glimpse| of.sequence > sequence || (of.sequence == sequence && of.nth > seen);
        let is_it = |glimpse: &Option<Glimpse>| glimpse.as_ref().is_some_and(is_new);
        tokio::select! {
            biased;
            view = self.view_of(sequence) => view.map(|_| First::View),
            glimpse = glimpses.wait_for(is_it) => {
                let glimpse = glimpse.ok()?.clone()?;
                Some(First::Glimpse(glimpse, self.shown()?))
            }
        }
    }

    /// What is shown now, once something is.
    pub(crate) async fn view(&self) -> Option<Arc<View>> {
        self.view_of(0).await
    }

    /// What is shown now, if anything is yet.
    pub(crate) fn shown(&self) -> Option<Arc<View>> {
        self.views.borrow().clone()
    }

    /// Tells everybody who listens.
    pub(crate) fn tell(&self, event: Event) {
        // Nobody listening is no failure.
        drop(self.shared.events.send(event));
    }

    /// Listens.
    pub(crate) fn listen(&self) -> broadcast::Receiver<Event> {
        self.shared.events.subscribe()
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        let mut wanted = self.shared.wanted.lock().expect("nobody panics while holding it");
        wanted.ends = true;
        self.shared.newest.fetch_add(1, Ordering::Relaxed);
        self.shared.woken.notify_one();
    }
}

/// What was shown of a text before all of it was worked: how often, and each piece as it is now.
#[derive(Debug, Default)]
struct Shown {
    count: usize,
    fragments: BTreeMap<String, (usize, Fragment)>,
    told: Option<Arc<Told>>,
}

/// Whoever made an edit sees what is shown of it first before the rest takes every core: two frames of a screen.
const LOOK: Duration = Duration::from_millis(34);

/// Stops what a newer task has overtaken.
struct Overtaken<'a> {
    shared: &'a Shared,
    mine: u64,
    effort: Effort,
    stage: Mutex<&'static str>,
    sequence: u64,
    /// What was shown last, if a glimpse may be given over it.
    before: Option<Arc<View>>,
    text: &'a str,
    loaded: &'a Arc<Loaded>,
    may_write: bool,
    worked: Mutex<Vec<Worked>>,
    shown: Mutex<Shown>,
    glimpses: &'a watch::Sender<Option<Glimpse>>,
}

impl Overtaken<'_> {
    /// The view that a glimpse may be given over.
    fn under(&self) -> Option<&View> {
        self.before.as_deref().filter(|_| self.effort == Effort::Quick && !self.stopped())
    }

    /// Shows what is other in these pieces than in the view, or than what was shown before, beside that.
    fn show(&self, view: &View, fragments: &[Fragment], told: Option<Told>) {
        let mut shown = self.shown.lock().expect("nobody panics while holding it");
        let mut old = by_id(view.fragments());
        old.extend(by_id(shown.fragments.values().map(|(_, fragment)| fragment)));
        let mut fresh = Vec::new();
        fragments.iter().for_each(|fragment| fragment.wanted(&|piece| differs(piece, &old), &mut fresh));
        let fresh: Vec<Fragment> = fresh.into_iter().cloned().collect();
        if fresh.is_empty() && told.is_none() {
            return;
        }
        shown.count += 1;
        let nth = shown.count;
        shown.fragments.extend(fresh.into_iter().map(|fragment| (fragment.id.clone(), (nth, fragment))));
        shown.told = told.map(Arc::new).or(shown.told.take());
        self.glimpses.send_replace(Some(Glimpse {
            sequence: self.sequence,
            nth,
            fragments: shown.fragments.values().cloned().collect(),
            told: shown.told.clone(),
        }));
        drop(shown);
        if nth == 1 {
            let wanted = self.shared.wanted.lock().expect("nobody panics while holding it");
            let rests = |wanted: &mut Wanted| wanted.task.is_none() && !wanted.ends;
            drop(self.shared.woken.wait_timeout_while(wanted, LOOK, rests));
        }
    }
}

impl Watch for Overtaken<'_> {
    fn stage(&self, stage: Stage) {
        if self.effort == Effort::Full {
            *self.stage.lock().expect("nobody panics while holding it") = stage.name();
            drop(self.shared.events.send(Event::Progress(stage.name(), 0.0)));
        }
    }

    fn progress(&self, share: f64) {
        if self.effort == Effort::Full {
            let stage = *self.stage.lock().expect("nobody panics while holding it");
            drop(self.shared.events.send(Event::Progress(stage, share)));
        }
    }

    /// Who changes one test looks at its drops; what all tests share is seen in the cases.
    fn tests(&self, fresh: &[TestTold<'_>]) {
        if let (Some(view), [told]) = (self.under(), fresh) {
            let fragments = page::drops_glimpse(view, (self.text, self.loaded), told, self.may_write);
            let told = Told { test: told.sheet.clone(), loaded: Arc::clone(self.loaded) };
            self.show(view, &fragments, Some(told));
        }
    }

    fn cases(&self, of: &CasesWorked<'_>) {
        let Some(view) = self.under() else { return };
        let fragment = {
            let mut worked = self.worked.lock().expect("nobody panics while holding it");
            worked.push(Worked {
                part: of.part.to_owned(),
                falls: of.falls.cloned(),
                choice: of.choice.clone(),
                cases: of.cases.to_vec(),
            });
            page::glimpse(view, &worked)
        };
        self.show(view, &[fragment], None);
    }

    fn landing(&self, told: &LandingTold<'_>) {
        if let Some(view) = self.under() {
            self.show(view, &page::landing_glimpse(view, told), None);
        }
    }

    fn stopped(&self) -> bool {
        self.shared.newest.load(Ordering::Relaxed) != self.mine
            || (self.effort == Effort::Full && self.shared.rest.load(Ordering::Relaxed))
    }
}

struct Thread {
    shared: Arc<Shared>,
    views: watch::Sender<Option<Arc<View>>>,
    glimpses: watch::Sender<Option<Glimpse>>,
    loader: Loader,
    manner: Manner,
    /// Apart, so that refining does not forget what the next edit needs.
    quick: Memo,
    full: Memo,
    kept: Kept,
    revision: u64,
}

impl Thread {
    fn run(mut self) {
        let mut last: Option<Task> = None;
        let mut refined = true;
        loop {
            let (next, mine) = {
                let shared = Arc::clone(&self.shared);
                let mut wanted = shared.wanted.lock().expect("nobody panics while holding it");
                loop {
                    if wanted.ends {
                        return;
                    }
                    if let Some(task) = wanted.task.take() {
                        break (Some(task), shared.newest.load(Ordering::Relaxed));
                    }
                    match self.manner.refine_after.filter(|_| !refined) {
                        None => wanted = shared.woken.wait(wanted).expect("nobody panics while holding it"),
                        Some(after) => {
                            let waited = shared.woken.wait_timeout(wanted, after);
                            let (guard, timeout) = waited.expect("nobody panics while holding it");
                            wanted = guard;
                            if timeout.timed_out() && wanted.task.is_none() && !wanted.ends {
                                break (None, shared.newest.load(Ordering::Relaxed));
                            }
                        }
                    }
                }
            };
            match next {
                Some(task) => {
                    if self.try_to_show(&task, Effort::Quick, mine).is_ok() {
                        refined = false;
                    }
                    last = Some(task);
                }
                None => {
                    if let Some(task) = &last {
                        let done = self.try_to_show(task, Effort::Full, mine);
                        refined = done.is_ok() || self.shared.rest.load(Ordering::Relaxed);
                        drop(self.shared.events.send(Event::Rests));
                    }
                }
            }
        }
    }

    /// Works a text and shows it; where the program fails on it, that.
    fn try_to_show(&mut self, task: &Task, effort: Effort, mine: u64) -> Result<(), Stopped> {
        let shown = catch_unwind(AssertUnwindSafe(|| {
            let loading = self.loader.read_with(&task.text);
            self.show(loading, task, effort, mine)
        }));
        shown.unwrap_or_else(|failed| {
            // Nothing that may be half made is gone on with.
            (self.quick, self.full) = (Memo::default(), Memo::default());
            self.kept.clear();
            self.loader = Loader::new(self.loader.dir());
            self.show(unworkable(&task.text, &*failed), task, effort, mine)
        })
    }

    /// Works what was read and shows it.
    fn show(&mut self, loading: Loading, task: &Task, effort: Effort, mine: u64) -> Result<(), Stopped> {
        let shared = Arc::clone(&self.shared);
        let before = self.views.borrow().clone();
        let loaded = Arc::new(loading.loaded);
        let watch = Overtaken {
            shared: &shared,
            mine,
            effort,
            stage: Mutex::new(""),
            sequence: task.sequence,
            before: before.clone(),
            text: &task.text,
            loaded: &loaded,
            may_write: self.manner.may_write,
            worked: Mutex::default(),
            shown: Mutex::default(),
            glimpses: &self.glimpses,
        };
        let memo = match effort {
            Effort::Quick => &mut self.quick,
            Effort::Full => &mut self.full,
        };
        let mut sheet = (self.manner.work)(&loaded, effort, memo, &watch)?;
        if !loading.is_readable {
            sheet.outcome = Outcome::NoAnswer;
        }
        let project = &loaded.project;
        let of_project = project.units.given().map_or(System::Si, |units| match units {
            Units::Si => System::Si,
            Units::Us => System::Us,
        });
        let system = self.manner.system.unwrap_or(of_project);
        let document =
            assess_document(&sheet, &self.manner.program, &self.loader.dir().display().to_string());
        if before.as_ref().is_some_and(|view| view.system != system) {
            self.kept.clear();
        }
        let given = Given {
            loaded: &loaded,
            sheet: &sheet,
            document: &document,
            system,
            text: &task.text,
            read: &task.read,
            may_write: self.manner.may_write,
        };
        let parts = page::compose(&given, &mut self.kept);
        self.revision += 1;
        let mut view = View {
            revision: self.revision,
            sequence: task.sequence,
            name: sheet.name.clone(),
            system,
            top: page::top(&given),
            ways: page::ways(&parts, self.manner.may_write),
            parts,
            block: page::title_block(&given, task.sequence),
            changed: BTreeMap::new(),
            laid_out: self.revision,
            files: files(self.loader.dir(), project),
            sheet: Arc::new(sheet),
            loaded: Arc::clone(&loaded),
        };
        compare(&mut view, before.as_deref());
        let revision = self.revision;
        self.views.send_replace(Some(Arc::new(view)));
        drop(self.shared.events.send(Event::Shown(revision)));
        Ok(())
    }
}

/// Says of each fragment in which revision it changed last.
fn compare(view: &mut View, before: Option<&View>) {
    let ids = |view: &View| -> Vec<(String, bool)> {
        view.parts.iter().map(|part| (part.id.clone(), part.listed.is_some())).collect()
    };
    let old = by_id(before.iter().flat_map(|view| view.fragments()));
    if let Some(before) = before.filter(|before| ids(before) == ids(view)) {
        view.laid_out = before.laid_out;
    }
    let revision = view.revision;
    let changed = by_id(view.fragments()).into_iter().map(|(id, fragment)| {
        let before = before.filter(|_| !differs(fragment, &old));
        (id.to_owned(), before.and_then(|before| before.changed.get(id).copied()).unwrap_or(revision))
    });
    view.changed = changed.collect();
}

/// The files that a project names.
fn files(dir: &Path, project: &Project) -> Vec<PathBuf> {
    let tables = [&project.offers_file, &project.winds_file, &project.field_file];
    let named = tables.into_iter().filter_map(|known| known.given());
    let logs = project.tests.iter().flat_map(|test| match &test.evidence {
        Evidence::Logs { logs, .. } => logs.iter().map(|log| &log.value).collect(),
        _ => Vec::new(),
    });
    let mut files: Vec<PathBuf> = named
        .chain(logs)
        .filter_map(|file| Some(dir.join(silkfall_project::files::inside(file).ok()?)))
        .collect();
    files.sort();
    files.dedup();
    files.retain(|file| file.file_name().is_some_and(|name| name != PROJECT_FILE));
    files
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fails_on_two(
        loaded: &Loaded,
        effort: Effort,
        memo: &mut Memo,
        watch: &dyn Watch,
    ) -> Result<Sheet, Stopped> {
        assert_ne!(loaded.project.name.given().map(String::as_str), Some("two"), "it cannot count");
        silkfall_sheet::work(loaded, effort, memo, watch)
    }

    #[test]
    fn where_the_program_fails_it_is_said_and_the_page_goes_on() {
        let dir = std::env::temp_dir().join("silkfall-nothing-is-read-from-here");
        let manner = Manner {
            work: fails_on_two,
            system: None,
            program: "silkfall".to_owned(),
            may_write: true,
            refine_after: None,
        };
        let worker = Worker::start(&dir, manner).unwrap();
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let shown = |sequence: u64, name: &str| {
            let text = format!("name = \"{name}\"\n");
            worker.give(Task { read: text.clone(), text, sequence });
            runtime.block_on(worker.view_of(sequence)).expect("the thread goes on")
        };
        let fault = |view: &View| {
            let of = |finding: &&silkfall_core::finding::Finding| finding.code.name() == "program-fault";
            view.sheet.findings.iter().find(of).map(|finding| finding.message.clone())
        };
        assert_eq!(fault(&shown(1, "one")), None);
        let failed = shown(2, "two");
        assert!(fault(&failed).is_some_and(|says| says.contains("it cannot count")));
        assert_eq!(failed.sheet.outcome, Outcome::NoAnswer);
        let typed = failed.fragments().any(|fragment| fragment.html().contains("value=\"two\""));
        assert!(typed, "what is typed stands in its field");
        assert_eq!(fault(&shown(3, "three")), None, "and is mended there");
    }
}
