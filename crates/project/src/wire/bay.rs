//! Where its canopies are packed, and what lets them out.

use silkfall_core::quantity::{
    DragArea, Force, Length, Mass, MassDensity, OverPressure, Ratio, Stress, ThermodynamicTemperature,
    Velocity, Volume,
};

use crate::value::{Known, Quantity, Share};
use crate::walk::{Inner, Needed, Rows};
use crate::words::{GasIs, GasSource, PinThread};

table! {
    /// A round bay: what is packed in it, what holds its lid, what pushes that off.
    Bay "[part.bay]" {
        /// Inner diameter.
        diameter: Known<Quantity<Length>> = "5 mm" to "10 m";
        /// Length free for what is packed, from its bulkhead to its lid.
        length: Known<Quantity<Length>> = "5 mm" to "50 m";
        /// Share of its section that packs fill; left out, all of it.
        section_filled: Known<Quantity<Share>> = "10 %" to "100 %";
        /// Density that canopies are packed to where nothing was measured; left out, 180 to 280 kg/m³.
        packing_density: Known<Quantity<MassDensity>> = "50 kg/m³" to "1140 kg/m³";
        /// Rolls that were measured, by offer.
        roll: Rows<Roll>;
        /// What else lies in it, from the bulkhead on; the canopies lie next to the lid.
        item: Rows<Item>;
        /// Pins that must break.
        pins: Known<u32> = "0" to "100";
        /// Their thread: "M2", "#2-56"; or pin_diameter for smooth ones.
        pin_thread: Known<PinThread>;
        /// Diameter of smooth pins.
        pin_diameter: Known<Quantity<Length>> = "0.1 mm" to "50 mm";
        /// Their strength in shear; left out, nylon.
        pin_strength: Known<Quantity<Stress>> = "1 MPa" to "2000 MPa";
        /// Pull that slides the lid out without pins.
        friction: Known<Quantity<Force>> = "0 N" to "100000 N";
        /// Mass that is pushed off: lid, nose or what hangs on it.
        pushes: Known<Quantity<Mass>> = "0 g" to "10000 kg";
        /// Force wanted over what holds; left out, 1.5.
        margin_wanted: Known<Quantity<Ratio>> = "1" to "10";
        /// Vent holes of the bay; 0: it is sealed.
        vents: Known<u32> = "0" to "1000";
        /// Diameter of one.
        vent_diameter: Known<Quantity<Length>> = "0.1 mm" to "1 m";
        /// What makes the pressure.
        gas: Inner<GasOf>;
    }

    /// A roll that was measured: the canopies of an offer with lines, packed as they will be.
    Roll "[[part.bay.roll]]" {
        /// The offer's id.
        name: Needed<String>;
        /// Its diameter.
        diameter: Known<Quantity<Length>> = "1 mm" to "10 m";
        /// Its length.
        length: Known<Quantity<Length>> = "1 mm" to "50 m";
        /// How many canopies it holds; left out, one.
        holds: Known<u32> = "1" to "100";
    }

    /// Something that lies in the bay beside the canopies.
    Item "[[part.bay.item]]" {
        /// What it is: "riser", "bag".
        name: Needed<String>;
        /// Length it takes of the bay; with a diameter, that of its roll, which takes the bay's shape.
        length: Known<Quantity<Length>> = "0 mm" to "50 m";
        /// Diameter of its roll.
        diameter: Known<Quantity<Length>> = "1 mm" to "10 m";
        /// Volume it takes as packed, in place of a length.
        volume: Known<Quantity<Volume>> = "0.1 mL" to "100 m³";
        /// Its mass: with packing_density its volume, and what is pressed in any case.
        mass: Known<Quantity<Mass>> = "0 g" to "10000 kg";
        /// Density it packs to; left out, that of the canopies.
        packing_density: Known<Quantity<MassDensity>> = "50 kg/m³" to "20000 kg/m³";
    }

    /// What makes the pressure that opens a bay.
    GasOf "[part.bay.gas]" {
        /// Where the gas comes from: "cold gas" or "pyrotechnic".
        source: Known<GasSource>;
        /// Which gas, where it is cold.
        gas: Known<GasIs>;
        /// How much is let out; of a pyrotechnic source no amount is asked for.
        mass: Known<Quantity<Mass>> = "0.01 g" to "100 kg";
        /// Temperature that it comes to; left out, that of the site.
        temperature: Known<Quantity<ThermodynamicTemperature>> = "-80 °C" to "60 °C";
    }

    /// A door through which something is thrown out sideways.
    Door "[part.door]" {
        /// Its length along the body.
        length: Known<Quantity<Length>> = "5 mm" to "50 m";
        /// Its width across.
        width: Known<Quantity<Length>> = "5 mm" to "10 m";
        /// Pressure behind it, over the outside, where gas pushes.
        pressure: Known<Quantity<OverPressure>> = "1 Pa" to "10000 kPa";
        /// Force of a spring or a pusher, in place of a pressure.
        force: Known<Quantity<Force>> = "0.1 N" to "100000 N";
        /// Way over which it pushes.
        stroke: Known<Quantity<Length>> = "1 mm" to "10 m";
        /// Speed measured on the bench, in place of a push.
        speed: Known<Quantity<Velocity>> = "0.1 m/s" to "200 m/s";
        /// Mass that is thrown, with the door where that goes too.
        throws: Known<Quantity<Mass>> = "1 g" to "10000 kg";
        /// Speed of the air along the body at that moment.
        stream: Known<Quantity<Velocity>> = "0 m/s" to "1000 m/s";
        /// Drag area of what is thrown, still packed; left out, 1.2 times the door's own area.
        drag_area: Known<Quantity<DragArea>> = "0.00001 m²" to "100 m²";
        /// From the door back to the fins.
        to_fins: Known<Quantity<Length>> = "0 m" to "100 m";
        /// How far the fins stand out from the body.
        fin_span: Known<Quantity<Length>> = "0 m" to "20 m";
    }

    /// The room of a barometer.
    SensorBay "[part.sensor_bay]" {
        /// Volume of its air.
        volume: Known<Quantity<Volume>> = "0.1 mL" to "10 m³";
        /// Ports through which it breathes; 0: it cannot.
        ports: Known<u32> = "0" to "100";
        /// Diameter of one.
        port_diameter: Known<Quantity<Length>> = "0.1 mm" to "200 mm";
    }
}
