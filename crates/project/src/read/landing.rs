//! The day's wind, the start of the fall and the stages of a part, and whether they can go together.

use silkfall_core::finding::Code;
use silkfall_core::quantity::{Length, Velocity};

use super::{Row, named, opening};
use crate::landing::{Begins, Brakes, ByWind, Fill, Flight, LinearLaw, Stage, Wind, WithWind};
use crate::notes::{Notes, quoted};
use crate::project::{Part, Project};
use crate::value::{Known, Quantity, Said, Spot};
use crate::walk::Inner;
use crate::wire;
use crate::words::{LawOfHeight, Scaled};

/// A value under another name: what is given is wrapped, what is not stays so.
pub(super) fn wrapped<T, U>(known: Known<T>, wrap: impl FnOnce(T) -> U) -> Known<U> {
    match known {
        Known::Given(said) => Known::Given(Said { value: wrap(said.value), spot: said.spot }),
        Known::Unknown { spot, asked } => Known::Unknown { spot, asked },
        Known::Absent => Known::Absent,
    }
}

/// Of keys that exclude each other, the first that is written; another one is noted.
pub(super) fn one_of<const N: usize>(
    keys: [(&str, Option<Spot>); N],
    path: &str,
    notes: &mut Notes,
) -> Option<usize> {
    let written = || (0..N).filter(|at| keys[*at].1.is_some());
    let first = written().next()?;
    for other in written().skip(1) {
        let (name, spot) = keys[other];
        let message = format!("`{}` and `{name}` stand together, expected one of them", keys[first].0);
        let hint = format!("remove one; `{}` is used", keys[first].0);
        notes.add(Code::ProjectConflict, &format!("{path}.{name}"), spot, message, Some(hint));
    }
    Some(first)
}

/// A key that means something only beside another is noted where it stands alone.
pub(super) fn alone(key: &str, spot: Option<Spot>, needs: &str, path: &str, notes: &mut Notes) {
    let Some(spot) = spot else { return };
    let message = format!("`{key}` stands without {needs}");
    notes.add(Code::ProjectConflict, &format!("{path}.{key}"), Some(spot), message, None);
}

/// `of_site` is `[site] wind`, by which older files say the speed.
pub(super) fn wind(
    wind: Inner<wire::Wind>,
    of_site: Known<Quantity<Velocity>>,
    with_table: bool,
    notes: &mut Notes,
) -> Wind {
    let keys = wind.keys;
    let (speed_key, speed) = match (keys.speed.is_absent(), of_site.spot()) {
        (true, _) => ("site.wind", of_site),
        (false, None) => ("wind.speed", keys.speed),
        (false, Some(spot)) => {
            let message = "the wind stands here and as `speed` in [wind], expected one of them";
            let hint = "remove this one; [wind] is used".to_owned();
            notes.add(Code::ProjectTwice, "site.wind", Some(spot), message, Some(hint));
            ("wind.speed", keys.speed)
        }
    };
    let roughness = [
        ("terrain", keys.terrain.spot()),
        ("roughness", keys.roughness.spot()),
        ("exponent", keys.exponent.spot()),
    ];
    let first = one_of(roughness, "wind", notes);
    if let (Some(LawOfHeight::Logarithmic), Some(2)) = (keys.law.given(), first) {
        alone("exponent", keys.exponent.spot(), "law = \"power\", whose exponent it is", "wind", notes);
    }
    let reading = [
        (speed_key, speed.spot()),
        ("wind.from", keys.from.spot()),
        ("wind.measured_at", keys.measured_at.spot()),
    ];
    for (key, spot) in reading.into_iter().filter(|_| with_table) {
        let Some(spot) = spot else { continue };
        let message = format!("`{key}` stands beside a file of winds, expected one of them");
        let hint = "remove one; the file is used".to_owned();
        notes.add(Code::ProjectConflict, key, Some(spot), message, Some(hint));
    }
    let of_table = [
        ("speed_doubt", keys.speed_doubt.spot(), "speed = \"4 m/s ± 1 m/s\""),
        ("direction_doubt", keys.direction_doubt.spot(), "from = \"250 ° ± 15 °\""),
    ];
    for (key, spot, instead) in of_table.into_iter().filter(|_| !with_table) {
        let Some(spot) = spot else { continue };
        let message = format!("`{key}` stands without a file of winds, whose doubt it is");
        let hint = format!("name the file: winds = \"winds.csv\"; or write {instead}");
        notes.add(Code::ProjectConflict, &format!("wind.{key}"), Some(spot), message, Some(hint));
    }
    if keys.scaled.given() != Some(&Scaled::Ground) && !keys.scaled.is_unknown() {
        alone("fades_by", keys.fades_by.spot(), "scaled = \"ground\", which fades out there", "wind", notes);
    }
    if keys.level_doubt.is_absent() {
        alone("level_correlation", keys.level_correlation.spot(), "`level_doubt`", "wind", notes);
    }
    let kept = |at: usize| first == Some(at);
    Wind {
        speed: if with_table { Known::Absent } else { speed },
        from: if with_table { Known::Absent } else { keys.from },
        measured_at: if with_table { Known::Absent } else { keys.measured_at },
        law: keys.law,
        terrain: if kept(0) { keys.terrain } else { Known::Absent },
        roughness: if kept(1) { keys.roughness } else { Known::Absent },
        exponent: if kept(2) { keys.exponent } else { Known::Absent },
        speed_doubt: keys.speed_doubt,
        direction_doubt: keys.direction_doubt,
        level_doubt: keys.level_doubt,
        level_correlation: keys.level_correlation,
        rising_air: keys.rising_air,
        gusts: keys.gusts,
        scaled: keys.scaled,
        fades_by: keys.fades_by,
        spot: wind.spot,
    }
}

/// A height of the start that lies below the ground is noted and counts as not known.
fn above_ground(top: Known<Quantity<Length>>, path: &str, notes: &mut Notes) -> Known<Quantity<Length>> {
    let Known::Given(said) = &top else { return top };
    if said.value.si() > 0.0 {
        return top;
    }
    let message =
        format!("the fall starts at {}, expected a height above the ground", quoted(said.value.text()));
    let hint =
        "heights of the start count from the field's ground, not from sea level and not downwards".to_owned();
    notes.add(Code::FlightBelowGround, path, Some(said.spot), message, Some(hint));
    Known::Unknown { spot: said.spot, asked: false }
}

pub(super) fn flight(flight: Inner<wire::Flight>, path: &str, notes: &mut Notes) -> Flight {
    let keys = flight.keys;
    let law = [
        ("upwind_per_wind", keys.upwind_per_wind.spot()),
        ("top_per_wind", keys.top_per_wind.spot()),
        ("speed_per_wind", keys.speed_per_wind.spot()),
    ];
    let first_of_law = law.iter().find_map(|(key, spot)| Some((*key, (*spot)?)));
    if keys.upwind_per_wind.is_absent() || keys.top_per_wind.is_absent() {
        let needs = "`upwind_per_wind` and `top_per_wind`";
        alone("correlation", keys.correlation.spot(), needs, path, notes);
    }
    let rows = with_wind(keys.with_wind.0, &format!("{path}.with_wind"), notes);
    let by_wind = match (first_of_law, rows.first()) {
        (None, None) => ByWind::Fixed,
        (None, Some(_)) => ByWind::Table(rows),
        (Some((key, _)), row) => {
            if let Some(row) = row {
                let message = format!("a table by wind stands beside `{key}`, expected one of them");
                let hint = format!("remove one; `{key}` is used");
                notes.add(
                    Code::ProjectConflict,
                    &format!("{path}.with_wind"),
                    Some(row.wind.spot),
                    message,
                    Some(hint),
                );
            }
            ByWind::Law(Box::new(LinearLaw {
                upwind: keys.upwind_per_wind,
                top: keys.top_per_wind,
                speed: keys.speed_per_wind,
                correlation: keys.correlation,
            }))
        }
    };
    Flight {
        top: above_ground(keys.top, &format!("{path}.top"), notes),
        east: keys.east,
        north: keys.north,
        speed: keys.speed,
        towards: keys.towards,
        fastest_climb: keys.fastest_climb,
        by_wind,
        spot: flight.spot,
    }
}

/// Rows by growing wind; one that is out of order is left out. A column stands in every row or in none.
fn with_wind(rows: Vec<Said<wire::WithWind>>, path: &str, notes: &mut Notes) -> Vec<WithWind> {
    let mut kept: Vec<WithWind> = Vec::new();
    for (index, row) in rows.into_iter().enumerate() {
        let number = index + 1;
        let keys = row.value;
        let Some(wind) = keys.wind.0 else { continue };
        let here = |key: &str| format!("{path}.{number}.{key}");
        if let Some(before) = kept.last()
            && wind.value.si() <= before.wind.value.si()
        {
            let message = format!(
                "the row of {} follows that of {}, expected rows by growing wind",
                wind.value.text(),
                before.wind.value.text()
            );
            let hint = "put the rows in order, each wind once; this row is not used".to_owned();
            notes.add(Code::FlightTableOrder, &here("wind"), Some(wind.spot), message, Some(hint));
            continue;
        }
        let top = above_ground(keys.top, &here("top"), notes);
        kept.push(WithWind { wind, upwind: keys.upwind, top, speed: keys.speed, number });
    }
    every_row_or_none("upwind", &kept, |row| row.upwind.is_absent(), path, notes);
    every_row_or_none("top", &kept, |row| row.top.is_absent(), path, notes);
    every_row_or_none("speed", &kept, |row| row.speed.is_absent(), path, notes);
    kept
}

fn every_row_or_none(
    column: &str,
    rows: &[WithWind],
    is_absent: impl Fn(&WithWind) -> bool,
    path: &str,
    notes: &mut Notes,
) {
    if rows.iter().all(&is_absent) {
        return;
    }
    for row in rows.iter().filter(|row| is_absent(row)) {
        let message = format!("`{column}` is missing in the row of {}", row.wind.value.text());
        let hint = "a column stands in every row or in none; write \"?\" where it is not known".to_owned();
        let path = format!("{path}.{}.{column}", row.number);
        notes.add(Code::ProjectMissingKey, &path, Some(row.wind.spot), message, Some(hint));
    }
}

pub(super) fn stages(rows: Vec<Said<wire::Stage>>, path: &str, notes: &mut Notes) -> Vec<Stage> {
    let stages = named(rows, path, notes, stage);
    in_order(&stages, path, notes);
    canopies_once(&stages, path, notes);
    stages
}

fn stage(row: Row<wire::Stage>, notes: &mut Notes) -> Option<Stage> {
    let keys = row.keys;
    let path = &row.path;
    let brakes = [("drag_area", keys.drag_area.spot()), ("opens", keys.opens.spot())];
    let brakes = match one_of(brakes, path, notes) {
        Some(0) => wrapped(keys.drag_area, Brakes::Area),
        Some(_) => wrapped(keys.opens, |_| Brakes::Canopies),
        None => {
            let message = "this stage does not say what brakes";
            let hint = "add drag_area = \"0.35 m² ± 8 %\", or opens = \"canopies\"".to_owned();
            notes.add(Code::ProjectMissingKey, path, Some(row.spot), message, Some(hint));
            Known::Unknown { spot: row.spot, asked: false }
        }
    };
    let begins = [("begins", keys.begins.spot()), ("after", keys.after.spot()), ("below", keys.below.spot())];
    let begins = match one_of(begins, path, notes) {
        Some(0) => wrapped(keys.begins, |_| Begins::Start),
        Some(1) => wrapped(keys.after, Begins::After),
        Some(_) => wrapped(keys.below, Begins::Below),
        None => {
            let message = "this stage does not say when it begins";
            let hint =
                "add begins = \"start\", or after = \"2 s ± 0.3 s\", or below = \"150 m ± 8 m\"".to_owned();
            notes.add(Code::ProjectMissingKey, path, Some(row.spot), message, Some(hint));
            Known::Unknown { spot: row.spot, asked: false }
        }
    };
    let fill = [("fill_time", keys.fill_time.spot()), ("fill_diameters", keys.fill_diameters.spot())];
    let fill = match one_of(fill, path, notes) {
        Some(0) => wrapped(keys.fill_time, Fill::Time),
        Some(_) => wrapped(keys.fill_diameters, Fill::Diameters),
        None => Known::Absent,
    };
    let opens_canopies = brakes.given() == Some(&Brakes::Canopies);
    let cord = opening::cord(keys.cord, opens_canopies, &format!("{path}.cord"), notes);
    let reefing = opening::reefing(keys.reefing, &format!("{path}.reefing"), notes);
    if matches!(fill, Known::Absent) && keys.growth.is_absent() && keys.opening_force.is_absent() {
        let needs = "opening_force, growth or a fill, which it is the source of";
        alone("filling_from", keys.filling_from.spot(), needs, path, notes);
    }
    Some(Stage {
        name: row.name,
        brakes,
        begins,
        fill,
        growth: keys.growth,
        opening_force: keys.opening_force,
        filling_from: keys.filling_from,
        stays: keys.stays,
        reefing,
        cord,
    })
}

/// What stands later in the list begins later.
fn in_order(stages: &[Stage], path: &str, notes: &mut Notes) {
    for (index, stage) in stages.iter().enumerate() {
        let Known::Given(Said { value: begins, spot }) = &stage.begins else { continue };
        let mut earlier = stages[..index].iter().rev();
        let clash = match begins {
            Begins::Start => earlier.next().map(|before| {
                let name = quoted(&before.name.value);
                ("begins", format!("a stage that begins at the start follows {name}, expected it first"))
            }),
            Begins::After(time) => earlier
                .find_map(|before| match before.begins.given() {
                    Some(Begins::After(first)) if time.si() <= first.si() => Some((before, first.text())),
                    _ => None,
                })
                .map(|(before, first)| ("after", follows(before, time.text(), first, "a later time"))),
            Begins::Below(height) => earlier
                .find_map(|before| match before.begins.given() {
                    Some(Begins::Below(first)) if height.si() >= first.si() => Some((before, first.text())),
                    _ => None,
                })
                .map(|(before, first)| ("below", follows(before, height.text(), first, "a lower height"))),
        };
        let Some((key, message)) = clash else { continue };
        let key = format!("{path}.{}.{key}", crate::walk::key_text(&stage.name.value));
        let hint = "put the stages in the order in which they begin".to_owned();
        notes.add(Code::StageOrder, &key, Some(*spot), message, Some(hint));
    }
}

fn follows(before: &Stage, this: &str, first: &str, expected: &str) -> String {
    let name = quoted(&before.name.value);
    format!("this stage begins at {this} and follows {name}, which begins at {first}; expected {expected}")
}

/// Canopies open once.
fn canopies_once(stages: &[Stage], path: &str, notes: &mut Notes) {
    let opening = |stage: &&Stage| stage.brakes.given() == Some(&Brakes::Canopies);
    let Some(first) = stages.iter().find(opening) else {
        let all_known = stages.iter().all(|stage| stage.brakes.given().is_some());
        if let (Some(last), true) = (stages.last(), all_known) {
            let message = "no stage opens the canopies, expected one that does";
            let hint = "write opens = \"canopies\" in the stage in which they open".to_owned();
            notes.add(Code::StageCanopies, path, Some(last.name.spot), message, Some(hint));
        }
        return;
    };
    for again in stages.iter().filter(opening).skip(1) {
        let message = format!("the canopies open here and in {}, expected once", quoted(&first.name.value));
        let hint = "give one of these stages its drag_area instead".to_owned();
        let key = format!("{path}.{}.opens", crate::walk::key_text(&again.name.value));
        notes.add(Code::StageCanopies, &key, again.brakes.spot(), message, Some(hint));
    }
}

/// What single tables cannot tell: a stage above the top of its part's fall, a start that is said in two ways.
pub(super) fn against_each_other(project: &Project, notes: &mut Notes) {
    for part in &project.parts {
        let path = format!("part.{}", crate::walk::key_text(&part.name.value));
        stages_below_the_top(project, part, &path, notes);
        if let (ByWind::Table(rows), ByWind::Fixed) = (&project.flight.by_wind, &part.flight.by_wind) {
            let own = [
                ("top", part.flight.top.spot(), rows.iter().any(|row| !row.top.is_absent())),
                ("speed", part.flight.speed.spot(), rows.iter().any(|row| !row.speed.is_absent())),
            ];
            for (key, spot, in_rows) in own {
                let (Some(spot), true) = (spot, in_rows) else { continue };
                let message =
                    format!("`{key}` stands here, and for every wind in the rows of flight.with_wind");
                let hint = "give this part rows of its own: [[part.flight.with_wind]]".to_owned();
                notes.add(
                    Code::ProjectConflict,
                    &format!("{path}.flight.{key}"),
                    Some(spot),
                    message,
                    Some(hint),
                );
            }
        }
    }
}

fn stages_below_the_top(project: &Project, part: &Part, path: &str, notes: &mut Notes) {
    let Some(top) = project.flight_key(part, |flight| &flight.top).0.given() else { return };
    for stage in &part.stages {
        let Known::Given(Said { value: Begins::Below(height), spot }) = &stage.begins else { continue };
        if height.si() < top.si() {
            continue;
        }
        let message = format!(
            "this stage begins at {}, the fall starts at {}; expected a lower height",
            quoted(height.text()),
            quoted(top.text())
        );
        let hint =
            "write begins = \"start\", or check both heights: they count from the field's ground".to_owned();
        let key = format!("{path}.stage.{}.below", crate::walk::key_text(&stage.name.value));
        notes.add(Code::StageAboveTop, &key, Some(*spot), message, Some(hint));
    }
}
