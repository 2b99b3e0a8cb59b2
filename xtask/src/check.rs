//! `cargo xtask check`: everything CI runs, each step with its time; the first failure ends it.

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use anyhow::{Context as _, bail, ensure};

use crate::{checks, demo, paper, pdf, readme, setup};

/// One step: its name, and what it does.
type Step = (&'static str, fn() -> anyhow::Result<()>);

const STEPS: &[Step] = &[
    ("set-up: a browser, and what tests read pages with", || setup::run(&[])),
    ("format", || cargo(&["fmt", "--all", "--check"], &[])),
    ("generator stands apart", generator_stands_apart),
    ("core does no input or output", core_is_pure),
    ("clippy", || {
        cargo(&["clippy", "--workspace", "--all-targets", "--locked", "--quiet", "--", "-D", "warnings"], &[])
    }),
    ("fuzz targets compile", || {
        cargo(
            &[
                "check",
                "--manifest-path",
                "fuzz/Cargo.toml",
                "--target-dir",
                "target/fuzz",
                "--locked",
                "--quiet",
            ],
            &[],
        )
    }),
    ("tests, and what they check against the outside", tests),
    ("the first page of printed plans", || paper::run(&[])),
    ("the demo's recordings are the generator's", || demo::run(&["--verify".to_owned()])),
    ("README's outputs and pictures are the program's", || readme::run(&["--verify".to_owned()])),
    ("docs", || {
        cargo(
            &["doc", "--workspace", "--no-deps", "--document-private-items", "--locked", "--quiet"],
            &[("RUSTDOCFLAGS", "-D warnings")],
        )
    }),
    // Last: its typesetter takes minutes to build.
    ("the PDF says what the page says", || pdf::run(&[])),
];

/// Runs all steps in order and prints how long each took.
///
/// # Errors
/// At the first step that fails, with its name.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    ensure!(arguments.is_empty(), "check takes no arguments");
    let mut took = Vec::new();
    for (name, step) in STEPS {
        println!("--- {name}");
        let begin = Instant::now();
        step().with_context(|| format!("the step `{name}` failed"))?;
        took.push((name, begin.elapsed().as_secs_f64()));
    }
    println!("--- all steps passed");
    for (name, seconds) in took {
        println!("{seconds:>7.1} s  {name}");
    }
    Ok(())
}

fn cargo(arguments: &[&str], environment: &[(&str, &str)]) -> anyhow::Result<()> {
    let status = Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(checks::root())
        .envs(environment.iter().copied())
        .status()
        .context("cargo could not be started")?;
    ensure!(status.success(), "cargo {} failed", arguments.join(" "));
    Ok(())
}

/// The tests once, with every check against the outside leaving its line; then the list is compared.
fn tests() -> anyhow::Result<()> {
    let directory = checks::fresh_directory()?;
    let path = directory.to_str().context("the target folder has a name that is not UTF-8")?;
    cargo(&["test", "--workspace", "--locked"], &[(outside_check::DIRECTORY_VARIABLE, path)])?;
    checks::verify(&checks::document(&directory)?)
}

/// The generator must not rest on what it is there to judge.
fn generator_stands_apart() -> anyhow::Result<()> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--package", "pretend", "--edges", "normal,build", "--locked", "--prefix", "none"])
        .current_dir(checks::root())
        .output()
        .context("cargo could not be started")?;
    ensure!(output.status.success(), "cargo tree failed: {}", String::from_utf8_lossy(&output.stderr));
    let tree = String::from_utf8(output.stdout).context("cargo tree printed something that is not UTF-8")?;
    ensure!(tree.starts_with("pretend "), "cargo tree printed no tree of the generator");
    match tree.lines().find(|line| line.starts_with("silkfall")) {
        Some(line) => bail!("the generator rests on {line}"),
        None => Ok(()),
    }
}

/// Clippy forbids the methods (crates/core/clippy.toml); this also holds where an import hides them.
fn core_is_pure() -> anyhow::Result<()> {
    const FORBIDDEN: [&str; 6] = ["std::fs", "std::env", "std::net", "SystemTime", "Instant", "std::process"];
    let mut looked_at = 0;
    each_source(&checks::root().join("crates/core/src"), &mut |path, text| {
        looked_at += 1;
        for (number, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            if let Some(word) = FORBIDDEN.iter().find(|word| code.contains(**word)) {
                bail!("{}:{} uses {word}", path.display(), number + 1);
            }
        }
        Ok(())
    })?;
    ensure!(looked_at > 0, "no source of core was found");
    Ok(())
}

fn each_source(folder: &Path, look: &mut dyn FnMut(&Path, &str) -> anyhow::Result<()>) -> anyhow::Result<()> {
    for entry in std::fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))? {
        let path = entry?.path();
        if path.is_dir() {
            each_source(&path, look)?;
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let text = std::fs::read_to_string(&path)
                .with_context(|| format!("{} cannot be read", path.display()))?;
            look(&path, &text)?;
        }
    }
    Ok(())
}
