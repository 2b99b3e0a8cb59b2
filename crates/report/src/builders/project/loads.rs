//! What pulls at opening: by case and canopy, at the planned speed and at the worst that was asked.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{Event, LoadSheet, NoLoad, Number, PartSheet, PullSheet};

use super::super::shared;
use super::section;
use crate::document::{Cell, Column, Rich, Row, Section, Shown, Table, Weight};

pub(super) fn section_of(part: &PartSheet) -> Option<Section> {
    let all = &part.loads;
    if all.is_empty() {
        return None;
    }
    let hardest = worked(all).max_by(|a, b| a.1.at_95.si.total_cmp(&b.1.at_95.si));
    let heading = match hardest {
        Some((_, pull)) => Rich::from(format!("{}: a canopy opens with up to ", part.name))
            .number((&pull.at_95).into())
            .plain(" as planned"),
        None => Rich::from(format!("{}: loads at opening are not known", part.name)),
    };
    let mut section = section(part, "loads", heading);
    section = match hardest {
        Some(_) => section.on_terminal(short(all)).in_report(table(all)),
        None => section.on_terminal(missing(all)),
    };
    if let Some(how) = worked(all).next() {
        section = section.in_report(Rich::from(format!(
            "Worked {}: {}. Strength is to be checked against what 95 of 100 openings stay below.",
            how.1.method.word(),
            how.1.why
        )));
    }
    if all.iter().any(|load| load.canopy == "leading") {
        section = section.in_report(
            "\"Leading\" is one canopy that catches the whole mass before any other fills: no lag between them \
             makes it worse.",
        );
    }
    if worked(all).any(|(_, pull)| pull.rests_on_memory) {
        section = section.in_report(
            "How canopies fill (diameters, growth of the drag area, opening force factor) is from memory of \
             Knacke, Parachute Recovery Systems Design Manual (1992): a test with a load cell would say.",
        );
    }
    Some(section.in_report(without(all)))
}

fn worked(all: &[LoadSheet]) -> impl Iterator<Item = (&LoadSheet, &PullSheet)> {
    all.iter().filter_map(|load| Some((load, load.load.as_ref().ok()?)))
}

fn missing(all: &[LoadSheet]) -> Rich {
    let why = all.iter().filter(|load| load.event == Event::Opening).find_map(|load| match &load.load {
        Err(NoLoad::NotKnown(why)) => Some(why.as_str()),
        _ => None,
    });
    Rich::from(format!("Loads at opening: {}", why.unwrap_or("nothing opens.")))
}

/// The hardest of each canopy, for the terminal.
fn short(all: &[LoadSheet]) -> Table {
    let columns = vec![
        Column::text("Loads at opening"),
        Column::numbers("at", Kind::Speed),
        Column::numbers("95 of 100 below", Kind::Force),
        Column::numbers("worst asked", Kind::Force),
        Column::text(""),
    ];
    let mut table = Table::new("", columns);
    let mut seen: Vec<&str> = Vec::new();
    for (load, _) in worked(all) {
        if seen.contains(&load.canopy.as_str()) {
            continue;
        }
        seen.push(&load.canopy);
        let of_it = worked(all).filter(|(other, _)| other.canopy == load.canopy);
        let Some((load, pull)) = of_it.max_by(|a, b| hardest(a.1).total_cmp(&hardest(b.1))) else { continue };
        let (worst, asked) = worst(pull);
        table = table.row(Row::new(vec![
            load.canopy.as_str().into(),
            Shown::from(&pull.speed).into(),
            Shown::from(&pull.at_95).into(),
            worst,
            asked,
        ]));
    }
    table
}

fn hardest(pull: &PullSheet) -> f64 {
    pull.worst.as_ref().map_or(pull.at_95.si, |worst| worst.at_95.si)
}

fn worst(pull: &PullSheet) -> (Cell, Cell) {
    match &pull.worst {
        Some(worst) => (Shown::from(&worst.at_95).into(), Rich::new().quiet(&worst.asked).into()),
        None => (Rich::new().into(), Rich::new().into()),
    }
}

/// All that pull.
fn table(all: &[LoadSheet]) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::text("canopy"),
        Column::numbers("at", Kind::Speed),
        Column::numbers("median", Kind::Force),
        Column::text("95 of 100"),
        Column::numbers("95 of 100 below", Kind::Force),
        Column::numbers("on the riser of all", Kind::Force),
        Column::numbers("worst asked", Kind::Force),
        Column::text(""),
    ];
    let mut table = Table::new("What a canopy pulls with when it opens", columns);
    for (load, pull) in worked(all) {
        let (worst, asked) = worst(pull);
        table = table.row(Row::new(vec![
            load.case.as_str().into(),
            load.canopy.as_str().into(),
            Shown::from(&pull.speed).into(),
            Shown::from(&pull.force).into(),
            interval(&pull.force),
            Shown::from(&pull.at_95).into(),
            Shown::from(&pull.all_at_95).into(),
            worst,
            asked,
        ]));
    }
    table
}

fn interval(number: &Number) -> Cell {
    let path = format!("{}.interval_95", number.id.0);
    number
        .interval_95
        .as_ref()
        .map_or_else(Rich::new, |between| shared::interval(&path, between, number.kind))
        .into()
}

/// What has no load, with the reason.
fn without(all: &[LoadSheet]) -> Table {
    let columns = vec![Column::text("Case"), Column::text("canopy"), Column::text("what"), Column::text("")];
    let mut table = Table::new("Without a load", columns).folded(crate::document::Fold::Shut);
    for load in all {
        let (why, weight) = match &load.load {
            Ok(_) => continue,
            Err(NoLoad::DoesNotApply(why)) => (why, Weight::Aside),
            Err(NoLoad::NotKnown(why)) => (why, Weight::Counts),
        };
        table = table.row(
            Row::new(vec![
                load.case.as_str().into(),
                load.canopy.as_str().into(),
                load.event.word().into(),
                why.as_str().into(),
            ])
            .weighing(weight),
        );
    }
    table
}
