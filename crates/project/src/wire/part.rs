//! A part that comes down on its own: what it weighs, how it hangs, what may happen to it.

use silkfall_core::quantity::{Area, Length, Mass, Time, Volume};

use super::{Bay, Content, Device, Door, Factors, Flight, Harness, Member, Opening, SensorBay, Stage};
use crate::project::Limit;
use crate::value::{Known, Money, Quantity, Share};
use crate::walk::{Inner, Needed, Rows};
use crate::words::{BodyShape, Hangs, Opens};

table! {
    /// Something that comes down by itself under canopies.
    Part "[[part]]" {
        /// Its name.
        name: Needed<String>;
        /// All that comes down, its main canopies apart.
        mass: Known<Quantity<Mass>> = "1 g" to "100000 kg";
        /// Share of flights wanted within each limit, where a case says nothing else.
        share_wanted: Known<Quantity<Share>> = "1 %" to "99.99 %";
        /// Its outside, and how it hangs.
        body: Inner<Body>;
        /// How its canopies are to be rigged, and what they may take.
        rig: Inner<Rig>;
        /// How it hangs from its riser.
        harness: Inner<Harness>;
        /// What carries its load, from the cloth to the part.
        member: Rows<Member>;
        /// Design factors of all of that.
        factors: Inner<Factors>;
        /// What is in it and must not be shaken too hard.
        content: Rows<Content>;
        /// What has to work so that it comes down as meant.
        device: Rows<Device>;
        /// What may happen.
        case: Rows<Case>;
        /// What brakes it one after the other on the way down; left out, its canopies from the start.
        stage: Rows<Stage>;
        /// What is asked of the loads at opening.
        opening: Inner<Opening>;
        /// How its own fall starts, where that differs from `[flight]`.
        flight: Inner<Flight>;
        /// Time from seeing that something failed to acting, for the lowest safe height to open.
        reaction: Known<Quantity<Time>> = "0 s" to "60 s";
        /// The round bay that its canopies are packed in, and what opens it.
        bay: Inner<Bay>;
        /// A door through which something is thrown out sideways.
        door: Inner<Door>;
        /// The room of its barometer, and the ports through which it breathes.
        sensor_bay: Inner<SensorBay>;
    }

    /// A body's outside.
    Body "[part.body]" {
        /// Its shape.
        shape: Known<BodyShape>;
        /// Its length along its long axis.
        length: Known<Quantity<Length>> = "1 cm" to "200 m";
        /// Its diameter, or the wider side of a box.
        diameter: Known<Quantity<Length>> = "1 mm" to "50 m";
        /// Whether its long axis lies across the fall or along it.
        hangs: Known<Hangs>;
        /// How many fins it has, evenly spaced.
        fins: Known<u32> = "1" to "12";
        /// Area of one fin, one side.
        fin_area: Known<Quantity<Area>> = "0.0001 m²" to "100 m²";
        /// From the front end to the middle of the fins, along the body.
        fins_at: Known<Quantity<Length>> = "0 m" to "200 m";
    }

    /// How a part's full-size canopies are to be rigged, and what all of them together may take.
    Rig "[part.rig]" {
        /// Shape wanted; left out, every offer is tried.
        shape: Known<String>;
        /// Suspension lines, from the skirt to where they meet.
        line_length: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Riser from the body to where the lines meet.
        riser_length: Known<Quantity<Length>> = "0 m" to "500 m";
        /// How much of that riser all canopies share, from the body up; the rest is each canopy's own.
        common_riser: Known<Quantity<Length>> = "0 m" to "500 m";
        /// The most canopies to try.
        count_at_most: Known<u32> = "1" to "100";
        /// Room for all its canopies as packed.
        room: Known<Quantity<Volume>> = "0.001 L" to "100 m³";
        /// The most all its canopies may weigh.
        mass_at_most: Known<Quantity<Mass>> = "0.1 g" to "10000 kg";
        /// The most all its canopies may cost, in the currency of the offers.
        price_at_most: Known<Quantity<Money>> = "0" to "1e9";
    }

    /// One thing that may happen to a part.
    Case "[[part.case]]" {
        /// Its name.
        name: Needed<String>;
        /// What opens: "all", "all but one", a number, "nothing", "main at the top", "no drogue then main", "early", "not filled".
        opens: Needed<Opens>;
        /// What must not be passed at the ground: a rate or an energy; without one the case is not judged.
        limit: Known<Limit>;
        /// Share of flights wanted within the limit.
        share_wanted: Known<Quantity<Share>> = "1 %" to "99.99 %";
        /// How likely it is in a flight.
        chance: Known<Quantity<Share>> = "0 %" to "100 %";
        /// Where that chance comes from.
        chance_source: Known<String>;
        /// Share of the failures that have one cause for all canopies: one altimeter, one bag, one bay.
        shared_cause: Known<Quantity<Share>> = "0 %" to "100 %";
    }
}
