//! The shape of a text: delimiter, decimal mark, where the data begin and which line names the columns.
//!
//! Every pair of delimiter and decimal mark is tried on lines from all over the file. The pair wins under which
//! most lines have the usual number of cells and most of those cells are numbers or times; where two do equally
//! well, tab comes before semicolon, comma and blanks, and the point before the comma. What could be read in two
//! ways (a decimal comma between comma-separated cells; `1,234` for 1234 or 1.234) is refused, never guessed.

use crate::clock::TimeForm;
use crate::content::Content;
use crate::delimiter::{Delimiter, cells, is_blank};
use crate::doubt;
use crate::number::{self, Decimal};
use crate::sample::{head_lines, window_lines, windows};
use crate::words;

/// What a person has said about the shape.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Wanted {
    pub delimiter: Option<Delimiter>,
    pub decimal: Option<Decimal>,
    pub header_lines: Option<u64>,
    /// Cells that a line of data must have at least: 2, or 1 where rows are the clock.
    pub fewest_cells: usize,
}

/// The line that names the columns.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Header {
    pub line: u64,
    pub names: Vec<String>,
}

/// A text's shape and some of its rows.
#[derive(Clone, Debug)]
pub(crate) struct Shape {
    pub delimiter: Delimiter,
    pub decimal: Decimal,
    /// Cells in the usual line of data.
    pub width: usize,
    pub header: Option<Header>,
    /// Number of lines in the sample by number of cells, the most frequent first.
    pub widths: Vec<(usize, usize)>,
    /// Byte at which the first line of data begins, and its number.
    pub start: usize,
    pub first_line: u64,
    /// Rows of the usual width from the head and from all over the file; rows within a window are neighbours.
    pub windows: Vec<Vec<Vec<String>>>,
}

/// Why a shape could not be found.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Unclear {
    /// No line looks like data; the first lines as they stand.
    NoData { first: Vec<String> },
    /// A decimal comma between comma-separated cells.
    CommaTwice { line: u64, text: String },
    /// `1,234`: thousands or decimals.
    Thousands { cell: String },
}

/// Whether a cell is a number or a time beyond doubt.
pub(crate) fn is_value(cell: &str, decimal: Decimal) -> bool {
    number::surely(cell, decimal) || TimeForm::of_cell(cell).is_some()
}

fn is_comment(line: &str) -> bool {
    line.trim_start().starts_with('#')
}

/// Finds the shape of a text, as far as it can be fetched.
pub(crate) fn find<C: Content>(text: &C, wanted: &Wanted) -> Result<Result<Shape, Unclear>, C::Stop> {
    let head = head_lines(text.head());
    let skip = wanted.header_lines.map_or(0, |n| n as usize);
    let mut sampled: Vec<Vec<&str>> = vec![head.iter().skip(skip).map(|(_, l)| *l).collect()];
    let windows = windows(text, head.last().map_or(0, |(end, l)| end + l.len()))?;
    sampled.extend(windows.iter().map(|window| window_lines(window)));
    Ok(of_lines(&head, skip, &sampled, wanted))
}

/// The shape that the head and the sampled lines tell; `skip` lines of the head are not data.
fn of_lines(
    head: &[(usize, &str)],
    skip: usize,
    sampled: &[Vec<&str>],
    wanted: &Wanted,
) -> Result<Shape, Unclear> {
    let best = candidates(wanted, sampled)
        .into_iter()
        .map(|(delimiter, decimal)| rate(sampled, delimiter, decimal, wanted.fewest_cells))
        .fold(None::<Rated>, |best, next| match best {
            Some(best) if best.score >= next.score - 1e-9 => Some(best),
            _ => Some(next),
        });
    let no_data = || Unclear::NoData {
        first: head.iter().map(|(_, l)| l.trim().to_owned()).filter(|l| !l.is_empty()).take(3).collect(),
    };
    let Some(best) = best.filter(|b| b.score > 0.25) else { return Err(no_data()) };
    let (first, header) = begin(head, skip, wanted.header_lines.is_some(), &best).ok_or_else(no_data)?;
    let shape = Shape {
        delimiter: best.delimiter,
        decimal: best.decimal,
        width: best.width,
        header,
        start: head[first].0,
        first_line: first as u64 + 1,
        windows: rows(sampled, first - skip, &best),
        widths: best.widths,
    };
    doubt::doubt(&shape, wanted, head)?;
    Ok(shape)
}

fn candidates(wanted: &Wanted, sampled: &[Vec<&str>]) -> Vec<(Delimiter, Decimal)> {
    let quoted = sampled.iter().flatten().any(|l| l.contains('"'));
    let mut all = Vec::new();
    // What stands in no line parts none into the two cells that a row has at least.
    let parts = |delimiter: Delimiter| {
        wanted.fewest_cells < 2 || sampled.iter().flatten().any(|line| delimiter.stands_in(line))
    };
    let delimiters = [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Comma, Delimiter::Space];
    for delimiter in delimiters.into_iter().filter(|delimiter| parts(*delimiter)) {
        for decimal in [Decimal::Point, Decimal::Comma] {
            let clash = delimiter == Delimiter::Comma && decimal == Decimal::Comma && !quoted;
            if wanted.delimiter.is_none_or(|d| d == delimiter)
                && wanted.decimal.is_none_or(|d| d == decimal)
                && !clash
            {
                all.push((delimiter, decimal));
            }
        }
    }
    all
}

/// How well a pair explains the sample.
struct Rated {
    delimiter: Delimiter,
    decimal: Decimal,
    width: usize,
    score: f64,
    /// Per column, whether most cells that are not blank are numbers or times.
    value_columns: Vec<bool>,
    /// Number of lines by number of cells.
    widths: Vec<(usize, usize)>,
}

/// A line under one pair.
struct Tried {
    /// What each cell is.
    cells: Vec<Cell>,
    /// Cells that are not blank, and those of them that are numbers or times.
    filled: usize,
    values: usize,
    /// How much of the line is explained: the mean of the share of cells and the share of characters in values.
    /// Characters tell `0,5 ok 1,5` parted by blanks from the same parted by commas.
    share: f64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Cell {
    Blank,
    /// A number or a time.
    Value,
    Other,
}

fn tried(line: &str, delimiter: Delimiter, decimal: Decimal) -> Tried {
    let (mut filled, mut values, mut characters, mut of_values) = (0, 0, 0, 0);
    let mut look = |cell: &String| {
        if is_blank(cell) {
            return Cell::Blank;
        }
        filled += 1;
        characters += cell.len();
        if !is_value(cell, decimal) {
            return Cell::Other;
        }
        values += 1;
        of_values += cell.len();
        Cell::Value
    };
    let cells = cells(line, delimiter).iter().map(&mut look).collect();
    let part = |a: usize, b: usize| a as f64 / b.max(1) as f64;
    let share = 0.5 * (part(values, filled) + part(of_values, characters));
    Tried { cells, filled, values, share }
}

fn rate(sampled: &[Vec<&str>], delimiter: Delimiter, decimal: Decimal, fewest: usize) -> Rated {
    let lines = sampled.iter().flatten().filter(|l| !l.trim().is_empty() && !is_comment(l));
    let stride = 1 + sampled.iter().map(Vec::len).sum::<usize>() / 400;
    let lines: Vec<Tried> = lines.step_by(stride).map(|line| tried(line, delimiter, decimal)).collect();
    // Of two cells both must be values: "Serial: 123" is no row.
    let is_row = |t: &&Tried| {
        let most = t.values > 0 && 2 * t.values >= t.filled;
        most && (t.cells.len() > 2 || t.values == t.filled) && t.cells.len() >= fewest
    };
    let mut widths: Vec<(usize, usize)> = Vec::new();
    for row in lines.iter().filter(is_row) {
        match widths.iter_mut().find(|(w, _)| *w == row.cells.len()) {
            Some((_, count)) => *count += 1,
            None => widths.push((row.cells.len(), 1)),
        }
    }
    widths.sort_by(|a, b| b.1.cmp(&a.1).then(b.0.cmp(&a.0)));
    let width = widths.first().map_or(0, |(w, _)| *w);
    let usual = || lines.iter().filter(|t| t.cells.len() == width);
    let share: f64 = usual().filter(is_row).map(|t| t.share).sum();
    let value_columns = (0..width)
        .map(|at| {
            let filled = usual().filter(|t| t.cells[at] != Cell::Blank).count();
            let values = usual().filter(|t| t.cells[at] == Cell::Value).count();
            values > 0 && 2 * values >= filled
        })
        .collect();
    Rated { delimiter, decimal, width, score: share / lines.len().max(1) as f64, value_columns, widths }
}

/// Index of the first line of data in the head, and the header.
fn begin(
    head: &[(usize, &str)],
    skip: usize,
    skip_is_said: bool,
    best: &Rated,
) -> Option<(usize, Option<Header>)> {
    let is_data = |line: &str| {
        let cells = cells(line, best.delimiter);
        let judged: Vec<bool> = cells
            .iter()
            .zip(&best.value_columns)
            .filter(|(cell, column)| **column && !is_blank(cell))
            .map(|(cell, _)| is_value(cell, best.decimal))
            .collect();
        let good = judged.iter().filter(|j| **j).count();
        // A row whose first value is good is data even if another cell is spoilt; a header has none.
        cells.len() == best.width && good > 0 && (2 * good > judged.len() || judged[0])
    };
    let first = (skip..head.len()).find(|&at| !is_comment(head[at].1) && is_data(head[at].1))?;
    let first = if skip_is_said { skip } else { first };
    let above: Vec<usize> = (0..first).rev().filter(|&at| !head[at].1.trim().is_empty()).collect();
    let mut header = None;
    for (nth, &at) in above.iter().take(3).enumerate() {
        let line = head[at].1.trim().trim_start_matches('#').trim();
        let names = name_cells(line, best.delimiter, best.width);
        let comment = is_comment(head[at].1);
        let named = names.iter().filter(|n| words::said(n).means.is_some()).count();
        let ruled = !line.contains(char::is_alphanumeric);
        let fits = !ruled && (names.len() == best.width || named >= 2);
        if !fits || names.len() < 2 && best.width > 1 || (comment && named == 0) {
            // A blank line or a rule of dashes may stand between header and data, prose may not.
            continue;
        }
        // A row of units alone belongs to the names above it.
        let units = names.iter().all(|n| {
            n.is_empty() || crate::units::Unit::of_word(n.trim_matches(['(', ')', '[', ']'])).is_some()
        });
        let over = above.get(nth + 1).map(|&up| {
            name_cells(head[up].1.trim().trim_start_matches('#').trim(), best.delimiter, best.width)
        });
        if let (true, Some(over)) =
            (units, over.filter(|o| o.len() == names.len() && o.iter().all(|n| !is_value(n, best.decimal))))
        {
            let joined = over
                .iter()
                .zip(&names)
                .map(|(n, u)| format!("{n} ({})", u.trim_matches(['(', ')', '[', ']'])))
                .collect();
            header = Some(Header { line: above[nth + 1] as u64 + 1, names: joined });
        } else {
            header = Some(Header { line: at as u64 + 1, names });
        }
        break;
    }
    Some((first, header))
}

/// The cells of a header; between blanks, `Altitude (ft)` is one name.
fn name_cells(line: &str, delimiter: Delimiter, width: usize) -> Vec<String> {
    let names = cells(line, delimiter);
    if delimiter != Delimiter::Space || names.len() <= width {
        return names;
    }
    let mut joined: Vec<String> = Vec::new();
    for name in names {
        match joined.last_mut() {
            Some(last) if name.starts_with(['(', '[', '{']) => {
                last.push(' ');
                last.push_str(&name);
            }
            _ => joined.push(name),
        }
    }
    joined
}

fn rows(sampled: &[Vec<&str>], first: usize, best: &Rated) -> Vec<Vec<Vec<String>>> {
    sampled
        .iter()
        .enumerate()
        .map(|(nth, lines)| {
            let from = if nth == 0 { first.min(lines.len()) } else { 0 };
            lines[from..]
                .iter()
                .filter(|l| !is_comment(l))
                .map(|l| cells(l, best.delimiter))
                .filter(|cells| cells.len() == best.width)
                .collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::content::Held;

    fn shape(text: &str) -> Result<Shape, Unclear> {
        let held = Held(text.as_bytes().into());
        let Ok(found) = find(&held, &Wanted { fewest_cells: 2, ..Wanted::default() });
        found
    }

    #[test]
    fn delimiters_and_marks_are_found_by_looking() {
        for (text, delimiter, decimal, first_line) in [
            ("0.1,12.5\n0.2,12.4\n", Delimiter::Comma, Decimal::Point, 1),
            ("t;h\n0,1;12,5\n0,2;12,4\n", Delimiter::Semicolon, Decimal::Comma, 2),
            ("0.1, 12.5\n0.2, 12.4\n", Delimiter::Comma, Decimal::Point, 1),
            ("0,1 12,5\n0,2 12,4\n", Delimiter::Space, Decimal::Comma, 1),
            ("Serial: 12345\n\nt\th\n1\t2\n2\t3\n", Delimiter::Tab, Decimal::Point, 4),
            ("\"t\",\"h\"\n\"0,1\",\"12,5\"\n\"0,2\",\"12,4\"\n", Delimiter::Comma, Decimal::Comma, 2),
            ("Logger,2\n# note\ntime,alt\n0.28,,\n0.5,1,\n", Delimiter::Comma, Decimal::Point, 4),
        ] {
            let found = shape(text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
            assert_eq!(
                (found.delimiter, found.decimal, found.first_line),
                (delimiter, decimal, first_line),
                "{text}"
            );
        }
    }

    #[test]
    fn headers_stand_right_above_the_data_or_in_a_comment() {
        let header = |text: &str| shape(text).unwrap().header;
        let names = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
        assert_eq!(
            header("t,Alt (ft)\n1,2\n2,3\n"),
            Some(Header { line: 1, names: names(&["t", "Alt (ft)"]) })
        );
        assert_eq!(header("# t,h\n1,2\n2,3\n"), Some(Header { line: 1, names: names(&["t", "h"]) }));
        assert_eq!(
            header("t,h\ns,ft\n1,2\n2,3\n"),
            Some(Header { line: 1, names: names(&["t (s)", "h (ft)"]) })
        );
        assert_eq!(header("t (s) Alt (ft)\n1 2\n2 3\n").unwrap().names, names(&["t (s)", "Alt (ft)"]));
        assert_eq!(header("1,2\n2,3\n"), None);
    }

    #[test]
    fn what_has_two_readings_is_refused() {
        let twice = ["t,h\n0,1,12,5\n0,2,12,4\n", "0,1,12\n0,2,12,4\n0,3,12,3\n0,4,12\n"];
        for text in twice {
            assert!(matches!(shape(text), Err(Unclear::CommaTwice { .. })), "{text}");
        }
        assert!(matches!(shape("1;1,234\n2;1,235\n"), Err(Unclear::Thousands { .. })));
        assert!(shape("0,5;1,234\n0,6;1,235\n").is_ok(), "a leading 0 shows that commas are decimal");
        assert!(matches!(shape("just some words\nin two lines\n"), Err(Unclear::NoData { .. })));
    }
}
