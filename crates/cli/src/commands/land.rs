//! `silkfall land [DIR]`: how each part comes down, and in which winds it may fly.

use std::path::Path;

use anyhow::bail;
use silkfall_report::{export, land_document, text, wire};
use silkfall_sheet::{Effort, Memo, Outcome};

use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal, whole};

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
    let job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Full, &mut Memo::none(), teller)?;
    if let Some(path) = exports.geojson {
        write(path, export::of_sheet(&sheet, export::geojson))?;
    }
    if let Some(path) = exports.kml {
        write(path, export::of_sheet(&sheet, export::kml))?;
    }
    if json {
        terminal::print_json(&wire::land_json(&sheet))?;
    } else {
        let document = land_document(&sheet, called::name(), &dir.display().to_string());
        terminal::print(&text::render(&document, terminal::options(job.system())))?;
    }
    Ok(sheet.outcome)
}

/// Writes an export whole, or leaves what was there.
fn write(path: &Path, text: Option<String>) -> anyhow::Result<()> {
    let Some(text) = text else {
        bail!(
            "{} is not written: there is no landing, or the pad's place is not stated ([site] latitude and longitude)",
            path.display()
        );
    };
    whole::write(path, text.as_bytes())
}
