//! `assess` and `plan`: a whole project in the order of the job, the answer first.
//!
//! One document for every face: the terminal prints what a person asks first (answer, cases, what it rests on, the
//! canopies, what to do next), page and paper add tests, drag areas, full size, figures and derivations.

mod answer;
mod candidates;
mod drag;
mod tests;

use silkfall_core::quantity::Kind;
use silkfall_sheet::{Effort, PartSheet, Sheet, Step as NextStep};

use super::shared;
use crate::document::{Body, Column, Document, Rich, Row, Section, Shown, Step, Table};

/// So many unknown keys are told on a terminal.
const UNKNOWNS_TOLD: usize = 5;

/// The document of a project. `program` is the program as it was called, for the commands it names.
pub fn assess_document(sheet: &Sheet, program: &str) -> Document {
    let mut sections = vec![summary(sheet)];
    for part in &sheet.parts {
        sections.extend(tests::sections(part));
        sections.extend(drag::sections(part));
        sections.extend(answer::sections(part));
        sections.extend(candidates::section(part));
    }
    if !sheet.sessions.is_empty() {
        sections.push(air(sheet));
    }
    sections.push(noticed(sheet, program));
    if !sheet.defaults.is_empty() {
        sections.push(defaults(sheet));
    }
    sections.extend(shared::appendix(&sheet.hows, &sections));
    let about = sheet.about.as_deref().map(|about| format!("{about}. ")).unwrap_or_default();
    Document {
        title: sheet.name.clone(),
        subtitle: Rich::from(about).then(effort(sheet)).plain(format!("; inputs {}", sheet.fingerprint)),
        sections,
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
    section
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

fn air(sheet: &Sheet) -> Section {
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
    Section::new("air", "The air").in_report(table)
}

fn defaults(sheet: &Sheet) -> Section {
    let mut section = Section::new("defaults", "Taken because nothing was said");
    for said in &sheet.defaults {
        section = section.in_report(Rich::from(said.as_str()));
    }
    section
}

fn noticed(sheet: &Sheet, program: &str) -> Section {
    let mut section = Section::new("findings", "What was noticed, and what to do next");
    let findings = shared::gravest_first(&sheet.findings);
    if findings.is_empty() {
        section = section.in_report("Nothing was noticed.");
    } else {
        section = section.everywhere(findings);
    }
    let steps = steps(sheet, program);
    if !steps.is_empty() {
        section = section.everywhere(steps);
    }
    let foot = effort(sheet).plain(". ").then(shared::caution());
    section.on_terminal(Body::Caution(foot))
}

fn steps(sheet: &Sheet, program: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    for unknown in sheet.unknowns.iter().take(UNKNOWNS_TOLD) {
        let line = unknown.line.map(|line| format!(":{line}")).unwrap_or_default();
        let text = Rich::new()
            .code(format!("{}{line}", unknown.file))
            .plain(" ")
            .code(&unknown.key)
            .plain(format!(": {}", unknown.gives));
        steps.push(Step { label: "fill in".to_owned(), text });
    }
    if let Some(left) = sheet.unknowns.len().checked_sub(UNKNOWNS_TOLD).filter(|left| *left > 0) {
        steps.push(Step { label: "fill in".to_owned(), text: Rich::from(format!("and {left} more")) });
    }
    for NextStep { says, command } in sheet.parts.iter().filter_map(|part| part.next.as_ref()) {
        let mut text = Rich::from(says.as_str());
        if let Some(command) = command {
            text = text.plain(": ").code(format!("{program} {command}"));
        }
        let step = Step { label: "next".to_owned(), text };
        // Two parts may want the same.
        if !steps.contains(&step) {
            steps.push(step);
        }
    }
    let governing = sheet.parts.iter().flat_map(|part| &part.cases).find(|case| case.governs);
    if let Some(rate) = governing.and_then(|case| case.rate.as_ref()) {
        let id = &rate.id.0;
        let id = if id.contains(char::is_whitespace) { format!("\"{id}\"") } else { id.clone() };
        let text = Rich::new().code(format!("{program} assess --how {id}"));
        steps.push(Step { label: "ask".to_owned(), text });
    }
    steps
}
