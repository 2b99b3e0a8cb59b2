//! Loads at opening on the demo: every row stands, bounds hold, and each face says what a load rests on.

use silkfall_core::finding::Code;
use silkfall_core::quantity::System;
use silkfall_report::assess_document;
use silkfall_report::text::{self, Ink, TextOptions};
use silkfall_report::wire::sheet_json;
use silkfall_sheet::{Event, LoadSheet, NoLoad, PartSheet, PullSheet, Sheet};

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
        let snatches = part.loads.iter().filter(|load| load.event == Event::Snatch);
        for load in snatches.filter(|load| load.case != "nothing opens") {
            assert!(load.load.is_ok(), "{}: its cord is stated", load.id);
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

/// F = v √(k m), E = ½ m v², E_b = ½ F_b ε L by hand from the demo's keys, and the same share of force and of the root of energy.
#[test]
fn a_snatch_is_that_of_two_masses_on_a_spring() {
    let sheet = demo_with(|text| text);
    let tube = &sheet.parts[0];
    let of = |case: &str, canopy: &str| {
        let is_it = |load: &&LoadSheet| load.id == format!("{case}, {canopy}, snatch");
        tube.loads.iter().find(is_it).expect("it stands").load.as_ref().expect("its cord is stated")
    };
    let (whole, thrown) = (tube.falls.as_ref().expect("it is known").total.si, 0.18);
    let reduced = (whole - thrown) * thrown / whole;
    let drogue = of("all three open", "drogue");
    let snatch = drogue.snatch.as_ref().expect("it is a snatch");
    let force = 12.0 * (1300.0 / (0.22 * 4.0) * reduced).sqrt();
    assert!((snatch.force.si / force - 1.0).abs() < 1e-9, "{} against {force}", snatch.force.si);
    assert!((snatch.energy.si - 0.5 * reduced * 144.0).abs() < 1e-9);
    assert!((snatch.to_break.si - 0.5 * 1300.0 * 0.22 * 4.0).abs() < 1e-9);
    let share = snatch.force.si / 1300.0;
    assert!((snatch.energy.si / snatch.to_break.si - share * share).abs() < 1e-9);
    // Out of a tube at a right angle: √2 of the force.
    assert!((snatch.edge.si / drogue.at_95.si - 2f64.sqrt()).abs() < 1e-9);
    assert!(snatch.holds && drogue.force.si < drogue.at_95.si && drogue.worst.is_none());
    // One bag that goes first has all of the rest on its riser.
    let (each, leading) = (of("all three open", "each"), of("all three open", "leading"));
    assert!(each.at_95.si < leading.at_95.si);
    assert!((each.all_at_95.si / each.at_95.si - 3.0).abs() < 1e-9);
    // Where nothing is said of the capsule's bag, all of its speed bounds it: worse where nothing opened before.
    let capsule = &sheet.parts[1];
    let canopy = |event: Event| {
        let is_it = |load: &&LoadSheet| load.canopy == "each" && load.event == event;
        capsule.loads.iter().find(is_it).expect("it stands").load.as_ref().expect("it is worked")
    };
    assert!((canopy(Event::Snatch).speed.si - canopy(Event::Opening).speed.si).abs() < 1e-9);
    assert!(canopy(Event::Snatch).worst.is_some());
}

#[test]
fn a_cord_that_is_snatched_harder_than_it_holds_is_found() {
    let sheet = demo_with(|text| text.replace("strength = \"1.3 kN\"", "strength = \"20 N\""));
    let found = sheet.findings.iter().find(|finding| finding.code == Code::SnatchBreaksCord);
    let found = found.expect("it takes more than half of 20 N times 22 % of 4 m");
    assert!(found.message.starts_with("drogue: 95 of 100 snatches stay below"), "{}", found.message);
    assert!(found.place.as_ref().and_then(|place| place.line).is_some());
}

#[test]
fn what_is_asked_is_what_the_project_says() {
    let asked = |keys: &'static str| {
        demo_with(move |text| {
            text.replace("[part.opening]\nlate = \"2 s\"\n", &format!("[part.opening]\n{keys}"))
        })
    };
    let plain = demo_with(|text| text);
    let none = asked("nothing_before = false\nat_the_top = false\n");
    let late = asked("late = \"3 s\"\nnothing_before = false\nat_the_top = false\n");
    let worst = |sheet: &Sheet, canopy: &str| {
        pull(&sheet.parts[0], "all three open", canopy).worst.as_ref().map(|worst| worst.asked.clone())
    };
    assert_eq!(worst(&none, "leading"), None);
    assert_eq!(worst(&late, "drogue").as_deref(), Some("3 s late"));
    assert!(worst(&plain, "leading").is_some_and(|asked| asked == "nothing opened before"));
    let stated: Vec<bool> = none.parts[0]
        .openings
        .as_ref()
        .expect("it is looked at")
        .asked
        .iter()
        .map(|one| one.stated)
        .collect();
    assert_eq!(stated, [false, true, true]);
}

/// One canopy that catches all is a bound whatever the others do; a share counts where it is more than that.
#[test]
fn a_stated_share_counts_only_where_it_is_more() {
    let shared = |share: &'static str| {
        demo_with(move |text| {
            text.replace("late = \"2 s\"\n", &format!("late = \"2 s\"\nshare_of_one = \"{share}\"\n"))
        })
    };
    let plain = demo_with(|text| text);
    let (milder, harder) = (shared("40 %"), shared("100 %"));
    let leading = |sheet: &Sheet| pull(&sheet.parts[0], "all three open", "leading").at_95.si;
    let found =
        |sheet: &Sheet| sheet.findings.iter().any(|finding| finding.code == Code::OpeningShareTooSmall);
    assert!((leading(&milder) - leading(&plain)).abs() < 1e-9);
    assert!(found(&milder) && !found(&harder) && !found(&plain));
    let all = pull(&plain.parts[0], "all three open", "each").all_at_95.si;
    assert!((leading(&harder) - all).abs() < 1e-9);
}

/// Legs do not come taut together: each bears the hardest pull on the riser alone.
#[test]
fn a_leg_of_the_harness_bears_the_hardest_opening() {
    let sheet = demo_with(|text| text);
    let tube = &sheet.parts[0];
    let harness = tube.harness.as_ref().expect("it is stated");
    let pulls = tube.loads.iter().filter_map(|load| load.load.as_ref().ok());
    let hardest = pulls.map(|pull| pull.riser_bears().si).fold(0.0, f64::max);
    assert!((harness.each_bears.si - hardest).abs() < 1e-9 && hardest > harness.weight.si);
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
