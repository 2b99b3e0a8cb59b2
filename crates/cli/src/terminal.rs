//! Printing: stdout is data, stderr is talk.

use std::io::{IsTerminal as _, Write as _};

use silkfall_core::quantity::System;
use silkfall_report::text::{Ink, TextOptions};

/// Prints to stdout.
///
/// # Errors
/// When stdout does not take it; a closed pipe is told apart by the caller.
pub fn print(text: &str) -> anyhow::Result<()> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// How wide to print: the columns the shell states, else 100, within what is readable.
pub fn width() -> usize {
    let stated = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    stated.unwrap_or(100).clamp(60, 120)
}

/// How to print a document here: colour only on a terminal, and not where NO_COLOR is set to anything.
pub fn options(system: System) -> TextOptions {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let ink = if std::io::stdout().is_terminal() && !refused { Ink::Ansi } else { Ink::Plain };
    TextOptions { width: width(), system, ink }
}

/// Prints a wire value as indented JSON.
///
/// # Errors
/// As [`print`](fn@print).
pub fn print_json(value: &impl serde::Serialize) -> anyhow::Result<()> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    print(&text)
}
