//! What the project does not know yet, the most valuable to know first.
//!
//! The order is the order in which answers wait: without a part's mass nothing of it can be said at full size, without a
//! test's load that test says nothing, a missing limit leaves one case unjudged, and the day's air only widens intervals.

use silkfall_core::finding::Code;
use silkfall_project::Project;
use silkfall_project::project::{Air, Evidence};
use silkfall_project::value::{Known, Spot};

use super::notes::{Notes, PROJECT_FILE};
use crate::sheet::Unknown;

/// How much waits for a value; the smaller comes first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Waits {
    Part,
    Test,
    Judgement,
    Doubt,
}

/// Lists the unknowns, and notes each as a finding at its place.
pub(super) fn unknowns(project: &Project, notes: &mut Notes) -> Vec<Unknown> {
    let mut found = Found(Vec::new());
    for part in &project.parts {
        let name = &part.name.value;
        let at = |key: &str| format!("part.{name}.{key}");
        found.look(Waits::Part, &part.mass, at("mass"), || {
            format!("rates, energies and canopies of {name} at full size")
        });
        found.look(Waits::Doubt, &part.body.length, at("body.length"), || "the body's own drag".to_owned());
        found.look(Waits::Doubt, &part.body.diameter, at("body.diameter"), || {
            "the body's own drag".to_owned()
        });
        let rigged = || "how well the model's cluster factor and wake carry over".to_owned();
        found.look(Waits::Doubt, &part.rig.line_length, at("rig.line_length"), rigged);
        found.look(Waits::Doubt, &part.rig.riser_length, at("rig.riser_length"), rigged);
        found.look(Waits::Judgement, &part.rig.room, at("rig.room"), || {
            "whether the canopies fit in".to_owned()
        });
        for case in &part.cases {
            let of = format!("part.{name}.case.{}.limit", case.name.value);
            found.look(Waits::Judgement, &case.limit, of, || format!("a verdict on \"{}\"", case.name.value));
        }
    }
    for test in &project.tests {
        let name = &test.name.value;
        let at = |key: &str| format!("test.{name}.{key}");
        let gives = || format!("the drag area of test \"{name}\"");
        let falls = &test.falls;
        for (known, key) in [
            (&falls.load, "load"),
            (&falls.canopies, "canopy_mass"),
            (&falls.lines, "lines"),
            (&falls.logger, "logger"),
            (&falls.ballast, "ballast"),
        ] {
            found.look(Waits::Test, known, at(key), gives);
        }
        match &test.evidence {
            Evidence::Rate(rate) => found.look(Waits::Test, rate, at("rate"), gives),
            Evidence::Force { force, at: speed } => {
                found.look(Waits::Test, force, at("force"), gives);
                found.look(Waits::Test, speed, at("at"), gives);
            }
            Evidence::Logs { .. } => {}
        }
    }
    for canopy in &project.canopies {
        let serial = &canopy.serial.value;
        found.look(Waits::Test, &canopy.mass, format!("canopy.{serial}.mass"), || {
            format!("the drag areas of all tests of canopy {serial}")
        });
    }
    for session in &project.sessions {
        air(&mut found, &session.air, &format!("session.{}", session.name.value));
    }
    air(&mut found, &project.site.air, "site");
    found.0.sort_by_key(|(waits, unknown)| (*waits, unknown.line));
    let unknowns: Vec<Unknown> = found.0.into_iter().map(|(_, unknown)| unknown).collect();
    for unknown in &unknowns {
        let spot = unknown.line.zip(unknown.column).map(|(line, column)| Spot { line, column });
        let message = format!("not known yet; it would give {}", unknown.gives);
        notes.find_at(Code::ProjectUnknown, &unknown.key, spot, message);
    }
    unknowns
}

fn air(found: &mut Found, air: &Air, path: &str) {
    let gives = || "narrower rates and drag areas".to_owned();
    found.look(Waits::Doubt, &air.temperature, format!("{path}.temperature"), gives);
    found.look(Waits::Doubt, &air.pressure, format!("{path}.pressure"), gives);
    found.look(Waits::Doubt, &air.elevation, format!("{path}.elevation"), gives);
}

struct Found(Vec<(Waits, Unknown)>);

impl Found {
    fn look<T>(&mut self, waits: Waits, known: &Known<T>, key: String, gives: impl Fn() -> String) {
        if let Known::Unknown { spot, asked: true } = known {
            let file = PROJECT_FILE.to_owned();
            let (line, column) = (Some(spot.line), Some(spot.column));
            self.0.push((waits, Unknown { key, file, line, column, gives: gives() }));
        }
    }
}
