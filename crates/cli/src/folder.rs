//! A project folder to what `work` takes: the project, and its recordings read as the project says.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use silkfall_core::finding::Finding;
use silkfall_intake::Reading;
use silkfall_project::Project;
use silkfall_project::project::Evidence;
use silkfall_sheet::{Input, Loaded};

use crate::recordings;

/// A folder, read.
#[derive(Debug)]
pub struct Read {
    /// What `work` takes.
    pub loaded: Loaded,
    /// Whether the project file could be read at all.
    pub is_readable: bool,
}

/// Reads a project folder. What is wrong with its files is a finding; the rest is still read.
///
/// # Errors
/// When there is no project file in it or it cannot be opened.
pub fn read(folder: &Path) -> anyhow::Result<Read> {
    let on_disk = silkfall_project::read_folder(folder)?;
    let mut findings = on_disk.findings;
    let is_readable = on_disk.project.is_some();
    let project = on_disk.project.unwrap_or_default();
    let readings = readings(&project);
    let logs: Vec<(&String, &Vec<u8>)> = on_disk.logs.iter().collect();
    let read = |(path, bytes): &(&String, &Vec<u8>)| -> Result<Input, Vec<Finding>> {
        let reading = readings.get(*path).cloned().unwrap_or_default();
        silkfall_intake::read(path, bytes, &reading).map(recordings::input)
    };
    let mut inputs = Vec::new();
    for result in logs.par_iter().map(read).collect::<Vec<_>>() {
        match result {
            Ok(input) => inputs.push(input),
            Err(refused) => findings.extend(refused),
        }
    }
    Ok(Read { loaded: Loaded { project, recordings: inputs, findings }, is_readable })
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
