//! Workbooks (xlsx, ods) as text: one line a row, cells parted by tabs, so that everything behind is the same.
//!
//! Dates and times come out as the text they stand for: a spreadsheet keeps them as days, t = days × 86 400 s, here
//! rounded to the microsecond, below which a day number near 45,000 has no digits (2^-37 days are 0.6 µs). The day
//! count of workbooks that begin in 1904 is not shifted: only differences of times are ever used.
//!
//! Columns beyond the 256th are left out. Formulas count as the values they had when the workbook was saved.

use calamine::{Data, DataRef, DataType, Ods, Reader, Xlsx};
use std::io::Cursor;

/// Columns that are looked at.
const WIDEST: usize = 256;
/// The day number of 1970-01-01 in a workbook.
const EPOCH_DAY: i64 = 25_569;

/// One sheet as text.
pub(crate) struct Sheet {
    pub name: String,
    pub text: String,
    /// The other sheets of the workbook.
    pub others: Vec<String>,
}

/// Why there is no sheet.
pub(crate) enum NoSheet {
    /// The bytes are no workbook.
    NotAWorkbook,
    /// The workbook is damaged.
    Damaged(String),
    /// There is no sheet of that name; those that there are.
    Unknown(Vec<String>),
}

/// Whether bytes may be a workbook: both kinds are zip archives.
pub(crate) fn may_be(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The named sheet, or the one with the most rows.
pub(crate) fn sheet(bytes: &[u8], wanted: Option<&str>) -> Result<Sheet, NoSheet> {
    if let Ok(mut book) = Xlsx::new(Cursor::new(bytes)) {
        let names = book.sheet_names();
        return longest(names, wanted, |name| xlsx_text(&mut book, name));
    }
    match Ods::new(Cursor::new(bytes)) {
        Ok(mut book) => {
            let names = book.sheet_names();
            longest(names, wanted, |name| ods_text(&mut book, name))
        }
        Err(_) => Err(NoSheet::NotAWorkbook),
    }
}

fn longest(
    names: Vec<String>,
    wanted: Option<&str>,
    mut text: impl FnMut(&str) -> Result<Lines, String>,
) -> Result<Sheet, NoSheet> {
    let asked: Vec<&String> = names.iter().filter(|n| wanted.is_none_or(|w| w == n.as_str())).collect();
    let mut best: Option<(usize, String, String)> = None;
    for name in asked {
        let lines = text(name).map_err(NoSheet::Damaged)?;
        if best.as_ref().is_none_or(|(rows, ..)| lines.filled > *rows) {
            best = Some((lines.filled, name.clone(), lines.text));
        }
    }
    match best {
        Some((_, name, text)) => {
            let others = names.into_iter().filter(|n| *n != name).collect();
            Ok(Sheet { name, text, others })
        }
        None => Err(NoSheet::Unknown(names)),
    }
}

/// Lines under construction.
#[derive(Default)]
struct Lines {
    text: String,
    /// Rows that hold anything.
    filled: usize,
    row: usize,
    column: usize,
    widest: usize,
    /// Where the last cell was put.
    last: Option<(usize, usize)>,
}

impl Lines {
    /// Puts a cell at its place; cells come row by row from left to right, and one out of order is left out.
    fn put(&mut self, row: usize, column: usize, cell: &str) {
        if cell.is_empty() || column >= WIDEST || self.last.is_some_and(|last| last >= (row, column)) {
            return;
        }
        self.filled += usize::from(self.last.is_none_or(|(last, _)| last < row));
        while self.row < row {
            self.end_row();
        }
        self.last = Some((row, column));
        while self.column < column {
            self.text.push('\t');
            self.column += 1;
        }
        self.text.push_str(cell);
    }

    /// Ends a row, filled up to the widest row so far, so that rows have like numbers of cells.
    fn end_row(&mut self) {
        self.widest = self.widest.max(self.column);
        while self.column < self.widest && self.last.is_some_and(|(row, _)| row == self.row) {
            self.text.push('\t');
            self.column += 1;
        }
        self.text.push('\n');
        self.row += 1;
        self.column = 0;
    }
}

fn xlsx_text(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Lines, String> {
    let mut cells = book.worksheet_cells_reader(name).map_err(|e| e.to_string())?;
    let mut lines = Lines::default();
    while let Some(cell) = cells.next_cell().map_err(|e| e.to_string())? {
        let (row, column) = cell.get_position();
        let value = cell.get_value();
        let text = match value {
            DataRef::SharedString(text) => plain(text),
            other => cell_text(&Data::from(other.clone())),
        };
        lines.put(row as usize, column as usize, &text);
    }
    lines.end_row();
    Ok(lines)
}

fn ods_text(book: &mut Ods<Cursor<&[u8]>>, name: &str) -> Result<Lines, String> {
    let range = book.worksheet_range(name).map_err(|e| e.to_string())?;
    let (top, left) = range.start().unwrap_or((0, 0));
    let mut lines = Lines::default();
    for (row, column, cell) in range.used_cells() {
        lines.put(row + top as usize, column + left as usize, &cell_text(cell));
    }
    lines.end_row();
    Ok(lines)
}

/// Text without what parts cells and lines.
fn plain(text: &str) -> String {
    text.replace(['\t', '\n', '\r'], " ").replace('"', "'").trim().to_owned()
}

fn cell_text(cell: &Data) -> String {
    match cell {
        Data::Empty => String::new(),
        Data::Error(_) => "n/a".to_owned(),
        Data::DateTime(when) if when.is_duration() || (0.0..1.0).contains(&when.as_f64()) => {
            clock(micros(when.as_f64()))
        }
        Data::DateTime(when) => date_time(micros(when.as_f64())),
        Data::DateTimeIso(text) => plain(text),
        Data::DurationIso(text) => duration(text).unwrap_or_else(|| plain(text)),
        Data::Int(n) => n.to_string(),
        Data::Float(x) => x.to_string(),
        other => plain(&other.as_string().unwrap_or_default()),
    }
}

/// Whole microseconds of a number of days.
fn micros(days: f64) -> i64 {
    (days * 86_400e6).round() as i64
}

fn clock(micros: i64) -> String {
    let (sign, micros) = if micros < 0 { ("-", -micros) } else { ("", micros) };
    let seconds = micros / 1_000_000;
    format!("{sign}{}:{:02}:{:02}.{:06}", seconds / 3600, seconds / 60 % 60, seconds % 60, micros % 1_000_000)
}

/// Day number and time as ISO 8601; the date by counting whole periods of 400, 100, 4 and 1 years from 0000-03-01.
fn date_time(micros: i64) -> String {
    let day = micros.div_euclid(86_400_000_000) - EPOCH_DAY + 719_468;
    let era = day.div_euclid(146_097);
    let of_era = day.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let march_month = (5 * of_year + 2) / 153;
    let day_of_month = of_year - (153 * march_month + 2) / 5 + 1;
    let month = if march_month < 10 { march_month + 3 } else { march_month - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day_of_month:02}T{:0>15}", clock(micros.rem_euclid(86_400_000_000)))
}

/// `PT12H34M56.7S` (ISO 8601 duration, as ods keeps times of day) as a clock time.
fn duration(text: &str) -> Option<String> {
    let mut rest = text.strip_prefix("PT")?;
    let mut part = |mark: char| match rest.split_once(mark) {
        Some((number, behind)) => {
            rest = behind;
            Some(number.to_owned())
        }
        None => None,
    };
    let (hours, minutes, seconds) = (part('H'), part('M'), part('S'));
    let whole = |n: Option<String>| n.map_or(Some(0), |n| n.parse::<u32>().ok());
    let seconds = seconds.unwrap_or_else(|| "0".to_owned()).replace(',', ".");
    let of_minute: f64 = seconds.parse().ok().filter(|s| (0.0..61.0).contains(s))?;
    let pad = if of_minute < 10.0 && !seconds.starts_with('0') { "0" } else { "" };
    Some(format!("{}:{:02}:{pad}{seconds}", whole(hours)?, whole(minutes)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Independent leg: Python's `datetime(1899, 12, 30) + timedelta(days)`.
    #[test]
    fn day_numbers_are_dates() {
        assert_eq!(date_time(micros(25_569.0)), "1970-01-01T00:00:00.000000");
        assert_eq!(date_time(micros(45_351.5)), "2024-02-29T12:00:00.000000");
        assert_eq!(date_time(micros(45_352.0 - 1e-6)), "2024-02-29T23:59:59.913600");
        assert_eq!(clock(micros(0.5 + 0.1 / 86_400.0)), "12:00:00.100000");
    }

    #[test]
    fn ods_times_are_clock_times() {
        assert_eq!(duration("PT12H34M56.789S").as_deref(), Some("12:34:56.789"));
        assert_eq!(duration("PT00H00M05S").as_deref(), Some("0:00:05"));
        assert_eq!(duration("PT5S").as_deref(), Some("0:00:05"));
        assert_eq!(duration("noon"), None);
    }

    #[test]
    fn cells_stand_in_their_places() {
        let mut lines = Lines::default();
        for (row, column, cell) in [(1, 0, "t"), (1, 2, "h"), (2, 0, "1"), (3, 1, "x"), (3, 0, "late")] {
            lines.put(row, column, cell);
        }
        lines.end_row();
        assert_eq!(lines.text, "\nt\t\th\n1\t\t\n\tx\t\n");
        assert_eq!(lines.filled, 3);
    }
}
