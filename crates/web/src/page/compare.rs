//! Beside the sheet: figures as saved beside as edited, and two texts of the project file.

use axum::response::Html;
use maud::{Markup, html};
use silkfall_core::quantity::System;
use silkfall_report::compare_document;
use silkfall_report::html::page::Pieces;
use silkfall_sheet::Sheet;

use super::aside;
use crate::lines::{Mark, differences};

/// The sheet of the file beside the sheet as edited.
pub(crate) fn comparison(file: (&str, &Sheet), edited: (&str, &Sheet), system: System) -> Html<String> {
    let pieces = Pieces::new(system, &edited.1.hows);
    let document = compare_document(file.1, edited.1);
    let body = html! {
        p.quiet { "Both worked at quick effort." }
        @for section in &document.sections {
            section aria-label=(pieces.plain(&section.heading)) {
                h2 { (pieces.rich(&section.heading)) }
                @for block in &section.blocks { (pieces.block(&block.body)) }
            }
        }
        h2 { "Lines of silkfall.toml" }
        (lines(file.0, edited.0, ("in the file", "as edited")))
    };
    aside("As saved, and as edited", &body)
}

/// The page's text and the file's, where the file was changed elsewhere.
pub(crate) fn texts(page: &str, file: &str) -> Html<String> {
    let body = html! {
        p { "The file was changed elsewhere while there were edits on the page. Nothing is lost: whichever you go on with, undo leads back to the other." }
        h2 { "Lines that differ" }
        (lines(file, page, ("in the file", "on the page")))
        h2 { "The page's text" }
        pre.whole tabindex="0" { (page) }
        h2 { "The file's text" }
        pre.whole tabindex="0" { (file) }
    };
    aside("Two texts", &body)
}

fn lines(old: &str, new: &str, names: (&str, &str)) -> Markup {
    let differing = differences(old, new);
    html! {
        @if differing.is_empty() { p { "They are the same." } }
        @else {
            dl.lines {
                @for (mark, line) in &differing {
                    @match mark {
                        Mark::Gone => { dt { (names.0) } dd { del { code { (line) } } } }
                        Mark::New => { dt { (names.1) } dd { ins { code { (line) } } } }
                    }
                }
            }
        }
    }
}
