//! `cargo xtask setup`: what the checks need beside cargo, fetched when it is missing and never skipped in silence.
//!
//! Debian's packages for a browser, its driver and the tools that read PDF; from npm the accessibility checker that a test
//! runs in the browser. Nothing of it becomes part of the program.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context as _, bail, ensure};

use crate::checks::root;

/// A program that must be there, and Debian's package that brings it.
const PROGRAMS: [(&str, &str); 5] = [
    ("chromium", "chromium"),
    ("chromedriver", "chromium-driver"),
    ("pdftotext", "poppler-utils"),
    ("pdftoppm", "poppler-utils"),
    ("npm", "npm"),
];
/// The accessibility checker (MPL 2.0), used in tests only.
const AXE: &str = "axe-core@4.14.1";

/// Sees to all of it.
///
/// # Errors
/// When something is missing and cannot be fetched; the message says what to install.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    ensure!(arguments.is_empty(), "setup takes no arguments");
    let mut missing: Vec<&str> =
        PROGRAMS.iter().filter(|(program, _)| !is_there(program)).map(|(_, package)| *package).collect();
    missing.dedup();
    if !missing.is_empty() {
        install(&missing)?;
    }
    axe()
}

fn is_there(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

fn install(packages: &[&str]) -> anyhow::Result<()> {
    println!("installing {}", packages.join(", "));
    let did = |arguments: &[&str]| {
        Command::new("apt-get").args(arguments).status().is_ok_and(|status| status.success())
    };
    // A list that is old names versions that are no longer there; where it cannot be had anew the old one may still do.
    if !did(&["update"]) {
        println!("the list of packages could not be had anew");
    }
    if !did(&[&["install", "--yes", "--no-install-recommends"], packages].concat()) {
        bail!("these are missing: {0}; on Debian, as root: apt-get install {0}", packages.join(" "));
    }
    Ok(())
}

/// Where the checker is put; tests look there.
fn axe() -> anyhow::Result<()> {
    let folder: PathBuf = root().join("target/browser");
    let (script, mark) = (folder.join("axe.min.js"), folder.join("axe.version"));
    if script.is_file() && std::fs::read_to_string(&mark).is_ok_and(|version| version == AXE) {
        return Ok(());
    }
    std::fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    // npm compares what it fetched with the registry's digest.
    let packed = Command::new("npm").args(["pack", AXE, "--silent"]).current_dir(&folder).output();
    let packed = packed.context("npm could not be started")?;
    ensure!(packed.status.success(), "npm pack {AXE} failed: {}", String::from_utf8_lossy(&packed.stderr));
    let archive = String::from_utf8_lossy(&packed.stdout).trim().to_owned();
    let status = Command::new("tar")
        .args(["--extract", "--gzip", "--strip-components=1", "--file", &archive, "package/axe.min.js"])
        .current_dir(&folder)
        .status()
        .context("tar could not be started")?;
    ensure!(status.success() && script.is_file(), "{archive} holds no axe.min.js");
    std::fs::write(&mark, AXE).with_context(|| format!("{} cannot be written", mark.display()))
}
