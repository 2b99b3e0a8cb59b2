//! Parts, their outside, rig and cases.

use silkfall_core::finding::Code;
use silkfall_core::quantity::Length;

use super::{Row, hanging, named, opening, shape};
use crate::notes::Notes;
use crate::project::{Body, Case, Part, Rig};
use crate::value::{Known, Quantity};
use crate::walk::Inner;
use crate::wire;

pub(super) fn part(row: Row<wire::Part>, notes: &mut Notes) -> Option<Part> {
    let keys = row.keys;
    let rig_path = format!("{}.rig", row.path);
    let body = body(keys.body);
    let stages = super::landing::stages(keys.stage.0, &format!("{}.stage", row.path), notes);
    opening::lighter_than_the_part(&stages, keys.mass.given(), &format!("{}.stage", row.path), notes);
    Some(Part {
        name: row.name,
        mass: keys.mass,
        harness: hanging::harness(keys.harness, body.length.given(), &format!("{}.harness", row.path), notes),
        devices: hanging::devices(keys.device.0, &stages, &format!("{}.device", row.path), notes),
        members: super::load_path::members(keys.member.0, &stages, &format!("{}.member", row.path), notes),
        factors: super::load_path::factors(keys.factors.keys),
        contents: super::load_path::contents(keys.content.0, &format!("{}.content", row.path), notes),
        body,
        rig: rig(keys.rig.keys, &rig_path, notes),
        share_wanted: keys.share_wanted,
        cases: named(keys.case.0, &format!("{}.case", row.path), notes, case),
        stages,
        opening: opening::opening(keys.opening.keys),
        flight: super::landing::flight(keys.flight, &format!("{}.flight", row.path), notes),
        reaction: keys.reaction,
        bay: super::bay::bay(keys.bay, &format!("{}.bay", row.path), notes),
        door: super::bay::door(keys.door, &format!("{}.door", row.path), notes),
        sensor_bay: super::bay::sensor_bay(keys.sensor_bay),
    })
}

fn body(body: Inner<wire::Body>) -> Body {
    let keys = body.keys;
    Body {
        shape: keys.shape,
        length: keys.length,
        diameter: keys.diameter,
        hangs: keys.hangs,
        fins: keys.fins,
        fin_area: keys.fin_area,
        fins_at: keys.fins_at,
        spot: body.spot,
    }
}

fn rig(keys: wire::Rig, path: &str, notes: &mut Notes) -> Rig {
    let common_riser = common_riser(keys.common_riser, &keys.riser_length, path, notes);
    Rig {
        shape: shape(keys.shape, path, notes),
        line_length: keys.line_length,
        riser_length: keys.riser_length,
        common_riser,
        count_at_most: keys.count_at_most,
        room: keys.room,
        mass_at_most: keys.mass_at_most,
        price_at_most: keys.price_at_most,
    }
}

/// What the canopies share of a riser is no longer than the riser.
fn common_riser(
    common: Known<Quantity<Length>>,
    riser: &Known<Quantity<Length>>,
    path: &str,
    notes: &mut Notes,
) -> Known<Quantity<Length>> {
    let (Known::Given(said), Some(riser)) = (&common, riser.given()) else { return common };
    if said.value.si() <= riser.si() {
        return common;
    }
    let message = format!("{} of a riser {} long is shared", said.value.text(), riser.text());
    let hint = "riser_length is all of it, from the body to where the lines meet".to_owned();
    notes.add(Code::ProjectRange, &format!("{path}.common_riser"), Some(said.spot), message, Some(hint));
    Known::Unknown { spot: said.spot, asked: false }
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
