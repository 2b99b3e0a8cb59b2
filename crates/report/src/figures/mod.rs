//! Figures: what is drawn, as plain numbers, and the drawing of it.
//!
//! A figure always brings the table that says the same ([`Figure::alternative`]). Line is case, fill is trust
//! ([`Fill`]), colour is only a role; so doubt survives grey print and colour blindness.

mod data;
pub(crate) mod scale;

pub use data::{
    CandidateField, CandidateMark, CaseBars, CaseMark, DropLine, DropRate, Fill, Overlay, PartPiece, PartRow,
    PartStacks, RateDots, SteadyLine,
};

use crate::document::{Rich, Table};

/// A figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// A short name for links and for the ids inside the drawing: lower case, no spaces.
    pub id: String,
    /// What stands under it: a sentence with what is to be seen.
    pub caption: Rich,
    /// What it shows, for those who do not see it.
    pub description: String,
    /// The same as a table.
    pub alternative: Table,
    /// What is drawn.
    pub drawing: Drawing,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Drawing {
    /// All drops of a configuration, laid over one another from release.
    Overlay(Overlay),
    /// Rates with their intervals, a drop a column.
    Rates(RateDots),
    /// Drag areas as stacked parts.
    Parts(PartStacks),
    /// Candidates by cost and rate.
    Candidates(CandidateField),
    /// Cases against their limits.
    Cases(CaseBars),
}
