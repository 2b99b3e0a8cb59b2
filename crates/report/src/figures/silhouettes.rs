//! What falls, side by side to one scale: each part's canopies, lines, riser and body.
//!
//! Canopies are drawn as wide as their nominal diameter and do not overlap less than they would: inflated they are
//! narrower, which the caption of the figure says. A length that is not known is left out of the drawing, not guessed.

use silkfall_core::maths;
use silkfall_core::quantity::{Kind, System};

use super::scale::Linear;
use super::svg::{Anchor, Canvas, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, shortened};

/// The tallest that anything is drawn, px.
const TALLEST: f64 = 150.0;
const ROOM: f64 = 6.0;
/// Height of a canopy's dome over its width.
const DOME: f64 = 0.36;
/// From one canopy of a cluster to the next over their width: they overlap a little.
const APART: f64 = 0.8;

/// Parts side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Silhouettes {
    /// In the order of the project.
    pub parts: Vec<Silhouette>,
}

/// One part.
#[derive(Clone, Debug, PartialEq)]
pub struct Silhouette {
    /// Its name.
    pub label: String,
    /// Its body's length, m.
    pub length_m: Option<f64>,
    /// Its diameter, m.
    pub diameter_m: Option<f64>,
    /// Whether its long axis hangs level.
    pub level: bool,
    /// Canopies.
    pub count: usize,
    /// Nominal diameter of one, m.
    pub canopy_m: Option<f64>,
    /// Lines, m.
    pub lines_m: f64,
    /// Riser, m.
    pub riser_m: f64,
}

impl Silhouette {
    fn canopy(&self) -> Option<f64> {
        self.canopy_m.filter(|_| self.count > 0)
    }

    /// Across and up, m.
    fn body(&self) -> (f64, f64) {
        let (length, diameter) = match (self.length_m, self.diameter_m) {
            (Some(length), Some(diameter)) => (length, diameter),
            (Some(one), None) | (None, Some(one)) => (one, one),
            (None, None) => (0.0, 0.0),
        };
        if self.level { (length, diameter) } else { (diameter, length) }
    }

    fn across(&self) -> f64 {
        let cluster = self.canopy().map_or(0.0, |one| one * (1.0 + APART * (self.count as f64 - 1.0)));
        cluster.max(self.body().0)
    }

    fn tall(&self) -> f64 {
        let above = self.canopy().map_or(0.0, |one| DOME * one + self.lines_m + self.riser_m);
        above + self.body().1
    }
}

pub(super) fn draw(of: &Silhouettes, id: &str, width: f64, system: System) -> Canvas {
    let count = of.parts.len().max(1) as f64;
    let column = width / count;
    let most = |of_one: fn(&Silhouette) -> f64| of.parts.iter().map(of_one).fold(0.0, f64::max);
    let (widest, tallest) = (most(Silhouette::across), most(Silhouette::tall));
    let per_m = ((column - 2.0 * ROOM) / widest.max(0.01)).min(TALLEST / tallest.max(0.01));
    let ground = tallest * per_m + ROOM;
    let mut canvas = Canvas::new(id, width, ground + 2.0 * LINE_HEIGHT + 12.0);
    for (at, part) in of.parts.iter().enumerate() {
        let middle = column * (at as f64 + 0.5);
        one(&mut canvas, part, (middle, ground), per_m);
        let label = shortened(&part.label, column - 8.0);
        canvas.text((middle, ground + LINE_HEIGHT), Label::new(&label, Anchor::Middle));
    }
    scale_bar(&mut canvas, per_m, (0.3 * width, ground + 2.0 * LINE_HEIGHT + 3.0), system);
    canvas
}

/// A part that stands on the ground at the middle of its column.
fn one(canvas: &mut Canvas, part: &Silhouette, (x, ground): (f64, f64), per_m: f64) {
    let line = Stroke::new(Role::Ink, 1.3);
    let (across, up) = (part.body().0 * per_m, part.body().1 * per_m);
    let top = ground - up;
    if across > 0.0 {
        let fill = Paint::Flat(Role::Hair, 1.0);
        canvas.rectangle((x - across / 2.0, top), (x + across / 2.0, ground), fill, Some(line));
    }
    let Some(canopy) = part.canopy() else { return };
    let hair = Stroke::new(Role::Quiet, 0.8);
    let fork = top - part.riser_m * per_m;
    canvas.line((x, top), (x, fork), hair);
    let skirt = fork - part.lines_m * per_m;
    let wide = canopy * per_m;
    let first = x - 0.5 * APART * wide * (part.count as f64 - 1.0);
    for at in 0..part.count {
        let middle = first + APART * wide * at as f64;
        for edge in [-0.5, -0.17, 0.17, 0.5] {
            canvas.line((x, fork), (middle + edge * wide, skirt), hair);
        }
        canvas.area(&[dome((middle, skirt), wide)], Some(Paint::Flat(Role::Ground, 1.0)), Some(line));
    }
}

/// Half an ellipse above its skirt.
fn dome((x, skirt): (f64, f64), wide: f64) -> Vec<(f64, f64)> {
    let at = |step: i32| {
        let angle = std::f64::consts::PI * f64::from(step) / 16.0;
        (x - 0.5 * wide * maths::cos(angle), skirt - DOME * wide * maths::sin(angle))
    };
    (0..=16).map(at).collect()
}

fn scale_bar(canvas: &mut Canvas, per_m: f64, (widest_px, y): (f64, f64), system: System) {
    let widest_m = widest_px / per_m;
    let unit = system.unit(Kind::Length, widest_m);
    // Of about two steps none may fit; of about three one always does.
    let round = Linear::new(0.0, unit.from_si(widest_m), (0.0, 1.0)).ticks(3);
    let length = round.last().copied().unwrap_or(1.0);
    let px = length * unit.factor * per_m;
    let stroke = Stroke::new(Role::Ink, 1.4);
    canvas.polyline(&[(1.0, y - 4.0), (1.0, y), (1.0 + px, y), (1.0 + px, y - 4.0)], stroke);
    let said = format!("{length} {}", unit.symbol);
    canvas.text((px + 9.0, y + 0.3 * TEXT_SIZE), Label::new(&said, Anchor::Start));
}
