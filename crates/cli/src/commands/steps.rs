//! Without a command: the three next steps.

use silkfall_sheet::Outcome;

use crate::{called, terminal};

/// Prints them.
///
/// # Errors
/// When stdout does not take them.
pub fn run() -> anyhow::Result<Outcome> {
    let name = called::name();
    terminal::print(&format!(
        "From tower drops to the canopies to fly.\n\n\
         \x20 see it worked   {name} demo\n\
         \x20 have a log      {name} reduce FILE          the rate in one line, with its doubt\n\
         \x20 start a job     {name} new DIR --from FILE  a project that says what is still missing\n\
         \x20 work on a page  {name} open DIR\n\n\
         \x20 all commands    {name} --help\n"
    ))?;
    Ok(Outcome::Done)
}
