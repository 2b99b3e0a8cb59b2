//! Landing regions and sample landings for maps: GeoJSON (RFC 7946) and KML 2.2 (OGC 07-147r2).
//!
//! Both hold the same: the pad, the field and what to keep out of, the regions by part and share, and as many sample
//! landings as the caller gives. Positions are WGS 84 with seven decimals, a centimetre. A polygon that crosses 180° is cut in two
//! there, as RFC 7946, 3.1.9 asks ([`cut`]).
//!
//! Not done: heights, a field around a pole.

mod cut;
mod geojson;
mod kml;
mod of_sheet;

use silkfall_core::geo::{Field, Plane, Point, Polygon, Region};

pub use geojson::geojson;
pub use kml::kml;
pub use of_sheet::of_sheet;

/// What a map shows, in plane metres.
#[derive(Clone, Copy, Debug)]
pub struct Map<'a> {
    /// What the project is called.
    pub name: &'a str,
    /// The plane about the pad.
    pub plane: &'a Plane,
    /// The field, if there is one.
    pub field: Option<&'a Field>,
    /// The regions, drawn in this order.
    pub regions: &'a [PartRegion<'a>],
    /// Sample landings.
    pub landings: &'a [Landings<'a>],
}

/// A region in which a part comes down.
#[derive(Clone, Copy, Debug)]
pub struct PartRegion<'a> {
    /// Which part.
    pub part: &'a str,
    /// Its region.
    pub region: &'a Region,
}

/// Places where a part came down in trials of one case.
#[derive(Clone, Copy, Debug)]
pub struct Landings<'a> {
    /// Which part.
    pub part: &'a str,
    /// Which case.
    pub case: &'a str,
    /// The chance of the case, 0 to 1.
    pub chance: f64,
    /// The places, m.
    pub places_m: &'a [Point],
}

/// Longitude and latitude, degrees, to a centimetre.
type Degrees = [f64; 2];

/// A polygon on the Earth: the outer ring anticlockwise, then the holes, each with its first position again at the end.
type Rings = Vec<Vec<Degrees>>;

/// A share in words: "90 %".
fn percent(share: f64) -> String {
    let percent = (share * 1e4).round() / 1e2;
    format!("{percent} %")
}

/// A place on the Earth, rounded.
fn degrees(plane: &Plane, point: Point) -> Degrees {
    let place = plane.to_earth(point);
    rounded([place.longitude_deg(), place.latitude_deg()])
}

fn rounded(place: Degrees) -> Degrees {
    // No "-0".
    place.map(|angle| (angle * 1e7).round() / 1e7 + 0.0)
}

/// Polygons on the Earth, none of them across 180°.
fn on_earth<'p>(plane: &Plane, polygons: impl IntoIterator<Item = &'p Polygon>) -> Vec<Rings> {
    let pad = plane.pad().longitude_deg();
    let ring = |ring: &[Point]| -> Vec<Degrees> {
        let corner = |point: &Point| {
            let place = plane.to_earth(*point);
            // On the pad's side of 180°, so that a ring has no jump.
            let east = (place.longitude_deg() - pad + 540.0).rem_euclid(360.0) - 180.0;
            [pad + east, place.latitude_deg()]
        };
        ring.iter().map(corner).collect()
    };
    let whole = |polygon: &Polygon| -> Rings {
        std::iter::once(polygon.outer()).chain(polygon.holes()).map(ring).collect()
    };
    let mut parts: Vec<Rings> =
        polygons.into_iter().flat_map(|polygon| cut::at_180(whole(polygon))).collect();
    for ring in parts.iter_mut().flatten() {
        for place in ring.iter_mut() {
            *place = rounded(*place);
        }
        ring.dedup();
        let first = ring[0];
        ring.push(first);
    }
    parts
}
