//! Opening loads: what canopies and cords pull with between the bag and steady descent.
//!
//! - [`horizontal_peak`]: the horizontal closed form and where it may be used;
//! - [`Motion`]: the opening integrated with gravity, finite mass and air, one canopy or several with their lag;
//! - [`Reefed`]: an opening in two steps, held small by a line or a slider and then let go;
//! - [`Parting`]: snatch of two masses at the ends of a cord, and the load on the rim it leaves over;
//! - [`inflation`]: what is remembered of n, j and C_X by shape;
//! - [`work()`]: all of a part, case by case, by draws, and what figures show of it; [`hardest`]: what may be the hardest of it.
//!
//! Loads are forces in newton on one canopy's lines and on the riser of all. Strength is checked at the 95th percentile.

#[cfg(test)]
mod checks;
mod filling;
mod handbook;
mod pflanz;
mod reefing;
mod snatch;
mod work;

pub use filling::{Growth, Moment, Motion, Opened, Ramp, STEPS};
pub use handbook::{
    FACTOR_SOURCE, FILL_SOURCE, GROWTH_SOURCE, HELD_GROWTH, Inflation, in_steps, inflation, remembered,
};
pub use pflanz::{
    GRAVITY_MATTERS, HorizontalInputs, Peak, ballistic_parameter, derive_horizontal_peak,
    fill_constant_from_feet, horizontal_peak, least_fill_speed_m_per_s,
};
pub use reefing::{LINE_OVER_CIRCLE, Over, Reefed, Slung, Step, Steps, derive_reefing_line, reefing_line_m};
pub use snatch::{Cord, Parting, derive_edge_load, edge_load_n, reduced_mass_kg, snatch_energy_j, snatch_n};
pub use work::{
    Asked, DRAWS, Filling, Inputs, Lag, Loads, Sweep, SweepRow, Thrown, Trace, canopies, hardest, work,
};

/// What pulls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Event {
    /// The end of a cord or of the lines is reached.
    Snatch,
    /// The canopy fills.
    Opening,
}

impl Event {
    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            Event::Snatch => "snatch",
            Event::Opening => "opening",
        }
    }
}

/// How a load was worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Stepped with gravity, finite mass and air.
    Integrated,
    /// The horizontal closed form.
    HorizontalClosedForm,
    /// Energy of a cord.
    Energy,
}

impl Method {
    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            Method::Integrated => "integrated with gravity",
            Method::HorizontalClosedForm => "horizontal closed form",
            Method::Energy => "energy of the cord",
        }
    }
}

/// Quantiles of a load or a speed over what is not known and what differs from flight to flight; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantiles {
    /// 2.5 %.
    pub low: f64,
    /// 50 %.
    pub median: f64,
    /// 95 %: strength is checked here.
    pub p95: f64,
    /// 97.5 %.
    pub high: f64,
    /// Standard error of `p95` from the number of draws.
    pub standard_error: f64,
}

/// Peaks are stepped to a part in a thousand.
const OF_STEPS: f64 = 1e-3;

impl Quantiles {
    /// Half-width of the 95 % interval of `p95`: from the number of draws, and no less than the steps are good for.
    pub fn half_width_of_p95(&self) -> f64 {
        1.96 * self.standard_error.max(OF_STEPS * self.p95)
    }

    /// Those of a part of the same.
    #[must_use]
    pub fn times(&self, part: f64) -> Quantiles {
        let Quantiles { low, median, p95, high, standard_error } = *self;
        Quantiles {
            low: part * low,
            median: part * median,
            p95: part * p95,
            high: part * high,
            standard_error: part * standard_error,
        }
    }
}

/// A share of what several canopies pull together, stated of the hardest loaded of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StatedShare {
    /// Of all together, 0 to 1.
    pub share: f64,
    /// What that makes on one, 95 of 100 openings below, N.
    pub p95_n: f64,
    /// Whether it is more than one canopy that catches the whole mass; else it is not used.
    pub used: bool,
}

/// How hard, at a speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// On the lines of the hardest loaded canopy, N.
    pub on_one_canopy_n: Quantiles,
    /// On the riser of all together, N.
    pub on_all_n: Quantiles,
    /// Speed at line stretch, or that at which what is thrown out parts, m/s.
    pub speed_m_per_s: Quantiles,
    /// How it was worked out.
    pub method: Method,
    /// Of an opening in two steps, each of them.
    pub steps: Option<InSteps>,
}

/// How hard in each of two steps, on one canopy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InSteps {
    /// While held, N.
    pub held_n: Quantiles,
    /// After, N.
    pub after_n: Quantiles,
    /// Speed when it is let go, m/s.
    pub let_go_m_per_s: Quantiles,
    /// Fallen from line stretch until all is open, m.
    pub lost_m: Quantiles,
}

/// The largest pull of one event.
#[derive(Clone, Debug, PartialEq)]
pub struct PeakLoad {
    /// Name of the case in the project.
    pub case: String,
    /// The stage's own name; of the chosen canopies `each` (all fill together) and `leading` (one before the others, which
    /// catches the whole mass).
    pub canopy: String,
    /// What pulls.
    pub event: Event,
    /// At the design speed.
    pub design: Pull,
    /// At the worst of the speeds asked about, where one is worse than the design speed: what was asked (`2 s late`), and the pull.
    pub worst: Option<(String, Pull)>,
    /// What became of a stated share of one canopy; of the leading one only.
    pub stated_share: Option<StatedShare>,
    /// Of a snatch: the masses and the cord of one canopy at their best values.
    pub parting: Option<Parting>,
    /// The mass that is shaken, kg: pull over it is the shock of the part.
    pub mass_kg: f64,
    /// Whether it rests on a value from memory.
    pub rests_on_memory: bool,
}

impl PeakLoad {
    /// What has to be borne: the worst asked, else the design.
    pub fn to_bear(&self) -> &Pull {
        self.worst.as_ref().map_or(&self.design, |(_, pull)| pull)
    }
}

/// A row of the table of loads: case × canopy × event.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Name of the case in the project.
    pub case: String,
    /// As [`PeakLoad::canopy`].
    pub canopy: String,
    /// What pulls.
    pub event: Event,
    /// The load, or why there is none.
    pub load: Result<PeakLoad, NoLoad>,
}

/// Why a row has no load.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoLoad {
    /// It does not happen in this case: a full sentence.
    DoesNotApply(String),
    /// Something is not stated: what, a full sentence.
    NotKnown(String),
}
