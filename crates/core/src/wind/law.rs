//! The wind at other heights from one reading near the ground: logarithmic and power law.
//!
//! - Logarithmic: u(z) = u_r ln(z/z₀) / ln(z_r/z₀) above the roughness z₀, none below it;
//! - power: u(z) = u_r (z/z_r)^α.
//!
//! u_r is the mean speed read at the height z_r; z, z_r, z₀ in m; the direction is the same at all heights. In the
//! logarithmic law z is counted from the ground: the displacement of tall crops, woods and houses is left out. Both
//! are laws of the lowest hundred metres or so in a well-mixed wind (10 minute means, neutral air); used higher up they
//! are a guess that grows, for the wind turns and settles there, and on a clear night they are wrong from the start. A
//! table by height or a sounding is better wherever one can be had.
//!
//! Source: the logarithmic law of any textbook of the boundary layer; roughness by terrain after Davenport, as the World
//! Meteorological Organization prints it (seen quoted, not in the original); power 1/7 from the American
//! Meteorological Society's Glossary of Meteorology, "seventh-root profile".

use uom::si::length::meter;

use super::{Level, Profile, WindError, toward};
use crate::ledger::Trust;
use crate::maths::{ln, pow};
use crate::quantity::{Angle, Length, Velocity};

/// Where the roughness classes stand.
pub const TERRAIN_SOURCE: &str =
    "Davenport's roughness classes as printed by the World Meteorological Organization (quoted)";

/// Where the exponent 1/7 stands.
pub const SEVENTH_SOURCE: &str = "AMS Glossary of Meteorology, seventh-root profile";

/// α of the seventh-root profile.
pub const SEVENTH: f64 = 1.0 / 7.0;

/// From this height upwards levels are 18 % apart, below it 50 %: few enough for a Monte Carlo, with drifts good to
/// 0.1 % (tested from 10 m and 50 z₀ upwards).
const FINE_FROM_M: f64 = 1.0;
const FINE_RATIO: f64 = 1.18;
const COARSE_RATIO: f64 = 1.5;

/// Lowest level of a power law, m: what lies below adds less than 0.1 % to a drift from 10 m.
const LOWEST_M: f64 = 0.004;

/// How the mean wind grows with height near the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// By the logarithm of height over the roughness z₀.
    Logarithmic {
        /// z₀ of the terrain upwind.
        roughness: Length,
    },
    /// By a power of height.
    Power {
        /// α, 0 to 1.
        exponent: f64,
    },
}

impl Law {
    /// u(z)/u(z_r), both heights in m above the ground.
    ///
    /// # Errors
    /// A roughness that is not above 0, an exponent outside 0 to 1, a reading at or below the roughness or the ground.
    pub fn ratio(self, height_m: f64, measured_at_m: f64) -> Result<f64, WindError> {
        self.check(measured_at_m)?;
        Ok(self.shape(height_m) / self.shape(measured_at_m))
    }

    /// The height below which the law's wind is still, m.
    fn still_below_m(self) -> f64 {
        match self {
            Law::Logarithmic { roughness } => roughness.get::<meter>(),
            Law::Power { .. } => 0.0,
        }
    }

    /// Proportional to the speed; 0 where the law's wind is still.
    fn shape(self, height_m: f64) -> f64 {
        if height_m <= self.still_below_m() {
            return 0.0;
        }
        match self {
            Law::Logarithmic { roughness } => ln(height_m / roughness.get::<meter>()),
            Law::Power { exponent } => pow(height_m, exponent),
        }
    }

    fn check(self, measured_at_m: f64) -> Result<(), WindError> {
        let (what, value, expected, fine) = match self {
            Law::Logarithmic { roughness } => {
                let z0 = roughness.get::<meter>();
                (
                    "the roughness, m,",
                    z0,
                    "above 0 m, for instance 0.03 m for open grass",
                    z0.is_finite() && z0 > 0.0,
                )
            }
            Law::Power { exponent } => {
                ("the exponent", exponent, "0 to 1, for instance 0.143", (0.0..=1.0).contains(&exponent))
            }
        };
        if !fine {
            return Err(WindError::OutOfRange { what, value, expected });
        }
        let roughness_m = self.still_below_m();
        if !(measured_at_m.is_finite() && measured_at_m > roughness_m) {
            return Err(WindError::ReadTooLow { measured_at_m, roughness_m });
        }
        Ok(())
    }

    /// Heights from the ground to `up_to_m`, both included and that of the reading too, between which the law is straight enough.
    fn heights(self, measured_at_m: f64, up_to_m: f64) -> Vec<f64> {
        let lowest_m = self.still_below_m().max(LOWEST_M);
        let mut heights = Vec::new();
        let mut height_m = up_to_m;
        while height_m > lowest_m {
            heights.push(height_m);
            height_m /= if height_m > FINE_FROM_M { FINE_RATIO } else { COARSE_RATIO };
        }
        if self.still_below_m() > 0.0 {
            heights.push(self.still_below_m());
        }
        heights.push(0.0);
        if measured_at_m < up_to_m {
            heights.push(measured_at_m);
        }
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|upper, lower| *upper <= *lower);
        heights
    }
}

/// The terrain upwind, by the classes of its roughness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Terrain {
    /// Open water, far from any shore.
    Sea,
    /// Bare level ground: mud, snow, sand.
    Smooth,
    /// Level country with low grass and single obstacles, an airfield.
    OpenGrass,
    /// Low crops, obstacles more than 20 of their heights apart.
    LowCrops,
    /// High or mixed crops, obstacles some 15 of their heights apart.
    HighCrops,
    /// Parkland, orchards, young forest, obstacles some 10 of their heights apart.
    Park,
    /// Suburbs, forest: covered by obstacles of one height.
    Suburb,
    /// A city's middle, forest with clearings.
    City,
}

impl Terrain {
    /// All classes, from smooth to rough.
    pub const ALL: [Terrain; 8] = [
        Terrain::Sea,
        Terrain::Smooth,
        Terrain::OpenGrass,
        Terrain::LowCrops,
        Terrain::HighCrops,
        Terrain::Park,
        Terrain::Suburb,
        Terrain::City,
    ];

    /// The word of files and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Terrain::Sea => "sea",
            Terrain::Smooth => "smooth",
            Terrain::OpenGrass => "open grass",
            Terrain::LowCrops => "low crops",
            Terrain::HighCrops => "high crops",
            Terrain::Park => "park",
            Terrain::Suburb => "suburb",
            Terrain::City => "city",
        }
    }

    /// Its roughness z₀; for a city the least that the class has.
    pub fn roughness(self) -> Length {
        Length::new::<meter>(match self {
            Terrain::Sea => 0.000_2,
            Terrain::Smooth => 0.005,
            Terrain::OpenGrass => 0.03,
            Terrain::LowCrops => 0.1,
            Terrain::HighCrops => 0.25,
            Terrain::Park => 0.5,
            Terrain::Suburb => 1.0,
            Terrain::City => 2.0,
        })
    }

    /// How far the roughness can be trusted.
    pub fn trust(self) -> Trust {
        Trust::Published(TERRAIN_SOURCE.to_owned())
    }

    /// The logarithmic law over it.
    pub fn law(self) -> Law {
        Law::Logarithmic { roughness: self.roughness() }
    }
}

/// The exponent that makes the power law agree with the logarithmic one at two heights, m:
/// α = ln(ln(z₂/z₀)/ln(z₁/z₀))/ln(z₂/z₁).
///
/// # Errors
/// As [`Law::ratio`]; two heights that are the same.
pub fn equivalent_exponent(roughness: Length, low_m: f64, high_m: f64) -> Result<f64, WindError> {
    if !(high_m.is_finite() && high_m > low_m) {
        return Err(WindError::OutOfRange {
            what: "the upper height, m,",
            value: high_m,
            expected: "above the lower one",
        });
    }
    Ok(ln(Law::Logarithmic { roughness }.ratio(high_m, low_m)?) / ln(high_m / low_m))
}

/// One reading of the mean wind near the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundWind {
    /// Mean speed.
    pub speed: Velocity,
    /// Where it blows from, clockwise from true north.
    pub from: Angle,
    /// Height of the instrument above the ground.
    pub measured_at: Length,
}

impl Profile {
    /// The wind by height that a reading and a law make, from the ground to `up_to_m`; held above.
    ///
    /// # Errors
    /// A roughness, exponent or height that the law cannot have; a reading at or below the roughness.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::quantity::{Angle, Length, Velocity};
    /// use silkfall_core::wind::{GroundWind, Law, Profile};
    /// use uom::si::{angle::degree, length::meter, velocity::meter_per_second};
    ///
    /// let ground = GroundWind {
    ///     speed: Velocity::new::<meter_per_second>(4.0),
    ///     from: Angle::new::<degree>(270.0),
    ///     measured_at: Length::new::<meter>(10.0),
    /// };
    /// let law = Law::Logarithmic { roughness: Length::new::<meter>(0.1) };
    /// let profile = Profile::of_law(&ground, law, 100.0).unwrap();
    /// // ln(1000)/ln(100) = 1.5
    /// assert!((profile.at(100.0)[0] - 6.0).abs() < 1e-12);
    /// ```
    pub fn of_law(ground: &GroundWind, law: Law, up_to_m: f64) -> Result<Profile, WindError> {
        let measured_at_m = ground.measured_at.get::<meter>();
        law.check(measured_at_m)?;
        if !(up_to_m.is_finite() && up_to_m > law.still_below_m()) {
            return Err(WindError::OutOfRange {
                what: "the height up to which the law is wanted, m,",
                value: up_to_m,
                expected: "above the roughness and the ground",
            });
        }
        let read = toward(ground.from, ground.speed);
        Profile::try_new(law.levels(read, measured_at_m, law.heights(measured_at_m, up_to_m)))
    }

    /// A profile through levels in ascending order of height that are not read at the ground: from the lowest down to the ground
    /// its direction holds and its speed follows the law. A level at the ground leaves nothing to lead.
    ///
    /// # Errors
    /// As [`Profile::try_new`]; a number that the law cannot have, a lowest level at or below the roughness.
    pub fn led_down(levels: Vec<Level>, law: Law) -> Result<Profile, WindError> {
        let held = Profile::try_new(levels.clone())?;
        let first = levels[0];
        if first.height_m <= 0.0 {
            return Ok(held);
        }
        law.check(first.height_m)?;
        let read = [first.east_m_per_s, first.north_m_per_s];
        let mut led = law.levels(read, first.height_m, law.heights(first.height_m, first.height_m));
        led.extend_from_slice(&levels[1..]);
        Profile::try_new(led)
    }
}

impl Law {
    fn levels(self, read_m_per_s: [f64; 2], measured_at_m: f64, heights_m: Vec<f64>) -> Vec<Level> {
        let at_reading = self.shape(measured_at_m);
        let level = |height_m| {
            let ratio = self.shape(height_m) / at_reading;
            Level { height_m, east_m_per_s: ratio * read_m_per_s[0], north_m_per_s: ratio * read_m_per_s[1] }
        };
        heights_m.into_iter().map(level).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;
    use uom::si::angle::degree;
    use uom::si::velocity::meter_per_second;

    fn ground(measured_at_m: f64) -> GroundWind {
        GroundWind {
            speed: Velocity::new::<meter_per_second>(5.0),
            from: Angle::new::<degree>(270.0),
            measured_at: Length::new::<meter>(measured_at_m),
        }
    }

    /// ∫ wind dz from the ground to `up_to_m` along the straight pieces, m²/s.
    fn drift(profile: &Profile, up_to_m: f64) -> f64 {
        let mut total = 0.0;
        for pair in profile.levels().windows(2) {
            let top_m = pair[1].height_m.min(up_to_m);
            let depth_m = (top_m - pair[0].height_m).max(0.0);
            total += depth_m * f64::midpoint(pair[0].east_m_per_s, profile.at(top_m)[0]);
        }
        total
    }

    #[test]
    #[expect(clippy::approx_constant, reason = "the table holds log10 2 as printed")]
    fn the_logarithmic_law_by_terrain_is_as_tabulated() {
        let wanted = [1.2128, 1.3029, 1.3964, 1.5, 1.6242, 1.7686, 2.0];
        let exponents = [0.0838, 0.1149, 0.1450, 0.1761, 0.2106, 0.2476, 0.3010];
        check! {
            area: "wind", what: "wind at 100 m over wind at 10 m, logarithmic law, by terrain",
            against: "u(100)/u(10) = ln(100/z0)/ln(10/z0), computed independently from the stated formula", leg: Closed,
            rows: Terrain::ALL.iter().zip(wanted).map(|(terrain, want)| {
                (terrain.word(), terrain.law().ratio(100.0, 10.0).unwrap(), want)
            }),
            within: 5e-5, because: "half a unit of the last digit",
        }
        check! {
            area: "wind", what: "exponent that agrees with the logarithmic law from 10 to 100 m, by terrain",
            against: "computed independently from the stated formula", leg: Closed,
            rows: Terrain::ALL.iter().zip(exponents).map(|(terrain, want)| {
                (terrain.word(), equivalent_exponent(terrain.roughness(), 10.0, 100.0).unwrap(), want)
            }),
            within: 5e-5, because: "half a unit of the last digit",
        }
    }

    #[test]
    fn the_power_law_is_as_tabulated() {
        let rows = [(0.1, 1.2589), (0.143, 1.3900), (0.25, 1.7783), (0.4, 2.5119)];
        check! {
            area: "wind", what: "wind at 100 m over wind at 10 m, power law, by exponent",
            against: "10^alpha, computed independently from the stated formula", leg: Closed,
            rows: rows.map(|(exponent, want)| (exponent, Law::Power { exponent }.ratio(100.0, 10.0).unwrap(), want)),
            within: 5e-5, because: "half a unit of the last digit; 10^0.143 is 1.38995",
        }
    }

    #[test]
    fn drift_along_the_levels_is_that_of_the_law() {
        let mut logarithmic: f64 = 0.0;
        for terrain in Terrain::ALL {
            let z0 = terrain.roughness().get::<meter>();
            let profile = Profile::of_law(&ground(10.0), terrain.law(), 3000.0).unwrap();
            assert!(profile.levels().len() <= 70, "{}", profile.levels().len());
            for top in [10.0, 33.0, 120.0, 777.0, 3000.0].into_iter().filter(|top| *top >= 50.0 * z0) {
                // Integral of 5 ln(z/z₀)/ln(10/z₀) from z₀: h ln(h/z₀) − h + z₀.
                let want = 5.0 / ln(10.0 / z0) * (top * ln(top / z0) - top + z0);
                logarithmic = logarithmic.max((drift(&profile, top) / want - 1.0).abs());
            }
        }
        let mut power: f64 = 0.0;
        for exponent in [0.1, SEVENTH, 0.25, 0.4] {
            let profile = Profile::of_law(&ground(10.0), Law::Power { exponent }, 3000.0).unwrap();
            for top in [10.0_f64, 33.0, 120.0, 777.0, 3000.0] {
                // The mean from the ground to h is u(h)/(1 + α).
                let want = 5.0 * pow(top / 10.0, exponent) / (1.0 + exponent) * top;
                power = power.max((drift(&profile, top) / want - 1.0).abs());
            }
        }
        check! {
            area: "wind", what: "worst relative error of the drift of a law through its straight pieces, from 10 m (and 50 roughnesses) to 3000 m",
            against: "integrals of the two laws", leg: Closed,
            got: logarithmic.max(power), at_most: 1e-3, because: "the aim of the choice of levels",
        }
    }

    #[test]
    fn the_reading_itself_stands_in_the_profile_and_the_direction_holds() {
        for law in [Terrain::OpenGrass.law(), Law::Power { exponent: SEVENTH }] {
            let profile = Profile::of_law(&ground(7.3), law, 500.0).unwrap();
            assert!((profile.at(7.3)[0] - 5.0).abs() < 1e-12);
            assert!((profile.top_m() - 500.0).abs() < 1e-12);
            assert!(
                profile.levels().iter().all(|level| level.north_m_per_s.abs() < 1e-9),
                "from west at all heights"
            );
            assert!(profile.at(0.0)[0].abs() < 1e-12 && profile.at(400.0)[0] > profile.at(100.0)[0]);
        }
        let low = Profile::of_law(&ground(10.0), Terrain::OpenGrass.law(), 4.0).unwrap();
        assert!((low.at(4.0)[0] - 5.0 * ln(4.0 / 0.03) / ln(10.0 / 0.03)).abs() < 1e-9, "below the reading");
    }

    #[test]
    fn a_table_that_begins_above_the_ground_is_led_down() {
        let levels = vec![
            Level { height_m: 50.0, east_m_per_s: 6.0, north_m_per_s: 2.0 },
            Level { height_m: 90.0, east_m_per_s: 1.0, north_m_per_s: 2.0 },
        ];
        let profile = Profile::led_down(levels.clone(), Terrain::OpenGrass.law()).unwrap();
        let ratio = ln(10.0 / 0.03) / ln(50.0 / 0.03);
        let [east, north] = profile.at(10.0);
        assert!((east / (6.0 * ratio) - 1.0).abs() < 2e-3 && (north / (2.0 * ratio) - 1.0).abs() < 2e-3);
        assert_eq!(profile.levels().last(), levels.last(), "above, as it was");
        assert!((profile.at(70.0)[0] - 3.5).abs() < 1e-12);
        let grounded = vec![Level { height_m: 0.0, east_m_per_s: 3.0, north_m_per_s: 0.0 }];
        assert_eq!(Profile::led_down(grounded.clone(), Terrain::City.law()), Profile::try_new(grounded));
    }

    #[test]
    fn numbers_a_law_cannot_have_are_refused() {
        let rough = |m| Law::Logarithmic { roughness: Length::new::<meter>(m) };
        for law in [
            rough(0.0),
            rough(-1.0),
            rough(f64::NAN),
            Law::Power { exponent: 1.2 },
            Law::Power { exponent: -0.1 },
        ] {
            assert!(matches!(law.ratio(20.0, 10.0), Err(WindError::OutOfRange { .. })), "{law:?}");
        }
        assert_eq!(
            Profile::of_law(&ground(1.5), rough(2.0), 100.0),
            Err(WindError::ReadTooLow { measured_at_m: 1.5, roughness_m: 2.0 })
        );
        assert!(matches!(Profile::of_law(&ground(10.0), rough(2.0), 1.0), Err(WindError::OutOfRange { .. })));
        assert!(matches!(
            Profile::led_down(
                vec![Level { height_m: 1.0, east_m_per_s: 1.0, north_m_per_s: 0.0 }],
                rough(1.0)
            ),
            Err(WindError::ReadTooLow { .. })
        ));
        assert!(equivalent_exponent(Length::new::<meter>(0.1), 10.0, 10.0).is_err());
    }
}
