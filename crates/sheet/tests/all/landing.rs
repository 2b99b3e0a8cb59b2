//! Landings of whole projects.

use silkfall_core::cases::Verdict;
use silkfall_core::finding::Code;
use silkfall_core::quantity::{Length, System, Velocity, show};
use silkfall_core::wind::dryden::scales;
use silkfall_sheet::{AskedWind, Effort, LandingSheet, Memo, Outcome, Sheet, Unwatched, work};
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use crate::invented::{DEMO, folder};

fn worked(text: &str, effort: Effort) -> Sheet {
    work(&folder(text), effort, &mut Memo::default(), &Unwatched).expect("nobody stops it")
}

/// A table of the project's text left out, up to the next line that begins one or a comment of its own.
fn without(text: &str, table: &str) -> String {
    let begin = text.find(&format!("\n[{table}]\n")).expect("the table stands there") + 1;
    let rest = &text[begin..];
    let length = rest[1..].find("\n\n").map_or(rest.len(), |end| end + 2);
    format!("{}{}", &text[..begin], &rest[length..])
}

fn tube(sheet: &Sheet) -> &LandingSheet {
    &sheet.landing[0]
}

/// Whole numbers of the demo's landing: the wind is from the west-south-west, so it comes down east-north-east; with more
/// canopies shut it is down sooner and drifts less.
#[test]
fn the_demo_comes_down_in_its_field() {
    let sheet = worked(DEMO, Effort::Full);
    assert_eq!(sheet.outcome, Outcome::Done, "{:?}", sheet.findings);
    assert_eq!(sheet.landing.len(), 2);
    let tube = tube(&sheet);
    let bearing = tube.cases[0].bearing.as_ref().unwrap().si.to_degrees();
    assert!((60.0..100.0).contains(&bearing), "{bearing}");
    let drift = |i: usize| tube.cases[i].drift.as_ref().unwrap().si;
    assert!(drift(0) > drift(1) && drift(1) > drift(2));
    let mix = tube.mix.as_ref().unwrap();
    assert_eq!(mix.verdict, Verdict::Meets);
    assert_eq!(mix.sensitivity.len(), 2);
    assert!(mix.inside_with_top_fixed.is_some());
    // Failures of some percent, all of whose landings lie near the pad: three times as many change little.
    for one in &mix.sensitivity {
        assert!((one.thrice.si - one.never.si).abs() < 0.02 && one.never.si > 0.97, "{one:?}");
    }
    let map = tube.map.as_ref().unwrap();
    let region = &map.regions.iter().find(|region| (region.share - 0.9).abs() < 1e-9).unwrap().polygons[0];
    let mean = |axis: usize| {
        region.rings[0].iter().map(|place| place[axis]).sum::<f64>() / region.rings[0].len() as f64
    };
    assert!(mean(0) > 50.0, "wind from the west: the region lies east of the pad");
    // Sixteen directions for three cases and the mix, and for two cases and theirs.
    assert_eq!(sheet.go_no_go.len(), 16 * 4 + 16 * 3);
    let opening = tube.opening.as_ref().unwrap();
    assert!(opening.lowest.si < opening.planned.si, "the demo opens high enough");
    assert_eq!(sheet.without_how(), Vec::<&silkfall_core::derivation::NumberId>::new());
    assert!(sheet.numbers().iter().all(|number| number.si.is_finite()));
}

#[test]
fn a_first_look_is_of_the_same_falls() {
    let (quick, full) = (worked(DEMO, Effort::Quick), worked(DEMO, Effort::Full));
    let drift = |sheet: &Sheet| tube(sheet).cases[0].drift.as_ref().unwrap().si;
    // Flights differ by 22 % and the ten worlds of a first look by 4 %: three standard errors of its median are 6 %.
    assert!((drift(&quick) / drift(&full) - 1.0).abs() < 0.06, "{} {}", drift(&quick), drift(&full));
    assert!(tube(&quick).map.is_none() && quick.go_no_go.is_empty());
}

#[test]
fn without_a_field_there_are_distances_and_no_verdict() {
    let text = DEMO.replace("field = \"field.geojson\"\n", "");
    let sheet = worked(&text, Effort::Full);
    let tube = tube(&sheet);
    assert!(tube.wanted_inside.is_none() && tube.cases[0].inside.is_none() && tube.cases[0].drift.is_some());
    assert!(tube.cases.iter().all(|case| case.verdict == Verdict::NotJudged));
    assert!(sheet.go_no_go.is_empty());
}

#[test]
fn without_a_start_nothing_is_said_of_landing() {
    let sheet = worked(&without(DEMO, "flight"), Effort::Quick);
    assert!(sheet.landing.is_empty());
}

#[test]
fn without_a_wind_it_is_worked_in_calm_and_said() {
    let text = DEMO.replace("winds = \"winds.csv\"\n", "");
    let sheet = worked(&text, Effort::Quick);
    assert!(sheet.findings.iter().any(|finding| finding.code == Code::WindNotStated));
    let tube = tube(&sheet);
    assert!(tube.cases[0].drift.as_ref().unwrap().si < 80.0, "only the start moves it");
    assert_eq!(tube.asked_wind, AskedWind::Added, "there is nothing to scale");
}

#[test]
fn what_another_ground_wind_changes_above_it_is_said() {
    let of = |wind: &str| {
        let said = "scaled = \"all\"";
        assert!(DEMO.contains(said));
        tube(&worked(&DEMO.replacen(said, wind, 1), Effort::Quick)).asked_wind.clone()
    };
    assert_eq!(of(""), AskedWind::InProportion);
    let by = |asked: AskedWind| match asked {
        AskedWind::AtTheGround(by) => show(by.si, 0.0, by.kind, System::Si),
        other => panic!("{other:?}"),
    };
    assert_eq!(by(of("scaled = \"ground\"")), "500 m");
    assert_eq!(by(of("scaled = \"ground\"\nfades_by = \"300 m\"")), "300 m");
}

/// The top of the demo's winds is below a start three times as high.
#[test]
fn winds_that_end_low_are_named() {
    let text = DEMO.replace("top = \"850 m ± 40 m\"", "top = \"2500 m ± 40 m\"");
    let sheet = worked(&text, Effort::Quick);
    let finding = sheet.findings.iter().find(|finding| finding.code == Code::WindsEndLow).unwrap();
    assert_eq!(finding.place.as_ref().unwrap().file, "winds.csv");
}

/// The gusts of a project reach its falls. With all other doubt of the wind away they add to the variance of the drift what a
/// gust that forgets itself over a way L makes of the fall that the sheet draws, the double integral of `s s e^(-r/L)`, with
/// s and L of the Dryden form (MIL-F-8785C, 3.7.3.4, as quoted in `core::wind::dryden`, whose table is checked there) and r
/// the height between the two moments. Within a factor of 1.5 (a mistaken unit would be one of ten): what is compared are
/// squares of half-widths of distances that are not quite normal, and the air also moves past sideways.
#[test]
fn gusts_of_the_project_spread_its_landings() {
    let steady = [
        ("speed_doubt = \"15 %\"", "speed_doubt = \"0.1 %\""),
        ("direction_doubt = \"10 °\"", "direction_doubt = \"0.1 °\""),
        ("level_doubt = \"0.7 m/s\"", "level_doubt = \"0.001 m/s\""),
        ("rising_air = \"0 m/s ± 0.3 m/s\"", "rising_air = \"0 m/s ± 0.001 m/s\""),
    ]
    .into_iter()
    // Without a field nobody asks for other winds, which would take the longest.
    .fold(DEMO.replace("field = \"field.geojson\"\n", ""), |text, (from, to)| {
        assert!(text.contains(from), "the demo says {from}");
        text.replace(from, to)
    });
    let gusty = steady.replace("gusts = \"none\"", "gusts = \"low-altitude Dryden form\"");
    let [steady, gusty] = [steady, gusty].map(|text| worked(&text, Effort::Full));
    let half_width = |sheet: &Sheet| tube(sheet).cases[0].drift.as_ref().unwrap().half_width() / 1.96;
    let added_m2 = half_width(&gusty).powi(2) - half_width(&steady).powi(2);
    // The table of winds says 4.8 m/s at 10 m; over open grass that is this much at 20 ft, by the law of the logarithm.
    let at_20_ft = Velocity::new::<meter_per_second>(4.8 * (6.096_f64 / 0.03).ln() / (10.0_f64 / 0.03).ln());
    let moments: Vec<(f64, f64, f64, f64)> = tube(&steady).cases[0]
        .track
        .windows(2)
        .map(|pair| {
            let height_m = 0.5 * (pair[0].height_m + pair[1].height_m);
            let scales = scales(Length::new::<meter>(height_m), at_20_ft);
            (pair[1].time_s - pair[0].time_s, height_m, scales.horizontal_m_per_s, scales.horizontal_m)
        })
        .collect();
    let mut expected_m2 = 0.0;
    for (dt, height, deviation, length) in &moments {
        for (other_dt, other_height, other_deviation, other_length) in &moments {
            let apart = (height - other_height).abs() / (0.5 * (length + other_length));
            expected_m2 += dt * other_dt * deviation * other_deviation * (-apart).exp();
        }
    }
    let ratio = added_m2 / expected_m2;
    assert!((1.0 / 1.5..1.5).contains(&ratio), "{added_m2} m² where {expected_m2} m² are expected");
}
