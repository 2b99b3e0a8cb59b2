//! Tests: what was measured, on what, and what is to be said of single drops.

use std::collections::{BTreeMap, BTreeSet};

use silkfall_core::finding::Code;
use silkfall_core::quantity::{Force, Time, Velocity};

use super::{Names, Row, refers};
use crate::files::inside;
use crate::notes::{Notes, quoted};
use crate::project::{DropNote, Evidence, Falls, Reading, Test, Window};
use crate::value::{Known, Quantity, Said, Spot};
use crate::walk::Many;
use crate::wire;

/// `None` where the test names a part that is not there, or measured nothing. Where its model or a canopy is not there, what
/// came down is not known, and its rate is all that it tells.
pub(super) fn test(row: Row<wire::Test>, names: &Names, notes: &mut Notes) -> Option<Test> {
    let path = row.path;
    let keys = row.keys;
    let below = |key: &str| format!("{path}.{key}");
    let part = keys.part.0.filter(|said| refers(said, "part", &names.parts, &below("part"), notes));
    let is_model = |said: &Said<String>| refers(said, "model", &names.models, &below("model"), notes);
    let model_unknown = keys.model.broken || !keys.model.said.as_ref().is_none_or(is_model);
    let is_session = |said: &Said<String>| refers(said, "session", &names.sessions, &below("session"), notes);
    let session = keys.session.said.filter(is_session);
    let canopies = each_once(keys.canopies.values, &below("canopies"), notes);
    let is_there =
        |serial: &&Said<String>| refers(serial, "canopy", &names.canopies, &below("canopies"), notes);
    let are_there = canopies.iter().filter(is_there).count() == canopies.len();
    // Of a list that is half read nothing is told: what was open would be wrong.
    let canopies_unknown = keys.canopies.broken || !are_there || model_unknown;
    let canopies = if canopies_unknown { Vec::new() } else { canopies };
    let measured = Measured {
        logs: keys.logs,
        rate: keys.rate,
        force: keys.force,
        at: keys.at,
        drops: keys.drop.0,
        reading: keys.reading.keys,
    };
    let evidence = evidence(measured, &path, row.spot, notes);
    Some(Test {
        name: row.name,
        part: part?,
        model: keys.model.said.filter(|_| !model_unknown),
        session,
        evidence: evidence?,
        canopies,
        canopies_unknown,
        body: keys.body,
        falls: Falls {
            load: keys.load,
            canopies: keys.canopy_mass,
            lines: keys.lines,
            logger: keys.logger,
            ballast: keys.ballast,
        },
        riser_length: keys.riser_length,
        line_length: keys.line_length,
        fell: keys.fell,
        spot: row.spot,
    })
}

/// What stands twice in a list is noted and left out.
fn each_once(values: Vec<Said<String>>, path: &str, notes: &mut Notes) -> Vec<Said<String>> {
    let mut seen: BTreeMap<String, Spot> = BTreeMap::new();
    let mut kept = Vec::new();
    for said in values {
        if seen.insert(said.value.clone(), said.spot).is_some() {
            let message = format!("{} stands twice in this list", quoted(&said.value));
            notes.add(Code::ProjectTwice, path, Some(said.spot), message, None);
        } else {
            kept.push(said);
        }
    }
    kept
}

/// The keys that say what a test measured.
struct Measured {
    logs: Many<String>,
    rate: Known<Quantity<Velocity>>,
    force: Known<Quantity<Force>>,
    at: Known<Quantity<Velocity>>,
    drops: Vec<Said<wire::Drop>>,
    reading: wire::Reading,
}

fn evidence(measured: Measured, path: &str, spot: Spot, notes: &mut Notes) -> Option<Evidence> {
    let ways =
        [("logs", measured.logs.spot), ("rate", measured.rate.spot()), ("force", measured.force.spot())];
    let written: Vec<(&str, Spot)> = ways.iter().filter_map(|(key, spot)| Some((*key, (*spot)?))).collect();
    let Some((first, _)) = written.first() else {
        let message = "this test measured nothing";
        let hint = "add logs = [\"logs/one.csv\"], or rate = \"...\", or force = \"...\" with at = \"...\""
            .to_owned();
        notes.add(Code::ProjectMissingKey, path, Some(spot), message, Some(hint));
        return None;
    };
    if let Some((second, spot)) = written.get(1) {
        let message = format!("`{first}` and `{second}` stand in one test");
        let hint = "make a test of each; the first one is used".to_owned();
        notes.add(Code::ProjectConflict, &format!("{path}.{second}"), Some(*spot), message, Some(hint));
    }
    if let (Some(spot), true) = (measured.at.spot(), measured.force.is_absent()) {
        let message = "`at` stands without `force`";
        let hint = "it is the speed at which a pull was measured".to_owned();
        notes.add(Code::ProjectConflict, &format!("{path}.at"), Some(spot), message, Some(hint));
    }
    if *first != "logs"
        && let Some(drop) = measured.drops.first()
    {
        let message = "a drop is named in a test without recordings";
        notes.add(Code::ProjectConflict, &format!("{path}.drop"), Some(drop.spot), message, None);
    }
    match *first {
        "rate" => Some(Evidence::Rate(measured.rate)),
        "force" => {
            if measured.at.is_absent() {
                let message = "`force` stands without `at`";
                let hint = "add the speed of the air during the pull: at = \"8 m/s\", or \"?\"".to_owned();
                notes.add(
                    Code::ProjectConflict,
                    &format!("{path}.force"),
                    measured.force.spot(),
                    message,
                    Some(hint),
                );
            }
            Some(Evidence::Force { force: measured.force, at: measured.at })
        }
        _ => {
            let logs = each_once(measured.logs.values, &format!("{path}.logs"), notes);
            let logs: Vec<_> = logs.into_iter().filter_map(|log| log_path(log, path, notes)).collect();
            let drops = drops(measured.drops, &logs, path, notes);
            let reading = Box::new(reading(measured.reading, path, notes));
            Some(Evidence::Logs { logs, drops, reading })
        }
    }
}

fn log_path(log: Said<String>, path: &str, notes: &mut Notes) -> Option<Said<String>> {
    match inside(&log.value) {
        Ok(value) => Some(Said { value, spot: log.spot }),
        Err(problem) => {
            let message = format!("{} {problem}", quoted(&log.value));
            let hint = "copy the recording into the project folder and name it from there: \"logs/one.csv\""
                .to_owned();
            notes.add(Code::ProjectFile, &format!("{path}.logs"), Some(log.spot), message, Some(hint));
            None
        }
    }
}

fn drops(rows: Vec<Said<wire::Drop>>, logs: &[Said<String>], path: &str, notes: &mut Notes) -> Vec<DropNote> {
    let mut drops: Vec<DropNote> = Vec::new();
    let mut seen = BTreeSet::new();
    let known: BTreeSet<&str> = logs.iter().map(|log| log.value.as_str()).collect();
    for (index, row) in rows.into_iter().enumerate() {
        let path = format!("{path}.drop.{}", index + 1);
        let keys = row.value;
        let (Some(log), Some(at)) = (keys.log.0, keys.at.0) else { continue };
        if !refers(&log, "recording of this test", &known, &format!("{path}.log"), notes) {
            continue;
        }
        if !seen.insert((log.value.clone(), at.value.si().to_bits())) {
            let message = format!("the drop of {} at {} stands twice", quoted(&log.value), at.value.text());
            notes.add(Code::ProjectTwice, &path, Some(row.spot), message, None);
            continue;
        }
        let keep = keys.keep.said.is_some_and(|keep| keep.value);
        if let (true, Some(reason)) = (keep, &keys.set_aside.said) {
            let message = "`keep` and `set_aside` stand for one drop";
            let hint = "a drop counts or does not; it is set aside here".to_owned();
            notes.add(Code::ProjectConflict, &path, Some(reason.spot), message, Some(hint));
        }
        drops.push(DropNote {
            window: window(keys.window, &format!("{path}.window"), notes),
            keep: keep && keys.set_aside.said.is_none(),
            set_aside: keys.set_aside.said,
            ballast: keys.ballast,
            fell: keys.fell,
            log,
            at,
        });
    }
    drops
}

/// Two times, the first before the second.
fn window(times: Many<Quantity<Time>>, path: &str, notes: &mut Notes) -> Option<Said<Window>> {
    let spot = times.spot.filter(|_| !times.broken)?;
    let count = times.values.len();
    let values: Option<[Said<Quantity<Time>>; 2]> = times.values.try_into().ok();
    let Some([from, to]) = values else {
        let message = format!("a list of {count} stands here, expected a start and an end");
        let hint = "for instance [\"813.9 s\", \"816.2 s\"]".to_owned();
        notes.add(Code::ProjectQuantity, path, Some(spot), message, Some(hint));
        return None;
    };
    if from.value.si() >= to.value.si() {
        let message = format!("the stretch from {} to {} is empty", from.value.text(), to.value.text());
        let hint = "write the earlier time first".to_owned();
        notes.add(Code::ProjectRange, path, Some(spot), message, Some(hint));
        return None;
    }
    Some(Said { value: Window { from: from.value, to: to.value }, spot })
}

fn reading(keys: wire::Reading, path: &str, notes: &mut Notes) -> Reading {
    let header_lines = keys.header_lines.said.map(|n| Said { value: n.value.to_string(), spot: n.spot });
    let said = [
        ("time", keys.time.said),
        ("height", keys.height.said),
        ("pressure", keys.pressure.said),
        ("temperature", keys.temperature.said),
        ("delimiter", keys.delimiter.said),
        ("decimal", keys.decimal.said),
        ("header-lines", header_lines),
        ("encoding", keys.encoding.said),
        ("sheet", keys.sheet.said),
    ];
    let mut options = silkfall_intake::Reading::default();
    for (option, said) in said.into_iter().filter_map(|(option, said)| Some((option, said?))) {
        if let Err(problem) = options.set(option, &said.value) {
            let key = format!("{path}.reading.{}", option.replace('-', "_"));
            notes.add(Code::ProjectWord, &key, Some(said.spot), problem, None);
        }
    }
    Reading { options, between: window(keys.between, &format!("{path}.reading.between"), notes) }
}
