//! The figures of a part's landing, each with what it says in words and as a table.
//!
//! The tables hold the very numbers that are drawn: corners of rings, points of a fall and of a curve, ends of
//! ranges, each under its path in the JSON.

use silkfall_core::maths;
use silkfall_core::quantity::{Kind, System};
use silkfall_sheet::{
    BetterPadSheet, GoNoGoSheet, LandingSheet, MapSheet, Number, OpeningSheet, PartSheet, RangeSheet,
    RingsSheet,
};

use super::landing::{LEAST_DOUBT, ranges, share, title};
use crate::document::{Cell, Column, Rich, Row, Shown, Table};
use crate::figures::{
    DescentLine, DescentLines, DescentPoint, Drawing, FieldMap, Figure, GroundWind, NamedRegion,
    OpeningCurve, OpeningMark, Patch, RoseDress, RoseSector, ShareRegion, Today, WindRange, WindRose,
    WindRoses, compass,
};
use crate::show;

/// Rows of a fall's table, a case.
const ROWS: usize = 8;
/// Doubts by which places of a figure are written: whole metres, tenths of a second.
const METRES: f64 = 5.0;
const SECONDS: f64 = 0.5;

/// "98.7 %" in words: units do not differ.
fn percent(number: &Number, standard_error: f64) -> String {
    show::number(&share(number, standard_error), System::Si, None)
}

/// The field with where it comes down; none at quick effort.
pub(super) fn map(part: &PartSheet, landing: &LandingSheet) -> Option<Figure> {
    let map = landing.map.as_ref()?;
    let patch = |rings: &RingsSheet| Patch { name: rings.name.clone(), rings_m: rings.rings.clone() };
    let patches = |of: &[RingsSheet]| of.iter().map(patch).collect::<Vec<_>>();
    let several = landing.cases.len() > 1;
    let worst = map.worst.as_ref().filter(|(_, rings)| several && !rings.is_empty());
    let better = landing.mix.as_ref().and_then(|mix| mix.better_pad.as_ref());
    let whose = match (&landing.mix, landing.cases.first()) {
        (None, Some(case)) => title(part, &case.case).to_owned(),
        _ => "all cases by their chances".to_owned(),
    };
    let mut caption = format!("To scale, north up. The rings hold 50, 90 and 99 % of landings: {whose}.");
    if let Some((case, _)) = worst {
        caption += &format!(" Dotted: 99 % if {}, the case that does worst.", title(part, case));
    }
    if !map.edges.is_empty() || !map.keep_outs.is_empty() {
        caption += " Hatched: to keep out of.";
    }
    caption += " The dots are some of the landings.";
    Some(Figure {
        id: format!("{}-map", part.name),
        caption: caption.into(),
        description: map_says(landing, map),
        alternative: map_table(part, landing, map),
        drawing: Drawing::Map(FieldMap {
            edges: patches(&map.edges),
            keep_outs: patches(&map.keep_outs),
            regions: map
                .regions
                .iter()
                .map(|region| ShareRegion { share: region.share, polygons: patches(&region.polygons) })
                .collect(),
            worst: worst.map(|(case, rings)| NamedRegion {
                label: format!("99 % if {}", title(part, case)),
                polygons: patches(rings),
            }),
            samples_m: map.samples.iter().map(|(_, place)| *place).collect(),
            better_pad_m: better.map(place_of),
            wind: wind(landing),
        }),
    })
}

fn wind(landing: &LandingSheet) -> GroundWind {
    GroundWind { from_rad: landing.wind_from.si, speed_m_per_s: landing.ground_wind.si }
}

fn place_of(pad: &BetterPadSheet) -> [f64; 2] {
    let (distance_m, bearing_rad) = (pad.distance.si, pad.bearing.si);
    [distance_m * maths::sin(bearing_rad), distance_m * maths::cos(bearing_rad)]
}

/// The answer first: how many land inside, and where they lie.
fn map_says(landing: &LandingSheet, map: &MapSheet) -> String {
    let inside = landing.mix.as_ref().and_then(|mix| Some((mix.inside.as_ref()?, mix.verdict)));
    let answer = match inside {
        Some((inside, verdict)) => format!(
            "{} of landings come down inside the field: {}.",
            percent(&inside.share, inside.standard_error),
            verdict.word()
        ),
        None if map.edges.is_empty() => "No field is given, so no landing is judged.".to_owned(),
        None => "The landings of each case against the field.".to_owned(),
    };
    let air = if landing.ground_wind.si > 0.0 {
        let to = landing.wind_from.si + std::f64::consts::PI;
        format!("The wind blows from {}, towards {}.", compass(landing.wind_from.si), compass(to))
    } else {
        "It is calm.".to_owned()
    };
    let lies = landing.cases.iter().find_map(|case| case.bearing.as_ref());
    let lies =
        lies.map_or_else(String::new, |to| format!(" Most landings lie {} of the pad.", compass(to.si)));
    let areas = landing.mix.as_ref().map_or(&[][..], |mix| &mix.keep_outs);
    let over: String = areas
        .iter()
        .map(|area| format!(" {} over {}.", percent(&area.share, LEAST_DOUBT), area.name))
        .collect();
    format!("{answer} {air}{lies}{over}")
}

/// How far each outline reaches: its westernmost and easternmost, southernmost and northernmost corners.
fn map_table(part: &PartSheet, landing: &LandingSheet, map: &MapSheet) -> Table {
    let columns = vec![
        Column::text("Outline"),
        Column::text("west to east of the pad").in_unit_of(Kind::Length).right(),
        Column::text("south to north of it").in_unit_of(Kind::Length).right(),
    ];
    let path = format!("landing.{}.map", landing.part);
    let mut rows: Vec<(Rich, String, &[RingsSheet])> = Vec::new();
    rows.push(("edge of the field".into(), format!("{path}.edges"), &map.edges));
    for (at, area) in map.keep_outs.iter().enumerate() {
        let name = area.name.as_deref().unwrap_or("a place to keep out of");
        rows.push((name.into(), format!("{path}.keep_outs"), &map.keep_outs[at..=at]));
    }
    for (at, region) in map.regions.iter().enumerate() {
        let id = format!("{path}.regions.{at}");
        let of = Shown::new(format!("{id}.share"), region.share, 0.0, Kind::Share);
        let name = Rich::new().number(of).plain(" of landings");
        rows.push((name, format!("{id}.polygons"), &region.polygons));
    }
    if let Some((case, rings)) = &map.worst {
        let name = format!("99 % if {}", title(part, case));
        rows.push((name.into(), format!("{path}.worst_region"), rings));
    }
    let mut table = Table::new("How far each outline reaches from the pad", columns);
    for (name, path, patches) in rows {
        if let (Some(across), Some(up)) = (reach(&path, patches, 0), reach(&path, patches, 1)) {
            table = table.row(Row::new(vec![name.into(), across.into(), up.into()]));
        }
    }
    table
}

/// The least and the largest coordinate of patches along an axis (0 east, 1 north).
fn reach(path: &str, patches: &[RingsSheet], axis: usize) -> Option<Rich> {
    let corners = || {
        patches.iter().enumerate().flat_map(move |(patch, rings)| {
            let key = rings.name.clone().unwrap_or_else(|| patch.to_string());
            rings.rings.iter().enumerate().flat_map(move |(ring, corners)| {
                let key = key.clone();
                corners.iter().enumerate().map(move |(corner, place)| {
                    let id = format!("{path}.{key}.rings.{ring}.{corner}.{axis}");
                    Shown::new(id, place[axis], METRES, Kind::Length)
                })
            })
        })
    };
    let low = corners().min_by(|a, b| a.si.total_cmp(&b.si))?;
    let high = corners().max_by(|a, b| a.si.total_cmp(&b.si))?;
    Some(Rich::new().interval(low, high))
}

/// Height against time and drift; none at quick effort.
pub(super) fn descent(part: &PartSheet, landing: &LandingSheet) -> Option<Figure> {
    let columns = vec![
        Column::text("Case"),
        Column::numbers("time", Kind::Time),
        Column::numbers("height", Kind::Length),
        Column::numbers("east of the pad", Kind::Length),
        Column::numbers("north of it", Kind::Length),
    ];
    let mut table = Table::new("The fall nearest to the middle of all, case by case", columns);
    let mut cases = Vec::new();
    for case in landing.cases.iter().filter(|case| case.track.len() > 1) {
        let path = format!("landing.{}.cases.{}.track", landing.part, case.case);
        let last = case.track.len() - 1;
        let every = last.div_ceil(ROWS).max(1);
        for (at, point) in case.track.iter().enumerate().filter(|(at, _)| at % every == 0 || *at == last) {
            let cell = |field: usize, si, doubt, kind| -> Cell {
                Shown::new(format!("{path}.{at}.{field}"), si, doubt, kind).into()
            };
            table = table.row(Row::new(vec![
                if at == 0 { title(part, &case.case) } else { "" }.into(),
                cell(0, point.time_s, SECONDS, Kind::Time),
                cell(1, point.height_m, METRES, Kind::Length),
                cell(2, point.east_m, METRES, Kind::Length),
                cell(3, point.north_m, METRES, Kind::Length),
            ]));
        }
        let point = |at: &silkfall_sheet::TrackPoint| DescentPoint {
            time_s: at.time_s,
            height_m: at.height_m,
            drift_m: at.east_m.hypot(at.north_m),
        };
        cases.push(DescentLine {
            label: title(part, &case.case).to_owned(),
            points: case.track.iter().map(point).collect(),
        });
    }
    let end = |line: &DescentLine| line.points.last().map(|point| (point.time_s, point.drift_m));
    let longest = cases.iter().max_by(|a, b| compare(end(a), end(b), |end| end.0))?;
    let furthest = cases.iter().max_by(|a, b| compare(end(a), end(b), |end| end.1))?;
    let description = format!(
        "Height over time, and over the distance from the pad, of the fall nearest to the middle of each of {} cases. \
         Longest aloft: {}. Furthest from the pad: {}.",
        cases.len(),
        longest.label,
        furthest.label
    );
    Some(Figure {
        id: format!("{}-descent", part.name),
        caption: "How it comes down: the fall nearest to the middle of all, a line a case.".into(),
        description,
        alternative: table,
        drawing: Drawing::Descent(DescentLines { cases }),
    })
}

fn compare(
    a: Option<(f64, f64)>,
    b: Option<(f64, f64)>,
    by: impl Fn((f64, f64)) -> f64,
) -> std::cmp::Ordering {
    a.map_or(f64::NEG_INFINITY, &by).total_cmp(&b.map_or(f64::NEG_INFINITY, &by))
}

/// The compass of allowed winds, of all cases by their chances, or of the only case.
pub(super) fn rose(part: &PartSheet, landing: &LandingSheet, allowed: &[&GoNoGoSheet]) -> Option<Figure> {
    let of_mix: Vec<&GoNoGoSheet> = allowed.iter().copied().filter(|one| one.case.is_none()).collect();
    let only = if of_mix.is_empty() && landing.cases.len() == 1 { allowed.to_vec() } else { of_mix };
    let first = only.first()?;
    let whose = first.case.as_deref().map_or("all cases by their chances", |case| title(part, case));
    let roses = roses(landing, vec![rose_of(whose, &only)], first);
    let mut caption = Rich::from(format!(
        "Winds to fly in, by where the ground wind blows from: {whose}. Solid is 95 % sure, striped is so by best \
         estimate, blank fails."
    ));
    if only.iter().any(|one| one.ranges.iter().any(|range| range.reaches_beyond)) {
        let last = first.speeds_m_per_s.len().saturating_sub(1);
        let id = format!("go_no_go.{}.speeds_m_s.{last}", first.id);
        caption = caption
            .plain(" A tip outside a band: it may go on, stronger winds than ")
            .number(Shown::new(id, roses.strongest_m_per_s, 0.0, Kind::Speed))
            .plain(" were not flown.");
    }
    caption = caption.plain(" Void above a top of ").number(Shown::from(&landing.top)).plain(".");
    Some(Figure {
        id: format!("{}-rose", part.name),
        caption,
        description: rose_says(landing, &only),
        alternative: rose_table(whose, &only),
        drawing: Drawing::Roses(roses),
    })
}

/// A small rose a case; none where there is one case only.
pub(super) fn roses_by_case(
    part: &PartSheet,
    landing: &LandingSheet,
    allowed: &[&GoNoGoSheet],
) -> Option<Figure> {
    let of = |case: &str| -> Vec<&GoNoGoSheet> {
        allowed.iter().copied().filter(|one| one.case.as_deref() == Some(case)).collect()
    };
    let cases: Vec<(&str, Vec<&GoNoGoSheet>)> = landing
        .cases
        .iter()
        .map(|case| (title(part, &case.case), of(&case.case)))
        .filter(|(_, allowed)| !allowed.is_empty())
        .collect();
    let first = *cases.first().filter(|_| cases.len() > 1)?.1.first()?;
    let columns = std::iter::once(Column::numbers("wind from", Kind::Angle))
        .chain(cases.iter().map(|(title, _)| Column::text(*title).in_unit_of(Kind::Speed)));
    let mut table = Table::new("Ground winds by best estimate, case by case", columns.collect());
    for (at, direction) in cases[0].1.iter().enumerate() {
        let cells = cases.iter().map(|(_, allowed)| -> Cell {
            allowed.get(at).map_or_else(|| "".into(), |one| ranges(&one.ranges).into())
        });
        table =
            table.row(Row::new(std::iter::once(Shown::from(&direction.from).into()).chain(cells).collect()));
    }
    let fails: Vec<&str> = cases
        .iter()
        .filter(|(_, allowed)| allowed.iter().all(|one| one.ranges.is_empty()))
        .map(|(title, _)| *title)
        .collect();
    let fails = if fails.is_empty() { "none".to_owned() } else { fails.join(", ") };
    let small = cases.iter().map(|(title, allowed)| rose_of(title, allowed)).collect();
    Some(Figure {
        id: format!("{}-roses", part.name),
        caption: "The same, each case as if it were sure to happen.".into(),
        description: format!(
            "Allowed ground winds of each of {} cases; no wind holds for: {fails}.",
            cases.len()
        ),
        alternative: table,
        drawing: Drawing::Roses(roses(landing, small, first)),
    })
}

fn roses(landing: &LandingSheet, roses: Vec<WindRose>, any: &GoNoGoSheet) -> WindRoses {
    let between = |number: &Number| number.interval_95.map(|interval| (interval.low, interval.high));
    WindRoses {
        roses,
        strongest_m_per_s: any.speeds_m_per_s.iter().copied().fold(0.0, f64::max),
        dress: RoseDress::Key,
        today: Today {
            wind: wind(landing),
            speeds_m_per_s: between(&landing.ground_wind),
            from_rad: between(&landing.wind_from),
        },
    }
}

fn rose_of(label: &str, allowed: &[&GoNoGoSheet]) -> WindRose {
    let range = |range: &RangeSheet| WindRange {
        low_m_per_s: range.low.si,
        high_m_per_s: range.high.si,
        reaches_beyond: range.reaches_beyond,
    };
    let sector = |one: &&GoNoGoSheet| RoseSector {
        from_rad: one.from.si,
        ranges: one.ranges.iter().map(range).collect(),
        sure: one.sure_ranges.iter().map(range).collect(),
    };
    WindRose { label: label.to_owned(), sectors: allowed.iter().map(sector).collect() }
}

/// The answer first: where today's wind stands; then in how many directions some wind, and calm, will do.
fn rose_says(landing: &LandingSheet, allowed: &[&GoNoGoSheet]) -> String {
    let today = wind(landing);
    let away = |one: &GoNoGoSheet| maths::cos(one.from.si - today.from_rad);
    let nearest = allowed.iter().max_by(|a, b| away(a).total_cmp(&away(b)));
    let holds = |ranges: &[RangeSheet]| {
        ranges.iter().any(|range| (range.low.si..=range.high.si).contains(&today.speed_m_per_s))
    };
    let stands = match nearest {
        Some(one) if holds(&one.sure_ranges) => "in a solid band: 95 % sure",
        Some(one) if holds(&one.ranges) => "in a striped band: inside by best estimate only",
        _ => "in no band: too few land inside",
    };
    let some = allowed.iter().filter(|one| !one.ranges.is_empty()).count();
    let calm = allowed.iter().filter(|one| one.ranges.iter().any(|range| range.low.si <= 0.0)).count();
    format!(
        "Today's wind from {} stands {stands}. In {some} of {} directions some wind is allowed; in {calm} of them from \
         calm on.",
        compass(today.from_rad),
        allowed.len()
    )
}

fn rose_table(whose: &str, allowed: &[&GoNoGoSheet]) -> Table {
    let columns = vec![
        Column::numbers("wind from", Kind::Angle),
        Column::text("by best estimate").in_unit_of(Kind::Speed),
        Column::text("95 % sure").in_unit_of(Kind::Speed),
    ];
    let mut table =
        Table::new(format!("Ground winds in which the wanted share lands inside: {whose}"), columns);
    for one in allowed {
        table = table.row(Row::new(vec![
            Shown::from(&one.from).into(),
            ranges(&one.ranges).into(),
            ranges(&one.sure_ranges).into(),
        ]));
    }
    table
}

/// What the height of opening costs.
pub(super) fn opening(part: &PartSheet, opening: &OpeningSheet) -> Option<Figure> {
    if opening.curve.len() < 2 {
        return None;
    }
    let path = format!("landing.{}.opening.curve", part.name);
    let with_field = opening.curve.iter().any(|point| point.inside.is_some());
    let mut columns = vec![
        Column::numbers("opened at", Kind::Length),
        Column::numbers("drift, 95 of 100", Kind::Length),
        Column::text("room in time").right(),
    ];
    if with_field {
        columns.push(Column::text("inside the field").right());
    }
    let mut table = Table::new("What the height of opening costs", columns);
    for (at, point) in opening.curve.iter().enumerate() {
        let number = |field: &str, si, doubt, kind| -> Cell {
            Shown::new(format!("{path}.{at}.{field}"), si, doubt, kind).into()
        };
        let mut cells = vec![
            number("height_m", point.height_m, METRES, Kind::Length),
            number("drift_m", point.drift_m, METRES, Kind::Length),
            number("in_time", point.in_time, LEAST_DOUBT, Kind::Share),
        ];
        if with_field {
            cells.push(
                point
                    .inside
                    .map_or_else(|| "".into(), |inside| number("inside", inside, LEAST_DOUBT, Kind::Share)),
            );
        }
        table = table.row(Row::new(cells));
    }
    let mark = |point: &silkfall_sheet::OpeningPoint| OpeningMark {
        height_m: point.height_m,
        drift_m: point.drift_m,
        in_time: point.in_time,
        inside: point.inside,
    };
    let side = if opening.planned.si >= opening.lowest.si { "above" } else { "BELOW" };
    Some(Figure {
        id: format!("{}-opening", part.name),
        caption: format!(
            "What the height of opening {} costs: higher drifts further, lower leaves no room to react; hatched is \
             too low.",
            opening.stage
        )
        .into(),
        description: format!(
            "The planned height of opening {} lies {side} the lowest safe one. Drift and the share of flights with \
             room in time, over the height of opening.",
            opening.stage
        ),
        alternative: table,
        drawing: Drawing::Opening(OpeningCurve {
            points: opening.curve.iter().map(mark).collect(),
            lowest_m: opening.lowest.si,
            planned_m: opening.planned.si,
        }),
    })
}
