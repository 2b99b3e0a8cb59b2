//! The bad-input corpus: a folder a case with `input.*`, `expected.txt` and, where something is forced, `options.txt`.
//!
//! The inputs are made by `tests/corpus/make.py`. After a wanted change, run the test with `CORPUS=write` and read
//! what changed.

use silkfall_core::finding::Finding;
use silkfall_intake::{Means, Read, Reading, read};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

fn folders() -> Vec<PathBuf> {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let entries = fs::read_dir(&corpus).unwrap().map(|e| e.unwrap().path());
    let mut folders: Vec<PathBuf> = entries.filter(|p| p.is_dir()).collect();
    folders.sort();
    folders
}

/// The input's file name and bytes, and the options.
fn case(folder: &Path) -> (String, Vec<u8>, Reading) {
    let input = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .find(|p| p.file_stem().is_some_and(|s| s == "input"))
        .unwrap_or_else(|| panic!("{}: no input", folder.display()));
    let mut wanted = Reading::default();
    for line in fs::read_to_string(folder.join("options.txt")).unwrap_or_default().lines() {
        let (option, value) = line.split_once(' ').unwrap();
        wanted.set(option, value).unwrap();
    }
    (input.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&input).unwrap(), wanted)
}

fn rendered(result: &Result<Read, Vec<Finding>>) -> String {
    let mut out = String::new();
    let findings = match result {
        Ok(read) => {
            let (u, r) = (&read.understood, &read.recording);
            if let Some(sheet) = &u.sheet {
                writeln!(out, "sheet {sheet}").unwrap();
            }
            let header = u.header_line.map_or("no header".to_owned(), |l| format!("header in line {l}"));
            writeln!(
                out,
                "{}, delimiter {}, decimal {:?}, {header}, data from line {}",
                u.encoding, u.delimiter, u.decimal, u.first_line
            )
            .unwrap();
            for c in u.columns.iter().filter(|c| c.means != Means::NotUsed) {
                let unit = c.unit.map_or(format!("as {}", u.time_form), |unit| format!("in {unit}"));
                writeln!(
                    out,
                    "{}: {} {unit} ({:?}, {:?})",
                    c.title(),
                    c.means.word(),
                    c.means_known,
                    c.unit_known
                )
                .unwrap();
            }
            writeln!(
                out,
                "{:?}: {} samples of {} lines over {:.4} s, {:.4} a second, step {:.4}, stretches from {:?}",
                u.channel,
                u.samples,
                u.lines,
                u.duration_s,
                u.sample_rate_hz.unwrap_or(0.0),
                u.step.unwrap_or(0.0),
                r.segments
            )
            .unwrap();
            for at in [0, r.len() / 2, r.len() - 1] {
                let kelvin = r
                    .temperature_k
                    .as_ref()
                    .and_then(|t| t.at(at))
                    .map_or(String::new(), |k| format!(", {k:.2} K"));
                writeln!(
                    out,
                    "sample {at}: {:.4} s, {:.4}{kelvin}, line {}",
                    r.time_s[at],
                    r.value[at],
                    r.rows.line_of(at).unwrap()
                )
                .unwrap();
            }
            writeln!(out, "repeat: {}", u.repeat_options().join(" ")).unwrap();
            &read.findings
        }
        Err(findings) => {
            writeln!(out, "refused").unwrap();
            findings
        }
    };
    for f in findings {
        let place = f.place.as_ref().unwrap();
        let line = place.line.map_or(String::new(), |l| format!(":{l}"));
        let column = place.column.map_or(String::new(), |c| format!(", column {c}"));
        let more = if f.count > 1 { format!(" (and {} more)", f.count - 1) } else { String::new() };
        let hint = f.hint.as_ref().map_or(String::new(), |h| format!("\n  {h}"));
        writeln!(
            out,
            "{}[{}] {}{line}{column}: {}{more}{hint}",
            f.severity().word(),
            f.code.name(),
            place.file,
            f.message
        )
        .unwrap();
    }
    out
}

#[test]
fn every_case_gives_what_is_expected() {
    let mut wrong = Vec::new();
    let folders = folders();
    for folder in &folders {
        let (name, bytes, wanted) = case(folder);
        let got = rendered(&read(&name, &bytes, &wanted));
        let expected = folder.join("expected.txt");
        if std::env::var("CORPUS").is_ok_and(|v| v == "write") {
            fs::write(&expected, &got).unwrap();
        }
        let stated = fs::read_to_string(&expected).unwrap_or_default();
        if stated != got {
            wrong.push(format!("{}\n--- expected\n{stated}--- got\n{got}", folder.display()));
        }
    }
    assert!(folders.len() >= 40, "only {} cases", folders.len());
    assert!(wrong.is_empty(), "{} cases differ:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_options_that_repeat_a_reading_repeat_it() {
    let mut repeated = 0;
    for folder in folders() {
        let (name, bytes, wanted) = case(&folder);
        let Ok(first) = read(&name, &bytes, &wanted) else { continue };
        let mut again = Reading::default();
        for pair in first.understood.repeat_options().chunks(2) {
            again.set(pair[0].trim_start_matches('-'), &pair[1]).unwrap();
        }
        let second = read(&name, &bytes, &again).unwrap_or_else(|f| panic!("{}: {f:?}", folder.display()));
        assert_eq!(first.recording, second.recording, "{}", folder.display());
        let guesses = second.findings.iter().filter(|f| f.code.name().starts_with("log-unit")).count();
        assert_eq!(guesses, 0, "{}: what is stated is not guessed", folder.display());
        assert_eq!(
            second.understood.repeat_options(),
            first.understood.repeat_options(),
            "{}",
            folder.display()
        );
        repeated += 1;
    }
    assert!(repeated >= 40, "only {repeated} readable cases");
}

/// Each case whole, cut off at seven places, and with a byte in every so many turned round.
#[test]
fn spoilt_cases_keep_the_promises() {
    let mut asked = 0;
    for folder in folders() {
        let bytes = case(&folder).1;
        crate::promises::are_kept(&bytes);
        for eighth in 1..8 {
            crate::promises::are_kept(&bytes[..bytes.len() * eighth / 8]);
            let mut spoilt = bytes.clone();
            spoilt.iter_mut().skip(eighth).step_by(31 + 17 * eighth).for_each(|byte| *byte ^= 0x15);
            crate::promises::are_kept(&spoilt);
        }
        asked += 15;
    }
    assert!(asked > 600, "{asked}");
}
