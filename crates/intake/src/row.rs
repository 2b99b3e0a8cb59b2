//! One row: its wanted cells, and whether they make a sample.
//!
//! Cells are split in three ways that agree bit for bit (property tests hold them to it): [`Plan::quick`] reads plain
//! decimals while it looks for their ends and the line's, which is what nearly every row of nearly every logger allows;
//! [`Plan::cells`] splits first, for everything else; and lines with quotes go through the automaton of the `csv`
//! crate. A quoted cell ends with its line.

use crate::clock::{self, TimeForm};
use crate::delimiter::{Delimiter, is_blank};
use crate::number::{self, Decimal, Exact};
use crate::units::{Means, Unit};
use silkfall_core::finding::Code;
use silkfall_core::recording::Temperatures;

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

impl Temperature {
    /// The temperature, if air can be so warm.
    #[inline]
    fn warmth(self, written: f64, exact: Option<Exact>) -> Option<Warmth> {
        let kelvin = written * self.factor + self.zero;
        let exact = exact.and_then(|e| Temperatures::ten_thousandths(e.mantissa, e.decimals));
        let written = exact.unwrap_or(Temperatures::ODD);
        (150.0..400.0).contains(&kelvin).then_some(Warmth { written, kelvin })
    }
}

/// A temperature in ten-thousandths as written, and in kelvin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Warmth {
    pub written: i32,
    pub kelvin: f64,
}

/// The wanted cells of a row and how many there were.
pub(crate) struct Cells<'a> {
    pub count: usize,
    /// Whether a cell beyond the usual width holds anything.
    surplus: bool,
    pub time: &'a [u8],
    pub value: &'a [u8],
    pub temperature: &'a [u8],
}

/// What a row gives: its time, its value in metres or pascals, its temperature.
pub(crate) struct Sample {
    pub stamp: Exact,
    pub value: f64,
    pub temperature: Option<Warmth>,
}

pub(crate) enum Judged {
    Sample(Sample),
    /// The row as a whole (column 0) or one of its cells (from 1) cannot be used.
    Trouble {
        code: Code,
        column: usize,
    },
}

pub(crate) const NO_STAMP: Exact = Exact { mantissa: 0, decimals: 0 };

impl Plan {
    #[inline]
    pub fn judge(&self, cells: &Cells<'_>) -> Judged {
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
        let Some(value) = self.si(written) else {
            return Judged::Trouble { code: Code::LogImpossibleValue, column: self.value + 1 };
        };
        let temperature = self.temperature.and_then(|t| {
            let written = number::parse(cells.temperature, self.decimal)?;
            t.warmth(written, number::exact(cells.temperature, self.decimal))
        });
        Judged::Sample(Sample { stamp, value, temperature })
    }

    /// The sample of the row that `text` begins with and the row's length with its line end, where every wanted cell is
    /// a plain decimal, times are in a unit or counted in rows, and cells are as many as usual; `None` for any other row.
    #[inline]
    pub fn quick(&self, text: &[u8]) -> Option<(Sample, usize)> {
        let unit = match self.form {
            TimeForm::Number(unit) => unit,
            TimeForm::Rows { .. } => Unit::Second,
            _ => return None,
        };
        let delimiter = self.delimiter.byte();
        // A comment may look like a row whose first cell is not wanted.
        if self.delimiter == Delimiter::Space || *text.first()? <= b'#' {
            return None;
        }
        let mut sample = Sample { stamp: NO_STAMP, value: 0.0, temperature: None };
        let mut rest = text;
        let time = self.time.unwrap_or(usize::MAX);
        let warm = self.temperature.map_or(usize::MAX, |temperature| temperature.at);
        for column in 0..self.width {
            let length = if column == time {
                let (number, length) = number::exact_start(rest, self.decimal)?;
                sample.stamp = clock::in_seconds(number, unit)?;
                length
            } else if column == self.value {
                let (number, length) = number::exact_start(rest, self.decimal)?;
                sample.value = self.si(number::nearest(number, rest)?)?;
                length
            } else if column == warm {
                let (number, length) = number::exact_start(rest, self.decimal)?;
                sample.temperature = self.temperature?.warmth(number::nearest(number, rest)?, Some(number));
                length
            } else {
                rest.iter().position(|b| *b == delimiter || *b == b'\n').unwrap_or(rest.len())
            };
            rest = &rest[length..];
            if column + 1 < self.width {
                rest = rest.strip_prefix(&[delimiter])?;
            }
        }
        let end = match rest {
            [] => 0,
            [b'\n', ..] | [b'\r'] => 1,
            [b'\r', b'\n', ..] => 2,
            _ => return None,
        };
        Some((sample, text.len() - rest.len() + end))
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

    /// The SI value if a recording on Earth can hold it: pressures of the atmosphere, heights from whatever zero.
    #[inline]
    pub fn si(&self, written: f64) -> Option<f64> {
        let value = written * self.factor;
        let possible = match self.means {
            Means::Pressure => value > 0.0 && value <= 120_000.0,
            _ => (-5_000.0..=120_000.0).contains(&value),
        };
        possible.then_some(value)
    }

    /// The wanted cells of a line.
    #[inline]
    pub fn cells<'a>(&self, line: &'a [u8], quoted: Option<&'a mut Quoted>) -> Cells<'a> {
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
pub(crate) fn trim(cell: &[u8]) -> &[u8] {
    match cell {
        [first, .., last] if *first > b' ' && *last > b' ' => cell,
        _ => cell.trim_ascii(),
    }
}

/// Splits single lines in which cells are quoted, with the automaton of the `csv` crate.
pub(crate) struct Quoted {
    reader: csv_core::Reader,
    cells: Vec<u8>,
    ends: Vec<usize>,
}

impl Quoted {
    /// `None` for a text without quotes, which needs none of this.
    pub fn of(text: &[u8], delimiter: Delimiter) -> Option<Quoted> {
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
