//! The two sums everybody does by hand: the size for a rate, and the rate of a size.
//!
//! D = √(8 m g/(π ρ v² C_D)), m, and back; the coefficient on the area of the diameter meant, else converted by the
//! shape's ratio (see [`crate::shapes`]). Steady fall, no drag but the canopy's, one canopy.

use crate::derivation::Derivation;
use crate::finding::Finding;
use crate::quantity::{Acceleration, Length, Mass, MassDensity, Velocity};
use crate::shapes::{Range, Reference, Shape};

/// Standard sea-level air, kg/m³ (US Standard Atmosphere 1976).
pub const DEFAULT_DENSITY_KG_PER_M3: f64 = 1.225;
/// Standard gravity, m/s² (exact, CGPM 1901).
pub const DEFAULT_GRAVITY_M_PER_S2: f64 = 9.806_65;

/// What both sums share.
#[derive(Clone, Debug, PartialEq)]
pub struct Common {
    /// All that descends.
    pub mass: Mass,
    /// Drag coefficient.
    pub coefficient: f64,
    /// The area the coefficient is on, where stated.
    pub reference: Option<Reference>,
    /// Which diameter is wanted or given, where stated; else that of the coefficient's area.
    pub diameter_kind: Option<Reference>,
    /// Shape, to convert by.
    pub shape: Option<Shape>,
    /// Wanted or given diameter over that of the coefficient's area, where stated.
    pub ratio: Option<f64>,
    /// Air density.
    pub density: MassDensity,
    /// Gravity.
    pub gravity: Acceleration,
}

/// Answer of [`size`](super::sums).
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// The diameter.
    pub diameter: Length,
    /// The same over the range of the shape's ratio, m; `None` where nothing was converted by a range.
    pub range_m: Option<Range>,
    /// Which diameter it is; `None`: not stated.
    pub refers_to: Option<Reference>,
    /// First step first.
    pub how: Vec<Derivation>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Answer of [`rate`](super::sums).
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// The descent rate.
    pub rate: Velocity,
    /// The same over the range of the shape's ratio, m/s.
    pub range_m_per_s: Option<Range>,
    /// First step first.
    pub how: Vec<Derivation>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}
