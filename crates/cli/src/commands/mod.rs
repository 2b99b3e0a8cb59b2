//! A file a command: resolve the arguments, call, print.

mod explain;
mod reduce;
mod steps;
mod sums;

use silkfall_core::quantity::System;
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
        Some(Command::Reduce(reduce)) => reduce::run(reduce, system(arguments)),
        Some(Command::Size(size)) => sums::size(size, system(arguments)),
        Some(Command::Rate(rate)) => sums::rate(rate, system(arguments)),
        _ => unreachable!(),
    }
}

/// Units as asked for on the command line, else SI.
fn system(arguments: &Arguments) -> System {
    arguments.units.map_or(System::Si, System::from)
}
