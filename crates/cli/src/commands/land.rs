//! `silkfall land [DIR]`: how each part comes down, and in which winds it may fly.

use std::path::Path;

use anyhow::bail;
use silkfall_report::{land_document, text, wire};
use silkfall_sheet::{Effort, Outcome};

use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal};

/// Files to write beside what is printed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Exports<'a> {
    /// GeoJSON (RFC 7946).
    pub geojson: Option<&'a Path>,
    /// KML (OGC 12-007r2).
    pub kml: Option<&'a Path>,
}

/// Works the project at full effort and prints its landings.
///
/// # Errors
/// When there is no project in the folder, or a file cannot be written.
pub fn run(
    dir: &Path,
    json: bool,
    exports: &Exports<'_>,
    units: Option<args::Units>,
    teller: &Teller,
) -> anyhow::Result<Outcome> {
    let mut job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Full, teller)?;
    if json {
        terminal::print_json(&wire::land_json(&sheet))?;
    } else {
        let document = land_document(&sheet, called::name(), &dir.display().to_string());
        terminal::print(&text::render(&document, terminal::options(job.system())))?;
    }
    Ok(sheet.outcome)
}
