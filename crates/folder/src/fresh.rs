//! A new project: from recordings, or without any yet.

use std::path::{Path, PathBuf};

use silkfall_project::PROJECT_FILE;
use silkfall_project::import::{self, ImportError, LOGS};
use silkfall_project::save::{self, SaveError};
use silkfall_project::starter::{Start, StartTest, starter};
use silkfall_project::words::Units;

/// A recording that a new project starts from.
#[derive(Clone, Debug)]
pub struct First {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Its name in the project, as [`import::log_name`] gives one.
    pub log: String,
    /// The test it is of.
    pub test: String,
    /// The options that repeat how it was read, as words of a command line.
    pub reading: Vec<String>,
}

/// Why there is no new project.
#[derive(Debug, thiserror::Error)]
pub enum FreshError {
    /// The folder cannot be made.
    #[error("cannot make {}: {source}", path.display())]
    Folder {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// Two recordings are to be tests of one name.
    #[error("two recordings are called test `{0}`; each needs a name of its own")]
    TwoOfOneName(String),
    /// A recording cannot be copied.
    #[error(transparent)]
    Import(#[from] ImportError),
    /// The project file cannot be written, or one is there.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// Writes a commented starter project, named as its folder, in which each recording is a test; one that is there is never
/// touched.
///
/// # Errors
/// Where there is a project file already, two tests have one name, or something cannot be written.
pub fn write(dir: &Path, units: Units, firsts: &[First]) -> Result<(), FreshError> {
    for (at, first) in firsts.iter().enumerate() {
        if firsts[..at].iter().any(|other| other.test == first.test) {
            return Err(FreshError::TwoOfOneName(first.test.clone()));
        }
    }
    let file = dir.join(PROJECT_FILE);
    if file.exists() {
        return Err(SaveError::AlreadyThere(file).into());
    }
    let logs = dir.join(LOGS);
    std::fs::create_dir_all(&logs).map_err(|source| FreshError::Folder { path: logs, source })?;
    for first in firsts {
        import::keep(dir, &first.log, &first.bytes)?;
    }
    let name =
        dir.file_name().map_or_else(|| "unnamed".to_owned(), |name| name.to_string_lossy().into_owned());
    let logs: Vec<[String; 1]> = firsts.iter().map(|first| [first.log.clone()]).collect();
    let tests: Vec<StartTest> = firsts
        .iter()
        .zip(&logs)
        .map(|(first, logs)| StartTest { name: &first.test, logs, reading: &first.reading })
        .collect();
    let text = starter(&Start { name: &name, units, tests: &tests });
    Ok(save::create(&file, text.as_bytes())?)
}
