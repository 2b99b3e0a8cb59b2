//! The figures of a test's drops as the page shows them: with handles, at a zoom.

use maud::{Markup, html};
use silkfall_core::pyramid::Pyramid;
use silkfall_core::quantity::System;
use silkfall_report::document::Body;
use silkfall_report::drop_figures;
use silkfall_report::figures::{self, Drawing, Figure, Overlay};
use silkfall_report::html::page::Pieces;
use silkfall_sheet::{Input, PartSheet, ReducedDrop, ReducedRecording, TestSheet};

use super::handles::handles;

/// A closer look than this shows nothing more of a fall, s.
const SHORTEST_S: f64 = 0.2;
/// What a step of zoom does to the width in sight.
const ZOOM: f64 = 0.6;

/// A stretch of an overlay that is looked at, s from release.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Span {
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
}

/// A change of what is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Look {
    /// Closer, about a share of the width.
    In(f64),
    /// From further away, about a share of the width.
    Out(f64),
    /// Moved by a share of the width.
    By(f64),
}

impl Look {
    /// As the page says it.
    pub(crate) fn read(word: &str, share: f64) -> Option<Self> {
        let share = if share.is_finite() { share.clamp(-20.0, 20.0) } else { 0.5 };
        match word {
            "in" => Some(Look::In(share.clamp(0.0, 1.0))),
            "out" => Some(Look::Out(share.clamp(0.0, 1.0))),
            "by" => Some(Look::By(share)),
            _ => None,
        }
    }

    /// What is seen after it of what was seen before, within `all` and no shorter than `shortest`.
    pub(crate) fn of(self, (from, to): (f64, f64), all: (f64, f64), shortest: f64) -> (f64, f64) {
        let width = to - from;
        let (start, width) = match self {
            Look::In(share) | Look::Out(share) => {
                let factor = if matches!(self, Look::In(_)) { ZOOM } else { 1.0 / ZOOM };
                (from + share * width * (1.0 - factor), width * factor)
            }
            Look::By(share) => (from + share * width, width),
        };
        within((start, start + width), all, shortest)
    }
}

/// A stretch moved and cut so that it lies in another and is no shorter than may be.
pub(crate) fn within((from, to): (f64, f64), all: (f64, f64), shortest: f64) -> (f64, f64) {
    let most = (all.1 - all.0).max(0.0);
    let width = (to - from).clamp(shortest.min(most), most);
    let start = from.clamp(all.0, all.1 - width);
    (start, start + width)
}

impl Span {
    /// Cut to what there is.
    pub(crate) fn within(self, overlay: &Overlay) -> (f64, f64) {
        let finite = |value: f64| if value.is_finite() { value } else { 0.0 };
        within((finite(self.from_s), finite(self.to_s)), overlay.all_times(), SHORTEST_S)
    }
}

/// What figures are set from.
#[derive(Clone, Copy)]
pub(crate) struct Of<'a> {
    pub(crate) part: &'a PartSheet,
    pub(crate) test: &'a TestSheet,
    pub(crate) recordings: &'a [Input],
    pub(crate) system: System,
    pub(crate) may_write: bool,
}

/// The overlay of a test at a zoom, without what stands around it.
pub(crate) fn overlay(of: &Of<'_>, span: Option<Span>, look: Option<Look>) -> Option<Markup> {
    let mut figure = drop_figures(of.part, of.test).overlay?;
    let Drawing::Overlay(overlay) = &mut figure.drawing else { return None };
    let all = overlay.all_times();
    let seen = span.map_or(all, |span| span.within(overlay));
    let seen = look.map_or(seen, |look| look.of(seen, all, SHORTEST_S));
    let is_whole = seen.0 <= all.0 && seen.1 >= all.1;
    overlay.span_s = (!is_whole).then_some(seen);
    let handles = if of.may_write { handles(of.test, of.recordings, of.system) } else { Vec::new() };
    Some(html! {
        div.draw data-from=(seen.0) data-to=(seen.1) data-whole=(is_whole) {
            (figures::svg_with_handles(&figure, &handles, &plain(&figure, of.system), of.system))
        }
    })
}

fn plain(figure: &Figure, system: System) -> String {
    silkfall_report::show::plain(&figure.caption, system)
}

/// The recording's ribbon at a zoom: shares of its time, and the drop that it is to be seen about.
pub(crate) fn ribbon(of: &Of<'_>, log: &str, seen: (f64, f64), about: Option<&str>) -> Option<Markup> {
    let at = of.test.recordings.iter().position(|recording| recording.path == log)?;
    let recording = &of.test.recordings[at];
    let mut figure = drop_figures(of.part, of.test).ribbons.into_iter().nth(at)?;
    let Drawing::Ribbon(drawn) = &mut figure.drawing else { return None };
    let all_s = recording.duration_s;
    let about = about.and_then(|letter| recording.drops.iter().find(|drop| drop.letter == letter));
    let seen = match about {
        Some(drop) => around(recording, drop),
        None => within(seen, (0.0, 1.0), (SHORTEST_S / all_s).min(1.0)),
    };
    drawn.span_s = (seen.0 * all_s, seen.1 * all_s);
    Some(html! {
        div.draw data-from=(seen.0) data-to=(seen.1) data-deepest=(Pyramid::deepest_of(recording.samples)) {
            (figures::svg(&figure, &plain(&figure, of.system), of.system))
        }
    })
}

/// The share of a recording about a drop: from before its hoist until after its ground.
fn around(recording: &ReducedRecording, drop: &ReducedDrop) -> (f64, f64) {
    const AFTER_S: f64 = 12.0;
    const BEFORE_S: f64 = 90.0;
    let ground_s = super::end_s(drop);
    let before =
        recording.spells.iter().rev().find(|spell| spell.is == "ground" && spell.to_s <= drop.release_s);
    let hoist_s = before.map_or(0.0, |spell| spell.to_s - AFTER_S).max(drop.release_s - BEFORE_S);
    let all_s = recording.duration_s;
    within((hoist_s / all_s, (ground_s + AFTER_S) / all_s), (0.0, 1.0), 0.0)
}

/// An overlay with its tools, its caption and its table.
pub(crate) fn overlay_figure(of: &Of<'_>, figure: &Figure, pieces: &Pieces<'_>) -> Markup {
    html! {
        figure.looking.overlay data-test=(of.test.name) {
            (tools("the drops", &["in", "out", "whole"]))
            div.stage { (overlay(of, None, None).unwrap_or_default()) div.hair hidden {} }
            p.cross { span.quiet.hint { "Point at the drawing for values; drag a handle, or move it by arrow key, to set the steady stretch." } }
            (around_figure(figure, pieces))
        }
    }
}

/// A ribbon with its tools, its caption and its table.
pub(crate) fn ribbon_figure(of: &Of<'_>, figure: &Figure, log: &str, pieces: &Pieces<'_>) -> Markup {
    html! {
        figure.looking.ribbon data-test=(of.test.name) data-log=(log) {
            (tools(log, &["in", "out", "left", "right", "whole"]))
            div.stage { canvas.samples aria-hidden="true" {} (ribbon(of, log, (0.0, 1.0), None).unwrap_or_default()) }
            (around_figure(figure, pieces))
        }
    }
}

fn around_figure(figure: &Figure, pieces: &Pieces<'_>) -> Markup {
    html! {
        figcaption { (pieces.rich(&figure.caption)) }
        details {
            summary { "The same as a table" }
            (pieces.block(&Body::Table(figure.alternative.clone())))
        }
    }
}

fn tools(what: &str, looks: &[&str]) -> Markup {
    let words = |look: &str| match look {
        "in" => "Closer",
        "out" => "Wider",
        "left" => "Earlier",
        "right" => "Later",
        _ => "Whole",
    };
    html! {
        div.tools role="group" aria-label={ "Look at " (what) } {
            @for look in looks { button type="button" data-look=(look) { (words(look)) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_look_stays_within_what_there_is() {
        let all = (-1.0, 9.0);
        assert_eq!(Look::Out(0.5).of((2.0, 8.0), all, 0.2), all);
        assert_eq!(Look::By(3.0).of((2.0, 4.0), all, 0.2), (7.0, 9.0));
        assert_eq!(Look::By(-9.0).of((2.0, 4.0), all, 0.2), (-1.0, 1.0));
        let (from, to) = Look::In(0.5).of((0.0, 0.2), all, 0.2);
        assert!((to - from - 0.2).abs() < 1e-12);
        let about = Look::In(0.25).of((0.0, 8.0), all, 0.2);
        assert!(
            (about.0 + 0.25 * (about.1 - about.0) - 2.0).abs() < 1e-12,
            "what is pointed at stays: {about:?}"
        );
        assert_eq!(within((0.0, 5.0), (0.0, 0.1), 0.2), (0.0, 0.1));
        assert!(Look::read("in", f64::NAN).is_some() && Look::read("sideways", 0.0).is_none());
    }
}
