//! Blocks as HTML.

use maud::{Markup, html};
use silkfall_core::derivation::How;
use silkfall_core::finding::{Finding, Severity};

use super::inline::Context;
use super::{anchor, table};
use crate::derivations;
use crate::document::{Answer, Body, Explained, Step};
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

fn figure(figure: &Figure, context: &Context<'_>) -> Markup {
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
        Severity::Error => ("misses", Some("\u{25a0}")),
        Severity::Warning => ("undecided", Some("\u{25a1}")),
        Severity::Note => ("note", None),
    };
    html! {
        li {
            p {
                strong class=(class) {
                    @if let Some(square) = square { span aria-hidden="true" { (square) "\u{a0}" } }
                    (finding.severity().word())
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

pub(super) fn how(explained: &Explained, context: &Context<'_>) -> Markup {
    let number = &explained.id.0;
    // What was simply written down takes one line.
    let class = if matches!(explained.how, How::Given { .. }) { "how given" } else { "how" };
    html! {
        article class=(class) id=(anchor("how", number)) {
            @match &explained.how {
                How::Closed(derivation) => {
                    h3 { (derivation.meaning) " " code.quiet { (number) } }
                    div.math {
                        (derivations::mathml_symbolic(derivation))
                        (derivations::mathml_with_numbers(derivation, context.system))
                    }
                    (table::set(&derivations::inputs_table(&explained.id, derivation), context))
                    p.quiet { "Equation: " (derivation.source.mark()) }
                }
                How::Fit { procedure, data, count } => {
                    h3 { "fit " code.quiet { (number) } }
                    p { (procedure) }
                    p.quiet { "Fitted to " (data) " (" (count) ")." }
                }
                How::Simulation { procedure, trials, seed } => {
                    h3 { "simulation " code.quiet { (number) } }
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
