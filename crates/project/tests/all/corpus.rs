//! The frozen example, and the projects that are wrong on purpose: a folder a case, with what is said of it.

use std::path::{Path, PathBuf};

use silkfall_core::finding::Finding;
use silkfall_core::wind::Terrain;
use silkfall_project::devices::Opens;
use silkfall_project::landing::{Begins, Brakes, ByWind, Fill, Whose};
use silkfall_project::{Parsed, parse};

use crate::{FORMAT_1, HANGING, LANDING, examples};

fn shown(parsed: &Parsed) -> String {
    lines(&parsed.findings)
}

/// Findings as they stand in a case's expected.txt.
pub fn lines(findings: &[Finding]) -> String {
    let lines = findings.iter().map(|finding| {
        let place = finding.place.as_ref().expect("every problem of a project has a place");
        let spot = match (place.line, place.column) {
            (Some(line), Some(column)) => format!(":{line}:{column}"),
            (Some(line), None) => format!(":{line}"),
            _ => String::new(),
        };
        let hint = finding.hint.as_ref().map(|hint| format!("\n  hint: {hint}")).unwrap_or_default();
        format!(
            "{}[{}] {}{spot}: {}{hint}\n",
            finding.severity().word(),
            finding.code.name(),
            place.file,
            finding.message
        )
    });
    lines.collect()
}

#[test]
fn the_frozen_example_of_format_1_is_read_without_a_problem() {
    let parsed = parse(FORMAT_1, None);
    assert_eq!(shown(&parsed), "");
    let project = parsed.project.unwrap();
    assert_eq!(project.tests.len(), 3);
    let part = project.part("tube").unwrap();
    assert!((part.mass.given().unwrap().standard_uncertainty_si() - 0.05).abs() < 1e-12);
    assert!(part.rig.riser_length.is_unknown() && part.cases[2].limit.is_absent());
    assert_eq!(part.mass.spot().unwrap().line, 55);
}

#[test]
fn the_frozen_examples_with_the_way_down_are_read_without_a_problem() {
    for example in LANDING {
        assert_eq!(shown(&parse(example, None)), "", "{example}");
    }
    let project = parse(LANDING[0], None).project.unwrap();
    let (tube, booster) = (project.part("tube").unwrap(), project.part("booster").unwrap());
    let top = |part| {
        let (top, whose) = project.flight_key(part, |flight| &flight.top);
        (top.given().unwrap().text(), whose)
    };
    assert_eq!((top(tube), top(booster)), (("850 m ± 40 m", Whose::All), ("900 ft", Whose::Part)));
    let ByWind::Law(law) = project.by_wind(booster).0 else { panic!("both parts lean alike") };
    assert_eq!(law.top.given().unwrap().si().total_cmp(&-6.0), std::cmp::Ordering::Equal);
    assert!(matches!(tube.stages[2].brakes.given(), Some(Brakes::Canopies)));
    assert!(
        matches!(tube.stages[2].begins.given(), Some(Begins::Below(height)) if height.text() == "150 m ± 8 m")
    );
    assert!(matches!(tube.stages[1].fill.given(), Some(Fill::Time(time)) if time.text() == "0.4 s ± 0.1 s"));
    assert_eq!(tube.stages[2].stays.given(), Some(&true));
    let other = parse(LANDING[1], None).project.unwrap();
    let ByWind::Table(rows) = &other.flight.by_wind else { panic!("rows by wind") };
    assert_eq!((rows.len(), rows[1].upwind.given().unwrap().text()), (2, "110 m ± 30 m"));
    assert_eq!(other.wind.terrain.given(), Some(&Terrain::LowCrops));
}

#[test]
fn the_frozen_example_with_harness_and_devices_is_read_without_a_problem() {
    let parsed = parse(HANGING, None);
    assert_eq!(shown(&parsed), "");
    let project = parsed.project.unwrap();
    let part = project.part("tube").unwrap();
    let [front, rear] = part.harness.points.as_slice() else { panic!("two points") };
    assert!(front.leg.is_absent() && rear.out.is_absent());
    assert_eq!(rear.leg.given().unwrap().text(), "1.10 m ± 5 mm");
    let release = &part.devices[2];
    assert_eq!((release.fired_by[0].value.as_str(), release.canopies.given()), ("altimeter A", Some(&2)));
    assert_eq!(release.opens.given(), Some(&Opens::Canopies));
}

/// `[site] wind` is how older files say the wind at the ground.
#[test]
fn the_wind_of_an_older_file_is_the_wind_of_the_day() {
    let wind = parse(FORMAT_1, None).project.unwrap().wind;
    assert_eq!(wind.speed.given().unwrap().text(), "4 m/s ± 2 m/s");
    assert!(wind.spot.is_none() && wind.from.is_absent());
}

fn cases() -> Vec<PathBuf> {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut cases: Vec<_> = std::fs::read_dir(corpus)
        .expect("the corpus is there")
        .map(|entry| entry.expect("a folder can be read").path())
        .collect();
    cases.sort();
    assert!(cases.len() >= 25, "only {} cases", cases.len());
    cases
}

#[test]
fn every_case_of_the_corpus_gives_the_problems_expected() {
    for case in cases() {
        let text = std::fs::read_to_string(case.join("silkfall.toml")).unwrap();
        let found = shown(&parse(&text, None));
        let expected = std::fs::read_to_string(case.join("expected.txt")).unwrap_or_default();
        assert!(!found.is_empty(), "{}: no problem found", case.display());
        assert_eq!(found, expected, "{}", case.display());
    }
}

/// Each case and the frozen examples whole, cut off at seven places, and with a byte in every so many turned round.
#[test]
fn spoilt_cases_keep_the_promises() {
    let mut texts: Vec<Vec<u8>> =
        cases().iter().map(|case| std::fs::read(case.join("silkfall.toml")).unwrap()).collect();
    texts.extend(examples().map(|text| text.as_bytes().to_vec()));
    for bytes in texts {
        crate::promises::are_kept(&bytes);
        for eighth in 1..8 {
            crate::promises::are_kept(&bytes[..bytes.len() * eighth / 8]);
            let mut spoilt = bytes.clone();
            spoilt.iter_mut().skip(eighth).step_by(31 + 17 * eighth).for_each(|byte| *byte ^= 0x15);
            crate::promises::are_kept(&spoilt);
        }
    }
}

/// Which offers there are is known only with their file.
#[test]
fn a_member_of_an_offer_that_is_not_there_says_so_where_it_stands() {
    let (offers, _) = silkfall_project::offers::read("canopies.csv", b"id,diameter\nplain-1.84,1.84 m\n");
    let text = "format = 1\n[[part]]\nname = \"tube\"\n[[part.member]]\nname = \"cloth\"\nis = \"fabric\"\n\
                of = \"plain-1.48\"\n";
    let said = shown(&parse(text, Some(offers)));
    assert_eq!(
        said,
        "error[project-name] silkfall.toml:7:6: there is no offer `plain-1.48`\n  hint: did you mean `plain-1.84`?\n"
    );
}
