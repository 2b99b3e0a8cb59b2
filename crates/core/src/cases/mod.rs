//! Cases: how fast, with what energy, and in what share of flights within the limit.
//!
//! v = √(2 m g/(ρ D)), m/s; E = m v²/2, J; D = η_k Σ Aᵢ + N_k over the k canopies that opened.
//!
//! Two kinds of doubt stay apart (JCGM 101:2008, drawn from the ledger): what is fixed but not known is drawn once
//! a world, what differs between flights once a flight. ln v is a sum of both, so the share of flights within a
//! limit in a given world is a look-up in the sorted flight factors, and falls with the drag area of that world:
//! the share "at worst (95 % sure)" is the share at the 5 % quantile of the worlds' areas. One stream a trial:
//! fewer trials are the first of more, and threads cannot change a digit.
//!
//! Not here: loads at opening, the way over ground.

pub(crate) mod chance;
#[cfg(test)]
pub(crate) mod checks;
pub(crate) mod draws;
pub(crate) mod engine;
mod verdict;
pub(crate) mod work;

pub use chance::chance_of_shut;
pub use draws::{Draws, Standards};
pub use engine::{Engine, draw};
pub use verdict::{Share, Verdict, verdict};
pub use work::work;

use crate::derivation::Derivation;
use crate::drag::Interval;
use crate::finding::Finding;
use crate::full_size::{FullCanopy, FullCluster, FullNet};
use crate::ledger::{Estimate, Trust};
use crate::quantity::{Acceleration, Energy, Velocity};

/// Share of flights that a limit wants where the project does not say.
pub const WANTED_SHARE: f64 = 0.95;
/// Share of failures with a common cause where the project does not say: a judgement of ours.
pub const SHARED_CAUSE: f64 = 0.1;

/// What happens in a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CaseKind {
    /// All canopies open as meant.
    AllOpen,
    /// So many of them stay shut.
    StayShut(usize),
    /// Just so many of them open, however many there are.
    Only(usize),
    /// The main canopies open at the top: as all open at the ground, but a longer way there.
    MainAtTop,
    /// No drogue, then the main canopies at full speed: as all open at the ground, harder at opening.
    NoDrogue,
    /// Opening in the climb: as all open at the ground.
    EarlyOpening,
    /// Out of the bag but not filled.
    NotFilled,
    /// Nothing opens.
    Nothing,
}

/// What a limit is on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitOn {
    /// Descent rate at the ground.
    Rate(Velocity),
    /// Energy at the ground, of this part alone, without drift.
    Energy(Energy),
}

/// A limit of the project.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// On what, and how much.
    pub on: LimitOn,
    /// Share of flights that must be within it, 0 to 1.
    pub wanted_share: f64,
}

/// Chance that one canopy stays shut, and how much of that has a cause common to all.
#[derive(Clone, Debug, PartialEq)]
pub struct Failures {
    /// Chance for one canopy, 0 to 1.
    pub each: f64,
    /// Share of it with a cause common to all (one altimeter, one bag, one bay), 0 to 1.
    pub shared: f64,
    /// Given or assumed.
    pub trust: Trust,
}

/// A case as the project states it.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Its name in the project, `one-shut`.
    pub name: String,
    /// What happens.
    pub kind: CaseKind,
    /// Its limits; none: not judged.
    pub limits: Vec<Limit>,
    /// Its chance where the project gives one; else it follows from [`Failures`] where that can tell.
    pub chance: Option<f64>,
}

/// What comes down, in which air: one part, canopies apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// Name of the part.
    pub part: String,
    /// Mass without canopies, kg.
    pub mass_kg: Estimate,
    /// Air density at the ground, kg/m³.
    pub density_kg_per_m3: Estimate,
    /// Gravity of the place.
    pub gravity: Acceleration,
    /// What differs from flight to flight in ln rate besides mass and air, about 0.
    pub ln_flight_scatter: Estimate,
    /// η_k for every k from 1 to the largest count asked for.
    pub clusters: Vec<FullCluster>,
    /// Net area of the body under k, in the same order.
    pub under: Vec<FullNet>,
    /// ln of the drag area of the bare, tumbling body; `None` where nothing is known of it.
    pub ln_bare: Option<Estimate>,
    /// Drag of a canopy that is out but not filled, as a share of the filled one: ln.
    pub ln_unfilled_share: Estimate,
    /// How canopies fail.
    pub failures: Failures,
}

impl Load {
    /// Whether it holds what so many canopies together need.
    pub fn answers(&self, count: usize) -> bool {
        (1..=self.clusters.len().min(self.under.len())).contains(&count)
    }
}

/// The canopies of one choice: all of one offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Rig {
    /// Name of the offer.
    pub offer: String,
    /// How many.
    pub count: usize,
    /// One of them.
    pub canopy: FullCanopy,
    /// Mass of one, kg.
    pub mass_each_kg: f64,
}

/// How many trials, from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trials {
    /// Number of worlds, and of flights.
    pub count: usize,
    /// Seed of the streams.
    pub seed: u64,
}

impl Trials {
    /// First look: the first trials of [`Trials::FULL`].
    pub const QUICK: Trials = Trials { count: 4_000, seed: 20_240_611 };
    /// For what is printed and signed.
    pub const FULL: Trials = Trials { count: 40_000, ..Trials::QUICK };
}

/// Quantiles over all flights of all worlds: 2.5, 50 and 97.5 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantiles {
    /// 2.5 %.
    pub low: f64,
    /// 50 %.
    pub median: f64,
    /// 97.5 %.
    pub high: f64,
}

/// What would just meet the limit of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeWanted {
    /// Drag area of one filled canopy of this rig, m².
    pub area_each_m2: f64,
    /// Its nominal diameter at the coefficient of the offer, where both are known, m.
    pub nominal_diameter_m: Option<f64>,
}

/// The chance of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Chance {
    /// 0 to 1.
    pub probability: f64,
    /// Given or assumed.
    pub trust: Trust,
}

/// One limit of a case, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// As in the project.
    pub limit: Limit,
    /// Share of flights within it.
    pub share: Share,
    /// The word.
    pub verdict: Verdict,
    /// For `Undecided`: the test that would settle it, a full sentence.
    pub would_settle: Option<String>,
    /// What would just meet it; `None` where no size of these canopies would, or none of them is open.
    pub wanted: Option<SizeWanted>,
}

/// One case, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseResult {
    /// As in the project.
    pub case: Case,
    /// How many canopies are open and filled.
    pub open: usize,
    /// Its chance, where it can be told.
    pub chance: Option<Chance>,
    /// Rate, m/s; `None` where no drag area is known.
    pub rate_m_per_s: Option<Quantiles>,
    /// Energy, J.
    pub energy_j: Option<Quantiles>,
    /// Its limits with the share of flights within each; empty where nothing can be judged.
    pub judged: Vec<Judged>,
    /// The word: the worst over its limits.
    pub verdict: Verdict,
    /// The rate at median inputs and how it came about; the energy from it.
    pub how: Vec<Derivation>,
}

/// All cases of one part under one rig.
#[derive(Clone, Debug, PartialEq)]
pub struct Cases {
    /// In the order given.
    pub results: Vec<CaseResult>,
    /// The judged case that wants the largest canopy.
    pub governing: Option<usize>,
    /// Trials behind the shares.
    pub trials: Trials,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// The interval of the quantiles.
impl From<Quantiles> for Interval {
    fn from(quantiles: Quantiles) -> Self {
        Interval { low: quantiles.low, high: quantiles.high }
    }
}
