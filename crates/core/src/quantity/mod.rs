//! Quantities: types for signatures, kinds and units for text.
//!
//! Signatures use uom's types, re-exported here, and kinds of our own where a dimension hides a meaning
//! ([`DragArea`], [`Height`]). Text ("60 in", "4.1 kg ± 20 g", "1.2 m within 1 %") is split by
//! [`parse`](fn@parse) against the units of a [`Kind`]; its factors are checked against NIST SP 811.
//! [`show`](fn@show) prints a value in a unit system, rounded by its uncertainty where there is one.

mod kinds;
mod show;
mod text;

pub use kinds::{Kind, Unit};
pub use show::{System, digits, interval_in, number_in, show, show_interval};
pub use text::{Given, QuantityError, Spread, parse};

pub use uom::si::f64::{
    Acceleration, Angle, Area, Energy, Force, Length, Mass, MassDensity, Pressure, Ratio,
    TemperatureInterval, ThermodynamicTemperature, Time, Velocity, Volume,
};

/// An area that brakes: drag force over dynamic pressure, D = F/(ρv²/2). Not the area of any cloth.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct DragArea(pub Area);

/// A pressure over the one outside.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct OverPressure(pub Pressure);

/// A strength of a material: force over the area that breaks.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Stress(pub Pressure);

/// Strength of cloth or webbing for its width, N/m.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ForcePerLength(pub f64);

/// What a thing feels when it is pulled or struck: an acceleration given and shown in standard gravities.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Shock(pub Acceleration);

/// A height that says which kind it is, so that the two are never mixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Height {
    /// Geometric height above the ground of the place.
    True(Length),
    /// What a pressure reads as in the standard atmosphere: about 3.5 % short per 10 K of warmer air.
    Pressure(Length),
}
