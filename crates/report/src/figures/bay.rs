//! A bay cut along its axis, to scale: what lies in it, what is free, what is wanting beyond its lid.

use silkfall_core::quantity::{Kind, System, show};

use super::data::{BayDrawing, BayPiece};
use super::parts::{paint, patterns};
use super::svg::{
    Anchor, Canvas, HAIRLINE, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, shortened, text_width,
};

/// The tallest that a bay is drawn, px.
const TALLEST: f64 = 170.0;
const LEFT: f64 = 6.0;
const RIGHT: f64 = 6.0;
/// Above the bay: the numerals of what is too thin to hold its own.
const TOP: f64 = LINE_HEIGHT + 6.0;
/// Below it: the line that measures it.
const MEASURE: f64 = 2.0 * LINE_HEIGHT + 10.0;
const KEY_LINE: f64 = LINE_HEIGHT + 3.0;
const SWATCH: f64 = 18.0;
const MILLIMETRE: f64 = 0.003;
const WALL: Stroke = Stroke { role: Role::Ink, width: 2.0, dashes: None };

/// A line below the drawing: numeral or mark, and its words.
struct KeyLine {
    mark: Option<(String, Paint)>,
    says: String,
    role: Role,
}

pub(super) fn draw(bay: &BayDrawing, id: &str, width: f64, system: System) -> Canvas {
    let reached = bay.pieces.iter().map(|piece| piece.to_m).fold(0.0, f64::max);
    let longest = bay.length_m.max(reached);
    let per_m = ((width - LEFT - RIGHT) / longest).min(TALLEST / bay.diameter_m);
    let tall = bay.diameter_m * per_m;
    let length = |m: f64| show(m, MILLIMETRE, Kind::Length, system);
    let lines = key_lines(bay, reached, &length);
    let below = TOP + tall + MEASURE;
    let mut canvas = Canvas::new(id, width, below + KEY_LINE * lines.len() as f64);
    patterns(&mut canvas);
    let stroke = Stroke::new(Role::Misses, 1.2);
    canvas.pattern("wanting", 7.0, Canvas::tile_line("M0,7 l7,-7 M-1,1 l2,-2 M6,8 l2,-2", stroke));
    let at = |m: f64| LEFT + m * per_m;
    let (top, bottom, lid) = (TOP, TOP + tall, at(bay.length_m));
    for (number, piece) in bay.pieces.iter().enumerate() {
        draw_piece(&mut canvas, number + 1, piece, (at(piece.from_m), at(piece.to_m)), (top, bottom));
    }
    if reached > bay.length_m {
        canvas.rectangle((lid, top), (at(reached), bottom), Paint::Pattern("wanting"), Some(stroke));
    }
    // The wall, the bulkhead and the lid.
    canvas.line((at(0.0), top), (lid, top), WALL);
    canvas.line((at(0.0), bottom), (lid, bottom), WALL);
    canvas.line((at(0.0), top - 3.0), (at(0.0), bottom + 3.0), Stroke::new(Role::Ink, 3.0));
    canvas.line((lid, top - 3.0), (lid, bottom + 3.0), Stroke::new(Role::Ink, 2.0).dashed());
    measure(
        &mut canvas,
        (at(0.0), lid),
        bottom,
        &format!("{} long, {} across", length(bay.length_m), length(bay.diameter_m)),
    );
    for (at, line) in lines.iter().enumerate() {
        key(&mut canvas, line, below + KEY_LINE * at as f64, width);
    }
    canvas
}

fn draw_piece(
    canvas: &mut Canvas,
    number: usize,
    piece: &BayPiece,
    (from, to): (f64, f64),
    (top, bottom): (f64, f64),
) {
    let edge = Stroke::new(Role::Measured, 1.2);
    canvas.rectangle((from, top), (to, bottom), paint(piece.fill), Some(edge));
    let text = number.to_string();
    let middle = f64::midpoint(from, to);
    let label = Label::new(&text, Anchor::Middle).strong().rim();
    if to - from > text_width(&text) + 6.0 && bottom - top > LINE_HEIGHT {
        canvas.text((middle, f64::midpoint(top, bottom) + 0.35 * TEXT_SIZE), label);
    } else {
        let half = text_width(&text) / 2.0;
        let middle = middle.clamp(half, (canvas.width - half).max(half));
        let beside = [0.0, 8.0, -8.0, 16.0].map(|aside| (middle + aside, top - 6.0));
        canvas.text_where_free(&beside, label);
    }
}

/// The line under the bay that says how long it is.
fn measure(canvas: &mut Canvas, (from, to): (f64, f64), bottom: f64, says: &str) {
    let y = bottom + 10.0;
    canvas.line((from, y), (to, y), HAIRLINE);
    for end in [from, to] {
        canvas.line((end, y - 4.0), (end, y + 4.0), HAIRLINE);
    }
    let half = text_width(says) / 2.0;
    let middle = f64::midpoint(from, to).clamp(half, (canvas.width - half).max(half));
    canvas.text((middle, y + TEXT_SIZE + 5.0), Label::new(says, Anchor::Middle).role(Role::Quiet));
}

fn key_lines(bay: &BayDrawing, reached: f64, length: &dyn Fn(f64) -> String) -> Vec<KeyLine> {
    let one = |(at, piece): (usize, &BayPiece)| KeyLine {
        mark: Some(((at + 1).to_string(), paint(piece.fill))),
        says: format!("{}, {} ({})", piece.label, length(piece.to_m - piece.from_m), piece.fill.word()),
        role: Role::Ink,
    };
    let mut lines: Vec<KeyLine> = bay.pieces.iter().enumerate().map(one).collect();
    let spare = bay.length_m - reached;
    lines.push(if spare < 0.0 {
        KeyLine {
            mark: Some((String::new(), Paint::Pattern("wanting"))),
            says: format!("{} wanting beyond the lid", length(-spare)),
            role: Role::Misses,
        }
    } else {
        KeyLine { mark: None, says: format!("{} free before the lid", length(spare)), role: Role::Quiet }
    });
    lines
}

fn key(canvas: &mut Canvas, line: &KeyLine, top: f64, width: f64) {
    let (y, mut x) = (top + 0.8 * TEXT_SIZE, LEFT + 16.0);
    if let Some((numeral, fill)) = &line.mark {
        if !numeral.is_empty() {
            canvas.text((LEFT, y), Label::new(numeral, Anchor::Start).strong());
        }
        canvas.rectangle((x, top), (x + SWATCH, top + 11.0), *fill, Some(Stroke::new(Role::Quiet, 0.8)));
        x += SWATCH + 6.0;
    }
    let says = shortened(&line.says, width - x);
    canvas.text((x, y), Label::new(&says, Anchor::Start).role(line.role));
}
