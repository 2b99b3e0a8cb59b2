//! Cells of the tables of a project: where they stand, and their text with the unit that the heading gives.

use silkfall_core::finding::Finding;
use silkfall_intake::{Cell, Decimal};

use crate::notes::Notes;
use crate::value::Spot;

/// What the table and its meaning gave cause to say, in the order of the file.
pub(crate) fn in_order(of_table: Vec<Finding>, notes: Notes) -> Vec<Finding> {
    let mut findings = of_table;
    findings.extend(notes.finish());
    findings.sort_by_key(|finding| finding.place.as_ref().map(|place| place.line));
    findings
}

/// Where a cell stands.
pub(crate) fn spot(cell: &Cell) -> Spot {
    Spot { line: cell.line, column: cell.column }
}

/// A cell's text with its own unit, else the heading's; in a table with decimal commas, one between two digits is made
/// a point.
pub(crate) fn with_heading_unit(cell: &str, heading_unit: Option<&str>, decimal: Decimal) -> String {
    let cell = if decimal == Decimal::Comma { decimal_point(cell) } else { cell.to_owned() };
    match (heading_unit.filter(|unit| !unit.is_empty()), bare_number(&cell)) {
        (Some(unit), Some(end)) => with_unit(&cell, end, unit),
        _ => cell,
    }
}

/// Where the number of a cell ends, if no unit follows it.
pub(crate) fn bare_number(cell: &str) -> Option<usize> {
    let end =
        cell.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(cell.len());
    let rest = cell[end..].trim_start();
    let none =
        rest.is_empty() || rest.starts_with('±') || rest.starts_with("within ") || rest.starts_with("to ");
    (end > 0 && none).then_some(end)
}

fn with_unit(cell: &str, end: usize, unit: &str) -> String {
    match cell.split_once(" to ") {
        Some((low, high)) if bare_number(high.trim()) == Some(high.trim().len()) => {
            format!("{low} {unit} to {high} {unit}")
        }
        Some(_) => cell.to_owned(),
        None => format!("{} {} {}", &cell[..end], unit, &cell[end..]),
    }
}

fn decimal_point(cell: &str) -> String {
    let chars: Vec<char> = cell.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
    let mend = |(at, c): (usize, &char)| {
        if *c == ',' && digit(at.checked_sub(1)) && digit(Some(at + 1)) { '.' } else { *c }
    };
    chars.iter().enumerate().map(mend).collect()
}
