//! Bytes to a field file: every problem with its line and column.

use std::collections::BTreeMap;

use serde_json::value::RawValue;
use silkfall_core::finding::{Code, Finding};
use silkfall_core::geo::{Plane, PolygonError, Position, polygon::RingName};

use super::{FieldFile, Shape, words};
use crate::notes::{Lines, Notes, did_you_mean, quoted};
use crate::value::{Said, Spot};

/// A larger field file is refused: 16 MiB.
pub const LARGEST_FILE: usize = 16 << 20;

/// What a feature may be, as its property `kind` says.
pub const KINDS: [&str; 3] = ["edge", "keep out", "pad"];

/// The geometries of RFC 7946.
const GEOMETRIES: [&str; 7] =
    ["Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "GeometryCollection"];

type Object<'a> = BTreeMap<String, &'a RawValue>;

/// Reads a field file; `path` is how messages name it. What is wrong is a finding, and the rest is still read.
pub fn read_field(bytes: &[u8], path: &str) -> (FieldFile, Vec<Finding>) {
    let mut file = FieldFile { path: path.to_owned(), ..FieldFile::default() };
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}'),
        Err(error) => {
            let before = String::from_utf8_lossy(&bytes[..error.valid_up_to()]).into_owned();
            let mut notes = Notes::new(path);
            let spot = Lines::new(&before).spot(before.len());
            let hint = "save it as UTF-8".to_owned();
            notes.add(Code::FieldSyntax, "", Some(spot), "the field file is not UTF-8 text here", Some(hint));
            return (file, notes.finish());
        }
    };
    let mut reader = Reader {
        text,
        lines: Lines::new(text),
        notes: Notes::new(path),
        edge_seen: false,
        altitudes: (0, Spot::default()),
    };
    reader.root(&mut file);
    let (altitudes, first) = reader.altitudes;
    if altitudes > 0 {
        let hint = "nothing needs doing; the ground's elevation is a key of [site]";
        reader.note(
            Code::FieldAltitude,
            first,
            format!("altitudes are not used; positions with one: {altitudes}"),
            hint,
        );
    }
    let mut findings = reader.notes.finish();
    if let Some(pad) = file.pad() {
        findings.extend(file.check_pad(pad));
    }
    (file, findings)
}

struct Reader<'a> {
    text: &'a str,
    lines: Lines<'a>,
    notes: Notes,
    /// Whether anything calls itself an edge, sound or not.
    edge_seen: bool,
    /// How many positions have an altitude, and where the first one stands.
    altitudes: (usize, Spot),
}

/// A ring with where each of its positions stands.
struct Ring {
    spot: Spot,
    positions: Vec<Position>,
    spots: Vec<Spot>,
}

impl<'a> Reader<'a> {
    fn spot(&self, raw: &RawValue) -> Spot {
        // Borrowed from the text, so that its address tells its place.
        self.lines.spot(raw.get().as_ptr() as usize - self.text.as_ptr() as usize)
    }

    fn note(&mut self, code: Code, spot: Spot, message: impl Into<String>, hint: impl Into<String>) {
        self.notes.add(code, "", Some(spot), message, Some(hint.into()));
    }

    fn root(&mut self, file: &mut FieldFile) {
        let root: &'a RawValue = match serde_json::from_str(self.text) {
            Ok(root) => root,
            Err(error) => return self.no_json(&error),
        };
        let spot = self.spot(root);
        let Some(object) = object(root) else {
            let message = format!("the field file is {} instead of a GeoJSON object", sort(root));
            return self.note(Code::FieldNotGeojson, spot, message, COLLECTION);
        };
        self.other_coordinates(&object);
        match (kind_of(&object).as_deref(), object.get("features").and_then(|raw| list(raw))) {
            (Some("FeatureCollection"), Some(features)) => {
                for feature in features {
                    self.feature(feature, file);
                }
            }
            (Some("FeatureCollection"), None) => {
                return self.note(
                    Code::FieldNotGeojson,
                    spot,
                    "the collection has no list of features",
                    COLLECTION,
                );
            }
            (Some("Feature"), _) => self.feature(root, file),
            (Some(geometry), _) if GEOMETRIES.contains(&geometry) => {
                let message =
                    "the file is a bare geometry, which cannot say whether it is an edge or a keep-out";
                let hint = "put it into a feature: { \"type\": \"Feature\", \"properties\": { \"kind\": \"edge\" }, \"geometry\": ... }";
                return self.note(Code::FieldNotGeojson, spot, message, hint);
            }
            (Some(other), _) => {
                let message = format!("its type is {}, expected `FeatureCollection`", quoted(other));
                return self.note(Code::FieldNotGeojson, spot, message, COLLECTION);
            }
            (None, _) => {
                let message = "the object says no type, expected `FeatureCollection`";
                return self.note(Code::FieldNotGeojson, spot, message, COLLECTION);
            }
        }
        if !self.edge_seen {
            let hint = "give the polygon of the field \"properties\": { \"kind\": \"edge\" }";
            self.note(Code::FieldNoEdge, spot, "no feature is of kind `edge`", hint);
        }
    }

    fn no_json(&mut self, error: &serde_json::Error) {
        let line_start: usize =
            self.text.split_inclusive('\n').take(error.line().saturating_sub(1)).map(str::len).sum();
        let mut offset = (line_start + error.column().saturating_sub(1)).min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let said = error.to_string();
        let what = said.split(" at line ").next().unwrap_or_default();
        let spot = self.lines.spot(offset);
        let hint = "a comma, a bracket or a quote is missing or one too many there";
        self.note(Code::FieldSyntax, spot, format!("the field file is not JSON here: {what}"), hint);
    }

    /// RFC 7946 knows one system of coordinates; files by its forerunner may name another.
    fn other_coordinates(&mut self, root: &Object<'a>) {
        let Some(crs) = root.get("crs").filter(|raw| raw.get() != "null") else { return };
        let name = object(crs)
            .and_then(|crs| object(crs.get("properties")?))
            .and_then(|properties| string(properties.get("name")?));
        let known = |name: &str| name.ends_with("CRS84") || name.ends_with(":4326");
        if !name.as_deref().is_some_and(known) {
            let spot = self.spot(crs);
            let name = name.unwrap_or_else(|| "another".to_owned());
            let message =
                format!("the file names {} as its system of coordinates, expected WGS 84", quoted(&name));
            let hint = "export it in longitude and latitude of WGS 84 (EPSG:4326), and leave `crs` out";
            self.note(Code::FieldCoordinates, spot, message, hint);
        }
    }

    fn feature(&mut self, raw: &'a RawValue, file: &mut FieldFile) {
        let spot = self.spot(raw);
        let feature = object(raw).filter(|feature| kind_of(feature).as_deref() == Some("Feature"));
        let Some(feature) = feature else {
            let hint =
                "a feature is { \"type\": \"Feature\", \"properties\": { ... }, \"geometry\": { ... } }";
            return self.note(Code::FieldNotGeojson, spot, "an entry of the list is no feature", hint);
        };
        let properties = feature.get("properties").and_then(|raw| object(raw)).unwrap_or_default();
        let Some(kind_raw) = properties.get("kind").copied() else {
            let message = "a feature has no property `kind`, so nobody knows what it is";
            let hint = "write \"properties\": { \"kind\": \"edge\" }, or \"keep out\", or \"pad\"";
            return self.note(Code::FieldKind, spot, message, hint);
        };
        let kind = string(kind_raw).unwrap_or_else(|| kind_raw.get().to_owned());
        let name = properties.get("name").and_then(|raw| string(raw)).filter(|name| !name.trim().is_empty());
        let geometry = feature.get("geometry").and_then(|raw| object(raw)).unwrap_or_default();
        let shape = kind_of(&geometry).unwrap_or_else(|| "null".to_owned());
        let coordinates = geometry.get("coordinates").copied();
        let place = coordinates.map_or(spot, |raw| self.spot(raw));
        match (kind.as_str(), shape.as_str(), coordinates) {
            ("pad", "Point", Some(raw)) => self.pad(raw, file),
            ("edge" | "keep out", "Polygon", Some(raw)) => {
                let shapes = if kind == "edge" { &mut file.edges } else { &mut file.keep_outs };
                self.edge_seen |= kind == "edge";
                shapes.extend(self.polygon(raw, name, place));
            }
            ("edge" | "keep out", "MultiPolygon", Some(raw)) => {
                let shapes = if kind == "edge" { &mut file.edges } else { &mut file.keep_outs };
                self.edge_seen |= kind == "edge";
                let Some(polygons) = list(raw) else { return self.no_list(raw, "polygons") };
                if polygons.is_empty() {
                    let hint = "give it polygons, each a list of rings";
                    return self.note(Code::FieldRingShort, place, "a multipolygon has no polygon", hint);
                }
                for polygon in polygons {
                    let place = self.spot(polygon);
                    shapes.extend(self.polygon(polygon, name.clone(), place));
                }
            }
            ("edge" | "keep out" | "pad", _, _) => {
                self.edge_seen |= kind == "edge";
                let wanted = if kind == "pad" { "Point" } else { "Polygon or MultiPolygon" };
                let message = match coordinates {
                    Some(_) => format!("the {kind} is of geometry {}, expected {wanted}", quoted(&shape)),
                    None => format!("the {kind} has no coordinates"),
                };
                let hint = if shape == "LineString" {
                    "draw it as a polygon: a line has no inside".to_owned()
                } else {
                    format!("give it a geometry of type {wanted} with its coordinates")
                };
                self.note(Code::FieldGeometry, spot, message, hint);
            }
            _ => {
                let spot = self.spot(kind_raw);
                let message =
                    format!("kind {} means nothing here, and the feature is not used", quoted(&kind));
                self.note(Code::FieldKind, spot, message, did_you_mean(&kind, KINDS, "kinds"));
            }
        }
    }

    fn pad(&mut self, raw: &'a RawValue, file: &mut FieldFile) {
        let Some(value) = self.position(raw) else { return };
        let spot = self.spot(raw);
        if let Some(first) = file.marked_pad {
            let message =
                format!("a second pad, after that on line {}; the first one stands", first.spot.line);
            return self.note(Code::FieldPadTwice, spot, message, "remove one of them");
        }
        file.marked_pad = Some(Said { value, spot });
    }

    /// A polygon, if all of it could be read and it is sound.
    fn polygon(&mut self, raw: &'a RawValue, name: Option<String>, spot: Spot) -> Option<Shape> {
        let Some(rings) = list(raw) else {
            self.no_list(raw, "rings");
            return None;
        };
        if rings.is_empty() {
            let hint = "give the outer ring as a list of positions";
            self.note(Code::FieldRingShort, spot, "a polygon has no ring", hint);
            return None;
        }
        let single =
            list(rings[0]).is_some_and(|ring| ring.first().is_some_and(|entry| sort(entry) == "a number"));
        if single {
            let message = "coordinates are one ring where a list of rings is expected";
            let hint = "put one more pair of brackets around it: a polygon is a list of rings, a ring a list of positions";
            self.note(Code::FieldPosition, spot, message, hint);
            return None;
        }
        let mut read = Vec::with_capacity(rings.len());
        let mut sound = true;
        for (number, ring) in rings.iter().enumerate() {
            match self.ring(ring, RingName(number)) {
                Some(ring) => read.push(ring),
                None => sound = false,
            }
        }
        if !sound {
            return None;
        }
        let plane = Plane::new(read[0].positions[0]);
        let corners = |ring: &Ring| ring.positions.iter().map(|p| plane.to_plane(*p)).collect::<Vec<_>>();
        let holes: Vec<_> = read[1..].iter().map(corners).collect();
        if let Err(error) = silkfall_core::geo::Polygon::try_new(&corners(&read[0]), &holes) {
            self.unsound(&error, &read, &plane);
            return None;
        }
        Some(Shape { name, spot, rings: read.into_iter().map(|ring| ring.positions).collect() })
    }

    fn unsound(&mut self, error: &PolygonError, rings: &[Ring], plane: &Plane) {
        let place = |place_m| words(plane.to_earth(place_m));
        match error {
            PolygonError::CrossesItself { ring, edges: [one, other], place_m } => {
                let spot = rings[ring.0].spots[*one];
                let (one, other) = (one + 1, other + 1);
                let message = format!(
                    "{error} at {}, where the line from position {one} to {} meets that from {other} to {}",
                    place(*place_m),
                    one + 1,
                    other + 1
                );
                let hint =
                    format!("look at the order of positions {} to {other}; a ring runs round once", one + 1);
                self.note(Code::FieldRingCrosses, spot, message, hint);
            }
            PolygonError::RingsCross { rings: [_, later], place_m } => {
                let message = format!("{error} at {}", place(*place_m));
                let hint =
                    "move the hole wholly inside the ring and off other holes, or draw a keep-out of its own";
                self.note(Code::FieldRingCrosses, rings[later.0].spot, message, hint);
            }
            PolygonError::HoleOutside { ring } => {
                let hint =
                    "the first ring is the outer one; a polygon of its own belongs into its own feature";
                self.note(Code::FieldRingCrosses, rings[ring.0].spot, error.to_string(), hint);
            }
            PolygonError::HoleInHole { rings: [_, later] } => {
                let hint = "remove the inner one, or draw it as a polygon of its own";
                self.note(Code::FieldRingCrosses, rings[later.0].spot, error.to_string(), hint);
            }
            PolygonError::TooFew { ring, .. } => {
                let hint = "give the corners of an area, not of a line or a point";
                self.note(Code::FieldRingShort, rings[ring.0].spot, error.to_string(), hint);
            }
            PolygonError::NotFinite { ring, .. } => {
                self.note(Code::FieldPosition, rings[ring.0].spot, error.to_string(), "write plain numbers");
            }
        }
    }

    /// A ring closed by its first position, if every position could be read.
    fn ring(&mut self, raw: &'a RawValue, name: RingName) -> Option<Ring> {
        let spot = self.spot(raw);
        let Some(list) = list(raw) else {
            self.no_list(raw, "positions");
            return None;
        };
        let mut ring =
            Ring { spot, positions: Vec::with_capacity(list.len()), spots: Vec::with_capacity(list.len()) };
        for raw in &list {
            // The first that cannot be read is told, once for a ring: its positions are all alike.
            ring.positions.push(self.position(raw)?);
            ring.spots.push(self.spot(raw));
        }
        if list.len() < 4 {
            let message = format!(
                "{name} has {} positions, expected at least 4, the last one the first again",
                list.len()
            );
            let hint = "a triangle is [a, b, c, a]";
            self.note(Code::FieldRingShort, spot, message, hint);
            return None;
        }
        if ring.positions.first() != ring.positions.last() {
            let last = self.spot(list[list.len() - 1]);
            let message = format!(
                "{name} is not closed: its last position is not the first again; a straight line closes it"
            );
            let hint = "repeat the first position at the end, or add the positions that are missing";
            self.note(Code::FieldRingOpen, last, message, hint);
            ring.positions.push(ring.positions[0]);
            ring.spots.push(last);
        }
        Some(ring)
    }

    fn position(&mut self, raw: &'a RawValue) -> Option<Position> {
        let degrees = self.degrees(raw)?;
        if degrees[1].abs() > 90.0 && degrees[0].abs() <= 90.0 {
            self.exchanged(raw, degrees);
            return None;
        }
        self.on_earth(raw, degrees)
    }

    /// Longitude and latitude as written.
    fn degrees(&mut self, raw: &'a RawValue) -> Option<[f64; 2]> {
        let spot = self.spot(raw);
        match serde_json::from_str::<Vec<f64>>(raw.get()).ok().as_deref() {
            Some([longitude, latitude]) => Some([*longitude, *latitude]),
            Some([longitude, latitude, ..]) => {
                let (before, first) = self.altitudes;
                self.altitudes = (before + 1, if before == 0 { spot } else { first });
                Some([*longitude, *latitude])
            }
            _ => {
                let message = format!("{} is no position", quoted(raw.get()));
                let hint = "a position is [longitude, latitude], two plain numbers in degrees";
                self.note(Code::FieldPosition, spot, message, hint);
                None
            }
        }
    }

    fn exchanged(&mut self, raw: &'a RawValue, [longitude, latitude]: [f64; 2]) {
        let spot = self.spot(raw);
        let message = format!("latitude {latitude}° is beyond a pole: latitude seems to stand first");
        let hint = format!("a position is longitude first: [{latitude}, {longitude}]");
        self.note(Code::FieldSwapped, spot, message, hint);
    }

    fn on_earth(&mut self, raw: &'a RawValue, [longitude, latitude]: [f64; 2]) -> Option<Position> {
        match Position::from_degrees(latitude, longitude) {
            Ok(position) => Some(position),
            Err(error) => {
                let spot = self.spot(raw);
                let hint = "positions are degrees of WGS 84, not metres of a national grid: export them as longitude and latitude";
                self.note(Code::FieldPosition, spot, error.to_string(), hint);
                None
            }
        }
    }

    fn no_list(&mut self, raw: &'a RawValue, of: &str) {
        let spot = self.spot(raw);
        let message = format!("coordinates are {} where a list of {of} is expected", sort(raw));
        self.note(
            Code::FieldPosition,
            spot,
            message,
            "a polygon is a list of rings, a ring a list of positions",
        );
    }
}

/// The cure of a file that is none of ours.
const COLLECTION: &str =
    "export the field as GeoJSON: { \"type\": \"FeatureCollection\", \"features\": [ ... ] }";

fn object(raw: &RawValue) -> Option<Object<'_>> {
    serde_json::from_str(raw.get()).ok()
}

fn list(raw: &RawValue) -> Option<Vec<&RawValue>> {
    serde_json::from_str(raw.get()).ok()
}

fn string(raw: &RawValue) -> Option<String> {
    serde_json::from_str(raw.get()).ok()
}

/// The member `type` of an object.
fn kind_of(object: &Object<'_>) -> Option<String> {
    object.get("type").and_then(|raw| string(raw))
}

/// What sort of JSON value it is, in words.
fn sort(raw: &RawValue) -> &'static str {
    match raw.get().bytes().next() {
        Some(b'{') => "an object",
        Some(b'[') => "a list",
        Some(b'"') => "a text",
        Some(b't' | b'f') => "true or false",
        Some(b'n') => "null",
        _ => "a number",
    }
}
