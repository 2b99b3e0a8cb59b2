//! The project folder, both ways.
