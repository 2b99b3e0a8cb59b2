//! What only the generator knows: times, kinds and rates of each drop, and the realised size of each nuisance.
//!
//! Times are stated twice: as the logger's clock wrote them (s; a clock jump included) and as sample numbers, which
//! no clock can confuse. All rates are true: true metres over true seconds.

use std::ops::Range;

use crate::path::Deed;

/// What a drop is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Whole, untangled, steady for at least [`crate::SHORTEST_STEADY_S`] in the recording.
    Good,
    /// Whole and untangled, but steady for less: gaps count as not recorded.
    Hard,
    /// Lines tangled, whole or not: falls faster than the configuration; to be set aside.
    Tangled,
    /// The recording begins during the fall.
    StartsInAir,
    /// The recording ends during the fall.
    EndsInAir,
}

/// One drop as it truly was.
#[derive(Clone, Debug, PartialEq)]
pub struct DropTruth {
    /// What it is.
    pub kind: Kind,
    /// Letting go, written s; `None` if before the recording.
    pub release_s: Option<f64>,
    /// Canopy at its full drag area, written s; `None` if outside the recording or not before the ground.
    pub filled_s: Option<f64>,
    /// First time from which the rate, as the logger's filter shows it, stays within 1 % of terminal in still air,
    /// written s; `None` if outside the recording or never.
    pub steady_from_s: Option<f64>,
    /// Ground, written s; `None` if after the recording.
    pub ground_s: Option<f64>,
    /// Samples of the fall that are in the recording.
    pub samples: Range<usize>,
    /// Those of the truly steady stretch; may be empty.
    pub steady_samples: Range<usize>,
    /// Recorded length of the steady stretch, gaps taken off, s.
    pub steady_for_s: f64,
    /// Still-air rate of this drop, scatter and tangle included, m/s.
    pub rate_m_s: f64,
    /// How much faster than the configuration the lines' tangle makes it; 1 if they are clear.
    pub tangled_factor: f64,
    /// Height of letting go above ground, m.
    pub fall_m: f64,
    /// Distance in which the canopy filled, m.
    pub fill_m: f64,
    /// Carried air over the model's mass.
    pub air_mass_ratio: f64,
    /// Largest swing angle, degrees.
    pub swing_deg: f64,
    /// Mean downward motion of the air over the steady stretch, the session's slow air included, m/s.
    pub mean_air_down_m_s: f64,
    /// Root mean square of the sideways air over the steady stretch, m/s.
    pub sideways_rms_m_s: f64,
}

/// Something done with the load that is no drop.
#[derive(Clone, Debug, PartialEq)]
pub struct DeedTruth {
    /// What was done.
    pub deed: Deed,
    /// Samples during which it was done.
    pub samples: Range<usize>,
}

/// One campaign as it truly was.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// Still-air rate of the configuration, m/s: the time mean of the steadily falling system, swing included.
    pub rate_m_s: f64,
    /// The drops in order.
    pub drops: Vec<DropTruth>,
    /// Lowering and stairs.
    pub deeds: Vec<DeedTruth>,
    /// Realised slow air of the session, downward, m/s.
    pub slow_air_m_s: f64,
    /// Realised clock error: written over true seconds, less 1.
    pub clock_error: f64,
    /// Realised height scale error: counted over true metres, less 1.
    pub height_scale_error: f64,
    /// Bangs: written seconds of the first false sample, and the false height in metres.
    pub spikes: Vec<(f64, f64)>,
    /// Gaps: the sample after each, and its length in true seconds.
    pub gaps: Vec<(usize, f64)>,
    /// For each sample, whether a bang falsifies it.
    pub spiked: Vec<bool>,
}
