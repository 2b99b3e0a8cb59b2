//! Drag areas as stacked parts; the fill of a part says how far it can be trusted.

use maud::html;
use silkfall_core::quantity::System;

use super::axis::Axis;
use super::data::{Fill, PartPiece, PartRow, PartStacks};
use super::svg::{Anchor, Canvas, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width};

const BAR: f64 = 20.0;
/// Name above, bar, names of the parts below.
const ROW: f64 = LINE_HEIGHT + BAR + LINE_HEIGHT + 14.0;
/// Room for the half of the first tick's text.
const LEFT: f64 = 5.0;
const RIGHT: f64 = 10.0;
const SWATCH: f64 = 18.0;
const KEY_LINE: f64 = LINE_HEIGHT + 4.0;
const EDGE: Stroke = Stroke { role: Role::Measured, width: 1.2, dashes: None };

pub(super) fn draw(stacks: &PartStacks, id: &str, width: f64, system: System) -> Canvas {
    let bottom = ROW * stacks.rows.len() as f64;
    let places = key_places(stacks, width);
    let key_lines = places.last().map_or(0, |(_, _, line)| line + 1);
    let mut canvas = Canvas::new(id, width, bottom + Axis::BELOW + KEY_LINE * key_lines as f64);
    patterns(&mut canvas);
    let gross = |row: &PartRow| row.pieces.iter().map(|piece| piece.si).sum::<f64>();
    let high = stacks
        .rows
        .iter()
        .flat_map(|row| [gross(row), row.total.map_or(0.0, |total| total.high)])
        .fold(0.0, f64::max);
    let axis = Axis::new((0.0, high * 1.02), stacks.kind, system, (LEFT, width - RIGHT), 80.0);
    for (at, row) in stacks.rows.iter().enumerate() {
        draw_row(&mut canvas, row, &axis, ROW * at as f64, width);
    }
    axis.draw_below(&mut canvas, bottom, "drag area");
    key(&mut canvas, &places, bottom + Axis::BELOW);
    canvas
}

fn draw_row(canvas: &mut Canvas, row: &PartRow, axis: &Axis, top: f64, width: f64) {
    let name = shortened(&row.label, width);
    canvas.text((0.0, top + TEXT_SIZE), Label::new(&name, Anchor::Start));
    let (bar_top, bar_bottom) = (top + LINE_HEIGHT + 3.0, top + LINE_HEIGHT + 3.0 + BAR);
    let mut reached = 0.0;
    for piece in &row.pieces {
        let (from, to) = (axis.at(reached), axis.at(reached + piece.si));
        canvas.rectangle((from, bar_top), (to, bar_bottom), paint(piece.fill), Some(EDGE));
        name_below(canvas, piece, from, to, bar_bottom);
        reached += piece.si;
    }
    if let Some(total) = row.total {
        let y = bar_top + BAR / 2.0;
        let stroke = Stroke::new(Role::Ink, 1.6);
        let (low, high) = (axis.within(total.low), axis.within(total.high));
        canvas.line((low, y), (high, y), stroke);
        for end in [low, high] {
            canvas.line((end, y - 4.0), (end, y + 4.0), stroke);
        }
    }
}

fn name_below(canvas: &mut Canvas, piece: &PartPiece, from: f64, to: f64, bar_bottom: f64) {
    let y = bar_bottom + TEXT_SIZE + 1.0;
    let middle = f64::midpoint(from, to);
    let half = text_width(&piece.label) / 2.0;
    // Under its part, else moved aside as far as it still touches it.
    let places = [middle, from + half, to - half, from + half * 0.5, to + half * 0.4].map(|x| (x, y));
    let label = Label::new(&piece.label, Anchor::Middle).role(Role::Quiet);
    if canvas.text_where_free(&places, label) {
        return;
    }
    let short = shortened(&piece.label, (to - from - 4.0).max(0.0));
    if short.chars().count() > 3 {
        canvas.text_where_free(&[(middle, y)], Label::new(&short, Anchor::Middle).role(Role::Quiet));
    }
}

pub(super) fn paint(fill: Fill) -> Paint {
    match fill {
        Fill::Solid => Paint::Flat(Role::Measured, 0.55),
        Fill::Stripes => Paint::Pattern("stripes"),
        Fill::Stipple => Paint::Pattern("stipple"),
        Fill::Outline => Paint::Flat(Role::Ground, 1.0),
    }
}

pub(super) fn patterns(canvas: &mut Canvas) {
    let stroke = Stroke::new(Role::Measured, 1.4);
    canvas.pattern("stripes", 6.0, Canvas::tile_line("M-1,1 l2,-2 M0,6 l6,-6 M5,7 l2,-2", stroke));
    let dots = html! {
        (Canvas::tile_dot((1.5, 1.5), 0.9, Role::Measured))
        (Canvas::tile_dot((4.5, 4.5), 0.9, Role::Measured))
    };
    canvas.pattern("stipple", 6.0, dots);
}

/// Where the fills that occur are explained: place across and line.
fn key_places(stacks: &PartStacks, width: f64) -> Vec<(Fill, f64, usize)> {
    let (mut x, mut line) = (0.0, 0);
    let mut places = Vec::new();
    for fill in Fill::ALL {
        if !stacks.rows.iter().any(|row| row.pieces.iter().any(|piece| piece.fill == fill)) {
            continue;
        }
        let size = SWATCH + 5.0 + text_width(fill.word());
        if x > 0.0 && x + size > width {
            (x, line) = (0.0, line + 1);
        }
        places.push((fill, x, line));
        x += size + 12.0;
    }
    places
}

fn key(canvas: &mut Canvas, places: &[(Fill, f64, usize)], top: f64) {
    for (fill, x, line) in places {
        let y = top + KEY_LINE * *line as f64;
        canvas.rectangle((x + 0.6, y), (x + SWATCH, y + 12.0), paint(*fill), Some(EDGE));
        let label = Label::new(fill.word(), Anchor::Start).role(Role::Quiet);
        canvas.text((x + SWATCH + 5.0, y + 10.5), label);
    }
}
