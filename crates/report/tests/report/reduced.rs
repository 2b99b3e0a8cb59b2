//! Recordings reduced: what `reduce` prints, and that each number of it stands in the JSON.

use std::collections::BTreeMap;
use std::sync::Arc;

use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::quantity::System;
use silkfall_report::reduction_document;
use silkfall_report::text::{Ink, TextOptions, render};
use silkfall_report::wire::reduction_json;
use silkfall_sheet::*;

use crate::json;

/// Falls of a straight line after half a second, seen through steps of a foot: invented, to be drawn and printed.
fn drop(letter: &str, release_s: f64, rate: f64, kept: bool) -> ReducedDrop {
    let step = 0.3048;
    let time_s: Arc<[f64]> = (-10..=45).map(|i| f64::from(i) / 10.0).collect();
    let height = |t: f64| if t < 0.5 { 11.3 } else { (11.3 - rate * (t - 0.5)).max(0.0) };
    let height_m: Arc<[f64]> = time_s.iter().map(|t| (height(*t) / step).round() * step).collect();
    ReducedDrop {
        letter: letter.to_owned(),
        release_s,
        steady_from_s: Some(release_s + 1.2),
        steady_to_s: Some(release_s + 3.1),
        ground_s: Some(release_s + 0.5 + 11.3 / rate),
        rate: Some(DropRate {
            m_per_s: rate,
            standard_uncertainty_m_per_s: 0.07,
            degrees_of_freedom: Some(18.0),
            interval_95: Interval { low: rate - 0.145, high: rate + 0.145 },
        }),
        bound: None,
        kept,
        set_aside: (!kept).then(|| "24 % faster than the rest".to_owned()),
        take_back: None,
        findings: Vec::new(),
        trace: Trace {
            time_s,
            height_m,
            line: Some(TraceLine {
                from_s: 1.2,
                to_s: 3.1,
                height_m: 11.3 - 0.7 * rate,
                slope_m_per_s: rate,
            }),
        },
    }
}

/// Hoisted before each drop and left on the ground after it.
fn spells(drops: &[ReducedDrop]) -> Vec<SpellRead> {
    let mut reached_s = 0.0;
    let mut spells = Vec::new();
    for drop in drops {
        let fell_s = drop.ground_s.expect("every drop reaches the ground");
        for (is, to_s) in [("ground", drop.release_s - 60.0), ("hoist", drop.release_s), ("fall", fell_s)] {
            spells.push(SpellRead { is, from_s: reached_s, to_s });
            reached_s = to_s;
        }
    }
    spells
}

fn outline() -> Outline {
    let time_s: Arc<[f64]> = (0..512).map(|i| (f64::from(i) + 0.5) * 1824.0 / 512.0).collect();
    let height = |t: &f64| (t * 0.4) % 11.3;
    Outline {
        low_m: time_s.iter().map(height).collect(),
        high_m: time_s.iter().map(|t| height(t) + 0.3).collect(),
        time_s,
    }
}

fn column(index: usize, name: &str, means: &str, unit: &str) -> ColumnRead {
    ColumnRead { index, name: Some(name.to_owned()), means: means.to_owned(), unit: Some(unit.to_owned()) }
}

/// Four drops that count and one set aside.
pub fn reduction() -> Reduction {
    let drops = vec![
        drop("a", 192.43, 3.31, true),
        drop("b", 460.13, 3.19, true),
        drop("c", 655.90, 3.27, true),
        drop("d", 871.04, 4.02, false),
        drop("e", 1104.52, 3.23, true),
    ];
    let doubt = |cause: &str, relative, remark: Option<&str>, cure| Doubt {
        cause: cause.to_owned(),
        relative,
        remark: remark.map(str::to_owned),
        cure,
    };
    let fit = How::Fit {
        procedure: "The rates of the drops kept are pooled.".to_owned(),
        data: "four drops".to_owned(),
        count: 4,
    };
    Reduction {
        recordings: vec![ReducedRecording {
            path: "tower.csv".to_owned(),
            samples: 18_240,
            duration_s: 1824.0,
            sample_rate_hz: Some(10.0),
            height_step_m: Some(0.3048),
            columns: vec![column(1, "t", "time", "s"), column(2, "Alt (ft)", "height", "ft")],
            repeat: "--time 1:s --height 2:ft --delimiter ,".to_owned(),
            spells: spells(&drops),
            outline: outline(),
            drops,
        }],
        pooled: Some(PooledRate {
            m_per_s: 3.248,
            standard_uncertainty_m_per_s: 0.125,
            degrees_of_freedom: Some(30.0),
            interval_95: Interval { low: 2.991, high: 3.512 },
            drops_kept: 4,
            drops_set_aside: 1,
            reference_density_kg_m3: None,
            scatter_relative: 0.017,
        }),
        groups: Vec::new(),
        doubts: vec![
            doubt(
                "day's temperature not known",
                0.035,
                None,
                Some(DoubtCure {
                    option: "--air \"18 °C\"".to_owned(),
                    interval_95: Interval { low: 3.13, high: 3.37 },
                }),
            ),
            doubt("slow air, shared by all drops", 0.015, None, None),
            doubt("between the drops", 0.008, Some("4 drops, scatter 1.7 %"), None),
            doubt("clock", 0.001, None, None),
        ],
        defaults: vec!["The logger's clock is taken to be right to 0.1 %.".to_owned()],
        repeat: "reduce tower.csv --time 1:s --height 2:ft --delimiter ,".to_owned(),
        next: Some("new mytube --from tower.csv".to_owned()),
        hows: BTreeMap::from([("pooled.rate_m_s".into(), fit)]),
        findings: vec![
            Finding::new(
                Code::LogTimeBackwards,
                Subject::Recording("tower.csv".to_owned()),
                "time goes backwards by 0.020 s",
            )
            .at("tower.csv", Some(1042), Some(1))
            .hint("rows 1042-1051 repeat rows 1032-1041; remove them, or check the logger's clock"),
        ],
        outcome: Outcome::Done,
    }
}

fn shown(width: usize, system: System) -> String {
    let document = reduction_document(&reduction(), "silkfall");
    render(&document, TextOptions { width, system, ink: Ink::Plain })
}

#[test]
fn reduce_on_a_usual_terminal() {
    insta::assert_snapshot!(shown(80, System::Si));
}

#[test]
fn reduce_on_a_wide_terminal_in_feet() {
    insta::assert_snapshot!(shown(110, System::Us));
}

#[test]
fn no_drop_gives_no_rate_and_says_so() {
    let nothing = Reduction {
        pooled: None,
        doubts: Vec::new(),
        hows: BTreeMap::new(),
        findings: Vec::new(),
        next: None,
        recordings: vec![ReducedRecording { drops: Vec::new(), ..reduction().recordings.remove(0) }],
        outcome: Outcome::NoAnswer,
        ..reduction()
    };
    let document = reduction_document(&nothing, "silkfall");
    let text = render(&document, TextOptions { width: 80, system: System::Si, ink: Ink::Plain });
    assert!(text.starts_with("  no rate     no drop was found\n"), "{text}");
}

#[test]
fn every_number_printed_stands_in_the_json_under_its_id() {
    let document = reduction_document(&reduction(), "silkfall");
    let projected = serde_json::to_value(reduction_json(&reduction())).unwrap();
    assert!(json::check_numbers(&document, &projected) > 30);
}
