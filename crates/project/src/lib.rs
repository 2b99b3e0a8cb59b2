//! The project folder, both ways: `silkfall.toml` and its tables to values, edits back to text.

pub mod bay;
mod cells;
pub mod devices;
pub mod edit;
pub mod field;
pub mod files;
pub mod harness;
pub mod import;
pub mod inputs;
pub mod landing;
mod leaf;
pub mod load_path;
pub mod notes;
pub mod offers;
pub mod opening;
pub mod project;
mod read;
pub mod save;
mod schema;
pub mod starter;
pub mod stops;
pub mod unknowns;
pub mod value;
mod walk;
pub mod winds;
mod wire;
pub mod words;

pub use files::{Folder, FolderError, read_folder, read_text};
pub use project::Project;
pub use read::{FORMAT, LONGEST_TEXT, PROJECT_FILE, Parsed, parse};
pub use schema::schema_json;
