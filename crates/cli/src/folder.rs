//! A project folder, read, and worked as often as is asked.

use std::path::Path;

use silkfall_core::quantity::System;
use silkfall_folder::Loader;
use silkfall_project::words::Units;
use silkfall_sheet::{Effort, Loaded, Memo, Outcome, Sheet};

use crate::args;
use crate::watch::Teller;

/// A folder, read, and worked as often as is asked.
#[derive(Debug)]
pub struct Job {
    loaded: Loaded,
    is_readable: bool,
    system: System,
}

impl Job {
    /// Reads a project folder. What is wrong with its files is a finding; the rest is still read.
    ///
    /// # Errors
    /// When there is no project file in it or it cannot be opened.
    pub fn read(folder: &Path, units: Option<args::Units>, teller: &Teller) -> anyhow::Result<Job> {
        teller.says("reading");
        let reading = Loader::new(folder).read()?;
        let (loaded, is_readable) = (reading.loaded, reading.is_readable);
        let of_project = loaded.project.units.given().map_or(System::Si, |units| match units {
            Units::Si => System::Si,
            Units::Us => System::Us,
        });
        let system = units.map_or(of_project, System::from);
        Ok(Job { loaded, is_readable, system })
    }

    /// Units as asked for, else the project's.
    pub fn system(&self) -> System {
        self.system
    }

    /// Works it; what an earlier effort left in a memo that keeps it is not worked again.
    ///
    /// # Errors
    /// When the watch stops it.
    pub fn work(&self, effort: Effort, memo: &mut Memo, teller: &Teller) -> anyhow::Result<Sheet> {
        let mut sheet = silkfall_sheet::work(&self.loaded, effort, memo, teller)?;
        if !self.is_readable {
            sheet.outcome = Outcome::NoAnswer;
        }
        Ok(sheet)
    }
}
