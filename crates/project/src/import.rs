//! Files taken into a project: recordings copied to a name below `logs/` that nothing has yet, and named by a `[[test]]` with the
//! options that repeat how they were read; tables of winds, canopies and the field beside the project file, and named by it.

use std::path::{Path, PathBuf};

use crate::edit::{Edit, NewValue};
use crate::files::inside;
use crate::project::Project;
use crate::save::{self, SaveError};
use crate::starter::{Names, StartTest, test_entry};

/// The folder of recordings in a project.
pub const LOGS: &str = "logs";
/// A longer file name is cut, characters.
const LONGEST_NAME: usize = 80;

/// A name for a recording below `logs/`, from whatever its file was called: no folders, nothing that leads out, and another
/// number behind it as long as `is_taken`.
///
/// # Examples
/// ```
/// use silkfall_project::import::log_name;
/// assert_eq!(log_name("two.csv", &|_| false), "logs/two.csv");
/// assert_eq!(log_name("../../etc/two.csv", &|log| log == "logs/two.csv"), "logs/two-2.csv");
/// ```
pub fn log_name(file: &str, is_taken: &dyn Fn(&str) -> bool) -> String {
    free_name(&format!("{LOGS}/"), file, is_taken)
}

/// The same beside the project file, for a table.
///
/// # Examples
/// ```
/// use silkfall_project::import::table_name;
/// assert_eq!(table_name("../winds.csv", &|table| table == "winds.csv"), "winds-2.csv");
/// ```
pub fn table_name(file: &str, is_taken: &dyn Fn(&str) -> bool) -> String {
    free_name("", file, is_taken)
}

fn free_name(folder: &str, file: &str, is_taken: &dyn Fn(&str) -> bool) -> String {
    let last = file.rsplit(['/', '\\']).next().unwrap_or_default();
    // What turns the direction of writing would make a name look like another.
    let turns =
        |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let allowed = |c: char| !c.is_control() && !turns(c) && !"<>:\"|?*".contains(c);
    let kept: String = last.chars().map(|c| if allowed(c) { c } else { '_' }).collect();
    let kept = kept.trim().trim_start_matches('.');
    let (stem, ending) = kept.rsplit_once('.').filter(|(_, ending)| ending.len() <= 8).unwrap_or((kept, ""));
    let stem: String = stem.chars().take(LONGEST_NAME).collect();
    let stem = if stem.trim().is_empty() { "log" } else { stem.trim() };
    let dot = if ending.is_empty() { "" } else { "." };
    let mut name = format!("{folder}{stem}{dot}{ending}");
    while is_taken(&name) {
        name = next_name(&name);
    }
    name
}

/// `logs/two.csv`, `logs/two-2.csv`, `logs/two-3.csv`, ...
fn next_name(log: &str) -> String {
    let (stem, ending) = log.rsplit_once('.').unwrap_or((log, ""));
    let (stem, number) = match stem.rsplit_once('-') {
        Some((stem, number)) if number.parse::<u32>().is_ok() => (stem, number.parse().unwrap_or(1)),
        _ => (stem, 1u32),
    };
    let dot = if ending.is_empty() { "" } else { "." };
    format!("{stem}-{}{dot}{ending}", number.saturating_add(1))
}

/// The name of a recording's test: the file's without folder and ending.
pub fn test_name(log: &str) -> String {
    let name = log.rsplit('/').next().unwrap_or(log);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_owned()
}

/// What a table is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// Winds by height.
    Winds,
    /// Canopies that can be had.
    Offers,
    /// The field's edge and the places to keep out of.
    Field,
}

impl Sort {
    /// The project's key for the file.
    pub fn key(self) -> &'static str {
        match self {
            Sort::Winds => "winds",
            Sort::Offers => "offers",
            Sort::Field => "field",
        }
    }
}

/// The edits by which a project names a table. A reading of the wind at the ground and winds by height exclude each other.
pub fn name_table(project: &Project, sort: Sort, file: &str) -> Vec<Edit> {
    let value = NewValue::Text(file.to_owned());
    let mut edits = vec![Edit::Set { path: sort.key().to_owned(), value }];
    if sort == Sort::Winds {
        let (speed, from) = (!project.wind.speed.is_absent(), !project.wind.from.is_absent());
        let stated = [("wind.speed", speed), ("wind.from", from)].into_iter().filter(|(_, is)| *is);
        edits.extend(stated.map(|(path, _)| Edit::Remove { path: path.to_owned() }));
    }
    edits
}

/// Why a file cannot join a project.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// There is no part that a test could tell about.
    #[error("the project has no part yet, and a test tells about one")]
    NoPart,
    /// The name leads out of the project.
    #[error("`{0}` is no name of a file in the project")]
    Name(String),
    /// The folder of recordings cannot be made.
    #[error("cannot make {}: {source}", path.display())]
    Folder {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The recording cannot be written.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// The edit that names a recording in a test of the project's first part, in its only session and model where it has one of
/// each. `reading` are the options that repeat how it was read, as words of a command line.
///
/// # Errors
/// [`ImportError::NoPart`].
pub fn new_test(project: &Project, name: &str, log: &str, reading: &[String]) -> Result<Edit, ImportError> {
    let [part, ..] = project.parts.as_slice() else { return Err(ImportError::NoPart) };
    let session = match project.sessions.as_slice() {
        [only] => Some(only.name.value.as_str()),
        _ => None,
    };
    let model = match project.models.as_slice() {
        [only] => Some(only.name.value.as_str()),
        _ => None,
    };
    let logs = [log.to_owned()];
    let test = StartTest { name, logs: &logs, reading };
    Ok(Edit::AddTest { text: test_entry(&test, &part.name.value, Names::Project { model, session }) })
}

/// Copies a recording into the project folder; a file that is there already is never touched.
///
/// # Errors
/// Where the name leads out, something stands there, or it cannot be written.
pub fn keep(dir: &Path, log: &str, bytes: &[u8]) -> Result<(), ImportError> {
    let is_below = inside(log).is_ok_and(|inside| inside == log && inside.starts_with("logs/"));
    if !is_below || log.matches('/').count() != 1 {
        return Err(ImportError::Name(log.to_owned()));
    }
    let folder = dir.join(LOGS);
    std::fs::create_dir_all(&folder)
        .map_err(|source| ImportError::Folder { path: folder.clone(), source })?;
    // A link in the place of the folder would lead out although the name does not.
    let leaves = match (dir.canonicalize(), folder.canonicalize()) {
        (Ok(dir), Ok(folder)) => !folder.starts_with(dir),
        _ => true,
    };
    if leaves {
        return Err(ImportError::Name(log.to_owned()));
    }
    Ok(save::create(&dir.join(log), bytes)?)
}

/// Copies a table beside the project file; a file that is there already is never touched.
///
/// # Errors
/// Where the name leads elsewhere, something stands there, or it cannot be written.
pub fn keep_table(dir: &Path, table: &str, bytes: &[u8]) -> Result<(), ImportError> {
    if table.contains('/') || !inside(table).is_ok_and(|inside| inside == table) {
        return Err(ImportError::Name(table.to_owned()));
    }
    Ok(save::create(&dir.join(table), bytes)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn free(file: &str) -> String {
        log_name(file, &|_| false)
    }

    #[test]
    fn a_name_that_is_taken_gets_a_number() {
        assert_eq!(next_name("logs/two.csv"), "logs/two-2.csv");
        assert_eq!(next_name("logs/two-2.csv"), "logs/two-3.csv");
        assert_eq!(next_name("logs/two"), "logs/two-2");
        assert_eq!(test_name("logs/a.b.csv"), "a.b");
        let taken = ["logs/two.csv", "logs/two-2.csv"];
        assert_eq!(log_name("two.csv", &|log| taken.contains(&log)), "logs/two-3.csv");
    }

    #[test]
    fn no_name_leads_out_of_the_logs() {
        for file in [
            "../../x.csv",
            "/etc/passwd",
            "C:\\x.csv",
            "..",
            "...",
            "",
            "a\0b.csv",
            ".hidden",
            "logs/../..",
            "x/..\\y.csv",
            "\u{202e}vsc.exe",
            "con:1",
            "a\nb.csv",
            " . ",
            "ü ß.csv",
        ] {
            let log = free(file);
            assert_eq!(inside(&log).as_deref(), Ok(log.as_str()), "{file:?} became {log:?}");
            assert!(log.starts_with("logs/") && log.matches('/').count() == 1, "{file:?} became {log:?}");
            assert!(!log.chars().any(char::is_control), "{file:?} became {log:?}");
        }
        assert!(free(&"x".repeat(4000)).len() < 100);
    }

    #[test]
    fn only_a_plain_name_below_the_logs_is_written_and_nothing_twice() {
        let dir = std::env::temp_dir().join(format!("silkfall-import-{}", std::process::id()));
        std::fs::create_dir_all(&dir).unwrap();
        for log in ["../x.csv", "x.csv", "logs/../x.csv", "logs/a/b.csv", "/x.csv", "logs/"] {
            assert!(matches!(keep(&dir, log, b"1"), Err(ImportError::Name(_))), "{log}");
        }
        keep(&dir, "logs/x.csv", b"1").unwrap();
        assert!(matches!(keep(&dir, "logs/x.csv", b"2"), Err(ImportError::Save(_))));
        assert_eq!(std::fs::read(dir.join("logs/x.csv")).unwrap(), b"1");
        std::fs::remove_dir_all(&dir).unwrap();
    }
}
