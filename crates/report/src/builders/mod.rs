//! From what was worked out to the document that says it.

mod reduction;
mod shared;

pub use reduction::reduction_document;
