//! Height against time, and against drift: side by side, or above one another on a phone; a line a case, its name
//! near its end.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::landings::{DescentLine, DescentLines, DescentPoint};
use super::overlay::without_strays;
use super::svg::{Anchor, Canvas, Label, Role, Stroke, TextBox, along, shortened};

const RIGHT: f64 = 12.0;
const TOP: f64 = 28.0;
/// Between two panels, px.
const BETWEEN: f64 = 28.0;

/// Line is case: these in turn, and the same again finer.
const DASHES: [Option<&str>; 4] = [None, Some("7 4"), Some("1.5 3.5"), Some("9 3 1.5 3")];

pub(super) fn stroke_of(case: usize) -> Stroke {
    let width = if case < DASHES.len() { 1.8 } else { 1.0 };
    Stroke { dashes: DASHES[case % DASHES.len()], ..Stroke::new(Role::Ink, width) }
}

pub(super) fn draw(lines: &DescentLines, id: &str, width: f64, system: System) -> Canvas {
    let narrow = width < 500.0;
    let height = if narrow { 200.0 } else { 280.0 };
    let panel = if narrow { width } else { (width - BETWEEN) / 2.0 };
    let second = if narrow { (0.0, height + TOP + Axis::BELOW + 12.0) } else { (panel + BETWEEN, 0.0) };
    let mut canvas = Canvas::new(id, width, second.1 + TOP + height + Axis::BELOW);
    let frame = |(left, top): (f64, f64)| TextBox {
        left: left + Axis::LEFT,
        right: left + panel - RIGHT,
        top: top + TOP,
        bottom: top + TOP + height,
    };
    let time = Across { kind: Kind::Time, words: "time from the start", of: |point| point.time_s };
    let drift = Across { kind: Kind::Length, words: "distance from the pad", of: |point| point.drift_m };
    time.draw(&mut canvas, lines, frame((0.0, 0.0)), system);
    drift.draw(&mut canvas, lines, frame(second), system);
    canvas
}

/// What a panel counts across.
struct Across {
    kind: Kind,
    words: &'static str,
    of: fn(&DescentPoint) -> f64,
}

impl Across {
    fn draw(&self, canvas: &mut Canvas, lines: &DescentLines, frame: TextBox, system: System) {
        let points = || lines.cases.iter().flat_map(|case| &case.points);
        let highest = points().map(|point| point.height_m).fold(0.0, f64::max);
        let furthest = points().map(|point| (self.of)(point)).fold(0.0, f64::max);
        let up = Axis::new((0.0, highest), Kind::Length, system, (frame.bottom, frame.top), 46.0);
        let across = Axis::new((0.0, furthest), self.kind, system, (frame.left, frame.right), 70.0);
        up.draw_left(canvas, frame.left, "height");
        across.draw_below(canvas, frame.bottom, self.words);
        let line = |case: &DescentLine| -> Vec<(f64, f64)> {
            let place = |point: &DescentPoint| (across.at((self.of)(point)), up.at(point.height_m));
            without_strays(&case.points.iter().map(place).collect::<Vec<_>>())
        };
        let drawn: Vec<Vec<(f64, f64)>> = lines.cases.iter().map(line).collect();
        for (at, points) in drawn.iter().enumerate() {
            canvas.polyline(points, stroke_of(at));
        }
        let obstacles: Vec<(f64, f64)> = drawn.iter().flat_map(|points| along(points, 3.0)).collect();
        let room =
            TextBox { right: canvas.width.min(frame.right + RIGHT), bottom: frame.bottom - 2.0, ..frame };
        for (case, points) in lines.cases.iter().zip(&drawn) {
            let said = shortened(&case.label, (frame.right - frame.left) * 0.55);
            let label = Label::new(&said, Anchor::Start).rim();
            canvas.text_where_clear(&beside_end(points), label, &obstacles, room);
        }
    }
}

/// Places either side of a line, from its end upwards.
fn beside_end(points: &[(f64, f64)]) -> Vec<((f64, f64), Anchor)> {
    let mut line = along(points, 9.0);
    line.reverse();
    line.into_iter()
        .flat_map(|(x, y)| {
            [
                ((x + 7.0, y + 1.0), Anchor::Start),
                ((x - 7.0, y + 1.0), Anchor::End),
                ((x + 18.0, y + 1.0), Anchor::Start),
                ((x - 18.0, y + 1.0), Anchor::End),
            ]
        })
        .collect()
}
