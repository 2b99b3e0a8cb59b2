//! The project folder, from outside.

mod corpus;
mod folder;
mod hostile;
mod keys;

/// The frozen example of format 1, with every key.
const FORMAT_1: &str = include_str!("../format-1/silkfall.toml");
