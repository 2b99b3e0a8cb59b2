//! The map as GeoJSON.

use serde_json::{Value, json};
use silkfall_core::geo::Polygon;

use super::{Map, degrees, on_earth, percent};

/// The map as one FeatureCollection (RFC 7946), one feature a line. Every feature says by its property `kind` what it is: "pad", "edge",
/// "keep out", "region" (with `part` and `share`) or "landings" (with `part`, `case` and `chance`).
pub fn geojson(map: &Map<'_>) -> String {
    let area = |polygons: Vec<&Polygon>| {
        let parts = on_earth(map.plane, polygons);
        json!({ "type": "MultiPolygon", "coordinates": parts })
    };
    let mut features = vec![feature(
        json!({ "kind": "pad", "name": map.name }),
        json!({ "type": "Point", "coordinates": degrees(map.plane, [0.0, 0.0]) }),
    )];
    if let Some(field) = map.field {
        features.push(feature(json!({ "kind": "edge" }), area(field.edges.iter().collect())));
        for keep_out in &field.keep_outs {
            let properties = json!({ "kind": "keep out", "name": keep_out.name });
            features.push(feature(properties, area(vec![&keep_out.polygon])));
        }
    }
    for part in map.regions {
        let share = part.region.share;
        let name = format!("{}: {} of landings", part.part, percent(share));
        let properties = json!({ "kind": "region", "name": name, "part": part.part, "share": share });
        features.push(feature(properties, area(part.region.polygons.iter().collect())));
    }
    for landings in map.landings {
        let name = format!("{}: {}", landings.part, landings.case);
        let properties = json!({
            "kind": "landings", "name": name, "part": landings.part, "case": landings.case, "chance": landings.chance,
        });
        let places: Vec<_> = landings.places_m.iter().map(|place| degrees(map.plane, *place)).collect();
        features.push(feature(properties, json!({ "type": "MultiPoint", "coordinates": places })));
    }
    let lines: Vec<String> = features.iter().map(Value::to_string).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", lines.join(",\n"))
}

fn feature(properties: Value, geometry: Value) -> Value {
    json!({ "type": "Feature", "properties": properties, "geometry": geometry })
}
