//! `cargo xtask checks [--verify]`: docs/CHECKS.md from the checks that the tests state.
//!
//! The tests run with the variable set that makes each `outside_check::check!` leave a line; the lines, sorted,
//! are the document. `--verify` writes nothing and fails when the committed document says something else.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, bail, ensure};
use outside_check::{DIRECTORY_VARIABLE, Leg, Line};

/// Runs the tests of the workspace and writes the document, or compares it.
///
/// # Errors
/// When a test fails, two checks bear the same words, or the document is stale under `--verify`.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    let directory = fresh_directory()?;
    let status = Command::new(env!("CARGO"))
        .args(["test", "--workspace", "--quiet", "--lib", "--bins", "--tests"])
        .current_dir(root())
        .env(DIRECTORY_VARIABLE, &directory)
        .status()
        .context("cargo could not be started")?;
    ensure!(status.success(), "a test failed, so there is no list of checks");
    let text = document(&directory)?;
    match arguments {
        [] => write(&text),
        [flag] if flag == "--verify" => verify(&text),
        other => bail!("checks takes --verify or nothing, not {other:?}"),
    }
}

/// An empty directory for the lines of one run of the tests.
///
/// # Errors
/// When it cannot be made.
pub fn fresh_directory() -> anyhow::Result<PathBuf> {
    let directory = root().join("target/outside-checks");
    if directory.exists() {
        std::fs::remove_dir_all(&directory)
            .with_context(|| format!("{} cannot be emptied", directory.display()))?;
    }
    std::fs::create_dir_all(&directory).with_context(|| format!("{} cannot be made", directory.display()))?;
    Ok(directory)
}

/// The document made of the lines in `directory`.
///
/// # Errors
/// When a file cannot be read, there is no check at all, or two checks bear the same words.
pub fn document(directory: &Path) -> anyhow::Result<String> {
    Ok(render(&distinct(read(directory)?)?))
}

/// Fails when the committed document is not `text`.
///
/// # Errors
/// When it is stale or missing.
pub fn verify(text: &str) -> anyhow::Result<()> {
    let path = document_path();
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    ensure!(committed == text, "{} is stale; run `cargo xtask checks`", path.display());
    Ok(())
}

fn write(text: &str) -> anyhow::Result<()> {
    let path = document_path();
    let folder = path.parent().expect("the document stands in a folder");
    std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    std::fs::write(&path, text).with_context(|| format!("{} cannot be written", path.display()))
}

/// The root of the workspace.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("xtask stands in the workspace's root")
}

fn document_path() -> PathBuf {
    root().join("docs/CHECKS.md")
}

fn read(directory: &Path) -> anyhow::Result<Vec<Line>> {
    let mut lines = Vec::new();
    for entry in
        std::fs::read_dir(directory).with_context(|| format!("{} cannot be read", directory.display()))?
    {
        let path = entry?.path();
        let text =
            std::fs::read_to_string(&path).with_context(|| format!("{} cannot be read", path.display()))?;
        for row in text.lines() {
            lines.push(serde_json::from_str(row).with_context(|| format!("{}: {row}", path.display()))?);
        }
    }
    ensure!(!lines.is_empty(), "the tests stated no check against the outside");
    Ok(lines)
}

/// Sorted, each once. Words that stand twice would hide one check behind the other.
fn distinct(mut lines: Vec<Line>) -> anyhow::Result<Vec<Line>> {
    lines.sort();
    for pair in lines.windows(2) {
        let [a, b] = pair else { unreachable!("windows of two") };
        if (&a.area, &a.what, &a.against) == (&b.area, &b.what, &b.against) {
            bail!(
                "two checks bear the same words: {}, {}, {} ({} and {})",
                a.area,
                a.what,
                a.against,
                a.file,
                b.file
            );
        }
    }
    Ok(lines)
}

fn render(lines: &[Line]) -> String {
    let mut areas: BTreeMap<&str, Vec<&Line>> = BTreeMap::new();
    for line in lines {
        areas.entry(&line.area).or_default().push(line);
    }
    let count = |leg| lines.iter().filter(|line| line.leg == leg).count();
    let mut text = format!(
        "# Checks against the outside\n\n\
         Made by `cargo xtask checks` from the checks that the tests state; do not edit. What was worked out, \
         against what, how closely.\n\n\
         There are {} checks: {} against a closed form (the same equation solved another way, or an identity), \
         {} against something published (a standard, a paper, a certified data set; what is quoted from memory \
         says so), {} against an independent program. Numbers are rounded to the digits that the allowed \
         difference speaks of.\n",
        lines.len(),
        count(Leg::Closed),
        count(Leg::Published),
        count(Leg::Independent),
    );
    for (area, lines) in areas {
        let title: String =
            area.chars().take(1).flat_map(char::to_uppercase).chain(area.chars().skip(1)).collect();
        let _ = write!(
            text,
            "\n## {title}\n\n| what | against | kind | ours | theirs | may differ by | test |\n\
             | --- | --- | --- | --- | --- | --- | --- |\n"
        );
        for line in lines {
            let allowed = if line.because.is_empty() {
                line.allowed.clone()
            } else {
                format!("{}: {}", line.allowed, line.because)
            };
            let cells = [
                &line.what,
                &line.against,
                line.leg.words(),
                &line.got,
                &line.want,
                &allowed,
                &format!("[{}](../{})", file_name(&line.file), line.file),
            ];
            let _ = writeln!(text, "| {} |", cells.map(|cell| cell.replace('|', "\\|")).join(" | "));
        }
    }
    text
}

fn file_name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(area: &str, what: &str, got: &str) -> Line {
        Line {
            area: area.into(),
            what: what.into(),
            against: "a table".into(),
            leg: Leg::Published,
            got: got.into(),
            want: "1".into(),
            allowed: "0.1".into(),
            because: "a | b".into(),
            file: "crates/core/src/air/mod.rs".into(),
        }
    }

    #[test]
    fn the_order_of_the_tests_does_not_matter() {
        let one = distinct(vec![line("rate", "b", "1"), line("air", "a", "1")]).unwrap();
        let other = distinct(vec![line("air", "a", "1"), line("rate", "b", "1")]).unwrap();
        let text = render(&one);
        assert_eq!(text, render(&other));
        assert!(text.find("## Air").unwrap() < text.find("## Rate").unwrap());
        assert!(text.contains("a \\| b"), "a bar inside a cell would end it");
    }

    #[test]
    fn the_same_words_twice_are_refused() {
        assert!(distinct(vec![line("air", "a", "1"), line("air", "a", "2")]).is_err());
    }
}
