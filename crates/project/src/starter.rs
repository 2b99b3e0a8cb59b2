//! The text of a project to start from, and of a test for recordings as they were understood.
//!
//! What is not known stands there as `"?"`, with a comment that says what it is; what would only narrow an answer stands
//! behind a `#`.

use toml_edit::Value;

use crate::words::{Units, Word};

/// What a new project starts from.
#[derive(Clone, Debug, PartialEq)]
pub struct Start<'a> {
    /// Its name.
    pub name: &'a str,
    /// Units that results are to be shown in.
    pub units: Units,
    /// A test for each configuration that was recorded; empty without recordings.
    pub tests: &'a [StartTest<'a>],
}

/// A test of a new project.
#[derive(Clone, Debug, PartialEq)]
pub struct StartTest<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its recordings, as paths from the project folder with `/`.
    pub logs: &'a [String],
    /// The options that repeat how they were read, as words of a command line: "--height", "2:ft".
    pub reading: &'a [String],
}

/// The part's name in a new project.
pub const FIRST_PART: &str = "payload";
/// The model's name in a new project.
const FIRST_MODEL: &str = "model";

/// The text of a new `silkfall.toml`. It is read without a problem; what is missing is `"?"`.
pub fn starter(start: &Start) -> String {
    let mut text = include_str!("starter/silkfall.toml")
        .replace("@NAME@", &quoted(start.name))
        .replace("@UNITS@", start.units.word())
        .replace("@PART@", &quoted(FIRST_PART));
    if !start.tests.is_empty() {
        text.push_str(include_str!("starter/tests.toml"));
    }
    for test in start.tests {
        text.push('\n');
        text.push_str(&test_entry(test, FIRST_PART, Names::Starter));
    }
    text
}

/// Which names a test entry may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names<'a> {
    /// Session, canopy and model of [`starter`].
    Starter,
    /// Of a project that stands already: its model and its session, where it has one of each.
    Project {
        /// The model.
        model: Option<&'a str>,
        /// The session.
        session: Option<&'a str>,
    },
}

/// The `[[test]]` of recordings as understood, to be written into a project by
/// [`Edit::AddTest`](crate::edit::Edit::AddTest). `part` must be one of its parts.
pub fn test_entry(test: &StartTest, part: &str, names: Names) -> String {
    let mut lines = vec!["[[test]]".to_owned()];
    let mut line = |text: String| lines.push(text);
    line(format!("name = {}", quoted(test.name)));
    line(format!("part = {}", quoted(part)));
    match names {
        Names::Starter => {
            line(format!("model = {}", quoted(FIRST_MODEL)));
            line("session = \"first day\"".to_owned());
        }
        Names::Project { model, session } => {
            line(match model {
                Some(model) => format!("model = {}", quoted(model)),
                None => {
                    "# model = \"...\"            # the model that was dropped; without one: the real thing"
                        .to_owned()
                }
            });
            line(match session {
                Some(session) => format!("session = {}", quoted(session)),
                None => "# session = \"...\"          # whose air it fell in".to_owned(),
            });
        }
    }
    let logs: Vec<String> = test.logs.iter().map(|log| quoted(log)).collect();
    line(format!("logs = [{}]", logs.join(", ")));
    line("canopies = \"?\"                 # serials of those that were open, as [\"A\", \"B\"]".to_owned());
    line(
        "body = \"?\"                     # \"on\": the body hung below; \"off\": a compact weight did"
            .to_owned(),
    );
    line("load = \"?\"                     # body or weight, with all that was tied to it".to_owned());
    line("# lines = \"5 g\"                # lines and links not weighed with the canopies".to_owned());
    line("# logger = \"41 g\"              # where it is not part of the load".to_owned());
    line("# riser_length = \"0.3 m\"".to_owned());
    line(
        "# fell = \"11.8 m\"              # height of the drop as taped: checks heights and clock".to_owned(),
    );
    if !test.reading.is_empty() {
        line(String::new());
        line("[test.reading]                 # as understood; correct it if it was misread".to_owned());
        for pair in test.reading.chunks_exact(2) {
            let key = pair[0].trim_start_matches('-').replace('-', "_");
            let value = if key == "header_lines" { pair[1].clone() } else { quoted(&pair[1]) };
            line(format!("{key} = {value}"));
        }
    }
    lines.join("\n") + "\n"
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    Value::from(text).to_string().trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply};
    use crate::parse;

    fn reading() -> Vec<String> {
        ["--time", "1:s", "--height", "2:ft", "--delimiter", ";", "--decimal", ",", "--header-lines", "3"]
            .map(str::to_owned)
            .to_vec()
    }

    #[test]
    fn a_starter_is_read_without_a_problem_and_lists_what_is_missing() {
        let logs = ["logs/a \"b\".csv".to_owned(), "logs/two.csv".to_owned()];
        let reading = reading();
        let tests = [
            StartTest { name: "one", logs: &logs, reading: &reading },
            StartTest { name: "two, heavier", logs: &logs[1..], reading: &[] },
        ];
        for (name, tests) in [("Tube \"7\"", &tests[..]), ("empty", &[])] {
            let text = starter(&Start { name, units: Units::Us, tests });
            let parsed = parse(&text, None);
            assert_eq!(parsed.findings, [], "{text}");
            let project = parsed.project.unwrap();
            assert_eq!(project.name.given().unwrap(), name);
            assert_eq!(project.tests.len(), tests.len());
            assert_eq!(project.unknowns[0].path, "part.payload.mass");
            assert!(!text.contains('@'), "every placeholder is filled");
        }
    }

    /// Each value that stands behind a `#` is one that is read once the `#` is gone.
    #[test]
    fn what_the_comments_teach_is_read() {
        let logs = ["logs/one.csv".to_owned()];
        let tests = [StartTest { name: "one", logs: &logs, reading: &[] }];
        let text = starter(&Start { name: "x", units: Units::Si, tests: &tests });
        let shown = text.lines().map(|line| match line.strip_prefix("# ") {
            Some(rest) if rest.starts_with('[') => rest,
            Some(rest) if rest.split_once(" = ").is_some_and(|(key, _)| !key.contains(' ')) => rest,
            _ => line,
        });
        let all = shown.collect::<Vec<_>>().join("\n");
        assert!(all.lines().count() == text.lines().count() && all.contains("\nscale = \"1/2\""));
        let parsed = parse(&all, None);
        assert_eq!(parsed.findings, [], "{all}");
        assert_eq!(parsed.project.unwrap().parts[0].stages.len(), 2, "{all}");
    }

    #[test]
    fn a_test_entry_joins_a_project() {
        let logs = ["logs/one.csv".to_owned()];
        let reading = reading();
        let test = StartTest { name: "one", logs: &logs, reading: &reading };
        let project = "format = 1\n[[part]]\nname = \"tube\"\nmass = \"9.6 kg\"\n[[session]]\nname = \"3 May\"\n[[model]]\nname = \"half\"\nscale = \"1/2\"\n";
        let known = Names::Project { model: Some("half"), session: Some("3 May") };
        for names in [known, Names::Project { model: None, session: None }] {
            let new = apply(project, &[Edit::AddTest { text: test_entry(&test, "tube", names) }]).unwrap();
            let parsed = parse(&new, None);
            assert_eq!(parsed.findings, [], "{new}");
            let unknown: Vec<String> = parsed.project.unwrap().unknowns.into_iter().map(|u| u.path).collect();
            assert_eq!(unknown, ["test.one.canopies", "test.one.body", "test.one.load"]);
        }
    }
}
