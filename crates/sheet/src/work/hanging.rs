//! A part in its harness: legs for the wanted angle, and how it hangs at rest and in the steady descent of each case.
//!
//! The statics are core's ([`silkfall_core::hanging`]). In a steady descent the body's own drag is its share of all that
//! brakes, F_b = M g B/D, whatever the rate. Doubts of places, lengths and of B go through by their ends: each is moved by
//! one standard uncertainty either way and the harness solved again.

use silkfall_core::cases::{CaseKind, CaseResult, Cases, Load as Falling, Rig};
use silkfall_core::derivation::{How, NumberId};
use silkfall_core::drag::{Drag, Interval, Scale};
use silkfall_core::finding::Code;
use silkfall_core::hanging::{
    Descending, Hang, Harness, Load, NoHang, hang, leg_length, leg_lengths, pull_in_descent, tension_of_two,
    tilt,
};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::maths::{acos, cos, exp, sin, sqrt};
use silkfall_core::quantity::{Kind, Length, System, show};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Quantity, Spot};
use silkfall_project::words::Hangs;
use uom::si::acceleration::meter_per_second_squared;

use super::notes::{Notes, linear, linked};
use super::rigging::BodyDrag;
use super::tests::entry;
use crate::hanging::{HangDrawing, HangSheet, HarnessSheet, LegSheet, PointSheet, TiltSheet};
use crate::number::Number;

/// The state without motion.
const AT_REST: &str = "at rest";
/// Within this of level a body hangs level.
const LEVEL_RAD: f64 = 0.017_5;
/// A wanted angle that is missed by more is a finding.
const MISSED_RAD: f64 = 0.017_5;

/// What a part's hanging is worked from.
pub(super) struct Given<'a> {
    pub part: &'a Part,
    pub load: &'a Falling,
    pub rig: &'a Rig,
    pub cases: &'a Cases,
    pub body: Option<&'a BodyDrag>,
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
pub(super) fn work(given: &Given<'_>, notes: &mut Notes) -> Option<(HarnessSheet, Vec<HangSheet>)> {
    let stated = &given.part.harness;
    stated.spot?;
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
    let mut hangs = Vec::new();
    for state in &states {
        let harness = places.harness(state.pressure);
        match hang(&harness) {
            Ok(rest) => {
                worked.say(&rest, state, notes);
                let rested = Rested {
                    worked: &worked,
                    places: &places,
                    harness: &harness,
                    rest: &rest,
                    state,
                    doubts: &doubts,
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
    if let (Some(wanted), Some(found)) = (wanted, hangs.iter().find(|hang| hang.id == design.id)) {
        worked.say_missed(wanted, found, notes);
    }
    let harness = worked.harness(&places, design, wanted, &made, notes);
    Some((harness, hangs))
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
            Some(State { id: result.case.name.clone(), pressure, how: Some(how) })
        };
        std::iter::once(rest).chain(cases.results.iter().filter_map(descent)).collect()
    }

    /// The state that legs are worked out for: all open, else at rest.
    fn design<'s>(&self, states: &'s [State]) -> &'s State {
        let all_open = |result: &&CaseResult| result.case.kind == CaseKind::AllOpen;
        let name = self.given.cases.results.iter().find(all_open).map(|result| &result.case.name);
        states.iter().find(|state| Some(&state.id) == name).unwrap_or(&states[0])
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

    fn harness(
        &self,
        places: &Places,
        design: &State,
        wanted: Option<f64>,
        made: &[bool],
        notes: &mut Notes,
    ) -> HarnessSheet {
        let stated = &self.given.part.harness;
        let path = format!("{}.harness", self.path);
        let id = |name: &str| format!("{path}.{name}");
        let text = |known: &Known<Quantity<Length>>, otherwise: &str| {
            known.given().map_or_else(|| otherwise.to_owned(), |quantity| quantity.text().to_owned())
        };
        let interval = |known: &Known<Quantity<Length>>, name: String, si: f64| {
            let sd = known.given().map_or(0.0, Quantity::standard_uncertainty_si);
            linear(name.clone(), &super::tests::exact_or(si, LedgerId(name), sd), Kind::Length)
        };
        let weight = self
            .given
            .load
            .mass_kg
            .mapped(places.weight_n, self.given.load.gravity.get::<meter_per_second_squared>());
        let weight_how = How::Fit {
            procedure: "W = m g of what hangs under the riser: the part without its canopies.".to_owned(),
            data: format!("part.{}.mass", self.given.part.name.value),
            count: 1,
        };
        let design_harness = places.harness(design.pressure);
        let confluence = hang(&design_harness).ok().map(|hang| (hang.confluence, hang.up));
        let points = stated
            .points
            .iter()
            .enumerate()
            .map(|(i, point)| {
                let base = format!("{path}.points.{}", point.name.value);
                let key = |name: &str| self.key(&format!("point.{}.{name}", point.name.value));
                let at = interval(&point.at, format!("{base}.at"), places.at[i]);
                let at = notes.given(at, &key("at"), &text(&point.at, ""));
                let leg = interval(&point.leg, format!("{base}.leg"), places.legs[i]);
                let leg = if made[i] {
                    notes.given(leg, &key("leg"), &text(&point.leg, ""))
                } else {
                    let form = leg_of(&design_harness, confluence, i, places.legs[i]);
                    notes.number(leg, form)
                };
                PointSheet { id: point.name.value.clone(), at, leg, made: made[i] }
            })
            .collect();
        let bears = How::Fit {
            procedure: "Legs do not come taut together: one snatches first, so that each bears the whole pull alone, and at \
                        opening the whole opening load."
                .to_owned(),
            data: "common practice, no published source".to_owned(),
            count: stated.points.len(),
        };
        HarnessSheet {
            wanted: wanted.map(|si| {
                let written = stated.angle.given().map_or("as the body hangs", Quantity::text).to_owned();
                notes.given(Number::exact(id("wanted"), si, Kind::Angle), &self.key("angle"), &written)
            }),
            wanted_in: design.id.clone(),
            confluence: stated.confluence.given().map(|quantity| {
                let number = Number::exact(id("confluence"), quantity.si(), Kind::Length);
                notes.given(number, &self.key("confluence"), quantity.text())
            }),
            centre_of_mass: {
                let number = interval(&stated.centre_of_mass, id("centre_of_mass"), places.mass_at);
                notes.given(number, &self.key("centre_of_mass"), &text(&stated.centre_of_mass, ""))
            },
            centre_of_area: {
                let number = interval(&stated.centre_of_area, id("centre_of_area"), places.area_at);
                notes.given(
                    number,
                    &self.key("centre_of_area"),
                    &text(&stated.centre_of_area, "from its shape"),
                )
            },
            weight: notes.number(linear(id("weight"), &weight, Kind::Force), weight_how),
            each_bears: notes.number(Number::exact(id("each_bears"), places.weight_n, Kind::Force), bears),
            tilt: self.tilt(places, notes),
            points,
        }
    }

    /// The tilt at rest by a centre of mass that lies aside; by the closed form where that holds.
    fn tilt(&self, places: &Places, notes: &mut Notes) -> Option<TiltSheet> {
        let off = self.given.part.harness.mass_may_move.given()?;
        let path = format!("{}.harness.tilt", self.path);
        let as_is = hang(&places.harness(0.0)).ok()?;
        let moved = |by: f64| {
            let mut moved = places.clone();
            moved.mass_at += by;
            hang(&moved.harness(0.0)).ok().map(|hang| (hang.pitch_rad - as_is.pitch_rad).abs())
        };
        let worst = moved(off.si())?.max(moved(-off.si())?);
        let off_number = Number::exact(format!("{path}.off"), off.si(), Kind::Length);
        let off_number = notes.given(off_number, &self.key("mass_may_move"), off.text());
        let harness = places.harness(0.0);
        let arm: f64 = (0..3).map(|k| (as_is.confluence[k] - harness.centre_of_mass[k]) * as_is.up[k]).sum();
        let form = tilt(off.si(), arm);
        let number = Number::exact(format!("{path}.tilt"), worst, Kind::Angle);
        let tilt = if (form.si - worst).abs() < 1e-6 {
            notes.derived(Number { si: form.si, ..number }, linked(form, &[("e", &off_number.id)]))
        } else {
            notes.number(number, at_rest(&harness, TILT))
        };
        Some(TiltSheet { off: off_number, tilt })
    }

    fn say(&self, rest: &Hang, state: &State, notes: &mut Notes) {
        let points = &self.given.part.harness.points;
        let names = |of: &dyn Fn(&Load) -> bool| -> Vec<&str> {
            let picked = rest.legs.iter().zip(points).filter(|(load, _)| of(load));
            picked.map(|(_, point)| point.name.value.as_str()).collect()
        };
        let slack = names(&|load| matches!(load, Load::Slack(_)));
        if !slack.is_empty() {
            let message = format!("{}: the leg from {} is slack", state.id, slack.join(" and from "));
            notes.find_at(Code::HarnessLegSlack, &self.key("point"), self.spot(), message);
        }
        let untold = names(&|load| matches!(load, Load::Between(..)));
        if !untold.is_empty() {
            let message = format!(
                "{}: {} legs are taut together, more than statics can tell apart: {}",
                state.id,
                untold.len(),
                untold.join(", ")
            );
            notes.find_at(Code::HarnessMoreLegs, &self.key("point"), self.spot(), message);
        }
        if rest.roll_rad.is_some_and(|roll| roll.abs() > std::f64::consts::FRAC_PI_2) {
            let message = format!("{}: the side meant to be up turns down", state.id);
            notes.find_at(Code::HarnessTurnsOver, &self.key("point"), self.spot(), message);
        }
    }

    fn say_missed(&self, wanted: f64, found: &HangSheet, notes: &mut Notes) {
        if (found.angle.si - wanted).abs() > MISSED_RAD {
            let angle = |si: f64| show(si, 0.0, Kind::Angle, System::Si);
            let message =
                format!("{}: it hangs at {}, wanted {}", found.id, angle(found.angle.si), angle(wanted));
            notes.find_at(Code::HarnessAngleMissed, &self.key("angle"), self.spot(), message);
        }
    }

    fn say_no_hang(&self, why: NoHang, state: &str, notes: &mut Notes) {
        let points = &self.given.part.harness.points;
        let name = |i: usize| points[i].name.value.as_str();
        let (code, message) = match why {
            NoHang::TooShort(i, j, wanting) => (
                Code::HarnessLegsTooShort,
                format!(
                    "{state}: the legs from {} and {} do not meet, {} are wanting",
                    name(i),
                    name(j),
                    show(wanting, 0.0, Kind::Length, System::Si)
                ),
            ),
            NoHang::NoCommonPoint | NoHang::NoLegs => {
                (Code::HarnessLegsTooShort, format!("{state}: the legs meet in pairs but not all together"))
            }
            NoHang::BlownUp => (
                Code::HarnessBlownUp,
                format!("{state}: the body brakes more than it weighs, so that its riser hangs slack"),
            ),
        };
        notes.find_at(code, &self.key("point"), self.spot(), message);
    }
}

/// The part at rest in one state.
struct Rested<'a> {
    worked: &'a Worked<'a>,
    places: &'a Places,
    harness: &'a Harness,
    rest: &'a Hang,
    state: &'a State,
    doubts: &'a [Doubt],
    path: String,
}

impl Rested<'_> {
    /// A number that the harness gives, with its doubts: each moved by one standard uncertainty either way and the harness
    /// solved again.
    fn solved(&self, nominal: f64, of: &dyn Fn(&Hang) -> Option<f64>) -> Estimate {
        let mut estimate = Estimate::exact(nominal);
        for doubt in self.doubts {
            let at = |by: f64| {
                let mut places = self.places.clone();
                (doubt.moved)(&mut places, doubt.index, by);
                hang(&places.harness(self.state.pressure)).ok().as_ref().and_then(of)
            };
            if let (Some(more), Some(less)) = (at(doubt.sd), at(-doubt.sd)) {
                estimate = estimate.with(doubt.id.clone(), (more - less) / 2.0, f64::INFINITY);
            }
        }
        estimate
    }

    fn sheet(&self, notes: &mut Notes) -> HangSheet {
        let Rested { harness, rest, path, .. } = self;
        let angle = self.solved(rest.pitch_rad, &|hang| Some(hang.pitch_rad));
        // What is level to a billionth is level.
        let angle = Estimate { value: if angle.value.abs() < 1e-9 { 0.0 } else { angle.value }, ..angle };
        let angle =
            notes.number(linear(format!("{path}.angle"), &angle, Kind::Angle), at_rest(harness, ANGLE));
        let roll = rest.roll_rad.map(|roll| {
            notes.number(Number::exact(format!("{path}.roll"), roll, Kind::Angle), at_rest(harness, ROLL))
        });
        let (pull, drag) = self.pulls(notes);
        let legs = (0..rest.legs.len()).map(|i| self.leg(i, &pull, notes)).collect();
        HangSheet {
            id: self.state.id.clone(),
            says: says(rest),
            drawing: drawing(self.worked.given.part, self.places, harness, rest),
            angle,
            roll,
            pull,
            drag,
            legs,
        }
    }

    /// What the riser pulls and the body brakes.
    fn pulls(&self, notes: &mut Notes) -> (Number, Option<Number>) {
        let Rested { rest, state, path, worked, .. } = self;
        let pull = self.solved(rest.pull_n, &|hang| Some(hang.pull_n));
        let number = linear(format!("{path}.pull"), &pull, Kind::Force);
        let Some(of) = &state.how else {
            let how = How::Fit {
                procedure: "At rest the riser pulls the weight of what hangs.".to_owned(),
                data: format!("{}.harness.weight", worked.path),
                count: 1,
            };
            return (notes.number(number, how), None);
        };
        let forms = pull_in_descent(of);
        let drag_id = NumberId(format!("{path}.drag"));
        let all = NumberId(format!("{}.falls.total", worked.path));
        let brakes = NumberId(format!("{}.cases.{}.at_medians.drag_area", worked.path, state.id));
        let links = [("M", &all), ("D", &brakes)];
        let drag = Number::exact(drag_id.clone(), forms.drag.si, Kind::Force);
        let drag = notes.derived(drag, linked(forms.drag, &links));
        let pull = notes.derived(number, linked(forms.pull, &[("F_b", &drag_id)]));
        (pull, Some(drag))
    }

    fn leg(&self, i: usize, pull: &Number, notes: &mut Notes) -> LegSheet {
        let Rested { harness, rest, path, worked, .. } = self;
        let name = &worked.given.part.harness.points[i].name.value;
        let id = |what: &str| format!("{path}.legs.{name}.{what}");
        let mut sheet =
            LegSheet { id: name.clone(), state: "taut", tension: None, slack: None, from_upright: None };
        let (number, how) = match rest.legs[i] {
            Load::Slack(by) => {
                sheet.state = "slack";
                let number = Number::exact(id("slack"), by, Kind::Length);
                sheet.slack = Some(notes.number(number, at_rest(harness, SLACK)));
                return sheet;
            }
            Load::Taut(n) => {
                let estimate = self.solved(n, &|hang| match hang.legs[i] {
                    Load::Taut(n) => Some(n),
                    Load::Slack(_) => Some(0.0),
                    Load::Between(..) => None,
                });
                let number = linear(id("tension"), &estimate, Kind::Force);
                (number, tension_how(harness, rest, i, pull))
            }
            Load::Between(low, high) => {
                sheet.state = "not told";
                let middle = f64::midpoint(low, high);
                let number = Number::between(id("tension"), middle, Interval { low, high }, Kind::Force);
                (number, at_rest(harness, BETWEEN))
            }
        };
        sheet.tension = Some(notes.number(number, how));
        let number = Number::exact(id("from_upright"), from_upright(harness, rest, i), Kind::Angle);
        sheet.from_upright = Some(notes.number(number, at_rest(harness, UPRIGHT)));
        sheet
    }
}

const ANGLE: &str = "The body rests where the resultant of its weight at the centre of mass and its drag at the centre of area \
                     lies lowest below the confluence, as far as the legs allow (statics of a rigid body).";
const ROLL: &str = "The side that is up where the body rests, about its long axis.";
const SLACK: &str =
    "How much longer the leg is than the way from its point to the confluence where the body rests.";
const UPRIGHT: &str = "The angle between a leg and upright where the body rests.";
const TENSION: &str =
    "Forces of the taut legs that together pull straight up what the riser pulls, none of them pushing.";
const BETWEEN: &str = "More legs are taut than there are equations: the range over every way in which one to three of them \
                       alone would carry.";
const TILT: &str =
    "The harness solved again with the centre of mass so far ahead and behind: the larger change of angle.";

fn at_rest(harness: &Harness, procedure: &str) -> How {
    let data = "places and legs of the harness".to_owned();
    How::Fit { procedure: procedure.to_owned(), data, count: harness.points.len() }
}

/// The way of a leg from its point to the confluence, up and aside.
fn way(harness: &Harness, confluence: [f64; 3], up: [f64; 3], i: usize) -> (f64, f64) {
    let way: Vec<f64> = (0..3).map(|k| confluence[k] - harness.points[i][k]).collect();
    let rise: f64 = (0..3).map(|k| way[k] * up[k]).sum();
    let whole: f64 = way.iter().map(|w| w * w).sum();
    (rise, sqrt((whole - rise * rise).max(0.0)))
}

fn leg_of(harness: &Harness, at: Option<([f64; 3], [f64; 3])>, i: usize, length: f64) -> How {
    let form = at.map(|(confluence, up)| {
        let (rise, aside) = way(harness, confluence, up, i);
        leg_length(aside, rise)
    });
    match form.filter(|form| (form.si - length).abs() < 1e-9) {
        Some(form) => How::Closed(form),
        None => at_rest(harness, "The way from the point to the confluence at the wanted angle."),
    }
}

fn from_upright(harness: &Harness, rest: &Hang, i: usize) -> f64 {
    let (rise, aside) = way(harness, rest.confluence, rest.up, i);
    acos((rise / sqrt(rise * rise + aside * aside)).clamp(-1.0, 1.0))
}

/// Of two taut legs by the sine rule, else by the forces of all.
fn tension_how(harness: &Harness, rest: &Hang, i: usize, pull: &Number) -> How {
    let taut: Vec<usize> = (0..rest.legs.len()).filter(|&k| matches!(rest.legs[k], Load::Taut(_))).collect();
    let Load::Taut(tension) = rest.legs[i] else { return at_rest(harness, TENSION) };
    if let [a, b] = taut.as_slice() {
        let other = if *a == i { *b } else { *a };
        let form =
            tension_of_two(rest.pull_n, from_upright(harness, rest, i), from_upright(harness, rest, other));
        if let Some(form) = form.filter(|form| (form.si - tension).abs() < 1e-9 * rest.pull_n) {
            return How::Closed(linked(form, &[("F", &pull.id)]));
        }
    }
    at_rest(harness, TENSION)
}

/// Which end and which side point down.
fn says(rest: &Hang) -> String {
    let end = match rest.pitch_rad {
        pitch if pitch.abs() <= LEVEL_RAD => "level",
        pitch if pitch > 1.2 => "rear end down",
        pitch if pitch < -1.2 => "front end down",
        pitch if pitch > 0.0 => "rear end lower",
        _ => "front end lower",
    };
    let side = match rest.roll_rad.map(f64::abs) {
        None => "any side down",
        Some(roll) if roll < 0.09 => "upright about its axis",
        Some(roll) if roll > 3.05 => "turned over",
        Some(_) => "turned aside",
    };
    format!("{end}, {side}")
}

/// Places across to the front and up, from the confluence.
fn drawing(part: &Part, places: &Places, harness: &Harness, rest: &Hang) -> HangDrawing {
    let up = rest.up;
    let level = [1.0 - up[0] * up[0], -up[0] * up[1], -up[0] * up[2]];
    let across = sqrt(level.iter().map(|l| l * l).sum());
    // On end the side meant to be up lies across.
    let level = if across > 1e-6 { level.map(|l| l / across) } else { [0.0, 0.0, 1.0] };
    let seen = |place: [f64; 3]| -> (f64, f64) {
        let from: Vec<f64> = (0..3).map(|k| place[k] - rest.confluence[k]).collect();
        ((0..3).map(|k| from[k] * level[k]).sum(), (0..3).map(|k| from[k] * up[k]).sum())
    };
    let reach = places.at.iter().copied().fold(places.mass_at.max(places.area_at), f64::max);
    let length = part.body.length.given().map_or(reach, Quantity::si);
    let slack = |i: usize| matches!(rest.legs[i], Load::Slack(_));
    HangDrawing {
        points: harness.points.iter().enumerate().map(|(i, place)| (seen(*place), slack(i))).collect(),
        mass: seen(harness.centre_of_mass),
        area: seen(harness.centre_of_area),
        front: seen([0.0; 3]),
        rear: seen([-length, 0.0, 0.0]),
        thickness: part.body.diameter.given().map_or(0.0, Quantity::si),
    }
}

/// What the body itself brakes, as the tests part it from what the canopies lose in its wake, at full size; `None` where they
/// do not.
pub(super) fn own_area(drag: Option<&Drag>, ln_scale: &Estimate) -> Option<Estimate> {
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
pub(super) fn shape_entry(part: &str, value: f64, low: f64, high: f64) -> (LedgerId, Entry) {
    let entry = Entry {
        meaning: format!("drag area of the body of {part} in its harness, from its shape"),
        value,
        distribution: Distribution::Rectangular { low, high },
        sharing: Sharing::Knowledge,
        trust: Trust::Assumed("the table's coefficient within 20 %, a judgement of ours".to_owned()),
    };
    (LedgerId(format!("part.{part}.body-by-shape")), entry)
}
