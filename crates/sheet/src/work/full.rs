//! A part at full size: cluster factors, what the body adds, the drag area of each offer's canopy, the air and masses.
//!
//! The transfer itself is core's ([`silkfall_core::full_size`]). Here it is settled what carries over from which test: a
//! test of the real canopy before a scale copy before the offer's own coefficient; the geometry of model and full size
//! as ratios, so that each mismatch adds its stated doubt.

use silkfall_core::candidates::Offered;
use silkfall_core::cases::{Failures, Load, SHARED_CAUSE};
use silkfall_core::derivation::{How, NumberId, sym};
use silkfall_core::drag::{Below, Drag, Factor, Interval, Known as DragKnown, Scale, TestArea};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::full_size::{
    self, BodySource, FullCanopy, FullNet, Geometry, Offer, bare_body, body_under, canopy_of_offer,
    canopy_of_real_test, canopy_of_scale_copy, cluster_factors,
};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::maths::{exp, ln, sqrt};
use silkfall_core::pooling::PoolConfig;
use silkfall_core::quantity::Kind;
use silkfall_core::shapes::Shape;
use silkfall_project::Project;
use silkfall_project::project::{Canopy, Part};
use silkfall_project::value::Quantity;
use uom::si::length::meter;

use super::geometry::{body_shape, nominal_diameter_m};
use super::notes::{Notes, closed, input, logarithmic};
use super::session::PlaceWorked;
use super::sets::Sets;
use super::tests::{TestWorked, entry, exact_or, kind_of};

/// Chance that one canopy stays shut where the project says nothing: a judgement of ours.
const STAYS_SHUT: f64 = 0.01;
/// Drag of a canopy that is out but not filled over that of the filled one, and its doubt in ln: judgements of ours.
const UNFILLED: (f64, f64) = (0.1, 0.5);

/// What a part is worked with at full size.
pub(super) struct Full {
    /// Mass, air, clusters and body; `None` where the mass is not known.
    pub load: Option<Load>,
    /// One canopy of each offer, or why there is none.
    pub offered: Vec<Offered>,
    /// ln of full over model length; 0 without a model.
    pub ln_scale: Estimate,
    pub notes: Notes,
}

/// What full size is worked from.
pub(super) struct From<'a> {
    pub part: &'a Part,
    pub project: &'a Project,
    pub site: &'a PlaceWorked,
    pub tests: &'a [&'a TestWorked],
    pub sets: &'a Sets,
    /// Offers in the order of the project.
    pub offers: &'a [Offer],
    /// The offer that geometry is compared for.
    pub meant: Option<&'a Offer>,
    /// The largest count asked for.
    pub up_to: usize,
}

impl From<'_> {
    pub fn work(&self) -> Full {
        let mut notes = Notes::default();
        let ln_scale = self.ln_scale(&mut notes);
        let model = self.model_geometry();
        let meant = self.geometry_of(self.meant);
        let drag = self.sets.carrying();
        let (of_cluster, of_body) = match &self.sets.model {
            Some(_) => {
                (full_size::cluster_mismatches(&model, &meant), full_size::body_mismatches(&model, &meant))
            }
            None => (Vec::new(), Vec::new()),
        };
        self.say_not_carried(&ln_scale, &mut notes);
        let clusters = cluster_factors(drag, &of_cluster, self.up_to, &mut notes.ledger);
        let source = BodySource {
            part: &self.part.name.value,
            drag,
            ln_scale: &ln_scale,
            mismatches: &of_body,
            shape: body_shape(&self.part.body),
        };
        let under = body_under(&source, clusters.len(), &mut notes.ledger);
        let ln_bare = bare_body(&source, &mut notes.ledger);
        let offered = self
            .offers
            .iter()
            .map(|offer| Offered {
                offer: offer.clone(),
                canopy: self.canopy(offer, &ln_scale, &under, &mut notes),
            })
            .collect();
        let load = self.mass(&mut notes).map(|mass_kg| Load {
            part: self.part.name.value.clone(),
            mass_kg,
            density_kg_per_m3: self.site.density_kg_per_m3.clone(),
            gravity: self.site.gravity,
            ln_flight_scatter: self.flight_scatter(&mut notes),
            clusters,
            under,
            ln_bare,
            ln_unfilled_share: self.unfilled(&mut notes),
            failures: self.failures(),
        });
        Full { load, offered, ln_scale, notes }
    }

    /// Canopies whose areas were measured and reach no offer.
    fn say_not_carried(&self, ln_scale: &Estimate, notes: &mut Notes) {
        let reaches = |offer: &Offer| {
            [None, Some(-ln_scale.value)].into_iter().any(|copy| self.kind_for(&offer.name, copy).is_some())
        };
        let mine = |name: &str| self.tests.iter().any(|test| test.sheet.name == name && test.area.is_some());
        let tests = self.project.tests.iter().filter(|test| mine(&test.name.value));
        let mut serials: Vec<&str> =
            tests.flat_map(|test| &test.canopies).map(|serial| serial.value.as_str()).collect();
        serials.sort_unstable();
        serials.dedup();
        if serials.is_empty() || self.offers.is_empty() || self.offers.iter().any(reaches) {
            return;
        }
        let are = if serials.len() == 1 { "is a copy" } else { "are copies" };
        let message =
            format!("{} {are} of no offer: what was measured of their drag is not used", serials.join(", "));
        notes.find_at(Code::FullSizeNotCarried, &format!("part.{}", self.part.name.value), None, message);
    }

    /// ln of full over model length, with the doubt of the model's stated scale.
    fn ln_scale(&self, notes: &mut Notes) -> Estimate {
        let stated = self.sets.model.as_ref().and_then(|(name, _)| {
            let model = self.project.model(name)?;
            Some((name, model.scale.given()?))
        });
        let Some((name, scale)) = stated else { return Estimate::exact(0.0) };
        let id = LedgerId(format!("model.{name}.scale"));
        notes.enter(&id, entry("scale of the model".to_owned(), scale));
        exact_or(-ln(scale.si()), id, scale.standard_uncertainty_si() / scale.si())
    }

    /// All that comes down but its canopies; it differs from flight to flight.
    fn mass(&self, notes: &mut Notes) -> Option<Estimate> {
        let mass = self.part.mass.given()?;
        let id = LedgerId(format!("part.{}.mass", self.part.name.value));
        let entered = Entry {
            sharing: Sharing::Flight,
            ..entry(format!("mass of {} without canopies", self.part.name.value), mass)
        };
        notes.enter(&id, entered);
        Some(exact_or(mass.si(), id, mass.standard_uncertainty_si()))
    }

    /// What differs from flight to flight beside mass and day: the scatter between drops of the tests.
    fn flight_scatter(&self, notes: &mut Notes) -> Estimate {
        let id = LedgerId(format!("part.{}.flight-scatter", self.part.name.value));
        let found: Vec<f64> = self
            .tests
            .iter()
            .filter_map(|test| test.sheet.scatter.as_ref())
            .map(|scatter| scatter.si)
            .collect();
        let (sd, trust) = if found.is_empty() {
            let prior = PoolConfig::default().scatter.standard_deviation;
            (prior, Trust::Assumed("no test has several drops".to_owned()))
        } else {
            (sqrt(found.iter().map(|s| s * s).sum::<f64>() / found.len() as f64), Trust::Measured)
        };
        let meaning = "gusts and swing, from flight to flight".to_owned();
        let distribution = Distribution::Normal { sd };
        notes.enter(&id, Entry { meaning, value: 0.0, distribution, sharing: Sharing::Flight, trust });
        exact_or(0.0, id, sd)
    }

    fn unfilled(&self, notes: &mut Notes) -> Estimate {
        let id = LedgerId(format!("part.{}.unfilled", self.part.name.value));
        let (share, sd_log) = UNFILLED;
        let entered = Entry {
            meaning: "drag of a canopy that is out but not filled, over the filled one's".to_owned(),
            value: share,
            distribution: Distribution::LogNormal { sd_log },
            sharing: Sharing::Flight,
            trust: Trust::Assumed("a tenth, within a factor of two, a judgement of ours".to_owned()),
        };
        notes.enter(&id, entered);
        exact_or(ln(share), id, sd_log)
    }

    fn failures(&self) -> Failures {
        let shared = self.part.cases.iter().find_map(|case| case.shared_cause.given()).map(Quantity::si);
        Failures {
            each: STAYS_SHUT,
            shared: shared.unwrap_or(SHARED_CAUSE),
            trust: Trust::Assumed("one canopy in a hundred stays shut, a judgement of ours".to_owned()),
        }
    }

    /// One canopy of an offer: tested itself, a scale copy of it tested, or by its coefficient.
    fn canopy(
        &self,
        offer: &Offer,
        ln_scale: &Estimate,
        under: &[FullNet],
        notes: &mut Notes,
    ) -> Result<FullCanopy, Finding> {
        let nominal_m = nominal_diameter_m(offer.shape, offer.diameter.get::<meter>(), offer.diameter_means);
        if let Some(real) =
            self.sets.real.as_ref().and_then(|real| self.area_of(&real.drag, &offer.name, None))
        {
            return Ok(canopy_of_real_test(real, nominal_m));
        }
        if let Some(rest) = self.rest_of_total(&offer.name, under) {
            return Ok(canopy_of_real_test(&rest, nominal_m));
        }
        let copied = self.sets.model.as_ref().and_then(|(_, model)| {
            let scale = -ln_scale.value;
            self.area_of(&model.drag, &offer.name, Some(scale)).map(|area| (area, &model.drag))
        });
        if let Some((area, _)) = copied {
            // The person states that the canopy is a true copy in shape, line length, vent and cloth.
            let alike = Geometry {
                shape: offer.shape.or(Some(Shape::FlatCircular)),
                lines_over_diameter: Some(1.0),
                vent_over_diameter: Some(1.0),
                cloth: Some("as copied".to_owned()),
                ..Geometry::default()
            };
            let about = Subject::Key(format!("offer.{}", offer.name));
            let mut full = canopy_of_scale_copy(area, ln_scale, &alike, &alike, about)?;
            full.nominal_diameter_m = nominal_m;
            return Ok(full);
        }
        canopy_of_offer(offer, &mut notes.ledger)
    }

    /// Mean area of the kind of canopy that is this offer (or its copy to a scale, in ln), where the tests tell it.
    fn area_of<'a>(&self, drag: &'a Drag, offer: &str, ln_copy: Option<f64>) -> Option<&'a Factor> {
        let kind = self.kind_for(offer, ln_copy)?;
        match &drag.kinds.iter().find(|known| known.kind == kind)?.mean {
            DragKnown::Told(factor) => Some(factor),
            DragKnown::NotTold(_) => None,
        }
    }

    /// The kind of tested canopies that is this offer, or its copy to a scale.
    fn kind_for(&self, offer: &str, ln_copy: Option<f64>) -> Option<String> {
        let is_it = |canopy: &&Canopy| {
            let scale = canopy.scale.given().map_or(0.0, |scale| ln(scale.si()));
            let named = canopy.copy_of.given().is_some_and(|of| of == offer);
            let stands_in = kind_of(self.project, &canopy.serial.value) == offer && ln_copy.is_none();
            stands_in || named && (scale - ln_copy.unwrap_or(0.0)).abs() < 1e-6
        };
        let canopy = self.project.canopies.iter().find(is_it)?;
        Some(kind_of(self.project, &canopy.serial.value))
    }

    /// A canopy tested only with its body: A = D − N, D all that braked in that test, N what the body is taken to add.
    /// N enters both here and in the cases by the same ledger entries, so that D comes back whatever N is.
    fn rest_of_total(&self, offer: &str, under: &[FullNet]) -> Option<Factor> {
        let real = &self.sets.real.as_ref()?.drag;
        let kind = self.kind_for(offer, None)?;
        let is_it = |test: &&TestArea| {
            let of = &test.configuration;
            matches!(of.canopies.as_slice(), [only] if only.kind == kind)
                && matches!(of.below, Below::Body { .. })
        };
        let test = real.tests.iter().find(is_it)?;
        let net = &under.first()?.area;
        let path = format!("parts.{}", self.part.name.value);
        let all = NumberId(format!("{path}.tests.{}.drag_area", test.name));
        let body = NumberId(format!("{path}.full_size.factors.body.1"));
        let total = exp(test.ln_area.value);
        let how = closed(
            "A",
            "drag area of one canopy: all that braked, less what the body is taken to add",
            Kind::DragArea,
            sym("D") - sym("N"),
            vec![
                input("D", "all that braked in the test", total, Kind::DragArea, Trust::Measured, Some(&all)),
                input("N", "what the body adds", net.value, Kind::DragArea, net.trust.clone(), Some(&body)),
            ],
            Trust::Practice,
        );
        let slope = match net.scale {
            Scale::Log => net.value,
            Scale::Linear => 1.0,
        };
        let mut estimate = test.ln_area.mapped(ln(how.si), total / how.si);
        for (id, part) in &net.estimate.parts {
            estimate = estimate.with(id.clone(), -slope * part.signed / how.si, part.dof);
        }
        let interval = logarithmic("", &estimate, Kind::DragArea).interval_95;
        let interval = interval.unwrap_or(Interval { low: how.si, high: how.si });
        let value = how.si;
        (value > 0.0).then_some(Factor {
            value,
            interval,
            scale: Scale::Log,
            estimate,
            trust: Trust::Measured,
            how: How::Closed(how),
        })
    }
}
