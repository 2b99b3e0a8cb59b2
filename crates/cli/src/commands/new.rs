//! `silkfall new DIR [--from FILE..]` and `silkfall add FILE --test NAME`.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail, ensure};
use silkfall_core::quantity::System;
use silkfall_intake::Reading;
use silkfall_project::edit::{self, Edit};
use silkfall_project::starter::{Names, Start, StartTest, starter, test_entry};
use silkfall_project::words::Units;
use silkfall_project::{PROJECT_FILE, save};
use silkfall_report::text;
use silkfall_sheet::Outcome;

use crate::args;
use crate::{called, terminal};

const LOGS: &str = "logs";

/// A recording to be taken in: its bytes, its name in the project, the options that repeat its reading.
struct Taken {
    bytes: Vec<u8>,
    log: String,
    reading: Vec<String>,
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
    let mut taken = Vec::new();
    for file in from {
        taken.push(take(file, &taken, system)?);
    }
    let names: Vec<String> = taken.iter().map(|one| test_name(&one.log)).collect();
    let logs: Vec<Vec<String>> = taken.iter().map(|one| vec![one.log.clone()]).collect();
    let tests: Vec<StartTest> = taken
        .iter()
        .enumerate()
        .map(|(at, one)| StartTest { name: &names[at], logs: &logs[at], reading: &one.reading })
        .collect();
    let name =
        dir.file_name().map_or_else(|| "unnamed".to_owned(), |name| name.to_string_lossy().into_owned());
    let units = match units {
        Some(args::Units::Us) => Units::Us,
        Some(args::Units::Si) | None => Units::Si,
    };
    let text = starter(&Start { name: &name, units, tests: &tests });
    let folder = dir.join(LOGS);
    std::fs::create_dir_all(&folder).with_context(|| format!("cannot make {}", folder.display()))?;
    for one in &taken {
        save::create(&dir.join(&one.log), &one.bytes)?;
    }
    save::create(&dir.join(PROJECT_FILE), text.as_bytes())?;
    let mut said = format!("wrote {}\n", dir.join(PROJECT_FILE).display());
    for (one, name) in taken.iter().zip(&names) {
        said.push_str(&format!("  test `{name}`: {}, {} samples\n", one.log, one.samples));
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
        bail!("{} has no part yet, and a test tells about one\nhint: write a [[part]] first", path.display());
    };
    let mut one = take(file, &[], system)?;
    let stands = |log: &str| dir.join(log).exists();
    while stands(&one.log) {
        one.log = next_name(&one.log);
    }
    let logs = [one.log.clone()];
    let entry = StartTest { name: test, logs: &logs, reading: &one.reading };
    let session = match project.sessions.as_slice() {
        [only] => Some(only.name.value.as_str()),
        _ => None,
    };
    let model = match project.models.as_slice() {
        [only] => Some(only.name.value.as_str()),
        _ => None,
    };
    let entry = test_entry(&entry, &part.name.value, Names::Project { model, session });
    let text = edit::apply(&folder.text, &[Edit::AddTest { text: entry }]).map_err(|error| {
        anyhow::anyhow!("{error}\nhint: name it otherwise, or add the recording to its `logs`")
    })?;
    let logs = dir.join(LOGS);
    std::fs::create_dir_all(&logs).with_context(|| format!("cannot make {}", logs.display()))?;
    save::create(&dir.join(&one.log), &one.bytes)?;
    save::save(&path, &folder.text, &text)?;
    terminal::print(&format!(
        "added test `{test}` to {}: {}, {} samples; it tells about part `{}`\n\
         next  replace each \"?\" you know at the end of the file, then {} assess {}\n",
        path.display(),
        one.log,
        one.samples,
        part.name.value,
        called::name(),
        silkfall_sheet::quoted(&dir.display().to_string())
    ))?;
    Ok(Outcome::Done)
}

/// Reads a recording and says how it would be read again; what it found is printed to stderr.
fn take(file: &Path, before: &[Taken], system: System) -> anyhow::Result<Taken> {
    let name = file.display().to_string();
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {name}"))?;
    match silkfall_intake::read(&name, &bytes, &Reading::default()) {
        Ok(read) => {
            let base =
                file.file_name().map_or_else(|| "log".to_owned(), |name| name.to_string_lossy().into_owned());
            let mut log = format!("{LOGS}/{base}");
            while before.iter().any(|one| one.log == log) {
                log = next_name(&log);
            }
            let (reading, samples) = (read.understood.repeat_options(), read.recording.len());
            Ok(Taken { bytes, log, reading, samples })
        }
        Err(findings) => {
            let said: String =
                findings.iter().map(|finding| text::finding(finding, terminal::options(system))).collect();
            bail!("{name} gives no recording\n{said}")
        }
    }
}

/// `logs/two.csv`, `logs/two-2.csv`, `logs/two-3.csv`, ...
fn next_name(log: &str) -> String {
    let (stem, ending) = log.rsplit_once('.').unwrap_or((log, ""));
    let (stem, number) = match stem.rsplit_once('-') {
        Some((stem, number)) if number.parse::<u32>().is_ok() => (stem, number.parse().unwrap_or(1)),
        _ => (stem, 1u32),
    };
    let dot = if ending.is_empty() { "" } else { "." };
    format!("{stem}-{}{dot}{ending}", number.saturating_add(1))
}

/// The file's name without folder and ending.
fn test_name(log: &str) -> String {
    let name = log.rsplit('/').next().unwrap_or(log);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_is_taken_gets_a_number() {
        assert_eq!(next_name("logs/two.csv"), "logs/two-2.csv");
        assert_eq!(next_name("logs/two-2.csv"), "logs/two-3.csv");
        assert_eq!(next_name("logs/two"), "logs/two-2");
        assert_eq!(test_name("logs/a.b.csv"), "a.b");
    }
}
