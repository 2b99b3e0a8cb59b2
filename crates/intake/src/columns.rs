//! Which column is time, which height or pressure, and in which units.
//!
//! What the person said comes first, then what the header says, then what the numbers look like. Of several heights,
//! one from pressure is taken before satellites, a raw one before a smoothed one, then the leftmost; a pressure
//! only where there is no height from pressure. What was taken without being told is said, and how to take the other.
//!
//! Units that are not stated: see [`crate::guess`].

use crate::clock::TimeForm;
use crate::guess::{height_unit, looks_like_pressure, pressure_unit, time_unit};
use crate::look::{Look, look};
use crate::notes::Notes;
use crate::options::{ColumnChoice, ColumnName, Reading, Source};
use crate::shape::Shape;
use crate::units::{Means, Unit};
use crate::words::{self, Said};
use silkfall_core::finding::Code;
use silkfall_core::recording::Channel;

/// How a column's meaning and unit became known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// The person said so.
    Given,
    /// The header says so.
    Header,
    /// The numbers look like it.
    Guessed,
}

/// A column as understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its number from 1.
    pub index: usize,
    /// Its name as written, if there is a header.
    pub name: Option<String>,
    /// What it holds.
    pub means: Means,
    /// Its unit, where it is used and has one (clock times have none).
    pub unit: Option<Unit>,
    /// How its meaning became known.
    pub means_known: Known,
    /// How its unit became known.
    pub unit_known: Known,
}

impl Column {
    /// "column 2 `Alt (ft)`".
    pub fn title(&self) -> String {
        title(self.index - 1, self.name.as_deref())
    }
}

/// The columns that are read.
#[derive(Clone, Debug)]
pub(crate) struct Chosen {
    /// Index from 0; `None` where rows are the clock.
    pub time: Option<usize>,
    pub form: TimeForm,
    pub value: usize,
    pub unit: Unit,
    pub channel: Channel,
    pub temperature: Option<(usize, Unit)>,
    pub columns: Vec<Column>,
}

pub(crate) fn title(at: usize, name: Option<&str>) -> String {
    match name.filter(|n| !n.is_empty()) {
        Some(name) => format!("column {} `{}`", at + 1, crate::look::short(name)),
        None => format!("column {}", at + 1),
    }
}

/// Everything known about the columns before choosing.
pub(crate) struct Table<'a> {
    shape: &'a Shape,
    pub looks: Vec<Look>,
    pub said: Vec<Said>,
}

impl Table<'_> {
    fn name(&self, at: usize) -> Option<&str> {
        self.shape.header.as_ref().and_then(|h| h.names.get(at)).map(String::as_str)
    }

    pub fn title(&self, at: usize) -> String {
        title(at, self.name(at))
    }

    /// The index of a column that the person named.
    fn find(&self, option: &str, column: &ColumnName) -> Result<usize, String> {
        let width = self.looks.len();
        match column {
            ColumnName::Number(n) if *n <= width => Ok(n - 1),
            ColumnName::Number(n) => Err(format!("--{option} names column {n}, but rows have {width}")),
            ColumnName::Name(name) => {
                let names = || (0..width).filter_map(|at| self.name(at).map(|n| (at, n)));
                let exact = names().find(|(_, n)| *n == name.as_str());
                exact
                    .or_else(|| names().find(|(_, n)| n.to_lowercase() == name.to_lowercase()))
                    .map(|(at, _)| at)
                    .ok_or_else(|| {
                        let known: Vec<String> = names().map(|(_, n)| format!("`{n}`")).collect();
                        let known = if known.is_empty() {
                            "the columns have no names".to_owned()
                        } else {
                            format!("the columns are {}", known.join(", "))
                        };
                        format!("--{option} names column `{name}`; {known}")
                    })
            }
        }
    }
}

/// Chooses the columns; `None` after an error in `notes`.
pub(crate) fn choose(shape: &Shape, wanted: &Reading, notes: &mut Notes) -> Option<Chosen> {
    let looks: Vec<Look> = (0..shape.width).map(|at| look(&shape.windows, at, shape.decimal)).collect();
    let names = shape.header.as_ref().map_or(&[][..], |h| &h.names);
    let said = (0..shape.width).map(|at| words::said(names.get(at).map_or("", String::as_str))).collect();
    let table = Table { shape, looks, said };
    match pick(&table, wanted, notes) {
        Ok(chosen) => Some(chosen),
        Err(Refused::Option(message)) => {
            notes.say(Code::LogOptionUnmet, None, 0, message, None);
            None
        }
        Err(Refused::Missing(what)) => {
            let found: Vec<String> = (0..shape.width)
                .map(|at| format!("{}: {}", table.title(at), table.looks[at].words()))
                .collect();
            let line = shape.header.as_ref().map_or(shape.first_line, |h| h.line);
            let hint = match what {
                "time" if table.said.iter().any(|s| s.counter) => {
                    "if rows come at a steady rate, state it: --time row@10Hz; else name the column, as in --time 1:s"
                }
                "time" => {
                    "name the column and how times are written, as in --time 1:s or --time 1:h:m:s; if rows come at a steady rate, --time row@10Hz"
                }
                _ => "name the column and its unit, as in --height 2:m or --pressure 2:hPa",
            };
            notes.say(
                Code::LogNoUsableColumn,
                Some(line),
                0,
                format!("no column could be taken for {what}; found {}", found.join("; ")),
                Some(hint.to_owned()),
            );
            None
        }
    }
}

enum Refused {
    Option(String),
    Missing(&'static str),
}

fn pick(table: &Table<'_>, wanted: &Reading, notes: &mut Notes) -> Result<Chosen, Refused> {
    let mut columns: Vec<Column> = (0..table.looks.len())
        .map(|at| Column {
            index: at + 1,
            name: table.name(at).map(str::to_owned),
            means: Means::NotUsed,
            unit: None,
            means_known: Known::Header,
            unit_known: Known::Header,
        })
        .collect();
    let forced: Vec<usize> =
        [("height", &wanted.height), ("pressure", &wanted.pressure), ("temperature", &wanted.temperature)]
            .into_iter()
            .filter_map(|(option, choice)| choice.as_ref().map(|c| table.find(option, &c.column)))
            .collect::<Result<_, _>>()
            .map_err(Refused::Option)?;
    let (time, form) = time(table, wanted, &forced, &mut columns, notes)?;
    let (value, unit, channel) = value(table, wanted, time, &mut columns, notes)?;
    let temperature = temperature(table, wanted, time, value, &mut columns)?;
    Ok(Chosen { time, form, value, unit, channel, temperature, columns })
}

fn time(
    table: &Table<'_>,
    wanted: &Reading,
    forced: &[usize],
    columns: &mut [Column],
    notes: &mut Notes,
) -> Result<(Option<usize>, TimeForm), Refused> {
    let choice = wanted.time.as_ref();
    if let Some(form @ TimeForm::Rows { .. }) = choice.and_then(|c| c.form) {
        return Ok((None, form));
    }
    let (at, known) = match choice.and_then(|c| c.column.as_ref()) {
        Some(column) => (table.find("time", column).map_err(Refused::Option)?, Known::Given),
        None => likeliest_time(table, forced).ok_or(Refused::Missing("time"))?,
    };
    let (look, said) = (&table.looks[at], &table.said[at]);
    let column = &mut columns[at];
    (column.means, column.means_known) = (Means::Time, known);
    let form = match choice.and_then(|c| c.form) {
        Some(form) => {
            column.unit_known = Known::Given;
            form
        }
        None if look.is_time() => {
            column.unit_known = Known::Guessed;
            look.form.expect("a column of times has a form")
        }
        None => match said.unit.filter(|u| u.means() == Means::Time) {
            Some(unit) => TimeForm::Number(unit),
            None => {
                column.unit_known = Known::Guessed;
                TimeForm::Number(time_unit(table, at, notes))
            }
        },
    };
    if let TimeForm::Number(unit) = form {
        column.unit = Some(unit);
    }
    Ok((Some(at), form))
}

/// The column that is most likely time, named ones first, then clock times, then numbers that only rise.
fn likeliest_time(table: &Table<'_>, forced: &[usize]) -> Option<(usize, Known)> {
    let rank = |at: usize| {
        let (look, said) = (&table.looks[at], &table.said[at]);
        let usable = (look.is_number() || look.is_time()) && (look.runs_up() || look.filled < 2);
        match said.means {
            _ if !usable || forced.contains(&at) => None,
            Some(Means::Time) => Some(0),
            None if look.is_time() => Some(1),
            None if look.up > 0.9 => Some(2),
            // "T" alone in a file with a time column is a temperature; so is "temps" never.
            _ if look.is_time() => Some(3),
            _ => None,
        }
    };
    let repeats = |at: usize| (table.looks[at].same * 10.0).round() as i64;
    (0..table.looks.len())
        .filter_map(|at| rank(at).map(|r| (r, repeats(at), at)))
        .min()
        .map(|(r, _, at)| (at, if r == 0 { Known::Header } else { Known::Guessed }))
}

/// A column that could be the one to measure falls by: lower rank first.
fn value_rank(table: &Table<'_>, at: usize) -> Option<(u32, Means)> {
    let (look, said) = (&table.looks[at], &table.said[at]);
    if !look.is_number() {
        return None;
    }
    let smooth = u32::from(said.smoothed);
    match said.means {
        Some(Means::Height) if said.not_from_pressure => Some((20 + smooth, Means::Height)),
        Some(Means::Height) => Some((smooth, Means::Height)),
        // "Baro" around 0 is a height that a barometer made.
        Some(Means::Pressure) if said.unit.is_none() && look.least <= 0.0 => {
            Some((5 + smooth, Means::Height))
        }
        Some(Means::Pressure) => Some((10 + smooth, Means::Pressure)),
        _ => None,
    }
}

fn value(
    table: &Table<'_>,
    wanted: &Reading,
    time: Option<usize>,
    columns: &mut [Column],
    notes: &mut Notes,
) -> Result<(usize, Unit, Channel), Refused> {
    let given = match (&wanted.height, &wanted.pressure) {
        (Some(_), Some(_)) => {
            return Err(Refused::Option(
                "--height and --pressure are both given; one column measures the falls".to_owned(),
            ));
        }
        (Some(choice), None) => {
            Some((table.find("height", &choice.column).map_err(Refused::Option)?, Means::Height, choice))
        }
        (None, Some(choice)) => {
            Some((table.find("pressure", &choice.column).map_err(Refused::Option)?, Means::Pressure, choice))
        }
        (None, None) => None,
    };
    let (at, means, known) = match given {
        Some((at, means, _)) => (at, means, Known::Given),
        None => likeliest_value(table, time, notes).ok_or(Refused::Missing("height or pressure"))?,
    };
    if time == Some(at) {
        return Err(Refused::Option(format!(
            "{} is asked for both as time and as {}",
            table.title(at),
            means.word()
        )));
    }
    let choice: Option<&ColumnChoice> = given.map(|(_, _, choice)| choice);
    let said = &table.said[at];
    let (unit, unit_known) = match (choice.and_then(|c| c.unit), said.unit.filter(|u| u.means() == means)) {
        (Some(unit), _) => (unit, Known::Given),
        (None, Some(unit)) => (unit, Known::Header),
        (None, None) if means == Means::Pressure => (pressure_unit(table, at, notes), Known::Guessed),
        (None, None) => (height_unit(table, at, notes), Known::Guessed),
    };
    let column = &mut columns[at];
    (column.means, column.means_known) = (means, known);
    (column.unit, column.unit_known) = (Some(unit), unit_known);
    let channel = match (means, choice.and_then(|c| c.source)) {
        (Means::Pressure, _) => Channel::Pressure,
        (_, Some(Source::True)) => Channel::TrueHeight,
        (_, None) if said.not_from_pressure => Channel::TrueHeight,
        _ => Channel::PressureHeight,
    };
    Ok((at, unit, channel))
}

/// By the names; where they say nothing, the one column left that can be a height or a pressure.
fn likeliest_value(
    table: &Table<'_>,
    time: Option<usize>,
    notes: &mut Notes,
) -> Option<(usize, Means, Known)> {
    let mut named: Vec<(u32, usize, Means)> = (0..table.looks.len())
        .filter(|at| Some(*at) != time)
        .filter_map(|at| value_rank(table, at).map(|(rank, means)| (rank, at, means)))
        .collect();
    named.sort_unstable();
    if let Some(&(_, at, means)) = named.first() {
        if named.len() > 1 {
            let others: Vec<String> = named[1..].iter().map(|(_, at, _)| table.title(*at)).collect();
            let (_, other, other_means) = named[1];
            let unit = table.said[other].unit.map_or(String::new(), |u| format!(":{u}"));
            notes.say(
                Code::LogSeveralColumns,
                None,
                at as u64 + 1,
                format!(
                    "{} is taken for {}; {} could be, too",
                    table.title(at),
                    means.word(),
                    others.join(", ")
                ),
                Some(format!("--{} {}{unit} takes the other", other_means.word(), other + 1)),
            );
        }
        return Some((at, means, Known::Header));
    }
    let unnamed: Vec<usize> = (0..table.looks.len())
        .filter(|at| Some(*at) != time && table.said[*at].means.is_none() && table.looks[*at].is_number())
        .filter(|at| table.looks[*at].most > table.looks[*at].least)
        .collect();
    let pressures: Vec<usize> =
        unnamed.iter().copied().filter(|at| looks_like_pressure(&table.looks[*at])).collect();
    let heights: Vec<usize> = unnamed.iter().copied().filter(|at| !pressures.contains(at)).collect();
    // Beside a pressure, another column may be anything (a temperature); it is the pressure that is known again.
    match (pressures.as_slice(), heights.as_slice()) {
        (&[at], _) => {
            notes.say(
                Code::LogColumnGuessed,
                None,
                at as u64 + 1,
                format!("{} is taken for pressure by its values alone", table.title(at)),
                Some(format!("--pressure {}:UNIT says so; if it holds heights, --height {0}:UNIT", at + 1)),
            );
            Some((at, Means::Pressure, Known::Guessed))
        }
        (&[], &[at]) => Some((at, Means::Height, Known::Guessed)),
        _ => None,
    }
}

fn temperature(
    table: &Table<'_>,
    wanted: &Reading,
    time: Option<usize>,
    value: usize,
    columns: &mut [Column],
) -> Result<Option<(usize, Unit)>, Refused> {
    let (at, given) = match &wanted.temperature {
        Some(choice) => (table.find("temperature", &choice.column).map_err(Refused::Option)?, Some(choice)),
        None => {
            let named = |at: &usize| {
                let said = &table.said[*at];
                let lone_t = table.name(*at).is_some_and(|n| n.trim().eq_ignore_ascii_case("t"));
                said.means == Some(Means::Temperature) || (lone_t && time.is_some_and(|t| t != *at))
            };
            match (0..table.looks.len())
                .find(|at| Some(*at) != time && *at != value && table.looks[*at].is_number() && named(at))
            {
                Some(at) => (at, None),
                None => return Ok(None),
            }
        }
    };
    if Some(at) == time || at == value {
        return Err(Refused::Option(format!(
            "{} is asked for both as temperature and as something else",
            table.title(at)
        )));
    }
    let look = &table.looks[at];
    let stated =
        given.and_then(|c| c.unit).or(table.said[at].unit.filter(|u| u.means() == Means::Temperature));
    // Only a hint to the day's air: where no unit is stated and none is plausible, the column is not used.
    let unit = stated.or(match (look.least, look.most) {
        (l, m) if l >= -60.0 && m <= 60.0 => Some(Unit::Celsius),
        (l, m) if l >= 210.0 && m <= 340.0 => Some(Unit::Kelvin),
        _ => None,
    });
    let Some(unit) = unit else { return Ok(None) };
    let column = &mut columns[at];
    column.means = Means::Temperature;
    column.unit = Some(unit);
    column.means_known = if given.is_some() { Known::Given } else { Known::Header };
    column.unit_known = match (given.and_then(|c| c.unit), stated) {
        (Some(_), _) => Known::Given,
        (None, Some(_)) => Known::Header,
        (None, None) => Known::Guessed,
    };
    Ok(Some((at, unit)))
}
