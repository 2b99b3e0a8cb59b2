//! `silkfall plan [DIR] -o FILE.html`: the report.

use std::path::Path;

use silkfall_core::quantity::System;
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::{assess_document, html};
use silkfall_sheet::{Effort, Outcome, Sheet};

use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal, whole};

/// Works the project at full effort and writes the report.
///
/// # Errors
/// When there is no project in the folder, or the report cannot be written.
pub fn run(
    dir: &Path,
    output: &Path,
    units: Option<args::Units>,
    teller: &Teller,
) -> anyhow::Result<Outcome> {
    let mut job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Full, teller)?;
    write(&sheet, dir, output, job.system())?;
    terminal::print(&format!("wrote {}\n", output.display()))?;
    Ok(sheet.outcome)
}

/// Writes the report of a sheet.
///
/// # Errors
/// When the file cannot be written; an old one stays as it was then.
pub fn write(sheet: &Sheet, dir: &Path, output: &Path, system: System) -> anyhow::Result<()> {
    let options = HtmlOptions { system, theme: Theme::Reader };
    let page = html::render(&assess_document(sheet, called::name(), &dir.display().to_string()), options);
    whole::write(output, page.as_bytes())
}
