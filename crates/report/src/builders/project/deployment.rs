//! What opens a part's bay, how it and the barometer breathe, what is thrown out sideways.

use silkfall_core::cases::Verdict;
use silkfall_sheet::{ChargeSheet, DeploymentSheet, PartSheet};

use super::super::shared;
use crate::document::{Body, Column, Rich, Row, Section, Shown, Table};

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    if part.deployment.is_empty() {
        return Vec::new();
    }
    let heading = Rich::from(format!("{}: getting it out, and breathing in the climb", part.name));
    let mut section = super::section(part, "deployment", heading);
    for sheet in &part.deployment {
        section = section.everywhere(said(sheet));
        if !sheet.figures.is_empty() {
            section = section.in_report(figures(sheet));
        }
        for said in &sheet.says {
            section = section.in_report(Rich::from(said.as_str()));
        }
    }
    vec![section]
}

/// The word with its reason; what can hurt someone in the same block, and a charge never without it.
fn said(sheet: &DeploymentSheet) -> Body {
    let mut said = Rich::from(format!("{}: {}", capital(&sheet.title), sheet.reason));
    if sheet.verdict != Verdict::NotJudged {
        said = said.plain(": ").verdict(sheet.verdict);
    }
    said = said.plain(".");
    if let Some(ChargeSheet { low, high }) = &sheet.charge {
        let end =
            |number: &silkfall_sheet::Number| Shown { doubt_si: 0.1 * number.si, ..Shown::from(number) };
        said = said.plain(" The charge for that pressure lies between ").number(end(low)).plain(" and ");
        said = said.number(end(high)).plain(".");
    }
    for caution in &sheet.cautions {
        said = said.plain(format!(" {caution}"));
    }
    if sheet.cautions.is_empty() { Body::Paragraph(said) } else { Body::Caution(said) }
}

/// With its first letter as a sentence begins.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().collect::<String>() + chars.as_str()).unwrap_or_default()
}

fn figures(sheet: &DeploymentSheet) -> Table {
    let columns = vec![
        Column::text(""),
        Column::text("value").by_point(),
        Column::text("95 % sure"),
        Column::text("from"),
        Column::text(""),
    ];
    let mut table = Table::new(format!("{}, step by step", capital(&sheet.title)), columns);
    for figure in &sheet.figures {
        let Some(number) = &figure.number else { continue };
        let path = format!("{}.interval_95", number.id.0);
        let interval = number.interval_95.as_ref().map(|of| shared::interval(&path, of, number.kind));
        let shown = if number.interval_95.is_some() {
            Shown::from(number)
        } else {
            Shown { doubt_si: 0.005 * number.si.abs(), ..Shown::from(number) }
        };
        table = table.row(Row::new(vec![
            figure.meaning.as_str().into(),
            shown.into(),
            interval.unwrap_or_default().into(),
            figure.trust.word().into(),
            Rich::new().quiet(&figure.basis).into(),
        ]));
    }
    table
}
