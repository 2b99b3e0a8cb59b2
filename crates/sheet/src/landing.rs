//! Landing, as the sheet holds it: how each part comes down, where, and in which winds it may fly.
//!
//! Places are metres east and north of the pad; a direction is where the wind blows FROM or where a thing lies,
//! degrees clockwise from true north as a [`Number`] of kind angle in radians.

use silkfall_core::cases::Verdict;

use crate::number::Number;

/// Landings of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct LandingSheet {
    /// The part's name.
    pub part: String,
    /// Trials behind places and shares.
    pub trials: usize,
    /// Trials behind the winds that are allowed; 0 where they were not asked for.
    pub trials_for_winds: usize,
    /// From where it falls, through which wind, in which stages: sentences.
    pub says: Vec<String>,
    /// Wanted share of landings inside the field; `None` without a field: then nothing is judged.
    pub wanted_inside: Option<Number>,
    /// Wind at the ground: speed, and where it blows from.
    pub ground_wind: Number,
    /// See [`Self::ground_wind`].
    pub wind_from: Number,
    /// What else changes when another ground wind is asked about.
    pub asked_wind: AskedWind,
    /// Height of the start above the field's ground.
    pub top: Number,
    /// The cases, in the order of the part's.
    pub cases: Vec<CaseLandingSheet>,
    /// All cases by their chances; `None` where no chance is known.
    pub mix: Option<MixSheet>,
    /// The lowest safe height to open the main; `None` where none opens by height.
    pub opening: Option<OpeningSheet>,
    /// What the map is drawn of; `None` at quick effort.
    pub map: Option<MapSheet>,
}

/// What winds above the ground do when another ground wind is asked about.
#[derive(Clone, Debug, PartialEq)]
pub enum AskedWind {
    /// The winds at all heights are scaled as the ground wind is.
    InProportion,
    /// Calm at the ground gives nothing to scale: the asked wind is added at all heights.
    Added,
    /// The ground wind changes, the winds above it less and less up to this height above the field.
    AtTheGround(Number),
}

impl AskedWind {
    /// As files name it.
    pub fn name(&self) -> &'static str {
        match self {
            AskedWind::InProportion => "in proportion",
            AskedWind::Added => "added",
            AskedWind::AtTheGround(_) => "at the ground",
        }
    }
}

/// One case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseLandingSheet {
    /// The case's id.
    pub case: String,
    /// Chance of it, where known, as it enters the mix.
    pub chance: Option<Number>,
    /// Where the chance comes from: a source, or "assumed".
    pub chance_source: Option<String>,
    /// From the start to the ground.
    pub time_aloft: Option<Number>,
    /// Speed down at the ground.
    pub rate: Option<Number>,
    /// Speed over ground there.
    pub over_ground: Option<Number>,
    /// Energy at the ground: all of it.
    pub energy: Option<Number>,
    /// Of the speed down.
    pub energy_down: Option<Number>,
    /// Of the speed over ground.
    pub energy_over_ground: Option<Number>,
    /// Distance from the pad.
    pub drift: Option<Number>,
    /// Where the middle of the landings lies, from the pad.
    pub bearing: Option<Number>,
    /// Share inside the field.
    pub inside: Option<InsideSheet>,
    /// Share over each place to keep out of.
    pub keep_outs: Vec<KeepOutSheet>,
    /// The word for the share inside.
    pub verdict: Verdict,
    /// What contributes most to where it comes down, the largest first.
    pub contributions: Vec<ContributionSheet>,
    /// What is missing, where it could not be worked.
    pub missing: Option<String>,
    /// The fall nearest to the middle of all, for the figure of height against time and drift; empty at quick effort.
    pub track: Vec<TrackPoint>,
}

/// A share of landings.
#[derive(Clone, Debug, PartialEq)]
pub struct InsideSheet {
    /// Best estimate; its interval is what is not known.
    pub share: Number,
    /// 95 % sure that it is at least so much.
    pub at_worst: Number,
    /// Monte Carlo standard error of `share`.
    pub standard_error: f64,
}

/// The share over a place to keep out of.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOutSheet {
    /// Its name in the field file.
    pub name: String,
    /// Share of landings over it.
    pub share: Number,
}

/// What contributes to where it comes down.
#[derive(Clone, Debug, PartialEq)]
pub struct ContributionSheet {
    /// The ledger's id; `None`: what no single input explains.
    pub id: Option<String>,
    /// In words.
    pub meaning: String,
    /// Share of the variance of the place.
    pub share: Number,
}

/// A point of a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// s from the start.
    pub time_s: f64,
    /// m above the field's ground.
    pub height_m: f64,
    /// m east of the pad.
    pub east_m: f64,
    /// m north of it.
    pub north_m: f64,
}

/// All cases by their chances.
#[derive(Clone, Debug, PartialEq)]
pub struct MixSheet {
    /// Share inside the field; `None` without a field.
    pub inside: Option<InsideSheet>,
    /// Share inside with the top of flight fixed, where the start follows the wind.
    pub inside_with_top_fixed: Option<InsideSheet>,
    /// Share over each place to keep out of.
    pub keep_outs: Vec<KeepOutSheet>,
    /// The word.
    pub verdict: Verdict,
    /// How much each failure's chance matters.
    pub sensitivity: Vec<SensitivitySheet>,
    /// Where the pad would better stand, or the top of flight be aimed; `None` where no place is better.
    pub better_pad: Option<BetterPadSheet>,
}

/// The share inside with a failure's chance at nothing and at three times.
#[derive(Clone, Debug, PartialEq)]
pub struct SensitivitySheet {
    /// The case's id.
    pub case: String,
    /// Share inside when it never happens.
    pub never: Number,
    /// Share inside when it happens three times as often.
    pub thrice: Number,
}

/// Where the pad would better stand.
#[derive(Clone, Debug, PartialEq)]
pub struct BetterPadSheet {
    /// How far from where it stands.
    pub distance: Number,
    /// In which direction.
    pub bearing: Number,
    /// Share inside from there.
    pub share: Number,
    /// Share inside from where it stands, of the same landings.
    pub share_now: Number,
}

/// Winds that are allowed, for one part, case and direction.
#[derive(Clone, Debug, PartialEq)]
pub struct GoNoGoSheet {
    /// The part.
    pub part: String,
    /// The case's id; `None`: all cases by their chances.
    pub case: Option<String>,
    /// Where the ground wind blows from.
    pub from: Number,
    /// Its id: part, case or `mix`, degrees, `tube.mix.270`.
    pub id: String,
    /// Ranges of the ground wind in which at least the wanted share lands inside.
    pub ranges: Vec<RangeSheet>,
    /// Ranges in which that is 95 % sure.
    pub sure_ranges: Vec<RangeSheet>,
    /// Speeds flown, m/s.
    pub speeds_m_per_s: Vec<f64>,
    /// Share inside at each.
    pub shares: Vec<f64>,
}

/// A range of ground winds.
#[derive(Clone, Debug, PartialEq)]
pub struct RangeSheet {
    /// From this wind.
    pub low: Number,
    /// To this wind.
    pub high: Number,
    /// The upper end is the strongest wind that was flown, and not where the range ends.
    pub reaches_beyond: bool,
}

/// The lowest safe height to open the main.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningSheet {
    /// The stage.
    pub stage: String,
    /// Height at which it is planned.
    pub planned: Number,
    /// Height lost in filling and settling, 95 of 100 flights.
    pub lost: Number,
    /// Height lost while a failure is noticed and acted on, 95 of 100 flights.
    pub reacting: Number,
    /// Their sum.
    pub lowest: Number,
    /// Drift and share inside over the height of opening.
    pub curve: Vec<OpeningPoint>,
}

/// A height of opening and what it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningPoint {
    /// m above the field's ground.
    pub height_m: f64,
    /// Distance from the pad that 95 of 100 landings do not exceed, m.
    pub drift_m: f64,
    /// Share inside the field, where there is one.
    pub inside: Option<f64>,
    /// Share of flights that have filled and settled above the ground, with the time to react.
    pub in_time: f64,
}

/// What the map is drawn of.
#[derive(Clone, Debug, PartialEq)]
pub struct MapSheet {
    /// The pad on the Earth, degrees north and east, where the project states it.
    pub pad: Option<[f64; 2]>,
    /// The field's edges: outer ring and holes, m.
    pub edges: Vec<RingsSheet>,
    /// Places to keep out of.
    pub keep_outs: Vec<RingsSheet>,
    /// Regions of the mix, or of the only case: share and rings.
    pub regions: Vec<RegionSheet>,
    /// The 99 % region of the case that does worst, by its id.
    pub worst: Option<(String, Vec<RingsSheet>)>,
    /// Some landings: index of the case, m east, m north.
    pub samples: Vec<(usize, [f64; 2])>,
}

/// A polygon: outer ring first, then holes.
#[derive(Clone, Debug, PartialEq)]
pub struct RingsSheet {
    /// Its name, where it has one.
    pub name: Option<String>,
    /// Rings of places, m east and north of the pad, first and last alike.
    pub rings: Vec<Vec<[f64; 2]>>,
}

/// A region that holds a share of landings.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionSheet {
    /// The share.
    pub share: f64,
    /// Density of landings at its edge, 1/m².
    pub level_per_m2: f64,
    /// Its polygons.
    pub polygons: Vec<RingsSheet>,
}
