//! Loads at opening on the demo: every row stands, bounds hold, and each face says what a load rests on.

use silkfall_core::quantity::System;
use silkfall_report::assess_document;
use silkfall_report::text::{self, Ink, TextOptions};
use silkfall_report::wire::sheet_json;
use silkfall_sheet::{Event, LoadSheet, NoLoad, PartSheet, PullSheet};

use crate::whole::demo_with;

fn pull<'a>(part: &'a PartSheet, case: &str, canopy: &str) -> &'a PullSheet {
    let is_it =
        |load: &&LoadSheet| load.case == case && load.canopy == canopy && load.event == Event::Opening;
    part.loads.iter().find(is_it).expect("it stands").load.as_ref().expect("it is worked")
}

#[test]
fn loads_are_cases_times_canopies_times_two() {
    let sheet = demo_with(|text| text);
    // Of the tube a drogue, and of three canopies each and the leading one; of the capsule a streamer and its canopy.
    for (part, canopies) in sheet.parts.iter().zip([3, 2]) {
        assert_eq!(part.loads.len(), part.cases.len() * canopies * 2, "{}", part.name);
        let mut ids: Vec<&str> = part.loads.iter().map(|load| load.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), part.loads.len());
        for load in part.loads.iter().filter(|load| load.case == "nothing opens") {
            assert!(matches!(load.load, Err(NoLoad::DoesNotApply(_))), "{}", load.id);
        }
        for load in part.loads.iter().filter(|load| load.event == Event::Snatch) {
            assert!(load.load.is_err(), "{}: no cord is stated", load.id);
        }
    }
    let json = serde_json::to_value(sheet_json(&sheet)).expect("it is JSON");
    assert_eq!(json["parts"][0]["loads"].as_array().expect("a list").len(), 18);
    assert_eq!(json["parts"][0]["loads"][0]["applies"], true);
}

#[test]
fn one_canopy_that_catches_all_bounds_its_share_and_what_is_worse_is_harder() {
    let sheet = demo_with(|text| text);
    let tube = &sheet.parts[0];
    let (each, leading) = (pull(tube, "all three open", "each"), pull(tube, "all three open", "leading"));
    assert!(leading.at_95.si > each.at_95.si && leading.at_95.si < each.all_at_95.si);
    // All together pull three times what each pulls where they share alike.
    assert!((each.all_at_95.si / each.at_95.si - 3.0).abs() < 1e-9);
    assert!(each.rests_on_memory);
    // Fewer canopies, each harder loaded, at the same speed.
    let two = pull(tube, "one stays shut", "each");
    assert!(two.at_95.si > each.at_95.si);
    assert!((two.speed.si - each.speed.si).abs() < 1e-9);
    for part in &sheet.parts {
        for pull in part.loads.iter().filter_map(|load| load.load.as_ref().ok()) {
            assert!(pull.force.si < pull.at_95.si);
            assert!(pull.worst.as_ref().is_none_or(|worst| worst.at_95.si > pull.at_95.si));
        }
    }
}

/// At the speed of the drogue, v = √(2 m g/(ρ D)) with the demo's 9.69 kg and 0.35 m² and what the hanging tube adds.
#[test]
fn canopies_open_at_the_speed_of_what_braked_before() {
    let sheet = demo_with(|text| text);
    let tube = &sheet.parts[0];
    let bare = tube.cases.iter().find(|case| case.id == "nothing opens").expect("it stands");
    let alone = bare.rate.as_ref().expect("it is worked").si;
    let falls = tube.falls.as_ref().expect("it is known").total.si;
    let weight = falls * sheet.site.gravity.si;
    let density = sheet.site.density.si;
    let bare_area = 2.0 * weight / (density * alone * alone);
    let expected = (2.0 * weight / (density * (0.35 + bare_area))).sqrt();
    let speed = pull(tube, "all three open", "each").speed.si;
    // The opening lies 200 m up, where the air is 2 % thinner, and medians are not means.
    assert!((speed / expected - 1.0).abs() < 0.05, "{speed} against {expected}");
}

#[test]
fn without_a_start_the_speed_is_said_to_be_missing() {
    let sheet = demo_with(|text| {
        let (before, after) = text.split_once("[flight]").expect("the demo states a start");
        let (_, rest) = after.split_once("# ------").expect("a rule follows it");
        format!("{before}# ------{rest}")
    });
    let tube = &sheet.parts[0];
    let opening = |load: &&LoadSheet| load.event == Event::Opening && load.case != "nothing opens";
    let mut openings = tube.loads.iter().filter(opening);
    assert!(
        openings.all(|load| matches!(&load.load, Err(NoLoad::NotKnown(why)) if why.contains("[flight] top")))
    );
    let plain = text::render(
        &assess_document(&sheet, "silkfall", "."),
        TextOptions { width: 100, system: System::Si, ink: Ink::Plain },
    );
    assert!(plain.contains("Loads at opening: Its speed"), "{plain}");
}
