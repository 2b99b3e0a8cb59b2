//! What is known, where it stands: each key a form of one field that works with and without a script.

use std::collections::BTreeMap;

use maud::{Markup, html};
use silkfall_core::finding::{Finding, Subject};
use silkfall_project::inputs::{About, Input, InputTable, Sort, Stands};

use super::{Fragment, anchor};

/// What setting inputs needs to know.
pub(super) struct Known<'a> {
    /// What the file holds, by path, where that differs from what stands here.
    pub(super) before: &'a BTreeMap<String, String>,
    /// Findings about keys.
    pub(super) findings: &'a [Finding],
    /// Whether anything may be changed.
    pub(super) may_write: bool,
}

/// Tables with more keys than this fold what is behind.
const SHOWN: usize = 14;
/// Of more tables than this all but the first two are folded.
const UNFOLDED: usize = 3;

/// The tables of one section, each a piece.
pub(super) fn tables(tables: &[&InputTable], known: &Known) -> Vec<Fragment> {
    let (stated, rest): (Vec<&InputTable>, Vec<&InputTable>) =
        tables.iter().partition(|table| table.is_stated());
    let (rows, absent): (Vec<&InputTable>, Vec<&InputTable>) =
        rest.iter().partition(|table| table.stands == Stands::NewRow);
    let is_folded = stated.len() > UNFOLDED;
    let id = |of: &InputTable| format!("t-{}", anchor(&of.path));
    let mut pieces = Vec::new();
    for (at, of) in stated.iter().enumerate() {
        if of.inputs.is_empty() && of.open.is_empty() {
            continue;
        }
        let (id, title) = (id(of), title(of));
        let inside = html! { (keys(of, known)) (away(of, known)) };
        let piece = html! {
            @if is_folded && at > 1 { details.inputs #(id) { summary { (title) } (inside) } }
            @else { div.inputs #(id) role="group" aria-label=(title) { h3 { (title) } (inside) } }
        };
        pieces.push(Fragment::new(id, piece));
    }
    if known.may_write {
        // A row is begun where its drop is drawn.
        pieces.extend(rows.iter().filter(|of| of.kind != "test.drop").map(|of| new_row(of)));
        pieces.extend(absent.iter().map(|of| {
            let id = id(of);
            let piece = html! {
                details.inputs #(id) {
                    summary { span.quiet { (title(of)) ": not stated" } }
                    @for about in &of.open { (field(of, about, "", known)) }
                }
            };
            Fragment::new(id, piece)
        }));
    }
    pieces
}

/// Takes a row away.
fn away(of: &InputTable, known: &Known) -> Markup {
    html! {
        @if known.may_write && of.stands == Stands::Row && !of.path.is_empty() {
            form.away method="post" action="/edit" {
                input type="hidden" name="do" value="remove";
                input type="hidden" name="path" value=(of.path);
                button type="submit" aria-label={ "Take away " (title(of)) } { "Take away" }
            }
        }
    }
}

/// Adds a row: its name, and whatever else it cannot be without.
fn new_row(of: &InputTable) -> Fragment {
    let what = kind_of(of);
    let id = format!("n-{}", anchor(&of.path));
    let folded = format!("{id}-d");
    let piece = html! {
        details.inputs.new #(folded) {
            summary { "Add " (one_more(&what)) }
            form.add method="post" action="/edit" {
                input type="hidden" name="do" value="add";
                input type="hidden" name="kind" value=(of.kind);
                input type="hidden" name="path" value=(of.path);
                @for (field, about) in ["first", "second"].iter().zip(of.needed()) {
                    @let field_id = format!("{id}-{field}");
                    label for=(field_id) title=(about.means) { (label(about)) }
                    @match &about.sort {
                        Sort::Words(words) => {
                            select #(field_id) name=(field) { @for word in words { option value=(word) { (word) } } }
                        }
                        _ => {
                            input #(field_id) name=(field) type="text" required autocomplete="off" spellcheck="false"
                                placeholder=[about.means.split_once(": \"").and_then(|(_, example)| example.split('"').next())];
                        }
                    }
                }
                button type="submit" { "Add" }
            }
        }
    };
    Fragment::new(folded, piece)
}

/// "a stage", "an offer", "a row with wind".
fn one_more(kind: &str) -> String {
    let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    // What is named by a circumstance is no thing.
    let noun = if kind.starts_with("with ") { "row " } else { "" };
    format!("{article} {noun}{kind}")
}

fn keys(of: &InputTable, known: &Known) -> Markup {
    let (shown, folded) = of.inputs.split_at(of.inputs.len().min(SHOWN));
    html! {
        @for input in shown { (one(of, input, known)) }
        @if !folded.is_empty() {
            details id={ "m-" (anchor(&of.path)) } { summary { "more" } @for input in folded { (one(of, input, known)) } }
        }
        @if !of.open.is_empty() && known.may_write {
            details id={ "o-" (anchor(&of.path)) } {
                summary { "not stated" }
                @for about in &of.open { (field(of, about, "", known)) }
            }
        }
    }
}

/// "case: one stays shut"; what stands above all tables is the project.
fn title(of: &InputTable) -> String {
    match (&of.name, kind_of(of)) {
        (None, kind) if kind.is_empty() => "project".to_owned(),
        (None, kind) => kind,
        (Some(name), kind) => format!("{kind}: {name}"),
    }
}

/// "case", "sensor bay".
fn kind_of(of: &InputTable) -> String {
    of.kind.rsplit('.').next().unwrap_or_default().replace('_', " ")
}

fn one(of: &InputTable, input: &Input, known: &Known) -> Markup {
    field(of, input.about, &input.text, known)
}

fn field(of: &InputTable, about: &About, text: &str, known: &Known) -> Markup {
    let path = silkfall_project::inputs::path_of(&of.path, &about.name);
    let id = format!("i-{}", anchor(&path));
    let about_id = format!("{id}-a");
    let findings: Vec<&Finding> = known
        .findings
        .iter()
        .filter(|finding| matches!(&finding.subject, Subject::Key(key) if *key == path))
        .collect();
    let wrong = findings.iter().any(|finding| finding.is_wrong());
    let before = known.before.get(&path);
    if !known.may_write {
        return html! {
            p.input data-path=(path) { span.quiet title=(about.means) { (label(about)) } " " span { (text) } }
        };
    }
    html! {
        form.input method="post" action="/edit" data-path=(path) {
            input type="hidden" name="do" value="set";
            input type="hidden" name="kind" value=(of.kind);
            input type="hidden" name="path" value=(of.path);
            input type="hidden" name="key" value=(about.name);
            label for=(id) title=(about.means) { (label(about)) }
            (control(&id, about, text, &about_id, wrong))
            button.set type="submit" { "Set" }
            p.about id=(about_id) {
                @if let Some(before) = before {
                    span.was { "was: " @if before.is_empty() { "not stated" } @else { (before) } }
                }
                @for finding in findings {
                    span class=(if finding.is_wrong() { "misses" } else { "undecided" }) {
                        (finding.message)
                        @if let Some(hint) = &finding.hint { "; " (hint) }
                    }
                }
            }
        }
    }
}

fn label(about: &About) -> String {
    about.name.replace('_', " ")
}

fn control(id: &str, about: &About, text: &str, about_id: &str, wrong: bool) -> Markup {
    let invalid = wrong.then_some("true");
    let words: Option<Vec<&str>> = match &about.sort {
        Sort::Words(words) => Some(words.iter().map(String::as_str).collect()),
        Sort::Truth => Some(vec!["true", "false"]),
        Sort::Text | Sort::Whole | Sort::List => None,
    };
    match words {
        Some(words) => html! {
            select #(id) name="text" aria-describedby=(about_id) aria-invalid=[invalid] {
                @if text.is_empty() { option value="" selected { "not stated" } }
                @for word in &words { option value=(word) selected[*word == text] { (word) } }
                @if !text.is_empty() && !words.contains(&text) { option value=(text) selected { (text) } }
                @if text != "?" { option value="?" { "? not known yet" } }
            }
        },
        None => html! {
            input #(id) name="text" type="text" value=(text) autocomplete="off" spellcheck="false"
                placeholder="not stated" aria-describedby=(about_id) aria-invalid=[invalid];
        },
    }
}
