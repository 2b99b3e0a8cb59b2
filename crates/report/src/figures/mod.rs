//! Figures: what is drawn, as plain numbers, and the drawing of it.
//!
//! A figure always brings the table that says the same ([`Figure::alternative`]). Line is case, fill is trust
//! ([`Fill`]), colour is only a role; so doubt survives grey print and colour blindness.

mod axis;
mod bay;
mod candidates;
mod cases;
mod curves;
mod data;
mod descent;
mod failures;
mod handle;
mod hanging;
mod landings;
mod load_path;
mod map;
mod opening;
mod overlay;
mod parts;
mod rates;
mod ribbon;
pub(crate) mod rose;
pub(crate) mod scale;
mod silhouettes;
mod svg;

pub use data::{
    BayDrawing, BayPiece, CandidateField, CandidateMark, CaseBars, CaseMark, DropLine, DropRate, Fill,
    MemberBars, MemberMark, Overlay, PartPiece, PartRow, PartStacks, RateDots, Ribbon, RibbonSpell,
    SteadyLine,
};

pub use curves::{Curve, CurvePanel, CurvePanels};
pub use failures::{Branch, FailureTree, TreeRow};
pub use hanging::{HangLeg, HangView, HangViews};
pub(crate) use landings::compass;
pub use landings::{
    DescentLine, DescentLines, DescentPoint, FieldMap, GroundWind, NamedRegion, OpeningCurve, OpeningMark,
    Patch, RoseDress, RoseSector, ShareRegion, Today, WindRange, WindRose, WindRoses,
};
pub use overlay::{End, Handle, ReadOff};

pub use silhouettes::{Silhouette, Silhouettes};

use maud::{Markup, html};
use silkfall_core::quantity::System;

use crate::document::{Rich, Table};
use crate::html::anchor;
use svg::Canvas;

/// A figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// A short name for links and for the ids inside the drawing: lower case, no spaces.
    pub id: String,
    /// What stands under it: a sentence with what is to be seen.
    pub caption: Rich,
    /// What it shows, for those who do not see it.
    pub description: String,
    /// The same as a table.
    pub alternative: Table,
    /// What is drawn.
    pub drawing: Drawing,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Drawing {
    /// All drops of a configuration, laid over one another from release.
    Overlay(Overlay),
    /// Rates with their intervals, a drop a column.
    Rates(RateDots),
    /// A whole recording.
    Ribbon(Ribbon),
    /// Drag areas as stacked parts.
    Parts(PartStacks),
    /// Candidates by cost and rate.
    Candidates(CandidateField),
    /// Cases against their limits.
    Cases(CaseBars),
    /// The field to scale, with where it comes down.
    Map(FieldMap),
    /// Height against time and drift.
    Descent(DescentLines),
    /// The winds that are allowed.
    Roses(WindRoses),
    /// What the height of opening costs.
    Opening(OpeningCurve),
    /// A bay to scale with what is packed in it.
    Bay(BayDrawing),
    /// A body in its harness.
    Hanging(HangViews),
    /// What has to work.
    Failures(FailureTree),
    /// Pulls against what members may be given.
    Members(MemberBars),
    /// Curves in panels.
    Curves(CurvePanels),
    /// What falls, to one scale.
    Silhouettes(Silhouettes),
}

/// Width of the drawing for pages and paper, px.
const WIDE: f64 = 720.0;
/// Width of the drawing for phones, px.
const NARROW: f64 = 320.0;

/// The drawing as SVG, once for pages and paper and once for phones, of which the page shows one. `title` names it.
pub fn svg(figure: &Figure, title: &str, system: System) -> Markup {
    svg_with_handles(figure, &[], title, system)
}

/// As [`svg()`]; an overlay gets handles at the ends of its steady stretches.
pub fn svg_with_handles(figure: &Figure, handles: &[Handle], title: &str, system: System) -> Markup {
    let set = |class: &str, width: f64| {
        // Names of tests hold anything, and an id no space.
        let id = anchor(class, &figure.id);
        canvas(&figure.drawing, handles, &id, width, system).finish(class, title, &figure.description)
    };
    html! { (set("wide", WIDE)) (set("narrow", NARROW)) }
}

/// One of the two drawings as a file of its own, for paper, whose ground is white.
pub fn svg_alone(figure: &Figure, is_wide: bool, title: &str, system: System) -> String {
    let (class, width) = if is_wide { ("wide", WIDE) } else { ("narrow", NARROW) };
    let id = anchor(class, &figure.id);
    let canvas = canvas(&figure.drawing, &[], &id, width, system);
    let opened =
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{}\"", canvas.height);
    let drawn = canvas.finish(class, title, &figure.description).0;
    drawn.replacen("<svg", &opened, 1).replace(svg::Role::Ground.light(), "#FFFFFF")
}

/// Width and height of one of the two drawings, px.
pub fn size(figure: &Figure, is_wide: bool, system: System) -> (f64, f64) {
    let width = if is_wide { WIDE } else { NARROW };
    let canvas = canvas(&figure.drawing, &[], &figure.id, width, system);
    (canvas.width, canvas.height)
}

fn canvas(drawing: &Drawing, handles: &[Handle], id: &str, width: f64, system: System) -> Canvas {
    match drawing {
        Drawing::Overlay(overlay) => overlay::draw(overlay, handles, id, width, system),
        Drawing::Rates(dots) => rates::draw(dots, id, width, system),
        Drawing::Ribbon(of) => ribbon::draw(of, id, width, system),
        Drawing::Parts(stacks) => parts::draw(stacks, id, width, system),
        Drawing::Candidates(field) => candidates::draw(field, id, width, system),
        Drawing::Cases(bars) => cases::draw(bars, id, width, system),
        Drawing::Map(field) => map::draw(field, id, width, system),
        Drawing::Descent(lines) => descent::draw(lines, id, width, system),
        Drawing::Roses(roses) => rose::draw(roses, id, width, system),
        Drawing::Opening(curve) => opening::draw(curve, id, width, system),
        Drawing::Bay(of) => bay::draw(of, id, width, system),
        Drawing::Hanging(views) => hanging::draw(views, id, width, system),
        Drawing::Failures(tree) => failures::draw(tree, id, width, system),
        Drawing::Members(bars) => load_path::draw(bars, id, width, system),
        Drawing::Curves(panels) => curves::draw(panels, id, width, system),
        Drawing::Silhouettes(parts) => silhouettes::draw(parts, id, width, system),
    }
}

#[cfg(test)]
mod landed_tests;
#[cfg(test)]
mod tests;
