//! The demo's recordings: an invented club's sampling tube, tested at half scale from a lookout tower.
//!
//! **Everything here is invented**: tube, club, tower, days and numbers. It is a story that is consistent with itself.
//!
//! # The vehicle
//! A club wants to bring down a long tube that samples air while it descends, hung *level* under three canopies.
//! - *Tube*, full size: 2.60 m long, 0.30 m across, thin-walled; 9.6 kg with all that descends.
//! - *Capsule* (nose with the electronics): comes down apart under one canopy of its own; 0.73 kg with all that descends.
//!
//! # The tests
//! A lookout tower with a platform 12.2 m up (each drop within 0.2 m of it); ground at 372 m, latitude 47.9° N.
//! - *Half-scale tube*: 1.30 m × 0.15 m. Three canopies K1, K2, K3 of nominally 0.92 m nominal diameter, flat circular,
//!   suspension lines 0.95 m; risers 1.80 m, in one test 3.00 m. Masses on the line were chosen so that every
//!   configuration falls at 3.5 to 3.9 m/s and is steady for the last second and more.
//! - *Capsule*: the real one under its real canopy C1 of 1.20 m nominal diameter.
//!
//! | file | load | canopies | risers | session |
//! |---|---|---|---|---|
//! | `one-weight.csv` | slim weight | K1 | 1.80 m | first |
//! | `two-weight.csv` | slim weight | K1 K2 | 1.80 m | first; drop 3 tangled |
//! | `three-weight.csv` | slim weight | K1 K2 K3 | 1.80 m | first |
//! | `one-tube.csv` | tube | K1 | 1.80 m | second |
//! | `two-tube.csv` | tube | K1 K2 | 1.80 m | second; two bangs and a gap |
//! | `three-tube.csv` | tube | K1 K2 K3 | 1.80 m | second |
//! | `three-tube-long.csv` | tube | K1 K2 K3 | 3.00 m | second; lowered by hand once |
//! | `capsule.csv` | capsule | C1 | 1.00 m | second, its own pressure logger |
//!
//! First session: 18 April 2026, 11.6 °C, 969.8 hPa at the station, 63 %; a logger that writes steps of 0.1 m 20 times a
//! second. Second: 9 May 2026, 19.3 °C, 974.1 hPa at the station, 52 %; a logger that writes whole feet 10 times a second.
//! [`DemoFile::falls`] states every mass. Slow air, one value a session: 15 mm/s down in the first, 10 mm/s up in the
//! second; the loggers' clocks are 0.03 % fast and 0.02 % slow.
//!
//! # The truth
//! D(n) = η(n) Σ A + (1 - κ) B, v = sqrt(2 m g/(ρ D)), with A by serial (spread 1.8 %), η(2) = 0.97, η(3) = 0.93,
//! B = 0.170 m² (a cylinder's 0.80 on 0.195 m², and fittings), κ = 0.30 on risers of 1.80 m and 0.18 on 3.00 m. The
//! slim weight's own drag area is left at nothing. At full size the same geometry has four times the areas.

use crate::air::Day;
use crate::campaign::{Campaign, campaign};
use crate::dress::{Decimal, Delimiter, Digits, Dress, TimeForm, Unit};
use crate::gusts::Gusts;
use crate::logger::{Filter, Logger, Resolution};
use crate::options::{CampaignOptions, Flaws, Shared, Swing};
use crate::path::Handling;
use crate::physics::{Model, Surroundings};

/// The first session's day.
pub const FIRST_DAY: Day = Day {
    temperature_c: 11.6,
    station_pressure_hpa: 969.8,
    humidity_percent: 63.0,
    elevation_m: 372.0,
    latitude_deg: 47.9,
};
/// The second session's day.
pub const SECOND_DAY: Day =
    Day { temperature_c: 19.3, station_pressure_hpa: 974.1, humidity_percent: 52.0, ..FIRST_DAY };

/// Height of the platform above ground, m.
pub const TOWER_M: f64 = 12.2;
/// Nominal diameter of the half-scale canopies K1, K2, K3, m.
pub const MODEL_CANOPY_M: f64 = 0.92;
/// Nominal diameter of the capsule's canopy C1, m.
pub const CAPSULE_CANOPY_M: f64 = 1.20;
/// True drag areas of the half-scale canopies by serial, m².
pub const MODEL_CANOPIES: [(&str, f64); 3] = [("K1", 0.508), ("K2", 0.496), ("K3", 0.491)];
/// True drag area of the capsule's canopy, m².
pub const CAPSULE_CANOPY_M2: f64 = 0.848;
/// True cluster factors of one, two and three canopies.
pub const CLUSTER_FACTORS: [f64; 3] = [1.0, 0.97, 0.93];
/// True drag area of the half-scale tube, level, m².
pub const MODEL_TUBE_M2: f64 = 0.170;
/// True share of the tube's wake that the canopies swallow, on risers of 1.80 m.
pub const WAKE_SHARE: f64 = 0.30;
/// The same on risers of 3.00 m.
pub const WAKE_SHARE_LONG: f64 = 0.18;
/// Seed of the first file; the others follow it. Chosen, so that the story reads plainly: of twelve seeds tried it is
/// the first of the two that leave every configuration's mean within 1 % of its truth; with the others one or two
/// of the eight are off by up to 2 %.
pub const DEMO_SEED: u64 = 20_260_618;

/// One recording of the demo with all that is known of its test, and the truth.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoFile {
    /// File name.
    pub name: &'static str,
    /// What was tested, in words.
    pub what: &'static str,
    /// The file.
    pub bytes: Vec<u8>,
    /// The seed it was made from.
    pub seed: u64,
    /// Air and place.
    pub day: Day,
    /// All that descends, item by item, kg.
    pub falls: Vec<(&'static str, f64)>,
    /// Serials of the canopies.
    pub canopies: &'static [&'static str],
    /// Length of the risers, m.
    pub risers_m: f64,
    /// True drag area, m².
    pub drag_area_m2: f64,
    /// The recording before it was written, with its truth.
    pub campaign: Campaign,
}

/// What is tested in one file.
struct Test {
    name: &'static str,
    what: &'static str,
    load: Load,
    load_kg: f64,
    canopies: &'static [&'static str],
    risers_m: f64,
    drops: usize,
    flaws: Flaws,
    lowering_chance: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Load {
    Weight,
    Tube,
    Capsule,
}

const CLEAN: Flaws =
    Flaws { spikes: 0, gaps: 0, clock_jump: None, tangled: None, starts_in_air: None, ends_in_air: None };

const TESTS: [Test; 8] = [
    Test {
        name: "one-weight.csv",
        what: "half scale, one canopy with a weight",
        load: Load::Weight,
        load_kg: 0.300,
        canopies: &["K1"],
        risers_m: 1.8,
        drops: 5,
        flaws: CLEAN,
        lowering_chance: 0.0,
    },
    Test {
        name: "two-weight.csv",
        what: "half scale, two canopies with a weight",
        load: Load::Weight,
        load_kg: 0.640,
        canopies: &["K1", "K2"],
        risers_m: 1.8,
        drops: 5,
        flaws: Flaws { tangled: Some((2, 1.19)), ..CLEAN },
        lowering_chance: 0.0,
    },
    Test {
        name: "three-weight.csv",
        what: "half scale, three canopies with a weight",
        load: Load::Weight,
        load_kg: 0.925,
        canopies: &["K1", "K2", "K3"],
        risers_m: 1.8,
        drops: 5,
        flaws: CLEAN,
        lowering_chance: 0.0,
    },
    Test {
        name: "one-tube.csv",
        what: "half scale, one canopy with the tube level",
        load: Load::Tube,
        load_kg: 0.420,
        canopies: &["K1"],
        risers_m: 1.8,
        drops: 5,
        flaws: CLEAN,
        lowering_chance: 0.0,
    },
    Test {
        name: "two-tube.csv",
        what: "half scale, two canopies with the tube level, ballasted",
        load: Load::Tube,
        load_kg: 0.740,
        canopies: &["K1", "K2"],
        risers_m: 1.8,
        drops: 5,
        flaws: Flaws { spikes: 2, gaps: 1, ..CLEAN },
        lowering_chance: 0.0,
    },
    Test {
        name: "three-tube.csv",
        what: "half scale, three canopies with the tube level, ballasted",
        load: Load::Tube,
        load_kg: 0.975,
        canopies: &["K1", "K2", "K3"],
        risers_m: 1.8,
        drops: 6,
        flaws: CLEAN,
        lowering_chance: 0.0,
    },
    Test {
        name: "three-tube-long.csv",
        what: "half scale, three canopies with the tube level, ballasted, long risers",
        load: Load::Tube,
        load_kg: 0.965,
        canopies: &["K1", "K2", "K3"],
        risers_m: 3.0,
        drops: 5,
        flaws: CLEAN,
        lowering_chance: 0.2,
    },
    Test {
        name: "capsule.csv",
        what: "full size, the capsule under its own canopy",
        load: Load::Capsule,
        load_kg: 0.640,
        canopies: &["C1"],
        risers_m: 1.0,
        drops: 4,
        flaws: CLEAN,
        lowering_chance: 0.0,
    },
];

/// Makes the demo's recordings.
pub fn demo() -> Vec<DemoFile> {
    TESTS.iter().zip(DEMO_SEED..).map(|(test, seed)| test.make(seed)).collect()
}

impl Test {
    fn make(&self, seed: u64) -> DemoFile {
        let day = if self.load == Load::Weight { FIRST_DAY } else { SECOND_DAY };
        let falls = self.falls();
        let drag_area_m2 = self.drag_area_m2();
        let options = self.options(&day, falls.iter().map(|item| item.1).sum(), drag_area_m2);
        let campaign = campaign(seed, &options);
        let bytes = self.dress(seed).write(&campaign.time_s, &campaign.value, campaign.channel);
        DemoFile {
            name: self.name,
            what: self.what,
            bytes,
            seed,
            day,
            falls,
            canopies: self.canopies,
            risers_m: self.risers_m,
            drag_area_m2,
            campaign,
        }
    }

    fn falls(&self) -> Vec<(&'static str, f64)> {
        let load = match self.load {
            Load::Weight => ("weight", self.load_kg),
            Load::Tube => ("tube with ballast", self.load_kg),
            Load::Capsule => ("capsule", self.load_kg),
        };
        let mut falls = vec![load];
        for &serial in self.canopies {
            falls.push(match serial {
                "K1" => ("canopy K1", 0.046),
                "K2" => ("canopy K2", 0.047),
                "K3" => ("canopy K3", 0.045),
                _ => ("canopy C1", 0.072),
            });
        }
        let risers_kg = 0.010 * self.canopies.len() as f64 * self.risers_m / 1.8;
        falls.push(("lines and risers", (1e4 * risers_kg).round() / 1e4));
        falls.push(("logger", if self.load == Load::Capsule { 0.012 } else { 0.035 }));
        falls
    }

    fn drag_area_m2(&self) -> f64 {
        let canopies_m2: f64 = self
            .canopies
            .iter()
            .map(|serial| {
                MODEL_CANOPIES
                    .iter()
                    .find(|known| known.0 == *serial)
                    .map_or(CAPSULE_CANOPY_M2, |known| known.1)
            })
            .sum();
        let wake = if self.risers_m > 2.0 { WAKE_SHARE_LONG } else { WAKE_SHARE };
        let body_m2 = if self.load == Load::Tube { (1.0 - wake) * MODEL_TUBE_M2 } else { 0.0 };
        CLUSTER_FACTORS[self.canopies.len() - 1] * canopies_m2 + body_m2
    }

    fn options(&self, day: &Day, mass_kg: f64, drag_area_m2: f64) -> CampaignOptions {
        let surroundings =
            Surroundings { density_kg_m3: day.density_kg_m3(), gravity_m_s2: day.gravity_m_s2() };
        let rate_m_s =
            (2.0 * mass_kg * surroundings.gravity_m_s2 / (surroundings.density_kg_m3 * drag_area_m2)).sqrt();
        let canopy_diameter_m = if self.load == Load::Capsule { CAPSULE_CANOPY_M } else { MODEL_CANOPY_M };
        // Carried air near 1.5 half balls of the inflated diameter, two thirds of the nominal.
        let carried_kg = 0.12
            * surroundings.density_kg_m3
            * libm::pow(canopy_diameter_m, 3.0)
            * self.canopies.len() as f64;
        CampaignOptions {
            model: Model {
                mass_kg,
                rate_m_s,
                canopy_diameter_m,
                air_mass_ratio: carried_kg / mass_kg,
                fill_diameters: 4.0,
                open_at_release: 0.4,
            },
            rate_scatter_relative: 0.005,
            surroundings,
            tower_m: TOWER_M,
            ground_m: crate::air::standard_height_m(100.0 * day.station_pressure_hpa),
            drops: self.drops,
            gusts: Gusts { vertical_sd_m_s: 0.04, correlation_s: 1.4, sideways_sd_m_s: 0.05 },
            swing: Swing { peak_deg: 7.0, pendulum_m: 1.0, decay_s: Some(4.0) },
            logger: self.logger(),
            flaws: self.flaws,
            handling: Handling {
                rest_s: (3.0, 7.0),
                carry_s: (2.0, 6.0),
                hoist_m_s: (0.4, 0.6),
                hang_s: (3.0, 7.0),
                lowering_chance: self.lowering_chance,
                stairs_chance: 0.0,
            },
            shared: Shared {
                slow_air_mean_m_s: if self.load == Load::Weight { 0.015 } else { -0.010 },
                clock_mean_relative: if self.load == Load::Weight { 3e-4 } else { -2e-4 },
                height_scale_mean_relative: day.height_scale_error(),
                ..Shared::NONE
            },
        }
    }

    fn logger(&self) -> Logger {
        let (rate_hz, resolution) = match self.load {
            Load::Weight => (20.0, Resolution::Height { step_m: 0.1 }),
            Load::Tube => (10.0, Resolution::Height { step_m: 0.3048 }),
            Load::Capsule => (20.0, Resolution::Pressure { step_pa: 1.0 }),
        };
        Logger {
            rate_hz,
            resolution,
            filter: Filter::None,
            white_sd_m: 0.05,
            port_sd_m: 0.04,
            port_correlation_s: 0.3,
            drift_m_per_h: 2.0,
        }
    }

    fn dress(&self, seed: u64) -> Dress {
        let preamble = vec![format!("invented, not measured (seed {seed}): {}", self.what)];
        match self.load {
            Load::Weight => Dress {
                digits: Digits::Fixed(1),
                time_digits: Digits::Fixed(2),
                preamble,
                ..Dress::plain(Unit::Metre)
            },
            Load::Tube => Dress {
                delimiter: Delimiter::Semicolon,
                time: TimeForm::HoursMinutesSeconds,
                time_digits: Digits::Fixed(1),
                digits: Digits::Fixed(0),
                preamble,
                ..Dress::plain(Unit::Foot)
            },
            Load::Capsule => Dress {
                delimiter: Delimiter::Semicolon,
                decimal: Decimal::Comma,
                time: TimeForm::Milliseconds,
                digits: Digits::Fixed(2),
                preamble,
                ..Dress::plain(Unit::Hectopascal)
            },
        }
    }
}
