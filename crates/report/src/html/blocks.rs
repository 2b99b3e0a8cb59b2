//! Blocks as HTML.

use maud::{Markup, html};
use silkfall_core::derivation::{Derivation, How};
use silkfall_core::finding::{Finding, Severity};

use super::inline::Context;
use super::{anchor, card, table};
use crate::derivations;
use crate::document::{Answer, Body, Explained, Rich, Signature, Step};
use crate::figures::{self, Figure};

pub(super) fn set(body: &Body, context: &Context<'_>) -> Markup {
    match body {
        Body::Answer(given) => answer(given, context),
        Body::Paragraph(text) => html! { p { (context.rich(text)) } },
        Body::Table(given) => table::set(given, context),
        Body::Figure(given) => figure(given, context),
        Body::Findings(given) => findings(given),
        Body::Caution(text) => {
            html! { p.caution role="note" { strong { "Caution. " } (context.rich(text)) } }
        }
        Body::Steps(given) => steps(given, context),
        Body::How(given) => how(given, context),
        Body::Facts(given) => facts(given, context),
        Body::Checks(given) => checks(given, context),
        Body::Signatures(given) => html! { @for line in given { (signature(line)) } },
        Body::Card(given) => card::set(given, context),
    }
}

fn answer(answer: &Answer, context: &Context<'_>) -> Markup {
    html! {
        div.answer {
            p.result { (context.rich(&answer.result)) }
            @for text in &answer.beside { p { (context.rich(text)) } }
            @for text in &answer.below { p.quiet { (context.rich(text)) } }
        }
    }
}

pub(super) fn figure(figure: &Figure, context: &Context<'_>) -> Markup {
    html! {
        figure id=(anchor("f", &figure.id)) {
            (figures::svg(figure, &context.plain(&figure.caption), context.system))
            figcaption { (context.rich(&figure.caption)) }
            details {
                summary { "The same as a table" }
                (table::set(&figure.alternative, context))
            }
        }
    }
}

fn findings(findings: &[Finding]) -> Markup {
    html! { ul.findings { @for finding in findings { (set_finding(finding)) } } }
}

pub(super) fn set_finding(finding: &Finding) -> Markup {
    let (class, square) = match finding.severity() {
        Severity::Error if finding.is_wrong() => ("misses", Some("\u{25a0}")),
        Severity::Error | Severity::Warning => ("undecided", Some("\u{25a1}")),
        Severity::Note => ("note", None),
    };
    html! {
        li {
            p {
                strong class=(class) {
                    @if let Some(square) = square { span aria-hidden="true" { (square) "\u{a0}" } }
                    (finding.word())
                }
                ": " (finding.message) " "
                code.quiet { (finding.code.name()) }
                @if finding.count > 1 { span.quiet { " and " (finding.count - 1) " more of the same" } }
            }
            @if let Some(place) = &finding.place {
                p.quiet {
                    code {
                        (place.file)
                        @if let Some(line) = place.line { ":" (line) }
                    }
                    @if let Some(column) = place.column { ", column " (column) }
                }
            }
            @if let Some(hint) = &finding.hint { p { (hint) } }
        }
    }
}

fn steps(steps: &[Step], context: &Context<'_>) -> Markup {
    html! {
        dl.steps { @for step in steps { dt { (step.label) } dd { (context.rich(&step.text)) } } }
    }
}

fn facts(facts: &[Step], context: &Context<'_>) -> Markup {
    html! {
        dl.facts { @for fact in facts { div { dt { (fact.label) } dd { (context.rich(&fact.text)) } } } }
    }
}

/// Boxes that can be ticked on a screen too; paper shows them as they are.
fn checks(checks: &[Rich], context: &Context<'_>) -> Markup {
    html! {
        ul.checks {
            @for check in checks {
                li { label { input type="checkbox"; " " span { (context.rich(check)) } } }
            }
        }
    }
}

fn signature(of: &Signature) -> Markup {
    html! {
        div.sign {
            p {
                (of.role)
                @if let Some(name) = &of.name { ", " (name) }
            }
            @if !of.boxes.is_empty() {
                p.boxes { @for text in &of.boxes { span { span.box aria-hidden="true" {} (text) } } }
            }
            p.line { span { "signed" } span { "date" } }
        }
    }
}

/// All that came about in one way, each to be led to.
fn ids(explained: &Explained) -> Markup {
    html! {
        p.ids {
            @for id in std::iter::once(&explained.id).chain(&explained.also) {
                code.quiet id=(anchor("how", &id.0)) { (id.0) } " "
            }
        }
    }
}

/// Ems of an equation that a column of paper holds.
const COLUMN: f64 = 42.0;
/// As wide as the style has classes for, ems: paper sets what is wider the smaller.
const STEPS: [u32; 7] = [32, 42, 60, 75, 95, 120, 160];

/// The class of an equation by its width, since a style cannot measure it.
fn step(derivation: &Derivation) -> String {
    let ems = derivations::ems(derivation);
    let step = STEPS.into_iter().find(|step| f64::from(*step) >= ems).unwrap_or(STEPS[STEPS.len() - 1]);
    if step == STEPS[0] { String::new() } else { format!(" ems-{step}") }
}

pub(super) fn how(explained: &Explained, context: &Context<'_>) -> Markup {
    let number = &explained.id.0;
    let is_one = matches!(explained.how, How::Closed(_) | How::Given { .. });
    // What was simply written down takes one line.
    let class = match &explained.how {
        How::Given { .. } => "how given",
        // What is too wide for a column of paper goes across both.
        How::Closed(derivation) if derivations::ems(derivation) > COLUMN => "how across",
        _ => "how",
    };
    html! {
        article class=(class) id=[is_one.then(|| anchor("how", number))] {
            @match &explained.how {
                How::Closed(derivation) => {
                    h3 { (derivation.meaning) " " code.quiet { (number) } }
                    div class={ "math" (step(derivation)) } {
                        (derivations::mathml_symbolic(derivation))
                        (derivations::mathml_with_numbers(derivation, context.system))
                    }
                    (table::set(&derivations::inputs_table(&explained.id, derivation), context))
                    p.quiet { "Equation: " (derivation.source.mark()) }
                }
                How::Fit { procedure, data, count } => {
                    h3 { "fit" } (ids(explained))
                    p { (procedure) }
                    p.quiet { "Fitted to " (data) " (" (count) ")." }
                }
                How::Simulation { procedure, trials, seed } => {
                    h3 { "simulation" } (ids(explained))
                    p { (procedure) }
                    p.quiet { (trials) " trials, seed " (seed) "." }
                }
                How::Given { key, text } => {
                    h3 { "given " code.quiet { (number) } }
                    p { code { (key) " = " (text) } }
                }
            }
        }
    }
}
