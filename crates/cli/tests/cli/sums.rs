//! `size`, `rate`, `explain`, and wrong usage.

use crate::run::{codes, folder, run};

/// Common practice, no published source: 5.9 kg at 4.3 m/s with 2.2 wants 1.72 m, 67.7 in; a 60 in canopy of 2.2 under
/// 13 lb falls at about 16 ft/s.
#[test]
fn the_two_sums_give_the_facts_of_the_trade() {
    let at = folder("sums");
    let size = ["size", "--mass", "5.9kg", "--rate", "4.3m/s", "--drag-coefficient", "2.2"];
    let ran = run(&at, &[&size[..], &["--json"]].concat());
    assert_eq!(ran.code, Some(0));
    let json = ran.json();
    assert!((json["diameter_m"].as_f64().unwrap() - 1.72).abs() < 0.005);
    assert_eq!(json["refers_to"], "not stated");
    assert_eq!(codes(&json), ["sum-reference-not-stated"]);
    assert!(run(&at, &[&size[..], &["--units", "us"]].concat()).out.starts_with("  67.7 in"));
    let nominal = run(&at, &[&size[..], &["--reference", "nominal", "--json"]].concat()).json();
    assert_eq!(nominal["refers_to"], "nominal");
    let rate = ["rate", "--mass", "13lb", "--diameter", "60in", "--drag-coefficient", "2.2", "--json"];
    let rate = run(&at, &rate).json();
    assert!((rate["rate_m_s"].as_f64().unwrap() / 0.3048 - 16.0).abs() < 0.1);
}

#[test]
fn where_two_areas_differ_a_shape_or_ratio_is_wanted() {
    let at = folder("areas");
    let start = [
        "size",
        "--mass",
        "6 kg",
        "--rate",
        "5 m/s",
        "--drag-coefficient",
        "1.6",
        "--reference",
        "projected",
    ];
    let with = |more: &[&str]| run(&at, &[&start[..], more, &["--json"]].concat());
    let without = with(&["--diameter-kind", "nominal"]);
    assert_eq!(without.code, Some(2));
    assert!(without.json()["diameter_m"].is_null());
    let same = with(&["--diameter-kind", "projected"]).json()["diameter_m"].as_f64().unwrap();
    let ratio = with(&["--diameter-kind", "nominal", "--ratio", "1.5"]).json();
    assert!((ratio["diameter_m"].as_f64().unwrap() / same - 1.5).abs() < 1e-12);
    assert_eq!(
        with(&["--diameter-kind", "nominal", "--shape", "flat circular"]).json()["refers_to"],
        "nominal"
    );
}

#[test]
fn wrong_usage_is_code_two_and_help_is_zero() {
    let at = folder("usage");
    for words in [
        &["fly"][..],
        &["reduce"],
        &["size", "--mass", "3"],
        &["rate", "--mass", "3", "--diameter", "1 m", "--drag-coefficient", "0.8"],
        &["assess", "nowhere"],
        &["explain", "no-such-finding"],
        &["reduce", "a.csv", "--air", "warm"],
    ] {
        let ran = run(&at, words);
        assert_eq!(ran.code, Some(2), "{words:?}");
        assert!(ran.out.is_empty() && ran.err.starts_with("error: "), "{words:?}: {}{}", ran.out, ran.err);
    }
    let next = run(&at, &[]);
    assert_eq!((next.code, next.out.matches("silkfall ").count()), (Some(0), 5));
    assert_eq!(run(&at, &["--help"]).code, Some(0));
    let explained = run(&at, &["explain", "drag-cluster-unusual"]);
    assert!(explained.code == Some(0) && explained.out.starts_with("warning[drag-cluster-unusual]"));
}
