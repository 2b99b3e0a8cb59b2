//! The habits of this workspace, one command each: `cargo xtask COMMAND`.
#![expect(clippy::print_stdout, reason = "printing is what these commands are for")]

mod check;
mod checks;
mod coverage;
mod demo;
mod follow;
mod paper;
mod pdf;
mod readme;
mod setup;

use anyhow::bail;

fn main() -> anyhow::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.as_str(), rest),
        None => ("", &[][..]),
    };
    match command {
        "check" => check::run(rest),
        "checks" => checks::run(rest),
        "coverage" => coverage::run(rest),
        "demo" => demo::run(rest),
        "paper" => paper::run(rest),
        "pdf" => pdf::run(rest),
        "readme" => readme::run(rest),
        "setup" => setup::run(rest),
        other => {
            bail!("no command `{other}`; there are: check, checks, coverage, demo, paper, pdf, readme, setup")
        }
    }
}
