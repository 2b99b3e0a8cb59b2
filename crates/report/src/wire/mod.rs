//! JSON: projections of a reduction and of a sheet, `"format": 1`.
//!
//! SI whatever the display; times in seconds from a recording's first sample; `null` for what cannot be known, never
//! NaN. Fields may be added; a changed meaning is format 2. A number of the sheet is addressed by its path, elements
//! of an array by their `id`, `name` or `path`: `parts.tube.cases.all-open.rate` ([`find`]).
//!
//! The shapes are structs of their own, so that what a face prints and what a program reads can change apart.

mod common;
mod hanging;
mod landing;
mod load_path;
mod loads;
mod opening;
mod packing;
mod plan;
mod reduction;
mod sheet;
mod sums;

pub use landing::{LandJson, land_json};
pub use reduction::{ReductionJson, reduction_json};
pub use sheet::{SheetJson, assess_schema, sheet_json};
pub use sums::{RateJson, SizeJson, rate_json, size_json};

use serde_json::Value;

/// The value at a path, elements of arrays addressed by their `id`, `name` or `path`, and those that have
/// none (the ends of an interval) by their place from 0; for a number of the sheet the
/// object with its `value`.
///
/// # Examples
/// ```
/// let json = serde_json::json!({"parts": [{"name": "tube", "mass": {"value": 9.6}}]});
/// let mass = silkfall_report::wire::find(&json, "parts.tube.mass").unwrap();
/// assert_eq!(mass["value"], 9.6);
/// ```
pub fn find<'a>(json: &'a Value, path: &str) -> Option<&'a Value> {
    if path.is_empty() {
        return Some(json);
    }
    // Names may hold dots themselves (a path of a file does), so every way to split is tried.
    match json {
        Value::Object(fields) => fields.iter().find_map(|(key, value)| find(value, after(path, key)?)),
        Value::Array(elements) => elements.iter().enumerate().find_map(|(at, element)| {
            let name = ["id", "name", "path"].iter().find_map(|key| element.get(key)?.as_str());
            find(element, after(path, name.unwrap_or(&at.to_string()))?)
        }),
        _ => None,
    }
}

/// What is left of a path after its first name, if that is `name`.
fn after<'p>(path: &'p str, name: &str) -> Option<&'p str> {
    let rest = path.strip_prefix(name)?;
    if rest.is_empty() { Some(rest) } else { rest.strip_prefix('.') }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_with_dots_and_names_that_begin_alike() {
        let json = serde_json::json!({"recordings": [
            {"path": "a", "drops": []},
            {"path": "a.csv", "drops": [{"id": "a", "rate_m_s": 1.0}, {"id": "aa", "rate_m_s": 2.0}]},
        ]});
        assert_eq!(find(&json, "recordings.a.csv.drops.aa.rate_m_s"), Some(&serde_json::json!(2.0)));
        assert_eq!(find(&json, "recordings.a.csv.drops.b.rate_m_s"), None);
    }
}
