//! How it comes down: one fall from its start to the ground, in stages, through the day's air and wind.
//!
//! A point of mass m with the drag area D, in air of density ρ(z) that moves with the wind W(z) and rises by u:
//!
//! dv/dt = −k σ(z) |w| w − g(z) e_z,   w = v − W(z) − u e_z,   k = ρ_ground D/(2 m) in 1/m,   σ = ρ(z)/ρ_ground.
//!
//! A fall follows from k alone, not from mass and area apart; its rate is √(g/(k σ)). While a canopy fills, k goes
//! from what it was to what it will be with (t/t_f)^j. x is east, y north, z up, in metres from the pad at the ground
//! of the field; wind is where the air goes to; velocities are over ground.
//!
//! - [`Column`]: density and gravity by height;
//! - [`reference()`]: the equation step by step to a tolerance, with every kink met on its instant;
//! - [`quick()`]: the same to decimetres in some microseconds, knowing that a fall is near its rate nearly all the time;
//! - [`track()`]: the way down as points, for a figure;
//! - [`quick_in_gusts`]: with turbulence.
//!
//! Source: Newton's second law with drag by the square of the speed. Assumed: drag along the way through the air (no
//! glide, no lift), k that does not depend on the speed, canopy and load as one point, a flat earth that does not turn
//! (to 15 km and some hours: metres), air that the canopy carries left out (it slows the settling, not the rate).

#[cfg(test)]
mod checks;
mod column;
mod contributions;
mod dormand_prince;
mod falls;
mod gusts;
mod inputs;
mod judged;
mod mix;
mod motion;
mod opening;
mod pad;
mod plan;
mod quasi_steady;
mod quick;
mod reference;
mod side_by_side;
mod steps;
mod track;
mod winds;
mod work;

use thiserror::Error;

pub use column::{Column, GroundAir, STANDARD_LAPSE_K_PER_M};
pub use contributions::Contribution;
pub use falls::{Fall, Falls};
pub use gusts::quick_in_gusts;
pub use mix::{Sensitivity, Weights};
pub use opening::{AtHeight, Opening};
pub use pad::BetterPad;
pub use plan::{
    Brakes, DayWind, Gusts, Holds, Lean, LeanRow, OtherWind, Plan, PlannedBegin, PlannedFill, PlannedStage,
    Reefing, Scaled, StartLaw, Towards, WANTED_INSIDE,
};
pub use quick::quick;
pub use reference::reference;
pub use track::{Point, track};
pub use winds::{Allowed, SPEEDS_M_PER_S};
pub use work::{CaseLanding, Depth, FOR_WINDS, FULL, Landing, Mix, QUICK, REGION_SHARES, Summary, work};

use crate::wind::Profile;

/// The most stages that a fall may have.
pub const MOST_STAGES: usize = 6;
/// Growth of the drag area while a canopy fills, (t/t_f)^2: from memory of Knacke, Parachute Recovery Systems Design Manual
/// (1992), for solid cloth.
pub const FILL_GROWTH: f64 = 2.0;
/// A fall that lasts longer is given up, s: it hangs in rising air.
pub const LONGEST_FALL_S: f64 = 10_800.0;

/// Where and how fast a fall begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// East and north of the pad and height above its ground, m.
    pub place_m: [f64; 3],
    /// Over ground, east, north, up, m/s.
    pub velocity_m_per_s: [f64; 3],
}

/// What brakes from some moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// When.
    pub begins: Begins,
    /// ρ_ground D/(2 m) when filled, of all that brakes then, 1/m.
    pub k_per_m: f64,
    /// How it fills; where it is held small at first, how the rest does.
    pub fill: Fill,
    /// What it brakes with until it is let go.
    pub held: Option<Held>,
}

/// A stage that is held small at first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// As the stage's own when the held part is filled, 1/m.
    pub k_per_m: f64,
    /// How the held part fills.
    pub fill: Fill,
    /// From the begin until it is let go, s; never before the held part is filled.
    pub held_s: f64,
}

impl Stage {
    /// An unused place in a list of fixed length.
    pub const NONE: Stage = Stage {
        begins: Begins::Start,
        k_per_m: 0.0,
        fill: Fill::Time { s: 0.0, growth: FILL_GROWTH },
        held: None,
    };
}

/// When a stage begins. Each stage waits for its own moment; one that begins ends all that stand before it in the list,
/// and those of them that had not begun never do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Begins {
    /// With the fall.
    Start,
    /// So long after the start.
    After {
        /// Seconds.
        s: f64,
    },
    /// At or below a height, once it no longer rises.
    Below {
        /// Above the field's ground, m.
        height_m: f64,
    },
}

/// How a canopy fills: k grows from the old to the new with (t/t_f)^growth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// In a time.
    Time {
        /// t_f, s; 0: at once.
        s: f64,
        /// Exponent, above 0.
        growth: f64,
    },
    /// Over a distance through the air: t_f is that distance over the speed through the air at the begin, which is
    /// taken for no less than √(g · distance/2), the mean speed of a fall over it from rest.
    Distance {
        /// Nominal diameters to fill times nominal diameter, m; 0: at once.
        diameters_m: f64,
        /// Exponent, above 0.
        growth: f64,
    },
}

/// One fall.
#[derive(Clone, Copy, Debug)]
pub struct Descent<'a> {
    /// Its start.
    pub start: Start,
    /// ρ_ground D/(2 m) before any stage, 1/m; 0 where nothing brakes.
    pub bare_k_per_m: f64,
    /// In the order in which they are meant to begin; at most [`MOST_STAGES`].
    pub stages: &'a [Stage],
    /// Density and gravity.
    pub column: &'a Column,
    /// Wind by height.
    pub wind: &'a Profile,
    /// Rise of the air everywhere, m/s; negative where it sinks.
    pub updraft_m_per_s: f64,
}

/// A stage that began.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Begun {
    /// Its index in the list of the fall.
    pub stage: usize,
    /// After the start, s.
    pub time_s: f64,
    /// Above the field's ground, m.
    pub height_m: f64,
    /// Speed through the air, m/s.
    pub airspeed_m_per_s: f64,
    /// Height at which it was filled, m; `None`: the ground or another stage was first.
    pub filled_height_m: Option<f64>,
}

/// How it came down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Landed {
    /// After the start, s.
    pub time_s: f64,
    /// East and north of the pad, m.
    pub place_m: [f64; 2],
    /// Over ground, east, north, up, m/s.
    pub velocity_m_per_s: [f64; 3],
    begun: [Begun; MOST_STAGES],
    count: usize,
}

impl Landed {
    /// The stages that began, in the order in which they did.
    pub fn stages(&self) -> &[Begun] {
        &self.begun[..self.count]
    }
}

/// Why a fall has no landing.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum NoLanding {
    /// It begins at the ground or below.
    #[error("a fall that begins {height_m:.1} m above the field's ground; it has to begin above it")]
    NotAboveGround {
        /// Height of the start, m.
        height_m: f64,
    },
    /// More stages than are kept.
    #[error("a fall of {count} stages; at most {most} are followed", most = MOST_STAGES)]
    TooManyStages {
        /// Number of stages.
        count: usize,
    },
    /// A k, a time, a growth or a speed that is none.
    #[error("a fall whose {what} is not a number it can have")]
    NotANumber {
        /// Which.
        what: &'static str,
    },
    /// The air rises as fast as it sinks, or so nearly that it does not come down in hours.
    #[error(
        "a fall that is still {height_m:.0} m up after {after_s:.0} s: the air rises about as fast as it sinks"
    )]
    StaysUp {
        /// Height then, m.
        height_m: f64,
        /// After the start, s.
        after_s: f64,
    },
}
