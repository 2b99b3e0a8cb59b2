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

/// How a table stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// It is there, once.
    Once,
    /// It is one of several rows.
    Row,
    /// It is not there and may be.
    NotYet,
    /// A row like it may be added: it is there as often as is wanted.
    NewRow,
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
    /// Whether the table must have it.
    pub needed: bool,
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
    /// Whether and how it stands in the file.
    pub stands: Stands,
    /// The keys that it states, in the order of the file.
    pub inputs: Vec<Input>,
    /// The keys that it may have beside those.
    pub open: Vec<&'static About>,
}

impl InputTable {
    /// Whether it stands in the file.
    pub fn is_stated(&self) -> bool {
        matches!(self.stands, Stands::Once | Stands::Row)
    }

    /// The keys without which a row is none, the one that names it first.
    pub fn needed(&self) -> impl Iterator<Item = &'static About> {
        self.open.iter().copied().filter(|about| about.needed)
    }
}

/// A key with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// The key.
    pub about: &'static About,
    /// Its dotted path.
    pub path: String,
    /// Its value as written, without quotes; of a list the items with commas between, those with a comma or quotes of their
    /// own in quotes.
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
    let needed: Vec<&str> =
        schema["required"].as_array().into_iter().flatten().filter_map(Json::as_str).collect();
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
                needed: needed.contains(&name.as_str()),
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
        walk(document.as_table(), Stands::Once, "", "", None, &mut tables);
    }
    tables
}

fn walk(
    table: &dyn TableLike,
    stands: Stands,
    kind: &str,
    path: &str,
    name: Option<&str>,
    tables: &mut Vec<InputTable>,
) {
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
        stands,
        inputs: inputs.collect(),
        open: shape.keys.iter().filter(|about| table.get(&about.name).is_none()).collect(),
    });
    let place = |inner: &str| table.iter().position(|(key, _)| key == inner);
    let mut inner: Vec<&(String, Inside)> = shape.inner.iter().collect();
    // As they stand in the file; those that do not stand there come last.
    inner.sort_by_key(|(name, _)| place(name).unwrap_or(usize::MAX));
    for (key, inside) in inner {
        let (kind, path) = (join(kind, key), join(path, key));
        let unstated = |stands| InputTable {
            path: path.clone(),
            name: name.map(str::to_owned),
            stands,
            inputs: Vec::new(),
            open: SHAPES.get(&kind).map(|of| of.keys.iter().collect()).unwrap_or_default(),
            kind: kind.clone(),
        };
        match (table.get(key), inside) {
            (item, Inside::Rows) => {
                if let Some(item) = item {
                    rows(item, &kind, &path, name, tables);
                }
                // Rows written in one line can be read, and are edited as text.
                if item.is_none_or(Item::is_array_of_tables) {
                    tables.push(unstated(Stands::NewRow));
                }
            }
            (Some(item), Inside::ByName) => {
                for (row, item) in item.as_table_like().into_iter().flat_map(TableLike::iter) {
                    if let Some(of) = item.as_table_like() {
                        walk(of, Stands::Row, &kind, &join(&path, &key_text(row)), Some(row), tables);
                    }
                }
            }
            (Some(item), Inside::Table) => {
                if let Some(of) = item.as_table_like() {
                    walk(of, Stands::Once, &kind, &path, name, tables);
                }
            }
            (None, Inside::Table) => tables.push(unstated(Stands::NotYet)),
            (None, Inside::ByName) => {}
        }
    }
}

fn rows(item: &Item, kind: &str, path: &str, name: Option<&str>, tables: &mut Vec<InputTable>) {
    let listed: Vec<&dyn TableLike> = match item {
        Item::ArrayOfTables(rows) => rows.iter().map(|row| row as &dyn TableLike).collect(),
        _ => Vec::new(),
    };
    for (at, row) in listed.into_iter().enumerate() {
        let called = ["name", "serial"].iter().find_map(|key| row.get(key).and_then(Item::as_str));
        let row_path = join(path, &key_text(called.unwrap_or(&(at + 1).to_string())));
        walk(row, Stands::Row, kind, &row_path, called.or(name), tables);
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
        Value::Array(list) => Some(list.iter().map(|item| listed(&one(item))).collect::<Vec<_>>().join(", ")),
        Value::InlineTable(_) => None,
        value => Some(one(value)),
    }
}

/// An item as it stands in a list that is typed: with a comma, quotes or spaces about it, in quotes, quotes in it twice.
fn listed(item: &str) -> String {
    let is_plain = !item.is_empty() && !item.contains([',', '"']) && item.trim() == item;
    if is_plain { item.to_owned() } else { format!("\"{}\"", item.replace('"', "\"\"")) }
}

/// The items of a list that was typed: `K1, "three, long risers"`. A quote that is not shut ends with the text.
fn items(text: &str) -> Vec<String> {
    let (mut items, mut item, mut was_quoted) = (Vec::new(), String::new(), false);
    let mut chars = text.chars().peekable();
    let mut end = |item: &mut String, was_quoted: &mut bool| {
        let whole = std::mem::take(item);
        let whole = if std::mem::take(was_quoted) { whole } else { whole.trim().to_owned() };
        if !whole.is_empty() {
            items.push(whole);
        }
    };
    while let Some(c) = chars.next() {
        match c {
            ',' => end(&mut item, &mut was_quoted),
            '"' if item.trim().is_empty() && !was_quoted => {
                item.clear();
                was_quoted = true;
                while let Some(c) = chars.next() {
                    match c {
                        '"' if chars.peek() == Some(&'"') => item.extend(chars.next()),
                        '"' => break,
                        c => item.push(c),
                    }
                }
            }
            c if was_quoted && c.is_whitespace() => {}
            c => item.push(c),
        }
    }
    end(&mut item, &mut was_quoted);
    items
}

/// The edit that adds a row of that kind to the rows at a path, with what was typed for the keys that it needs, in their
/// order. `None` where there are no such rows; a key for which nothing was typed is left out.
pub fn new_row(kind: &str, path: &str, texts: &[&str]) -> Option<Edit> {
    let needed = SHAPES.get(kind)?.keys.iter().filter(|about| about.needed);
    let typed = needed.zip(texts).filter(|(_, text)| !text.trim().is_empty());
    let keys = typed.map(|(about, text)| (about.name.clone(), value(about, text.trim()))).collect();
    Some(Edit::AddRow { path: path.to_owned(), keys })
}

/// The edit that writes what was typed for a key of a table of that kind; nothing typed takes the key away. `None`
/// where the table has no such key.
pub fn typed(kind: &str, path: &str, key: &str, text: &str) -> Option<Edit> {
    let about = SHAPES.get(kind)?.keys.iter().find(|about| about.name == key)?;
    let (path, text) = (join(path, &key_text(key)), text.trim());
    if text.is_empty() {
        return Some(Edit::Remove { path });
    }
    Some(Edit::Set { path, value: value(about, text) })
}

/// What was typed for a key, as it is written.
fn value(about: &About, text: &str) -> NewValue {
    match about.sort {
        Sort::Truth => match text {
            "true" => NewValue::Truth(true),
            "false" => NewValue::Truth(false),
            _ => NewValue::Text(text.to_owned()),
        },
        Sort::Whole => text.parse().map_or_else(|_| NewValue::Text(text.to_owned()), NewValue::Whole),
        Sort::List if text != "?" => NewValue::Texts(items(text)),
        _ => NewValue::Text(text.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use silkfall_core::finding::Severity;

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
    fn items_with_commas_and_quotes_are_typed_in_quotes() {
        for list in [
            vec!["K1", "K2"],
            vec!["three, long risers", "one"],
            vec!["the \"big\" one", " spaced ", ",", "\""],
            vec!["5 m", "6,5 m"],
        ] {
            let text = list.iter().map(|item| listed(item)).collect::<Vec<_>>().join(", ");
            assert_eq!(items(&text), list, "{text}");
        }
        assert_eq!(items(" a ,, b,"), ["a", "b"]);
        assert_eq!(items("\"a, b\" , c"), ["a, b", "c"]);
        assert_eq!(items("\"never shut, c"), ["never shut, c"]);
        assert_eq!(items("12\" tube, b"), ["12\" tube", "b"]);
        let edit = typed("test", "test.one", "canopies", "\"K1, old\", K2").unwrap();
        let value = NewValue::Texts(vec!["K1, old".into(), "K2".into()]);
        assert_eq!(edit, Edit::Set { path: "test.one.canopies".into(), value });
    }

    #[test]
    fn every_kind_of_row_can_be_added_with_what_it_needs() {
        let tables = inputs(EXAMPLE);
        let new: Vec<&InputTable> = tables.iter().filter(|table| table.stands == Stands::NewRow).collect();
        for kind in ["session", "canopy", "model", "part", "part.case", "part.stage", "part.member", "test"] {
            assert!(new.iter().any(|table| table.kind == kind), "{kind}");
        }
        for table in new {
            let needed: Vec<&About> = table.needed().collect();
            assert!((1..=2).contains(&needed.len()), "{}: a form asks for one thing or two", table.kind);
            let texts: Vec<String> = needed
                .iter()
                .map(|about| match (&about.sort, about.name.as_str()) {
                    (Sort::Words(words), _) => words[0].clone(),
                    (_, "opens") => "nothing".to_owned(),
                    (_, "part") => "tube".to_owned(),
                    (_, "is") => "riser".to_owned(),
                    (_, "wind") => "3 m/s".to_owned(),
                    (_, "at") => "30 s".to_owned(),
                    (_, "log") => "logs/one.csv".to_owned(),
                    (_, "name") if table.kind == "part.bay.roll" => "plain-1.8".to_owned(),
                    _ => "brand new".to_owned(),
                })
                .collect();
            let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
            let edit = new_row(&table.kind, &table.path, &texts).unwrap();
            let text = apply(EXAMPLE, &[edit]).unwrap();
            let errors: Vec<_> = parse(&text, None)
                .findings
                .into_iter()
                .filter(|finding| finding.severity() == Severity::Error)
                .collect();
            // What a row needs beside its name is said where it is worked; that it is read is what counts here.
            assert!(errors.iter().all(|finding| !finding.message.contains("TOML")), "{errors:?}\n{text}");
            let rows = |text: &str| {
                inputs(text).iter().filter(|of| of.kind == table.kind && of.stands == Stands::Row).count()
            };
            assert_eq!(rows(&text), rows(EXAMPLE) + 1, "{}", table.path);
            assert!(EXAMPLE.lines().all(|line| text.contains(line)), "nothing that stands there is touched");
        }
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
