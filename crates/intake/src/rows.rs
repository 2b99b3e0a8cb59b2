//! Lines to samples, in parallel and in order.
//!
//! The text is cut at line ends into chunks of fixed size, so that their number does not depend on the number of
//! threads; each chunk is read on its own and the parts are joined in order. Times are subtracted from the first
//! sample's exactly. Lines with quotes are split by the automaton of the `csv` crate; a property test holds both ways
//! of splitting to the same bits. A quoted cell ends with its line.

use crate::clock::{self, TimeForm};
use crate::look::short;
use crate::notes::Notes;
use crate::number::{self, Decimal, Exact};
use crate::shape::{Delimiter, is_blank};
use crate::units::Means;
use rayon::prelude::*;
use silkfall_core::finding::Code;

/// Bytes of a chunk: large enough to keep two cores busy, small enough that a day at 100 Hz makes dozens.
const CHUNK: usize = 1 << 22;

/// What to take from a row.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub delimiter: Delimiter,
    pub decimal: Decimal,
    pub width: usize,
    pub time: Option<usize>,
    pub form: TimeForm,
    pub value: usize,
    pub means: Means,
    /// SI value of a difference of one of the value's unit.
    pub factor: f64,
    pub temperature: Option<Temperature>,
    /// Header names of the time and value columns, to know the header when it comes again.
    pub names: Option<(String, String)>,
    /// Titles of the columns for messages.
    pub titles: Vec<String>,
}

/// The temperature column: kelvin = x · factor + zero.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Temperature {
    pub at: usize,
    pub factor: f64,
    pub zero: f64,
}

/// Samples as read, nothing mended; one run of line numbers after the other.
#[derive(Debug, Default)]
pub(crate) struct Part {
    /// Seconds from the first sample; row numbers where rows are the clock.
    pub time: Vec<f64>,
    /// Metres or pascals.
    pub value: Vec<f64>,
    pub temperature: Vec<Option<f64>>,
    /// (first sample, its line), each run one line a sample.
    pub runs: Vec<(usize, u64)>,
    pub lines: u64,
    rows: u64,
    clocked_by_rows: bool,
    /// Whether every time is above the one before it.
    pub rising: bool,
    troubles: Vec<Trouble>,
}

/// One kind of trouble in one column: how often, and the first of it.
#[derive(Debug)]
struct Trouble {
    code: Code,
    column: usize,
    count: usize,
    line: u64,
    cell: String,
}

/// The wanted cells of a row and how many there were.
struct Cells<'a> {
    count: usize,
    /// Whether a cell beyond the usual width holds anything.
    surplus: bool,
    time: &'a [u8],
    value: &'a [u8],
    temperature: &'a [u8],
}

enum Judged {
    Sample {
        stamp: Exact,
        value: f64,
        temperature: Option<f64>,
    },
    /// The row as a whole (column 0) or one of its cells (from 1) cannot be used.
    Trouble {
        code: Code,
        column: usize,
    },
}

const NO_STAMP: Exact = Exact { mantissa: 0, decimals: 0 };

impl Plan {
    #[inline]
    fn judge(&self, cells: &Cells<'_>) -> Judged {
        if cells.count != self.width && self.wrong_width(cells) {
            return Judged::Trouble { code: Code::LogRowLength, column: 0 };
        }
        let stamp = match self.time {
            Some(at) => match self.form.stamp(cells.time, self.decimal) {
                Some(stamp) => stamp,
                None => return self.unusable(cells, cells.time, at),
            },
            None => NO_STAMP,
        };
        let Some(written) = number::parse(cells.value, self.decimal) else {
            return self.unusable(cells, cells.value, self.value);
        };
        let value = written * self.factor;
        if !self.possible(value) {
            return Judged::Trouble { code: Code::LogImpossibleValue, column: self.value + 1 };
        }
        let temperature = self.temperature.and_then(|t| {
            let kelvin = number::parse(cells.temperature, self.decimal)? * t.factor + t.zero;
            (150.0..400.0).contains(&kelvin).then_some(kelvin)
        });
        Judged::Sample { stamp, value, temperature }
    }

    /// A row is used in spite of its width where no cell can have slipped: blank cells too many at its end, or
    /// cells missing behind the wanted ones. Its last cell may be cut, so it is not believed.
    #[cold]
    fn wrong_width(&self, cells: &Cells<'_>) -> bool {
        let last = self.time.unwrap_or(0).max(self.value);
        if cells.count > self.width {
            cells.surplus
        } else {
            self.delimiter == Delimiter::Space || last + 1 >= cells.count
        }
    }

    #[cold]
    fn unusable(&self, cells: &Cells<'_>, cell: &[u8], at: usize) -> Judged {
        let text = String::from_utf8_lossy(cell);
        if let Some((time, value)) = &self.names
            && cells.time == time.as_bytes()
            && cells.value == value.as_bytes()
        {
            return Judged::Trouble { code: Code::LogHeaderRepeated, column: 0 };
        }
        let code = if is_blank(&text) { Code::LogBlankCell } else { Code::LogNotANumber };
        Judged::Trouble { code, column: at + 1 }
    }

    /// Pressures of the atmosphere, heights that a recording on Earth can hold (m, from whatever zero).
    #[inline]
    fn possible(&self, value: f64) -> bool {
        match self.means {
            Means::Pressure => value > 0.0 && value <= 120_000.0,
            _ => (-5_000.0..=120_000.0).contains(&value),
        }
    }

    /// The wanted cells of a line.
    #[inline]
    fn cells<'a>(&self, line: &'a [u8], quoted: Option<&'a mut Quoted>) -> Cells<'a> {
        let mut cells = Cells { count: 0, surplus: false, time: b"", value: b"", temperature: b"" };
        if let Some(quoted) = quoted
            && memchr::memchr(b'"', line).is_some()
        {
            for cell in quoted.split(line).filter(|c| self.delimiter != Delimiter::Space || !c.is_empty()) {
                self.keep(&mut cells, cell);
            }
            return cells;
        }
        if self.delimiter == Delimiter::Space {
            for cell in line.split(|b| matches!(b, b' ' | b'\t')).filter(|c| !c.is_empty()) {
                self.keep(&mut cells, cell);
            }
            return cells;
        }
        let delimiter = self.delimiter.byte();
        let mut from = 0;
        for (at, &byte) in line.iter().enumerate() {
            if byte == delimiter {
                self.keep(&mut cells, &line[from..at]);
                from = at + 1;
            }
        }
        self.keep(&mut cells, &line[from..]);
        cells
    }

    #[inline]
    fn keep<'a>(&self, cells: &mut Cells<'a>, cell: &'a [u8]) {
        let at = cells.count;
        cells.count += 1;
        if at == self.value {
            cells.value = trim(cell);
        } else if Some(at) == self.time {
            cells.time = trim(cell);
        } else if self.temperature.is_some_and(|t| t.at == at) {
            cells.temperature = trim(cell);
        } else if at >= self.width {
            cells.surplus |= !trim(cell).is_empty();
        }
    }
}

#[inline]
fn trim(cell: &[u8]) -> &[u8] {
    match cell {
        [first, .., last] if *first > b' ' && *last > b' ' => cell,
        _ => cell.trim_ascii(),
    }
}

impl Part {
    #[inline]
    fn take(&mut self, plan: &Plan, origin: Exact, line: u64, cells: &Cells<'_>) {
        match plan.judge(cells) {
            Judged::Sample { stamp, value, temperature } => {
                let time = if plan.time.is_some() {
                    clock::seconds_between(origin, stamp)
                } else {
                    self.rows as f64
                };
                let sample = self.time.len();
                if self.runs.last().is_none_or(|&(first, at)| at + (sample - first) as u64 != line) {
                    self.runs.push((sample, line));
                }
                self.rising &= self.time.last().is_none_or(|&before| time > before);
                self.time.push(time);
                self.value.push(value);
                if plan.temperature.is_some() {
                    self.temperature.push(temperature);
                }
            }
            Judged::Trouble { code, column } => self.trouble(plan, code, column, line, cells),
        }
        self.rows += 1;
    }

    #[cold]
    fn trouble(&mut self, plan: &Plan, code: Code, column: usize, line: u64, cells: &Cells<'_>) {
        if let Some(known) = self.troubles.iter_mut().find(|t| t.code == code && t.column == column) {
            known.count += 1;
            return;
        }
        let cell = match column.checked_sub(1) {
            None => cells.count.to_string(),
            Some(at) if Some(at) == plan.time => String::from_utf8_lossy(cells.time).into_owned(),
            Some(_) => String::from_utf8_lossy(cells.value).into_owned(),
        };
        self.troubles.push(Trouble { code, column, count: 1, line, cell });
    }

    /// Puts the samples of the next part behind these.
    fn append(&mut self, mut next: Part) {
        let samples = self.time.len();
        if self.clocked_by_rows {
            next.time.iter_mut().for_each(|row| *row += self.rows as f64);
        }
        self.rising &= next.rising && self.time.last().zip(next.time.first()).is_none_or(|(a, b)| b > a);
        self.time.append(&mut next.time);
        self.value.append(&mut next.value);
        self.temperature.append(&mut next.temperature);
        for (sample, line) in next.runs {
            let (sample, line) = (sample + samples, line + self.lines);
            if self.runs.last().is_none_or(|&(first, at)| at + (sample - first) as u64 != line) {
                self.runs.push((sample, line));
            }
        }
        for trouble in next.troubles {
            match self.troubles.iter_mut().find(|t| t.code == trouble.code && t.column == trouble.column) {
                Some(known) => known.count += trouble.count,
                None => self.troubles.push(Trouble { line: trouble.line + self.lines, ..trouble }),
            }
        }
        self.lines += next.lines;
        self.rows += next.rows;
    }

    fn new() -> Part {
        Part { rising: true, ..Part::default() }
    }

    fn tell(&mut self, plan: &Plan, notes: &mut Notes) {
        for trouble in self.troubles.drain(..) {
            let title =
                trouble.column.checked_sub(1).map_or("", |at| plan.titles.get(at).map_or("", String::as_str));
            let cell = short(&trouble.cell);
            notes.add(
                trouble.code,
                Some(trouble.line),
                trouble.column as u64,
                trouble.count,
                || match trouble.code {
                    Code::LogRowLength => {
                        format!("row has {cell} cells where {} are usual; it is not used", plan.width)
                    }
                    Code::LogHeaderRepeated => "the header stands again among the rows".to_owned(),
                    Code::LogBlankCell if cell.is_empty() => format!("{title} is blank; the row is not used"),
                    Code::LogBlankCell => {
                        format!("{title} holds `{cell}`, taken for no value; the row is not used")
                    }
                    Code::LogImpossibleValue => {
                        let range =
                            if plan.means == Means::Pressure { "0 to 1200 hPa" } else { "-5 to 120 km" };
                        format!("{title} holds {cell}, outside {range}; the row is not used")
                    }
                    _ if Some(trouble.column - 1) == plan.time => {
                        format!(
                            "{title} holds `{cell}`, expected a time as {}; the row is not used",
                            plan.form
                        )
                    }
                    _ => format!("{title} holds `{cell}`, expected a number; the row is not used"),
                },
            );
        }
    }
}

/// Reads the lines of `text`, the first of which is line `first_line` of the file.
pub(crate) fn extract(text: &[u8], first_line: u64, plan: &Plan, notes: &mut Notes) -> Part {
    let text = without_cut_line(text, first_line, plan, notes);
    let origin = first_stamp(text, plan).unwrap_or(NO_STAMP);
    let mut whole = Part::new();
    whole.lines = first_line - 1;
    whole.clocked_by_rows = plan.time.is_none();
    let parts: Vec<Part> =
        chunks(text).into_par_iter().map(|chunk| read_chunk(chunk, plan, origin)).collect();
    let count = parts.iter().map(|p| p.time.len()).sum();
    whole.time.reserve_exact(count);
    whole.value.reserve_exact(count);
    for part in parts {
        whole.append(part);
    }
    whole.tell(plan, notes);
    whole
}

/// Pieces of about [`CHUNK`] bytes that end with lines.
fn chunks(text: &[u8]) -> Vec<&[u8]> {
    let mut chunks = Vec::new();
    let mut rest = text;
    while rest.len() > CHUNK {
        let Some(end) = memchr::memchr(b'\n', &rest[CHUNK..]) else { break };
        let (chunk, behind) = rest.split_at(CHUNK + end + 1);
        chunks.push(chunk);
        rest = behind;
    }
    chunks.push(rest);
    chunks
}

/// Lines without their ends; blank lines and comments are passed over by [`is_row`].
fn lines(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    let mut from = 0;
    memchr::memchr_iter(b'\n', text).chain((!text.ends_with(b"\n")).then_some(text.len())).map(move |end| {
        let line = &text[from..end];
        from = end + 1;
        line.strip_suffix(b"\r").unwrap_or(line)
    })
}

#[inline]
fn is_row(line: &[u8]) -> bool {
    match line.first() {
        Some(first) if *first > b'#' => true,
        _ => line.trim_ascii_start().first().is_some_and(|b| *b != b'#'),
    }
}

fn read_chunk(chunk: &[u8], plan: &Plan, origin: Exact) -> Part {
    let mut part = Part::new();
    // A row has about so many bytes at least; what is reserved in vain is never touched.
    part.time.reserve(chunk.len() / 12);
    part.value.reserve(chunk.len() / 12);
    let mut quoted = Quoted::of(chunk, plan.delimiter);
    for line in lines(chunk) {
        part.lines += 1;
        if is_row(line) {
            part.take(plan, origin, part.lines, &plan.cells(line, quoted.as_mut()));
        }
    }
    part
}

fn first_stamp(text: &[u8], plan: &Plan) -> Option<Exact> {
    let mut quoted = Quoted::of(text, plan.delimiter);
    lines(text).filter(|l| is_row(l)).find_map(|line| match plan.judge(&plan.cells(line, quoted.as_mut())) {
        Judged::Sample { stamp, .. } => Some(stamp),
        Judged::Trouble { .. } => None,
    })
}

/// Splits single lines in which cells are quoted, with the automaton of the `csv` crate.
struct Quoted {
    reader: csv_core::Reader,
    cells: Vec<u8>,
    ends: Vec<usize>,
}

impl Quoted {
    /// `None` for a text without quotes, which needs none of this.
    fn of(text: &[u8], delimiter: Delimiter) -> Option<Quoted> {
        memchr::memchr(b'"', text)?;
        let reader = csv_core::ReaderBuilder::new().delimiter(delimiter.byte()).build();
        Some(Quoted { reader, cells: Vec::new(), ends: Vec::new() })
    }

    /// The cells of one line.
    fn split<'q>(&'q mut self, line: &[u8]) -> impl Iterator<Item = &'q [u8]> + use<'q> {
        self.reader.reset();
        self.cells.resize(line.len() + 1, 0);
        self.ends.resize(line.len() + 2, 0);
        let (_, _, wrote, ended) = self.reader.read_record(line, &mut self.cells, &mut self.ends);
        // An empty input is the end of the line, and ends its last cell.
        let (_, _, _, last) = self.reader.read_record(b"", &mut self.cells[wrote..], &mut self.ends[ended..]);
        let mut from = 0;
        let (cells, ends): (&'q [u8], &'q [usize]) = (&self.cells, &self.ends[..ended + last]);
        ends.iter().map(move |&end| {
            let cell = &cells[from..end];
            from = end;
            cell
        })
    }
}

/// Leaves out a last line that has no line end and looks cut: too few cells, or a last cell with fewer decimals
/// than the row before it, or one that is only the beginning of the one before.
fn without_cut_line<'a>(text: &'a [u8], first_line: u64, plan: &Plan, notes: &mut Notes) -> &'a [u8] {
    let Some(end) = memchr::memrchr(b'\n', text).filter(|end| end + 1 < text.len()) else { return text };
    let before = &text[..end];
    let before = &before[memchr::memrchr(b'\n', before).map_or(0, |at| at + 1)..];
    let (before, last) = (before.trim_ascii_end(), text[end + 1..].trim_ascii_end());
    let mut quoted = Quoted::of(text, plan.delimiter);
    let cells_before = plan.cells(before, quoted.as_mut()).count;
    let cells = plan.cells(last, quoted.as_mut()).count;
    let tail = |line: &'a [u8]| trim(line.rsplit(|b| *b == plan.delimiter.byte()).next().unwrap_or(line));
    let (tail_before, tail_last) = (tail(before), tail(last));
    let decimals = |cell: &[u8]| number::decimals_written(cell, plan.decimal);
    let shorter = tail_last.len() < tail_before.len()
        && (decimals(tail_last) < decimals(tail_before) || tail_before.starts_with(tail_last));
    let cut = !last.is_empty()
        && is_row(last)
        && cells_before == plan.width
        && (cells < plan.width || (cells == plan.width && shorter));
    if !cut {
        return text;
    }
    let line = first_line + memchr::memchr_iter(b'\n', &text[..=end]).count() as u64;
    notes.add(Code::LogLastLineCut, Some(line), 0, 1, || {
        format!(
            "the last line, `{}`, has no end and looks cut; it is not used",
            short(&String::from_utf8_lossy(last))
        )
    });
    &text[..=end]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plan(delimiter: Delimiter) -> Plan {
        Plan {
            delimiter,
            decimal: Decimal::Point,
            width: 3,
            time: Some(0),
            form: TimeForm::Number(crate::units::Unit::Second),
            value: 2,
            means: Means::Height,
            factor: 0.3048,
            temperature: Some(Temperature { at: 1, factor: 1.0, zero: 273.15 }),
            names: None,
            titles: vec!["column 1".into(), "column 2".into(), "column 3".into()],
        }
    }

    proptest! {
        /// Independent leg: the `csv` crate splits the same text.
        #[test]
        fn the_plain_and_the_quoted_way_agree_bit_for_bit(
            rows in prop::collection::vec(("[0-9]{1,6}(\\.[0-9]{0,6})?", "-?[0-9]{1,2}(\\.[0-9])?|", "-?[0-9]{1,4}(\\.[0-9]{1,9})?|x|"), 1..60),
            crlf in any::<bool>(),
        ) {
            let end = if crlf { "\r\n" } else { "\n" };
            let text: String = rows.iter().map(|(t, c, h)| format!("{t};{c}; {h}{end}")).collect();
            let quoted: String = rows.iter().map(|(t, c, h)| format!("\"{t}\";{c};\" {h}\"{end}")).collect();
            let plan = plan(Delimiter::Semicolon);
            let origin = first_stamp(text.as_bytes(), &plan);
            prop_assert_eq!(origin, first_stamp(quoted.as_bytes(), &plan));
            let a = read_chunk(text.as_bytes(), &plan, origin.unwrap_or(NO_STAMP));
            let b = read_chunk(quoted.as_bytes(), &plan, origin.unwrap_or(NO_STAMP));
            let bits = |x: &[f64]| x.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
            prop_assert_eq!(bits(&a.time), bits(&b.time));
            prop_assert_eq!(bits(&a.value), bits(&b.value));
            prop_assert_eq!(&a.temperature, &b.temperature);
            prop_assert_eq!(&a.runs, &b.runs);
            prop_assert_eq!(a.lines, b.lines);
            let troubles = |p: &Part| format!("{:?}", p.troubles);
            prop_assert_eq!(troubles(&a), troubles(&b));
        }
    }

    #[test]
    fn chunks_hold_every_line_once_and_join_to_the_same() {
        let text: String = (0..900_000).map(|n| format!("{}.25,,{}\n", n, n % 500)).collect();
        assert!(chunks(text.as_bytes()).len() > 2);
        let plan = plan(Delimiter::Comma);
        let whole = read_chunk(text.as_bytes(), &plan, NO_STAMP);
        let joined = extract(text.as_bytes(), 1, &plan, &mut Notes::new("x"));
        assert_eq!((joined.time.len(), joined.lines, joined.rising), (900_000, 900_000, true));
        assert_eq!(joined.runs, whole.runs);
        assert_eq!(joined.value, whole.value);
        assert!(joined.time.iter().zip(&whole.time).all(|(a, b)| (a - (b - 0.25)).abs() < 1e-9));
    }
}
