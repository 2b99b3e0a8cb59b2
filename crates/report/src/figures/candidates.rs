//! Candidates: across what they cost, up how fast they come down; the mark is how many canopies, struck through where a limit is
//! missed, so that grey paper tells it too. What is far beyond the limit stands at the upper edge, so that it takes no room from
//! those that are near.

use silkfall_core::quantity::{Kind, System, show};

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
    let far = far_m_per_s(field);
    let near = field.marks.iter().map(|mark| mark.rate_m_per_s).filter(|rate| *rate <= far);
    let rates = spread(near.chain(field.limit_m_per_s));
    let cost = Axis::new(costs, field.cost, system, (LEFT, width - RIGHT), 80.0);
    let rate = Axis::new(rates, Kind::Speed, system, (bottom, TOP), 46.0);
    if let Some(limit) = field.limit_m_per_s {
        forbidden(&mut canvas, rate.within(limit), width);
    }
    rate.draw_left(&mut canvas, LEFT, &field.rate_words);
    cost.draw_below(&mut canvas, bottom, &field.cost_words);

    let place = |mark: &CandidateMark| {
        let up = if mark.rate_m_per_s > far { TOP } else { rate.at(mark.rate_m_per_s) };
        (cost.at(mark.cost_si), up)
    };
    let mut staying: Vec<&CandidateMark> = field.marks.iter().filter(|mark| mark.stays).collect();
    staying.sort_by(|a, b| a.cost_si.total_cmp(&b.cost_si));
    let joined: Vec<(f64, f64)> = staying.iter().map(|mark| place(mark)).collect();
    canvas.polyline(&joined, Stroke::new(Role::Quiet, 0.8));

    // The chosen first, then those that stay: where two would stand on one another the lesser becomes a dot.
    let mut marks: Vec<&CandidateMark> = field.marks.iter().collect();
    marks.sort_by_key(|mark| (!mark.chosen, !mark.stays));
    let fastest = field.marks.iter().map(|mark| mark.rate_m_per_s).fold(0.0, f64::max);
    if fastest > far {
        let words = format!("\u{2191} up to {}", show(fastest, 0.5, Kind::Speed, system));
        let label = Label::new(&words, Anchor::End).role(Role::Quiet);
        canvas.text((width - RIGHT, TOP - 0.9 * TEXT_SIZE), label);
    }
    for mark in &marks {
        numeral(&mut canvas, mark, place(mark));
    }
    for mark in marks.iter().filter(|mark| mark.chosen || mark.stays) {
        name(&mut canvas, mark, place(mark), width);
    }
    canvas
}

/// Beyond which a candidate stands at the upper edge: more than twice the limit, and than any that stays or is chosen.
fn far_m_per_s(field: &CandidateField) -> f64 {
    let kept = field.marks.iter().filter(|mark| mark.stays || mark.chosen).map(|mark| mark.rate_m_per_s);
    field.limit_m_per_s.map_or(f64::INFINITY, |limit| 2.5 * kept.fold(limit, f64::max))
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
    } else if mark.verdict == Verdict::Misses {
        canvas.line((x - 5.0, y + 3.5), (x + 5.0, y - 3.5), Stroke::new(role, 1.0));
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
