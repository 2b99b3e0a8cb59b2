//! Running the program in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

/// A folder that is empty at first, under cargo's own for tests.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("a folder of an earlier run can be removed");
    }
    std::fs::create_dir_all(&folder).expect("cargo's folder for tests can be written");
    folder
}

/// What a run left: exit code, stdout, stderr.
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Ran {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}{}", self.out, self.err))
    }
}

/// The program with these words, called as an installed one.
pub fn command(folder: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_silkfall"));
    command.args(words).current_dir(folder).env_remove("CARGO_PKG_NAME").env("COLUMNS", "100");
    command
}

pub fn run(folder: &Path, words: &[&str]) -> Ran {
    let Output { status, stdout, stderr } = command(folder, words).output().expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("output is UTF-8");
    Ran { code: status.code(), out: text(stdout), err: text(stderr) }
}

/// A line of the output as a shell would take it: split at blanks outside quotes.
pub fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quote: Option<char> = None;
    for c in line.chars() {
        match (quote, c) {
            (Some(q), c) if c == q => quote = None,
            (None, '"' | '\'') => quote = Some(c),
            (None, ' ') => words.push(String::new()),
            _ => words.last_mut().expect("starts with one word").push(c),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Runs a line that the program printed, without its first word.
pub fn run_line(folder: &Path, line: &str) -> Ran {
    let words = words(line);
    assert_eq!(words[0], "silkfall", "{line}");
    run(folder, &words[1..].iter().map(String::as_str).collect::<Vec<_>>())
}

/// The codes of the findings of a JSON answer.
pub fn codes(json: &Value) -> Vec<&str> {
    json["findings"].as_array().into_iter().flatten().filter_map(|f| f["code"].as_str()).collect()
}

/// A log of drops as a person might type it, invented: rest, hoist, hang, a steady fall from 12 m at each of these
/// rates, rest; 10 samples a second in tenths of a metre, Latin-1, decimal commas, h:m:s.
pub fn typed(rates_m_per_s: &[f64]) -> Vec<u8> {
    let mut heights: Vec<f64> = Vec::new();
    for rate in rates_m_per_s {
        heights.extend(std::iter::repeat_n(0.0, 150));
        heights.extend((0..200).map(|i| 12.0 * f64::from(i) / 200.0));
        heights.extend(std::iter::repeat_n(12.0, 60));
        // dv/dt = g (1 − v²/v∞²): z = v∞²/g ln cosh(g t/v∞).
        let fallen = |t: f64| rate * rate / 9.81 * (9.81 * t / rate).cosh().ln();
        let fall = (1..).map(|i| 12.0 - fallen(f64::from(i) / 10.0)).take_while(|height| *height > 0.0);
        heights.extend(fall);
        heights.extend(std::iter::repeat_n(0.0, 100));
    }
    let mut text =
        String::from("# Fallversuch am Übungsturm\r\nUhrzeit (h:m:s);Höhe (m);Außentemperatur (°C)\r\n");
    for (i, height) in heights.iter().enumerate() {
        let (minutes, tenths) = (i / 600, i % 600);
        let height = format!("{height:.1}").replace('.', ",");
        text.push_str(&format!("14:{minutes:02}:{:02},{};{height};11,5\r\n", tenths / 10, tenths % 10));
    }
    // Latin-1: each of these characters is the byte of its number.
    text.chars().map(|c| u8::try_from(u32::from(c)).expect("every character is of Latin-1")).collect()
}
