//! One part: its drag areas, what they make at full size, the candidates, the choice, the cases.

use silkfall_core::candidates::{self, Candidates, Cost, Costs, Offered, Standing};
use silkfall_core::cases::{self, Engine, Rig, Standards, Trials, Verdict};
use silkfall_core::finding::Code;
use silkfall_core::full_size::Offer;
use silkfall_core::ledger::{Estimate, Ledger};
use silkfall_core::quantity::{Kind, System, show};
use silkfall_project::Project;
use silkfall_project::project::Part;
use silkfall_project::value::Quantity;

use super::bay::Room;
use super::bears::Bears;
use super::flown::Flight;
use super::landing;
use super::load_path::{self, Path, Told};
use super::next::Settled;
use super::notes::Notes;
use super::rests::{Answer, Rests};
use super::sets::Sets;
use super::tests::TestWorked;
use super::under::{self, Under, chosen_id, rig_of};
use super::{PartWorked, Places, full, loads, offers};
use crate::from_memory::sources_of;
use crate::hanging::{HangSheet, HarnessSheet, RiggingSheet};
use crate::load_path::StrengthSheet;
use crate::loads::LoadSheet;
use crate::sheet::{CaseSheet, Choice, Effort, PartSheet, Tally};
use crate::watch::{Stage, Stopped, Watch, go_on};

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
    /// The same, fitted together.
    pub sets: &'a Sets,
    pub effort: Effort,
    /// What was drawn for the text before.
    pub kept: Option<&'a Standards>,
    /// Whether its cases are those that were told of before, and only how it comes down may be other.
    pub falls_first: bool,
}

/// Works one part from its tests.
pub(super) fn work(given: &Given<'_>, watch: &dyn Watch) -> Result<PartWorked, Stopped> {
    let Given { part, project, places, tests, sets, effort, kept, falls_first } = given;
    let name = &part.name.value;
    let mut notes = Notes::default();
    sets.all().for_each(|set| notes.merge(set.notes.clone()));
    sets.say_unused(&mut notes);

    let chosen = project.choice(name);
    let offers = offers::offers(project);
    let together = offers::most_together(project, name).filter(|_| project.offers.is_empty());
    let most = part.rig.count_at_most.given().copied().or(together).unwrap_or(MOST_CANOPIES);
    let up_to = most.max(chosen.map_or(1, |choice| choice.count.value)) as usize;
    let meant = chosen.map(|choice| choice.offer.value.as_str()).or_else(|| copied(project, tests));
    let meant = meant.and_then(|id| offers.iter().find(|offer| offer.name == id));
    let from = full::From { part, project, site: &places.site, tests, sets, offers: &offers, meant, up_to };
    let worked = from.work();
    notes.merge(worked.notes);

    go_on(watch)?;
    watch.stage(Stage::Candidates);
    let trials = trials(*effort);
    let ledger = ledger(given, &notes);
    let cases = super::cases::stated(part);
    let areas: Vec<_> = worked.offered.iter().filter_map(Offered::ln_area).collect();
    let load = worked.load.as_ref().filter(|_| !worked.offered.is_empty());
    let answer = Answer { given, sets, load: worked.load.as_ref(), ln_scale: &worked.ln_scale, trials };
    let flight = load.map(|load| Flight { given, offers: &offers, load, cases: &cases, ledger: &ledger });
    // What is chosen is worked first: whoever turns a number waits for its cases and its landing.
    let stated = under::stated(&answer, &cases, &worked.offered);
    let fly =
        || flight.as_ref().zip(stated.as_ref()).map(|(flight, (_, rig))| flight.fly(rig, watch)).transpose();
    let flown_first = if *falls_first { fly()? } else { None };
    // Candidates and cases stand on the same draws.
    let draws = load.map(|load| cases::draw(load, &areas, &ledger, trials, *kept));
    let engine = load.zip(draws.as_ref()).map(|(load, draws)| Engine::new(load, draws));
    let under = stated.as_ref().filter(|_| flight.is_some()).map(|(choice, rig)| {
        let of = (choice.clone(), Some(rig.clone()));
        Under::work(&answer, &cases, of, engine.as_ref(), watch)
    });
    let flown = flown_first.map_or_else(fly, |flown| Ok(Some(flown)))?;
    go_on(watch)?;
    let room = Room::new(part, project, &offers, &mut notes);
    let weighed = |engine: &Engine| {
        let all = candidates::work(engine, &worked.offered, 1..=up_to, &cases, &|| !watch.stopped())?;
        let all = candidates::within(all, &bounds(part));
        Some(match &room {
            Some(room) => candidates::weigh(all, &|entry| vec![room.judge(&entry.offer, entry.count)]),
            None => all,
        })
    };
    let candidates = engine.as_ref().map(|engine| weighed(engine).ok_or(Stopped)).transpose()?;
    let path = Path::new(part, project, &offers);
    let bears = Bears { flight: flight.as_ref(), path: &path, offered: &worked.offered };
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
    let (under, flown) = under.zip(flown).filter(|(under, _)| under.choice == choice).unzip();
    let under = under.unwrap_or_else(|| {
        let rig = choice
            .id()
            .zip(candidates.as_ref())
            .and_then(|(id, all)| rig_of(all.entries.iter().find(|entry| entry.id == id)?, &worked.offered));
        Under::work(&answer, &cases, (choice, rig), engine.as_ref(), watch)
    });
    let Under { choice, rig, rests, sheets: case_sheets, cases: results, notes: of_cases } = under;
    notes.merge(of_cases);
    let offer = rig.as_ref().and_then(|rig| offers.iter().find(|offer| offer.name == rig.offer));
    let (landed, loads::Loads { rows: pulls, entries, openings }) = match (flight.as_ref(), rig.as_ref()) {
        (Some(flight), Some(rig)) => {
            let flown = flown.map_or_else(|| flight.fly(rig, watch), Ok)?;
            notes.merge(flown.notes);
            let loads = match of_chosen.filter(|of| choice.id() == Some(of.id.as_str())) {
                Some(of) => {
                    notes.merge(of.notes);
                    of.loads
                }
                None => flight.loads(&flown.fall, rig, &cases).work(&mut notes),
            };
            (flown.landed, loads)
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
    if let Some(chosen) = chosen_id(given.project, &given.part.name.value) {
        let is_able = candidates.entries.iter().filter(able).any(|entry| entry.id == chosen);
        return if is_able { Choice::Chosen(chosen) } else { Choice::Nothing };
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
