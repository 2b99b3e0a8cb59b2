//! The plan: outlines and events as the project gives them, and the winds that all parts have in common.
//!
//! A flight has one wind, so it may fly where each part may: the ranges of a direction are cut with one another,
//! low = max of lows, high = min of highs. Each part's ranges come from its own simulation; that the shares of two parts
//! are each reached does not say that both are reached in the same flight.

use silkfall_core::derivation::{How, num, sym};
use silkfall_core::ledger::Trust;
use silkfall_core::quantity::Kind;
use silkfall_project::Project;
use silkfall_project::bay::{Bay, Pin};
use silkfall_project::landing::{Begins, Stage};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::words::{GasSource, Hangs, Word};

use super::notes::{Notes, closed, input};
use crate::landing::{GoNoGoSheet, LandingSheet, RangeSheet};
use crate::number::Number;
use crate::plan::{BeginsSheet, CommonWindSheet, EventSheet, PlanPartSheet, PlanSheet};
use crate::sheet::PartSheet;

const COMMON: &str = "The winds of this direction in which each part by itself lands inside with the wanted share, cut with \
                      one another.";

/// The plan of a project whose parts are worked.
pub(super) fn plan(
    project: &Project,
    parts: &[PartSheet],
    landings: &[LandingSheet],
    go_no_go: &[GoNoGoSheet],
    notes: &mut Notes,
) -> PlanSheet {
    let head = &project.plan;
    let outline = |sheet: &PartSheet| {
        let part = project.part(&sheet.name)?;
        let landing = landings.iter().find(|landing| landing.part == sheet.name);
        Some(outline(project, part, sheet, landing, &mut *notes))
    };
    PlanSheet {
        number: head.number.given().cloned(),
        builder: head.builder.given().cloned(),
        safety_officer: head.safety_officer.given().cloned(),
        date: head.date.given().map(|day| day.text().to_owned()),
        place: project.site.place.given().cloned(),
        parts: parts.iter().filter_map(outline).collect(),
        winds: common_winds(parts, landings, go_no_go, notes),
    }
}

fn outline(
    project: &Project,
    part: &Part,
    sheet: &PartSheet,
    landing: Option<&LandingSheet>,
    notes: &mut Notes,
) -> PlanPartSheet {
    let name = &sheet.name;
    let path = format!("plan.parts.{name}");
    let mut given = |of: &str, key: &str, known: &Known<Quantity<silkfall_core::quantity::Length>>| {
        number(&format!("{path}.{of}"), &format!("part.{name}.{key}"), known, Kind::Length, notes)
    };
    let body_length = given("body_length", "body.length", &part.body.length);
    let body_diameter = given("body_diameter", "body.diameter", &part.body.diameter);
    let line_length = given("line_length", "rig.line_length", &part.rig.line_length);
    let riser_length = given("riser_length", "rig.riser_length", &part.rig.riser_length);
    let chosen = sheet.choice.id().and_then(|id| sheet.candidates.iter().find(|one| one.id == id));
    PlanPartSheet {
        part: name.clone(),
        body_length,
        body_diameter,
        level: part.body.hangs.given() == Some(&Hangs::Level),
        count: chosen.map_or(0, |candidate| candidate.count),
        canopy_diameter: chosen.and_then(|candidate| candidate.diameter.clone()),
        line_length,
        riser_length,
        events: part.stages.iter().map(|stage| event(name, stage, notes)).collect(),
        bay: bay(&part.bay),
        pyrotechnic: part.bay.gas.source.given() == Some(&GasSource::Pyrotechnic),
        drops: sheet.tests.iter().map(|test| test.drops_kept).sum(),
        model: project.tests.iter().any(|test| test.part.value == *name && test.model.is_some()),
        outside: landing.and_then(|landing| outside(&path, landing, notes)),
    }
}

/// What closes and opens a bay, as it was written.
fn bay(bay: &Bay) -> Vec<String> {
    let mut says = Vec::new();
    if let Some(pins) = bay.pins.given().filter(|pins| **pins > 0) {
        let of = match bay.pin.given() {
            Some(Pin::Thread(word)) => format!(" {}", word.word()),
            Some(Pin::Smooth(diameter)) => format!(" of {}", diameter.text()),
            None => String::new(),
        };
        says.push(format!("{pins} {}{of}", if *pins == 1 { "pin" } else { "pins" }));
    }
    if let Some(vents) = bay.vents.given().filter(|vents| **vents > 0) {
        let of = bay.vent_diameter.given().map_or_else(String::new, |of| format!(" of {}", of.text()));
        says.push(format!("{vents} {}{of}", if *vents == 1 { "vent" } else { "vents" }));
    }
    let gas = &bay.gas;
    if let Some(GasSource::Cold) = gas.source.given() {
        let mass = gas.mass.given().map_or_else(String::new, |mass| format!("{} of ", mass.text()));
        let is = gas.gas.given().map_or("gas", |gas| gas.word());
        says.push(format!("{mass}{is}"));
    }
    says
}

/// What the share inside leaves over: of all cases by their chances, or of the only case.
fn outside(path: &str, landing: &LandingSheet, notes: &mut Notes) -> Option<Number> {
    let inside = match (&landing.mix, landing.cases.as_slice()) {
        (Some(mix), _) => mix.inside.as_ref(),
        (None, [only]) => only.inside.as_ref(),
        _ => None,
    }?;
    let share = &inside.share;
    let how = closed(
        "P_out",
        "share of landings outside the field or over a place to keep out of",
        Kind::Share,
        num(1.0) - sym("P_in"),
        vec![input("P_in", "share inside", share.si, Kind::Share, Trust::Measured, Some(&share.id))],
        Trust::Practice,
    );
    Some(notes.derived(Number::exact(format!("{path}.outside"), how.si, Kind::Share), how))
}

fn event(part: &str, stage: &Stage, notes: &mut Notes) -> EventSheet {
    let name = &stage.name.value;
    let path = format!("plan.parts.{part}.events.{name}");
    let key = |of: &str| format!("part.{part}.stage.{name}.{of}");
    let begins = stage.begins.given().map(|begins| match begins {
        Begins::Start => BeginsSheet::Top,
        Begins::After(time) => {
            let number = exact(&format!("{path}.after"), time, Kind::Time);
            BeginsSheet::After(notes.given(number, &key("after"), time.text()))
        }
        Begins::Below(height) => {
            let number = exact(&format!("{path}.below"), height, Kind::Length);
            BeginsSheet::Below(notes.given(number, &key("below"), height.text()))
        }
    });
    EventSheet { name: name.clone(), begins, canopies: stage.opens_canopies() }
}

fn number<Q: Measured>(
    id: &str,
    key: &str,
    known: &Known<Quantity<Q>>,
    kind: Kind,
    notes: &mut Notes,
) -> Option<Number> {
    let given = known.given()?;
    Some(notes.given(exact(id, given, kind), key, given.text()))
}

/// A stated value, without an interval: its doubt stands with what is worked from it.
fn exact<Q: Measured>(id: &str, given: &Quantity<Q>, kind: Kind) -> Number {
    Number::exact(id, given.si(), kind)
}

/// Direction by direction, where every part with a field to land in has its winds.
fn common_winds(
    parts: &[PartSheet],
    landings: &[LandingSheet],
    go_no_go: &[GoNoGoSheet],
    notes: &mut Notes,
) -> Vec<CommonWindSheet> {
    let of_part = |part: &PartSheet| -> Option<Vec<&GoNoGoSheet>> {
        let landing = landings.iter().find(|landing| landing.part == part.name)?;
        let own = || go_no_go.iter().filter(|one| one.part == part.name);
        let mix: Vec<&GoNoGoSheet> = own().filter(|one| one.case.is_none()).collect();
        match (mix.is_empty(), landing.cases.len()) {
            (false, _) => Some(mix),
            (true, 1) => Some(own().collect()),
            _ => None,
        }
    };
    let Some(all) = parts.iter().map(of_part).collect::<Option<Vec<_>>>() else { return Vec::new() };
    let Some(first) = all.first() else { return Vec::new() };
    let at = |index: usize| {
        let here: Vec<&GoNoGoSheet> = all.iter().filter_map(|part| part.get(index).copied()).collect();
        let from = &here.first()?.from;
        if here.len() < all.len() || here.iter().any(|one| (one.from.si - from.si).abs() > 1e-9) {
            return None;
        }
        let id = format!("{:.1}", from.si.to_degrees());
        let path = format!("plan.winds.{id}");
        let trials = landings.iter().map(|landing| landing.trials_for_winds).min().unwrap_or(0);
        let how = notes.hows.get(&from.id).cloned();
        let how = match how {
            Some(How::Simulation { seed, .. }) => {
                How::Simulation { procedure: COMMON.to_owned(), trials, seed }
            }
            _ => return None,
        };
        let from = notes.number(Number::exact(format!("{path}.from"), from.si, Kind::Angle), how.clone());
        let mut cut = |name: &str, of: fn(&GoNoGoSheet) -> &Vec<RangeSheet>| -> Vec<RangeSheet> {
            let mut kept: Vec<(f64, f64, bool)> = plain(of(here[0]));
            for one in &here[1..] {
                kept = common(&kept, &plain(of(one)));
            }
            let range = |(at, (low, high, reaches_beyond)): (usize, &(f64, f64, bool))| {
                let mut end = |end: &str, si: f64| {
                    let number = Number::exact(format!("{path}.{name}.{at}.{end}"), si, Kind::Speed);
                    notes.number(number, how.clone())
                };
                RangeSheet {
                    low: end("low", *low),
                    high: end("high", *high),
                    reaches_beyond: *reaches_beyond,
                }
            };
            kept.iter().enumerate().map(range).collect()
        };
        let ranges = cut("ranges", |one| &one.ranges);
        let sure_ranges = cut("sure_ranges", |one| &one.sure_ranges);
        let end = |one: &GoNoGoSheet| one.sure_ranges.last().map_or(0.0, |range| range.high.si);
        let limited_by = here.iter().min_by(|a, b| end(a).total_cmp(&end(b))).map(|one| one.part.clone());
        Some(CommonWindSheet { id, from, ranges, sure_ranges, limited_by: limited_by.unwrap_or_default() })
    };
    (0..first.len()).map(at).collect::<Option<Vec<_>>>().unwrap_or_default()
}

fn plain(ranges: &[RangeSheet]) -> Vec<(f64, f64, bool)> {
    ranges.iter().map(|range| (range.low.si, range.high.si, range.reaches_beyond)).collect()
}

/// What two lists of ranges have in common, each rising.
fn common(a: &[(f64, f64, bool)], b: &[(f64, f64, bool)]) -> Vec<(f64, f64, bool)> {
    let cut = |(low, high, on): &(f64, f64, bool)| {
        let (low, high, on) = (*low, *high, *on);
        b.iter().filter_map(move |(other_low, other_high, other_on)| {
            let (from, to) = (low.max(*other_low), high.min(*other_high));
            (from <= to).then_some((from, to, on && *other_on))
        })
    };
    a.iter().flat_map(cut).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_ranges_have_in_common() {
        let a = [(0.0, 3.0, false), (5.0, 15.0, true)];
        let b = [(1.0, 6.0, false), (9.0, 15.0, true)];
        assert_eq!(common(&a, &b), [(1.0, 3.0, false), (5.0, 6.0, false), (9.0, 15.0, true)]);
        assert_eq!(common(&b, &a), common(&a, &b));
        assert!(common(&a, &[]).is_empty());
        assert_eq!(common(&a, &[(3.0, 5.0, false)]), [(3.0, 3.0, false), (5.0, 5.0, false)]);
    }
}
