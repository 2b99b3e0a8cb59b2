//! Winds by height: a table that a person writes or a weather balloon's recording, with a row for each height.
//!
//! Three columns are read, in any order and by the words in their headings: height (or altitude), where the wind blows *from* (or
//! direction), and speed. Units stand in the heading, "speed (kt)" or "speed_kt", or in the cells, "12 kt"; a direction is in degrees
//! from true north unless it says otherwise. Heights count from sea level where the heading says so ("above sea level", "asl", "msl",
//! "altitude", "geopotential"), from the field's ground where it says "above ground" or "agl"; a plain "height" is
//! taken as above ground, with a note. Any text or spreadsheet that holds such a table is read.
//!
//! A row with a cell that is blank, cannot be read or cannot be is left out with a finding. Rows that come down in height (as an
//! instrument under a parachute writes them) are turned round; rows that go up and down are put in order, with a warning.
//! Without a unit there is no guess and no wind.

use silkfall_core::finding::{Code, Finding};
use silkfall_core::quantity::{Angle, Kind, Length, Velocity, parse};
use silkfall_core::wind::{HeightIs, Reading};
use silkfall_intake::{Cell, Table, read_table};
use uom::si::angle::radian;
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use crate::cells::{bare_number, in_order, spot, with_heading_unit};
use crate::notes::{Notes, near, quoted};
use crate::offers::LARGEST_FILE;
use crate::value::Spot;

/// The path by which findings call the file.
const WINDS: &str = "winds";

/// Heights of winds, m: from below the lowest land to above every balloon.
const HEIGHTS_M: (f64, f64) = (-500.0, 60_000.0);
/// No wind blows faster, m/s; the fastest measured at the ground was 113 m/s, from memory of the World Meteorological
/// Organization's archive of extremes, and jet streams stay below 130 m/s.
const FASTEST_M_PER_S: f64 = 150.0;
/// 360°, and what rounding may add to it.
const FULL_TURN_RAD: f64 = std::f64::consts::TAU * (1.0 + 1e-12);

/// The winds of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Winds {
    /// Ascending in height, at least one.
    pub levels: Vec<Reading>,
    /// From where the heights count.
    pub height_is: HeightIs,
    /// Where the highest level stands in the file.
    pub highest: Spot,
}

/// Reads winds from the bytes of their file; `file` is used in findings. `None` if an error among the findings leaves no wind.
///
/// # Examples
/// ```
/// use silkfall_core::wind::HeightIs;
/// use uom::si::{angle::degree, length::meter, velocity::meter_per_second};
///
/// let text = "from;speed (kt);height above sea level (ft)\n270;10;1000\n300;20;2000\n";
/// let (winds, findings) = silkfall_project::winds::read("winds.csv", text.as_bytes());
/// let winds = winds.unwrap();
/// assert!(findings.is_empty());
/// assert_eq!(winds.height_is, HeightIs::AboveSeaLevel);
/// assert!((winds.levels[0].height.get::<meter>() - 304.8).abs() < 1e-9);
/// assert!((winds.levels[1].from.get::<degree>() - 300.0).abs() < 1e-9);
/// assert!((winds.levels[1].speed.get::<meter_per_second>() - 20.0 * 1852.0 / 3600.0).abs() < 1e-9);
/// ```
pub fn read(file: &str, bytes: &[u8]) -> (Option<Winds>, Vec<Finding>) {
    let mut notes = Notes::folding(file);
    if bytes.len() > LARGEST_FILE {
        let message = format!("the file has {} bytes, expected at most {LARGEST_FILE}", bytes.len());
        notes.add(Code::ProjectTooMuch, WINDS, None, message, None);
        return (None, notes.finish());
    }
    let table = match read_table(file, bytes) {
        Ok(table) => table,
        Err(findings) => return (None, findings),
    };
    let winds = winds(&table, &mut notes);
    (winds, in_order(table.findings, notes))
}

fn winds(table: &Table, notes: &mut Notes) -> Option<Winds> {
    let [height, from, speed] = columns(table, notes)?;
    let known = [&height, &from, &speed].map(|column| column.has_unit(table, notes));
    if known.contains(&false) {
        return None;
    }
    let height_is = height.counts_from(notes);
    let mut rows: Vec<Row> = Vec::new();
    let columns = [&height, &from, &speed];
    for cells in table.rows.iter().filter(|cells| cells.iter().any(|cell| !is_blank(cell))) {
        rows.extend(row(cells, columns, table, notes));
    }
    let rows = ordered(rows, height.name(), notes);
    let Some(highest) = rows.last().map(|row| row.spot) else {
        let message = "no row of the table has a height, a direction and a speed that can be used";
        notes.add(Code::WindsEmpty, WINDS, table.headers.first().map(spot), message, None);
        return None;
    };
    Some(Winds { levels: rows.into_iter().map(|row| row.reading).collect(), height_is, highest })
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holds {
    Height,
    From,
    Speed,
}

impl Holds {
    const ALL: [Holds; 3] = [Holds::Height, Holds::From, Holds::Speed];

    fn word(self) -> &'static str {
        match self {
            Holds::Height => "height",
            Holds::From => "direction",
            Holds::Speed => "speed",
        }
    }

    fn kind(self) -> Kind {
        match self {
            Holds::Height => Kind::Length,
            Holds::From => Kind::Angle,
            Holds::Speed => Kind::Speed,
        }
    }

    fn words(self) -> &'static [&'static str] {
        match self {
            Holds::Height => &["height", "heights", "altitude", "alt", "hgt", "geopotential"],
            Holds::From => &["from", "direction", "dir", "wdir"],
            Holds::Speed => &["speed", "spd", "wspd"],
        }
    }

    /// How to write such a heading.
    fn example(self) -> &'static str {
        match self {
            Holds::Height => "height above ground (m)",
            Holds::From => "from (°)",
            Holds::Speed => "speed (m/s)",
        }
    }

    fn units(self) -> &'static str {
        match self {
            Holds::Height => "m, ft, km",
            Holds::From => "°, rad",
            Holds::Speed => "m/s, kt, km/h, mph, ft/s",
        }
    }
}

/// Words of headings that speak of another height or speed than that of the mean wind.
const OF_SOMETHING_ELSE: [&str; 10] =
    ["gust", "gusts", "vertical", "ascent", "climb", "rise", "descent", "max", "min", "boundary"];

/// A heading in its words: the blanks, brackets and underscores between them left out.
fn words_of(heading: &str) -> Vec<String> {
    heading
        .split(|c: char| c.is_whitespace() || "_()[]{},:;-".contains(c))
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

fn holds(words: &[String]) -> Option<Holds> {
    let has = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
    let unit = |kind: Kind| words.iter().any(|word| unit_of(word, kind).is_some());
    if has(&OF_SOMETHING_ELSE) {
        return None;
    }
    // "wind (kt)" and "wind (°)" say by their units which they are; "wind from" and "wind speed" by their words.
    let by_unit = || {
        let held = [Holds::From, Holds::Speed].into_iter().find(|held| unit(held.kind()));
        held.filter(|_| has(&["wind", "winds"]))
    };
    Holds::ALL.into_iter().find(|held| has(held.words())).or_else(by_unit)
}

/// The unit that a word of a heading is; "in" is a word of its own there.
fn unit_of(word: &str, kind: Kind) -> Option<&'static str> {
    if word == "in" { None } else { kind.unit(word).map(|unit| unit.symbol) }
}

struct Column<'a> {
    holds: Holds,
    at: usize,
    heading: &'a Cell,
    words: Vec<String>,
    unit: Option<&'static str>,
}

impl Column<'_> {
    fn name(&self) -> &str {
        &self.heading.text
    }

    fn says(&self, known: &[&str]) -> bool {
        self.words.iter().any(|word| known.contains(&word.as_str()))
    }

    /// Whether heading or cells say a unit that is known; a direction needs none.
    fn has_unit(&self, table: &Table, notes: &mut Notes) -> bool {
        if self.unit.is_some() {
            return true;
        }
        let (held, kind) = (self.holds.word(), self.holds.kind());
        let hint = |instead: String| Some(format!("{instead}; units of {held}: {}", self.holds.units()));
        let place = Some(spot(self.heading));
        // What stands in brackets and is none of its words is meant as a unit.
        let bracket =
            self.name().split_once(['(', '[']).map(|(_, rest)| rest.trim_end_matches([')', ']']).trim());
        let in_bracket = bracket.filter(|text| !text.is_empty() && self.counts_from_words(text).is_none());
        if let Some(unknown) = in_bracket {
            let message = format!("{} is not a unit of {held}", quoted(unknown));
            let instead = match near(unknown, kind.units().iter().map(|unit| unit.symbol)) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("for instance `{}`", self.holds.example()),
            };
            notes.add(Code::WindsUnit, WINDS, place, message, hint(instead));
            return false;
        }
        let bare = |cells: &Vec<Cell>| {
            cells.get(self.at).filter(|cell| bare_number(&cell.text) == Some(cell.text.len())).cloned()
        };
        let first_bare = table.rows.iter().find_map(bare);
        match (self.holds, first_bare) {
            (Holds::Height | Holds::Speed, Some(_)) => {
                let message = format!("neither {} nor its cells say a unit of {held}", quoted(self.name()));
                let instead = format!("write it into the heading, for instance `{}`", self.holds.example());
                notes.add(Code::WindsUnit, WINDS, place, message, hint(instead));
                false
            }
            _ => true,
        }
    }

    /// What a text says of where heights count from.
    fn counts_from_words(&self, text: &str) -> Option<HeightIs> {
        let words = words_of(text);
        let has = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
        if self.holds != Holds::Height {
            None
        } else if has(&["agl", "ground"]) {
            Some(HeightIs::AboveGround)
        } else if has(&["asl", "amsl", "msl", "sea", "altitude", "alt", "geopotential"]) {
            Some(HeightIs::AboveSeaLevel)
        } else {
            None
        }
    }

    fn counts_from(&self, notes: &mut Notes) -> HeightIs {
        self.counts_from_words(self.name()).unwrap_or_else(|| {
            let message =
                format!("{} does not say from where; taken as above the field's ground", quoted(self.name()));
            let hint = "write `height above ground (m)` or `height above sea level (m)`".to_owned();
            notes.add(Code::WindsHeightFrom, WINDS, Some(spot(self.heading)), message, Some(hint));
            HeightIs::AboveGround
        })
    }
}

/// The columns of height, direction and speed, or a note of what is missing.
fn columns<'a>(table: &'a Table, notes: &mut Notes) -> Option<[Column<'a>; 3]> {
    let mut found: [Option<Column>; 3] = [None, None, None];
    let mut unused = Vec::new();
    for (at, heading) in table.headers.iter().enumerate() {
        let words = words_of(&heading.text);
        let Some(holds) = holds(&words) else {
            unused.push(heading);
            continue;
        };
        let slot = &mut found[holds as usize];
        if let Some(first) = slot {
            let message = format!(
                "{} could be the {} too; {} is used",
                quoted(&heading.text),
                holds.word(),
                quoted(first.name())
            );
            notes.add(Code::WindsSeveralColumns, WINDS, Some(spot(heading)), message, None);
            continue;
        }
        let unit = words.iter().find_map(|word| unit_of(word, holds.kind()));
        *slot = Some(Column { holds, at, heading, words, unit });
    }
    let mut whole = true;
    for (holds, slot) in Holds::ALL.into_iter().zip(&found) {
        let place = table.headers.first().map(spot);
        match slot {
            None => {
                let message = format!("no column is headed as a {} of winds", holds.word());
                let slip = |heading: &&Cell| {
                    words_of(&heading.text).iter().find_map(|word| near(word, holds.words().iter().copied()))
                };
                let meant = unused.iter().find_map(|heading| Some((heading.text.as_str(), slip(heading)?)));
                let hint = match meant {
                    Some((text, meant)) => format!("is {} meant as `{meant}`?", quoted(text)),
                    None => format!("head it for instance `{}`", holds.example()),
                };
                notes.add(Code::WindsColumn, WINDS, place, message, Some(hint));
                whole = false;
            }
            Some(column) if holds == Holds::From && column.says(&["to", "towards", "toward"]) => {
                let message = format!(
                    "{} says where the wind blows to, expected where it blows from",
                    quoted(column.name())
                );
                let hint = "add 180° to each, less 360° where that is more than 360°, and head it `from (°)`";
                notes.add(
                    Code::WindsColumn,
                    WINDS,
                    Some(spot(column.heading)),
                    message,
                    Some(hint.to_owned()),
                );
                whole = false;
            }
            Some(_) => {}
        }
    }
    let [height, from, speed] = found;
    if whole { Some([height?, from?, speed?]) } else { None }
}

/// A row as read.
struct Row {
    reading: Reading,
    height_text: String,
    spot: Spot,
}

fn is_blank(cell: &Cell) -> bool {
    matches!(cell.text.to_lowercase().as_str(), "" | "-" | "--" | "?" | "nan" | "n/a" | "null" | "///")
}

/// One row; `None` with a note where it cannot be used.
fn row(cells: &[Cell], columns: [&Column; 3], table: &Table, notes: &mut Notes) -> Option<Row> {
    let [height, from, speed] = columns.map(|column| value(cells, column, table, notes));
    let calm = matches!(speed, Ok(Some(speed)) if speed <= 0.0);
    let mut blank = |held: Holds| {
        let message = format!("the {} is blank; the row is not used", held.word());
        notes.add(Code::WindsBlankCell, WINDS, cells.get(columns[held as usize].at).map(spot), message, None);
        None
    };
    let (Ok(height), Ok(from), Ok(speed)) = (height, from, speed) else { return None };
    let Some(height_m) = height else { return blank(Holds::Height) };
    let Some(speed_m_per_s) = speed else { return blank(Holds::Speed) };
    // Calm air comes from nowhere.
    let from_rad = match from {
        Some(from) => from,
        None if calm => 0.0,
        None => return blank(Holds::From),
    };
    let cell = &cells[columns[Holds::Height as usize].at];
    let reading = Reading {
        height: Length::new::<meter>(height_m),
        from: Angle::new::<radian>(from_rad),
        speed: Velocity::new::<meter_per_second>(speed_m_per_s),
    };
    Some(Row { reading, height_text: cell.text.clone(), spot: spot(cell) })
}

/// The SI value of a cell, `None` if it is blank.
///
/// # Errors
/// It cannot be used, and a note says why.
fn value(cells: &[Cell], column: &Column, table: &Table, notes: &mut Notes) -> Result<Option<f64>, ()> {
    let Some(cell) = cells.get(column.at).filter(|cell| !is_blank(cell)) else { return Ok(None) };
    let held = column.holds;
    let heading_unit = column.unit.or((held == Holds::From).then_some("°"));
    let text = with_heading_unit(&cell.text, heading_unit, table.decimal);
    let mut refuse = |message: String, hint: Option<String>| {
        let message = format!("{}: {message}; the row is not used", held.word());
        notes.add(Code::WindsCell, WINDS, Some(spot(cell)), message, hint);
        Err(())
    };
    let given = match parse(&text, held.kind()) {
        Ok(given) => given,
        Err(error) => return refuse(error.to_string(), Some(error.hint())),
    };
    let (si, as_written) = (given.si, quoted(&cell.text));
    if given.standard_uncertainty() > 0.0 {
        let hint = "the doubts of winds by height stand in [wind] of the project".to_owned();
        return refuse(format!("{as_written} has a doubt of its own, expected a plain value"), Some(hint));
    }
    match held {
        Holds::Height if !(HEIGHTS_M.0..=HEIGHTS_M.1).contains(&si) => refuse(
            format!("{as_written} is out of range, expected -500 m to 60 km"),
            Some("check its unit".to_owned()),
        ),
        Holds::From if !(0.0..=FULL_TURN_RAD).contains(&si) => refuse(
            format!("{as_written} is no direction, expected 0° to 360°"),
            Some("write where the wind blows from, clockwise from true north".to_owned()),
        ),
        Holds::Speed if si < 0.0 => refuse(
            format!("{as_written} is below zero, which no speed is"),
            Some(
                "check that it is the speed and no component of it, and no mark for a missing value"
                    .to_owned(),
            ),
        ),
        Holds::Speed if si > FASTEST_M_PER_S => refuse(
            format!("{as_written} is faster than any wind, expected at most {FASTEST_M_PER_S} m/s"),
            Some("check its unit, and that it is no mark for a missing value".to_owned()),
        ),
        _ => Ok(Some(si)),
    }
}

/// Rows in ascending order of height, each height once.
fn ordered(mut rows: Vec<Row>, heading: &str, notes: &mut Notes) -> Vec<Row> {
    let height = |row: &Row| row.reading.height.get::<meter>();
    if rows.windows(2).all(|pair| height(&pair[1]) <= height(&pair[0])) {
        rows.reverse();
    } else if let Some(pair) = rows.windows(2).find(|pair| height(&pair[1]) < height(&pair[0])) {
        let (before, here) = (quoted(&pair[0].height_text), quoted(&pair[1].height_text));
        let message = format!("{here} follows {before} under {}; rows are put in order", quoted(heading));
        let hint = "check that two tables were not joined".to_owned();
        notes.add(Code::WindsOrder, WINDS, Some(pair[1].spot), message, Some(hint));
    }
    // Of two rows of one height the one that stands first in the file comes first.
    rows.sort_by(|a, b| height(a).total_cmp(&height(b)).then(a.spot.line.cmp(&b.spot.line)));
    let mut kept: Vec<Row> = Vec::with_capacity(rows.len());
    for row in rows {
        match kept.last().filter(|last| height(last) >= height(&row)) {
            Some(first) => {
                let (here, line) = (quoted(&row.height_text), first.spot.line);
                let message =
                    format!("the height {here} stands twice, first on line {line}; the first one is used");
                notes.add(Code::WindsHeightTwice, WINDS, Some(row.spot), message, None);
            }
            None => kept.push(row),
        }
    }
    kept
}
