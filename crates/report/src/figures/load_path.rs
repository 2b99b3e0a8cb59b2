//! Members of a load path: a row each, what pulls at it as a share of what it may be given, which is one ruled line for all.
//!
//! The bar reaches to what 95 of 100 openings stay below, the thin line across its end shows where 95 of 100 lie.

use silkfall_core::quantity::{Kind, System, show};

use super::axis::Axis;
use super::data::{MemberBars, MemberMark};
use super::parts::{paint, patterns};
use super::svg::{
    Anchor, Canvas, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, TextBox, shortened, text_width,
};
use crate::document::Verdict;

const ROW: f64 = LINE_HEIGHT + 26.0;
/// Room for the half of the first tick's text.
const LEFT: f64 = 5.0;
const RIGHT: f64 = 10.0;
/// Room above the rows for the words of the ruled line.
const TOP: f64 = LINE_HEIGHT + 4.0;
/// The axis reaches so far at least, and at most, as shares of what may be given.
const REACH: (f64, f64) = (1.25, 3.0);

pub(super) fn draw(bars: &MemberBars, id: &str, width: f64, system: System) -> Canvas {
    let bottom = TOP + ROW * bars.members.len() as f64;
    let mut canvas = Canvas::new(id, width, bottom + Axis::BELOW);
    patterns(&mut canvas);
    let stroke = Stroke::new(Role::Quiet, 0.7);
    canvas.pattern("too-much", 8.0, Canvas::tile_line("M0,8 l8,-8 M-1,1 l2,-2 M7,9 l2,-2", stroke));
    let hardest = bars.members.iter().filter_map(share).fold(0.0, f64::max);
    let reach = (1.1 * hardest).clamp(REACH.0, REACH.1);
    let axis = Axis::new((0.0, reach), Kind::Ratio, system, (LEFT, width - RIGHT), 70.0);
    let rule = axis.at(1.0);
    let words = "what it may be given";
    let half = text_width(words) / 2.0;
    let middle = rule.clamp(half, (width - half).max(half));
    canvas.text((middle, TEXT_SIZE), Label::new(words, Anchor::Middle).role(Role::Quiet));
    for (at, member) in bars.members.iter().enumerate() {
        draw_member(&mut canvas, member, &axis, system, TOP + ROW * at as f64);
    }
    axis.draw_below(&mut canvas, bottom, "pull over what it may be given");
    canvas
}

fn share(member: &MemberMark) -> Option<f64> {
    Some(member.at_95_n? / member.allowed_n?)
}

fn draw_member(canvas: &mut Canvas, member: &MemberMark, axis: &Axis, system: System, top: f64) {
    let width = canvas.width;
    let (role, word) = match member.verdict {
        Verdict::Meets => (Role::Ink, "meets"),
        Verdict::Misses => (Role::Misses, "■ misses"),
        Verdict::Undecided => (Role::Undecided, "□ undecided"),
        Verdict::NotJudged => (Role::Quiet, "not judged"),
    };
    let force = |si: f64| show(si, 0.02 * si, Kind::Force, system);
    let numbers = match (member.at_95_n, member.allowed_n) {
        (Some(pull), Some(allowed)) => format!("{} of {}", force(pull), force(allowed)),
        (Some(pull), None) => format!("{}, strength not known", force(pull)),
        (None, Some(allowed)) => format!("pull not known, {} may be given", force(allowed)),
        (None, None) => "not known".to_owned(),
    };
    let baseline = top + TEXT_SIZE;
    let room = width - RIGHT - text_width(word) - 16.0;
    let mut label = Label::new(&member.label, Anchor::Start);
    if member.weakest {
        label = label.strong();
    }
    let full = format!("{}  {numbers}", member.label);
    if text_width(&full) <= room {
        canvas.text((0.0, baseline), label);
        let after = text_width(&member.label) + 10.0;
        canvas.text((after, baseline), Label::new(&numbers, Anchor::Start).role(Role::Quiet));
    } else {
        let name = shortened(&member.label, room);
        canvas.text((0.0, baseline), Label { text: &name, ..label });
    }
    canvas.text((width - RIGHT, baseline), Label::new(word, Anchor::End).role(role).strong());
    let middle = top + LINE_HEIGHT + 10.0;
    let rule = axis.at(1.0);
    let beyond = TextBox { left: rule, right: width - RIGHT, top: middle - 8.0, bottom: middle + 8.0 };
    canvas.rectangle(
        (beyond.left, beyond.top),
        (beyond.right, beyond.bottom),
        Paint::Pattern("too-much"),
        None,
    );
    if let (Some(share), Some(allowed)) = (share(member), member.allowed_n) {
        let edge = Stroke::new(role, 1.1);
        canvas.rectangle(
            (axis.at(0.0), middle - 5.0),
            (axis.within(share), middle + 5.0),
            paint(member.fill),
            Some(edge),
        );
        if let Some((low, high)) = member.between_n {
            let (low, high) = (axis.within(low / allowed), axis.within(high / allowed));
            canvas.line((low, middle), (high, middle), Stroke::new(role, 1.4));
            for end in [low, high] {
                canvas.line((end, middle - 3.5), (end, middle + 3.5), Stroke::new(role, 1.4));
            }
        }
    }
    canvas.line((rule, middle - 10.0), (rule, middle + 10.0), Stroke::new(Role::Ink, 1.6));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::{Fill, NARROW, WIDE};

    fn bars(shares: &[Option<f64>]) -> MemberBars {
        let one = |(at, share): (usize, &Option<f64>)| MemberMark {
            label: format!("a member with a rather long name, number {at}"),
            at_95_n: share.map(|share| 2000.0 * share),
            between_n: share.map(|share| (1200.0 * share, 2100.0 * share)),
            allowed_n: Some(2000.0),
            fill: Fill::ALL[at % 4],
            verdict: if share.is_some_and(|share| share > 1.0) { Verdict::Misses } else { Verdict::Meets },
            weakest: at == 0,
        };
        MemberBars { members: shares.iter().enumerate().map(one).collect() }
    }

    #[test]
    fn texts_keep_apart_and_within() {
        for width in [WIDE, NARROW] {
            let canvas = draw(&bars(&[Some(0.4), Some(1.3), None, Some(40.0)]), "m", width, System::Si);
            let boxes = canvas.boxes();
            for (at, one) in boxes.iter().enumerate() {
                assert!(boxes[at + 1..].iter().all(|other| !one.meets(other)), "{one:?}");
                assert!(one.left >= -0.5 && one.right <= width + 0.5, "{one:?} leaves a drawing of {width}");
            }
        }
    }

    #[test]
    fn a_bar_that_is_too_long_passes_the_rule_and_stays_on_the_paper() {
        let rectangle_ends = |shares: &[Option<f64>]| -> Vec<f64> {
            let svg = draw(&bars(shares), "m", WIDE, System::Si).finish("wide", "t", "d").0;
            let number = |of: &str, name: &str| -> f64 {
                of.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
            };
            let all =
                svg.split('<').filter(|element| element.starts_with("rect ") && element.contains("stroke="));
            all.map(|of| number(of, "x") + number(of, "width")).collect()
        };
        let ends = rectangle_ends(&[Some(0.5), Some(1.0), Some(40.0)]);
        assert!(ends[0] < ends[1] && ends[1] < ends[2] && ends[2] <= WIDE, "{ends:?}");
        assert!(((ends[0] - LEFT) / (ends[1] - LEFT) - 0.5).abs() < 0.01, "{ends:?}");
    }
}
