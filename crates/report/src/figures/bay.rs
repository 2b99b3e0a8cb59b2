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
    /// What is said too where there is room.
    trust: String,
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
        says: format!("{}, {}", piece.label, length(piece.to_m - piece.from_m)),
        trust: format!(" ({})", piece.fill.word()),
        role: Role::Ink,
    };
    let mut lines: Vec<KeyLine> = bay.pieces.iter().enumerate().map(one).collect();
    let spare = bay.length_m - reached;
    lines.push(if spare < 0.0 {
        KeyLine {
            mark: Some((String::new(), Paint::Pattern("wanting"))),
            says: format!("{} wanting beyond the lid", length(-spare)),
            trust: String::new(),
            role: Role::Misses,
        }
    } else {
        let says = format!("{} free before the lid", length(spare));
        KeyLine { mark: None, says, trust: String::new(), role: Role::Quiet }
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
    let whole = format!("{}{}", line.says, line.trust);
    let says = if text_width(&whole) <= width - x { whole } else { shortened(&line.says, width - x) };
    canvas.text((x, y), Label::new(&says, Anchor::Start).role(line.role));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::{Fill, NARROW, WIDE};

    fn bay(length_m: f64, ends: &[f64]) -> BayDrawing {
        let from = |at: usize| if at == 0 { 0.0 } else { ends[at - 1] };
        let piece = |(at, to): (usize, &f64)| BayPiece {
            label: format!("something with a rather long name, number {at}"),
            from_m: from(at),
            to_m: *to,
            fill: Fill::ALL[at % 4],
        };
        BayDrawing { diameter_m: 0.1, length_m, pieces: ends.iter().enumerate().map(piece).collect() }
    }

    fn rectangles(svg: &str) -> Vec<[f64; 4]> {
        let number = |of: &str, name: &str| -> f64 {
            of.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
        };
        let of = svg.split('<').filter(|element| element.starts_with("rect "));
        of.map(|of| ["x", "y", "width", "height"].map(|name| number(of, name))).collect()
    }

    #[test]
    fn along_and_across_are_to_one_scale() {
        for width in [WIDE, NARROW] {
            let svg = draw(&bay(0.4, &[0.1, 0.3]), "b", width, System::Si).finish("wide", "t", "d").0;
            let drawn = rectangles(&svg);
            let (first, second) = (drawn[0], drawn[1]);
            assert!((first[2] / first[3] - 1.0).abs() < 0.01, "0.1 m by 0.1 m: {first:?}");
            assert!((second[2] / second[3] - 2.0).abs() < 0.01, "0.2 m by 0.1 m: {second:?}");
        }
    }

    #[test]
    fn what_is_wanting_stands_out_beyond_the_lid_and_what_is_free_is_said() {
        let text = |length: f64| {
            let svg = draw(&bay(length, &[0.1, 0.3]), "b", WIDE, System::Si).finish("wide", "t", "d").0;
            svg.replace('\u{a0}', " ")
        };
        let short = text(0.29);
        assert!(short.contains(">0.010 m wanting beyond the lid<"), "{short}");
        assert!(short.contains("url(#b-wanting)") && !text(0.35).contains("url(#b-wanting)"));
        assert!(text(0.35).contains(">0.050 m free before the lid<"));
    }

    #[test]
    fn texts_keep_apart_however_thin_the_pieces() {
        for width in [WIDE, NARROW] {
            let ends: Vec<f64> = (1..=9).map(|at| 0.003 * f64::from(at)).chain([0.5]).collect();
            let canvas = draw(&bay(0.4, &ends), "b", width, System::Si);
            let boxes = canvas.boxes();
            for (at, one) in boxes.iter().enumerate() {
                assert!(boxes[at + 1..].iter().all(|other| !one.meets(other)), "{one:?}");
                assert!(one.left >= -0.5 && one.right <= width + 0.5, "{one:?} leaves a drawing of {width}");
            }
        }
    }
}
