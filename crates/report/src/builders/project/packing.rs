//! What is packed in a part's bay, whether it fits, and which offer does.

use silkfall_core::cases::Verdict;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{ContentSheet, Number, PackingSheet, PartSheet};

use super::super::shared;
use super::deployment::capital;
use crate::document::{Cell, Column, Fold, Rich, Row, Section, Shown, Table, Weight};
use crate::figures::{BayDrawing, BayPiece, Drawing, Figure};

/// Lengths of a bay are told to a millimetre, whatever their doubt: that is what is cut and sewn.
const MILLIMETRE: f64 = 0.003;

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    part.packing.iter().map(|packing| section(part, packing)).collect()
}

fn length(number: &Number) -> Shown {
    Shown { doubt_si: MILLIMETRE, ..Shown::from(number) }
}

fn section(part: &PartSheet, packing: &PackingSheet) -> Section {
    let heading = Rich::from(format!("{}: ", part.name)).then(fits(packing));
    let mut section = super::section(part, "packing", heading);
    section = section.everywhere(summary(packing));
    if let Some(figure) = figure(part, packing) {
        section = section.in_report(figure);
    }
    if !packing.contents.is_empty() {
        section = section.in_report(contents(packing));
    }
    if let Some(how_hard) = how_hard(packing) {
        section = section.in_report(how_hard);
    }
    if !packing.offers.is_empty() {
        section = section.in_report(offers(part, packing));
    }
    for said in &packing.says {
        section = section.in_report(Rich::from(said.as_str()));
    }
    section
}

/// "what is packed does not fit, 10 mm short: misses".
fn fits(packing: &PackingSheet) -> Rich {
    let said = Rich::from(format!("what is packed: {}", packing.reason));
    if packing.verdict == Verdict::NotJudged { said } else { said.plain(": ").verdict(packing.verdict) }
}

/// What a person asks first: whether it fits, what lies in it, how much it takes.
fn summary(packing: &PackingSheet) -> Rich {
    let mut first = Rich::from(format!("Packing: {}", packing.reason));
    if packing.verdict != Verdict::NotJudged {
        first = first.plain(": ").verdict(packing.verdict);
    }
    first = first.plain(".");
    match takes(packing) {
        Some(takes) => first.plain(" ").then(takes),
        None => first,
    }
}

fn takes(packing: &PackingSheet) -> Option<Rich> {
    let (of, taken) = (packing.length.as_ref()?, packing.taken.as_ref()?);
    let names: Vec<&str> = packing.contents.iter().map(|content| content.name.as_str()).collect();
    let verb = if names.len() > 1 { "together take" } else { "takes" };
    let mut said = Rich::from(format!("{} {verb} ", capital(&names.join(", ")))).number(length(taken));
    if let Some(interval) = &taken.interval_95 {
        let path = format!("{}.interval_95", taken.id.0);
        let end = |at: usize, si: f64| Shown::new(format!("{path}.{at}"), si, MILLIMETRE, Kind::Length);
        said = said.plain(" (95 % sure: ").interval(end(0, interval.low), end(1, interval.high)).plain(")");
    }
    said = said.plain(" of ").number(length(of)).plain(" in a bay of ");
    Some(
        said.number(length(packing.diameter.as_ref()?))
            .plain(format!(" across; {}.", packing.pressed.as_ref()?)),
    )
}

fn how_hard(packing: &PackingSheet) -> Option<Rich> {
    let wanted = packing.density_wanted.as_ref()?;
    let shown = Shown { doubt_si: 3.0, ..Shown::from(wanted) };
    Some(
        Rich::from("To fill the bay just so, what is soft must be packed to ")
            .number(shown)
            .plain(format!(": {}.", packing.pressed.as_ref()?)),
    )
}

fn contents(packing: &PackingSheet) -> Table {
    let columns = vec![
        Column::text("From the bulkhead on"),
        Column::numbers("one takes", Kind::Volume),
        Column::numbers("length", Kind::Length),
        Column::text("95 % sure").in_unit_of(Kind::Length),
        Column::numbers("ends at", Kind::Length),
        Column::text(""),
    ];
    let mut table = Table::new("What lies in the bay, and what it takes of it", columns);
    for content in &packing.contents {
        let volume: Cell = content
            .volume
            .as_ref()
            .map_or_else(|| Rich::new().quiet("-").into(), |of| Shown::from(of).into());
        let interval = content.length.interval_95.as_ref().map(|interval| {
            shared::interval(&format!("{}.interval_95", content.length.id.0), interval, Kind::Length)
        });
        table = table.row(Row::new(vec![
            content.name.as_str().into(),
            volume,
            length(&content.length).into(),
            interval.unwrap_or_default().into(),
            length(&content.to).into(),
            Rich::new().quiet(basis(content)).into(),
        ]));
    }
    table
}

/// What the figure shows: in which order, how long, to where.
fn drawn(packing: &PackingSheet) -> Table {
    let columns = vec![
        Column::text("From the bulkhead on"),
        Column::numbers("length", Kind::Length),
        Column::numbers("ends at", Kind::Length),
    ];
    let mut table = Table::new("What lies in the bay, end on end", columns);
    for content in &packing.contents {
        let cells =
            vec![content.name.as_str().into(), length(&content.length).into(), length(&content.to).into()];
        table = table.row(Row::new(cells));
    }
    table
}

fn basis(content: &ContentSheet) -> String {
    match &content.trust {
        silkfall_core::ledger::Trust::Given | silkfall_core::ledger::Trust::Measured => content.basis.clone(),
        trust => format!("{} ({})", content.basis, trust.mark()),
    }
}

fn offers(part: &PartSheet, packing: &PackingSheet) -> Table {
    let columns = vec![
        Column::text("Offer"),
        Column::numbers("one takes", Kind::Volume),
        Column::text("surely").right(),
        Column::text("at most").right(),
        Column::text(""),
    ];
    let chosen = part.choice.id().and_then(|id| part.candidates.iter().find(|candidate| candidate.id == id));
    let mut table =
        Table::new("How many of each offer fit beside what else lies in the bay", columns).folded(Fold::Shut);
    for offer in &packing.offers {
        let path = format!("parts.{}.packing.{}.offers.{}", part.name, packing.name, offer.name);
        let weight = match chosen {
            Some(candidate) if candidate.offer == offer.name => Weight::Chosen,
            _ => Weight::Counts,
        };
        let row = Row::new(vec![
            offer.name.as_str().into(),
            Shown::from(&offer.volume).into(),
            Shown::count(format!("{path}.surely"), offer.surely).into(),
            Shown::count(format!("{path}.most"), offer.most).into(),
            Rich::new().quiet(&offer.basis).into(),
        ]);
        table = table.row(row.weighing(weight));
    }
    table
}

fn figure(part: &PartSheet, packing: &PackingSheet) -> Option<Figure> {
    let (diameter, of) = (packing.diameter.as_ref()?, packing.length.as_ref()?);
    if packing.contents.is_empty() {
        return None;
    }
    let piece = |content: &ContentSheet| BayPiece {
        label: content.name.clone(),
        from_m: content.to.si - content.length.si,
        to_m: content.to.si,
        fill: (&content.trust).into(),
    };
    Some(Figure {
        id: format!("{}-bay", part.name),
        caption: Rich::from(
            "The bay cut along its axis, to scale: the bulkhead at the left, the lid at the right. What stands out beyond the lid is wanting.",
        ),
        description: format!(
            "A bay with {} things packed in it end on end: {}.",
            packing.contents.len(),
            packing.reason
        ),
        alternative: drawn(packing),
        drawing: Drawing::Bay(BayDrawing {
            diameter_m: diameter.si,
            length_m: of.si,
            pieces: packing.contents.iter().map(piece).collect(),
        }),
    })
}
