//! What is ticked: five things at the pad, and the lists for packing and for the day, drawn from this very configuration.

use silkfall_core::quantity::System;
use silkfall_sheet::{BeginsSheet, ContentSheet, PartSheet, PlanPartSheet, Sheet};

use super::front::{at_most, tag};
use super::{canopies, with_plans};
use crate::document::{Body, Rich, Section, Shown};
use crate::show;

/// Lengths that are cut and packed are told to a millimetre.
const MILLIMETRE: f64 = 0.003;

/// Puts what each part says on one line, what several say said once, parts that say nothing left out.
fn joined(
    begin: &str,
    sheet: &Sheet,
    says: impl Fn(&PartSheet, &PlanPartSheet) -> Option<Rich>,
    nothing: &str,
) -> Rich {
    let mut told: Vec<(String, String, Rich)> = Vec::new();
    for (part, plan) in with_plans(sheet) {
        let Some(of_part) = says(part, plan) else { continue };
        let (tag, words) = (tag(sheet, &part.name), show::plain(&of_part, System::Si));
        match told.iter_mut().find(|(_, known, _)| *known == words) {
            Some((tags, ..)) => *tags = format!("{tags}, {tag}"),
            None => told.push((tag, words, of_part)),
        }
    }
    let mut said = Rich::from(begin);
    for (at, (tags, _, of_parts)) in told.iter().enumerate() {
        said = said.plain(format!("{}{tags} ", if at == 0 { "" } else { "; " })).then(of_parts.clone());
    }
    if told.is_empty() { said.plain(format!("{nothing}.")) } else { said.plain(".") }
}

/// Mass, canopies, heights, what closes the bay, the wind.
pub(super) fn at_the_pad(sheet: &Sheet) -> Vec<Rich> {
    vec![
        joined("Weighed, at most: ", sheet, weighed, "no mass is worked out"),
        joined("Canopies, lines, links as planned: ", sheet, rigged, "none is chosen"),
        joined("Set to open: ", sheet, |_, plan| heights(plan), "no stage is stated"),
        joined("Closed and opened by: ", sheet, |_, plan| closed(plan), "no bay is stated"),
        "Wind measured now, at the ground, within item 5: ________ from ________, gusts ________.".into(),
    ]
}

fn weighed(part: &PartSheet, _: &PlanPartSheet) -> Option<Rich> {
    Some(at_most(&part.falls.as_ref()?.total).into())
}

fn rigged(part: &PartSheet, plan: &PlanPartSheet) -> Option<Rich> {
    let mut said = Rich::from(canopies(part)?);
    for (what, number) in [("lines", &plan.line_length), ("riser", &plan.riser_length)] {
        if let Some(number) = number {
            said = said.plain(format!(", {what} ")).number(Shown::from(number));
        }
    }
    Some(said)
}

fn heights(plan: &PlanPartSheet) -> Option<Rich> {
    let mut said = Rich::new();
    for event in &plan.events {
        let when: Rich = match event.begins.as_ref()? {
            BeginsSheet::Top => "at the top".into(),
            BeginsSheet::After(time) => Rich::new().number(Shown::from(time)).plain(" after it"),
            BeginsSheet::Below(height) => Rich::from("at ").number(Shown::from(height)),
        };
        said = if said.is_empty() { said } else { said.plain(", ") };
        said = said.plain(format!("{} ", event.name)).then(when);
    }
    (!said.is_empty()).then_some(said)
}

fn closed(plan: &PlanPartSheet) -> Option<Rich> {
    let mut says = plan.bay.join(", ");
    if plan.pyrotechnic {
        says = if says.is_empty() { says } else { says + ", " };
        says += "a pyrotechnic source (fitted and armed last, by who is licensed for it, as local codes say)";
    }
    (!says.is_empty()).then(|| says.into())
}

/// The lists of packing, a section a part, and that of the day.
pub(super) fn sections(sheet: &Sheet) -> Vec<Section> {
    let mut sections: Vec<Section> = with_plans(sheet)
        .map(|(part, plan)| {
            Section::new(format!("{}-to-pack", part.name), format!("{}: to pack, in this order", part.name))
                .in_report(Body::Checks(to_pack(part, plan)))
        })
        .collect();
    sections.push(Section::new("launch-day", "On the day").in_report(Body::Checks(of_the_day(sheet))));
    sections
}

fn to_pack(part: &PartSheet, plan: &PlanPartSheet) -> Vec<Rich> {
    let mut checks =
        vec!["Canopies: no hole, no burn, no open seam; lines free of knots, all of one length.".into()];
    if let Some(rigged) = rigged(part, plan) {
        checks.push(Rich::from("Rigged: ").then(rigged).plain("; every link closed and locked."));
    }
    if let Some(harness) = &part.harness {
        for point in &harness.points {
            let leg = Shown { doubt_si: MILLIMETRE, ..Shown::from(&point.leg) };
            let at = Shown { doubt_si: MILLIMETRE, ..Shown::from(&point.at) };
            checks.push(
                Rich::from(format!("{}: leg of ", point.id))
                    .number(leg)
                    .plain(", fastened ")
                    .number(at)
                    .plain(" from the front end."),
            );
        }
    }
    for packing in &part.packing {
        checks.extend(packing.contents.iter().map(packed));
        if let Some(spare) = packing.spare.as_ref().filter(|spare| spare.si >= 0.0) {
            let spare = Shown { doubt_si: MILLIMETRE, ..Shown::from(spare) };
            checks.push(
                Rich::from("Left free under the lid: about ")
                    .number(spare)
                    .plain("; nothing is pressed in by force."),
            );
        }
    }
    if let Some(closed) = closed(plan) {
        checks.push(Rich::from("The bay closed: ").then(closed).plain("."));
    }
    checks.push("Who packed it, and when: ________________".into());
    checks
}

fn packed(content: &ContentSheet) -> Rich {
    let to = Shown { doubt_si: MILLIMETRE, ..Shown::from(&content.to) };
    Rich::from(format!("In goes: {}, ending ", content.name)).number(to).plain(" from the bulkhead.")
}

fn of_the_day(sheet: &Sheet) -> Vec<Rich> {
    let mut checks = at_the_pad(sheet);
    for (part, _) in with_plans(sheet) {
        let devices = part.failure_tree.iter().filter(|failure| failure.how == "does nothing");
        let names: Vec<&str> = devices.map(|failure| failure.fails.as_str()).collect();
        if !names.is_empty() {
            checks.push(format!("{}, each tried: {}.", part.name, names.join(", ")).into());
        }
    }
    checks.push(
        "The paper's fingerprint is that of the project as it stands; if an input changed, work and print it anew.".into(),
    );
    checks.push(
        "The field, its edge and every place to keep out of are free of people; the officer has seen it."
            .into(),
    );
    checks.push(
        "After landing: whoever goes to it knows what may still be under pressure, charged or armed.".into(),
    );
    checks
}
