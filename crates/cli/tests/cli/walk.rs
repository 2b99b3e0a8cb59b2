//! A new user's way, typed: from two recordings to the canopies that could be flown, filling in what `assess` asks.

use std::path::Path;

use crate::run::{folder, run, run_line, typed};

/// What the user knows, by the key that `assess` prints: from the most valuable on. All invented.
const ANSWERS: [(&str, &str); 21] = [
    ("part.payload.mass", "\"8.2 kg ± 50 g\""),
    ("test.one.canopies", "[\"A\"]"),
    ("test.one.body", "\"off\""),
    ("test.one.load", "\"600 g ± 1 g\""),
    ("test.\"the pair\".canopies", "[\"A\", \"B\"]"),
    ("test.\"the pair\".body", "\"on\""),
    ("test.\"the pair\".load", "\"1.20 kg ± 2 g\""),
    ("model.model.scale", "\"1/2\""),
    ("canopy.A.mass", "\"45 g ± 1 g\""),
    ("part.payload.case.\"all open\".limit", "\"7 m/s\""),
    ("part.payload.case.\"one stays shut\".limit", "\"9 m/s\""),
    ("session.\"first day\".elevation", "\"310 m\""),
    ("session.\"first day\".temperature", "\"14 °C ± 0.5 °C\""),
    ("site.elevation", "\"280 m\""),
    ("site.temperature", "\"15 °C ± 8 °C\""),
    ("part.payload.body.length", "\"1.5 m\""),
    ("part.payload.body.diameter", "\"15 cm\""),
    ("part.payload.rig.riser_length", "\"1 m\""),
    ("part.payload.rig.line_length", "\"1.9 m\""),
    ("canopy.B.mass", "\"46 g ± 1 g\""),
    ("session.\"first day\".pressure", "\"980 hPa\""),
];

/// Offers of the user's own, columns in an order of their own. Invented.
const OFFERS: &str = "\
id,shape,diameter (in),diameter_is,coefficient,coefficient_on,mass (g),packed_volume (L),price\n\
six,flat circular,72,nominal,0.75,nominal,160,0.9,70\n\
seven,flat circular,84,nominal,0.75,nominal,220,1.2,85\n\
eight,flat circular,96,nominal,0.75,nominal,290,1.6,105\n";

/// The first thing that `assess` asks to be filled in: line and key.
fn asked(out: &str) -> Option<(usize, String)> {
    let line = out.lines().find(|line| line.trim_start().starts_with("fill in"))?;
    let (place, rest) = line.trim_start().strip_prefix("fill in")?.trim_start().split_once(' ')?;
    let line = place.strip_prefix("silkfall.toml:")?.parse().ok()?;
    // A key may hold blanks within quotes; the colon and what it would give come after it.
    let (key, _) = rest.split_once(": ")?;
    Some((line, key.to_owned()))
}

fn edit(project: &Path, change: impl FnOnce(String) -> String) {
    let text = std::fs::read_to_string(project).expect("the project can be read");
    std::fs::write(project, change(text)).expect("the project can be written");
}

#[test]
fn from_a_fresh_folder_to_candidates() {
    let at = folder("walk");
    std::fs::write(at.join("one.csv"), typed(&[4.6, 4.66, 4.55])).unwrap();
    std::fs::write(at.join("pair.csv"), typed(&[4.7, 4.63, 4.76])).unwrap();
    let first = run(&at, &[]);
    assert!(first.code == Some(0) && first.out.contains("new DIR --from FILE"), "{}", first.out);
    let new = run(&at, &["new", "job", "--from", "one.csv"]);
    assert_eq!(new.code, Some(0), "{}", new.err);
    let added = run(&at, &["add", "pair.csv", "--test", "the pair", "--project", "job"]);
    assert_eq!(added.code, Some(0), "{}", added.err);
    let next = added.out.lines().find(|line| line.starts_with("next ")).unwrap();
    let assessed = run_line(&at, &next[next.find("silkfall assess").unwrap()..]);
    assert_eq!(assessed.code, Some(2), "much is not known yet");
    // What can be known is shown meanwhile: the rate of both, though it is not known what was open.
    for (test, rate) in [("one", "4.6"), ("the pair", "4.7")] {
        let line = assessed.out.lines().find(|line| line.trim_start().starts_with(test)).unwrap();
        assert!(line.contains(rate), "{}", assessed.out);
    }
    assert!(!assessed.out.contains("model model"), "{}", assessed.out);

    let project = at.join("job/silkfall.toml");
    edit(&project, |text| {
        let b = "[[canopy]]\nserial = \"B\"\nmass = \"?\"\n\n# The model that was dropped.";
        text.replace("# The model that was dropped.", b)
            .replace("# pressure = \"1013 hPa\"", "pressure = \"?\"")
    });
    let mut filled = 0;
    let mut out = run(&at, &["assess", "job"]).out;
    while let Some((line, key)) = asked(&out) {
        let answer =
            ANSWERS.iter().find(|(asked, _)| *asked == key).map_or("\"980 hPa\"", |(_, answer)| answer);
        edit(&project, |text| {
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            assert!(lines[line - 1].contains("\"?\""), "{key} stands in line {line}: {}", lines[line - 1]);
            lines[line - 1] = lines[line - 1].replacen("\"?\"", answer, 1);
            lines.join("\n") + "\n"
        });
        filled += 1;
        assert!(filled < 40, "it asks the same again: {key}");
        out = run(&at, &["assess", "job"]).out;
        assert!(!out.contains("error[project"), "{key} = {answer}: {out}");
    }
    assert!(filled >= ANSWERS.len(), "{filled} were asked");
    assert!(
        out.contains("no canopies are known") && out.contains("write canopies.csv"),
        "the next step is said: {out}"
    );

    std::fs::write(at.join("job/canopies.csv"), OFFERS).unwrap();
    edit(&project, |text| text.replace("# offers = ", "offers = "));
    let done = run(&at, &["assess", "job", "--json"]);
    assert!(matches!(done.code, Some(0 | 1)), "{:?}: {}{}", done.code, done.out, done.err);
    let json = done.json();
    let candidates = json["parts"][0]["candidates"].as_array().unwrap();
    assert_eq!(candidates.len(), 18, "three offers, one to six of each");
    assert!(candidates.iter().any(|candidate| candidate["stays"] == true));
    let said = run(&at, &["assess", "job"]);
    assert!(said.out.contains("Canopies: 18 tried"), "{}", said.out);
    let us = run(&at, &["assess", "job", "--units", "us"]);
    let offers = us.out.split("Canopies: 18 tried").nth(1).unwrap().split("\n\n").next().unwrap();
    assert!(offers.contains(" oz") || offers.contains(" lb"), "{offers}");
    assert!(!offers.contains(" g") && !offers.contains(" L"), "all in the units asked for: {offers}");
    let plan = run(&at, &["plan", "job", "-o", "x.html"]);
    assert_eq!(plan.code, done.code, "{}", plan.err);
    assert!(std::fs::read_to_string(at.join("x.html")).unwrap().contains("all open"));
}
