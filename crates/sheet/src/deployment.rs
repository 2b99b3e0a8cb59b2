//! Getting it out, as the sheet holds it: what opens a bay, how it and the barometer breathe, what is thrown out sideways.

use silkfall_core::cases::Verdict;

use crate::number::Number;
use crate::sheet::Factor;

/// One thing that must work: opening the bay, its vents, the ports, the door.
#[derive(Clone, Debug, PartialEq)]
pub struct DeploymentSheet {
    /// Its name: `bay`, `vents`, `ports` or `door`.
    pub name: String,
    /// What it is about, in words.
    pub title: String,
    /// Its figures, in the order of the reckoning.
    pub figures: Vec<Factor>,
    /// Of a pyrotechnic source: a range, never one number.
    pub charge: Option<ChargeSheet>,
    /// The word.
    pub verdict: Verdict,
    /// Why, in words that stand alone.
    pub reason: String,
    /// What can hurt someone: stands in the same block, always.
    pub cautions: Vec<String>,
    /// What it rests on and leaves out, in sentences.
    pub says: Vec<String>,
}

/// The range of a charge.
#[derive(Clone, Debug, PartialEq)]
pub struct ChargeSheet {
    /// Lower end.
    pub low: Number,
    /// Upper end.
    pub high: Number,
}
