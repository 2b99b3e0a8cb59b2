//! `assess` and `plan`: a whole project in the order of the job, the answer first.
//!
//! One document for every face: the terminal prints what a person asks first (answer, cases, what it rests on, the
//! canopies, what to do next), page and paper add tests, drag areas, full size, figures and derivations.

mod answer;
mod candidates;
mod compare;
mod deployment;
mod drag;
mod failure_tree;
mod hanging;
mod landing;
mod landing_figures;
mod load_path;
mod loads;
mod opening_figures;
mod packing;
mod plan;
pub use plan::plan_document;
pub(crate) mod standing;
mod tests;

pub use compare::compare_document;
pub use landing::landing_section;
pub use tests::{DropFigures, drop_figures, test_section};

use silkfall_core::finding::{Code, Finding};
use silkfall_core::quantity::Kind;
use silkfall_sheet::{Effort, PartSheet, Sheet, Step as NextStep, quoted};

use super::shared;
use crate::document::{Body, Column, Document, Fold, Rich, Row, Section, Shown, Step, Table};

/// The document of a project, for faces that can be asked how a number came about: without the appendix that says it of all. `program`
/// is the program as it was called and `folder` the project's, for the commands it names.
pub fn assess_document(sheet: &Sheet, program: &str, folder: &str) -> Document {
    let mut sections = vec![summary(sheet)];
    sections.extend(of_parts(sheet));
    sections.extend(air(sheet));
    sections.push(noticed(sheet, program, folder));
    sections.extend(defaults(sheet));
    Document {
        title: sheet.name.clone(),
        subtitle: effort(sheet).plain(format!("; inputs {}", sheet.fingerprint)),
        sections,
        foot: Rich::new(),
    }
}

/// The job of each part, in its order.
fn of_parts(sheet: &Sheet) -> Vec<Section> {
    let mut sections = Vec::new();
    for part in &sheet.parts {
        sections.extend(tests::sections(part));
        sections.extend(drag::sections(part));
        sections.extend(answer::sections(part));
        sections.extend(candidates::section(part));
        sections.extend(loads::section_of(part));
        sections.extend(load_path::section_of(part));
        sections.extend(landing::sections(sheet, part));
        sections.extend(packing::sections(part));
        sections.extend(deployment::sections(part));
        sections.extend(hanging::sections(part));
        sections.extend(failure_tree::section_of(part));
    }
    sections
}

/// The document of `land`: how each part comes down, and in which winds it may fly.
pub fn land_document(sheet: &Sheet, program: &str, folder: &str) -> Document {
    let mut sections: Vec<Section> = Vec::new();
    for part in &sheet.parts {
        let mut of_part = landing::sections(sheet, part).into_iter();
        sections.extend(of_part.next().map(Section::headed));
        sections.extend(of_part);
    }
    if sections.is_empty() {
        sections.push(landing::nothing_stated());
    }
    sections.push(noticed(sheet, program, folder));
    Document {
        title: sheet.name.clone(),
        subtitle: Rich::from("").then(effort(sheet)).plain(format!("; inputs {}", sheet.fingerprint)),
        sections,
        foot: Rich::new(),
    }
}

/// The path of a part in the JSON.
fn path_of(part: &PartSheet) -> String {
    format!("parts.{}", part.name)
}

/// A heading; the part is named where there are several by the section before it.
fn section(part: &PartSheet, id: &str, heading: impl Into<Rich>) -> Section {
    Section::new(format!("{}-{id}", part.name), heading)
}

fn summary(sheet: &Sheet) -> Section {
    let mut section = Section::new("answer", "What it comes to").in_report(Body::Caution(shared::caution()));
    for part in &sheet.parts {
        section = section.in_report(answer::answer(part));
        if !part.cases.is_empty() {
            section = section.in_report(answer::cases_table(part));
        }
    }
    if sheet.from_memory.is_empty() { section } else { section.in_report(from_memory(sheet)) }
}

/// Every figure that rests on a value from memory, by name.
fn from_memory(sheet: &Sheet) -> Table {
    let caption = "Figures that rest on a value from memory, not read in the document named";
    let table = Table::new(caption, vec![Column::text("")]).folded(Fold::Shut);
    sheet.from_memory.iter().fold(table, |table, line| table.row(Row::new(vec![line.says.as_str().into()])))
}

/// "quick, 4 000 trials, seed 7".
fn effort(sheet: &Sheet) -> Rich {
    let word = match sheet.effort {
        Effort::Quick => "quick",
        Effort::Full => "full",
    };
    Rich::from(format!("{word}, "))
        .number(Shown::count("trials", sheet.trials))
        .plain(format!(" trials, seed {}", sheet.seed))
}

fn air(sheet: &Sheet) -> Option<Section> {
    if sheet.sessions.is_empty() {
        return None;
    }
    let columns = vec![
        Column::text("Where"),
        Column::numbers("density", Kind::Density),
        Column::numbers("temperature", Kind::Temperature),
        Column::numbers("pressure", Kind::Pressure),
        Column::text(""),
    ];
    let mut table = Table::new("The air of the tests, and where the real thing comes down", columns);
    for session in sheet.sessions.iter().chain([&sheet.site]) {
        table = table.row(Row::new(vec![
            session.name.as_str().into(),
            Shown::from(&session.density).into(),
            Shown::from(&session.temperature).into(),
            Shown::from(&session.pressure).into(),
            Rich::new().quiet(&session.says).into(),
        ]));
    }
    Some(Section::new("air", "The air").in_report(table))
}

fn defaults(sheet: &Sheet) -> Option<Section> {
    let mut section = Section::new("defaults", "Taken because nothing was said");
    for said in &sheet.defaults {
        section = section.in_report(Rich::from(said.as_str()));
    }
    (!sheet.defaults.is_empty()).then_some(section)
}

fn noticed(sheet: &Sheet, program: &str, folder: &str) -> Section {
    let mut section = Section::new("findings", "What was noticed, and what to do next");
    let findings = shared::gravest_first(&sheet.findings);
    if findings.is_empty() {
        section = section.in_report("Nothing was noticed.");
    } else {
        // A terminal says what is not known once, as what to fill in.
        let (unknown, others): (Vec<Finding>, Vec<Finding>) =
            findings.into_iter().partition(|finding| finding.code == Code::ProjectUnknown);
        if !unknown.is_empty() {
            section = section.in_report(unknown);
        }
        if !others.is_empty() {
            section = section.everywhere(others);
        }
    }
    let steps = steps(sheet, program, folder);
    if !steps.is_empty() {
        section = section.everywhere(steps);
    }
    let foot = effort(sheet).plain(". ").then(shared::caution());
    section.on_terminal(Body::Caution(foot))
}

fn steps(sheet: &Sheet, program: &str, folder: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    for unknown in &sheet.unknowns {
        let line = unknown.line.map(|line| format!(":{line}")).unwrap_or_default();
        let text = Rich::new()
            .code(format!("{}{line}", unknown.file))
            .plain(" ")
            .code(&unknown.key)
            .plain(format!(": {}", unknown.gives));
        steps.push(Step { label: "fill in".to_owned(), text });
    }
    let in_folder = |command: &str| match command.split_once(' ') {
        _ if folder == "." => format!("{program} {command}"),
        Some((verb, rest)) => format!("{program} {verb} {} {rest}", quoted(folder)),
        None => format!("{program} {command} {}", quoted(folder)),
    };
    // What is to be filled in comes before all else.
    let next = sheet.parts.iter().filter_map(|part| part.next.as_ref()).filter(|_| sheet.unknowns.is_empty());
    for NextStep { says, command } in next {
        let mut text = Rich::from(says.as_str());
        if let Some(command) = command {
            text = text.plain(": ").code(in_folder(command));
        }
        let step = Step { label: "next".to_owned(), text };
        // Two parts may want the same.
        if !steps.contains(&step) {
            steps.push(step);
        }
    }
    let governing = sheet.parts.iter().flat_map(|part| &part.cases).find(|case| case.governs);
    if let Some(rate) = governing.and_then(|case| case.rate.as_ref()) {
        let text = Rich::new().code(in_folder(&format!("assess --how {}", quoted(&rate.id.0))));
        steps.push(Step { label: "ask".to_owned(), text });
    }
    steps
}
