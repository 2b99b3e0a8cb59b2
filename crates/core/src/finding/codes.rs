//! The catalogue: every code with its severity, what it means and what to do. `silkfall explain` prints it.
//!
//! To add one, add a row to the table of its area. The name is kebab-case, starts with its area, and is never
//! reused for something else.

use super::Severity;

macro_rules! catalogue {
    ($( $(#[$area:meta])* $id:ident, $name:literal, $severity:ident, $means:literal, $cure:literal; )*) => {
        /// A kind of finding. The name is stable: it stands in JSON and is what `explain` takes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $( $(#[$area])* #[doc = $means] $id, )*
        }

        impl Code {
            /// All codes in the order of the catalogue.
            pub const ALL: &'static [Code] = &[ $( Code::$id, )* ];

            /// The stable kebab-case name.
            pub fn name(self) -> &'static str {
                match self { $( Code::$id => $name, )* }
            }

            /// How much it matters.
            pub fn severity(self) -> Severity {
                match self { $( Code::$id => Severity::$severity, )* }
            }

            /// What it means, in full sentences.
            pub fn means(self) -> &'static str {
                match self { $( Code::$id => $means, )* }
            }

            /// What to do about it, in full sentences.
            pub fn cure(self) -> &'static str {
                match self { $( Code::$id => $cure, )* }
            }
        }
    };
}

catalogue! {
    // Reading a recording or table.
    LogTimeBackwards, "log-time-backwards", Warning,
        "A time is earlier than the one in the row before it. The rows from there to where time passes its old maximum are not used.",
        "Remove the repeated rows, or check the logger's clock.";
    LogNoUsableColumn, "log-no-usable-column", Error,
        "No column could be understood as time together with a height or a pressure.",
        "Name the columns and units with --time and --height or --pressure.";
    // Finding drops.
    DropSpike, "drop-spike", Warning,
        "The height leaves its course faster than anything falls and comes back: a deployment bang or a slip of the sensor. These samples are not used.",
        "Nothing needs doing; vent the logger's bay or shield its port if it happens in every drop.";
    DropEndsInAir, "drop-ends-in-air", Note,
        "The recording ends, or its clock restarts, before this drop reaches the ground. The rate is taken from what is there.",
        "Let the logger run until a few seconds after landing.";
    DropStartsInAir, "drop-starts-in-air", Note,
        "The fall was already going on when it came into sight, so that its release is not known.",
        "Start the logger a few seconds before release.";
    DropNotMet, "drop-not-met", Warning,
        "A time that names a drop lies in no drop that was found. What was said of that drop has no effect.",
        "Take a time from the list of drops, between release and ground.";
    // Rates and pooling.
    RateNotSteady, "rate-not-steady", Warning,
        "The drop was too short to reach a steady rate that can be told from the way there. There is a one-sided bound and no rate.",
        "Drop from higher: twice the height wanted for filling and for gaining the steady speed is a good start.";
    RateLongFall, "rate-long-fall", Note,
        "The fall crossed so much height that the rate changed with the air's density. The rate is referred to the stated density.",
        "Compare it with rates at the same density; a rate goes with one over the square root of density.";
    RateWindowByHand, "rate-window-by-hand", Note,
        "The window of this drop was given by the person. It is used as it stands, without looking for a steady stretch.",
        "Remove the window to have the steady stretch found.";
    PoolOddDrop, "pool-odd-drop", Warning,
        "The rate of this drop differs from all others by far more than gusts and its own doubt explain. It is set aside.",
        "Look at the video or notes of that drop; keep it with --keep, or set it aside for good with a reason.";
    PoolTwoGroups, "pool-two-groups", Warning,
        "The rates form two groups that no scatter between drops of one configuration explains: two configurations in one recording, perhaps.",
        "Reduce each group by itself, leaving the other out with --set-aside or --between.";
    PoolSameFall, "pool-same-fall", Warning,
        "The same fall stands in two recordings, sample by sample: a copied file, or files that overlap. It counts once.",
        "Leave one of the files out.";
    // Air and true height.
    AirImpossible, "air-impossible", Error,
        "The stated air is none that a parachute falls through. The air assumed where nothing is known is used instead.",
        "Check temperature, pressure, humidity and elevation, and their units.";
    AirPressureElevation, "air-pressure-elevation", Warning,
        "The stated pressure does not belong to the stated elevation. Pressures in weather reports are reduced to sea level, which is 3.6 % of density at 300 m.",
        "Say which kind of pressure it is, at the station or reduced to sea level, and check the elevation.";
    AirPressureKindUnknown, "air-pressure-kind-unknown", Warning,
        "It is not stated whether the pressure is the station's or reduced to sea level. It is taken for the one that the elevation makes likelier, with a larger uncertainty.",
        "Say which kind of pressure it is: weather reports give it reduced to sea level, a barometer at the site does not.";
    AirOutsideFormula, "air-outside-formula", Note,
        "The air is outside the range for which the formula of moist air was published. It is used all the same, with a larger uncertainty of 0.03 %.",
        "Nothing needs to be done, unless temperature or pressure is a slip of the pen.";
    HeightTapeDisagrees, "height-tape-disagrees", Warning,
        "The height fallen by the recording and the height measured by tape differ by more than their uncertainties allow. The logger's height scale, the day's air or the tape is off.",
        "Check the tape measure from release to ground, the air temperature, and by which scale the logger turns pressure into height.";
    HeightDayUnknown, "height-day-unknown", Warning,
        "The air temperature of the day is not known. A height from pressure is off by 3.5 % for each 10 K that the day is off the standard, a rate by as much, a drag area too.",
        "State the air temperature in the shade at the time of the drops, and the pressure or the elevation.";
    HeightLoggerScaleUnknown, "height-logger-scale-unknown", Note,
        "It is not known whether the logger's standard atmosphere starts at sea level or at the ground. The two differ by 0.23 % of height per 100 m of elevation.",
        "State the logger's scale, or log pressure.";
    // The project file.
    // Drag areas and full size.
    // Cases and candidates.
    // Sums by hand.
}

impl Code {
    /// The code of that name.
    pub fn by_name(name: &str) -> Option<Code> {
        Code::ALL.iter().copied().find(|code| code.name() == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_kebab_case_and_stand_once() {
        let mut seen = std::collections::BTreeSet::new();
        for code in Code::ALL {
            let name = code.name();
            assert!(name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'), "{name}");
            assert!(seen.insert(name), "{name} stands twice");
            assert_eq!(Code::by_name(name), Some(*code));
            assert!(code.means().ends_with('.') && code.cure().ends_with('.'), "{name} is not in sentences");
        }
    }
}
