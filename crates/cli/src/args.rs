//! The command line: one source for help, manual page and docs.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use silkfall_core::quantity::System;

/// Descent under canopies: from tower drops to rates that can be trusted, drag areas, and the canopies to fly.
#[derive(Debug, Parser)]
#[command(name = "silkfall", version, about, max_term_width = 100)]
pub struct Arguments {
    /// Show results in these units (else `units` of the project, else SI). Files and JSON are SI whatever this says.
    #[arg(long, global = true, value_enum)]
    pub units: Option<Units>,
    /// Say stages and times on stderr.
    #[arg(short, long, global = true)]
    pub verbose: bool,
    /// What to do; without one the three next steps are said.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// Which units results are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Metre, kilogram, second.
    Si,
    /// Foot, pound, second.
    Us,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Si => System::Si,
            Units::Us => System::Us,
        }
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
#[expect(clippy::large_enum_variant, reason = "one command is read a run; boxes would only be in the way")]
pub enum Command {
    /// Write the demo project, work it, print the sheet, write the report.
    Demo {
        /// Where to write it. An untouched demo folder is worked again; a folder that differs is not touched.
        #[arg(default_value = "silkfall-demo")]
        folder: PathBuf,
    },
    /// Write a commented starter project, with recordings if there are some.
    New {
        /// The folder to make.
        folder: PathBuf,
        /// Recordings to copy in; each becomes a test as it was understood.
        #[arg(long, num_args = 1.., value_name = "FILE")]
        from: Vec<PathBuf>,
    },
    /// Add a recording to a project as a test.
    Add {
        /// The recording.
        file: PathBuf,
        /// Name of the test.
        #[arg(long, value_name = "NAME")]
        test: String,
        /// The project folder.
        #[arg(long, value_name = "DIR", default_value = ".")]
        project: PathBuf,
    },
    /// Recordings of one configuration in, drops and the pooled rate out; no project needed.
    Reduce(Reduce),
    /// Work a project: tests, drag areas, full size, cases, canopies.
    Assess {
        /// The project folder.
        #[arg(default_value = ".")]
        folder: PathBuf,
        /// Print the sheet as JSON, SI.
        #[arg(long)]
        json: bool,
        /// Say how a number came about: its path in the JSON, or a part of one; without a value, of every number.
        #[arg(long, value_name = "NUMBER", num_args = 0..=1, default_missing_value = "")]
        how: Option<String>,
    },
    /// How each part comes down, how far it drifts, and in which winds it may fly; at full effort.
    Land {
        /// The project folder.
        #[arg(default_value = ".")]
        folder: PathBuf,
        /// Print the landings as JSON, SI.
        #[arg(long)]
        json: bool,
        /// Write regions and some landings of every part as GeoJSON.
        #[arg(long, value_name = "FILE.geojson")]
        geojson: Option<PathBuf>,
        /// Write them as KML.
        #[arg(long, value_name = "FILE.kml")]
        kml: Option<PathBuf>,
    },
    /// Open a project as a page to work in, in the browser; Ctrl-C ends it.
    Open {
        /// The project folder; without one, this folder if it is a project, else what can be begun with.
        folder: Option<PathBuf>,
        /// Port to serve on; 0 takes one that is free.
        #[arg(long, default_value_t = 0)]
        port: u16,
        /// Only print the link.
        #[arg(long)]
        no_browser: bool,
        /// Listen on this address for the club's network, for reading: plain HTTP, so anybody on that network can
        /// read along. Each link printed lets one browser in.
        #[arg(long, value_name = "ADDRESS")]
        listen: Option<std::net::IpAddr>,
        /// With --listen: let the pages on the network change the project, too.
        #[arg(long, requires = "listen")]
        allow_edits: bool,
    },
    /// Write the plan to hand over: its first page, the field card, the whole report.
    Plan {
        /// The project folder.
        #[arg(default_value = ".")]
        folder: PathBuf,
        /// The HTML file to write: it prints on A4 and Letter, and opens on a phone without a network.
        #[arg(short, long, value_name = "FILE.html")]
        output: PathBuf,
    },
    /// The canopy for a mass and a rate, by hand.
    Size(Size),
    /// The rate of a mass under a canopy, by hand.
    Rate(Rate),
    /// What a finding means and what to do.
    Explain {
        /// Its code, as printed in brackets; without one, all are listed.
        code: Option<String>,
    },
}

/// `reduce`.
#[derive(Debug, Args)]
pub struct Reduce {
    /// Recordings of ONE configuration: delimited text, xlsx or ods.
    #[arg(required = true)]
    pub files: Vec<PathBuf>,
    /// Print JSON, SI.
    #[arg(long)]
    pub json: bool,
    /// How to read the files; what is not said is found by looking.
    #[command(flatten)]
    pub reading: Reading,
    /// Temperature of the day's air where it fell: "18 °C", "64 °F ± 2 °F". Pressure heights are short by 3.5 % for
    /// every 10 K of warmer air.
    #[arg(long, value_name = "TEMPERATURE", help_heading = "The day's air", allow_hyphen_values = true)]
    pub air: Option<String>,
    /// Air pressure at the place (not reduced to sea level): "985 hPa".
    #[arg(long, value_name = "PRESSURE", help_heading = "The day's air")]
    pub air_pressure: Option<String>,
    /// Relative humidity: "60 %".
    #[arg(long, value_name = "SHARE", help_heading = "The day's air")]
    pub humidity: Option<String>,
    /// Elevation of the place above the sea, used for the pressure where that is not given: "310 m".
    #[arg(long, value_name = "HEIGHT", help_heading = "The day's air", allow_hyphen_values = true)]
    pub elevation: Option<String>,
    /// Use only this stretch of the recordings: "2:10..9:45", "130 s..585 s".
    #[arg(long, value_name = "T1..T2", help_heading = "Which drops")]
    pub between: Option<String>,
    /// Set aside the drop in the air at this time: "14:31", "871 s".
    #[arg(long, value_name = "T", help_heading = "Which drops")]
    pub set_aside: Vec<String>,
    /// Keep the drop in the air at this time, whatever was found against it.
    #[arg(long, value_name = "T", help_heading = "Which drops")]
    pub keep: Vec<String>,
}

/// Everything that is guessed about a file and can be said instead.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "How to read the files")]
pub struct Reading {
    /// Time column and its unit or form: "1:s", "t:ms", "1:h:m:s".
    #[arg(long, value_name = "COLUMN[:UNIT]")]
    pub time: Option<String>,
    /// Height column and its unit: "2:ft".
    #[arg(long, value_name = "COLUMN[:UNIT]")]
    pub height: Option<String>,
    /// Pressure column and its unit: "3:hPa".
    #[arg(long, value_name = "COLUMN[:UNIT]", conflicts_with = "height")]
    pub pressure: Option<String>,
    /// Temperature column and its unit: "4:C".
    #[arg(long, value_name = "COLUMN[:UNIT]")]
    pub temperature: Option<String>,
    /// What stands between cells: "," ";" "tab" "space" "|".
    #[arg(long, value_name = "MARK")]
    pub delimiter: Option<String>,
    /// The decimal mark: "." or ",".
    #[arg(long, value_name = "MARK")]
    pub decimal: Option<String>,
    /// Lines above the first row of numbers.
    #[arg(long, value_name = "N")]
    pub header_lines: Option<String>,
    /// Encoding of the text: "utf-8", "utf-16le", "windows-1252".
    #[arg(long, value_name = "NAME")]
    pub encoding: Option<String>,
    /// Sheet of an xlsx or ods file.
    #[arg(long, value_name = "NAME")]
    pub sheet: Option<String>,
}

/// `size`.
#[derive(Debug, Args)]
pub struct Size {
    /// All that hangs under the canopy and the canopy: "5.9 kg".
    #[arg(long)]
    pub mass: String,
    /// Wanted descent rate: "4.3 m/s".
    #[arg(long)]
    pub rate: String,
    /// What both sums share.
    #[command(flatten)]
    pub canopy: Canopy,
}

/// `rate`.
#[derive(Debug, Args)]
pub struct Rate {
    /// All that hangs under the canopy and the canopy: "13 lb".
    #[arg(long)]
    pub mass: String,
    /// Diameter of the canopy: "60 in".
    #[arg(long)]
    pub diameter: String,
    /// What both sums share.
    #[command(flatten)]
    pub canopy: Canopy,
}

/// What `size` and `rate` share.
#[derive(Debug, Args)]
pub struct Canopy {
    /// Drag coefficient.
    #[arg(long, value_name = "NUMBER")]
    pub drag_coefficient: String,
    /// Which area the coefficient is on.
    #[arg(long, value_enum)]
    pub reference: Option<Reference>,
    /// Which diameter is wanted or given.
    #[arg(long, value_enum)]
    pub diameter_kind: Option<Reference>,
    /// Shape of the canopy, for the ratio between diameters: "flat circular", "hemispherical".
    #[arg(long)]
    pub shape: Option<String>,
    /// Diameter of the kind given or wanted over the one the coefficient is on, instead of a shape.
    #[arg(long, value_name = "NUMBER", conflicts_with = "shape")]
    pub ratio: Option<String>,
    /// Density of the air.
    #[arg(long, default_value = "1.225 kg/m³")]
    pub density: String,
    /// Gravity.
    #[arg(long, default_value = "9.80665 m/s²")]
    pub gravity: String,
    /// Print JSON, SI.
    #[arg(long)]
    pub json: bool,
}

/// Which area or diameter of a canopy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Reference {
    /// Of a circle as large as all cloth, vent and slots included.
    Nominal,
    /// As sewn, laid out flat or measured along the shape.
    Constructed,
    /// As inflated, seen from below.
    Projected,
}
