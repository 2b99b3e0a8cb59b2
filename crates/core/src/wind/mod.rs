//! The day's wind: by height, by law, its doubt and its gusts.
//!
//! Frames: x east, y north; a wind vector is where the air goes *to*, m/s. A direction "from" is in degrees clockwise
//! from true north, where the wind blows *from*, as it is reported. Heights are above the field's ground.
//!
//! - [`Profile`]: the mean wind by height, straight lines by components between levels;
//! - [`law`]: from one reading near the ground, by the logarithmic or a power law;
//! - [`reading`]: from a table or sounding, whose heights may be above sea level;
//! - [`doubt`]: how one flight's wind may differ from what was read;
//! - [`dryden`]: gusts of seconds.
//!
//! Vertical air is no part of it: rising and sinking air goes to the descent by itself.

pub mod doubt;
pub mod dryden;
pub mod law;
mod profile;
pub mod reading;

pub use doubt::{Doubt, perturbed};
pub use law::{GroundWind, Law, Terrain};
pub use profile::{Level, Profile, from_of, toward};
pub use reading::{Foot, HeightIs, Reading};

use thiserror::Error;

/// Why a wind cannot be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum WindError {
    /// There is no level at all.
    #[error("no level of wind is given, at least one was expected")]
    Empty,
    /// A height or a speed is not finite.
    #[error("level {} has a height or speed that is not a finite number", .index + 1)]
    NotFinite {
        /// The level, from 0.
        index: usize,
    },
    /// A level is not above the one before it.
    #[error("level {} is at {height_m} m, not above the one before it", .index + 1)]
    NotAscending {
        /// The level, from 0.
        index: usize,
        /// Its height, m.
        height_m: f64,
    },
    /// A level is below the ground of the field.
    #[error("level {} is at {height_m} m, below the ground", .index + 1)]
    BelowGround {
        /// The level, from 0.
        index: usize,
        /// Its height, m.
        height_m: f64,
    },
    /// Every level of a table is below the field's ground.
    #[error("the highest level is {} m below the ground", -.height_m)]
    AllBelowGround {
        /// The highest level above the field's ground, m: below 0.
        height_m: f64,
    },
    /// The law has no value at the height of the reading: it is not above the roughness, or not above the ground.
    #[error(
        "the wind is read at {measured_at_m} m, which is not above the {roughness_m} m below which the law knows no wind"
    )]
    ReadTooLow {
        /// Height of the reading, m.
        measured_at_m: f64,
        /// Below this the law's wind is still, m.
        roughness_m: f64,
    },
    /// A number of the law is none that it can have.
    #[error("{what} is {value}, expected {expected}")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// As given, in SI units.
        value: f64,
        /// What it may be.
        expected: &'static str,
    },
}
