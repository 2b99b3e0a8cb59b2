//! The fixed words of a project: one table per choice feeds the reader, the near misses and the schema.

use silkfall_core::load_path::{Carries, MemberKind};
use silkfall_core::shapes::{Reference, SHAPES, Shape};
use silkfall_core::wind::Terrain;

use crate::notes::near;

/// A choice among fixed words.
pub trait Word: Copy + PartialEq + std::fmt::Debug + 'static {
    /// Every word with what it means, in the order in which they are offered.
    const WORDS: &'static [(&'static str, Self)];

    /// The choice of that word, exactly as written in the table.
    fn of(word: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(known, _)| *known == word).map(|(_, choice)| *choice)
    }

    /// The word of this choice.
    fn word(self) -> &'static str {
        let row = Self::WORDS.iter().find(|(_, choice)| *choice == self);
        row.map(|(word, _)| *word).expect("every choice stands in its table")
    }
}

macro_rules! words {
    ($( $(#[$meta:meta])* $name:ident { $( $(#[$doc:meta])* $choice:ident = $word:literal, )* } )*) => {
        $(
            $(#[$meta])*
            #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
            pub enum $name { $( $(#[$doc])* $choice, )* }

            impl Word for $name {
                const WORDS: &'static [(&'static str, Self)] = &[ $( ($word, $name::$choice), )* ];
            }
        )*
    };
}

words! {
    /// Units that results are shown in.
    Units {
        /// Metres and kilograms.
        Si = "si",
        /// Feet, pounds, ounces.
        Us = "us",
    }

    /// What a stated air pressure is.
    PressureIs {
        /// What a barometer at the place shows.
        Station = "station",
        /// Reduced to sea level, as weather services give it: 3.6 % too much for the density at 300 m.
        SeaLevel = "sea level",
    }

    /// How a body hangs while it comes down.
    Hangs {
        /// Its long axis lies across the fall.
        Level = "level",
        /// Its long axis lies along the fall.
        Upright = "upright",
    }

    /// What shape of body hangs under the canopies.
    BodyShape {
        /// A round tube, closed or with a nose.
        Tube = "tube",
        /// A ball.
        Ball = "ball",
        /// A box; its diameter is the wider side across the fall.
        Box = "box",
        /// Anything else: its drag is known from tests only.
        Other = "other",
    }

    /// Whether the body hung under the canopies in a test.
    BodyOn {
        /// It did.
        On = "on",
        /// A compact weight hung there instead, whose drag does not count.
        Off = "off",
    }

    /// How wind grows with height over even land.
    LawOfHeight {
        /// With the logarithm of height over roughness length.
        Logarithmic = "logarithmic",
        /// With a power of height.
        Power = "power",
    }

    /// Which gusts a fall goes through.
    Gusts {
        /// None.
        None = "none",
        /// Those of the Dryden form for low altitude.
        LowAltitudeDryden = "low-altitude Dryden form",
    }

    /// What grows where winds of other strength are looked at.
    Scaled {
        /// The winds at all heights alike.
        All = "all",
        /// The wind at the ground alone, fading out with height.
        Ground = "ground",
    }

    /// Where the gas that opens a bay comes from.
    GasSource {
        /// A cartridge or bottle.
        Cold = "cold gas",
        /// Something that burns.
        Pyrotechnic = "pyrotechnic",
    }

    /// What holds a canopy small at first.
    HeldBy {
        /// A line round the mouth, cut after a time.
        Line = "line",
        /// A slider on the suspension lines.
        Slider = "slider",
    }

    /// Which gas is let out.
    GasIs {
        /// CO₂.
        CarbonDioxide = "carbon dioxide",
        /// N₂.
        Nitrogen = "nitrogen",
        /// Ar.
        Argon = "argon",
        /// Dry air.
        Air = "air",
    }

    /// Threads of pins.
    PinThread {
        /// 2 mm.
        M2 = "M2",
        /// 2.5 mm.
        M2Half = "M2.5",
        /// 3 mm.
        M3 = "M3",
        /// 4 mm.
        M4 = "M4",
        /// 5 mm.
        M5 = "M5",
        /// 0.086 in.
        N2 = "#2-56",
        /// 0.112 in.
        N4 = "#4-40",
        /// 0.138 in.
        N6 = "#6-32",
        /// 0.164 in.
        N8 = "#8-32",
    }

    /// What opens in a stage, other than something of a stated drag area.
    Opened {
        /// The part's chosen canopies.
        Canopies = "canopies",
    }

    /// What a device is.
    DeviceIs {
        /// Where its power comes from.
        Battery = "battery",
        /// A switch or arming key.
        Switch = "switch",
        /// A barometric altimeter that acts at a height.
        Altimeter = "altimeter",
        /// A timer.
        Timer = "timer",
        /// A charge or a cold-gas valve.
        Charge = "charge",
        /// A line cutter.
        Cutter = "cutter",
        /// A release, latch or hook.
        Release = "release",
        /// A bag, a cover or a tray that a canopy comes out of.
        Bag = "bag",
        /// A line, riser, bridle, link or swivel.
        Line = "line",
        /// Anything else.
        Other = "other",
    }

    /// When a stage begins, other than at a time or height.
    AtStart {
        /// Where the fall starts.
        Start = "start",
    }
}

/// What opens in a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Opens {
    /// Every canopy.
    All,
    /// All but this many, at least 1: written "all but one", "all but 2".
    AllBut(u32),
    /// Just this many, at least 1.
    Count(u32),
    /// None at all.
    Nothing,
    /// The main canopies open at the top instead of low down.
    MainAtTop,
    /// The drogue fails, then the main opens at full speed.
    NoDrogueThenMain,
    /// The canopies open while the body still climbs.
    Early,
    /// The canopies are out and do not fill.
    NotFilled,
}

const OPENS: [(&str, Opens); 6] = [
    ("all", Opens::All),
    ("nothing", Opens::Nothing),
    ("main at the top", Opens::MainAtTop),
    ("no drogue then main", Opens::NoDrogueThenMain),
    ("early", Opens::Early),
    ("not filled", Opens::NotFilled),
];

/// Small numbers as words, from one.
const NUMBERS: [&str; 12] =
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

impl Opens {
    /// The choice of that text: a fixed phrase, "all but" with a number, or a number.
    pub fn of(text: &str) -> Option<Opens> {
        if let Some((_, opens)) = OPENS.iter().find(|(known, _)| *known == text) {
            return Some(*opens);
        }
        let number = |word: &str| {
            let spelt = NUMBERS.iter().position(|known| *known == word).map(|at| at as u32 + 1);
            spelt.or_else(|| word.parse().ok()).filter(|n| (1..=100).contains(n))
        };
        match text.strip_prefix("all but ") {
            Some(rest) => number(rest.trim()).map(Opens::AllBut),
            None => number(text).map(Opens::Count),
        }
    }

    /// How it is written in a project.
    pub fn text(self) -> String {
        let word = |n: u32| match NUMBERS.get(n as usize - 1) {
            Some(word) => (*word).to_owned(),
            None => n.to_string(),
        };
        match self {
            Opens::AllBut(n) => format!("all but {}", word(n)),
            Opens::Count(n) => word(n),
            fixed => OPENS
                .iter()
                .find(|(_, opens)| *opens == fixed)
                .map(|(text, _)| (*text).to_owned())
                .expect("every fixed phrase stands in the table"),
        }
    }

    /// Phrases to offer where a text is none.
    pub fn phrases() -> impl Iterator<Item = &'static str> {
        OPENS.iter().map(|(text, _)| *text).chain(["all but one", "all but two", "one", "two"])
    }
}

/// The land upwind, by its roughness: the classes of the wind laws.
impl Word for Terrain {
    const WORDS: &'static [(&'static str, Self)] = &[
        (Terrain::Sea.word(), Terrain::Sea),
        (Terrain::Smooth.word(), Terrain::Smooth),
        (Terrain::OpenGrass.word(), Terrain::OpenGrass),
        (Terrain::LowCrops.word(), Terrain::LowCrops),
        (Terrain::HighCrops.word(), Terrain::HighCrops),
        (Terrain::Park.word(), Terrain::Park),
        (Terrain::Suburb.word(), Terrain::Suburb),
        (Terrain::City.word(), Terrain::City),
    ];
}

/// What a member of the load path is; a whole canopy is rated by its offer.
impl Word for MemberKind {
    const WORDS: &'static [(&'static str, Self)] = &[
        (MemberKind::Fabric.word(), MemberKind::Fabric),
        (MemberKind::Lines.word(), MemberKind::Lines),
        (MemberKind::Skirt.word(), MemberKind::Skirt),
        (MemberKind::Riser.word(), MemberKind::Riser),
        (MemberKind::Bridle.word(), MemberKind::Bridle),
        (MemberKind::Swivel.word(), MemberKind::Swivel),
        (MemberKind::Link.word(), MemberKind::Link),
        (MemberKind::Harness.word(), MemberKind::Harness),
        (MemberKind::EyeBolt.word(), MemberKind::EyeBolt),
        (MemberKind::Bulkhead.word(), MemberKind::Bulkhead),
    ];
}

/// What a member of the load path carries.
impl Word for Carries {
    const WORDS: &'static [(&'static str, Self)] = &[
        (Carries::OneCanopy.word(), Carries::OneCanopy),
        (Carries::All.word(), Carries::All),
        (Carries::OneLeg.word(), Carries::OneLeg),
    ];
}

/// What a diameter measures, or the area of which diameter a coefficient is on.
impl Word for Reference {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("nominal", Reference::Nominal),
        ("constructed", Reference::Constructed),
        ("projected", Reference::Projected),
    ];
}

/// The shape of canopy of which `name` is a slip; `None` where it is one, or is unlike all (then it is taken as
/// written, with nothing known of it).
pub fn slip_of_a_shape(name: &str) -> Option<&'static str> {
    if Shape::by_name(name).is_some() {
        return None;
    }
    near(name, SHAPES.iter().map(|row| row.name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_opens_is_read_and_written_alike() {
        for text in ["all", "all but one", "all but seven", "two", "nothing", "main at the top", "early"] {
            assert_eq!(Opens::of(text).unwrap().text(), text);
        }
        assert_eq!(Opens::of("all but 2"), Some(Opens::AllBut(2)));
        assert_eq!(Opens::of("3"), Some(Opens::Count(3)));
        for text in ["", "0", "all but", "all but none", "-1", "some", "101"] {
            assert_eq!(Opens::of(text), None, "{text}");
        }
        for phrase in Opens::phrases() {
            assert!(Opens::of(phrase).is_some(), "{phrase}");
        }
    }

    #[test]
    fn each_word_means_one_choice() {
        assert_eq!(PressureIs::of("sea level"), Some(PressureIs::SeaLevel));
        assert_eq!(PressureIs::SeaLevel.word(), "sea level");
        assert_eq!(Reference::of("Nominal"), None, "words are written as in the table");
        for (word, choice) in Reference::WORDS {
            assert_eq!((Reference::of(word), choice.word()), (Some(*choice), *word));
        }
        assert_eq!(Reference::WORDS.len(), Reference::ALL.len());
        let words = Terrain::ALL.map(|terrain| (terrain.word(), terrain));
        assert_eq!(Terrain::WORDS, words, "the words of the wind laws");
    }

    #[test]
    fn a_shape_is_known_a_slip_or_taken_as_written() {
        assert_eq!(slip_of_a_shape("flat circular"), None);
        assert_eq!(slip_of_a_shape("Flat-Circular"), None);
        assert_eq!(slip_of_a_shape("flat circlar"), Some("flat circular"));
        assert_eq!(slip_of_a_shape("pulled-down apex"), None);
    }
}
