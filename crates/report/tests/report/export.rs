//! The maps, read back by other hands: the crates geojson and kml.

use std::collections::BTreeMap;

use geojson::{FeatureCollection, GeoJson, GeometryValue, Position as Coordinates};
use silkfall_core::geo::{Cloud, Field, KeepOut, Plane, Point, Polygon, Position, Region, regions};
use silkfall_core::stats::stream::Stream;
use silkfall_report::export::{Landings, Map, PartRegion, geojson, kml};

/// Landings of a fall in wind from the west: about 600 m to the east.
fn landings() -> Vec<Point> {
    let mut stream = Stream::new(41, 0);
    (0..4_000).map(|_| [600.0 + 150.0 * stream.normal(), 60.0 * stream.normal()]).collect()
}

fn field() -> Field {
    let square = |middle: Point, half: f64| {
        let [x, y] = middle;
        vec![[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]]
    };
    let polygon =
        |outer: &[Point], holes: &[Vec<Point>]| Polygon::try_new(outer, holes).expect("squares are sound");
    Field {
        edges: vec![polygon(&square([0.0, 0.0], 1_500.0), &[square([-700.0, 0.0], 100.0)])],
        keep_outs: vec![KeepOut {
            name: "road & <ditch>".to_owned(),
            polygon: polygon(&square([500.0, -900.0], 40.0), &[]),
        }],
    }
}

/// What a map of a place holds, as text.
fn maps(latitude: f64, longitude: f64) -> (Plane, Vec<Region>, String, String) {
    let plane = Plane::new(Position::from_degrees(latitude, longitude).expect("the test names places"));
    let (points, field) = (landings(), field());
    let found = regions(&[Cloud::try_new(1.0, &points).expect("finite landings")], &[0.5, 0.99]);
    let parts: Vec<PartRegion<'_>> = found.iter().map(|region| PartRegion { part: "tube", region }).collect();
    let sample = [Landings { part: "tube", case: "all open", chance: 0.97, places_m: &points[..50] }];
    let map = Map { name: "meadow", plane: &plane, field: Some(&field), regions: &parts, landings: &sample };
    let texts = (geojson(&map), kml(&map));
    drop(parts);
    (plane, found, texts.0, texts.1)
}

/// Everything by name or kind, as read by the crate geojson.
fn read_geojson(text: &str) -> BTreeMap<String, GeometryValue> {
    let collection =
        FeatureCollection::try_from(text.parse::<GeoJson>().expect("it is GeoJSON")).expect("a collection");
    collection
        .features
        .into_iter()
        .map(|feature| {
            let said = |key| feature.property(key).and_then(|value| value.as_str()).map(str::to_owned);
            let name = said("name").or(said("kind")).expect("every feature says what it is");
            (name, feature.geometry.expect("every feature has a place").value)
        })
        .collect()
}

/// Shoelace area in square metres on the plane, summed over the rings of all parts.
fn area_m2(plane: &Plane, polygons: &[Vec<Vec<Coordinates>>]) -> f64 {
    let at = |place: &Coordinates| {
        plane.to_plane(Position::from_degrees(place[1], place[0]).expect("a place on Earth"))
    };
    let ring = |ring: &Vec<Coordinates>| {
        let corners: Vec<Point> = ring.iter().map(at).collect();
        corners.windows(2).map(|p| 0.5 * (p[0][0] * p[1][1] - p[1][0] * p[0][1])).sum::<f64>()
    };
    polygons.iter().flatten().map(ring).sum()
}

const PLACES: [(f64, f64, usize); 5] =
    [(52.2, 5.1, 1), (-34.0, 18.5, 1), (-34.0, 179.995, 2), (-17.0, 180.0, 2), (10.0, -179.996, 2)];

#[test]
fn geojson_holds_the_regions_and_cuts_them_at_180_degrees() {
    for (latitude, longitude, parts) in PLACES {
        let (plane, found, text, _) = maps(latitude, longitude);
        let read = read_geojson(&text);
        let GeometryValue::MultiPolygon { coordinates } = &read["tube: 99 % of landings"] else {
            panic!("{latitude}")
        };
        let flat = || coordinates.iter().flatten().flatten();
        assert!(flat().all(|place| place[0].abs() <= 180.0 && place[1].abs() <= 90.0));
        for polygon in coordinates {
            // 3.1.9: no part spans 180°; 3.1.6: rings are closed, and the outer one anticlockwise.
            let longitudes: Vec<f64> = polygon.iter().flatten().map(|place| place[0]).collect();
            let (least, greatest) =
                longitudes.iter().fold((180.0_f64, -180.0_f64), |(l, g), x| (l.min(*x), g.max(*x)));
            assert!(greatest - least < 0.1, "{longitude}: {least} {greatest}");
            assert!(polygon.iter().all(|ring| ring.len() >= 4 && ring.first() == ring.last()));
            assert!(area_m2(&plane, &[vec![polygon[0].clone()]]) > 0.0);
        }
        let GeometryValue::MultiPolygon { coordinates: edge } = &read["edge"] else { panic!("{latitude}") };
        assert_eq!(edge.len(), parts, "{longitude}");
        let got = area_m2(&plane, coordinates);
        assert!((got / found[1].area_m2() - 1.0).abs() < 1e-4, "{longitude}: {got} {}", found[1].area_m2());
        let edge = area_m2(&plane, edge);
        assert!((edge / (9e6 - 4e4) - 1.0).abs() < 1e-4, "{longitude}: {edge}");
        let GeometryValue::MultiPoint { coordinates: places } = &read["tube: all open"] else {
            panic!("{latitude}")
        };
        assert_eq!(places.len(), 50);
        let GeometryValue::Point { coordinates: pad } = &read["meadow"] else { panic!("{latitude}") };
        assert!(
            (pad[1] - latitude).abs() < 1e-7 && ((pad[0] - longitude + 540.0) % 360.0 - 180.0).abs() < 1e-7
        );
        assert!(read.contains_key("road & <ditch>"));
    }
}

#[test]
fn wind_from_the_west_is_drawn_to_the_east_of_the_pad() {
    for (latitude, longitude, _) in PLACES {
        let (_, _, text, _) = maps(latitude, longitude);
        let read = read_geojson(&text);
        let GeometryValue::MultiPolygon { coordinates } = &read["tube: 50 % of landings"] else {
            panic!("{latitude}")
        };
        for place in coordinates.iter().flatten().flatten() {
            let east = (place[0] - longitude + 540.0).rem_euclid(360.0) - 180.0;
            assert!(east > 0.0 && east < 0.02, "{latitude} {longitude}: {east}");
        }
    }
}

/// All polygons and points below an element, as read by the crate kml.
fn collect(
    element: &kml::Kml<f64>,
    polygons: &mut Vec<kml::types::Polygon<f64>>,
    points: &mut usize,
    names: &mut Vec<String>,
) {
    use kml::types::Geometry;
    fn geometry(of: &Geometry<f64>, polygons: &mut Vec<kml::types::Polygon<f64>>, points: &mut usize) {
        match of {
            Geometry::Polygon(polygon) => polygons.push(polygon.clone()),
            Geometry::Point(_) => *points += 1,
            Geometry::MultiGeometry(many) => {
                many.geometries.iter().for_each(|one| geometry(one, polygons, points))
            }
            _ => {}
        }
    }
    match element {
        kml::Kml::KmlDocument(document) => {
            document.elements.iter().for_each(|element| collect(element, polygons, points, names));
        }
        kml::Kml::Document { elements, .. } => {
            elements.iter().for_each(|element| collect(element, polygons, points, names));
        }
        kml::Kml::Folder(folder) => {
            folder.elements.iter().for_each(|element| collect(element, polygons, points, names));
        }
        kml::Kml::Placemark(mark) => {
            names.extend(mark.name.clone());
            mark.geometry.iter().for_each(|one| geometry(one, polygons, points));
        }
        _ => {}
    }
}

#[test]
fn kml_holds_the_same_as_geojson() {
    for (latitude, longitude, parts) in PLACES {
        let (plane, found, _, text) = maps(latitude, longitude);
        let document: kml::Kml<f64> = text.parse().expect("it is KML");
        let (mut polygons, mut points, mut names) = (Vec::new(), 0, Vec::new());
        collect(&document, &mut polygons, &mut points, &mut names);
        assert_eq!(points, 51, "the pad and the sample");
        assert_eq!(
            names,
            ["pad", "edge", "road & <ditch>", "tube: 50 % of landings", "tube: 99 % of landings", "all open"]
        );
        let rings = |polygon: &kml::types::Polygon<f64>| -> f64 {
            std::iter::once(&polygon.outer)
                .chain(&polygon.inner)
                .map(|ring| {
                    let at = |c: &kml::types::Coord<f64>| {
                        plane.to_plane(Position::from_degrees(c.y, c.x).expect("a place on Earth"))
                    };
                    let corners: Vec<Point> = ring.coords.iter().map(at).collect();
                    corners.windows(2).map(|p| 0.5 * (p[0][0] * p[1][1] - p[1][0] * p[0][1])).sum::<f64>()
                })
                .sum()
        };
        let edge: f64 = polygons[..parts].iter().map(rings).sum();
        assert!((edge / (9e6 - 4e4) - 1.0).abs() < 1e-4, "{longitude}: {edge}");
        let all: f64 = polygons.iter().map(rings).sum();
        let want = 9e6 - 4e4 + 6_400.0 + found.iter().map(Region::area_m2).sum::<f64>();
        assert!((all / want - 1.0).abs() < 1e-4, "{longitude}: {all} {want}");
    }
}
