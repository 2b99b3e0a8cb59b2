//! What a column can mean and the units it can be in, with the many ways loggers and people spell them.
//!
//! Factors to SI are those of [`silkfall_core::quantity`], which checks them against NIST SP 811.

use silkfall_core::quantity::{self, Kind};
use std::fmt;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Means {
    /// Time of the row.
    Time,
    /// Height, from pressure or not.
    Height,
    /// Absolute air pressure.
    Pressure,
    /// Air or sensor temperature.
    Temperature,
    /// Anything else: speeds, positions, voltages, text.
    NotUsed,
}

impl Means {
    /// The word for it, and the name of its option.
    pub fn word(self) -> &'static str {
        match self {
            Means::Time => "time",
            Means::Height => "height",
            Means::Pressure => "pressure",
            Means::Temperature => "temperature",
            Means::NotUsed => "not used",
        }
    }
}

macro_rules! units {
    ($( $unit:ident, $means:ident, $symbol:literal, $name:literal, [$($word:literal),*]; )*) => {
        /// A unit that a column can be in.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Unit { $( #[doc = $name] $unit, )* }

        impl Unit {
            /// All of them.
            pub const ALL: &'static [Unit] = &[ $( Unit::$unit, )* ];

            /// What a column in this unit holds.
            pub fn means(self) -> Means {
                match self { $( Unit::$unit => Means::$means, )* }
            }

            /// The symbol, as options take it.
            pub fn symbol(self) -> &'static str {
                match self { $( Unit::$unit => $symbol, )* }
            }

            /// The name in words.
            pub fn name(self) -> &'static str {
                match self { $( Unit::$unit => $name, )* }
            }

            /// The unit of a lower-case word, as loggers and people spell it.
            fn of_lower(word: &str) -> Option<Unit> {
                match word {
                    $( $( $word )|* => Some(Unit::$unit), )*
                    _ => None,
                }
            }
        }
    };
}

units! {
    Second, Time, "s", "seconds", ["s", "sec", "secs", "second", "seconds", "sekunden", "sek", "secondes", "segundos", "secondi", "seconden", "sekunder", "с"];
    Millisecond, Time, "ms", "milliseconds", ["ms", "msec", "msecs", "millis", "millisec", "millisecond", "milliseconds", "millisekunden", "мс"];
    Microsecond, Time, "us", "microseconds", ["us", "µs", "μs", "usec", "usecs", "micros", "microsecond", "microseconds", "mikrosekunden", "мкс"];
    Minute, Time, "min", "minutes", ["min", "mins", "minute", "minutes", "minuten"];
    Metre, Height, "m", "metres", ["m", "meter", "meters", "metre", "metres", "mtr", "metri", "metros", "mètres", "м"];
    Foot, Height, "ft", "feet", ["ft", "feet", "foot", "fuß", "fuss", "pieds", "pies", "piedi"];
    Centimetre, Height, "cm", "centimetres", ["cm", "centimeter", "centimeters", "centimetre", "centimetres"];
    Millimetre, Height, "mm", "millimetres", ["mm", "millimeter", "millimeters", "millimetre", "millimetres"];
    Kilometre, Height, "km", "kilometres", ["km", "kilometer", "kilometers", "kilometre", "kilometres"];
    Pascal, Pressure, "Pa", "pascals", ["pa", "pascal", "pascals", "па"];
    Hectopascal, Pressure, "hPa", "hectopascals", ["hpa", "hectopascal", "hectopascals", "hektopascal", "гпа"];
    Kilopascal, Pressure, "kPa", "kilopascals", ["kpa", "kilopascal", "kilopascals", "кпа"];
    Millibar, Pressure, "mbar", "millibars", ["mbar", "mb", "mbars", "millibar", "millibars"];
    InchOfMercury, Pressure, "inHg", "inches of mercury", ["inhg", "in hg", "in-hg", "\"hg", "inches of mercury", "inches hg"];
    Psi, Pressure, "psi", "pounds per square inch", ["psi", "psia", "lb/in²", "lbf/in²"];
    MillimetreOfMercury, Pressure, "mmHg", "millimetres of mercury", ["mmhg", "mm hg", "torr", "mm-hg"];
    Celsius, Temperature, "C", "degrees Celsius", ["c", "°c", "degc", "deg c", "celsius", "deg celsius", "degrees c", "degrees celsius", "grad c", "℃", "ºc", "gradc"];
    Fahrenheit, Temperature, "F", "degrees Fahrenheit", ["f", "°f", "degf", "deg f", "fahrenheit", "degrees f", "℉", "ºf"];
    Kelvin, Temperature, "K", "kelvin", ["k", "kelvin", "°k"];
}

impl Unit {
    /// The unit of a word in any case: `FT`, `hPa`, `° C`.
    pub fn of_word(word: &str) -> Option<Unit> {
        let lower = word.trim().trim_end_matches('.').to_lowercase();
        let joined: Vec<&str> = lower.split_whitespace().collect();
        Unit::of_lower(&joined.join(" ")).or_else(|| Unit::of_lower(&joined.concat()))
    }

    /// The symbol as text prints it: "°C".
    pub fn printed(self) -> &'static str {
        self.quantity().symbol
    }

    /// The unit with its factor to SI (seconds, metres, pascals, kelvin).
    pub fn quantity(self) -> &'static quantity::Unit {
        let kind = match self.means() {
            Means::Time | Means::NotUsed => Kind::Time,
            Means::Height => Kind::Length,
            Means::Pressure => Kind::Pressure,
            Means::Temperature => Kind::Temperature,
        };
        kind.unit(self.symbol()).expect("a test finds every symbol in the units of its kind")
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_has_its_factor() {
        for (unit, si) in [
            (Unit::Foot, 0.3048),
            (Unit::Hectopascal, 100.0),
            (Unit::Millisecond, 0.001),
            (Unit::Celsius, 274.15),
        ] {
            assert!((unit.quantity().to_si(1.0) - si).abs() < 1e-12, "{unit}");
        }
        for unit in Unit::ALL {
            assert!(unit.quantity().factor > 0.0, "{unit}");
        }
    }

    #[test]
    fn spellings() {
        for (word, unit) in [
            ("FT", Unit::Foot),
            ("° C", Unit::Celsius),
            ("in Hg", Unit::InchOfMercury),
            ("sec.", Unit::Second),
        ] {
            assert_eq!(Unit::of_word(word), Some(unit), "{word}");
        }
        for unit in Unit::ALL {
            assert_eq!(Unit::of_word(unit.symbol()), Some(*unit));
        }
        assert_eq!(Unit::of_word("furlong"), None);
    }
}
