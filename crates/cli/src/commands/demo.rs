//! `silkfall demo [DIR]`: write the demo project, work it, print the sheet, write the report.

use std::path::Path;

use anyhow::{Context as _, bail};
use silkfall_project::save;
use silkfall_report::{assess_document, text};
use silkfall_sheet::{Effort, Outcome};

use super::plan;
use crate::folder::Job;
use crate::watch::Teller;
use crate::{args, called, terminal};

/// The demo's files, as they stand in the repository. The recordings are the generator's (`cargo xtask demo`).
const FILES: [(&str, &[u8]); 12] = [
    ("silkfall.toml", include_bytes!("../../demo/silkfall.toml")),
    ("canopies.csv", include_bytes!("../../demo/canopies.csv")),
    ("winds.csv", include_bytes!("../../demo/winds.csv")),
    ("field.geojson", include_bytes!("../../demo/field.geojson")),
    ("logs/one-weight.csv", include_bytes!("../../demo/logs/one-weight.csv")),
    ("logs/two-weight.csv", include_bytes!("../../demo/logs/two-weight.csv")),
    ("logs/three-weight.csv", include_bytes!("../../demo/logs/three-weight.csv")),
    ("logs/one-tube.csv", include_bytes!("../../demo/logs/one-tube.csv")),
    ("logs/two-tube.csv", include_bytes!("../../demo/logs/two-tube.csv")),
    ("logs/three-tube.csv", include_bytes!("../../demo/logs/three-tube.csv")),
    ("logs/three-tube-long.csv", include_bytes!("../../demo/logs/three-tube-long.csv")),
    ("logs/capsule.csv", include_bytes!("../../demo/logs/capsule.csv")),
];
/// The report, beside the project it tells of.
const REPORT: &str = "report.html";

/// Writes, works and prints.
///
/// # Errors
/// When the folder is there and is not an untouched demo, or a file cannot be written.
pub fn run(dir: &Path, units: Option<args::Units>, teller: &Teller) -> anyhow::Result<Outcome> {
    match state(dir)? {
        State::Absent => write(dir)?,
        State::Untouched => (),
        State::Differs(what) => bail!(
            "{} is there and is no untouched demo: {what}\nhint: name another folder, as in `{} demo other`, or work \
             this one with `{} assess {}`",
            dir.display(),
            called::name(),
            called::name(),
            dir.display()
        ),
    }
    let mut job = Job::read(dir, units, teller)?;
    let sheet = job.work(Effort::Quick, teller)?;
    let document = assess_document(&sheet, called::name(), &dir.display().to_string());
    terminal::print(&text::render(&document, terminal::options(job.system())))?;
    let report = dir.join(REPORT);
    let full = job.work(Effort::Full, teller)?;
    plan::write(&full, dir, &report, job.system())?;
    let (dir, report) = (dir.display(), report.display());
    terminal::print(&format!(
        "\nThe project is in {dir}, invented from end to end; the report is {report}\n"
    ))?;
    Ok(sheet.outcome)
}

enum State {
    Absent,
    Untouched,
    Differs(String),
}

fn state(dir: &Path) -> anyhow::Result<State> {
    if !dir.exists() {
        return Ok(State::Absent);
    }
    if !dir.is_dir() {
        return Ok(State::Differs("it is a file".to_owned()));
    }
    let is_empty =
        std::fs::read_dir(dir).with_context(|| format!("cannot read {}", dir.display()))?.next().is_none();
    if is_empty {
        return Ok(State::Absent);
    }
    for (name, bytes) in FILES {
        match std::fs::read(dir.join(name)) {
            Ok(there) if there == bytes => (),
            Ok(_) => return Ok(State::Differs(format!("{name} was changed"))),
            Err(_) => return Ok(State::Differs(format!("{name} is not in it"))),
        }
    }
    Ok(State::Untouched)
}

/// The project file last: a folder that was cut short is no project.
fn write(dir: &Path) -> anyhow::Result<()> {
    let logs = dir.join("logs");
    std::fs::create_dir_all(&logs).with_context(|| format!("cannot make {}", logs.display()))?;
    for (name, bytes) in FILES.iter().rev() {
        save::create(&dir.join(name), bytes)?;
    }
    Ok(())
}
