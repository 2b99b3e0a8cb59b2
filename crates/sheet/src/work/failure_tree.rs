//! The failure tree of a part: its devices for core, and what follows in words beside the case that covers it.

use std::collections::BTreeMap;

use silkfall_core::cases::Case;
use silkfall_core::failures::{
    self, Device, Fails, Failure, How, Outcome, Serves, Tree, covers, is_harmless,
};
use silkfall_core::finding::Code;
use silkfall_project::devices::{self, Opens};
use silkfall_project::project::Part;
use silkfall_project::value::Said;
use silkfall_project::words::{DeviceIs, Word};

use super::drag::counted;
use super::notes::Notes;
use crate::failure_tree::FailureSheet;

/// More devices of one part than this are not looked at.
const MOST_DEVICES: usize = 200;

/// Every failure of a part that comes down on so many canopies, against its cases.
pub(super) fn sheets(part: &Part, canopies: usize, cases: &[Case], notes: &mut Notes) -> Vec<FailureSheet> {
    if part.devices.is_empty() {
        return Vec::new();
    }
    if part.devices.len() > MOST_DEVICES {
        let message = format!("{} devices, expected at most {MOST_DEVICES}", part.devices.len());
        let key = format!("part.{}.device", part.name.value);
        notes.find_at(Code::DeviceTooMany, &key, Some(part.name.spot), message);
        return Vec::new();
    }
    let tree = tree(part, canopies);
    let told = Told { part, tree: &tree, cases };
    told.say_loops(notes);
    told.say_idle(notes);
    let all = failures::failures(&tree);
    told.say_uncovered(&all, notes);
    all.iter().map(|failure| told.sheet(failure, &all)).collect()
}

/// By what a device is, whether it may act before its time.
fn acts_early(is: Option<&DeviceIs>) -> bool {
    use DeviceIs::{Altimeter, Charge, Cutter, Release, Timer};
    matches!(is, Some(Altimeter | Timer | Charge | Cutter | Release))
}

fn tree(part: &Part, canopies: usize) -> Tree {
    let at = |said: &Said<String>| part.devices.iter().position(|device| device.name.value == said.value);
    let stage = |name: &String| part.stages.iter().position(|stage| stage.name.value == *name);
    let device = |of: &devices::Device| Device {
        name: of.name.value.clone(),
        needs: of.needs.iter().filter_map(at).collect(),
        fired_by: of.fired_by.iter().filter_map(at).collect(),
        causes: of.shared_causes.iter().map(|said| said.value.clone()).collect(),
        serves: of.opens.given().and_then(|opens| match opens {
            Opens::Canopies => Some(Serves::Canopies(of.canopies.given().map(|count| *count as usize))),
            Opens::Stage(name) => stage(name).map(Serves::Stage),
        }),
        may_act_early: of.may_act_early.given().copied().unwrap_or_else(|| acts_early(of.is.given())),
    };
    Tree { devices: part.devices.iter().map(device).collect(), canopies }
}

struct Told<'a> {
    part: &'a Part,
    tree: &'a Tree,
    cases: &'a [Case],
}

impl Told<'_> {
    fn sheet(&self, failure: &Failure, all: &[Failure]) -> FailureSheet {
        let names =
            |of: &[usize]| -> Vec<String> { of.iter().map(|&i| self.tree.devices[i].name.clone()).collect() };
        let (id, fails, of) = match (&failure.fails, failure.how) {
            (Fails::Device(i), How::Dead) => (self.name(*i).to_owned(), self.name(*i).to_owned(), Some(*i)),
            (Fails::Device(i), How::Early) => {
                (format!("{}, too early", self.name(*i)), self.name(*i).to_owned(), Some(*i))
            }
            (Fails::Cause(cause), _) => (format!("cause: {cause}"), cause.clone(), None),
        };
        let how = match (&failure.fails, failure.how) {
            (Fails::Cause(_), _) => "shared cause",
            (_, How::Dead) => "does nothing",
            (_, How::Early) => "acts too early",
        };
        let harmless = is_harmless(&failure.outcome, self.tree.canopies);
        FailureSheet {
            id,
            fails,
            is: of.and_then(|i| self.part.devices[i].is.given()).map(|is| is.word()),
            how,
            also: names(&failure.also),
            needs: of.map(|i| names(&self.tree.devices[i].needs)).unwrap_or_default(),
            fired_by: of.map(|i| names(&self.tree.devices[i].fired_by)).unwrap_or_default(),
            shared_causes: of.map(|i| self.tree.devices[i].causes.clone()).unwrap_or_default(),
            opens: of.and_then(|i| self.opens(i)),
            then: self.then(&failure.outcome),
            single_point: failure.single_point,
            undoes_redundancy: self.undoes(failure, all),
            case: self.case(&failure.outcome).map(|case| case.name.clone()).filter(|_| !harmless),
            harmless,
        }
    }

    /// What comes out by a device.
    fn opens(&self, device: usize) -> Option<String> {
        Some(match self.tree.devices[device].serves? {
            Serves::Stage(stage) => self.part.stages[stage].name.value.clone(),
            Serves::Canopies(Some(count)) if count < self.tree.canopies => counted(count),
            Serves::Canopies(_) => "canopies".to_owned(),
        })
    }

    fn name(&self, device: usize) -> &str {
        &self.tree.devices[device].name
    }

    /// A shared cause that loses what none of those it strikes loses alone.
    fn undoes(&self, failure: &Failure, all: &[Failure]) -> bool {
        let Fails::Cause(cause) = &failure.fails else { return false };
        let lost =
            self.tree.canopies > 0 && failure.outcome.open == 0 || !failure.outcome.stages_lost.is_empty();
        let struck = |i: usize| self.tree.devices[i].causes.contains(cause);
        let alone =
            |other: &Failure| matches!(other.fails, Fails::Device(i) if struck(i)) && other.single_point;
        lost && !all.iter().any(alone)
    }

    /// The case of the sheet that follows.
    fn case(&self, outcome: &Outcome) -> Option<&Case> {
        self.cases.iter().find(|case| covers(case.kind, outcome, self.tree.canopies))
    }

    fn then(&self, outcome: &Outcome) -> String {
        let canopies = self.tree.canopies;
        if is_harmless(outcome, canopies) {
            return "nothing: another does its work".to_owned();
        }
        let stage = |&i: &usize| self.part.stages[i].name.value.as_str();
        let mut said = Vec::new();
        said.extend(outcome.stages_lost.iter().map(|i| format!("{} does not come", stage(i))));
        said.extend(outcome.stages_early.iter().map(|i| format!("{} comes too early", stage(i))));
        match canopies - outcome.open {
            0 => {}
            _ if outcome.open == 0 => said.push("no canopy opens".to_owned()),
            1 => said.push(format!("one of {} stays shut", counted(canopies))),
            shut => said.push(format!("{} stay shut", counted(shut))),
        }
        if outcome.canopies_early {
            said.push("canopies open too early".to_owned());
        }
        said.join(", ")
    }

    fn key(&self, device: usize) -> String {
        format!("part.{}.device.{}", self.part.name.value, self.name(device))
    }

    fn say_loops(&self, notes: &mut Notes) {
        let loops = failures::in_a_loop(&self.tree.devices);
        let Some(&first) = loops.first() else { return };
        let names: Vec<&str> = loops.iter().map(|&i| self.name(i)).collect();
        let message = format!("{} depend on themselves by way of one another", names.join(", "));
        let spot = Some(self.part.devices[first].name.spot);
        notes.find_at(Code::DeviceLoop, &self.key(first), spot, message);
    }

    /// A device on which nothing depends.
    fn say_idle(&self, notes: &mut Notes) {
        for (i, device) in self.tree.devices.iter().enumerate() {
            let used = |other: &Device| other.needs.contains(&i) || other.fired_by.contains(&i);
            let opens = &self.part.devices[i].opens;
            if device.serves.is_none() && opens.is_absent() && !self.tree.devices.iter().any(used) {
                let message = format!("{} fires nothing, opens nothing, and no device needs it", device.name);
                notes.find_at(Code::DeviceIdle, &self.key(i), Some(self.part.devices[i].name.spot), message);
            }
        }
    }

    /// What follows from some failure and is no case, all in one finding.
    fn say_uncovered(&self, all: &[Failure], notes: &mut Notes) {
        let mut missing: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for failure in all {
            let outcome = &failure.outcome;
            if is_harmless(outcome, self.tree.canopies) || self.case(outcome).is_some() {
                continue;
            }
            let by = match &failure.fails {
                Fails::Device(i) => self.name(*i),
                Fails::Cause(cause) => cause,
            };
            missing.entry(self.then(outcome)).or_default().push(by);
        }
        if missing.is_empty() {
            return;
        }
        let said: Vec<String> =
            missing.iter().map(|(then, by)| format!("{then} (by {})", by.join(", "))).collect();
        let part = &self.part.name;
        let message = format!("no case of {} covers: {}", part.value, said.join("; "));
        notes.find_at(Code::DeviceNoCase, &format!("part.{}.device", part.value), Some(part.spot), message);
    }
}
