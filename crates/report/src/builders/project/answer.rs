//! The answer of a part: verdict, cases against their limits, what it rests on.

use silkfall_core::cases::Verdict;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{CaseSheet, Choice, LimitSheet, Number, PartSheet};

use super::super::shared;
use super::{path_of, section, standing, tests};
use crate::document::{Answer, Body, Cell, Column, Range, Rich, Row, Section, Shown, Table};
use crate::figures::{CaseBars, CaseMark, Drawing, Figure};

/// A share of all of some thousands of trials is still not certain.
const LEAST_DOUBT: f64 = 0.0003;

/// The part's verdict in a line: "tube  MISSES 1 limit, meets 2", mass and canopies beside it.
pub(super) fn answer(part: &PartSheet) -> Answer {
    let mut beside = Vec::new();
    let mut under = Rich::new();
    if let Some(falls) = &part.falls {
        under = under.number((&falls.total).into());
    }
    if let Some(chosen) = part.choice.id() {
        let named = part.candidates.iter().find(|candidate| candidate.id == chosen);
        let name = named.map_or(chosen.to_owned(), |c| format!("{} × {}", c.count, c.offer));
        under = under.plain(if part.falls.is_some() { " under " } else { "under " }).strong(name);
    }
    if let Choice::NotYet(_) = part.choice {
        under = under.plain(" (not yet chosen)");
    }
    if !under.is_empty() {
        beside.push(under);
    }
    let result = Rich::from(format!("{}   ", part.name)).then(verdict(part));
    Answer { result, beside, below: beside_the_rates(part) }
}

/// What keeps it from flying though its rates are kept: a link that is too weak, a bay that is too short, a lid that stays on;
/// and that no candidate holds.
fn beside_the_rates(part: &PartSheet) -> Vec<Rich> {
    let load_path = [("load path", part.strength.verdict, &part.strength.reason)];
    let packing = part.packing.iter().map(|of| ("packing", of.verdict, &of.reason));
    let deployment = part.deployment.iter().map(|of| (of.title.as_str(), of.verdict, &of.reason));
    let open = load_path.into_iter().chain(packing).chain(deployment);
    let mut said: Vec<Rich> = open
        .filter(|(_, verdict, _)| matches!(verdict, Verdict::Misses | Verdict::Undecided))
        .map(|(what, verdict, reason)| Rich::from(format!("{what}: {reason}: ")).verdict(verdict))
        .collect();
    if standing::none_holds(part) {
        said.push("no candidate holds".into());
    }
    said
}

/// The limits counted, the worst first.
pub(super) fn verdict(part: &PartSheet) -> Rich {
    let path = path_of(part);
    let tally = &part.tally;
    let count = |field: &str, count: usize| Shown::count(format!("{path}.tally.{field}"), count);
    let limits = |count: usize| if count == 1 { " limit" } else { " limits" };
    let mut said = Rich::new();
    for (verdict, field, n) in [
        (Verdict::Misses, "misses", tally.misses),
        (Verdict::Undecided, "undecided", tally.undecided),
        (Verdict::Meets, "meets", tally.meets),
    ] {
        if n == 0 {
            continue;
        }
        let first = said.is_empty();
        said = if first { said } else { said.plain(", ") };
        // What is met is only a verdict by itself when nothing else is left.
        let whole = first && verdict == Verdict::Meets && n > 2;
        said = said.verdict(verdict).plain(match (verdict, whole) {
            (Verdict::Undecided, _) => " on ",
            (_, true) => " all ",
            _ => " ",
        });
        said = said.number(count(field, n));
        said = if first { said.plain(limits(n)) } else { said };
    }
    if said.is_empty() {
        let missing = part.cases.iter().find_map(|case| case.missing.as_deref());
        said =
            said.verdict(Verdict::NotJudged).plain(format!(": {}", missing.unwrap_or("no limit is stated")));
    }
    said
}

pub(super) fn sections(part: &PartSheet) -> Vec<Section> {
    let mut cases = section(part, "cases", heading(part)).on_terminal(answer(part));
    if let Some(about) = part.falls.as_ref().map(shared::falls) {
        cases = cases.in_report(about);
    }
    if let Some(missing) = no_case(part) {
        cases = cases.on_terminal(Rich::from(format!("No case can be worked: {missing}.")));
        if part.tests.iter().any(|test| test.rate.is_some()) {
            cases = cases.on_terminal(tests::overview(part));
        }
        cases = cases.in_report(cases_table(part));
    } else if !part.cases.is_empty() {
        cases = cases.everywhere(cases_table(part));
        for case in &part.cases {
            for text in remarks(case) {
                cases = cases.everywhere(text);
            }
        }
        if let Some(figure) = figure(part) {
            cases = cases.in_report(figure);
        }
        cases = cases.in_report(chances_and_sizes(part));
        if let Some(table) = at_medians(part) {
            cases = cases.in_report(table);
        }
    }
    if let Some(doubts) = doubts(part) {
        cases = cases.in_report(doubts);
    }
    let mut sections = vec![cases];
    if !part.rests_on.is_empty() {
        sections.push(
            section(part, "rests-on", format!("{}: what it rests on", part.name)).everywhere(rests_on(part)),
        );
    }
    sections
}

/// The reason why none of the cases can be worked.
fn no_case(part: &PartSheet) -> Option<&str> {
    let missing = part.cases.first()?.missing.as_deref()?;
    part.cases.iter().all(|case| case.missing.is_some()).then_some(missing)
}

fn heading(part: &PartSheet) -> Rich {
    Rich::from(format!("{} ", part.name)).then(verdict(part))
}

pub(super) fn cases_table(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::numbers("", Kind::Speed),
        Column::text("95 of 100").in_unit_of(Kind::Speed),
        Column::numbers("", Kind::Energy),
        Column::text("limit").in_unit_of(Kind::Speed),
        Column::text("in limit").right(),
        Column::text("at worst").right(),
        Column::text(""),
        Column::ranges("", Kind::Speed),
    ];
    let mut table = Table::new(format!("{}: cases at full size", part.name), columns).quiet_caption();
    for case in &part.cases {
        if case.limits.is_empty() {
            table = table.row(case_row(case, None, true));
        }
        for (at, limit) in case.limits.iter().enumerate() {
            table = table.row(case_row(case, Some(limit), at == 0));
        }
    }
    table
}

pub(super) fn interval(number: &Number) -> Rich {
    match &number.interval_95 {
        Some(interval) => shared::interval(&format!("{}.interval_95", number.id.0), interval, number.kind),
        None => Rich::new(),
    }
}

/// A case against one of its limits: the limit, the share within, that share at worst, and the verdict as `word` says it.
pub(super) fn against(
    case: &CaseSheet,
    limit: Option<&LimitSheet>,
    word: impl Fn(&LimitSheet) -> Rich,
) -> [Cell; 4] {
    let dash = || Cell::from(Rich::new().quiet("-"));
    let Some(limit) = limit else {
        // Of a case that is not worked a limit may stand in the project.
        let (limit, word) = match &case.missing {
            Some(missing) => (dash(), Rich::from(case.verdict).plain(format!(": {missing}"))),
            None => ("none".into(), Rich::from(case.verdict)),
        };
        return [limit, dash(), dash(), word.into()];
    };
    let share =
        |number: &Number| Shown { doubt_si: limit.standard_error.max(LEAST_DOUBT), ..Shown::from(number) };
    [
        Shown { doubt_si: 0.0, ..Shown::from(&limit.limit) }.into(),
        share(&limit.share).into(),
        share(&limit.at_worst).into(),
        word(limit).into(),
    ]
}

/// A case against one of its limits; the case itself is told in the first of its rows.
fn case_row(case: &CaseSheet, limit: Option<&LimitSheet>, first: bool) -> Row {
    let number = |number: &Option<Number>| -> Cell {
        number.as_ref().filter(|_| first).map_or_else(|| "".into(), |number| Shown::from(number).into())
    };
    let [bound, within, worst, verdict] = against(case, limit, said);
    let mut cells: Vec<Cell> = vec![
        if first { case.title.as_str().into() } else { "".into() },
        number(&case.rate),
        case.rate.as_ref().filter(|_| first).map_or_else(Rich::new, interval).into(),
        number(&case.energy),
        bound,
        within,
        worst,
        verdict,
    ];
    if let Some(range) = case.rate.as_ref().filter(|_| first).and_then(|rate| range_of(case, rate)) {
        cells.push(range.into());
    }
    Row::new(cells)
}

/// The verdict on a limit, with the wanted share where it is not met.
fn said(limit: &LimitSheet) -> Rich {
    let word = Rich::from(limit.verdict);
    match limit.verdict {
        Verdict::Misses | Verdict::Undecided => {
            let wanted = Shown { doubt_si: 0.0, ..Shown::from(&limit.wanted) };
            word.plain(" (").number(wanted).plain(" wanted)")
        }
        Verdict::Meets | Verdict::NotJudged => word,
    }
}

/// Where flights lie, against the limit on the rate.
fn range_of(case: &CaseSheet, rate: &Number) -> Option<Range> {
    let interval = rate.interval_95.as_ref()?;
    let limit = case.limits.iter().find(|limit| limit.of == "rate").map(|limit| limit.limit.si);
    Some(Range { limit, ..shared::range(rate.si, interval) })
}

/// What else is to be said of a case: the test that would settle it.
fn remarks(case: &CaseSheet) -> Vec<Rich> {
    let settle = case.limits.iter().filter_map(|limit| limit.settle.as_ref());
    settle.map(|text| Rich::from(format!("{}: {text}", case.title))).collect()
}

fn figure(part: &PartSheet) -> Option<Figure> {
    let cases: Vec<CaseMark> = part
        .cases
        .iter()
        .filter_map(|case| {
            let range = range_of(case, case.rate.as_ref()?)?;
            Some(CaseMark { label: case.title.clone(), range, verdict: case.verdict })
        })
        .collect();
    (!cases.is_empty()).then(|| Figure {
        id: format!("{}-case-bars", part.name),
        caption: "Where 95 of 100 flights lie in each case, against its limit.".into(),
        description: format!(
            "Descent rates of {} cases of {} as bands against their limits.",
            cases.len(),
            part.name
        ),
        alternative: cases_table(part),
        drawing: Drawing::Cases(CaseBars {
            cases,
            kind: Kind::Speed,
            words: "descent rate, 95 of 100 flights".to_owned(),
        }),
    })
}

/// How likely each case is and how that was taken, and the canopy that would just do.
fn chances_and_sizes(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Case"),
        Column::text("chance").right(),
        Column::text("size wanted").right(),
        Column::text("95 % sure"),
        Column::text(""),
    ];
    let caption =
        "How likely each case is, and the nominal diameter of canopies that would just meet its limits";
    let mut table = Table::new(caption, columns);
    for case in &part.cases {
        let number = |number: &Option<Number>| -> Cell {
            number.as_ref().map_or_else(|| Rich::new().quiet("-").into(), |number| Shown::from(number).into())
        };
        let mut said = Rich::new();
        if case.governs {
            said = said.strong("governs");
        }
        if let Some(chance) = &case.chance_says {
            said = if said.is_empty() { said } else { said.plain("; ") };
            said = said.quiet(chance);
        }
        table = table.row(Row::new(vec![
            case.title.as_str().into(),
            number(&case.chance),
            number(&case.size_wanted),
            case.size_wanted.as_ref().map_or_else(Rich::new, interval).into(),
            said.into(),
        ]));
    }
    table
}

/// The cases as they can be worked by hand: each number leads to its sum.
fn at_medians(part: &PartSheet) -> Option<Table> {
    let columns = vec![
        Column::text("Case"),
        Column::numbers("drag area", Kind::DragArea),
        Column::numbers("rate", Kind::Speed),
        Column::numbers("energy", Kind::Energy),
    ];
    let caption = "The same by closed form, all inputs at their medians: each number leads to its sum";
    let mut table = Table::new(caption, columns);
    for (case, by_hand) in part.cases.iter().filter_map(|case| Some((case, case.at_medians.as_ref()?))) {
        // As many digits as the simulated answer bears.
        let like = |number: &Number, of: &Option<Number>| Shown {
            doubt_si: of.as_ref().map_or(0.0, Number::half_width),
            ..Shown::from(number)
        };
        table = table.row(Row::new(vec![
            case.title.as_str().into(),
            Shown::from(&by_hand.drag_area).into(),
            like(&by_hand.rate, &case.rate).into(),
            like(&by_hand.energy, &case.energy).into(),
        ]));
    }
    (!table.rows.is_empty()).then_some(table)
}

fn doubts(part: &PartSheet) -> Option<Table> {
    let rate = part.cases.iter().find(|case| case.governs)?.rate.as_ref()?;
    shared::doubts_table(
        &format!("{}.doubts", path_of(part)),
        "rate in the governing case",
        &part.doubts,
        Kind::Speed,
        rate.si,
    )
}

fn rests_on(part: &PartSheet) -> Body {
    let columns = vec![
        Column::text("Rests on"),
        Column::text("value").by_point(),
        Column::text("95 % sure"),
        Column::text(""),
    ];
    let mut table = Table::new("What the answer rests on", columns).quiet_caption();
    for rest in &part.rests_on {
        table = table.row(Row::new(vec![
            rest.meaning.as_str().into(),
            Shown::from(&rest.number).into(),
            interval(&rest.number).into(),
            Rich::new().quiet(&rest.basis).into(),
        ]));
    }
    table.into()
}
