//! A body in its harness, to scale: legs, centre of mass, centre of area and the angle, a panel a state; side by side, or above
//! one another on a phone.

use silkfall_core::quantity::{Kind, System, show};

use super::svg::{
    Anchor, Canvas, HAIRLINE, Label, Paint, Role, Stroke, TEXT_SIZE, TextBox, along, shortened,
};

/// A body in its harness in several states.
#[derive(Clone, Debug, PartialEq)]
pub struct HangViews {
    /// A panel each.
    pub views: Vec<HangView>,
}

/// One state; places are across to the front and up, m, from the confluence.
#[derive(Clone, Debug, PartialEq)]
pub struct HangView {
    /// Its name.
    pub label: String,
    /// Angle of the front end above level, radians.
    pub angle_rad: f64,
    /// Each leg: its point, its name, whether it is slack.
    pub legs: Vec<HangLeg>,
    /// Centre of mass.
    pub mass: (f64, f64),
    /// Centre of area, where drag acts on it.
    pub area: Option<(f64, f64)>,
    /// Front end of the long axis.
    pub front: (f64, f64),
    /// Rear end.
    pub rear: (f64, f64),
    /// Thickness of the body, m.
    pub thickness_m: f64,
}

/// A leg.
#[derive(Clone, Debug, PartialEq)]
pub struct HangLeg {
    /// Where it is fastened.
    pub at: (f64, f64),
    /// Its name.
    pub label: String,
    /// Whether it hangs loose.
    pub slack: bool,
}

const MARGIN: f64 = 26.0;
const TITLE: f64 = 2.2 * TEXT_SIZE;
const FOOT: f64 = 2.6 * TEXT_SIZE;
const RISER: f64 = 26.0;

impl HangView {
    fn corners(&self) -> [(f64, f64); 4] {
        let (dx, dy) = (self.front.0 - self.rear.0, self.front.1 - self.rear.1);
        let length = dx.hypot(dy).max(1e-9);
        let half = self.thickness_m / 2.0;
        let (ox, oy) = (-dy / length * half, dx / length * half);
        let (front, rear) = (self.front, self.rear);
        [
            (front.0 + ox, front.1 + oy),
            (front.0 - ox, front.1 - oy),
            (rear.0 - ox, rear.1 - oy),
            (rear.0 + ox, rear.1 + oy),
        ]
    }

    fn places(&self) -> impl Iterator<Item = (f64, f64)> {
        let legs: Vec<(f64, f64)> = self.legs.iter().map(|leg| leg.at).collect();
        self.corners().into_iter().chain(legs).chain([(0.0, 0.0), self.mass]).chain(self.area)
    }
}

pub(super) fn draw(views: &HangViews, id: &str, width: f64, system: System) -> Canvas {
    let stacked = width < 500.0;
    let count = views.views.len().max(1);
    let panel = if stacked { width } else { width / count as f64 };
    let span = |of: fn((f64, f64)) -> f64| {
        let all = views.views.iter().flat_map(HangView::places).map(of);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
    };
    let (across, up) = (span(|at| at.0), span(|at| at.1));
    let size = ((across.1 - across.0).max(1e-3), (up.1 - up.0).max(1e-3));
    let scale = ((panel - 2.0 * MARGIN) / size.0).min(360.0 / size.1);
    let height = TITLE + RISER + size.1 * scale + 2.0 * MARGIN + FOOT;
    let total = if stacked { height * count as f64 } else { height };
    let mut canvas = Canvas::new(id, width, total);
    for (at, view) in views.views.iter().enumerate() {
        let (left, top) = if stacked { (0.0, height * at as f64) } else { (panel * at as f64, 0.0) };
        let middle = left + panel / 2.0;
        let place = |(x, y): (f64, f64)| {
            (
                middle + (x - f64::midpoint(across.0, across.1)) * scale,
                top + TITLE + RISER + MARGIN + (up.1 - y) * scale,
            )
        };
        let frame = TextBox { left, right: left + panel, top, bottom: top + height };
        draw_view(&mut canvas, view, &place, frame, system);
        scale_bar(&mut canvas, (left + MARGIN, top + height - 8.0), scale, panel, system);
    }
    canvas
}

fn draw_view(
    canvas: &mut Canvas,
    view: &HangView,
    place: &dyn Fn((f64, f64)) -> (f64, f64),
    frame: TextBox,
    system: System,
) {
    let title = format!("{}: {}", view.label, tilted(view.angle_rad, system));
    let title = shortened(&title, frame.right - frame.left - 8.0);
    canvas.text((frame.left + 4.0, frame.top + TEXT_SIZE), Label::new(&title, Anchor::Start).strong());

    let corners = view.corners().map(place).to_vec();
    let edge = Stroke::new(Role::Ink, 1.6);
    canvas.area(std::slice::from_ref(&corners), Some(Paint::Flat(Role::Hair, 0.35)), Some(edge));
    let (front, rear, confluence) = (place(view.front), place(view.rear), place((0.0, 0.0)));
    canvas.line(front, rear, HAIRLINE);
    // Level through the centre of mass, to see the angle by.
    let mass = place(view.mass);
    canvas.line((frame.left + 10.0, mass.1), (frame.right - 10.0, mass.1), HAIRLINE.dashed());
    canvas.line(confluence, (confluence.0, confluence.1 - RISER), Stroke::new(Role::Ink, 2.2));
    let mut drawn: Vec<(f64, f64)> = along(&[front, rear], 4.0);
    for leg in &view.legs {
        let at = place(leg.at);
        let stroke = Stroke::new(Role::Ink, if leg.slack { 1.0 } else { 1.6 });
        canvas.line(at, confluence, if leg.slack { stroke.with_dashes("2 4") } else { stroke });
        canvas.circle(at, 2.6, Role::Ground, Stroke::new(Role::Ink, 1.4));
        drawn.extend(along(&[at, confluence], 4.0));
    }
    mark_mass(canvas, mass);
    if let Some(area) = view.area {
        canvas.ring(place(area), 5.0, Stroke::new(Role::Measured, 1.6));
    }
    drawn.extend(along(&corners, 4.0));
    let name = |canvas: &mut Canvas, text: &str, (x, y): (f64, f64), role: Role| {
        let short = shortened(text, (frame.right - frame.left) * 0.45);
        let beside = [
            ((x, y - 10.0), Anchor::Middle),
            ((x, y + TEXT_SIZE + 10.0), Anchor::Middle),
            ((x + 9.0, y - 6.0), Anchor::Start),
            ((x - 9.0, y - 6.0), Anchor::End),
            ((x + 9.0, y + TEXT_SIZE + 4.0), Anchor::Start),
            ((x - 9.0, y + TEXT_SIZE + 4.0), Anchor::End),
            ((x, y + 2.0 * TEXT_SIZE + 16.0), Anchor::Middle),
            ((x, y + 3.0 * TEXT_SIZE + 22.0), Anchor::Middle),
        ];
        canvas.text_where_clear(&beside, Label::new(&short, Anchor::Middle).role(role).rim(), &drawn, frame);
    };
    name(canvas, "centre of mass", mass, Role::Ink);
    if let Some(area) = view.area {
        name(canvas, "centre of area", place(area), Role::Measured);
    }
    for leg in &view.legs {
        let said = if leg.slack { format!("{}, slack", leg.label) } else { leg.label.clone() };
        name(canvas, &said, place(leg.at), Role::Quiet);
    }
    name(canvas, "front end", front, Role::Quiet);
}

/// "front end 1.7° down".
fn tilted(angle_rad: f64, system: System) -> String {
    const LEVEL: f64 = 0.001;
    let by = show(angle_rad.abs(), 0.02, Kind::Angle, system);
    match angle_rad {
        angle if angle.abs() < LEVEL => "level".to_owned(),
        angle if angle > 0.0 => format!("front end {by} up"),
        _ => format!("front end {by} down"),
    }
}

/// A circle in quarters.
fn mark_mass(canvas: &mut Canvas, at: (f64, f64)) {
    const RADIUS: f64 = 5.0;
    canvas.circle(at, RADIUS, Role::Ground, Stroke::new(Role::Ink, 1.4));
    let quarter = std::f64::consts::FRAC_PI_2;
    for begin in [0.0, 2.0 * quarter] {
        canvas.band(at, (0.0, RADIUS), (begin, begin + quarter), Paint::Flat(Role::Ink, 1.0), None);
    }
}

/// A round length that fits, drawn to scale.
fn scale_bar(canvas: &mut Canvas, at: (f64, f64), scale: f64, panel: f64, system: System) {
    let unit = system.unit(Kind::Length, 1.0);
    let fits = |length: &f64| unit.to_si(*length) * scale < 0.4 * panel;
    let lengths = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
    let Some(length) = lengths.into_iter().rev().find(fits) else { return };
    let end = at.0 + unit.to_si(length) * scale;
    let stroke = Stroke::new(Role::Quiet, 1.2);
    canvas.line(at, (end, at.1), stroke);
    for x in [at.0, end] {
        canvas.line((x, at.1 - 4.0), (x, at.1 + 4.0), stroke);
    }
    let said = show(unit.to_si(length), 0.0, Kind::Length, system);
    canvas.text_where_free(&[(end + 7.0, at.1 + 4.0)], Label::new(&said, Anchor::Start).role(Role::Quiet));
}
