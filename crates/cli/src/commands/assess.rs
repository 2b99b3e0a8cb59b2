//! `silkfall assess [DIR]`: work a project and print its sheet.

use std::mem::ManuallyDrop;
use std::path::Path;

use anyhow::bail;
use silkfall_core::quantity::System;
use silkfall_report::document::Explained;
use silkfall_report::{assess_document, text, wire};
use silkfall_sheet::{Effort, Memo, Outcome, Sheet};

use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal};

/// Works the project and prints the sheet, its JSON, or how its numbers came about.
///
/// # Errors
/// When there is no project in the folder, or no number of the name asked for.
pub fn run(
    dir: &Path,
    json: bool,
    how: Option<&str>,
    units: Option<args::Units>,
    teller: &Teller,
) -> anyhow::Result<Outcome> {
    // What lives to the end of the process is left to the system, which takes it back as a whole.
    let job = ManuallyDrop::new(Job::read(dir, units, teller)?);
    let sheet = ManuallyDrop::new(job.work(Effort::Quick, &mut Memo::none(), teller)?);
    let system = job.system();
    if json {
        terminal::print_json(&wire::sheet_json(&sheet))?;
    } else if let Some(wanted) = how {
        explain(&sheet, wanted, system)?;
    } else {
        let document = ManuallyDrop::new(assess_document(&sheet, called::name(), &dir.display().to_string()));
        terminal::print(&text::render(&document, terminal::options(system)))?;
    }
    Ok(sheet.outcome)
}

fn explain(sheet: &Sheet, wanted: &str, system: System) -> anyhow::Result<()> {
    let mut out = String::new();
    for (id, how) in sheet.hows.iter().filter(|(id, _)| id.0.contains(wanted)) {
        let explained = Explained { id: id.clone(), also: Vec::new(), how: how.clone() };
        out.push_str(&text::explain(&explained, terminal::options(system)));
        out.push('\n');
    }
    if out.is_empty() {
        let near: Vec<&str> = sheet
            .hows
            .keys()
            .map(|id| id.0.as_str())
            .filter(|id| wanted.split('.').any(|word| word.len() > 2 && id.contains(word)))
            .take(5)
            .collect();
        bail!(
            "no number is called `{wanted}`; `--how` alone lists all{}",
            match near.as_slice() {
                [] => String::new(),
                near => format!("; near it: {}", near.join(", ")),
            }
        );
    }
    terminal::print(&out)
}
