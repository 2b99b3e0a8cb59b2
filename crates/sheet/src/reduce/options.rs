//! What a person may say to `reduce` beside the recordings, each with its text, so that it can be repeated.

use silkfall_core::air::{Reading, SiteAir, SitePressure};
use silkfall_core::quantity::{
    Given, Kind, Length, Pressure, QuantityError, Ratio, TemperatureInterval, ThermodynamicTemperature, parse,
};
use silkfall_core::recording::Recording;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::temperature_interval::kelvin as kelvin_interval;
use uom::si::thermodynamic_temperature::kelvin;

use crate::reduction::ColumnRead;

/// A recording and how its file was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// The recording.
    pub recording: Recording,
    /// The columns as they were understood.
    pub columns: Vec<ColumnRead>,
    /// The options that repeat the reading, as typed: `--time 1:s --height 2:ft`.
    pub reading: String,
    /// What the reading noticed.
    pub findings: Vec<silkfall_core::finding::Finding>,
}

/// Everything that can be said beside the recordings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReduceOptions {
    /// The day's air where it fell.
    pub air: DayAir,
    /// Only drops in this stretch are looked at.
    pub between: Option<Stretch>,
    /// Drops to set aside, each by a moment inside it.
    pub set_aside: Vec<Moment>,
    /// Drops to keep whatever was found against them.
    pub keep: Vec<Moment>,
}

/// The day's air as stated; what is `None` is assumed and adds its doubt.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayAir {
    /// Temperature in the shade.
    pub temperature: Option<Given>,
    /// Pressure at the place.
    pub pressure: Option<Given>,
    /// Relative humidity.
    pub humidity: Option<Given>,
    /// Elevation of the ground.
    pub elevation: Option<Given>,
}

impl DayAir {
    /// Sets one of them by its option without dashes: `air`, `air-pressure`, `humidity`, `elevation`.
    ///
    /// # Errors
    /// The text is no such quantity.
    ///
    /// # Panics
    /// With another name of an option, which is a fault of the caller.
    pub fn set(&mut self, option: &str, text: &str) -> Result<(), QuantityError> {
        let (slot, kind) = match option {
            "air" => (&mut self.temperature, Kind::Temperature),
            "air-pressure" => (&mut self.pressure, Kind::Pressure),
            "humidity" => (&mut self.humidity, Kind::Share),
            "elevation" => (&mut self.elevation, Kind::Length),
            other => panic!("`{other}` is no option of the day's air"),
        };
        *slot = Some(parse(text, kind)?);
        Ok(())
    }

    /// The same for core.
    pub fn site(&self) -> SiteAir {
        SiteAir {
            temperature: self.temperature.as_ref().map(|given| Reading {
                value: ThermodynamicTemperature::new::<kelvin>(given.si),
                standard_uncertainty: TemperatureInterval::new::<kelvin_interval>(
                    given.standard_uncertainty(),
                ),
            }),
            pressure: self.pressure.as_ref().map_or(SitePressure::NotKnown, |given| {
                SitePressure::Station(Reading {
                    value: Pressure::new::<pascal>(given.si),
                    standard_uncertainty: Pressure::new::<pascal>(given.standard_uncertainty()),
                })
            }),
            relative_humidity: self.humidity.as_ref().map(|given| Reading {
                value: Ratio::new::<ratio>(given.si),
                standard_uncertainty: Ratio::new::<ratio>(given.standard_uncertainty()),
            }),
            elevation: self.elevation.as_ref().map(|given| Reading {
                value: Length::new::<meter>(given.si),
                standard_uncertainty: Length::new::<meter>(given.standard_uncertainty()),
            }),
            latitude: None,
        }
    }

    /// The options as typed, each with a blank before it.
    fn typed(&self) -> String {
        [
            ("air", &self.temperature),
            ("air-pressure", &self.pressure),
            ("humidity", &self.humidity),
            ("elevation", &self.elevation),
        ]
        .iter()
        .filter_map(|(name, given)| given.as_ref().map(|given| format!(" --{name} {}", quoted(&given.text))))
        .collect()
    }
}

/// A moment of a recording: "14:31", "871 s", "tower.csv@14:31".
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The recording it is in; `None`: any.
    pub recording: Option<String>,
    /// Seconds from the recording's first sample.
    pub at_s: f64,
    /// As typed.
    pub text: String,
}

impl Moment {
    /// Reads it.
    ///
    /// # Errors
    /// What was expected, where the text is no time.
    ///
    /// # Examples
    /// ```
    /// use silkfall_sheet::Moment;
    /// assert_eq!(Moment::read("14:31").unwrap().at_s, 871.0);
    /// assert_eq!(Moment::read("two.csv@1:00:00.5").unwrap().at_s, 3600.5);
    /// ```
    pub fn read(text: &str) -> Result<Moment, String> {
        let (recording, time) = match text.rsplit_once('@') {
            Some((recording, time)) => (Some(recording.to_owned()), time),
            None => (None, text),
        };
        Ok(Moment { recording, at_s: time_s(time)?, text: text.to_owned() })
    }

    pub(crate) fn is_in(&self, recording: &str, from_s: f64, to_s: f64) -> bool {
        self.recording.as_deref().is_none_or(|name| name == recording) && (from_s..=to_s).contains(&self.at_s)
    }
}

/// A stretch of the recordings: "2:10..9:45".
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Its beginning, s from the recording's first sample.
    pub from_s: f64,
    /// Its end.
    pub to_s: f64,
    /// As typed.
    pub text: String,
}

impl Stretch {
    /// Reads it.
    ///
    /// # Errors
    /// What was expected, where the text is none.
    pub fn read(text: &str) -> Result<Stretch, String> {
        let Some((from, to)) = text.split_once("..") else {
            return Err(format!("`{text}` is no stretch of time; expected one as in 2:10..9:45"));
        };
        let (from_s, to_s) = (time_s(from)?, time_s(to)?);
        if from_s >= to_s {
            return Err(format!("`{text}` runs backwards; expected the earlier time first"));
        }
        Ok(Stretch { from_s, to_s, text: text.to_owned() })
    }
}

/// "14:31", "1:02:03.5", "871 s" or "871", in seconds.
fn time_s(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let wrong = || format!("`{text}` is no time; expected one as in 14:31, 1:02:03.5 or 871 s");
    if let Ok(given) = parse(text, Kind::Time) {
        return Ok(given.si);
    }
    let parts: Vec<&str> = text.split(':').collect();
    if parts.len() > 3 || parts.iter().any(|part| !part.starts_with(|c: char| c.is_ascii_digit())) {
        return Err(wrong());
    }
    let mut seconds = 0.0;
    for part in parts {
        let number: f64 = part.parse().map_err(|_| wrong())?;
        seconds = seconds * 60.0 + number;
    }
    if seconds.is_finite() { Ok(seconds) } else { Err(wrong()) }
}

/// A time as it is printed and typed: "14:31.0", "812.4 s" below two minutes.
pub(crate) fn clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round().max(0.0) as u64;
    let (minutes, rest) = (tenths / 600, tenths % 600);
    let (hours, minutes) = (minutes / 60, minutes % 60);
    match hours {
        0 => format!("{minutes}:{:02}.{}", rest / 10, rest % 10),
        _ => format!("{hours}:{minutes:02}:{:02}.{}", rest / 10, rest % 10),
    }
}

/// The text as a shell takes it for one word.
pub fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./:,@+=%".contains(c);
    if !text.is_empty() && text.chars().all(plain) {
        text.to_owned()
    } else if text.contains(['"', '$', '`', '\\', '!']) {
        format!("'{}'", text.replace('\'', "'\\''"))
    } else {
        format!("\"{text}\"")
    }
}

/// `reduce FILE..` with the reading where it is the same for all, and the day's air: what every command about these
/// recordings begins with.
pub(crate) fn command_start(inputs: &[Input], options: &ReduceOptions) -> String {
    let mut command = "reduce".to_owned();
    for input in inputs {
        command.push(' ');
        command.push_str(&quoted(&input.recording.name));
    }
    if let [first, rest @ ..] = inputs
        && rest.iter().all(|other| other.reading == first.reading)
        && !first.reading.is_empty()
    {
        command.push(' ');
        command.push_str(&first.reading);
    }
    command.push_str(&options.air.typed());
    command
}

/// The whole command that repeats a reduction.
pub(crate) fn repeat(inputs: &[Input], options: &ReduceOptions) -> String {
    let mut command = command_start(inputs, options);
    if let Some(stretch) = &options.between {
        command.push_str(&format!(" --between {}", quoted(&stretch.text)));
    }
    for (name, moments) in [("set-aside", &options.set_aside), ("keep", &options.keep)] {
        for moment in moments {
            command.push_str(&format!(" --{name} {}", quoted(&moment.text)));
        }
    }
    command
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_printed() {
        for seconds in [0.0, 59.9, 871.0, 3600.5, 86_399.9] {
            assert!((time_s(&clock(seconds)).unwrap() - seconds).abs() < 1e-9, "{}", clock(seconds));
        }
        assert_eq!(time_s("812.4 s"), Ok(812.4));
        for wrong in ["", ":30", "half past", "1:2:3:4", "1:-2"] {
            assert!(time_s(wrong).is_err(), "{wrong}");
        }
        assert!(Stretch::read("9:00..2:00").unwrap_err().contains("backwards"));
    }

    #[test]
    fn words_are_quoted_for_a_shell() {
        assert_eq!(quoted("logs/two.csv"), "logs/two.csv");
        assert_eq!(quoted("18 °C"), "\"18 °C\"");
        assert_eq!(quoted(";"), "\";\"");
        assert_eq!(quoted("it's $5"), "'it'\\''s $5'");
    }
}
