//! Which figures rest on a value from memory, by name.
//!
//! A figure does where its closed form, or an input of it, is remembered; where a figure that it is worked out from has a
//! remembered input; and, of a simulated one, where what is drawn for it is remembered. A form that is remembered is said of
//! the figure itself alone, and so is all that the density of the air rests on, or everything that falls would be named.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::ledger::{Estimate, Ledger, Trust};
use silkfall_core::quantity::Kind;

use crate::sheet::Sheet;

/// Figures of one section that rest on memory.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromMemory {
    /// Path of the section in the JSON: `parts.tube.loads`.
    pub id: String,
    /// In words that stand alone: whose figures, which, and of what they are remembered.
    pub says: String,
    /// The figures by name, each once.
    pub names: Vec<String>,
    /// What is remembered, each document once.
    pub sources: Vec<String>,
    /// The figures, in the order of the sheet.
    pub figures: Vec<NumberId>,
}

/// Documents by the path of what is simulated from values remembered of them.
pub(crate) type Remembered = BTreeMap<String, BTreeSet<String>>;

/// The documents of which the entries that these estimates rest on are remembered.
pub(crate) fn sources_of<'a>(
    ledger: &Ledger,
    estimates: impl IntoIterator<Item = &'a Estimate>,
) -> BTreeSet<String> {
    let ids = estimates.into_iter().flat_map(|estimate| estimate.parts.keys());
    ids.filter_map(|id| source(&ledger.get(id)?.trust)).map(str::to_owned).collect()
}

fn source(trust: &Trust) -> Option<&str> {
    match trust {
        Trust::Memory(source) => Some(source),
        _ => None,
    }
}

/// All of a sheet, a line a section, in the order of the sheet.
pub(crate) fn list(sheet: &Sheet, remembered: &Remembered) -> Vec<FromMemory> {
    let hows = sheet.hows.iter().map(|(id, how)| (id.0.as_str(), how)).collect();
    let mut search = Search { hows, remembered, passed_on: HashMap::new() };
    let mut lines: Vec<Line> = Vec::new();
    for number in sheet.numbers() {
        let sources = search.own(&number.id.0);
        if sources.is_empty() {
            continue;
        }
        let (id, words) = section(sheet, &number.id.0);
        let at = lines.iter().position(|line| line.id == id).unwrap_or_else(|| {
            lines.push(Line { id, words, names: Vec::new(), sources: BTreeSet::new(), figures: Vec::new() });
            lines.len() - 1
        });
        let line = &mut lines[at];
        let name = name(sheet.hows.get(&number.id), &number.id);
        if !line.names.contains(&name) {
            line.names.push(name);
        }
        line.sources.extend(sources);
        line.figures.push(number.id.clone());
    }
    lines.into_iter().map(Line::told).collect()
}

struct Line<'a> {
    id: String,
    words: String,
    names: Vec<String>,
    sources: BTreeSet<&'a str>,
    figures: Vec<NumberId>,
}

impl Line<'_> {
    fn told(self) -> FromMemory {
        let sources: Vec<String> = self.sources.into_iter().map(str::to_owned).collect();
        FromMemory {
            says: format!("{}: {}; from memory of {}", self.words, self.names.join(", "), sources.join("; ")),
            id: self.id,
            names: self.names,
            sources,
            figures: self.figures,
        }
    }
}

/// Looked up and never gone through, so that the order of a hash shows nowhere.
struct Search<'a> {
    hows: HashMap<&'a str, &'a How>,
    remembered: &'a Remembered,
    /// By number, what it passes on to those that are worked out from it.
    passed_on: HashMap<&'a str, BTreeSet<&'a str>>,
}

impl<'a> Search<'a> {
    /// What a figure rests on, its own form included.
    fn own(&mut self, id: &str) -> BTreeSet<&'a str> {
        let mut sources = self.passed_on(id);
        if let Some(How::Closed(form)) = self.hows.get(id) {
            let trusts = form.inputs.iter().map(|input| &input.trust).chain([&form.source]);
            sources.extend(trusts.filter_map(source));
        }
        sources
    }

    fn passed_on(&mut self, id: &str) -> BTreeSet<&'a str> {
        if let Some(known) = self.passed_on.get(id) {
            return known.clone();
        }
        let Some((id, how)) = self.hows.get_key_value(id).map(|(id, how)| (*id, *how)) else {
            return BTreeSet::new();
        };
        // A figure that is asked again while it is worked out adds nothing to itself.
        self.passed_on.insert(id, BTreeSet::new());
        let mut sources = BTreeSet::new();
        match how {
            How::Closed(form) if form.symbol == "rho" && form.kind == Kind::Density => {}
            How::Closed(form) => {
                for input in &form.inputs {
                    sources.extend(source(&input.trust));
                    if let Some(number) = &input.number {
                        sources.extend(self.passed_on(&number.0));
                    }
                }
            }
            How::Simulation { .. } | How::Fit { .. } => {
                let ends = id.match_indices('.').map(|(at, _)| at).chain([id.len()]);
                let above = ends.filter_map(|at| self.remembered.get(&id[..at]));
                sources.extend(above.flatten().map(String::as_str));
            }
            How::Given { .. } => {}
        }
        self.passed_on.insert(id, sources.clone());
        sources
    }
}

/// The section of a path, and whose figures it holds in words.
fn section(sheet: &Sheet, path: &str) -> (String, String) {
    for part in &sheet.parts {
        let own = format!("parts.{}.", part.name);
        if let Some(rest) = path.strip_prefix(&own) {
            let key = rest.split('.').next().unwrap_or(rest);
            return (format!("{own}{key}"), format!("{}, {}", part.name, key.replace('_', " ")));
        }
    }
    let named = |area: &str| {
        let key = path.strip_prefix(area)?;
        let names = sheet.sessions.iter().map(|session| &session.name);
        let mut names = names.chain(sheet.landing.iter().map(|landing| &landing.part));
        names.find(|name| key.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('.')))
    };
    if let Some(name) = named("sessions.") {
        return (format!("sessions.{name}"), format!("air of {name}"));
    }
    if let Some(name) = named("landing.") {
        return (format!("landing.{name}"), format!("{name}, landing"));
    }
    let key = path.split('.').next().unwrap_or(path);
    (key.to_owned(), if key == "site" { "air of the site".to_owned() } else { key.replace('_', " ") })
}

/// A figure's name within its section.
fn name(how: Option<&How>, id: &NumberId) -> String {
    match how {
        // What a meaning says beyond the name stands beside the figure itself.
        Some(How::Closed(form)) => {
            let first = form.meaning.split(". ").next().unwrap_or(&form.meaning);
            let digits = |clause: &&str| !clause.contains(|c: char| c.is_ascii_digit());
            first.split(", ").take_while(digits).collect::<Vec<_>>().join(", ")
        }
        _ => id.0.rsplit('.').next().unwrap_or(&id.0).replace('_', " "),
    }
}
