//! Numbers of a document against the JSON.

use serde_json::Value;
use silkfall_report::document::{Document, numbers};
use silkfall_report::wire::find;

/// Every number of the document stands in the JSON under its id with the same value; how many there were.
pub fn check_numbers(document: &Document, json: &Value) -> usize {
    let shown = numbers(document);
    for number in &shown {
        let found = find(json, &number.id.0).unwrap_or_else(|| panic!("{} is not in the JSON", number.id.0));
        let value = found.as_f64().or_else(|| found.get("value")?.as_f64());
        assert_eq!(value, Some(number.si), "{}", number.id.0);
    }
    shown.len()
}
