//! What the figures of landings draw: metres east and north of the pad, directions clockwise from true north.

/// The field with the regions in which it comes down.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldMap {
    /// The field's edges; holes are no part of it.
    pub edges: Vec<Patch>,
    /// Places to keep out of.
    pub keep_outs: Vec<Patch>,
    /// Regions that hold a share of landings, the smallest share first.
    pub regions: Vec<ShareRegion>,
    /// The widest region of the case that does worst, named.
    pub worst: Option<NamedRegion>,
    /// Some landings.
    pub samples_m: Vec<[f64; 2]>,
    /// Where the pad would better stand.
    pub better_pad_m: Option<[f64; 2]>,
    /// The wind at the ground.
    pub wind: GroundWind,
}

/// A polygon.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// Its name, where it has one.
    pub name: Option<String>,
    /// Outer ring first, then holes; m east and north.
    pub rings_m: Vec<Vec<[f64; 2]>>,
}

/// A region that holds a share of landings.
#[derive(Clone, Debug, PartialEq)]
pub struct ShareRegion {
    /// The share, 0 to 1.
    pub share: f64,
    /// Its polygons.
    pub polygons: Vec<Patch>,
}

/// A region under a name.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedRegion {
    /// What stands beside it: "99 % if nothing opens".
    pub label: String,
    /// Its polygons.
    pub polygons: Vec<Patch>,
}

/// The wind at the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundWind {
    /// Where it blows FROM, rad clockwise from north.
    pub from_rad: f64,
    /// m/s.
    pub speed_m_per_s: f64,
}

/// Height against time and against drift, a line a case.
#[derive(Clone, Debug, PartialEq)]
pub struct DescentLines {
    /// The cases.
    pub cases: Vec<DescentLine>,
}

/// One case of [`DescentLines`].
#[derive(Clone, Debug, PartialEq)]
pub struct DescentLine {
    /// Its name.
    pub label: String,
    /// Its fall.
    pub points: Vec<DescentPoint>,
}

/// A point of a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DescentPoint {
    /// s from the start.
    pub time_s: f64,
    /// m above the field.
    pub height_m: f64,
    /// m from the pad.
    pub drift_m: f64,
}

/// Roses of the winds that are allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct WindRoses {
    /// One large one, or several small ones.
    pub roses: Vec<WindRose>,
    /// The strongest wind that was flown, m/s.
    pub strongest_m_per_s: f64,
    /// Today's wind.
    pub today: Today,
    /// What stands beside and in it.
    pub dress: RoseDress,
}

/// What stands beside a rose, and in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoseDress {
    /// Its key.
    Key,
    /// Its key, and a hidden point for each wind that can be picked.
    Pickable,
    /// Nothing: the caption says all.
    Bare,
}

/// One rose.
#[derive(Clone, Debug, PartialEq)]
pub struct WindRose {
    /// Which flights it is for.
    pub label: String,
    /// A sector a direction, evenly round.
    pub sectors: Vec<RoseSector>,
}

/// The allowed ground winds of one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct RoseSector {
    /// Where the wind blows FROM, rad clockwise from north.
    pub from_rad: f64,
    /// Ranges by best estimate.
    pub ranges: Vec<WindRange>,
    /// Ranges that are 95 % sure.
    pub sure: Vec<WindRange>,
}

/// A range of ground winds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindRange {
    /// m/s.
    pub low_m_per_s: f64,
    /// m/s.
    pub high_m_per_s: f64,
    /// It ends where flying ended, and may go on.
    pub reaches_beyond: bool,
}

/// Today's wind at the ground with its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Today {
    /// The wind.
    pub wind: GroundWind,
    /// Between these speeds in 95 of 100 flights, m/s.
    pub speeds_m_per_s: Option<(f64, f64)>,
    /// Between these directions in 95 of 100 flights, rad; the first may be below 0.
    pub from_rad: Option<(f64, f64)>,
}

/// What the height of opening costs.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningCurve {
    /// By height, rising.
    pub points: Vec<OpeningMark>,
    /// The lowest safe height, m.
    pub lowest_m: f64,
    /// The height as planned, m.
    pub planned_m: f64,
}

/// One height of opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningMark {
    /// m above the field.
    pub height_m: f64,
    /// 95 of 100 landings lie no further from the pad, m.
    pub drift_m: f64,
    /// Share of flights with room to react, fill and settle.
    pub in_time: f64,
    /// Share inside the field, where there is one.
    pub inside: Option<f64>,
}

/// One of the 16 points of the compass: "N", "NNE" and so on.
pub(crate) fn compass(direction_rad: f64) -> &'static str {
    const POINTS: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    let turns = direction_rad / std::f64::consts::TAU;
    let at = (turns.rem_euclid(1.0) * POINTS.len() as f64).round() as usize;
    POINTS[at % POINTS.len()]
}
