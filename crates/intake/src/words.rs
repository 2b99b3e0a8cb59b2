//! Column names: what their words mean and which unit they state.
//!
//! A name is a unit in brackets (`Altitude (ft)`, `Alt [m]`), behind a slash (`p/hPa`) or as last word
//! (`height_m`, `Zeit in s`, `timeMs`), and words in one of the usual languages. Words of speed, position, state and
//! the like take a column out, whatever else it says ("vertical speed of altitude").

use crate::units::{Means, Unit};

/// What a name says.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Said {
    pub means: Option<Means>,
    pub unit: Option<Unit>,
    /// From satellites, radar or a tape, not from pressure.
    pub not_from_pressure: bool,
    /// Smoothed, so that noise is correlated; a raw column is better.
    pub smoothed: bool,
    /// Counts rows; a time only with a stated rate.
    pub counter: bool,
}

const HEIGHT: &[&str] = &[
    "alt",
    "altitude",
    "height",
    "h",
    "z",
    "elev",
    "elevation",
    "agl",
    "asl",
    "msl",
    "amsl",
    "hoehe",
    "höhe",
    "hohe",
    "flughöhe",
    "hauteur",
    "altezza",
    "quota",
    "altura",
    "altitud",
    "hoogte",
    "høyde",
    "hoyde",
    "höjd",
    "højde",
    "wysokość",
    "wysokosc",
    "výška",
    "vyska",
    "korkeus",
    "magasság",
    "yükseklik",
    "высота",
    "高度",
    "高さ",
    "baroalt",
    "altm",
    "altft",
    "gpsalt",
    "galt",
];
const PRESSURE: &[&str] = &[
    "p",
    "pres",
    "press",
    "pressure",
    "baro",
    "barometer",
    "barometric",
    "druck",
    "luftdruck",
    "pression",
    "pressione",
    "presión",
    "presion",
    "pressão",
    "pressao",
    "druk",
    "luchtdruk",
    "tryck",
    "lufttryck",
    "trykk",
    "lufttrykk",
    "ciśnienie",
    "cisnienie",
    "tlak",
    "paine",
    "ilmanpaine",
    "nyomás",
    "basınç",
    "давление",
    "气压",
    "気圧",
    "压力",
];
const TEMPERATURE: &[&str] = &[
    "temp",
    "temperature",
    "temperatur",
    "température",
    "temperatura",
    "temperatuur",
    "lämpötila",
    "teplota",
    "hőmérséklet",
    "sıcaklık",
    "температура",
    "温度",
    "tair",
    "tamb",
];
const TIME: &[&str] = &[
    "t",
    "time",
    "timestamp",
    "ts",
    "datetime",
    "date",
    "clock",
    "elapsed",
    "utc",
    "epoch",
    "zeit",
    "uhrzeit",
    "datum",
    "zeitstempel",
    "temps",
    "heure",
    "horodatage",
    "tiempo",
    "hora",
    "fecha",
    "tempo",
    "ora",
    "tijd",
    "tid",
    "klokkeslett",
    "tidpunkt",
    "czas",
    "čas",
    "cas",
    "aika",
    "idő",
    "zaman",
    "saat",
    "время",
    "时间",
    "時間",
    "時刻",
    "millis",
    "micros",
];
const NOT_USED: &[&str] = &[
    "v",
    "vel",
    "velocity",
    "speed",
    "spd",
    "rate",
    "vario",
    "climb",
    "sink",
    "acc",
    "accel",
    "acceleration",
    "g",
    "gyro",
    "mag",
    "geschwindigkeit",
    "beschleunigung",
    "vitesse",
    "velocidad",
    "velocità",
    "velocita",
    "snelheid",
    "hastighet",
    "prędkość",
    "скорость",
    "lat",
    "latitude",
    "lon",
    "lng",
    "long",
    "longitude",
    "breite",
    "länge",
    "hdop",
    "vdop",
    "heading",
    "course",
    "volt",
    "voltage",
    "vbat",
    "batt",
    "battery",
    "spannung",
    "current",
    "humidity",
    "hum",
    "rh",
    "feuchte",
    "wind",
    "wspd",
    "wdir",
    "dir",
    "max",
    "min",
    "maximum",
    "apogee",
    "error",
    "err",
    "std",
    "sigma",
    "state",
    "status",
    "event",
    "sats",
    "fix",
    "dz",
    "dh",
    "dt",
    "delta",
    "u",
    "w",
    "density",
    "dichte",
    "pitch",
    "roll",
    "yaw",
    "tilt",
    "angle",
    "ground",
    "target",
];
const COUNTER: &[&str] = &[
    "sample", "samples", "row", "index", "idx", "n", "nr", "no", "id", "count", "counter", "frame", "packet",
    "record", "seq",
];
const NOT_FROM_PRESSURE: &[&str] = &[
    "gps",
    "gnss",
    "gpsalt",
    "galt",
    "sat",
    "satellite",
    "radar",
    "lidar",
    "laser",
    "tape",
    "geometric",
    "true",
];
const SMOOTHED: &[&str] = &[
    "filtered",
    "filt",
    "filter",
    "smooth",
    "smoothed",
    "kalman",
    "kf",
    "avg",
    "mean",
    "average",
    "geglättet",
    "lissé",
    "est",
    "estimated",
];

/// What the words and the unit of a name say.
pub(crate) fn said(name: &str) -> Said {
    let name = name.trim();
    if let Some(unit) = Unit::of_word(name)
        && !matches!(name, "h" | "C" | "F" | "K" | "c" | "f" | "k")
    {
        return Said { means: Some(unit.means()), ..bare(Some(unit)) };
    }
    let (base, unit) = bracketed(name).or_else(|| slashed(name)).unwrap_or((name.to_owned(), None));
    let words = words(&base, Camel::Whole);
    let plain = meaning(&words, unit);
    if plain.means.is_some() {
        return plain;
    }
    meaning(&self::words(&base, Camel::Split), unit)
}

fn bare(unit: Option<Unit>) -> Said {
    Said { means: None, unit, not_from_pressure: false, smoothed: false, counter: false }
}

/// `Altitude (ft)`, `Alt [m]`, `t {s}`: the name without the brackets and what stood in them, if a unit.
fn bracketed(name: &str) -> Option<(String, Option<Unit>)> {
    let open = name.rfind(['(', '[', '{', '<'])?;
    let close = open + name[open..].find([')', ']', '}', '>'])?;
    let inside = &name[open + 1..close];
    let rest = format!("{} {}", &name[..open], &name[close + 1..]);
    match Unit::of_word(inside).or_else(|| Unit::of_word(inside.trim().trim_start_matches("in "))) {
        Some(unit) => Some((rest, Some(unit))),
        // What is no unit of ours may still take the column out, as `Alt (m/s)` does.
        None if inside.contains("/s") || inside.contains("/h") || inside.contains("s-1") => {
            Some(("speed".to_owned(), None))
        }
        None => None,
    }
}

/// `p/hPa`.
fn slashed(name: &str) -> Option<(String, Option<Unit>)> {
    let (base, unit) = name.rsplit_once('/')?;
    if base.ends_with(['m', 't', 'h']) && matches!(unit.trim(), "s" | "min" | "h") {
        return Some(("speed".to_owned(), None));
    }
    Unit::of_word(unit).map(|unit| (base.to_owned(), Some(unit)))
}

#[derive(Clone, Copy, PartialEq)]
enum Camel {
    Whole,
    Split,
}

/// Lower-case words; digits at the end of a word are left out (`alt1`).
fn words(base: &str, camel: Camel) -> Vec<String> {
    let mut split = String::with_capacity(base.len() + 4);
    let mut before = ' ';
    for c in base.chars() {
        if camel == Camel::Split && c.is_uppercase() && before.is_lowercase() {
            split.push(' ');
        }
        split.push(if c.is_alphanumeric() || matches!(c, '°' | 'µ' | 'μ') { c } else { ' ' });
        before = c;
    }
    split
        .split_whitespace()
        .map(|w| w.to_lowercase())
        .map(|w| w.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned())
        .filter(|w| !w.is_empty())
        .collect()
}

fn meaning(words: &[String], stated: Option<Unit>) -> Said {
    let (mut words, mut unit) = (words, stated);
    if unit.is_none() && words.len() > 1 {
        for count in [2, 1] {
            let Some(at) = words.len().checked_sub(count).filter(|at| *at > 0) else { continue };
            if let Some(found) = Unit::of_word(&words[at..].join(" ")) {
                unit = Some(found);
                words = &words[..at];
                break;
            }
        }
        // "dz m s" is a speed, and so is "alt m s".
        if unit == Some(Unit::Second)
            && words.len() > 1
            && matches!(words[words.len() - 1].as_str(), "m" | "ft" | "cm" | "km")
        {
            return Said { means: Some(Means::NotUsed), ..bare(None) };
        }
    }
    let any = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let counter = any(COUNTER);
    let means = if any(NOT_USED) {
        Some(Means::NotUsed)
    } else if any(HEIGHT) {
        Some(Means::Height)
    } else if any(TEMPERATURE) {
        Some(Means::Temperature)
    } else if any(PRESSURE) {
        Some(Means::Pressure)
    } else if any(TIME) {
        Some(Means::Time)
    } else if counter {
        Some(Means::NotUsed)
    } else {
        unit.map(Unit::means)
    };
    // "T (°C)" is a temperature, "p (m)" nothing that can be used.
    let means = match (means, unit) {
        (Some(Means::Time), Some(unit)) if words.len() == 1 && words[0] == "t" => Some(unit.means()),
        (Some(m), Some(unit)) if m != Means::NotUsed && unit.means() != m => Some(unit_or_word(m, unit)),
        (m, _) => m,
    };
    let unit = unit.filter(|u| means == Some(u.means()));
    Said { means, unit, not_from_pressure: any(NOT_FROM_PRESSURE), smoothed: any(SMOOTHED), counter }
}

/// A word and a unit that disagree: `baro alt`-like mixtures in metres are heights, the rest goes by its unit.
fn unit_or_word(word: Means, unit: Unit) -> Means {
    match (word, unit.means()) {
        (Means::Pressure | Means::Height, by_unit @ (Means::Height | Means::Pressure)) => by_unit,
        (word, _) => word,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_loggers_write() {
        use Means::*;
        use Unit::*;
        for (name, means, unit) in [
            ("Altitude (ft)", Some(Height), Some(Foot)),
            ("Alt [m]", Some(Height), Some(Metre)),
            ("height_m", Some(Height), Some(Metre)),
            ("heightM", Some(Height), Some(Metre)),
            ("AltitudeFt", Some(Height), Some(Foot)),
            ("p/hPa", Some(Pressure), Some(Hectopascal)),
            ("pressure_hPa", Some(Pressure), Some(Hectopascal)),
            ("Baro (in Hg)", Some(Pressure), Some(InchOfMercury)),
            ("baro alt in Hg", Some(Pressure), Some(InchOfMercury)),
            ("Zeit in s", Some(Time), Some(Second)),
            ("Höhe", Some(Height), None),
            ("ВЫСОТА, м", Some(Height), Some(Metre)),
            ("time_ms", Some(Time), Some(Millisecond)),
            ("timeMs", Some(Time), Some(Millisecond)),
            ("t", Some(Time), None),
            ("T (°C)", Some(Temperature), Some(Celsius)),
            ("temp_C", Some(Temperature), Some(Celsius)),
            ("Temps (s)", Some(Time), Some(Second)),
            ("Lufttemperatur", None, None),
            ("hPa", Some(Pressure), Some(Hectopascal)),
            ("h", Some(Height), None),
            ("dz_m_s", Some(NotUsed), None),
            ("Velocity (m/s)", Some(NotUsed), None),
            ("Alt rate m/s", Some(NotUsed), None),
            ("lat", Some(NotUsed), None),
            ("Sample", Some(NotUsed), None),
            ("gpsalt_m", Some(Height), Some(Metre)),
            ("whatever", None, None),
            ("", None, None),
        ] {
            let said = said(name);
            assert_eq!((said.means, said.unit), (means, unit), "{name}");
        }
        assert!(said("GPS Altitude").not_from_pressure);
        assert!(said("gpsalt_m").not_from_pressure);
        assert!(said("Alt filtered (m)").smoothed);
    }
}
