//! The project folder, both ways: `silkfall.toml` and its tables to values, edits back to text.

pub mod offers;
pub mod project;
pub mod value;
pub mod words;

pub use project::Project;
