//! What pulls at opening: by case and canopy, at the planned speed and at the worst that was asked.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{Event, LoadSheet, NoLoad, Number, PartSheet, PullSheet, ReefingSheet};

use super::super::shared;
use super::{opening_figures, section};
use crate::document::{Cell, Column, Rich, Row, Section, Shown, Table, Weight};

/// Doubt of a pull by which it is told at the finest, of itself.
const FINEST: f64 = 0.03;

pub(super) fn section_of(part: &PartSheet) -> Option<Section> {
    let all = &part.loads;
    if all.is_empty() {
        return None;
    }
    let hardest = of(all, Event::Opening).max_by(|a, b| a.1.at_95.si.total_cmp(&b.1.at_95.si));
    let heading = match hardest {
        Some((_, pull)) => Rich::from(format!("{}: a canopy opens with up to ", part.name))
            .number(pulls(&pull.at_95))
            .plain(" as planned"),
        None => Rich::from(format!("{}: loads at opening are not known", part.name)),
    };
    let mut section = section(part, "loads", heading);
    section = match hardest {
        Some(_) => section.on_terminal(short(all)).in_report(openings(all)),
        None => section.on_terminal(missing(all)),
    };
    if let Some(how) = of(all, Event::Opening).next() {
        section = section.in_report(Rich::from(format!(
            "Worked {}: {}. Strength is to be checked against what 95 of 100 openings stay below.",
            how.1.method.word(),
            how.1.why
        )));
    }
    section = section.in_report(asked(part));
    if all.iter().any(|load| load.canopy == "leading") {
        section = section.in_report(if worked(all).any(|(_, pull)| pull.by_stated_share) {
            "\"Leading\" is one canopy with the stated share of what all pull together, which is more than if it caught the \
             whole mass before any other fills."
        } else {
            "\"Leading\" is one canopy that catches the whole mass before any other fills: no lag between them \
             makes it worse."
        });
    }
    if let Some(openings) = &part.openings {
        if let Some(figure) = opening_figures::traces(part, openings) {
            section = section.in_report(figure);
        }
        if let Some(lag) = &openings.lag {
            section = section.in_report(opening_figures::lag(part, lag));
        }
        // Of several canopies the leading one is the hardest.
        let leads = openings.reefing.iter().any(|held| held.id == "leading");
        for held in openings.reefing.iter().filter(|held| !leads || held.id != "each") {
            section = section.in_report(held_sentence(held)).in_report(opening_figures::reefing(part, held));
        }
    }
    if of(all, Event::Opening).any(|(_, pull)| pull.steps.is_some()) {
        section = section.in_report(in_steps(all));
    }
    if worked(all).any(|(_, pull)| pull.rests_on_memory) {
        section = section.in_report(
            "How canopies fill (diameters, growth of the drag area, opening force factor) is from memory of \
             Knacke, Parachute Recovery Systems Design Manual (1992): a test with a load cell would say.",
        );
    }
    if let Some(line) = hardest_snatch(all) {
        section = section.on_terminal(line);
    }
    if of(all, Event::Snatch).next().is_some() {
        section = section.in_report(snatches(all)).in_report(
            "At the end of its cord what is thrown out is stopped: a longer or softer cord is snatched less hard. Where the \
             speed at which they part is not stated, all of the speed at that moment bounds it, for what is let go and not for \
             what is thrown.",
        );
    }
    Some(section.in_report(without(all)))
}

/// What pulls, however closely its quantile is known from so many trials: nobody makes a cord by a hundredth of its load.
fn pulls(number: &Number) -> Shown {
    let shown = Shown::from(number);
    Shown { doubt_si: shown.doubt_si.max(FINEST * number.si), ..shown }
}

/// What holds a canopy, and by which line.
fn held_sentence(held: &ReefingSheet) -> Rich {
    let whose = if matches!(held.id.as_str(), "each" | "leading") { "each canopy" } else { held.id.as_str() };
    let text = Rich::from(format!("A {} holds {whose} to ", held.by)).number((&held.share).into());
    let text = text.plain(" of its drag area");
    match &held.line {
        Some(line) => text.plain(", with a line of ").number(line.into()).then(match &line.interval_95 {
            Some(_) => Rich::from(" (").then(interval_of(line)).plain(
                ": worked out from the circle of the mouth, a judgement; only a drop with the line tells).",
            ),
            None => Rich::from("."),
        }),
        None => text.plain("."),
    }
}

/// Openings in two steps: each step's pull, the speed at which it is let go, the height it takes.
fn in_steps(all: &[LoadSheet]) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::text("canopy"),
        Column::numbers("while held, 95 % below", Kind::Force),
        Column::numbers("after, 95 % below", Kind::Force),
        Column::numbers("let go at", Kind::Speed),
        Column::numbers("height lost", Kind::Length),
    ];
    let mut table = Table::new("Openings in two steps, as planned", columns);
    for (load, pull) in of(all, Event::Opening) {
        let Some(steps) = &pull.steps else { continue };
        table = table.row(Row::new(vec![
            load.case.as_str().into(),
            load.canopy.as_str().into(),
            pulls(&steps.held_at_95).into(),
            pulls(&steps.after_at_95).into(),
            Shown::from(&steps.let_go).into(),
            Shown::from(&steps.lost).into(),
        ]));
    }
    table
}

/// What was asked beside the plan, and what was not.
fn asked(part: &PartSheet) -> Rich {
    let of = |asked: bool| -> Vec<String> {
        let these = part.openings.iter().flat_map(|opening| &opening.asked).filter(|one| one.asked == asked);
        let said = |stated: bool| if stated { "" } else { " (taken, not stated)" };
        these.map(|one| format!("{}{}", one.id, said(one.stated))).collect()
    };
    let list = |words: Vec<String>| if words.is_empty() { "nothing".to_owned() } else { words.join(", ") };
    let mut text = format!("Asked beside the plan: {}.", list(of(true)));
    let left = of(false);
    if !left.is_empty() {
        text += &format!(" Not asked: {}; [part.opening] says what is.", left.join(", "));
    }
    text.into()
}

fn worked(all: &[LoadSheet]) -> impl Iterator<Item = (&LoadSheet, &PullSheet)> {
    all.iter().filter_map(|load| Some((load, load.load.as_ref().ok()?)))
}

fn of(all: &[LoadSheet], event: Event) -> impl Iterator<Item = (&LoadSheet, &PullSheet)> {
    worked(all).filter(move |(load, _)| load.event == event)
}

/// The hardest of each canopy, in their order.
fn hardest_of_each(all: &[LoadSheet], event: Event) -> Vec<(&LoadSheet, &PullSheet)> {
    let mut rows: Vec<(&LoadSheet, &PullSheet)> = Vec::new();
    for (load, pull) in of(all, event) {
        match rows.iter_mut().find(|(other, _)| other.canopy == load.canopy) {
            Some(row) if hardest(row.1) >= hardest(pull) => {}
            Some(row) => *row = (load, pull),
            None => rows.push((load, pull)),
        }
    }
    rows
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
    for (load, pull) in hardest_of_each(all, Event::Opening) {
        let (worst, asked) = worst(pull);
        table = table.row(Row::new(vec![
            load.canopy.as_str().into(),
            Shown::from(&pull.speed).into(),
            pulls(&pull.at_95).into(),
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
        Some(worst) => (pulls(&worst.at_95).into(), Rich::new().quiet(&worst.asked).into()),
        None => (Rich::new().into(), Rich::new().into()),
    }
}

/// The snatch that takes most of what its cord holds, in a line.
fn hardest_snatch(all: &[LoadSheet]) -> Option<Rich> {
    let of_strength = |pull: &PullSheet| Some(hardest(pull) / pull.snatch.as_ref()?.strength.si);
    let shares = of(all, Event::Snatch).filter_map(|row| Some((row, of_strength(row.1)?)));
    let ((load, pull), _) = shares.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let snatch = pull.snatch.as_ref()?;
    let at_95 = pull.worst.as_ref().map_or(&pull.at_95, |worst| &worst.at_95);
    let text = Rich::from(format!("Hardest snatch: {}, 95 of 100 below ", load.canopy)).number(pulls(at_95));
    Some(text.plain("; its cord holds ").number((&snatch.strength).into()).plain("."))
}

/// The hardest snatch of each canopy, and what its cord takes.
fn snatches(all: &[LoadSheet]) -> Table {
    let columns = vec![
        Column::text("Canopy"),
        Column::numbers("apart at", Kind::Speed),
        Column::numbers("95 % below", Kind::Force),
        Column::numbers("cord holds", Kind::Force),
        Column::numbers("takes up", Kind::Energy),
        Column::numbers("breaks at", Kind::Energy),
        Column::numbers("on the rim", Kind::Force),
        Column::numbers("worst", Kind::Force),
        Column::text(""),
    ];
    let mut table = Table::new("What a cord is snatched with, at the hardest of all cases", columns);
    for (load, pull) in hardest_of_each(all, Event::Snatch) {
        let Some(snatch) = &pull.snatch else { continue };
        let (worst, asked) = worst(pull);
        table = table.row(Row::new(vec![
            load.canopy.as_str().into(),
            Shown::from(&pull.speed).into(),
            pulls(&pull.at_95).into(),
            Shown::from(&snatch.strength).into(),
            Shown::from(&snatch.energy).into(),
            Shown::from(&snatch.to_break).into(),
            Shown::from(&snatch.edge).into(),
            worst,
            asked,
        ]));
    }
    table
}

/// All that open.
fn openings(all: &[LoadSheet]) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::text("canopy"),
        Column::numbers("at", Kind::Speed),
        Column::text("95 of 100").in_unit_of(Kind::Force),
        Column::numbers("below", Kind::Force),
        Column::numbers("all", Kind::Force),
        Column::numbers("worst", Kind::Force),
        Column::text(""),
    ];
    let mut table = Table::new(
        "What a canopy pulls with when it opens: where 95 of 100 openings lie, and what 95 of 100 stay below; on the riser of \
         all canopies likewise",
        columns,
    );
    for (load, pull) in of(all, Event::Opening) {
        let (worst, asked) = worst(pull);
        table = table.row(Row::new(vec![
            load.case.as_str().into(),
            load.canopy.as_str().into(),
            Shown::from(&pull.speed).into(),
            interval(&pull.force),
            pulls(&pull.at_95).into(),
            pulls(&pull.all_at_95).into(),
            worst,
            asked,
        ]));
    }
    table
}

fn interval(number: &Number) -> Cell {
    interval_of(number).into()
}

fn interval_of(number: &Number) -> Rich {
    let path = format!("{}.interval_95", number.id.0);
    number
        .interval_95
        .as_ref()
        .map_or_else(Rich::new, |between| shared::interval(&path, between, number.kind))
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
