//! Printing: stdout is data, stderr is talk.

use std::io::{IsTerminal as _, Write as _};

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

/// Whether to colour: on a terminal, unless NO_COLOR is set to anything.
pub fn colour() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    std::io::stdout().is_terminal() && !refused
}
