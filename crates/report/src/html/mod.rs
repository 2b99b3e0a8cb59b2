//! A document as one HTML file: nothing is fetched, nothing needs a script.
//!
//! Style, font and figures are in the file. Light and dark follow the reader's preference, paper is always ink on
//! white. Each number that has a way of coming about leads to it in the appendix. Every text is escaped by
//! construction (maud): headings of recordings may hold anything.

mod blocks;
mod card;
mod font;
mod front;
mod inline;
pub mod page;
mod table;

use std::collections::BTreeSet;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use silkfall_core::derivation::NumberId;
use silkfall_core::quantity::System;

use crate::document::{Audience, Body, Document, Place, Rank, Section};
use inline::{Context, Links};

use crate::show;

/// How to set the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HtmlOptions {
    /// Units.
    pub system: System,
    /// Light or dark.
    pub theme: Theme,
}

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// As the reader's system prefers.
    Reader,
    /// Light whatever it prefers.
    Light,
    /// Dark whatever it prefers.
    Dark,
}

impl Theme {
    fn class(self) -> Option<&'static str> {
        match self {
            Theme::Reader => None,
            Theme::Light => Some("light"),
            Theme::Dark => Some("dark"),
        }
    }
}

const STYLE: &str = include_str!("style.css");

/// The whole document as one HTML file.
pub fn render(document: &Document, options: HtmlOptions) -> String {
    let context = Context { system: options.system, links: Links::Within(explained(document)) };
    let sections: Vec<&Section> = document.sections.iter().filter(|section| is_for_report(section)).collect();
    let front: Vec<(&Section, u8)> =
        sections.iter().filter_map(|section| Some((*section, section.place.sixths_of_front()?))).collect();
    let is_listed = |section: &&&Section| section.rank == Rank::Main && section.place == Place::Flow;
    let list = html! {
        ul {
            @for section in sections.iter().filter(is_listed) {
                li { a href={ "#" (anchor("s", &section.id)) } { (context.words(&section.heading)) } }
            }
        }
    };
    let body = html! {
        a.skip href="#main" { "Skip to the answer" }
        header {
            h1 { (document.title) }
            @if !document.subtitle.is_empty() { p.quiet { (context.rich(&document.subtitle)) } }
        }
        nav aria-label="Sections" {
            // Long: it opens where it is asked for.
            details { summary { "Sections" } (list) }
        }
        main id="main" {
            @if !front.is_empty() {
                (set_front(&document.title, &front, &context))
            }
            @for section in sections.iter().filter(|section| section.place == Place::Flow) {
                (set_section(section, &context))
            }
        }
    };
    html! {
        (DOCTYPE)
        html lang="en" class=[options.theme.class()] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (document.title) }
                style { (PreEscaped(font::face())) (PreEscaped(STYLE)) (PreEscaped(foot(document, options))) }
            }
            body { (body) }
        }
    }
    .into_string()
}

/// The first page of paper.
fn set_front(title: &str, front: &[(&Section, u8)], context: &Context<'_>) -> Markup {
    let fit = front::fit(title, front, context);
    html! {
        div.front style={ "--type:" (format!("{:.1}", fit.type_pt)) "pt" } {
            @for (section, sixths) in front {
                @let drawing = fit.drawings.get(&section.id).map(|high| format!("--draw:{high:.1}pt"));
                div class={ "w" (sixths) } style=[drawing] { (set_section(section, context)) }
            }
        }
    }
}

/// The foot of each page of paper, beside its number.
fn foot(document: &Document, options: HtmlOptions) -> String {
    if document.foot.is_empty() {
        return String::new();
    }
    let text = format!("{}; {}", show::plain(&document.foot, options.system), show::units_of(options.system));
    format!("@page{{@bottom-left{{content:{};font:7pt \"Inter\",sans-serif}}}}\n", css_string(&text))
}

/// A text as CSS takes it between quotes: nothing in it ends the quotes, or the style.
fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        if c.is_alphanumeric() || matches!(c, ' ' | ',' | '.' | '-') {
            out.push(c);
        } else {
            out.push_str(&format!("\\{:x} ", u32::from(c)));
        }
    }
    out.push('"');
    out
}

fn is_for_report(section: &Section) -> bool {
    section.blocks.iter().any(|block| block.audience != Audience::Terminal)
}

fn set_section(section: &Section, context: &Context<'_>) -> Markup {
    let heading = anchor("s", &section.id);
    html! {
        section aria-labelledby=(heading) {
            h2 id=(heading) { (context.rich(&section.heading)) }
            div.body {
                @for block in section.blocks.iter().filter(|block| block.audience != Audience::Terminal) {
                    (blocks::set(&block.body, context))
                }
            }
        }
    }
}

/// The numbers that the appendix explains.
fn explained(document: &Document) -> BTreeSet<NumberId> {
    document
        .sections
        .iter()
        .flat_map(|section| &section.blocks)
        .filter_map(|block| match &block.body {
            Body::How(explained) if block.audience != Audience::Terminal => Some(explained),
            _ => None,
        })
        .flat_map(|explained| std::iter::once(&explained.id).chain(&explained.also))
        .cloned()
        .collect()
}

/// A name for links: what may not stand in one is written as its code point.
pub(crate) fn anchor(prefix: &str, id: &str) -> String {
    let mut out = format!("{prefix}-");
    for c in id.chars() {
        if c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_') {
            out.push(c);
        } else {
            out.push_str(&format!("~{:x}~", u32::from(c)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn different_ids_have_different_anchors() {
        assert_eq!(anchor("how", "parts.tube.rate"), "how-parts.tube.rate");
        assert_eq!(anchor("how", "logs/a b.csv"), "how-logs~2f~a~20~b.csv");
        assert_ne!(anchor("n", "a b"), anchor("n", "a.b"));
    }
}
