//! What holds for any bytes: they are read as a project, as offers, as winds and as a field, or refused with a place, without a panic; an edit of a project
//! stays TOML and is what is read back. The fuzz target `project` asks this of bytes of its own; here it is asked of the
//! corpus, cut and spoilt.

use silkfall_project::edit::{Edit, NewValue, apply};
use silkfall_project::field::read_field;
use silkfall_project::{offers, parse, winds};

/// Panics where a promise is broken.
pub fn are_kept(bytes: &[u8]) {
    let (offers, findings) = offers::read("any", bytes);
    assert!(!offers.list.is_empty() || offers.unknowns.is_empty());
    assert!(findings.iter().all(|finding| finding.place.is_some()));
    let (field, findings) = read_field(bytes, "any");
    assert!(!field.edges.is_empty() || !findings.is_empty());
    assert!(findings.iter().all(|finding| finding.place.is_some()));
    let (read, findings) = winds::read("any", bytes);
    assert!(read.is_some() || !findings.is_empty());
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let parsed = parse(text, Some(offers));
    assert!(parsed.findings.iter().all(|finding| finding.place.is_some()));
    let name = NewValue::Text("as set".to_owned());
    if let Ok(edited) = apply(text, &[Edit::Set { path: "name".to_owned(), value: name }]) {
        let read = parse(&edited, None).project;
        assert!(read.is_none_or(|project| project.name.given().is_some_and(|name| name == "as set")));
    }
}
