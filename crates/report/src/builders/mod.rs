//! From what was worked out to the document that says it.

mod project;
mod reduction;
mod shared;
mod sums;

pub(crate) use project::standing;
pub use project::{DropFigures, drop_figures, landing_section, test_section};
pub use project::{assess_document, compare_document, land_document, plan_document};
pub use reduction::reduction_document;
pub use sums::{rate_document, size_document};
