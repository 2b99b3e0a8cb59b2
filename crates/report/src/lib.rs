//! A sheet said once, as a document, and rendered as text, HTML and figures.
//!
//! ```text
//! Reduction ──► document::Document ──► text::render, html::render
//! Sheet     ──►
//! ```
//!
//! No face works out a number: every number printed is a [`document::Shown`] with the id under which it stands in
//! the JSON, and is rounded by its doubt in one place ([`show`]).

mod builders;
pub mod derivations;
pub mod document;
pub mod export;
pub mod figures;
pub mod html;
pub mod show;
pub mod text;
pub mod wire;

pub use builders::{DropFigures, drop_figures, landing_section, test_section};
pub use builders::{
    assess_document, compare_document, land_document, plan_document, rate_document, reduction_document,
    size_document,
};
