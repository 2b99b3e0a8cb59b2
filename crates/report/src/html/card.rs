//! The field card: the winds as they can be read, and, where a script may run, picked.
//!
//! The script ([`SCRIPT`]) looks up the ranges that stand in the page and compares; it works nothing out. Without it the
//! pickers stay hidden and the table says all.

use maud::{Markup, PreEscaped, html};

use super::inline::Context;
use super::{blocks, table};
use crate::document::FieldCard;
use crate::figures::rose::picks;

const SCRIPT: &str = include_str!("card.js");

pub(super) fn set(card: &FieldCard, context: &Context<'_>) -> Markup {
    let choices = picks(card.strongest_m_per_s, context.system);
    html! {
        div.card id="card" {
            div.picks hidden {
                (picker("from", "Wind from", html! {
                    @for row in &card.rows { option value=(row.point) { (row.point) " (" (context.plain(&row.from.clone().into())) ")" } }
                }))
                (picker("speed", "Speed", speeds(&choices)))
                (picker("gust", "Gusts", speeds(&choices)))
            }
            p.said role="status" aria-live="polite" hidden {
                strong.word {} ": " span.why {}
            }
            @if let Some(figure) = &card.compass { (blocks::figure(figure, context)) }
            @if !card.worst.is_empty() { p { (context.rich(&card.worst)) } }
            @for text in &card.valid { p.quiet { (context.rich(text)) } }
            (table::set(&card.table, context))
            ul.rows hidden {
                @for row in &card.rows {
                    li data-point=(row.point) data-sure=(ends(&row.sure)) data-best=(ends(&row.ranges))
                        data-says-sure=(context.plain(&row.says_sure)) data-says-best=(context.plain(&row.says))
                        data-limited=(row.limited_by) {}
                }
            }
            script { (PreEscaped(SCRIPT)) }
        }
    }
}

fn picker(name: &str, label: &str, options: Markup) -> Markup {
    let id = format!("card-{name}");
    html! {
        div.pick {
            label for=(id) { (label) }
            button type="button" data-step="back" data-of=(id) aria-label={ (label) ", one step back" } { "\u{2212}" }
            select id=(id) { (options) }
            button type="button" data-step="on" data-of=(id) aria-label={ (label) ", one step on" } { "+" }
        }
    }
}

fn speeds(choices: &[(f64, String)]) -> Markup {
    html! { @for (si, said) in choices { option value=(si) { (said) } } }
}

/// "0 5.2, 7 9": lower and upper ends, SI.
fn ends(ranges: &[(f64, f64, bool)]) -> String {
    let said: Vec<String> = ranges.iter().map(|(low, high, _)| format!("{low} {high}")).collect();
    said.join(", ")
}
