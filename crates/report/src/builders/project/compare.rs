//! Two sheets of one project beside each other: as the file has it, and as edited.

use std::collections::BTreeMap;

use silkfall_core::derivation::NumberId;
use silkfall_sheet::{CaseSheet, PartSheet, Sheet};

use super::super::shared;
use super::assess_document;
use crate::document::{self, Column, Document, Fold, Rich, Row, Section, Shown, Table};
use crate::show;

/// What changed from `file` to `edited`: the cases of each part, then every number that is shown and reads otherwise.
pub fn compare_document(file: &Sheet, edited: &Sheet) -> Document {
    let mut section = Section::new("compare", "The cases, as in the file and as edited");
    for part in &edited.parts {
        let before = file.parts.iter().find(|old| old.name == part.name);
        section = section.in_report(cases(part, before));
    }
    let mut sections = vec![section];
    sections.push(numbers(file, edited));
    Document { title: edited.name.clone(), subtitle: Rich::new(), sections, foot: Rich::new() }
}

fn cases(part: &PartSheet, before: Option<&PartSheet>) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::text("in the file"),
        Column::text(""),
        Column::text("as edited"),
        Column::text(""),
    ];
    let mut table = Table::new(part.name.clone(), columns);
    for case in &part.cases {
        let old = before.and_then(|part| part.cases.iter().find(|old| old.id == case.id));
        table = table.row(Row::new(vec![
            case.title.as_str().into(),
            old.map_or_else(|| Rich::new().quiet("not there"), rate).into(),
            old.map_or_else(Rich::new, |old| old.verdict.into()).into(),
            rate(case).into(),
            Rich::from(case.verdict).into(),
        ]));
    }
    table
}

/// "6.1 m/s, 5.7 to 6.5".
fn rate(case: &CaseSheet) -> Rich {
    let Some(rate) = &case.rate else { return Rich::new().quiet("not known") };
    let said = Rich::from(Shown::from(rate));
    match &rate.interval_95 {
        Some(interval) => {
            let path = format!("{}.interval_95", rate.id.0);
            said.plain(", ").then(shared::interval_like(&path, interval, rate.kind, rate.si))
        }
        None => said,
    }
}

fn numbers(file: &Sheet, edited: &Sheet) -> Section {
    let (before, after) = (assess_document(file, "", ""), assess_document(edited, "", ""));
    let by_id = |document| -> BTreeMap<NumberId, Shown> {
        document::numbers(document).into_iter().map(|shown| (shown.id.clone(), shown.clone())).collect()
    };
    let (before, after) = (by_id(&before), by_id(&after));
    let columns = vec![Column::text("Number"), Column::text("in the file"), Column::text("as edited")];
    let mut table = Table::new("Every number that reads otherwise", columns);
    table = table.folded(Fold::Shut);
    let mut count = 0;
    for (id, new) in &after {
        let Some(old) = before.get(id) else { continue };
        let reads = |shown| show::number(shown, silkfall_core::quantity::System::Si, None);
        if reads(old) == reads(new) {
            continue;
        }
        count += 1;
        table = table.row(Row::new(vec![
            Rich::new().code(&id.0).into(),
            Rich::from(old.clone()).into(),
            Rich::from(new.clone()).into(),
        ]));
    }
    let section = Section::new("numbers", "All else that changed");
    if count == 0 { section.in_report("No other number reads otherwise.") } else { section.in_report(table) }
}
