//! How a part hangs: its harness, the angle and the pulls, riser and cluster geometry, to scale.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{HangSheet, HarnessSheet, LegSheet, Number, PartSheet, RiggingSheet};

use super::super::shared;
use super::section;
use crate::document::{Cell, Column, Rich, Row, Section, Shown, Table};
use crate::figures::{Drawing, Figure, HangLeg, HangView, HangViews};

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    let hanging = part.harness.as_ref().map(|harness| hanging(part, harness));
    let rigging = part.rigging.as_ref().filter(|of| !rigging_rows(of).is_empty());
    hanging.into_iter().chain(rigging.map(|rigging| rigging_section(part, rigging))).collect()
}

/// The state the harness is meant for.
fn meant<'a>(part: &'a PartSheet, harness: &HarnessSheet) -> Option<&'a HangSheet> {
    part.hanging.iter().find(|hang| hang.id == harness.wanted_in).or(part.hanging.first())
}

fn hanging(part: &PartSheet, harness: &HarnessSheet) -> Section {
    let mut heading = Rich::from(format!("{} in its harness", part.name));
    if let Some(hang) = meant(part, harness) {
        heading = heading.plain(format!(": {}", hang.says));
    }
    let mut section = section(part, "hanging", heading)
        .on_terminal(legs_table(part, harness))
        .in_report(figure(part, harness))
        .in_report(states_table(part))
        .in_report(legs_table(part, harness));
    if let Some(tilt) = &harness.tilt {
        let text = Rich::from("A centre of mass ")
            .number((&tilt.off).into())
            .plain(" aside tilts it by ")
            .number(angle(&tilt.tilt))
            .plain(".");
        section = section.everywhere(text);
    }
    section.in_report(Rich::from("Each leg has to bear ").number((&harness.each_bears).into()).plain(
        format!(" alone ({}): legs do not come taut together, one snatches first.", harness.bears_what),
    ))
}

/// How it hangs in each state.
fn states_table(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("State"),
        Column::numbers("front end above level", Kind::Angle),
        Column::text("95 % sure").in_unit_of(Kind::Angle),
        Column::numbers("riser pulls", Kind::Force),
        Column::numbers("body brakes", Kind::Force),
        Column::text("down"),
    ];
    let mut table = Table::new("How it hangs, at rest and in steady descent", columns);
    for hang in &part.hanging {
        let drag = hang.drag.as_ref().map_or_else(|| Cell::from("-"), |drag| Shown::from(drag).into());
        table = table.row(Row::new(vec![
            hang.id.as_str().into(),
            angle(&hang.angle).into(),
            interval(&hang.angle).into(),
            Shown::from(&hang.pull).into(),
            drag,
            hang.says.as_str().into(),
        ]));
    }
    table
}

/// An angle to a tenth of a degree, or as far as it is known.
fn angle(number: &Number) -> Shown {
    // A few tenths of a degree.
    const LEAST: f64 = 0.01;
    Shown { doubt_si: number.half_width().max(LEAST), ..Shown::from(number) }
}

fn interval(number: &Number) -> Rich {
    match &number.interval_95 {
        Some(interval) => shared::interval(&format!("{}.interval_95", number.id.0), interval, number.kind),
        None => Rich::new(),
    }
}

/// A row a leg: its length, and what it pulls at rest and as meant.
fn legs_table(part: &PartSheet, harness: &HarnessSheet) -> Table {
    let mut states: Vec<&HangSheet> = part.hanging.iter().take(1).collect();
    states.extend(
        meant(part, harness).filter(|hang| Some(hang.id.as_str()) != states.first().map(|s| s.id.as_str())),
    );
    let mut columns = vec![Column::text("Leg from"), Column::numbers("length", Kind::Length)];
    columns.extend(states.iter().map(|state| Column::text(state.id.as_str()).by_point()));
    columns.push(Column::text(""));
    let mut caption = Rich::from("Legs");
    if let Some(wanted) = &harness.wanted {
        caption = caption.plain(" that hold the front end ").number(angle(wanted)).plain(" above level, ");
        caption = caption.plain(harness.wanted_in.as_str());
    }
    let mut table = Table::new(caption, columns);
    for (i, point) in harness.points.iter().enumerate() {
        let mut cells: Vec<Cell> = vec![point.id.as_str().into(), millimetres(&point.leg).into()];
        cells.extend(states.iter().map(|state| pull(&state.legs[i])));
        let said = if point.made { "as made" } else { "to be made so" };
        cells.push(Rich::new().quiet(said).into());
        table = table.row(Row::new(cells));
    }
    table
}

/// A length to a millimetre, or as far as it is known.
fn millimetres(number: &Number) -> Shown {
    Shown { doubt_si: number.half_width().max(5e-3), ..Shown::from(number) }
}

fn pull(leg: &LegSheet) -> Cell {
    match (&leg.tension, &leg.slack) {
        (Some(tension), _) if leg.state == "not told" => interval(tension).into(),
        (Some(tension), _) => Shown::from(tension).into(),
        (None, Some(by)) => Rich::from("slack by ").number(millimetres(by)).into(),
        (None, None) => "".into(),
    }
}

fn figure(part: &PartSheet, harness: &HarnessSheet) -> Figure {
    let mut shown: Vec<&HangSheet> = part.hanging.iter().take(1).collect();
    shown.extend(
        meant(part, harness).filter(|hang| Some(hang.id.as_str()) != shown.first().map(|s| s.id.as_str())),
    );
    let view = |hang: &&HangSheet| HangView {
        label: hang.id.clone(),
        angle_rad: hang.angle.si,
        legs: hang
            .drawing
            .points
            .iter()
            .zip(&hang.legs)
            .map(|((at, slack), leg)| HangLeg { at: *at, label: leg.id.clone(), slack: *slack })
            .collect(),
        mass: hang.drawing.mass,
        area: hang.drag.as_ref().map(|_| hang.drawing.area),
        front: hang.drawing.front,
        rear: hang.drawing.rear,
        thickness_m: hang.drawing.thickness,
    };
    Figure {
        id: format!("{}-hanging", part.name),
        caption: "The body in its harness, to scale: riser above, legs to their points; dashed, level through the centre of \
                  mass."
            .into(),
        description: format!("{} hanging in its harness, seen from the side, in {} states.", part.name, shown.len()),
        alternative: states_table(part),
        drawing: Drawing::Hanging(HangViews { views: shown.iter().map(view).collect() }),
    }
}

/// What the geometry comes to, each with its words.
fn rigging_rows(of: &RiggingSheet) -> Vec<(&'static str, &Number)> {
    let rows: [(&'static str, &Option<Number>); 13] = [
        ("lines and own risers, from where the risers part", &of.own_length),
        ("radius of the ring of touching canopies", &of.ring_radius),
        ("how far they lean out", &of.fly_out),
        ("share of their drag left along the fall", &of.left_along),
        ("length wanted for so many (from memory)", &of.length_wanted),
        ("from body to skirt", &of.distance),
        ("a disc as large as the body across the stream", &of.disc),
        ("from body to skirt in its diameters", &of.in_bodies),
        ("largest share lost in the body's wake", &of.wake_bound),
        ("share that handbooks expect (from memory)", &of.expected_loss),
        ("Reynolds number of the body", &of.reynolds),
        ("the body's drag area by its shape", &of.body_by_shape),
        ("the same by its tests", &of.body_tested),
    ];
    rows.into_iter().filter_map(|(words, number)| Some((words, number.as_ref()?))).collect()
}

fn rigging_section(part: &PartSheet, rigging: &RiggingSheet) -> Section {
    let heading = format!("{}: riser, cluster and body", part.name);
    let columns = vec![Column::text("Geometry"), Column::text("value").by_point(), Column::text("between")];
    let mut table = Table::new("Geometry of riser, cluster and body", columns);
    for (words, number) in rigging_rows(rigging) {
        // Geometry to half a percent is enough.
        let shown =
            Shown { doubt_si: number.half_width().max(0.005 * number.si.abs()), ..Shown::from(number) };
        table = table.row(Row::new(vec![words.into(), shown.into(), interval(number).into()]));
    }
    let mut section = section(part, "rigging", heading).in_report(table);
    for said in &rigging.says {
        section = section.in_report(Rich::from(said.as_str()));
    }
    if !rigging.likeness.is_empty() {
        section = section.in_report(likeness(rigging));
    }
    section
}

/// Model beside full size.
fn likeness(rigging: &RiggingSheet) -> Table {
    let columns = vec![
        Column::text("Ratio"),
        Column::text("model").by_point(),
        Column::text("full size").by_point(),
        Column::text(""),
    ];
    let mut table = Table::new("Whether model and full size are alike", columns);
    for row in &rigging.likeness {
        let number = |number: &Option<Number>| -> Cell {
            number.as_ref().map_or_else(|| "not stated".into(), |number| Shown::from(number).into())
        };
        let word = if row.alike { "alike" } else { "not alike" };
        table = table.row(Row::new(vec![
            row.meaning.as_str().into(),
            number(&row.model),
            number(&row.full),
            word.into(),
        ]));
    }
    table
}
