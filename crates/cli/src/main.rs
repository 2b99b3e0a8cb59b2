//! The program `silkfall`: arguments, one call, print, exit code.

mod args;
mod bytes;
mod called;
mod commands;
mod exit;
mod folder;
mod recordings;
mod terminal;
mod watch;
mod whole;

use std::process::ExitCode;

use clap::Parser as _;

/// Keeps what was freed and asks for pages of the usual size: docs/SPEED.md says what either is worth.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = match args::Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return exit::usage(&error),
    };
    match std::panic::catch_unwind(|| commands::run(&arguments)) {
        Ok(result) => exit::after(result),
        Err(_) => exit::our_fault(),
    }
}
