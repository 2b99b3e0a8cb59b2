//! What is asked of the loads at opening, as a person wrote it.

use silkfall_core::quantity::Time;

use crate::value::{Known, Quantity, Share};

/// Speeds and shares asked about beside the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Opening {
    /// A stage opens so late; absent: none is asked to.
    pub late: Known<Quantity<Time>>,
    /// Whether a stage may open with none before it; absent: it may.
    pub nothing_before: Known<bool>,
    /// Whether a stage may open where the fall starts; absent: it may.
    pub at_the_top: Known<bool>,
    /// Share of what all canopies pull together that one of them may bear.
    pub share_of_one: Known<Quantity<Share>>,
}
