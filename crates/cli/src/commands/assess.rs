//! `silkfall assess [DIR]`: work a project and print its sheet.

use std::path::Path;

use anyhow::bail;
use silkfall_core::quantity::System;
use silkfall_project::words::Units;
use silkfall_report::document::Explained;
use silkfall_report::{assess_document, text, wire};
use silkfall_sheet::{Effort, Memo, Outcome, Sheet, work};

use crate::watch::Teller;
use crate::{args, called, folder, terminal};

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
    let (sheet, system) = sheet(dir, Effort::Quick, units, teller)?;
    if json {
        terminal::print_json(&wire::sheet_json(&sheet))?;
    } else if let Some(wanted) = how {
        explain(&sheet, wanted, system)?;
    } else {
        let document = assess_document(&sheet, called::name(), &dir.display().to_string());
        terminal::print(&text::render(&document, terminal::options(system)))?;
    }
    Ok(sheet.outcome)
}

/// Reads a folder and works it; the units are those asked for, else the project's.
///
/// # Errors
/// When there is no project in the folder.
pub fn sheet(
    dir: &Path,
    effort: Effort,
    units: Option<args::Units>,
    teller: &Teller,
) -> anyhow::Result<(Sheet, System)> {
    teller.says("reading");
    let read = folder::read(dir)?;
    let of_project = read.loaded.project.units.given().map_or(System::Si, |units| match units {
        Units::Si => System::Si,
        Units::Us => System::Us,
    });
    let mut sheet = work(&read.loaded, effort, &mut Memo::default(), teller)?;
    if !read.is_readable {
        sheet.outcome = Outcome::NoAnswer;
    }
    Ok((sheet, units.map_or(of_project, System::from)))
}

fn explain(sheet: &Sheet, wanted: &str, system: System) -> anyhow::Result<()> {
    let mut out = String::new();
    for (id, how) in sheet.hows.iter().filter(|(id, _)| id.0.contains(wanted)) {
        let explained = Explained { id: id.clone(), how: how.clone() };
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
