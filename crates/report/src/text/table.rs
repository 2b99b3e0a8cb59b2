//! Tables on a terminal: columns side by side, long text wrapped in its column, and below that width each row as a
//! few lines of its own.

use silkfall_core::quantity::{Kind, System, Unit, number_in};

use super::line::{Line, Voice, wrap};
use super::{TextOptions, spans};
use crate::document::{Align, Audience, Cell, Range, Table, Weight};
use crate::figures::scale::Linear;

/// Between columns, and how narrow a column of text may become: the first that finds room.
const ROOMY_FIRST: [(usize, usize); 3] = [(3, 10), (2, 10), (2, 8)];
/// What wrapped lines of a cell are set in by.
const SET_IN: usize = 2;
/// Ranges are drawn where at least this many columns are left, over at most the second number.
const DRAWING: (usize, usize) = (22, 36);

pub(super) fn lines(table: &Table, options: TextOptions, margin: usize) -> Vec<Line> {
    let mut out = Vec::new();
    let mut margin = margin;
    if table.caption_for != Audience::Report && !table.caption.is_empty() {
        out.extend(wrap(&spans(&table.caption, options, None), margin, margin, options.usable_width()));
        margin += 2;
    }
    let grid = Grid::of(table, options);
    let room = options.usable_width() - margin;
    let layout = ROOMY_FIRST.into_iter().find_map(|(gap, narrowest)| grid.layout(room, gap, narrowest));
    match layout {
        Some(layout) => out.extend(grid.side_by_side(&layout, margin)),
        None => out.extend(grid.stacked(margin, options.usable_width())),
    }
    out
}

/// Widths of the columns side by side, 0 for one left out, and the gap between them.
struct Layout {
    widths: Vec<usize>,
    gap: usize,
}

/// A table whose cells are lines already.
struct Grid<'a> {
    table: &'a Table,
    headings: Vec<Line>,
    rows: Vec<Vec<Line>>,
    system: System,
}

impl<'a> Grid<'a> {
    fn of(table: &'a Table, options: TextOptions) -> Self {
        let units: Vec<Option<(&Unit, Kind)>> = (0..table.columns.len())
            .map(|at| {
                let kind = table.columns[at].unit?;
                Some((options.system.unit(kind, table.largest_of_column(at).unwrap_or(1.0)), kind))
            })
            .collect();
        let headings: Vec<Line> = table
            .columns
            .iter()
            .zip(&units)
            .map(|(column, unit)| spans(&column.heading, options, *unit).all_in(Voice::Quiet))
            .collect();
        let rows = table
            .rows
            .iter()
            .map(|row| {
                let mut cells: Vec<Line> = row
                    .cells
                    .iter()
                    .zip(&units)
                    .map(|(cell, unit)| match cell {
                        Cell::Text(text) => spans(text, options, *unit),
                        Cell::Range(_) => Line::default(),
                    })
                    .map(|line| match row.weight {
                        Weight::Counts => line,
                        Weight::Aside => line.all_in(Voice::Quiet),
                        Weight::Chosen => line.all_in(Voice::Strong),
                    })
                    .collect();
                cells.resize(table.columns.len(), Line::default());
                cells
            })
            .collect();
        let mut grid = Grid { table, headings, rows, system: options.system };
        for at in 0..table.columns.len() {
            if table.columns[at].align != Align::Left {
                grid.align(at);
            }
        }
        grid
    }

    /// Pads the cells of a column so that their points, or their ends, stand below one another.
    fn align(&mut self, at: usize) {
        let by_point = self.table.columns[at].align == Align::Point;
        let lead = |line: &Line| -> Option<usize> {
            if by_point { whole_part(&line.plain_text()) } else { Some(line.width()) }
        };
        let widest = self.rows.iter().filter_map(|row| lead(&row[at])).max().unwrap_or(0);
        let widest = if by_point { widest } else { widest.max(self.headings[at].width()) };
        for row in &mut self.rows {
            if let Some(lead) = lead(&row[at]) {
                row[at] = padded_left(&row[at], widest - lead);
            }
        }
        if !by_point {
            let missing = widest - self.headings[at].width();
            self.headings[at] = padded_left(&self.headings[at], missing);
        }
    }

    fn is_drawn(&self, at: usize) -> bool {
        self.table.columns[at].scale.is_some()
    }

    /// Columns side by side in `room`, those of text no narrower than stated; `None` where they do not fit.
    fn layout(&self, room: usize, gap: usize, narrowest: usize) -> Option<Layout> {
        let of_column = |at: usize, size: fn(&Line) -> usize| {
            if self.is_drawn(at) {
                return 0;
            }
            let cells = self.rows.iter().map(|row| size(&row[at]));
            cells.chain(std::iter::once(size(&self.headings[at]))).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = (0..self.headings.len()).map(|at| of_column(at, Line::width)).collect();
        let narrowest: Vec<usize> = (0..self.headings.len())
            .map(|at| match self.table.columns[at].align {
                Align::Left => (of_column(at, Line::longest_word) + SET_IN).max(narrowest),
                // Numbers stay whole; their heading may take two lines.
                Align::Right | Align::Point => of_column(at, Line::longest_word),
            })
            .collect();
        let total = |widths: &[usize]| {
            let used = widths.iter().filter(|width| **width > 0).count();
            widths.iter().sum::<usize>() + gap * used.saturating_sub(1)
        };
        while total(&widths) > room {
            let flexible = (0..widths.len()).filter(|at| widths[*at] > narrowest[*at]);
            let widest = flexible.max_by_key(|at| widths[*at])?;
            widths[widest] -= 1;
        }
        for at in 0..widths.len() {
            let left = room - total(&widths);
            if self.is_drawn(at) && left >= DRAWING.0 + gap && self.table.span_of_column(at).is_some() {
                widths[at] = (left - gap).min(DRAWING.1);
            }
        }
        Some(Layout { widths, gap })
    }

    fn side_by_side(&self, layout: &Layout, margin: usize) -> Vec<Line> {
        let widths = &layout.widths;
        let axes: Vec<Option<Axis>> = widths
            .iter()
            .enumerate()
            .map(|(at, width)| {
                let scale = self.table.columns[at].scale.filter(|_| *width > 0)?;
                Some(Axis::new(self.table.span_of_column(at)?, scale.kind, *width, self.system))
            })
            .collect();
        let mut out = Vec::new();
        if self.headings.iter().any(|heading| heading.width() > 0) {
            let headings: Vec<Line> = self
                .headings
                .iter()
                .zip(&axes)
                .map(|(heading, axis)| match axis {
                    Some(axis) => Line::of(Voice::Quiet, &axis.ticks()),
                    None => heading.clone(),
                })
                .collect();
            out.extend(merged(&headings, layout, margin));
        }
        for (row, given) in self.rows.iter().zip(&self.table.rows) {
            let cells: Vec<Line> = (0..widths.len())
                .map(|at| match (&axes[at], given.cells.get(at)) {
                    (Some(axis), Some(Cell::Range(range))) => {
                        Line::of(Voice::Plain, &axis.whisker(range, given.weight))
                    }
                    _ => row[at].clone(),
                })
                .collect();
            out.extend(merged(&cells, layout, margin));
        }
        out
    }

    /// A row as lines of its own: its name, then "heading: cell" for the rest.
    fn stacked(&self, margin: usize, width: usize) -> Vec<Line> {
        let mut out = Vec::new();
        for row in &self.rows {
            for (at, cell) in row.iter().enumerate() {
                let cell = cell.without_lead();
                if self.is_drawn(at) || cell.width() == 0 {
                    continue;
                }
                if at == 0 {
                    out.extend(wrap(&cell, margin, margin + 2, width));
                    continue;
                }
                let mut line = self.headings[at].without_lead();
                if line.width() > 0 {
                    line.push(Voice::Quiet, ": ");
                }
                line.append(&cell);
                out.extend(wrap(&line, margin + 2, margin + 4, width));
            }
        }
        out
    }
}

fn padded_left(line: &Line, by: usize) -> Line {
    let mut padded = Line::default();
    // Unbreakable, so that wrapping within the column keeps it.
    padded.push(Voice::Plain, &"\u{a0}".repeat(by));
    padded.append(line);
    padded
}

/// Characters before the decimal point of a text that begins with a number; `None` for a word.
fn whole_part(text: &str) -> Option<usize> {
    let begins = |c: char| c.is_ascii_digit() || matches!(c, '-' | '<' | '>' | '\u{2212}' | '\u{a0}' | ' ');
    let lead = text.chars().take_while(|c| begins(*c)).count();
    let lead = text.chars().take(lead).collect::<String>().trim_end().chars().count();
    text.chars().take(lead).any(|c| c.is_ascii_digit()).then_some(lead)
}

/// Cells side by side; those that are too long are wrapped within their column.
fn merged(cells: &[Line], layout: &Layout, margin: usize) -> Vec<Line> {
    let Layout { widths, gap } = layout;
    let columns: Vec<Vec<Line>> = cells
        .iter()
        .zip(widths)
        .map(
            |(cell, width)| {
                if cell.width() <= *width { vec![cell.clone()] } else { wrap(cell, 0, SET_IN, *width) }
            },
        )
        .collect();
    let height = columns.iter().map(Vec::len).max().unwrap_or(0);
    (0..height)
        .map(|at| {
            let mut line = Line::space(margin);
            let mut edge = margin;
            for (column, width) in columns.iter().zip(widths).filter(|(_, width)| **width > 0) {
                let missing = edge.saturating_sub(line.width());
                line.append(&Line::space(missing));
                if let Some(cell) = column.get(at) {
                    line.append(cell);
                }
                edge += width + gap;
            }
            line
        })
        .collect()
}

/// The axis of drawn ranges.
struct Axis {
    scale: Linear,
    width: usize,
    unit: &'static Unit,
}

impl Axis {
    fn new(span: (f64, f64), kind: Kind, width: usize, system: System) -> Self {
        let unit = system.unit(kind, span.1);
        let (low, high) = (unit.from_si(span.0), unit.from_si(span.1));
        Axis { scale: Linear::around(low, high, (0.5, width as f64 - 0.5)), width, unit }
    }

    fn column(&self, value: f64) -> usize {
        (self.scale.at(value).floor().max(0.0) as usize).min(self.width - 1)
    }

    fn ticks(&self) -> String {
        let mut out = vec![' '; self.width + 4];
        let mut free = 0;
        for tick in self.scale.ticks(self.width / 8) {
            let text = number_in(tick, 0.0, &self.unit_as_is());
            let size = text.chars().count();
            let from = self.column(tick).saturating_sub(size / 2);
            if from >= free && from + size <= out.len() {
                for (at, c) in text.chars().enumerate() {
                    out[from + at] = c;
                }
                free = from + size + 1;
            }
        }
        out.into_iter().collect::<String>().trim_end().to_owned()
    }

    /// Ticks are in the unit already.
    fn unit_as_is(&self) -> Unit {
        Unit { factor: 1.0, zero: 0.0, ..self.unit.clone() }
    }

    fn whisker(&self, range: &Range, weight: Weight) -> String {
        let at = |si: f64| self.column(self.unit.from_si(si));
        // Off the scale of those that are judged.
        if self.scale.at(self.unit.from_si(range.mid)) > self.width as f64 {
            return format!("{:>width$}", "->", width = self.width);
        }
        let (bar, dot) = if weight == Weight::Aside { ('=', 'o') } else { ('-', '+') };
        let mut out = vec![' '; self.width];
        if let Some(limit) = range.limit {
            out[at(limit)] = '|';
        }
        for place in out.iter_mut().take(at(range.high) + 1).skip(at(range.low)) {
            *place = bar;
        }
        out[at(range.mid)] = dot;
        out.into_iter().collect()
    }
}
