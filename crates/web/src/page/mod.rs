//! The page: one sheet in the order of the job, set on the server, that reads without any script.

mod block;
mod compare;
mod fragment;
mod known;
mod places;
mod start;
mod whatif;

pub(crate) use block::{Line, desk};
pub(crate) use compare::{comparison, texts};
pub(crate) use fragment::{Fragment, by_id, differs};
pub(crate) use start::start;

use std::collections::{BTreeMap, BTreeSet};

use axum::response::Html;
use maud::{DOCTYPE, Markup, html};
use silkfall_core::derivation::NumberId;
use silkfall_core::finding::{Finding, Subject};
use silkfall_core::quantity::System;
use silkfall_project::inputs::{InputTable, inputs, path_of};
use silkfall_report::document::{Audience, Block, Body, Document, Explained, Rank, Section, Stands};
use silkfall_report::figures::Drawing;
use silkfall_report::html::page::{Pieces, finding};
use silkfall_report::{landing_section, test_section};
use silkfall_sheet::{LandingTold, Loaded, Sheet, TestTold};

use crate::drops;
use known::Known;
use whatif::WhatIf;

/// What a page is composed of.
pub(crate) struct Given<'a> {
    pub(crate) loaded: &'a Loaded,
    pub(crate) sheet: &'a Sheet,
    pub(crate) document: &'a Document,
    pub(crate) system: System,
    /// The text that is worked.
    pub(crate) text: &'a str,
    /// The text of the file.
    pub(crate) read: &'a str,
    pub(crate) may_write: bool,
}

/// A section of the page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Part {
    /// The id of its element.
    pub(crate) id: String,
    /// Its heading as characters, for lists; `None` for one that stands under another.
    pub(crate) listed: Option<String>,
    /// Heading, known, figure, margin.
    pub(crate) fragments: Vec<Fragment>,
}

/// A name for ids and links: what may not stand in one is written as its code point.
pub(crate) fn anchor(id: &str) -> String {
    id.chars()
        .map(|c| match c {
            c if c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_') => c.to_string(),
            c => format!("~{:x}~", u32::from(c)),
        })
        .collect()
}

/// The page's sections. `before` holds those of the document shown last, with what they were set to, so that only what
/// changed is set anew.
pub(crate) fn compose(given: &Given<'_>, before: &mut Kept) -> Vec<Part> {
    let pieces = Pieces::new(given.system, &given.sheet.hows);
    let ids: Vec<&str> = given.document.sections.iter().map(|section| section.id.as_str()).collect();
    let (now, file) = (inputs(given.text), inputs(given.read));
    let places = places::give_out(&ids, &now);
    let changed = changed(&now, &file);
    let known = Known { before: &changed, findings: &given.sheet.findings, may_write: given.may_write };
    let what_if = WhatIf { project: &given.loaded.project, sheet: given.sheet, now: &now, before: &file };
    let mut kept = Kept::default();
    let mut parts = Vec::new();
    for (at, section) in given.document.sections.iter().enumerate() {
        let name = anchor(&section.id);
        let looking = looking(section, given);
        let set = match before.0.remove(&section.id) {
            Some((old, set)) if old == *section => set,
            _ => Set {
                heading: heading(section, &pieces),
                figure: figure(section, looking.as_ref(), &pieces),
                margin: margin(section, &pieces),
            },
        };
        kept.0.insert(section.id.clone(), (section.clone(), set.clone()));
        let margin = margin_with(
            (set.margin, section),
            looking.as_ref().map(|of| drops::list(of, &given.loaded.project, &now, &pieces)),
            given.sheet,
        );
        // What is said of single drops is said where they are drawn.
        let said_of_drops = looking.as_ref().filter(|of| of.may_write);
        let said_of_drops =
            said_of_drops.map(|of| drops::note_paths(of, &given.loaded.project)).unwrap_or_default();
        let tables: Vec<&InputTable> =
            places[at].iter().copied().filter(|table| !said_of_drops.contains(&table.path)).collect();
        let panel = (at == 0 && given.may_write).then(|| what_if.panel());
        let inputs = panel.into_iter().chain(known::tables(&tables, &known)).collect();
        let inputs = Fragment::of(format!("k-{name}"), "known", inputs);
        parts.push(Part {
            id: format!("s-{name}"),
            listed: (section.rank == Rank::Main).then(|| pieces.plain(&section.heading)),
            fragments: vec![set.heading, inputs, set.figure, margin],
        });
    }
    *before = kept;
    parts
}

/// What is set of a section itself.
#[derive(Clone, Debug)]
struct Set {
    heading: Fragment,
    figure: Fragment,
    /// What stands in the margin whatever is said of drops and noticed.
    margin: Vec<Fragment>,
}

/// Sections as they were set last, by id.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kept(BTreeMap<String, (Section, Set)>);

impl Kept {
    /// Forgets all: for another folder, or other units.
    pub(crate) fn clear(&mut self) {
        self.0.clear();
    }
}

fn shown(section: &Section) -> impl Iterator<Item = &Block> {
    section.blocks.iter().filter(|block| block.audience != Audience::Terminal)
}

/// What is said in the margin: the answers, and where the doubt comes from.
fn is_marginal(body: &Body) -> bool {
    match body {
        Body::Answer(_) | Body::Caution(_) | Body::Steps(_) => true,
        Body::Table(table) => table.stands == Stands::Beside,
        // One upright axis beside the drops.
        Body::Figure(figure) => matches!(figure.drawing, Drawing::Rates(_)),
        _ => false,
    }
}

fn heading(section: &Section, pieces: &Pieces<'_>) -> Fragment {
    let id = format!("h-{}", anchor(&section.id));
    let heading = html! { h2 #(id) { (pieces.rich(&section.heading)) } };
    Fragment::new(id, heading)
}

/// The test that a section tells about, to be looked at drop by drop.
fn looking<'a>(section: &Section, given: &Given<'a>) -> Option<drops::Of<'a>> {
    let (_, name) = section.id.split_once("-test-")?;
    let (part, test) = drops::test_of(given.sheet, name)?;
    let recordings = &given.loaded.recordings;
    Some(drops::Of { part, test, recordings, system: given.system, may_write: given.may_write })
}

/// One thing said; what is drawn of drops can be looked at closely.
fn set(body: &Body, looking: Option<&drops::Of<'_>>, pieces: &Pieces<'_>) -> Markup {
    let (Some(of), Body::Figure(figure)) = (looking, body) else { return pieces.block(body) };
    match &figure.drawing {
        Drawing::Overlay(_) => drops::overlay_figure(of, figure, pieces),
        Drawing::Ribbon(_) => {
            let log = of
                .test
                .recordings
                .iter()
                .find(|recording| figure.id.ends_with(&format!("-ribbon-{}", recording.path)));
            match log {
                Some(recording) => drops::ribbon_figure(of, figure, &recording.path, pieces),
                None => pieces.block(body),
            }
        }
        _ => pieces.block(body),
    }
}

/// A piece of figure or margin; what is said follows what was said closely.
fn piece(id: String, is_words: bool, of: &Markup) -> Fragment {
    let piece = html! { div.piece.words[is_words] #(id) { (of) } };
    Fragment::new(id, piece)
}

fn figure(section: &Section, looking: Option<&drops::Of<'_>>, pieces: &Pieces<'_>) -> Fragment {
    let name = anchor(&section.id);
    let blocks = shown(section).filter(|block| !is_marginal(&block.body)).enumerate();
    let set = blocks.map(|(at, block)| {
        let is_words = matches!(block.body, Body::Paragraph(_));
        piece(format!("body-{name}.{at}"), is_words, &set(&block.body, looking, pieces))
    });
    Fragment::of(format!("body-{name}"), "figure body", set.collect())
}

/// What stands in the margin whatever is said of drops and noticed.
fn margin(section: &Section, pieces: &Pieces<'_>) -> Vec<Fragment> {
    let name = anchor(&section.id);
    let blocks = shown(section).filter(|block| is_marginal(&block.body)).enumerate();
    blocks.map(|(at, block)| piece(format!("m-{name}.{at}"), false, &pieces.block(&block.body))).collect()
}

/// The whole margin: what was set of it, what can be said of drops, and what was noticed.
fn margin_with(
    (mut set, section): (Vec<Fragment>, &Section),
    drops: Option<Markup>,
    sheet: &Sheet,
) -> Fragment {
    let name = anchor(&section.id);
    set.extend(drops.map(|drops| piece(format!("m-{name}.drops"), false, &drops)));
    let about = beside(section, sheet);
    if !about.is_empty() {
        let list = html! { ul.findings { @for one in &about { (finding(one)) } } };
        set.push(piece(format!("m-{name}.noticed"), false, &list));
    }
    Fragment::of(format!("m-{name}"), "margin", set)
}

/// What was noticed about the inputs of a section, for its margin.
fn beside(section: &Section, sheet: &Sheet) -> Vec<Finding> {
    let Some((_, test)) = section.id.split_once("-test-") else { return Vec::new() };
    let keys = format!("{}.", path_of("test", test));
    let logs: BTreeSet<&str> = sheet
        .parts
        .iter()
        .flat_map(|part| &part.tests)
        .filter(|of| of.name == test)
        .flat_map(|of| of.recordings.iter().map(|recording| recording.path.as_str()))
        .collect();
    let is_about = |finding: &&Finding| match &finding.subject {
        Subject::Recording(name)
        | Subject::Samples { recording: name, .. }
        | Subject::Drop { recording: name, .. } => logs.contains(name.as_str()),
        Subject::Key(key) => key.starts_with(&keys),
        _ => false,
    };
    sheet.findings.iter().filter(is_about).cloned().collect()
}

/// What the file holds where that is not what stands here, by path.
fn changed(now: &[InputTable], file: &[InputTable]) -> BTreeMap<String, String> {
    let all = |tables: &[InputTable]| -> BTreeMap<String, String> {
        let inputs = tables.iter().flat_map(|table| &table.inputs);
        inputs.map(|input| (input.path.clone(), input.text.clone())).collect()
    };
    let (now, file) = (all(now), all(file));
    let mut changed = BTreeMap::new();
    for (path, text) in &now {
        let before = file.get(path).cloned().unwrap_or_default();
        if *text != before {
            changed.insert(path.clone(), before);
        }
    }
    changed.extend(file.into_iter().filter(|(path, _)| !now.contains_key(path)));
    changed
}

/// The title block's figures, as fragments.
pub(crate) fn title_block(given: &Given<'_>, sequence: u64) -> [Fragment; 2] {
    let pieces = Pieces::new(given.system, &given.sheet.hows);
    let lines: Vec<Line<'_>> = given.sheet.parts.iter().map(Line::of).collect();
    let made = html! { div.made #block-made data-sequence=(sequence) { (block::made_of(given.sheet)) } };
    [block_parts(&lines, &pieces), Fragment::new("block-made", made)]
}

/// What the drops of a test come to before the rest is worked: its section, over the view shown last.
pub(crate) fn drops_glimpse(
    view: &crate::worker::View,
    (text, loaded): (&str, &Loaded),
    told: &TestTold<'_>,
    may_write: bool,
) -> Vec<Fragment> {
    let Some(part) = view.sheet.parts.iter().find(|part| part.name == told.part) else { return Vec::new() };
    let section = test_section(part, told.sheet);
    let pieces = Pieces::new(view.system, told.hows);
    let of =
        drops::Of { part, test: told.sheet, recordings: &loaded.recordings, system: view.system, may_write };
    let list = drops::list(&of, &loaded.project, &inputs(text), &pieces);
    let margin = margin_with((margin(&section, &pieces), &section), Some(list), &view.sheet);
    vec![heading(&section, &pieces), figure(&section, Some(&of), &pieces), margin]
}

/// Where a part comes down before the rest is worked: its section, over the view shown last.
pub(crate) fn landing_glimpse(view: &crate::worker::View, told: &LandingTold<'_>) -> Vec<Fragment> {
    let Some(part) = view.sheet.parts.iter().find(|part| part.name == told.sheet.part) else {
        return Vec::new();
    };
    let section = landing_section(part, told.sheet);
    let pieces = Pieces::new(view.system, told.hows);
    let margin = margin_with((margin(&section, &pieces), &section), None, &view.sheet);
    vec![heading(&section, &pieces), figure(&section, None, &pieces), margin]
}

/// What the cases come to before the rest is worked: the title block's figures, over the view shown last.
pub(crate) fn glimpse(view: &crate::worker::View, worked: &[crate::worker::Worked]) -> Fragment {
    let pieces = Pieces::new(view.system, &view.sheet.hows);
    let line = |part| {
        let line = Line::of(part);
        match worked.iter().find(|worked| worked.part == part.name) {
            Some(worked) => line.with(worked),
            None => line,
        }
    };
    let lines: Vec<Line<'_>> = view.sheet.parts.iter().map(line).collect();
    block_parts(&lines, &pieces)
}

fn block_parts(lines: &[Line<'_>], pieces: &Pieces<'_>) -> Fragment {
    Fragment::new("block-parts", html! { div.parts #block-parts { (block::figures(lines, pieces)) } })
}

/// The top of the page: its name, and what it was made of.
pub(crate) fn top(given: &Given<'_>) -> Fragment {
    let pieces = Pieces::new(given.system, &given.sheet.hows);
    let document = given.document;
    let top = html! {
        header.top #top {
            h1 { (document.title) }
            p.quiet { (pieces.words(&document.subtitle)) }
        }
    };
    Fragment::new("top", top)
}

/// Everything between top and title block.
pub(crate) fn main(parts: &[Part]) -> String {
    html! {
        main #main tabindex="-1" {
            @for part in parts {
                section.sheet.under[part.listed.is_none()] #(part.id)
                    aria-labelledby=(part.fragments.first().map_or("", |heading| heading.id.as_str())) {
                    @for fragment in &part.fragments { (maud::PreEscaped(fragment.html())) }
                }
            }
        }
    }
    .into_string()
}

/// The ways about the sheet: the list of its sections, and what is at hand everywhere.
pub(crate) fn ways(parts: &[Part], may_write: bool) -> [Fragment; 2] {
    let bring = may_write.then_some(("bring", drops::bring::HEADING));
    let sections = parts.iter().filter_map(|part| Some((part.id.as_str(), part.listed.as_deref()?)));
    let all: Vec<(&str, &str)> = sections.chain(bring).collect();
    let list = html! {
        nav #sections aria-label="Sections" {
            details.sections {
                summary { "Sections" }
                ul { @for (id, heading) in &all { li { a href={ "#" (id) } { (heading) } } } }
            }
        }
    };
    let at_hand = html! {
        div.ways #ways {
            label for="jump" { "Go to" }
            select #jump {
                option value="" { "a section" }
                @for (id, heading) in &all { option value=(id) { (heading) } }
            }
            button #doubt type="button" { "Next doubt" }
        }
    };
    [Fragment::new("sections", list), Fragment::new("ways", at_hand)]
}

/// The whole page.
pub(crate) fn page(
    view: &crate::worker::View,
    (desk, number): (&Markup, u64),
    may_write: bool,
) -> Html<String> {
    let body = html! {
        a.skip href="#main" { "Skip to the sheet" }
        a.skip href="#desk" { "Skip to saving and the list of sections" }
        (maud::PreEscaped(view.top.html()))
        (maud::PreEscaped(view.ways[0].html()))
        (maud::PreEscaped(main(&view.parts)))
        @if may_write { (drops::bring::place()) }
        div.block role="contentinfo" aria-label="Title block" {
            (maud::PreEscaped(view.block[0].html()))
            div.second { (desk) span.working #working { "working" } div.progress #progress role="status" {} (maud::PreEscaped(view.ways[1].html())) (maud::PreEscaped(view.block[1].html())) }
        }
        dialog.how #how aria-label="How this number came about" {}
        p.hidden #said role="status" {}
    };
    frame(&view.name, Script::Sheet { revision: view.revision, desk: number }, &body)
}

/// Which script a page has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Script {
    /// The sheet's, from this revision on, of this desk.
    Sheet { revision: u64, desk: u64 },
    /// The one that brings recordings where nothing is open.
    Start,
    /// None.
    Without,
}

/// What stands around every page.
fn frame(title: &str, script: Script, body: &Markup) -> Html<String> {
    let (revision, desk) = match script {
        Script::Sheet { revision, desk } => (Some(revision), Some(desk)),
        Script::Start | Script::Without => (None, None),
    };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                link rel="icon" href="/icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="/style.css";
                @match script {
                    Script::Sheet { .. } => script type="module" src="/js/main.js" {},
                    Script::Start => script type="module" src="/js/start.js" {},
                    Script::Without => {},
                }
            }
            body data-revision=[revision] data-desk=[desk] { (body) }
        }
    };
    Html(page.into_string())
}

/// A page beside the sheet: a title, and what it says.
pub(crate) fn aside(title: &str, body: &Markup) -> Html<String> {
    let body = html! {
        main.aside #main {
            p { a href="/" { "Back to the sheet" } }
            h1 { (title) }
            (body)
        }
    };
    frame(title, Script::Without, &body)
}

/// Why somebody is not let in.
pub(crate) fn refusal(says: &str) -> Html<String> {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head { meta charset="utf-8"; title { "Not here" } }
            body { main { h1 { "Not here" } p { (says) } } }
        }
    };
    Html(page.into_string())
}

/// How a number came about, as the piece that the dialog shows.
pub(crate) fn derivation(sheet: &Sheet, id: &str, system: System) -> Option<Markup> {
    let (id, how) = sheet.hows.get_key_value(&NumberId(id.to_owned()))?;
    let pieces = Pieces::new(system, &sheet.hows);
    Some(pieces.how(&Explained { id: id.clone(), also: Vec::new(), how: how.clone() }))
}
