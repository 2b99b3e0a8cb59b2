//! What is known: the values of a project, as read from `silkfall.toml` and the offers file.
//!
//! A [`Project`] holds what a person wrote and nothing else: no default is filled in, nothing is worked out. Names are
//! resolved: a test that names a part, model, session or canopy that is not there is left out, with a finding.
//! Dotted paths such as `part.tube.mass` name a value in findings, in the ledger and in edits alike.

use silkfall_core::quantity::{
    Angle, Area, Energy, Force, Length, Mass, Pressure, ThermodynamicTemperature, Time, Velocity, Volume,
};
use silkfall_core::shapes::Reference;

use crate::bay::{Bay, Door, SensorBay};
use crate::devices::Device;
use crate::field::FieldFile;
use crate::harness::Harness;
use crate::landing::{Flight, Stage, Wind};
use crate::load_path::{Content, Factors, Member};
use crate::offers::Offer;
use crate::opening::Opening;
use crate::unknowns::Unknown;
use crate::value::{Day, Known, Money, Quantity, Said, Scale, Share, Spot};
use crate::winds::Winds;
use crate::words::{BodyOn, BodyShape, Hangs, Opens, PressureIs, Units};

/// A project.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Project {
    /// The format it is written in; `None` where it does not say.
    pub format: Option<Said<u32>>,
    /// What it is called.
    pub name: Known<String>,
    /// Units that results are shown in.
    pub units: Known<Units>,
    /// What stands at the head of the paper.
    pub plan: Plan,
    /// Where and in which air the real thing comes down.
    pub site: Site,
    /// The day's wind.
    pub wind: Wind,
    /// The file of winds by height, relative to the project folder.
    pub winds_file: Known<String>,
    /// The winds of that file, where it has any; filled in where the folder is read.
    pub winds: Option<Winds>,
    /// The file of the field's edge and places to keep out of, relative to the project folder.
    pub field_file: Known<String>,
    /// The field as its file draws it; filled in where the folder is read.
    pub field: Option<FieldFile>,
    /// How the fall starts, where a part does not say otherwise.
    pub flight: Flight,
    /// Places and days of tests.
    pub sessions: Vec<Session>,
    /// Canopies that flew in tests, by serial.
    pub canopies: Vec<Canopy>,
    /// Models of bodies used in tests.
    pub models: Vec<Model>,
    /// What comes down, each part by itself.
    pub parts: Vec<Part>,
    /// Tests of models and of real canopies.
    pub tests: Vec<Test>,
    /// The chosen candidates, at most one a part.
    pub choices: Vec<Choice>,
    /// The file of offers, relative to the project folder.
    pub offers_file: Known<String>,
    /// What can be bought, borrowed or is owned, from that file.
    pub offers: Vec<Offer>,
    /// The currency of their prices, where the file says it.
    pub currency: Option<String>,
    /// What is marked `"?"`, the most valuable first; the offers' too.
    pub unknowns: Vec<Unknown>,
}

impl Project {
    /// The part of that name.
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.name.value == name)
    }

    /// The session of that name.
    pub fn session(&self, name: &str) -> Option<&Session> {
        self.sessions.iter().find(|session| session.name.value == name)
    }

    /// The model of that name.
    pub fn model(&self, name: &str) -> Option<&Model> {
        self.models.iter().find(|model| model.name.value == name)
    }

    /// The canopy of that serial.
    pub fn canopy(&self, serial: &str) -> Option<&Canopy> {
        self.canopies.iter().find(|canopy| canopy.serial.value == serial)
    }

    /// The offer of that id.
    pub fn offer(&self, id: &str) -> Option<&Offer> {
        self.offers.iter().find(|offer| offer.id.value == id)
    }

    /// The choice for that part.
    pub fn choice(&self, part: &str) -> Option<&Choice> {
        self.choices.iter().find(|choice| choice.part.value == part)
    }
}

/// Who answers for what flies, and for which day it is meant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// The number under which it is filed.
    pub number: Known<String>,
    /// Who built what flies.
    pub builder: Known<String>,
    /// Who decides at the field.
    pub safety_officer: Known<String>,
    /// The day it is meant for.
    pub date: Known<Day>,
}

/// The air of a place and day; for a site the spread covers the days on which it may fly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Air {
    /// Ground above sea level.
    pub elevation: Known<Quantity<Length>>,
    /// Latitude, north positive.
    pub latitude: Known<Quantity<Angle>>,
    /// Air temperature at the ground.
    pub temperature: Known<Quantity<ThermodynamicTemperature>>,
    /// Air pressure; [`Air::pressure_is`] says which.
    pub pressure: Known<Quantity<Pressure>>,
    /// Whether the pressure is the station's or reduced to sea level.
    pub pressure_is: Known<PressureIs>,
    /// Relative humidity.
    pub humidity: Known<Quantity<Share>>,
}

/// Where the real thing comes down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Site {
    /// The place in words.
    pub place: Known<String>,
    /// Its air; its latitude is that of the pad.
    pub air: Air,
    /// Longitude of the pad, east positive.
    pub longitude: Known<Quantity<Angle>>,
    /// Share of landings wanted inside the field and off the places to keep out of; absent: 99 %.
    pub share_inside: Known<Quantity<Share>>,
    /// Where `[site]` stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// A day of tests at a place: what all its drops share.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    /// Its name, by which tests call it.
    pub name: Said<String>,
    /// The day.
    pub date: Known<Day>,
    /// The place in words.
    pub place: Known<String>,
    /// The day's air there.
    pub air: Air,
    /// Wind while the drops were made.
    pub wind: Known<Quantity<Velocity>>,
    /// Rising or sinking air that all drops may share, as one standard uncertainty about zero.
    pub slow_air: Known<Quantity<Velocity>>,
    /// Relative error of the logger's clock, as one standard uncertainty about zero.
    pub clock: Known<Quantity<Share>>,
    /// Relative error of the logger's heights beyond what the air explains, as one standard uncertainty about zero.
    pub height_scale: Known<Quantity<Share>>,
}

/// A canopy that flew in tests.
#[derive(Clone, Debug, PartialEq)]
pub struct Canopy {
    /// Its serial, by which tests call it.
    pub serial: Said<String>,
    /// Its shape in the trade's words.
    pub shape: Known<String>,
    /// Its diameter; [`Canopy::diameter_is`] says what it measures.
    pub diameter: Known<Quantity<Length>>,
    /// What the diameter measures.
    pub diameter_is: Known<Reference>,
    /// Length of its suspension lines, skirt to confluence.
    pub line_length: Known<Quantity<Length>>,
    /// Mass with its lines.
    pub mass: Known<Quantity<Mass>>,
    /// Diameter of its vent.
    pub vent: Known<Quantity<Length>>,
    /// Its cloth in words.
    pub cloth: Known<String>,
    /// The offer of which it is a true copy in shape, line length, vent and cloth, to [`Canopy::scale`]; an offer
    /// with scale 1 is the very canopy.
    pub copy_of: Known<String>,
    /// Its length over the offer's.
    pub scale: Known<Quantity<Scale>>,
}

/// A model of a part's body.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// Its name, by which tests call it.
    pub name: Said<String>,
    /// Its length over the real length.
    pub scale: Known<Quantity<Scale>>,
    /// Whether body and rigging are a true copy to that scale.
    pub scale_copy: Known<bool>,
}

/// A body's outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Body {
    /// Its shape.
    pub shape: Known<BodyShape>,
    /// Its length along its long axis.
    pub length: Known<Quantity<Length>>,
    /// Its diameter, or the wider side of a box.
    pub diameter: Known<Quantity<Length>>,
    /// How it hangs.
    pub hangs: Known<Hangs>,
    /// How many fins it has, evenly spaced.
    pub fins: Known<u32>,
    /// Area of one fin, one side.
    pub fin_area: Known<Quantity<Area>>,
    /// From the front end to the middle of the fins.
    pub fins_at: Known<Quantity<Length>>,
    /// Where it stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// How a part's full-size canopies are to be rigged.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rig {
    /// Shape wanted, in the trade's words; without one every offer is tried.
    pub shape: Known<String>,
    /// Length of the suspension lines.
    pub line_length: Known<Quantity<Length>>,
    /// Length of the riser from the body to the confluence of the lines.
    pub riser_length: Known<Quantity<Length>>,
    /// How much of it all canopies share, from the body up.
    pub common_riser: Known<Quantity<Length>>,
    /// The most canopies to try.
    pub count_at_most: Known<u32>,
    /// Room for all its canopies as packed.
    pub room: Known<Quantity<Volume>>,
    /// The most all its canopies may weigh.
    pub mass_at_most: Known<Quantity<Mass>>,
    /// The most all its canopies may cost.
    pub price_at_most: Known<Quantity<Money>>,
}

/// Something that comes down by itself under canopies.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name.
    pub name: Said<String>,
    /// All that comes down, its main canopies apart.
    pub mass: Known<Quantity<Mass>>,
    /// Its outside.
    pub body: Body,
    /// How its canopies are to be rigged.
    pub rig: Rig,
    /// How it hangs from its riser.
    pub harness: Harness,
    /// What has to work so that it comes down as meant, in the order written.
    pub devices: Vec<Device>,
    /// What carries its load, in the order written.
    pub members: Vec<Member>,
    /// Design factors of all of them.
    pub factors: Factors,
    /// What is in it and must not be shaken too hard.
    pub contents: Vec<Content>,
    /// Share of flights wanted within each limit, where a case says nothing else.
    pub share_wanted: Known<Quantity<Share>>,
    /// What may happen.
    pub cases: Vec<Case>,
    /// What brakes it one after the other on the way down, in that order; empty: its canopies from the start.
    pub stages: Vec<Stage>,
    /// What is asked of the loads at opening.
    pub opening: Opening,
    /// How its own fall starts; what is absent here is as in [`Project::flight`].
    pub flight: Flight,
    /// Time from seeing that something failed to acting.
    pub reaction: Known<Quantity<Time>>,
    /// The bay that its canopies are packed in.
    pub bay: Bay,
    /// A door through which something is thrown out sideways.
    pub door: Door,
    /// The room of its barometer.
    pub sensor_bay: SensorBay,
}

/// What a case's limit is on.
#[derive(Clone, Debug, PartialEq)]
pub enum Limit {
    /// Descent rate at the ground.
    Rate(Quantity<Velocity>),
    /// Kinetic energy at the ground of part and canopies.
    Energy(Quantity<Energy>),
}

/// One thing that may happen to a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Its name.
    pub name: Said<String>,
    /// What opens.
    pub opens: Said<Opens>,
    /// What must not be passed; without one the case is not judged.
    pub limit: Known<Limit>,
    /// Share of flights wanted within the limit; absent: the part's.
    pub share_wanted: Known<Quantity<Share>>,
    /// How likely it is in a flight.
    pub chance: Known<Quantity<Share>>,
    /// Where that chance comes from.
    pub chance_source: Known<String>,
    /// Share of its failures that have one common cause for all canopies.
    pub shared_cause: Known<Quantity<Share>>,
}

/// A test of a model or of the real thing: drops of one configuration, a rate, or a force at a speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its name.
    pub name: Said<String>,
    /// The part it tells about.
    pub part: Said<String>,
    /// The model that was used; `None` for the real thing.
    pub model: Option<Said<String>>,
    /// The session it was made in; `None` leaves the day's air unknown.
    pub session: Option<Said<String>>,
    /// What was measured.
    pub evidence: Evidence,
    /// Serials of the canopies that were open, in the order written; one serial stands once. Empty where they are not
    /// known yet.
    pub canopies: Vec<Said<String>>,
    /// Whether it is wanted and not known yet which were open.
    pub canopies_unknown: bool,
    /// Whether the body hung under them.
    pub body: Known<BodyOn>,
    /// All that came down, item by item.
    pub falls: Falls,
    /// Riser from the load to the confluence of the lines.
    pub riser_length: Known<Quantity<Length>>,
    /// Suspension lines, where they differ from the canopies' own.
    pub line_length: Known<Quantity<Length>>,
    /// Height of the drop as taped, from the load's underside to the ground.
    pub fell: Known<Quantity<Length>>,
    /// Where `[[test]]` stands.
    pub spot: Spot,
}

/// What came down in a test; a drop's own ballast is added in [`DropNote`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Falls {
    /// The load: model body or weight.
    pub load: Known<Quantity<Mass>>,
    /// All canopies together, where they were weighed so; absent: the sum of the canopies' own.
    pub canopies: Known<Quantity<Mass>>,
    /// Lines, risers and links not weighed with the canopies.
    pub lines: Known<Quantity<Mass>>,
    /// The logger, where it is not part of the load.
    pub logger: Known<Quantity<Mass>>,
    /// Ballast of all drops.
    pub ballast: Known<Quantity<Mass>>,
}

/// What a test measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Evidence {
    /// Recordings of drops.
    Logs {
        /// Paths relative to the project folder, with `/`.
        logs: Vec<Said<String>>,
        /// What was said of single drops.
        drops: Vec<DropNote>,
        /// How to read the recordings.
        reading: Box<Reading>,
    },
    /// A rate that was stated, in the session's air.
    Rate(Known<Quantity<Velocity>>),
    /// A pull, held or towed in wind: drag area is force over dynamic pressure.
    Force {
        /// The pull along the wind.
        force: Known<Quantity<Force>>,
        /// The speed of the air.
        at: Known<Quantity<Velocity>>,
    },
}

/// What was said of one drop, named by its recording and a time inside it.
#[derive(Clone, Debug, PartialEq)]
pub struct DropNote {
    /// The recording, one of the test's.
    pub log: Said<String>,
    /// A time inside the drop, from the recording's first sample.
    pub at: Said<Quantity<Time>>,
    /// The steady stretch to use instead of the one found.
    pub window: Option<Said<Window>>,
    /// Why the drop does not count.
    pub set_aside: Option<Said<String>>,
    /// Whether it counts although it would be set aside.
    pub keep: bool,
    /// Ballast of this drop, on top of the test's.
    pub ballast: Known<Quantity<Mass>>,
    /// Its height as taped, instead of the test's.
    pub fell: Known<Quantity<Length>>,
}

/// A stretch of time, from the recording's first sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Its start.
    pub from: Quantity<Time>,
    /// Its end, later than the start.
    pub to: Quantity<Time>,
}

/// How to read a test's recordings where looking at them does not tell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// What was said of columns, units and marks.
    pub options: silkfall_intake::Reading,
    /// Only what lies between these times is looked at.
    pub between: Option<Said<Window>>,
}

/// A chosen candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// For this part.
    pub part: Said<String>,
    /// The offer's id.
    pub offer: Said<String>,
    /// How many of them, at least 1.
    pub count: Said<u32>,
}
