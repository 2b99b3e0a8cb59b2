//! Where, in which air and wind, and from where it falls.

use silkfall_core::quantity::{Angle, Length, Pressure, Ratio, ThermodynamicTemperature, Time, Velocity};
use silkfall_core::wind::Terrain;

use crate::landing::Towards;
use crate::value::{Day, Known, Quantity, Share};
use crate::walk::{Needed, Rows};
use crate::words::{Gusts, LawOfHeight, PressureIs, Scaled};

table! {
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
}
