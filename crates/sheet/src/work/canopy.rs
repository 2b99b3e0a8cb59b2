//! What opens in a stage: its shape and mouth, and what is remembered of canopies of that shape.

use silkfall_core::cases::Rig;
use silkfall_core::full_size::Offer;
use silkfall_core::landing::Brakes;
use silkfall_core::ledger::{Estimate, LedgerId};
use silkfall_core::loads::remembered;
use silkfall_core::maths::exp;
use silkfall_core::shapes::{Range, Shape, circle_diameter_m};

use super::notes::Notes;
use super::tests::exact_or;

/// Mouth over nominal diameter where the shape does not say: that of solid cloth, from memory of Knacke, table 5-1.
const MOUTH: f64 = 0.68;

/// A canopy of a stage.
pub(super) struct Canopy {
    /// Where it is stated.
    pub shape: Option<Shape>,
    /// Diameter of the mouth in flight, m.
    pub mouth_m: f64,
}

impl Canopy {
    /// Of the choice, with its offer where there is one; or the stage's own, of which only the drag area is stated.
    pub fn of(brakes: &Brakes, rig: &Rig, offer: Option<&Offer>) -> Canopy {
        let (shape, diameter_m) = match brakes {
            Brakes::Canopies => (
                offer.and_then(|offer| offer.shape),
                rig.canopy.nominal_diameter_m.unwrap_or_else(|| circle_diameter_m(rig.canopy.area.value)),
            ),
            Brakes::Own { ln_area } => (None, circle_diameter_m(exp(ln_area.value))),
        };
        let ratio = shape.and_then(|shape| shape.row().projected_over_nominal).map_or(MOUTH, Range::middle);
        Canopy { shape, mouth_m: ratio * diameter_m }
    }

    /// Its shape, in words.
    pub fn named(&self) -> &'static str {
        self.shape.map_or("a canopy of no stated shape", Shape::name)
    }
}

/// What is remembered of a shape, entered.
pub(super) fn remembered_of(
    of: &str,
    what: &str,
    meaning: &str,
    range: Range,
    source: &str,
    notes: &mut Notes,
) -> Estimate {
    let id = LedgerId(format!("shape.{of}.{what}"));
    notes.enter(&id, remembered(format!("{meaning} of {of}"), range, source));
    anywhere(id, range)
}

/// Anywhere in a range alike.
pub(super) fn anywhere(id: LedgerId, range: Range) -> Estimate {
    exact_or(range.middle(), id, range.standard_uncertainty())
}
