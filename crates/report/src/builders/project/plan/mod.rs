//! `plan`: the paper that is handed over. The first page says all that is decided by; the rest is the report.

mod card;
mod front;
mod lists;
mod winds;

use silkfall_sheet::{PartSheet, PlanPartSheet, Sheet};

use super::{air, defaults, effort, noticed, of_parts};
use crate::builders::shared;
use crate::document::{Body, Document, Rich, Section};

/// The plan of a project: its first page, the field card, the job in its order, what remains, lists to tick, derivations.
/// `program` is the program as it was called and `folder` the project's, for the commands it names.
pub fn plan_document(sheet: &Sheet, program: &str, folder: &str) -> Document {
    let mut sections = front::sections(sheet);
    sections.extend(card::section(sheet));
    sections.extend(of_parts(sheet));
    sections.extend(air(sheet));
    sections.push(noticed(sheet, program, folder));
    sections.extend(lists::sections(sheet));
    sections.push(cautions(sheet));
    sections.extend(defaults(sheet));
    sections.extend(shared::appendix(&sheet.hows, &sections));
    let number = sheet.plan.number.as_ref().map_or_else(String::new, |number| format!(", plan {number}"));
    let foot = Rich::from(format!("{}{number}; Silkfall {}; ", sheet.name, env!("CARGO_PKG_VERSION")));
    Document {
        title: format!("{}{number}", sheet.name),
        subtitle: Rich::new(),
        sections,
        foot: foot.then(effort(sheet)),
    }
}

/// A part and what the plan says of it.
fn with_plans(sheet: &Sheet) -> impl Iterator<Item = (&PartSheet, &PlanPartSheet)> {
    sheet.parts.iter().filter_map(|part| Some((part, plan_of(sheet, part)?)))
}

fn plan_of<'a>(sheet: &'a Sheet, part: &PartSheet) -> Option<&'a PlanPartSheet> {
    sheet.plan.parts.iter().find(|plan| plan.part == part.name)
}

/// "3 × plain-1.84", where canopies are chosen or taken.
fn canopies(part: &PartSheet) -> Option<String> {
    let id = part.choice.id()?;
    let candidate = part.candidates.iter().find(|candidate| candidate.id == id)?;
    Some(format!("{} × {}", candidate.count, candidate.offer))
}

/// Who decides, and what can hurt someone: each caution once.
fn cautions(sheet: &Sheet) -> Section {
    let decides = match &sheet.plan.safety_officer {
        Some(name) => format!("{name} decides at the field, as range safety officer."),
        None => "Who decides at the field is not stated ([plan] safety_officer).".to_owned(),
    };
    let mut section = Section::new("cautions", "Cautions, and who decides")
        .in_report(Body::Caution(shared::caution()))
        .in_report(Rich::from(decides));
    let mut said: Vec<&str> = Vec::new();
    for caution in sheet.parts.iter().flat_map(|part| &part.deployment).flat_map(|sheet| &sheet.cautions) {
        if !said.contains(&caution.as_str()) {
            said.push(caution);
            section = section.in_report(Body::Caution(caution.as_str().into()));
        }
    }
    section.in_report(
        "Towers: nobody stands below while anything hangs; who climbs is roped to a point that holds. Local codes and \
         licensed practice come before anything on this paper.",
    )
}
