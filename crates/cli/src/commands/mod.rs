//! A file a command: resolve the arguments, call, print.

mod assess;
mod demo;
mod explain;
mod land;
mod new;
mod open;
mod plan;
mod reduce;
mod steps;
mod sums;

use silkfall_core::quantity::System;
use silkfall_sheet::Outcome;

use crate::args::{Arguments, Command};
use crate::watch::Teller;

/// Runs the command.
///
/// # Errors
/// When an input cannot be used at all, with its place and the cure.
pub fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let teller = Teller::new(arguments.verbose);
    let units = arguments.units;
    let system = units.map_or(System::Si, System::from);
    match &arguments.command {
        None => steps::run(),
        Some(Command::Demo { folder }) => demo::run(folder, units, &teller),
        Some(Command::New { folder, from }) => new::run(folder, from, units, system),
        Some(Command::Add { file, test, project }) => new::add(file, test, project, system),
        Some(Command::Reduce(reduce)) => reduce::run(reduce, system),
        Some(Command::Assess { folder, json, how }) => {
            assess::run(folder, *json, how.as_deref(), units, &teller)
        }
        Some(Command::Land { folder, json, geojson, kml }) => {
            let exports = land::Exports { geojson: geojson.as_deref(), kml: kml.as_deref() };
            land::run(folder, *json, &exports, units, &teller)
        }
        Some(Command::Open { folder, port, no_browser, listen, allow_edits }) => {
            let place = open::Place { port: *port, listen: *listen, allow_edits: *allow_edits };
            open::run(folder.as_deref(), place, !no_browser, units)
        }
        Some(Command::Plan { folder, output }) => plan::run(folder, output, units, &teller),
        Some(Command::Size(size)) => sums::size(size, system),
        Some(Command::Rate(rate)) => sums::rate(rate, system),
        Some(Command::Explain { code }) => explain::run(code.as_deref()),
    }
}
