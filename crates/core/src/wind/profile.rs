//! The mean wind by height: straight lines by components between levels.
//!
//! Between two levels u(z) = u₁ + (u₂ − u₁)(z − z₁)/(z₂ − z₁), east and north each by itself; below the lowest and above
//! the highest level that level's wind holds. Heights in m above the field's ground, winds in m/s towards east and
//! north. A calm between two opposed winds comes out as it should; a direction interpolated by its angle would not.
//!
//! Nothing of its own is added above the last level: ask [`Profile::top_m`] whether a fall begins above it.

use uom::si::angle::{degree, radian};
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use super::WindError;
use crate::maths::{atan2, cos, sin, sqrt};
use crate::quantity::{Angle, Length, Velocity};

/// The wind at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Above the field's ground, m.
    pub height_m: f64,
    /// Speed towards east, m/s.
    pub east_m_per_s: f64,
    /// Speed towards north, m/s.
    pub north_m_per_s: f64,
}

impl Level {
    /// A level as winds are reported: height above the field's ground, where the wind blows *from*, speed.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::quantity::{Angle, Length, Velocity};
    /// use silkfall_core::wind::Level;
    /// use uom::si::{angle::degree, length::meter, velocity::meter_per_second};
    ///
    /// // A west wind carries towards east.
    /// let level = Level::reported(
    ///     Length::new::<meter>(10.0),
    ///     Angle::new::<degree>(270.0),
    ///     Velocity::new::<meter_per_second>(4.0),
    /// );
    /// assert!((level.east_m_per_s - 4.0).abs() < 1e-12 && level.north_m_per_s.abs() < 1e-12);
    /// ```
    pub fn reported(height: Length, from: Angle, speed: Velocity) -> Level {
        let [east_m_per_s, north_m_per_s] = toward(from, speed);
        Level { height_m: height.get::<meter>(), east_m_per_s, north_m_per_s }
    }

    fn vector(&self) -> [f64; 2] {
        [self.east_m_per_s, self.north_m_per_s]
    }

    /// A share of the way to another level, in height and components.
    pub(super) fn towards(&self, other: &Level, share: f64) -> Level {
        let between = |from: f64, to: f64| from + share * (to - from);
        Level {
            height_m: between(self.height_m, other.height_m),
            east_m_per_s: between(self.east_m_per_s, other.east_m_per_s),
            north_m_per_s: between(self.north_m_per_s, other.north_m_per_s),
        }
    }

    pub(super) fn is_finite(&self) -> bool {
        self.height_m.is_finite() && self.east_m_per_s.is_finite() && self.north_m_per_s.is_finite()
    }
}

/// Where the air goes, m/s towards east and north, from where the wind blows *from* and its speed.
pub fn toward(from: Angle, speed: Velocity) -> [f64; 2] {
    let (angle, speed) = (from.get::<radian>(), speed.get::<meter_per_second>());
    [-speed * sin(angle), -speed * cos(angle)]
}

/// Where a wind blows *from*, 0 to below 360 degrees, and its speed; no direction in still air.
pub fn from_of(wind_m_per_s: [f64; 2]) -> (Option<Angle>, Velocity) {
    let [east, north] = wind_m_per_s;
    let speed = sqrt(east * east + north * north);
    let degrees = atan2(-east, -north).to_degrees();
    // A rest of rounding below 0 would come out as 360.
    let degrees = if degrees < 0.0 { degrees + 360.0 } else { degrees };
    let degrees = if degrees >= 360.0 { 0.0 } else { degrees };
    ((speed > 0.0).then(|| Angle::new::<degree>(degrees)), Velocity::new::<meter_per_second>(speed))
}

/// The mean wind by height above the field's ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Ascending; the first at height 0.
    levels: Vec<Level>,
}

impl Profile {
    /// A profile through levels in ascending order of height. A first level above the ground is held down to it;
    /// [`Profile::led_down`] leads down by a law instead.
    ///
    /// # Errors
    /// No level, a number that is not finite, a level not above the one before it, a level below the ground.
    pub fn try_new(mut levels: Vec<Level>) -> Result<Profile, WindError> {
        let first = *levels.first().ok_or(WindError::Empty)?;
        if let Some(index) = levels.iter().position(|level| !level.is_finite()) {
            return Err(WindError::NotFinite { index });
        }
        if first.height_m < 0.0 {
            return Err(WindError::BelowGround { index: 0, height_m: first.height_m });
        }
        if let Some(pair) = levels.windows(2).position(|pair| pair[1].height_m <= pair[0].height_m) {
            return Err(WindError::NotAscending { index: pair + 1, height_m: levels[pair + 1].height_m });
        }
        if first.height_m > 0.0 {
            levels.insert(0, Level { height_m: 0.0, ..first });
        }
        Ok(Profile { levels })
    }

    /// Of levels that are ascending from height 0 by how they were made.
    pub(super) fn ascending(levels: Vec<Level>) -> Profile {
        Profile { levels }
    }

    /// No wind at any height.
    pub fn still() -> Profile {
        Profile { levels: vec![Level { height_m: 0.0, east_m_per_s: 0.0, north_m_per_s: 0.0 }] }
    }

    /// One wind at all heights.
    pub fn uniform(wind_m_per_s: [f64; 2]) -> Profile {
        let [east_m_per_s, north_m_per_s] = wind_m_per_s;
        Profile { levels: vec![Level { height_m: 0.0, east_m_per_s, north_m_per_s }] }
    }

    /// One metre a second towards east at the ground, fading linearly to none at `top_m`: scaled, turned and added to a
    /// table, it is "another wind at the ground, the same aloft".
    ///
    /// # Errors
    /// `top_m` is not a finite height above the ground.
    pub fn fading(top_m: f64) -> Result<Profile, WindError> {
        if !(top_m.is_finite() && top_m > 0.0) {
            return Err(WindError::OutOfRange {
                what: "the height at which the ground wind has faded",
                value: top_m,
                expected: "a height above the ground",
            });
        }
        Profile::try_new(vec![
            Level { height_m: 0.0, east_m_per_s: 1.0, north_m_per_s: 0.0 },
            Level { height_m: top_m, east_m_per_s: 0.0, north_m_per_s: 0.0 },
        ])
    }

    /// The wind at a height, m/s towards east and north.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::wind::{Level, Profile};
    ///
    /// let low = Level { height_m: 0.0, east_m_per_s: 2.0, north_m_per_s: 0.0 };
    /// let high = Level { height_m: 100.0, east_m_per_s: 4.0, north_m_per_s: 1.0 };
    /// let profile = Profile::try_new(vec![low, high]).unwrap();
    /// assert_eq!(profile.at(50.0), [3.0, 0.5]);
    /// assert_eq!(profile.at(900.0), [4.0, 1.0]);
    /// ```
    pub fn at(&self, height_m: f64) -> [f64; 2] {
        let above = self.levels.partition_point(|level| level.height_m <= height_m);
        let Some(upper) = self.levels.get(above) else {
            return self.levels[above - 1].vector();
        };
        let Some(lower) = above.checked_sub(1).map(|below| &self.levels[below]) else {
            return upper.vector();
        };
        let share = (height_m - lower.height_m) / (upper.height_m - lower.height_m);
        lower.towards(upper, share).vector()
    }

    /// The levels, ascending, the first at height 0.
    pub fn levels(&self) -> &[Level] {
        &self.levels
    }

    /// The highest level, m: above it the wind is held, which is not known.
    pub fn top_m(&self) -> f64 {
        self.levels.last().expect("a profile has a level at the ground").height_m
    }

    /// By how much a height is above the highest level, m; `None` where the profile reaches it. A profile of one wind
    /// at all heights reaches everything.
    pub fn short_of_m(&self, height_m: f64) -> Option<f64> {
        let missing_m = height_m - self.top_m();
        (self.levels.len() > 1 && missing_m > 0.0).then_some(missing_m)
    }

    /// Every wind times a factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Profile {
        self.each(|[east, north]| [factor * east, factor * north])
    }

    /// Every wind turned clockwise as seen from above: a west wind by 90° is a north wind.
    #[must_use]
    pub fn turned(&self, clockwise: Angle) -> Profile {
        self.turned_and_scaled(clockwise, 1.0)
    }

    /// [`Profile::turned`], then [`Profile::scaled`], in one go.
    #[must_use]
    pub fn turned_and_scaled(&self, clockwise: Angle, factor: f64) -> Profile {
        let (sine, cosine) = (sin(clockwise.get::<radian>()), cos(clockwise.get::<radian>()));
        self.each(|[east, north]| {
            [factor * (cosine * east + sine * north), factor * (cosine * north - sine * east)]
        })
    }

    /// The sum of two winds at every height, exactly: it has the levels of both.
    #[must_use]
    pub fn plus(&self, other: &Profile) -> Profile {
        let (mut mine, mut theirs) = (Climb::of(self), Climb::of(other));
        let mut levels = Vec::with_capacity(self.levels.len() + other.levels.len());
        while let Some(height_m) = lower(mine.next_m(), theirs.next_m()) {
            let ([east, north], [east_too, north_too]) = (mine.at(height_m), theirs.at(height_m));
            levels.push(Level { height_m, east_m_per_s: east + east_too, north_m_per_s: north + north_too });
        }
        Profile { levels }
    }

    fn each(&self, change: impl Fn([f64; 2]) -> [f64; 2]) -> Profile {
        let changed = |level: &Level| {
            let [east_m_per_s, north_m_per_s] = change(level.vector());
            Level { height_m: level.height_m, east_m_per_s, north_m_per_s }
        };
        Profile { levels: self.levels.iter().map(changed).collect() }
    }
}

/// Reads a profile upwards.
struct Climb<'a> {
    last: Level,
    above: &'a [Level],
}

impl<'a> Climb<'a> {
    fn of(profile: &'a Profile) -> Self {
        Climb { last: profile.levels[0], above: &profile.levels }
    }

    /// The first level above what was read.
    fn next_m(&self) -> Option<f64> {
        self.above.first().map(|level| level.height_m)
    }

    /// The wind at a height that is not below the last one read.
    fn at(&mut self, height_m: f64) -> [f64; 2] {
        while let Some((level, above)) =
            self.above.split_first().filter(|(level, _)| level.height_m <= height_m)
        {
            (self.last, self.above) = (*level, above);
        }
        let Some(upper) = self.above.first() else { return self.last.vector() };
        let share = (height_m - self.last.height_m) / (upper.height_m - self.last.height_m);
        self.last.towards(upper, share).vector()
    }
}

/// The lower of two heights, or the one there is.
fn lower(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(height_m: f64, east_m_per_s: f64, north_m_per_s: f64) -> Level {
        Level { height_m, east_m_per_s, north_m_per_s }
    }

    fn near(a: [f64; 2], b: [f64; 2]) -> bool {
        (a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12
    }

    fn degrees(degrees: f64) -> Angle {
        Angle::new::<degree>(degrees)
    }

    fn speed(m_per_s: f64) -> Velocity {
        Velocity::new::<meter_per_second>(m_per_s)
    }

    #[test]
    fn a_wind_from_a_side_goes_to_the_other_and_back() {
        for (from, to) in [(0.0, [0.0, -5.0]), (90.0, [-5.0, 0.0]), (180.0, [0.0, 5.0]), (270.0, [5.0, 0.0])]
        {
            assert!(near(toward(degrees(from), speed(5.0)), to), "from {from}");
            let (back, fast) = from_of(to);
            assert!((back.unwrap().get::<degree>() - from).abs() < 1e-9, "from {from}");
            assert!((fast.get::<meter_per_second>() - 5.0).abs() < 1e-12);
        }
        assert_eq!(from_of([0.0, 0.0]), (None, speed(0.0)));
        // A hair west of a north wind, and 360° itself, stay below 360.
        for wind in [[1e-18, -1.0], toward(degrees(360.0), speed(3.0))] {
            let from = from_of(wind).0.unwrap().get::<degree>();
            assert!((0.0..360.0).contains(&from), "{from}");
        }
    }

    #[test]
    fn between_levels_straight_and_held_beyond() {
        let profile = Profile::try_new(vec![level(10.0, 2.0, 0.0), level(30.0, 4.0, -2.0)]).unwrap();
        for (height, wind) in [
            (-5.0, [2.0, 0.0]),
            (0.0, [2.0, 0.0]),
            (10.0, [2.0, 0.0]),
            (15.0, [2.5, -0.5]),
            (30.0, [4.0, -2.0]),
            (1e6, [4.0, -2.0]),
        ] {
            assert!(near(profile.at(height), wind), "{height}");
        }
        assert_eq!(profile.levels()[0], level(0.0, 2.0, 0.0), "held down to the ground");
        assert!((profile.top_m() - 30.0).abs() < 1e-12);
        assert_eq!(profile.short_of_m(30.0), None);
        assert!((profile.short_of_m(42.0).unwrap() - 12.0).abs() < 1e-12);
        assert_eq!(Profile::uniform([1.0, 0.0]).short_of_m(1e4), None);
    }

    #[test]
    fn what_makes_no_profile_says_which_level() {
        assert_eq!(Profile::try_new(vec![]), Err(WindError::Empty));
        let fine = level(0.0, 1.0, 0.0);
        for (levels, error) in [
            (vec![fine, level(5.0, f64::NAN, 0.0)], WindError::NotFinite { index: 1 }),
            (vec![level(-3.0, 1.0, 0.0)], WindError::BelowGround { index: 0, height_m: -3.0 }),
            (
                vec![fine, level(9.0, 1.0, 0.0), level(9.0, 2.0, 0.0)],
                WindError::NotAscending { index: 2, height_m: 9.0 },
            ),
        ] {
            assert_eq!(Profile::try_new(levels), Err(error));
        }
        for top_m in [0.0, -1.0, f64::INFINITY] {
            assert!(matches!(Profile::fading(top_m), Err(WindError::OutOfRange { .. })), "{top_m}");
        }
        assert_eq!(
            WindError::NotAscending { index: 2, height_m: 9.0 }.to_string(),
            "level 3 is at 9 m, not above the one before it"
        );
    }

    #[test]
    fn sums_turns_and_factors_hold_at_every_height() {
        let a = Profile::try_new(vec![level(0.0, 1.0, 2.0), level(50.0, 3.0, -1.0), level(80.0, 0.0, 0.5)])
            .unwrap();
        let b = Profile::fading(65.0).unwrap().scaled(3.0).turned(degrees(90.0));
        let sum = a.plus(&b);
        assert_eq!(sum.levels().len(), 4, "0, 50, 65 and 80 m");
        for height in [0.0, 10.0, 49.0, 50.0, 60.0, 65.0, 70.0, 80.0, 200.0] {
            let (x, y) = (a.at(height), b.at(height));
            assert!(near(sum.at(height), [x[0] + y[0], x[1] + y[1]]), "{height}");
        }
        assert!(near(b.at(0.0), [0.0, -3.0]), "a west wind turned clockwise by 90° is a north wind");
        assert!(near(Profile::still().plus(&a).at(60.0), a.at(60.0)));
        let (from, _) =
            from_of(Profile::uniform(toward(degrees(200.0), speed(2.0))).turned(degrees(30.0)).at(5.0));
        assert!(
            (from.unwrap().get::<degree>() - 230.0).abs() < 1e-9,
            "the direction it blows from turns along"
        );
    }
}
