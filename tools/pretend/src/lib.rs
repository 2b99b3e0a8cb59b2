//! Makes invented drop recordings with a known truth.
//!
//! Independent of the program that reads them: no crate of it is used, and integration, gusts, noise and draws are
//! its own. Recordings serve two ends: the coverage table (thousands of [`campaign`](fn@campaign)s over all nuisances, from
//! [`draw_options_in`]) and readers' tests (one campaign in every [`Dress`]).
//!
//! Everything made here is invented, follows from a seed, and is labelled so wherever it is written to a file.
//!
//! # Examples
//! ```
//! let (_cell, options) = pretend::draw_options(7);
//! let campaign = pretend::campaign(7, &options);
//! assert_eq!(campaign.time_s.len(), campaign.value.len());
//! assert_eq!(campaign.truth.drops.len(), options.drops);
//! ```

mod air;
mod campaign;
mod demo;
mod draw;
mod dress;
mod gusts;
mod logger;
mod options;
mod oracle;
mod path;
mod physics;
mod truth;

pub use air::{Day, standard_height_m, standard_pressure_pa};
pub use campaign::{Campaign, Channel, SHORTEST_STEADY_S, campaign, strung_together};
pub use demo::{
    CAPSULE_CANOPY_M, CAPSULE_CANOPY_M2, CLUSTER_FACTORS, DEMO_SEED, DemoFile, FIRST_DAY, MODEL_CANOPIES,
    MODEL_CANOPY_M, MODEL_TUBE_M2, SECOND_DAY, TOWER_M, WAKE_SHARE, WAKE_SHARE_LONG, demo,
};
pub use dress::{Decimal, Delimiter, Digits, Dress, Encoding, Header, LineEnd, Order, TimeForm, Unit};
pub use gusts::Gusts;
pub use logger::{Filter, Logger, Resolution};
pub use options::{
    CampaignOptions, Cell, ClockJump, DropsClass, Flaws, GustClass, LoggerClass, Shared, Swing, draw_options,
    draw_options_in,
};
pub use oracle::{Oracle, oracle};
pub use path::{Deed, Handling};
pub use physics::{Model, Surroundings};
pub use truth::{DeedTruth, DropTruth, Kind, Truth};
