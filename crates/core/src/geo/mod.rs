//! Places: a plane about the pad, the field and what to keep out of, and the regions in which things come down.
//!
//! Everything between is done in plane metres from the pad, x to the east and y to the north ([`Point`]); only
//! [`plane`] knows the Earth. [`polygon`] and [`field`] say what lies inside what, [`region`] draws the rings
//! that hold half, nine tenths or nearly all of the places where trials came down.

pub mod field;
pub mod plane;
pub mod polygon;
pub mod region;

pub use field::{Field, KeepOut};
pub use plane::{Plane, Position, PositionError, Separation};
pub use polygon::{Polygon, PolygonError, Side};
pub use region::{Cloud, CloudError, Region, regions};

/// A place in the plane about the pad: metres to the east, metres to the north.
pub type Point = [f64; 2];
