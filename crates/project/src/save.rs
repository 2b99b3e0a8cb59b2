//! Saving a project file: what was there is never lost.
//!
//! The file is written beside the old one, flushed, and put in its place in one step, so that a power cut leaves the old
//! text or the new one. The old text must still be what was read: edits made elsewhere meanwhile are not written over.
//! Between that last look and the change of place there is a moment in which another program could write; no way of
//! saving a plain file closes it.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Why a text was not saved; the file on disk is as it was.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// The file is no longer what was read.
    #[error("{} was changed elsewhere since it was read", .0.display())]
    ChangedElsewhere(PathBuf),
    /// There is a file already where a new one was to be made.
    #[error("{} is there already", .0.display())]
    AlreadyThere(PathBuf),
    /// It cannot be read or written.
    #[error("cannot save {}: {source}", path.display())]
    Io {
        /// Which file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// Puts `new` in the place of `read`, the text that the file had when it was read. A link is followed.
///
/// # Errors
/// [`SaveError::ChangedElsewhere`] if the file has another text now or is gone; [`SaveError::Io`] otherwise.
pub fn save(path: &Path, read: &str, new: &str) -> Result<(), SaveError> {
    let failed = |source| SaveError::Io { path: path.to_owned(), source };
    let real = match path.canonicalize() {
        Ok(real) => real,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            return Err(SaveError::ChangedElsewhere(path.to_owned()));
        }
        Err(error) => return Err(failed(error)),
    };
    unchanged(&real, path, read)?;
    let (beside, mut file) = file_beside(&real).map_err(failed)?;
    let written = file
        .write_all(new.as_bytes())
        .and_then(|()| file.set_permissions(std::fs::metadata(&real)?.permissions()))
        .and_then(|()| file.sync_all());
    drop(file);
    let placed = written.map_err(failed).and_then(|()| {
        unchanged(&real, path, read)?;
        std::fs::rename(&beside, &real).map_err(failed)
    });
    if placed.is_err() {
        // The file beside is ours; that it could not be taken away matters less than why the save failed.
        let _ = std::fs::remove_file(&beside);
    }
    placed
}

/// Makes a new file; one that is there already is never touched.
///
/// # Errors
/// [`SaveError::AlreadyThere`], or [`SaveError::Io`].
pub fn create(path: &Path, bytes: &[u8]) -> Result<(), SaveError> {
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::AlreadyExists => SaveError::AlreadyThere(path.to_owned()),
        _ => SaveError::Io { path: path.to_owned(), source },
    };
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(failed)?;
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    if written.is_err() {
        drop(file);
        // Half a file is worse than none, and it is ours: `create_new` made it.
        let _ = std::fs::remove_file(path);
    }
    written.map_err(failed)
}

fn unchanged(real: &Path, path: &Path, read: &str) -> Result<(), SaveError> {
    match std::fs::read(real) {
        Ok(now) if now == read.as_bytes() => Ok(()),
        Ok(_) => Err(SaveError::ChangedElsewhere(path.to_owned())),
        Err(source) => Err(SaveError::Io { path: path.to_owned(), source }),
    }
}

/// A new file in the same folder, since a change of place is one step only within a file system.
fn file_beside(real: &Path) -> io::Result<(PathBuf, File)> {
    let name = real.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let mut last = io::Error::from(io::ErrorKind::AlreadyExists);
    for attempt in 0..100 {
        let beside = real.with_file_name(format!(".{name}.{}-{attempt}.new", std::process::id()));
        match OpenOptions::new().write(true).create_new(true).open(&beside) {
            Ok(file) => return Ok((beside, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}
