//! Field files: a sound one, and those that are wrong on purpose, a folder a case.

use std::path::Path;

use silkfall_core::geo::{Plane, Position, Side};
use silkfall_project::field::read_field;

use crate::corpus::lines;
use crate::folder::scratch;

/// A field in two parts with a pond, a road in two parts and a barn, and the pad.
const SOUND: &str = include_str!("../field/field.geojson");

#[test]
fn every_case_of_the_field_corpus_gives_the_problems_expected() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus-field");
    let mut cases: Vec<_> = std::fs::read_dir(corpus).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 30, "only {} cases", cases.len());
    let mut wrong = Vec::new();
    for case in cases {
        let bytes = std::fs::read(case.join("field.geojson")).unwrap();
        let found = lines(&read_field(&bytes, "field.geojson").1);
        let expected = std::fs::read_to_string(case.join("expected.txt")).unwrap();
        assert!(!expected.is_empty(), "{}: nothing expected", case.display());
        if found != expected {
            wrong.push(format!("{}\n{found}instead of\n{expected}", case.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_sound_field_is_read_with_holes_parts_names_and_pad() {
    let (file, findings) = read_field(SOUND.as_bytes(), "field.geojson");
    assert_eq!(lines(&findings), "");
    assert_eq!((file.edges.len(), file.keep_outs.len()), (2, 3));
    let pad = file.marked_pad.unwrap();
    assert_eq!((pad.value.latitude_deg(), pad.value.longitude_deg(), pad.spot.line), (52.2040, 5.1030, 29));
    let plane = Plane::new(pad.value);
    let (field, findings) = file.in_plane(&plane);
    assert!(findings.is_empty());
    let field = field.unwrap();
    let names: Vec<&str> = field.keep_outs.iter().map(|keep_out| keep_out.name.as_str()).collect();
    assert_eq!(names, ["road", "road", "keep out 3"]);
    assert!(field.allows([0.0, 0.0]));
    let at = |longitude, latitude| plane.to_plane(Position::from_degrees(latitude, longitude).unwrap());
    assert!(!field.inside_field(at(5.1075, 52.2050)), "in the pond");
    assert!(field.inside_field(at(5.1170, 52.2050)), "in the second part");
    assert!(!field.inside_field(at(5.1135, 52.2050)), "between the parts");
    assert_eq!(field.in_keep_out(at(5.1010, 52.2095)), Some(2), "in the barn");
    assert_eq!(field.edges[0].side(at(5.1010, 52.2095)), Side::Inside);
}

#[test]
fn a_pad_from_elsewhere_is_held_against_the_field_and_that_of_the_file_once() {
    let (file, _) = read_field(SOUND.as_bytes(), "field.geojson");
    let place = |latitude, longitude| Plane::new(Position::from_degrees(latitude, longitude).unwrap());
    assert_eq!(lines(&file.in_plane(&place(52.2050, 5.1020)).1), "");
    let outside = lines(&file.in_plane(&place(52.2050, 5.0900)).1);
    assert!(
        outside.starts_with("warning[field-pad-outside] field.geojson:29:24: the pad is 684 m outside"),
        "{outside}"
    );
    let exchanged = lines(&file.in_plane(&place(5.1030, 52.2040)).1);
    assert!(exchanged.starts_with("error[field-swapped] field.geojson:29:24: the pad lies "), "{exchanged}");
    let without = read_field(br#"{ "type": "FeatureCollection", "features": [] }"#, "field.geojson").0;
    assert_eq!(without.in_plane(&place(52.2050, 5.1020)), (None, Vec::new()));
}

#[test]
fn the_folder_reads_the_field_that_the_project_names() {
    let dir = scratch("folder-with-a-field");
    let project = |field: &str| {
        std::fs::write(dir.join("silkfall.toml"), format!("format = 1\nname = \"x\"\nfield = \"{field}\"\n"))
            .unwrap();
        silkfall_project::read_folder(&dir).unwrap()
    };
    std::fs::write(dir.join("field.geojson"), SOUND).unwrap();
    assert_eq!(project("field.geojson").project.unwrap().field.unwrap().edges.len(), 2);
    std::fs::write(dir.join("field.geojson"), "[").unwrap();
    let folder = project("field.geojson");
    assert!(
        lines(&folder.findings).contains("error[field-syntax] field.geojson:1:"),
        "{:?}",
        folder.findings
    );
    let folder = project("feld.geojson");
    assert!(folder.project.unwrap().field.is_none());
    assert!(lines(&folder.findings).contains("did you mean `field.geojson`?"), "{:?}", folder.findings);
}

#[test]
fn one_feature_alone_and_a_byte_order_mark_are_read_too() {
    let feature = r#"{ "type": "Feature", "properties": { "kind": "edge" },
        "geometry": { "type": "Polygon", "coordinates": [[[0, 0], [0.01, 0], [0.01, 0.01], [0, 0]]] } }"#;
    let (file, findings) = read_field(format!("\u{feff}{feature}").as_bytes(), "field.geojson");
    assert_eq!((file.edges.len(), findings.len()), (1, 0));
}

#[test]
fn bytes_that_are_no_text_are_told_with_their_place() {
    let (_, findings) = read_field(b"{ \"type\":\n \"Fe\xffature\" }", "field.geojson");
    assert_eq!(
        lines(&findings),
        "error[field-syntax] field.geojson:2:5: the field file is not UTF-8 text here\n  hint: save it as UTF-8\n"
    );
}

#[test]
fn whatever_is_cut_off_or_garbled_never_panics_and_always_says_something() {
    for cut in 0..SOUND.len() - 3 {
        let (_, findings) = read_field(&SOUND.as_bytes()[..cut], "field.geojson");
        assert!(!findings.is_empty(), "cut at {cut}");
    }
    for at in 0..SOUND.len() {
        for byte in [b'[', b'}', b'9', b'"', 0xff] {
            let mut bytes = SOUND.as_bytes().to_vec();
            bytes[at] = byte;
            let (file, findings) = read_field(&bytes, "field.geojson");
            assert!(findings.iter().all(|finding| finding.place.is_some()));
            if let (Some(pad), false) = (file.pad(), file.edges.is_empty()) {
                assert!(file.in_plane(&Plane::new(pad)).0.is_some(), "{at}: {byte}");
            }
        }
    }
}
