//! All that came down in a test, item by item: m = load + canopies + lines + logger + ballast, kg.
//!
//! Each item is an entry of the ledger; a canopy weighed once and flown in several tests is one entry in all of them. An
//! item that is not stated is not there, but for canopies, which are then taken to be weighed with the load.

use silkfall_core::derivation::{Expr, sym};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::{Estimate, LedgerId, Trust};
use silkfall_core::quantity::Kind;
use silkfall_project::Project;
use silkfall_project::value::Known;

use super::{Path, added, entry, exact_or};
use crate::number::Number;
use crate::sheet::{Falls, FallsItem};
use crate::work::notes::{Notes, closed, input, linear};

/// What came down.
pub(super) struct Weighed {
    pub falls: Falls,
    pub mass_kg: Estimate,
}

/// The sum of all that came down; `None` where an item is wanted and not known. The unknowns themselves are listed
/// from the project.
pub(super) fn falls(at: &Path<'_>, project: &Project, notes: &mut Notes) -> Option<Weighed> {
    const SYMBOLS: [(&str, &str); 5] = [
        ("load", "m_load"),
        ("canopies", "m_can"),
        ("lines", "m_lines"),
        ("logger", "m_log"),
        ("ballast", "m_bal"),
    ];
    let falls = &at.test.falls;
    let given = [&falls.load, &falls.canopies, &falls.lines, &falls.logger, &falls.ballast];
    let mut items = Vec::new();
    let mut inputs = Vec::new();
    let mut mass = Estimate::exact(0.0);
    for ((name, symbol), known) in SYMBOLS.into_iter().zip(given) {
        let (part, number) = match known {
            Known::Given(said) => {
                let key = if name == "canopies" { "canopy_mass" } else { name };
                let id = LedgerId(at.key(name));
                notes.enter(&id, entry(format!("mass of the {name}, {}", at.test.name.value), &said.value));
                let sd = said.value.standard_uncertainty_si();
                let part = exact_or(said.value.si(), id, sd);
                let number = linear(at.id(&format!("falls.items.{name}.mass")), &part, Kind::Mass);
                (part, notes.given(number, &at.key(key), said.value.text()))
            }
            Known::Unknown { .. } => return None,
            Known::Absent if name == "canopies" && at.test.canopies_unknown => return None,
            Known::Absent if name == "canopies" => match canopies(at, project, notes) {
                Canopies::Weighed(part, number) => (part, number),
                Canopies::Unknown => return None,
                Canopies::None => continue,
            },
            Known::Absent if name == "load" && at.test.canopies.is_empty() => return None,
            Known::Absent => continue,
        };
        inputs.push(input(
            symbol,
            &format!("mass of the {name}"),
            number.si,
            Kind::Mass,
            Trust::Given,
            Some(&number.id),
        ));
        mass = added(mass, &part);
        items.push(FallsItem { name: name.to_owned(), mass: number });
    }
    if falls.load.is_absent() {
        return None;
    }
    let expr = Expr::Sum(inputs.iter().map(|input| sym(input.symbol)).collect());
    let how = closed("m", "all that descends", Kind::Mass, expr, inputs, Trust::Practice);
    let total = notes.derived(linear(at.id("falls.total"), &mass, Kind::Mass), how);
    Some(Weighed { falls: Falls { total, items }, mass_kg: mass })
}

/// What is known of the canopies' mass.
enum Canopies {
    Weighed(Estimate, Number),
    Unknown,
    /// None flew, or they were weighed with the load.
    None,
}

/// The sum over the serials, each an entry of its own that all its tests share.
fn canopies(at: &Path<'_>, project: &Project, notes: &mut Notes) -> Canopies {
    const SYMBOLS: [&str; 12] =
        ["m_1", "m_2", "m_3", "m_4", "m_5", "m_6", "m_7", "m_8", "m_9", "m_10", "m_11", "m_12"];
    let mut sum = Estimate::exact(0.0);
    let mut inputs = Vec::new();
    let mut not_weighed = Vec::new();
    for (said, symbol) in at.test.canopies.iter().zip(SYMBOLS.iter().cycle()) {
        let Some(canopy) = project.canopy(&said.value) else { continue };
        match &canopy.mass {
            Known::Given(mass) => {
                let id = LedgerId(format!("canopy.{}.mass", said.value));
                let meaning = format!("mass of canopy {}", said.value);
                notes.enter(&id, entry(meaning.clone(), &mass.value));
                sum = added(sum, &exact_or(mass.value.si(), id, mass.value.standard_uncertainty_si()));
                inputs.push(input(symbol, &meaning, mass.value.si(), Kind::Mass, Trust::Given, None));
            }
            Known::Unknown { .. } => return Canopies::Unknown,
            Known::Absent => not_weighed.push(said.value.as_str()),
        }
    }
    if !not_weighed.is_empty() {
        let message = format!(
            "the mass of {} is not stated; it is taken to be weighed with the load",
            not_weighed.join(", ")
        );
        notes.find(Finding::new(Code::TestCanopiesNotWeighed, Subject::Key(at.key("canopies")), message));
    }
    if inputs.is_empty() {
        return Canopies::None;
    }
    let expr = Expr::Sum(inputs.iter().map(|input| sym(input.symbol)).collect());
    let how = closed("m_can", "mass of the canopies", Kind::Mass, expr, inputs, Trust::Practice);
    let number = notes.derived(linear(at.id("falls.items.canopies.mass"), &sum, Kind::Mass), how);
    Canopies::Weighed(sum, number)
}
