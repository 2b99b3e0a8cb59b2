//! What the page sends and gets.

use serde::{Deserialize, Serialize};
use silkfall_project::edit::{Edit, NewValue};
use silkfall_project::inputs::{InputTable, inputs, new_row, typed};
use silkfall_project::winds::Winds;
use uom::si::angle::degree;
use uom::si::velocity::meter_per_second;

use crate::drops::DropSaid;
use crate::worker::KnownTest;

/// One edit, as the page says it.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub(super) enum Said {
    /// Writes what was typed for a key; nothing typed takes it away.
    Set {
        /// Kind of the table: "part.body".
        kind: String,
        /// Its path.
        path: String,
        key: String,
        text: String,
    },
    /// A wind read at the ground, in the place of the file of winds.
    Wind { key: String, text: String },
    /// Chooses canopies.
    Choose { part: String, offer: String, count: String },
    /// Adds a row with what was typed for the keys that it needs, one or two.
    Add { kind: String, path: String, first: String, second: Option<String> },
    /// Takes a row away.
    Remove { path: String },
    /// Something about a drop.
    Drop(DropSaid),
}

impl Said {
    /// The test of which it needs to be known what the text has of it.
    pub(super) fn test(&self) -> Option<&str> {
        match self {
            Said::Drop(said) => Some(said.test()),
            _ => None,
        }
    }

    /// The edits of the project's text, `known` being what is known of its [`Self::test`], `winds` those of its file; `Err` says
    /// why there are none.
    pub(super) fn edits(
        self,
        text: &str,
        known: Option<&KnownTest>,
        winds: Option<&Winds>,
    ) -> Result<Vec<Edit>, String> {
        match self {
            Said::Set { kind, path, key, text: value } => {
                let edit = typed(&kind, &path, &key, &value);
                let edit = edit.ok_or_else(|| format!("`{key}` is not a key of {kind}"))?;
                let is_gone =
                    matches!(&edit, Edit::Remove { path } if written(&inputs(text), path).is_none());
                Ok(if is_gone { Vec::new() } else { vec![edit] })
            }
            Said::Wind { key, text: value } => {
                let edit = typed("wind", "wind", &key, &value);
                let edit = edit.ok_or_else(|| format!("`{key}` is not a key of wind"))?;
                let tables = inputs(text);
                Ok(match edit {
                    Edit::Remove { .. } if written(&tables, &format!("wind.{key}")).is_none() => Vec::new(),
                    Edit::Remove { .. } => vec![edit],
                    _ if written(&tables, "winds").is_none() => vec![edit],
                    _ => read_at_the_ground(&tables, winds, &key, value.trim()),
                })
            }
            Said::Choose { part, offer, count } => {
                let count = count.trim().parse();
                let count = count.map_err(|_| "how many canopies is a whole number".to_owned())?;
                Ok(vec![Edit::Choose { part, offer, count }])
            }
            Said::Add { kind, path, first, second } => {
                if first.trim().is_empty() {
                    return Err("a new row needs a name".to_owned());
                }
                let texts = [first.as_str(), second.as_deref().unwrap_or_default()];
                new_row(&kind, &path, &texts)
                    .map(|edit| vec![edit])
                    .ok_or_else(|| format!("there are no rows of {kind}"))
            }
            Said::Remove { path } => Ok(vec![Edit::Remove { path }]),
            Said::Drop(said) => said.edits(known.ok_or("nothing is known of its test")?),
        }
    }
}

/// What is written for a key.
fn written<'t>(tables: &'t [InputTable], path: &str) -> Option<&'t str> {
    let mut all = tables.iter().flat_map(|table| &table.inputs);
    all.find(|input| input.path == path).map(|input| input.text.as_str())
}

/// A reading at the ground in the place of a file of winds: the two exclude each other. How far the file's winds were doubted
/// the reading is, where nothing else is typed, and what is not typed of it is that of the file's lowest wind.
fn read_at_the_ground(tables: &[InputTable], winds: Option<&Winds>, key: &str, typed: &str) -> Vec<Edit> {
    let lowest = winds.and_then(|winds| winds.levels.first());
    let from = lowest.map_or(0.0, |lowest| lowest.from.get::<degree>());
    let speed = lowest.map_or(0.0, |lowest| lowest.speed.get::<meter_per_second>());
    let otherwise = [
        ("from", "direction_doubt", format!("{from:.0} °")),
        ("speed", "speed_doubt", format!("{speed:.1} m/s")),
    ];
    let mut edits = vec![Edit::Remove { path: "winds".to_owned() }];
    for (name, doubt, otherwise) in otherwise {
        let [path, doubt] = [name, doubt].map(|key| format!("wind.{key}"));
        let value = if name == key { typed } else { written(tables, &path).unwrap_or(&otherwise) };
        let doubted = written(tables, &doubt);
        if doubted.is_some() {
            edits.push(Edit::Remove { path: doubt });
        }
        let is_bare = !["?", "±", "within", "to"].iter().any(|said| value.contains(said));
        let value = match doubted.filter(|doubt| is_bare && *doubt != "?") {
            Some(doubt) => format!("{value} ± {doubt}"),
            None => value.to_owned(),
        };
        edits.push(Edit::Set { path, value: NewValue::Text(value) });
    }
    edits
}

/// What a script sends.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct EditWire {
    /// The window, by a name it gave itself.
    pub(super) window: String,
    /// The sequence number of the text it saw.
    pub(super) base: u64,
    pub(super) shows: Shows,
    /// The gesture that the edit is part of.
    pub(super) gesture: Option<u64>,
    pub(super) edits: Vec<Said>,
}

/// What a window shows.
#[derive(Clone, Debug, Default, Deserialize)]
pub(super) struct Shows {
    /// The revision of the page.
    pub(super) revision: u64,
    /// The text, and how much of it was seen before all of it is.
    #[serde(default)]
    pub(super) sequence: u64,
    #[serde(default)]
    pub(super) seen: usize,
    /// Ids of what is shown of texts before all of them was, since that revision, with spaces between.
    #[serde(default)]
    glimpsed: String,
}

impl Shows {
    /// Ids of what stands as it was shown before all of its text was.
    pub(super) fn glimpsed(&self) -> impl Iterator<Item = &str> {
        self.glimpsed.split_ascii_whitespace()
    }
}

/// What a script sends where nothing is typed.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct StepWire {
    pub(super) window: String,
    pub(super) shows: Shows,
    /// Which text to keep, where that is asked.
    pub(super) keep: Option<String>,
}

/// What changed on the page.
#[derive(Clone, Debug, Serialize)]
pub(super) struct ChangedWire {
    pub(super) sequence: u64,
    pub(super) revision: u64,
    /// How many glimpses of the text this is; 0: all of it.
    pub(super) seen: usize,
    /// Whether its figures are refined at full effort: the same figures, with more digits that hold.
    pub(super) is_refined: bool,
    /// Everything between top and title block, where the list of sections changed.
    pub(super) main: Option<String>,
    /// Elements to be put in the place of those with the same id.
    pub(super) fragments: Vec<FragmentWire>,
    /// Why what was asked for was not done.
    pub(super) refused: Option<String>,
}

/// An element.
#[derive(Clone, Debug, Serialize)]
pub(super) struct FragmentWire {
    pub(super) id: String,
    pub(super) html: String,
}
