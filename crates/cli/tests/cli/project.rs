//! A project from its first file to the report.

use crate::run::{codes, folder, run, run_line, typed};

#[test]
fn the_demo_is_written_worked_and_then_left_alone_once_changed() {
    let at = folder("demo");
    let first = run(&at, &["demo"]);
    assert_eq!(first.code, Some(0), "{}{}", first.out, first.err);
    assert!(first.out.contains("tube   meets") && at.join("silkfall-demo/report.html").is_file());
    let again = run(&at, &["demo"]);
    assert_eq!((again.code, again.out), (Some(0), first.out.clone()), "an untouched one is worked again");
    let ask = first.out.lines().find(|line| line.trim().starts_with("ask ")).unwrap();
    let how = run_line(&at, &ask[ask.find("silkfall ").unwrap()..]);
    assert!(how.code == Some(0) && !how.out.is_empty(), "what is printed can be typed: {ask}{}", how.err);
    let next = first.out.lines().find(|line| line.trim().starts_with("next ")).unwrap();
    let plan = run_line(&at, &next[next.find("silkfall ").unwrap()..]);
    assert_eq!(plan.code, Some(0), "{next}: {}", plan.err);
    let project = at.join("silkfall-demo/silkfall.toml");
    let changed = std::fs::read_to_string(&project).unwrap() + "# mine\n";
    std::fs::write(&project, &changed).unwrap();
    let refused = run(&at, &["demo"]);
    assert!(refused.code == Some(2) && refused.err.contains("silkfall.toml was changed"), "{}", refused.err);
    assert_eq!(std::fs::read_to_string(&project).unwrap(), changed);
}

#[test]
fn a_new_project_says_what_is_missing_and_shows_what_is_known() {
    let at = folder("new");
    std::fs::write(at.join("one fall.csv"), typed(&[4.0, 4.05, 3.96])).unwrap();
    let new = run(&at, &["new", "my tube", "--from", "one fall.csv"]);
    assert_eq!(new.code, Some(0), "{}", new.err);
    assert!(new.out.contains("silkfall assess \"my tube\""), "{}", new.out);
    assert_eq!(run(&at, &["new", "my tube"]).code, Some(2), "what is there is not written over");
    let assessed = run(&at, &["assess", "my tube"]);
    assert_eq!(assessed.code, Some(2));
    let fill: Vec<&str> = assessed.out.lines().filter(|line| line.trim().starts_with("fill in")).collect();
    assert!(fill[0].contains("part.payload.mass"), "the most valuable first: {}", assessed.out);
    let json = run(&at, &["assess", "my tube", "--json"]);
    assert_eq!(json.code, Some(2));
    let json = json.json();
    let unknown = codes(&json).iter().filter(|code| **code == "project-unknown").count();
    assert_eq!(unknown, fill.len(), "each once, none left out");
    assert!(!assessed.out.contains("project-unknown"), "a terminal says it once");
    let rate = json["parts"][0]["tests"][0]["rate"]["value"].as_f64().unwrap();
    assert!((rate - 4.0).abs() < 0.2, "{rate}");
    assert!(assessed.out.contains("one fall") && assessed.out.contains("4.0"), "{}", assessed.out);

    let add = ["add", "one fall.csv", "--test", "again", "--project", "my tube"];
    assert_eq!(run(&at, &add).code, Some(0));
    assert!(at.join("my tube/logs/one fall-2.csv").is_file());
    let before = std::fs::read(at.join("my tube/silkfall.toml")).unwrap();
    let twice = run(&at, &add);
    assert!(twice.code == Some(2) && twice.err.contains("again"), "{}", twice.err);
    assert_eq!(std::fs::read(at.join("my tube/silkfall.toml")).unwrap(), before);
}

#[test]
fn what_cannot_be_written_is_said() {
    let at = folder("unwritable");
    std::fs::write(at.join("file"), "").unwrap();
    for words in [&["new", "file/inside"][..], &["demo", "file"], &["demo", "file/inside"]] {
        let ran = run(&at, words);
        assert!(ran.code == Some(2) && ran.err.starts_with("error: "), "{words:?}: {}", ran.err);
    }
}
