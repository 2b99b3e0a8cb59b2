//! How high a table is: its columns as wide as a browser makes them.

use super::Context;
use super::measure::Words;
use crate::document::{Align, Cell, Inline, Rich, Row, Table, Weight};
use crate::html::inline::ColumnUnit;

/// A line, ems.
const LINE: f64 = 1.1;
/// Beside a cell, ems.
const BESIDE: f64 = 0.5;
/// Before the figures of a column that is set by the point, ems.
const LEAD: f64 = 0.65;
/// Headings are so much smaller.
const HEADING: f64 = 0.92;
/// A drawn range, pt.
const RANGE: f64 = 90.0;
/// A rule, pt.
const RULE: f64 = 0.75;

/// A cell, ems.
struct Set {
    words: Words,
    is_whole: bool,
    scale: f64,
}

impl Set {
    fn most(&self) -> f64 {
        self.words.width() * self.scale
    }

    fn least(&self) -> f64 {
        if self.is_whole { self.most() } else { self.words.widest() * self.scale }
    }
}

/// In ems of the type.
pub(super) fn height(table: &Table, width: f64, size: f64, context: &Context<'_>) -> f64 {
    let headings: Vec<Set> = (0..table.columns.len())
        .map(|at| Set {
            words: words(&table.columns[at].heading, at, table, false, context),
            is_whole: false,
            scale: HEADING,
        })
        .collect();
    let rows: Vec<Vec<Set>> = table
        .rows
        .iter()
        .map(|row| {
            let strong = row.weight == Weight::Chosen;
            row.cells.iter().enumerate().map(|(at, cell)| set(cell, at, table, strong, context)).collect()
        })
        .collect();
    let columns = columns(&headings, &rows, table, width, size);
    let high = |cells: &[Set]| {
        let lines =
            |(at, cell): (usize, &Set)| cell.words.lines((columns[at] + 1e-9) / cell.scale) * cell.scale;
        cells.iter().enumerate().map(lines).fold(0.0, f64::max).max(1.0) * LINE
    };
    let has_headings = table.columns.iter().any(|column| !column.heading.is_empty());
    let head = if has_headings { high(&headings) } else { 0.0 };
    // A rule under the headings and, for the eye, one above every part or every fourth row.
    let begins =
        |row: &&Row| row.cells.iter().any(|cell| matches!(cell, Cell::Text(text) if is_strong(text)));
    let parts = table.rows.iter().filter(begins).count();
    let rules = 1 + if parts > 0 { parts } else { rows.len() / 4 };
    head + rows.iter().map(|row| high(row)).sum::<f64>() + rules as f64 * RULE / size
}

fn is_strong(text: &Rich) -> bool {
    matches!(text.0.as_slice(), [Inline::Strong(_)])
}

fn words(text: &Rich, at: usize, table: &Table, strong: bool, context: &Context<'_>) -> Words {
    let unit: ColumnUnit = table.columns[at]
        .unit
        .map(|kind| (context.system.unit(kind, table.largest_of_column(at).unwrap_or(1.0)), kind));
    Words::of(text, unit, strong, context.system)
}

fn set(cell: &Cell, at: usize, table: &Table, strong: bool, context: &Context<'_>) -> Set {
    let column = &table.columns[at];
    let is_whole = column.align != Align::Left || column.unit.is_some();
    let words = match cell {
        Cell::Text(text) => words(text, at, table, strong, context),
        Cell::Range(_) => Words::default(),
    };
    Set { words, is_whole, scale: 1.0 }
}

/// What each column has for its text: as wide as its widest cell where that fits; else each its least, and of the rest as
/// much as it lacks beside the others.
fn columns(headings: &[Set], rows: &[Vec<Set>], table: &Table, width: f64, size: f64) -> Vec<f64> {
    let count = table.columns.len();
    let beside = |at: usize| if at == 0 { BESIDE } else { 2.0 * BESIDE };
    // Figures before the point are kept under one another by room before shorter ones.
    let lead = |at: usize| if table.columns[at].align == Align::Point { LEAD } else { 0.0 };
    let room = width - (0..count).map(|at| beside(at) + lead(at)).sum::<f64>();
    let span = |at: usize| {
        let drawn = if table.columns[at].scale.is_some() { RANGE / size } else { 0.0 };
        let cells = || std::iter::once(&headings[at]).chain(rows.iter().filter_map(|row| row.get(at)));
        (cells().map(Set::least).fold(drawn, f64::max), cells().map(Set::most).fold(drawn, f64::max))
    };
    let spans: Vec<(f64, f64)> = (0..count).map(span).collect();
    let (least, most) = spans.iter().fold((0.0, 0.0), |sum, span| (sum.0 + span.0, sum.1 + span.1));
    if most <= room || most <= least {
        return spans.into_iter().map(|(_, most)| most).collect();
    }
    let part = ((room - least) / (most - least)).max(0.0);
    spans.into_iter().map(|(least, most)| least + part * (most - least)).collect()
}
