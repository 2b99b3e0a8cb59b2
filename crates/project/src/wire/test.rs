//! What was dropped, towed or held in the wind.

use silkfall_core::quantity::{Force, Length, Mass, Time, Velocity};

use crate::value::{Known, Quantity};
use crate::walk::{Inner, Many, Maybe, Needed, Rows};
use crate::words::BodyOn;

table! {
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
}
