//! The demo's recordings: small, labelled, repeatable, physically consistent.

use pretend::{DemoFile, Kind, demo, oracle};

#[test]
fn files_are_small_labelled_and_the_same_every_time() {
    let files = demo();
    assert_eq!(files.len(), 8);
    for file in &files {
        assert!(file.bytes.len() < 150_000, "{}: {}", file.name, file.bytes.len());
        let first = String::from_utf8_lossy(&file.bytes).lines().next().unwrap().to_string();
        assert_eq!(first, format!("# invented, not measured (seed {}): {}", file.seed, file.what));
    }
    assert!(files.iter().map(|file| file.bytes.len()).sum::<usize>() < 1_000_000);
    assert_eq!(files, demo());
}

fn mass_kg(file: &DemoFile) -> f64 {
    file.falls.iter().map(|item| item.1).sum()
}

#[test]
fn each_rate_follows_from_mass_air_and_drag_area() {
    for file in demo() {
        let rate_m_s = file.campaign.truth.rate_m_s;
        let weight_n = mass_kg(&file) * file.day.gravity_m_s2();
        let drag_n = 0.5 * file.day.density_kg_m3() * file.drag_area_m2 * rate_m_s * rate_m_s;
        assert!((drag_n / weight_n - 1.0).abs() < 1e-12, "{}", file.name);
        assert!(rate_m_s > 3.5 && rate_m_s < 3.9, "{} falls at {rate_m_s} m/s", file.name);
    }
}

#[test]
fn drops_are_good_but_for_the_stated_flaw_and_the_oracle_is_near_the_truth() {
    for file in demo() {
        let truth = &file.campaign.truth;
        let kinds: Vec<Kind> = truth.drops.iter().map(|drop| drop.kind).collect();
        let steady: Vec<f64> = truth.drops.iter().map(|drop| drop.steady_for_s).collect();
        let not_good = kinds.iter().filter(|kind| **kind != Kind::Good).count();
        assert_eq!(
            not_good,
            usize::from(file.name == "two-weight.csv"),
            "{}: {kinds:?} {steady:?}",
            file.name
        );
        // What the session shares is known here, and taken off; what is left is noise and gusts of a few drops.
        let shared = (1.0 + truth.height_scale_error) / (1.0 + truth.clock_error);
        let found = oracle(&file.campaign).mean_m_s.unwrap() / shared - truth.slow_air_m_s;
        println!(
            "{:22} {:.4} kg  D {:.4}  true {:.4}  oracle {found:.4}  scale {:+.4}  air {:+.3}  steady {:.2}  {} bytes",
            file.name,
            mass_kg(&file),
            file.drag_area_m2,
            truth.rate_m_s,
            truth.height_scale_error,
            truth.slow_air_m_s,
            steady[0],
            file.bytes.len()
        );
        assert!((found / truth.rate_m_s - 1.0).abs() < 0.0101, "{}: {found} {}", file.name, truth.rate_m_s);
    }
}
