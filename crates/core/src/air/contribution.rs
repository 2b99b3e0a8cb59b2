//! What each input contributes to a result of the air, kept by input.
//!
//! For a result y of inputs x_i with standard uncertainties u_i a contribution is (∂ ln y / ∂ x_i) u_i, dimensionless and
//! with its sign; their root sum of squares is the relative standard uncertainty (JCGM 100:2008, equation 10). Density, the
//! height scale and gravity share inputs: the same input bears the same ledger id, so that what they have in common adds
//! or cancels with its sign.

use uom::si::ratio::ratio;

use crate::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use crate::maths::sqrt;
use crate::quantity::Ratio;

/// A value and its standard uncertainty; `U` is the kind of a difference of `V`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading<V, U = V> {
    /// The value.
    pub value: V,
    /// Its standard uncertainty.
    pub standard_uncertainty: U,
}

/// An input of the air, the same wherever it is used: contributions with the same input are fully correlated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// Air temperature.
    Temperature,
    /// The pressure as stated, or the weather's where none is.
    Pressure,
    /// By which rule a pressure was reduced to sea level.
    Reduction,
    /// Relative humidity.
    Humidity,
    /// Elevation of the ground.
    Elevation,
    /// Latitude, by way of gravity.
    Latitude,
    /// The equation for moist air itself.
    Equation,
    /// By which scale a logger turned pressure into height.
    LoggerScale,
}

impl Input {
    /// The last part of its ledger id.
    pub fn key(self) -> &'static str {
        match self {
            Input::Temperature => "air-temperature",
            Input::Pressure => "air-pressure",
            Input::Reduction => "pressure-reduction",
            Input::Humidity => "humidity",
            Input::Elevation => "elevation",
            Input::Latitude => "latitude",
            Input::Equation => "moist-air-equation",
            Input::LoggerScale => "logger-scale",
        }
    }

    /// What it is, in words.
    pub fn name(self) -> &'static str {
        match self {
            Input::Temperature => "air temperature",
            Input::Pressure => "pressure",
            Input::Reduction => "reduction to sea level",
            Input::Humidity => "humidity",
            Input::Elevation => "elevation",
            Input::Latitude => "latitude",
            Input::Equation => "equation for moist air",
            Input::LoggerScale => "logger's height scale",
        }
    }
}

/// Where a value came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Stated by the person.
    Given,
    /// Taken because nothing was stated.
    Assumed,
}

/// What one input does to a result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Which input.
    pub input: Input,
    /// Whether it was stated.
    pub origin: Origin,
    /// The input's value in SI; 0 for an input that is a doubt about a rule.
    pub value: f64,
    /// Its standard uncertainty in SI.
    pub standard_uncertainty: f64,
    /// Relative change of the result for one standard uncertainty of the input, with its sign.
    pub relative: Ratio,
}

impl Contribution {
    /// The ledger's name for this input in a session: `session.may.air-temperature`.
    pub fn ledger_id(&self, session: &str) -> LedgerId {
        LedgerId(format!("{session}.{}", self.input.key()))
    }

    /// The same as an entry of the ledger; normal about its value, but an unknown humidity lies anywhere.
    pub fn entry(&self) -> Entry {
        let distribution = match (self.input, self.origin) {
            (Input::Humidity, Origin::Assumed) => Distribution::Rectangular { low: 0.0, high: 1.0 },
            _ => Distribution::Normal { sd: self.standard_uncertainty },
        };
        let trust = match self.origin {
            Origin::Given => Trust::Given,
            Origin::Assumed => {
                Trust::Assumed("nothing is stated; see the table of the site's air".to_owned())
            }
        };
        let meaning = self.input.name().to_owned();
        Entry { meaning, value: self.value, distribution, sharing: Sharing::Knowledge, trust }
    }
}

/// Enters contributions in the ledger under a session's name.
pub fn enter(contributions: &[Contribution], session: &str, ledger: &mut Ledger) {
    for contribution in contributions {
        ledger.enter(contribution.ledger_id(session), contribution.entry());
    }
}

/// A result with the given contributions as an estimate over ledger entries of a session.
pub fn estimate(value: f64, contributions: &[Contribution], session: &str) -> Estimate {
    contributions.iter().fold(Estimate::exact(value), |estimate, contribution| {
        let signed = value * contribution.relative.get::<ratio>();
        estimate.with(contribution.ledger_id(session), signed, f64::INFINITY)
    })
}

/// Root sum of squares of contributions: a relative standard uncertainty.
pub fn combined(contributions: &[Contribution]) -> Ratio {
    let sum: f64 = contributions.iter().map(|c| c.relative.get::<ratio>() * c.relative.get::<ratio>()).sum();
    Ratio::new::<ratio>(sqrt(sum))
}

/// A rule may be off by this much of the result, either way.
pub(crate) fn doubt_of_a_rule(input: Input, relative: Ratio) -> Contribution {
    let standard_uncertainty = relative.get::<ratio>();
    Contribution { input, origin: Origin::Assumed, value: 0.0, standard_uncertainty, relative }
}

/// An input with its spread, before its effect is known.
pub(crate) struct InputSpread {
    pub(crate) input: Input,
    pub(crate) origin: Origin,
    pub(crate) value: f64,
    pub(crate) standard_uncertainty: f64,
}

impl InputSpread {
    pub(crate) fn contributes(&self, relative: f64) -> Contribution {
        Contribution {
            input: self.input,
            origin: self.origin,
            value: self.value,
            standard_uncertainty: self.standard_uncertainty,
            relative: Ratio::new::<ratio>(relative),
        }
    }
}
