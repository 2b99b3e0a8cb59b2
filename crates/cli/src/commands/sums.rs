//! `silkfall size` and `silkfall rate`: the two sums everybody does by hand.

use anyhow::{anyhow, bail};
use silkfall_core::finding::Finding;
use silkfall_core::quantity::{Acceleration, Kind, Length, Mass, MassDensity, System, Velocity, parse};
use silkfall_core::shapes::{self, Shape};
use silkfall_core::sums::{self, Common};
use silkfall_report::document::Document;
use silkfall_report::{rate_document, size_document, text, wire};
use silkfall_sheet::Outcome;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::mass::kilogram;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::velocity::meter_per_second;

use crate::args::{self, Canopy, Reference};
use crate::terminal;

/// The canopy for a mass and a rate.
///
/// # Errors
/// When an option is no such quantity, with the cure.
pub fn size(arguments: &args::Size, system: System) -> anyhow::Result<Outcome> {
    let rate = Velocity::new::<meter_per_second>(si("rate", &arguments.rate, Kind::Speed)?);
    let answer = sums::size(&common(&arguments.mass, &arguments.canopy)?, rate);
    if arguments.canopy.json {
        terminal::print_json(&wire::size_json(&answer))?;
    } else {
        print(&size_document(&answer), system)?;
    }
    Ok(outcome(&answer))
}

/// The rate of a mass under a canopy.
///
/// # Errors
/// When an option is no such quantity, with the cure.
pub fn rate(arguments: &args::Rate, system: System) -> anyhow::Result<Outcome> {
    let diameter = Length::new::<meter>(si("diameter", &arguments.diameter, Kind::Length)?);
    let answer = sums::rate(&common(&arguments.mass, &arguments.canopy)?, diameter);
    if arguments.canopy.json {
        terminal::print_json(&wire::rate_json(&answer))?;
    } else {
        print(&rate_document(&answer), system)?;
    }
    Ok(outcome(&answer))
}

fn print(document: &Document, system: System) -> anyhow::Result<()> {
    terminal::print(&text::render(document, terminal::options(system)))
}

fn outcome<T>(answer: &Result<T, Finding>) -> Outcome {
    if answer.is_ok() { Outcome::Done } else { Outcome::NoAnswer }
}

fn common(mass: &str, canopy: &Canopy) -> anyhow::Result<Common> {
    let density = si("density", &canopy.density, Kind::Density)?;
    let gravity = si("gravity", &canopy.gravity, Kind::Acceleration)?;
    Ok(Common {
        mass: Mass::new::<kilogram>(si("mass", mass, Kind::Mass)?),
        coefficient: si("drag-coefficient", &canopy.drag_coefficient, Kind::Ratio)?,
        reference: canopy.reference.map(shapes::Reference::from),
        diameter_kind: canopy.diameter_kind.map(shapes::Reference::from),
        shape: canopy.shape.as_deref().map(shape).transpose()?,
        ratio: canopy.ratio.as_deref().map(|text| si("ratio", text, Kind::Ratio)).transpose()?,
        density: MassDensity::new::<kilogram_per_cubic_meter>(density),
        gravity: Acceleration::new::<meter_per_second_squared>(gravity),
    })
}

fn si(option: &str, text: &str, kind: Kind) -> anyhow::Result<f64> {
    match parse(text, kind) {
        Ok(given) => Ok(given.si),
        Err(error) => Err(anyhow!("--{option}: {error}\nhint: {}", error.hint())),
    }
}

fn shape(name: &str) -> anyhow::Result<Shape> {
    let Some(shape) = Shape::by_name(name) else {
        let known: Vec<&str> = shapes::SHAPES.iter().map(|row| row.name).collect();
        bail!("--shape: `{name}` is no shape that is known\nhint: known are {}", known.join("; "));
    };
    Ok(shape)
}

impl From<Reference> for shapes::Reference {
    fn from(reference: Reference) -> Self {
        match reference {
            Reference::Nominal => shapes::Reference::Nominal,
            Reference::Constructed => shapes::Reference::Constructed,
            Reference::Projected => shapes::Reference::Projected,
        }
    }
}
