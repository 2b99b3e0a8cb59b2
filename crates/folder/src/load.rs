//! A folder to what `work` takes: the project, and its recordings read as the project says.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use rayon::prelude::*;
use silkfall_core::finding::Finding;
use silkfall_intake::Reading;
use silkfall_project::project::Evidence;
use silkfall_project::{Folder, FolderError, Project};
use silkfall_sheet::{Input, Loaded};

/// Reads a folder as often as is asked; what did not change on disk is not read again.
#[derive(Debug)]
pub struct Loader {
    dir: PathBuf,
    kept: BTreeMap<String, Kept>,
}

/// A recording as it was read last.
#[derive(Debug)]
struct Kept {
    stamp: Option<Stamp>,
    reading: Reading,
    read: Result<Input, Vec<Finding>>,
}

/// Length and time of a file: another file has another one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stamp {
    length: u64,
    changed: Option<SystemTime>,
}

impl Loader {
    /// Of that folder; nothing is read yet.
    pub fn new(dir: &Path) -> Self {
        Loader { dir: dir.to_owned(), kept: BTreeMap::new() }
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// The folder as it is on disk. What is wrong with its files is a finding; the rest is still read.
    ///
    /// # Errors
    /// When there is no project file in it or it cannot be opened.
    pub fn read(&mut self) -> Result<Loading, FolderError> {
        self.kept.clear();
        let folder = silkfall_project::read_folder(&self.dir)?;
        Ok(self.loading(folder))
    }

    /// The folder with that text in the place of its project file.
    pub fn read_with(&mut self, text: &str) -> Loading {
        let mut folder = silkfall_project::read_text(&self.dir, text.to_owned());
        let readings = folder.project.as_ref().map(readings).unwrap_or_default();
        let dir = &self.dir;
        self.kept.retain(|log, kept| {
            kept.stamp.is_some()
                && kept.stamp == stamp(&dir.join(log))
                && readings.get(log) == Some(&kept.reading)
        });
        folder.read_logs(&|log| !self.kept.contains_key(log));
        self.loading(folder)
    }

    /// What was read before and stays, and what is read now.
    fn loading(&mut self, folder: Folder) -> Loading {
        let mut findings = folder.findings;
        let is_readable = folder.project.is_some();
        let project = folder.project.unwrap_or_default();
        let readings = readings(&project);
        let fresh: Vec<(String, Kept)> = folder
            .logs
            .par_iter()
            .map(|(path, bytes)| {
                let reading = readings.get(path).cloned().unwrap_or_default();
                let read = silkfall_intake::read(path, bytes, &reading).map(crate::input);
                (path.clone(), Kept { stamp: stamp(&self.dir.join(path)), reading, read })
            })
            .collect();
        self.kept.extend(fresh);
        let mut recordings = Vec::new();
        for kept in self.kept.values() {
            match &kept.read {
                Ok(input) => recordings.push(input.clone()),
                Err(refused) => findings.extend(refused.iter().cloned()),
            }
        }
        Loading { loaded: Loaded { project, recordings, findings }, is_readable, text: folder.text }
    }
}

/// A folder, read.
#[derive(Clone, Debug)]
pub struct Loading {
    /// What `work` takes.
    pub loaded: Loaded,
    /// Whether the project file could be read at all; if not, no answer is one.
    pub is_readable: bool,
    /// The text of the project file.
    pub text: String,
}

fn stamp(path: &Path) -> Option<Stamp> {
    let about = std::fs::metadata(path).ok()?;
    Some(Stamp { length: about.len(), changed: about.modified().ok() })
}

/// How each recording is to be read: as the first test that names it says.
fn readings(project: &Project) -> BTreeMap<String, Reading> {
    let mut readings = BTreeMap::new();
    for test in &project.tests {
        let Evidence::Logs { logs, reading, .. } = &test.evidence else { continue };
        for log in logs {
            readings.entry(log.value.clone()).or_insert_with(|| reading.options.clone());
        }
    }
    readings
}
