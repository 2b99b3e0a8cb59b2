//! What is thrown out on which cord, from the project, and its snatch as numbers of the sheet.

use silkfall_core::cases::Rig;
use silkfall_core::drag::Interval;
use silkfall_core::finding::Code;
use silkfall_core::landing::{Brakes, PlannedStage};
use silkfall_core::ledger::{Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::loads::{Event, Parting, Thrown, derive_edge_load};
use silkfall_core::quantity::{Kind, System, show};
use silkfall_project::landing::{Cord, Stage};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Measured, Quantity};

use super::super::notes::{Notes, linked};
use super::super::tests::{entry, exact_or};
use crate::loads::{LoadSheet, PullSheet, SnatchSheet};
use crate::number::Number;

/// Bend over the rim where the project does not say, rad: out of a tube at a right angle.
const BENDS: f64 = std::f64::consts::FRAC_PI_2;

pub(super) const SNATCH: &str = "F = v √(k m₁ m₂/(m₁ + m₂)) with k = F_b/(ε L), two masses that part and a cord straight in force against \
                                 stretch up to its break, over draws of masses, speed, length, stretch and strength (Latin \
                                 hypercube).";
pub(super) const APART: &str = "The speed at which the two are apart as stated, or where it is not, all of the speed at line stretch, which \
                                bounds it for what is let go, over draws (Latin hypercube).";

fn key(part: &Part, stage: &str, name: &str) -> String {
    format!("part.{}.stage.{stage}.cord.{name}", part.name.value)
}

/// What is thrown out when a stage begins; `None` where the project says too little.
pub(super) fn thrown(
    cord: &Cord,
    part: &Part,
    stage: &PlannedStage,
    rig: &Rig,
    notes: &mut Notes,
) -> Option<Thrown> {
    cord.spot?;
    let of = &stage.name;
    let mass_kg = match (&cord.throws, &stage.brakes) {
        (Known::Absent, Brakes::Canopies) => {
            (rig.mass_each_kg > 0.0).then(|| Estimate::exact(rig.mass_each_kg))
        }
        (throws, _) => said(throws, key(part, of, "throws"), format!("what {of} throws out"), notes),
    };
    let apart_m_per_s = match &cord.apart {
        Known::Absent => None,
        apart => {
            let meaning = format!("speed at which {of} parts from what falls");
            let quantity = apart.given()?;
            let id = LedgerId(key(part, of, "apart"));
            notes.enter(&id, Entry { sharing: Sharing::Flight, ..entry(meaning, quantity) });
            Some(exact_or(quantity.si(), id, quantity.standard_uncertainty_si()))
        }
    };
    Some(Thrown {
        mass_kg: mass_kg?,
        apart_m_per_s,
        length_m: said(&cord.length, key(part, of, "length"), format!("length of the cord of {of}"), notes)?,
        stretch: said(
            &cord.stretch,
            key(part, of, "stretch"),
            format!("stretch of the cord of {of}"),
            notes,
        )?,
        strength_n: said(
            &cord.strength,
            key(part, of, "strength"),
            format!("strength of the cord of {of}"),
            notes,
        )?,
    })
}

/// What a person wrote, as an entry of the ledger.
fn said<Q: Measured>(
    known: &Known<Quantity<Q>>,
    id: String,
    meaning: String,
    notes: &mut Notes,
) -> Option<Estimate> {
    let quantity = known.given()?;
    let id = LedgerId(id);
    notes.enter(&id, entry(meaning, quantity));
    Some(exact_or(quantity.si(), id, quantity.standard_uncertainty_si()))
}

/// The cord at its best values, and what presses on the rim.
pub(super) fn sheet(
    part: &Part,
    stage: &Stage,
    (parting, pull): (&Parting, &PullSheet),
    path: &str,
    notes: &mut Notes,
) -> Option<SnatchSheet> {
    let id = |name: &str| format!("{path}.snatch.{name}");
    let strength = stage.cord.strength.given()?;
    let key = |name: &str| key(part, &stage.name.value, name);
    let exact = |name: &str, si: f64, kind: Kind| Number::exact(id(name), si, kind);
    let strength =
        notes.given(exact("strength", strength.si(), Kind::Force), &key("strength"), strength.text());
    let bend = stage.cord.bends.given().map(Quantity::si);
    let trust = match bend {
        Some(_) => Trust::Given,
        None => Trust::Assumed("a right angle over the rim of a tube, where nothing is stated".to_owned()),
    };
    let links = [("F_b", &strength.id)];
    let edge =
        linked(derive_edge_load(pull.at_95.si, bend.unwrap_or(BENDS), trust), &[("F_s", &pull.at_95.id)]);
    let force = linked(parting.derive_force(), &links);
    let energy = parting.derive_energy();
    let to_break = linked(parting.derive_energy_to_break(), &links);
    Some(SnatchSheet {
        force: notes.derived(exact("force", force.si, Kind::Force), force),
        energy: notes.derived(exact("energy", energy.si, Kind::Energy), energy),
        to_break: notes.derived(exact("to_break", to_break.si, Kind::Energy), to_break),
        edge: {
            // It goes with the force, and so does its doubt.
            let per_force = edge.si / pull.at_95.si;
            let interval_95 = pull
                .at_95
                .interval_95
                .map(|of| Interval { low: per_force * of.low, high: per_force * of.high });
            notes.derived(Number { interval_95, ..exact("edge", edge.si, Kind::Force) }, edge)
        },
        holds: strength.si > pull.worst.as_ref().map_or(&pull.at_95, |worst| &worst.at_95).si,
        strength,
    })
}

/// The hardest snatch of each canopy that is more than its cord is rated for is said.
pub(super) fn say_broken(part: &Part, loads: &[LoadSheet], notes: &mut Notes) {
    let snatches = || {
        loads.iter().filter(|load| load.event == Event::Snatch).filter_map(|load| {
            let pull = load.load.as_ref().ok()?;
            Some((load, pull.worst.as_ref().map_or(&pull.at_95, |worst| &worst.at_95), pull.snatch.as_ref()?))
        })
    };
    let mut said: Vec<&str> = Vec::new();
    for (load, ..) in snatches() {
        let of_it = snatches().filter(|(other, _, snatch)| other.canopy == load.canopy && !snatch.holds);
        let hardest = of_it.max_by(|a, b| a.1.si.total_cmp(&b.1.si));
        let Some((load, at_95, snatch)) = hardest.filter(|_| !said.contains(&load.canopy.as_str())) else {
            continue;
        };
        said.push(&load.canopy);
        let force = |number: &Number| show(number.si, 0.05 * number.si, Kind::Force, System::Si);
        let message = format!(
            "{}: 95 of 100 snatches stay below {}, its cord holds {} ({})",
            load.canopy,
            force(at_95),
            force(&snatch.strength),
            load.case
        );
        let stage = part.stages.iter().find(|stage| stage.name.value == load.canopy);
        let stage = stage.or_else(|| part.stages.iter().find(|stage| stage.opens_canopies()));
        let Some(stage) = stage else { continue };
        notes.find_at(
            Code::SnatchBreaksCord,
            &key(part, &stage.name.value, "strength"),
            stage.cord.strength.spot(),
            message,
        );
    }
}
