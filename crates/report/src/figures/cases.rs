//! Cases against their limits: a row a case, its interval as a band, its limit as a rule with the far side hatched.

use silkfall_core::quantity::{Kind, System, show_interval};

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
    let high = reach(&bars.cases);
    let axis = Axis::new((0.0, high * 1.1), bars.kind, system, (LEFT, width - RIGHT), 70.0);
    for (at, case) in bars.cases.iter().enumerate() {
        draw_case(&mut canvas, case, &axis, (bars.kind, system), ROW * at as f64);
    }
    axis.draw_below(&mut canvas, bottom, &bars.words);
    canvas
}

/// How far the axis reaches: over the cases that are judged, so that one far off leaves them room; over all where
/// none is.
fn reach(cases: &[CaseMark]) -> f64 {
    let judged = cases.iter().any(|case| case.range.limit.is_some());
    cases
        .iter()
        .filter(|case| !judged || case.range.limit.is_some())
        .flat_map(|case| [case.range.high, case.range.limit.unwrap_or(0.0)])
        .fold(0.0, f64::max)
}

fn draw_case(canvas: &mut Canvas, case: &CaseMark, axis: &Axis, (kind, system): (Kind, System), top: f64) {
    let width = canvas.width;
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
    let (low, high) = (axis.within(case.range.low), axis.within(case.range.high));
    if axis.at(case.range.mid) > width - RIGHT {
        // Off the scale: where it lies is said, not drawn.
        let said = show_interval(case.range.low, case.range.high, kind, system);
        let at = width - RIGHT;
        canvas.text((at - 20.0, middle + 0.36 * TEXT_SIZE), Label::new(&said, Anchor::End).role(role));
        let tip = [
            (at - 14.0, middle),
            (at, middle),
            (at - 4.0, middle - 4.0),
            (at, middle),
            (at - 4.0, middle + 4.0),
        ];
        canvas.polyline(&tip, Stroke::new(role, 1.4));
        return;
    }
    let edge = Stroke::new(role, 1.0);
    canvas.rectangle((low, middle - 5.0), (high, middle + 5.0), Paint::Flat(role, 0.35), Some(edge));
    let mid = axis.at(case.range.mid);
    canvas.line((mid, middle - 7.0), (mid, middle + 7.0), Stroke::new(role, 2.4));
}
