//! The field's edge, the places to keep out of and the pad, from a GeoJSON file (RFC 7946).
//!
//! A FeatureCollection whose features say what they are by the property `kind`: "edge" or "keep out" (Polygon or MultiPolygon, with holes)
//! or "pad" (Point); `name` is what the person calls it. Positions are longitude first, in degrees of WGS 84; an altitude
//! is not used. Nothing is guessed: what is wrong is a finding with its place, and that feature is left out.
//!
//! The line between two positions is straight in longitude and latitude (RFC 7946, 3.1.1), which bends against the straight
//! line in the plane by R Δλ² sin φ cos φ / 8: 0.6 m over 5 km at 52°. Longer lines are divided until it is below
//! [`MOST_BEND_M`]. A field cut in two at 180°, as the standard asks, is two parts with a seam: a point exactly on the seam is
//! outside, and the distance to the edge may be that to the seam.

mod read;

use silkfall_core::finding::{Code, Finding};
use silkfall_core::geo::{Field, KeepOut, Plane, Point, Polygon, PolygonError, Position, plane};
use uom::si::angle::degree;
use uom::si::length::meter;

use crate::notes::Notes;
use crate::value::{Said, Spot};

pub use read::{KINDS, LARGEST_FILE, read_field};

/// A drawn line is within so much of the line in longitude and latitude, m.
pub const MOST_BEND_M: f64 = 0.05;

/// A pad so far outside the field is a slip, m: the exchange of latitude and longitude is tried.
const FAR_OUTSIDE_M: f64 = 10_000.0;

/// Radius of the Earth, m, good enough for the bend of a line.
const EARTH_M: f64 = 6_371_000.0;

/// A field file as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldFile {
    /// The file, relative to the project folder.
    pub path: String,
    /// The parts of the field.
    pub edges: Vec<Shape>,
    /// The places to keep out of; one with several polygons stands once for each.
    pub keep_outs: Vec<Shape>,
    /// Where the pad stands, if the file marks it.
    pub marked_pad: Option<Said<Position>>,
}

/// One polygon of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// What the person calls it.
    pub name: Option<String>,
    /// Where its feature stands in the file.
    pub spot: Spot,
    /// The outer ring, then the holes; the last position of each is its first.
    pub rings: Vec<Vec<Position>>,
}

impl FieldFile {
    /// Where the pad stands by this file.
    pub fn pad(&self) -> Option<Position> {
        self.marked_pad.map(|pad| pad.value)
    }

    /// The field in plane metres about a pad, and what is to be said of a pad from elsewhere. A keep-out without a name is called
    /// "keep out" with its number. `None` without an edge.
    pub fn in_plane(&self, plane: &Plane) -> (Option<Field>, Vec<Finding>) {
        let mut notes = Notes::new(&self.path);
        let field = self.drawn(plane, &mut notes);
        let mut findings = notes.finish();
        if self.pad() != Some(plane.pad()) {
            findings.extend(self.check_pad(plane.pad()));
        }
        (field.filter(|field| !field.edges.is_empty()), findings)
    }

    /// The field as drawn. A shape that is sound by itself and not in this plane is noted and left out: only one that all
    /// but crosses itself, seen from thousands of kilometres away.
    fn drawn(&self, plane: &Plane, notes: &mut Notes) -> Option<Field> {
        let mut draw = |shape: &Shape| {
            let polygon = shape.polygon(plane);
            if let Err(error) = &polygon {
                let message = format!("seen from the pad, {error}");
                notes.add(Code::FieldRingCrosses, "", Some(shape.spot), message, None);
            }
            polygon.ok()
        };
        let edges = self.edges.iter().map(&mut draw).collect::<Option<_>>();
        let mut keep_outs = Vec::with_capacity(self.keep_outs.len());
        for (number, shape) in self.keep_outs.iter().enumerate() {
            let name = shape.name.clone().unwrap_or_else(|| format!("keep out {}", number + 1));
            keep_outs.extend(draw(shape).map(|polygon| KeepOut { name, polygon }));
        }
        Some(Field { edges: edges?, keep_outs })
    }

    /// What is to be said of a pad, from this file or another: that it is outside the field, or that latitude and longitude are exchanged.
    fn check_pad(&self, pad: Position) -> Vec<Finding> {
        let mut notes = Notes::new(&self.path);
        let spot = self.marked_pad.map(|pad| pad.spot).or(self.edges.first().map(|edge| edge.spot));
        let margin_m = |file: &FieldFile| {
            let field = file.drawn(&Plane::new(pad), &mut Notes::new(""))?;
            field.margin_m([0.0, 0.0])
        };
        let Some(outside_m) = margin_m(self).map(|margin| -margin).filter(|outside| *outside >= 0.0) else {
            return Vec::new();
        };
        let exchanged = (outside_m > FAR_OUTSIDE_M).then(|| self.exchanged()).flatten();
        if exchanged.and_then(|file| margin_m(&file)).is_some_and(|margin| margin > 0.0) {
            let message = format!(
                "the pad lies {} outside the field, and inside it if latitude and longitude are exchanged",
                far(outside_m)
            );
            let (latitude, longitude) = (pad.latitude_deg(), pad.longitude_deg());
            let hint = format!(
                "a position is longitude first: the pad at {} is [{longitude}, {latitude}]; exchange the two in the \
                 field, or in the pad",
                words(pad)
            );
            notes.add(Code::FieldSwapped, "", spot, message, Some(hint));
        } else {
            let message = format!("the pad is {} outside the field's edge", far(outside_m));
            let first = self.edges[0].rings[0][0];
            let way = plane::separation(pad, first);
            let hint = format!(
                "check both: the pad is at {}, and the field's first position is {} from it towards {:.0}°",
                words(pad),
                far(way.distance.get::<meter>()),
                way.bearing.get::<degree>()
            );
            notes.add(Code::FieldPadOutside, "", spot, message, Some(hint));
        }
        notes.finish()
    }

    /// The same with latitude and longitude exchanged; `None` if that gives a latitude beyond a pole.
    fn exchanged(&self) -> Option<FieldFile> {
        let ring = |ring: &Vec<Position>| -> Option<Vec<Position>> {
            ring.iter().map(|p| Position::from_degrees(p.longitude_deg(), p.latitude_deg()).ok()).collect()
        };
        let shape = |shape: &Shape| {
            let rings = shape.rings.iter().map(ring).collect::<Option<_>>()?;
            Some(Shape { rings, ..shape.clone() })
        };
        let edges = self.edges.iter().map(shape).collect::<Option<_>>()?;
        Some(FieldFile { edges, keep_outs: Vec::new(), ..self.clone() })
    }
}

impl Shape {
    /// The shape in plane metres.
    ///
    /// # Errors
    /// [`PolygonError`] if it is no polygon.
    pub fn polygon(&self, plane: &Plane) -> Result<Polygon, PolygonError> {
        let mut rings = self.rings.iter().map(|ring| drawn(ring, plane));
        let outer = rings.next().unwrap_or_default();
        Polygon::try_new(&outer, &rings.collect::<Vec<_>>())
    }
}

/// A ring in plane metres, its lines divided where they bend.
fn drawn(ring: &[Position], plane: &Plane) -> Vec<Point> {
    let mut corners = Vec::with_capacity(ring.len());
    for pair in ring.windows(2) {
        let [phi, next_phi] = [pair[0], pair[1]].map(Position::latitude_deg);
        let [lambda, next_lambda] = [pair[0], pair[1]].map(Position::longitude_deg);
        let east = (next_lambda - lambda + 540.0).rem_euclid(360.0) - 180.0;
        let bend_m = EARTH_M * east.to_radians().powi(2) / 16.0 * (phi + next_phi).to_radians().sin().abs();
        let parts = (bend_m / MOST_BEND_M).sqrt().ceil().clamp(1.0, 1_000.0);
        for part in 0..parts as u32 {
            let share = f64::from(part) / parts;
            let between = Position::from_degrees(phi + share * (next_phi - phi), lambda + share * east);
            corners.push(plane.to_plane(between.unwrap_or(pair[0])));
        }
    }
    corners
}

/// A place in words, to a metre.
fn words(place: Position) -> String {
    let (latitude, longitude) = (place.latitude_deg(), place.longitude_deg());
    let north = if latitude < 0.0 { "S" } else { "N" };
    let east = if longitude < 0.0 { "W" } else { "E" };
    format!("{:.5}° {north}, {:.5}° {east}", latitude.abs(), longitude.abs())
}

/// A distance in words.
fn far(metres: f64) -> String {
    if metres < 10_000.0 { format!("{metres:.0} m") } else { format!("{:.0} km", metres / 1_000.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(latitude: f64, longitude: f64) -> Position {
        Position::from_degrees(latitude, longitude).unwrap()
    }

    #[test]
    fn long_lines_follow_the_parallel_as_the_standard_asks() {
        // A field of 10 km along 52° N: its southern line lies on the parallel, not on the geodesic.
        let ring =
            [(52.0, 5.0), (52.0, 5.15), (52.05, 5.15), (52.05, 5.0), (52.0, 5.0)].map(|(a, b)| place(a, b));
        let shape = Shape { name: None, spot: Spot::default(), rings: vec![ring.to_vec()] };
        let plane = Plane::new(place(52.02, 5.07));
        let polygon = shape.polygon(&plane).unwrap();
        for k in 1..15 {
            let on_the_parallel = plane.to_plane(place(52.0, 5.0 + 0.01 * f64::from(k)));
            assert!(polygon.distance_to_edge_m(on_the_parallel) < MOST_BEND_M, "{k}");
        }
        assert!(polygon.outer().len() > 8 && polygon.outer().len() < 30, "{}", polygon.outer().len());
    }

    #[test]
    fn a_ring_may_lie_over_180_degrees() {
        let ring = [(-17.0, 179.99), (-17.0, -179.99), (-16.98, -179.99), (-16.98, 179.99), (-17.0, 179.99)];
        let shape =
            Shape { name: None, spot: Spot::default(), rings: vec![ring.map(|(a, b)| place(a, b)).to_vec()] };
        let polygon = shape.polygon(&Plane::new(place(-16.99, 180.0))).unwrap();
        // 0.02° of each: 2,129 m by 2,213 m there.
        assert!((polygon.area_m2() / (2_129.2 * 2_213.5) - 1.0).abs() < 2e-3, "{}", polygon.area_m2());
    }
}
