//! The tests of a part: what fell, how it was read, the drops, the rate and the drag area of each.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{PartSheet, ReducedRecording, TestSheet};

use super::super::shared;
use super::{path_of, section};
use crate::document::{Cell, Column, Range, Rich, Row, Section, Shown, Table};
use crate::figures::Figure;

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    if part.tests.is_empty() {
        return Vec::new();
    }
    let heading = match part.tests.len() {
        1 => format!("{}: one test", part.name),
        count => format!("{}: {count} tests", part.name),
    };
    let mut sections = vec![section(part, "tests", heading).in_report(overview(part))];
    for test in &part.tests {
        sections.push(test_section(part, test));
    }
    sections
}

fn number(number: Option<&silkfall_sheet::Number>) -> Cell {
    number.map_or_else(|| Rich::new().quiet("-").into(), |number| Shown::from(number).into())
}

fn interval(number: Option<&silkfall_sheet::Number>) -> Cell {
    let of = |number: &silkfall_sheet::Number| {
        let interval = number.interval_95.as_ref()?;
        Some(shared::interval(&format!("{}.interval_95", number.id.0), interval, number.kind))
    };
    number.and_then(of).unwrap_or_default().into()
}

pub(super) fn overview(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Test"),
        Column::text("what"),
        Column::text("drops").right(),
        Column::numbers("rate", Kind::Speed),
        Column::text("95 % sure").in_unit_of(Kind::Speed),
        Column::numbers("drag area", Kind::DragArea),
        Column::text("95 % sure").in_unit_of(Kind::DragArea),
    ];
    let mut table =
        Table::new("Each test's rate in still air, and the drag area of all that brakes", columns);
    for test in &part.tests {
        let kept = Shown::count(format!("{}.tests.{}.drops_kept", path_of(part), test.name), test.drops_kept);
        table = table.row(Row::new(vec![
            test.name.as_str().into(),
            what(test).into(),
            kept.into(),
            number(test.rate.as_ref()),
            interval(test.rate.as_ref()),
            number(test.drag_area.as_ref()),
            interval(test.drag_area.as_ref()),
        ]));
    }
    table
}

/// What came down, and by how long a riser where that is stated.
fn what(test: &TestSheet) -> Rich {
    let said = Rich::from(test.what.as_str());
    match &test.riser_length {
        Some(riser) => said.plain(", riser ").number(riser.into()),
        None => said,
    }
}

/// What is drawn of a test's recordings.
#[derive(Clone, Debug, PartialEq)]
pub struct DropFigures {
    /// Each whole recording, in the order of the test.
    pub ribbons: Vec<Figure>,
    /// All drops from release; `None` without one.
    pub overlay: Option<Figure>,
    /// Their rates; `None` without one.
    pub rates: Option<Figure>,
}

/// The figures of a test's recordings.
pub fn drop_figures(part: &PartSheet, test: &TestSheet) -> DropFigures {
    let path = format!("{}.tests.{}.recordings", path_of(part), test.name);
    let id = |kind: &str| format!("{}-{}-{kind}", part.name, test.name);
    let pooled = test.rate.as_ref().and_then(|rate| {
        rate.interval_95.as_ref().map(|interval| Range { limit: None, ..shared::range(rate.si, interval) })
    });
    let ribbon = |recording: &ReducedRecording| {
        shared::ribbon(&id(&format!("ribbon-{}", recording.path)), &path, recording)
    };
    DropFigures {
        ribbons: test.recordings.iter().filter_map(ribbon).collect(),
        overlay: shared::overlay(&id("overlay"), &path, &test.recordings),
        rates: shared::rate_dots(&id("rates"), &path, &test.recordings, pooled),
    }
}

/// The section of one test.
pub fn test_section(part: &PartSheet, test: &TestSheet) -> Section {
    let path = format!("{}.tests.{}", path_of(part), test.name);
    let recordings = format!("{path}.recordings");
    let id = format!("test-{}", test.name);
    let mut heading = Rich::from(format!("Test {}", test.name));
    if let Some(rate) = &test.rate {
        heading = heading.plain(": ").number(rate.into());
    }
    let mut section = section(part, &id, heading).under().in_report(what(test));
    if let Some(falls) = &test.falls {
        section = section.in_report(shared::falls(falls));
    }
    if let Some(table) = shared::drops_table(&recordings, &test.recordings) {
        section = section.in_report(table);
    }
    let figures = drop_figures(part, test);
    section = figures.ribbons.into_iter().fold(section, Section::in_report);
    section = figures.overlay.into_iter().chain(figures.rates).fold(section, Section::in_report);
    let area = test.drag_area.as_ref().map_or(1.0, |area| area.si);
    if let Some(doubts) =
        shared::doubts_table(&format!("{path}.doubts"), "drag area", &test.doubts, Kind::DragArea, area)
    {
        section = section.in_report(doubts);
    }
    for recording in &test.recordings {
        let (table, repeat) = shared::reading(&format!("{recordings}.{}", recording.path), recording);
        section = section.in_report(table).in_report(repeat);
    }
    section
}
