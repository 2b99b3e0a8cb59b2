//! One row: its wanted cells, and whether they make a sample.
//!
//! Cells are split in three ways that agree bit for bit (property tests hold them to it): [`Plan::quick`] reads plain
//! decimals while it looks for their ends, which is what nearly every row of nearly every logger allows;
//! [`Plan::cells`] splits first, for everything else; and lines with quotes go through the automaton of the `csv`
//! crate. A quoted cell ends with its line.

use crate::clock::{self, TimeForm};
use crate::delimiter::{Delimiter, is_blank};
use crate::number::{self, Decimal, Exact};
use crate::units::Means;
use silkfall_core::finding::Code;

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

/// The wanted cells of a row and how many there were.
pub(crate) struct Cells<'a> {
    pub count: usize,
    /// Whether a cell beyond the usual width holds anything.
    surplus: bool,
    pub time: &'a [u8],
    pub value: &'a [u8],
    pub temperature: &'a [u8],
}

pub(crate) enum Judged {
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
            let kelvin = number::parse(cells.temperature, self.decimal)? * t.factor + t.zero;
            (150.0..400.0).contains(&kelvin).then_some(kelvin)
        });
        Judged::Sample { stamp, value, temperature }
    }

    /// Stamp and written value of a row of plain decimals, times in a unit, no temperature; `None` for any other row.
    #[inline]
    pub fn quick(&self, line: &[u8]) -> Option<(Exact, f64)> {
        let TimeForm::Number(unit) = self.form else { return None };
        let delimiter = self.delimiter.byte();
        if self.temperature.is_some() || self.delimiter == Delimiter::Space {
            return None;
        }
        let (mut stamp, mut value, mut rest) = (NO_STAMP, 0.0, line);
        for column in 0..self.width {
            let wanted = Some(column) == self.time || column == self.value;
            let length = if wanted {
                let (number, length) = number::exact_start(rest, self.decimal)?;
                if column == self.value {
                    value = number::nearest(number, rest)?;
                } else {
                    stamp = clock::in_seconds(number, unit)?;
                }
                length
            } else {
                rest.iter().position(|b| *b == delimiter).unwrap_or(rest.len())
            };
            rest = match (rest.get(length), column + 1 == self.width) {
                (Some(byte), false) if *byte == delimiter => &rest[length + 1..],
                (None, true) => return Some((stamp, value)),
                _ => return None,
            };
        }
        None
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
