//! The winds that are allowed, by where the wind blows FROM: north up, rings of speed, each direction's ranges as bands
//! between both ends, since calm may fail where some wind holds. What is sure is solid, what is so by best estimate is
//! striped: fill is trust, and both are read in grey print.

use silkfall_core::maths;
use silkfall_core::quantity::{Kind, System, Unit};

use super::landings::{RoseDress, Today, WindRange, WindRose, WindRoses, compass};
use super::scale::Linear;
use super::svg::{
    Anchor, Canvas, HAIRLINE, LINE_HEIGHT, Label, Paint, Role, Stroke, TEXT_SIZE, polar, shortened,
};

/// Least speed at the rim, m/s.
const LEAST_RIM: f64 = 4.0;
/// Room about a rose for the names of the directions, px.
const ROOM: f64 = 26.0;
/// Share of a direction's sector that is drawn: neighbours stay apart.
const WIDTH: f64 = 0.92;
const TODAY: &str = "today's wind and its spread";
/// What the fills say, the firmest first.
const KEY: [(&str, Option<Paint>); 3] = [
    ("inside, 95 % sure", Some(SURE)),
    ("inside by best estimate", Some(Paint::Pattern("stripes"))),
    ("too few inside", None),
];
const SURE: Paint = Paint::Flat(Role::Ink, 0.5);

pub(super) fn draw(roses: &WindRoses, id: &str, width: f64, system: System) -> Canvas {
    let rim = Rim::new(roses, system);
    if let [rose] = &roses.roses[..] {
        one(rose, roses, &rim, (id, width), system)
    } else {
        several(roses, &rim, id, width)
    }
}

/// Winds that can be picked, in round steps of the unit: SI value and text.
pub(crate) fn picks(strongest_m_per_s: f64, system: System) -> Vec<(f64, String)> {
    let unit = system.unit(Kind::Speed, strongest_m_per_s);
    let step = match system {
        System::Si => 0.5,
        System::Us => 1.0,
    };
    let most = (unit.from_si(strongest_m_per_s) / step).floor() as usize;
    (0..=most)
        .map(|at| at as f64 * step)
        .map(|value| (value * unit.factor, format!("{value} {}", unit.symbol)))
        .collect()
}

/// One large rose, its key beside it, or below on a phone.
fn one(rose: &WindRose, roses: &WindRoses, rim: &Rim, (id, width): (&str, f64), system: System) -> Canvas {
    let (narrow, bare) = (width < 500.0, roses.dress == RoseDress::Bare);
    let radius = if narrow { (width / 2.0 - ROOM - 4.0).min(130.0) } else { 170.0 };
    let across = radius + ROOM + 8.0;
    let key_height = (LINE_HEIGHT + 6.0) * 6.0 + 8.0;
    let height = 2.0 * (radius + ROOM) + if narrow && !bare { key_height } else { 0.0 };
    let mut canvas = Canvas::new(id, width, height);
    stripes(&mut canvas);
    let centre = (if narrow { width / 2.0 } else { across }, radius + ROOM);
    let face = Face { centre, radius, rim, large: true };
    face.draw(&mut canvas, rose, &roses.today);
    if roses.dress == RoseDress::Pickable {
        for sector in &rose.sectors {
            for (si, _) in picks(roses.strongest_m_per_s, system) {
                let at = polar(centre, rim.share(si) * radius, sector.from_rad);
                canvas.pick_point(at, compass(sector.from_rad), si);
            }
        }
    }
    let (x, y) = if narrow {
        (0.0, 2.0 * (radius + ROOM) + 8.0)
    } else {
        (2.0 * across + 20.0, 0.5 * (height - key_height))
    };
    if !bare {
        key(&mut canvas, (x, y), rose, rim);
    }
    canvas
}

/// Small ones in rows, each under its name.
fn several(roses: &WindRoses, rim: &Rim, id: &str, width: f64) -> Canvas {
    let columns = if width < 500.0 { 2 } else { 4 };
    let cell = width / columns as f64;
    let radius = cell / 2.0 - 16.0;
    let row = 2.0 * radius + 2.0 * LINE_HEIGHT + 34.0;
    let rows = roses.roses.len().div_ceil(columns);
    let mut canvas = Canvas::new(id, width, row * rows as f64);
    stripes(&mut canvas);
    for (at, rose) in roses.roses.iter().enumerate() {
        let (left, top) = (cell * (at % columns) as f64, row * (at / columns) as f64);
        let name = shortened(&rose.label, cell - 8.0);
        canvas.text((left + cell / 2.0, top + TEXT_SIZE), Label::new(&name, Anchor::Middle));
        let centre = (left + cell / 2.0, top + 2.0 * LINE_HEIGHT + radius + 6.0);
        Face { centre, radius, rim, large: false }.draw(&mut canvas, rose, &roses.today);
        let said = format!("rim {}", rim.words(rim.speed()));
        let below = (centre.0, centre.1 + radius + TEXT_SIZE + 5.0);
        canvas.text(below, Label::new(&said, Anchor::Middle).role(Role::Quiet));
    }
    canvas
}

fn stripes(canvas: &mut Canvas) {
    let stroke = Stroke::new(Role::Ink, 1.1);
    canvas.pattern("stripes", 5.0, Canvas::tile_line("M-1,1 l2,-2 M0,5 l5,-5 M4,6 l2,-2", stroke));
}

/// The speeds of the rings.
struct Rim {
    unit: &'static Unit,
    /// In the unit, the rim last.
    rings: Vec<f64>,
}

impl Rim {
    /// Wide enough for every range and for today's wind, and no wider than was flown.
    fn new(roses: &WindRoses, system: System) -> Self {
        let sectors = || roses.roses.iter().flat_map(|rose| &rose.sectors);
        let highest = sectors()
            .flat_map(|sector| &sector.ranges)
            .map(|range| range.high_m_per_s)
            .chain([roses.today.wind.speed_m_per_s, LEAST_RIM])
            .chain(roses.today.speeds_m_per_s.map(|(_, high)| high))
            .fold(0.0, f64::max);
        let unit = system.unit(Kind::Speed, highest);
        let high = unit.from_si(highest);
        let ticks = Linear::new(0.0, high, (0.0, 1.0)).ticks(4);
        let step = ticks.get(1).copied().unwrap_or(high);
        let count = (high / step - 1e-9).ceil() as usize;
        Rim { unit, rings: (1..=count).map(|ring| ring as f64 * step).collect() }
    }

    fn speed(&self) -> f64 {
        self.rings.last().copied().unwrap_or(1.0)
    }

    fn words(&self, ring: f64) -> String {
        format!("{ring} {}", self.unit.symbol)
    }

    /// Share of the radius, 0 to 1.
    fn share(&self, si: f64) -> f64 {
        (self.unit.from_si(si) / self.speed()).clamp(0.0, 1.0)
    }
}

/// Where a rose stands and how large.
struct Face<'a> {
    centre: (f64, f64),
    radius: f64,
    rim: &'a Rim,
    large: bool,
}

impl Face<'_> {
    fn draw(&self, canvas: &mut Canvas, rose: &WindRose, today: &Today) {
        for quarter in 0..4 {
            let direction = f64::from(quarter) * std::f64::consts::FRAC_PI_2;
            canvas.line(self.centre, polar(self.centre, self.radius, direction), HAIRLINE);
        }
        let half = std::f64::consts::PI / rose.sectors.len().max(1) as f64 * WIDTH;
        for sector in &rose.sectors {
            let edges = (sector.from_rad - half, sector.from_rad + half);
            for range in &sector.ranges {
                self.band(canvas, range, edges, Paint::Pattern("stripes"), Some(Stroke::new(Role::Ink, 0.9)));
            }
            for range in &sector.sure {
                // Nothing of the stripes shows through what is sure.
                self.band(canvas, range, edges, Paint::Flat(Role::Ground, 1.0), None);
                self.band(canvas, range, edges, SURE, Some(Stroke::new(Role::Ink, 0.9)));
            }
            for range in sector.ranges.iter().filter(|range| range.reaches_beyond) {
                self.onward(canvas, range, sector.from_rad);
            }
        }
        self.rings(canvas);
        self.today(canvas, today);
        if self.large {
            self.labels(canvas, rose, today);
        } else {
            let north = polar(self.centre, self.radius + 5.0, 0.0);
            canvas.text(north, Label::new("N", Anchor::Middle).role(Role::Quiet));
        }
    }

    fn band(
        &self,
        canvas: &mut Canvas,
        range: &WindRange,
        edges: (f64, f64),
        paint: Paint,
        edge: Option<Stroke>,
    ) {
        let radii = (
            self.rim.share(range.low_m_per_s) * self.radius,
            self.rim.share(range.high_m_per_s) * self.radius,
        );
        canvas.band(self.centre, radii, edges, paint, edge);
    }

    /// A tip outside the end of a band that may go on.
    fn onward(&self, canvas: &mut Canvas, range: &WindRange, from_rad: f64) {
        let end = self.rim.share(range.high_m_per_s) * self.radius;
        let half = if self.large { 0.06 } else { 0.1 };
        let tip = [
            polar(self.centre, end + 2.0, from_rad - half),
            polar(self.centre, end + 7.0, from_rad),
            polar(self.centre, end + 2.0, from_rad + half),
        ];
        canvas.polyline(&tip, Stroke::new(Role::Ink, 1.2));
    }

    fn rings(&self, canvas: &mut Canvas) {
        for ring in &self.rim.rings {
            let radius = ring / self.rim.speed() * self.radius;
            canvas.ring(self.centre, radius, Stroke { role: Role::Quiet, width: 0.7, dashes: None });
        }
    }

    fn labels(&self, canvas: &mut Canvas, rose: &WindRose, today: &Today) {
        for (at, name) in ["N", "NE", "E", "SE", "S", "SW", "W", "NW"].into_iter().enumerate() {
            let direction = at as f64 * std::f64::consts::FRAC_PI_4;
            let (x, y) = polar(self.centre, self.radius + 16.0, direction);
            let label = Label::new(name, Anchor::Middle);
            let label = if at == 0 { label.strong() } else { label.role(Role::Quiet) };
            canvas.text((x, y + 0.36 * TEXT_SIZE), label);
        }
        let between = quietest(rose, today);
        for ring in &self.rim.rings {
            let radius = ring / self.rim.speed() * self.radius;
            let said = self.rim.words(*ring);
            let (x, y) = polar(self.centre, radius - 9.0, between);
            canvas.text_where_free(&[(x, y + 0.36 * TEXT_SIZE)], Label::new(&said, Anchor::Middle).rim());
        }
    }

    fn today(&self, canvas: &mut Canvas, today: &Today) {
        let wind = today.wind;
        let at = |speed: f64, from: f64| polar(self.centre, self.rim.share(speed) * self.radius, from);
        let arm = |(low, high): (f64, f64)| vec![at(low, wind.from_rad), at(high, wind.from_rad)];
        let turn = |(low, high): (f64, f64)| -> Vec<(f64, f64)> {
            (0..=12).map(|step| at(wind.speed_m_per_s, low + (high - low) * f64::from(step) / 12.0)).collect()
        };
        let lines: Vec<_> =
            today.speeds_m_per_s.map(arm).into_iter().chain(today.from_rad.map(turn)).collect();
        let fine = if self.large { 1.0 } else { 0.6 };
        // All rims first: the one line does not cut the other.
        for (role, width) in [(Role::Ground, 5.0), (Role::Ink, 2.0)] {
            for line in &lines {
                canvas.polyline(line, Stroke::new(role, width * fine));
            }
        }
        canvas.circle(
            at(wind.speed_m_per_s, wind.from_rad),
            5.5 * fine,
            Role::Ink,
            Stroke::new(Role::Ground, 1.6),
        );
    }
}

/// Between two directions, where the bands reach least far and today's wind is not.
fn quietest(rose: &WindRose, today: &Today) -> f64 {
    let count = rose.sectors.len();
    let reach = |at: usize| {
        let ranges = &rose.sectors[at % count].ranges;
        ranges.iter().map(|range| range.high_m_per_s).fold(0.0, f64::max)
    };
    let step = std::f64::consts::TAU / count.max(1) as f64;
    let between = |at: usize| rose.sectors[at].from_rad + step / 2.0;
    let near_today = |at: usize| maths::cos(between(at) - today.wind.from_rad) > 0.8;
    (0..count)
        .min_by(|a, b| {
            let cost = |at: usize| (near_today(at), reach(at).max(reach(at + 1)));
            let ((near_a, reach_a), (near_b, reach_b)) = (cost(*a), cost(*b));
            near_a.cmp(&near_b).then(reach_a.total_cmp(&reach_b))
        })
        .map_or(step / 2.0, between)
}

fn key(canvas: &mut Canvas, (x, top): (f64, f64), rose: &WindRose, rim: &Rim) {
    let line = LINE_HEIGHT + 6.0;
    let room = canvas.width - x;
    let text_x = x + 28.0;
    canvas.text((x, top + TEXT_SIZE), Label::new(&shortened(&rose.label, room), Anchor::Start).strong());
    for (at, (words, paint)) in KEY.into_iter().enumerate() {
        let y = top + line * (at + 1) as f64;
        let paint = paint.unwrap_or(Paint::Flat(Role::Ground, 1.0));
        canvas.rectangle((x + 0.6, y + 1.0), (x + 20.0, y + 14.0), paint, Some(Stroke::new(Role::Ink, 0.9)));
        canvas.text((text_x, y + 12.0), Label::new(words, Anchor::Start));
    }
    let y = top + 4.0 * line;
    canvas.line((x, y + 7.5), (x + 21.0, y + 7.5), Stroke::new(Role::Ink, 2.0));
    canvas.circle((x + 10.5, y + 7.5), 5.5, Role::Ink, Stroke::new(Role::Ground, 1.6));
    canvas.text((text_x, y + 12.0), Label::new(TODAY, Anchor::Start));
    let y = top + 5.0 * line;
    let said = format!("where the wind blows from; rim {}", rim.words(rim.speed()));
    canvas.text((x, y + 12.0), Label::new(&shortened(&said, room), Anchor::Start).role(Role::Quiet));
}
