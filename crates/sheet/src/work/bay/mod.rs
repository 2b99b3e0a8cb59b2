//! A part's bay: what is packed in it, what opens it, how it breathes; its barometer's room; its door.
//!
//! Every figure is a closed form of core with its inputs' doubt carried to first order, by the form's own slopes.

mod door;
mod out;
mod packing;
mod vents;

pub(super) use packing::Room;

use silkfall_core::derivation::{Derivation, How, NumberId};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::quantity::Kind;
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Measured, Quantity};

use super::notes::{Notes, linear};
use super::part::Given;
use super::tests::{entry, exact_or};
use crate::deployment::DeploymentSheet;
use crate::number::Number;
use crate::sheet::Factor;

/// A value with its doubt, and the number of the sheet that it is.
#[derive(Clone, Debug)]
struct Is {
    estimate: Estimate,
    trust: Trust,
    number: Option<NumberId>,
}

impl Is {
    fn si(&self) -> f64 {
        self.estimate.value
    }

    /// A number of the sheet that stands elsewhere.
    fn shown(number: &Number, estimate: Estimate, trust: Trust) -> Self {
        Is { estimate, trust, number: Some(number.id.clone()) }
    }

    /// An exact count or factor.
    fn exact(si: f64, trust: Trust) -> Self {
        Is { estimate: Estimate::exact(si), trust, number: None }
    }
}

/// The figures of one thing, as they are worked.
struct Board<'a> {
    /// The part's name.
    part: &'a str,
    /// Path of the figures in the JSON.
    path: String,
    notes: &'a mut Notes,
    figures: Vec<Factor>,
}

impl<'a> Board<'a> {
    fn new(part: &'a str, name: &str, notes: &'a mut Notes) -> Self {
        Board { part, path: format!("parts.{part}.deployment.{name}.figures"), notes, figures: Vec::new() }
    }

    /// A value of the project, of the table under the part.
    fn stated<Q: Measured>(&mut self, key: &str, meaning: &str, quantity: &Quantity<Q>) -> Is {
        stated(self.part, key, meaning, quantity, self.notes)
    }

    /// A value of the project that is shown as a figure.
    fn given<Q: Measured>(&mut self, id: &str, key: &str, meaning: &str, quantity: &Quantity<Q>) -> Is {
        let is = self.stated(key, meaning, quantity);
        let number = linear(format!("{}.{id}", self.path), &is.estimate, Q::KIND);
        let number = self.notes.given(number, &format!("part.{}.{key}", self.part), quantity.text());
        self.show(id, meaning, number, Trust::Given, "as stated");
        Is { number: Some(NumberId(format!("{}.{id}", self.path))), ..is }
    }

    /// A figure by a closed form; its doubt is that of its inputs, by the form's slopes.
    fn derived(&mut self, id: &str, how: Derivation, from: &[(&'static str, &Is)], basis: &str) -> Is {
        let path = format!("{}.{id}", self.path);
        let (number, is) = derived(path, how, from, self.notes);
        let meaning = self.meaning(&number.id);
        self.show(id, &meaning, number, is.trust.clone(), basis);
        is
    }

    fn meaning(&self, id: &NumberId) -> String {
        match self.notes.hows.get(id) {
            Some(How::Closed(how)) => how.meaning.clone(),
            _ => String::new(),
        }
    }

    fn show(&mut self, id: &str, meaning: &str, number: Number, trust: Trust, basis: &str) {
        self.figures.push(Factor {
            id: id.to_owned(),
            meaning: meaning.to_owned(),
            number: Some(number),
            trust,
            basis: basis.to_owned(),
        });
    }

    /// The figure of that id.
    fn figure(&self, id: &str) -> Option<&Number> {
        self.figures.iter().find(|figure| figure.id == id)?.number.as_ref()
    }
}

/// A value of the project, entered in the ledger.
fn stated<Q: Measured>(
    part: &str,
    key: &str,
    meaning: &str,
    quantity: &Quantity<Q>,
    notes: &mut Notes,
) -> Is {
    let id = LedgerId(format!("part.{part}.{key}"));
    let u = quantity.standard_uncertainty_si();
    if u > 0.0 {
        notes.enter(&id, entry(meaning.to_owned(), quantity));
    }
    Is { estimate: exact_or(quantity.si(), id, u), trust: Trust::Given, number: None }
}

/// A value of ours with its doubt, entered in the ledger.
fn ours(
    id: &str,
    meaning: &str,
    value: f64,
    distribution: Distribution,
    trust: Trust,
    notes: &mut Notes,
) -> Is {
    let sd = match distribution {
        Distribution::Normal { sd } => sd,
        Distribution::Rectangular { low, high } => (high - low) / 12.0f64.sqrt(),
        _ => 0.0,
    };
    let id = LedgerId(id.to_owned());
    let meaning = meaning.to_owned();
    notes.enter(
        &id,
        Entry { meaning, value, distribution, sharing: Sharing::Knowledge, trust: trust.clone() },
    );
    Is { estimate: exact_or(value, id, sd), trust, number: None }
}

/// A number by a closed form, and the value with its doubt. What rests on memory, practice or a judgement says so.
fn derived(
    path: String,
    mut how: Derivation,
    from: &[(&'static str, &Is)],
    notes: &mut Notes,
) -> (Number, Is) {
    for input in &mut how.inputs {
        if let Some((_, is)) = from.iter().find(|(symbol, _)| *symbol == input.symbol) {
            input.number.clone_from(&is.number);
            input.trust = is.trust.clone();
        }
    }
    let slopes: Vec<(&Estimate, f64)> =
        from.iter().filter_map(|(symbol, is)| Some((&is.estimate, how.slope(symbol)?))).collect();
    let estimate = Estimate::made_of(how.si, &slopes);
    let trust = least_trusted(how.inputs.iter().map(|input| &input.trust).chain([&how.source]));
    let number = linear(path, &estimate, how.kind);
    let number = notes.derived(number, how);
    let id = number.id.clone();
    (number, Is { estimate, trust, number: Some(id) })
}

/// The least trusted of several: memory before a judgement before practice; else given.
pub(super) fn least_trusted<'a>(trusts: impl Iterator<Item = &'a Trust>) -> Trust {
    let rank = |trust: &Trust| match trust {
        Trust::Given | Trust::Measured | Trust::Published(_) => 0,
        Trust::Practice => 1,
        Trust::Assumed(_) => 2,
        Trust::Memory(_) => 3,
    };
    let found = trusts.filter(|trust| rank(trust) > 0).max_by_key(|trust| rank(trust));
    found.cloned().unwrap_or(Trust::Given)
}

/// What a known value lacks, in words: `None` where it is given.
fn lacks<T>(known: &Known<T>, what: &str) -> Option<String> {
    known.given().is_none().then(|| format!("{what} is not known"))
}

/// The air that a part climbs through: density, gravity, temperature, each a number of the sheet.
struct AirThere {
    density: Is,
    gravity: Is,
    temperature: Is,
}

fn air(given: &Given<'_>) -> AirThere {
    let site = &given.places.site;
    let sheet = &site.sheet;
    let of = |number: &Number| Is::shown(number, Estimate::exact(number.si), Trust::Given);
    AirThere {
        density: Is::shown(&sheet.density, site.density_kg_per_m3.clone(), Trust::Given),
        gravity: of(&sheet.gravity),
        temperature: of(&sheet.temperature),
    }
}

/// Getting it out of a part: nothing where nothing is stated of it. `room` is its bay.
pub(super) fn deployment(
    given: &Given<'_>,
    room: Option<&Room<'_>>,
    notes: &mut Notes,
) -> Vec<DeploymentSheet> {
    let part: &Part = given.part;
    let bay = room.and_then(Room::outside);
    let mut sheets = Vec::new();
    let opened = out::work(given, bay.as_ref(), notes);
    let least = opened.as_ref().and_then(|(_, least)| least.clone());
    sheets.extend(opened.map(|(sheet, _)| sheet));
    if let (Some(bay), true) = (&bay, part.bay.spot.is_some()) {
        sheets.extend(vents::of_bay(given, bay, least.as_ref(), notes));
    }
    sheets.extend(vents::of_ports(given, notes));
    sheets.extend(door::work(given, notes));
    sheets
}

/// The bay's shell, where both its sizes are known.
#[derive(Clone, Debug)]
pub(super) struct Shell {
    diameter: Is,
    volume: Is,
}

/// A kind's own SI text, for reasons: "245 N".
fn text(si: f64, kind: Kind) -> String {
    silkfall_core::quantity::show(si, si.abs() * 0.02, kind, silkfall_core::quantity::System::Si)
}
