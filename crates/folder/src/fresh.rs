//! A new project without recordings.

use std::path::{Path, PathBuf};

use silkfall_project::PROJECT_FILE;
use silkfall_project::save::{self, SaveError};
use silkfall_project::starter::{Start, starter};
use silkfall_project::words::Units;

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
    /// The project file cannot be written, or one is there.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// Writes a commented starter project, named as its folder; one that is there is never touched.
///
/// # Errors
/// Where there is a project file already, or it cannot be written.
pub fn write(dir: &Path) -> Result<(), FreshError> {
    let logs = dir.join("logs");
    std::fs::create_dir_all(&logs).map_err(|source| FreshError::Folder { path: logs, source })?;
    let name =
        dir.file_name().map_or_else(|| "unnamed".to_owned(), |name| name.to_string_lossy().into_owned());
    let text = starter(&Start { name: &name, units: Units::Si, tests: &[] });
    Ok(save::create(&dir.join(PROJECT_FILE), text.as_bytes())?)
}
