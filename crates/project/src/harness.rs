//! How a part hangs from its riser, as a person wrote it.

use silkfall_core::quantity::{Angle, Length};

use crate::value::{Known, Quantity, Said, Spot};

/// Legs from points on the body that meet in one place, the confluence. Places along the body count from its front end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Harness {
    /// The wanted angle of the front end above level in steady descent; absent: as the body hangs.
    pub angle: Known<Quantity<Angle>>,
    /// Height of the confluence above the centre of mass.
    pub confluence: Known<Quantity<Length>>,
    /// From the front end to the centre of mass.
    pub centre_of_mass: Known<Quantity<Length>>,
    /// How far below the long axis the centre of mass lies; absent: on it.
    pub mass_below_axis: Known<Quantity<Length>>,
    /// How far the centre of mass may lie from there along the body.
    pub mass_may_move: Known<Quantity<Length>>,
    /// From the front end to the centre of area; absent: from the shape.
    pub centre_of_area: Known<Quantity<Length>>,
    /// Where its legs are fastened, in the order written.
    pub points: Vec<Point>,
    /// Where the table stands; `None` if it does not.
    pub spot: Option<Spot>,
}

/// A place on the body from which a leg goes up.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Its name.
    pub name: Said<String>,
    /// From the front end.
    pub at: Known<Quantity<Length>>,
    /// From the long axis; absent: on it.
    pub out: Known<Quantity<Length>>,
    /// Round the long axis from the side meant to be up; absent: 0.
    pub around: Known<Quantity<Angle>>,
    /// Length of its leg as made; absent: as the wanted angle asks for.
    pub leg: Known<Quantity<Length>>,
}
