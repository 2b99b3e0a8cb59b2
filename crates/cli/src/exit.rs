//! Exit codes and last words.
//!
//! | code | means |
//! |---|---|
//! | 0 | done |
//! | 1 | done, and a limit the project states is missed or undecided |
//! | 2 | an input gave no answer, or the usage is wrong |
//! | 3 | our fault |

use std::io::Write as _;
use std::process::ExitCode;

use silkfall_sheet::Outcome;

/// After a panic, whose message is on stderr already.
pub fn our_fault() -> ExitCode {
    say("error: this is a fault of the program, not of your input; nothing was half written\n");
    ExitCode::from(3)
}

/// After a command: its code, or code 2 with the whole chain of reasons on stderr. A reader that went away (a
/// closed pipe) is no failure.
pub fn after(result: anyhow::Result<Outcome>) -> ExitCode {
    match result {
        Ok(outcome) => ExitCode::from(outcome.exit_code()),
        Err(error) if is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            say(&format!("error: {error:#}\n"));
            ExitCode::from(2)
        }
    }
}

/// Help and version are answers; anything else clap says is wrong usage.
pub fn usage(error: &clap::Error) -> ExitCode {
    let text = error.render();
    if error.use_stderr() {
        say(&text.to_string());
        ExitCode::from(2)
    } else {
        match crate::terminal::print(&text.to_string()) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => after(Err(error)),
        }
    }
}

fn say(text: &str) {
    // Nothing is left to tell if stderr itself is closed.
    drop(std::io::stderr().write_all(text.as_bytes()));
}

fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<std::io::Error>())
        .any(|cause| cause.kind() == std::io::ErrorKind::BrokenPipe)
}
