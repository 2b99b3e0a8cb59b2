//! The JSON schema of `silkfall.toml`, so that editors complete and check it; it comes from the very tables that are read.

use schemars::generate::SchemaSettings;

use crate::wire::Root;

/// The schema (JSON Schema draft 7, which editors of TOML know best), as text with a line break at its end. It is
/// kept in `docs/silkfall.schema.json`; a test holds the two equal.
pub fn schema_json() -> String {
    let schema = SchemaSettings::draft07().into_generator().into_root_schema_for::<Root>();
    let mut schema = schema.to_value();
    if let Some(object) = schema.as_object_mut() {
        object.insert("title".to_owned(), "silkfall.toml".into());
    }
    serde_json::to_string_pretty(&schema).expect("a schema has text keys only") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::tables;

    const EXAMPLES: [&str; 9] = [
        include_str!("../tests/format-1-opening/silkfall.toml"),
        include_str!("../tests/format-1-load-path/silkfall.toml"),
        include_str!("../tests/format-1-plan/silkfall.toml"),
        include_str!("../tests/format-1-bay/silkfall.toml"),
        include_str!("../tests/format-1/silkfall.toml"),
        include_str!("../tests/format-1-landing/silkfall.toml"),
        include_str!("../tests/format-1-landing/terrain.toml"),
        include_str!("../tests/format-1-landing/exponent.toml"),
        include_str!("../tests/format-1-hanging/silkfall.toml"),
    ];

    /// Each object of the schema with the tables' keys, in order.
    fn objects(schema: &serde_json::Value, found: &mut Vec<Vec<String>>) {
        if let Some(properties) = schema.get("properties").and_then(|properties| properties.as_object()) {
            assert_eq!(schema["additionalProperties"], false, "an unknown key is refused by both");
            found.push(properties.keys().cloned().collect());
        }
        match schema {
            serde_json::Value::Object(map) => map.values().for_each(|value| objects(value, found)),
            serde_json::Value::Array(list) => list.iter().for_each(|value| objects(value, found)),
            _ => {}
        }
    }

    #[test]
    fn the_schema_has_the_keys_that_are_read_and_no_others() {
        let schema: serde_json::Value = serde_json::from_str(&schema_json()).unwrap();
        let mut found = Vec::new();
        objects(&schema, &mut found);
        let sorted = |mut keys: Vec<String>| {
            keys.sort();
            keys
        };
        let mut schema_keys: Vec<_> = found.into_iter().map(sorted).collect();
        let of_table = |(_, keys): &(&str, &[crate::walk::Key])| {
            sorted(keys.iter().map(|key| key.name.to_owned()).collect())
        };
        let mut table_keys: Vec<_> = tables().map(of_table).collect();
        // A table that may stand at two places is in the schema twice.
        schema_keys.sort();
        schema_keys.dedup();
        table_keys.sort();
        assert_eq!(schema_keys, table_keys);
    }

    /// The examples of format 1, which are read without a problem, have each key; so no key of the schema is refused.
    #[test]
    fn every_key_of_the_schema_stands_in_an_example_that_is_read() {
        let mut written = std::collections::BTreeSet::new();
        fn collect(
            table: &dyn toml_edit::TableLike,
            at: &str,
            written: &mut std::collections::BTreeSet<String>,
        ) {
            for (key, item) in table.iter() {
                written.insert(format!("{at} {key}"));
                let inner = if at.is_empty() { key.to_owned() } else { format!("{at}.{key}") };
                if let Some(rows) = item.as_array_of_tables() {
                    rows.iter().for_each(|row| collect(row, &inner, written));
                } else if let Some(table) = item.as_table_like() {
                    collect(table, &inner, written);
                }
            }
        }
        for example in EXAMPLES {
            let document = toml_edit::Document::parse(example).unwrap();
            collect(document.as_table(), "", &mut written);
        }
        for (table, keys) in tables() {
            let at = match *table {
                "the project" => "",
                "[choice]" => "choice.tube",
                header => header.trim_matches(['[', ']']),
            };
            for key in *keys {
                assert!(written.contains(&format!("{at} {}", key.name)), "{table} {}", key.name);
            }
        }
    }

    #[test]
    fn the_bounds_of_every_key_can_be_read() {
        let mut checked = 0;
        for (table, keys) in tables() {
            for (low, high) in keys.iter().filter_map(|key| key.bounds) {
                let whole = low.parse::<u32>().is_ok() && high.parse::<u32>().is_ok();
                let kinds = silkfall_core::quantity::Kind::ALL;
                let quantity = kinds.iter().any(|kind| {
                    let (low, high) = (
                        silkfall_core::quantity::parse(low, *kind),
                        silkfall_core::quantity::parse(high, *kind),
                    );
                    low.is_ok_and(|low| high.is_ok_and(|high| low.si < high.si))
                });
                assert!(whole || quantity, "{table}: {low} to {high}");
                checked += 1;
            }
        }
        assert!(checked > 40, "{checked}");
    }

    /// `cargo run -p silkfall-project --example project_schema > docs/silkfall.schema.json` writes it anew.
    #[test]
    fn the_schema_in_docs_is_this_one() {
        let docs = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/silkfall.schema.json");
        let kept = std::fs::read_to_string(docs).unwrap();
        assert!(kept == schema_json(), "docs/silkfall.schema.json is stale");
    }
}
