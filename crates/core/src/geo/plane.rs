//! The plane about the pad: azimuthal equidistant, on the ellipsoid of WGS 84.
//!
//! A place at the geodesic distance s from the pad, in the direction α as seen at the pad (clockwise from true
//! north), lies at x = s sin α to the east and y = s cos α to the north. Distances and directions *from the pad* are
//! those of the Earth. Between two other places they are not quite: across the line to the pad, lengths in the plane are too
//! long by s²/6R², which is 1 mm in 2.4 km at 10 km from the pad, and 4 parts in 10⁵ at 100 km. There is no seam at 180°
//! and nothing special in the south or near a pole.
//!
//! Sources: J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395 (1987), section 25; C. F. F. Karney,
//! "Algorithms for geodesics", J. Geodesy 87 (2013) 43-55, by the crate geographiclib-rs (errors of some 15 nm).
//!
//! Range: anywhere, and as far from the pad as its antipode; meant for tens of kilometres. Not done: heights (distances are
//! along the ellipsoid; at 3,000 m above it they are longer by 5 parts in 10⁴), other datums, magnetic north.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use uom::si::angle::degree;
use uom::si::length::meter;

use super::Point;
use crate::maths::{atan2, cos, sin, sqrt};
use crate::quantity::{Angle, Length};

/// A place on the ellipsoid of WGS 84. Latitude north positive, longitude east positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    latitude_deg: f64,
    longitude_deg: f64,
}

/// Why two angles are no place.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PositionError {
    /// Beyond a pole, or not finite.
    #[error("latitude {0}° is not between -90° and 90°")]
    Latitude(f64),
    /// More than a turn, or not finite.
    #[error("longitude {0}° is not between -360° and 360°")]
    Longitude(f64),
}

impl Position {
    /// A place by latitude and longitude; longitudes beyond 180° count on around the Earth and are kept within (-180°, 180°].
    ///
    /// # Errors
    /// [`PositionError`] if the latitude is beyond 90° or the longitude beyond 360°, either way, or one is not finite.
    pub fn try_new(latitude: Angle, longitude: Angle) -> Result<Position, PositionError> {
        Position::from_degrees(latitude.get::<degree>(), longitude.get::<degree>())
    }

    /// The same from plain degrees, as files hold them: their digits are kept as they are.
    ///
    /// # Errors
    /// As [`Position::try_new`].
    pub fn from_degrees(latitude_deg: f64, longitude_deg: f64) -> Result<Position, PositionError> {
        if !(-90.0..=90.0).contains(&latitude_deg) {
            return Err(PositionError::Latitude(latitude_deg));
        }
        if !(-360.0..=360.0).contains(&longitude_deg) {
            return Err(PositionError::Longitude(longitude_deg));
        }
        let longitude_deg = match longitude_deg {
            east if east > 180.0 => east - 360.0,
            west if west <= -180.0 => west + 360.0,
            within => within,
        };
        Ok(Position { latitude_deg, longitude_deg })
    }

    /// Latitude, north positive.
    pub fn latitude(self) -> Angle {
        Angle::new::<degree>(self.latitude_deg)
    }

    /// Longitude, east positive, above -180° and up to 180°.
    pub fn longitude(self) -> Angle {
        Angle::new::<degree>(self.longitude_deg)
    }

    /// Latitude in degrees.
    pub fn latitude_deg(self) -> f64 {
        self.latitude_deg
    }

    /// Longitude in degrees.
    pub fn longitude_deg(self) -> f64 {
        self.longitude_deg
    }
}

/// How far and in which direction one place lies from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separation {
    /// Length of the geodesic between them.
    pub distance: Length,
    /// Direction at the first place, clockwise from true north, from 0 up to 360°; 0 where both are one.
    pub bearing: Angle,
}

/// From one place to another along the ellipsoid.
///
/// # Examples
/// ```
/// use silkfall_core::geo::{Position, plane};
/// use silkfall_core::quantity::{Angle, Length};
/// use uom::si::{angle::degree, length::kilometer};
///
/// // A degree of longitude on the equator is 6378.137 km · π/180 = 111.319 km, due east.
/// let here = Position::from_degrees(0.0, 179.5).unwrap();
/// let there = Position::from_degrees(0.0, -179.5).unwrap();
/// let way = plane::separation(here, there);
/// assert!((way.distance.get::<kilometer>() - 111.319).abs() < 0.001);
/// assert!((way.bearing.get::<degree>() - 90.0).abs() < 1e-9);
/// ```
pub fn separation(from: Position, to: Position) -> Separation {
    let (distance_m, azimuth_deg) = inverse(&Geodesic::wgs84(), from, to);
    Separation {
        distance: Length::new::<meter>(distance_m),
        bearing: Angle::new::<degree>(turn(azimuth_deg)),
    }
}

/// The same for a place in the plane, seen from the pad.
pub fn separation_from_pad([east_m, north_m]: Point) -> Separation {
    Separation {
        distance: Length::new::<meter>(sqrt(east_m * east_m + north_m * north_m)),
        bearing: Angle::new::<degree>(turn(atan2(east_m, north_m).to_degrees())),
    }
}

/// The plane about a pad.
#[derive(Clone, Copy, Debug)]
pub struct Plane {
    pad: Position,
    earth: Geodesic,
}

impl Plane {
    /// The plane that touches the Earth at the pad.
    pub fn new(pad: Position) -> Plane {
        Plane { pad, earth: Geodesic::wgs84() }
    }

    /// The pad: the plane's origin.
    pub fn pad(&self) -> Position {
        self.pad
    }

    /// A place of the Earth, in metres east and north of the pad.
    pub fn to_plane(&self, place: Position) -> Point {
        let (distance_m, azimuth_deg) = inverse(&self.earth, self.pad, place);
        let azimuth = azimuth_deg.to_radians();
        [distance_m * sin(azimuth), distance_m * cos(azimuth)]
    }

    /// The place of the Earth at so many metres east and north of the pad.
    pub fn to_earth(&self, [east_m, north_m]: Point) -> Position {
        let distance_m = sqrt(east_m * east_m + north_m * north_m);
        let azimuth_deg = atan2(east_m, north_m).to_degrees();
        let (latitude_deg, longitude_deg) =
            self.earth.direct(self.pad.latitude_deg, self.pad.longitude_deg, azimuth_deg, distance_m);
        Position::from_degrees(latitude_deg.clamp(-90.0, 90.0), longitude_deg)
            .expect("the end of a geodesic of finite length is a place")
    }
}

/// Distance, m, and direction at the first place, degrees from -180 to 180.
fn inverse(earth: &Geodesic, from: Position, to: Position) -> (f64, f64) {
    let (distance_m, azimuth_deg, _, _): (f64, f64, f64, f64) =
        earth.inverse(from.latitude_deg, from.longitude_deg, to.latitude_deg, to.longitude_deg);
    (distance_m, azimuth_deg)
}

/// A direction within a turn, from 0 up to but not 360°.
fn turn(degrees: f64) -> f64 {
    let turned = if degrees < 0.0 { degrees + 360.0 } else { degrees };
    if turned >= 360.0 || turned == 0.0 { 0.0 } else { turned }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(latitude: f64, longitude: f64) -> Position {
        Position::from_degrees(latitude, longitude).unwrap()
    }

    #[test]
    fn there_and_back_is_the_same_place_all_over_the_earth() {
        for pad in [
            (52.0, 5.0),
            (-34.0, 18.5),
            (0.0, 180.0),
            (-43.0, -179.999),
            (78.2, 15.6),
            (89.99, 40.0),
            (-90.0, 0.0),
        ] {
            let plane = Plane::new(place(pad.0, pad.1));
            for point in [[0.0, 0.0], [1.0, 0.0], [-350.0, 1200.0], [12_000.0, -9_000.0], [0.0, -40_000.0]] {
                let back = plane.to_plane(plane.to_earth(point));
                assert!(
                    (back[0] - point[0]).abs() < 1e-6 && (back[1] - point[1]).abs() < 1e-6,
                    "{pad:?} {point:?} {back:?}"
                );
            }
        }
    }

    #[test]
    fn east_is_right_and_north_is_up_in_the_south_and_over_180_degrees() {
        for (latitude, longitude) in
            [(52.0, 5.0), (-34.0, 150.0), (-34.0, 180.0), (12.0, 180.0), (12.0, -180.0)]
        {
            let plane = Plane::new(place(latitude, longitude));
            let [x, y] = plane.to_plane(place(latitude, longitude + 0.001));
            assert!(x > 60.0 && y.abs() < 0.01, "{latitude} {longitude}: {x} {y}");
            let [x, y] = plane.to_plane(place(latitude + 0.001, longitude));
            assert!(y > 110.0 && x.abs() < 1e-6, "{latitude} {longitude}: {x} {y}");
            let east = plane.to_earth([5_000.0, 0.0]);
            let way = separation(plane.pad(), east);
            assert!((way.distance.get::<meter>() - 5_000.0).abs() < 1e-6);
            assert!((way.bearing.get::<degree>() - 90.0).abs() < 1e-9);
        }
    }

    #[test]
    fn lengths_across_the_line_to_the_pad_are_long_by_the_stated_share() {
        const R_M: f64 = 6_371_000.0;
        let plane = Plane::new(place(47.0, 11.0));
        for s in [10_000.0, 100_000.0] {
            let half = 5.0;
            let (a, b) = (plane.to_earth([s, -half]), plane.to_earth([s, half]));
            let excess = 2.0 * half / separation(a, b).distance.get::<meter>() - 1.0;
            let stated = s * s / (6.0 * R_M * R_M);
            assert!((excess / stated - 1.0).abs() < 0.02, "{s}: {excess} {stated}");
        }
    }

    #[test]
    fn bearings_go_clockwise_from_north() {
        let bearing = |x, y| separation_from_pad([x, y]).bearing.get::<degree>();
        for (point, want) in [
            ((0.0, 1.0), 0.0),
            ((1.0, 1.0), 45.0),
            ((1.0, 0.0), 90.0),
            ((0.0, -1.0), 180.0),
            ((-1.0, 0.0), 270.0),
        ] {
            assert!((bearing(point.0, point.1) - want).abs() < 1e-12, "{point:?}");
        }
        assert!(bearing(0.0, 0.0).abs() < 1e-12 && bearing(-1e-300, 1.0) < 360.0);
    }

    #[test]
    fn no_place_is_refused_with_its_value() {
        assert_eq!(Position::from_degrees(90.5, 0.0), Err(PositionError::Latitude(90.5)));
        assert!(matches!(Position::from_degrees(f64::NAN, 0.0), Err(PositionError::Latitude(_))));
        assert_eq!(Position::from_degrees(0.0, 361.0), Err(PositionError::Longitude(361.0)));
        assert_eq!(place(0.0, 190.0), place(0.0, -170.0));
        assert_eq!(place(0.0, -180.0), place(0.0, 180.0));
        assert_eq!(PositionError::Latitude(90.5).to_string(), "latitude 90.5° is not between -90° and 90°");
    }
}
