//! What is known of the way down: the day's wind, how the fall starts, and the stages in which a part brakes.
//!
//! As everywhere in a [`Project`] these are the values as written; no default is filled in. Heights are above the field's
//! ground, places in metres from the pad, directions from true north by east.

use silkfall_core::quantity::{Angle, DragArea, Force, Length, Mass, Ratio, Time, Velocity};
use silkfall_core::wind::Terrain;

use crate::project::{Part, Project};
use crate::value::{Known, Quantity, Said, Share, Spot};
use crate::words::{Gusts, HeldBy, LawOfHeight, Scaled};

/// The day's wind: a reading near the ground with a law of height, or the doubts of winds by height.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wind {
    /// Speed near the ground; `[site] wind` of older files stands here too. Speed, direction and height of a reading are
    /// absent where the project names a file of winds.
    pub speed: Known<Quantity<Velocity>>,
    /// Where it blows from.
    pub from: Known<Quantity<Angle>>,
    /// Height of the reading; absent: 10 m.
    pub measured_at: Known<Quantity<Length>>,
    /// How the wind grows with height; absent: the power law where an exponent is given, else the logarithmic one. Below
    /// the lowest wind of a file it leads down to the ground.
    pub law: Known<LawOfHeight>,
    /// The land upwind; at most one of terrain, roughness and exponent is given.
    pub terrain: Known<Terrain>,
    /// Its roughness length.
    pub roughness: Known<Quantity<Length>>,
    /// The exponent of the power law.
    pub exponent: Known<Quantity<Ratio>>,
    /// Relative standard uncertainty of all speeds of a table together.
    pub speed_doubt: Known<Quantity<Share>>,
    /// Standard uncertainty of all directions of a table together.
    pub direction_doubt: Known<Quantity<Angle>>,
    /// Standard uncertainty of each component of the wind at each height.
    pub level_doubt: Known<Quantity<Velocity>>,
    /// The height over which that doubt is correlated.
    pub level_correlation: Known<Quantity<Length>>,
    /// Rising air, below zero sinking.
    pub rising_air: Known<Quantity<Velocity>>,
    /// Gusts that are flown through.
    pub gusts: Known<Gusts>,
    /// What grows where winds of other strength are looked at.
    pub scaled: Known<Scaled>,
    /// The height at which [`Scaled::Ground`] has faded out.
    pub fades_by: Known<Quantity<Length>>,
    /// Where `[wind]` stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// How the fall starts: the climb is not worked out here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flight {
    /// Height above the field's ground.
    pub top: Known<Quantity<Length>>,
    /// How far east of the pad, in calm.
    pub east: Known<Quantity<Length>>,
    /// How far north of the pad, in calm.
    pub north: Known<Quantity<Length>>,
    /// Speed over ground, in calm.
    pub speed: Known<Quantity<Velocity>>,
    /// Where that speed leads to.
    pub towards: Known<Towards>,
    /// Fastest speed upwards on the way to the top.
    pub fastest_climb: Known<Quantity<Velocity>>,
    /// How all that goes with the ground wind.
    pub by_wind: ByWind,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// Where the speed over ground at the top leads to.
#[derive(Clone, Debug, PartialEq)]
pub enum Towards {
    /// That direction.
    Bearing(Quantity<Angle>),
    /// Where the ground wind comes from.
    IntoTheWind,
    /// Any direction, one as likely as another.
    Any,
}

/// How the start goes with the ground wind.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum ByWind {
    /// Nothing is said: the top of flight is fixed.
    #[default]
    Fixed,
    /// In proportion to the ground wind, on top of what holds in calm.
    Law(Box<LinearLaw>),
    /// Read off between rows: at least one, by growing wind.
    Table(Vec<WithWind>),
}

/// A start that changes in proportion to the ground wind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LinearLaw {
    /// Metres upwind of the place in calm, for each m/s.
    pub upwind: Known<Quantity<Time>>,
    /// Metres higher, for each m/s; below zero, lower.
    pub top: Known<Quantity<Time>>,
    /// Speed over ground, for each m/s.
    pub speed: Known<Quantity<Ratio>>,
    /// Correlation of the doubts of [`LinearLaw::upwind`] and [`LinearLaw::top`].
    pub correlation: Known<Quantity<Ratio>>,
}

/// The start at one ground wind, in place of what holds in calm.
#[derive(Clone, Debug, PartialEq)]
pub struct WithWind {
    /// The ground wind.
    pub wind: Said<Quantity<Velocity>>,
    /// How far upwind of the place in calm.
    pub upwind: Known<Quantity<Length>>,
    /// Height above the field's ground.
    pub top: Known<Quantity<Length>>,
    /// Speed over ground.
    pub speed: Known<Quantity<Velocity>>,
    /// Its number from 1 in the table as written, by which paths call it: `flight.with_wind.2.top`.
    pub number: usize,
}

/// A stretch of the way down with its own brake.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Its name.
    pub name: Said<String>,
    /// What brakes.
    pub brakes: Known<Brakes>,
    /// When it begins.
    pub begins: Known<Begins>,
    /// How long it takes to fill; absent: by the shape of its canopies.
    pub fill: Known<Fill>,
    /// Power of time with which its drag area grows while it fills; absent: 2.
    pub growth: Known<Quantity<Ratio>>,
    /// Opening force factor; absent: as remembered of the shape.
    pub opening_force: Known<Quantity<Ratio>>,
    /// Where it, growth and fill were measured.
    pub filling_from: Known<String>,
    /// Whether the stage before goes on braking; absent: it does not.
    pub stays: Known<bool>,
    /// What holds it small at first.
    pub reefing: Reefing,
    /// What is thrown out when it begins, on which cord.
    pub cord: Cord,
}

/// What holds the canopies of a stage small at first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reefing {
    /// A line or a slider; absent: a line.
    pub by: Known<HeldBy>,
    /// How small.
    pub held: Known<Held>,
    /// From line stretch to the cut, or how long the slider comes down.
    pub held_for: Known<Quantity<Time>>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// How small a canopy is held.
#[derive(Clone, Debug, PartialEq)]
pub enum Held {
    /// To that share of its drag area.
    Share(Quantity<Share>),
    /// By a line of that length.
    Line(Quantity<Length>),
}

/// What is thrown out or parts when a stage begins, and the cord between the two.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cord {
    /// Mass at the far end; absent where the canopies open: that of one canopy.
    pub throws: Known<Quantity<Mass>>,
    /// Speed at which the two are apart when it comes taut; absent: all of the speed at that moment.
    pub apart: Known<Quantity<Velocity>>,
    /// Its length.
    pub length: Known<Quantity<Length>>,
    /// Stretch at its break, over its length.
    pub stretch: Known<Quantity<Share>>,
    /// Its rated strength.
    pub strength: Known<Quantity<Force>>,
    /// Bend over the rim that it leaves; absent: a right angle.
    pub bends: Known<Quantity<Angle>>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

impl Stage {
    /// Whether the part's chosen canopies open here.
    pub fn opens_canopies(&self) -> bool {
        matches!(self.brakes.given(), Some(Brakes::Canopies))
    }
}

/// What brakes in a stage.
#[derive(Clone, Debug, PartialEq)]
pub enum Brakes {
    /// Something of this drag area.
    Area(Quantity<DragArea>),
    /// The part's chosen canopies.
    Canopies,
}

/// When a stage begins.
#[derive(Clone, Debug, PartialEq)]
pub enum Begins {
    /// Where the fall starts.
    Start,
    /// So long after the start.
    After(Quantity<Time>),
    /// At this height above the field's ground.
    Below(Quantity<Length>),
}

/// How long a stage takes to fill.
#[derive(Clone, Debug, PartialEq)]
pub enum Fill {
    /// A time.
    Time(Quantity<Time>),
    /// A fall of so many of its diameters.
    Diameters(Quantity<Ratio>),
}

/// Which table said something of a part's start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// Its own `[part.flight]`; paths begin with `part.NAME.flight`.
    Part,
    /// `[flight]`, which all parts share; paths begin with `flight`.
    All,
}

impl Project {
    /// What is said of a part's start under one key, and by which table: its own before the common one.
    ///
    /// # Examples
    /// ```
    /// use silkfall_project::landing::Whose;
    /// let text = "format = 1\n[flight]\ntop = \"800 m\"\nspeed = \"5 m/s\"\n\
    ///             [[part]]\nname = \"booster\"\n[part.flight]\ntop = \"250 m\"\n";
    /// let project = silkfall_project::parse(text, None).project.unwrap();
    /// let booster = project.part("booster").unwrap();
    /// let (top, whose) = project.flight_key(booster, |flight| &flight.top);
    /// assert_eq!((top.given().unwrap().si(), whose), (250.0, Whose::Part));
    /// assert_eq!(project.flight_key(booster, |flight| &flight.speed).1, Whose::All);
    /// ```
    pub fn flight_key<'a, T>(
        &'a self,
        part: &'a Part,
        key: impl Fn(&'a Flight) -> &'a Known<T>,
    ) -> (&'a Known<T>, Whose) {
        match key(&part.flight) {
            Known::Absent => (key(&self.flight), Whose::All),
            own => (own, Whose::Part),
        }
    }

    /// How a part's start goes with the ground wind, and which table says so: its own before the common one, whole.
    pub fn by_wind<'a>(&'a self, part: &'a Part) -> (&'a ByWind, Whose) {
        match &part.flight.by_wind {
            ByWind::Fixed => (&self.flight.by_wind, Whose::All),
            own => (own, Whose::Part),
        }
    }
}
