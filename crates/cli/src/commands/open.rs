//! `silkfall open [DIR]`: a project as a page to work in.

use std::net::IpAddr;
use std::path::Path;
use std::process::{Command, Stdio};

use silkfall_core::quantity::System;
use silkfall_project::PROJECT_FILE;
use silkfall_sheet::Outcome;
use silkfall_web::{Options, Told};

use crate::{args, called, terminal};

/// Where to serve, and for whom.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The port; 0 for one that is free.
    pub port: u16,
    /// The address on the club's network.
    pub listen: Option<IpAddr>,
    /// Whether pages on the network may change the project.
    pub allow_edits: bool,
}

/// Serves the page until Ctrl-C.
///
/// # Errors
/// When there is no project in the folder, or the address cannot be listened on.
pub fn run(
    folder: Option<&Path>,
    place: Place,
    with_browser: bool,
    units: Option<args::Units>,
) -> anyhow::Result<Outcome> {
    let here = Path::new(".");
    let folder = folder.or_else(|| here.join(PROJECT_FILE).is_file().then_some(here));
    let options = Options {
        folder: folder.map(Path::to_owned),
        listen: place.listen,
        port: place.port,
        may_edit: place.allow_edits,
        system: units.map(System::from),
        ..Options::new(called::name())
    };
    let is_on_network = place.listen.is_some_and(|address| !address.is_loopback());
    let tell = move |told: Told| {
        let text = match &told {
            Told::Link(link) if is_on_network => format!(
                "{link}\nThis is plain HTTP: anybody on this network can read along. The link lets one browser in; \
                 the next is printed when it was used.\nCtrl-C ends it.\n"
            ),
            Told::Link(link) => format!("{link}\nCtrl-C ends it; what is not saved is lost then.\n"),
            Told::NextLink(link) => format!("next  {link}\n"),
        };
        // The page is served whether or not anybody reads this.
        drop(terminal::print(&text));
        if let (true, Told::Link(link)) = (with_browser, &told) {
            browse(link);
        }
    };
    silkfall_web::serve(options, tell, silkfall_web::ended_by_hand())?;
    Ok(Outcome::Done)
}

/// Asks the system to open the link; where it cannot, the link is on the terminal.
fn browse(link: &str) {
    let program = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(windows) {
        "explorer"
    } else {
        "xdg-open"
    };
    let quiet = Command::new(program)
        .arg(link)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    drop(quiet);
}
