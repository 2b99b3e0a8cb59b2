//! The title block at the bottom edge: what is worked, what each case comes to, and what is not saved yet.

use maud::{Markup, html};
use silkfall_report::document::{Rich, Shown, Verdict};
use silkfall_report::html::page::Pieces;
use silkfall_sheet::{CandidateSheet, CaseSheet, Choice, Effort, Falls, PartSheet, Sheet};

use crate::session::Session;
use crate::worker::Worked;

/// A part in the block: what falls, and its cases.
pub(crate) struct Line<'a> {
    name: &'a str,
    falls: Option<&'a Falls>,
    choice: &'a Choice,
    candidates: &'a [CandidateSheet],
    cases: &'a [CaseSheet],
}

impl<'a> Line<'a> {
    /// A part of a sheet.
    pub(crate) fn of(part: &'a PartSheet) -> Self {
        Line {
            name: &part.name,
            falls: part.falls.as_ref(),
            choice: &part.choice,
            candidates: &part.candidates,
            cases: &part.cases,
        }
    }

    /// The same part with its cases as they have just been worked.
    pub(crate) fn with(self, worked: &'a Worked) -> Self {
        Line { falls: worked.falls.as_ref(), choice: &worked.choice, cases: &worked.cases, ..self }
    }

    /// "9.69 kg under 3 × plain-1.84".
    fn what_falls(&self) -> Rich {
        let mut said = Rich::new();
        if let Some(falls) = self.falls {
            said = said.number(Shown::from(&falls.total)).plain(" ");
        }
        let chosen =
            self.choice.id().and_then(|id| self.candidates.iter().find(|candidate| candidate.id == id));
        if let Some(chosen) = chosen {
            said = said.plain(format!("under {} × {}", chosen.count, chosen.offer));
        }
        if matches!(self.choice, Choice::NotYet(_)) { said.quiet(" (not yet chosen)") } else { said }
    }
}

/// What the sheet says: parts with their cases.
pub(super) fn figures(parts: &[Line<'_>], pieces: &Pieces<'_>) -> Markup {
    html! {
        @for part in parts {
            div.part {
                span.name { (part.name) }
                span.falls { (pieces.rich(&part.what_falls())) }
                @for of in part.cases { span.case { (case(of, pieces)) } }
            }
        }
        // On a phone: one line, that opens upward.
        details.all id="b-all" {
            summary {
                @if let Some((part, worst)) = worst(parts) { span.name { (part) } " " (plain_case(worst, pieces)) }
            }
            @for part in parts {
                p.falls { span.name { (part.name) } " " (pieces.rich(&part.what_falls())) }
                @for of in part.cases { p.case { (case(of, pieces)) } }
            }
        }
    }
}

/// The case to be shown where there is room for one: of the worst verdict, and of those the one that governs.
fn worst<'a>(parts: &[Line<'a>]) -> Option<(&'a str, &'a CaseSheet)> {
    let gravity = |verdict: Verdict| match verdict {
        Verdict::Misses => 0,
        Verdict::Undecided => 1,
        Verdict::Meets => 2,
        Verdict::NotJudged => 3,
    };
    let cases = parts.iter().flat_map(|part| part.cases.iter().map(|case| (part.name, case)));
    cases.min_by_key(|(_, case)| (gravity(case.verdict), !case.governs))
}

/// The same without links, for what is pressed to be opened.
fn plain_case(of: &CaseSheet, pieces: &Pieces<'_>) -> Markup {
    html! {
        span.quiet { (of.title) } " "
        @if let Some(rate) = said_rate(of) { (pieces.words(&rate)) " " }
        (pieces.rich(&of.verdict.into()))
    }
}

/// "one stays shut 6.1 m/s 5.7 to 6.5 meets".
fn case(of: &CaseSheet, pieces: &Pieces<'_>) -> Markup {
    html! {
        span.quiet { (of.title) } " "
        @if let Some(rate) = said_rate(of) { (pieces.rich(&rate)) " " }
        (pieces.rich(&of.verdict.into()))
    }
}

fn said_rate(of: &CaseSheet) -> Option<Rich> {
    of.rate.as_ref().map(|rate| {
        let said = Rich::from(Shown::from(rate));
        match &rate.interval_95 {
            Some(interval) => {
                let end = |at: usize, si: f64| {
                    Shown::new(format!("{}.interval_95.{at}", rate.id.0), si, 0.0, rate.kind).like(rate.si)
                };
                said.plain(" ").interval(end(0, interval.low), end(1, interval.high))
            }
            None => said,
        }
    })
}

/// What kind of inputs these are: effort and fingerprint.
pub(super) fn made_of(sheet: &Sheet) -> Markup {
    let effort = match sheet.effort {
        Effort::Quick => "quick",
        Effort::Full => "full",
    };
    html! { span.effort data-effort=(effort) { (effort) } " " span.print { "inputs " code { (sheet.fingerprint[..12]) } } }
}

/// What is not saved, and the ways back and forth.
pub(crate) fn desk(session: &Session, may_write: bool) -> Markup {
    let (undo, redo) = session.can_go();
    let edited = session.is_edited();
    html! {
        div.desk #desk data-sequence=(session.sequence()) data-state=(session.state()) {
            @if may_write {
                span.unsaved role="status" {
                    @if edited { span.undecided { "\u{25a1} not saved" } } @else { span.quiet { "as in the file" } }
                }
                form method="post" action="/undo" { button disabled[!undo] { "Undo" } }
                form method="post" action="/redo" { button disabled[!redo] { "Redo" } }
                a.button href="/compare" aria-disabled=[(!edited).then_some("true")] { "Compare" }
                form method="post" action="/discard" { button disabled[!edited] { "Discard edits" } }
                form method="post" action="/save" { button.strong disabled[!edited] { "Save" } }
            } @else {
                span.quiet { "for reading only" }
            }
            a.button href="/plan" { "Plan" }
            @if session.outside().is_some() { (conflict(session)) }
        }
    }
}

fn conflict(session: &Session) -> Markup {
    html! {
        div.conflict role="alert" {
            p {
                strong { "silkfall.toml was changed elsewhere" } " while there are edits here that are not saved. "
                a href="/texts" { "See both texts" } "."
            }
            form method="post" action="/settle" {
                @if session.can_be_joined() {
                    button name="keep" value="both" { "Put my edits on the file" }
                }
                button name="keep" value="file" { "Take the file" }
                button name="keep" value="page" { "Keep what is here" }
            }
            p.quiet { "Undo leads back to each of them." }
        }
    }
}
