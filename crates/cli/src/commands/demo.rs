//! `silkfall demo [DIR]`: write the demo project, work it, print the sheet, write the report.

use std::path::Path;

use silkfall_folder::demo::{self, DemoError};
use silkfall_report::{assess_document, text};
use silkfall_sheet::{Effort, Memo, Outcome};

use super::plan;
use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal};

/// The report, beside the project it tells of.
const REPORT: &str = "report.html";

/// Writes, works and prints.
///
/// # Errors
/// When the folder is there and is not an untouched demo, or a file cannot be written.
pub fn run(dir: &Path, units: Option<args::Units>, teller: &Teller) -> anyhow::Result<Outcome> {
    demo::write(dir).map_err(|error| match error {
        DemoError::Differs { .. } => anyhow::anyhow!(
            "{error}\nhint: name another folder, as in `{} demo other`, or work this one with `{} assess {}`",
            called::name(),
            called::name(),
            dir.display()
        ),
        other => other.into(),
    })?;
    let job = Job::read(dir, units, teller)?;
    let mut memo = Memo::default();
    let sheet = job.work(Effort::Quick, &mut memo, teller)?;
    let document = assess_document(&sheet, called::name(), &dir.display().to_string());
    terminal::print(&text::render(&document, terminal::options(job.system())))?;
    let report = dir.join(REPORT);
    let full = job.work(Effort::Full, &mut memo, teller)?;
    plan::write(&full, dir, &report, job.system())?;
    let (dir, report) = (dir.display(), report.display());
    terminal::print(&format!(
        "\nThe project is in {dir}, invented from end to end; the report is {report}\n"
    ))?;
    Ok(sheet.outcome)
}
