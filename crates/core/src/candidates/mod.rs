//! Candidates: every offer × count against every case, and which are worth looking at.
//!
//! An entry stays when it misses nothing and no other such entry is at least as good in mass, volume, price and
//! worst margin and better in one (Pareto). The others say which case they miss and by how much, or which
//! entry beats them. All entries see the same draws, so that a difference between two is theirs.
//!
//! [`within`] rules out what needs more room, mass or money than the part allows, [`weigh`] what another stage of the
//! job says no to: a load path that does not hold, a bay that it does not fit. [`weigh_those_that_stay`] asks a stage that
//! takes long of few.

#[cfg(test)]
mod checks;
mod standing;
mod work;

pub use standing::{weigh, weigh_those_that_stay, within};
pub use work::{Offered, id, work};

use crate::cases::{Share, Trials, Verdict};
use crate::finding::Finding;
use crate::full_size::FullCanopy;

/// One case of one entry.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryCase {
    /// Name of the case.
    pub case: String,
    /// Canopies open and filled.
    pub open: usize,
    /// Rate in 2.5, 50 and 97.5 % of flights, m/s; `None` where no drag area is known.
    pub rate_m_per_s: Option<crate::cases::Quantiles>,
    /// Share within its limit, of several that with the least margin.
    pub share: Option<Share>,
    /// The word.
    pub verdict: Verdict,
    /// Share that is sure ([`Share::surely`]) less wanted share; `None` where not judged.
    pub margin: Option<f64>,
    /// Best share less wanted share; `None` where not judged.
    pub best_margin: Option<f64>,
}

/// Why an entry stays or goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    /// Nobody beats it.
    Kept,
    /// It misses a limit: the case by name, and best share less wanted share.
    Misses {
        /// Name of the case with the largest lack.
        case: String,
        /// Best share less wanted share, below 0.
        margin: f64,
    },
    /// Another is at least as good in everything.
    BeatenBy {
        /// Its id.
        id: String,
    },
    /// It needs more room, mass or money than the part allows.
    OutOfBounds {
        /// Of what.
        cost: Cost,
        /// How much it needs, SI.
        needs: f64,
        /// How much there is, SI.
        bound: f64,
    },
    /// Another stage of the job rules it out.
    RuledOut {
        /// Which.
        by: By,
        /// Why, in words: "does not fit, 10 mm short".
        reason: String,
    },
    /// It cannot be worked out.
    NoAnswer {
        /// Why, a full sentence.
        reason: String,
    },
}

/// A stage of the job that weighs candidates beside their rates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum By {
    /// Loads at opening against what carries them.
    Load,
    /// Room in the bay.
    Bay,
}

/// What another stage of the job says of a candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Which stage.
    pub by: By,
    /// Its word.
    pub verdict: Verdict,
    /// Why, in words that stand alone: "does not fit, 10 mm short".
    pub reason: String,
}

/// What there can be too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cost {
    /// Mass, kg.
    Mass,
    /// Packed volume, m³.
    Volume,
    /// Price, in the currency of the offers.
    Price,
}

/// What an entry costs, canopies owned being free of price. `None` where the offer does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costs {
    /// All canopies, kg.
    pub mass_kg: Option<f64>,
    /// All canopies packed, m³.
    pub volume_m3: Option<f64>,
    /// Of those not owned, in the offers' currency.
    pub price: Option<f64>,
}

/// One offer × count.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The offer's name and the count, `plain-18x3`.
    pub id: String,
    /// Name of the offer.
    pub offer: String,
    /// How many.
    pub count: usize,
    /// Drag area of one; `None` where it cannot be worked out.
    pub canopy: Option<FullCanopy>,
    /// The cases in the order of the project.
    pub cases: Vec<EntryCase>,
    /// What other stages say of it, in the order of the job.
    pub beside: Vec<Beside>,
    /// The word over all judged cases and what other stages say: the worst of them; not judged where none is.
    pub verdict: Verdict,
    /// Smallest margin over the judged cases.
    pub worst_margin: Option<f64>,
    /// What it costs.
    pub costs: Costs,
    /// Stays or goes.
    pub standing: Standing,
    /// Whether its area or cluster factor rests on memory.
    pub rests_on_memory: bool,
    /// The next smaller of the same count that does not meet, and the case it fails by.
    pub next_smaller: Option<Neighbour>,
    /// The next larger of the same count that costs more.
    pub next_larger: Option<Neighbour>,
}

/// A neighbour by drag area at the same count.
#[derive(Clone, Debug, PartialEq)]
pub struct Neighbour {
    /// Its id.
    pub id: String,
    /// Its word.
    pub verdict: Verdict,
    /// The case that decides it, where one is judged.
    pub case: Option<String>,
    /// What another stage says of it, where that decides.
    pub beside: Option<Beside>,
    /// Its costs less this entry's.
    pub more: Costs,
}

/// All entries.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidates {
    /// In the order of offers, then counts.
    pub entries: Vec<Entry>,
    /// Indices of those that stay; meets before undecided, then by mass, price, volume.
    pub kept: Vec<usize>,
    /// Trials behind the shares.
    pub trials: Trials,
    /// What was noticed.
    pub findings: Vec<Finding>,
}
