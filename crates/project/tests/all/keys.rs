//! Every value of the example, one at a time: unknown, of the wrong sort, or gone.

use std::ops::Range;

use silkfall_project::{Parsed, parse};
use toml_edit::{Document, Item, TableLike};

use crate::FORMAT_1;

/// A value of the example: its key, and where it stands.
struct Written {
    key: String,
    span: Range<usize>,
    line: u64,
}

fn collect(table: &dyn TableLike, found: &mut Vec<Written>) {
    for (key, item) in table.iter() {
        match item {
            Item::ArrayOfTables(rows) => rows.iter().for_each(|row| collect(row, found)),
            _ => match item.as_table_like() {
                Some(inner) => collect(inner, found),
                None => {
                    let span = item.span().expect("a parsed value has its span");
                    let line = FORMAT_1[..span.start].matches('\n').count() as u64 + 1;
                    found.push(Written { key: key.to_owned(), span, line });
                }
            },
        }
    }
}

fn values() -> Vec<Written> {
    let document = Document::parse(FORMAT_1).expect("the example is TOML");
    let mut found = Vec::new();
    collect(document.as_table(), &mut found);
    found
}

fn with(value: &Written, new: &str) -> Parsed {
    parse(&format!("{}{new}{}", &FORMAT_1[..value.span.start], &FORMAT_1[value.span.end..]), None)
}

fn said_on(parsed: &Parsed, line: u64) -> bool {
    parsed.findings.iter().any(|finding| finding.place.as_ref().and_then(|place| place.line) == Some(line))
}

#[test]
fn a_question_mark_is_listed_or_refused_but_never_passed_over() {
    let (mut listed, mut refused) = (0, 0);
    for value in values() {
        let parsed = with(&value, "\"?\"");
        let project = parsed.project.as_ref().unwrap();
        let is_listed = project.unknowns.iter().any(|unknown| unknown.spot.line == value.line);
        assert!(is_listed || said_on(&parsed, value.line), "{} on line {}", value.key, value.line);
        listed += usize::from(is_listed);
        refused += usize::from(!is_listed);
    }
    assert!(listed > 60 && refused > 20, "{listed} listed, {refused} refused");
}

#[test]
fn a_value_of_the_wrong_sort_is_noted_on_its_line() {
    for value in values() {
        for wrong in ["{ a = 1 }", "[[1]]", "1979-05-27T07:32:00Z", "[true]"] {
            let parsed = with(&value, wrong);
            assert!(said_on(&parsed, value.line), "{} = {wrong} on line {}", value.key, value.line);
        }
    }
}

#[test]
fn a_quantity_without_its_unit_is_noted_with_its_cure() {
    let mut quantities = 0;
    for value in values() {
        let text = FORMAT_1[value.span.clone()].trim_matches('"');
        let number = text.split(' ').next().unwrap();
        let has_unit = number.parse::<f64>().is_ok() && text.contains(' ') && !text.ends_with('%');
        if !has_unit || text.contains('/') && !text.contains("m/s") {
            continue;
        }
        quantities += 1;
        let parsed = with(&value, number);
        let finding =
            parsed.findings.iter().find(|finding| finding.place.as_ref().unwrap().line == Some(value.line));
        let hint = finding.and_then(|finding| finding.hint.clone()).unwrap_or_default();
        assert!(hint.contains(number), "{} = {number}: {hint}", value.key);
    }
    assert!(quantities > 30, "{quantities}");
}
