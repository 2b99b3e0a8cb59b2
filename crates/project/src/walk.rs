//! From TOML to typed fields: every sort of value a key may take, read with its place, and its schema from the same
//! type, so that what is accepted and what editors are told cannot differ.
//!
//! A [`Table`] (declared by `table!` in [`crate::wire`]) is a list of keys, each with a type that is a [`Field`]. Reading
//! never stops at a problem: it is noted, and the field counts as unknown or the row is left out.

use schemars::{Schema, SchemaGenerator, json_schema};
use serde_json::json;
use silkfall_core::finding::Code;
use toml_edit::{Item, TableLike, Value};

use crate::leaf::Leaf;
use crate::notes::{Lines, Notes, did_you_mean, near, quoted};
use crate::unknowns::Unknown;
use crate::value::{Known, Said, Spot};

/// A key of a table: its name, what it means, and between which values it lies.
#[derive(Debug)]
pub struct Key {
    /// The table it belongs to: `[[part]]`.
    pub table: &'static str,
    /// As written.
    pub name: &'static str,
    /// What it means, as in the schema.
    pub means: &'static str,
    /// Lowest and highest value allowed, as quantities with units.
    pub bounds: Option<(&'static str, &'static str)>,
}

/// A table of the project file.
pub trait Table: Sized {
    /// Its name in the schema.
    const NAME: &'static str;
    /// What it means.
    const MEANS: &'static str;
    /// Its keys, in the order in which they are usually written.
    const KEYS: &'static [Key];
    /// Reads it; `None` table: as if it were there without a key, and nothing needed is missed.
    fn walk(table: Option<&dyn TableLike>, at: &At, read: &mut Reader) -> Self;
    /// The schema of each key, and whether it is needed.
    fn key_schemas(generator: &mut SchemaGenerator) -> Vec<(&'static Key, Schema, bool)>;
}

/// What reading carries along: the text's lines, and the problems so far.
#[derive(Debug)]
pub struct Reader<'a> {
    /// Byte offsets to places.
    pub lines: Lines<'a>,
    /// The problems.
    pub notes: Notes,
    /// What is marked as not known yet.
    pub unknowns: Vec<Unknown>,
}

/// Where reading is: a dotted path for messages and edits, and a place.
#[derive(Clone, Debug)]
pub struct At {
    /// "part.tube".
    pub path: String,
    /// Where that stands.
    pub spot: Spot,
}

impl At {
    /// One key further down.
    pub fn key(&self, name: &str, spot: Spot) -> At {
        let name = key_text(name);
        At { path: if self.path.is_empty() { name } else { format!("{}.{name}", self.path) }, spot }
    }
}

/// A key as it stands in a dotted path: bare where TOML allows it, else in quotes.
pub fn key_text(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if !name.is_empty() && name.chars().all(bare) {
        name.to_owned()
    } else {
        Value::from(name).to_string().trim().to_owned()
    }
}

impl Reader<'_> {
    fn spot(&self, span: Option<std::ops::Range<usize>>, otherwise: Spot) -> Spot {
        span.map_or(otherwise, |span| self.lines.spot(span.start))
    }

    pub(crate) fn wrong(&mut self, at: &At, found: &str, expected: &str, hint: Option<String>) {
        let message = format!("{found} stands here, expected {expected}");
        self.notes.add(Code::ProjectWrongType, &at.path, Some(at.spot), message, hint);
    }

    fn asked(&mut self, key: &Key, at: &At) {
        self.unknowns.push(Unknown {
            file: self.notes.file().to_owned(),
            path: at.path.clone(),
            table: key.table,
            key: key.name,
            spot: at.spot,
        });
    }

    /// Reads the keys of a table; unknown ones are noted.
    pub fn keys<T: Table>(&mut self, table: &dyn TableLike, at: &At) {
        let known = || T::KEYS.iter().map(|key| key.name);
        for (name, item) in table.iter() {
            if known().any(|key| key == name) {
                continue;
            }
            if self.notes.is_full() {
                self.notes.count_one_more();
                continue;
            }
            let span = table.key(name).and_then(|key| key.span()).or_else(|| item.span());
            let spot = self.spot(span, at.spot);
            let path = at.key(name, spot).path;
            let message = format!("{} is not a key of {}", quoted(name), T::NAME);
            let hint = match (near(name, known()), crate::wire::tables_with(name)) {
                (None, elsewhere) if !elsewhere.is_empty() => format!(
                    "it is a key of {}; a key belongs to the last [header] above it",
                    elsewhere.join(", ")
                ),
                _ => did_you_mean(name, known(), "keys here"),
            };
            self.notes.add(Code::ProjectUnknownKey, &path, Some(spot), message, Some(hint));
        }
    }
}

/// "an integer", "a table": what stands there, in words.
pub(crate) fn sort_of(item: &Item) -> &'static str {
    match item {
        Item::None => "nothing",
        Item::Table(_) | Item::Value(Value::InlineTable(_)) => "a table",
        Item::ArrayOfTables(_) => "a list of tables",
        Item::Value(Value::String(_)) => "a text",
        Item::Value(Value::Integer(_) | Value::Float(_)) => "a bare number",
        Item::Value(Value::Boolean(_)) => "true or false",
        Item::Value(Value::Datetime(_)) => "a date",
        Item::Value(Value::Array(_)) => "a list",
    }
}

/// What a key may hold.
pub trait Field: Sized {
    /// Whether its table means nothing without it.
    const NEEDED: bool = false;
    /// Reads it; `None` item: the key is not there.
    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self;
    /// What editors are told.
    fn schema(key: &Key, generator: &mut SchemaGenerator) -> Schema;
}

/// A value that must be there and be known: a name, a reference.
#[derive(Clone, Debug)]
pub struct Needed<T>(pub Option<Said<T>>);

/// A value that may be left out, but not be "?".
#[derive(Clone, Debug)]
pub struct Maybe<T> {
    /// The value, if there is one that could be read.
    pub said: Option<Said<T>>,
    /// Whether something stands there that could not be read.
    pub broken: bool,
}

/// A list of values.
#[derive(Clone, Debug)]
pub struct Many<T> {
    /// What could be read.
    pub values: Vec<Said<T>>,
    /// Whether something stands there that could not be read, or `"?"`.
    pub broken: bool,
    /// Where the list stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// A table that may be left out.
#[derive(Clone, Debug)]
pub struct Inner<T> {
    /// Its keys, all absent if it is not there.
    pub keys: T,
    /// Where it stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// Rows of one table: `[[name]]`.
#[derive(Clone, Debug)]
pub struct Rows<T>(pub Vec<Said<T>>);

/// Tables under names of the person's own: `[choice]` with a key a part.
#[derive(Clone, Debug)]
pub struct ByName<T>(pub Vec<(Said<String>, T)>);

const UNKNOWN: &str = "?";

/// A row with a longer name goes by its number in paths, which each of its keys repeats.
const LONGEST_IN_PATH: usize = 200;

fn is_unknown(item: &Item) -> bool {
    item.as_str().is_some_and(|text| text.trim() == UNKNOWN)
}

fn leaf<T: Leaf>(item: &Item, key: &'static Key, at: &At, read: &mut Reader) -> Option<T> {
    match item.as_value() {
        Some(value) => T::read(value, key, at, read),
        None => {
            read.wrong(at, sort_of(item), "a value", None);
            None
        }
    }
}

impl<T: Leaf> Field for Known<T> {
    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self {
        let Some(item) = item else { return Known::Absent };
        if is_unknown(item) {
            read.asked(key, at);
            return Known::Unknown { spot: at.spot, asked: true };
        }
        match leaf(item, key, at, read) {
            Some(value) => Known::Given(Said { value, spot: at.spot }),
            None => Known::Unknown { spot: at.spot, asked: false },
        }
    }

    fn schema(key: &Key, _: &mut SchemaGenerator) -> Schema {
        let known = T::schema(key);
        // A free text takes "?" as it is.
        let schema = if known == String::schema(key) {
            known
        } else {
            json!({ "anyOf": [known, { "const": UNKNOWN, "description": "Not known yet." }] })
        };
        schema.try_into().expect("an object is a schema")
    }
}

fn must_be_known<T: Leaf>(item: &Item, key: &'static Key, at: &At, read: &mut Reader) -> Option<Said<T>> {
    if is_unknown(item) {
        let hint = format!("write what `{}` is, or leave its table out for now", key.name);
        read.wrong(at, "\"?\"", "something known", Some(hint));
        return None;
    }
    leaf(item, key, at, read).map(|value| Said { value, spot: at.spot })
}

impl<T: Leaf> Field for Needed<T> {
    const NEEDED: bool = true;

    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self {
        let Some(item) = item else {
            let message = format!("`{}` is missing", key.name);
            let hint = format!("add it: {}", lower_first(key.means.trim()));
            read.notes.add(Code::ProjectMissingKey, &at.path, Some(at.spot), message, Some(hint));
            return Needed(None);
        };
        Needed(must_be_known(item, key, at, read))
    }

    fn schema(key: &Key, _: &mut SchemaGenerator) -> Schema {
        T::schema(key).try_into().expect("an object is a schema")
    }
}

impl<T: Leaf> Field for Maybe<T> {
    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self {
        let said = item.and_then(|item| must_be_known(item, key, at, read));
        Maybe { broken: item.is_some() && said.is_none(), said }
    }

    fn schema(key: &Key, _: &mut SchemaGenerator) -> Schema {
        T::schema(key).try_into().expect("an object is a schema")
    }
}

impl<T: Leaf> Field for Many<T> {
    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self {
        let Some(item) = item else { return Many { values: Vec::new(), broken: false, spot: None } };
        if is_unknown(item) {
            read.asked(key, at);
            return Many { values: Vec::new(), broken: true, spot: Some(at.spot) };
        }
        let Some(list) = item.as_array() else {
            let hint = item.as_str().map(|text| format!("write {} = [{}]", key.name, Value::from(text)));
            read.wrong(at, sort_of(item), "a list", hint);
            return Many { values: Vec::new(), broken: true, spot: Some(at.spot) };
        };
        let values = list.iter().filter_map(|value| {
            let at = At { path: at.path.clone(), spot: read.spot(value.span(), at.spot) };
            T::read(value, key, &at, read).map(|value| Said { value, spot: at.spot })
        });
        let values: Vec<Said<T>> = values.collect();
        Many { broken: values.len() < list.len(), values, spot: Some(at.spot) }
    }

    fn schema(key: &Key, _: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [
            { "type": "array", "items": T::schema(key) },
            { "const": UNKNOWN, "description": "Not known yet." },
        ] })
    }
}

impl<T: Table> Field for Inner<T> {
    fn walk(item: Option<&Item>, _: &'static Key, at: &At, read: &mut Reader) -> Self {
        let table = item.and_then(Item::as_table_like);
        if let (Some(item), None) = (item, table) {
            read.wrong(at, sort_of(item), "a table", None);
        }
        Inner { keys: T::walk(table, at, read), spot: table.map(|_| at.spot) }
    }

    fn schema(_: &Key, generator: &mut SchemaGenerator) -> Schema {
        table_schema::<T>(generator)
    }
}

impl<T: Table> Field for Rows<T> {
    fn walk(item: Option<&Item>, key: &'static Key, at: &At, read: &mut Reader) -> Self {
        let Some(item) = item else { return Rows(Vec::new()) };
        let rows: Vec<(&dyn TableLike, Option<std::ops::Range<usize>>)> = match item {
            Item::ArrayOfTables(rows) => rows.iter().map(|row| (row as &dyn TableLike, row.span())).collect(),
            Item::Value(Value::Array(list)) if list.iter().all(Value::is_inline_table) => list
                .iter()
                .filter_map(Value::as_inline_table)
                .map(|row| (row as &dyn TableLike, row.span()))
                .collect(),
            _ => {
                let hint = matches!(item, Item::Table(_))
                    .then(|| format!("there may be several: write [[{}]] with double brackets", at.path));
                read.wrong(at, sort_of(item), &format!("rows of `{}`", key.name), hint);
                return Rows(Vec::new());
            }
        };
        let row_of = |(index, (row, span)): (usize, (&dyn TableLike, _))| {
            let spot = read.spot(span, at.spot);
            let name = ["name", "serial"].iter().find_map(|key| row.get(key).and_then(Item::as_str));
            let here = match name.filter(|name| name.len() <= LONGEST_IN_PATH) {
                Some(name) => at.key(name, spot),
                None => at.key(&(index + 1).to_string(), spot),
            };
            Said { value: T::walk(Some(row), &here, read), spot }
        };
        Rows(rows.into_iter().enumerate().map(row_of).collect())
    }

    fn schema(_: &Key, generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "array", "items": table_schema::<T>(generator) })
    }
}

impl<T: Table> Field for ByName<T> {
    fn walk(item: Option<&Item>, _: &'static Key, at: &At, read: &mut Reader) -> Self {
        let Some(item) = item else { return ByName(Vec::new()) };
        let Some(names) = item.as_table_like() else {
            read.wrong(at, sort_of(item), "a table", None);
            return ByName(Vec::new());
        };
        let mut rows = Vec::new();
        for (name, item) in names.iter() {
            let span = names.key(name).and_then(|key| key.span()).or_else(|| item.span());
            let here = at.key(name, read.spot(span, at.spot));
            match item.as_table_like() {
                Some(table) => {
                    let said = Said { value: name.to_owned(), spot: here.spot };
                    rows.push((said, T::walk(Some(table), &here, read)));
                }
                None => read.wrong(&here, sort_of(item), "a table", None),
            }
        }
        ByName(rows)
    }

    fn schema(_: &Key, generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "object", "additionalProperties": table_schema::<T>(generator) })
    }
}

/// Reads one key of a table.
pub fn field<F: Field>(table: Option<&dyn TableLike>, key: &'static Key, at: &At, read: &mut Reader) -> F {
    let Some(table) = table else {
        // A table that is not there misses nothing: only what is optional may stand in such a table.
        debug_assert!(!F::NEEDED, "`{}` is needed in an optional table", key.name);
        return F::walk(None, key, at, read);
    };
    let Some(item) = table.get(key.name) else { return F::walk(None, key, at, read) };
    let span = item.span().or_else(|| table.key(key.name).and_then(|key| key.span()));
    let here = at.key(key.name, read.spot(span, at.spot));
    F::walk(Some(item), key, &here, read)
}

/// The schema of a table: its keys with what they mean, those needed, and no others.
pub fn table_schema<T: Table>(generator: &mut SchemaGenerator) -> Schema {
    let mut properties = serde_json::Map::new();
    let mut needed = Vec::new();
    for (key, schema, is_needed) in T::key_schemas(generator) {
        let mut schema = schema.to_value();
        if let Some(object) = schema.as_object_mut() {
            let bounds = key.bounds.map(|(low, high)| format!(" From {low} to {high}.")).unwrap_or_default();
            object.insert("description".to_owned(), format!("{}{bounds}", key.means.trim()).into());
        }
        properties.insert(key.name.to_owned(), schema);
        if is_needed {
            needed.push(key.name);
        }
    }
    let mut schema = json_schema!({
        "type": "object",
        "description": T::MEANS.trim(),
        "properties": properties,
        "additionalProperties": false,
    });
    if !needed.is_empty() {
        schema.insert("required".to_owned(), needed.into());
    }
    schema
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_lowercase().collect::<String>()).unwrap_or_default();
    (first + chars.as_str()).trim_end_matches('.').to_owned()
}
