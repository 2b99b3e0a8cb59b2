//! The project's offers for core; without any, the real canopies that were tested.

use silkfall_core::full_size::{Offer, StatedCoefficient};
use silkfall_core::quantity::Length;
use silkfall_core::shapes::Shape;
use silkfall_project::Project;
use silkfall_project::offers::Offer as ProjectOffer;
use silkfall_project::value::Quantity;
use uom::si::length::meter;

use super::tests::kind_of;

/// The offers of the project for core; those without a size are left out, which a finding of the reader says. Without
/// an offer, the real canopies that were tested stand in: what flew is what there is.
pub(super) fn offers(project: &Project) -> Vec<Offer> {
    if project.offers.is_empty() {
        return tested(project);
    }
    let one = |offer: &ProjectOffer| {
        Some(Offer {
            name: offer.id.value.clone(),
            shape: offer.shape.given().and_then(|shape| Shape::by_name(shape)),
            diameter: Length::new::<meter>(offer.diameter.given()?.si()),
            diameter_means: offer.diameter_is.given().copied(),
            coefficient: offer.coefficient.given().map(|coefficient| StatedCoefficient {
                value: coefficient.si(),
                on: offer.coefficient_on.given().copied(),
                spread: offer.coefficient_spread.given().map(Quantity::si),
            }),
            mass_kg: offer.mass.given().map(Quantity::si),
            packed_volume_m3: offer.packed_volume.given().map(Quantity::si),
            rated_load_n: offer.rated_load.given().map(Quantity::si),
            price: offer.price.given().map(Quantity::si),
            owned: offer.owned.given().map_or(0, |owned| *owned as usize),
        })
    };
    project.offers.iter().filter_map(one).collect()
}

/// The kinds of real canopies, as offers.
fn tested(project: &Project) -> Vec<Offer> {
    let mut kinds: Vec<Offer> = Vec::new();
    let real = project.tests.iter().filter(|test| test.model.is_none());
    for canopy in real.flat_map(|test| &test.canopies).filter_map(|said| project.canopy(&said.value)) {
        let name = kind_of(project, &canopy.serial.value);
        if kinds.iter().any(|kind| kind.name == name) {
            continue;
        }
        kinds.push(Offer {
            name,
            shape: canopy.shape.given().and_then(|shape| Shape::by_name(shape)),
            // Without a stated size the kind of size is not stated either, so that none is made of this.
            diameter: Length::new::<meter>(canopy.diameter.given().map_or(0.0, Quantity::si)),
            diameter_means: canopy.diameter.given().and(canopy.diameter_is.given().copied()),
            coefficient: None,
            mass_kg: canopy.mass.given().map(Quantity::si),
            packed_volume_m3: None,
            rated_load_n: None,
            price: None,
            owned: 0,
        });
    }
    kinds
}

/// The most real canopies that flew together.
pub(super) fn most_together(project: &Project, part: &str) -> Option<u32> {
    let real = project.tests.iter().filter(|test| test.model.is_none() && test.part.value == part);
    real.map(|test| test.canopies.len() as u32).max().filter(|count| *count > 0)
}
