//! What if it fails: single points, shared causes, what follows, and the case that covers it.

use std::collections::BTreeSet;

use silkfall_sheet::{FailureSheet, PartSheet};

use super::section;
use crate::document::{Column, Rich, Row, Section, Table, Weight};
use crate::figures::{Branch, Drawing, FailureTree, Figure, TreeRow};

/// So many rows of the tree are drawn.
const ROWS: usize = 60;

pub(super) fn section_of(part: &PartSheet) -> Option<Section> {
    let all = &part.failure_tree;
    if all.is_empty() {
        return None;
    }
    let single: Vec<&str> = names(all, |failure| failure.single_point);
    let undone: Vec<&str> = names(all, |failure| failure.undoes_redundancy);
    let heading = match single.as_slice() {
        [] => format!("{}: no single point", part.name),
        [one] => format!("{}: {one} is a single point", part.name),
        [first @ .., last] if first.len() < 4 => {
            format!("{}: {} and {last} are single points", part.name, first.join(", "))
        }
        several => format!("{}: {} single points", part.name, several.len()),
    };
    let open = |failure: &&FailureSheet| !failure.harmless && failure.case.is_none();
    let uncovered: BTreeSet<&str> =
        all.iter().filter(open).flat_map(|failure| failure.then.split(", ")).collect();
    let columns = vec![Column::text(""), Column::text("")];
    let mut short = Table::new("If one thing fails", columns);
    let mut row = |words: &str, said: String| {
        if !said.is_empty() {
            short = short.clone().row(Row::new(vec![words.into(), said.into()]));
        }
    };
    row("single points", single.join(", "));
    row("undone by one cause", undone.join(", "));
    row("no case covers", uncovered.into_iter().collect::<Vec<_>>().join("; "));
    let mut section = section(part, "failures", heading).in_report(figure(part)).in_report(table(all));
    if !short.rows.is_empty() {
        section = section.on_terminal(short);
    }
    Some(section)
}

/// What alone keeps a stage from coming, then the causes that undo what is doubled.
pub(super) fn single_points(part: &PartSheet) -> Vec<&str> {
    let all = &part.failure_tree;
    let mut found = names(all, |failure| failure.single_point);
    found.extend(names(all, |failure| failure.undoes_redundancy));
    found
}

fn names(all: &[FailureSheet], wanted: fn(&FailureSheet) -> bool) -> Vec<&str> {
    let mut seen = BTreeSet::new();
    let picked = all.iter().filter(|failure| wanted(failure)).map(|failure| failure.fails.as_str());
    picked.filter(|name| seen.insert(*name)).collect()
}

/// Every failure.
fn table(all: &[FailureSheet]) -> Table {
    let columns = vec![
        Column::text("What"),
        Column::text("how"),
        Column::text("then"),
        Column::text("with it"),
        Column::text("case"),
        Column::text(""),
    ];
    let mut table = Table::new("Each failure by itself, and each shared cause", columns);
    for failure in all {
        let mark = if failure.single_point {
            Rich::new().strong("single point")
        } else if failure.undoes_redundancy {
            Rich::new().strong("undoes what is doubled")
        } else {
            Rich::new()
        };
        let case = match (&failure.case, failure.harmless) {
            (Some(case), _) => Rich::from(case.as_str()),
            (None, true) => Rich::new().quiet("-"),
            (None, false) => Rich::new().strong("none"),
        };
        let what = match failure.is {
            Some(is) if !failure.fails.contains(is) => format!("{} ({is})", failure.fails),
            _ => failure.fails.clone(),
        };
        table = table.row(
            Row::new(vec![
                what.into(),
                failure.how.into(),
                failure.then.as_str().into(),
                Rich::new().quiet(failure.also.join(", ")).into(),
                case.into(),
                mark.into(),
            ])
            .weighing(if failure.harmless { Weight::Aside } else { Weight::Counts }),
        );
    }
    table
}

fn figure(part: &PartSheet) -> Figure {
    Figure {
        id: format!("{}-failures", part.name),
        caption: "What has to work: under each thing that comes out the devices it depends on, and theirs."
            .into(),
        description: format!(
            "Devices of {} as a tree under what they bring out, single points marked.",
            part.name
        ),
        alternative: table(&part.failure_tree),
        drawing: Drawing::Failures(tree(part)),
    }
}

/// Under each thing that comes out, what brings it out, down to what nothing is needed for.
fn tree(part: &PartSheet) -> FailureTree {
    let devices: Vec<&FailureSheet> =
        part.failure_tree.iter().filter(|failure| failure.how == "does nothing").collect();
    let mut out: Vec<&str> = Vec::new();
    for opens in devices.iter().filter_map(|device| device.opens.as_deref()) {
        if !out.contains(&opens) {
            out.push(opens);
        }
    }
    let mut rows = Vec::new();
    for opens in out {
        rows.push(TreeRow {
            depth: 0,
            label: opens.to_owned(),
            remark: String::new(),
            branch: Branch::Root,
            single_point: false,
        });
        for device in devices.iter().filter(|device| device.opens.as_deref() == Some(opens)) {
            grow(part, &devices, device, Branch::Needed, &mut vec![&device.fails], &mut rows);
        }
    }
    rows.truncate(ROWS);
    FailureTree { rows }
}

/// A device and what it depends on, told once; one that is its own cause is not followed.
fn grow<'a>(
    part: &PartSheet,
    devices: &[&'a FailureSheet],
    device: &'a FailureSheet,
    branch: Branch,
    way: &mut Vec<&'a str>,
    rows: &mut Vec<TreeRow>,
) {
    if rows.len() > ROWS {
        return;
    }
    let undoes = |cause: &&String| {
        part.failure_tree.iter().any(|failure| failure.undoes_redundancy && failure.fails == **cause)
    };
    let causes: Vec<&str> = device.shared_causes.iter().filter(undoes).map(String::as_str).collect();
    let depends = !device.fired_by.is_empty() || !device.needs.is_empty();
    let told = depends && rows.iter().any(|row| row.depth > 0 && row.label == device.fails);
    let remark = if told { "as above".to_owned() } else { causes.join(", ") };
    rows.push(TreeRow {
        depth: way.len(),
        label: device.fails.clone(),
        remark,
        branch,
        single_point: device.single_point,
    });
    if told {
        return;
    }
    let any_of = if device.fired_by.len() > 1 { Branch::AnyOf } else { Branch::Needed };
    let below = device.fired_by.iter().map(|name| (name, any_of));
    for (name, branch) in below.chain(device.needs.iter().map(|name| (name, Branch::Needed))) {
        let next = devices.iter().find(|device| device.fails == *name);
        if let Some(next) = next.filter(|next| !way.contains(&next.fails.as_str())) {
            way.push(&next.fails);
            grow(part, devices, next, branch, way, rows);
            way.pop();
        }
    }
}
