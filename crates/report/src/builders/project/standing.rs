//! Why a candidate stays or goes, in words: what it costs beside another, what its neighbours lack or take.

use silkfall_core::cases::Verdict;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{
    CandidateCase, CandidateSheet, CandidateStanding, Cost, CostsSheet, NeighbourSheet, Number, PartSheet,
};

use crate::document::{Form, Rich, Shown};

/// "meets all", "undecided", "not judged": the word of a candidate that is told beside others.
pub(super) fn word(candidate: &CandidateSheet) -> Rich {
    let word = Rich::from(candidate.verdict);
    if candidate.verdict == Verdict::Meets { word.plain(" all") } else { word }
}

/// One that stays, on a line: its own costs where the cases stand for it, else what it takes more than that one; then
/// what sets it apart.
pub(super) fn in_short(part: &PartSheet, candidate: &CandidateSheet) -> Rich {
    let costs = match &candidate.over_choice {
        Some(more) => differences(more),
        None => absolute(candidate),
    };
    let lightest = is_lightest(part, candidate).then(|| Rich::from("the lightest that does"));
    let smaller = candidate.over_choice.is_none().then(|| candidate.next_smaller.as_ref().map(lacks));
    // The chosen is told even where it goes.
    let goes = (!candidate.stays()).then(|| in_full(candidate));
    joined([Some(costs), lightest, goes, open_cases(candidate), open_beside(candidate), smaller.flatten()])
}

/// One in full: what speaks for it, or why it goes.
pub(crate) fn in_full(candidate: &CandidateSheet) -> Rich {
    match &candidate.standing {
        CandidateStanding::Stays => joined([
            Some(word(candidate)),
            open_cases(candidate),
            open_beside(candidate),
            candidate.next_smaller.as_ref().map(lacks),
            candidate.next_larger.as_ref().map(takes),
        ]),
        CandidateStanding::Misses { case } => {
            let said = Rich::from(format!("misses \"{case}\""));
            match candidate.cases.iter().find(|given| given.case == *case).and_then(|g| g.share.as_ref()) {
                Some(share) => {
                    said.plain(": ").number(share.into()).plain(" of flights are within its limit")
                }
                None => said,
            }
        }
        CandidateStanding::BeatenBy { id } => {
            Rich::from(format!("{id} is at least as good in everything and better in something"))
        }
        CandidateStanding::OutOfBounds { cost, bound } => {
            let (needs, what) = match cost {
                Cost::Mass => (&candidate.mass, "may weigh"),
                Cost::Volume => (&candidate.volume, "have room for"),
                Cost::Price => (&candidate.price, "may cost"),
            };
            let needs = needs
                .as_ref()
                .map_or_else(Rich::new, |needs| Rich::from("needs ").number(needs.into()).plain(", "));
            needs.plain(format!("the canopies {what} ")).number(bound.into())
        }
        CandidateStanding::RuledOut { reason, .. } => Rich::from(reason.as_str()),
        CandidateStanding::NoAnswer { reason } => Rich::from(reason.as_str()),
    }
}

/// Something is judged of the candidates, and none meets it.
pub(super) fn none_holds(part: &PartSheet) -> bool {
    let any = |wanted: Verdict| part.candidates.iter().any(|candidate| candidate.verdict == wanted);
    (any(Verdict::Misses) || any(Verdict::Undecided)) && !any(Verdict::Meets)
}

fn joined<const N: usize>(parts: [Option<Rich>; N]) -> Rich {
    parts
        .into_iter()
        .flatten()
        .filter(|part| !part.is_empty())
        .reduce(|said, part| said.plain("; ").then(part))
        .unwrap_or_default()
}

/// No candidate that meets all weighs less, as far as masses are stated.
fn is_lightest(part: &PartSheet, candidate: &CandidateSheet) -> bool {
    let mass = |candidate: &CandidateSheet| candidate.mass.as_ref().map(|mass| mass.si);
    let Some(own) = mass(candidate) else { return false };
    let mut meets = part.candidates.iter().filter(|other| other.verdict == Verdict::Meets && other.stays());
    candidate.verdict == Verdict::Meets && meets.all(|other| mass(other).is_some_and(|mass| own <= mass))
}

/// "one stays shut: 94.8 % within its limit, at worst 81 %" for each case that is undecided.
fn open_cases(candidate: &CandidateSheet) -> Option<Rich> {
    let open = candidate.cases.iter().filter(|case| case.verdict == Verdict::Undecided);
    open.map(open_case).reduce(|said, case| said.plain("; ").then(case))
}

/// What another stage of the job leaves undecided.
fn open_beside(candidate: &CandidateSheet) -> Option<Rich> {
    let open = candidate.beside.iter().filter(|beside| beside.verdict == Verdict::Undecided);
    open.map(|beside| Rich::from(beside.reason.as_str())).reduce(|said, next| said.plain("; ").then(next))
}

fn open_case(case: &CandidateCase) -> Rich {
    let said = Rich::from(format!("\"{}\"", case.case));
    match (&case.share, &case.at_worst) {
        (Some(share), Some(worst)) => said
            .plain(": ")
            .number(share.into())
            .plain(" of flights within its limit, at worst ")
            .number(Shown { doubt_si: Shown::from(share).doubt_si, ..Shown::from(worst) }),
        _ => said.plain(" is undecided"),
    }
}

/// "the next smaller, 3 × cone-1.80, misses "one stays shut"".
fn lacks(next: &NeighbourSheet) -> Rich {
    let said = Rich::from(format!("the next smaller, {} × {}, ", next.count, next.offer));
    let verb = if next.verdict == Verdict::Misses { "misses" } else { "is undecided on" };
    match (&next.beside, &next.case) {
        (Some(beside), _) => said.plain(beside.reason.as_str()),
        (None, Some(case)) => said.plain(format!("{verb} \"{case}\"")),
        (None, None) => said.plain(next.verdict.word()),
    }
}

/// "the next larger, 3 × plain-2.00, takes 87 g, 0.54 L and 243 in price more".
fn takes(next: &NeighbourSheet) -> Rich {
    let said = Rich::from(format!("the next larger, {} × {}, takes ", next.count, next.offer));
    said.then(differences(&next.more))
}

/// A cost with the word that says what it is, where its unit does not.
fn cost(number: Shown, kind: Kind) -> Rich {
    let free = number.si == 0.0;
    let said = Rich::from(number);
    match kind {
        Kind::Money if free => Rich::from("nothing to buy"),
        Kind::Money => said.plain(" in price"),
        _ => said,
    }
}

/// "492 g, 2.76 L, 216 in price", and "nothing to buy" where all are owned.
fn absolute(candidate: &CandidateSheet) -> Rich {
    let known = [&candidate.mass, &candidate.volume, &candidate.price].into_iter().flatten();
    let costs = known.map(|number| cost(number.into(), number.kind));
    costs.reduce(|said, next| said.plain(", ").then(next)).unwrap_or_default()
}

/// "87 g and 0.54 L more, 30 in price less"; "nothing more" where all costs are alike.
fn differences(costs: &CostsSheet) -> Rich {
    let all = || [&costs.mass, &costs.volume, &costs.price].into_iter().flatten();
    let side = |wanted: fn(f64) -> bool, word: &str| {
        let numbers: Vec<&Number> = all().filter(|number| wanted(number.si)).collect();
        let last = numbers.len().saturating_sub(1);
        let said = numbers.iter().enumerate().fold(Rich::new(), |said, (at, number)| {
            let between = match at {
                0 => "",
                _ if at == last => " and ",
                _ => ", ",
            };
            let size = Shown { form: Form::Magnitude, ..Shown::from(*number) };
            said.plain(between).then(cost(size, number.kind))
        });
        if said.is_empty() { said } else { said.plain(format!(" {word}")) }
    };
    let (more, less) = (side(|si| si > 0.0, "more"), side(|si| si < 0.0, "less"));
    match (more.is_empty(), less.is_empty()) {
        (true, true) => Rich::from("nothing more"),
        (false, true) => more,
        (true, false) => less,
        (false, false) => more.plain(", ").then(less),
    }
}
