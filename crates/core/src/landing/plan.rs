//! What falls, from where, through which wind, onto which field: one part under one choice of canopies.
//!
//! Every value is an [`Estimate`] over the ledger, so that what rests on it is drawn from the same entries as the rates
//! and the drag areas. Frames: x east, y north, z up, metres from the pad at the field's ground; angles are
//! directions the wind blows FROM or a thing moves TOWARDS, radians clockwise from true north.

use uom::si::angle::radian;
use uom::si::velocity::meter_per_second;

use super::Column;
use crate::cases::{Case, Load, Rig};
use crate::geo::Field;
use crate::ledger::Estimate;
use crate::quantity::{Angle, Velocity};
use crate::wind::{Profile, from_of, toward};

/// Share of landings wanted inside the field where the project does not say: a judgement of ours.
pub const WANTED_INSIDE: f64 = 0.99;
/// Everything a landing follows from.
#[derive(Clone, Copy, Debug)]
pub struct Plan<'a> {
    /// Mass, air, clusters and body of the part.
    pub load: &'a Load,
    /// Its canopies.
    pub rig: &'a Rig,
    /// What may happen.
    pub cases: &'a [Case],
    /// Density and gravity by height.
    pub column: &'a Column,
    /// What opens, in order.
    pub stages: &'a [PlannedStage],
    /// Where the fall begins.
    pub start: &'a StartLaw,
    /// The day's wind.
    pub wind: &'a DayWind,
    /// Where it may come down; without one there is no verdict.
    pub field: Option<&'a Field>,
    /// Share of landings wanted inside the field, 0 to 1.
    pub wanted_inside: f64,
    /// Time from a failure of the main to an action, s.
    pub reaction_s: f64,
}

/// One stage of the fall.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedStage {
    /// Its name in the project.
    pub name: String,
    /// What brakes in it.
    pub brakes: Brakes,
    /// When it begins.
    pub begins: PlannedBegin,
    /// How long it fills.
    pub fill: PlannedFill,
    /// Exponent of the growth of its drag area while it fills.
    pub growth: f64,
    /// The stage before goes on braking beside it.
    pub keeps_last: bool,
    /// What holds its canopies small at first.
    pub reefing: Option<Reefing>,
}

impl PlannedStage {
    /// What its filling is drawn from, beside the exponent and the times.
    pub fn filled_over(&self) -> impl Iterator<Item = &Estimate> {
        let fill = match &self.fill {
            PlannedFill::Time { s } => s,
            PlannedFill::Diameters { count, .. } => count,
        };
        let held = self
            .reefing
            .iter()
            .flat_map(|held| [Some(&held.growth), held.first.as_ref(), held.second.as_ref()]);
        [Some(fill)].into_iter().chain(held).flatten()
    }
}

/// What holds canopies small at first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holds {
    /// A line through rings round the mouth, cut after a time.
    Line,
    /// A slider on the suspension lines, which comes down by itself.
    Slider,
}

/// What holds the canopies of a stage small at first, and how small.
#[derive(Clone, Debug, PartialEq)]
pub struct Reefing {
    /// A line or a slider.
    pub by: Holds,
    /// Of the drag area, while held.
    pub share: Estimate,
    /// A line: from line stretch to the cut; a slider: how long it comes down, s.
    pub held_s: Estimate,
    /// Exponent of the growth of the held part.
    pub growth: Estimate,
    /// Diameters that the held part fills over, where not the stage's own.
    pub first: Option<Estimate>,
    /// Diameters that the rest fills over, where not the stage's own.
    pub second: Option<Estimate>,
}

impl Reefing {
    /// A share as drawn: a hundredth still fills, and what is let go must be more.
    pub(crate) fn share(drawn: f64) -> f64 {
        drawn.clamp(0.01, 0.95)
    }
}

/// What brakes in a stage.
#[derive(Clone, Debug, PartialEq)]
pub enum Brakes {
    /// The canopies of the choice, so many as the case leaves open, with the body under them.
    Canopies,
    /// A canopy of its own: ln of its drag area, m². The bare body adds its own, where it is known.
    Own {
        /// ln D, D in m².
        ln_area: Estimate,
    },
}

/// When a stage begins.
#[derive(Clone, Debug, PartialEq)]
pub enum PlannedBegin {
    /// With the fall.
    Start,
    /// So many seconds after the fall begins.
    After {
        /// s.
        s: Estimate,
    },
    /// On passing below a height above the field's ground.
    Below {
        /// m.
        height_m: Estimate,
    },
}

/// How long a stage fills.
#[derive(Clone, Debug, PartialEq)]
pub enum PlannedFill {
    /// A time.
    Time {
        /// s.
        s: Estimate,
    },
    /// A way of so many diameters: t_f = n D₀ / v, v the speed through the air at its beginning.
    Diameters {
        /// n.
        count: Estimate,
        /// D₀, m.
        diameter_m: f64,
    },
}

/// Where the fall begins: at the top of the flight. The climb is not worked out here.
#[derive(Clone, Debug, PartialEq)]
pub struct StartLaw {
    /// Height above the field's ground in calm, m.
    pub top_m: Estimate,
    /// East of the pad in calm, m.
    pub east_m: Estimate,
    /// North of the pad in calm, m.
    pub north_m: Estimate,
    /// Speed over ground in calm, m/s.
    pub speed_m_per_s: Estimate,
    /// Where it goes.
    pub towards: Towards,
    /// What the ground wind changes.
    pub lean: Lean,
}

/// Direction of the speed over ground at the start.
#[derive(Clone, Debug, PartialEq)]
pub enum Towards {
    /// A direction, rad from north.
    Fixed(Estimate),
    /// Against the ground wind.
    IntoWind,
    /// Any direction alike.
    Any,
}

/// What the ground wind does to the start: a climbing rocket turns into it.
#[derive(Clone, Debug, PartialEq)]
pub enum Lean {
    /// Nothing is said: the top of flight is taken as fixed.
    NotStated,
    /// In proportion to the ground wind.
    Linear {
        /// Metres upwind of the calm place per m/s of ground wind, s.
        upwind_s: Estimate,
        /// Metres added to the top per m/s, s: usually negative.
        top_s: Estimate,
        /// m/s added to the speed over ground per m/s.
        speed: Estimate,
    },
    /// By a table over the ground wind, linear between rows, held beyond them.
    Table(Vec<LeanRow>),
}

/// A row of that table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeanRow {
    /// Ground wind, m/s.
    pub wind_m_per_s: f64,
    /// Upwind of the pad, m.
    pub upwind_m: f64,
    /// Height of the top above the field's ground, m.
    pub top_m: f64,
    /// Speed over ground at the top, m/s.
    pub speed_m_per_s: f64,
}

/// The wind of the day with its doubt.
#[derive(Clone, Debug, PartialEq)]
pub struct DayWind {
    /// Best value by height.
    pub profile: Profile,
    /// Height at which the ground wind is read, m.
    pub ground_height_m: f64,
    /// ln of a factor on all speeds, about 0.
    pub ln_speed_factor: Estimate,
    /// Turn of all directions, rad clockwise, about 0.
    pub turn_rad: Estimate,
    /// Standard deviation of a component at a level beside those two, m/s.
    pub level_m_per_s: f64,
    /// Height over which that is correlated, m.
    pub level_correlation_m: f64,
    /// Rising air, m/s.
    pub rising_m_per_s: Estimate,
    /// Whether gusts are added on the way down.
    pub gusts: Gusts,
    /// What another ground wind does to the wind above.
    pub scaled: Scaled,
}

/// Gusts on the way down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gusts {
    /// None: the mean wind alone.
    Off,
    /// Dryden's, the low-altitude form.
    Dryden,
}

/// What is scaled when another ground wind is asked about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scaled {
    /// The wind at all heights alike.
    All,
    /// The ground wind, its change fading to nothing at a height.
    Ground {
        /// m above the field's ground.
        fades_by_m: f64,
    },
}

/// The ground wind asked about, in place of the day's own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherWind {
    /// Speed at the ground, m/s.
    pub speed_m_per_s: f64,
    /// Where it blows from, rad from north.
    pub from_rad: f64,
}

impl DayWind {
    /// Ground wind: speed, m/s, and where it blows from, rad from north; from 0 in calm.
    pub fn ground(&self) -> OtherWind {
        let (from, speed) = from_of(self.profile.at(self.ground_height_m));
        OtherWind {
            speed_m_per_s: speed.get::<meter_per_second>(),
            from_rad: from.map_or(0.0, |from| from.get::<radian>()),
        }
    }

    /// The wind by height when the ground wind is another one: turned as a whole, and scaled as [`Scaled`] says. In calm at
    /// the ground there is no shape to scale: the asked wind is then added alike at all heights.
    pub fn with_ground(&self, other: OtherWind) -> Profile {
        let own = self.ground();
        let turned = self.profile.turned(Angle::new::<radian>(other.from_rad - own.from_rad));
        let asked = toward(
            Angle::new::<radian>(other.from_rad),
            Velocity::new::<meter_per_second>(other.speed_m_per_s - own.speed_m_per_s),
        );
        match self.scaled {
            Scaled::All if own.speed_m_per_s > 0.0 => turned.scaled(other.speed_m_per_s / own.speed_m_per_s),
            Scaled::All => turned.plus(&Profile::uniform(asked)),
            // Where the height is none, nothing fades: the wind is the day's, turned.
            Scaled::Ground { fades_by_m } => Profile::fading(fades_by_m).map_or(turned.clone(), |unit| {
                // The unit goes towards east: it blows from 270°.
                let from_west = Angle::new::<radian>(other.from_rad - 1.5 * std::f64::consts::PI);
                let more = other.speed_m_per_s - own.speed_m_per_s;
                turned.plus(&unit.scaled(more).turned(from_west))
            }),
        }
    }
}

/// The row at a ground wind: linear between rows, held beyond them; `None` of an empty table.
pub(super) fn at_wind(rows: &[LeanRow], wind_m_per_s: f64) -> Option<LeanRow> {
    let above = rows.partition_point(|row| row.wind_m_per_s <= wind_m_per_s);
    let low = rows.get(above.saturating_sub(1))?;
    let high = rows.get(above).unwrap_or(low);
    let width = high.wind_m_per_s - low.wind_m_per_s;
    let share = if width > 0.0 { ((wind_m_per_s - low.wind_m_per_s) / width).clamp(0.0, 1.0) } else { 0.0 };
    let between = |low: f64, high: f64| low + share * (high - low);
    Some(LeanRow {
        wind_m_per_s,
        upwind_m: between(low.upwind_m, high.upwind_m),
        top_m: between(low.top_m, high.top_m),
        speed_m_per_s: between(low.speed_m_per_s, high.speed_m_per_s),
    })
}
