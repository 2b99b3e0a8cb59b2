//! The part at rest in one state, as numbers of the sheet with their doubts.

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::drag::Interval;
use silkfall_core::hanging::{Hang, Harness, Load, hang, leg_length, pull_in_descent, tension_of_two};
use silkfall_core::ledger::{Estimate, LedgerId, Trust};
use silkfall_core::maths::{acos, sqrt};
use silkfall_core::quantity::Kind;
use silkfall_project::project::Part;
use silkfall_project::value::Quantity;

use super::super::notes::{Notes, linear, linked};
use super::super::rigging::BodyDrag;
use super::{Doubt, Places, State, Worked};
use crate::hanging::{HangDrawing, HangSheet, LegSheet};
use crate::number::Number;

/// Within this of level a body hangs level.
const LEVEL_RAD: f64 = 0.017_5;

/// The part at rest in one state.
pub(super) struct Rested<'a> {
    pub worked: &'a Worked<'a>,
    pub places: &'a Places,
    pub harness: &'a Harness,
    pub rest: &'a Hang,
    pub state: &'a State,
    pub moved: Vec<(LedgerId, [Option<Hang>; 2])>,
    pub path: String,
}

impl Rested<'_> {
    /// The harness solved with each doubt moved by one standard uncertainty either way.
    pub fn moved(places: &Places, state: &State, doubts: &[Doubt]) -> Vec<(LedgerId, [Option<Hang>; 2])> {
        let solved = |doubt: &Doubt, by: f64| {
            let mut places = places.clone();
            (doubt.moved)(&mut places, doubt.index, by);
            hang(&places.harness(state.pressure)).ok()
        };
        doubts.iter().map(|d| (d.id.clone(), [solved(d, d.sd), solved(d, -d.sd)])).collect()
    }

    /// A number that the harness gives, with its doubts: half of what it changes between both ends of each.
    fn solved(&self, nominal: f64, of: &dyn Fn(&Hang) -> Option<f64>) -> Estimate {
        let mut estimate = Estimate::exact(nominal);
        for (id, [more, less]) in &self.moved {
            if let (Some(more), Some(less)) = (more.as_ref().and_then(of), less.as_ref().and_then(of)) {
                estimate = estimate.with(id.clone(), (more - less) / 2.0, f64::INFINITY);
            }
        }
        estimate
    }

    pub fn sheet(&self, notes: &mut Notes) -> HangSheet {
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
        let trust = worked.given.body.map_or(Trust::Measured, BodyDrag::trust);
        let forms = pull_in_descent(of, &trust);
        let drag_id = NumberId(format!("{path}.drag"));
        let all = NumberId(format!("{}.falls.total", worked.path));
        let brakes = NumberId(format!("{}.cases.{}.at_medians.drag_area", worked.path, state.id));
        let body = worked.given.body.map(|body| body.number(&worked.given.part.name.value));
        let mut links = vec![("M", &all), ("D", &brakes)];
        links.extend(body.iter().map(|id| ("B", id)));
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
pub(super) const TILT: &str =
    "The harness solved again with the centre of mass so far ahead and behind: the larger change of angle.";

pub(super) fn at_rest(harness: &Harness, procedure: &str) -> How {
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

pub(super) fn leg_of(harness: &Harness, at: Option<([f64; 3], [f64; 3])>, i: usize, length: f64) -> How {
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
