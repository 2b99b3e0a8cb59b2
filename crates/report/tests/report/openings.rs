//! How openings run, on the demo: force against time, the leading canopy by lag, canopies held small, and what was measured.

use silkfall_core::ledger::Trust;
use silkfall_report::assess_document;
use silkfall_report::document::Body;
use silkfall_report::figures::Drawing;
use silkfall_report::wire::{find, sheet_json};
use silkfall_sheet::{Event, PartSheet, PullSheet, Sheet};

use crate::whole::demo_with;

/// The demo with more lines in the stage in which the tube's canopies open.
fn with_stage(lines: &'static str) -> Sheet {
    demo_with(move |text| text.replacen("stays = true\n", &format!("stays = true\n{lines}"), 1))
}

fn leading(part: &PartSheet) -> &PullSheet {
    pull(part, "leading")
}

fn pull<'a>(part: &'a PartSheet, canopy: &str) -> &'a PullSheet {
    let is_it = |load: &&silkfall_sheet::LoadSheet| {
        load.id == format!("all three open, {canopy}, opening") && load.event == Event::Opening
    };
    part.loads.iter().find(is_it).expect("it stands").load.as_ref().expect("it is worked")
}

#[test]
fn a_trace_peaks_where_the_load_does() {
    let sheet = demo_with(|text| text);
    for part in &sheet.parts {
        let openings = part.openings.as_ref().expect("it is looked at");
        assert!(openings.traces.len() > 1, "{}", part.name);
        for trace in &openings.traces {
            let id = format!("{}, {}, opening", trace.case, trace.id);
            let load = part.loads.iter().find(|load| load.id == id).expect("it stands");
            let pull = load.load.as_ref().expect("it is worked");
            for line in &trace.lines {
                assert!(line.points.windows(2).all(|pair| pair[1][0] >= pair[0][0]), "{id}");
                assert!(line.points[0][1] < 0.05 * pull.at_95.si && line.points[0][0].abs() < 1e-12, "{id}");
            }
            let peak = trace.lines[0].points.iter().map(|point| point[1]).fold(trace.weight.si, f64::max);
            let median = pull.force.si;
            assert!((peak / median - 1.0).abs() < 0.15, "{id}: {peak} at best values, median {median}");
            assert_eq!(trace.lines.len(), 1 + usize::from(pull.worst.is_some()), "{id}");
        }
    }
}

#[test]
fn the_leading_canopy_is_bounded_by_one_that_catches_all() {
    let sheet = demo_with(|text| text);
    let lag = sheet.parts[0].openings.as_ref().and_then(|of| of.lag.as_ref()).expect("three open");
    assert_eq!((lag.filled, lag.points.len()), (3, 13));
    assert!(lag.points.windows(2).all(|pair| pair[1][1] >= pair[0][1] * (1.0 - 1e-9)));
    let last = lag.points[12][1];
    assert!(last <= lag.bound.si && last > 0.8 * lag.bound.si, "{last} of {}", lag.bound.si);
    assert!(sheet.parts[1].openings.as_ref().is_some_and(|of| of.lag.is_none()), "it has one canopy");
}

#[test]
fn held_small_at_first_it_pulls_less_and_takes_more_height() {
    let plain = demo_with(|text| text);
    let held = with_stage("[part.stage.reefing]\nshare = \"12 % ± 2 %\"\nheld_for = \"1.5 s ± 0.1 s\"\n");
    let (plain, tube) = (&plain.parts[0], &held.parts[0]);
    let pull = leading(tube);
    assert!(pull.at_95.si < 0.9 * leading(plain).at_95.si, "{}", pull.at_95.si);
    let steps = pull.steps.as_ref().expect("it opens in two steps");
    let harder = steps.held_at_95.si.max(steps.after_at_95.si);
    assert!(pull.at_95.si >= harder && pull.at_95.si < 1.1 * harder);
    assert!(steps.lost.si > 10.0 && steps.let_go.si < pull.speed.si);
    let openings = tube.openings.as_ref().expect("it is looked at");
    assert!(openings.lag.is_none(), "lag is told of canopies that open at once");
    let reefing = openings.reefing.iter().find(|of| of.id == "leading").expect("it is held");
    assert!(reefing.rows.windows(2).all(|pair| pair[0].lost_m > pair[1].lost_m));
    let line = reefing.line.as_ref().expect("a line holds it");
    let mouth = 1.84 * 0.66;
    assert!(
        (line.si / (0.85 * std::f64::consts::PI * mouth * 0.12f64.sqrt()) - 1.0).abs() < 0.05,
        "{}",
        line.si
    );
    // Not held, as without the table.
    let whole = reefing.rows.last().expect("ten shares");
    assert!((whole.held_n / leading(plain).force.si - 1.0).abs() < 0.15);
    let json = serde_json::to_value(sheet_json(&held)).expect("plain data");
    assert!(find(&json, "parts.tube.openings.reefing.leading.rows.3.held_n").is_some());
    assert!(held.without_how().is_empty());
    let document = assess_document(&held, "silkfall", ".");
    let figures = document.sections.iter().flat_map(|section| &section.blocks).filter(
        |block| matches!(&block.body, Body::Figure(figure) if matches!(figure.drawing, Drawing::Curves(_))),
    );
    assert!(figures.count() >= 3, "traces of both parts, and how small");
}

#[test]
fn held_small_for_longer_it_is_down_sooner_by_what_it_falls_faster() {
    let held_s = 9.0;
    let plain = demo_with(|text| text);
    let held = with_stage("[part.stage.reefing]\nshare = \"12 %\"\nheld_for = \"9 s\"\n");
    let of = |sheet: &Sheet| {
        let case =
            sheet.landing[0].cases.iter().find(|case| case.case == "all three open").expect("it stands");
        [&case.time_aloft, &case.rate].map(|number| number.as_ref().expect("it comes down").si)
    };
    let ([whole_s, rate], [sooner_s, _]) = (of(&plain), of(&held));
    let steps = pull(&held.parts[0], "each").steps.as_ref().expect("it opens in two steps");
    // While held it goes the way of so many seconds more under all of them, but for the filling at both ends.
    let gained_s = held_s * (steps.let_go.si / rate - 1.0);
    assert!(gained_s > 4.0, "{gained_s}");
    assert!((whole_s - sooner_s - gained_s).abs() < 0.2 * gained_s, "{whole_s} − {sooner_s}, not {gained_s}");
}

#[test]
fn a_line_says_how_small_and_a_slider_lets_go_by_itself() {
    let line = with_stage("[part.stage.reefing]\nline = \"1.1 m\"\nheld_for = \"1.5 s\"\n");
    let reefing = &line.parts[0].openings.as_ref().expect("it is looked at").reefing;
    let share = &reefing.iter().find(|of| of.id == "each").expect("it is held").share;
    let between = share.interval_95.expect("only a drop tells");
    assert!(between.low < share.si && share.si < between.high && between.high > 1.8 * between.low);
    let slider = "[part.stage.reefing]\nby = \"slider\"\nshare = \"15 %\"\nheld_for = \"1 s ± 0.2 s\"\n";
    let slider = with_stage(slider);
    let of = slider.parts[0].openings.as_ref().expect("it is looked at");
    let of = of.reefing.iter().find(|of| of.id == "each").expect("it is held");
    assert!(of.by == "slider" && of.line.is_none());
    let lost = |sheet: &Sheet| leading(&sheet.parts[0]).steps.as_ref().expect("two steps").lost.si;
    assert!(lost(&slider) < lost(&line), "it is held for less");
}

#[test]
fn what_a_load_cell_told_goes_before_the_handbook() {
    let measured = with_stage(
        "growth = \"1.9 ± 0.1\"\nopening_force = \"1.6 ± 0.05\"\nfilling_from = \"load cell, 9 May\"\n",
    );
    let plain = demo_with(|text| text);
    let (told, remembered) = (leading(&measured.parts[0]), leading(&plain.parts[0]));
    assert!(!told.rests_on_memory && remembered.rests_on_memory);
    let entry = measured.ledger.get(&"part.tube.stage.canopies.opening_force".into()).expect("it is entered");
    assert!(entry.trust == Trust::Measured && entry.meaning.contains("load cell, 9 May"));
    // A factor twice as large pulls twice as hard.
    let twice = with_stage(
        "growth = \"1.9 ± 0.1\"\nopening_force = \"3.2 ± 0.1\"\nfilling_from = \"load cell, 9 May\"\n",
    );
    assert!((leading(&twice.parts[0]).force.si / told.force.si - 2.0).abs() < 1e-9);
}
