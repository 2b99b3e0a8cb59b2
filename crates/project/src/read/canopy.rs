//! Canopies that flew, and models of bodies.

use std::collections::BTreeSet;

use silkfall_core::finding::Code;

use super::{Row, refers, shape};
use crate::notes::Notes;
use crate::project::{Canopy, Model};
use crate::value::Known;
use crate::wire;

pub(super) fn model(row: Row<wire::Model>) -> Option<Model> {
    Some(Model { name: row.name, scale: row.keys.scale, scale_copy: row.keys.scale_copy })
}

pub(super) fn canopy(
    row: Row<wire::Canopy>,
    offers: Option<&BTreeSet<&str>>,
    notes: &mut Notes,
) -> Option<Canopy> {
    let keys = row.keys;
    let mut copy_of = keys.copy_of;
    if let (Known::Given(said), Some(offers)) = (&copy_of, offers) {
        let spot = said.spot;
        if !refers(said, "offer", offers, &format!("{}.copy_of", row.path), notes) {
            copy_of = Known::Unknown { spot, asked: false };
        }
    }
    if let (Some(spot), true) = (keys.scale.spot(), copy_of.is_absent()) {
        let message = "`scale` stands without `copy_of`";
        let hint = "say which offer it is a copy of: copy_of = \"...\"".to_owned();
        notes.add(Code::ProjectConflict, &format!("{}.scale", row.path), Some(spot), message, Some(hint));
    }
    Some(Canopy {
        serial: row.name,
        shape: shape(keys.shape, &row.path, notes),
        diameter: keys.diameter,
        diameter_is: keys.diameter_is,
        line_length: keys.line_length,
        mass: keys.mass,
        vent: keys.vent,
        cloth: keys.cloth,
        copy_of,
        scale: keys.scale,
    })
}
