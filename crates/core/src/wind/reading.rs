//! From winds as they are read, by height above the ground or above sea level, to the profile of a field.
//!
//! A height above sea level less the field's elevation is the height above its ground. Where levels lie below that ground (a
//! sounding from a lower place), the wind at the ground is read between the last below and the first above it. Where the
//! lowest level is above the ground, [`Foot`] says what the wind does below it.
//!
//! A sounding's geopotential height is taken as height above sea level: it is short by 0.03 % at 2 km. Between the place of
//! the sounding and the field the ground is taken as flat: above a hill the wind at a height above sea level is not
//! that of the valley.

use uom::si::length::meter;

use super::{Law, Level, Profile, WindError};
use crate::quantity::{Angle, Length, Velocity};

/// The wind at one height, as reported.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Counted from where [`HeightIs`] says.
    pub height: Length,
    /// Where it blows from, clockwise from true north.
    pub from: Angle,
    /// Its speed.
    pub speed: Velocity,
}

/// From where the heights of readings count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeightIs {
    /// From the field's ground.
    AboveGround,
    /// From sea level.
    AboveSeaLevel,
}

impl HeightIs {
    /// The height of the field's ground on that scale.
    pub fn of_ground(self, elevation: Length) -> Length {
        match self {
            HeightIs::AboveGround => Length::new::<meter>(0.0),
            HeightIs::AboveSeaLevel => elevation,
        }
    }
}

/// What the wind does between the ground and a lowest level above it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Foot {
    /// It is that of the lowest level.
    Held,
    /// It has the direction of the lowest level, and its speed by a law.
    Law(Law),
}

impl Profile {
    /// The wind above a field from readings in ascending order; `ground` is the height of the field's ground on the
    /// readings' own scale ([`HeightIs::of_ground`]).
    ///
    /// # Errors
    /// No readings, or all of them below the ground; readings that are not finite or not ascending (their index is that of
    /// the reading); a law that cannot lead down from the lowest level.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::quantity::{Angle, Length, Velocity};
    /// use silkfall_core::wind::{Foot, Profile, Reading};
    /// use uom::si::{angle::degree, length::meter, velocity::meter_per_second};
    ///
    /// let reading = |height, from, speed| Reading {
    ///     height: Length::new::<meter>(height),
    ///     from: Angle::new::<degree>(from),
    ///     speed: Velocity::new::<meter_per_second>(speed),
    /// };
    /// // Read above sea level; the field is at 400 m.
    /// let readings = [reading(300.0, 270.0, 2.0), reading(500.0, 270.0, 6.0)];
    /// let profile = Profile::of_readings(&readings, Length::new::<meter>(400.0), Foot::Held).unwrap();
    /// assert!((profile.at(0.0)[0] - 4.0).abs() < 1e-12 && (profile.at(100.0)[0] - 6.0).abs() < 1e-12);
    /// ```
    pub fn of_readings(readings: &[Reading], ground: Length, foot: Foot) -> Result<Profile, WindError> {
        let ground_m = ground.get::<meter>();
        let levels: Vec<Level> = readings
            .iter()
            .map(|reading| Level::reported(reading.height - ground, reading.from, reading.speed))
            .collect();
        let Some(top) = levels.last() else { return Err(WindError::Empty) };
        if let Some(index) = levels.iter().position(|level| !level.is_finite()) {
            return Err(WindError::NotFinite { index });
        }
        if let Some(pair) = levels.windows(2).position(|pair| pair[1].height_m <= pair[0].height_m) {
            let height_m = levels[pair + 1].height_m + ground_m;
            return Err(WindError::NotAscending { index: pair + 1, height_m });
        }
        if top.height_m < 0.0 {
            return Err(WindError::AllBelowGround { height_m: top.height_m });
        }
        let below = levels.partition_point(|level| level.height_m < 0.0);
        let mut above = levels[below..].to_vec();
        if let (Some(last), first) = (levels[..below].last(), above[0])
            && first.height_m > 0.0
        {
            let share = -last.height_m / (first.height_m - last.height_m);
            above.insert(0, last.towards(&first, share));
        }
        match foot {
            Foot::Held => Profile::try_new(above),
            Foot::Law(law) => Profile::led_down(above, law),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Terrain;
    use super::*;
    use uom::si::angle::degree;
    use uom::si::velocity::meter_per_second;

    fn reading(height_m: f64, from: f64, speed: f64) -> Reading {
        Reading {
            height: Length::new::<meter>(height_m),
            from: Angle::new::<degree>(from),
            speed: Velocity::new::<meter_per_second>(speed),
        }
    }

    fn over(ground_m: f64, readings: &[Reading], foot: Foot) -> Result<Profile, WindError> {
        Profile::of_readings(readings, Length::new::<meter>(ground_m), foot)
    }

    #[test]
    fn heights_count_from_the_fields_ground() {
        let readings = [reading(345.0, 180.0, 2.0), reading(445.0, 180.0, 6.0), reading(900.0, 270.0, 9.0)];
        for foot in [Foot::Held, Foot::Law(Terrain::OpenGrass.law())] {
            // On its level, below it, and above its first level: the last reads the ground between two levels.
            assert_eq!(over(345.0, &readings, foot).unwrap().levels().len(), 3);
            let higher = over(370.0, &readings, foot).unwrap();
            assert!((higher.at(0.0)[1] - 3.0).abs() < 1e-12 && (higher.at(75.0)[1] - 6.0).abs() < 1e-12);
            assert!((higher.top_m() - 530.0).abs() < 1e-9);
        }
        let held = over(300.0, &readings, Foot::Held).unwrap();
        assert!((held.at(0.0)[1] - 2.0).abs() < 1e-12 && (held.at(45.0)[1] - 2.0).abs() < 1e-12);
        let led = over(300.0, &readings, Foot::Law(Terrain::OpenGrass.law())).unwrap();
        assert!(
            led.at(0.0)[1].abs() < 1e-12 && led.at(10.0)[1] > 1.0 && (led.at(45.0)[1] - 2.0).abs() < 1e-12
        );
        assert!((HeightIs::AboveGround.of_ground(Length::new::<meter>(345.0)).get::<meter>()).abs() < 1e-12);
    }

    #[test]
    fn readings_that_make_no_wind_say_why() {
        let two = [reading(345.0, 180.0, 2.0), reading(445.0, 180.0, 6.0)];
        assert_eq!(over(0.0, &[], Foot::Held), Err(WindError::Empty));
        assert_eq!(over(500.0, &two, Foot::Held), Err(WindError::AllBelowGround { height_m: -55.0 }));
        let turned = [two[1], two[0]];
        assert_eq!(
            over(100.0, &turned, Foot::Held),
            Err(WindError::NotAscending { index: 1, height_m: 345.0 })
        );
        assert_eq!(
            over(0.0, &[reading(f64::NAN, 0.0, 1.0)], Foot::Held),
            Err(WindError::NotFinite { index: 0 })
        );
        let low = [reading(0.5, 180.0, 2.0), two[0]];
        assert!(matches!(over(0.0, &low, Foot::Law(Terrain::City.law())), Err(WindError::ReadTooLow { .. })));
    }
}
