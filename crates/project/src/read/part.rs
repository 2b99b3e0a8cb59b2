//! Parts, their outside, rig and cases.

use silkfall_core::finding::Code;

use super::{Row, named, shape};
use crate::notes::Notes;
use crate::project::{Body, Case, Part, Rig};
use crate::walk::Inner;
use crate::wire;

pub(super) fn part(row: Row<wire::Part>, notes: &mut Notes) -> Option<Part> {
    let keys = row.keys;
    let rig_path = format!("{}.rig", row.path);
    Some(Part {
        name: row.name,
        mass: keys.mass,
        body: body(keys.body),
        rig: rig(keys.rig.keys, &rig_path, notes),
        share_wanted: keys.share_wanted,
        cases: named(keys.case.0, &format!("{}.case", row.path), notes, case),
        stages: super::landing::stages(keys.stage.0, &format!("{}.stage", row.path), notes),
        flight: super::landing::flight(keys.flight, &format!("{}.flight", row.path), notes),
        reaction: keys.reaction,
    })
}

fn body(body: Inner<wire::Body>) -> Body {
    let keys = body.keys;
    Body {
        shape: keys.shape,
        length: keys.length,
        diameter: keys.diameter,
        hangs: keys.hangs,
        spot: body.spot,
    }
}

fn rig(keys: wire::Rig, path: &str, notes: &mut Notes) -> Rig {
    Rig {
        shape: shape(keys.shape, path, notes),
        line_length: keys.line_length,
        riser_length: keys.riser_length,
        count_at_most: keys.count_at_most,
        room: keys.room,
        mass_at_most: keys.mass_at_most,
        price_at_most: keys.price_at_most,
    }
}

fn case(row: Row<wire::Case>, notes: &mut Notes) -> Option<Case> {
    let keys = row.keys;
    if let (true, Some(spot)) =
        (keys.chance_source.given().is_some() && keys.chance.is_absent(), keys.chance_source.spot())
    {
        let message = "`chance_source` stands without `chance`";
        let hint = "write the chance too, or \"?\"".to_owned();
        notes.add(
            Code::ProjectConflict,
            &format!("{}.chance_source", row.path),
            Some(spot),
            message,
            Some(hint),
        );
    }
    Some(Case {
        name: row.name,
        opens: keys.opens.0?,
        limit: keys.limit,
        share_wanted: keys.share_wanted,
        chance: keys.chance,
        chance_source: keys.chance_source,
        shared_cause: keys.shared_cause,
    })
}
