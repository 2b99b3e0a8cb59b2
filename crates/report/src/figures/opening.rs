//! What the height of opening costs: above, how far it drifts; below, the share of flights that have room in time. The
//! lowest safe height and the planned one are ruled lines, and the side below the safe one is hatched.

use silkfall_core::quantity::{Kind, System, show};

use super::axis::Axis;
use super::landings::{OpeningCurve, OpeningMark};
use super::svg::{
    Anchor, Canvas, HAIRLINE, Label, Paint, Role, Stroke, TEXT_SIZE, TextBox, along, text_width,
};

const RIGHT: f64 = 14.0;
/// Room for the names of the ruled lines and the words of the axis, px.
const TOP: f64 = 62.0;
const BETWEEN: f64 = 40.0;
/// Where the words of the upper axis stand, px from above.
const WORDS: (f64, f64) = (TOP - 22.0, TOP - 5.0);

pub(super) fn draw(curve: &OpeningCurve, id: &str, width: f64, system: System) -> Canvas {
    let (upper, lower) = if width < 500.0 { (160.0, 110.0) } else { (190.0, 130.0) };
    let lower_top = TOP + upper + BETWEEN;
    let mut canvas = Canvas::new(id, width, lower_top + lower + Axis::BELOW);
    let stroke = Stroke::new(Role::Quiet, 0.7);
    canvas.pattern("too-low", 8.0, Canvas::tile_line("M0,8 l8,-8 M-1,1 l2,-2 M7,9 l2,-2", stroke));
    let heights = || curve.points.iter().map(|point| point.height_m).chain([curve.lowest_m, curve.planned_m]);
    let span = (heights().fold(f64::INFINITY, f64::min), heights().fold(f64::NEG_INFINITY, f64::max));
    let room = 0.04 * (span.1 - span.0);
    let span = ((span.0 - room).max(0.0), span.1 + room);
    let across = Axis::new(span, Kind::Length, system, (Axis::LEFT, width - RIGHT), 70.0);
    let upper_frame = TextBox { left: Axis::LEFT, right: width - RIGHT, top: TOP, bottom: TOP + upper };
    let lower_frame = TextBox { top: lower_top, bottom: lower_top + lower, ..upper_frame };

    let safe = across.at(curve.lowest_m);
    for frame in [upper_frame, lower_frame] {
        canvas.rectangle((frame.left, frame.top), (safe, frame.bottom), Paint::Pattern("too-low"), None);
    }
    let furthest = curve.points.iter().map(|point| point.drift_m).fold(0.0, f64::max);
    let drift =
        Axis::new((0.0, furthest * 1.05), Kind::Length, system, (upper_frame.bottom, upper_frame.top), 44.0);
    let share = Axis::new((0.0, 1.0), Kind::Share, system, (lower_frame.bottom, lower_frame.top), 34.0);
    drift.draw_left(&mut canvas, Axis::LEFT, "drift, 95 of 100 landings");
    share.draw_left(&mut canvas, Axis::LEFT, "share of flights");
    canvas.line((upper_frame.left, upper_frame.bottom), (upper_frame.right, upper_frame.bottom), HAIRLINE);
    across.draw_below(&mut canvas, lower_frame.bottom, "height of opening");
    ruled(&mut canvas, curve, &across, (upper_frame, lower_frame), system);

    let line = |of: &dyn Fn(&OpeningMark) -> Option<f64>| -> Vec<(f64, f64)> {
        curve.points.iter().filter_map(|point| Some((across.at(point.height_m), of(point)?))).collect()
    };
    let solid = Stroke::new(Role::Ink, 1.8);
    let dashed = Stroke::new(Role::Ink, 1.6).dashed();
    canvas.polyline(&line(&|point| Some(drift.at(point.drift_m))), solid);
    let in_time = line(&|point| Some(share.at(point.in_time)));
    let inside = line(&|point| Some(share.at(point.inside?)));
    canvas.polyline(&in_time, solid);
    canvas.polyline(&inside, dashed);
    let mut drawn = along(&in_time, 3.0);
    drawn.extend(along(&inside, 3.0));
    for height in [curve.lowest_m, curve.planned_m] {
        let x = across.at(height);
        drawn.extend(along(&[(x, lower_frame.top), (x, lower_frame.bottom)], 3.0));
    }
    for (name, points) in [("room in time", &in_time), ("inside the field", &inside)] {
        let label = Label::new(name, Anchor::Start).rim();
        let beside = points.iter().rev().flat_map(|(x, y)| {
            [(*x, y - 6.0), (*x, y + TEXT_SIZE + 4.0), (*x, y - 20.0), (*x, y + 2.0 * TEXT_SIZE + 8.0)]
        });
        let places: Vec<_> = beside.map(|at| (at, Anchor::End)).collect();
        let room = TextBox { top: lower_frame.top - 0.5 * BETWEEN, ..lower_frame };
        canvas.text_where_clear(&places, label, &drawn, room);
    }
    canvas
}

/// The two heights as lines through both panels, named above.
fn ruled(
    canvas: &mut Canvas,
    curve: &OpeningCurve,
    across: &Axis,
    frames: (TextBox, TextBox),
    system: System,
) {
    let (upper, lower) = frames;
    let height = |si: f64| show(si, 5.0, Kind::Length, system);
    let lines = [
        (curve.lowest_m, format!("lowest safe {}", height(curve.lowest_m)), Stroke::new(Role::Ink, 1.8), 0.0),
        (
            curve.planned_m,
            format!("planned {}", height(curve.planned_m)),
            Stroke::new(Role::Ink, 1.4).dashed(),
            16.0,
        ),
    ];
    for (si, said, stroke, down) in lines {
        let x = across.at(si);
        // The words of the axis stand between the names and the panel: no line goes through them.
        let y = TEXT_SIZE + down;
        for (top, bottom) in [(y + 4.0, WORDS.0), (WORDS.1, upper.bottom), (lower.top, lower.bottom)] {
            canvas.line((x, top), (x, bottom), stroke);
        }
        let half = text_width(&said) / 2.0;
        let middle = x.clamp(half, (canvas.width - half).max(half));
        canvas.text((middle, y), Label::new(&said, Anchor::Middle).rim());
    }
}
