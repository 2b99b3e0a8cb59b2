//! A project folder to what `work` takes: the project, and its recordings read as the project says.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use silkfall_core::finding::Finding;
use silkfall_core::quantity::System;
use silkfall_intake::Reading;
use silkfall_project::Project;
use silkfall_project::project::Evidence;
use silkfall_project::words::Units;
use silkfall_sheet::{Effort, Input, Loaded, Memo, Outcome, Sheet};

use crate::watch::Teller;
use crate::{args, recordings};

/// A folder, read, and worked as often as is asked.
#[derive(Debug)]
pub struct Job {
    loaded: Loaded,
    is_readable: bool,
    memo: Memo,
    system: System,
}

impl Job {
    /// Reads a project folder. What is wrong with its files is a finding; the rest is still read.
    ///
    /// # Errors
    /// When there is no project file in it or it cannot be opened.
    pub fn read(folder: &Path, units: Option<args::Units>, teller: &Teller) -> anyhow::Result<Job> {
        teller.says("reading");
        let (loaded, is_readable) = read(folder)?;
        let of_project = loaded.project.units.given().map_or(System::Si, |units| match units {
            Units::Si => System::Si,
            Units::Us => System::Us,
        });
        let system = units.map_or(of_project, System::from);
        Ok(Job { loaded, is_readable, memo: Memo::default(), system })
    }

    /// Units as asked for, else the project's.
    pub fn system(&self) -> System {
        self.system
    }

    /// Works it; what an earlier effort left in the memo is not worked again.
    ///
    /// # Errors
    /// When the watch stops it.
    pub fn work(&mut self, effort: Effort, teller: &Teller) -> anyhow::Result<Sheet> {
        let mut sheet = silkfall_sheet::work(&self.loaded, effort, &mut self.memo, teller)?;
        if !self.is_readable {
            sheet.outcome = Outcome::NoAnswer;
        }
        Ok(sheet)
    }
}

/// What `work` takes, and whether the project file could be read at all.
fn read(folder: &Path) -> anyhow::Result<(Loaded, bool)> {
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
    Ok((Loaded { project, recordings: inputs, findings }, is_readable))
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
