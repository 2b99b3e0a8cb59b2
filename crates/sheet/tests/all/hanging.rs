//! A part in its harness, its riser geometry and its failure tree, through whole projects.

use silkfall_core::derivation::How;
use silkfall_core::finding::{Code, Finding};
use silkfall_sheet::{
    Effort, FailureSheet, HangSheet, Interval, Memo, Number, Outcome, PartSheet, Sheet, Unwatched, work,
};

use crate::invented::{DEMO, folder};

fn worked(text: &str) -> Sheet {
    work(&folder(text), Effort::Quick, &mut Memo::default(), &Unwatched).expect("nobody stops it")
}

/// The demo with a stretch of its text replaced.
fn with(changes: &[(&str, &str)]) -> Sheet {
    let mut text = DEMO.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from} stands in the demo");
        text = text.replacen(from, to, 1);
    }
    worked(&text)
}

fn tube(sheet: &Sheet) -> &PartSheet {
    &sheet.parts[0]
}

fn state<'a>(part: &'a PartSheet, id: &str) -> &'a HangSheet {
    part.hanging.iter().find(|hang| hang.id == id).unwrap_or_else(|| panic!("no state {id}"))
}

fn tension(hang: &HangSheet, leg: usize) -> &Number {
    hang.legs[leg].tension.as_ref().expect("it is taut")
}

fn found(sheet: &Sheet, code: Code) -> Option<&Finding> {
    sheet.findings.iter().find(|finding| finding.code == code)
}

/// Points 0.6 m ahead of the centre of mass and 0.9 m behind it, on the axis, the centre of area at that of mass.
const HANDBOOK: [(&str, &str); 5] = [
    ("confluence = \"0.90 m\"", "confluence = \"0.7 m\"\ncentre_of_area = \"1.38 m\""),
    ("mass_below_axis = \"2 cm\"\n", ""),
    ("mass_may_move = \"3 cm\"", "mass_may_move = \"5 cm\""),
    ("at = \"0.65 m\"\nout = \"0.15 m\"", "at = \"0.78 m\""),
    ("at = \"2.05 m\"\nout = \"0.15 m\"", "at = \"2.28 m\""),
];

#[test]
fn the_demo_hangs_level_in_its_descent_and_not_at_rest() {
    let sheet = worked(DEMO);
    let part = tube(&sheet);
    let (rest, open) = (state(part, "at rest"), state(part, "all three open"));
    assert!(open.angle.si.abs() < 1e-9, "legs are worked out for it: {}", open.angle.si);
    assert!(rest.angle.si < -0.005, "without its drag the heavy rear pulls less: {}", rest.angle.si);
    // The body carries its share of all weight by its own drag: F_b = M g B/D.
    let drag = open.drag.as_ref().unwrap().si;
    assert!((rest.pull.si - open.pull.si - drag).abs() < 1e-9 && drag > 0.0 && rest.drag.is_none());
    // A centre of mass 1 cm aside is in the interval of the angle: 0.01/0.92 or so a standard uncertainty.
    let Interval { low, high } = rest.angle.interval_95.unwrap();
    assert!(((high - low) / 2.0 - 1.96 * 0.01 / 0.92).abs() < 2e-3, "{low} {high}");
    assert!(sheet.ledger.get(&"part.tube.harness.centre_of_mass".into()).is_some());
    for leg in 0..2 {
        assert!(matches!(sheet.hows[&tension(rest, leg).id], How::Closed(_)), "two legs: the sine rule");
        assert!(matches!(sheet.hows[&part.harness.as_ref().unwrap().points[leg].leg.id], How::Closed(_)));
    }
    assert_eq!(sheet.outcome, Outcome::Done);
}

#[test]
fn the_harness_of_the_handbook_through_a_project() {
    let sheet = with(&HANDBOOK);
    let part = tube(&sheet);
    let harness = part.harness.as_ref().unwrap();
    let legs: Vec<f64> = harness.points.iter().map(|point| point.leg.si).collect();
    assert!((legs[0] - 0.922).abs() < 5e-4 && (legs[1] - 1.140).abs() < 5e-4, "{legs:?}");
    let rest = state(part, "at rest");
    let share = |leg| tension(rest, leg).si / harness.weight.si;
    assert!((share(0) - 0.790).abs() < 5e-4 && (share(1) - 0.652).abs() < 5e-4);
    let tilt = harness.tilt.as_ref().unwrap();
    assert!((tilt.tilt.si.to_degrees() - 4.09).abs() < 5e-3);
    assert!(matches!(sheet.hows[&tilt.tilt.id], How::Closed(_)));
    assert!(rest.roll.is_none() && rest.says.contains("any side"), "on its axis it may turn: {}", rest.says);
    // One leg snatches before the others: the hardest opening, not the weight.
    assert!(harness.each_bears.si > 5.0 * harness.weight.si, "{}", harness.each_bears.si);
    assert!(harness.bears_what.starts_with("opening of "), "{}", harness.bears_what);
}

#[test]
fn legs_as_made_give_the_angle() {
    let made = ("at = \"2.05 m\"", "leg = \"1.10 m ± 2 mm\"\nat = \"2.05 m\"");
    let sheet = with(&[made, ("at = \"0.65 m\"", "leg = \"1.00 m\"\nat = \"0.65 m\"")]);
    let part = tube(&sheet);
    let open = state(part, "all three open");
    assert!(open.angle.si > 0.05, "the rear leg is the longer: {}", open.angle.si);
    assert!(part.harness.as_ref().unwrap().points.iter().all(|point| point.made));
    assert!(sheet.ledger.get(&"part.tube.harness.point.rear strap.leg".into()).is_some());
    let missed = found(&sheet, Code::HarnessAngleMissed).expect("level is wanted");
    assert!(missed.message.contains("wanted"), "{}", missed.message);
}

#[test]
fn what_cannot_hang_is_said_with_its_place() {
    let short = [
        ("at = \"0.65 m\"", "leg = \"0.60 m\"\nat = \"0.65 m\""),
        ("at = \"2.05 m\"", "leg = \"0.70 m\"\nat = \"2.05 m\""),
    ];
    let sheet = with(&short);
    let finding = found(&sheet, Code::HarnessLegsTooShort).expect("1.4 m apart");
    assert_eq!(
        finding.message,
        "at rest: the legs from front strap and rear strap do not meet, 0.1 m are wanting"
    );
    assert!(finding.place.as_ref().unwrap().line.is_some() && sheet.outcome == Outcome::NoAnswer);
    assert!(tube(&sheet).harness.is_none() && tube(&sheet).hanging.is_empty());

    let without = with(&[("centre_of_mass = \"1.38 m ± 1 cm\"\n", "")]);
    assert!(found(&without, Code::HarnessNotStated).is_some() && tube(&without).harness.is_none());
    let asked = with(&[("centre_of_mass = \"1.38 m ± 1 cm\"", "centre_of_mass = \"?\"")]);
    assert!(found(&asked, Code::HarnessNotStated).is_none());
    let unknown = asked.unknowns.iter().find(|unknown| unknown.key == "part.tube.harness.centre_of_mass");
    assert!(unknown.unwrap().gives.contains("angle"));
}

#[test]
fn a_leg_that_would_push_is_slack_and_a_fourth_is_not_told() {
    let ahead = with(&[("at = \"2.05 m\"\nout = \"0.15 m\"", "at = \"1.05 m\"\nout = \"0.15 m\"")]);
    let finding = found(&ahead, Code::HarnessLegSlack).expect("both legs ahead of the centre of mass");
    assert!(finding.message.contains("is slack"), "{}", finding.message);
    let rest = state(tube(&ahead), "at rest");
    let slack: Vec<&str> =
        rest.legs.iter().filter(|leg| leg.state == "slack").map(|leg| leg.id.as_str()).collect();
    assert_eq!(slack, ["front strap"]);
    assert!(found(&ahead, Code::HarnessAngleMissed).is_some());
    assert!((tension(rest, 1).si - rest.pull.si).abs() < 1e-6, "the other takes all");

    let four = with(&[
        (
            "at = \"2.05 m\"\nout = \"0.15 m\"\n",
            "at = \"2.05 m\"\nout = \"0.15 m\"\naround = \"40 °\"\n\n[[part.harness.point]]\nname = \"rear left\"\n\
         at = \"2.05 m\"\nout = \"0.15 m\"\naround = \"-40 °\"\n\n[[part.harness.point]]\nname = \"front left\"\n\
         at = \"0.65 m\"\nout = \"0.15 m\"\naround = \"-40 °\"\n",
        ),
        ("at = \"0.65 m\"\nout = \"0.15 m\"\n", "at = \"0.65 m\"\nout = \"0.15 m\"\naround = \"40 °\"\n"),
    ]);
    let finding = found(&four, Code::HarnessMoreLegs).expect("four legs, three equations");
    assert!(
        finding.message.starts_with("at rest, all three open, one stays shut: 4 legs are taut"),
        "{}",
        finding.message
    );
    let open = state(tube(&four), "all three open");
    assert!(open.legs.iter().all(|leg| leg.state == "not told"));
    assert!(tension(open, 0).interval_95.is_some());
}

#[test]
fn more_legs_or_devices_than_can_be_looked_at_are_refused() {
    let leg = |at: usize| {
        format!("\n[[part.harness.point]]\nname = \"leg {at}\"\nat = \"{}.{} m\"\n", 1 + at / 10, at % 10)
    };
    let device = |at: usize| format!("\n[[part.device]]\nname = \"device {at}\"\n");
    let legs: String = (0..11).map(leg).collect();
    let devices: String = (0..200).map(device).collect();
    let sheet = with(&[("# What has to work.", &format!("{legs}{devices}\n# What has to work."))]);
    assert_eq!(found(&sheet, Code::HarnessMoreLegs).unwrap().message, "13 legs, expected at most 12");
    assert_eq!(found(&sheet, Code::DeviceTooMany).unwrap().message, "209 devices, expected at most 200");
    assert!(tube(&sheet).harness.is_none() && tube(&sheet).failure_tree.is_empty());
}

#[test]
fn a_body_on_one_leg_hangs_end_on() {
    let ring = "hangs = \"upright\"\n\n[part.harness]\nconfluence = \"0.6 m\"\ncentre_of_mass = \"0.13 m ± 5 mm\"\n\n\
                [[part.harness.point]]\nname = \"ring\"\nat = \"0 m\"\n";
    let sheet = with(&[("hangs = \"upright\"\n", ring)]);
    let capsule = &sheet.parts[1];
    let open = state(capsule, "canopy open");
    assert!((open.angle.si.to_degrees() - 90.0).abs() < 1e-6, "{}", open.says);
    assert_eq!((open.says.as_str(), open.roll.is_none()), ("rear end down, any side down", true));
    // From 0.13 m behind the front end up to 0.6 m above that.
    assert!((capsule.harness.as_ref().unwrap().points[0].leg.si - 0.47).abs() < 1e-9);
    assert!((tension(open, 0).si - open.pull.si).abs() < 1e-9);
    assert!(found(&sheet, Code::HarnessAngleMissed).is_none());
}

#[test]
fn the_body_by_shape_beside_its_tests_and_the_cluster_beside_its_lean() {
    let sheet = worked(DEMO);
    let rigging = tube(&sheet).rigging.as_ref().unwrap();
    let si = |number: &Option<Number>| number.as_ref().expect("it is known").si;
    // 2.6 m by 0.3 m: l/d 8.67.
    assert!((si(&rigging.body_by_shape) / (2.6 * 0.3) - 0.80).abs() < 0.01);
    assert!(rigging.body_tested.is_some() && rigging.says[0].contains("agree"), "{:?}", rigging.says);
    assert!((si(&rigging.own_length) - 4.9).abs() < 1e-12 && (si(&rigging.distance) - 5.5).abs() < 1e-12);
    let lean = si(&rigging.ring_radius) / 4.9;
    assert!((si(&rigging.fly_out).sin() - lean).abs() < 1e-12);
    assert!((si(&rigging.left_along).powi(2) + lean * lean - 1.0).abs() < 1e-12);
    assert!(rigging.likeness.iter().all(|row| row.alike) && rigging.likeness.len() == 4);

    // Not stated how much of the riser is shared: a range. Another riser than the model's: not alike.
    let other = with(&[
        ("common_riser = \"0.60 m\"\n", ""),
        ("riser_length = \"3.60 m\"", "riser_length = \"2.00 m\""),
    ]);
    let rigging = tube(&other).rigging.as_ref().unwrap();
    let own = rigging.own_length.as_ref().unwrap().interval_95.unwrap();
    assert!((own.low - 1.9).abs() < 1e-12 && (own.high - 3.9).abs() < 1e-12);
    let lean = rigging.fly_out.as_ref().unwrap().interval_95.unwrap();
    assert!(lean.high > 1.7 * lean.low);
    let unlike: Vec<&str> =
        rigging.likeness.iter().filter(|row| !row.alike).map(|row| row.id.as_str()).collect();
    assert_eq!(unlike, ["distance", "in-bodies"]);
    assert!(rigging.says.last().unwrap().contains("not alike"));
    assert!(found(&other, Code::RiggingNearBody).is_some(), "3.9 m behind a disc of 1 m");
    let crowded = with(&[
        ("line_length = \"1.90 m\"", "line_length = \"0.30 m\""),
        ("riser_length = \"3.60 m\"", "riser_length = \"0.70 m\""),
    ]);
    assert!(found(&crowded, Code::RiggingCrowded).is_some());
}

#[test]
fn fins_add_to_the_body_and_move_its_centre_of_area() {
    let finned =
        ("hangs = \"level\"", "hangs = \"level\"\nfins = 4\nfin_area = \"400 cm²\"\nfins_at = \"2.4 m\"");
    let (bare, finned) = (worked(DEMO), with(&[finned]));
    let area = |sheet: &Sheet| tube(sheet).rigging.as_ref().unwrap().body_by_shape.as_ref().unwrap().si;
    let centre = |sheet: &Sheet| tube(sheet).harness.as_ref().unwrap().centre_of_area.si;
    let fins = area(&finned) - area(&bare);
    assert!((fins - 1.17 * 0.04 * 2.0).abs() < 1e-9, "{fins}");
    assert!((centre(&bare) - 1.3).abs() < 1e-12);
    assert!((centre(&finned) - (1.3 + 1.1 * fins / area(&finned))).abs() < 1e-9);
}

fn single_points(part: &PartSheet) -> Vec<&str> {
    part.failure_tree
        .iter()
        .filter(|failure| failure.single_point)
        .map(|failure| failure.id.as_str())
        .collect()
}

fn failure<'a>(part: &'a PartSheet, id: &str) -> &'a FailureSheet {
    part.failure_tree.iter().find(|failure| failure.id == id).unwrap_or_else(|| panic!("no {id}"))
}

#[test]
fn without_the_second_altimeter_a_new_single_point_appears() {
    let sheet = worked(DEMO);
    let part = tube(&sheet);
    assert_eq!(single_points(part), ["drogue cover", "canopy release"]);
    assert!(failure(part, "altimeter A").harmless && failure(part, "cause: iced ports").undoes_redundancy);
    assert_eq!(failure(part, "bag 2").case.as_deref(), Some("one stays shut"));
    assert_eq!(failure(part, "canopy release").case.as_deref(), Some("nothing opens"));
    let no_case = found(&sheet, Code::DeviceNoCase).expect("the demo has no case without its drogue");
    assert!(no_case.message.contains("drogue does not come"), "{}", no_case.message);

    let begin = DEMO.find("[[part.device]]\nname = \"altimeter B\"").unwrap();
    let end = begin + DEMO[begin..].find("[[part.device]]\nname = \"drogue cover\"").unwrap();
    let text = format!("{}{}", &DEMO[..begin], &DEMO[end..])
        .replace("[\"altimeter A\", \"altimeter B\"]", "[\"altimeter A\"]");
    let one = worked(&text);
    let part = tube(&one);
    assert_eq!(single_points(part), ["battery A", "altimeter A", "drogue cover", "canopy release"]);
    let idle = found(&one, Code::DeviceIdle).expect("battery B feeds nothing");
    assert!(idle.message.starts_with("battery B"), "{}", idle.message);
}

#[test]
fn a_case_for_it_covers_what_no_case_covered() {
    let more = "[[part.case]]\nname = \"no drogue\"\nopens = \"no drogue then main\"\n\n[[part.case]]\nname = \"early\"\n\
                opens = \"early\"\n\n# Not judged:";
    let sheet = with(&[("# Not judged:", more)]);
    assert!(found(&sheet, Code::DeviceNoCase).is_none());
    let part = tube(&sheet);
    assert_eq!(failure(part, "drogue cover").case.as_deref(), Some("no drogue"));
    assert_eq!(failure(part, "altimeter A, too early").case.as_deref(), Some("early"));
}

#[test]
fn devices_in_a_circle_are_found() {
    let circle = (
        "name = \"battery A\"\nis = \"battery\"",
        "name = \"battery A\"\nis = \"battery\"\nneeds = [\"altimeter A\"]",
    );
    let sheet = with(&[circle]);
    let finding = found(&sheet, Code::DeviceLoop).expect("each needs the other");
    assert_eq!(finding.message, "battery A, altimeter A depend on themselves by way of one another");
}
