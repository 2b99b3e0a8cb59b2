//! One test: its recordings, rate or force to its drag area, with all that came down item by item.
//!
//! D = 2 m g/(ρ v²) of a fall, D = 2 F/(ρ v²) of a pull, m² ([`silkfall_core::drag`]). Each item of mass is an entry of
//! the ledger; a canopy weighed once and flown in several tests is one entry in all of them. A drop with ballast of its
//! own is referred to the test's mass by v √(m/m_drop), which is exact for a steady fall.

use silkfall_core::air::Reading;
use silkfall_core::derivation::{Expr, How, NumberId, sym};
use silkfall_core::drag::{self, Below, Canopy, Configuration, TestArea};
use silkfall_core::finding::{Code, Subject};
use silkfall_core::height;
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::maths::{ln, sqrt};
use silkfall_core::pooling::Wanted;
use silkfall_core::quantity::{Kind, Length, Spread, System, Time, show};
use silkfall_core::rates::Window;
use silkfall_project::Project;
use silkfall_project::project::{self, DropNote, Evidence, Test};
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::words::BodyOn;
use uom::si::length::meter;
use uom::si::time::second;

use super::notes::{Notes, PROJECT_FILE, closed, input, linear, linked, logarithmic};
use super::session::PlaceWorked;
use crate::doubts;
use crate::number::Number;
use crate::reduce::configuration::{self, Job, SaidOfDrop};
use crate::reduce::{Input, fit_of_drop, fit_of_pool};
use crate::sheet::{Falls, FallsItem, TestSheet};

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

/// Works one test in its place's air. `inputs` are its recordings in the order of the project.
pub(crate) fn work(test: &Test, project: &Project, place: &PlaceWorked, inputs: &[&Input]) -> TestWorked {
    let mut notes = Notes::default();
    let at = Path { json: format!("parts.{}.tests.{}", test.part.value, test.name.value), test };
    let weighed = falls(&at, project, &mut notes);
    let how = at.density(place, &mut notes);
    let mut sheet = TestSheet {
        name: test.name.value.clone(),
        session: test.session.as_ref().map(|said| said.value.clone()),
        what: what(test, project),
        canopies: test.canopies.len(),
        body: body_is_on(test),
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
            logs(&at, place, inputs, &Logs { drops, between, mass_kg: mass }, &mut sheet, &mut notes)
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
    let area = area.map(|(ln_area, how)| {
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
        TestArea {
            name: test.name.value.clone(),
            configuration: configuration_of(test, project),
            ln_area,
            how,
        }
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

/// What came down.
struct Weighed {
    falls: Falls,
    mass_kg: Estimate,
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

/// The sum of all that came down; `None` where an item is wanted and not known. The unknowns themselves are listed
/// from the project.
fn falls(at: &Path<'_>, project: &Project, notes: &mut Notes) -> Option<Weighed> {
    const SYMBOLS: [(&str, &str); 5] = [
        ("load", "m_load"),
        ("canopies", "m_can"),
        ("lines", "m_lines"),
        ("logger", "m_log"),
        ("ballast", "m_bal"),
    ];
    let falls = &at.test.falls;
    let given = [&falls.load, &falls.canopies, &falls.lines, &falls.logger, &falls.ballast];
    let mut items = Vec::new();
    let mut inputs = Vec::new();
    let mut mass = Estimate::exact(0.0);
    for ((name, symbol), known) in SYMBOLS.into_iter().zip(given) {
        let (part, number) = match known {
            Known::Given(said) => {
                let key = if name == "canopies" { "canopy_mass" } else { name };
                let id = LedgerId(at.key(name));
                notes.enter(&id, entry(format!("mass of the {name}, {}", at.test.name.value), &said.value));
                let sd = said.value.standard_uncertainty_si();
                let part = exact_or(said.value.si(), id, sd);
                let number = linear(at.id(&format!("falls.items.{name}.mass")), &part, Kind::Mass);
                (part, notes.given(number, &at.key(key), said.value.text()))
            }
            Known::Unknown { .. } => return None,
            Known::Absent if name == "canopies" => match canopies(at, project, notes) {
                Canopies::Weighed(part, number) => (part, number),
                Canopies::Unknown => return None,
                Canopies::None => continue,
            },
            Known::Absent if name == "load" && at.test.canopies.is_empty() => return None,
            Known::Absent => continue,
        };
        inputs.push(input(
            symbol,
            &format!("mass of the {name}"),
            number.si,
            Kind::Mass,
            Trust::Given,
            Some(&number.id),
        ));
        mass = added(mass, &part);
        items.push(FallsItem { name: name.to_owned(), mass: number });
    }
    if falls.load.is_absent() {
        return None;
    }
    let expr = Expr::Sum(inputs.iter().map(|input| sym(input.symbol)).collect());
    let how = closed("m", "all that descends", Kind::Mass, expr, inputs, Trust::Practice);
    let total = notes.derived(linear(at.id("falls.total"), &mass, Kind::Mass), how);
    Some(Weighed { falls: Falls { total, items }, mass_kg: mass })
}

/// What is known of the canopies' mass.
enum Canopies {
    Weighed(Estimate, Number),
    Unknown,
    /// None flew, or they were weighed with the load.
    None,
}

/// The sum over the serials, each an entry of its own that all its tests share.
fn canopies(at: &Path<'_>, project: &Project, notes: &mut Notes) -> Canopies {
    const SYMBOLS: [&str; 12] =
        ["m_1", "m_2", "m_3", "m_4", "m_5", "m_6", "m_7", "m_8", "m_9", "m_10", "m_11", "m_12"];
    let mut sum = Estimate::exact(0.0);
    let mut inputs = Vec::new();
    let mut not_weighed = Vec::new();
    for (said, symbol) in at.test.canopies.iter().zip(SYMBOLS.iter().cycle()) {
        let Some(canopy) = project.canopy(&said.value) else { continue };
        match &canopy.mass {
            Known::Given(mass) => {
                let id = LedgerId(format!("canopy.{}.mass", said.value));
                let meaning = format!("mass of canopy {}", said.value);
                notes.enter(&id, entry(meaning.clone(), &mass.value));
                sum = added(sum, &exact_or(mass.value.si(), id, mass.value.standard_uncertainty_si()));
                inputs.push(input(symbol, &meaning, mass.value.si(), Kind::Mass, Trust::Given, None));
            }
            Known::Unknown { .. } => return Canopies::Unknown,
            Known::Absent => not_weighed.push(said.value.as_str()),
        }
    }
    if !not_weighed.is_empty() {
        let message = format!(
            "the mass of {} is not stated; it is taken to be weighed with the load",
            not_weighed.join(", ")
        );
        notes.find_at(Code::TestCanopiesNotWeighed, &at.key("canopies"), Some(at.test.spot), message);
    }
    if inputs.is_empty() {
        return Canopies::None;
    }
    let expr = Expr::Sum(inputs.iter().map(|input| sym(input.symbol)).collect());
    let how = closed("m_can", "mass of the canopies", Kind::Mass, expr, inputs, Trust::Practice);
    let number = notes.derived(linear(at.id("falls.items.canopies.mass"), &sum, Kind::Mass), how);
    Canopies::Weighed(sum, number)
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

/// What is said beside a test's recordings.
struct Logs<'a> {
    drops: &'a [DropNote],
    between: Option<&'a project::Window>,
    /// The test's own mass, for drops with ballast.
    mass_kg: Option<f64>,
}

fn logs(
    at: &Path<'_>,
    place: &PlaceWorked,
    inputs: &[&Input],
    logs: &Logs<'_>,
    sheet: &mut TestSheet,
    notes: &mut Notes,
) -> Option<Found> {
    let note_of = |recording: usize, from_s: f64, to_s: f64| {
        let name = &inputs[recording].recording.name;
        logs.drops
            .iter()
            .find(|note| note.log.value == *name && (from_s..=to_s).contains(&note.at.value.si()))
    };
    let said = |recording: usize, from_s: f64, to_s: f64| {
        let note = note_of(recording, from_s, to_s);
        let middle_s = f64::midpoint(from_s, to_s);
        let window = |w: &project::Window| Window {
            from: Time::new::<second>(w.from.si()),
            to: Time::new::<second>(w.to.si()),
        };
        let own = note.and_then(|note| note.ballast.given()).map_or(0.0, Quantity::si);
        SaidOfDrop {
            looked_at: logs.between.is_none_or(|b| (b.from.si()..=b.to.si()).contains(&middle_s)),
            wanted: match note {
                Some(DropNote { set_aside: Some(reason), .. }) => Wanted::SetAside(reason.value.clone()),
                Some(DropNote { keep: true, .. }) => Wanted::Keep,
                _ => Wanted::Automatic,
            },
            window: note.and_then(|note| note.window.as_ref()).map(|said| window(&said.value)),
            rate_factor: logs.mass_kg.map_or(1.0, |mass| sqrt(mass / (mass + own))),
        }
    };
    let name = at.key("drops");
    let worked = configuration::work(&Job {
        name: &name,
        test: Some(&at.test.name.value),
        session: &place.prefix,
        day: Some(&place.sheet.name),
        air: &place.air,
        spreads: place.spreads,
        inputs,
        said: &said,
    });
    for (id, entry) in &worked.entries {
        notes.enter(id, entry.clone());
    }
    (sheet.drops_kept, sheet.drops_set_aside) = worked.counts();
    for recording in &worked.recordings {
        for drop in recording.drops.iter().filter(|drop| drop.rate.is_some()) {
            let id = at.id(&format!("recordings.{}.drops.{}.rate_m_s", recording.path, drop.letter));
            notes.hows.insert(id, fit_of_drop(recording, drop));
        }
    }
    for note in logs.drops {
        let met = worked.recordings.iter().filter(|r| r.path == note.log.value).flat_map(|r| &r.drops).any(
            |drop| {
                let last = drop.trace.time_s.last().map_or(drop.release_s, |t| drop.release_s + t);
                (drop.release_s..=drop.ground_s.unwrap_or(last)).contains(&note.at.value.si())
            },
        );
        if !met {
            let message = format!("{} in {} meets no drop", note.at.value.text(), note.log.value);
            notes.find_at(Code::DropNotMet, &at.key("drop"), Some(note.at.spot), message);
        }
    }
    tape(at, inputs, &worked, logs, notes);
    worked.findings.into_iter().for_each(|finding| notes.find(finding));
    sheet.recordings = worked.recordings;
    let Some(pooled) = worked.pooled else {
        let message = "no drop of this test has a rate";
        notes.find_at(Code::TestNoRate, &at.key("logs"), Some(at.test.spot), message);
        return None;
    };
    let how = fit_of_pool(sheet.drops_kept, sheet.drops_set_aside);
    let ln_rate = pooled.rate.mapped(ln(pooled.rate.value), 1.0 / pooled.rate.value);
    sheet.rate = Some(notes.number(logarithmic(at.id("rate"), &ln_rate, Kind::Speed), how.clone()));
    if sheet.drops_kept > 1 {
        sheet.scatter =
            Some(notes.number(Number::exact(at.id("scatter"), pooled.scatter_share, Kind::Share), how));
    }
    let rate = match worked.reference_density_kg_m3 {
        // A long fall's rate is at a density of its own: referred to the session's, v goes with 1/√ρ.
        Some(reference) => {
            let factor = sqrt(reference / place.density_kg_per_m3.value);
            pooled.rate.mapped(pooled.rate.value * factor, factor)
        }
        None => pooled.rate,
    };
    Some(Found::Rate { rate, trust: Trust::Measured })
}

/// The taped height against the recordings'.
fn tape(
    at: &Path<'_>,
    inputs: &[&Input],
    worked: &configuration::Worked,
    logs: &Logs<'_>,
    notes: &mut Notes,
) {
    let of_test = at.test.fell.given();
    let mut pairs: Vec<(f64, f64, f64)> = Vec::new();
    for (recording, reduced) in worked.recordings.iter().enumerate() {
        for drop in reduced.drops.iter().filter(|drop| drop.kept && drop.ground_s.is_some()) {
            let own = logs.drops.iter().find(|note| {
                note.log.value == inputs[recording].recording.name
                    && (drop.release_s..=drop.ground_s.unwrap_or(drop.release_s))
                        .contains(&note.at.value.si())
            });
            let taped = own.and_then(|note| note.fell.given()).or(of_test);
            let before: Vec<f64> = drop
                .trace
                .time_s
                .iter()
                .zip(drop.trace.height_m.iter())
                .filter(|(t, _)| **t <= 0.0)
                .map(|p| *p.1)
                .collect();
            let after: Vec<f64> = {
                let ground = drop.ground_s.unwrap_or(drop.release_s) - drop.release_s;
                let there = drop.trace.time_s.iter().zip(drop.trace.height_m.iter());
                there.filter(|(t, _)| **t >= ground + 0.2).map(|p| *p.1).collect()
            };
            let (Some(taped), false, false) = (taped, before.is_empty(), after.is_empty()) else { continue };
            let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
            let recorded = (mean(&before) - mean(&after)) * worked.height_factors[recording];
            let step = reduced.height_step_m.unwrap_or(0.0);
            pairs.push((recorded, taped.si(), taped.standard_uncertainty_si().max(0.3 * step)));
        }
    }
    if pairs.is_empty() {
        return;
    }
    let count = pairs.len() as f64;
    let mean = |pick: fn(&(f64, f64, f64)) -> f64| pairs.iter().map(pick).sum::<f64>() / count;
    let reading = |value: f64, u: f64| Reading {
        value: Length::new::<meter>(value),
        standard_uncertainty: Length::new::<meter>(u),
    };
    let scatter =
        sqrt(pairs.iter().map(|p| (p.0 - p.1 - mean(|p| p.0) + mean(|p| p.1)).powi(2)).sum::<f64>() / count);
    let recorded = mean(|p| p.0);
    // Noise of a single reading of the ground or the platform: judged, a barometer wanders by some decimetres.
    let wander_m = 0.3 / sqrt(count);
    let u = sqrt(
        (recorded * worked.height_relative_uncertainty).powi(2)
            + scatter * scatter / count
            + wander_m * wander_m,
    );
    let about = Subject::Key(at.key("fell"));
    let check =
        height::compare_with_tape(reading(recorded, u), reading(mean(|p| p.1), mean(|p| p.2)), &about);
    if let Some(finding) = check.and_then(|check| check.finding) {
        let spot = at.test.fell.spot().unwrap_or(at.test.spot);
        notes.find(finding.at(PROJECT_FILE, Some(spot.line), Some(spot.column)));
    }
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

/// "two canopies K1, K2 and the body, model half".
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
    let of = match test.model.as_ref().and_then(|said| project.model(&said.value)) {
        Some(model) => match model.scale.given() {
            Some(scale) => format!("model {} at {}", model.name.value, scale.text()),
            None => format!("model {}", model.name.value),
        },
        None => "the real thing".to_owned(),
    };
    format!("{canopies} and {below}, {of}")
}

/// How a number came about that no closed form gives.
pub(crate) fn fit(procedure: &str, data: String, count: usize) -> How {
    How::Fit { procedure: procedure.to_owned(), data, count }
}
