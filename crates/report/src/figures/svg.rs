//! A drawing surface: lines, bands, marks and text as SVG, and where text already stands.
//!
//! Every element carries its colour twice: as a concrete attribute, which every renderer of paper understands, and
//! as a class, by which the page turns it over in the dark. Text is measured by a careful guess (widths of Inter,
//! rounded up), so that labels can be kept apart without a browser.

use maud::{Markup, PreEscaped, html};
use silkfall_core::maths;

/// What a colour is for; there are no others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Ink,
    Quiet,
    Hair,
    Measured,
    Misses,
    Undecided,
    Ground,
}

impl Role {
    /// Its name in class names.
    fn name(self) -> &'static str {
        match self {
            Role::Ink => "ink",
            Role::Quiet => "quiet",
            Role::Hair => "hair",
            Role::Measured => "measured",
            Role::Misses => "misses",
            Role::Undecided => "undecided",
            Role::Ground => "ground",
        }
    }

    /// The colour on a light ground and on paper.
    pub(super) fn light(self) -> &'static str {
        match self {
            Role::Ink => "#17212B",
            Role::Quiet => "#55616C",
            Role::Hair => "#C3CCD4",
            Role::Measured => "#1F4E8C",
            Role::Misses => "#8E1B5A",
            Role::Undecided => "#7A5200",
            Role::Ground => "#F5F7F8",
        }
    }

    pub(super) fn stroke_class(self) -> String {
        format!("s-{}", self.name())
    }

    pub(super) fn fill_class(self) -> String {
        format!("f-{}", self.name())
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    pub(super) role: Role,
    pub(super) width: f64,
    pub(super) dashes: Option<&'static str>,
}

impl Stroke {
    pub(super) fn new(role: Role, width: f64) -> Self {
        Stroke { role, width, dashes: None }
    }

    pub(super) fn dashed(self) -> Self {
        self.with_dashes("5 3")
    }

    pub(super) fn with_dashes(self, dashes: &'static str) -> Self {
        Stroke { dashes: Some(dashes), ..self }
    }
}

/// Hairlines of axes and rules.
pub(super) const HAIRLINE: Stroke = Stroke { role: Role::Hair, width: 1.0, dashes: None };

/// What an area is filled with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Paint {
    /// A colour, with its opacity.
    Flat(Role, f64),
    /// A pattern of this drawing, by its name.
    Pattern(&'static str),
}

/// Which end of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A text to be set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Label<'a> {
    pub(super) text: &'a str,
    pub(super) anchor: Anchor,
    pub(super) role: Role,
    pub(super) strong: bool,
    /// Set off from what lies under it by a rim of the ground's colour.
    pub(super) rim: bool,
}

impl<'a> Label<'a> {
    pub(super) fn new(text: &'a str, anchor: Anchor) -> Self {
        Label { text, anchor, role: Role::Ink, strong: false, rim: false }
    }

    pub(super) fn role(self, role: Role) -> Self {
        Label { role, ..self }
    }

    pub(super) fn strong(self) -> Self {
        Label { strong: true, ..self }
    }

    pub(super) fn rim(self) -> Self {
        Label { rim: true, ..self }
    }

    pub(super) fn area(&self, (x, y): (f64, f64)) -> TextBox {
        let width = text_width(self.text);
        let left = match self.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        TextBox { left, right: left + width, top: y - 0.78 * TEXT_SIZE, bottom: y + 0.22 * TEXT_SIZE }
    }
}

/// Size of all text in figures, px.
pub(super) const TEXT_SIZE: f64 = 12.5;
/// From one line of text to the next, px.
pub(super) const LINE_HEIGHT: f64 = 16.0;

/// The width of a text, px: a guess that is never short for Inter.
pub(super) fn text_width(text: &str) -> f64 {
    text.chars()
        .map(|c| match c {
            'i' | 'l' | 'j' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '\u{a0}' | '(' | ')' | 'f'
            | 't' | 'r' => 0.4,
            'm' | 'w' | 'M' | 'W' | '%' => 0.95,
            'A'..='Z' => 0.75,
            _ => 0.64,
        })
        .sum::<f64>()
        * TEXT_SIZE
}

/// As much of a text as fits, with a mark where it was cut.
pub(super) fn shortened(text: &str, width: f64) -> String {
    if text_width(text) <= width {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if text_width(&kept) + text_width("m…") > width {
            break;
        }
        kept.push(c);
    }
    kept.trim_end().to_owned() + "…"
}

/// Where a text stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TextBox {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl TextBox {
    pub(super) fn meets(&self, other: &TextBox) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    fn holds(&self, other: &TextBox) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    pub(super) fn covers(&self, (x, y): (f64, f64)) -> bool {
        (self.left..=self.right).contains(&x) && (self.top..=self.bottom).contains(&y)
    }
}

/// The place at a distance from a centre in a direction, radians clockwise from up.
pub(super) fn polar(centre: (f64, f64), radius: f64, angle: f64) -> (f64, f64) {
    (centre.0 + radius * maths::sin(angle), centre.1 - radius * maths::cos(angle))
}

/// Places along a line, no further apart than `apart`: what a text should not stand on.
pub(super) fn along(points: &[(f64, f64)], apart: f64) -> Vec<(f64, f64)> {
    let between = |pair: &[(f64, f64)]| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let steps = ((x1 - x0).hypot(y1 - y0) / apart).ceil().clamp(1.0, 400.0) as usize;
        (0..steps)
            .map(move |step| step as f64 / steps as f64)
            .map(move |share| (x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
    };
    points.windows(2).flat_map(between).chain(points.last().copied()).collect()
}

/// The surface.
pub(super) struct Canvas {
    pub(super) width: f64,
    pub(super) height: f64,
    id: String,
    definitions: String,
    body: String,
    boxes: Vec<TextBox>,
    told: Vec<(&'static str, String)>,
    /// Whether something in it can be moved: then it is no mere picture.
    pub(super) is_moved: bool,
}

impl Canvas {
    /// An empty surface; `id` begins the ids of all that is referred to within it.
    pub(super) fn new(id: &str, width: f64, height: f64) -> Self {
        Canvas {
            width,
            height,
            id: id.to_owned(),
            definitions: String::new(),
            body: String::new(),
            boxes: Vec::new(),
            told: Vec::new(),
            is_moved: false,
        }
    }

    pub(super) fn push(&mut self, element: Markup) {
        self.body.push_str(&element.0);
    }

    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        self.push(html! {
            line class=(stroke.role.stroke_class()) x1=(px(from.0)) y1=(px(from.1)) x2=(px(to.0)) y2=(px(to.1))
                stroke=(stroke.role.light()) stroke-width=(stroke.width) stroke-dasharray=[stroke.dashes] {}
        });
    }

    pub(super) fn polyline(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        if points.len() < 2 {
            return;
        }
        let places: Vec<String> = points.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect();
        self.push(html! {
            polyline class=(stroke.role.stroke_class()) points=(places.join(" ")) fill="none"
                stroke=(stroke.role.light()) stroke-width=(stroke.width) stroke-dasharray=[stroke.dashes]
                stroke-linejoin="round" {}
        });
    }

    pub(super) fn rectangle(&mut self, from: (f64, f64), to: (f64, f64), paint: Paint, edge: Option<Stroke>) {
        let (left, top) = (from.0.min(to.0), from.1.min(to.1));
        let (width, height) = ((to.0 - from.0).abs(), (to.1 - from.1).abs());
        let (class, fill, opacity) = match paint {
            Paint::Flat(role, opacity) => {
                (role.fill_class(), role.light().to_owned(), (opacity < 1.0).then_some(opacity))
            }
            Paint::Pattern(name) => (String::new(), format!("url(#{}-{name})", self.id), None),
        };
        let edge_class = edge.map(|edge| edge.role.stroke_class()).unwrap_or_default();
        self.push(html! {
            rect class={ (class) " " (edge_class) } x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height))
                fill=(fill) fill-opacity=[opacity] stroke=[edge.map(|edge| edge.role.light())]
                stroke-width=[edge.map(|edge| edge.width)] {}
        });
    }

    pub(super) fn circle(&mut self, at: (f64, f64), radius: f64, fill: Role, edge: Stroke) {
        self.push(html! {
            circle class={ (fill.fill_class()) " " (edge.role.stroke_class()) } cx=(px(at.0)) cy=(px(at.1))
                r=(px(radius)) fill=(fill.light()) stroke=(edge.role.light()) stroke-width=(edge.width) {}
        });
    }

    /// A point that a page shows when its wind is picked.
    pub(super) fn pick_point(&mut self, at: (f64, f64), point: &str, speed_m_per_s: f64) {
        self.push(html! {
            circle.pick-point cx=(px(at.0)) cy=(px(at.1)) r="7" visibility="hidden" data-point=(point)
                data-speed=(speed_m_per_s) fill=(Role::Measured.light()) stroke=(Role::Ground.light()) stroke-width="2" {}
        });
    }

    /// A circle's line alone.
    pub(super) fn ring(&mut self, at: (f64, f64), radius: f64, stroke: Stroke) {
        self.push(html! {
            circle class=(stroke.role.stroke_class()) cx=(px(at.0)) cy=(px(at.1)) r=(px(radius)) fill="none"
                stroke=(stroke.role.light()) stroke-width=(stroke.width) {}
        });
    }

    /// Text at its place, whatever stands there: for rows whose places are apart by construction.
    pub(super) fn text(&mut self, at: (f64, f64), label: Label) {
        let anchor = match label.anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        self.boxes.push(label.area(at));
        if label.rim {
            let (class, paint) = (Role::Ground.stroke_class(), Role::Ground.light());
            self.push(html! {
                text class=(class) x=(px(at.0)) y=(px(at.1)) text-anchor=[anchor] fill="none" stroke=(paint)
                    stroke-width="6" stroke-linejoin="round" font-weight=[label.strong.then_some("600")]
                    aria-hidden="true" { (label.text) }
            });
        }
        self.push(html! {
            text class=(label.role.fill_class()) x=(px(at.0)) y=(px(at.1)) fill=(label.role.light())
                text-anchor=[anchor] font-weight=[label.strong.then_some("600")] { (label.text) }
        });
    }

    /// Text at the first of the places where it stands clear of all text and within the drawing; `false` where
    /// none is.
    pub(super) fn text_where_free(&mut self, places: &[(f64, f64)], label: Label) -> bool {
        let inside = |area: &TextBox| {
            area.left >= 0.0 && area.right <= self.width && area.top >= 0.0 && area.bottom <= self.height
        };
        let free = places.iter().copied().find(|place| {
            let area = label.area(*place);
            inside(&area) && self.boxes.iter().all(|other| !area.meets(other))
        });
        if let Some(place) = free {
            self.text(place, label);
        }
        free.is_some()
    }

    /// As [`Canvas::text_where_free`], at the place within `frame` that covers the fewest of `points`, which lie on what
    /// is drawn there; of equal ones the first.
    pub(super) fn text_where_clear(
        &mut self,
        places: &[((f64, f64), Anchor)],
        label: Label,
        points: &[(f64, f64)],
        frame: TextBox,
    ) -> bool {
        let mut ranked: Vec<(usize, (f64, f64), Anchor)> = Vec::new();
        for &(at, anchor) in places {
            let label = Label { anchor, ..label };
            let area = label.area(at);
            if !frame.holds(&area) {
                continue;
            }
            // Nothing that follows is clearer than one that covers nothing.
            match points.iter().filter(|point| area.covers(**point)).count() {
                0 if self.text_where_free(&[at], label) => return true,
                0 => {}
                covered => ranked.push((covered, at, anchor)),
            }
        }
        ranked.sort_by_key(|(covered, ..)| *covered);
        ranked.into_iter().any(|(_, at, anchor)| self.text_where_free(&[at], Label { anchor, ..label }))
    }

    /// An area between rings, each closed by itself: what lies within an even number of them is left out.
    pub(super) fn area(&mut self, rings: &[Vec<(f64, f64)>], paint: Option<Paint>, edge: Option<Stroke>) {
        let ring = |ring: &Vec<(f64, f64)>| {
            let places: Vec<String> = ring.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect();
            format!("M{}Z", places.join(" "))
        };
        self.path(&rings.iter().map(ring).collect::<String>(), paint, edge);
    }

    /// A closed band about a centre, between two radii and two directions (radians clockwise from up).
    pub(super) fn band(
        &mut self,
        centre: (f64, f64),
        radii: (f64, f64),
        from_to: (f64, f64),
        paint: Paint,
        edge: Option<Stroke>,
    ) {
        let at = |radius: f64, angle: f64| {
            let (x, y) = polar(centre, radius, angle);
            format!("{},{}", px(x), px(y))
        };
        let ((inner, outer), (from, to)) = (radii, from_to);
        let arc = |radius: f64, sweep: u8, end: f64| {
            format!("A{r},{r} 0 0 {sweep} {}", at(radius, end), r = px(radius))
        };
        let back = if inner > 0.05 { arc(inner, 0, from) } else { String::new() };
        let path = format!("M{}{}L{}{back}Z", at(outer, from), arc(outer, 1, to), at(inner, to));
        self.path(&path, Some(paint), edge);
    }

    fn path(&mut self, path: &str, paint: Option<Paint>, edge: Option<Stroke>) {
        let (class, fill, opacity) = match paint {
            Some(Paint::Flat(role, opacity)) => {
                (role.fill_class(), role.light().to_owned(), (opacity < 1.0).then_some(opacity))
            }
            Some(Paint::Pattern(name)) => (String::new(), format!("url(#{}-{name})", self.id), None),
            None => (String::new(), "none".to_owned(), None),
        };
        let edge_class = edge.map(|edge| edge.role.stroke_class()).unwrap_or_default();
        self.push(html! {
            path class={ (class) " " (edge_class) } d=(path) fill=(fill) fill-opacity=[opacity] fill-rule="evenodd"
                stroke=[edge.map(|edge| edge.role.light())] stroke-width=[edge.map(|edge| edge.width)]
                stroke-dasharray=[edge.and_then(|edge| edge.dashes)] stroke-linejoin="round" {}
        });
    }

    /// Many small dots as one element.
    pub(super) fn dots(&mut self, places: &[(f64, f64)], stroke: Stroke, opacity: f64) {
        if places.is_empty() {
            return;
        }
        let path: String = places.iter().map(|(x, y)| format!("M{},{}h0", px(*x), px(*y))).collect();
        self.push(html! {
            path class=(stroke.role.stroke_class()) d=(path) fill="none" stroke=(stroke.role.light())
                stroke-width=(stroke.width) stroke-opacity=(opacity) stroke-linecap="round" {}
        });
    }

    /// An arrow from its tail to its tip.
    pub(super) fn arrow(&mut self, tail: (f64, f64), tip: (f64, f64), stroke: Stroke) {
        let (dx, dy) = (tip.0 - tail.0, tip.1 - tail.1);
        let length = dx.hypot(dy).max(1e-9);
        let (ux, uy) = (dx / length, dy / length);
        let barb = |side: f64| (tip.0 - 9.0 * ux - side * 5.0 * uy, tip.1 - 9.0 * uy + side * 5.0 * ux);
        self.line(tail, tip, stroke);
        self.polyline(&[barb(1.0), tip, barb(-1.0)], stroke);
    }

    /// What `draw` draws is cut off outside the rectangle.
    pub(super) fn within(&mut self, name: &str, frame: TextBox, draw: impl FnOnce(&mut Canvas)) {
        let id = format!("{}-{name}", self.id);
        let (width, height) = (frame.right - frame.left, frame.bottom - frame.top);
        let clip = html! {
            clipPath id=(id) {
                rect x=(px(frame.left)) y=(px(frame.top)) width=(px(width)) height=(px(height)) {}
            }
        };
        self.definitions.push_str(&clip.0);
        self.body.push_str(&format!("<g clip-path=\"url(#{id})\">"));
        draw(self);
        self.body.push_str("</g>");
    }

    /// Places of the drawing that a page's script needs, as an attribute: places, never quantities.
    pub(super) fn tell(&mut self, name: &'static str, places: &[f64]) {
        let places: Vec<String> = places.iter().map(|place| px(*place)).collect();
        self.told.push((name, places.join(" ")));
    }

    /// What `draw` draws is of a kind that a page may show or hide.
    pub(super) fn of_kind(&mut self, class: &'static str, draw: impl FnOnce(&mut Canvas)) {
        self.body.push_str(&format!("<g class=\"{class}\">"));
        draw(self);
        self.body.push_str("</g>");
    }

    /// What `draw` draws belongs to one drop: a page ties all that belongs to a drop together by its letter.
    pub(super) fn of_drop(&mut self, letter: &str, draw: impl FnOnce(&mut Canvas)) {
        self.body.push_str(&format!("<g class=\"drop\" data-drop=\"{}\">", html! { (letter) }.0));
        draw(self);
        self.body.push_str("</g>");
    }

    /// A pattern of this drawing, repeated every `size` px.
    pub(super) fn pattern(&mut self, name: &str, size: f64, tile: Markup) {
        let id = format!("{}-{name}", self.id);
        let pattern = html! {
            pattern id=(id) width=(size) height=(size) patternUnits="userSpaceOnUse" { (tile) }
        };
        self.definitions.push_str(&pattern.0);
    }

    /// A line of a pattern's tile.
    pub(super) fn tile_line(path: &str, stroke: Stroke) -> Markup {
        html! {
            path class=(stroke.role.stroke_class()) d=(path) stroke=(stroke.role.light()) stroke-width=(stroke.width)
                fill="none" {}
        }
    }

    /// A dot of a pattern's tile.
    pub(super) fn tile_dot(at: (f64, f64), radius: f64, role: Role) -> Markup {
        html! { circle class=(role.fill_class()) cx=(at.0) cy=(at.1) r=(radius) fill=(role.light()) {} }
    }

    /// The finished drawing.
    pub(super) fn finish(self, class: &str, title: &str, description: &str) -> Markup {
        let (title_id, description_id) = (format!("{}-t", self.id), format!("{}-d", self.id));
        let told =
            |name: &str| self.told.iter().find(|(told, _)| *told == name).map(|(_, places)| places.as_str());
        html! {
            svg class={ "fig " (class) } role=(if self.is_moved { "group" } else { "img" }) aria-labelledby={ (title_id) " " (description_id) }
                viewBox={ "0 0 " (px(self.width)) " " (px(self.height)) } font-size=(TEXT_SIZE)
                data-plot=[told("plot")] data-ends=[told("ends")] font-family="Inter, sans-serif" {
                title id=(title_id) { (title) }
                desc id=(description_id) { (description) }
                @if !self.definitions.is_empty() { defs { (PreEscaped(&self.definitions)) } }
                (PreEscaped(&self.body))
            }
        }
    }

    /// Where text stands.
    #[cfg(test)]
    pub(super) fn boxes(&self) -> &[TextBox] {
        &self.boxes
    }
}

/// A place to a tenth of a pixel.
pub(super) fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_goes_where_it_is_free_or_nowhere() {
        let mut canvas = Canvas::new("x", 60.0, 40.0);
        let label = Label::new("abc", Anchor::Start);
        assert!(canvas.text_where_free(&[(0.0, 12.0)], label));
        assert!(!canvas.text_where_free(&[(5.0, 14.0)], label), "it would stand on the first");
        assert!(canvas.text_where_free(&[(5.0, 14.0), (5.0, 30.0)], label));
        assert!(!canvas.text_where_free(&[(50.0, 30.0)], label), "it would leave the drawing");
        assert_eq!(canvas.boxes().len(), 2);
    }

    #[test]
    fn a_cut_text_fits_and_says_so() {
        let cut = shortened("24 % faster than the rest of the drops", 100.0);
        assert!(text_width(&cut) <= 100.0 && cut.ends_with('…'), "{cut}");
        assert_eq!(shortened("short", 100.0), "short");
    }

    #[test]
    fn what_is_drawn_is_escaped() {
        let mut canvas = Canvas::new("x", 60.0, 40.0);
        canvas.text((0.0, 12.0), Label::new("<script>", Anchor::Start));
        let svg = canvas.finish("wide", "a < b", "\"c\"").0;
        assert!(!svg.contains("<script>") && svg.contains("&lt;script&gt;"), "{svg}");
        assert!(svg.contains("a &lt; b"));
    }
}
