//! Candidates: across what they cost, up how fast they come down; the mark is how many canopies.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::data::{CandidateField, CandidateMark};
use super::svg::{Anchor, Canvas, Label, Paint, Role, Stroke, TEXT_SIZE, shortened};
use crate::document::Verdict;

const LEFT: f64 = 40.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 28.0;

pub(super) fn draw(field: &CandidateField, id: &str, width: f64, system: System) -> Canvas {
    let bottom = TOP + if width < 500.0 { 240.0 } else { 300.0 };
    let mut canvas = Canvas::new(id, width, bottom + Axis::BELOW);
    let costs = spread(field.marks.iter().map(|mark| mark.cost_si));
    let rates = spread(field.marks.iter().map(|mark| mark.rate_m_per_s).chain(field.limit_m_per_s));
    let cost = Axis::new(costs, field.cost, system, (LEFT, width - RIGHT), 80.0);
    let rate = Axis::new(rates, Kind::Speed, system, (bottom, TOP), 46.0);
    if let Some(limit) = field.limit_m_per_s {
        forbidden(&mut canvas, rate.within(limit), width);
    }
    rate.draw_left(&mut canvas, LEFT, &field.rate_words);
    cost.draw_below(&mut canvas, bottom, &field.cost_words);

    let place = |mark: &CandidateMark| (cost.at(mark.cost_si), rate.at(mark.rate_m_per_s));
    let mut staying: Vec<&CandidateMark> = field.marks.iter().filter(|mark| mark.stays).collect();
    staying.sort_by(|a, b| a.cost_si.total_cmp(&b.cost_si));
    let joined: Vec<(f64, f64)> = staying.iter().map(|mark| place(mark)).collect();
    canvas.polyline(&joined, Stroke::new(Role::Quiet, 0.8));

    // The chosen first, then those that stay: where two would stand on one another the lesser becomes a dot.
    let mut marks: Vec<&CandidateMark> = field.marks.iter().collect();
    marks.sort_by_key(|mark| (!mark.chosen, !mark.stays));
    for mark in &marks {
        numeral(&mut canvas, mark, place(mark));
    }
    for mark in marks.iter().filter(|mark| mark.chosen || mark.stays) {
        name(&mut canvas, mark, place(mark), width);
    }
    canvas
}

/// The span with room around it.
fn spread(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    let room = ((high - low) / 12.0).max(0.02 * high.abs());
    ((low - room).max(0.0), high + room)
}

/// The limit, a ruled line with the side beyond it hatched.
fn forbidden(canvas: &mut Canvas, y: f64, width: f64) {
    let stroke = Stroke::new(Role::Quiet, 0.7);
    canvas.pattern("beyond", 8.0, Canvas::tile_line("M0,8 l8,-8 M-1,1 l2,-2 M7,9 l2,-2", stroke));
    let top = (y - 12.0).max(0.0);
    canvas.rectangle((LEFT, top), (width - RIGHT, y), Paint::Pattern("beyond"), None);
    canvas.line((LEFT, y), (width - RIGHT, y), Stroke::new(Role::Ink, 1.4));
    let label = Label::new("limit", Anchor::End);
    canvas.text((width - RIGHT, y + TEXT_SIZE + 2.0), label);
}

fn numeral(canvas: &mut Canvas, mark: &CandidateMark, (x, y): (f64, f64)) {
    let role = match (mark.verdict, mark.stays || mark.chosen) {
        (Verdict::Misses, _) => Role::Misses,
        (Verdict::Undecided, _) => Role::Undecided,
        (_, true) => Role::Ink,
        (_, false) => Role::Quiet,
    };
    let text = mark.count.to_string();
    let label = Label::new(&text, Anchor::Middle).role(role);
    let label = if mark.stays || mark.chosen { label.strong() } else { label };
    if mark.chosen {
        canvas.circle((x, y), 10.0, Role::Ground, Stroke::new(Role::Ink, 1.6));
    }
    if !canvas.text_where_free(&[(x, y + 0.36 * TEXT_SIZE)], label) {
        canvas.circle((x, y), 1.6, role, Stroke::new(role, 0.5));
    }
}

/// The name right beside its mark, or not at all: further off it would seem another's.
fn name(canvas: &mut Canvas, mark: &CandidateMark, (x, y): (f64, f64), width: f64) {
    let text = shortened(&mark.label, width * 0.42);
    let away = if mark.chosen { 14.0 } else { 8.0 };
    let beside = [(away, 0.36 * TEXT_SIZE), (away, -7.0), (away, 16.0)];
    let places = |side: f64| beside.map(|(dx, dy)| (x + side * dx, y + dy));
    let label = |anchor| Label::new(&text, anchor).role(Role::Quiet);
    if !canvas.text_where_free(&places(1.0), label(Anchor::Start)) {
        canvas.text_where_free(&places(-1.0), label(Anchor::End));
    }
}
