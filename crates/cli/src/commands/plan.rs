//! `silkfall plan [DIR] -o FILE.html`: the paper that is handed over.

use std::path::Path;

use silkfall_core::quantity::System;
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::{html, plan_document};
use silkfall_sheet::{Effort, Outcome, Sheet};

use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal, whole};

/// Works the project at full effort and writes the plan.
///
/// # Errors
/// When there is no project in the folder, or the plan cannot be written.
pub fn run(
    dir: &Path,
    output: &Path,
    units: Option<args::Units>,
    teller: &Teller,
) -> anyhow::Result<Outcome> {
    // What cannot be written is said before it is worked for.
    if output.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("pdf")) {
        anyhow::bail!(
            "{} is not written: the plan is HTML here\nhint: write {} and print that from a browser, which makes a PDF \
             of the same pages, on A4 or Letter",
            output.display(),
            output.with_extension("html").display()
        );
    }
    let mut job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Full, teller)?;
    write(&sheet, dir, output, job.system())?;
    terminal::print(&format!("wrote {}\n", output.display()))?;
    Ok(sheet.outcome)
}

/// Writes the plan of a sheet.
///
/// # Errors
/// When the file cannot be written; an old one stays as it was then.
pub fn write(sheet: &Sheet, dir: &Path, output: &Path, system: System) -> anyhow::Result<()> {
    let document = plan_document(sheet, called::name(), &dir.display().to_string());
    let page = html::render(&document, HtmlOptions { system, theme: Theme::Reader });
    whole::write(output, page.as_bytes())
}
