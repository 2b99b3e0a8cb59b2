//! Text to project: every problem is noted with its line and column, and all that can be used is.
//!
//! What is left out, always with a finding: a row without its name, a second row of the same name, a test or choice that
//! names something that is not there. A value that cannot be read counts as unknown, never as its default.

mod bay;
mod canopy;
mod choice;
mod hanging;
mod landing;
mod load_path;
mod opening;
mod part;
mod place;
mod test;

use std::collections::{BTreeMap, BTreeSet};

use silkfall_core::finding::{Code, Finding};
use toml_edit::{Document, Item};

use crate::notes::{Lines, Notes, did_you_mean, quoted};
use crate::offers::Offers;
use crate::project::Project;
use crate::unknowns::most_valuable_first;
use crate::value::{Known, Said, Spot};
use crate::walk::{At, Needed, Reader, Table, key_text};
use crate::wire;
use crate::words::slip_of_a_shape;

/// The name of the project file in its folder.
pub const PROJECT_FILE: &str = "silkfall.toml";

/// The newest format that this version reads.
pub const FORMAT: i64 = 1;

/// A longer project file is refused: 1 MiB, some 20 000 lines.
pub const LONGEST_TEXT: usize = 1 << 20;

/// What came of reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// What is known; `None` only where the text could not be read at all or has a newer format.
    pub project: Option<Project>,
    /// Every problem, in the order of their places.
    pub findings: Vec<Finding>,
}

/// Reads a project from the text of its file. `offers` are those of the offers file, if it could be read; without
/// them, names of offers are not checked.
///
/// # Examples
/// ```
/// let text = "format = 1\n[[part]]\nname = \"tube\"\nmass = 9.6\n";
/// let parsed = silkfall_project::parse(text, None);
/// let finding = &parsed.findings[0];
/// assert_eq!(finding.message, "`9.6` is a bare number, expected a mass with its unit");
/// assert_eq!(finding.place.as_ref().unwrap().line, Some(4));
/// assert!(parsed.project.unwrap().part("tube").unwrap().mass.is_unknown());
/// ```
pub fn parse(text: &str, offers: Option<Offers>) -> Parsed {
    parse_with(text, |_| offers)
}

/// The same, with the offers fetched from the file that the project names, if it names one.
pub(crate) fn parse_with(text: &str, fetch: impl FnOnce(Option<&Said<String>>) -> Option<Offers>) -> Parsed {
    let mut notes = Notes::new(PROJECT_FILE);
    let refused = |notes: Notes| Parsed { project: None, findings: notes.finish() };
    if text.len() > LONGEST_TEXT {
        let message = format!("the project file has {} bytes, expected at most {LONGEST_TEXT}", text.len());
        let hint = "recordings and offers belong in files of their own".to_owned();
        notes.add(Code::ProjectTooMuch, "", None, message, Some(hint));
        return refused(notes);
    }
    let lines = Lines::new(text);
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let spot = error.span().map(|span| lines.spot(span.start));
            let message = error.message().lines().map(str::trim).collect::<Vec<_>>().join("; ");
            notes.add(Code::ProjectSyntax, "", spot, message, None);
            return refused(notes);
        }
    };
    let format = document.get("format");
    if let Some(newer) = format.and_then(Item::as_integer).filter(|format| *format > FORMAT) {
        let spot = format.and_then(Item::span).map(|span| lines.spot(span.start));
        let message = format!("this file has format {newer}, at most {FORMAT} can be read here");
        let hint = "read it with the version of silkfall that wrote it, or a newer one".to_owned();
        notes.add(Code::ProjectFormat, "format", spot, message, Some(hint));
        return refused(notes);
    }
    let mut read = Reader { lines, notes, unknowns: Vec::new() };
    let top = At { path: String::new(), spot: Spot { line: 1, column: 1 } };
    let root = wire::Root::walk(Some(document.as_table()), &top, &mut read);
    let offers = fetch(match &root.offers {
        Known::Given(file) => Some(file),
        Known::Unknown { .. } | Known::Absent => None,
    });
    let mut unknowns = read.unknowns;
    unknowns.extend(offers.iter().flat_map(|offers| offers.unknowns.iter().cloned()));
    let mut project = project(root, offers, &mut read.notes);
    most_valuable_first(&mut unknowns, &project);
    project.unknowns = unknowns;
    Parsed { project: Some(project), findings: read.notes.finish() }
}

fn project(root: wire::Root, offers: Option<Offers>, notes: &mut Notes) -> Project {
    let checked = offers.is_some();
    let offers = offers.unwrap_or_default();
    let with_table = !root.winds.is_absent();
    let mut project = Project {
        format: root.format.0,
        name: root.name,
        units: root.units,
        plan: place::plan(root.plan),
        wind: landing::wind(root.wind, root.site.keys.wind.clone(), with_table, notes),
        site: place::site(root.site),
        winds_file: root.winds,
        field_file: root.field,
        flight: landing::flight(root.flight, "flight", notes),
        offers_file: root.offers,
        offers: offers.list,
        currency: offers.currency,
        ..Project::default()
    };
    project.sessions = named(root.session.0, "session", notes, |row, _| place::session(row));
    project.models = named(root.model.0, "model", notes, |row, _| canopy::model(row));
    project.parts = named(root.part.0, "part", notes, part::part);
    landing::against_each_other(&project, notes);
    let offered = project.offers.clone();
    let offers: BTreeSet<&str> = offered.iter().map(|offer| offer.id.value.as_str()).collect();
    let offers = checked.then_some(&offers);
    if let Some(offers) = offers {
        bay::known_rolls(&mut project.parts, offers, notes);
    }
    project.canopies = named(root.canopy.0, "canopy", notes, |row, notes| canopy::canopy(row, offers, notes));
    load_path::offers_exist(&project.parts, offers, notes);
    let known = project.clone();
    let names = Names::of(&known);
    project.tests = named(root.test.0, "test", notes, |row, notes| test::test(row, &names, notes));
    project.choices = choice::choices(root.choice.0, &names.parts, offers, notes);
    project
}

/// The names that a test may use.
pub(crate) struct Names<'a> {
    parts: BTreeSet<&'a str>,
    models: BTreeSet<&'a str>,
    sessions: BTreeSet<&'a str>,
    canopies: BTreeSet<&'a str>,
}

impl<'a> Names<'a> {
    fn of(project: &'a Project) -> Self {
        Names {
            parts: project.parts.iter().map(|part| part.name.value.as_str()).collect(),
            models: project.models.iter().map(|model| model.name.value.as_str()).collect(),
            sessions: project.sessions.iter().map(|session| session.name.value.as_str()).collect(),
            canopies: project.canopies.iter().map(|canopy| canopy.serial.value.as_str()).collect(),
        }
    }
}

/// A row of the project file that bears a name.
pub(crate) trait Named {
    /// Its name, if it has one that could be read.
    fn name(&self) -> &Needed<String>;
}

macro_rules! named {
    ($($row:ty: $key:ident),*) => {
        $(impl Named for $row {
            fn name(&self) -> &Needed<String> {
                &self.$key
            }
        })*
    };
}

named!(
    wire::Session: name, wire::Canopy: serial, wire::Model: name, wire::Part: name, wire::Case: name, wire::HarnessPoint: name, wire::Device: name, wire::Stage: name,
    wire::Roll: name, wire::Member: name, wire::Content: name, wire::Item: name, wire::Test: name
);

/// A row with its name found and known to be the only one.
pub(crate) struct Row<T> {
    /// Its keys.
    pub keys: T,
    /// Its name.
    pub name: Said<String>,
    /// Where the row starts.
    pub spot: Spot,
    /// Its dotted path.
    pub path: String,
}

/// Rows by name: those without a name and repeats are left out, the latter with a finding.
pub(crate) fn named<W: Named, T>(
    rows: Vec<Said<W>>,
    path: &str,
    notes: &mut Notes,
    mut make: impl FnMut(Row<W>, &mut Notes) -> Option<T>,
) -> Vec<T> {
    let mut seen: BTreeMap<String, Spot> = BTreeMap::new();
    let mut made = Vec::new();
    for row in rows {
        let Some(name) = row.value.name().0.clone() else { continue };
        let path = format!("{path}.{}", key_text(&name.value));
        if let Some(first) = seen.get(&name.value) {
            let message = format!("{} stands twice, first on line {}", quoted(&name.value), first.line);
            let hint = "rename or remove one; the first one is used".to_owned();
            notes.add(Code::ProjectTwice, &path, Some(name.spot), message, Some(hint));
            continue;
        }
        seen.insert(name.value.clone(), name.spot);
        made.extend(make(Row { keys: row.value, name, spot: row.spot, path }, notes));
    }
    made
}

/// Whether `said` is among `known`; if not, that is noted, with what follows from it.
pub(crate) fn refers(
    said: &Said<String>,
    what: &str,
    known: &BTreeSet<&str>,
    path: &str,
    notes: &mut Notes,
) -> bool {
    if known.contains(said.value.as_str()) {
        return true;
    }
    if notes.is_full() {
        notes.count_one_more();
        return false;
    }
    let message = format!("there is no {what} {}", quoted(&said.value));
    let hint = did_you_mean(&said.value, known.iter().copied(), &plural(what));
    notes.add(Code::ProjectName, path, Some(said.spot), message, Some(hint));
    false
}

fn plural(what: &str) -> String {
    match what.strip_suffix('y') {
        Some(stem) => format!("{stem}ies"),
        None => format!("{what}s"),
    }
}

/// A shape of canopy that is a slip of a known one is noted; others are taken as written.
pub(crate) fn shape(shape: Known<String>, path: &str, notes: &mut Notes) -> Known<String> {
    let Known::Given(said) = &shape else { return shape };
    let Some(meant) = slip_of_a_shape(&said.value) else { return shape };
    let message = format!("{} is not a shape of canopy that is known here", quoted(&said.value));
    let hint = format!("did you mean `{meant}`?");
    notes.add(Code::ProjectWord, &format!("{path}.shape"), Some(said.spot), message, Some(hint));
    Known::Unknown { spot: said.spot, asked: false }
}
