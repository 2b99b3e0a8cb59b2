//! Landings of whole projects.

use silkfall_core::cases::Verdict;
use silkfall_core::finding::Code;
use silkfall_sheet::{Effort, LandingSheet, Memo, Outcome, Sheet, Unwatched, work};

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
}

/// The top of the demo's winds is below a start three times as high.
#[test]
fn winds_that_end_low_are_named() {
    let text = DEMO.replace("top = \"850 m ± 40 m\"", "top = \"2500 m ± 40 m\"");
    let sheet = worked(&text, Effort::Quick);
    let finding = sheet.findings.iter().find(|finding| finding.code == Code::WindsEndLow).unwrap();
    assert_eq!(finding.place.as_ref().unwrap().file, "winds.csv");
}
