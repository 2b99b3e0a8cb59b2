//! Rates with their intervals: a drop a row, the pooled rate as a bracket over a band.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::data::{DropRate, RateDots};
use super::svg::{Anchor, Canvas, HAIRLINE, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width};

const ROW: f64 = 20.0;
const TOP: f64 = 34.0;

pub(super) fn draw(dots: &RateDots, id: &str, width: f64, system: System) -> Canvas {
    let bottom = TOP + ROW * dots.drops.len() as f64 + 6.0;
    let mut canvas = Canvas::new(id, width, bottom + Axis::BELOW);
    let letters = dots.drops.iter().map(|drop| text_width(&drop.letter)).fold(0.0, f64::max);
    let left = letters + 14.0;
    let reasons =
        dots.drops.iter().filter_map(|drop| drop.set_aside.as_deref()).map(text_width).fold(0.0, f64::max);
    let right = if reasons > 0.0 { (reasons + 14.0).min(width * 0.42) } else { 14.0 };
    let ends = dots.drops.iter().flat_map(|drop| [drop.rate.low, drop.rate.high]);
    let pooled = dots.pooled.iter().flat_map(|pooled| [pooled.low, pooled.high]);
    let (low, high) = ends
        .chain(pooled)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    let room = ((high - low) / 12.0).max(0.01 * high.abs());
    let axis = Axis::new((low - room, high + room), Kind::Speed, system, (left, width - right), 70.0);

    if let Some(pooled) = dots.pooled {
        let (from, to) = (axis.at(pooled.low), axis.at(pooled.high));
        canvas.rectangle((from, TOP - 6.0), (to, bottom), Paint::Flat(Role::Measured, 0.12), None);
        let stroke = Stroke::new(Role::Measured, 1.6);
        canvas.polyline(&[(from, TOP), (from, TOP - 7.0), (to, TOP - 7.0), (to, TOP)], stroke);
        let middle = axis.at(pooled.mid);
        canvas.line((middle, TOP - 7.0), (middle, bottom), Stroke { width: 1.0, ..stroke });
        let label = Label::new("all that count, 95 % sure", Anchor::Middle).role(Role::Measured);
        let half = text_width(label.text) / 2.0;
        canvas.text((middle.clamp(half, (width - half).max(half)), TOP - 13.0), label);
    }
    for (at, drop) in dots.drops.iter().enumerate() {
        let y = TOP + ROW * (at as f64 + 0.5);
        draw_drop(&mut canvas, drop, &axis, y, width, right);
    }
    canvas.line((left, bottom), (left, TOP), HAIRLINE);
    axis.draw_below(&mut canvas, bottom, "descent rate");
    canvas
}

fn draw_drop(canvas: &mut Canvas, drop: &DropRate, axis: &Axis, y: f64, width: f64, right: f64) {
    let role = if drop.set_aside.is_some() { Role::Quiet } else { Role::Ink };
    let baseline = y + 0.36 * TEXT_SIZE;
    canvas.text((0.0, baseline), Label::new(&drop.letter, Anchor::Start).role(role).strong());
    let line = Stroke::new(role, 1.6);
    let whisker = if drop.set_aside.is_some() { line.dashed() } else { line };
    canvas.line((axis.at(drop.rate.low), y), (axis.at(drop.rate.high), y), whisker);
    let fill = if drop.set_aside.is_some() { Role::Ground } else { Role::Ink };
    canvas.circle((axis.at(drop.rate.mid), y), 4.0, fill, line);
    if let Some(reason) = &drop.set_aside {
        let text = shortened(reason, right - 10.0);
        canvas.text((width - right + 10.0, baseline), Label::new(&text, Anchor::Start).role(Role::Quiet));
    }
}
