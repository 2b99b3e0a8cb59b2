//! Texts that nobody would write: nothing panics, every problem has a place in the text, and edits stay TOML.

use proptest::prelude::*;
use silkfall_project::edit::{Edit, NewValue, apply};
use silkfall_project::{Parsed, offers, parse};

use crate::{FORMAT_1, examples};

/// An example with a piece cut out and another put in.
fn spliced(example: &str, at: usize, cut: usize, put: &str) -> String {
    let chars: Vec<char> = example.chars().collect();
    let at = at % chars.len();
    let end = (at + cut).min(chars.len());
    chars[..at].iter().copied().chain(put.chars()).chain(chars[end..].iter().copied()).collect()
}

fn places_lie_in(text: &str, parsed: &Parsed) -> bool {
    let lines: Vec<&str> = text.split('\n').collect();
    parsed.findings.iter().all(|finding| {
        let place = finding.place.as_ref().expect("every problem has a place");
        match (place.line, place.column) {
            (Some(line), Some(column)) => lines
                .get(line as usize - 1)
                .is_some_and(|text| column >= 1 && column as usize <= text.chars().count() + 1),
            (line, _) => line.is_none(),
        }
    })
}

fn fragment() -> impl Strategy<Value = String> {
    prop_oneof![
        "\\PC{0,12}",
        Just("\n[[test]]\n".to_owned()),
        Just("\n[[test.drop]]\n".to_owned()),
        Just("\"".to_owned()),
        Just("= \"?\"\n".to_owned()),
        Just("[{".to_owned()),
        Just("1e999 kg".to_owned()),
        Just("\u{0}\u{7f}\u{202e}".to_owned()),
        Just("nan".to_owned()),
    ]
}

proptest! {
    #[test]
    fn a_spliced_project_is_read_with_every_problem_in_its_place(
        example in 0usize..4, at in 0usize..6000, cut in 0usize..60, put in fragment(),
    ) {
        let text = spliced(examples().nth(example).expect("there are four"), at, cut, &put);
        let parsed = parse(&text, None);
        prop_assert!(places_lie_in(&text, &parsed), "{:?}", parsed.findings);
        let set = Edit::Set { path: "part.tube.mass".into(), value: NewValue::Text("1 kg".into()) };
        if let Ok(edited) = apply(&text, &[set]) {
            let syntax = parse(&edited, None).findings.iter().any(|f| f.code.name() == "project-syntax");
            prop_assert!(!syntax);
        }
    }

    #[test]
    fn any_text_is_read(text in "(\\PC|\n|\\[|\\]|=|\"){0,200}") {
        let parsed = parse(&text, None);
        prop_assert!(places_lie_in(&text, &parsed));
    }

    #[test]
    fn any_bytes_are_read_as_offers(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let (offers, _) = offers::read("canopies.csv", &[b"id,mass\n".as_slice(), &bytes].concat());
        prop_assert!(offers.list.iter().all(|offer| !offer.id.value.is_empty()));
    }

    #[test]
    fn a_text_that_is_set_is_the_text_that_is_read(name in "[^\\p{Cc}]{1,40}") {
        let text = apply(FORMAT_1, &[Edit::Set { path: "name".into(), value: NewValue::Text(name.clone()) }]).unwrap();
        let read = parse(&text, None).project.unwrap();
        let wanted = name.trim();
        prop_assert_eq!(read.name.given().map(String::as_str), (!wanted.is_empty() && wanted != "?").then_some(wanted));
        prop_assert_eq!(read.tests.len(), 3);
    }
}
