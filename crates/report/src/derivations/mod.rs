//! How a number came about: equations set as text and as MathML, with the numbers put in.
//!
//! The equation with numbers is in base SI units whatever the display, so that a reader can work it out as it
//! stands; a display in other units is added after the result. The inputs' meaning, value and source follow as a
//! table.

mod mathml;
mod symbols;
mod words;

pub use mathml::{ems, symbolic as mathml_symbolic, with_numbers as mathml_with_numbers};
pub use symbols::{printed as printed_symbol, split as split_symbol};
pub use words::{Said, text};

use silkfall_core::derivation::{Derivation, Input, NumberId};
use silkfall_core::quantity::{Kind, System, number_in, show};

use crate::document::{Column, Rich, Row, Shown, Table};

/// The inputs of a closed form: symbol, meaning, value, source. `of` is the number derived; an input that is no
/// number of the sheet stands below it.
pub fn inputs_table(of: &NumberId, derivation: &Derivation) -> Table {
    let columns =
        vec![Column::text(""), Column::text("input"), Column::text("value"), Column::text("rests on")];
    let mut table = Table::new("where", columns).quiet_caption();
    for input in &derivation.inputs {
        let id = input.number.clone().unwrap_or_else(|| NumberId(format!("{}.{}", of.0, input.symbol)));
        table = table.row(Row::new(vec![
            printed_symbol(input.symbol).into(),
            input.meaning.clone().into(),
            Shown::new(id, input.si, 0.0, input.kind).into(),
            Rich::new().quiet(input.trust.mark()).into(),
        ]));
    }
    table
}

/// What stands for a symbol of an equation.
#[derive(Clone, Copy, Debug)]
pub enum Setting<'a> {
    /// The symbol itself; factors stand beside one another.
    Symbols,
    /// Its number with its unit; factors are joined by a sign.
    Numbers(&'a [Input]),
}

impl Setting<'_> {
    /// The input that is set in the place of a symbol, if one is.
    pub fn input(&self, symbol: &str) -> Option<&Input> {
        match self {
            Setting::Symbols => None,
            Setting::Numbers(inputs) => inputs.iter().find(|input| input.symbol == symbol),
        }
    }
}

/// A value in its base SI unit, four significant digits.
pub fn base_si(si: f64, kind: Kind) -> String {
    let unit = &kind.units()[0];
    let number = number_in(si, 0.0, unit);
    if unit.symbol.is_empty() { number } else { format!("{number}\u{a0}{}", unit.symbol) }
}

/// The same in the units of the display, where those differ from base SI.
pub fn displayed(si: f64, kind: Kind, system: System) -> Option<String> {
    let base = kind.units()[0].symbol;
    let unit = system.unit(kind, si);
    (unit.symbol != base).then(|| show(si, 0.0, kind, system).replace(' ', "\u{a0}"))
}

/// A constant of an equation: π by name, whole numbers plain, others to six digits.
pub fn constant(number: f64) -> String {
    if (number - std::f64::consts::PI).abs() < 1e-12 {
        return "π".to_owned();
    }
    if (number - 0.5).abs() < 1e-12 {
        return "½".to_owned();
    }
    let text = format!("{number:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    text.replace('-', "\u{2212}")
}
