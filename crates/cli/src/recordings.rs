//! Files to recordings: the only place that reads a recording for `reduce` and `new`.

use std::path::Path;

use anyhow::Context as _;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_folder::input;
use silkfall_intake::Reading;
use silkfall_sheet::Input;

use crate::{args, bytes};

/// What was said about how to read the files.
///
/// # Errors
/// When an option's value does not fit it.
pub fn reading(said: &args::Reading) -> anyhow::Result<Reading> {
    let mut reading = Reading::default();
    for (option, value) in [
        ("time", &said.time),
        ("height", &said.height),
        ("pressure", &said.pressure),
        ("temperature", &said.temperature),
        ("delimiter", &said.delimiter),
        ("decimal", &said.decimal),
        ("header-lines", &said.header_lines),
        ("encoding", &said.encoding),
        ("sheet", &said.sheet),
    ] {
        if let Some(value) = value {
            reading.set(option, value).map_err(anyhow::Error::msg).with_context(|| format!("--{option}"))?;
        }
    }
    Ok(reading)
}

/// Reads one recording.
///
/// # Errors
/// The findings, at least one of them an error, when the file cannot be opened or gives no recording.
pub fn read(file: &Path, reading: &Reading) -> Result<Input, Vec<Finding>> {
    let name = file.display().to_string();
    bytes::recording(file, &name, reading).map_err(|error| vec![unreadable(&name, &error)])?.map(input)
}

fn unreadable(name: &str, error: &std::io::Error) -> Finding {
    let subject = Subject::Recording(name.to_owned());
    Finding::new(Code::LogUnreadable, subject, format!("the file cannot be read: {error}"))
        .at(name, None, None)
        .hint("check the path and the permissions")
}
