//! Bytes to recordings and tables: every reader, every encoding.
//!
//! [`read`] makes a [`Recording`] of whatever text or workbook a logger left, finding encoding, delimiter, decimal
//! mark, header, columns, units and the form of time by looking. What was decided comes back as [`Understood`], with
//! the options that repeat it; what a person has said ([`Reading`]) is not second-guessed. Rows that cannot be used
//! are findings with their place and the rest is used; only what would make the answer unsound is refused.
//!
//! bytes → text → shape → columns → rows → series → recording
//!
//! Nothing here opens a file: the caller brings bytes, or what fetches them ([`Fetch`]), and a name. Values are not corrected: spikes, true height and
//! the like are for the stages behind.

mod clock;
mod columns;
mod content;
mod delimiter;
mod doubt;
mod encoding;
mod guess;
mod look;
mod notes;
mod number;
mod options;
mod pieces;
mod row;
mod rows;
mod sample;
mod series;
mod shape;
mod sheets;
mod table;
mod understood;
mod units;
mod words;

pub use clock::TimeForm;
pub use columns::{Column, Known};
pub use content::Fetch;
pub use delimiter::Delimiter;
pub use encoding::Encoding;
pub use number::Decimal;
pub use options::{ColumnChoice, ColumnName, Reading, Source, TimeChoice};
pub use table::{Cell, Table, read_table};
pub use understood::Understood;
pub use units::{Means, Unit};

use columns::Chosen;
use content::{Content, Far, Held, Stop};
use encoding::{NotText, Text};
use notes::Notes;
use row::{Plan, Temperature};
use rows::{Columns, Samples};
use series::Series;
use shape::{Shape, Unclear};
use sheets::{NoSheet, Sheet};
use silkfall_core::finding::{Code, Finding};
use silkfall_core::recording::{Recording, RowMap, Temperatures};
use std::sync::Arc;

/// A recording with what was understood and noticed on the way.
#[derive(Clone, Debug)]
pub struct Read {
    /// The samples.
    pub recording: Recording,
    /// How the file was read.
    pub understood: Understood,
    /// What was noticed, worst first.
    pub findings: Vec<Finding>,
}

/// Reads a recording from the bytes of a file; `name` is used in findings only.
///
/// # Errors
/// The findings, one of them an error, if the bytes are no text or workbook, hold no usable pair of columns, could be
/// read in two ways, or if `wanted` names what is not there.
pub fn read(name: &str, bytes: &[u8], wanted: &Reading) -> Result<Read, Vec<Finding>> {
    let mut notes = Notes::new(name);
    let read = read_bytes(name, bytes, wanted, &mut notes);
    with_findings(read, notes)
}

/// Reads a recording as [`read`] does, without holding the text of a long one.
///
/// # Errors
/// Outside what fetching says, inside as for [`read`].
pub fn read_from(
    name: &str,
    source: &dyn Fetch,
    wanted: &Reading,
) -> std::io::Result<Result<Read, Vec<Finding>>> {
    if let Some(content) = Far::of(source, wanted)? {
        let mut notes = Notes::new(name);
        let text = Text { content, encoding: Encoding::Utf8, stray: None, replaced: false };
        match read_text(name, &text, None, wanted, &mut notes) {
            Ok(read) => return Ok(with_findings(read, notes)),
            Err(Stop::Io(error)) => return Err(error),
            Err(Stop::Unfit) => {}
        }
    }
    Ok(read(name, &content::whole(source)?, wanted))
}

fn with_findings(read: Option<(Recording, Understood)>, notes: Notes) -> Result<Read, Vec<Finding>> {
    match read {
        Some((recording, understood)) => Ok(Read { recording, understood, findings: notes.findings() }),
        None => Err(notes.findings()),
    }
}

fn read_bytes(
    name: &str,
    bytes: &[u8],
    wanted: &Reading,
    notes: &mut Notes,
) -> Option<(Recording, Understood)> {
    let sheet = sheet_text(bytes, wanted, notes)?;
    let text = text(sheet.as_ref().map_or(bytes, |s| s.text.as_bytes()), wanted, notes)?;
    let Ok(read) = read_text(name, &text, sheet.as_ref(), wanted, notes);
    read
}

/// The recording in a text, which is that of `sheet` if there is one; `None` after an error.
fn read_text<C: Content>(
    name: &str,
    text: &Text<C>,
    sheet: Option<&Sheet>,
    wanted: &Reading,
    notes: &mut Notes,
) -> Result<Option<(Recording, Understood)>, C::Stop> {
    let tabs = Reading { delimiter: Some(Delimiter::Tab), ..wanted.clone() };
    let Some(shape) = shape(&text.content, if sheet.is_some() { &tabs } else { wanted }, notes)? else {
        return Ok(None);
    };
    let Some(chosen) = columns::choose(&shape, wanted, notes) else { return Ok(None) };
    let plan = plan(&shape, &chosen);
    let samples = rows::extract(&text.content, shape.start, shape.first_line, &plan, notes)?;
    let lines = samples.lines;
    if samples.columns.time.is_empty() {
        notes.say(Code::LogEmpty, None, 0, "no row could be used".to_owned(), None);
        return Ok(None);
    }
    let recording = recording(name, samples, &chosen, notes);
    let sheet = sheet.map(|s| s.name.clone());
    let understood = Understood::new(wanted, sheet, text, &shape, chosen, lines, &recording);
    Ok(Some((recording, understood)))
}

fn text<'a>(bytes: &'a [u8], wanted: &Reading, notes: &mut Notes) -> Option<Text<Held<'a>>> {
    match encoding::decode(bytes, wanted.encoding) {
        Ok(text) => {
            if let Some((line, count)) = text.stray {
                notes.add(Code::LogStrayBytes, Some(line), 0, count, || {
                    "NUL bytes or byte order marks among the text; read as blanks".to_owned()
                });
            }
            if text.replaced {
                notes.say(
                    Code::LogBadEncoding,
                    None,
                    0,
                    format!("some bytes have no meaning in {}; they are read as `\u{fffd}`", text.encoding),
                    Some("state the encoding with --encoding".to_owned()),
                );
            }
            Some(text)
        }
        Err(why) => {
            not_text(why, notes);
            None
        }
    }
}

fn not_text(why: NotText, notes: &mut Notes) {
    let expected = "expected a text of rows or a workbook (xlsx, ods)";
    let (code, message) = match why {
        NotText::Empty => (Code::LogEmpty, "the file holds nothing but blanks".to_owned()),
        NotText::Kind(kind) => (Code::LogNotText, format!("this is {kind}, {expected}")),
        NotText::Binary => (Code::LogNotText, format!("this is binary data, {expected}")),
    };
    notes.say(code, None, 0, message, None);
}

/// The sheet to read if the bytes are a workbook, `Some(None)` if they are not, `None` after an error.
fn sheet_text(bytes: &[u8], wanted: &Reading, notes: &mut Notes) -> Option<Option<Sheet>> {
    let asked = wanted.sheet.as_deref();
    if !sheets::may_be(bytes) {
        if let Some(name) = asked {
            notes.say(
                Code::LogOptionUnmet,
                None,
                0,
                format!("--sheet names `{name}`, but this is no workbook"),
                None,
            );
            return None;
        }
        return Some(None);
    }
    let list = |names: &[String]| {
        names.iter().map(|n| format!("`{}`", look::short(n))).collect::<Vec<_>>().join(", ")
    };
    let (code, message) = match sheets::sheet(bytes, asked) {
        Ok(sheet) => {
            if asked.is_none() && !sheet.others.is_empty() {
                notes.say(
                    Code::LogSeveralSheets,
                    None,
                    0,
                    format!(
                        "sheet `{}` is read, which has the most rows; there are also {}",
                        look::short(&sheet.name),
                        list(&sheet.others)
                    ),
                    Some(format!("--sheet \"{}\" takes the other", sheet.others[0])),
                );
            }
            return Some(Some(sheet));
        }
        Err(NoSheet::NotAWorkbook) => {
            not_text(NotText::Kind("a zip archive that is no workbook, or a damaged one"), notes);
            return None;
        }
        Err(NoSheet::Damaged(why)) => (Code::LogNotText, format!("the workbook cannot be read: {why}")),
        Err(NoSheet::Unknown(names)) => (
            Code::LogOptionUnmet,
            format!("--sheet names `{}`; the sheets are {}", asked.unwrap_or(""), list(&names)),
        ),
    };
    notes.say(code, None, 0, message, None);
    None
}

fn shape<C: Content>(text: &C, wanted: &Reading, notes: &mut Notes) -> Result<Option<Shape>, C::Stop> {
    let by_rows = matches!(wanted.time, Some(TimeChoice { form: Some(TimeForm::Rows { .. }), .. }));
    let wanted = shape::Wanted {
        delimiter: wanted.delimiter,
        decimal: wanted.decimal,
        header_lines: wanted.header_lines,
        fewest_cells: if by_rows { 1 } else { 2 },
    };
    Ok(match shape::find(text, &wanted)? {
        Ok(shape) => Some(shape),
        Err(Unclear::NoData { first }) => {
            let first = first.iter().map(|l| format!("`{}`", look::short(l))).collect::<Vec<_>>().join(", ");
            notes.say(
                Code::LogNoUsableColumn,
                None,
                0,
                format!("no rows of at least {} cells, most of them numbers or times, were found; the text begins with {first}", wanted.fewest_cells),
                Some("if it is a recording, state --delimiter, --decimal or --header-lines".to_owned()),
            );
            None
        }
        Err(Unclear::CommaTwice { line, text }) => {
            notes.say(
                Code::LogDecimalAmbiguous,
                Some(line),
                0,
                format!("`{}`: commas seem to part both cells and decimals, so cells cannot be told apart", look::short(&text)),
                Some("export with semicolons or with decimal points; if every comma parts cells, say --delimiter , --decimal .".to_owned()),
            );
            None
        }
        Err(Unclear::Thousands { cell }) => {
            notes.say(
                Code::LogDecimalAmbiguous,
                None,
                0,
                format!("`{cell}` may be a whole number with a thousands mark or a decimal fraction, and no other cell tells"),
                Some("say --decimal , or --decimal .".to_owned()),
            );
            None
        }
    })
}

fn plan(shape: &Shape, chosen: &Chosen) -> Plan {
    let name = |at: usize| shape.header.as_ref().and_then(|h| h.names.get(at)).cloned().unwrap_or_default();
    Plan {
        delimiter: shape.delimiter,
        decimal: shape.decimal,
        width: shape.width,
        time: chosen.time,
        form: chosen.form,
        value: chosen.value,
        means: chosen.unit.means(),
        factor: chosen.unit.quantity().factor,
        temperature: chosen.temperature.map(|(at, unit)| {
            let unit = unit.quantity();
            Temperature { at, factor: unit.factor, zero: unit.zero }
        }),
        names: shape
            .header
            .is_some()
            .then(|| (chosen.time.map(name).unwrap_or_default(), name(chosen.value))),
        titles: chosen.columns.iter().map(Column::title).collect(),
    }
}

fn recording(name: &str, samples: Samples, chosen: &Chosen, notes: &mut Notes) -> Recording {
    let rows = RowMap(samples.runs);
    let series = Series {
        time: &samples.columns.time,
        value: &samples.columns.value,
        rows: &rows,
        form: chosen.form,
        means: chosen.unit.means(),
        time_column: chosen.time.map_or(0, |at| at as u64 + 1),
        value_column: chosen.value as u64 + 1,
    };
    series.stuck(notes);
    if samples.rising {
        series.gaps(series.time, &[0], None, notes);
        return recording_of(name, samples.columns, vec![0], rows, chosen);
    }
    let mended = series.mend(notes);
    series.gaps(&mended.time, &mended.segments, Some(&mended.keep), notes);
    let kept = |column: &[f64]| -> Vec<f64> {
        if column.is_empty() { Vec::new() } else { mended.keep.iter().map(|&at| column[at]).collect() }
    };
    let value = kept(&samples.columns.value);
    let (written, odd) = kept_temperatures(&samples.columns, &mended.keep);
    let rows = kept_rows(&rows, &mended.keep);
    recording_of(name, Columns { time: mended.time, value, written, odd }, mended.segments, rows, chosen)
}

fn recording_of(
    name: &str,
    columns: Columns,
    segments: Vec<usize>,
    rows: RowMap,
    chosen: &Chosen,
) -> Recording {
    Recording {
        name: name.to_owned(),
        time_s: Arc::new(columns.time),
        value: Arc::new(columns.value),
        channel: chosen.channel,
        temperature_k: chosen.temperature.map(|(_, unit)| {
            let unit = unit.quantity();
            Temperatures::new(columns.written, columns.odd, unit.factor, unit.zero)
        }),
        segments,
        rows,
    }
}

/// The temperatures of the samples that stay.
fn kept_temperatures(columns: &Columns, keep: &[usize]) -> (Vec<i32>, Vec<(usize, f64)>) {
    if columns.written.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let written = keep.iter().map(|&at| columns.written[at]).collect();
    let stays = |&(old, kelvin): &(usize, f64)| Some((keep.binary_search(&old).ok()?, kelvin));
    (written, columns.odd.iter().filter_map(stays).collect())
}

/// The map of the samples that stay.
fn kept_rows(rows: &RowMap, keep: &[usize]) -> RowMap {
    let mut runs: Vec<(usize, u64)> = Vec::new();
    for (sample, &old) in keep.iter().enumerate() {
        let line = rows.line_of(old).expect("every sample read has its line");
        if runs.last().is_none_or(|&(first, at)| at + (sample - first) as u64 != line) {
            runs.push((sample, line));
        }
    }
    RowMap(runs)
}
