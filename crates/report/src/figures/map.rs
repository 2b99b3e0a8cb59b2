//! The field to scale with where it comes down: equal scales both ways, north up, the arrow of the wind points where
//! the air goes.
//!
//! Weight and dash of a ring tell its share, since fill is for trust; places to keep out of are hatched. The map
//! reaches as far as the field and the regions do, but no patch may make it more than [`LARGEST`] times as wide as the
//! field and the inner regions are: what is cut off is named below it with how far it reaches.

use silkfall_core::maths;
use silkfall_core::quantity::{Kind, System, show};

use super::landings::{FieldMap, GroundWind, Patch, compass};
use super::scale::Linear;
use super::svg::{
    Anchor, Canvas, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, TextBox, along, polar, shortened,
    text_width,
};

/// How much wider a far patch may make the map.
const LARGEST: f64 = 4.0;
/// Regions below this share are always on the map.
const INNER: f64 = 0.95;
/// Nothing is drawn larger than this many metres across would be.
const LEAST_M: f64 = 40.0;
/// Free ground around all, as a share of the larger span.
const MARGIN: f64 = 0.07;
/// Room for the arrows above, px.
const TOP: f64 = 58.0;
/// Room for the scale bar below, px.
const BAR: f64 = 30.0;
/// Length of the wind's arrow, px.
const ARROW: f64 = 44.0;
/// Half the length of the pad's cross, px.
const PAD: f64 = 6.0;
/// A ring this many times as large as its label is wide has it on its line.
const ROOMY: f64 = 1.6;
/// A patch smaller than this has no label of its own, px.
const LABELLED: f64 = 26.0;

const FIELD: Stroke = Stroke { role: Role::Quiet, width: 2.6, dashes: None };
const WORST: Stroke = Stroke { role: Role::Ink, width: 1.5, dashes: Some("1.5 3.5") };

/// The rings of a share: the more it holds, the finer.
fn ring_stroke(share: f64) -> Stroke {
    if share <= 0.6 {
        Stroke::new(Role::Ink, 2.4)
    } else if share < INNER {
        Stroke::new(Role::Ink, 1.5)
    } else {
        Stroke::new(Role::Ink, 1.0).with_dashes("7 3")
    }
}

pub(super) fn draw(map: &FieldMap, id: &str, width: f64, system: System) -> Canvas {
    let frame = Frame::new(map, width);
    let beyond = beyond(map, &frame, system);
    let bottom = frame.area.bottom;
    let mut canvas = Canvas::new(id, width, bottom + BAR + LINE_HEIGHT * beyond.len() as f64);
    let stroke = Stroke::new(Role::Quiet, 0.8);
    canvas.pattern("keep-out", 7.0, Canvas::tile_line("M0,7 l7,-7 M-1,1 l2,-2 M6,8 l2,-2", stroke));

    wind_arrow(&mut canvas, map.wind, system);
    north_arrow(&mut canvas, width);
    canvas.within("ground", frame.area, |canvas| ground(canvas, map, &frame));
    labels(&mut canvas, map, &frame);
    scale_bar(&mut canvas, &frame, system);
    for (at, said) in beyond.iter().enumerate() {
        let y = bottom + BAR + LINE_HEIGHT * at as f64 + TEXT_SIZE - 2.0;
        let text = shortened(said, width);
        canvas.text((0.0, y), Label::new(&text, Anchor::Start).role(Role::Quiet));
    }
    canvas
}

/// What the map shows of the plane, and how large.
struct Frame {
    area: TextBox,
    /// East and north of the middle, m.
    middle_m: [f64; 2],
    px_per_m: f64,
}

impl Frame {
    fn new(map: &FieldMap, width: f64) -> Self {
        let narrow = width < 500.0;
        let (least, most) = if narrow { (200.0, 380.0) } else { (300.0, 540.0) };
        let span = shown(map);
        let margin = MARGIN * span.largest();
        let (across, up) = (span.across() + 2.0 * margin, span.up() + 2.0 * margin);
        // One scale for both: the tighter decides, and the rest is filled with more ground.
        let px_per_m = (width / across).min(most / up);
        let height = (up * px_per_m).max(least);
        Frame {
            area: TextBox { left: 0.0, right: width, top: TOP, bottom: TOP + height },
            middle_m: span.middle(),
            px_per_m,
        }
    }

    fn at(&self, [east_m, north_m]: [f64; 2]) -> (f64, f64) {
        let x = f64::midpoint(self.area.left, self.area.right);
        let y = f64::midpoint(self.area.top, self.area.bottom);
        (x + (east_m - self.middle_m[0]) * self.px_per_m, y - (north_m - self.middle_m[1]) * self.px_per_m)
    }

    fn rings(&self, patch: &Patch) -> Vec<Vec<(f64, f64)>> {
        patch.rings_m.iter().map(|ring| ring.iter().map(|point| self.at(*point)).collect()).collect()
    }
}

/// The least upright rectangle around places.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Span {
    low: [f64; 2],
    high: [f64; 2],
}

impl Span {
    const PAD: Span = Span { low: [0.0; 2], high: [0.0; 2] };

    fn with(mut self, points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        for point in points {
            for (axis, at) in point.into_iter().enumerate() {
                self.low[axis] = self.low[axis].min(at);
                self.high[axis] = self.high[axis].max(at);
            }
        }
        self
    }

    fn across(&self) -> f64 {
        self.high[0] - self.low[0]
    }

    fn up(&self) -> f64 {
        self.high[1] - self.low[1]
    }

    fn largest(&self) -> f64 {
        self.across().max(self.up())
    }

    fn middle(&self) -> [f64; 2] {
        [f64::midpoint(self.low[0], self.high[0]), f64::midpoint(self.low[1], self.high[1])]
    }
}

fn corners(patch: &Patch) -> impl Iterator<Item = [f64; 2]> {
    patch.rings_m.iter().flatten().copied()
}

/// The pad, the field and the inner regions; and, patch by patch, what does not dwarf them.
fn shown(map: &FieldMap) -> Span {
    let inner = map.regions.iter().filter(|region| region.share < INNER);
    let mut span = map
        .edges
        .iter()
        .chain(inner.flat_map(|region| &region.polygons))
        .fold(Span::PAD.with([[-LEAST_M / 2.0; 2], [LEAST_M / 2.0; 2]]), |span, patch| {
            span.with(corners(patch))
        });
    let largest = LARGEST * span.largest();
    let outer = map.regions.iter().filter(|region| region.share >= INNER);
    let patches = outer
        .flat_map(|region| &region.polygons)
        .chain(map.worst.iter().flat_map(|worst| &worst.polygons))
        .chain(&map.keep_outs);
    for patch in patches {
        let wider = span.with(corners(patch));
        if wider.largest() <= largest {
            span = wider;
        }
    }
    let pad = span.with(map.better_pad_m);
    if pad.largest() <= largest { pad } else { span }
}

/// What is cut off, with how far it reaches.
fn beyond(map: &FieldMap, frame: &Frame, system: System) -> Vec<String> {
    let furthest = |patches: &[Patch]| {
        patches
            .iter()
            .flat_map(corners)
            .filter(|point| !frame.area.covers(frame.at(*point)))
            .max_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])))
    };
    let say = |name: &str, [east_m, north_m]: [f64; 2]| {
        let distance = east_m.hypot(north_m);
        let far = show(distance, 0.03 * distance, Kind::Length, system);
        format!("beyond the map: {name}, as far as {far} {}", compass(maths::atan2(east_m, north_m)))
    };
    let mut said: Vec<String> = map
        .regions
        .iter()
        .filter_map(|region| Some(say(&share_words(region.share), furthest(&region.polygons)?)))
        .collect();
    let worst = map.worst.iter().filter_map(|worst| Some(say(&worst.label, furthest(&worst.polygons)?)));
    said.extend(worst);
    let keep_outs = map.keep_outs.iter().filter_map(|patch| {
        let name = patch.name.as_deref().unwrap_or("a place to keep out of");
        Some(say(name, furthest(std::slice::from_ref(patch))?))
    });
    said.extend(keep_outs);
    said
}

/// "99 %".
fn share_words(share: f64) -> String {
    show(share, 0.0, Kind::Share, System::Si)
}

/// From where the air comes to where it goes: a wind from the west points east.
fn wind_arrow(canvas: &mut Canvas, wind: GroundWind, system: System) {
    let centre = (ARROW / 2.0 + 4.0, TOP / 2.0 - 3.0);
    let said = if wind.speed_m_per_s > 0.05 {
        let tail = polar(centre, ARROW / 2.0, wind.from_rad);
        let tip = polar(centre, -ARROW / 2.0, wind.from_rad);
        canvas.arrow(tail, tip, Stroke::new(Role::Ink, 2.0));
        let speed = show(wind.speed_m_per_s, 0.0, Kind::Speed, system);
        format!("from {} {speed}", compass(wind.from_rad))
    } else {
        canvas.circle(centre, 8.0, Role::Ground, Stroke::new(Role::Ink, 2.0));
        "calm".to_owned()
    };
    let x = ARROW + 18.0;
    canvas.text((x, centre.1 - 2.0), Label::new(&said, Anchor::Start).strong());
    canvas.text((x, centre.1 + 14.0), Label::new("wind at the ground", Anchor::Start).role(Role::Quiet));
}

fn north_arrow(canvas: &mut Canvas, width: f64) {
    let x = width - 12.0;
    canvas.arrow((x, TOP - 10.0), (x, 16.0), Stroke::new(Role::Ink, 1.4));
    canvas.text((x, 11.0), Label::new("N", Anchor::Middle).strong());
}

fn ground(canvas: &mut Canvas, map: &FieldMap, frame: &Frame) {
    for patch in &map.keep_outs {
        let edge = Stroke::new(Role::Quiet, 1.0);
        canvas.area(&frame.rings(patch), Some(Paint::Pattern("keep-out")), Some(edge));
    }
    for patch in &map.edges {
        let rings = frame.rings(patch);
        canvas.area(&rings[..rings.len().min(1)], None, Some(FIELD));
        for hole in rings.iter().skip(1) {
            canvas.area(std::slice::from_ref(hole), Some(Paint::Pattern("keep-out")), Some(FIELD));
        }
    }
    let samples: Vec<(f64, f64)> = map
        .samples_m
        .iter()
        .map(|place| frame.at(*place))
        .filter(|place| frame.area.covers(*place))
        .collect();
    canvas.dots(&samples, Stroke::new(Role::Quiet, 2.2), 0.5);
    for region in &map.regions {
        for patch in &region.polygons {
            canvas.area(&frame.rings(patch), None, Some(ring_stroke(region.share)));
        }
    }
    for patch in map.worst.iter().flat_map(|worst| &worst.polygons) {
        canvas.area(&frame.rings(patch), None, Some(WORST));
    }
    let (x, y) = frame.at([0.0; 2]);
    let cross = Stroke::new(Role::Ink, 1.8);
    canvas.circle((x, y), PAD - 1.0, Role::Ground, cross);
    canvas.line((x - PAD, y), (x + PAD, y), cross);
    canvas.line((x, y - PAD), (x, y + PAD), cross);
    if let Some((x, y)) = map.better_pad_m.map(|place| frame.at(place)) {
        canvas.area(&[vec![(x, y - 6.0), (x + 6.0, y + 4.5), (x - 6.0, y + 4.5)]], None, Some(cross));
    }
}

fn labels(canvas: &mut Canvas, map: &FieldMap, frame: &Frame) {
    let outlines = |patches: &[Patch]| -> Vec<Vec<(f64, f64)>> {
        patches.iter().flat_map(|patch| frame.rings(patch)).collect()
    };
    let all = map
        .edges
        .iter()
        .chain(&map.keep_outs)
        .chain(map.regions.iter().flat_map(|region| &region.polygons))
        .chain(map.worst.iter().flat_map(|worst| &worst.polygons));
    let rings: Vec<Vec<(f64, f64)>> = all.flat_map(|patch| frame.rings(patch)).collect();
    let mut drawn: Vec<(f64, f64)> = rings.iter().flat_map(|ring| along(ring, 4.0)).collect();
    let width = canvas.width;

    // The pad first: all else is found from it.
    let marks: Vec<(f64, f64)> = std::iter::once([0.0; 2])
        .chain(map.better_pad_m)
        .map(|place| frame.at(place))
        .flat_map(|(x, y)| [(x - 6.0, y), (x, y), (x + 6.0, y), (x, y - 6.0), (x, y + 5.0)])
        .collect();
    drawn.extend(&marks);
    let pads = std::iter::once(("pad", [0.0; 2])).chain(map.better_pad_m.map(|place| ("better pad", place)));
    for (name, place) in pads {
        let (x, y) = frame.at(place);
        let places = [
            ((x - 10.0, y + 4.5), Anchor::End),
            ((x + 10.0, y + 4.5), Anchor::Start),
            ((x, y + 20.0), Anchor::Middle),
            ((x, y - 11.0), Anchor::Middle),
            ((x - 6.0, y + 20.0), Anchor::Start),
            ((x - 6.0, y - 11.0), Anchor::Start),
        ];
        canvas.text_where_clear(&places, Label::new(name, Anchor::Start).strong().rim(), &drawn, frame.area);
    }
    drawn.truncate(drawn.len() - marks.len());
    for region in &map.regions {
        let said = share_words(region.share);
        label_rings(
            canvas,
            &outlines(&region.polygons),
            Label::new(&said, Anchor::Start).rim(),
            &rings,
            frame,
        );
    }
    if let Some(worst) = &map.worst {
        let said = shortened(&worst.label, width * 0.5);
        label_rings(
            canvas,
            &outlines(&worst.polygons),
            Label::new(&said, Anchor::Start).rim(),
            &rings,
            frame,
        );
    }
    for patch in &map.keep_outs {
        let said = shortened(patch.name.as_deref().unwrap_or("keep out"), width * 0.4);
        let label = Label::new(&said, Anchor::Start).role(Role::Quiet).rim();
        let span = Span { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] }.with(corners(patch));
        let (x, y) = frame.at(span.middle());
        let (_, above) = frame.at([0.0, span.high[1]]);
        let (_, below) = frame.at([0.0, span.low[1]]);
        let places =
            [(x, y + 4.5), (x, above - 6.0), (x, below + TEXT_SIZE + 3.0)].map(|at| (at, Anchor::Middle));
        canvas.text_where_clear(&places, label, &drawn, frame.area);
    }
    let edges: Vec<_> = map.edges.iter().filter_map(|patch| frame.rings(patch).into_iter().next()).collect();
    label_rings(
        canvas,
        &edges,
        Label::new("edge of the field", Anchor::Start).role(Role::Quiet).rim(),
        &rings,
        frame,
    );
}

/// On the line of each ring that is large enough for it, else beside it, where the fewest other lines are covered; the
/// largest ring has its label in any case.
fn label_rings(
    canvas: &mut Canvas,
    rings: &[Vec<(f64, f64)>],
    label: Label,
    all: &[Vec<(f64, f64)>],
    frame: &Frame,
) {
    let size = |ring: &[(f64, f64)]| {
        Span { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] }
            .with(ring.iter().map(|(x, y)| [*x, *y]))
    };
    let largest = rings.iter().map(|ring| size(ring).largest()).fold(0.0, f64::max);
    for ring in rings {
        let span = size(ring);
        if span.largest() < LABELLED.min(largest) {
            continue;
        }
        let [mx, my] = span.middle();
        let mut edge = along(ring, 7.0);
        edge.retain(|place| frame.area.covers(*place));
        // On the ring first, then outside it, then inside; the middle of the top first.
        let order = |(x, y): (f64, f64)| ((y / 6.0).round() as i64, (x - mx).abs());
        edge.sort_by(|a, b| {
            let ((row_a, away_a), (row_b, away_b)) = (order(*a), order(*b));
            row_a.cmp(&row_b).then(away_a.total_cmp(&away_b))
        });
        let on_line = span.largest() > ROOMY * text_width(label.text);
        let places: Vec<((f64, f64), Anchor)> = [0.0, 6.0, -6.0]
            .into_iter()
            .filter(|away| on_line || *away != 0.0)
            .flat_map(|away| edge.iter().map(move |place| (away, *place)))
            .map(|(away, (x, y))| {
                let (dx, dy) = (x - mx, y - my);
                let length = dx.hypot(dy).max(1e-9);
                let (ux, uy) = (dx / length, dy / length);
                let towards = if away == 0.0 { 0.0 } else { f64::signum(away) };
                let anchor = match towards * ux {
                    side if side > 0.35 => Anchor::Start,
                    side if side < -0.35 => Anchor::End,
                    _ => Anchor::Middle,
                };
                // One side of the text stands against the ring, or the ring goes through its middle.
                let lift = 0.28 * TEXT_SIZE + 0.5 * TEXT_SIZE * towards * uy;
                ((x + away * ux, y + away * uy + lift), anchor)
            })
            .collect();
        let others: Vec<(f64, f64)> =
            all.iter().filter(|other| *other != ring).flat_map(|other| along(other, 4.0)).collect();
        canvas.text_where_clear(&places, label, &others, frame.area);
    }
}

fn scale_bar(canvas: &mut Canvas, frame: &Frame, system: System) {
    let widest_m = 0.3 * (frame.area.right - frame.area.left) / frame.px_per_m;
    let unit = system.unit(Kind::Length, widest_m);
    // Of about two steps none may fit; of about three one always does.
    let round = Linear::new(0.0, unit.from_si(widest_m), (0.0, 1.0)).ticks(3);
    let length = round.last().copied().unwrap_or(1.0);
    let px = length * unit.factor * frame.px_per_m;
    let y = frame.area.bottom + 14.0;
    let stroke = Stroke::new(Role::Ink, 1.4);
    canvas.polyline(&[(1.0, y - 4.0), (1.0, y), (1.0 + px, y), (1.0 + px, y - 4.0)], stroke);
    canvas.line((1.0 + px / 2.0, y - 3.0), (1.0 + px / 2.0, y), stroke);
    let said = format!("{length} {}", unit.symbol);
    canvas.text((px + 9.0, y + 3.0), Label::new(&said, Anchor::Start));
}
