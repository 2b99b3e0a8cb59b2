//! What if: the few inputs that a builder turns while looking at the cases, with sliders.
//!
//! A slider has stops that are texts, made with the value's own unit and doubt; a script only picks one. Without a script
//! the field beside it does the same.

use maud::{Markup, html};
use silkfall_project::Project;
use silkfall_project::inputs::InputTable;
use silkfall_project::stops::{Span, stops};
use silkfall_sheet::Sheet;

use super::{Fragment, anchor};

/// Temperatures go this far to both sides, in steps of a degree.
const DEGREES: Span = Span::Steps { by: 1.0, each_side: 20 };
/// Pressures, in the unit they are written in: hPa as a rule.
const PRESSURES: Span = Span::Steps { by: 1.0, each_side: 30 };
/// Winds of days on which anybody would fly.
const WINDS: Span = Span::Between { from: 0.0, to: 15.0, by: 0.5 };
/// All around.
const BEARINGS: Span = Span::Between { from: 0.0, to: 350.0, by: 10.0 };
/// More canopies than this are typed into the project file.
const MOST_CANOPIES: u32 = 12;

/// What the panel is made of.
pub(super) struct WhatIf<'a> {
    pub(super) project: &'a Project,
    pub(super) sheet: &'a Sheet,
    /// The project's tables as they stand.
    pub(super) now: &'a [InputTable],
    /// The tables of the file: sliders stand about what it holds, so that they do not run away.
    pub(super) before: &'a [InputTable],
}

impl WhatIf<'_> {
    pub(super) fn panel(&self) -> Fragment {
        let panel = html! {
            div.what-if #what-if role="group" aria-label="What if" {
                h3 { "What if" }
                @for part in &self.sheet.parts {
                    p.quiet { (part.name) }
                    (self.slider("part", &part_path(&part.name), "mass", "mass", "0 kg", Span::Quarter))
                    (self.canopies(part))
                }
                p.quiet { "site day" }
                (self.slider("site", "site", "temperature", "air", "15 °C", DEGREES))
                (self.slider("site", "site", "pressure", "pressure", "1000 hPa", PRESSURES))
                p.quiet {
                    "wind at the ground"
                    @if let Some(file) = self.project.winds_file.given() { ", in place of " (file) }
                }
                (self.slider("wind", "wind", "speed", "speed", "0 m/s", WINDS))
                (self.slider("wind", "wind", "from", "from", "0 °", BEARINGS))
            }
        };
        Fragment::new("what-if", panel)
    }

    /// What is written for a key, now or in the file.
    fn text<'t>(tables: &'t [InputTable], path: &str, key: &str) -> Option<&'t str> {
        let table = tables.iter().find(|table| table.path == path)?;
        let input = table.inputs.iter().find(|input| input.about.name == key)?;
        Some(input.text.as_str())
    }

    fn slider(&self, kind: &str, path: &str, key: &str, label: &str, start: &str, span: Span) -> Markup {
        let now = Self::text(self.now, path, key);
        let file = Self::text(self.before, path, key);
        let about = file.or(now).filter(|text| stops(text, span).is_some()).unwrap_or(start);
        let mut all = stops(about, span).unwrap_or_default();
        if let Some(now) = now.filter(|now| !all.iter().any(|stop| stop == now)) {
            // Typed between two stops: the slider stands where it is until it is moved.
            all = stops(now, span).unwrap_or(all);
        }
        let at = now.and_then(|now| all.iter().position(|stop| stop == now));
        let id = format!("w-{}", anchor(&silkfall_project::inputs::path_of(path, key)));
        let spoken = now.unwrap_or("not stated");
        html! {
            form.turn method="post" action="/edit" {
                input type="hidden" name="do" value=(if kind == "wind" { "wind" } else { "set" });
                input type="hidden" name="kind" value=(kind);
                input type="hidden" name="path" value=(path);
                input type="hidden" name="key" value=(key);
                label for=(id) { (label) }
                input #(id) name="text" type="text" value=(now.unwrap_or_default()) placeholder="not stated"
                    autocomplete="off" spellcheck="false";
                @if all.len() > 1 {
                    input.slide.idle[at.is_none()] #{ (id) "-s" } type="range" min="0" max=(all.len() - 1) step="1"
                        value=(at.unwrap_or(all.len() / 2)) data-stops=(all.join("|")) aria-label={ (label) ", slider" }
                        aria-valuetext=(spoken);
                }
                button.set type="submit" { "Set" }
            }
        }
    }

    fn canopies(&self, part: &silkfall_sheet::PartSheet) -> Markup {
        let chosen = part.choice.id();
        let now = part.candidates.iter().find(|candidate| Some(candidate.id.as_str()) == chosen);
        let mut offers: Vec<&str> =
            part.candidates.iter().map(|candidate| candidate.offer.as_str()).collect();
        offers.sort_unstable();
        offers.dedup();
        let id = format!("w-choice-{}", anchor(&part.name));
        html! {
            @if !offers.is_empty() {
                form.turn.choose method="post" action="/edit" {
                    input type="hidden" name="do" value="choose";
                    input type="hidden" name="part" value=(part.name);
                    label for=(id) { "canopies" }
                    select #(id) name="offer" {
                        @if now.is_none() { option value="" selected { "not chosen" } }
                        @for offer in &offers {
                            option value=(offer) selected[now.is_some_and(|now| now.offer == *offer)] { (offer) }
                        }
                    }
                    label.hidden for={ (id) "-n" } { "how many" }
                    input #{ (id) "-n" } name="count" type="number" min="1" max=(MOST_CANOPIES)
                        value=(now.map_or(1, |now| now.count));
                    button.set type="submit" { "Set" }
                }
            }
        }
    }
}

/// The dotted path of a part.
fn part_path(name: &str) -> String {
    silkfall_project::inputs::path_of("part", name)
}
