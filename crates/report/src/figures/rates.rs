//! Rates with their intervals on one vertical axis: a drop a column, the pooled rate as a bracket over a band.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::data::{DropRate, RateDots};
use super::svg::{
    Anchor, Canvas, HAIRLINE, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width,
};

const TOP: f64 = 26.0;
const PLOT: f64 = 190.0;
/// Columns further apart than this would lose one another, px.
const COLUMN: f64 = 44.0;
/// Room of the bracket right of the columns, px.
const BRACKET: f64 = 18.0;

pub(super) fn draw(dots: &RateDots, id: &str, width: f64, system: System) -> Canvas {
    let (left, bottom) = (Axis::LEFT, TOP + PLOT);
    let step = ((width - left - BRACKET - 6.0) / dots.drops.len().max(1) as f64).min(COLUMN);
    let widest = dots.drops.iter().map(|drop| text_width(&drop.letter)).fold(0.0, f64::max) + 4.0;
    // Letters that are wider than their columns go in several lines.
    let letter_lines = (widest / step).ceil().max(1.0);
    let reasons: Vec<&DropRate> = dots.drops.iter().filter(|drop| drop.set_aside.is_some()).collect();
    let pooled_line = dots.pooled.map_or(0.0, |_| LINE_HEIGHT + 4.0);
    let below = 8.0 + letter_lines * LINE_HEIGHT + pooled_line;
    let height = bottom + below + LINE_HEIGHT * reasons.len() as f64 + 6.0;
    let mut canvas = Canvas::new(id, width, height);
    let ends = dots.drops.iter().flat_map(|drop| [drop.rate.low, drop.rate.high]);
    let pooled = dots.pooled.iter().flat_map(|pooled| [pooled.low, pooled.high]);
    let (low, high) = ends
        .chain(pooled)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    let room = ((high - low) / 12.0).max(0.01 * high.abs());
    let axis = Axis::new((low - room, high + room), Kind::Speed, system, (bottom, TOP), 44.0);

    let right = left + step * dots.drops.len() as f64 + 6.0;
    if let Some(pooled) = dots.pooled {
        let (from, to) = (axis.at(pooled.low), axis.at(pooled.high));
        canvas.rectangle((left, from), (right, to), Paint::Flat(Role::Measured, 0.12), None);
        let stroke = Stroke::new(Role::Measured, 1.6);
        let (near, far) = (right + 2.0, right + 9.0);
        canvas.polyline(&[(near, from), (far, from), (far, to), (near, to)], stroke);
        let middle = axis.at(pooled.mid);
        canvas.line((left, middle), (far + 4.0, middle), Stroke { width: 1.0, ..stroke });
    }
    canvas.line((left, bottom), (right, bottom), HAIRLINE);
    axis.draw_left(&mut canvas, left, "descent rate");
    for (at, drop) in dots.drops.iter().enumerate() {
        let x = left + step * (at as f64 + 0.5) + 3.0;
        let line = (at % letter_lines as usize) as f64;
        canvas.of_drop(&drop.letter, |canvas| draw_drop(canvas, drop, &axis, (x, step), bottom, line));
    }
    let mut y = bottom + 8.0 + letter_lines * LINE_HEIGHT;
    if dots.pooled.is_some() {
        y += LINE_HEIGHT;
        let label = Label::new("band and bracket: all that count, 95 % sure", Anchor::Start);
        canvas.text((0.0, y - 2.0), label.role(Role::Measured));
        y += 4.0;
    }
    for drop in reasons {
        y += LINE_HEIGHT;
        canvas.of_drop(&drop.letter, |canvas| reason(canvas, drop, y - 2.0, width));
    }
    canvas
}

fn draw_drop(
    canvas: &mut Canvas,
    drop: &DropRate,
    axis: &Axis,
    (x, step): (f64, f64),
    bottom: f64,
    line: f64,
) {
    let role = if drop.set_aside.is_some() { Role::Quiet } else { Role::Ink };
    let stroke = Stroke::new(role, 1.6);
    let whisker = if drop.set_aside.is_some() { stroke.dashed() } else { stroke };
    canvas.line((x, axis.at(drop.rate.low)), (x, axis.at(drop.rate.high)), whisker);
    let fill = if drop.set_aside.is_some() { Role::Ground } else { Role::Ink };
    canvas.circle((x, axis.at(drop.rate.mid)), (0.4 * step).clamp(2.2, 4.0), fill, stroke);
    let y = bottom + 6.0 + TEXT_SIZE + line * LINE_HEIGHT;
    canvas.text((x, y), Label::new(&drop.letter, Anchor::Middle).role(role).strong());
}

/// Why a drop does not count.
fn reason(canvas: &mut Canvas, drop: &DropRate, y: f64, width: f64) {
    let Some(reason) = &drop.set_aside else { return };
    canvas.text((0.0, y), Label::new(&drop.letter, Anchor::Start).role(Role::Quiet).strong());
    let indent = text_width(&drop.letter) + 8.0;
    let text = shortened(reason, width - indent);
    canvas.text((indent, y), Label::new(&text, Anchor::Start).role(Role::Quiet));
}
