//! The size of type in which a first page stays one page, on A4 and on Letter.
//!
//! A style sheet cannot fit a page, and paper has no script, so the height is reckoned: lines by the width of the type,
//! figures in ems of it. The reckoning is careful, and `cargo xtask paper` prints pages to see that it holds.

use super::inline::Context;
use crate::document::{Audience, Body, Cell, Section, Table};

/// Sizes tried, pt: what is read with ease first.
const SIZES: [f64; 14] = [8.4, 8.1, 7.8, 7.5, 7.2, 6.9, 6.6, 6.3, 6.0, 5.7, 5.4, 5.1, 4.8, 4.5];
/// What both sheets have between their margins, pt: the width of A4, the height of Letter, less the title.
const WIDTH: f64 = (210.0 - 24.0) * MM;
const HEIGHT: f64 = (279.4 - 24.0) * MM - 22.0;
const MM: f64 = 72.0 / 25.4;
/// Widths and heights in ems of the type.
const CHARACTER: f64 = 0.545;
const LINE: f64 = 1.24;
const FIGURE: (f64, f64) = (10.0, 19.0);
/// Between columns, and beside each cell of a table, ems.
const GUTTER: f64 = 1.2;
const CELL: f64 = 1.1;

/// The largest size of type in which the sections fill no more than a page.
pub(super) fn type_size(front: &[(&Section, u8)], context: &Context<'_>) -> f64 {
    let fits = |size: &f64| height(front, *size, context) * size <= HEIGHT;
    SIZES.into_iter().find(fits).unwrap_or(SIZES[SIZES.len() - 1])
}

/// In ems of the size: each row of the grid as high as its highest.
fn height(front: &[(&Section, u8)], size: f64, context: &Context<'_>) -> f64 {
    let (mut total, mut row, mut filled) = (0.0, 0.0_f64, 0);
    for (section, sixths) in front {
        if filled + sixths > 6 {
            total += row;
            (row, filled) = (0.0, 0);
        }
        row = row.max(section_height(section, *sixths, size, context));
        filled += sixths;
    }
    total + row
}

fn section_height(section: &Section, sixths: u8, size: f64, context: &Context<'_>) -> f64 {
    let width = WIDTH / size * f64::from(sixths) / 6.0 - if sixths < 6 { GUTTER } else { 0.0 };
    let heading = lines(context.plain(&section.heading).chars().count(), width / 1.12) * LINE * 1.1;
    let blocks = section.blocks.iter().filter(|block| block.audience != Audience::Terminal);
    heading + 0.9 + blocks.map(|block| block_height(&block.body, sixths, width, context)).sum::<f64>()
}

fn block_height(body: &Body, sixths: u8, width: f64, context: &Context<'_>) -> f64 {
    let text = |text: &crate::document::Rich, width: f64| {
        lines(context.plain(text).chars().count(), width) * LINE + 0.15
    };
    match body {
        Body::Figure(figure) => {
            let drawn = if sixths == 6 { FIGURE.0 } else { FIGURE.1 };
            drawn + 0.3 + text(&figure.caption, width)
        }
        Body::Table(table) => table_height(table, width, context),
        Body::Facts(facts) => facts.iter().map(|fact| text(&fact.text, width - 7.0)).sum(),
        Body::Checks(checks) => checks.iter().map(|check| text(check, width - 1.5)).sum(),
        Body::Signatures(all) => all.iter().map(|of| if of.boxes.is_empty() { 4.6 } else { 5.9 }).sum(),
        Body::Paragraph(of) | Body::Caution(of) => text(of, width - 1.0),
        _ => LINE,
    }
}

fn table_height(table: &Table, width: f64, context: &Context<'_>) -> f64 {
    let gaps = CELL * table.columns.len() as f64;
    let count = |cell: &Cell| match cell {
        Cell::Text(text) => context.plain(text).chars().count(),
        Cell::Range(_) => 0,
    };
    let row = |cells: &[Cell]| lines(cells.iter().map(count).sum(), width - gaps) * LINE + 0.22;
    LINE + 0.4 + table.rows.iter().map(|of| row(&of.cells)).sum::<f64>()
}

/// Lines that so many characters take, a little room left at the end of each.
fn lines(characters: usize, width: f64) -> f64 {
    (characters as f64 * CHARACTER * 1.04 / width.max(1.0)).ceil().max(1.0)
}
