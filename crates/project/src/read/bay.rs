//! A part's bay, its door and its barometer's room.

use std::collections::BTreeSet;

use silkfall_core::finding::Code;

use super::landing::{alone, one_of, wrapped};
use super::{Row, named, refers};
use crate::bay::{Bay, Door, Gas, Item, Pin, Push, Roll, SensorBay, Takes};
use crate::notes::Notes;
use crate::project::Part;
use crate::value::{Known, Said};
use crate::walk::Inner;
use crate::wire;
use crate::words::GasSource;

pub(super) fn bay(bay: Inner<wire::Bay>, path: &str, notes: &mut Notes) -> Bay {
    let keys = bay.keys;
    let pin = match one_of(
        [("pin_thread", keys.pin_thread.spot()), ("pin_diameter", keys.pin_diameter.spot())],
        path,
        notes,
    ) {
        Some(0) => wrapped(keys.pin_thread, Pin::Thread),
        _ => wrapped(keys.pin_diameter, Pin::Smooth),
    };
    if keys.pins.is_absent() {
        alone("pin_strength", keys.pin_strength.spot(), "`pins`, how many of them hold", path, notes);
        let key = if matches!(pin.given(), Some(Pin::Smooth(_))) { "pin_diameter" } else { "pin_thread" };
        alone(key, pin.spot(), "`pins`, how many of them hold", path, notes);
    }
    if keys.vents.given() == Some(&0) || keys.vents.is_absent() {
        alone(
            "vent_diameter",
            keys.vent_diameter.spot(),
            "`vents`, how many such holes there are",
            path,
            notes,
        );
    }
    let gas = gas(keys.gas, &format!("{path}.gas"), notes);
    Bay {
        diameter: keys.diameter,
        length: keys.length,
        section_filled: keys.section_filled,
        packing_density: keys.packing_density,
        rolls: named(keys.roll.0, &format!("{path}.roll"), notes, roll),
        items: named(keys.item.0, &format!("{path}.item"), notes, item),
        pins: keys.pins,
        pin,
        pin_strength: keys.pin_strength,
        friction: keys.friction,
        pushes: keys.pushes,
        margin_wanted: keys.margin_wanted,
        vents: keys.vents,
        vent_diameter: keys.vent_diameter,
        gas,
        spot: bay.spot,
    }
}

fn gas(gas: Inner<wire::GasOf>, path: &str, notes: &mut Notes) -> Gas {
    let keys = gas.keys;
    if keys.source.given() == Some(&GasSource::Pyrotechnic) {
        let cold = "source = \"cold gas\", which alone is worked by mass";
        alone("mass", keys.mass.spot(), cold, path, notes);
        alone("gas", keys.gas.spot(), cold, path, notes);
    }
    Gas { source: keys.source, gas: keys.gas, mass: keys.mass, temperature: keys.temperature, spot: gas.spot }
}

fn roll(row: Row<wire::Roll>, _: &mut Notes) -> Option<Roll> {
    let keys = row.keys;
    Some(Roll { offer: row.name, diameter: keys.diameter, length: keys.length, holds: keys.holds })
}

/// Its length, roll or volume, else its mass; without one of them it counts as not known, with a finding.
fn item(row: Row<wire::Item>, notes: &mut Notes) -> Option<Item> {
    let (keys, path) = (row.keys, &row.path);
    let ways = [("length", keys.length.spot()), ("volume", keys.volume.spot())];
    let way = one_of(ways, path, notes);
    if keys.length.is_absent() {
        alone("diameter", keys.diameter.spot(), "`length`: a roll has both", path, notes);
    }
    if way.is_some() || keys.mass.is_absent() {
        alone(
            "packing_density",
            keys.packing_density.spot(),
            "a mass alone, whose volume it tells",
            path,
            notes,
        );
    }
    let takes = match way {
        Some(0) => match (keys.diameter, keys.length) {
            (Known::Absent, length) => wrapped(length, Takes::Length),
            (Known::Given(across), Known::Given(along)) => {
                Known::Given(Said { value: Takes::Roll(across.value, along.value), spot: along.spot })
            }
            (_, along) => Known::Unknown { spot: along.spot().unwrap_or(row.spot), asked: false },
        },
        Some(_) => wrapped(keys.volume, Takes::Volume),
        None => match &keys.mass {
            Known::Absent => {
                let message =
                    "nothing says what this takes of the bay, expected a length, a volume or a mass";
                let hint = "write its length, or diameter and length of its roll, or weigh it".to_owned();
                notes.add(Code::BayItemSaysNothing, path, Some(row.spot), message, Some(hint));
                Known::Unknown { spot: row.spot, asked: false }
            }
            mass => wrapped(mass.clone(), |mass| Takes::Mass(mass, keys.packing_density.given().cloned())),
        },
    };
    Some(Item { name: row.name, takes, mass: keys.mass })
}

pub(super) fn door(door: Inner<wire::Door>, path: &str, notes: &mut Notes) -> Door {
    let keys = door.keys;
    let ways =
        [("speed", keys.speed.spot()), ("force", keys.force.spot()), ("pressure", keys.pressure.spot())];
    let push = match one_of(ways, path, notes) {
        Some(0) => wrapped(keys.speed, Push::Speed),
        Some(1) => wrapped(keys.force, Push::Force),
        _ => wrapped(keys.pressure, Push::Pressure),
    };
    if matches!(push.given(), Some(Push::Speed(_))) {
        alone("stroke", keys.stroke.spot(), "`force` or `pressure`, which push over it", path, notes);
    }
    Door {
        length: keys.length,
        width: keys.width,
        push,
        stroke: keys.stroke,
        throws: keys.throws,
        stream: keys.stream,
        drag_area: keys.drag_area,
        to_fins: keys.to_fins,
        fin_span: keys.fin_span,
        spot: door.spot,
    }
}

pub(super) fn sensor_bay(bay: Inner<wire::SensorBay>) -> SensorBay {
    let keys = bay.keys;
    SensorBay { volume: keys.volume, ports: keys.ports, port_diameter: keys.port_diameter, spot: bay.spot }
}

/// Rolls of offers that are not there are left out, with a finding.
pub(super) fn known_rolls(parts: &mut [Part], offers: &BTreeSet<&str>, notes: &mut Notes) {
    for part in parts {
        let path = format!("part.{}.bay.roll", crate::walk::key_text(&part.name.value));
        part.bay.rolls.retain(|roll| refers(&roll.offer, "offer", offers, &path, notes));
    }
}
