//! What a project file states, key by key, and what it may state beside it: what a page offers for editing.
//!
//! The keys come from the tables of [`crate::wire`] by way of their schema, so that a page offers what is read and no
//! more. Paths are those that edits and findings use.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde_json::Value as Json;
use toml_edit::{Item, TableLike, Value};

use crate::edit::{Edit, NewValue};
use crate::walk::key_text;

/// What a key may hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A text, mostly a quantity with its unit.
    Text,
    /// One of these words.
    Words(Vec<String>),
    /// True or false.
    Truth,
    /// A whole number.
    Whole,
    /// A list of texts.
    List,
}

/// A key that a table may have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct About {
    /// As written.
    pub name: String,
    /// What it means, with its bounds.
    pub means: String,
    /// What it holds.
    pub sort: Sort,
}

/// A table of the file with its keys.
#[derive(Clone, Debug, PartialEq)]
pub struct InputTable {
    /// Which table it is, whatever its row is called: "part.body"; empty for what stands above all tables.
    pub kind: String,
    /// Its dotted path: "part.tube.body".
    pub path: String,
    /// The name of its row, else of the row it belongs to.
    pub name: Option<String>,
    /// Whether it stands in the file.
    pub stated: bool,
    /// The keys that it states, in the order of the file.
    pub inputs: Vec<Input>,
    /// The keys that it may have beside those.
    pub open: Vec<&'static About>,
}

/// A key with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// The key.
    pub about: &'static About,
    /// Its dotted path.
    pub path: String,
    /// Its value as written, without quotes; the items of a list with commas between.
    pub text: String,
}

/// A table that the file may have.
#[derive(Debug, Default)]
struct Shape {
    keys: Vec<About>,
    /// Tables in it: name, and whether it has rows, each a table.
    inner: Vec<(String, Inside)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Inside {
    Table,
    Rows,
    ByName,
}

static SHAPES: LazyLock<BTreeMap<String, Shape>> = LazyLock::new(|| {
    let schema: Json = serde_json::from_str(&crate::schema_json()).expect("the schema is JSON");
    let mut shapes = BTreeMap::new();
    gather("", &schema, &mut shapes);
    shapes
});

fn gather(kind: &str, schema: &Json, shapes: &mut BTreeMap<String, Shape>) {
    let mut shape = Shape::default();
    for (name, of) in schema["properties"].as_object().into_iter().flatten() {
        let within = match of["type"].as_str() {
            Some("object") if of.get("properties").is_some() => Some((Inside::Table, of)),
            Some("object") => Some((Inside::ByName, &of["additionalProperties"])),
            Some("array") if of["items"].get("properties").is_some() => Some((Inside::Rows, &of["items"])),
            _ => None,
        };
        match within {
            Some((inside, table)) => {
                gather(&join(kind, name), table, shapes);
                shape.inner.push((name.clone(), inside));
            }
            None => shape.keys.push(About {
                name: name.clone(),
                means: of["description"].as_str().unwrap_or_default().to_owned(),
                sort: sort(of),
            }),
        }
    }
    shapes.insert(kind.to_owned(), shape);
}

fn join(kind: &str, name: &str) -> String {
    if kind.is_empty() { name.to_owned() } else { format!("{kind}.{name}") }
}

fn sort(schema: &Json) -> Sort {
    let choices = schema["anyOf"].as_array();
    let first = choices.and_then(|of| of.first()).unwrap_or(schema);
    // Where a quantity may stand beside words, it is typed.
    let typed = choices.is_some_and(|of| of.iter().any(|one| one["type"] == "string"));
    match (first["enum"].as_array(), first["type"].as_str()) {
        (Some(words), _) if !typed => {
            Sort::Words(words.iter().filter_map(Json::as_str).map(str::to_owned).collect())
        }
        (_, Some("boolean")) => Sort::Truth,
        (_, Some("integer")) => Sort::Whole,
        (_, Some("array")) => Sort::List,
        _ => Sort::Text,
    }
}

/// Every table of the text in the order in which it stands, with the tables beside them that are not stated. A text
/// that is not TOML has none.
pub fn inputs(text: &str) -> Vec<InputTable> {
    let mut tables = Vec::new();
    if let Ok(document) = toml_edit::Document::parse(text) {
        walk(document.as_table(), "", "", None, &mut tables);
    }
    tables
}

fn walk(table: &dyn TableLike, kind: &str, path: &str, name: Option<&str>, tables: &mut Vec<InputTable>) {
    let Some(shape) = SHAPES.get(kind) else { return };
    let row = ["name", "serial"].iter().find_map(|key| table.get(key).and_then(Item::as_str));
    let name = if kind.is_empty() { None } else { row.or(name) };
    let about = |name: &str| shape.keys.iter().find(|about| about.name == name);
    let inputs = table.iter().filter_map(|(key, item)| {
        Some(Input { about: about(key)?, path: join(path, &key_text(key)), text: shown(item)? })
    });
    tables.push(InputTable {
        kind: kind.to_owned(),
        path: path.to_owned(),
        name: name.map(str::to_owned),
        stated: true,
        inputs: inputs.collect(),
        open: shape.keys.iter().filter(|about| table.get(&about.name).is_none()).collect(),
    });
    let place = |inner: &str| table.iter().position(|(key, _)| key == inner);
    let mut inner: Vec<&(String, Inside)> = shape.inner.iter().collect();
    // As they stand in the file; those that do not stand there come last.
    inner.sort_by_key(|(name, _)| place(name).unwrap_or(usize::MAX));
    for (key, inside) in inner {
        let (kind, path) = (join(kind, key), join(path, key));
        match (table.get(key), inside) {
            (Some(item), Inside::Rows) => rows(item, &kind, &path, name, tables),
            (Some(item), Inside::ByName) => {
                for (row, item) in item.as_table_like().into_iter().flat_map(TableLike::iter) {
                    if let Some(of) = item.as_table_like() {
                        walk(of, &kind, &join(&path, &key_text(row)), Some(row), tables);
                    }
                }
            }
            (Some(item), Inside::Table) => {
                if let Some(of) = item.as_table_like() {
                    walk(of, &kind, &path, name, tables);
                }
            }
            (None, Inside::Table) => tables.push(InputTable {
                path,
                name: name.map(str::to_owned),
                stated: false,
                inputs: Vec::new(),
                open: SHAPES.get(&kind).map(|of| of.keys.iter().collect()).unwrap_or_default(),
                kind,
            }),
            (None, _) => {}
        }
    }
}

fn rows(item: &Item, kind: &str, path: &str, name: Option<&str>, tables: &mut Vec<InputTable>) {
    let listed: Vec<&dyn TableLike> = match item {
        Item::ArrayOfTables(rows) => rows.iter().map(|row| row as &dyn TableLike).collect(),
        // Rows written in one line can be read, and are edited as text.
        _ => Vec::new(),
    };
    for (at, row) in listed.into_iter().enumerate() {
        let called = ["name", "serial"].iter().find_map(|key| row.get(key).and_then(Item::as_str));
        let row_path = join(path, &key_text(called.unwrap_or(&(at + 1).to_string())));
        walk(row, kind, &row_path, called.or(name), tables);
    }
}

/// The dotted path of a key in the table at a path.
pub fn path_of(table: &str, key: &str) -> String {
    join(table, &key_text(key))
}

/// A value as a person would type it.
fn shown(item: &Item) -> Option<String> {
    let one = |value: &Value| match value {
        Value::String(text) => text.value().clone(),
        other => other.to_string().trim().to_owned(),
    };
    match item.as_value()? {
        Value::Array(list) => Some(list.iter().map(one).collect::<Vec<_>>().join(", ")),
        Value::InlineTable(_) => None,
        value => Some(one(value)),
    }
}

/// The edit that writes what was typed for a key of a table of that kind; nothing typed takes the key away. `None`
/// where the table has no such key.
pub fn typed(kind: &str, path: &str, key: &str, text: &str) -> Option<Edit> {
    let about = SHAPES.get(kind)?.keys.iter().find(|about| about.name == key)?;
    let (path, text) = (join(path, &key_text(key)), text.trim());
    if text.is_empty() {
        return Some(Edit::Remove { path });
    }
    let value = match about.sort {
        Sort::Truth => match text {
            "true" => NewValue::Truth(true),
            "false" => NewValue::Truth(false),
            _ => NewValue::Text(text.to_owned()),
        },
        Sort::Whole => text.parse().map_or_else(|_| NewValue::Text(text.to_owned()), NewValue::Whole),
        Sort::List if text != "?" => {
            let items = text.split(',').map(str::trim).filter(|item| !item.is_empty());
            NewValue::Texts(items.map(str::to_owned).collect())
        }
        _ => NewValue::Text(text.to_owned()),
    };
    Some(Edit::Set { path, value })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::apply;
    use crate::parse;

    const EXAMPLE: &str = include_str!("../tests/format-1/silkfall.toml");

    #[test]
    fn every_table_is_listed_with_its_values_and_what_else_it_may_say() {
        let tables = inputs(EXAMPLE);
        let part = tables.iter().find(|table| table.path == "part.tube").unwrap();
        assert_eq!((part.kind.as_str(), part.name.as_deref()), ("part", Some("tube")));
        let mass = part.inputs.iter().find(|input| input.about.name == "mass").unwrap();
        assert_eq!(mass.path, "part.tube.mass");
        assert!(mass.text.contains("kg"), "{}", mass.text);
        assert!(part.open.iter().all(|about| about.name != "mass"));
        let case = tables.iter().find(|table| table.kind == "part.case").unwrap();
        assert!(case.path.starts_with("part.tube.case."));
        let body = tables.iter().find(|table| table.path == "part.tube.body").unwrap();
        let hangs = body.inputs.iter().find(|input| input.about.name == "hangs").unwrap();
        assert!(matches!(&hangs.about.sort, Sort::Words(words) if words.contains(&"level".to_owned())));
    }

    #[test]
    fn what_is_shown_and_typed_again_changes_no_meaning() {
        let read = |text: &str| parse(text, None);
        let before = read(EXAMPLE);
        let mut seen = 0;
        for table in inputs(EXAMPLE) {
            for input in &table.inputs {
                let edit = typed(&table.kind, &table.path, &input.about.name, &input.text).unwrap();
                let after = read(&apply(EXAMPLE, &[edit]).unwrap());
                assert_eq!(after.findings, before.findings, "{}", input.path);
                seen += 1;
            }
        }
        assert!(seen > 100, "{seen}");
    }

    #[test]
    fn nothing_typed_takes_a_key_away_and_an_unknown_key_is_no_edit() {
        let edit = typed("part", "part.tube", "mass", " ").unwrap();
        assert_eq!(edit, Edit::Remove { path: "part.tube.mass".into() });
        assert_eq!(typed("part", "part.tube", "weight", "1 kg"), None);
        assert_eq!(typed("nowhere", "a", "mass", "1 kg"), None);
        assert_eq!(inputs("not TOML ["), []);
    }
}
