//! `silkfall plan [DIR] -o FILE.html | FILE.pdf`: the paper that is handed over.

use std::path::Path;

use silkfall_core::quantity::System;
use silkfall_report::document::Document;
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::{html, plan_document};
use silkfall_sheet::{Effort, Memo, Outcome, Sheet};

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
    // What cannot be written is said before minutes are spent on it.
    if is_pdf(output) {
        can_write_pdf(output)?;
    }
    let job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Full, &mut Memo::none(), teller)?;
    write(&sheet, dir, output, job.system())?;
    terminal::print(&format!("wrote {}\n", output.display()))?;
    Ok(sheet.outcome)
}

/// Writes the plan of a sheet: a PDF where the file is called so, else HTML.
///
/// # Errors
/// When the file cannot be written; an old one stays as it was then.
pub fn write(sheet: &Sheet, dir: &Path, output: &Path, system: System) -> anyhow::Result<()> {
    let document = plan_document(sheet, called::name(), &dir.display().to_string());
    if is_pdf(output) {
        return whole::write(output, &pdf(&document, system)?);
    }
    let page = html::render(&document, HtmlOptions { system, theme: Theme::Reader });
    whole::write(output, page.as_bytes())
}

fn is_pdf(output: &Path) -> bool {
    output.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("pdf"))
}

#[cfg(feature = "pdf")]
fn can_write_pdf(_: &Path) -> anyhow::Result<()> {
    Ok(())
}

#[cfg(not(feature = "pdf"))]
fn can_write_pdf(output: &Path) -> anyhow::Result<()> {
    anyhow::bail!(
        "{} is not written: this silkfall was built without the feature `pdf`\nhint: write {} and print that from a \
         browser (the same pages), or build with `cargo build --release --features pdf`",
        output.display(),
        output.with_extension("html").display()
    )
}

#[cfg(feature = "pdf")]
fn pdf(document: &Document, system: System) -> anyhow::Result<Vec<u8>> {
    use std::io::Write as _;

    use silkfall_report_pdf::{Paper, PdfOptions, render};

    let set = render(document, PdfOptions { system, paper: Paper::usual(system) })?;
    if !set.undrawn.is_empty() {
        let signs: Vec<String> = set.undrawn.iter().map(char::to_string).collect();
        // Talk that nobody can hear is no reason to fail.
        drop(writeln!(
            std::io::stderr(),
            "note: the PDF has no sign for {}: empty boxes stand there; the plan as HTML shows them",
            signs.join(" ")
        ));
    }
    Ok(set.bytes)
}

#[cfg(not(feature = "pdf"))]
fn pdf(_: &Document, _: System) -> anyhow::Result<Vec<u8>> {
    anyhow::bail!("this silkfall was built without the feature `pdf`")
}
