//! A file a command: resolve the arguments, call, print.

mod explain;
mod steps;

use silkfall_sheet::Outcome;

use crate::args::{Arguments, Command};

/// Runs the command.
///
/// # Errors
/// When an input cannot be used at all, with its place and the cure.
pub fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    match &arguments.command {
        None => steps::run(),
        Some(Command::Explain { code }) => explain::run(code.as_deref()),
        _ => unreachable!(),
    }
}
