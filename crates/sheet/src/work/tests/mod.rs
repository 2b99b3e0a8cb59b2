//! One test: its recordings, rate or force to its drag area, with all that came down item by item.
//!
//! D = 2 m g/(ρ v²) of a fall, D = 2 F/(ρ v²) of a pull, m² ([`silkfall_core::drag`]). A drop with ballast of its
//! own is referred to the test's mass by v √(m/m_drop), which is exact for a steady fall.

mod drops;
mod weigh;

use silkfall_core::derivation::{How, NumberId, sym};
use silkfall_core::drag::{self, Below, Canopy, Configuration, TestArea};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::quantity::{Kind, Spread, System, show};
use silkfall_project::Project;
use silkfall_project::project::{Evidence, Test};
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::words::BodyOn;

use super::notes::{Notes, closed, input, linear, linked, logarithmic};
use super::session::PlaceWorked;
use crate::doubts;
use crate::number::Number;
use crate::reduce::Input;
use crate::sheet::TestSheet;
use crate::watch::TestTold;

/// One test, worked.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TestWorked {
    pub part: String,
    /// The model tested; `None`: the real thing.
    pub model: Option<String>,
    pub sheet: TestSheet,
    /// For the fit of drag areas; `None` where the test gives none.
    pub area: Option<TestArea>,
    /// Pooled rate, m/s.
    pub rate_m_per_s: Option<f64>,
    pub notes: Notes,
}

impl TestWorked {
    /// As those who watch are told.
    pub fn told(&self) -> TestTold<'_> {
        TestTold { part: &self.part, sheet: &self.sheet, hows: &self.notes.hows }
    }
}

/// Works one test in its place's air. `inputs` are its recordings in the order of the project.
pub(crate) fn work(test: &Test, project: &Project, place: &PlaceWorked, inputs: &[&Input]) -> TestWorked {
    let mut notes = Notes::default();
    let at = Path { json: format!("parts.{}.tests.{}", test.part.value, test.name.value), test };
    let weighed = weigh::falls(&at, project, &mut notes);
    let how = at.density(place, &mut notes);
    let mut sheet = TestSheet {
        name: test.name.value.clone(),
        session: test.session.as_ref().map(|said| said.value.clone()),
        what: what(test, project),
        serials: (!test.canopies_unknown)
            .then(|| test.canopies.iter().map(|said| said.value.clone()).collect()),
        body: (!test.body.is_unknown()).then(|| body_is_on(test)),
        riser_length: test.riser_length.given().map(|riser| {
            let length = linear(
                at.id("riser_length"),
                &exact_or(riser.si(), LedgerId(at.key("riser_length")), riser.standard_uncertainty_si()),
                Kind::Length,
            );
            notes.given(length, &at.key("riser_length"), riser.text())
        }),
        falls: weighed.as_ref().map(|weighed| weighed.falls.clone()),
        recordings: Vec::new(),
        drops_kept: 0,
        drops_set_aside: 0,
        rate: None,
        scatter: None,
        density: Some(how),
        drag_area: None,
        doubts: Vec::new(),
    };
    let measured = match &test.evidence {
        Evidence::Logs { drops, reading, .. } => {
            let mass = weighed.as_ref().map(|weighed| weighed.mass_kg.value);
            let between = reading.between.as_ref().map(|said| &said.value);
            drops::logs(
                &at,
                place,
                inputs,
                &drops::Logs { drops, between, mass_kg: mass },
                &mut sheet,
                &mut notes,
            )
        }
        Evidence::Rate(rate) => stated_rate(&at, rate, &mut sheet, &mut notes),
        Evidence::Force { force, at: speed } => pull(&at, force, speed, place, &mut notes),
    };
    let area = match (measured, weighed) {
        (Some(Found::Rate { rate, trust }), Some(weighed)) => {
            let fall = drag::Fall {
                mass_kg: place.weighed(weighed.mass_kg),
                rate_m_per_s: rate,
                density_kg_per_m3: place.density_kg_per_m3.clone(),
                gravity: place.gravity,
            };
            Some(drag::of_fall(&fall, trust))
        }
        (Some(Found::Pull(pull)), _) => Some(drag::of_force(&pull)),
        _ => None,
    };
    let area = area.and_then(|(ln_area, how)| {
        let id = at.id("drag_area");
        let links = [
            ("m", at.id("falls.total")),
            ("g", place.gravity_id()),
            ("rho", at.id("density")),
            ("v", at.id("rate")),
        ];
        let known: Vec<(&str, &NumberId)> = links
            .iter()
            .filter(|(_, id)| notes.hows.contains_key(id) || *id == place.gravity_id())
            .map(|(symbol, id)| (*symbol, id))
            .collect();
        let how = linked(how, &known);
        let number = notes.derived(logarithmic(id, &ln_area, Kind::DragArea), how.clone());
        sheet.drag_area = Some(number);
        sheet.doubts = doubts::by_cause(&ln_area, 1.0, &notes.ledger_with(&place.notes))
            .into_iter()
            .map(|(_, doubt)| doubt)
            .collect();
        // What hung there or was open is wanted and not known: the test has a drag area, but nothing can be told
        // from it.
        let is_known = !test.body.is_unknown() && !test.canopies_unknown;
        let configuration = is_known.then(|| configuration_of(test, project))?;
        Some(TestArea { name: test.name.value.clone(), configuration, ln_area, how })
    });
    TestWorked {
        part: test.part.value.clone(),
        model: test.model.as_ref().map(|said| said.value.clone()),
        rate_m_per_s: sheet.rate.as_ref().map(|rate| rate.si),
        sheet,
        area,
        notes,
    }
}

/// Where a test's numbers, ledger entries and keys stand.
struct Path<'a> {
    json: String,
    test: &'a Test,
}

impl Path<'_> {
    fn id(&self, name: &str) -> NumberId {
        NumberId(format!("{}.{name}", self.json))
    }

    fn key(&self, name: &str) -> String {
        format!("test.{}.{name}", self.test.name.value)
    }

    fn density(&self, place: &PlaceWorked, notes: &mut Notes) -> Number {
        let of = &place.sheet.density;
        let trust = Trust::Given;
        let how = closed(
            "rho",
            "density of the air it fell in",
            Kind::Density,
            sym("rho_s"),
            vec![input("rho_s", "density of the session's air", of.si, Kind::Density, trust, Some(&of.id))],
            Trust::Practice,
        );
        notes.derived(linear(self.id("density"), &place.density_kg_per_m3, Kind::Density), how)
    }
}

/// What a test measured.
enum Found {
    /// A rate, m/s.
    Rate { rate: Estimate, trust: Trust },
    /// A force in a stream.
    Pull(drag::Pull),
}

/// The ledger entry of something a person wrote.
pub(crate) fn entry<Q: Measured>(meaning: String, quantity: &Quantity<Q>) -> Entry {
    let (value, spread) = (quantity.si(), quantity.spread());
    let distribution = match spread {
        Spread::NotSaid => Distribution::Exact,
        Spread::Standard(sd) => Distribution::Normal { sd },
        Spread::Within(half) => Distribution::Rectangular { low: value - half, high: value + half },
    };
    Entry { meaning, value, distribution, sharing: Sharing::Knowledge, trust: Trust::Given }
}

/// A value with one part, or none where nothing was said of its doubt.
pub(crate) fn exact_or(value: f64, id: LedgerId, sd: f64) -> Estimate {
    let estimate = Estimate::exact(value);
    if sd > 0.0 { estimate.with(id, sd, f64::INFINITY) } else { estimate }
}

/// The sum of two estimates.
pub(crate) fn added(mut sum: Estimate, other: &Estimate) -> Estimate {
    sum.value += other.value;
    for (id, part) in &other.parts {
        sum = sum.with(id.clone(), part.signed, part.dof);
    }
    sum
}

/// A rate that was stated; without a ± it takes the prior scatter of one drop.
fn stated_rate(
    at: &Path<'_>,
    rate: &Known<Quantity<silkfall_core::quantity::Velocity>>,
    sheet: &mut TestSheet,
    notes: &mut Notes,
) -> Option<Found> {
    let Known::Given(said) = rate else { return None };
    let (si, sd) = (said.value.si(), said.value.standard_uncertainty_si());
    let id = LedgerId(at.key("rate"));
    let mut stated = entry(format!("the stated rate, {}", at.test.name.value), &said.value);
    let sd = if sd > 0.0 {
        sd
    } else {
        let prior = silkfall_core::pooling::PoolConfig::default().scatter.standard_deviation;
        stated.distribution = Distribution::Normal { sd: si * prior };
        stated.trust = Trust::Assumed(format!("no ± is stated, {:.0} % as for one drop", prior * 100.0));
        si * prior
    };
    notes.enter(&id, stated);
    let rate = exact_or(si, id, sd);
    sheet.rate =
        Some(notes.given(linear(at.id("rate"), &rate, Kind::Speed), &at.key("rate"), said.value.text()));
    Some(Found::Rate { rate, trust: Trust::Given })
}

fn pull(
    at: &Path<'_>,
    force: &Known<Quantity<silkfall_core::quantity::Force>>,
    speed: &Known<Quantity<silkfall_core::quantity::Velocity>>,
    place: &PlaceWorked,
    notes: &mut Notes,
) -> Option<Found> {
    let (Known::Given(force), Known::Given(speed)) = (force, speed) else { return None };
    let force_id = LedgerId(at.key("force"));
    notes.enter(&force_id, entry(format!("the pull, {}", at.test.name.value), &force.value));
    let speed_id = LedgerId(at.key("at"));
    notes.enter(&speed_id, entry(format!("speed of the air past it, {}", at.test.name.value), &speed.value));
    Some(Found::Pull(drag::Pull {
        force_n: exact_or(force.value.si(), force_id, force.value.standard_uncertainty_si()),
        speed_m_per_s: exact_or(speed.value.si(), speed_id, speed.value.standard_uncertainty_si()),
        density_kg_per_m3: place.density_kg_per_m3.clone(),
    }))
}

/// Whether the body hung there: a model or the real thing without a word on it is taken with its body.
fn body_is_on(test: &Test) -> bool {
    test.body.given() != Some(&BodyOn::Off)
}

/// What was open, and what hung below how far.
fn configuration_of(test: &Test, project: &Project) -> Configuration {
    let canopies = test
        .canopies
        .iter()
        .map(|said| Canopy { kind: kind_of(project, &said.value), serial: said.value.clone() })
        .collect();
    let line = test
        .line_length
        .given()
        .or_else(|| test.canopies.iter().find_map(|said| project.canopy(&said.value)?.line_length.given()));
    let distance_m = test.riser_length.given().zip(line).map(|(riser, line)| riser.si() + line.si());
    let below = if body_is_on(test) { Below::Body { distance_m } } else { Below::Weight };
    Configuration { canopies, below }
}

/// Canopies of one kind are sewn alike: of the same offer to the same scale, or of the same shape and size.
pub(crate) fn kind_of(project: &Project, serial: &str) -> String {
    let Some(canopy) = project.canopy(serial) else { return serial.to_owned() };
    if let Some(offer) = canopy.copy_of.given() {
        return match canopy.scale.given() {
            Some(scale) if (scale.si() - 1.0).abs() > 1e-9 => format!("{offer} at {}", scale.text()),
            _ => offer.clone(),
        };
    }
    match (canopy.shape.given(), canopy.diameter.given()) {
        (shape, Some(diameter)) => {
            let shape = shape.map_or("canopy", String::as_str);
            format!("{shape} {}", show(diameter.si(), 0.0, Kind::Length, System::Si))
        }
        _ => serial.to_owned(),
    }
}

/// "two canopies K1, K2 and the body, half tube at 1/2".
fn what(test: &Test, project: &Project) -> String {
    const NUMBERS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];
    let count = test.canopies.len();
    let number = NUMBERS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned());
    let serials: Vec<&str> = test.canopies.iter().map(|said| said.value.as_str()).collect();
    let canopies = match count {
        0 => "no canopy".to_owned(),
        1 => format!("one canopy {}", serials[0]),
        _ => format!("{number} canopies {}", serials.join(", ")),
    };
    let below = if body_is_on(test) { "the body" } else { "a compact weight" };
    let fell = match (test.canopies_unknown, test.body.is_unknown()) {
        (false, false) => format!("{canopies} and {below}"),
        (false, true) => format!("{canopies}, the body not known"),
        (true, false) => format!("{below}, canopies not known"),
        (true, true) => "canopies and body not known".to_owned(),
    };
    let of = match test.model.as_ref().and_then(|said| project.model(&said.value)) {
        Some(model) => match model.scale.given() {
            Some(scale) => format!("{} at {}", model.name.value, scale.text()),
            None => model.name.value.clone(),
        },
        None => "the real thing".to_owned(),
    };
    format!("{fell}, {of}")
}

/// How a number came about that no closed form gives.
pub(crate) fn fit(procedure: &str, data: String, count: usize) -> How {
    How::Fit { procedure: procedure.to_owned(), data, count }
}
