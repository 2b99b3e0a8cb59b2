//! Where nothing is open yet: the demo, a new project, a folder that is there.

use axum::response::Html;
use maud::{Markup, html};

use super::{Script, frame};
use crate::drops::bring;

/// What can be begun with; `problem` says why the last try did not lead anywhere, `waiting` are the recordings that were
/// brought.
pub(crate) fn start(
    folder: &str,
    problem: Option<&str>,
    waiting: &[Markup],
    may_write: bool,
) -> Html<String> {
    let body = html! {
        main.start #main {
            h1 { "Silkfall" }
            p { "From recordings of drops to rates with honest intervals, and the canopies to fly." }
            @if let Some(problem) = problem { p.misses role="alert" { "\u{25a0} " (problem) } }
            @if !may_write { p { "Nothing is open, and this page is for reading only: open a folder where the program runs." } }
            @else { (offers(folder, waiting)) }
        }
        p.hidden #said role="status" {}
    };
    frame("Silkfall", Script::Start, &body)
}

fn offers(folder: &str, waiting: &[Markup]) -> Markup {
    html! {
            section aria-labelledby="look" {
                h2 #look { "Look at one that is done" }
                p { "An invented job: a long tube under three canopies, tested at half scale. It is written to a folder of its own." }
                form method="post" action="/start" {
                    input type="hidden" name="with" value="demo";
                    label for="demo" { "folder" }
                    input #demo name="folder" type="text" value="silkfall-demo" required spellcheck="false";
                    button.strong { "Open the demo" }
                }
            }
            section #bring aria-labelledby="begin" {
                h2 #begin { "Begin a job" }
                p { "A commented project that says what is still missing, with a test for each recording; more can be added on its page." }
                div.by-script { (bring::picker(waiting, bring::Meant::ToBeginWith)) }
                form #new-job method="post" action="/start" {
                    input type="hidden" name="with" value="new";
                    label for="new" { "folder" }
                    input #new name="folder" type="text" required placeholder="my-tube" spellcheck="false";
                    button.strong { "Begin" }
                }
            }
            section aria-labelledby="go-on" {
                h2 #go-on { "Go on with one" }
                form method="post" action="/start" {
                    input type="hidden" name="with" value="open";
                    label for="open" { "folder" }
                    input #open name="folder" type="text" required spellcheck="false";
                    button.strong { "Open" }
                }
                p.quiet { "Folders are looked for in " code { (folder) } "." }
            }
    }
}
