//! A part's harness and its devices, and whether they can go together.

use std::collections::BTreeSet;

use silkfall_core::finding::Code;
use silkfall_core::quantity::Length;

use super::{Row, named, refers};
use crate::devices::{Device, Opens};
use crate::harness::{Harness, Point};
use crate::landing::Stage;
use crate::notes::{Notes, quoted};
use crate::value::{Known, Quantity, Said, Spot};
use crate::walk::{Inner, Many, key_text};
use crate::wire;

/// What a device may open beside a stage.
const CANOPIES: &str = "canopies";

pub(super) fn harness(
    harness: Inner<wire::Harness>,
    body_length: Option<&Quantity<Length>>,
    path: &str,
    notes: &mut Notes,
) -> Harness {
    let keys = harness.keys;
    let points = named(keys.point.0, &format!("{path}.point"), notes, |row, _| Some(point(row)));
    let on_body = |of: Known<Quantity<Length>>, path: String, notes: &mut Notes| {
        on_the_body(of, body_length, &path, notes)
    };
    if let (Some(spot), true) = (harness.spot, points.is_empty()) {
        let hint = "add [[part.harness.point]] with its name and at = \"0.4 m\", one for each leg".to_owned();
        let message = "the harness has no point where a leg is fastened";
        notes.add(Code::ProjectMissingKey, path, Some(spot), message, Some(hint));
    }
    let made = points.iter().filter(|point| !point.leg.is_absent()).count();
    if let (Some(spot), true) = (harness.spot, keys.confluence.is_absent() && made < points.len()) {
        let message = "neither `confluence` nor the length of every leg is stated";
        let hint = "say how far above the centre of mass the legs meet: confluence = \"0.7 m\"".to_owned();
        notes.add(Code::ProjectMissingKey, path, Some(spot), message, Some(hint));
    }
    Harness {
        angle: keys.angle,
        confluence: keys.confluence,
        centre_of_mass: on_body(keys.centre_of_mass, format!("{path}.centre_of_mass"), notes),
        mass_below_axis: keys.mass_below_axis,
        mass_may_move: keys.mass_may_move,
        centre_of_area: on_body(keys.centre_of_area, format!("{path}.centre_of_area"), notes),
        points: points
            .into_iter()
            .map(|point| {
                let at = on_body(point.at, format!("{path}.point.{}.at", key_text(&point.name.value)), notes);
                Point { at, ..point }
            })
            .collect(),
        spot: harness.spot,
    }
}

/// A place beyond the rear end is noted and counts as not known.
fn on_the_body(
    place: Known<Quantity<Length>>,
    body: Option<&Quantity<Length>>,
    path: &str,
    notes: &mut Notes,
) -> Known<Quantity<Length>> {
    let (Known::Given(said), Some(body)) = (&place, body) else { return place };
    if said.value.si() <= body.si() * (1.0 + 1e-9) {
        return place;
    }
    let message =
        format!("{} lies beyond the rear end of a body {} long", quoted(said.value.text()), body.text());
    let hint = "places along the body count from its front end".to_owned();
    notes.add(Code::ProjectRange, path, Some(said.spot), message, Some(hint));
    Known::Unknown { spot: said.spot, asked: false }
}

fn point(row: Row<wire::HarnessPoint>) -> Point {
    let keys = row.keys;
    Point { name: row.name, at: keys.at, out: keys.out, around: keys.around, leg: keys.leg }
}

/// Devices whose names of others all exist; a name that does not is left out, with a finding.
pub(super) fn devices(
    rows: Vec<Said<wire::Device>>,
    stages: &[Stage],
    path: &str,
    notes: &mut Notes,
) -> Vec<Device> {
    let all: Vec<String> =
        rows.iter().filter_map(|row| Some(row.value.name.0.as_ref()?.value.clone())).collect();
    let names: BTreeSet<&str> = all.iter().map(String::as_str).collect();
    named(rows, path, notes, |row, notes| Some(device(row, &names, stages, notes)))
}

fn device(row: Row<wire::Device>, names: &BTreeSet<&str>, stages: &[Stage], notes: &mut Notes) -> Device {
    let Row { keys, name, path, .. } = row;
    let others = |many: Many<String>, key: &str, notes: &mut Notes| -> Vec<Said<String>> {
        let path = format!("{path}.{key}");
        let itself = |said: &Said<String>, notes: &mut Notes| {
            if said.value == name.value {
                let message = format!("{} names itself", quoted(&said.value));
                notes.add(Code::ProjectConflict, &path, Some(said.spot), message, None);
            }
            said.value == name.value
        };
        many.values
            .into_iter()
            .filter(|said| refers(said, "device", names, &path, notes) && !itself(said, notes))
            .collect()
    };
    let needs = others(keys.needs, "needs", notes);
    let fired_by = others(keys.fired_by, "fired_by", notes);
    let opens = opens(keys.opens, stages, &format!("{path}.opens"), notes);
    if let (Some(spot), true) =
        (keys.canopies.spot(), opens.given() != Some(&Opens::Canopies) && !opens.is_unknown())
    {
        let message = "`canopies` stands without opens = \"canopies\", of which it is the number";
        notes.add(Code::ProjectConflict, &format!("{path}.canopies"), Some(spot), message, None);
    }
    Device {
        name,
        is: keys.is,
        needs,
        fired_by,
        opens,
        canopies: keys.canopies,
        shared_causes: keys.shared_causes.values,
        may_act_early: keys.may_act_early,
    }
}

fn opens(opens: Known<String>, stages: &[Stage], path: &str, notes: &mut Notes) -> Known<Opens> {
    let given = |value: Opens, spot: Spot| Known::Given(Said { value, spot });
    match opens {
        Known::Given(said) if said.value == CANOPIES => given(Opens::Canopies, said.spot),
        Known::Given(said) => {
            let known: BTreeSet<&str> =
                stages.iter().map(|stage| stage.name.value.as_str()).chain([CANOPIES]).collect();
            if !refers(&said, "stage", &known, path, notes) {
                return Known::Unknown { spot: said.spot, asked: false };
            }
            let is_it = |stage: &&Stage| stage.name.value == said.value;
            let canopies = stages.iter().find(is_it).is_some_and(Stage::opens_canopies);
            given(if canopies { Opens::Canopies } else { Opens::Stage(said.value.clone()) }, said.spot)
        }
        Known::Unknown { spot, asked } => Known::Unknown { spot, asked },
        Known::Absent => Known::Absent,
    }
}
