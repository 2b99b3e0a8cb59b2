//! What parts the cells of a line, and the cells of one line.

use std::fmt;
use std::str::FromStr;

/// What stands between cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Delimiter {
    /// A tab.
    Tab,
    /// A semicolon.
    Semicolon,
    /// A comma.
    Comma,
    /// One blank or more, tabs among them.
    Space,
}

impl Delimiter {
    /// As `--delimiter` takes it.
    pub fn name(self) -> &'static str {
        match self {
            Delimiter::Tab => "tab",
            Delimiter::Semicolon => ";",
            Delimiter::Comma => ",",
            Delimiter::Space => "space",
        }
    }

    pub(crate) fn byte(self) -> u8 {
        match self {
            Delimiter::Tab => b'\t',
            Delimiter::Semicolon => b';',
            Delimiter::Comma => b',',
            Delimiter::Space => b' ',
        }
    }

    /// Whether it parts a line into cells.
    pub(crate) fn stands_in(self, line: &str) -> bool {
        match self {
            Delimiter::Space => line.trim().contains(char::is_whitespace),
            _ => line.contains(char::from(self.byte())),
        }
    }
}

impl fmt::Display for Delimiter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Delimiter {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text {
            "," | "comma" => Ok(Delimiter::Comma),
            ";" | "semicolon" => Ok(Delimiter::Semicolon),
            "\t" | "\\t" | "tab" => Ok(Delimiter::Tab),
            " " | "space" => Ok(Delimiter::Space),
            _ => Err(format!("`{text}` is not a delimiter; expected , or ; or tab or space")),
        }
    }
}

/// The cells of a line, without blanks around them and without quotes.
pub(crate) fn cells(line: &str, delimiter: Delimiter) -> Vec<String> {
    if line.contains('"') {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .delimiter(delimiter.byte())
            .trim(csv::Trim::All)
            .from_reader(line.as_bytes());
        if let Some(Ok(record)) = reader.records().next() {
            let keep = |c: &&str| delimiter != Delimiter::Space || !c.is_empty();
            return record.iter().filter(keep).map(|c| c.trim().to_owned()).collect();
        }
    }
    match delimiter {
        Delimiter::Space => line.split_whitespace().map(str::to_owned).collect(),
        _ => line.split(char::from(delimiter.byte())).map(|c| c.trim().to_owned()).collect(),
    }
}

/// Words that stand for "no value".
pub(crate) fn is_blank(cell: &str) -> bool {
    matches!(cell, "" | "-" | "--" | "---" | "*" | "?")
        || ["nan", "na", "n/a", "null", "none", "inf", "-inf", "#n/a", "-nan", "nil"]
            .iter()
            .any(|w| cell.eq_ignore_ascii_case(w))
}
