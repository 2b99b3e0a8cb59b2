//! A recording from its first to its last sample: the heights as a band between least and greatest, and below in words
//! what the logger did.

use silkfall_core::quantity::{Kind, System};

use super::axis::Axis;
use super::data::{Ribbon, RibbonSpell};
use super::svg::{Anchor, Canvas, HAIRLINE, Label, Paint, Role, Stroke, TextBox, text_width};

const LEFT: f64 = Axis::LEFT;
const RIGHT: f64 = 10.0;
const TOP: f64 = 24.0;
const PLOT: f64 = 96.0;
/// Line of the words below the heights, px.
const WORDS: f64 = 18.0;

pub(super) fn draw(ribbon: &Ribbon, id: &str, width: f64, system: System) -> Canvas {
    let (bottom, words_bottom) = (TOP + PLOT, TOP + PLOT + WORDS);
    let mut canvas = Canvas::new(id, width, words_bottom + Axis::BELOW);
    let (from_s, to_s) = ribbon.span_s;
    let time = Axis::clock((from_s, to_s), (LEFT, width - RIGHT), 84.0);
    let shown = shown(ribbon);
    let ends = |values: &[f64]| {
        values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)))
    };
    let whole = (ends(&ribbon.low_m).0, ends(&ribbon.high_m).1);
    let ((low, _), (_, high)) = (ends(&ribbon.low_m[shown.clone()]), ends(&ribbon.high_m[shown.clone()]));
    let (low, high) = if low <= high { (low, high) } else { (0.0, 1.0) };
    let height = Axis::new((low, high), Kind::Length, system, (bottom, TOP), 40.0);
    let frame = TextBox { left: LEFT, right: width - RIGHT, top: TOP - 2.0, bottom: words_bottom };
    canvas.within("plot", frame, |canvas| {
        for spell in &ribbon.spells {
            mark(canvas, spell, &time, (bottom, words_bottom));
        }
        let up = shown.clone().map(|i| (time.at(ribbon.time_s[i]), height.at(ribbon.high_m[i])));
        let down = shown.clone().rev().map(|i| (time.at(ribbon.time_s[i]), height.at(ribbon.low_m[i])));
        let band: Vec<(f64, f64)> = up.chain(down).collect();
        if band.len() > 3 {
            // The edge keeps a band visible where least and greatest are one.
            let edge = Stroke::new(Role::Ink, 0.8);
            canvas.of_kind("band", |canvas| {
                canvas.area(&[band], Some(Paint::Flat(Role::Ink, 1.0)), Some(edge))
            });
        }
    });
    canvas.tell("plot", &[LEFT, TOP, width - RIGHT, bottom]);
    canvas.tell("ends", &[height.at(whole.0), height.at(whole.1)]);
    height.draw_left(&mut canvas, LEFT, "height from the logger's zero");
    time.draw_below(&mut canvas, words_bottom, "time in the recording");
    canvas.line((LEFT, bottom), (width - RIGHT, bottom), HAIRLINE);
    // A drop's letter is wanted more than the words between.
    let (falls, others): (Vec<_>, Vec<_>) = ribbon.spells.iter().partition(|spell| spell.drop.is_some());
    for spell in falls.into_iter().chain(others) {
        name(&mut canvas, spell, &time, (from_s, to_s), f64::midpoint(bottom, words_bottom) + 4.5);
    }
    canvas
}

/// Points in sight, with one more on either side.
fn shown(ribbon: &Ribbon) -> std::ops::Range<usize> {
    let first = ribbon.time_s.partition_point(|t| *t < ribbon.span_s.0).saturating_sub(1);
    let end = (ribbon.time_s.partition_point(|t| *t <= ribbon.span_s.1) + 1).min(ribbon.time_s.len());
    first..end.max(first)
}

/// A fall is shaded, set aside only outlined; other spells are parted by hairlines below.
fn mark(canvas: &mut Canvas, spell: &RibbonSpell, time: &Axis, (bottom, words_bottom): (f64, f64)) {
    let (from, to) = (time.at(spell.from_s), time.at(spell.to_s).max(time.at(spell.from_s) + 1.5));
    match &spell.drop {
        Some((letter, kept)) => canvas.of_drop(letter, |canvas| {
            let edge = Stroke::new(if *kept { Role::Measured } else { Role::Quiet }, 0.8);
            let edge = if *kept { edge } else { edge.dashed() };
            let paint = Paint::Flat(Role::Measured, if *kept { 0.28 } else { 0.0 });
            canvas.rectangle((from, TOP), (to, words_bottom), paint, Some(edge));
        }),
        None => canvas.line((from, bottom), (from, words_bottom), HAIRLINE),
    }
}

/// The word where it fits its spell; a drop's letter always where there is room.
fn name(canvas: &mut Canvas, spell: &RibbonSpell, time: &Axis, (from_s, to_s): (f64, f64), y: f64) {
    if spell.to_s <= from_s || spell.from_s >= to_s {
        return;
    }
    let (from, to) = (time.within(spell.from_s), time.within(spell.to_s));
    let at = [(f64::midpoint(from, to), y)];
    let fits = |text: &str| text_width(text) + 6.0 <= to - from;
    match &spell.drop {
        Some((letter, kept)) => {
            let both = format!("{} {letter}", spell.is);
            let text = if fits(&both) { &both } else { letter };
            let role = if *kept { Role::Ink } else { Role::Quiet };
            canvas.of_drop(letter, |canvas| {
                canvas.text_where_free(&at, Label::new(text, Anchor::Middle).role(role).strong());
            });
        }
        None if fits(&spell.is) => {
            canvas.text_where_free(&at, Label::new(&spell.is, Anchor::Middle).role(Role::Quiet));
        }
        None => {}
    }
}
