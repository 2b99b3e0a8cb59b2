//! Physics and statistics of falls under canopies, a folder a stage.
//!
//! Everything here is a function of its arguments: no files, clock, environment, printing or shared random
//! state. A stage takes what the stage before it made, and none reaches back:
//!
//! recording → drops → rates → pooling → drag areas → full size → cases → candidates

pub mod air;
pub mod candidates;
pub mod cases;
pub mod deployment;
pub mod derivation;
pub mod drag;
pub mod drops;
pub mod failures;
pub mod finding;
pub mod full_size;
pub mod geo;
pub mod hanging;
pub mod height;
pub mod landing;
pub mod leaps;
pub mod ledger;
pub mod load_path;
pub mod loads;
pub mod maths;
pub mod packing;
pub mod pooling;
pub mod pyramid;
pub mod quantity;
pub mod rates;
pub mod recording;
pub mod shapes;
pub mod stats;
pub mod sums;
pub mod wind;
