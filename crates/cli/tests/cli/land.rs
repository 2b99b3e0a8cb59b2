//! `land`: where it comes down, printed, as JSON and as maps.

use serde_json::Value;

use crate::run::{codes, folder, run};

#[test]
fn the_demo_lands_in_its_field_and_is_drawn_on_maps() {
    let at = folder("land");
    assert_eq!(run(&at, &["demo"]).code, Some(0));
    let words = ["land", "silkfall-demo", "--json", "--geojson", "o.geojson", "--kml", "o.kml"];
    let landed = run(&at, &words);
    assert_eq!(landed.code, Some(0), "{}", landed.err);
    let json = landed.json();
    assert_eq!(json["format"], 1);
    assert_eq!(json["landing"][0]["name"], "tube");
    assert_eq!(json["landing"][0]["mix"]["verdict"], "meets");
    assert!(json["go_no_go"].as_array().unwrap().len() >= 16 * 5);
    let map: Value = serde_json::from_slice(&std::fs::read(at.join("o.geojson")).unwrap()).unwrap();
    let of_kind = |kind: &str| {
        map["features"].as_array().unwrap().iter().filter(|f| f["properties"]["kind"] == kind).count()
    };
    assert_eq!((of_kind("pad"), of_kind("edge"), of_kind("region")), (1, 1, 6));
    assert!(std::fs::read_to_string(at.join("o.kml")).unwrap().contains("<Placemark>"));
    let text = run(&at, &["land", "silkfall-demo"]);
    assert!(text.out.contains("all by their chances") && text.out.contains("decide"), "{}", text.out);
}

#[test]
fn without_a_start_it_is_said_and_a_map_is_refused() {
    let at = folder("land-nothing");
    assert_eq!(run(&at, &["demo"]).code, Some(0));
    let project = at.join("silkfall-demo/silkfall.toml");
    let text = std::fs::read_to_string(&project).unwrap();
    let (before, rest) = text.split_once("[flight]\n").unwrap();
    let (_, after) = rest.split_once("\n\n").unwrap();
    std::fs::write(&project, format!("{before}{after}")).unwrap();
    let landed = run(&at, &["land", "silkfall-demo"]);
    // Nor is it known what pulls at the members of the load path.
    assert!(landed.code == Some(1) && landed.out.contains("[flight]"), "{}{}", landed.out, landed.err);
    let refused = run(&at, &["land", "silkfall-demo", "--geojson", "o.geojson"]);
    assert!(refused.code != Some(0) && refused.err.contains("is not written"), "{}", refused.err);
    assert!(!at.join("o.geojson").exists());
}

/// A field smaller than the drift: missed, by its word and by the exit code.
#[test]
fn a_field_that_is_too_small_is_missed() {
    let at = folder("land-small");
    assert_eq!(run(&at, &["demo"]).code, Some(0));
    let field = at.join("silkfall-demo/field.geojson");
    let small = r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"edge"},
        "geometry":{"type":"Polygon","coordinates":[[[66.398,47.899],[66.402,47.899],[66.402,47.901],[66.398,47.901],
        [66.398,47.899]]]}}]}"#;
    std::fs::write(&field, small).unwrap();
    let landed = run(&at, &["land", "silkfall-demo", "--json"]);
    assert_eq!(landed.code, Some(1), "{}", landed.err);
    assert_eq!(landed.json()["landing"][0]["mix"]["verdict"], "misses");
    // Crossing itself: nothing is guessed, the place is named.
    let crossed = small.replace("[66.402,47.901],[66.398,47.901]", "[66.398,47.901],[66.402,47.901]");
    std::fs::write(&field, crossed).unwrap();
    let landed = run(&at, &["land", "silkfall-demo", "--json"]);
    assert_eq!(landed.code, Some(2));
    assert!(codes(&landed.json()).contains(&"field-ring-crosses"));
}
