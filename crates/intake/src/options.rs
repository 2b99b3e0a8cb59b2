//! What a person can say about a reading, as text: the values of the options `--time`, `--height` and so on.
//!
//! `COLUMN[:UNIT]`, the column by its number from 1 or by its name: `--time 1:s`, `--height "Alt (ft):ft"`,
//! `--pressure 3:hPa`. A height can add `:true` (satellites, tape, radar) or `:pressure`. Without columns for it,
//! `--time row@10Hz` lets the rows be the clock. What is printed by `Display` reads as itself.

use crate::clock::TimeForm;
use crate::delimiter::Delimiter;
use crate::encoding::Encoding;
use crate::number::Decimal;
use crate::units::{Means, Unit};
use std::fmt;
use std::str::FromStr;

/// A column as a person names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ColumnName {
    /// Its number from 1.
    Number(usize),
    /// Its name in the header.
    Name(String),
}

impl fmt::Display for ColumnName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ColumnName::Number(n) => write!(f, "{n}"),
            ColumnName::Name(name) => f.write_str(name),
        }
    }
}

fn column_name(text: &str) -> Result<ColumnName, String> {
    match text.trim().parse::<usize>() {
        Ok(0) => Err("columns are counted from 1".to_owned()),
        Ok(n) => Ok(ColumnName::Number(n)),
        Err(_) if text.trim().is_empty() => {
            Err("a column is missing; expected its number or name".to_owned())
        }
        Err(_) => Ok(ColumnName::Name(text.trim().to_owned())),
    }
}

/// The value of `--time`.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeChoice {
    /// The column; `None` where rows are the clock.
    pub column: Option<ColumnName>,
    /// How times are written there; `None` to find out.
    pub form: Option<TimeForm>,
}

impl FromStr for TimeChoice {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        if text.trim().to_lowercase().starts_with("row@") {
            return Ok(TimeChoice { column: None, form: Some(text.parse()?) });
        }
        // The form may have colons itself, and so may a name: the longest known form at the end counts.
        for (at, _) in text.match_indices(':') {
            if let Ok(form) = text[at + 1..].parse::<TimeForm>() {
                if let TimeForm::Rows { .. } = form {
                    return Err("rows that are the clock need no column; write row@10Hz alone".to_owned());
                }
                return Ok(TimeChoice { column: Some(column_name(&text[..at])?), form: Some(form) });
            }
        }
        if let Some((column, form)) = text.split_once(':')
            && column.trim().parse::<usize>().is_ok()
        {
            return Err(form.parse::<TimeForm>().err().unwrap_or_default());
        }
        Ok(TimeChoice { column: Some(column_name(text)?), form: None })
    }
}

impl fmt::Display for TimeChoice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.column, self.form) {
            (Some(column), Some(form)) => write!(f, "{column}:{form}"),
            (Some(column), None) => write!(f, "{column}"),
            (None, Some(form)) => write!(f, "{form}"),
            (None, None) => Ok(()),
        }
    }
}

/// Where heights come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// From pressure through the standard atmosphere, as barometric loggers do.
    Pressure,
    /// From satellites, radar or a tape.
    True,
}

/// The value of `--height`, `--pressure` or `--temperature`.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnChoice {
    /// The column.
    pub column: ColumnName,
    /// Its unit; `None` to find out.
    pub unit: Option<Unit>,
    /// For heights, where they come from; `None` to go by the name.
    pub source: Option<Source>,
}

impl FromStr for ColumnChoice {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (rest, source) = match text.rsplit_once(':') {
            Some((rest, "true")) => (rest, Some(Source::True)),
            Some((rest, "pressure")) => (rest, Some(Source::Pressure)),
            _ => (text, None),
        };
        match rest.rsplit_once(':') {
            Some((column, unit)) => match Unit::of_word(unit) {
                Some(unit) => Ok(ColumnChoice { column: column_name(column)?, unit: Some(unit), source }),
                None if column.trim().parse::<usize>().is_ok() => {
                    Err(format!("`{unit}` is not a unit of height, pressure or temperature"))
                }
                None => Ok(ColumnChoice { column: column_name(rest)?, unit: None, source }),
            },
            None => Ok(ColumnChoice { column: column_name(rest)?, unit: None, source }),
        }
    }
}

impl fmt::Display for ColumnChoice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.column)?;
        if let Some(unit) = self.unit {
            write!(f, ":{unit}")?;
        }
        match self.source {
            Some(Source::True) => f.write_str(":true"),
            Some(Source::Pressure) => f.write_str(":pressure"),
            None => Ok(()),
        }
    }
}

/// All that a person has said about how to read a file; what is `None` is found by looking.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// `--time`
    pub time: Option<TimeChoice>,
    /// `--height`
    pub height: Option<ColumnChoice>,
    /// `--pressure`
    pub pressure: Option<ColumnChoice>,
    /// `--temperature`
    pub temperature: Option<ColumnChoice>,
    /// `--delimiter`
    pub delimiter: Option<Delimiter>,
    /// `--decimal`
    pub decimal: Option<Decimal>,
    /// `--header-lines`: so many lines stand above the data, the last of them naming the columns.
    pub header_lines: Option<u64>,
    /// `--encoding`
    pub encoding: Option<Encoding>,
    /// `--sheet`: the name of a workbook's sheet.
    pub sheet: Option<String>,
}

impl Reading {
    /// Sets one option by its name without dashes, as a command line or a project file has it.
    ///
    /// # Errors
    /// The value does not fit the option, or there is no such option; the text says what was expected.
    pub fn set(&mut self, option: &str, value: &str) -> Result<(), String> {
        let choice = |means: Means| {
            let choice: ColumnChoice = value.parse()?;
            match choice.unit {
                Some(unit) if unit.means() != means => {
                    Err(format!("`{unit}` is a unit of {}, not of {}", unit.means().word(), means.word()))
                }
                _ => Ok(Some(choice)),
            }
        };
        match option {
            "time" => self.time = Some(value.parse()?),
            "height" => self.height = choice(Means::Height)?,
            "pressure" => self.pressure = choice(Means::Pressure)?,
            "temperature" => self.temperature = choice(Means::Temperature)?,
            "delimiter" => self.delimiter = Some(value.parse()?),
            "decimal" => self.decimal = Some(value.parse()?),
            "header-lines" => {
                let lines = value.parse().map_err(|_| format!("`{value}` is not a number of lines"))?;
                self.header_lines = Some(lines);
            }
            "encoding" => self.encoding = Some(value.parse()?),
            "sheet" => self.sheet = Some(value.to_owned()),
            _ => return Err(format!("there is no reading option `{option}`")),
        }
        Ok(())
    }

    /// The names that [`Reading::set`] takes.
    pub const OPTIONS: [&'static str; 9] = [
        "time",
        "height",
        "pressure",
        "temperature",
        "delimiter",
        "decimal",
        "header-lines",
        "encoding",
        "sheet",
    ];
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_reads_as_itself() {
        for text in ["1:s", "t:h:m:s", "row@10Hz", "Zeit: lokal:ms", "4:iso", "2"] {
            let choice: TimeChoice = text.parse().unwrap();
            assert_eq!(choice.to_string(), text);
        }
        for text in ["2:ft", "3:hPa", "Alt (ft):ft:true", "5", "6:m:pressure", "a: b"] {
            let choice: ColumnChoice = text.parse().unwrap();
            assert_eq!(choice.to_string(), text);
        }
    }

    #[test]
    fn what_is_wrong_is_said() {
        let mut reading = Reading::default();
        for (option, value, error) in [
            ("time", "0:s", "columns are counted from 1"),
            (
                "time",
                "1:parsec",
                "`parsec` is not a form of time; expected s, ms, us, min, h:m:s, m:s, iso, d.m.y, m/d/y or row@10Hz",
            ),
            ("time", "row@fast", "`fast` is not a rate; expected a number of rows a second, as in row@10Hz"),
            ("height", "2:hPa", "`hPa` is a unit of pressure, not of height"),
            ("height", "2:cubit", "`cubit` is not a unit of height, pressure or temperature"),
            ("delimiter", "|", "`|` is not a delimiter; expected , or ; or tab or space"),
            ("decimal", "'", "`'` is not a decimal mark; expected . or ,"),
            (
                "encoding",
                "ebcdic",
                "`ebcdic` is not an encoding; expected utf-8, utf-16le, utf-16be or latin-1",
            ),
            ("header-lines", "two", "`two` is not a number of lines"),
            ("colour", "red", "there is no reading option `colour`"),
        ] {
            assert_eq!(reading.set(option, value), Err(error.to_owned()), "{option} {value}");
        }
        assert_eq!(reading, Reading::default(), "a wrong option changes nothing");
    }
}
