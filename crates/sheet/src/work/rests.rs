//! What a part's answer rests on at full size, under the canopies chosen: masses, factors, and the doubt by cause.

use silkfall_core::cases::{Cases, Load, Rig, Trials};
use silkfall_core::derivation::{How, NumberId, num, sym};
use silkfall_core::drag::{Factor as CoreFactor, Scale};
use silkfall_core::finding::Subject;
use silkfall_core::full_size::{self, RatesCompared};
use silkfall_core::ledger::{Estimate, Ledger, Trust};
use silkfall_core::maths::{exp, sqrt};
use silkfall_core::quantity::{Kind, Velocity};
use silkfall_project::value::Quantity;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::dynamic_viscosity::pascal_second;
use uom::si::velocity::meter_per_second;

use super::drag::{counted, factor_number};
use super::notes::{Notes, closed, input, linear};
use super::part::Given;
use super::sets::Sets;
use crate::doubts;
use crate::number::Number;
use crate::reduction::Doubt;
use crate::sheet::{Factor, Falls, FallsItem, FullSize, RestsOn, Reynolds};

/// Two rates that differ by less are not told apart in print.
const RATIO_HOLDS: f64 = 0.005;

/// What an answer is put together from.
pub(super) struct Answer<'a> {
    pub given: &'a Given<'a>,
    pub sets: &'a Sets,
    pub load: Option<&'a Load>,
    pub ln_scale: &'a Estimate,
    pub trials: Trials,
}

impl Answer<'_> {
    fn path(&self) -> String {
        format!("parts.{}", self.given.part.name.value)
    }

    fn factor_id(&self, name: &str) -> NumberId {
        NumberId(format!("{}.full_size.factors.{name}", self.path()))
    }

    /// Which symbols of a case's closed form are numbers of the sheet, for so many open canopies.
    pub fn links(&self, rig: Option<&Rig>, open: usize) -> Vec<(&'static str, NumberId)> {
        let site = &self.given.places.site.sheet;
        let mut links = vec![
            ("m", NumberId(format!("{}.falls.total", self.path()))),
            ("g", site.gravity.id.clone()),
            ("rho", site.density.id.clone()),
        ];
        if rig.is_some_and(|rig| open <= rig.count) && open > 0 {
            links.push(("A", self.factor_id("canopy")));
            links.push(("eta", self.factor_id(&format!("cluster.{open}"))));
            links.push(("N", self.factor_id(&format!("body.{open}"))));
        }
        links
    }
}

/// The factors at full size under one rig.
pub(super) struct Rests<'a> {
    load: &'a Load,
    rig: Rig,
    pub falls: Falls,
    pub full_size: FullSize,
}

impl<'a> Rests<'a> {
    pub fn new(answer: &Answer<'a>, rig: &Rig, notes: &mut Notes) -> Option<Self> {
        let load = answer.load?;
        let falls = falls(answer, load, rig, notes);
        let mut factors = Vec::new();
        let mut add =
            |name: String, meaning: String, factor: &CoreFactor, how: How, kind: Kind, notes: &mut Notes| {
                let number = notes.number(factor_number(answer.factor_id(&name), factor, kind), how);
                let basis = answer.sets.basis(factor);
                factors.push(Factor {
                    id: name,
                    meaning,
                    number: Some(number),
                    trust: factor.trust.clone(),
                    basis,
                });
            };
        let canopy = &rig.canopy.area;
        let meaning = format!("drag area of one {}", rig.offer);
        add("canopy".to_owned(), meaning, canopy, canopy.how.clone(), Kind::DragArea, notes);
        for (cluster, under) in load.clusters.iter().zip(&load.under).take(rig.count) {
            let of = counted(cluster.count);
            let how = cluster.factor.how.clone();
            let name = format!("cluster.{}", cluster.count);
            add(name, format!("cluster factor of {of}"), &cluster.factor, how, Kind::Ratio, notes);
            let how = under.area.how.clone();
            let name = format!("body.{}", under.count);
            add(name, format!("what the body adds under {of}"), &under.area, how, Kind::DragArea, notes);
        }
        let full_size = FullSize {
            scale: scale(answer, notes),
            factors,
            why_no_ratio: why_no_ratio(answer, load, rig),
            reynolds: reynolds(answer, load, rig, notes),
        };
        Some(Rests { load, rig: rig.clone(), falls, full_size })
    }

    /// The three that matter under the rig: canopy, cluster, body.
    pub fn rests_on(&self) -> Vec<RestsOn> {
        let count = self.rig.count;
        let wanted = [format!("cluster.{count}"), "canopy".to_owned(), format!("body.{count}")];
        let one = |id: &String| {
            let factor = self.full_size.factors.iter().find(|factor| factor.id == *id)?;
            Some(RestsOn {
                meaning: factor.meaning.clone(),
                number: factor.number.clone()?,
                trust: factor.trust.clone(),
                basis: factor.basis.clone(),
            })
        };
        wanted.iter().filter(|id| count > 1 || !id.starts_with("cluster")).filter_map(one).collect()
    }

    /// The doubt of ln v in the governing case by cause, at the medians.
    pub fn doubts(&self, cases: &Cases, ledger: &Ledger) -> Vec<Doubt> {
        let open = cases.governing.map_or(self.rig.count, |i| cases.results[i].open);
        let Some(ln_rate) = self.ln_rate(open) else { return Vec::new() };
        doubts::by_cause(&ln_rate, 1.0, ledger).into_iter().map(|(_, doubt)| doubt).collect()
    }

    /// ln v = (ln m + ln g − ln ρ − ln D)/2 with D = k η A + N, to first order.
    fn ln_rate(&self, open: usize) -> Option<Estimate> {
        let at = open.checked_sub(1)?;
        let (cluster, under) = (&self.load.clusters.get(at)?.factor, &self.load.under.get(at)?.area);
        let canopy = &self.rig.canopy.area;
        let canopies = open as f64 * cluster.value * canopy.value;
        let all = canopies + under.value;
        let mass = self.load.mass_kg.value + self.rig.count as f64 * self.rig.mass_each_kg;
        let density = &self.load.density_kg_per_m3;
        let under_slope = match under.scale {
            Scale::Log => under.value / all,
            Scale::Linear => 1.0 / all,
        };
        let mut sum = Estimate::exact(0.0);
        for (of, slope) in [
            (&self.load.mass_kg, 0.5 / mass),
            (density, -0.5 / density.value),
            (&canopy.estimate, -0.5 * canopies / all),
            (&cluster.estimate, -0.5 * canopies / all),
            (&under.estimate, -0.5 * under_slope),
            (&self.load.ln_flight_scatter, 1.0),
        ] {
            for (id, part) in &of.parts {
                sum = sum.with(id.clone(), slope * part.signed, part.dof);
            }
        }
        Some(sum)
    }
}

/// All that comes down under the rig.
fn falls(answer: &Answer<'_>, load: &Load, rig: &Rig, notes: &mut Notes) -> Falls {
    let path = answer.path();
    let part = answer.given.part;
    let id = |name: &str| format!("{path}.falls.{name}");
    let text = part.mass.given().map_or("", Quantity::text);
    let own = linear(id("items.load.mass"), &load.mass_kg, Kind::Mass);
    let own = notes.given(own, &format!("part.{}.mass", part.name.value), text);
    let how = closed(
        "m_can",
        "mass of the canopies",
        Kind::Mass,
        num(rig.count as f64) * sym("m_1"),
        vec![input("m_1", "mass of one, by the offer", rig.mass_each_kg, Kind::Mass, Trust::Given, None)],
        Trust::Practice,
    );
    let canopies = notes.derived(Number::exact(id("items.canopies.mass"), how.si, Kind::Mass), how);
    let how = closed(
        "m",
        "all that descends",
        Kind::Mass,
        sym("m_load") + sym("m_can"),
        vec![
            input("m_load", "mass without canopies", own.si, Kind::Mass, Trust::Given, Some(&own.id)),
            input("m_can", "mass of the canopies", canopies.si, Kind::Mass, Trust::Given, Some(&canopies.id)),
        ],
        Trust::Practice,
    );
    let mut sum = load.mass_kg.clone();
    sum.value = how.si;
    let total = notes.derived(linear(id("total"), &sum, Kind::Mass), how);
    let item = |name: &str, mass: Number| FallsItem { name: name.to_owned(), mass };
    Falls { total, items: vec![item("load", own), item("canopies", canopies)] }
}

fn scale(answer: &Answer<'_>, notes: &mut Notes) -> Option<Number> {
    let (name, _) = answer.sets.model.as_ref()?;
    let scale = answer.given.project.model(name)?.scale.given()?;
    let id = format!("{}.full_size.scale", answer.path());
    Some(notes.given(
        Number::exact(id, scale.si(), Kind::Ratio),
        &format!("model.{name}.scale"),
        scale.text(),
    ))
}

/// Why the ratio of the model's rates under one and under all canopies is not carried over.
fn why_no_ratio(answer: &Answer<'_>, load: &Load, rig: &Rig) -> Option<String> {
    let (_, model) = answer.sets.model.as_ref()?;
    let of_model = |count: usize| {
        let with_body = |area: &&silkfall_core::drag::TestArea| {
            area.configuration.canopies.len() == count
                && matches!(area.configuration.below, silkfall_core::drag::Below::Body { .. })
        };
        model.drag.tests.iter().find(with_body).map(|area| exp(area.ln_area.value))
    };
    let at_full = |count: usize| {
        let (cluster, under) = (load.clusters.get(count - 1)?, load.under.get(count - 1)?);
        Some(count as f64 * cluster.factor.value * rig.canopy.area.value + under.area.value)
    };
    let count = rig.count;
    if count < 2 {
        return None;
    }
    let full_one_m2 = at_full(1)?;
    let mass = load.mass_kg.value + count as f64 * rig.mass_each_kg;
    let gravity = load.gravity.get::<meter_per_second_squared>();
    let rate = full_size::rate_of_fall(mass, gravity, load.density_kg_per_m3.value, full_one_m2);
    let compared = RatesCompared {
        count,
        model_one_m2: of_model(1)?,
        model_many_m2: of_model(count)?,
        full_one_m2,
        full_many_m2: at_full(count)?,
        full_one_rate: Velocity::new::<meter_per_second>(rate.si),
    };
    let ratio = full_size::why_no_ratio(&compared);
    let apart = (ratio.by_ratio / ratio.by_areas).value - 1.0;
    if apart.abs() >= RATIO_HOLDS {
        return Some(ratio.because);
    }
    Some(format!(
        "At model scale {count} canopies fell at {:.2} of the rate under one, and so they do at full size, since canopies, \
         body and risers are all scaled alike here. With other canopies or risers they would not: the sheet works with \
         areas and never with that ratio.",
        ratio.at_model_scale
    ))
}

/// Reynolds numbers of the body at both sizes, with a caution where the drag crisis is near.
fn reynolds(answer: &Answer<'_>, load: &Load, rig: &Rig, notes: &mut Notes) -> Vec<Reynolds> {
    let given = answer.given;
    let body = &given.part.body;
    let (Some(diameter), Some((cluster, under))) =
        (body.diameter.given(), load.clusters.get(rig.count - 1).zip(load.under.get(rig.count - 1)))
    else {
        return Vec::new();
    };
    let viscosity = |place: &super::session::PlaceWorked| {
        let temperature = super::session::temperature_of(place);
        let mu = silkfall_core::air::standard::viscosity(temperature).get::<pascal_second>();
        mu / place.density_kg_per_m3.value
    };
    let mass = load.mass_kg.value + rig.count as f64 * rig.mass_each_kg;
    let area = rig.count as f64 * cluster.factor.value * rig.canopy.area.value + under.area.value;
    let gravity = load.gravity.get::<meter_per_second_squared>();
    let rate = sqrt(2.0 * mass * gravity / (load.density_kg_per_m3.value * area));
    let mut found = Vec::new();
    let mut add = |id: &str, meaning: &str, rate: f64, length: f64, viscosity: f64, notes: &mut Notes| {
        let how = full_size::reynolds(rate, length, viscosity);
        let si = how.si;
        let number =
            Number::exact(format!("{}.full_size.reynolds.{id}.number", answer.path()), si, Kind::Ratio);
        let number = notes.derived(number, how);
        found.push(Reynolds { id: id.to_owned(), meaning: meaning.to_owned(), number });
        si
    };
    let site = &given.places.site;
    let full = add("body-full", "the body at full size", rate, diameter.si(), viscosity(site), notes);
    let tested = given
        .tests
        .iter()
        .find(|test| test.model.is_some() && test.sheet.body == Some(true) && test.rate_m_per_s.is_some());
    if let Some((test, rate)) = tested.and_then(|test| Some((test, test.rate_m_per_s?))) {
        let place = given.places.named(test.sheet.session.as_deref());
        let length = diameter.si() * exp(-answer.ln_scale.value);
        let model = add("body-model", "the body of the model", rate, length, viscosity(place), notes);
        let about = Subject::Key(format!("part.{}.body", given.part.name.value));
        if let Some(finding) = full_size::reynolds_caution(model, full, about) {
            let spot = body.spot;
            notes.find(finding.at(super::notes::PROJECT_FILE, spot.map(|s| s.line), spot.map(|s| s.column)));
        }
    }
    found
}
