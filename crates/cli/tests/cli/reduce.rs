//! `reduce`: from files to rates.

use crate::run::{codes, command, folder, run, run_line, typed};

const THREE: [f64; 3] = [4.0, 4.05, 3.96];

#[test]
fn a_recording_typed_by_hand_gives_its_rate() {
    let at = folder("typed");
    std::fs::write(at.join("by hand.csv"), typed(&THREE)).unwrap();
    let ran = run(&at, &["reduce", "by hand.csv", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let json = ran.json();
    assert_eq!(json["format"], 1);
    let recording = &json["recordings"][0];
    assert_eq!(recording["path"], "by hand.csv");
    assert!((recording["sample_rate_hz"].as_f64().unwrap() - 10.0).abs() < 0.01);
    assert!((recording["height_step_m"].as_f64().unwrap() - 0.1).abs() < 1e-6);
    assert_eq!(recording["columns"][1]["name"], "Höhe (m)");
    assert_eq!(recording["columns"][1]["unit"], "m");
    let drops = recording["drops"].as_array().unwrap();
    assert_eq!(drops.len(), 3);
    for (drop, rate) in drops.iter().zip(THREE) {
        let found = drop["rate_m_s"].as_f64().unwrap();
        assert!((found / rate - 1.0).abs() < 0.03, "{found} against {rate}");
        let time = |field: &str| drop[field].as_f64().unwrap();
        assert!(time("release_s") < time("steady_from_s") && time("steady_to_s") <= time("ground_s"));
        assert!(drop["kept"].as_bool().unwrap());
    }
    let pooled = &json["pooled"];
    let interval = pooled["interval_95_m_s"].as_array().unwrap();
    assert!(interval[0].as_f64().unwrap() < 4.0 && interval[1].as_f64().unwrap() > 4.0);
    assert!(pooled["reference_density_kg_m3"].is_null(), "the day's air is not stated");
    assert_eq!(codes(&json), ["height-day-unknown"]);
}

#[test]
fn the_options_that_repeat_a_reading_give_the_same_json() {
    let at = folder("repeat");
    std::fs::write(at.join("by hand.csv"), typed(&THREE)).unwrap();
    let said = run(&at, &["reduce", "by hand.csv"]);
    let options = said.out.lines().find_map(|line| line.trim().strip_prefix("repeat exactly")).unwrap();
    let again = run_line(&at, &format!("silkfall reduce \"by hand.csv\" --json {}", options.trim()));
    assert_eq!(again.out, run(&at, &["reduce", "by hand.csv", "--json"]).out);
    let us = run(&at, &["reduce", "by hand.csv", "--json", "--units", "us"]);
    assert_eq!(us.out, again.out, "JSON is SI whatever the display");
    assert!(run(&at, &["reduce", "by hand.csv", "--units", "us"]).out.contains("ft/s"));
}

#[test]
fn a_copy_counts_once() {
    let at = folder("copy");
    std::fs::write(at.join("a.csv"), typed(&THREE)).unwrap();
    std::fs::write(at.join("copy_of_a.csv"), typed(&THREE)).unwrap();
    let one = run(&at, &["reduce", "a.csv", "--json"]).json();
    let both = run(&at, &["reduce", "a.csv", "copy_of_a.csv", "--json"]);
    assert_eq!(both.code, Some(0));
    let both = both.json();
    assert_eq!(one["pooled"]["interval_95_m_s"], both["pooled"]["interval_95_m_s"]);
    assert_eq!(both["pooled"]["drops_kept"], 3);
    assert_eq!(codes(&both).iter().filter(|code| **code == "pool-same-fall").count(), 3);
}

#[test]
fn two_configurations_come_with_a_command_for_each() {
    let at = folder("two");
    std::fs::write(at.join("the day.csv"), typed(&[4.0, 4.03, 3.97, 3.0, 3.02, 2.98])).unwrap();
    let json = run(&at, &["reduce", "the day.csv", "--json"]).json();
    assert!(codes(&json).contains(&"pool-two-groups"));
    let said = run(&at, &["reduce", "the day.csv"]);
    assert_eq!(said.code, Some(0), "warnings never change the code");
    let only: Vec<&str> = said.out.lines().filter(|line| line.contains("silkfall reduce ")).collect();
    assert_eq!(only.len(), 2, "{}", said.out);
    let mut rates = Vec::new();
    for line in only {
        let command = &line[line.find("silkfall ").unwrap()..];
        let alone = run_line(&at, &format!("{command} --json")).json();
        assert!(!codes(&alone).contains(&"pool-two-groups"));
        assert_eq!(alone["pooled"]["drops_kept"], 3);
        rates.push(alone["pooled"]["rate_m_s"].as_f64().unwrap());
    }
    rates.sort_by(f64::total_cmp);
    assert!((rates[0] - 3.0).abs() < 0.1 && (rates[1] - 4.0).abs() < 0.1, "{rates:?}");
}

#[test]
fn what_gives_no_rate_is_code_two_with_its_json() {
    let at = folder("nothing");
    std::fs::write(at.join("still.csv"), "t (s),h (m)\n0,3.0\n1,3.0\n2,3.0\n").unwrap();
    std::fs::write(at.join("empty.csv"), "").unwrap();
    std::fs::write(at.join("picture.png"), b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR").unwrap();
    for (file, code) in [
        ("still.csv", "drop-none"),
        ("empty.csv", "log-empty"),
        ("picture.png", "log-not-text"),
        ("not-there.csv", "log-unreadable"),
    ] {
        let ran = run(&at, &["reduce", file, "--json"]);
        assert_eq!(ran.code, Some(2), "{file}");
        let json = ran.json();
        assert!(json["pooled"].is_null(), "{file}");
        assert!(codes(&json).contains(&code), "{file}: {json}");
        let said = run(&at, &["reduce", file]);
        assert!(said.code == Some(2) && said.out.starts_with("  no rate"), "{file}: {}", said.out);
        assert!(said.out.contains("hint: "), "an error comes with its cure: {}", said.out);
    }
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let at = folder("pipe");
    std::fs::write(at.join("a.csv"), typed(&THREE)).unwrap();
    let mut child = command(&at, &["reduce", "a.csv"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let left = child.wait_with_output().unwrap();
    assert_eq!((left.status.code(), left.stderr), (Some(0), Vec::new()));
}
