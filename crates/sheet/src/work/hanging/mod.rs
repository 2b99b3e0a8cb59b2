//! A part in its harness: legs for the wanted angle, and how it hangs at rest and in the steady descent of each case.
//!
//! The statics are core's ([`silkfall_core::hanging`]). In a steady descent the body's own drag is its share of all that
//! brakes, F_b = M g B/D, whatever the rate. Doubts of places, lengths and of B go through by their ends: each is moved by
//! one standard uncertainty either way and the harness solved again.

mod rested;
mod told;

use silkfall_core::cases::{CaseKind, CaseResult, Cases, Load as Falling, Rig};
use silkfall_core::drag::{Drag, Scale};
use silkfall_core::finding::Code;
use silkfall_core::hanging::{Descending, Harness, hang, leg_lengths};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::maths::{cos, exp, sin};
use silkfall_core::quantity::Length;
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Quantity, Spot};
use silkfall_project::words::Hangs;
use uom::si::acceleration::meter_per_second_squared;

use super::notes::Notes;
use super::rigging::BodyDrag;
use super::tests::entry;
use crate::hanging::{HangSheet, HarnessSheet};
use crate::loads::LoadSheet;
use rested::Rested;

/// The state without motion.
const AT_REST: &str = "at rest";
/// More legs than this are not looked at: every three of them would be.
const MOST_LEGS: usize = 12;

/// What a part's hanging is worked from.
pub(in crate::work) struct Given<'a> {
    pub part: &'a Part,
    pub load: &'a Falling,
    pub rig: &'a Rig,
    pub cases: &'a Cases,
    pub body: Option<&'a BodyDrag>,
    /// What pulls when canopies open.
    pub pulls: &'a [LoadSheet],
}

/// Places and lengths that may be in doubt.
#[derive(Clone, Debug)]
struct Places {
    at: Vec<f64>,
    out: Vec<f64>,
    around: Vec<f64>,
    legs: Vec<f64>,
    mass_at: f64,
    below: f64,
    area_at: f64,
    weight_n: f64,
    body_m2: f64,
}

/// One doubt: where it enters, and how large it is.
struct Doubt {
    id: LedgerId,
    moved: fn(&mut Places, usize, f64),
    index: usize,
    sd: f64,
}

/// A state: its name, and the weight of all that falls over all that brakes, N/m²; 0 at rest.
struct State {
    id: String,
    pressure: f64,
    how: Option<Descending>,
}

impl Places {
    fn harness(&self, pressure: f64) -> Harness {
        let place = |at: f64, out: f64, around: f64| [-at, out * sin(around), out * cos(around)];
        let count = self.at.len();
        Harness {
            points: (0..count).map(|i| place(self.at[i], self.out[i], self.around[i])).collect(),
            legs_m: self.legs.clone(),
            centre_of_mass: [-self.mass_at, 0.0, -self.below],
            centre_of_area: [-self.area_at, 0.0, 0.0],
            weight_n: self.weight_n,
            drag_n: pressure * self.body_m2,
        }
    }
}

/// The harness, and how the part hangs in each state; `None` where the project says too little.
pub(in crate::work) fn work(given: &Given<'_>, notes: &mut Notes) -> Option<(HarnessSheet, Vec<HangSheet>)> {
    let stated = &given.part.harness;
    stated.spot?;
    if stated.points.len() > MOST_LEGS {
        let message = format!("{} legs, expected at most {MOST_LEGS}", stated.points.len());
        let key = format!("part.{}.harness.point", given.part.name.value);
        notes.find_at(Code::HarnessMoreLegs, &key, stated.spot, message);
        return None;
    }
    let worked = Worked { given, path: format!("parts.{}", given.part.name.value) };
    let mut places = worked.places(notes)?;
    let states = worked.states();
    let design = worked.design(&states);
    let wanted = worked.wanted();
    let confluence = stated.confluence.given().map(Quantity::si);
    let made: Vec<bool> = stated.points.iter().map(|point| point.leg.given().is_some()).collect();
    if made.iter().any(|made| !made) {
        let above = confluence?;
        let wanted = wanted.unwrap_or(0.0);
        match leg_lengths(&places.harness(design.pressure), wanted, above) {
            Ok(legs) => {
                for (i, leg) in legs.into_iter().enumerate().filter(|(i, _)| !made[*i]) {
                    places.legs[i] = leg;
                }
            }
            Err(why) => {
                worked.say_no_hang(why, &design.id, notes);
                return None;
            }
        }
    }
    let doubts = worked.doubts(notes);
    let (mut hangs, mut remarks) = (Vec::new(), Vec::new());
    for state in &states {
        let harness = places.harness(state.pressure);
        match hang(&harness) {
            Ok(rest) => {
                remarks.extend(worked.remarks(&rest).into_iter().map(|remark| (state.id.as_str(), remark)));
                let rested = Rested {
                    worked: &worked,
                    places: &places,
                    harness: &harness,
                    rest: &rest,
                    state,
                    moved: Rested::moved(&places, state, &doubts),
                    path: format!("{}.hanging.{}", worked.path, state.id),
                };
                hangs.push(rested.sheet(notes));
            }
            Err(why) => worked.say_no_hang(why, &state.id, notes),
        }
        if hangs.is_empty() {
            return None;
        }
    }
    worked.say(&remarks, notes);
    if let (Some(wanted), Some(found)) = (wanted, hangs.iter().find(|hang| hang.id == design.id)) {
        worked.say_missed(wanted, found, notes);
    }
    let harness = worked.harness(&places, design, wanted, &made, notes);
    Some((harness, hangs))
}

/// The name of a case's state: its own, unless that is the state without motion.
fn state_of(case: &str) -> String {
    if case == AT_REST { format!("{case}, the case") } else { case.to_owned() }
}

struct Worked<'a> {
    given: &'a Given<'a>,
    path: String,
}

impl Worked<'_> {
    fn key(&self, name: &str) -> String {
        format!("part.{}.harness.{name}", self.given.part.name.value)
    }

    fn spot(&self) -> Option<Spot> {
        self.given.part.harness.spot
    }

    /// What the project says; a place that is not stated is a finding, unless it is listed as not known.
    fn places(&self, notes: &mut Notes) -> Option<Places> {
        let part = self.given.part;
        let stated = &part.harness;
        let mut missing = |known: &Known<Quantity<Length>>, name: &str| -> Option<f64> {
            if known.is_absent() {
                let message =
                    format!("`{}` is not stated, so that nobody knows how it hangs", self.key(name));
                notes.find_at(Code::HarnessNotStated, &self.key(name), stated.spot, message);
            }
            known.given().map(Quantity::si)
        };
        let mass_at = missing(&stated.centre_of_mass, "centre_of_mass");
        let at: Vec<Option<f64>> = stated
            .points
            .iter()
            .map(|point| missing(&point.at, &format!("point.{}.at", point.name.value)))
            .collect();
        let gravity = self.given.load.gravity.get::<meter_per_second_squared>();
        let length = |known: &Known<Quantity<Length>>| known.given().map_or(0.0, Quantity::si);
        // A place or length marked as not known is not taken for its default.
        let asked =
            stated.points.iter().any(|p| p.out.is_unknown() || p.around.is_unknown() || p.leg.is_unknown());
        if asked || stated.mass_below_axis.is_unknown() || stated.centre_of_area.is_unknown() {
            return None;
        }
        let middle = part.body.length.given().map(|length| length.si() / 2.0);
        let area_at = stated.centre_of_area.given().map(Quantity::si);
        let area_at = area_at.or_else(|| self.given.body.and_then(BodyDrag::centre_m)).or(middle);
        Some(Places {
            at: at.into_iter().collect::<Option<Vec<f64>>>().filter(|at| !at.is_empty())?,
            out: stated.points.iter().map(|point| length(&point.out)).collect(),
            around: stated.points.iter().map(|p| p.around.given().map_or(0.0, Quantity::si)).collect(),
            legs: stated.points.iter().map(|point| length(&point.leg)).collect(),
            mass_at: mass_at?,
            below: length(&stated.mass_below_axis),
            area_at: area_at.or(mass_at)?,
            weight_n: self.given.load.mass_kg.value * gravity,
            body_m2: self.given.body.map_or(0.0, BodyDrag::own_m2),
        })
    }

    /// At rest, then the steady descent of each case under open canopies.
    fn states(&self) -> Vec<State> {
        let Given { load, rig, cases, body, .. } = self.given;
        let gravity = load.gravity.get::<meter_per_second_squared>();
        let rest = State { id: AT_REST.to_owned(), pressure: 0.0, how: None };
        let descent = |result: &CaseResult| {
            let brakes = result.how.first().filter(|_| result.open > 0)?;
            let how = Descending {
                body_kg: load.mass_kg.value,
                all_kg: load.mass_kg.value + rig.count as f64 * rig.mass_each_kg,
                gravity,
                body_m2: (*body)?.own_m2(),
                all_m2: brakes.si,
            };
            let pressure = how.all_kg * gravity / how.all_m2;
            Some(State { id: state_of(&result.case.name), pressure, how: Some(how) })
        };
        std::iter::once(rest).chain(cases.results.iter().filter_map(descent)).collect()
    }

    /// The state that legs are worked out for: all open, else at rest.
    fn design<'s>(&self, states: &'s [State]) -> &'s State {
        let all_open = |result: &&CaseResult| result.case.kind == CaseKind::AllOpen;
        let name = self.given.cases.results.iter().find(all_open).map(|r| state_of(&r.case.name));
        states.iter().find(|state| Some(&state.id) == name.as_ref()).unwrap_or(&states[0])
    }

    /// As stated, else as the body is said to hang; `None` where every leg is made and nothing is stated.
    fn wanted(&self) -> Option<f64> {
        let stated = &self.given.part.harness;
        let made = stated.points.iter().all(|point| point.leg.given().is_some());
        let of_body = match self.given.part.body.hangs.given() {
            Some(Hangs::Upright) => std::f64::consts::FRAC_PI_2,
            Some(Hangs::Level) | None => 0.0,
        };
        stated.angle.given().map(Quantity::si).or((!made).then_some(of_body))
    }

    /// Everything in doubt, entered in the ledger.
    fn doubts(&self, notes: &mut Notes) -> Vec<Doubt> {
        let stated = &self.given.part.harness;
        let mut doubts = Vec::new();
        let mut doubt = |known: &Known<Quantity<Length>>,
                         name: String,
                         meaning: String,
                         index: usize,
                         moved: fn(&mut Places, usize, f64)| {
            let Some(quantity) = known.given().filter(|q| q.standard_uncertainty_si() > 0.0) else { return };
            let id = LedgerId(self.key(&name));
            notes.enter(&id, entry(meaning, quantity));
            doubts.push(Doubt { id, moved, index, sd: quantity.standard_uncertainty_si() });
        };
        let of = &self.given.part.name.value;
        doubt(
            &stated.centre_of_mass,
            "centre_of_mass".to_owned(),
            format!("centre of mass of {of}"),
            0,
            |p, _, by| {
                p.mass_at += by;
            },
        );
        doubt(
            &stated.mass_below_axis,
            "mass_below_axis".to_owned(),
            format!("centre of mass of {of} below its axis"),
            0,
            |p, _, by| {
                p.below += by;
            },
        );
        doubt(
            &stated.centre_of_area,
            "centre_of_area".to_owned(),
            format!("centre of area of {of}"),
            0,
            |p, _, by| {
                p.area_at += by;
            },
        );
        for (i, point) in stated.points.iter().enumerate() {
            let name = &point.name.value;
            doubt(
                &point.at,
                format!("point.{name}.at"),
                format!("place of {name} along {of}"),
                i,
                |p, i, by| {
                    p.at[i] += by;
                },
            );
            doubt(
                &point.out,
                format!("point.{name}.out"),
                format!("distance of {name} from the axis"),
                i,
                |p, i, by| {
                    p.out[i] += by;
                },
            );
            doubt(
                &point.leg,
                format!("point.{name}.leg"),
                format!("length of the leg from {name}"),
                i,
                |p, i, by| {
                    p.legs[i] += by;
                },
            );
        }
        let mass = self.given.load.mass_kg.standard_uncertainty();
        if mass > 0.0 {
            let gravity = self.given.load.gravity.get::<meter_per_second_squared>();
            let id = LedgerId(format!("part.{of}.mass"));
            doubts.push(Doubt { id, moved: |p, _, by| p.weight_n += by, index: 0, sd: mass * gravity });
        }
        if let Some(body) = self.given.body {
            for (id, sd) in body.parts(notes) {
                doubts.push(Doubt { id, moved: |p, _, by| p.body_m2 += by, index: 0, sd });
            }
        }
        doubts
    }
}

/// What the body itself brakes, as the tests part it from what the canopies lose in its wake, at full size; `None` where they
/// do not.
pub(in crate::work) fn own_area(drag: Option<&Drag>, ln_scale: &Estimate) -> Option<Estimate> {
    let factor = drag?.body.as_ref()?.area.factor()?;
    let square = exp(2.0 * ln_scale.value);
    let area = square * factor.value;
    let slope = if factor.scale == Scale::Log { area } else { square };
    let mut own = factor.estimate.mapped(area, slope);
    for (id, part) in &ln_scale.parts {
        own = own.with(id.clone(), 2.0 * area * part.signed, part.dof);
    }
    (area > 0.0).then_some(own)
}

/// An entry for a body's drag area by its shape.
pub(in crate::work) fn shape_entry(part: &str, value: f64, low: f64, high: f64) -> (LedgerId, Entry) {
    let entry = Entry {
        meaning: format!("drag area of the body of {part} in its harness, from its shape"),
        value,
        distribution: Distribution::Rectangular { low, high },
        sharing: Sharing::Knowledge,
        trust: Trust::Assumed("the table's coefficient within 20 %, a judgement of ours".to_owned()),
    };
    (LedgerId(format!("part.{part}.body-by-shape")), entry)
}
