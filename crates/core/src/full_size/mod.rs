//! Full size: what the areas of the model, the offer or the handbook make at the real thing.
//!
//! A_full = s² A_model, m², s being full over model length, and only for a scale copy (shape, line length, vent and
//! cloth stated alike); otherwise A_full = C_D S of the offer, a handbook range, or a test of the real canopy.
//! B_full = s² B_model. η_n and κ carry over at like geometry; each mismatch adds a transfer uncertainty (η 4 %,
//! κ 0.3: judgements of ours). Mass goes with s³, rate with √s, Reynolds number with s^1.5 (NASA TP-1435).
//! A ratio of rates is never carried over ([`RatioOfRates`] says why, with the project's own numbers).
//!
//! Not here: effects of stiffness and porosity of scaled cloth; the drag crisis is only warned of.

mod body;
mod canopy;
#[cfg(test)]
mod checks;
mod cluster;
mod scaling;

pub use body::{BODY_SHAPE_DOUBT, BodySource, SHIELD_ASSUMED, bare_body, body_under};
pub use canopy::{MAKER_DOUBT, canopy_of_offer, canopy_of_real_test, canopy_of_scale_copy, ratios_alike};
pub(crate) use cluster::alike_canopies;
pub use cluster::{body_mismatches, cluster_factors, cluster_mismatches};
pub use scaling::{
    DRAG_CRISIS, RatesCompared, energy, mass_at_scale, rate_at_scale, rate_of_fall, reynolds,
    reynolds_caution, why_no_ratio,
};

use crate::derivation::Derivation;
use crate::drag::Factor;
use crate::finding::Finding;
use crate::ledger::Estimate;
use crate::quantity::{Length, Velocity};
use crate::shapes::{Reference, Shape};

/// Relative standard uncertainty of a cluster factor carried to another geometry: a judgement of ours.
pub const CLUSTER_TRANSFER: f64 = 0.04;
/// Standard uncertainty of κ carried to another geometry: a judgement of ours.
pub const SHIELD_TRANSFER: f64 = 0.3;

/// Geometry as ratios, so that model and full size can be told alike. What is not stated is not alike.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Geometry {
    /// Shape of the canopies.
    pub shape: Option<Shape>,
    /// Line length over nominal diameter.
    pub lines_over_diameter: Option<f64>,
    /// Vent over nominal diameter.
    pub vent_over_diameter: Option<f64>,
    /// Name of the cloth.
    pub cloth: Option<String>,
    /// Body to skirt over nominal diameter.
    pub distance_over_diameter: Option<f64>,
    /// Nominal diameter over the body's length across the stream.
    pub diameter_over_body: Option<f64>,
}

/// A drag coefficient as an offer states it.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedCoefficient {
    /// The coefficient.
    pub value: f64,
    /// The area it is on; `None` where not stated.
    pub on: Option<Reference>,
    /// Relative standard uncertainty where one is stated; else the default doubt to one side.
    pub spread: Option<f64>,
}

/// A canopy that can be bought, borrowed or is owned.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Its name, unique in the project.
    pub name: String,
    /// Its shape, where stated.
    pub shape: Option<Shape>,
    /// Its diameter.
    pub diameter: Length,
    /// Which diameter that is; `None` where not stated.
    pub diameter_means: Option<Reference>,
    /// Its coefficient; `None`: the range of its shape is used.
    pub coefficient: Option<StatedCoefficient>,
    /// Mass of one, kg.
    pub mass_kg: Option<f64>,
    /// Packed volume of one, m³.
    pub packed_volume_m3: Option<f64>,
    /// Rated load, N.
    pub rated_load_n: Option<f64>,
    /// Price of one, in the offers' currency.
    pub price: Option<f64>,
    /// How many are owned: those cost nothing.
    pub owned: usize,
}

/// The drag area of one canopy at full size.
#[derive(Clone, Debug, PartialEq)]
pub struct FullCanopy {
    /// Area and interval, m².
    pub area: Factor,
    /// Nominal diameter, m, where it can be worked out.
    pub nominal_diameter_m: Option<f64>,
    /// How it came about, first step first.
    pub how: Vec<Derivation>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// η_n at full size.
#[derive(Clone, Debug, PartialEq)]
pub struct FullCluster {
    /// Number of open canopies, from 1.
    pub count: usize,
    /// η_n with the transfer's doubt.
    pub factor: Factor,
    /// Mismatches that added doubt, as words.
    pub mismatches: Vec<String>,
}

/// What the body adds at full size, in the form it is drawn from.
#[derive(Clone, Debug, PartialEq)]
pub enum NetArea {
    /// (e^total − e^canopies)(1 + change), not below 0; m².
    Difference {
        /// ln of all drag area, scaled.
        ln_total: Estimate,
        /// ln of the canopies' part of it, scaled.
        ln_canopies: Estimate,
        /// Relative change by the transfer, about 0.
        change: Estimate,
    },
    /// (1 − κ) B with κ cut to 0 to 1; m².
    Shielded {
        /// ln B.
        ln_body: Estimate,
        /// κ.
        share: Estimate,
    },
    /// The body's own drag is not known and counts as nothing.
    Nothing,
}

/// What the body adds under one count.
#[derive(Clone, Debug, PartialEq)]
pub struct FullNet {
    /// Number of open canopies, from 1.
    pub count: usize,
    /// The form to draw from.
    pub form: NetArea,
    /// Its value and interval, m².
    pub area: Factor,
    /// Mismatches that added doubt, as words.
    pub mismatches: Vec<String>,
}

/// Why a ratio of rates at model scale is not the ratio at full size.
#[derive(Clone, Debug, PartialEq)]
pub struct RatioOfRates {
    /// Rate with one canopy over rate with `count`, at model scale.
    pub at_model_scale: f64,
    /// Number of canopies of the second.
    pub count: usize,
    /// What the ratio would have made of the full-size rate under one canopy.
    pub by_ratio: Velocity,
    /// What areas make of it.
    pub by_areas: Velocity,
    /// Both derivations, ratio first.
    pub how: [Derivation; 2],
    /// The reason in one sentence with this project's numbers.
    pub because: String,
}

/// Where a body's drag area comes from when no test tells it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BodyShape {
    /// A cylinder hung level, across the stream.
    CylinderLevel {
        /// Length, m.
        length_m: f64,
        /// Diameter, m.
        diameter_m: f64,
    },
    /// A cylinder hung end on.
    CylinderEndOn {
        /// Length, m.
        length_m: f64,
        /// Diameter, m.
        diameter_m: f64,
    },
}
