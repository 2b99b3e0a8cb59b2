//! The demo: an invented project, written to a folder.

use std::path::{Path, PathBuf};

use silkfall_project::save::{self, SaveError};

/// The demo's files, as they stand in the repository. The recordings are the generator's (`cargo xtask demo`).
const FILES: [(&str, &[u8]); 12] = [
    ("silkfall.toml", include_bytes!("../../cli/demo/silkfall.toml")),
    ("canopies.csv", include_bytes!("../../cli/demo/canopies.csv")),
    ("winds.csv", include_bytes!("../../cli/demo/winds.csv")),
    ("field.geojson", include_bytes!("../../cli/demo/field.geojson")),
    ("logs/one-weight.csv", include_bytes!("../../cli/demo/logs/one-weight.csv")),
    ("logs/two-weight.csv", include_bytes!("../../cli/demo/logs/two-weight.csv")),
    ("logs/three-weight.csv", include_bytes!("../../cli/demo/logs/three-weight.csv")),
    ("logs/one-tube.csv", include_bytes!("../../cli/demo/logs/one-tube.csv")),
    ("logs/two-tube.csv", include_bytes!("../../cli/demo/logs/two-tube.csv")),
    ("logs/three-tube.csv", include_bytes!("../../cli/demo/logs/three-tube.csv")),
    ("logs/three-tube-long.csv", include_bytes!("../../cli/demo/logs/three-tube-long.csv")),
    ("logs/capsule.csv", include_bytes!("../../cli/demo/logs/capsule.csv")),
];

/// Why the demo is not there.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// Something else is in its place.
    #[error("{} is there and is no untouched demo: {what}", dir.display())]
    Differs {
        /// Where.
        dir: PathBuf,
        /// In what.
        what: String,
    },
    /// It cannot be looked at.
    #[error("cannot read {}: {source}", path.display())]
    Unreadable {
        /// Which folder.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// It cannot be made.
    #[error("cannot make {}: {source}", path.display())]
    Folder {
        /// Which folder.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A file of it cannot be written.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// Writes the demo; an untouched one is left as it is.
///
/// # Errors
/// When the folder is there and is not an untouched demo, or a file cannot be written.
pub fn write(dir: &Path) -> Result<(), DemoError> {
    match state(dir)? {
        State::Absent => write_files(dir),
        State::Untouched => Ok(()),
        State::Differs(what) => Err(DemoError::Differs { dir: dir.to_owned(), what }),
    }
}

enum State {
    Absent,
    Untouched,
    Differs(String),
}

fn state(dir: &Path) -> Result<State, DemoError> {
    if !dir.exists() {
        return Ok(State::Absent);
    }
    if !dir.is_dir() {
        return Ok(State::Differs("it is a file".to_owned()));
    }
    let entries = std::fs::read_dir(dir);
    let mut entries = entries.map_err(|source| DemoError::Unreadable { path: dir.to_owned(), source })?;
    if entries.next().is_none() {
        return Ok(State::Absent);
    }
    for (name, bytes) in FILES {
        match std::fs::read(dir.join(name)) {
            Ok(there) if there == bytes => (),
            Ok(_) => return Ok(State::Differs(format!("{name} was changed"))),
            Err(_) => return Ok(State::Differs(format!("{name} is not in it"))),
        }
    }
    Ok(State::Untouched)
}

/// The project file last: a folder that was cut short is no project.
fn write_files(dir: &Path) -> Result<(), DemoError> {
    let logs = dir.join("logs");
    std::fs::create_dir_all(&logs).map_err(|source| DemoError::Folder { path: logs.clone(), source })?;
    for (name, bytes) in FILES.iter().rev() {
        save::create(&dir.join(name), bytes)?;
    }
    Ok(())
}
