//! Cases against their limits: a row a case, its interval as a band, its limit as a rule with the far side hatched.

use silkfall_core::quantity::System;

use super::axis::Axis;
use super::data::{CaseBars, CaseMark};
use super::svg::{Anchor, Canvas, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width};
use crate::document::Verdict;

const ROW: f64 = LINE_HEIGHT + 34.0;
/// Room for the half of the first tick's text.
const LEFT: f64 = 5.0;
const RIGHT: f64 = 10.0;

pub(super) fn draw(bars: &CaseBars, id: &str, width: f64, system: System) -> Canvas {
    let bottom = ROW * bars.cases.len() as f64;
    let mut canvas = Canvas::new(id, width, bottom + Axis::BELOW);
    let stroke = Stroke::new(Role::Quiet, 0.8);
    canvas.pattern("beyond", 6.0, Canvas::tile_line("M0,6 l6,-6 M-1,1 l2,-2 M5,7 l2,-2", stroke));
    let high = bars
        .cases
        .iter()
        .flat_map(|case| [case.range.high, case.range.limit.unwrap_or(0.0)])
        .fold(0.0, f64::max);
    let axis = Axis::new((0.0, high * 1.05), bars.kind, system, (LEFT, width - RIGHT), 70.0);
    for (at, case) in bars.cases.iter().enumerate() {
        draw_case(&mut canvas, case, &axis, ROW * at as f64, width);
    }
    axis.draw_below(&mut canvas, bottom, &bars.words);
    canvas
}

fn draw_case(canvas: &mut Canvas, case: &CaseMark, axis: &Axis, top: f64, width: f64) {
    let (role, word) = match case.verdict {
        Verdict::Meets => (Role::Ink, "meets"),
        Verdict::Misses => (Role::Misses, "■ misses"),
        Verdict::Undecided => (Role::Undecided, "□ undecided"),
        Verdict::NotJudged => (Role::Quiet, "not judged"),
    };
    let baseline = top + TEXT_SIZE;
    let name = shortened(&case.label, width - RIGHT - text_width(word) - 16.0);
    canvas.text((0.0, baseline), Label::new(&name, Anchor::Start));
    canvas.text((width - RIGHT, baseline), Label::new(word, Anchor::End).role(role).strong());
    let middle = top + LINE_HEIGHT + 14.0;
    if let Some(limit) = case.range.limit {
        let x = axis.at(limit);
        canvas.rectangle(
            (x, middle - 9.0),
            ((x + 14.0).min(width), middle + 9.0),
            Paint::Pattern("beyond"),
            None,
        );
        canvas.line((x, middle - 11.0), (x, middle + 11.0), Stroke::new(Role::Ink, 1.6));
    }
    let (low, high) = (axis.at(case.range.low), axis.at(case.range.high));
    let edge = Stroke::new(role, 1.0);
    canvas.rectangle((low, middle - 5.0), (high, middle + 5.0), Paint::Flat(role, 0.35), Some(edge));
    let mid = axis.at(case.range.mid);
    canvas.line((mid, middle - 7.0), (mid, middle + 7.0), Stroke::new(role, 2.4));
}
