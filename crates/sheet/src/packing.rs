//! Packing, as the sheet holds it: what lies in a bay, whether it fits, how hard it is pressed, which offer fits.

use silkfall_core::cases::Verdict;
use silkfall_core::ledger::Trust;

use crate::number::Number;

/// A bay and what is packed in it.
#[derive(Clone, Debug, PartialEq)]
pub struct PackingSheet {
    /// Its name: `bay`.
    pub name: String,
    /// Inner diameter; `None` where it is not known.
    pub diameter: Option<Number>,
    /// Length free for what is packed.
    pub length: Option<Number>,
    /// Its volume.
    pub volume: Option<Number>,
    /// What lies in it, from the bulkhead to the lid; the canopies last.
    pub contents: Vec<ContentSheet>,
    /// Length that all of it takes.
    pub taken: Option<Number>,
    /// Length to spare, below 0 where it is wanting.
    pub spare: Option<Number>,
    /// Density that what is soft must be packed to.
    pub density_wanted: Option<Number>,
    /// How hard that is to press, in words.
    pub pressed: Option<String>,
    /// Whether it fits.
    pub verdict: Verdict,
    /// Why, in words that stand alone: "does not fit, 10 mm short".
    pub reason: String,
    /// How many of each offer fit beside what else lies in it.
    pub offers: Vec<OfferFitSheet>,
    /// What it rests on, in sentences.
    pub says: Vec<String>,
}

/// Something in a bay.
#[derive(Clone, Debug, PartialEq)]
pub struct ContentSheet {
    /// What it is; of the canopies "3 × plain-1.84".
    pub name: String,
    /// Whether these are the canopies.
    pub canopies: bool,
    /// Volume of one, as packed; `None` for what takes a length whole.
    pub volume: Option<Number>,
    /// Length it takes.
    pub length: Number,
    /// Where it ends, from the bulkhead.
    pub to: Number,
    /// Where what it takes comes from: "measured roll", "the maker's figure", "mass and packing density".
    pub basis: String,
    /// How far to trust that.
    pub trust: Trust,
}

/// How many of an offer fit.
#[derive(Clone, Debug, PartialEq)]
pub struct OfferFitSheet {
    /// The offer's id.
    pub name: String,
    /// Packed volume of one.
    pub volume: Number,
    /// Where that comes from.
    pub basis: String,
    /// How far to trust it.
    pub trust: Trust,
    /// The most of them that fit, by best estimate.
    pub most: usize,
    /// The most that surely fit.
    pub surely: usize,
}
