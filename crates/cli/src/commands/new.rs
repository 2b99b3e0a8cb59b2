//! `silkfall new DIR [--from FILE..]` and `silkfall add FILE --test NAME`.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail, ensure};
use silkfall_core::quantity::System;
use silkfall_folder::fresh::{self, First};
use silkfall_intake::Reading;
use silkfall_project::edit;
use silkfall_project::import::{self, ImportError};
use silkfall_project::words::Units;
use silkfall_project::{PROJECT_FILE, save};
use silkfall_report::text;
use silkfall_sheet::Outcome;

use crate::args;
use crate::{called, terminal};

/// A recording to be taken in, and how many samples it has.
struct Taken {
    first: First,
    samples: usize,
}

/// Writes a starter project, each recording a test as it was understood.
///
/// # Errors
/// When the folder is there already and not empty, a recording gives nothing, or a file cannot be written.
pub fn run(
    dir: &Path,
    from: &[PathBuf],
    units: Option<args::Units>,
    system: System,
) -> anyhow::Result<Outcome> {
    if dir.exists() {
        let is_empty = dir.is_dir()
            && std::fs::read_dir(dir)
                .with_context(|| format!("cannot read {}", dir.display()))?
                .next()
                .is_none();
        ensure!(is_empty, "{} is there already\nhint: name a folder that is not there yet", dir.display());
    }
    let mut firsts: Vec<First> = Vec::new();
    let mut samples = Vec::new();
    for file in from {
        let one = take(file, &|log| firsts.iter().any(|other| other.log == log), system)?;
        firsts.push(one.first);
        samples.push(one.samples);
    }
    let units = match units {
        Some(args::Units::Us) => Units::Us,
        Some(args::Units::Si) | None => Units::Si,
    };
    fresh::write(dir, units, &firsts)?;
    let mut said = format!("wrote {}\n", dir.join(PROJECT_FILE).display());
    for (first, samples) in firsts.iter().zip(&samples) {
        said.push_str(&format!("  test `{}`: {}, {samples} samples\n", first.test, first.log));
    }
    said.push_str(&format!(
        "next  replace each \"?\" you know, then {} assess {}\n",
        called::name(),
        silkfall_sheet::quoted(&dir.display().to_string())
    ));
    terminal::print(&said)?;
    Ok(Outcome::Done)
}

/// Adds a recording to a project as a test.
///
/// # Errors
/// When there is no project, a test of that name stands already, or the recording gives nothing.
pub fn add(file: &Path, test: &str, dir: &Path, system: System) -> anyhow::Result<Outcome> {
    let folder = silkfall_project::read_folder(dir)?;
    let path = dir.join(PROJECT_FILE);
    let Some(project) = folder.project else {
        bail!("{} cannot be read\nhint: `{} assess` says where", path.display(), called::name());
    };
    let [part, ..] = project.parts.as_slice() else {
        bail!("{}: {}\nhint: write a [[part]] first", path.display(), ImportError::NoPart);
    };
    let Taken { first: one, samples } = take(file, &|log| dir.join(log).exists(), system)?;
    let entry = import::new_test(&project, test, &one.log, &one.reading)?;
    let text = edit::apply(&folder.text, &[entry]).map_err(|error| {
        anyhow::anyhow!("{error}\nhint: name it otherwise, or add the recording to its `logs`")
    })?;
    import::keep(dir, &one.log, &one.bytes)?;
    save::save(&path, &folder.text, &text)?;
    terminal::print(&format!(
        "added test `{test}` to {}: {}, {} samples; it tells about part `{}`\n\
         next  replace each \"?\" you know at the end of the file, then {} assess {}\n",
        path.display(),
        one.log,
        samples,
        part.name.value,
        called::name(),
        silkfall_sheet::quoted(&dir.display().to_string())
    ))?;
    Ok(Outcome::Done)
}

/// Reads a recording and says how it would be read again; what it found is printed to stderr.
fn take(file: &Path, is_taken: &dyn Fn(&str) -> bool, system: System) -> anyhow::Result<Taken> {
    let name = file.display().to_string();
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {name}"))?;
    match silkfall_intake::read(&name, &bytes, &Reading::default()) {
        Ok(read) => {
            let base = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            let log = import::log_name(&base, is_taken);
            let (reading, samples) = (read.understood.repeat_options(), read.recording.len());
            let test = import::test_name(&log);
            Ok(Taken { first: First { bytes, log, test, reading }, samples })
        }
        Err(findings) => {
            let said: String =
                findings.iter().map(|finding| text::finding(finding, terminal::options(system))).collect();
            bail!("{name} gives no recording\n{said}")
        }
    }
}
