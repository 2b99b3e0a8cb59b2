//! Checks of core against published numbers and independent programs; all of them stand in docs/CHECKS.md.

mod air;
mod bay;
mod certified;
mod drag;
mod geo;
mod hanging;
mod height;
mod landing;
mod landing_many;
mod landing_recorded;
mod landing_winds;
mod load_path;
mod loads;
mod long_fall;
mod stats;
