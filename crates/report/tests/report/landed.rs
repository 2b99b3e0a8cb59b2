//! A part's landing on page and terminal. All numbers are invented: a wind from the west, a field about a pad in its
//! western half, one case that may drift far.

use std::f64::consts::{PI, TAU};

use scraper::{Html, Selector};
use silkfall_core::cases::Verdict;
use silkfall_core::drag::Interval;
use silkfall_core::quantity::{Kind, System};
use silkfall_report::document::{Body, Document, Rich};
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::text::{Ink, TextOptions};
use silkfall_report::wire::{land_json, sheet_json};
use silkfall_report::{assess_document, html, land_document, text};
use silkfall_sheet::*;

use crate::{json, worked};

const WEST: f64 = 1.5 * PI;

fn exact(id: impl AsRef<str>, si: f64, kind: Kind) -> Number {
    Number::exact(format!("landing.tube.{}", id.as_ref()), si, kind)
}

fn between(id: impl AsRef<str>, si: f64, half: f64, kind: Kind) -> Number {
    let interval = Interval { low: si - half, high: si + half };
    Number::between(format!("landing.tube.{}", id.as_ref()), si, interval, kind)
}

fn inside(path: &str, best: f64, worst: f64) -> InsideSheet {
    InsideSheet {
        share: exact(format!("{path}.inside"), best, Kind::Share),
        at_worst: exact(format!("{path}.inside_at_worst"), worst, Kind::Share),
        standard_error: 0.0004,
    }
}

fn rectangle(name: Option<&str>, [west, south]: [f64; 2], [east, north]: [f64; 2]) -> RingsSheet {
    let ring = vec![[west, south], [east, south], [east, north], [west, north], [west, south]];
    RingsSheet { name: name.map(str::to_owned), rings: vec![ring] }
}

fn ellipse(middle: [f64; 2], half: [f64; 2]) -> RingsSheet {
    let at = |step: i32| {
        let angle = TAU * f64::from(step % 48) / 48.0;
        [middle[0] + half[0] * angle.cos(), middle[1] + half[1] * angle.sin()]
    };
    RingsSheet { name: None, rings: vec![(0..=48).map(at).collect()] }
}

struct Case {
    id: &'static str,
    chance: f64,
    aloft_s: f64,
    drift_m: f64,
    share: f64,
    verdict: Verdict,
}

const CASES: [Case; 3] = [
    Case {
        id: "all-open",
        chance: 0.95,
        aloft_s: 92.0,
        drift_m: 168.0,
        share: 0.997,
        verdict: Verdict::Meets,
    },
    Case {
        id: "one-shut",
        chance: 0.04,
        aloft_s: 78.0,
        drift_m: 141.0,
        share: 0.9985,
        verdict: Verdict::Meets,
    },
    Case { id: "nothing", chance: 0.01, aloft_s: 21.0, drift_m: 32.0, share: 0.86, verdict: Verdict::Misses },
];

fn case(at: usize, top_m: f64) -> CaseLandingSheet {
    let Case { id, chance, aloft_s, drift_m, share, verdict } = CASES[at];
    let path = format!("cases.{id}");
    let of = |field: &str, si: f64, kind| Some(between(format!("{path}.{field}"), si, 0.15 * si, kind));
    let point = |step: usize| {
        let done = step as f64 / 40.0;
        TrackPoint {
            time_s: aloft_s * done,
            height_m: top_m * (1.0 - done),
            east_m: drift_m * done * (2.0 - done),
            north_m: 12.0 * (PI * done).sin(),
        }
    };
    CaseLandingSheet {
        case: id.to_owned(),
        chance: Some(exact(format!("{path}.chance"), chance, Kind::Share)),
        chance_source: Some("assumed".to_owned()),
        time_aloft: of("time_aloft", aloft_s, Kind::Time),
        rate: of("rate", 4.7, Kind::Speed),
        over_ground: of("over_ground", 3.6, Kind::Speed),
        energy: of("energy", 168.0, Kind::Energy),
        energy_down: of("energy_down", 106.0, Kind::Energy),
        energy_over_ground: of("energy_over_ground", 62.0, Kind::Energy),
        drift: of("drift", drift_m, Kind::Length),
        bearing: Some(exact(format!("{path}.bearing"), 1.54, Kind::Angle)),
        inside: Some(inside(&path, share, share - 0.004)),
        keep_outs: vec![KeepOutSheet {
            name: "car park".to_owned(),
            share: exact(format!("{path}.keep_outs.car park.share"), 0.0012, Kind::Share),
        }],
        verdict,
        contributions: vec![ContributionSheet {
            id: Some("wind.speed".to_owned()),
            meaning: "speed of the wind, as a factor".to_owned(),
            share: exact(format!("{path}.contributions.wind.speed.share"), 0.61, Kind::Share),
        }],
        missing: None,
        track: (0..=40).map(point).collect(),
    }
}

fn allowed(case: Option<&str>, at: usize) -> GoNoGoSheet {
    let from = TAU * at as f64 / 16.0;
    let id = format!("tube.{}.{:.1}", case.unwrap_or("mix"), from.to_degrees());
    let number = |field: &str, si, kind| Number::exact(format!("go_no_go.{id}.{field}"), si, kind);
    // The further the wind turns from the east, the less it may blow; from about the north-east calm fails and
    // some wind holds; from the east it may be as strong as was flown.
    let freedom = 0.5 + 0.5 * (from - PI / 2.0).cos();
    let low = if (1..4).contains(&at) { 2.5 } else { 0.0 };
    let high = if at == 4 { 15.0 } else { 4.0 + 8.0 * freedom };
    let fails = case == Some("nothing") || (8..10).contains(&at);
    let range = |name: &str, low: f64, high: f64| RangeSheet {
        low: number(&format!("{name}.0.low"), low, Kind::Speed),
        high: number(&format!("{name}.0.high"), high, Kind::Speed),
        reaches_beyond: high >= 15.0,
    };
    GoNoGoSheet {
        part: "tube".to_owned(),
        case: case.map(str::to_owned),
        from: number("from", from, Kind::Angle),
        ranges: if fails { Vec::new() } else { vec![range("ranges", low, high)] },
        sure_ranges: if fails || at == 7 {
            Vec::new()
        } else {
            vec![range("sure_ranges", low * 1.2, high * 0.8)]
        },
        speeds_m_per_s: vec![0.0, 5.0, 10.0, 15.0],
        shares: vec![0.999, 0.995, 0.97, 0.6],
        id,
    }
}

fn opening() -> OpeningSheet {
    let point = |step: usize| {
        let height_m = 60.0 + 30.0 * step as f64;
        OpeningPoint {
            height_m,
            drift_m: 40.0 + 0.8 * height_m,
            inside: Some(0.999 - 0.0000012 * height_m * height_m),
            in_time: 1.0 - (-(height_m / 40.0)).exp() * 0.9,
        }
    };
    let metres = |field: &str, si| exact(format!("opening.{field}"), si, Kind::Length);
    OpeningSheet {
        stage: "main".to_owned(),
        planned: metres("planned", 150.0),
        lost: metres("lost", 62.0),
        reacting: metres("reacting", 50.0),
        lowest: metres("lowest", 112.0),
        curve: (0..12).map(point).collect(),
    }
}

fn map() -> MapSheet {
    let middle = [165.0, 6.0];
    let region =
        |share, half| RegionSheet { share, level_per_m2: 1e-5, polygons: vec![ellipse(middle, half)] };
    let mut regions = vec![region(0.5, [28.0, 20.0]), region(0.9, [58.0, 40.0]), region(0.99, [88.0, 60.0])];
    regions[2].polygons.push(ellipse([32.0, 0.0], [14.0, 11.0]));
    let sample = |at: usize| {
        let (turn, away) = (at as f64 * 2.399_963, (at as f64 / 200.0).sqrt());
        (
            usize::from(at.is_multiple_of(40)),
            [middle[0] + 76.0 * away * turn.cos(), middle[1] + 52.0 * away * turn.sin()],
        )
    };
    let mut edge = rectangle(None, [-120.0, -170.0], [330.0, 190.0]);
    edge.rings.push(rectangle(None, [-80.0, 100.0], [-30.0, 140.0]).rings.remove(0));
    MapSheet {
        pad: Some([-34.2, 18.6]),
        edges: vec![edge],
        keep_outs: vec![rectangle(Some("car park"), [150.0, -165.0], [310.0, -95.0])],
        regions,
        worst: Some(("nothing".to_owned(), vec![ellipse([34.0, 2.0], [30.0, 24.0])])),
        samples: (0..200).map(sample).collect(),
    }
}

fn landing() -> LandingSheet {
    let share = |id: &str, si| exact(format!("mix.{id}"), si, Kind::Share);
    LandingSheet {
        part: "tube".to_owned(),
        trials: 20_000,
        trials_for_winds: 4000,
        says: vec!["The wind grows with height by the 1/7 power law.".to_owned()],
        wanted_inside: Some(exact("wanted_inside", 0.99, Kind::Share)),
        ground_wind: between("ground_wind", 4.0, 1.2, Kind::Speed),
        wind_from: between("wind_from", WEST, 0.35, Kind::Angle),
        asked_wind: AskedWind::AtTheGround(exact("fades_by", 500.0, Kind::Length)),
        top: exact("top", 450.0, Kind::Length),
        cases: (0..CASES.len()).map(|at| case(at, 450.0)).collect(),
        mix: Some(MixSheet {
            inside: Some(inside("mix", 0.9957, 0.9912)),
            inside_with_top_fixed: Some(InsideSheet {
                share: share("inside_with_top_fixed", 0.9978),
                at_worst: share("inside_with_top_fixed_at_worst", 0.994),
                standard_error: 0.0004,
            }),
            keep_outs: vec![KeepOutSheet {
                name: "car park".to_owned(),
                share: share("keep_outs.car park.share", 0.0014),
            }],
            verdict: Verdict::Meets,
            sensitivity: vec![SensitivitySheet {
                case: "nothing".to_owned(),
                never: share("sensitivity.nothing.never", 0.997),
                thrice: share("sensitivity.nothing.thrice", 0.993),
            }],
            better_pad: Some(BetterPadSheet {
                distance: exact("mix.better_pad.distance", 70.0, Kind::Length),
                bearing: exact("mix.better_pad.bearing", WEST, Kind::Angle),
                share: share("better_pad.share", 0.9991),
                share_now: share("better_pad.share_now", 0.9957),
            }),
        }),
        opening: Some(opening()),
        map: Some(map()),
    }
}

/// The worked part with a landing.
pub fn sheet() -> Sheet {
    let all = [None, Some("all-open"), Some("one-shut"), Some("nothing")];
    Sheet {
        landing: vec![landing()],
        go_no_go: all.into_iter().flat_map(|case| (0..16).map(move |at| allowed(case, at))).collect(),
        ..worked::sheet()
    }
}

fn document() -> Document {
    land_document(&sheet(), "silkfall", ".")
}

#[test]
fn every_number_of_a_landing_stands_in_both_jsons() {
    let landing = serde_json::to_value(land_json(&sheet())).unwrap();
    let all = json::check_numbers(&document(), &landing);
    assert!(all > 400, "{all}");
    let whole = serde_json::to_value(sheet_json(&sheet())).unwrap();
    assert!(json::check_numbers(&assess_document(&sheet(), "silkfall", "."), &whole) > all);
}

#[test]
fn the_page_draws_what_the_terminal_tells() {
    let page = html::render(&document(), HtmlOptions { system: System::Si, theme: Theme::Reader });
    let page = Html::parse_document(&page);
    for id in ["map", "descent", "rose", "roses", "opening"] {
        let figure = format!("figure[id=\"f-tube-{id}\"]");
        let found =
            |inner: &str| page.select(&Selector::parse(&format!("{figure} {inner}")).unwrap()).count();
        assert_eq!((found("svg.wide"), found("svg.narrow")), (1, 1), "{id}");
        assert!(found("details table tbody tr") > 2, "{id} has no table that says the same");
    }
    for width in [60, 80, 120] {
        let said = text::render(&document(), TextOptions { width, system: System::Si, ink: Ink::Plain });
        // The answer stands before the table of the cases.
        let (answer, table) = (said.find("All cases by their chances").unwrap(), said.find("aloft").unwrap());
        assert!(answer < table, "{said}");
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("Planned at 150 m, above the lowest safe 112 m"), "{said}");
        assert!(
            said.starts_with("tube: ") && said.contains("change less and less, up to 500 m above"),
            "{said}"
        );
    }
}

#[test]
fn a_figure_says_the_answer_to_those_who_do_not_see_it() {
    let figures: Vec<(String, String)> = document()
        .sections
        .into_iter()
        .flat_map(|section| section.blocks)
        .filter_map(|block| match block.body {
            Body::Figure(figure) => Some((figure.id, figure.description)),
            _ => None,
        })
        .collect();
    let said = |id: &str| {
        let found = figures.iter().find(|(of, _)| of == id).unwrap_or_else(|| panic!("no {id}"));
        found.1.replace('\u{a0}', " ")
    };
    let map = said("tube-map");
    assert!(map.starts_with("99.6 % of landings come down inside the field: meets."), "{map}");
    assert!(
        map.contains("from W, towards E") && map.contains("lie E of the pad") && map.contains("car park"),
        "{map}"
    );
    let rose = said("tube-rose");
    assert!(
        rose.starts_with("Today's wind from W stands in a striped band: inside by best estimate only."),
        "{rose}"
    );
    assert!(
        rose.contains("In 14 of 16 directions some wind is allowed; in 11 of them from calm on."),
        "{rose}"
    );
    assert!(said("tube-roses").ends_with("no wind holds for: nothing opens."));
    assert!(said("tube-opening").contains("lies above the lowest safe one"));
    assert!(said("tube-descent").contains("Longest aloft: all three open."));
}

/// A plan without field, chances, map and winds still has its words, and no figure is drawn of nothing.
#[test]
fn without_a_field_there_are_distances_and_no_verdict() {
    let mut landing = landing();
    landing.wanted_inside = None;
    landing.map = None;
    landing.opening = None;
    landing.mix = None;
    for case in &mut landing.cases {
        case.track.clear();
        case.inside = None;
        case.verdict = Verdict::NotJudged;
    }
    let sheet = Sheet { landing: vec![landing], go_no_go: Vec::new(), ..sheet() };
    let document = land_document(&sheet, "silkfall", ".");
    assert_eq!(document.sections[0].heading, Rich::from("tube: ").plain("where it comes down"));
    let bodies = || document.sections.iter().flat_map(|section| &section.blocks).map(|block| &block.body);
    assert!(!bodies().any(|body| matches!(body, Body::Figure(_))));
    let said = text::render(&document, TextOptions { width: 100, system: System::Si, ink: Ink::Plain });
    assert!(said.contains("168"), "{said}");
    assert!(!said.contains("meets") && !said.contains("misses"), "{said}");
}

/// The map is of the plane about the pad: at 34° S and at 180° E a wind from the west carries to the right as anywhere.
#[test]
fn the_map_is_the_same_wherever_the_pad_stands() {
    let drawn = |pad: Option<[f64; 2]>| {
        let map = Some(MapSheet { pad, ..map() });
        let sheet = Sheet { landing: vec![LandingSheet { map, ..landing() }], ..sheet() };
        let page = html::render(
            &land_document(&sheet, "silkfall", "."),
            HtmlOptions { system: System::Si, theme: Theme::Light },
        );
        let page = Html::parse_document(&page);
        let svg = Selector::parse("figure[id=\"f-tube-map\"] svg.wide").unwrap();
        page.select(&svg).next().expect("a map").html()
    };
    let plain = drawn(None);
    assert!(plain.contains("from W"), "{plain}");
    for pad in [[-34.2, 18.6], [52.0, 180.0], [-34.0, -180.0]] {
        assert_eq!(drawn(Some(pad)), plain, "{pad:?}");
    }
}
