//! Winds and places on the first page: the compass of all parts at once, the map of the part that lands worst.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{CaseLandingSheet, CommonWindSheet, LandingSheet, PartSheet, RangeSheet, Sheet};

use super::super::landing::{self, ranges, title};
use super::super::landing_figures;
use super::front::tag;
use super::plan_of;
use crate::document::{Column, Rich, Row, Section, Shown, Table};
use crate::figures::{
    Drawing, Figure, GroundWind, RoseDress, RoseSector, Today, WindRange, WindRose, WindRoses, compass,
};

/// Items 5 and 6, side by side: compass and table of winds, and the map.
pub(super) fn sections(sheet: &Sheet) -> [Section; 2] {
    [winds(sheet), map(sheet)]
}

fn winds(sheet: &Sheet) -> Section {
    let mut section = Section::new("front-winds", "Ground winds to fly in").on_front(4);
    match compass_of_all(sheet, "front-rose", RoseDress::Bare) {
        Some(figure) => section = section.in_report(figure).in_report(by_direction(sheet)),
        None => {
            section = section.in_report(
                "Not judged: a field, the start of every part's fall and full effort are needed for limits of wind.",
            );
        }
    }
    let told = [ended_by(sheet), worst_case(sheet), aloft(sheet)].into_iter().flatten();
    let said = told.fold(Rich::new(), |said, one| {
        let gap = if said.is_empty() { "" } else { " " };
        said.plain(gap).then(one)
    });
    if said.is_empty() { section } else { section.in_report(said) }
}

/// "Ended by capsule in every direction."
fn ended_by(sheet: &Sheet) -> Option<Rich> {
    if sheet.parts.len() < 2 {
        return None;
    }
    let mut by_part: Vec<(&str, Vec<&str>)> = Vec::new();
    for wind in &sheet.plan.winds {
        let point = compass(wind.from.si);
        match by_part.iter_mut().find(|(part, _)| *part == wind.limited_by) {
            Some((_, points)) => points.push(point),
            None => by_part.push((&wind.limited_by, vec![point])),
        }
    }
    by_part.sort_by_key(|(_, points)| std::cmp::Reverse(points.len()));
    let by_part: Vec<(String, Vec<&str>)> =
        by_part.into_iter().map(|(part, points)| (tag(sheet, part), points)).collect();
    match by_part.as_slice() {
        [] => None,
        [(only, _)] => Some(format!("Ended by {only} in every direction.").into()),
        [(most, _), rest @ ..] => {
            let rest: Vec<String> =
                rest.iter().map(|(part, points)| format!("by {part} from {}", points.join(", "))).collect();
            Some(format!("Ended {}; by {most} from all others.", rest.join("; ")).into())
        }
    }
}

/// The compass of the winds in which every part may fly.
pub(super) fn compass_of_all(sheet: &Sheet, id: &str, dress: RoseDress) -> Option<Figure> {
    let landing = sheet.landing.first()?;
    let winds = &sheet.plan.winds;
    let plain = |range: &RangeSheet| WindRange {
        low_m_per_s: range.low.si,
        high_m_per_s: range.high.si,
        reaches_beyond: range.reaches_beyond,
    };
    let sector = |wind: &CommonWindSheet| RoseSector {
        from_rad: wind.from.si,
        ranges: wind.ranges.iter().map(plain).collect(),
        sure: wind.sure_ranges.iter().map(plain).collect(),
    };
    let between =
        |number: &silkfall_sheet::Number| number.interval_95.map(|interval| (interval.low, interval.high));
    let label = if sheet.parts.len() > 1 { "every part at once" } else { "all cases by their chances" };
    let rose = WindRose { label: label.to_owned(), sectors: winds.iter().map(sector).collect() };
    let wind = GroundWind { from_rad: landing.wind_from.si, speed_m_per_s: landing.ground_wind.si };
    let none: Vec<&str> =
        winds.iter().filter(|wind| wind.sure_ranges.is_empty()).map(|wind| compass(wind.from.si)).collect();
    let none = if none.is_empty() { "none".to_owned() } else { none.join(", ") };
    (!winds.is_empty()).then(|| Figure {
        id: id.to_owned(),
        caption: format!(
            "Where the wind blows from. Solid: 95 % sure; striped: best estimate; blank: fails.{}",
            if dress == RoseDress::Pickable { " What is picked: the wind a dot, its gusts a ring." } else { "" }
        )
        .into(),
        description: format!(
            "A compass of ground winds in which each part lands inside. Directions without a sure wind: {none}."
        ),
        alternative: by_direction(sheet),
        drawing: Drawing::Roses(WindRoses {
            roses: vec![rose],
            strongest_m_per_s: strongest(sheet),
            dress,
            today: Today {
                wind,
                speeds_m_per_s: between(&landing.ground_wind),
                from_rad: between(&landing.wind_from),
            },
        }),
    })
}

/// The strongest wind that was flown, m/s.
pub(super) fn strongest(sheet: &Sheet) -> f64 {
    sheet.go_no_go.iter().flat_map(|one| &one.speeds_m_per_s).copied().fold(0.0, f64::max)
}

/// Direction by direction: what is sure, what is so by best estimate, and which part ends it.
pub(super) fn by_direction(sheet: &Sheet) -> Table {
    let columns = vec![
        Column::text("from"),
        Column::numbers("", Kind::Angle).headless(),
        Column::numbers("95 % sure", Kind::Speed),
        Column::text("best estimate").in_unit_of(Kind::Speed),
    ];
    let mut table = Table::new("Ground winds in which each part lands inside", columns);
    for wind in &sheet.plan.winds {
        table = table.row(Row::new(vec![
            compass(wind.from.si).into(),
            Shown { doubt_si: 0.0, ..Shown::from(&wind.from) }.into(),
            ranges(&wind.sure_ranges).into(),
            ranges(&wind.ranges).into(),
        ]));
    }
    table
}

/// The case of all parts that lands inside least often, by name.
pub(super) fn worst_case(sheet: &Sheet) -> Option<Rich> {
    let (part, case) = worst(sheet)?;
    let inside = case.inside.as_ref()?;
    Some(
        Rich::from("Worst case: ")
            .strong(format!("{}, {}", tag(sheet, &part.name), title(part, &case.case)))
            .plain(": ")
            .number(landing::share(&inside.share, inside.standard_error))
            .plain(" inside, at worst ")
            .number(landing::share(&inside.at_worst, inside.standard_error))
            .plain("."),
    )
}

fn worst(sheet: &Sheet) -> Option<(&PartSheet, &CaseLandingSheet)> {
    with_landing(sheet)
        .flat_map(|(part, landing)| landing.cases.iter().map(move |case| (part, case)))
        .filter_map(|(part, case)| Some((part, case, case.inside.as_ref()?.share.si)))
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(part, case, _)| (part, case))
}

fn with_landing(sheet: &Sheet) -> impl Iterator<Item = (&PartSheet, &LandingSheet)> {
    sheet
        .parts
        .iter()
        .filter_map(|part| Some((part, sheet.landing.iter().find(|landing| landing.part == part.name)?)))
}

/// How long each part is aloft, its first case.
fn aloft(sheet: &Sheet) -> Option<Rich> {
    let is_one = sheet.landing.len() == 1;
    let mut said = Rich::new();
    for (part, landing) in with_landing(sheet) {
        let first = landing.cases.iter().find_map(|case| Some((case, case.time_aloft.as_ref()?)));
        let Some((case, time)) = first else { continue };
        if is_one {
            let aloft = Rich::from("Aloft: ").number(Shown::from(time));
            return Some(aloft.plain(format!(" ({}).", title(part, &case.case))));
        }
        let begin = if said.is_empty() { "Aloft, the first case of each: " } else { ", " };
        said = said.plain(format!("{begin}{} ", tag(sheet, &part.name))).number(Shown::from(time));
    }
    (!said.is_empty()).then(|| said.plain("."))
}

/// The map of the part that lands inside least often, and what each part leaves outside.
fn map(sheet: &Sheet) -> Section {
    let least = |landing: &LandingSheet| {
        landing.mix.as_ref().and_then(|mix| mix.inside.as_ref()).map_or(1.0, |inside| inside.share.si)
    };
    let worst = with_landing(sheet).min_by(|a, b| least(a.1).total_cmp(&least(b.1)));
    let Some((part, landing)) = worst else {
        return Section::new("front-map", "Where it comes down")
            .on_front(2)
            .in_report("Not judged: the start of the fall is not stated.");
    };
    let heading = match sheet.landing.len() {
        1 => "Where it comes down".to_owned(),
        _ => format!("Where {} comes down: inside least often of all", tag(sheet, &part.name)),
    };
    let mut section = Section::new("front-map", heading).on_front(2);
    if let Some(mut figure) = landing_figures::map(part, landing) {
        // Its own copy: the same drawing stands with the part's landing.
        figure.id = "front-map".to_owned();
        figure.caption = "North up. Rings hold 50, 90 and 99 % of all landings; dotted: 99 % of the worst case; hatched: to \
                          keep out of."
            .into();
        section = section.in_report(figure);
    }
    section.in_report(left_outside(sheet))
}

/// Chance outside, and over each place to keep out of: "Chance outside: tube 0.4 %; over the orchard: tube < 0.1 %."
fn left_outside(sheet: &Sheet) -> Rich {
    let is_one = sheet.landing.len() == 1;
    let each = |said: Rich, told: Vec<(&str, Rich)>| {
        told.into_iter().enumerate().fold(said, |said, (at, (part, share))| {
            let tag = if is_one { String::new() } else { format!("{} ", tag(sheet, part)) };
            said.plain(format!("{}{tag}", if at == 0 { "" } else { ", " })).then(share)
        })
    };
    let outside = with_landing(sheet).map(|(part, landing)| {
        let error = landing.mix.as_ref().and_then(|mix| mix.inside.as_ref());
        let error = error.map_or(landing::LEAST_DOUBT, |inside| inside.standard_error);
        let share = plan_of(sheet, part).and_then(|plan| plan.outside.as_ref());
        let said = share
            .map_or_else(|| Rich::new().quiet("not judged"), |share| landing::share(share, error).into());
        (part.name.as_str(), said)
    });
    let mut said = each("Chance outside: ".into(), outside.collect());
    let first = with_landing(sheet).find_map(|(_, landing)| Some(&landing.mix.as_ref()?.keep_outs));
    for (at, area) in first.map_or(&[][..], Vec::as_slice).iter().enumerate() {
        let over = with_landing(sheet).filter_map(|(part, landing)| {
            let area = landing.mix.as_ref()?.keep_outs.get(at)?;
            Some((part.name.as_str(), Rich::from(landing::share(&area.share, landing::LEAST_DOUBT))))
        });
        said = each(said.plain(format!("; over {}: ", area.name)), over.collect());
    }
    said.plain(".")
}
