//! The first page: ten things, in the order in which they are asked.

use silkfall_core::finding::Severity;
use silkfall_core::quantity::{Kind, System};
use silkfall_sheet::{
    BeginsSheet, CaseLandingSheet, CaseSheet, LandingSheet, LimitSheet, Number, Outcome, PartSheet,
    PlanPartSheet, Sheet,
};

use super::super::answer::{against, interval, verdict};
use super::super::failure_tree::single_points;
use super::super::{landing, load_path};
use super::{canopies, lists, winds, with_plans};
use crate::builders::shared;
use crate::document::{Block, Body, Cell, Column, Rich, Row, Section, Shown, Signature, Step, Table};
use crate::figures::{Drawing, Figure, Silhouette, Silhouettes};
use crate::show;

const SUPERSCRIPTS: [&str; 10] = ["¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹", "⁰"];
/// So many single points and shared causes are named on the first page.
const NAMED: usize = 3;

/// The ten sections, numbered, since one names another.
pub(super) fn sections(sheet: &Sheet) -> Vec<Section> {
    let mut sections = vec![what_and_who(sheet), answer(sheet), what_falls(sheet), cases(sheet)];
    sections.extend(winds::sections(sheet));
    sections.extend(side_by_side(weakest(sheet), rests_on(sheet)));
    sections.extend([checks(sheet), signatures(sheet)]);
    let mut number = 0;
    for section in &mut sections {
        number += 1;
        section.heading = Rich::new().quiet(format!("{number}  ")).then(std::mem::take(&mut section.heading));
    }
    sections
}

/// Names of all parts together that are short enough to be said again and again, characters.
const SHORT: usize = 48;

/// What a part is called on the first page after item 1: by its name, or by a letter where the names are long.
pub(super) fn tag(sheet: &Sheet, name: &str) -> String {
    let letter = sheet.parts.iter().zip('A'..='Z').find(|(part, _)| part.name == name);
    match letter {
        Some((_, letter)) if !are_short(sheet) => letter.to_string(),
        _ => name.to_owned(),
    }
}

fn are_short(sheet: &Sheet) -> bool {
    sheet.parts.iter().map(|part| part.name.chars().count()).sum::<usize>() <= SHORT
}

/// Its name, with the letter that stands for it where there is one.
fn named(sheet: &Sheet, part: &PartSheet) -> String {
    if are_short(sheet) { part.name.clone() } else { format!("{}: {}", tag(sheet, &part.name), part.name) }
}

/// The largest that was worked with: the upper end of the interval, where there is one.
pub(super) fn at_most(number: &Number) -> Shown {
    match &number.interval_95 {
        Some(interval) => {
            let id = format!("{}.interval_95.1", number.id.0);
            Shown::new(id, interval.high, number.half_width(), number.kind)
        }
        None => Shown::from(number),
    }
}

fn fact(label: &str, text: impl Into<Rich>) -> Step {
    Step { label: label.to_owned(), text: text.into() }
}

fn what_and_who(sheet: &Sheet) -> Section {
    let plan = &sheet.plan;
    let stated = |text: &Option<String>| text.clone().unwrap_or_else(|| "not stated".to_owned());
    let mut what = Rich::new();
    for (at, part) in sheet.parts.iter().enumerate() {
        what = if at == 0 { what } else { what.plain("; ") };
        what = what.strong(named(sheet, part));
        if let Some(canopies) = canopies(part) {
            what = what.plain(format!(" under {canopies}"));
        }
    }
    let who = format!(
        "built by {}; decided at the field by {}",
        stated(&plan.builder),
        stated(&plan.safety_officer)
    );
    let facts = vec![
        fact("What", what),
        fact("Who", who),
        fact("Where, when", format!("{}; {}", stated(&plan.place), stated(&plan.date))),
        fact("Plan", Rich::from(stated(&plan.number)).plain("; inputs ").code(&sheet.fingerprint)),
        fact("Void if", void_if(sheet)),
    ];
    Section::new("front-what", "What, who, where, when").on_front(6).in_report(Body::Facts(facts))
}

/// Up to which mass, top and wind it holds, and what must not be exchanged.
pub(super) fn void_if(sheet: &Sheet) -> Rich {
    let mut said = Rich::new();
    for part in &sheet.parts {
        if let Some(falls) = &part.falls {
            said = said
                .plain(format!("{} above ", tag(sheet, &part.name)))
                .number(at_most(&falls.total))
                .plain(", ");
        }
    }
    let tops: Vec<&LandingSheet> = distinct_tops(sheet);
    for landing in &tops {
        let of = if tops.len() > 1 {
            format!("{} released above ", tag(sheet, &landing.part))
        } else {
            "top above ".to_owned()
        };
        said = said.plain(of).number(at_most(&landing.top)).plain(", ");
    }
    said.plain("ground wind outside item 5, a canopy, link or input exchanged.")
}

/// One landing for each height of the top that is not another's.
fn distinct_tops(sheet: &Sheet) -> Vec<&LandingSheet> {
    let mut tops: Vec<&LandingSheet> = Vec::new();
    for landing in &sheet.landing {
        if !tops.iter().any(|known| (known.top.si - landing.top.si).abs() < 1e-9) {
            tops.push(landing);
        }
    }
    tops
}

/// Limits met, missed, undecided, not judged, part by part; who decides; a line of caution.
fn answer(sheet: &Sheet) -> Section {
    let heading = match sheet.outcome {
        Outcome::Done => "All that is judged meets",
        Outcome::LimitMissed => "Something that is judged is missed or undecided",
        Outcome::NoAnswer => "No answer yet: an input is missing or cannot be read",
    };
    let mut section = Section::new("front-verdict", heading).on_front(6);
    for part in &sheet.parts {
        section = section.in_report(said_of(sheet, part));
    }
    let decides = sheet.plan.safety_officer.as_ref();
    let decides = decides.map_or_else(String::new, |name| format!(" Here that is {name}."));
    section.in_report(Body::Caution(shared::caution().plain(decides)))
}

fn said_of(sheet: &Sheet, part: &PartSheet) -> Rich {
    let mut said = Rich::new().strong(tag(sheet, &part.name)).plain(": ").then(verdict(part));
    if part.tally.not_judged > 0 {
        let path = format!("parts.{}.tally.not_judged", part.name);
        let cases = if part.tally.not_judged == 1 { " case not judged" } else { " cases not judged" };
        said = said.plain(", ").number(Shown::count(path, part.tally.not_judged)).plain(cases);
    }
    let landing = sheet.landing.iter().find(|landing| landing.part == part.name);
    let mix = landing.and_then(|landing| landing.mix.as_ref());
    let strength = std::iter::once(("load path", part.strength.verdict));
    let beside = mix.map(|mix| ("landing inside the field", mix.verdict)).into_iter().chain(strength);
    let beside = beside.chain(part.packing.iter().map(|of| ("packing", of.verdict)));
    let beside = beside.chain(part.deployment.iter().map(|of| (of.title.as_str(), of.verdict)));
    for (what, verdict) in beside {
        said = said.plain(format!("; {what} ")).verdict(verdict);
    }
    said.plain(".")
}

fn what_falls(sheet: &Sheet) -> Section {
    let mut section = Section::new("front-falls", "What falls").on_front(6);
    if let Some(figure) = silhouettes(sheet) {
        section = section.in_report(figure);
    }
    for (part, plan) in with_plans(sheet) {
        section = section.in_report(falls_and_opens(sheet, part, plan));
    }
    section
}

/// "tube, 9.73 kg: drogue at the top, 850 m; canopies below 200 m."
fn falls_and_opens(sheet: &Sheet, part: &PartSheet, plan: &PlanPartSheet) -> Rich {
    let mut said = Rich::new().strong(tag(sheet, &part.name));
    if let Some(falls) = &part.falls {
        said = said.plain(", ").number(Shown::from(&falls.total));
    }
    let top = sheet.landing.iter().find(|landing| landing.part == part.name).map(|landing| &landing.top);
    said = said.plain(": ");
    if plan.events.is_empty() {
        said = said.plain("opens at once");
    }
    for (at, event) in plan.events.iter().enumerate() {
        said = said.plain(format!("{}{} ", if at == 0 { "" } else { "; then " }, event.name));
        said = match &event.begins {
            Some(BeginsSheet::Top) => match top {
                Some(top) => said.plain("at the top, ").number(Shown::from(top)),
                None => said.plain("at the top"),
            },
            Some(BeginsSheet::After(time)) => said.number(Shown::from(time)).plain(" after the top"),
            Some(BeginsSheet::Below(height)) => said.plain("at ").number(Shown::from(height)),
            None => said.plain("at a height not known yet"),
        };
    }
    said.plain(".")
}

fn silhouettes(sheet: &Sheet) -> Option<Figure> {
    let columns = vec![
        Column::text("Part"),
        Column::numbers("body, long", Kind::Length),
        Column::numbers("across", Kind::Length),
        Column::text("canopies").right(),
        Column::numbers("nominal diameter", Kind::Length),
        Column::numbers("lines", Kind::Length),
        Column::numbers("riser", Kind::Length),
    ];
    let mut table = Table::new("What falls, as it is drawn", columns);
    let mut parts = Vec::new();
    for plan in &sheet.plan.parts {
        let si = |number: &Option<Number>| number.as_ref().map(|number| number.si);
        let cell = |number: &Option<Number>| -> Cell {
            number.as_ref().map_or_else(|| "".into(), |number| Shown::from(number).into())
        };
        let count = Shown::count(format!("plan.parts.{}.count", plan.part), plan.count);
        table = table.row(Row::new(vec![
            plan.part.as_str().into(),
            cell(&plan.body_length),
            cell(&plan.body_diameter),
            count.into(),
            cell(&plan.canopy_diameter),
            cell(&plan.line_length),
            cell(&plan.riser_length),
        ]));
        parts.push(Silhouette {
            label: tag(sheet, &plan.part),
            length_m: si(&plan.body_length),
            diameter_m: si(&plan.body_diameter),
            level: plan.level,
            count: plan.count,
            canopy_m: si(&plan.canopy_diameter),
            lines_m: si(&plan.line_length).unwrap_or(0.0),
            riser_m: si(&plan.riser_length).unwrap_or(0.0),
        });
    }
    let names = sheet.plan.parts.iter().map(|part| part.part.as_str()).collect::<Vec<_>>().join(", ");
    (!parts.is_empty()).then(|| Figure {
        id: "silhouettes".to_owned(),
        caption: "To one scale; canopies as wide as their nominal diameter, inflated they are narrower."
            .into(),
        description: format!("Outlines of {names} with their canopies, to one scale."),
        alternative: table,
        drawing: Drawing::Silhouettes(Silhouettes { parts }),
    })
}

/// Part × case: chance, rate, energy with drift, limit, share, at worst; sources of the chances below.
fn cases(sheet: &Sheet) -> Section {
    let is_one = sheet.parts.len() == 1;
    let mut columns = vec![
        Column::text("Case"),
        Column::text("chance").right(),
        Column::numbers("down", Kind::Speed),
        Column::text("95 of 100").in_unit_of(Kind::Speed),
        Column::numbers("energy", Kind::Energy),
        Column::text("limit").right(),
        Column::text("in limit").right(),
        Column::text("at worst").right(),
        Column::text(""),
    ];
    if !is_one {
        columns.insert(0, Column::text("Part"));
    }
    let mut table = Table::new("At the ground, energy with drift", columns).quiet_caption();
    let mut sources: Vec<&str> = Vec::new();
    for part in &sheet.parts {
        let landing = sheet.landing.iter().find(|landing| landing.part == part.name);
        let mut rows = part.cases.iter().flat_map(|case| {
            let landed = landing.and_then(|landing| landing.cases.iter().find(|one| one.case == case.id));
            case_rows(case, landed, &mut sources)
        });
        if is_one {
            table = rows.fold(table, |table, cells| table.row(Row::new(cells)));
            continue;
        }
        // Its name stands where it begins.
        if let Some(mut cells) = rows.next() {
            cells.insert(0, Rich::new().strong(tag(sheet, &part.name)).into());
            table = table.row(Row::new(cells));
        }
        for mut cells in rows {
            cells.insert(0, "".into());
            table = table.row(Row::new(cells));
        }
    }
    let mut section = Section::new("front-cases", "What may happen, and what it comes to").on_front(6);
    section = section.in_report(table);
    if sources.is_empty() {
        return section;
    }
    let mut said = Rich::from("Chances: ");
    for (at, source) in sources.iter().enumerate() {
        said = said.plain(format!("{}{} {source}", if at == 0 { "" } else { "; " }, mark(at)));
    }
    section.in_report(Rich::new().then(said.plain(".")))
}

fn mark(at: usize) -> String {
    let number = (at + 1).to_string();
    let digit = |c: char| c.to_digit(10).map_or("", |digit| SUPERSCRIPTS[(digit as usize + 9) % 10]);
    number.chars().map(digit).collect()
}

/// A row for each limit.
fn case_rows<'a>(
    case: &'a CaseSheet,
    landed: Option<&'a CaseLandingSheet>,
    sources: &mut Vec<&'a str>,
) -> Vec<Vec<Cell>> {
    let limits: Vec<Option<&LimitSheet>> =
        if case.limits.is_empty() { vec![None] } else { case.limits.iter().map(Some).collect() };
    let mut rows = Vec::new();
    for (at, limit) in limits.into_iter().enumerate() {
        let mut cells: Vec<Cell> = if at == 0 { of_case(case, landed, sources) } else { vec!["".into(); 5] };
        cells.extend(against(case, limit, |limit| Rich::from(limit.verdict)));
        rows.push(cells);
    }
    rows
}

fn of_case<'a>(
    case: &'a CaseSheet,
    landed: Option<&'a CaseLandingSheet>,
    sources: &mut Vec<&'a str>,
) -> Vec<Cell> {
    let number = |number: Option<&Number>| -> Cell {
        number.map_or_else(|| "".into(), |number| Shown::from(number).into())
    };
    let source = landed.and_then(|landed| landed.chance_source.as_deref());
    let source = source.or(case.chance_says.as_deref());
    let chance = landed.and_then(|landed| landed.chance.as_ref()).or(case.chance.as_ref());
    let chance: Cell = match chance {
        Some(chance) => {
            let said = Rich::from(landing::share(chance, landing::LEAST_DOUBT));
            match source {
                Some(source) => said.quiet(mark(place_of(source, sources))).into(),
                None => said.into(),
            }
        }
        None => Rich::new().quiet("not known").into(),
    };
    // With drift where the fall was simulated.
    let energy = landed.and_then(|landed| landed.energy.as_ref()).or(case.energy.as_ref());
    vec![
        case.title.as_str().into(),
        chance,
        number(case.rate.as_ref()),
        case.rate.as_ref().map_or_else(Rich::new, interval).into(),
        number(energy),
    ]
}

/// Where a source stands among those told.
fn place_of<'a>(source: &'a str, sources: &mut Vec<&'a str>) -> usize {
    sources.iter().position(|known| *known == source).unwrap_or_else(|| {
        sources.push(source);
        sources.len() - 1
    })
}

/// Both in a row; the second gets two thirds of it where it says so much more.
fn side_by_side(one: Section, other: Section) -> [Section; 2] {
    let said = |section: &Section| -> usize {
        let says = |block: &Block| match &block.body {
            Body::Paragraph(text) => show::plain(text, System::Si).chars().count(),
            _ => 0,
        };
        section.blocks.iter().map(says).sum()
    };
    let widths = if 2 * said(&other) > 3 * said(&one) { (2, 4) } else { (3, 3) };
    [one.on_front(widths.0), other.on_front(widths.1)]
}

/// The weakest member, single points and shared causes.
fn weakest(sheet: &Sheet) -> Section {
    let mut section = Section::new("front-weakest", "Weakest part");
    for part in &sheet.parts {
        let said = Rich::new().strong(tag(sheet, &part.name)).plain(": ");
        section = section.in_report(said.then(load_path::summary(part)));
    }
    let named: Vec<String> = sheet
        .parts
        .iter()
        .flat_map(|part| {
            single_points(part).into_iter().map(move |said| format!("{}: {said}", tag(sheet, &part.name)))
        })
        .collect();
    let (shown, rest) = named.split_at(named.len().min(NAMED));
    let said = match (shown, rest) {
        ([], _) => "No single point is known; devices are stated for what they name only.".to_owned(),
        (shown, []) => format!("Single points and shared causes: {}.", shown.join("; ")),
        (shown, _) => {
            format!("Single points and shared causes: {}; the rest under failures.", shown.join("; "))
        }
    };
    section.in_report(Rich::from(said))
}

/// Drops, model or real canopy, the largest assumption, all that is from memory, what is still open.
fn rests_on(sheet: &Sheet) -> Section {
    let mut section = Section::new("front-rests", "What this rests on");
    for (part, plan) in with_plans(sheet) {
        let drops = Shown::count(format!("plan.parts.{}.drops", plan.part), plan.drops);
        let mut said = Rich::new().strong(tag(sheet, &part.name)).plain(": ").number(drops);
        said = said.plain(if plan.drops == 1 { " drop of " } else { " drops of " });
        said = said.plain(if plan.model { "a model" } else { "the real thing" });
        if let Some(doubt) = part.doubts.first() {
            let id = format!("parts.{}.doubts.0.relative", part.name);
            let share = Shown::new(id, doubt.relative, 0.003, Kind::Share);
            said = said.plain(format!("; most in doubt: {}, ± ", doubt.cause)).number(share);
        }
        let assumed = part.rests_on.iter().filter(|rest| rest.trust.word() == "assumed");
        let assumed: Vec<&str> = assumed.map(|rest| rest.meaning.as_str()).collect();
        if let Some(first) = assumed.first() {
            said = said.plain(format!("; largest assumption: {first}"));
        }
        section = section.in_report(said.plain("."));
    }
    section = section.in_report(from_memory(sheet));
    section.in_report(still_open(sheet))
}

/// By kind of figure, what the parts have in common once; the documents stand with each part's numbers.
fn from_memory(sheet: &Sheet) -> Rich {
    let mut kinds: Vec<(String, Vec<&str>)> = Vec::new();
    for line in &sheet.from_memory {
        let kind = match line.id.split_once('.') {
            Some(("parts" | "landing", rest)) => rest.rsplit('.').next().unwrap_or(rest).replace('_', " "),
            _ => "air".to_owned(),
        };
        // The landing of a part is told under the part's name.
        let kind = if line.id.starts_with("landing.") { "landing".to_owned() } else { kind };
        let at = kinds.iter().position(|(known, _)| *known == kind).unwrap_or_else(|| {
            kinds.push((kind, Vec::new()));
            kinds.len() - 1
        });
        for name in &line.names {
            if !kinds[at].1.contains(&name.as_str()) {
                kinds[at].1.push(name);
            }
        }
    }
    if kinds.is_empty() {
        return "From memory: nothing.".into();
    }
    let told: Vec<String> =
        kinds.iter().map(|(kind, names)| format!("{kind}: {}", names.join(", "))).collect();
    format!("Rests on a value from memory, not read up: {}.", told.join("; ")).into()
}

fn still_open(sheet: &Sheet) -> Rich {
    let mut names: Vec<&str> = Vec::new();
    for finding in shared::gravest_first(&sheet.findings) {
        let name = finding.code.name();
        if finding.severity() != Severity::Note && !names.contains(&name) {
            names.push(name);
        }
    }
    match names.as_slice() {
        [] => "No finding is open.".into(),
        names => format!("Findings open: {}.", names.join(", ")).into(),
    }
}

fn checks(sheet: &Sheet) -> Section {
    Section::new("front-checks", "To check at the pad")
        .on_front(3)
        .in_report(Body::Checks(lists::at_the_pad(sheet)))
}

fn signatures(sheet: &Sheet) -> Section {
    let builder =
        Signature { role: "builder".to_owned(), name: sheet.plan.builder.clone(), boxes: Vec::new() };
    let officer = Signature {
        role: "safety officer".to_owned(),
        name: sheet.plan.safety_officer.clone(),
        boxes: ["accepted", "accepted if", "refused"].map(str::to_owned).to_vec(),
    };
    Section::new("front-signatures", "Signatures")
        .on_front(3)
        .in_report(Body::Signatures(vec![builder, officer]))
}
