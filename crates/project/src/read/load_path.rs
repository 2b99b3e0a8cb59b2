//! A part's load path and its contents, and whether what is said of a member goes together.

use std::collections::BTreeSet;

use silkfall_core::finding::Code;
use silkfall_core::load_path::MemberKind;

use super::{Row, named, refers};
use crate::landing::Stage;
use crate::load_path::{Content, Factors, Member, Strength};
use crate::notes::{Notes, quoted};
use crate::project::Part;
use crate::value::{Known, Said, Spot};
use crate::walk::key_text;
use crate::wire;

pub(super) fn factors(keys: wire::Factors) -> Factors {
    let wire::Factors { safety, asymmetry, joints, abrasion, fatigue, moisture, heat } = keys;
    Factors { safety, asymmetry, joints, abrasion, fatigue, moisture, heat }
}

pub(super) fn members(
    rows: Vec<Said<wire::Member>>,
    stages: &[Stage],
    path: &str,
    notes: &mut Notes,
) -> Vec<Member> {
    named(rows, path, notes, |row, notes| member(row, stages, notes))
}

pub(super) fn contents(rows: Vec<Said<wire::Content>>, path: &str, notes: &mut Notes) -> Vec<Content> {
    named(rows, path, notes, |row, _| {
        Some(Content { name: row.name, mass: row.keys.mass, limit: row.keys.limit })
    })
}

fn member(row: Row<wire::Member>, stages: &[Stage], notes: &mut Notes) -> Option<Member> {
    let Row { keys, name, path, .. } = row;
    let is = keys.is.0?;
    let stage = keys.stage.said.filter(|said| {
        let known: BTreeSet<&str> = stages.iter().map(|stage| stage.name.value.as_str()).collect();
        refers(said, "stage", &known, &format!("{path}.stage"), notes)
    });
    let mut only = |key: &str, spot: Option<Spot>, of: &str, instead: &str| {
        let Some(spot) = spot else { return };
        let message = format!("`{key}` stands beside is = {}, expected {of}", quoted(is.value.word()));
        notes.add(
            Code::ProjectConflict,
            &format!("{path}.{key}"),
            Some(spot),
            message,
            Some(instead.to_owned()),
        );
    };
    let number = if is.value.shares() {
        keys.number
    } else {
        only(
            "number",
            keys.number.spot(),
            "lines or skirt",
            "remove it: one of several takes the whole pull first, so that several hold no more than one",
        );
        Known::Absent
    };
    let width = if is.value == MemberKind::Fabric {
        keys.width
    } else {
        only("width", keys.width.spot(), "fabric", "remove it");
        Known::Absent
    };
    let for_a_width = matches!(keys.strength.given(), Some(Strength::PerLength(_)));
    let strength = match (&keys.strength, is.value == MemberKind::Fabric) {
        (Known::Given(said), false) if for_a_width => {
            only("strength", Some(said.spot), "a force", "write what one of it holds: \"2400 N\"");
            Known::Unknown { spot: said.spot, asked: false }
        }
        (Known::Given(said), true) if !for_a_width => {
            only("strength", Some(said.spot), "a force for a width", "write it for its width: \"7.4 kN/m\"");
            Known::Unknown { spot: said.spot, asked: false }
        }
        _ => keys.strength,
    };
    Some(Member {
        name,
        is,
        strength,
        number,
        width,
        carries: keys.carries,
        stage,
        of: keys.of.said,
        pull: keys.pull,
        factors: Factors {
            safety: keys.safety,
            asymmetry: keys.asymmetry,
            joints: keys.joints,
            abrasion: keys.abrasion,
            fatigue: keys.fatigue,
            moisture: keys.moisture,
            heat: keys.heat,
        },
    })
}

/// A member of an offer that is not there is noted; it then belongs to no candidate.
pub(super) fn offers_exist(parts: &[Part], offers: Option<&BTreeSet<&str>>, notes: &mut Notes) {
    let Some(offers) = offers else { return };
    for part in parts {
        for member in &part.members {
            let name = key_text(&member.name.value);
            let path = format!("part.{}.member.{name}.of", key_text(&part.name.value));
            if let Some(said) = &member.of {
                refers(said, "offer", offers, &path, notes);
            }
        }
    }
}
