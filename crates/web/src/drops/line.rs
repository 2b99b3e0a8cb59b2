//! What is said of each drop of a test: its line, with all that can be said where it stands.

use maud::{Markup, html};
use silkfall_core::quantity::Kind;
use silkfall_project::Project;
use silkfall_project::inputs::InputTable;
use silkfall_project::project::DropNote;
use silkfall_project::value::Known;
use silkfall_report::document::{Rich, Shown};
use silkfall_report::html::page::Pieces;
use silkfall_sheet::ReducedDrop;

use super::{Of, note_of, note_path};

/// Each drop with its rate and what can be said of it; `now` are the tables of the text that is worked.
pub(crate) fn list(of: &Of<'_>, project: &Project, now: &[InputTable], pieces: &Pieces<'_>) -> Markup {
    let path = format!("parts.{}.tests.{}.recordings", of.part.name, of.test.name);
    html! {
        div.drops role="group" aria-label="Drops" {
            @for recording in &of.test.recordings {
                @for drop in &recording.drops {
                    @let note = note_of(project, &of.test.name, recording, drop);
                    (one(of, drop, &format!("{path}.{}.drops.{}", recording.path, drop.letter), (note, now), pieces))
                }
            }
        }
    }
}

fn one(
    of: &Of<'_>,
    drop: &ReducedDrop,
    path: &str,
    (note, now): (Option<(usize, &DropNote)>, &[InputTable]),
    pieces: &Pieces<'_>,
) -> Markup {
    let row = note.map(|(number, _)| note_path(&of.test.name, number));
    let row = row.and_then(|path| now.iter().find(|table| table.path == path));
    let note = note.map(|(_, note)| note);
    let by_hand = note.is_some_and(|note| note.set_aside.is_some());
    let window = note.is_some_and(|note| note.window.is_some());
    let kept_by_hand = note.is_some_and(|note| note.keep);
    let rate = match &drop.rate {
        Some(rate) => {
            let id = format!("{path}.rate_m_s");
            Rich::from(Shown::new(id, rate.m_per_s, rate.standard_uncertainty_m_per_s, Kind::Speed))
        }
        None => Rich::new().quiet("no rate"),
    };
    let aside = drop.set_aside.as_deref();
    let id = format!("d-{}-{}", crate::page::anchor(&of.test.name), drop.letter);
    html! {
        details.drop-line id=(id) data-drop=(drop.letter) {
            summary {
                strong { (drop.letter) } " " (pieces.words(&rate)) " "
                @if let Some(reason) = aside { span.undecided { "\u{25a1} set aside" } span.quiet { ": " (reason) } }
                @else if window { span.quiet { "stretch set by hand" } }
                @else if kept_by_hand { span.quiet { "kept by hand" } }
            }
            @if of.may_write {
                // What cannot be said now is hidden, not gone: see become.js.
                form.say method="post" action="/edit?drop" {
                    (whose(of, drop))
                    div.why hidden[aside.is_some()] {
                        label for={ (id) "-why" } { "why drop " (drop.letter) " does not count" }
                        input #{ (id) "-why" } name="reason" type="text" required maxlength="200" placeholder="lines tangled"
                            autocomplete="off";
                        button name="says" value="aside" { "Set aside" }
                    }
                    @for (says, may, words) in [
                        ("back", by_hand, "Take it back"),
                        ("keep", aside.is_some() && !by_hand && drop.rate.is_some(), "Keep it all the same"),
                        ("judge", kept_by_hand, "Let the drop itself decide"),
                        ("auto", window, "Find its steady stretch again"),
                    ] {
                        button name="says" value=(says) formnovalidate hidden[!may] { (words) }
                    }
                }
                (field(of, drop, &id, "ballast", "its ballast, on top of the test's", (row, note.is_none_or(|note| is_readable(&note.ballast)))))
                (field(of, drop, &id, "fell", "its height as taped", (row, note.is_none_or(|note| is_readable(&note.fell)))))
            }
        }
    }
}

/// The drop that a form is about.
fn whose(of: &Of<'_>, drop: &ReducedDrop) -> Markup {
    html! {
        input type="hidden" name="do" value="drop";
        input type="hidden" name="test" value=(of.test.name);
        input type="hidden" name="drop" value=(drop.letter);
    }
}

/// Whether what is written, if anything, could be read.
fn is_readable<T>(known: &Known<T>) -> bool {
    !matches!(known, Known::Unknown { asked: false, .. })
}

/// What is known of a drop, to be typed: as the row of the drop has it, and whether it can be read.
fn field(
    of: &Of<'_>,
    drop: &ReducedDrop,
    line: &str,
    says: &str,
    words: &str,
    (row, is_readable): (Option<&InputTable>, bool),
) -> Markup {
    let id = format!("{line}-{says}");
    let input = row.and_then(|row| row.inputs.iter().find(|input| input.about.name == says));
    html! {
        form.input method="post" action="/edit" data-path=(id) {
            (whose(of, drop))
            input type="hidden" name="says" value=(says);
            label for=(id) { (words) }
            input #(id) name="text" type="text" value=(input.map_or("", |input| &input.text))
                autocomplete="off" spellcheck="false" placeholder="not stated" aria-invalid=[(!is_readable).then_some("true")];
            button.set type="submit" { "Set" }
        }
    }
}
