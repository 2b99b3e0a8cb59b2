//! A table of text cells with their places, for offers, winds and the like: the same looking as for recordings, but
//! nothing is taken for time or height, and every row is kept.

use crate::delimiter::{self, Delimiter};
use crate::encoding;
use crate::notes::Notes;
use crate::{Decimal, Encoding, Reading};
use crate::{not_text, sheet_text};
use silkfall_core::finding::{Code, Finding};

/// A cell and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// The text without blanks around it and without quotes.
    pub text: String,
    /// Its line from 1.
    pub line: u64,
    /// Its column in the table, from 1.
    pub column: u64,
}

/// A header and rows, each as wide as the header.
#[derive(Clone, Debug)]
pub struct Table {
    /// The names of the columns with their places.
    pub headers: Vec<Cell>,
    /// Rows of cells; blank cells are empty texts.
    pub rows: Vec<Vec<Cell>>,
    /// The text's encoding.
    pub encoding: Encoding,
    /// What stands between cells.
    pub delimiter: Delimiter,
    /// The mark between whole and fraction, as far as the cells show it.
    pub decimal: Decimal,
    /// What was noticed, worst first.
    pub findings: Vec<Finding>,
}

impl Table {
    /// The index of the column whose name is `name` in any case.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.headers.iter().position(|h| h.text.to_lowercase() == name.to_lowercase())
    }
}

/// Reads a table from the bytes of a file or workbook; its first line that is no comment (`#`) and not blank names
/// the columns. `name` is used in findings only.
///
/// # Errors
/// The findings, one of them an error, if the bytes are no text or workbook or hold no header and row.
pub fn read_table(name: &str, bytes: &[u8]) -> Result<Table, Vec<Finding>> {
    let mut notes = Notes::new(name);
    match table(bytes, &mut notes) {
        Some(table) => Ok(Table { findings: notes.findings(), ..table }),
        None => Err(notes.findings()),
    }
}

fn table(bytes: &[u8], notes: &mut Notes) -> Option<Table> {
    let sheet = sheet_text(bytes, &Reading::default(), notes)?;
    let bytes = sheet.as_ref().map_or(bytes, |s| s.text.as_bytes());
    let text = match encoding::decode(bytes, None) {
        Ok(text) => text,
        Err(why) => {
            not_text(why, notes);
            return None;
        }
    };
    let whole = std::str::from_utf8(&text.content.0).expect("decoded text is UTF-8");
    let delimiter = if sheet.is_some() { Delimiter::Tab } else { delimiter(whole) };
    let records = records(whole, delimiter);
    let Some((headers, rows)) = records.split_first().filter(|(_, rows)| !rows.is_empty()) else {
        notes.say(Code::LogEmpty, None, 0, "the table has no row under its header".to_owned(), None);
        return None;
    };
    let width = headers.len();
    let mut kept = Vec::new();
    for row in rows {
        let line = row.first().map(|c| c.line);
        let mut row = row.clone();
        while row.len() > width && row.last().is_some_and(|c| c.text.is_empty()) {
            row.pop();
        }
        if row.len() > width {
            notes.add(Code::TableRowLength, line, 0, 1, || {
                format!("row has {} cells under {width} names; it is not used", row.len())
            });
            continue;
        }
        for column in row.len()..width {
            row.push(Cell { text: String::new(), line: line.unwrap_or(1), column: column as u64 + 1 });
        }
        kept.push(row);
    }
    let decimal = decimal(&kept);
    Some(Table {
        headers: headers.clone(),
        rows: kept,
        encoding: text.encoding,
        delimiter,
        decimal,
        findings: Vec::new(),
    })
}

/// The mark that parts the header into the most cells, and the rows into as many.
fn delimiter(text: &str) -> Delimiter {
    let lines: Vec<&str> =
        text.lines().filter(|l| !l.trim().is_empty() && !l.trim_start().starts_with('#')).take(50).collect();
    let score = |delimiter: Delimiter| {
        let widths: Vec<usize> = lines.iter().map(|l| delimiter::cells(l, delimiter).len()).collect();
        let header = widths.first().copied().unwrap_or(0);
        if header < 2 { 0 } else { widths.iter().filter(|w| **w == header).count() }
    };
    let all = [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Comma];
    all.into_iter().rev().max_by_key(|d| score(*d)).filter(|d| score(*d) > 0).unwrap_or(Delimiter::Comma)
}

/// All records, comments and blank lines left out; quoted cells may hold line breaks.
fn records(text: &str, delimiter: Delimiter) -> Vec<Vec<Cell>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter.byte())
        .from_reader(text.as_bytes());
    let mut records = Vec::new();
    let (mut line, mut from) = (1, 0);
    for record in reader.records() {
        // Text in memory is read without errors.
        let Ok(record) = record else { break };
        let begin = record.position().map_or(0, |p| p.byte() as usize);
        // A record's position may be that of blank lines before it, or of the line feed of the line before.
        let begin = begin + text[begin..].len() - text[begin..].trim_start_matches(['\r', '\n']).len();
        line += text[from..begin].matches('\n').count() as u64;
        from = begin;
        let filled = record.iter().any(|c| !c.trim().is_empty());
        if !filled || text[begin..].trim_start().starts_with('#') {
            continue;
        }
        let cell =
            |(at, text): (usize, &str)| Cell { text: text.trim().to_owned(), line, column: at as u64 + 1 };
        records.push(record.iter().enumerate().map(cell).collect());
    }
    records
}

/// Comma, if some cell is a number with a comma only and none with a point only.
fn decimal(rows: &[Vec<Cell>]) -> Decimal {
    let has = |mark: Decimal, other: char| {
        rows.iter().flatten().any(|c| {
            let number: String =
                c.text.chars().take_while(|c| c.is_ascii_digit() || ".,-+".contains(*c)).collect();
            number.contains(char::from(mark.byte()))
                && !number.contains(other)
                && crate::number::surely(&number, mark)
        })
    };
    if has(Decimal::Comma, '.') && !has(Decimal::Point, ',') { Decimal::Comma } else { Decimal::Point }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_know_their_places() {
        let text = "# offers\r\n\r\nshape;size;price\r\n\"flat; round\";1,2 m;38\r\n# later\r\ncross;0,9 m\r\na;b;c;d\r\n";
        let table = read_table("offers.csv", text.as_bytes()).unwrap();
        assert_eq!(table.column("Size"), Some(1));
        let cell = |text: &str, line, column| Cell { text: text.to_owned(), line, column };
        assert_eq!(table.headers[2], cell("price", 3, 3));
        assert_eq!(table.rows[0], [cell("flat; round", 4, 1), cell("1,2 m", 4, 2), cell("38", 4, 3)]);
        assert_eq!(table.rows[1], [cell("cross", 6, 1), cell("0,9 m", 6, 2), cell("", 6, 3)]);
        assert_eq!(
            (table.rows.len(), table.decimal, table.delimiter),
            (2, Decimal::Comma, Delimiter::Semicolon)
        );
        assert_eq!(table.findings[0].place.as_ref().and_then(|p| p.line), Some(7));
    }

    #[test]
    fn line_breaks_in_quotes_keep_the_count() {
        let table = read_table("x", b"name,size\n\"a\nb\",1.5\nc,2.5\n").unwrap();
        assert_eq!(table.rows[0][0].text, "a\nb");
        assert_eq!((table.rows[1][0].line, table.decimal), (4, Decimal::Point));
    }

    #[test]
    fn a_table_without_rows_is_refused() {
        for bytes in [&b""[..], b"shape,size\n", b"\x89PNG\r\n"] {
            assert!(read_table("x", bytes).is_err(), "{bytes:?}");
        }
    }
}
