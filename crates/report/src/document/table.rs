//! Rows and columns; one column may hold ranges that are drawn where there is room.

use silkfall_core::quantity::Kind;

use super::{Audience, Rich, Shown};

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it holds.
    pub caption: Rich,
    /// Who reads the caption: on a terminal the line before may have said it.
    pub caption_for: Audience,
    /// Its columns; the first names the row.
    pub columns: Vec<Column>,
    /// Its rows, a cell a column.
    pub rows: Vec<Row>,
    /// Whether a page shows it at once.
    pub fold: Fold,
    /// Where it stands on a page that has a margin.
    pub stands: Stands,
}

/// Where something stands on a page that has a margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// In the run of the section.
    InLine,
    /// Beside it: a few words to a row.
    Beside,
}

/// Whether a page shows a table at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// It does.
    Open,
    /// Under its caption, to be opened; paper leaves it out unless it was opened.
    Shut,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its heading; may be empty.
    pub heading: Rich,
    /// How its cells stand.
    pub align: Align,
    /// Numbers of this kind stand here without their unit; the heading states it ([`super::Inline::Unit`]).
    pub unit: Option<Kind>,
    /// Set where the cells are [`Cell::Range`]: what they are drawn over.
    pub scale: Option<Scale>,
}

/// What the ranges of a column are drawn over: the span of all of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// What they measure.
    pub kind: Kind,
}

/// How the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// At the left.
    Left,
    /// At the right.
    Right,
    /// By the decimal point of the first number.
    Point,
}

impl Column {
    /// A column of text.
    pub fn text(heading: impl Into<Rich>) -> Self {
        Column { heading: heading.into(), align: Align::Left, unit: None, scale: None }
    }

    /// A column of numbers of one kind whose unit stands in the heading, after its words.
    pub fn numbers(words: &str, kind: Kind) -> Self {
        let heading = if words.is_empty() { Rich::new() } else { Rich::from(format!("{words}, ")) };
        Column {
            heading: heading.and(super::Inline::Unit),
            align: Align::Point,
            unit: Some(kind),
            scale: None,
        }
    }

    /// A column of drawn ranges.
    pub fn ranges(heading: impl Into<Rich>, kind: Kind) -> Self {
        Column { heading: heading.into(), align: Align::Left, unit: None, scale: Some(Scale { kind }) }
    }

    /// The same without a heading: the caption says the unit.
    #[must_use]
    pub fn headless(mut self) -> Self {
        self.heading = Rich::new();
        self
    }

    /// The same, its numbers of this kind without a unit.
    #[must_use]
    pub fn in_unit_of(mut self, kind: Kind) -> Self {
        self.unit = Some(kind);
        self
    }

    /// The same, at the right.
    #[must_use]
    pub fn right(mut self) -> Self {
        self.align = Align::Right;
        self
    }

    /// The same, by the decimal point.
    #[must_use]
    pub fn by_point(mut self) -> Self {
        self.align = Align::Point;
        self
    }
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// A cell a column.
    pub cells: Vec<Cell>,
    /// Whether it counts.
    pub weight: Weight,
    /// The letter of the drop that it tells about, where it does: a page ties it to that drop's lines in figures.
    pub drop: Option<String>,
}

/// Whether a row counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// It does.
    Counts,
    /// It is shown and not used: quiet ink.
    Aside,
    /// It is the one chosen.
    Chosen,
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Text with numbers.
    Text(Rich),
    /// A range to be drawn; its numbers stand in other cells of the row.
    Range(Range),
}

/// A dot with its whisker.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lower end, SI.
    pub low: f64,
    /// The dot, SI.
    pub mid: f64,
    /// Upper end, SI.
    pub high: f64,
    /// A limit it is held against, SI.
    pub limit: Option<f64>,
}

impl<T: Into<Rich>> From<T> for Cell {
    fn from(text: T) -> Self {
        Cell::Text(text.into())
    }
}

impl From<Range> for Cell {
    fn from(range: Range) -> Self {
        Cell::Range(range)
    }
}

impl Row {
    /// A row that counts.
    pub fn new(cells: Vec<Cell>) -> Self {
        Row { cells, weight: Weight::Counts, drop: None }
    }

    /// The same, as telling about that drop.
    #[must_use]
    pub fn of_drop(self, letter: &str) -> Self {
        Row { drop: Some(letter.to_owned()), ..self }
    }

    /// The same with another weight.
    #[must_use]
    pub fn weighing(mut self, weight: Weight) -> Self {
        self.weight = weight;
        self
    }
}

impl Table {
    /// A table without rows yet, its caption for everyone.
    pub fn new(caption: impl Into<Rich>, columns: Vec<Column>) -> Self {
        Table {
            caption: caption.into(),
            caption_for: Audience::Everywhere,
            columns,
            rows: Vec::new(),
            fold: Fold::Open,
            stands: Stands::InLine,
        }
    }

    /// The same beside the run of the section, where there is a margin.
    #[must_use]
    pub fn beside(mut self) -> Self {
        self.stands = Stands::Beside;
        self
    }

    /// The same with its caption in the report alone.
    #[must_use]
    pub fn quiet_caption(mut self) -> Self {
        self.caption_for = Audience::Report;
        self
    }

    /// The same, open or shut.
    #[must_use]
    pub fn folded(mut self, fold: Fold) -> Self {
        self.fold = fold;
        self
    }

    /// With one more row.
    #[must_use]
    pub fn row(mut self, row: Row) -> Self {
        self.rows.push(row);
        self
    }

    /// The numbers in it, row by row.
    pub fn numbers(&self) -> Vec<&Shown> {
        let mut found = self.caption.numbers();
        for row in &self.rows {
            for cell in &row.cells {
                if let Cell::Text(text) = cell {
                    found.extend(text.numbers());
                }
            }
        }
        found
    }

    /// The SI value that picks the unit of a column: its largest number of the column's kind.
    pub fn largest_of_column(&self, column: usize) -> Option<f64> {
        let kind = self.columns.get(column)?.unit?;
        self.rows
            .iter()
            .filter_map(|row| match row.cells.get(column) {
                Some(Cell::Text(text)) => Some(text),
                _ => None,
            })
            .flat_map(Rich::numbers)
            .filter(|shown| shown.kind == kind)
            .map(|shown| shown.si.abs())
            .max_by(f64::total_cmp)
    }

    /// The least and the largest of the ranges and limits of a column, SI. Where some are held against a limit, those
    /// that are not do not count: a fall with nothing open would leave the rest no room.
    pub fn span_of_column(&self, column: usize) -> Option<(f64, f64)> {
        let ranges: Vec<&Range> = self
            .rows
            .iter()
            .filter_map(|row| match row.cells.get(column) {
                Some(Cell::Range(range)) => Some(range),
                _ => None,
            })
            .collect();
        let judged = ranges.iter().any(|range| range.limit.is_some());
        ranges
            .into_iter()
            .filter(|range| !judged || range.limit.is_some())
            .flat_map(|range| [range.low, range.mid, range.high].into_iter().chain(range.limit))
            .fold(None, |span, value| {
                let (low, high) = span.unwrap_or((value, value));
                Some((f64::min(low, value), f64::max(high, value)))
            })
    }
}
