//! Ten lines and a test whose answers a reader checks by hand, through the program itself.

use crate::run::{folder, run};

/// 1 kg falls at 4 m/s, so 2 kg falls at 4·√2 = 5.657 m/s in the same air, with 2 · 5.657²/2 = 32 J.
#[test]
fn ten_lines_checked_by_hand() {
    let text = include_str!("ten-lines.toml");
    let at = folder("hand");
    std::fs::write(at.join("silkfall.toml"), text).unwrap();
    let ran = run(&at, &["assess", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let json = ran.json();
    let pod = &json["parts"][0];
    // Dry air of 15 °C and 1013.25 hPa weighs 1.2255 kg/m³ (CIPM-2007), g = 9.806 m/s²: D = 2 m g/(ρ v²).
    let area = pod["tests"][0]["drag_area"]["value"].as_f64().unwrap();
    assert!((area - 2.0 * 9.806 / (1.2255 * 16.0)).abs() < 1e-3, "{area}");
    let case = &pod["cases"][0];
    let rate = case["rate"]["value"].as_f64().unwrap();
    assert!((rate / (4.0 * 2f64.sqrt()) - 1.0).abs() < 0.005, "{rate}");
    let energy = case["energy"]["value"].as_f64().unwrap();
    assert!((energy / 32.0 - 1.0).abs() < 0.01, "{energy}");
    assert_eq!(case["limits"][0]["verdict"], "meets");
    // The same limit below the rate is missed: code 1.
    std::fs::write(at.join("silkfall.toml"), text.replace("6.5 m/s", "5 m/s")).unwrap();
    let missed = run(&at, &["assess"]);
    assert!(missed.code == Some(1) && missed.out.contains("MISSES"), "{}", missed.out);
}

/// The same part with 40 offers, invented, at 1 to 6 canopies: every one of the 240 stands in the JSON and says why it stays or
/// not, against what limit it stands how, or which other beats it.
#[test]
fn forty_offers_at_six_counts_are_all_in_the_json() {
    let at = folder("offers");
    let text = include_str!("ten-lines.toml");
    let counted = text.replace("case = [", "rig = { count_at_most = 6 }, case = [").replacen(
        "format = 1\n",
        "format = 1\noffers = \"canopies.csv\"\n",
        1,
    );
    std::fs::write(at.join("silkfall.toml"), counted).unwrap();
    let mut offers =
        String::from("id,shape,diameter (m),diameter_is,coefficient,coefficient_on,mass (g),price\n");
    for i in 0..40 {
        let (diameter, mass, price) = (0.5 + 0.03 * f64::from(i), 20 + 5 * i, 30 + 2 * i);
        offers += &format!("o{i},flat circular,{diameter:.2},nominal,0.75,nominal,{mass},{price}\n");
    }
    std::fs::write(at.join("canopies.csv"), offers).unwrap();
    let json = run(&at, &["assess", "--json"]).json();
    let candidates = json["parts"][0]["candidates"].as_array().unwrap();
    assert_eq!(candidates.len(), 240);
    let id = |candidate: &serde_json::Value| candidate["id"].as_str().unwrap().to_owned();
    let staying: Vec<String> = candidates.iter().filter(|c| c["stays"] == true).map(id).collect();
    assert!(!staying.is_empty());
    for candidate in candidates {
        assert!(!candidate["reason"].as_str().unwrap().is_empty(), "{candidate}");
        match candidate["beaten_by"].as_str() {
            Some(better) => assert!(candidate["stays"] == false && staying.iter().any(|id| id == better)),
            None if candidate["stays"] == false => {
                assert!(candidate["margin"]["value"].as_f64().unwrap() < 0.0, "{candidate}");
            }
            None => assert!(candidate["margin"]["value"].is_number(), "{candidate}"),
        }
    }
}
