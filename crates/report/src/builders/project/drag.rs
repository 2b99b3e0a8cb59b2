//! Drag areas of the tests, what they cannot tell apart, and what is carried to full size.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{DragSheet, Factor, FullSize, PartSheet};

use super::super::shared;
use super::section;
use crate::document::{Column, Rich, Row, Section, Shown, Table};
use crate::figures::{Drawing, Figure, PartPiece, PartRow, PartStacks};

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    let drag = part.drag.as_ref().map(|drag| drag_section(part, drag));
    let full = part.full_size.as_ref().map(|full| full_size(part, full));
    drag.into_iter().chain(full).collect()
}

fn drag_section(part: &PartSheet, drag: &DragSheet) -> Section {
    let heading = format!("{}: what brakes, by part", part.name);
    let mut section = section(part, "drag", heading)
        .in_report(factors_table("Drag areas and factors, each with where it comes from", &drag.factors));
    if let Some(figure) = figure(part, drag) {
        section = section.in_report(figure);
    }
    for pair in &drag.not_told_apart {
        let names = pair.factors.iter().map(|id| meaning_of(drag, id)).collect::<Vec<_>>().join(" and ");
        section = section
            .in_report(Rich::from("Not told by the tests: ").strong(names).plain(format!(". {}", pair.test)));
    }
    if !drag.residuals.is_empty() {
        section = section.in_report(residuals(drag));
    }
    section
}

fn meaning_of<'a>(drag: &'a DragSheet, id: &'a str) -> &'a str {
    drag.factors.iter().find(|factor| factor.id == id).map_or(id, |factor| factor.meaning.as_str())
}

fn factors_table(caption: &str, factors: &[Factor]) -> Table {
    let columns = vec![
        Column::text("Factor"),
        Column::text("value").by_point(),
        Column::text("95 % sure"),
        Column::text("from"),
        Column::text(""),
    ];
    let mut table = Table::new(caption, columns);
    for factor in factors {
        let (value, interval) = match &factor.number {
            Some(number) => {
                let path = format!("{}.interval_95", number.id.0);
                let interval = number.interval_95.as_ref().map(|i| shared::interval(&path, i, number.kind));
                (Shown::from(number).into(), interval.unwrap_or_default())
            }
            None => (Rich::new().quiet("not told"), Rich::new()),
        };
        table = table.row(Row::new(vec![
            factor.meaning.as_str().into(),
            value.into(),
            interval.into(),
            factor.trust.word().into(),
            Rich::new().quiet(&factor.basis).into(),
        ]));
    }
    table
}

fn residuals(drag: &DragSheet) -> Table {
    let columns = vec![
        Column::text("Test"),
        Column::numbers("measured", Kind::DragArea),
        Column::numbers("fitted", Kind::DragArea),
    ];
    let mut table =
        Table::new("Each test's drag area, as measured and as all factors together give it", columns);
    for residual in &drag.residuals {
        let measured = Shown::from(&residual.measured);
        // As many digits as the measurement bears.
        let fitted = Shown { doubt_si: measured.doubt_si, ..Shown::from(&residual.fitted) };
        table = table.row(Row::new(vec![residual.test.as_str().into(), measured.into(), fitted.into()]));
    }
    table
}

/// Each test as its canopies side by side and what the body adds, against the area measured: what a cluster loses
/// shows as the gap. A test with a canopy whose own area is not told has no row.
fn figure(part: &PartSheet, drag: &DragSheet) -> Option<Figure> {
    let rows: Vec<PartRow> = part
        .tests
        .iter()
        .filter_map(|test| {
            let total = test.drag_area.as_ref()?;
            let serials = test.serials.as_ref()?;
            let mut pieces = serials.iter().map(|serial| canopy(drag, serial)).collect::<Option<Vec<_>>>()?;
            let net = net_body(drag, serials.len()).filter(|_| test.body == Some(true));
            let net = net.and_then(|factor| Some((factor, factor.number.as_ref()?)));
            // A body that takes more from the canopies than it adds has no piece of its own.
            if let Some((factor, number)) = net.filter(|(_, number)| number.si > 0.0) {
                pieces.push(PartPiece {
                    label: "body".to_owned(),
                    si: number.si,
                    fill: (&factor.trust).into(),
                });
            }
            let range = total.interval_95.as_ref().map(|interval| shared::range(total.si, interval));
            Some(PartRow { label: format!("{}: {}", test.name, test.what), pieces, total: range })
        })
        .collect();
    (!rows.is_empty()).then(|| Figure {
        id: format!("{}-parts", part.name),
        caption:
            "Each test's canopies side by side, and what the body adds; the whisker is the area measured. \
                  What canopies lose to one another, or a body tested at several distances adds, is the gap."
                .into(),
        description: format!("Stacked drag areas of {} tests of {}, filled by trust.", rows.len(), part.name),
        alternative: factors_table("Drag areas and factors", &drag.factors),
        drawing: Drawing::Parts(PartStacks { rows, kind: Kind::DragArea }),
    })
}

/// A canopy by its serial, as the tests of its set of hardware tell it.
fn canopy(drag: &DragSheet, serial: &str) -> Option<PartPiece> {
    let is_it = |factor: &&Factor| factor.id.trim_start_matches("real.") == format!("canopy.{serial}");
    let area = drag.factors.iter().find(is_it)?;
    Some(PartPiece { label: serial.to_owned(), si: area.number.as_ref()?.si, fill: (&area.trust).into() })
}

/// What the body adds under so many canopies, where it was tested at one distance.
fn net_body(drag: &DragSheet, canopies: usize) -> Option<&Factor> {
    let id = format!("net-body.{canopies}");
    let is_net = |factor: &&Factor| {
        let rest = factor.id.strip_prefix(&id);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(" at "))
            && !factor.id.ends_with(".over-one")
    };
    let mut found = drag.factors.iter().filter(is_net);
    match (found.next(), found.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    }
}

fn full_size(part: &PartSheet, full: &FullSize) -> Section {
    let mut heading = Rich::from(format!("{} at full size", part.name));
    if let Some(scale) = &full.scale {
        heading = heading.plain("; the model is ").number(scale.into()).plain(" of it");
    }
    let mut section = section(part, "full-size", heading);
    if !full.factors.is_empty() {
        section = section
            .in_report(factors_table("What is carried over, with the doubt of carrying it", &full.factors));
    }
    if let Some(why) = &full.why_no_ratio {
        section = section.in_report(Rich::from(why.as_str()));
    }
    if !full.reynolds.is_empty() {
        let columns = vec![Column::text(""), Column::text("Reynolds number").right()];
        let mut table = Table::new("Reynolds numbers", columns);
        for reynolds in &full.reynolds {
            // To two digits: what is compared is their power of ten.
            let number = Shown { doubt_si: reynolds.number.si * 0.05, ..Shown::from(&reynolds.number) };
            table = table.row(Row::new(vec![reynolds.meaning.as_str().into(), number.into()]));
        }
        section = section.in_report(table);
    }
    section
}
