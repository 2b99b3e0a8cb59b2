//! Landing of a part: how it comes down, where, and in which winds it may fly.

use silkfall_core::quantity::Kind;
use silkfall_sheet::{
    AskedWind, CaseLandingSheet, CaseSheet, GoNoGoSheet, InsideSheet, LandingSheet, MixSheet, Number,
    OpeningSheet, PartSheet, RangeSheet, Sheet,
};

use super::super::shared;
use super::landing_figures;
use crate::document::{Body, Cell, Column, Fold, Form, Rich, Row, Section, Shown, Table};

/// Shares told of a place: a tenth of a percent is as fine as anybody acts on.
pub(super) const LEAST_DOUBT: f64 = 0.0003;
/// Doubts by which heights of opening and directions are written: whole metres, whole degrees.
const METRES: f64 = 5.0;
const DEGREES: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Contributions told.
const TOLD: usize = 5;

/// The sections of a part's landing: none where no start of the fall is stated.
pub(super) fn sections(sheet: &Sheet, part: &PartSheet) -> Vec<Section> {
    let Some(landing) = sheet.landing.iter().find(|landing| landing.part == part.name) else {
        return Vec::new();
    };
    let mut sections = vec![landing_section(part, landing)];
    let allowed: Vec<&GoNoGoSheet> =
        sheet.go_no_go.iter().filter(|allowed| allowed.part == part.name).collect();
    sections.extend(go_no_go(part, landing, &allowed));
    sections.extend(landing.opening.as_ref().map(|opening| opening_section(part, opening)));
    sections
}

/// Where and how a part comes down; of the part only names are told.
pub fn landing_section(part: &PartSheet, landing: &LandingSheet) -> Section {
    let mut section = super::section(part, "landing", heading(part, landing));
    for said in landing.mix.iter().flat_map(|mix| mix_says(part, landing, mix)) {
        section = section.everywhere(said);
    }
    if let Some(figure) = landing_figures::map(part, landing) {
        section = section.in_report(figure);
    }
    section = section.everywhere(table(part, landing));
    if let Some(mix) = &landing.mix {
        section = section.in_report(chances(part, landing, mix));
    }
    if let Some(figure) = landing_figures::descent(part, landing) {
        section = section.in_report(figure);
    }
    section = section.in_report(energies(part, landing));
    if let Some(table) = keep_outs(part, landing) {
        section = section.in_report(table);
    }
    section = section.in_report(falls_from(landing));
    for said in &landing.says {
        section = section.in_report(Rich::from(said.as_str()));
    }
    if let Some(table) = contributions(part, landing) {
        section = section.in_report(table);
    }
    section
}

/// What stands where no landing can be told.
pub(super) fn nothing_stated() -> Section {
    Section::new("landing", "No landing").everywhere(
        "The start of the fall is not stated: write the height of the top under [flight] in silkfall.toml.",
    )
}

/// A direction, to a degree: nobody walks finer.
fn towards(bearing: &Number) -> Shown {
    Shown { doubt_si: DEGREES, ..Shown::from(bearing) }
}

pub(super) fn title<'a>(part: &'a PartSheet, case: &'a str) -> &'a str {
    part.cases.iter().find(|known| known.id == case).map_or(case, |known: &CaseSheet| known.title.as_str())
}

/// A share whose digits its standard error allows.
pub(super) fn share(number: &Number, standard_error: f64) -> Shown {
    Shown { doubt_si: standard_error.max(LEAST_DOUBT), ..Shown::from(number) }
}

fn inside(of: &InsideSheet) -> Rich {
    Rich::new().number(share(&of.share, of.standard_error))
}

fn heading(part: &PartSheet, landing: &LandingSheet) -> Rich {
    let start = Rich::from(format!("{}: ", part.name));
    match landing.mix.as_ref().and_then(|mix| Some((mix, mix.inside.as_ref()?))) {
        Some((mix, share)) => {
            start.then(inside(share)).plain(" of landings come down inside the field: ").verdict(mix.verdict)
        }
        None => start.plain("where it comes down"),
    }
}

/// A row a case: chance, time aloft, rate, energy, drift, share inside.
fn table(part: &PartSheet, landing: &LandingSheet) -> Table {
    let judged = landing.wanted_inside.is_some();
    let mut columns = vec![
        Column::text("Landing"),
        Column::text("chance").right(),
        Column::numbers("aloft", Kind::Time),
        Column::numbers("drift", Kind::Length),
        Column::text("95 of 100").in_unit_of(Kind::Length),
        Column::text("lies").right(),
    ];
    if judged {
        columns.extend([Column::text("inside").right(), Column::text("at worst").right(), Column::text("")]);
    }
    let mut table = Table::new("Where each case comes down", columns).quiet_caption();
    for case in &landing.cases {
        let number = |number: &Option<Number>| -> Cell {
            number.as_ref().map_or_else(|| "".into(), |number| Shown::from(number).into())
        };
        let chance = case.chance.as_ref().map(|chance| share(chance, LEAST_DOUBT));
        let mut cells: Vec<Cell> = vec![
            title(part, &case.case).into(),
            chance.map_or_else(|| "".into(), Cell::from),
            number(&case.time_aloft),
            number(&case.drift),
            interval(&case.drift).into(),
            case.bearing.as_ref().map_or_else(|| "".into(), |bearing| towards(bearing).into()),
        ];
        if judged {
            cells.extend(judgement(case));
        }
        table = table.row(Row::new(cells));
    }
    table
}

fn interval(number: &Option<Number>) -> Rich {
    let found = number.as_ref().and_then(|number| Some((number, number.interval_95.as_ref()?)));
    found.map_or_else(Rich::new, |(number, interval)| {
        shared::interval(&format!("{}.interval_95", number.id.0), interval, number.kind)
    })
}

fn judgement(case: &CaseLandingSheet) -> [Cell; 3] {
    match (&case.inside, &case.missing) {
        (Some(inside), _) => [
            share(&inside.share, inside.standard_error).into(),
            share(&inside.at_worst, inside.standard_error).into(),
            case.verdict.into(),
        ],
        (None, Some(missing)) => {
            ["".into(), "".into(), Rich::from(case.verdict).plain(format!(": {missing}")).into()]
        }
        (None, None) => ["".into(), "".into(), case.verdict.into()],
    }
}

fn mix_says(part: &PartSheet, landing: &LandingSheet, mix: &MixSheet) -> Vec<Rich> {
    let mut said = Vec::new();
    if let (Some(of_all), Some(wanted)) = (&mix.inside, &landing.wanted_inside) {
        let wanted = Shown { doubt_si: 0.0, ..Shown::from(wanted) };
        said.push(
            Rich::from("All cases by their chances: ")
                .then(inside(of_all))
                .plain(" inside, at worst ")
                .number(share(&of_all.at_worst, of_all.standard_error))
                .plain("; ")
                .number(wanted)
                .plain(" wanted: ")
                .verdict(mix.verdict)
                .plain("."),
        );
        if let Some(fixed) = &mix.inside_with_top_fixed {
            said.push(
                Rich::from("With the top of flight fixed, not leaning into the wind: ")
                    .then(inside(fixed))
                    .plain(" inside."),
            );
        }
    } else if landing.wanted_inside.is_none() {
        said.push(Rich::from("No field is given: distances and bearings, no verdict."));
    }
    if let Some(pad) = &mix.better_pad {
        let at = |number: &Number| Shown { doubt_si: 5.0, ..Shown::from(number) };
        said.push(
            Rich::from("Standing the pad ")
                .number(at(&pad.distance))
                .plain(" away towards ")
                .number(towards(&pad.bearing))
                .plain(", or aiming the top of flight so far that way, would bring ")
                .number(share(&pad.share, LEAST_DOUBT))
                .plain(" inside instead of ")
                .number(share(&pad.share_now, LEAST_DOUBT))
                .plain(format!(" in this wind ({}).", part.name)),
        );
    }
    said
}

/// Where each chance comes from, and how much the chance of a failure matters.
fn chances(part: &PartSheet, landing: &LandingSheet, mix: &MixSheet) -> Table {
    let judged = !mix.sensitivity.is_empty();
    let mut columns = vec![Column::text("Case"), Column::text("chance").right()];
    if judged {
        columns.extend(
            ["inside if it never happens", "if three times as often"].map(|name| Column::text(name).right()),
        );
    }
    columns.push(Column::text("chance from"));
    let mut table = Table::new("Chances, and how much each failure's matters", columns);
    for case in &landing.cases {
        let matters = mix.sensitivity.iter().find(|one| one.case == case.case);
        let cell = |number: Option<&Number>| -> Cell {
            number.map_or_else(|| "".into(), |number| share(number, LEAST_DOUBT).into())
        };
        let mut cells: Vec<Cell> = vec![title(part, &case.case).into(), cell(case.chance.as_ref())];
        if judged {
            cells.extend([cell(matters.map(|one| &one.never)), cell(matters.map(|one| &one.thrice))]);
        }
        cells.push(Rich::new().quiet(case.chance_source.as_deref().unwrap_or("")).into());
        table = table.row(Row::new(cells));
    }
    table
}

/// Rate and energy at the ground with drift.
fn energies(part: &PartSheet, landing: &LandingSheet) -> Table {
    let columns = vec![
        Column::text("At the ground"),
        Column::numbers("down", Kind::Speed),
        Column::numbers("over ground", Kind::Speed),
        Column::numbers("energy", Kind::Energy),
        Column::text("95 of 100").in_unit_of(Kind::Energy),
        Column::numbers("of it down", Kind::Energy),
        Column::numbers("over ground", Kind::Energy),
    ];
    let mut table = Table::new("Speed and energy at the ground, drift included", columns);
    for case in &landing.cases {
        let number = |number: &Option<Number>| -> Cell {
            number.as_ref().map_or_else(|| "".into(), |number| Shown::from(number).into())
        };
        table = table.row(Row::new(vec![
            title(part, &case.case).into(),
            number(&case.rate),
            number(&case.over_ground),
            number(&case.energy),
            interval(&case.energy).into(),
            number(&case.energy_down),
            number(&case.energy_over_ground),
        ]));
    }
    table
}

fn keep_outs(part: &PartSheet, landing: &LandingSheet) -> Option<Table> {
    let areas = landing.cases.iter().map(|case| &case.keep_outs).find(|areas| !areas.is_empty())?;
    let mut columns = vec![Column::text("Over")];
    columns.extend(areas.iter().map(|area| Column::text(area.name.as_str()).right()));
    let mut table = Table::new("Share of landings over each place to keep out of", columns);
    let row = |name: &str, areas: &[silkfall_sheet::KeepOutSheet]| {
        let shares = areas.iter().map(|area| Cell::from(share(&area.share, LEAST_DOUBT)));
        Row::new(std::iter::once(Cell::from(name)).chain(shares).collect())
    };
    for case in &landing.cases {
        table = table.row(row(title(part, &case.case), &case.keep_outs));
    }
    if let Some(mix) = landing.mix.as_ref().filter(|mix| !mix.keep_outs.is_empty()) {
        table = table.row(row("all by their chances", &mix.keep_outs));
    }
    Some(table)
}

fn falls_from(landing: &LandingSheet) -> Rich {
    Rich::from("From ")
        .number(Shown::from(&landing.top))
        .plain(" above the field, in a ground wind of ")
        .number(Shown::from(&landing.ground_wind))
        .plain(" from ")
        .number(Shown::from(&landing.wind_from))
        .plain("; ")
        .number(Shown::count(format!("landing.{}.trials", landing.part), landing.trials))
        .plain(" falls of each case were simulated.")
}

/// What another ground wind changes of the winds above it.
pub(super) fn asked_wind(landing: &LandingSheet) -> Rich {
    match &landing.asked_wind {
        AskedWind::InProportion => "With another ground wind the winds at all heights change in proportion.".into(),
        AskedWind::Added => {
            "With another ground wind so much wind is added at all heights alike: at the ground the day is calm.".into()
        }
        AskedWind::AtTheGround(by) => Rich::from("With another ground wind the winds above change less and less, up to ")
            .number(Shown::from(by))
            .plain(" above the field."),
    }
}

fn contributions(part: &PartSheet, landing: &LandingSheet) -> Option<Table> {
    let case = landing.cases.iter().find(|case| !case.contributions.is_empty())?;
    let caption = format!("What contributes most to where it comes down, {}", title(part, &case.case));
    let columns = vec![Column::text(""), Column::text("share of the spread").right()];
    let mut table = Table::new(caption, columns);
    for contribution in case.contributions.iter().take(TOLD) {
        table = table.row(Row::new(vec![
            contribution.meaning.as_str().into(),
            share(&contribution.share, 0.003).into(),
        ]));
    }
    Some(table)
}

/// The winds in which at least the wanted share lands inside: a row a direction, a column a case.
fn go_no_go(part: &PartSheet, landing: &LandingSheet, allowed: &[&GoNoGoSheet]) -> Option<Section> {
    let first = allowed.first()?;
    // All cases together first: it is what is decided by.
    let known = std::iter::once(None).chain(landing.cases.iter().map(|case| Some(case.case.as_str())));
    let cases: Vec<Option<&str>> =
        known.filter(|case| allowed.iter().any(|one| one.case.as_deref() == *case)).collect();
    let mut columns = vec![Column::numbers("wind from", Kind::Angle)];
    columns.extend(cases.iter().map(|case| {
        Column::text(case.map_or("all by their chances", |case| title(part, case))).in_unit_of(Kind::Speed)
    }));
    let mut table = Table::new("Ground winds in which the wanted share lands inside, 95 % sure", columns);
    let directions = allowed.iter().filter(|one| one.case == first.case);
    for direction in directions {
        let mut cells: Vec<Cell> = vec![Shown::from(&direction.from).into()];
        for case in cases.iter().copied() {
            let found = allowed
                .iter()
                .find(|one| one.case.as_deref() == case && (one.from.si - direction.from.si).abs() < 1e-12);
            cells.push(found.map_or_else(|| "".into(), |one| ranges(&one.sure_ranges).into()));
        }
        table = table.row(Row::new(cells));
    }
    let wanted = landing.wanted_inside.as_ref()?;
    let heading = Rich::from(format!("{}: winds in which at least ", part.name))
        .number(Shown { doubt_si: 0.0, ..Shown::from(wanted) })
        .plain(" lands inside");
    let mut section = super::section(part, "winds", heading);
    if let Some(figure) = landing_figures::rose(part, landing, allowed) {
        section = section.in_report(figure);
    }
    section = section.everywhere(table.folded(Fold::Open)).everywhere(asked_wind(landing));
    if let Some(figure) = landing_figures::roses_by_case(part, landing, allowed) {
        section = section.in_report(figure);
    }
    Some(section.in_report(Body::Caution(shared::caution())))
}

pub(super) fn ranges(ranges: &[RangeSheet]) -> Rich {
    if ranges.is_empty() {
        return Rich::from("none");
    }
    let mut said = Rich::new();
    for (at, range) in ranges.iter().enumerate() {
        let end = |number: &Number| Shown { form: Form::Inward, ..Shown::from(number) };
        said = if at == 0 { said } else { said.plain(", ") };
        said = said.interval(end(&range.low), end(&range.high));
        said = if range.reaches_beyond { said.plain(" or more") } else { said };
    }
    said
}

fn opening_section(part: &PartSheet, opening: &OpeningSheet) -> Section {
    let metres = |number: &Number| Shown { doubt_si: METRES, ..Shown::from(number) };
    let (side, warning) =
        if opening.planned.si >= opening.lowest.si { ("above", "") } else { ("below", ": it opens too low") };
    let text = Rich::from("Planned at ")
        .number(metres(&opening.planned))
        .plain(format!(", {side} the lowest safe "))
        .number(metres(&opening.lowest))
        .plain(format!("{warning}; "))
        .number(metres(&opening.lost))
        .plain(" are lost in filling and settling, ")
        .number(metres(&opening.reacting))
        .plain(" while a failure is noticed and acted on (95 of 100 flights lose no more).");
    let heading =
        format!("{}: the stage \"{}\" begins {side} the lowest safe height", part.name, opening.stage);
    let section = super::section(part, "opening", heading).everywhere(text);
    match landing_figures::opening(part, opening) {
        Some(figure) => section.in_report(figure),
        None => section,
    }
}
