//! What is known of a part's bay, its door and its barometer's room.

use silkfall_core::quantity::{
    DragArea, Force, Length, Mass, MassDensity, OverPressure, Ratio, Stress, ThermodynamicTemperature,
    Velocity, Volume,
};

use crate::value::{Known, Quantity, Said, Share, Spot};
use crate::words::{GasIs, GasSource, PinThread};

/// The round bay that canopies are packed in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bay {
    /// Inner diameter.
    pub diameter: Known<Quantity<Length>>,
    /// Length free for what is packed.
    pub length: Known<Quantity<Length>>,
    /// Share of its section that packs fill; absent: all of it.
    pub section_filled: Known<Quantity<Share>>,
    /// Density that canopies are packed to where nothing was measured.
    pub packing_density: Known<Quantity<MassDensity>>,
    /// Rolls that were measured, by offer.
    pub rolls: Vec<Roll>,
    /// What else lies in it, from the bulkhead on.
    pub items: Vec<Item>,
    /// Pins that must break.
    pub pins: Known<u32>,
    /// What they break over.
    pub pin: Known<Pin>,
    /// Their strength in shear; absent: nylon.
    pub pin_strength: Known<Quantity<Stress>>,
    /// Pull that slides the lid out without pins.
    pub friction: Known<Quantity<Force>>,
    /// Mass that is pushed off.
    pub pushes: Known<Quantity<Mass>>,
    /// Force wanted over what holds; absent: 1.5.
    pub margin_wanted: Known<Quantity<Ratio>>,
    /// Vent holes; 0: sealed.
    pub vents: Known<u32>,
    /// Diameter of one.
    pub vent_diameter: Known<Quantity<Length>>,
    /// What makes the pressure.
    pub gas: Gas,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// What a pin breaks over.
#[derive(Clone, Debug, PartialEq)]
pub enum Pin {
    /// Somewhere between root and outside of a thread.
    Thread(PinThread),
    /// A smooth shaft.
    Smooth(Quantity<Length>),
}

/// What makes the pressure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gas {
    /// Where it comes from.
    pub source: Known<GasSource>,
    /// Which, where it is cold.
    pub gas: Known<GasIs>,
    /// How much is let out.
    pub mass: Known<Quantity<Mass>>,
    /// Temperature that it comes to; absent: the site's.
    pub temperature: Known<Quantity<ThermodynamicTemperature>>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// A roll of an offer's canopies that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Roll {
    /// The offer's id.
    pub offer: Said<String>,
    /// Its diameter.
    pub diameter: Known<Quantity<Length>>,
    /// Its length.
    pub length: Known<Quantity<Length>>,
    /// How many canopies it holds; absent: one.
    pub holds: Known<u32>,
}

/// Something that lies in the bay beside the canopies.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is.
    pub name: Said<String>,
    /// What it takes of the bay.
    pub takes: Known<Takes>,
    /// Its mass.
    pub mass: Known<Quantity<Mass>>,
}

/// What something takes of a bay.
#[derive(Clone, Debug, PartialEq)]
pub enum Takes {
    /// A length of it, whole: it keeps its shape.
    Length(Quantity<Length>),
    /// What a soft roll of this diameter and length holds.
    Roll(Quantity<Length>, Quantity<Length>),
    /// A volume.
    Volume(Quantity<Volume>),
    /// Its mass at a density; `None`: that of the canopies.
    Mass(Quantity<Mass>, Option<Quantity<MassDensity>>),
}

/// A door through which something is thrown out sideways.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Door {
    /// Length along the body.
    pub length: Known<Quantity<Length>>,
    /// Width across.
    pub width: Known<Quantity<Length>>,
    /// What throws.
    pub push: Known<Push>,
    /// Way over which it pushes.
    pub stroke: Known<Quantity<Length>>,
    /// Mass that is thrown.
    pub throws: Known<Quantity<Mass>>,
    /// Speed of the air along the body.
    pub stream: Known<Quantity<Velocity>>,
    /// Drag area of what is thrown; absent: by the door's size.
    pub drag_area: Known<Quantity<DragArea>>,
    /// From the door back to the fins.
    pub to_fins: Known<Quantity<Length>>,
    /// How far the fins stand out.
    pub fin_span: Known<Quantity<Length>>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// What throws something out of a door.
#[derive(Clone, Debug, PartialEq)]
pub enum Push {
    /// A pressure on the door's area.
    Pressure(Quantity<OverPressure>),
    /// A force.
    Force(Quantity<Force>),
    /// It leaves at a speed that was measured.
    Speed(Quantity<Velocity>),
}

/// The room of a barometer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SensorBay {
    /// Volume of its air.
    pub volume: Known<Quantity<Volume>>,
    /// Ports.
    pub ports: Known<u32>,
    /// Diameter of one.
    pub port_diameter: Known<Quantity<Length>>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}
