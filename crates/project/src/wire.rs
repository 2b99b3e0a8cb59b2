//! Every key that `silkfall.toml` may have, once: its name, what it holds, what it means, its bounds.
//!
//! The reader, the unknown-key check, the schema for editors and its text all come from these tables. A key's type says
//! how it is read: [`Needed`] must be there, [`Known`] may be `"?"` or left out, [`Maybe`] may be left out only.

use silkfall_core::load_path::{Carries, MemberKind};
use silkfall_core::quantity::{
    Angle, Area, DragArea, Force, Length, Mass, MassDensity, OverPressure, Pressure, Ratio, Shock, Stress,
    ThermodynamicTemperature, Time, Velocity, Volume,
};
use silkfall_core::shapes::Reference;
use silkfall_core::wind::Terrain;

use crate::landing::Towards;
use crate::load_path::Strength;
use crate::project::Limit;
use crate::value::{Day, Known, Money, Quantity, Scale, Share};
use crate::walk::{ByName, Inner, Many, Maybe, Needed, Rows};
use crate::words::{
    AtStart, BodyOn, BodyShape, DeviceIs, GasIs, GasSource, Gusts, Hangs, HeldBy, LawOfHeight, Opened, Opens,
    PinThread, PressureIs, Scaled, Units,
};

/// Declares tables: meaning, then `key: type = low to high;`, in the order in which they are usually written.
macro_rules! table {
    ($( $(#[doc = $means:literal])+ $name:ident $shown:literal {
        $( $(#[doc = $text:literal])+ $key:ident : $type:ty $(= $low:literal to $high:literal)?; )*
    } )*) => { $(
        $(#[doc = $means])+
        #[derive(Clone, Debug)]
        pub struct $name {
            $( $(#[doc = $text])+ pub $key: $type, )*
        }

        impl crate::walk::Table for $name {
            const NAME: &'static str = $shown;
            const MEANS: &'static str = concat!($($means),+);
            const KEYS: &'static [crate::walk::Key] = &[ $( crate::walk::Key {
                table: $shown,
                name: stringify!($key),
                means: concat!($($text),+),
                bounds: table!(@bounds $($low $high)?),
            }, )* ];

            fn walk(
                table: Option<&dyn toml_edit::TableLike>,
                at: &crate::walk::At,
                read: &mut crate::walk::Reader,
            ) -> Self {
                if let Some(table) = table {
                    read.keys::<Self>(table, at);
                }
                let mut keys = <Self as crate::walk::Table>::KEYS.iter();
                $name { $( $key: {
                    let key = keys.next().expect("there is a key for each field");
                    crate::walk::field(table, key, at, read)
                }, )* }
            }

            fn key_schemas(
                generator: &mut schemars::SchemaGenerator,
            ) -> Vec<(&'static crate::walk::Key, schemars::Schema, bool)> {
                let mut keys = <Self as crate::walk::Table>::KEYS.iter();
                vec![ $( {
                    let key = keys.next().expect("there is a key for each field");
                    let schema = <$type as crate::walk::Field>::schema(key, generator);
                    (key, schema, <$type as crate::walk::Field>::NEEDED)
                }, )* ]
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
                crate::walk::table_schema::<Self>(generator)
            }
        }
    )*

        /// Every table with its keys.
        pub const TABLES: &[(&str, &[crate::walk::Key])] =
            &[ $( ($shown, <$name as crate::walk::Table>::KEYS), )* ];
    };
    (@bounds) => { None };
    (@bounds $low:literal $high:literal) => { Some(($low, $high)) };
}

table! {
    /// A Silkfall project: what comes down, what was tested, in which air, and what may be bought. Quantities are
    /// texts with their units; "±" is a standard uncertainty, "within" a tolerance, and "?" is not known yet.
    Root "the project" {
        /// The format of this file.
        format: Needed<u32> = "1" to "1";
        /// What the project is called.
        name: Known<String>;
        /// Units that results are shown in.
        units: Known<Units>;
        /// The file of canopies that can be had, from the project folder: "canopies.csv".
        offers: Known<String>;
        /// The file of winds by height, from the project folder: "winds.csv".
        winds: Known<String>;
        /// The file of the field's edge and the places to keep out of: "field.geojson".
        field: Known<String>;
        /// Who answers for it, and for which day it is meant.
        plan: Inner<Plan>;
        /// Where and in which air the real thing comes down.
        site: Inner<Site>;
        /// The day's wind.
        wind: Inner<Wind>;
        /// How the fall starts.
        flight: Inner<Flight>;
        /// Days of tests, each at one place in one air.
        session: Rows<Session>;
        /// Canopies that flew in tests.
        canopy: Rows<Canopy>;
        /// Models of bodies used in tests.
        model: Rows<Model>;
        /// What comes down, each part by itself.
        part: Rows<Part>;
        /// Tests of models and of real canopies.
        test: Rows<Test>;
        /// The chosen candidate of each part, by the part's name.
        choice: ByName<Choice>;
    }

    /// What stands at the head of the paper that is handed over: who answers for it, and for which day it is meant.
    Plan "[plan]" {
        /// The number under which it is filed.
        number: Known<String>;
        /// Who built what flies.
        builder: Known<String>;
        /// Who decides at the field.
        safety_officer: Known<String>;
        /// The day it is meant for.
        date: Known<Day>;
    }

    /// Where and in which air the real thing comes down; doubts cover the days on which it may fly.
    Site "[site]" {
        /// The place in words.
        place: Known<String>;
        /// Ground above sea level.
        elevation: Known<Quantity<Length>> = "-500 m" to "9000 m";
        /// Latitude, north positive; sets gravity.
        latitude: Known<Quantity<Angle>> = "-90 °" to "90 °";
        /// Longitude, east positive; with the latitude the pad on the map.
        longitude: Known<Quantity<Angle>> = "-180 °" to "180 °";
        /// Air temperature at the ground.
        temperature: Known<Quantity<ThermodynamicTemperature>> = "-80 °C" to "60 °C";
        /// Air pressure; pressure_is says which.
        pressure: Known<Quantity<Pressure>> = "200 hPa" to "1100 hPa";
        /// Whether the pressure is the station's own or reduced to sea level.
        pressure_is: Known<PressureIs>;
        /// Relative humidity.
        humidity: Known<Quantity<Share>> = "0 %" to "100 %";
        /// Wind at the ground, as older files say it: `[wind] speed`.
        wind: Known<Quantity<Velocity>> = "0 m/s" to "60 m/s";
        /// Share of landings wanted inside the field and off the places to keep out of; left out, 99 %.
        share_inside: Known<Quantity<Share>> = "1 %" to "99.99 %";
    }

    /// The day's wind where the real thing comes down: a reading near the ground with a law of height, or the doubts of
    /// the winds by height that the file of `winds` gives.
    Wind "[wind]" {
        /// Speed of a reading near the ground, where there is no file of winds.
        speed: Known<Quantity<Velocity>> = "0 m/s" to "60 m/s";
        /// Where it blows from, from true north by east: "250 ° ± 15 °".
        from: Known<Quantity<Angle>> = "0 °" to "360 °";
        /// Height of the reading above the ground; left out, 10 m.
        measured_at: Known<Quantity<Length>> = "1 m" to "300 m";
        /// How the wind grows with height; left out, logarithmic, or power where an exponent stands.
        law: Known<LawOfHeight>;
        /// The land upwind, for the law's roughness.
        terrain: Known<Terrain>;
        /// Roughness length of the land upwind, in place of terrain.
        roughness: Known<Quantity<Length>> = "0.01 mm" to "5 m";
        /// Exponent of the power law, in place of terrain.
        exponent: Known<Quantity<Ratio>> = "0" to "1";
        /// Doubt of all speeds of the file of winds together.
        speed_doubt: Known<Quantity<Share>> = "0 %" to "100 %";
        /// Doubt of all directions of the file of winds together.
        direction_doubt: Known<Quantity<Angle>> = "0 °" to "180 °";
        /// Doubt of the wind at each height by itself, east and north alike.
        level_doubt: Known<Quantity<Velocity>> = "0 m/s" to "30 m/s";
        /// Heights so far apart have doubts of their own.
        level_correlation: Known<Quantity<Length>> = "1 m" to "50 km";
        /// Rising (above zero) or sinking air, the same at all heights: "0 m/s ± 0.3 m/s".
        rising_air: Known<Quantity<Velocity>> = "-10 m/s" to "10 m/s";
        /// Gusts that are flown through.
        gusts: Known<Gusts>;
        /// What grows where winds of other strength are looked at: the winds at all heights, or at the ground alone.
        scaled: Known<Scaled>;
        /// Height at which "ground" has faded out.
        fades_by: Known<Quantity<Length>> = "1 m" to "50 km";
    }

    /// How the fall starts: where and how fast the thing is when it begins to fall, in calm and with wind. A part's own
    /// `[part.flight]` goes before, key by key.
    Flight "[flight]" {
        /// Height above the field's ground at which the fall starts.
        top: Known<Quantity<Length>> = "-1 km" to "50 km";
        /// How far east of the pad that is in calm.
        east: Known<Quantity<Length>> = "-200 km" to "200 km";
        /// How far north of the pad that is in calm.
        north: Known<Quantity<Length>> = "-200 km" to "200 km";
        /// Speed over ground there.
        speed: Known<Quantity<Velocity>> = "0 m/s" to "1000 m/s";
        /// Where that speed leads to: a direction from true north by east, "into the wind" or "any".
        towards: Known<Towards> = "0 °" to "360 °";
        /// Metres upwind of the place in calm for each m/s of ground wind.
        upwind_per_wind: Known<Quantity<Time>> = "-1000 s" to "1000 s";
        /// Metres higher for each m/s of ground wind; below zero, lower.
        top_per_wind: Known<Quantity<Time>> = "-1000 s" to "1000 s";
        /// Speed over ground at the top for each m/s of ground wind, on top of `speed`.
        speed_per_wind: Known<Quantity<Ratio>> = "-20" to "20";
        /// Correlation of the doubts of upwind_per_wind and top_per_wind.
        correlation: Known<Quantity<Ratio>> = "-1" to "1";
        /// Fastest speed upwards on the way to the top, at which bays must breathe.
        fastest_climb: Known<Quantity<Velocity>> = "0.1 m/s" to "2000 m/s";
        /// The start at each of several ground winds, in place of upwind_per_wind, top_per_wind, speed_per_wind and correlation.
        with_wind: Rows<WithWind>;
    }

    /// The start at one ground wind; between rows it is read off in straight lines.
    WithWind "[[flight.with_wind]]" {
        /// The ground wind.
        wind: Needed<Quantity<Velocity>> = "0 m/s" to "60 m/s";
        /// How far upwind of the place in calm.
        upwind: Known<Quantity<Length>> = "-200 km" to "200 km";
        /// Height above the field's ground.
        top: Known<Quantity<Length>> = "-1 km" to "50 km";
        /// Speed over ground.
        speed: Known<Quantity<Velocity>> = "0 m/s" to "1000 m/s";
    }

    /// A day of tests at one place: what all its drops share.
    Session "[[session]]" {
        /// Its name, by which tests call it.
        name: Needed<String>;
        /// The day: "2026-05-03".
        date: Known<Day>;
        /// The place in words.
        place: Known<String>;
        /// Ground above sea level.
        elevation: Known<Quantity<Length>> = "-500 m" to "9000 m";
        /// Latitude, north positive; sets gravity.
        latitude: Known<Quantity<Angle>> = "-90 °" to "90 °";
        /// The day's air temperature: 3.5 % of a rate for 10 K.
        temperature: Known<Quantity<ThermodynamicTemperature>> = "-80 °C" to "60 °C";
        /// The day's air pressure; pressure_is says which.
        pressure: Known<Quantity<Pressure>> = "200 hPa" to "1100 hPa";
        /// Whether the pressure is the station's own or reduced to sea level.
        pressure_is: Known<PressureIs>;
        /// Relative humidity.
        humidity: Known<Quantity<Share>> = "0 %" to "100 %";
        /// Mean wind near the ground while the drops were made: its gusts slow a canopy.
        wind: Known<Quantity<Velocity>> = "0 m/s" to "60 m/s";
        /// Rising or sinking air that all drops may share: one standard uncertainty about zero.
        slow_air: Known<Quantity<Velocity>> = "0 m/s" to "5 m/s";
        /// How far the logger's clock may run fast or slow: one standard uncertainty about zero.
        clock: Known<Quantity<Share>> = "0 %" to "10 %";
        /// How far the logger's heights may be long or short, the air apart: one standard uncertainty about zero.
        height_scale: Known<Quantity<Share>> = "0 %" to "20 %";
    }

    /// A canopy that flew in tests, by serial.
    Canopy "[[canopy]]" {
        /// Its serial, by which tests call it.
        serial: Needed<String>;
        /// Its shape in the trade's words: "flat circular".
        shape: Known<String>;
        /// Its diameter; diameter_is says what it measures.
        diameter: Known<Quantity<Length>> = "1 cm" to "100 m";
        /// What the diameter measures.
        diameter_is: Known<Reference>;
        /// Its suspension lines, from the skirt to where they meet.
        line_length: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Its mass with its lines.
        mass: Known<Quantity<Mass>> = "0.01 g" to "1000 kg";
        /// Diameter of its vent.
        vent: Known<Quantity<Length>> = "0 m" to "30 m";
        /// Its cloth in words.
        cloth: Known<String>;
        /// The offer of which it is a true copy in shape, line length, vent and cloth.
        copy_of: Known<String>;
        /// Its length over that of the offer it copies: "1/2"; left out, it is that very canopy.
        scale: Known<Quantity<Scale>> = "0.01" to "1";
    }

    /// A model of a part's body, used in tests.
    Model "[[model]]" {
        /// Its name, by which tests call it.
        name: Needed<String>;
        /// Its length over the real length: "1/2".
        scale: Known<Quantity<Scale>> = "0.01" to "1";
        /// Whether body and rigging are a true copy to that scale.
        scale_copy: Known<bool>;
    }

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

    /// How a part hangs from its riser: legs from points on it that meet in one place, the confluence. Places along the body
    /// count from its front end.
    Harness "[part.harness]" {
        /// The wanted angle of the front end above level in steady descent; left out, 0 ° for a body that hangs level, 90 °
        /// upright.
        angle: Known<Quantity<Angle>> = "-90 °" to "90 °";
        /// Height of the confluence above the centre of mass.
        confluence: Known<Quantity<Length>> = "1 cm" to "100 m";
        /// From the front end to the centre of mass of all that hangs.
        centre_of_mass: Known<Quantity<Length>> = "0 m" to "200 m";
        /// How far below the long axis the centre of mass lies, away from the side meant to be up.
        mass_below_axis: Known<Quantity<Length>> = "-10 m" to "10 m";
        /// How far the centre of mass may lie from there along the body: the tilt it makes is worked out.
        mass_may_move: Known<Quantity<Length>> = "0 m" to "50 m";
        /// From the front end to the centre of area, where the body's own drag acts; left out, from its shape.
        centre_of_area: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Where its legs are fastened.
        point: Rows<HarnessPoint>;
    }

    /// A place on the body from which a leg goes up.
    HarnessPoint "[[part.harness.point]]" {
        /// Its name.
        name: Needed<String>;
        /// From the front end, along the body.
        at: Known<Quantity<Length>> = "0 m" to "200 m";
        /// From the long axis; left out, on it.
        out: Known<Quantity<Length>> = "0 m" to "50 m";
        /// Round the long axis, from the side meant to be up; left out, 0 °.
        around: Known<Quantity<Angle>> = "-360 °" to "360 °";
        /// Length of its leg as made; left out, as the wanted angle asks for.
        leg: Known<Quantity<Length>> = "1 mm" to "200 m";
    }

    /// A member of the load path: what carries the pull of the canopies, and how strong it is.
    Member "[[part.member]]" {
        /// Its name.
        name: Needed<String>;
        /// What it is: "fabric", "lines", "skirt", "riser", "bridle", "swivel", "link", "harness", "eye bolt" or "bulkhead".
        is: Needed<MemberKind>;
        /// Its rated strength: of one line or link as a force, of fabric for its width ("7.4 kN/m").
        strength: Known<Strength>;
        /// How many lines share the pull.
        number: Known<u32> = "1" to "1000";
        /// Width of the fabric that carries; left out, all round the mouth of the canopy.
        width: Known<Quantity<Length>> = "1 mm" to "300 m";
        /// What it carries: "one canopy", "all" or "one leg"; left out, fabric, lines and skirt one canopy, others all.
        carries: Known<Carries>;
        /// The stage whose opening pulls at it; left out, the canopies of the part, or all that pulls at it.
        stage: Maybe<String>;
        /// The offer whose canopy it is part of; left out, of whichever is taken.
        of: Maybe<String>;
        /// The hardest pull on it as measured, in place of the one worked out: "620 N ± 60 N".
        pull: Known<Quantity<Force>> = "0.01 N" to "10000000 N";
        /// Strength wanted over pull beyond all that is known to take of it; left out, 1.5 as remembered for things without people.
        safety: Known<Quantity<Ratio>> = "1" to "20";
        /// How much harder than its share the hardest pulled of several lines is: "1.1".
        asymmetry: Known<Quantity<Ratio>> = "1" to "10";
        /// Share of the strength left at seams, knots and splices: "0.8".
        joints: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after abrasion.
        abrasion: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after use.
        fatigue: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when moist.
        moisture: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when hot; left out, it is not hot when it is pulled.
        heat: Known<Quantity<Ratio>> = "0.05" to "1";
    }

    /// Design factors of a part's load path; a member's own go before, key by key.
    Factors "[part.factors]" {
        /// Strength wanted over pull beyond all that is known to take of it; left out, 1.5 as remembered for things without people.
        safety: Known<Quantity<Ratio>> = "1" to "20";
        /// How much harder than its share the hardest pulled of several lines is: "1.1".
        asymmetry: Known<Quantity<Ratio>> = "1" to "10";
        /// Share of the strength left at seams, knots and splices: "0.8".
        joints: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after abrasion.
        abrasion: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left after use.
        fatigue: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when moist.
        moisture: Known<Quantity<Ratio>> = "0.05" to "1";
        /// Share left when hot; left out, it is not hot when it is pulled.
        heat: Known<Quantity<Ratio>> = "0.05" to "1";
    }

    /// Something in a part that must not be shaken too hard.
    Content "[[part.content]]" {
        /// Its name.
        name: Needed<String>;
        /// Its mass.
        mass: Known<Quantity<Mass>> = "0.01 g" to "100000 kg";
        /// The shock it bears: "40 g".
        limit: Known<Quantity<Shock>> = "0.1 g" to "100000 g";
    }

    /// One thing that may fail: a battery, an altimeter, a release, a bag.
    Device "[[part.device]]" {
        /// Its name, by which other devices call it.
        name: Needed<String>;
        /// What it is.
        is: Known<DeviceIs>;
        /// Devices without which it does nothing, all of them.
        needs: Many<String>;
        /// Devices that set it going, each of which is enough.
        fired_by: Many<String>;
        /// What comes out by it: "canopies", or the name of a stage.
        opens: Known<String>;
        /// How many canopies depend on it; left out, all of them.
        canopies: Known<u32> = "1" to "100";
        /// What may strike it together with others that name the same: "iced ports".
        shared_causes: Many<String>;
        /// Whether it may act too early; left out, altimeters, timers, charges, cutters and releases may.
        may_act_early: Known<bool>;
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

    /// What brakes on a stretch of the way down, and when it begins.
    Stage "[[part.stage]]" {
        /// Its name.
        name: Needed<String>;
        /// Drag area of what brakes here: "0.35 m² ± 8 %".
        drag_area: Known<Quantity<DragArea>> = "0.0001 m²" to "100000 m²";
        /// "canopies": the part's chosen canopies open here, in place of a drag area.
        opens: Known<Opened>;
        /// "start": it begins where the fall starts.
        begins: Known<AtStart>;
        /// It begins so long after the start of the fall.
        after: Known<Quantity<Time>> = "0 s" to "10000 s";
        /// It begins at this height above the field's ground.
        below: Known<Quantity<Length>> = "1 m" to "50 km";
        /// How long it takes to fill.
        fill_time: Known<Quantity<Time>> = "0 s" to "100 s";
        /// How many of its diameters it falls while it fills, in place of a time.
        fill_diameters: Known<Quantity<Ratio>> = "0" to "100";
        /// Power of time with which its drag area grows while it fills; left out, 2.
        growth: Known<Quantity<Ratio>> = "0.5" to "10";
        /// Opening force factor, the largest force over the steady one where nothing slows down; left out, as remembered of the shape.
        opening_force: Known<Quantity<Ratio>> = "0.5" to "5";
        /// Where opening_force, growth and fill were measured: "load cell, three drops on 9 May".
        filling_from: Known<String>;
        /// Whether the stage before goes on braking; left out, it does not.
        stays: Known<bool>;
        /// What holds it small at first.
        reefing: Inner<Reefing>;
        /// What is thrown out or parts when it begins, and the cord between the two.
        cord: Inner<Cord>;
    }

    /// What holds the canopies of a stage small at first: a line round the mouth until it is cut, or a slider until it is down.
    Reefing "[part.stage.reefing]" {
        /// "line" or "slider"; left out, a line.
        by: Known<HeldBy>;
        /// Drag area while held, over the full one: "12 % ± 2 %".
        share: Known<Quantity<Share>> = "1 %" to "95 %";
        /// Length of the reefing line, in place of a share.
        line: Known<Quantity<Length>> = "1 cm" to "300 m";
        /// From line stretch until the line is cut, or how long the slider comes down.
        held_for: Known<Quantity<Time>> = "0 s" to "600 s";
    }

    /// What is thrown out or parts when a stage begins, and the cord at whose end it snatches; of several canopies one, each on a
    /// cord of its own.
    Cord "[part.stage.cord]" {
        /// Mass at the far end; left out where the canopies open, that of one canopy.
        throws: Known<Quantity<Mass>> = "1 g" to "10000 kg";
        /// Speed at which the two are apart when the cord comes taut; left out, all of the speed at that moment, which bounds it
        /// for what is let go and not for what is thrown.
        apart: Known<Quantity<Velocity>> = "0.1 m/s" to "1000 m/s";
        /// Its length.
        length: Known<Quantity<Length>> = "1 cm" to "500 m";
        /// How far it stretches until it breaks, over its length: "22 %".
        stretch: Known<Quantity<Share>> = "0.1 %" to "300 %";
        /// Its rated strength.
        strength: Known<Quantity<Force>> = "1 N" to "10000000 N";
        /// How far it is bent over the rim that it leaves; left out, 90 °.
        bends: Known<Quantity<Angle>> = "0 °" to "180 °";
    }

    /// What is asked of the loads at opening, beside the plan: the hardest of it is what has to be borne.
    Opening "[part.opening]" {
        /// A stage opens so late: "2 s"; left out, none is asked to open late.
        late: Known<Quantity<Time>> = "0 s" to "600 s";
        /// Whether a stage may open with none before it having opened; left out, it may.
        nothing_before: Known<bool>;
        /// Whether a stage may open where the fall starts; left out, it may.
        at_the_top: Known<bool>;
        /// Share of what all canopies pull together that one of them may bear: "60 %"; used only where that is more than one canopy
        /// that catches the whole mass.
        share_of_one: Known<Quantity<Share>> = "1 %" to "100 %";
    }

    /// A test: drops of one configuration in recordings, or a rate, or a force at a speed.
    Test "[[test]]" {
        /// Its name.
        name: Needed<String>;
        /// The part it tells about.
        part: Needed<String>;
        /// The model that was used; left out, the real thing.
        model: Maybe<String>;
        /// The session it was made in; left out, the day's air is not known.
        session: Maybe<String>;
        /// Recordings, from the project folder: ["logs/one.csv"].
        logs: Many<String>;
        /// A rate that was stated instead of recorded: "5.1 m/s ± 2 %".
        rate: Known<Quantity<Velocity>> = "0.1 m/s" to "200 m/s";
        /// A pull, towed or held in wind, instead of a drop.
        force: Known<Quantity<Force>> = "0.001 N" to "10000000 N";
        /// Speed of the air during that pull.
        at: Known<Quantity<Velocity>> = "0.1 m/s" to "200 m/s";
        /// Serials of the canopies that were open.
        canopies: Many<String>;
        /// Whether the body hung under them, or a compact weight.
        body: Known<BodyOn>;
        /// What hung under the canopies: model body or weight.
        load: Known<Quantity<Mass>> = "0.1 g" to "100000 kg";
        /// All canopies with lines, where weighed together; left out, the sum of their own.
        canopy_mass: Known<Quantity<Mass>> = "0 g" to "10000 kg";
        /// Lines, risers and links not weighed with the canopies.
        lines: Known<Quantity<Mass>> = "0 g" to "1000 kg";
        /// The logger, where it is not part of the load.
        logger: Known<Quantity<Mass>> = "0 g" to "100 kg";
        /// Ballast of all drops.
        ballast: Known<Quantity<Mass>> = "0 g" to "10000 kg";
        /// Riser from the load to where the lines meet.
        riser_length: Known<Quantity<Length>> = "0 m" to "500 m";
        /// Suspension lines, where they differ from the canopies' own.
        line_length: Known<Quantity<Length>> = "0 m" to "200 m";
        /// Height of the drop as taped.
        fell: Known<Quantity<Length>> = "0.5 m" to "50 km";
        /// How to read its recordings, where looking at them does not tell.
        reading: Inner<Reading>;
        /// What is to be said of single drops.
        drop: Rows<Drop>;
    }

    /// What is to be said of one drop, named by its recording and a time inside it.
    Drop "[[test.drop]]" {
        /// The recording, one of the test's.
        log: Needed<String>;
        /// A time inside the drop, from the recording's first sample.
        at: Needed<Quantity<Time>> = "0 s" to "1e9 s";
        /// The steady stretch to use: ["813.9 s", "816.2 s"].
        window: Many<Quantity<Time>> = "0 s" to "1e9 s";
        /// Why the drop does not count.
        set_aside: Maybe<String>;
        /// Count the drop although it would be set aside.
        keep: Maybe<bool>;
        /// Ballast of this drop, on top of the test's.
        ballast: Known<Quantity<Mass>> = "0 g" to "10000 kg";
        /// Height of this drop as taped.
        fell: Known<Quantity<Length>> = "0.5 m" to "50 km";
    }

    /// How to read a test's recordings; the same words as the options of silkfall reduce.
    Reading "[test.reading]" {
        /// Time column and unit: "1:s".
        time: Maybe<String>;
        /// Height column and unit: "2:ft".
        height: Maybe<String>;
        /// Pressure column and unit: "3:hPa".
        pressure: Maybe<String>;
        /// Temperature column and unit: "4:°C".
        temperature: Maybe<String>;
        /// ",", ";", "tab" or "space".
        delimiter: Maybe<String>;
        /// "." or ",".
        decimal: Maybe<String>;
        /// So many lines stand above the data, the last of them naming the columns.
        header_lines: Maybe<u32> = "0" to "100000";
        /// "utf-8", "utf-16le", "utf-16be" or "latin-1".
        encoding: Maybe<String>;
        /// Name of the sheet in a spreadsheet.
        sheet: Maybe<String>;
        /// Look only between these times: ["60 s", "900 s"].
        between: Many<Quantity<Time>> = "0 s" to "1e9 s";
    }

    /// A chosen candidate.
    Choice "[choice]" {
        /// The offer's id.
        offer: Needed<String>;
        /// How many of them.
        count: Needed<u32> = "1" to "100";
    }
}

/// The tables that have a key of that name.
pub fn tables_with(key: &str) -> Vec<&'static str> {
    TABLES
        .iter()
        .filter(|(_, keys)| keys.iter().any(|known| known.name == key))
        .map(|(table, _)| *table)
        .collect()
}
