//! Lines to samples, in parallel and in order.
//!
//! The text is cut at line ends into pieces of fixed size, so that their number does not depend on the number of
//! threads. Lines are counted first, so that each piece writes its samples where they belong, and nothing is copied
//! unless lines gave no sample. Times are subtracted from the first sample's exactly.

use crate::clock;
use crate::content::Content;
use crate::look::short;
use crate::notes::Notes;
use crate::number::{self, Exact};
use crate::pieces::{Piece, cut};
use crate::row::{Cells, Judged, NO_STAMP, Plan, Quoted, Sample, Warmth, trim};
use crate::units::Means;
use rayon::prelude::*;
use silkfall_core::finding::Code;
use silkfall_core::recording::Temperatures;
use std::ops::Range;

/// Bytes of a piece: large enough to be worth a task, small enough to stay in a core's own cache.
const PIECE: usize = 1 << 19;

/// Samples as read, nothing mended.
#[derive(Debug)]
pub(crate) struct Samples {
    pub columns: Columns,
    /// (first sample, its line), each run one line a sample.
    pub runs: Vec<(usize, u64)>,
    /// Lines up to the end of the text.
    pub lines: u64,
    /// Whether every time is above the one before it.
    pub rising: bool,
}

/// Numbers side by side. Zeroed memory costs nothing until it is written, so that both cores share that cost.
#[derive(Debug)]
pub(crate) struct Columns {
    /// Seconds from the first sample.
    pub time: Vec<f64>,
    /// Metres or pascals.
    pub value: Vec<f64>,
    /// Temperatures in ten-thousandths as written; empty without a temperature column.
    pub written: Vec<i32>,
    /// Sample and kelvin of those that are odd.
    pub odd: Vec<(usize, f64)>,
}

impl Columns {
    fn with_room(rows: usize, plan: &Plan) -> Columns {
        let warm = if plan.temperature.is_some() { rows } else { 0 };
        let written = vec![0; warm];
        Columns { time: vec![0.0; rows], value: vec![0.0; rows], written, odd: Vec::new() }
    }

    /// Moves the samples `from` up to sample `to`.
    fn close_up(&mut self, from: Range<usize>, to: usize) {
        self.time.copy_within(from.clone(), to);
        self.value.copy_within(from.clone(), to);
        if !self.written.is_empty() {
            self.written.copy_within(from, to);
        }
    }

    fn truncate(&mut self, samples: usize) {
        self.time.truncate(samples);
        self.value.truncate(samples);
        self.written.truncate(samples);
    }
}

/// What a piece gave besides its numbers.
#[derive(Debug, Default)]
struct Part {
    samples: usize,
    lines: u64,
    rows: u64,
    /// Whether its times rise, its first time and its last.
    rising: bool,
    first: f64,
    last: f64,
    runs: Vec<(usize, u64)>,
    odd: Vec<(usize, f64)>,
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

/// Room for one sample a line of a piece.
struct Room<'c> {
    time: &'c mut [f64],
    value: &'c mut [f64],
    written: &'c mut [i32],
}

/// A piece being read.
struct Reader<'p, 'c> {
    plan: &'p Plan,
    origin: Exact,
    room: Room<'c>,
    part: Part,
}

impl Reader<'_, '_> {
    /// Reads lines to their end, row by row.
    fn read(mut self, lines: &[u8]) -> Part {
        let mut quoted = Quoted::of(lines, self.plan.delimiter);
        let mut rest = lines;
        while !rest.is_empty() {
            self.part.lines += 1;
            if quoted.is_none()
                && let Some((sample, length)) = self.plan.quick(rest)
            {
                self.sample(&sample);
                self.part.rows += 1;
                rest = &rest[length..];
            } else {
                let (line, behind) = split_line(rest);
                if is_row(line) {
                    self.row(&self.plan.cells(line, quoted.as_mut()));
                }
                rest = behind;
            }
        }
        self.part
    }

    fn row(&mut self, cells: &Cells<'_>) {
        match self.plan.judge(cells) {
            Judged::Sample(sample) => self.sample(&sample),
            Judged::Trouble { code, column } => self.trouble(code, column, cells),
        }
        self.part.rows += 1;
    }

    #[inline(always)]
    fn sample(&mut self, sample: &Sample) {
        let part = &mut self.part;
        let time = match self.plan.time {
            Some(_) => clock::seconds_between(self.origin, sample.stamp),
            None => part.rows as f64,
        };
        let at = part.samples;
        if part.runs.last().is_none_or(|&(first, line)| line + (at - first) as u64 != part.lines) {
            part.runs.push((at, part.lines));
        }
        if at == 0 {
            part.first = time;
        } else {
            part.rising &= time > part.last;
        }
        part.last = time;
        self.room.time[at] = time;
        self.room.value[at] = sample.value;
        if let Some(room) = self.room.written.get_mut(at) {
            *room = sample.temperature.map_or(Temperatures::BLANK, |warmth| warmth.written);
            if let Some(Warmth { written: Temperatures::ODD, kelvin }) = sample.temperature {
                part.odd.push((at, kelvin));
            }
        }
        part.samples += 1;
    }

    #[cold]
    fn trouble(&mut self, code: Code, column: usize, cells: &Cells<'_>) {
        let known = &mut self.part.troubles;
        if let Some(known) = known.iter_mut().find(|t| t.code == code && t.column == column) {
            known.count += 1;
            return;
        }
        let cell = match column.checked_sub(1) {
            None => cells.count.to_string(),
            Some(at) if Some(at) == self.plan.time => String::from_utf8_lossy(cells.time).into_owned(),
            Some(_) => String::from_utf8_lossy(cells.value).into_owned(),
        };
        known.push(Trouble { code, column, count: 1, line: self.part.lines, cell });
    }
}

/// Reads the lines of `text` from byte `start` on, the first of which is line `first_line` of the file. With rows as the
/// clock, they come at the plan's rate.
pub(crate) fn extract<C: Content>(
    text: &C,
    start: usize,
    first_line: u64,
    plan: &Plan,
    notes: &mut Notes,
) -> Result<Samples, C::Stop> {
    let mut pieces = cut(text, start, PIECE)?;
    leave_cut_line(text, &mut pieces, first_line, plan, notes)?;
    let origin = first_stamp(text, start, &pieces, plan)?.unwrap_or(NO_STAMP);
    let mut columns = Columns::with_room(pieces.iter().map(|piece| piece.lines).sum(), plan);
    let parts = rooms(&pieces, &mut columns)
        .into_par_iter()
        .map_init(Vec::new, |buffer, (piece, room)| {
            let lines = text.piece(piece, buffer)?;
            Ok(Reader { plan, origin, room, part: Part { rising: true, ..Part::default() } }.read(lines))
        })
        .collect::<Result<Vec<Part>, _>>()?;
    Ok(join(parts, &pieces, first_line, plan, columns, notes))
}

/// Each piece with its room.
fn rooms<'p, 'c>(pieces: &'p [Piece], columns: &'c mut Columns) -> Vec<(&'p Piece, Room<'c>)> {
    let (mut times, mut values) = (columns.time.as_mut_slice(), columns.value.as_mut_slice());
    let mut all_written = columns.written.as_mut_slice();
    let mut rooms = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let (time, later_times) = times.split_at_mut(piece.lines);
        let (value, later_values) = values.split_at_mut(piece.lines);
        let (written, later_written) = all_written.split_at_mut(piece.lines.min(all_written.len()));
        rooms.push((piece, Room { time, value, written }));
        (times, values, all_written) = (later_times, later_values, later_written);
    }
    rooms
}

/// Joins the parts in order: closes the holes that lines without sample left, and counts lines and rows on.
fn join(
    parts: Vec<Part>,
    pieces: &[Piece],
    first_line: u64,
    plan: &Plan,
    mut columns: Columns,
    notes: &mut Notes,
) -> Samples {
    let mut whole = Part { rising: true, lines: first_line - 1, ..Part::default() };
    let mut from = 0;
    for (mut part, piece) in parts.into_iter().zip(pieces) {
        let room = from..from + part.samples;
        if plan.time.is_none() {
            columns.time[room.clone()].iter_mut().for_each(|row| *row += whole.rows as f64);
            part.first += whole.rows as f64;
            part.last += whole.rows as f64;
        }
        if from != whole.samples {
            columns.close_up(room, whole.samples);
        }
        from += piece.lines;
        whole.append(part);
    }
    columns.truncate(whole.samples);
    columns.odd = std::mem::take(&mut whole.odd);
    if let crate::clock::TimeForm::Rows { hertz } = plan.form {
        let first = columns.time.first().copied().unwrap_or(0.0);
        columns.time.iter_mut().for_each(|row| *row = (*row - first) / hertz);
    }
    whole.tell(plan, notes);
    let Part { runs, lines, rising, .. } = whole;
    Samples { columns, runs, lines, rising }
}

impl Part {
    /// Counts the next part on behind this one.
    fn append(&mut self, next: Part) {
        if self.samples > 0 && next.samples > 0 {
            self.rising &= next.first > self.last;
        }
        if next.samples > 0 {
            self.rising &= next.rising;
            self.last = next.last;
        }
        for (sample, line) in next.runs {
            let (sample, line) = (sample + self.samples, line + self.lines);
            if self.runs.last().is_none_or(|&(first, at)| at + (sample - first) as u64 != line) {
                self.runs.push((sample, line));
            }
        }
        self.odd.extend(next.odd.into_iter().map(|(sample, kelvin)| (sample + self.samples, kelvin)));
        for trouble in next.troubles {
            match self.troubles.iter_mut().find(|t| t.code == trouble.code && t.column == trouble.column) {
                Some(known) => known.count += trouble.count,
                None => self.troubles.push(Trouble { line: trouble.line + self.lines, ..trouble }),
            }
        }
        self.samples += next.samples;
        self.lines += next.lines;
        self.rows += next.rows;
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

/// The first line of a text, without its end, and what is behind it.
#[inline]
fn split_line(text: &[u8]) -> (&[u8], &[u8]) {
    let (line, behind) = match memchr::memchr(b'\n', text) {
        Some(end) => (&text[..end], &text[end + 1..]),
        None => (text, &b""[..]),
    };
    (line.strip_suffix(b"\r").unwrap_or(line), behind)
}

/// Whether a line is neither blank nor a comment.
#[inline]
fn is_row(line: &[u8]) -> bool {
    match line.first() {
        Some(first) if *first > b'#' => true,
        _ => line.trim_ascii_start().first().is_some_and(|b| *b != b'#'),
    }
}

/// The stamp of the first sample: nearly always in the head, which is at hand.
fn first_stamp<C: Content>(
    text: &C,
    start: usize,
    pieces: &[Piece],
    plan: &Plan,
) -> Result<Option<Exact>, C::Stop> {
    let end = pieces.last().map_or(start, |piece| piece.range.end);
    let head = &text.head()[start..];
    if let Some(stamp) = stamp_in(&head[..head.len().min(end - start)], plan) {
        return Ok(Some(stamp));
    }
    let mut buffer = Vec::new();
    for piece in pieces {
        if let Some(stamp) = stamp_in(text.piece(piece, &mut buffer)?, plan) {
            return Ok(Some(stamp));
        }
    }
    Ok(None)
}

fn stamp_in(lines: &[u8], plan: &Plan) -> Option<Exact> {
    let mut rest = lines;
    while !rest.is_empty() {
        let (line, behind) = split_line(rest);
        let mut quoted = Quoted::of(line, plan.delimiter);
        if is_row(line)
            && let Judged::Sample(sample) = plan.judge(&plan.cells(line, quoted.as_mut()))
        {
            return Some(sample.stamp);
        }
        rest = behind;
    }
    None
}

/// Leaves out a last line that has no line end and looks cut: too few cells, or a last cell with fewer decimals
/// than the row before it, or one that is only the beginning of the one before.
fn leave_cut_line<C: Content>(
    text: &C,
    pieces: &mut Vec<Piece>,
    first_line: u64,
    plan: &Plan,
    notes: &mut Notes,
) -> Result<(), C::Stop> {
    let Some(start) = pieces.first().map(|piece| piece.range.start) else { return Ok(()) };
    let mut buffer = Vec::new();
    let tail = text.tail(start, &mut buffer)?;
    let Some(end) = memchr::memrchr(b'\n', tail).filter(|end| end + 1 < tail.len()) else { return Ok(()) };
    let before = &tail[..end];
    let before = &before[memchr::memrchr(b'\n', before).map_or(0, |at| at + 1)..];
    let last = tail[end + 1..].trim_ascii_end();
    if !looks_cut(before.trim_ascii_end(), last, plan) {
        return Ok(());
    }
    // Without a line end it is a piece by itself.
    pieces.pop();
    let lines: usize = pieces.iter().map(|piece| piece.lines).sum();
    notes.add(Code::LogLastLineCut, Some(first_line + lines as u64), 0, 1, || {
        format!(
            "the last line, `{}`, has no end and looks cut; it is not used",
            short(&String::from_utf8_lossy(last))
        )
    });
    Ok(())
}

/// Whether `last` is a row cut short, by the row before it.
fn looks_cut(before: &[u8], last: &[u8], plan: &Plan) -> bool {
    let count = |line: &[u8]| plan.cells(line, Quoted::of(line, plan.delimiter).as_mut()).count;
    let (cells_before, cells) = (count(before), count(last));
    let delimiter = plan.delimiter.byte();
    let tail_before = trim(before.rsplit(|b| *b == delimiter).next().unwrap_or(before));
    let tail_last = trim(last.rsplit(|b| *b == delimiter).next().unwrap_or(last));
    let decimals = |cell: &[u8]| number::decimals_written(cell, plan.decimal);
    let shorter = tail_last.len() < tail_before.len()
        && (decimals(tail_last) < decimals(tail_before) || tail_before.starts_with(tail_last));
    !last.is_empty()
        && is_row(last)
        && cells_before == plan.width
        && (cells < plan.width || (cells == plan.width && shorter))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::TimeForm;
    use crate::content::Held;
    use crate::delimiter::Delimiter;
    use crate::number::Decimal;
    use crate::row::Temperature;
    use proptest::prelude::*;

    fn plan(temperature: Option<Temperature>) -> Plan {
        Plan {
            delimiter: Delimiter::Semicolon,
            decimal: Decimal::Point,
            width: 3,
            time: Some(0),
            form: TimeForm::Number(crate::units::Unit::Millisecond),
            value: 2,
            means: Means::Height,
            factor: 0.3048,
            temperature,
            names: None,
            titles: vec!["column 1".into(), "column 2".into(), "column 3".into()],
        }
    }

    fn read(text: &str, plan: &Plan) -> (Samples, String) {
        let mut notes = Notes::new("x");
        let Ok(samples) = extract(&Held(text.as_bytes().into()), 0, 1, plan, &mut notes);
        (samples, format!("{:?}", notes.findings()))
    }

    proptest! {
        /// Independent leg: the `csv` crate splits the same rows, written with quotes. A blank before a row switches the
        /// quick way off, so that all three ways are compared, with a temperature column and without.
        #[test]
        fn all_ways_of_splitting_agree_bit_for_bit(
            rows in prop::collection::vec(
                ("[0-9]{1,12}(\\.[0-9]{0,6})?", "-?[0-9]{1,3}(\\.[0-9])?|", "-?[0-9]{1,4}(\\.[0-9]{0,20})?|x|-0| 5"),
                1..60,
            ),
            crlf in any::<bool>(),
        ) {
            let end = if crlf { "\r\n" } else { "\n" };
            let text: String = rows.iter().map(|(t, c, h)| format!("{t};{c};{h}{end}")).collect();
            let spaced: String = rows.iter().map(|(t, c, h)| format!(" {t};{c};{h}{end}")).collect();
            let quoted: String = rows.iter().map(|(t, c, h)| format!("\"{t}\";{c};\"{h}\"{end}")).collect();
            let warm = plan(Some(Temperature { at: 1, factor: 1.0, zero: 273.15 }));
            let bits = |x: &[f64]| x.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
            for plan in [plan(None), warm] {
                let (quick, told) = read(&text, &plan);
                for other in [&spaced, &quoted] {
                    let (other, other_told) = read(other, &plan);
                    prop_assert_eq!(bits(&quick.columns.time), bits(&other.columns.time));
                    prop_assert_eq!(bits(&quick.columns.value), bits(&other.columns.value));
                    prop_assert_eq!(&quick.columns.written, &other.columns.written);
                    prop_assert_eq!(&quick.columns.odd, &other.columns.odd);
                    prop_assert_eq!(&quick.runs, &other.runs);
                    prop_assert_eq!((quick.lines, quick.rising), (other.lines, other.rising));
                    prop_assert_eq!(&told, &other_told);
                }
            }
        }
    }

    #[test]
    fn pieces_hold_every_line_once_and_leave_no_hole() {
        let line =
            |n: u64| if n % 100_000 == 7 { "# note\n".to_owned() } else { format!("{n}.25;;{}\n", n % 500) };
        let text: String = (0..900_000).map(line).collect();
        assert!(text.len() > 2 * PIECE);
        let (samples, told) = read(&text, &plan(None));
        assert_eq!(
            (samples.columns.time.len(), samples.lines, samples.rising, told.as_str()),
            (899_991, 900_000, true, "[]")
        );
        assert_eq!(samples.runs.len(), 10);
        let rows = silkfall_core::recording::RowMap(samples.runs);
        for at in [0, 6, 7, 400_000, 899_990] {
            let n = rows.line_of(at).unwrap() - 1;
            assert_eq!(samples.columns.time[at].to_bits(), (n as f64 / 1000.0).to_bits());
            assert_eq!(samples.columns.value[at].to_bits(), ((n % 500) as f64 * 0.3048).to_bits());
        }
    }

    #[test]
    fn the_number_of_threads_changes_nothing() {
        let text: String = (0..600_000).map(|n| format!("{n}.{};;{}\n", n % 7, n % 500)).collect();
        let with = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            let (samples, told) = pool.install(|| read(&text, &plan(None)));
            let bits = |x: &[f64]| x.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
            (bits(&samples.columns.time), bits(&samples.columns.value), samples.runs, told)
        };
        assert!(with(1) == with(3));
    }

    #[test]
    fn rows_are_counted_on_across_pieces() {
        let text: String =
            (0..900_000).map(|n| if n == 3 { "x\n".to_owned() } else { "1000.125\n".to_owned() }).collect();
        let plan =
            Plan { width: 1, time: None, value: 0, form: TimeForm::Rows { hertz: 100.0 }, ..plan(None) };
        let (samples, _) = read(&text, &plan);
        assert!(text.len() > 2 * PIECE);
        assert_eq!(samples.columns.time.len(), 899_999);
        assert_eq!(
            samples.columns.time[899_998].to_bits(),
            8_999.99f64.to_bits(),
            "the row that is no number takes its time"
        );
    }
}
