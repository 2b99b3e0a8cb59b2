//! Edits are text: each changes the project file's text, with comments and order kept, and the project is parsed anew
//! from what comes out.
//!
//! A place is named by the dotted path that findings and the ledger use: `part.tube.mass`, `test."two canopies".load`,
//! rows by their name or serial, rows without one by their number from 1. Nothing is checked here but that the place
//! exists and the text stays TOML; what an edit means is for [`parse`](fn@crate::parse) to judge.

use silkfall_core::quantity::Time;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Key, Table, TableLike, Value};

use crate::value::Quantity;

/// A value to be written.
#[derive(Clone, Debug, PartialEq)]
pub enum NewValue {
    /// A text: names, words, and quantities with their units.
    Text(String),
    /// A whole number.
    Whole(u32),
    /// True or false.
    Truth(bool),
    /// A list of texts.
    Texts(Vec<String>),
}

/// What is to be said of a drop.
#[derive(Clone, Debug, PartialEq)]
pub enum DropSaid {
    /// The steady stretch to use: times from the recording's first sample, with their unit.
    Window {
        /// "813.9 s".
        from: String,
        /// "816.2 s".
        to: String,
    },
    /// It does not count, for this reason.
    SetAside(String),
    /// It counts although it would be set aside.
    Keep,
    /// Its ballast, on top of the test's.
    Ballast(String),
    /// Its height as taped.
    Fell(String),
}

/// A change to a project.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Writes a value, new or in place of an old one.
    Set {
        /// Dotted path of the key.
        path: String,
        /// What is written.
        value: NewValue,
    },
    /// Takes a key, a row or a table away.
    Remove {
        /// Its dotted path.
        path: String,
    },
    /// Adds a row to those at a path, behind the last of them.
    AddRow {
        /// Dotted path of the rows: "part.tube.case".
        path: String,
        /// Its keys; the first is what it is called by.
        keys: Vec<(String, NewValue)>,
    },
    /// Adds a `[[test]]`, given as TOML, at the end of the file.
    AddTest {
        /// Its text, as [`test_entry`](crate::starter::test_entry) makes it.
        text: String,
    },
    /// Says something of a drop: added to what is said of it already, or as a new `[[test.drop]]`.
    Drop {
        /// The test's name.
        test: String,
        /// The recording.
        log: String,
        /// A time inside the drop, with its unit.
        at: String,
        /// What is said.
        said: DropSaid,
    },
    /// Takes back all that was said of a drop.
    ForgetDrop {
        /// The test's name.
        test: String,
        /// The recording.
        log: String,
        /// The time by which it is named.
        at: String,
    },
    /// Chooses a candidate for a part.
    Choose {
        /// The part.
        part: String,
        /// The offer's id.
        offer: String,
        /// How many.
        count: u32,
    },
}

/// Why an edit cannot be made; the text stays as it was.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The text to be edited, or the test to be added, is not TOML.
    #[error("this is not valid TOML: {0}")]
    NotToml(String),
    /// A path that cannot be read.
    #[error("`{0}` is not a dotted path")]
    NotAPath(String),
    /// A place that is not there.
    #[error("there is no `{0}` in the project")]
    NotThere(String),
    /// A row of that name stands there.
    #[error("there is a {rows} `{name}` already")]
    ThereAlready {
        /// What the rows are: "test".
        rows: String,
        /// The name.
        name: String,
    },
    /// A row without a name.
    #[error("a new {0} needs a name")]
    Nameless(String),
    /// A time without a unit, or none at all.
    #[error("`{0}` is not a time with its unit, such as \"812.4 s\"")]
    NotATime(String),
    /// Something else stands where a table or rows of it would have to be.
    #[error("`{0}` is not a table")]
    NotATable(String),
}

/// Makes the edits in order and gives the new text.
///
/// # Errors
/// [`EditError`] for the first edit that cannot be made; then none is.
///
/// # Examples
/// ```
/// use silkfall_project::edit::{Edit, NewValue, apply};
/// let text = "format = 1\n[[part]]\nname = \"tube\" # long one\nmass = \"?\" # weigh it!\n";
/// let set = Edit::Set { path: "part.tube.mass".into(), value: NewValue::Text("9.6 kg".into()) };
/// let new = apply(text, &[set]).unwrap();
/// assert_eq!(new, text.replace("\"?\"", "\"9.6 kg\""));
/// ```
pub fn apply(text: &str, edits: &[Edit]) -> Result<String, EditError> {
    edits.iter().try_fold(text.to_owned(), one)
}

fn one(text: String, edit: &Edit) -> Result<String, EditError> {
    let mut document = document(&text)?;
    match edit {
        Edit::AddTest { text: test } => return add_test(&text, &document, test),
        Edit::Set { path, value } => {
            let keys = keys(path)?;
            let (last, parents) = keys.split_last().ok_or_else(|| EditError::NotAPath(path.clone()))?;
            set(table_at(&mut document, parents, path, true)?, last, value.to_toml());
        }
        Edit::AddRow { path, keys } => add_row(&mut document, path, keys)?,
        Edit::Remove { path } => remove(&mut document, path)?,
        Edit::Drop { test, log, at, said } => {
            let drops = drops(&mut document, test, true)?;
            let index = match position(drops, log, at)? {
                Some(index) => index,
                None => {
                    let mut row = Table::new();
                    set(&mut row, "log", log.as_str().into());
                    set(&mut row, "at", at.as_str().into());
                    drops.push(row);
                    drops.len() - 1
                }
            };
            say(drops.get_mut(index).expect("the row was found or made above"), said);
        }
        Edit::ForgetDrop { test, log, at } => {
            let drops = drops(&mut document, test, false)?;
            let not_there = || EditError::NotThere(format!("drop of {log} at {at}"));
            let index = position(drops, log, at)?.ok_or_else(not_there)?;
            drops.remove(index);
        }
        Edit::Choose { part, offer, count } => {
            let choices = table_at(&mut document, &["choice".to_owned()], "choice", true)?;
            // Where one stands, it keeps its form and what is written beside it.
            match choices.get_mut(part).and_then(Item::as_table_like_mut) {
                Some(choice) => {
                    set(choice, "offer", offer.as_str().into());
                    set(choice, "count", i64::from(*count).into());
                }
                None => {
                    let mut choice = InlineTable::new();
                    choice.insert("offer", offer.as_str().into());
                    choice.insert("count", i64::from(*count).into());
                    set(choices, part, choice.into());
                }
            }
        }
    }
    Ok(document.to_string())
}

impl NewValue {
    fn to_toml(&self) -> Value {
        match self {
            NewValue::Text(text) => text.as_str().into(),
            NewValue::Whole(number) => i64::from(*number).into(),
            NewValue::Truth(truth) => (*truth).into(),
            NewValue::Texts(texts) => texts.iter().map(String::as_str).collect::<Array>().into(),
        }
    }
}

fn document(text: &str) -> Result<DocumentMut, EditError> {
    let one_line = |error: toml_edit::TomlError| error.message().lines().collect::<Vec<_>>().join("; ");
    text.parse().map_err(|error| EditError::NotToml(one_line(error)))
}

fn keys(path: &str) -> Result<Vec<String>, EditError> {
    let keys = Key::parse(path).map_err(|_| EditError::NotAPath(path.to_owned()))?;
    Ok(keys.iter().map(|key| key.get().to_owned()).collect())
}

/// Writes a value; what stands beside the old one (a comment, spaces) stays.
fn set(table: &mut dyn TableLike, key: &str, mut value: Value) {
    match table.get_mut(key) {
        Some(item) => {
            if let Some(old) = item.as_value() {
                *value.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(value);
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// The row of that name or serial, else of that number from 1.
fn row_index(rows: &ArrayOfTables, name: &str) -> Option<usize> {
    let is_called =
        |row: &Table| ["name", "serial"].iter().any(|key| row.get(key).and_then(Item::as_str) == Some(name));
    let by_number = || name.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|n| *n < rows.len());
    rows.iter().position(is_called).or_else(by_number)
}

/// The table at a path; tables that are not there yet are made if wanted, rows never are.
fn table_at<'a>(
    document: &'a mut DocumentMut,
    keys: &[String],
    path: &str,
    make: bool,
) -> Result<&'a mut dyn TableLike, EditError> {
    let mut table: &mut dyn TableLike = document.as_table_mut();
    let mut rest = keys.iter();
    while let Some(key) = rest.next() {
        if table.get(key).is_none() {
            if !make {
                return Err(EditError::NotThere(path.to_owned()));
            }
            table.insert(key, toml_edit::table());
        }
        let item = table.get_mut(key).expect("it was there or made above");
        table = match item {
            Item::ArrayOfTables(rows) => {
                let name = rest.next().ok_or_else(|| EditError::NotATable(path.to_owned()))?;
                let index = row_index(rows, name).ok_or_else(|| EditError::NotThere(path.to_owned()))?;
                rows.get_mut(index).expect("the index is of one of its rows")
            }
            other => other.as_table_like_mut().ok_or_else(|| EditError::NotATable(path.to_owned()))?,
        };
    }
    Ok(table)
}

fn remove(document: &mut DocumentMut, path: &str) -> Result<(), EditError> {
    let keys = keys(path)?;
    let not_there = || EditError::NotThere(path.to_owned());
    let (last, parents) = keys.split_last().ok_or_else(|| EditError::NotAPath(path.to_owned()))?;
    // `part.tube` is a row of `part`, not a key.
    if let Some((rows_key, above)) = parents.split_last() {
        let above = table_at(document, above, path, false).ok();
        let rows = above.and_then(|above| above.get_mut(rows_key)).and_then(Item::as_array_of_tables_mut);
        if let Some(rows) = rows {
            let row = rows.remove(row_index(rows, last).ok_or_else(not_there)?);
            keep_above(document, &row);
            return Ok(());
        }
    }
    table_at(document, parents, path, false)?.remove(last).map(|_| ()).ok_or_else(not_there)
}

/// Adds a row behind the last one; the first one stands behind all of the table it belongs to.
fn add_row(document: &mut DocumentMut, path: &str, new: &[(String, NewValue)]) -> Result<(), EditError> {
    let keys = keys(path)?;
    let (last, parents) = keys.split_last().ok_or_else(|| EditError::NotAPath(path.to_owned()))?;
    let above = table_at(document, parents, path, true)?;
    if above.get(last).is_none() {
        above.insert(last, Item::ArrayOfTables(ArrayOfTables::new()));
    }
    let rows = above.get_mut(last).and_then(Item::as_array_of_tables_mut);
    let rows = rows.ok_or_else(|| EditError::NotATable(path.to_owned()))?;
    if let Some((key, NewValue::Text(name))) = new.first()
        && matches!(key.as_str(), "name" | "serial")
        && rows.iter().any(|row| row.get(key).and_then(Item::as_str) == Some(name))
    {
        return Err(EditError::ThereAlready { rows: last.clone(), name: name.clone() });
    }
    if new.is_empty() {
        return Err(EditError::Nameless(last.clone()));
    }
    let mut row = Table::new();
    for (key, value) in new {
        set(&mut row, key, value.to_toml());
    }
    rows.push(row);
    Ok(())
}

/// What stands above a row that is taken away, with an empty line between, is about what follows as well: it stays, above
/// the next table. Comments right above the row go with it.
fn keep_above(document: &mut DocumentMut, row: &Table) {
    let above = row.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or_default();
    let Some((kept, _)) = above.rsplit_once("\n\n").filter(|(kept, _)| !kept.trim().is_empty()) else {
        return;
    };
    let kept = format!("{kept}\n");
    let at = row.position().unwrap_or(0);
    let mut next = None;
    places(document.as_table(), &mut |place| {
        if place > at && next.is_none_or(|first| place < first) {
            next = Some(place);
        }
    });
    let before = |old: Option<&str>| format!("{kept}{}", old.unwrap_or_default());
    match next {
        Some(place) => at_place(document.as_table_mut(), place, &|table| {
            let prefix = before(table.decor().prefix().and_then(|prefix| prefix.as_str()));
            table.decor_mut().set_prefix(prefix);
        }),
        None => {
            let trailing = before(document.trailing().as_str());
            document.set_trailing(trailing);
        }
    }
}

/// Where the tables below a table stand in the file, those that have a heading of their own.
fn places(table: &Table, see: &mut dyn FnMut(isize)) {
    let mut look = |table: &Table| {
        if let Some(place) = table.position().filter(|_| !table.is_implicit()) {
            see(place);
        }
        places(table, see);
    };
    for (_, item) in table {
        match item {
            Item::Table(table) => look(table),
            Item::ArrayOfTables(rows) => rows.iter().for_each(&mut look),
            _ => {}
        }
    }
}

/// Does something to the table that stands at a place of the file.
fn at_place(table: &mut Table, place: isize, act: &dyn Fn(&mut Table)) {
    let look = |table: &mut Table| {
        if table.position() == Some(place) && !table.is_implicit() {
            act(table);
        }
        at_place(table, place, act);
    };
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(table) => look(table),
            Item::ArrayOfTables(rows) => rows.iter_mut().for_each(look),
            _ => {}
        }
    }
}

/// Appends the text of a test: all that stands in the file stays to the letter.
fn add_test(text: &str, old: &DocumentMut, test: &str) -> Result<String, EditError> {
    let new = document(test)?;
    let is_test = new.len() == 1 && new.get("test").is_some_and(Item::is_array_of_tables);
    let fits = old.get("test").is_none_or(Item::is_array_of_tables);
    if !is_test || !fits {
        return Err(EditError::NotATable("test".to_owned()));
    }
    let name = |table: &Table| table.get("name").and_then(Item::as_str).map(str::to_owned);
    let tests = |document: &DocumentMut| -> Vec<String> {
        document
            .get("test")
            .and_then(Item::as_array_of_tables)
            .into_iter()
            .flatten()
            .filter_map(name)
            .collect()
    };
    let there = tests(old);
    if let Some(twice) = tests(&new).into_iter().find(|name| there.contains(name)) {
        return Err(EditError::ThereAlready { rows: "test".to_owned(), name: twice });
    }
    let gap = if text.is_empty() || text.ends_with("\n\n") {
        ""
    } else if text.ends_with('\n') {
        "\n"
    } else {
        "\n\n"
    };
    Ok(format!("{text}{gap}{}\n", test.trim_matches('\n')))
}

fn drops<'a>(
    document: &'a mut DocumentMut,
    test: &str,
    make: bool,
) -> Result<&'a mut ArrayOfTables, EditError> {
    let path = format!("test.{}.drop", crate::walk::key_text(test));
    let test = table_at(document, &["test".to_owned(), test.to_owned()], &path, false)?;
    if make && test.get("drop").is_none() {
        test.insert("drop", Item::ArrayOfTables(ArrayOfTables::new()));
    }
    let drops = test.get_mut("drop").ok_or_else(|| EditError::NotThere(path.clone()))?;
    drops.as_array_of_tables_mut().ok_or(EditError::NotATable(path))
}

/// The row of a drop: the same recording, and a time that is the same whatever its unit.
fn position(drops: &ArrayOfTables, log: &str, at: &str) -> Result<Option<usize>, EditError> {
    let seconds = |text: &str| Quantity::<Time>::try_read(text).ok().map(|time| time.si());
    let wanted = seconds(at).ok_or_else(|| EditError::NotATime(at.to_owned()))?;
    let text = |row: &Table, key: &str| row.get(key).and_then(Item::as_str).map(str::to_owned);
    let is_it = |row: &Table| {
        text(row, "log").is_some_and(|found| found == log)
            && text(row, "at")
                .and_then(|found| seconds(&found))
                .is_some_and(|found| found.total_cmp(&wanted).is_eq())
    };
    Ok(drops.iter().position(is_it))
}

fn say(row: &mut Table, said: &DropSaid) {
    match said {
        DropSaid::Window { from, to } => {
            set(row, "window", [from.as_str(), to.as_str()].into_iter().collect::<Array>().into());
        }
        DropSaid::SetAside(reason) => {
            row.remove("keep");
            set(row, "set_aside", reason.as_str().into());
        }
        DropSaid::Keep => {
            row.remove("set_aside");
            set(row, "keep", true.into());
        }
        DropSaid::Ballast(mass) => set(row, "ballast", mass.as_str().into()),
        DropSaid::Fell(height) => set(row, "fell", height.as_str().into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;
    use crate::project::Evidence;

    const EXAMPLE: &str = include_str!("../tests/format-1/silkfall.toml");

    fn text(text: &str) -> NewValue {
        NewValue::Text(text.to_owned())
    }

    fn edited(edits: &[Edit]) -> String {
        let new = apply(EXAMPLE, edits).unwrap();
        assert_eq!(parse(&new, None).findings, [], "{new}");
        new
    }

    /// Lines of one text that are not in the other.
    fn only_in(a: &str, b: &str) -> Vec<String> {
        let mut rest: Vec<&str> = b.lines().collect();
        let mut only = Vec::new();
        for line in a.lines().filter(|line| !line.is_empty()) {
            match rest.iter().position(|other| *other == line) {
                Some(at) => drop(rest.remove(at)),
                None => only.push(line.to_owned()),
            }
        }
        only
    }

    #[test]
    fn a_value_is_set_where_it_stands_and_nothing_else_changes() {
        let new = edited(&[
            Edit::Set { path: "part.tube.rig.riser_length".into(), value: text("1.5 m") },
            Edit::Set { path: "part.tube.case.\"one stays shut\".limit".into(), value: text("140 J") },
            Edit::Set { path: "site.humidity".into(), value: text("?") },
            Edit::Set { path: "test.stated.canopies".into(), value: NewValue::Texts(vec!["real 7".into()]) },
        ]);
        assert_eq!(
            only_in(EXAMPLE, &new),
            ["humidity = \"70 % ± 15 %\"", "riser_length = \"?\"", "limit = \"150 J\""]
        );
        assert_eq!(
            only_in(&new, EXAMPLE),
            ["humidity = \"?\"", "riser_length = \"1.5 m\"", "limit = \"140 J\""]
        );
    }

    #[test]
    fn a_table_that_is_not_there_is_made() {
        let new = apply(
            "format = 1\n[[part]]\nname = \"tube\"\n\n[[part]]\nname = \"nose\"\n",
            &[
                Edit::Set { path: "part.tube.rig.count_at_most".into(), value: NewValue::Whole(4) },
                Edit::Set { path: "site.temperature".into(), value: text("10 °C") },
            ],
        )
        .unwrap();
        let parsed = parse(&new, None);
        assert_eq!(parsed.findings, [], "{new}");
        let project = parsed.project.unwrap();
        assert_eq!(project.part("tube").unwrap().rig.count_at_most.given(), Some(&4));
        assert!(project.part("nose").unwrap().rig.count_at_most.is_absent());
        assert!(project.site.air.temperature.given().is_some());
    }

    #[test]
    fn drops_are_added_changed_and_forgotten() {
        let test = "one canopy, weight".to_owned();
        let drop = |at: &str, said| Edit::Drop {
            test: test.clone(),
            log: "logs/one.csv".into(),
            at: at.into(),
            said,
        };
        let window = DropSaid::Window { from: "31.5 s".into(), to: "33 s".into() };
        let new = edited(&[
            drop("30 s", window),
            drop("0.5 min", DropSaid::Keep),
            drop("14 s", DropSaid::SetAside("gust".into())),
        ]);
        let drops = |text: &str| match &parse(text, None).project.unwrap().tests[0].evidence {
            Evidence::Logs { drops, .. } => drops.clone(),
            other => panic!("{other:?}"),
        };
        let found = drops(&new);
        assert_eq!(found.len(), 3, "0.5 min is the drop at 30 s\n{new}");
        assert!(found[2].keep && found[2].window.is_some());
        assert!(!found[1].keep && found[1].set_aside.as_ref().unwrap().value == "gust");
        let forget =
            |at: &str| Edit::ForgetDrop { test: test.clone(), log: "logs/one.csv".into(), at: at.into() };
        let back = edited(&[drop("30 s", DropSaid::Keep), forget("30000 ms")]);
        assert_eq!(only_in(&back, EXAMPLE), Vec::<String>::new());
        assert_eq!(drops(&back).len(), 2);
        assert!(matches!(apply(EXAMPLE, &[forget("99 s")]), Err(EditError::NotThere(_))));
        assert!(matches!(apply(EXAMPLE, &[drop("30", DropSaid::Keep)]), Err(EditError::NotATime(_))));
    }

    #[test]
    fn a_choice_replaces_the_old_one_and_a_first_one_is_made() {
        let choose = |offer: &str, count| Edit::Choose { part: "tube".into(), offer: offer.into(), count };
        let new = edited(&[choose("plain-2.0", 2)]);
        assert_eq!(only_in(&new, EXAMPLE), ["tube = { offer = \"plain-2.0\", count = 2 }"]);
        let table =
            "format = 1\n[[part]]\nname = \"tube\"\n[choice.tube] # ours\noffer = \"a\" # red\ncount = 2\n";
        let other = table.replace("\"a\"", "\"plain-2.0\"").replace("= 2", "= 4");
        assert_eq!(apply(table, &[choose("plain-2.0", 4)]).unwrap(), other);
        let first = apply("format = 1\n[[part]]\nname = \"tube\"\n", &[choose("plain-1.8", 3)]).unwrap();
        assert_eq!(parse(&first, None).findings, [], "{first}");
        assert_eq!(parse(&first, None).project.unwrap().choice("tube").unwrap().count.value, 3);
    }

    #[test]
    fn tests_are_added_and_rows_removed() {
        let added = "[[test]]\nname = \"new\"\npart = \"tube\"\nlogs = [\"logs/two.csv\"]\n";
        let new = edited(&[Edit::AddTest { text: added.into() }]);
        assert!(new.starts_with(EXAMPLE) && new.ends_with(added));
        let back = apply(&new, &[Edit::Remove { path: "test.new".into() }]).unwrap();
        assert_eq!(only_in(&back, EXAMPLE), Vec::<String>::new());
        assert_eq!(only_in(EXAMPLE, &back), Vec::<String>::new());
        let gone =
            edited(&[Edit::Remove { path: "part.tube.mass".into() }, Edit::Remove { path: "choice".into() }]);
        assert!(parse(&gone, None).project.unwrap().parts[0].mass.is_absent());
        for path in ["test.nobody", "part.tube.weight", "nowhere.at.all"] {
            assert_eq!(
                apply(EXAMPLE, &[Edit::Remove { path: path.into() }]),
                Err(EditError::NotThere(path.into())),
                "{path}"
            );
        }
        let twice = Edit::AddTest { text: added.into() };
        assert!(matches!(apply(&new, &[twice]), Err(EditError::ThereAlready { name, .. }) if name == "new"));
        assert!(apply(EXAMPLE, &[Edit::AddTest { text: "[[part]]\nname = \"x\"\n".into() }]).is_err());
        assert!(apply("format = ", &[Edit::Remove { path: "a".into() }]).is_err());
        assert!(apply(EXAMPLE, &[Edit::Set { path: "a..b".into(), value: text("x") }]).is_err());
    }

    #[test]
    fn a_row_stands_behind_the_last_one_and_can_be_taken_away_again() {
        let add = |path: &str, keys: &[(&str, &str)]| Edit::AddRow {
            path: path.into(),
            keys: keys.iter().map(|(key, value)| ((*key).to_owned(), text(value))).collect(),
        };
        let new = edited(&[add("part.tube.case", &[("name", "two stay shut"), ("opens", "1")])]);
        assert_eq!(only_in(EXAMPLE, &new), Vec::<String>::new());
        let row = "[[part.case]]\nname = \"two stay shut\"\nopens = \"1\"\n";
        let at = new.find(row).expect("it stands there");
        assert!(
            new[..at]
                .trim_end()
                .lines()
                .rev()
                .take_while(|line| !line.is_empty())
                .any(|line| line == "[[part.case]]")
        );
        let back = apply(&new, &[Edit::Remove { path: "part.tube.case.\"two stay shut\"".into() }]).unwrap();
        assert_eq!(back, EXAMPLE);
        let twice = add("part.tube.case", &[("name", "two stay shut"), ("opens", "1")]);
        assert!(matches!(apply(&new, &[twice]), Err(EditError::ThereAlready { .. })));
        assert_eq!(apply(&new, &[add("part.tube.case", &[])]), Err(EditError::Nameless("case".into())));
        let nobody = add("part.nobody.case", &[("name", "x")]);
        assert!(matches!(apply(&new, &[nobody]), Err(EditError::NotThere(_))));
        // The first row of its kind.
        let first = apply(
            "format = 1\n[[part]]\nname = \"tube\"\n",
            &[add("part.tube.stage", &[("name", "drogue")])],
        );
        assert_eq!(
            first.unwrap(),
            "format = 1\n[[part]]\nname = \"tube\"\n\n[[part.stage]]\nname = \"drogue\"\n"
        );
    }

    #[test]
    fn a_heading_above_a_row_that_goes_stays() {
        let file = "format = 1\n\n# ---- canopies\n\n# Sewn in spring.\n[[canopy]]\nserial = \"A\"\n\n\
                    # The other one.\n[[canopy]]\nserial = \"B\"\n\n# ---- site\n\n[site]\nplace = \"x\"\n";
        let without = |text: &str, path: &str| apply(text, &[Edit::Remove { path: path.into() }]).unwrap();
        let one = without(file, "canopy.A");
        assert_eq!(
            one,
            "format = 1\n\n# ---- canopies\n\n# The other one.\n[[canopy]]\nserial = \"B\"\n\n# ---- site\n\n[site]\nplace = \"x\"\n"
        );
        let none = without(&one, "canopy.B");
        assert_eq!(none, "format = 1\n\n# ---- canopies\n\n# ---- site\n\n[site]\nplace = \"x\"\n");
        let last = "format = 1\n\n# ---- canopies\n\n[[canopy]]\nserial = \"A\"\n# The end.\n";
        assert_eq!(without(last, "canopy.A"), "format = 1\n\n# ---- canopies\n# The end.\n");
    }

    #[test]
    fn hostile_texts_are_written_as_values_not_as_toml() {
        let value = "\"\n[[part]]\nname = \"evil";
        let new = apply(EXAMPLE, &[Edit::Set { path: "name".into(), value: text(value) }]).unwrap();
        let parsed = parse(&new, None);
        assert_eq!(parsed.project.unwrap().parts.len(), 1);
    }
}
