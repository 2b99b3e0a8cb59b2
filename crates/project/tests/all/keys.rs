//! Every value of the examples, one at a time: unknown, of the wrong sort, or gone.

use std::ops::Range;

use silkfall_project::{Parsed, parse};
use toml_edit::{Document, Item, TableLike};

use crate::examples;

/// A value of an example: its key, and where it stands.
struct Written {
    example: &'static str,
    key: String,
    span: Range<usize>,
    line: u64,
}

fn collect(example: &'static str, table: &dyn TableLike, found: &mut Vec<Written>) {
    for (key, item) in table.iter() {
        match item {
            Item::ArrayOfTables(rows) => rows.iter().for_each(|row| collect(example, row, found)),
            _ => match item.as_table_like() {
                Some(inner) => collect(example, inner, found),
                None => {
                    let span = item.span().expect("a parsed value has its span");
                    let line = example[..span.start].matches('\n').count() as u64 + 1;
                    found.push(Written { example, key: key.to_owned(), span, line });
                }
            },
        }
    }
}

fn values() -> Vec<Written> {
    let mut found = Vec::new();
    for example in examples() {
        let document = Document::parse(example).expect("each example is TOML");
        collect(example, document.as_table(), &mut found);
    }
    found
}

fn with(value: &Written, new: &str) -> Parsed {
    let text = value.example;
    parse(&format!("{}{new}{}", &text[..value.span.start], &text[value.span.end..]), None)
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
    assert!(listed > 110 && refused > 20, "{listed} listed, {refused} refused");
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
        let text = value.example[value.span.clone()].trim_matches('"');
        let number = text.split(' ').next().unwrap();
        let unit = text.split(' ').nth(1).filter(|unit| !["±", "%"].contains(unit));
        let has_unit = number.parse::<f64>().is_ok() && unit.is_some();
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
    assert!(quantities > 60, "{quantities}");
}
