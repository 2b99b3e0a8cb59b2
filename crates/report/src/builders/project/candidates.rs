//! The canopies that could be flown: those that stay, against each case, and why the rest do not.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{CandidateSheet, CaseSheet, Number, PartSheet};

use super::super::shared;
use super::standing;
use crate::document::{Cell, Column, Fold, Range, Rich, Row, Section, Shown, Table, Weight};
use crate::figures::{CandidateField, CandidateMark, Drawing, Figure};

/// So many that stay are told on a terminal.
const TOLD: usize = 7;

pub(super) fn section(part: &PartSheet) -> Option<Section> {
    if part.candidates.is_empty() {
        return None;
    }
    let stay = pinned(part);
    let rest: Vec<&CandidateSheet> = part.candidates.iter().filter(|c| !is_shown(part, c)).collect();
    let heading =
        format!("{}: {} canopies tried, {}", part.name, part.candidates.len(), staying_in_words(part));
    let mut section = super::section(part, "candidates", heading)
        .on_terminal(short(part))
        .in_report(against_cases(part, &stay))
        .in_report(reasons("What speaks for each", &stay));
    if let Some(figure) = figure(part) {
        section = section.in_report(figure);
    }
    if !rest.is_empty() {
        let caption = format!("The other {} and why they do not stay", rest.len());
        section = section.in_report(reasons(&caption, &rest).folded(Fold::Shut));
    }
    Some(section)
}

/// "5 stay", and whether none of them holds.
fn staying_in_words(part: &PartSheet) -> String {
    let stay = part.candidates.iter().filter(|candidate| candidate.stays()).count();
    let none = if standing::none_holds(part) { ", none holds" } else { "" };
    format!("{stay} stay{none}")
}

fn is_chosen(part: &PartSheet, candidate: &CandidateSheet) -> bool {
    part.choice.id() == Some(candidate.id.as_str())
}

fn is_shown(part: &PartSheet, candidate: &CandidateSheet) -> bool {
    candidate.stays() || is_chosen(part, candidate)
}

/// Those that stay, the chosen first.
fn pinned(part: &PartSheet) -> Vec<&CandidateSheet> {
    let mut shown: Vec<&CandidateSheet> = part.candidates.iter().filter(|c| is_shown(part, c)).collect();
    shown.sort_by_key(|candidate| !is_chosen(part, candidate));
    shown
}

fn name(candidate: &CandidateSheet) -> String {
    format!("{} × {}", candidate.count, candidate.offer)
}

fn weight(part: &PartSheet, candidate: &CandidateSheet) -> Weight {
    if is_chosen(part, candidate) { Weight::Chosen } else { Weight::Counts }
}

/// Those that stay by what they cost, the one that the cases stand for set off where it stands.
fn short(part: &PartSheet) -> Table {
    let caption = format!("Canopies: {} tried, {}", part.candidates.len(), staying_in_words(part));
    let mut table = Table::new(caption, vec![Column::text(""), Column::text(""), Column::text("")]);
    let all: Vec<&CandidateSheet> = part.candidates.iter().filter(|c| is_shown(part, c)).collect();
    // The chosen is told even where it comes late.
    let late = all.iter().skip(TOLD).filter(|candidate| is_chosen(part, candidate));
    for candidate in all.iter().take(TOLD).chain(late) {
        table = table.row(
            Row::new(vec![
                name(candidate).into(),
                standing::word(candidate).into(),
                standing::in_short(part, candidate).into(),
            ])
            .weighing(weight(part, candidate)),
        );
    }
    if let Some(left) = all.len().checked_sub(table.rows.len()).filter(|left| *left > 0) {
        table = table.row(Row::new(vec![Rich::new().quiet(format!("and {left} more")).into()]));
    }
    table
}

/// Rows those that stay, columns what they cost and the cases.
fn against_cases(part: &PartSheet, stay: &[&CandidateSheet]) -> Table {
    let costs: [(&str, Kind, Cost); 3] = [
        ("mass", Kind::Mass, |c| c.mass.as_ref()),
        ("room", Kind::Volume, |c| c.volume.as_ref()),
        ("price", Kind::Money, |c| c.price.as_ref()),
    ];
    let known: Vec<&(&str, Kind, Cost)> =
        costs.iter().filter(|(_, _, cost)| stay.iter().any(|c| cost(c).is_some())).collect();
    // A case without a limit rules nothing out.
    let judged = |case: &&CaseSheet| !case.limits.is_empty();
    let worked = |case: &&CaseSheet| stay.iter().any(|c| c.cases.iter().any(|given| given.case == case.id));
    let cases: Vec<&CaseSheet> = part.cases.iter().filter(judged).filter(worked).collect();
    let mut columns = vec![Column::text("Canopies")];
    for (words, kind, _) in &known {
        // Money has no unit of ours.
        let column =
            if *kind == Kind::Money { Column::text(*words).right() } else { Column::numbers(words, *kind) };
        columns.push(column);
    }
    for case in &cases {
        columns.push(Column::ranges(case.title.as_str(), Kind::Speed));
        columns.push(Column::text(""));
    }
    let mut table = Table::new("Those that nothing beats on all counts, the chosen first", columns);
    for candidate in stay {
        let mut cells: Vec<Cell> = vec![name(candidate).into()];
        for (_, _, cost) in &known {
            cells.push(cost(candidate).map_or_else(|| "".into(), |number| Shown::from(number).into()));
        }
        for case in &cases {
            cells.extend(in_case(candidate, case));
        }
        table = table.row(Row::new(cells).weighing(weight(part, candidate)));
    }
    table
}

type Cost = fn(&CandidateSheet) -> Option<&Number>;

/// The rate in a case, drawn against its limit, and the verdict.
fn in_case(candidate: &CandidateSheet, case: &CaseSheet) -> [Cell; 2] {
    let Some(given) = candidate.cases.iter().find(|given| given.case == case.id) else {
        return ["".into(), "".into()];
    };
    let drawn = given.rate.interval_95.as_ref().map_or_else(
        || Cell::from(""),
        |interval| Range { limit: rate_limit(case), ..shared::range(given.rate.si, interval) }.into(),
    );
    let said = Rich::new().number((&given.rate).into()).plain(", ").verdict(given.verdict);
    [drawn, said.into()]
}

fn rate_limit(case: &CaseSheet) -> Option<f64> {
    case.limits.iter().find(|limit| limit.of == "rate").map(|limit| limit.limit.si)
}

fn reasons(caption: &str, candidates: &[&CandidateSheet]) -> Table {
    let mut table =
        Table::new(caption, vec![Column::text("Canopies"), Column::text(""), Column::text("why")]);
    for candidate in candidates {
        table = table.row(Row::new(vec![
            name(candidate).into(),
            candidate.verdict.into(),
            standing::in_full(candidate).into(),
        ]));
    }
    table
}

/// Across what is known of all: mass, else price, else room; up the upper end of the rate in the governing case.
fn figure(part: &PartSheet) -> Option<Figure> {
    let case = part.cases.iter().find(|case| case.governs)?;
    let costs: [(&str, Kind, Cost); 3] = [
        ("mass of the canopies", Kind::Mass, |c| c.mass.as_ref()),
        ("price", Kind::Money, |c| c.price.as_ref()),
        ("packed volume", Kind::Volume, |c| c.volume.as_ref()),
    ];
    let (words, kind, cost) =
        costs.into_iter().find(|(_, _, cost)| part.candidates.iter().all(|c| cost(c).is_some()))?;
    let marks: Vec<CandidateMark> = part
        .candidates
        .iter()
        .filter_map(|candidate| {
            let given = candidate.cases.iter().find(|given| given.case == case.id)?;
            Some(CandidateMark {
                label: name(candidate),
                count: candidate.count,
                cost_si: cost(candidate)?.si,
                rate_m_per_s: given.rate.interval_95.as_ref()?.high,
                stays: candidate.stays(),
                chosen: is_chosen(part, candidate),
                verdict: candidate.verdict,
            })
        })
        .collect();
    (!marks.is_empty()).then(|| Figure {
        id: format!("{}-field", part.name),
        caption: "Every offer and count: the numeral is how many, struck through where a limit is missed; those that stay are \
                  joined, the chosen is ringed."
            .into(),
        description: format!(
            "{} candidates by {words} and by their rate with {}, against the limit.",
            marks.len(),
            case.title
        ),
        alternative: against_cases(part, &pinned(part)),
        drawing: Drawing::Candidates(CandidateField {
            marks,
            cost: kind,
            cost_words: words.to_owned(),
            rate_words: format!("{}: rate at worst", case.title),
            limit_m_per_s: rate_limit(case),
        }),
    })
}
