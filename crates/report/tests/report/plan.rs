//! The paper that is handed over: its first page, the field card, and that both say what the sheet says. All numbers are
//! invented.
//!
//! The pages that are written to the target folder here are printed by `cargo xtask paper`, which looks whether the first
//! page stays one.

use scraper::{ElementRef, Html, Selector};
use silkfall_core::quantity::{Kind, System};
use silkfall_report::document::{Body, Document, Place};
use silkfall_report::html::{self, HtmlOptions, Theme};
use silkfall_report::plan_document;
use silkfall_report::wire::sheet_json;
use silkfall_sheet::*;

use crate::{json, landed};

/// The ten things of the first page, in their order.
pub const TEN: [&str; 10] = [
    "front-what",
    "front-verdict",
    "front-falls",
    "front-cases",
    "front-winds",
    "front-map",
    "front-weakest",
    "front-rests",
    "front-checks",
    "front-signatures",
];

fn plan() -> PlanSheet {
    let of = |field: &str, si, kind| Number::exact(format!("plan.parts.tube.{field}"), si, kind);
    let part = PlanPartSheet {
        part: "tube".to_owned(),
        body_length: Some(of("body_length", 2.6, Kind::Length)),
        body_diameter: Some(of("body_diameter", 0.3, Kind::Length)),
        level: true,
        count: 3,
        canopy_diameter: None,
        line_length: Some(of("line_length", 1.9, Kind::Length)),
        riser_length: Some(of("riser_length", 3.6, Kind::Length)),
        events: vec![
            EventSheet { name: "drogue".to_owned(), begins: Some(BeginsSheet::Top), canopies: false },
            EventSheet {
                name: "canopies".to_owned(),
                begins: Some(BeginsSheet::Below(of("events.canopies.below", 200.0, Kind::Length))),
                canopies: true,
            },
        ],
        bay: vec!["2 pins M3".to_owned(), "1 vent of 2 mm".to_owned()],
        pyrotechnic: true,
        drops: 9,
        model: true,
        outside: Some(of("outside", 0.0043, Kind::Share)),
    };
    let wind = |of: &GoNoGoSheet| {
        let id = format!("{:.1}", of.from.si.to_degrees());
        let number = |field: String, si, kind| Number::exact(format!("plan.winds.{id}.{field}"), si, kind);
        let ranges = |name: &str, ranges: &[RangeSheet]| {
            let range = |(at, range): (usize, &RangeSheet)| RangeSheet {
                low: number(format!("{name}.{at}.low"), range.low.si, Kind::Speed),
                high: number(format!("{name}.{at}.high"), range.high.si, Kind::Speed),
                reaches_beyond: range.reaches_beyond,
            };
            ranges.iter().enumerate().map(range).collect()
        };
        CommonWindSheet {
            from: number("from".to_owned(), of.from.si, Kind::Angle),
            ranges: ranges("ranges", &of.ranges),
            sure_ranges: ranges("sure_ranges", &of.sure_ranges),
            limited_by: "tube".to_owned(),
            id,
        }
    };
    PlanSheet {
        number: Some("H-7".to_owned()),
        builder: Some("the tube crew".to_owned()),
        safety_officer: Some("the officer of the day".to_owned()),
        date: Some("2026-06-14".to_owned()),
        place: Some("the club's field".to_owned()),
        parts: vec![part],
        winds: landed::sheet().go_no_go.iter().filter(|one| one.case.is_none()).map(wind).collect(),
    }
}

fn sheet() -> Sheet {
    Sheet { plan: plan(), ..landed::sheet() }
}

/// Four parts with names of 60 characters, six cases each.
fn large() -> Sheet {
    let small = sheet();
    let mut large = Sheet { parts: Vec::new(), landing: Vec::new(), ..small.clone() };
    large.plan.parts.clear();
    for at in 0..4 {
        let name = format!(
            "part {at} {}",
            "with a name that is as long as sixty characters are, or so".split_at(53).0
        );
        assert_eq!(name.chars().count(), 60, "{name}");
        let mut part = PartSheet { name: name.clone(), ..small.parts[0].clone() };
        let cases = part.cases.clone();
        part.cases = (0..6)
            .map(|case| {
                let mut one = cases[case % cases.len()].clone();
                one.title = format!(
                    "case {case} {}",
                    "with a name that is as long as sixty characters are".to_owned()
                );
                one
            })
            .collect();
        large.parts.push(part);
        large.landing.push(LandingSheet { part: name.clone(), ..small.landing[0].clone() });
        large.plan.parts.push(PlanPartSheet { part: name, ..small.plan.parts[0].clone() });
    }
    let long = |text: &str| Some(format!("{text} {}", "who is called by a name that takes a good while"));
    large.plan.builder = long("the builder");
    large.plan.safety_officer = long("the officer");
    large.plan.place = long("the field of the club");
    large
}

fn page(sheet: &Sheet, system: System) -> String {
    html::render(&plan_document(sheet, "silkfall", "."), HtmlOptions { system, theme: Theme::Reader })
}

fn front(document: &Document) -> Vec<&str> {
    let on_front = document.sections.iter().filter(|section| matches!(section.place, Place::Front(_)));
    on_front.map(|section| section.id.as_str()).collect()
}

#[test]
fn every_number_of_the_plan_stands_in_the_json_under_its_id() {
    let sheet = sheet();
    let projected = serde_json::to_value(sheet_json(&sheet)).unwrap();
    let all = json::check_numbers(&plan_document(&sheet, "silkfall", "."), &projected);
    assert!(all > 600, "{all}");
}

#[test]
fn the_first_page_has_its_ten_things_in_order() {
    for sheet in [sheet(), large()] {
        assert_eq!(front(&plan_document(&sheet, "silkfall", ".")), TEN);
    }
    // Without field, wind and tests they stand there too, and say what is missing.
    let bare = Sheet { landing: Vec::new(), go_no_go: Vec::new(), plan: PlanSheet::default(), ..sheet() };
    let document = plan_document(&bare, "silkfall", ".");
    assert_eq!(front(&document), TEN);
    assert!(!document.sections.iter().any(|section| section.id == "field-card"));
    assert!(page(&bare, System::Si).contains("Not judged"));
}

#[test]
fn nothing_opens_is_always_a_row_and_each_chance_names_its_source() {
    let document = plan_document(&sheet(), "silkfall", ".");
    let section = document.sections.iter().find(|section| section.id == "front-cases").unwrap();
    let said = format!("{section:?}");
    assert!(said.contains("nothing opens") && said.contains("Chances: ") && said.contains("¹"), "{said}");
}

/// A charge is told with its caution in the same block, on every surface that shows one.
#[test]
fn a_pyrotechnic_source_stands_with_its_caution() {
    let document = plan_document(&sheet(), "silkfall", ".");
    let mut told = 0;
    for block in document.sections.iter().flat_map(|section| &section.blocks) {
        let Body::Checks(checks) = &block.body else { continue };
        for check in
            checks.iter().map(|check| format!("{check:?}")).filter(|said| said.contains("pyrotechnic"))
        {
            assert!(check.contains("licensed") && check.contains("local codes"), "{check}");
            told += 1;
        }
    }
    assert!(told >= 2, "{told}");
}

fn all<'a>(page: &'a Html, wanted: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(wanted).expect("a selector of this file")).collect()
}

#[test]
fn the_field_card_holds_the_ranges_that_are_told_and_needs_nothing_from_outside() {
    let sheet = sheet();
    let text = page(&sheet, System::Si);
    for outside in ["http:", "https:", "fetch(", "XMLHttpRequest", "import(", " src=", "eval("] {
        let found =
            text.match_indices(outside).filter(|(at, _)| !text[*at..].starts_with("http://www.w3.org"));
        assert_eq!(found.count(), 0, "{outside}");
    }
    let page = Html::parse_document(&text);
    let rows = all(&page, "#card .rows li");
    assert_eq!(rows.len(), 16);
    for (row, wind) in rows.iter().zip(&sheet.plan.winds) {
        let ends = |ranges: &[RangeSheet]| {
            ranges
                .iter()
                .map(|range| format!("{} {}", range.low.si, range.high.si))
                .collect::<Vec<_>>()
                .join(", ")
        };
        assert_eq!(row.attr("data-sure"), Some(ends(&wind.sure_ranges).as_str()));
        assert_eq!(row.attr("data-best"), Some(ends(&wind.ranges).as_str()));
    }
    // The table is there without a script; the pickers are not.
    assert_eq!(all(&page, "#card table tbody tr").len(), 16 * 2, "beside the compass and by itself");
    assert!(all(&page, "#card .picks")[0].attr("hidden").is_some());
    // Every wind that can be picked has its point in each direction, in the wide and the narrow drawing.
    let winds = all(&page, "#card-speed option").len();
    assert_eq!(all(&page, "#card .pick-point").len(), 2 * 16 * winds);
    let card = all(&page, "#card")[0].text().collect::<String>();
    assert!(
        card.contains("Void if") && card.contains("Worked for 2026-06-14") && card.contains("Worst case"),
        "{card}"
    );
}

/// No arithmetic on quantities: the script compares numbers that stand in the page, and adds none.
#[test]
fn the_script_of_the_card_only_compares() {
    let text = page(&sheet(), System::Si);
    let script = text.split("<script>").nth(1).unwrap().split("</script>").next().unwrap();
    for operator in [" * ", " / ", " - ", "Math.", "parseFloat", "+=", "++"] {
        assert!(!script.contains(operator), "{operator}");
    }
}

/// Written for `cargo xtask paper`, which prints them.
#[test]
fn pages_are_left_for_printing() {
    for (name, sheet) in [("small", sheet()), ("large", large())] {
        for (units, system) in [("si", System::Si), ("us", System::Us)] {
            let path = format!("{}/plan-{name}-{units}.html", env!("CARGO_TARGET_TMPDIR"));
            std::fs::write(path, page(&sheet, system)).unwrap();
        }
    }
}
