//! One part: its drag areas, what they make at full size, the candidates, the choice, the cases.

use silkfall_core::candidates::{self, Beside, Candidates, Cost, Costs, Offered, Standing};
use silkfall_core::cases::{self, Case, Engine, Rig, Trials, Verdict};
use silkfall_core::drag::{self, Drag};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::full_size::Offer;
use silkfall_core::ledger::{Estimate, Ledger};
use silkfall_core::quantity::{Kind, System, show};
use silkfall_project::Project;
use silkfall_project::project::Part;
use silkfall_project::value::Quantity;

use super::bay::Room;
use super::drag::{Fitted, Set, fitted};
use super::landing;
use super::load_path::{self, Path, Told};
use super::notes::Notes;
use super::rests::{Answer, Rests};
use super::tests::TestWorked;
use super::{PartWorked, Places, full, loads, offers};
use crate::from_memory::sources_of;
use crate::hanging::{HangSheet, HarnessSheet, RiggingSheet};
use crate::load_path::{MemberSheet, StrengthSheet};
use crate::loads::LoadSheet;
use crate::packing::PackingSheet;
use crate::sheet::{CaseSheet, Choice, DragSheet, Effort, PartSheet, Tally};
use crate::watch::{CasesWorked, Stage, Stopped, Watch, go_on};

/// Counts that are tried where the project does not say.
pub(super) const MOST_CANOPIES: u32 = 6;

/// Trials and seed of an effort.
pub(super) fn trials(effort: Effort) -> Trials {
    match effort {
        Effort::Quick => Trials::QUICK,
        Effort::Full => Trials::FULL,
    }
}

/// What a part is worked from.
pub(super) struct Given<'a> {
    pub part: &'a Part,
    pub project: &'a Project,
    pub places: &'a Places,
    /// The part's own tests.
    pub tests: &'a [&'a TestWorked],
    pub effort: Effort,
}

/// Works one part from its tests.
pub(super) fn work(given: &Given<'_>, watch: &dyn Watch) -> Result<PartWorked, Stopped> {
    let Given { part, project, places, tests, effort } = given;
    let name = &part.name.value;
    let mut notes = Notes::default();
    let sets = Sets::new(project, name, tests);
    sets.all().for_each(|set| notes.merge(set.notes.clone()));
    sets.say_unused(&mut notes);

    let chosen = project.choice(name);
    let offers = offers::offers(project);
    let together = offers::most_together(project, name).filter(|_| project.offers.is_empty());
    let most = part.rig.count_at_most.given().copied().or(together).unwrap_or(MOST_CANOPIES);
    let up_to = most.max(chosen.map_or(1, |choice| choice.count.value)) as usize;
    let meant = chosen.map(|choice| choice.offer.value.as_str()).or_else(|| copied(project, tests));
    let meant = meant.and_then(|id| offers.iter().find(|offer| offer.name == id));
    let from =
        full::From { part, project, site: &places.site, tests, sets: &sets, offers: &offers, meant, up_to };
    let worked = from.work();
    notes.merge(worked.notes);

    go_on(watch)?;
    watch.stage(Stage::Candidates);
    let trials = trials(*effort);
    let ledger = ledger(given, &notes);
    let cases = super::cases::stated(part);
    // Candidates and cases stand on the same draws.
    let areas: Vec<_> = worked.offered.iter().filter_map(Offered::ln_area).collect();
    let load = worked.load.as_ref().filter(|_| !worked.offered.is_empty());
    let draws = load.map(|load| cases::draw(load, &areas, &ledger, trials));
    let engine = load.zip(draws.as_ref()).map(|(load, draws)| Engine::new(load, draws));
    let room = Room::new(part, project, &offers, &mut notes);
    let candidates = engine.as_ref().map(|engine| {
        let all = candidates::work(engine, &worked.offered, 1..=up_to, &cases);
        let all = candidates::within(all, &bounds(part));
        match &room {
            Some(room) => candidates::weigh(all, &|entry| vec![room.judge(&entry.offer, entry.count)]),
            None => all,
        }
    });
    let path = Path::new(part, project, &offers);
    let bears = Bears { given, path: &path, offers: &offers, load, cases: &cases, ledger: &ledger };
    let of_chosen = candidates.as_ref().and_then(|all| bears.of_chosen(all));
    let candidates = candidates.map(|all| bears.weigh(all, of_chosen.as_ref()));
    go_on(watch)?;
    if let (Some(candidates), Some(load)) = (&candidates, load) {
        remember(name, candidates, load, &ledger, &mut notes);
    }
    if let Some(candidates) = &candidates {
        candidates.findings.iter().for_each(|finding| notes.find(super::offered(finding, project)));
    }
    let choice = choice(given, candidates.as_ref());
    check_choice(given, candidates.as_ref(), &choice, &mut notes);
    let of_choice = choice.id().map(|id| format!("parts.{name}.candidates.{id}"));
    if let Some(sources) = of_choice.and_then(|path| notes.remembered.get(&path).cloned()) {
        let follows = landing::follow_from_falls(name).into_iter().chain([format!("parts.{name}.cases")]);
        follows.for_each(|path| notes.remember(&path, sources.clone()));
    }
    let rig = choice.id().zip(candidates.as_ref()).and_then(|(id, candidates)| rig(id, candidates, &offers));
    let answer =
        Answer { given, sets: &sets, load: worked.load.as_ref(), ln_scale: &worked.ln_scale, trials };
    let rests = rig.as_ref().and_then(|rig| Rests::new(&answer, rig, &mut notes));
    let (case_sheets, results) = case_sheets(&answer, &cases, rig.as_ref().zip(engine.as_ref()), &mut notes);
    let falls = rests.as_ref().map(|rests| &rests.falls);
    watch.cases(&CasesWorked { part: name, falls, choice: &choice, cases: &case_sheets });
    if let Some(results) = &results {
        results.findings.iter().for_each(|finding| notes.find(finding.clone()));
    }
    let offer = rig.as_ref().and_then(|rig| offers.iter().find(|offer| offer.name == rig.offer));
    let (landed, loads::Loads { rows: pulls, entries, openings }) = match (worked.load.as_ref(), rig.as_ref())
    {
        (Some(load), Some(rig)) => {
            let (cases, ledger) = (&cases[..], &ledger);
            let fall =
                landing::Fall::read(landing::Reading { project, part, site: &places.site, rig, offer });
            let (fall, effort, seed) = (&fall, *effort, trials.seed);
            let given = landing::Given { project, part, fall, load, rig, cases, ledger, effort };
            let landed = landing::work(&given, &mut notes, watch)?;
            let loads = match of_chosen.filter(|of| choice.id() == Some(of.id.as_str())) {
                Some(of) => {
                    notes.merge(of.notes);
                    of.loads
                }
                None => loads::Given { fall, load, offer, cases, ledger, seed }.work(&mut notes),
            };
            (landed, loads)
        }
        _ => (None, loads::Loads::default()),
    };
    let held = Held {
        given,
        from: &from,
        ln_scale: &worked.ln_scale,
        load: worked.load.as_ref(),
        rig: rig.as_ref(),
        cases: results.as_ref(),
        pulls: &pulls,
    };
    let (rigging, harness, hanging) = held.work(offer, &mut notes);
    let canopies = rig.as_ref().map(|rig| rig.count);
    let canopies = canopies.or(chosen.map(|choice| choice.count.value as usize)).unwrap_or(1);
    let failure_tree = super::failure_tree::sheets(part, canopies, &cases, &mut notes);
    let told = rig
        .as_ref()
        .map(|rig| path.told(load_path::Under { rig, offer, rows: &entries }, trials.seed, &mut notes));
    let (load_path, shock, strength) = match told {
        Some(Told { members, shock, strength }) => (members, shock, strength),
        None => (Vec::new(), None, StrengthSheet::not_judged("no canopies are chosen")),
    };
    let packing = room.as_ref().map(|room| {
        let chosen = rig.as_ref().map(|rig| (rig.offer.as_str(), rig.count));
        room.sheet(chosen, &offers, &mut notes)
    });
    let deployment = super::bay::deployment(given, room.as_ref(), &mut notes);
    let settled = Settled {
        choice: &choice,
        cases: &case_sheets,
        candidates: candidates.as_ref(),
        packing: packing.as_ref(),
        strength: &strength,
        members: &load_path,
    };
    let sheet = PartSheet {
        name: name.clone(),
        falls: rests.as_ref().map(|rests| rests.falls.clone()),
        tests: tests.iter().map(|test| test.sheet.clone()).collect(),
        drag: sets.sheet(),
        rests_on: rests.as_ref().map(Rests::rests_on).unwrap_or_default(),
        doubts: rests
            .as_ref()
            .zip(results.as_ref())
            .map(|(rests, r)| rests.doubts(r, &ledger))
            .unwrap_or_default(),
        full_size: rests.map(|rests| rests.full_size),
        tally: tally(&case_sheets),
        next: settled.next(name, project),
        candidates: candidates
            .map(|c| super::candidates::sheets(name, &c, choice.id(), &mut notes))
            .unwrap_or_default(),
        cases: case_sheets,
        harness,
        hanging,
        rigging,
        failure_tree,
        choice,
        loads: pulls,
        load_path,
        shock,
        strength,
        openings,
        packing: packing.into_iter().collect(),
        deployment,
    };
    Ok(PartWorked { sheet, landed, notes })
}

/// What candidates are weighed by that opens hard.
struct Bears<'a> {
    given: &'a Given<'a>,
    path: &'a Path<'a>,
    offers: &'a [Offer],
    load: Option<&'a cases::Load>,
    cases: &'a [Case],
    ledger: &'a Ledger,
}

/// All loads of the candidate that the project chooses, worked once for its weighing and its sheet.
struct OfChosen {
    id: String,
    loads: loads::Loads,
    notes: Notes,
}

impl Bears<'_> {
    /// `None` where nothing is chosen, or the chosen one cannot be worked.
    fn of_chosen(&self, candidates: &Candidates) -> Option<OfChosen> {
        let chosen = self.given.project.choice(&self.given.part.name.value)?;
        let is_it = |entry: &&candidates::Entry| {
            entry.offer == chosen.offer.value && entry.count == chosen.count.value as usize
        };
        let entry = candidates.entries.iter().find(is_it)?;
        let rig = rig_of(entry, self.offers)?;
        let mut notes = Notes::default();
        let loads = self.opening(&rig, self.cases, |given| given.work(&mut notes))?;
        Some(OfChosen { id: entry.id.clone(), loads, notes })
    }

    /// Those that stay, and the chosen one, against what their canopies and all below them bear.
    fn weigh(&self, candidates: Candidates, chosen: Option<&OfChosen>) -> Candidates {
        if !self.path.is_stated() {
            return candidates;
        }
        let hardest = load_path::hardest_cases(self.cases);
        let judge = |entry: &candidates::Entry| -> Option<Beside> {
            let rig = &rig_of(entry, self.offers)?;
            let offer = self.offers.iter().find(|offer| offer.name == rig.offer);
            let judged = |rows: &[_]| self.path.judge(load_path::Under { rig, offer, rows });
            match chosen.filter(|chosen| chosen.id == entry.id) {
                Some(chosen) => judged(&chosen.loads.entries),
                None => judged(&self.opening(rig, &hardest, |given| given.hardest(&mut Notes::default()))?),
            }
        };
        let also = chosen.map(|chosen| chosen.id.as_str());
        candidates::weigh_those_that_stay(candidates, also, &|entry| judge(entry).into_iter().collect())
    }

    /// What opens under other canopies, worked; `None` without a load.
    fn opening<T>(&self, rig: &Rig, cases: &[Case], work: impl FnOnce(loads::Given<'_>) -> T) -> Option<T> {
        let Given { part, project, places, effort, .. } = *self.given;
        let offer = self.offers.iter().find(|offer| offer.name == rig.offer);
        let fall = landing::Fall::read(landing::Reading { project, part, site: &places.site, rig, offer });
        let (ledger, seed) = (self.ledger, trials(effort).seed);
        Some(work(loads::Given { fall: &fall, load: self.load?, offer, cases, ledger, seed }))
    }
}

/// What holds it below its canopies.
struct Held<'a> {
    given: &'a Given<'a>,
    from: &'a full::From<'a>,
    ln_scale: &'a Estimate,
    load: Option<&'a cases::Load>,
    rig: Option<&'a Rig>,
    cases: Option<&'a cases::Cases>,
    pulls: &'a [LoadSheet],
}

impl Held<'_> {
    /// Riser and cluster geometry, the harness, and how the part hangs in it.
    fn work(
        &self,
        offer: Option<&Offer>,
        notes: &mut Notes,
    ) -> (Option<RiggingSheet>, Option<HarnessSheet>, Vec<HangSheet>) {
        let (Some(load), Some(rig), Some(cases)) = (self.load, self.rig, self.cases) else {
            return (None, None, Vec::new());
        };
        let given = super::rigging::Given {
            part: self.given.part,
            site: &self.given.places.site,
            load,
            rig,
            offer,
            cases,
            drag: self.from.sets.carrying(),
            ln_scale: self.ln_scale,
            model: self.from.sets.model.is_some().then(|| self.from.model_geometry()),
            full: self.from.geometry_of(offer),
        };
        let (rigging, body) = super::rigging::work(&given, notes);
        let (part, body, pulls) = (self.given.part, body.as_ref(), self.pulls);
        let given = super::hanging::Given { part, load, rig, cases, body, pulls };
        let (harness, hanging) = super::hanging::work(&given, notes).unzip();
        (Some(rigging), harness, hanging.unwrap_or_default())
    }
}

/// What candidates, and the cases and landings under the chosen one, rest on that is remembered.
fn remember(part: &str, candidates: &Candidates, load: &cases::Load, ledger: &Ledger, notes: &mut Notes) {
    let alone = [&load.mass_kg, &load.density_kg_per_m3, &load.ln_flight_scatter, &load.ln_unfilled_share];
    let alone = sources_of(ledger, alone.into_iter().chain(&load.ln_bare));
    let up_to = |count: usize| {
        let clusters = load.clusters.iter().take(count).map(|cluster| &cluster.factor.estimate);
        sources_of(ledger, clusters.chain(load.under.iter().take(count).map(|net| &net.area.estimate)))
    };
    for entry in &candidates.entries {
        let Some(canopy) = &entry.canopy else { continue };
        let mut sources = sources_of(ledger, [&canopy.area.estimate]);
        sources.extend(alone.iter().cloned().chain(up_to(entry.count)));
        notes.remember(&format!("parts.{part}.candidates.{}", entry.id), sources);
    }
}

/// The offer that most tested canopies are copies of.
fn copied<'a>(project: &'a Project, tests: &[&TestWorked]) -> Option<&'a str> {
    let mine = |test: &&silkfall_project::project::Test| {
        tests.iter().any(|worked| worked.sheet.name == test.name.value)
    };
    let mut serials = project.tests.iter().filter(mine).flat_map(|test| &test.canopies);
    serials.find_map(|said| project.canopy(&said.value)?.copy_of.given()).map(String::as_str)
}

/// All entries that the part's results rest on.
fn ledger(given: &Given<'_>, own: &Notes) -> Ledger {
    let mut all = own.ledger.clone();
    let places = given.places.all().map(|place| &place.notes);
    let tests = given.tests.iter().map(|test| &test.notes);
    for notes in places.chain(tests) {
        all.take_in(&notes.ledger);
    }
    all
}

/// What the canopies may weigh, cost and take up.
fn bounds(part: &Part) -> Costs {
    Costs {
        mass_kg: part.rig.mass_at_most.given().map(Quantity::si),
        volume_m3: part.rig.room.given().map(Quantity::si),
        price: part.rig.price_at_most.given().map(Quantity::si),
    }
}

/// Only the project chooses; otherwise the best that stays is taken, or the least bad where none does.
fn choice(given: &Given<'_>, candidates: Option<&Candidates>) -> Choice {
    let Some(candidates) = candidates else { return Choice::Nothing };
    let able = |entry: &&candidates::Entry| entry.canopy.is_some() && !entry.cases.is_empty();
    if let Some(chosen) = given.project.choice(&given.part.name.value) {
        let is_it = |entry: &&candidates::Entry| {
            entry.offer == chosen.offer.value && entry.count == chosen.count.value as usize
        };
        return match candidates.entries.iter().filter(able).find(is_it) {
            Some(entry) => Choice::Chosen(entry.id.clone()),
            None => Choice::Nothing,
        };
    }
    let margin = |entry: &candidates::Entry| entry.worst_margin.unwrap_or(f64::NEG_INFINITY);
    let best =
        candidates.kept.first().map(|&i| &candidates.entries[i]).or_else(|| {
            candidates.entries.iter().filter(able).max_by(|a, b| margin(a).total_cmp(&margin(b)))
        });
    best.map_or(Choice::Nothing, |entry| Choice::NotYet(entry.id.clone()))
}

/// A choice that cannot be worked, or that needs more than the part allows, is a finding where it stands.
fn check_choice(given: &Given<'_>, candidates: Option<&Candidates>, choice: &Choice, notes: &mut Notes) {
    let Some(chosen) = given.project.choice(&given.part.name.value) else { return };
    let key = format!("choice.{}", given.part.name.value);
    let spot = Some(chosen.offer.spot);
    let named = format!("{} × {}", chosen.count.value, chosen.offer.value);
    let Some(entry) = choice.id().and_then(|id| candidates?.entries.iter().find(|entry| entry.id == id))
    else {
        if given.part.mass.given().is_some() {
            notes.find_at(Code::ChoiceNoAnswer, &key, spot, format!("{named} cannot be worked"));
        }
        return;
    };
    if let Standing::OutOfBounds { cost, needs, bound } = entry.standing {
        let why = out_of_bounds(cost, needs, bound);
        notes.find_at(Code::ChoiceOutOfBounds, &key, spot, format!("{named} {why}"));
    }
}

/// "needs 11 L, the canopies have room for 9 L".
fn out_of_bounds(cost: Cost, needs: f64, bound: f64) -> String {
    let (kind, what) = match cost {
        Cost::Mass => (Kind::Mass, "may weigh"),
        Cost::Volume => (Kind::Volume, "have room for"),
        Cost::Price => (Kind::Money, "may cost"),
    };
    let text = |si: f64| show(si, 0.0, kind, System::Si);
    format!("needs {}, the canopies {what} {}", text(needs), text(bound))
}

fn rig(id: &str, candidates: &Candidates, offers: &[Offer]) -> Option<Rig> {
    rig_of(candidates.entries.iter().find(|entry| entry.id == id)?, offers)
}

fn rig_of(entry: &candidates::Entry, offers: &[Offer]) -> Option<Rig> {
    let offer = offers.iter().find(|offer| offer.name == entry.offer);
    Some(Rig {
        offer: entry.offer.clone(),
        count: entry.count,
        canopy: entry.canopy.clone()?,
        mass_each_kg: offer.and_then(|offer| offer.mass_kg).unwrap_or(0.0),
    })
}

/// The cases under the choice, or what is missing for them.
fn case_sheets(
    answer: &Answer<'_>,
    cases: &[Case],
    rig: Option<(&Rig, &Engine)>,
    notes: &mut Notes,
) -> (Vec<CaseSheet>, Option<cases::Cases>) {
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

fn tally(cases: &[CaseSheet]) -> Tally {
    let count =
        |wanted: Verdict| cases.iter().flat_map(|case| &case.limits).filter(|l| l.verdict == wanted).count();
    Tally {
        meets: count(Verdict::Meets),
        misses: count(Verdict::Misses),
        undecided: count(Verdict::Undecided),
        not_judged: cases.iter().filter(|case| case.limits.is_empty()).count(),
    }
}

/// What the next step follows from.
struct Settled<'a> {
    choice: &'a Choice,
    cases: &'a [CaseSheet],
    candidates: Option<&'a Candidates>,
    packing: Option<&'a PackingSheet>,
    strength: &'a StrengthSheet,
    members: &'a [MemberSheet],
}

impl Settled<'_> {
    /// The one thing to do next: what is missing, then what is missed, then what is undecided, then the choice.
    fn next(&self, part: &str, project: &Project) -> Option<crate::sheet::Step> {
        let step = |says: String| Some(crate::sheet::Step { says, command: None });
        if let Some(unknown) = project.unknowns.first() {
            return step(format!("fill in {} in {}:{}", unknown.path, unknown.file, unknown.spot.line));
        }
        if project.offers.is_empty() && *self.choice == Choice::Nothing {
            return step(
                "write canopies.csv, a line for each canopy that can be had, and offers = \"canopies.csv\" near the top \
                 of silkfall.toml"
                    .to_owned(),
            );
        }
        if let Some(missing) = self.cases.iter().find_map(|case| case.missing.as_ref()) {
            return step(missing.clone());
        }
        let best = self.candidates.and_then(|all| all.kept.first().map(|&i| &all.entries[i]));
        let judged = || self.cases.iter().flat_map(|case| case.limits.iter().map(move |limit| (case, limit)));
        if judged().any(|(_, limit)| limit.verdict == Verdict::Misses) {
            return match best {
                Some(entry) if Some(entry.id.as_str()) != self.choice.id() => step(format!(
                    "choose {} × {} for {part}: it {}",
                    entry.count,
                    entry.offer,
                    entry.verdict.word()
                )),
                _ => step(format!(
                    "no candidate keeps every limit of {part}: add larger offers, or allow more of them"
                )),
            };
        }
        if self.strength.verdict == Verdict::Misses {
            let holds = |entry: &&candidates::Entry| {
                entry.verdict == Verdict::Meets && Some(entry.id.as_str()) != self.choice.id()
            };
            return match best.filter(holds) {
                Some(entry) => step(format!("choose {} × {} for {part}: it holds", entry.count, entry.offer)),
                None => step(format!("strengthen the load path of {part}: {}", self.strength.reason)),
            };
        }
        if let Some(packing) = self.packing.filter(|packing| packing.verdict == Verdict::Misses) {
            return match best.filter(|entry| Some(entry.id.as_str()) != self.choice.id()) {
                Some(entry) => {
                    step(format!("choose {} × {} for {part}, or lengthen its bay", entry.count, entry.offer))
                }
                None => step(format!("lengthen the bay of {part}: what is packed {}", packing.reason)),
            };
        }
        if self.strength.verdict == Verdict::Undecided {
            let not_known = self.members.iter().any(|member| member.weakest && member.margin.is_none());
            let first = if not_known { "state what is not known of" } else { "take what surely holds in" };
            return step(format!("{first} the load path of {part}: {}", self.strength.reason));
        }
        if let Some(settle) = judged().find_map(|(_, limit)| limit.settle.clone()) {
            return step(settle);
        }
        match (self.choice, best) {
            (Choice::NotYet(_), Some(entry)) => step(format!(
                "write the choice: [choice.{part}] offer = \"{}\", count = {}",
                entry.offer, entry.count
            )),
            _ => Some(crate::sheet::Step {
                says: "write the report".to_owned(),
                command: Some("plan -o plan.html".to_owned()),
            }),
        }
    }
}

/// What the tests say, by hardware: the model with the most tests, and the real thing.
pub(super) struct Sets {
    pub model: Option<(String, Fitted)>,
    pub real: Option<Fitted>,
    /// Models that are not carried to full size, with the number of their tests.
    unused: Vec<(String, usize)>,
}

impl Sets {
    fn new(project: &Project, part: &str, tests: &[&TestWorked]) -> Self {
        let path = format!("parts.{part}.drag");
        let of = |model: Option<&str>| -> Vec<&TestWorked> {
            tests
                .iter()
                .copied()
                .filter(|test| test.model.as_deref() == model && test.area.is_some())
                .collect()
        };
        let models = project.models.iter().map(|model| (model, of(Some(&model.name.value))));
        let mut models: Vec<_> = models.filter(|(_, tests)| !tests.is_empty()).collect();
        let most = (0..models.len()).max_by_key(|&at| models[at].1.len()).map(|at| models.remove(at));
        let unused = models.iter().map(|(model, tests)| (model.name.value.clone(), tests.len())).collect();
        let model = most.map(|(model, tests)| {
            let label = format!("part.{part}.model");
            let scale = model.scale.given().map(Quantity::text);
            let set = Set { tests, scale, path: &path, prefix: "", label: &label };
            (model.name.value.clone(), fitted(&set))
        });
        let real = of(None);
        let prefix = if model.is_some() { "real." } else { "" };
        let label = format!("part.{part}.real");
        let set = Set { tests: real, scale: None, path: &path, prefix, label: &label };
        let real = (!set.tests.is_empty()).then(|| fitted(&set));
        Sets { model, real, unused }
    }

    /// A model whose tests tell nothing of the real thing is a finding where it stands.
    fn say_unused(&self, notes: &mut Notes) {
        let Some((used, _)) = &self.model else { return };
        for (name, tests) in &self.unused {
            let of = if *tests == 1 { "test" } else { "tests" };
            let message = format!("{tests} {of} of {name} are not carried to full size; those of {used} are");
            notes.find(Finding::new(Code::DragModelNotUsed, Subject::Key(format!("model.{name}")), message));
        }
    }

    fn all(&self) -> impl Iterator<Item = &Fitted> {
        self.model.iter().map(|(_, fitted)| fitted).chain(&self.real)
    }

    /// The set whose cluster factors and body carry over: the model's, else the real thing's.
    pub fn carrying(&self) -> Option<&Drag> {
        self.all().map(|fitted| &fitted.drag).next()
    }

    /// What a measured factor rests on, in words.
    pub fn basis(&self, factor: &drag::Factor) -> String {
        match (&factor.trust, self.all().next()) {
            (silkfall_core::ledger::Trust::Measured, Some(set)) => set.basis.clone(),
            (other, _) => other.mark(),
        }
    }

    /// Both sets in one list.
    fn sheet(&self) -> Option<DragSheet> {
        self.all().map(|fitted| fitted.sheet.clone()).reduce(|mut all, more| {
            all.factors.extend(more.factors);
            all.not_told_apart.extend(more.not_told_apart);
            all.residuals.extend(more.residuals);
            all
        })
    }
}
