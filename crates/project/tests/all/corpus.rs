//! The frozen example, and the projects that are wrong on purpose: a folder a case, with what is said of it.

use std::path::Path;

use silkfall_project::{Parsed, parse};

use crate::FORMAT_1;

fn shown(parsed: &Parsed) -> String {
    let lines = parsed.findings.iter().map(|finding| {
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
fn every_case_of_the_corpus_gives_the_problems_expected() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut cases: Vec<_> = std::fs::read_dir(corpus).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 25, "only {} cases", cases.len());
    for case in cases {
        let text = std::fs::read_to_string(case.join("silkfall.toml")).unwrap();
        let found = shown(&parse(&text, None));
        let expected = std::fs::read_to_string(case.join("expected.txt")).unwrap_or_default();
        assert!(!found.is_empty(), "{}: no problem found", case.display());
        assert_eq!(found, expected, "{}", case.display());
    }
}
