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
