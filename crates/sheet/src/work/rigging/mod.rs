//! Riser and cluster geometry of a part under the canopies chosen, and its body's drag area by shape beside that of its tests.

mod told;

use silkfall_core::air;
use silkfall_core::cases::{CaseKind, Cases, Load, Rig};
use silkfall_core::derivation::{How, NumberId, sym};
use silkfall_core::drag::{Drag, Interval};
use silkfall_core::finding::Code;
use silkfall_core::full_size::{Geometry, Offer, reynolds};
use silkfall_core::hanging::{
    self, BodyArea, DISTANCE_LEAST, Fins, FlowAlong, body_area, disc_across, distance_in_bodies,
    effective_length_wanted, expected_loss, fly_out, left_along, ring_radius, wake_bound,
};
use silkfall_core::ledger::{Estimate, LedgerId, Trust};
use silkfall_core::maths::sqrt;
use silkfall_core::quantity::{Kind, System, show};
use silkfall_core::shapes::{Range, Reference, diameter_ratio};
use silkfall_project::project::{Body, Part};
use silkfall_project::value::Quantity;
use silkfall_project::words::{BodyShape, Hangs};
use uom::si::dynamic_viscosity::pascal_second;
use uom::si::length::meter;

use super::hanging::{own_area, shape_entry};
use super::notes::{Notes, closed, input, linear, linked};
use super::session::{PlaceWorked, temperature_of};
use crate::hanging::RiggingSheet;
use crate::number::Number;

/// What the geometry is worked from.
pub(in crate::work) struct Given<'a> {
    pub part: &'a Part,
    pub site: &'a PlaceWorked,
    pub load: &'a Load,
    pub rig: &'a Rig,
    pub offer: Option<&'a Offer>,
    pub cases: &'a Cases,
    /// What the tests say, and ln of full over model length.
    pub drag: Option<&'a Drag>,
    pub ln_scale: &'a Estimate,
    /// Geometry of the model, where one was tested, and of the real thing.
    pub model: Option<Geometry>,
    pub full: Geometry,
}

/// The body's own drag area, and where it acts.
pub(in crate::work) struct BodyDrag {
    own: Estimate,
    by_shape: Option<(BodyArea, String)>,
    /// Whether it is the tests' and not the shape's.
    tested: bool,
    centre: Option<f64>,
}

impl BodyDrag {
    /// Its value, m².
    pub fn own_m2(&self) -> f64 {
        self.own.value
    }

    /// Where it comes from.
    pub fn trust(&self) -> Trust {
        match (&self.by_shape, self.tested) {
            (Some((area, _)), false) => area.how.source.clone(),
            _ => Trust::Measured,
        }
    }

    /// The number of the sheet that it is.
    pub fn number(&self, part: &str) -> NumberId {
        let name = if self.tested { "body_tested" } else { "body_by_shape" };
        NumberId(format!("parts.{part}.rigging.{name}"))
    }

    /// From the front end to the centre of area by the shape, m.
    pub fn centre_m(&self) -> Option<f64> {
        self.centre
    }

    /// Its doubts by ledger entry, m².
    pub fn parts(&self, notes: &mut Notes) -> Vec<(LedgerId, f64)> {
        if let (Some((area, part)), false) = (&self.by_shape, self.tested) {
            let (id, entry) = shape_entry(part, area.how.si, area.interval.low, area.interval.high);
            notes.enter(&id, entry);
        }
        self.own.parts.iter().map(|(id, part)| (id.clone(), part.signed.abs())).collect()
    }
}

/// The geometry, and the body's own drag for its harness.
pub(in crate::work) fn work(given: &Given<'_>, notes: &mut Notes) -> (RiggingSheet, Option<BodyDrag>) {
    let worked = Worked { given, path: format!("parts.{}.rigging", given.part.name.value) };
    let mut sheet = RiggingSheet { count: given.rig.count, ..RiggingSheet::default() };
    let body = worked.body(&mut sheet, notes);
    let mouth = worked.mouth();
    worked.cluster(&mut sheet, mouth, notes);
    worked.behind_the_body(&mut sheet, mouth, body.as_ref(), notes);
    sheet.likeness = worked.likeness(notes);
    worked.say(&mut sheet, body.as_ref(), notes);
    (sheet, body)
}

struct Worked<'a> {
    given: &'a Given<'a>,
    path: String,
}

/// How the stream meets a tube as it hangs.
fn flow(body: &Body) -> FlowAlong {
    match body.hangs.given() {
        Some(Hangs::Upright) => FlowAlong::Axis,
        Some(Hangs::Level) | None => FlowAlong::Across,
    }
}

impl Worked<'_> {
    fn id(&self, name: &str) -> String {
        format!("{}.{name}", self.path)
    }

    /// Rate with all canopies open, at the median.
    fn rate(&self) -> Option<(f64, &str)> {
        let all = self.given.cases.results.iter().find(|result| result.case.kind == CaseKind::AllOpen)?;
        Some((all.rate_m_per_s?.median, all.case.name.as_str()))
    }

    /// The body's drag area by its shape and by its tests.
    fn body(&self, sheet: &mut RiggingSheet, notes: &mut Notes) -> Option<BodyDrag> {
        let Given { part, drag, ln_scale, site, .. } = self.given;
        let body = &part.body;
        let tested = own_area(*drag, ln_scale);
        if let Some(own) = &tested {
            let mut number = linear(self.id("body_tested"), own, Kind::DragArea);
            number.interval_95 = number.interval_95.map(|interval| interval.within(0.0, f64::INFINITY));
            let how = How::Fit {
                procedure: "The body's own drag area B, as the tests of the model part it from what the canopies lose \
                            in its wake, brought to full size by the square of scale."
                    .to_owned(),
                data: "factors of the model's tests".to_owned(),
                count: 1,
            };
            sheet.body_tested = Some(notes.number(number, how));
        }
        let shape = match (body.shape.given(), body.length.given(), body.diameter.given()) {
            (Some(BodyShape::Tube), Some(length), Some(diameter)) => Some((length.si(), diameter.si())),
            _ => None,
        };
        let by_shape = shape.map(|(length, diameter)| {
            let reynolds = self.rate().map(|(rate, case)| {
                let mu = air::standard::viscosity(temperature_of(site)).get::<pascal_second>();
                let how = reynolds(rate, diameter, mu / site.density_kg_per_m3.value);
                let case = NumberId(format!("parts.{}.cases.{case}.rate", part.name.value));
                let number = Number::exact(self.id("reynolds"), how.si, Kind::Ratio);
                let number = notes.derived(number, linked(how, &[("v", &case)]));
                let si = number.si;
                sheet.reynolds = Some(number);
                si
            });
            let fins = body.fins.given().zip(body.fin_area.given());
            let fins = fins.map(|(count, area)| Fins { count: *count, area_m2: area.si() });
            let area = body_area(flow(body), length, diameter, fins, reynolds);
            let number =
                Number::between(self.id("body_by_shape"), area.how.si, area.interval, Kind::DragArea);
            sheet.body_by_shape = Some(notes.derived(number, area.how.clone()));
            area
        });
        let of_shape = by_shape.as_ref().map(|area| {
            let (id, _) = shape_entry(&part.name.value, area.how.si, area.interval.low, area.interval.high);
            let sd = (area.interval.high - area.interval.low) / sqrt(12.0);
            Estimate::exact(area.how.si).with(id, sd, f64::INFINITY)
        });
        // Tests that hardly tell the body from nothing say less than its shape.
        let firmer = |tested: &Estimate| {
            of_shape
                .as_ref()
                .is_none_or(|shape| tested.standard_uncertainty() <= shape.standard_uncertainty())
        };
        let (own, tested) = match tested.filter(firmer) {
            Some(own) => (own, true),
            None => (of_shape?, false),
        };
        let middle = shape.map(|(length, _)| length / 2.0);
        let fins_at = body.fins_at.given().map(Quantity::si);
        let share = by_shape.as_ref().map_or(0.0, |area| area.fins_share);
        let centre = middle.map(|middle| middle + share * (fins_at.unwrap_or(middle) - middle));
        let by_shape = by_shape.map(|area| (area, part.name.value.clone()));
        Some(BodyDrag { own, by_shape, tested, centre })
    }

    /// Diameter of the mouth in flight, m.
    fn mouth(&self) -> Option<Range> {
        let Given { rig, offer, .. } = self.given;
        let offer = (*offer)?;
        if offer.diameter_means == Some(Reference::Projected) {
            let own = offer.diameter.get::<meter>();
            return Some(Range { low: own, high: own });
        }
        let ratio = diameter_ratio(offer.shape?, Reference::Nominal, Reference::Projected)?;
        let nominal = rig.canopy.nominal_diameter_m?;
        Some(Range { low: ratio.low * nominal, high: ratio.high * nominal })
    }

    /// Lines and own risers; the ring, and how far canopies lean out.
    fn cluster(&self, sheet: &mut RiggingSheet, mouth: Option<Range>, notes: &mut Notes) {
        let (stated, count) = (&self.given.part.rig, self.given.rig.count);
        if count < 2 {
            return;
        }
        let (lines, riser) = (stated.line_length.given(), stated.riser_length.given());
        let Some((lines, riser)) = lines.map(Quantity::si).zip(riser.map(Quantity::si)) else { return };
        let own = match stated.common_riser.given() {
            Some(common) => {
                let si = lines + riser - common.si();
                let how = closed(
                    "L",
                    "lines and own risers, from where the risers part to the skirt",
                    Kind::Length,
                    sym("l_l") + sym("l_r") - sym("l_c"),
                    vec![
                        input("l_l", "suspension lines", lines, Kind::Length, Trust::Given, None),
                        input("l_r", "riser", riser, Kind::Length, Trust::Given, None),
                        input("l_c", "riser that all share", common.si(), Kind::Length, Trust::Given, None),
                    ],
                    Trust::Published("a sum of lengths".to_owned()),
                );
                sheet.own_length =
                    Some(notes.derived(Number::exact(self.id("own_length"), si, Kind::Length), how));
                Range { low: si, high: si }
            }
            None => {
                let own = Range { low: lines, high: lines + riser };
                let interval = Interval { low: own.low, high: own.high };
                let number = Number::between(self.id("own_length"), own.middle(), interval, Kind::Length);
                let how = How::Fit {
                    procedure:
                        "How much of the riser the canopies share is not stated: between all of it and none."
                            .to_owned(),
                    data: format!("part.{}.rig", self.given.part.name.value),
                    count: 2,
                };
                sheet.own_length = Some(notes.number(number, how));
                own
            }
        };
        if let Some(nominal) = self.given.rig.canopy.nominal_diameter_m {
            let how = effective_length_wanted(count, nominal);
            let number = Number::exact(self.id("length_wanted"), how.si, Kind::Length);
            sheet.length_wanted = Some(notes.derived(number, how));
        }
        let Some((mouth, ring)) = mouth.and_then(|mouth| Some((mouth, ring_radius(count, mouth.middle())?)))
        else {
            return;
        };
        let per_mouth = ring.si / mouth.middle();
        let (radius, length) = (ring.si, own.middle());
        let interval = Interval { low: per_mouth * mouth.low, high: per_mouth * mouth.high };
        let number = Number::between(self.id("ring_radius"), ring.si, interval, Kind::Length);
        let number = notes.derived(number, ring);
        sheet.ring_radius = Some(number.clone());
        let Some(lean) = fly_out(radius, length) else {
            let message = format!(
                "{} touching canopies need a ring {} wide, more than lines and own risers of {} allow",
                count,
                show(2.0 * radius, 0.0, Kind::Length, System::Si),
                show(length, 0.0, Kind::Length, System::Si)
            );
            self.find(Code::RiggingCrowded, "rig", message, notes);
            return;
        };
        let at = |mouth: f64, length: f64| {
            fly_out(per_mouth * mouth, length).map_or(std::f64::consts::FRAC_PI_2, |lean| lean.si)
        };
        let interval = Interval { low: at(mouth.low, own.high), high: at(mouth.high, own.low) };
        let own_id = sheet.own_length.as_ref().map(|own| own.id.clone());
        let links: Vec<_> =
            [("R", &number.id)].into_iter().chain(own_id.iter().map(|id| ("L", id))).collect();
        let lean_number = Number::between(self.id("fly_out"), lean.si, interval, Kind::Angle);
        let lean_number = notes.derived(lean_number, linked(lean, &links));
        let left = left_along(lean_number.si);
        let ends = Interval { low: left_along(interval.high).si, high: left_along(interval.low).si };
        let left_number = Number::between(self.id("left_along"), left.si, ends, Kind::Ratio);
        sheet.left_along = Some(notes.derived(left_number, linked(left, &[("theta", &lean_number.id)])));
        sheet.fly_out = Some(lean_number);
    }

    /// Distance behind the body, and what its wake may cost.
    fn behind_the_body(
        &self,
        sheet: &mut RiggingSheet,
        mouth: Option<Range>,
        body: Option<&BodyDrag>,
        notes: &mut Notes,
    ) {
        let Given { part, rig, .. } = self.given;
        if let (Some(body), Some(mouth)) = (body, mouth) {
            let trust = body.trust();
            let how = wake_bound(body.own_m2(), &trust, rig.count, mouth.middle());
            let at = |area: f64, mouth: f64| wake_bound(area.max(0.0), &trust, rig.count, mouth).si;
            let half = 1.96 * body.own.standard_uncertainty();
            let interval = Interval {
                low: at(body.own_m2() - half, mouth.high),
                high: at(body.own_m2() + half, mouth.low),
            };
            let number = Number::between(self.id("wake_bound"), how.si, interval, Kind::Share);
            let of = body.number(&part.name.value);
            sheet.wake_bound = Some(notes.derived(number, linked(how, &[("B", &of)])));
        }
        let (lines, riser) = (part.rig.line_length.given(), part.rig.riser_length.given());
        let (Some(length), Some(diameter)) = (part.body.length.given(), part.body.diameter.given()) else {
            return;
        };
        let disc = disc_across(flow(&part.body), length.si(), diameter.si());
        let number = Number::exact(self.id("disc"), disc.si, Kind::Length);
        let disc = notes.derived(number, disc);
        if let Some((lines, riser)) = lines.zip(riser) {
            let how = closed(
                "x",
                "from body to skirt",
                Kind::Length,
                sym("l_l") + sym("l_r"),
                vec![
                    input("l_l", "suspension lines", lines.si(), Kind::Length, Trust::Given, None),
                    input("l_r", "riser", riser.si(), Kind::Length, Trust::Given, None),
                ],
                Trust::Published("a sum of lengths".to_owned()),
            );
            let distance = Number::exact(self.id("distance"), how.si, Kind::Length);
            let distance = notes.derived(distance, how);
            let how = distance_in_bodies(distance.si, disc.si);
            let links = [("x", &distance.id), ("d_b", &disc.id)];
            let number = Number::exact(self.id("in_bodies"), how.si, Kind::Ratio);
            let in_bodies = notes.derived(number, linked(how, &links));
            if in_bodies.si < DISTANCE_LEAST {
                let message = format!(
                    "the skirt is {} body diameters behind the body, expected at least {DISTANCE_LEAST}",
                    show(in_bodies.si, 0.05, Kind::Ratio, System::Si)
                );
                self.find(Code::RiggingNearBody, "rig", message, notes);
            }
            let expected = mouth.and_then(|mouth| expected_loss(mouth.middle() / disc.si, in_bodies.si));
            if let Some(range) = expected {
                let interval = Interval { low: range.low, high: range.high };
                let number = Number::between(self.id("expected_loss"), range.middle(), interval, Kind::Share);
                let how = How::Fit {
                    procedure:
                        "The handbook's range for a mouth and a distance of so many body diameters, with low \
                                confidence."
                            .to_owned(),
                    data: format!("from memory of {}", hanging::FOREBODY_SOURCE),
                    count: 0,
                };
                sheet.expected_loss = Some(notes.number(number, how));
            }
            sheet.distance = Some(distance);
            sheet.in_bodies = Some(in_bodies);
        }
        sheet.disc = Some(disc);
    }
}
