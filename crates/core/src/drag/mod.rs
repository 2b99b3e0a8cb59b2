//! Drag areas: what the tests say about each canopy, about clusters of them, and about the body below.
//!
//! Each test gives ln D, D = 2 m g/(ρ v²) in m² ([`of_fall`]) or D = F/q ([`of_force`]), with its parts by ledger
//! entry. Over all tests of one set of hardware (the model's, or the real one's)
//!
//! D(n) = η_n Σ Aᵢ + N,   N = (1 − κ) B,   κ = κ_n (x_n/x)^(2/3)
//!
//! Aᵢ: drag area of canopy i, m²: about the mean of its kind, alike canopies differing by a random effect (prior
//! 2 %, a judgement of ours). η_n: cluster factor, η₁ = 1. B: drag area of the body alone, m². κ: share of it that
//! the canopies lose in its wake, 0 to 1. x: distance from body to skirt (riser and lines), m; x_n the shortest
//! tested under n. Far behind a body the deficit of an axisymmetric turbulent wake falls as x^(−2/3) (textbook
//! law, from memory), which is why κ does.
//!
//! Weighted least squares with the full covariance of the ledger, N, B ≥ 0 and 0 ≤ κ ≤ 1 kept by an active set.
//! Which factors the data tell apart is read from the rank of the information, before any handbook range is let
//! in; a range enters only for a cluster factor the data do not tell, and never pulls at one they do. What is
//! not told apart is said so, with the test that would tell ([`NotTold`]).
//!
//! Not here: swing and glide, added air, the change of a coefficient with the rate.

#[cfg(test)]
mod checks;
mod fit;
mod handbook;
pub(crate) mod intervals;
mod parameters;
mod reduce;
mod said;
mod solve;

pub use fit::fit;
pub(crate) use fit::{cluster_entry, cluster_id};
pub use handbook::{CLUSTER_SOURCE, cylinder_crosswise, cylinder_endwise, published_cluster_factor};
pub use intervals::Interval;
pub use reduce::{Fall, Pull, of_fall, of_force};

use crate::derivation::{Derivation, How};
use crate::finding::Finding;
use crate::ledger::{Estimate, Trust};

/// Standard deviation of ln A between canopies sewn alike: a judgement of ours.
pub const ALIKE_CANOPIES_SD: f64 = 0.02;

/// One real canopy: its kind (all sewn alike) and which of them it is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Canopy {
    /// Name of the kind.
    pub kind: String,
    /// Which one of that kind.
    pub serial: String,
}

/// What hangs below the canopies in a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Below {
    /// A weight so small that its own drag is left out.
    Weight,
    /// The body whose drag counts, this far below the skirt, m: riser and lines. `None` where neither is stated:
    /// all such tests count as one distance.
    Body {
        /// From body to skirt, m.
        distance_m: Option<f64>,
    },
}

/// What came down, or was pulled, in one test.
#[derive(Clone, Debug, PartialEq)]
pub struct Configuration {
    /// Open canopies; none where the body fell alone.
    pub canopies: Vec<Canopy>,
    /// What hung below them.
    pub below: Below,
}

impl Configuration {
    /// Whether anything of it has a drag area.
    fn brakes(&self) -> bool {
        !self.canopies.is_empty() || self.below != Below::Weight
    }
}

/// One test, reduced to its drag area.
#[derive(Clone, Debug, PartialEq)]
pub struct TestArea {
    /// Name of the test in the project.
    pub name: String,
    /// What came down.
    pub configuration: Configuration,
    /// ln D, D in m².
    pub ln_area: Estimate,
    /// How D came about.
    pub how: Derivation,
}

/// A factor of the fit, with its 95 % interval.
#[derive(Clone, Debug, PartialEq)]
pub struct Factor {
    /// Best value inside the allowed range: m² or a pure number.
    pub value: f64,
    /// 95 % interval, cut to the allowed range.
    pub interval: Interval,
    /// Coordinate of `estimate`.
    pub scale: Scale,
    /// In that coordinate, before the cut, with parts by ledger entry: what is drawn from.
    pub estimate: Estimate,
    /// Measured, handbook or assumed.
    pub trust: Trust,
    /// How it came about.
    pub how: How,
}

/// The coordinate in which an estimate is near normal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Natural logarithm of the factor.
    Log,
    /// The factor itself.
    Linear,
}

/// What is known of a factor.
#[derive(Clone, Debug, PartialEq)]
pub enum Known {
    /// Told by the tests, or where they are silent by the handbook (see its trust).
    Told(Factor),
    /// The tests do not tell it apart.
    NotTold(NotTold),
}

impl Known {
    /// The factor, where it is known.
    pub fn factor(&self) -> Option<&Factor> {
        match self {
            Known::Told(factor) => Some(factor),
            Known::NotTold(_) => None,
        }
    }
}

/// Why a factor is not known, and what would change that.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotTold {
    /// What is mixed with what, a full sentence.
    pub reason: String,
    /// The test that would tell, a full sentence.
    pub would_tell: String,
}

/// A kind of canopy.
#[derive(Clone, Debug, PartialEq)]
pub struct KindArea {
    /// Name of the kind.
    pub kind: String,
    /// Mean drag area of one, m².
    pub mean: Known,
    /// Each tested one by serial, m²; in the order of the serials.
    pub each: Vec<(String, Known)>,
}

/// The cluster factor of one count.
#[derive(Clone, Debug, PartialEq)]
pub struct Cluster {
    /// Number of canopies, at least 2.
    pub count: usize,
    /// η_n.
    pub factor: Known,
    /// The range remembered of the handbook.
    pub handbook: Option<crate::shapes::Range>,
}

/// What the body adds under `count` canopies of one kind, at one distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Net {
    /// Number of canopies above it.
    pub count: usize,
    /// From body to skirt, m, where stated.
    pub distance_m: Option<f64>,
    /// (1 − κ) B, m².
    pub area: Known,
    /// The same over the drag area of the first canopy tested alone, where there is one.
    pub over_one_canopy: Option<Factor>,
    /// ln of the whole drag area of that configuration with mean canopies: what a body test measures best.
    pub ln_total: Option<Estimate>,
    /// ln of the mean canopies' part of that total; `None` where it is not told.
    pub ln_canopies: Option<Estimate>,
}

/// The body's own factors.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// B, m².
    pub area: Known,
    /// κ by count, at the shortest distance tested under that count.
    pub shielded: Vec<Shielded>,
}

/// κ under one count of canopies.
#[derive(Clone, Debug, PartialEq)]
pub struct Shielded {
    /// Number of canopies.
    pub count: usize,
    /// Distance it is for, m, where stated.
    pub distance_m: Option<f64>,
    /// κ, 0 to 1.
    pub share: Known,
}

/// D of one test over D of another, or net area less net area.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// What is compared, as indices into the list concerned: this one ...
    pub of: usize,
    /// ... to that one.
    pub to: usize,
    /// The ratio or the difference.
    pub factor: Factor,
}

/// All that the tests of one set of hardware say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drag {
    /// The tests, as given.
    pub tests: Vec<TestArea>,
    /// D of each over D of the first: what is truly shared cancels.
    pub over_first: Vec<Comparison>,
    /// Canopies by kind.
    pub kinds: Vec<KindArea>,
    /// Cluster factors by count.
    pub clusters: Vec<Cluster>,
    /// What the body adds, by count and distance.
    pub net: Vec<Net>,
    /// Net areas of `net`, less the first: whether they differ.
    pub net_differences: Vec<Comparison>,
    /// B and κ; `None` without a test of the body.
    pub body: Option<Body>,
    /// χ² of the fit and its degrees of freedom (0: as many factors as tests).
    pub chi_squared: f64,
    /// Degrees of freedom of `chi_squared`.
    pub degrees_of_freedom: usize,
    /// What was noticed.
    pub findings: Vec<Finding>,
}
