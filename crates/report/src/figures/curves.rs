//! Curves in panels: side by side where there is room, above one another on a phone. Line is what is asked, solid, dash, dot, its
//! name beside it; a bound is ruled across.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::descent::stroke_of;
use super::svg::{Anchor, Canvas, LINE_HEIGHT, Label, Role, Stroke, TEXT_SIZE, TextBox, along, shortened};

/// Curves, panel by panel.
#[derive(Clone, Debug, PartialEq)]
pub struct CurvePanels {
    /// The panels, as read.
    pub panels: Vec<CurvePanel>,
}

/// One panel.
#[derive(Clone, Debug, PartialEq)]
pub struct CurvePanel {
    /// What it shows.
    pub label: String,
    /// What is counted across, and in words.
    pub across: (Kind, String),
    /// What is counted up, and in words.
    pub up: (Kind, String),
    /// The curves.
    pub curves: Vec<Curve>,
    /// A bound, SI, and its name.
    pub bound: Option<(f64, String)>,
}

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Its name.
    pub label: String,
    /// Its points, SI, rising across.
    pub points: Vec<(f64, f64)>,
}

/// Panels beside one another where there is room.
const BESIDE: usize = 2;
const BETWEEN: f64 = 20.0;
const RIGHT: f64 = 10.0;
/// Room for the panel's name and the words of its upward axis, px.
const TOP: f64 = 46.0;
/// Room over the highest of a panel, for names.
const OVER: f64 = 1.22;

pub(super) fn draw(of: &CurvePanels, id: &str, width: f64, system: System) -> Canvas {
    let narrow = width < 500.0;
    let beside = if narrow { 1 } else { of.panels.len().clamp(1, BESIDE) };
    let height = if narrow { 170.0 } else { 200.0 };
    let panel = (width - BETWEEN * (beside as f64 - 1.0)) / beside as f64;
    let row = TOP + height + Axis::BELOW + 10.0;
    let rows = of.panels.len().div_ceil(beside).max(1);
    let mut canvas = Canvas::new(id, width, row * rows as f64);
    for (at, one) in of.panels.iter().enumerate() {
        let left = (panel + BETWEEN) * (at % beside) as f64;
        let top = row * (at / beside) as f64;
        let frame = TextBox {
            left: left + Axis::LEFT,
            right: left + panel - RIGHT,
            top: top + TOP,
            bottom: top + TOP + height,
        };
        one.draw(&mut canvas, (left, top), frame, system);
    }
    canvas
}

impl CurvePanel {
    fn draw(&self, canvas: &mut Canvas, (left, top): (f64, f64), frame: TextBox, system: System) {
        let points = || self.curves.iter().flat_map(|curve| curve.points.iter().copied());
        let furthest = points().map(|(x, _)| x).fold(0.0, f64::max);
        let bound = self.bound.as_ref().map(|(si, _)| *si);
        let highest = points().map(|(_, y)| y).chain(bound).fold(0.0, f64::max);
        let across = Axis::new((0.0, furthest), self.across.0, system, (frame.left, frame.right), 60.0);
        let up = Axis::new((0.0, OVER * highest), self.up.0, system, (frame.bottom, frame.top), 40.0);
        let name = shortened(&self.label, frame.right + RIGHT - left);
        canvas.text((left, top + TEXT_SIZE), Label::new(&name, Anchor::Start).strong());
        up.draw_left(canvas, frame.left, &self.up.1);
        across.draw_below(canvas, frame.bottom, &self.across.1);
        let mut obstacles = Vec::new();
        if let Some(si) = bound {
            let y = up.at(si);
            canvas.line(
                (frame.left, y),
                (frame.right, y),
                Stroke::new(Role::Quiet, 1.0).with_dashes("9 3 1.5 3"),
            );
            obstacles.extend(along(&[(frame.left, y), (frame.right, y)], 3.0));
        }
        let place = |(x, y): &(f64, f64)| (across.at(*x), up.at(*y));
        let drawn: Vec<Vec<(f64, f64)>> =
            self.curves.iter().map(|curve| curve.points.iter().map(place).collect()).collect();
        for (at, points) in drawn.iter().enumerate() {
            canvas.polyline(points, stroke_of(at));
            obstacles.extend(along(points, 3.0));
        }
        let room = frame.right - frame.left;
        if let Some((si, words)) = &self.bound {
            let said = shortened(words, room);
            let y = up.at(*si);
            let places =
                [(frame.right, y - 5.0), (frame.right, y + TEXT_SIZE + 2.0)].map(|at| (at, Anchor::End));
            canvas.text_where_clear(
                &places,
                Label::new(&said, Anchor::End).role(Role::Quiet).rim(),
                &obstacles,
                frame,
            );
        }
        for (curve, points) in self.curves.iter().zip(&drawn) {
            let said = shortened(&curve.label, room);
            canvas.text_where_clear(
                &beside(points),
                Label::new(&said, Anchor::Start).rim(),
                &obstacles,
                frame,
            );
        }
    }
}

/// Places near a curve: over its peak, then beside its end and backwards.
fn beside(points: &[(f64, f64)]) -> Vec<((f64, f64), Anchor)> {
    let peak = points.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
    let over = peak.into_iter().flat_map(|(x, y)| {
        [-6.0, -6.0 - LINE_HEIGHT].into_iter().flat_map(move |by| {
            [Anchor::Middle, Anchor::Start, Anchor::End].map(|anchor| ((x, y + by), anchor))
        })
    });
    let mut line = along(points, 9.0);
    line.reverse();
    let along_it = line.into_iter().flat_map(|(x, y)| {
        [
            ((x, y - 6.0), Anchor::End),
            ((x + 6.0, y - 4.0), Anchor::Start),
            ((x - 6.0, y + TEXT_SIZE + 3.0), Anchor::End),
            ((x + 6.0, y + TEXT_SIZE + 3.0), Anchor::Start),
        ]
    });
    over.chain(along_it).collect()
}
