//! Model and full size as ratios of lengths, so that it can be told where they are alike.
//!
//! Lines, riser and body over the nominal diameter of a canopy: D₀ by the shape's ratio where another diameter is
//! stated. What is not stated is `None` and never counts as alike.

use silkfall_core::full_size::{BodyShape, Geometry, Offer};
use silkfall_core::shapes::{Reference, Shape, diameter_ratio};
use silkfall_project::project::{Body, Test};
use silkfall_project::value::Quantity;
use silkfall_project::words::{BodyOn, BodyShape as Shaped, Hangs};
use uom::si::length::meter;

use super::full::From;

impl From<'_> {
    /// The model's geometry, from the canopies and risers of its tests.
    pub(super) fn model_geometry(&self) -> Geometry {
        let Some((name, _)) = &self.sets.model else { return Geometry::default() };
        let of_model = || {
            let is = |test: &&Test| {
                test.part.value == self.part.name.value
                    && test.model.as_ref().is_some_and(|said| said.value == *name)
            };
            self.project.tests.iter().filter(is)
        };
        let canopy =
            of_model().flat_map(|test| &test.canopies).find_map(|said| self.project.canopy(&said.value));
        let Some(canopy) = canopy else { return Geometry::default() };
        let lines_m = canopy.line_length.given().map(Quantity::si);
        let riser_m = of_model()
            .filter(|test| test.body.given() != Some(&BodyOn::Off))
            .filter_map(|test| test.riser_length.given().map(Quantity::si))
            .min_by(f64::total_cmp);
        let scale = self.project.model(name).and_then(|model| model.scale.given()).map(Quantity::si);
        geometry(&Measures {
            shape: canopy.shape.given().and_then(|shape| Shape::by_name(shape)),
            nominal_m: canopy.diameter.given().and_then(|diameter| {
                let shape = canopy.shape.given().and_then(|shape| Shape::by_name(shape));
                nominal_diameter_m(shape, diameter.si(), canopy.diameter_is.given().copied())
            }),
            lines_m,
            riser_m,
            body_m: across(&self.part.body).zip(scale).map(|(full, scale)| full * scale),
        })
    }

    /// The geometry at full size under an offer's canopies.
    pub(super) fn geometry_of(&self, offer: Option<&Offer>) -> Geometry {
        let rig = &self.part.rig;
        geometry(&Measures {
            shape: offer.and_then(|offer| offer.shape),
            nominal_m: offer.and_then(|offer| {
                nominal_diameter_m(offer.shape, offer.diameter.get::<meter>(), offer.diameter_means)
            }),
            lines_m: rig.line_length.given().map(Quantity::si),
            riser_m: rig.riser_length.given().map(Quantity::si),
            body_m: across(&self.part.body),
        })
    }
}

struct Measures {
    shape: Option<Shape>,
    nominal_m: Option<f64>,
    lines_m: Option<f64>,
    riser_m: Option<f64>,
    body_m: Option<f64>,
}

fn geometry(of: &Measures) -> Geometry {
    let over = |length: Option<f64>| length.zip(of.nominal_m).map(|(length, diameter)| length / diameter);
    Geometry {
        shape: of.shape,
        lines_over_diameter: over(of.lines_m),
        distance_over_diameter: over(of.lines_m.zip(of.riser_m).map(|(lines, riser)| lines + riser)),
        diameter_over_body: of.nominal_m.zip(of.body_m).map(|(diameter, body)| diameter / body),
        ..Geometry::default()
    }
}

/// D₀ from a diameter of another kind, by the shape's ratio.
pub(super) fn nominal_diameter_m(
    shape: Option<Shape>,
    diameter_m: f64,
    means: Option<Reference>,
) -> Option<f64> {
    match (means?, shape) {
        (Reference::Nominal, _) => Some(diameter_m),
        (means, Some(shape)) => Some(diameter_m * diameter_ratio(shape, means, Reference::Nominal)?.middle()),
        _ => None,
    }
}

/// Length of the body across the stream, m.
fn across(body: &Body) -> Option<f64> {
    let (length, diameter) = (body.length.given().map(Quantity::si), body.diameter.given().map(Quantity::si));
    match body.hangs.given() {
        Some(Hangs::Upright) => diameter,
        Some(Hangs::Level) | None => length.or(diameter),
    }
}

/// A body whose drag follows from its shape.
pub(super) fn body_shape(body: &Body) -> Option<BodyShape> {
    let (length_m, diameter_m) = (body.length.given()?.si(), body.diameter.given()?.si());
    match (body.shape.given()?, body.hangs.given()) {
        (Shaped::Tube, Some(Hangs::Upright)) => Some(BodyShape::CylinderEndOn { length_m, diameter_m }),
        (Shaped::Tube, Some(Hangs::Level) | None) => Some(BodyShape::CylinderLevel { length_m, diameter_m }),
        (Shaped::Ball | Shaped::Box | Shaped::Other, _) => None,
    }
}
