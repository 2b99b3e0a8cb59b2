//! The harness as numbers of the sheet: its legs, the tilt of a centre of mass that lies aside, and what is to be said of it.

use silkfall_core::derivation::How;
use silkfall_core::finding::Code;
use silkfall_core::hanging::{Hang, Load, NoHang, hang, tilt};
use silkfall_core::ledger::LedgerId;
use silkfall_core::quantity::{Kind, Length, System, show};
use silkfall_project::value::{Known, Quantity};
use uom::si::acceleration::meter_per_second_squared;

use super::super::notes::{Notes, linear, linked};
use super::super::tests::exact_or;
use super::rested::{TILT, at_rest, leg_of};
use super::{Places, State, Worked};
use crate::hanging::{HangSheet, HarnessSheet, PointSheet, TiltSheet};
use crate::number::Number;

/// A wanted angle that is missed by more is a finding.
const MISSED_RAD: f64 = 0.017_5;

impl Worked<'_> {
    pub(super) fn harness(
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
            linear(name.clone(), &exact_or(si, LedgerId(name), sd), Kind::Length)
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
        let (each_bears, bears, bears_what) = self.each_bears(places, &id("each_bears"));
        if let How::Fit { data, .. } = &bears
            && let Some(sources) = notes.remembered.get(data).cloned()
        {
            notes.remember(&each_bears.id.0, sources);
        }
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
            each_bears: notes.number(each_bears, bears),
            bears_what,
            tilt: self.tilt(places, notes),
            points,
        }
    }

    /// What each leg has to bear: the hardest pull on the riser, at opening or at rest; its How, and what pulls so, in words.
    fn each_bears(&self, places: &Places, id: &str) -> (Number, How, String) {
        let pulls = self.given.pulls.iter().filter_map(|load| Some((load, load.load.as_ref().ok()?)));
        let hardest = pulls
            .max_by(|a, b| a.1.riser_bears().si.total_cmp(&b.1.riser_bears().si))
            .filter(|(_, pull)| pull.riser_bears().si > places.weight_n);
        let (si, interval_95, data, what) = match hardest {
            Some((load, pull)) => {
                let bears = pull.riser_bears();
                let (canopy, case) = (&load.canopy, &load.case);
                let asked = pull.worst.as_ref().map_or(String::new(), |worst| format!(", {}", worst.asked));
                let what = format!("{} of {canopy}, {case}{asked}", load.event.word());
                (bears.si, bears.interval_95, bears.id.0.clone(), what)
            }
            None => (places.weight_n, None, format!("{}.harness.weight", self.path), "the weight".to_owned()),
        };
        let procedure = "Legs do not come taut together: one snatches first, so that each bears alone the hardest pull on the riser, \
                         at opening or at rest (common practice, no published source).";
        let how = How::Fit { procedure: procedure.to_owned(), data, count: 1 };
        (Number { id: id.into(), si, kind: Kind::Force, interval_95 }, how, what)
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

    /// What is to be said of one state; the same of several is said once, by [`Worked::say`].
    pub(super) fn remarks(&self, rest: &Hang) -> Vec<(Code, String)> {
        let points = &self.given.part.harness.points;
        let names = |of: &dyn Fn(&Load) -> bool| -> Vec<&str> {
            let picked = rest.legs.iter().zip(points).filter(|(load, _)| of(load));
            picked.map(|(_, point)| point.name.value.as_str()).collect()
        };
        let mut remarks = Vec::new();
        let slack = names(&|load| matches!(load, Load::Slack(_)));
        if !slack.is_empty() {
            remarks
                .push((Code::HarnessLegSlack, format!("the leg from {} is slack", slack.join(" and from "))));
        }
        let untold = names(&|load| matches!(load, Load::Between(..)));
        if !untold.is_empty() {
            let message = format!(
                "{} legs are taut together, more than statics can tell apart: {}",
                untold.len(),
                untold.join(", ")
            );
            remarks.push((Code::HarnessMoreLegs, message));
        }
        if rest.roll_rad.is_some_and(|roll| roll.abs() > std::f64::consts::FRAC_PI_2) {
            remarks.push((Code::HarnessTurnsOver, "the side meant to be up turns down".to_owned()));
        }
        remarks
    }

    /// Remarks with the states that they hold in.
    pub(super) fn say(&self, remarks: &[(&str, (Code, String))], notes: &mut Notes) {
        let mut said: Vec<(&(Code, String), Vec<&str>)> = Vec::new();
        for (state, remark) in remarks {
            match said.iter_mut().find(|(other, _)| *other == remark) {
                Some((_, states)) => states.push(state),
                None => said.push((remark, vec![state])),
            }
        }
        for ((code, message), states) in said {
            let message = format!("{}: {message}", states.join(", "));
            notes.find_at(*code, &self.key("point"), self.spot(), message);
        }
    }

    pub(super) fn say_missed(&self, wanted: f64, found: &HangSheet, notes: &mut Notes) {
        if (found.angle.si - wanted).abs() > MISSED_RAD {
            let angle = |si: f64| show(si, 0.0, Kind::Angle, System::Si);
            let message =
                format!("{}: it hangs at {}, wanted {}", found.id, angle(found.angle.si), angle(wanted));
            notes.find_at(Code::HarnessAngleMissed, &self.key("angle"), self.spot(), message);
        }
    }

    pub(super) fn say_no_hang(&self, why: NoHang, state: &str, notes: &mut Notes) {
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
