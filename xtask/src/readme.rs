//! `cargo xtask readme [--verify]`: the outputs and pictures of README.md, and the number that docs/ARCHITECTURE.md
//! follows, made by the program itself.
//!
//! A line `<!-- output: ARGUMENTS -->` stands above each fenced block that the program fills; the commands run in one
//! empty folder, in the order of the text. Pictures are taken of the demo's report by a headless Chromium (Debian:
//! `apt-get install chromium`), and of the page that `silkfall open` serves of it; beside them stand the digests of the
//! report that they show and of the page's style, and `--verify` compares those, so that a check needs no browser.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use anyhow::{Context as _, bail, ensure};
use serde_json::Value;
use silkfall_core::stats::stream::fnv_1a;

use crate::checks::root;
use crate::follow;

const MARK: &str = "<!-- output: ";
const PICTURES: &str = "docs/pictures";
const MADE_FROM: &str = "made-from.txt";
/// Pictures of the report: name, anchor in it, width and height in px, whether dark.
const SHOTS: [(&str, &str, u32, u32, bool); 4] = [
    ("report-light.png", "", 1200, 1500, false),
    ("report-dark.png", "", 1200, 1500, true),
    ("canopies-light.png", "#s-tube-candidates", 1200, 900, false),
    ("canopies-dark.png", "#s-tube-candidates", 1200, 900, true),
];
/// The same of the page, from its top: what is not seen is not drawn, so that a picture of a place further down is empty.
const PAGE_SHOTS: [(&str, &str, u32, u32, bool); 2] =
    [("page-light.png", "", 1400, 1000, false), ("page-dark.png", "", 1400, 1000, true)];
/// What the page looks like.
const STYLES: [&str; 2] = ["crates/web/assets/page.css", "crates/web/assets/drops.css"];

/// Writes outputs and pictures, or compares them.
///
/// # Errors
/// When a command fails, a browser is missing, or something is stale under `--verify`.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    let verify = match arguments {
        [] => false,
        [flag] if flag == "--verify" => true,
        other => bail!("readme takes --verify or nothing, not {other:?}"),
    };
    let folder = root().join("target/readme");
    if folder.exists() {
        std::fs::remove_dir_all(&folder)
            .with_context(|| format!("{} cannot be emptied", folder.display()))?;
    }
    std::fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let program = program()?;
    say(&program, &folder, &["demo"])?;
    let path = root().join("README.md");
    let old = std::fs::read_to_string(&path).with_context(|| format!("{} cannot be read", path.display()))?;
    let new = filled(&old, &mut |arguments| say(&program, &folder, arguments))?;
    let architecture = root().join("docs/ARCHITECTURE.md");
    let steps = std::fs::read_to_string(&architecture)
        .with_context(|| format!("{} cannot be read", architecture.display()))?;
    let sheet: Value =
        serde_json::from_str(&say(&program, &folder, &["assess", "silkfall-demo", "--json"])?)?;
    every_number_has_a_derivation(&sheet)?;
    let followed = follow::filled(&steps, &sheet)?;
    let report = folder.join("silkfall-demo/report.html");
    let mut made = Vec::new();
    for of in std::iter::once(report.clone()).chain(STYLES.iter().map(|style| root().join(style))) {
        made.push(digest(&std::fs::read(&of).with_context(|| format!("{} is missing", of.display()))?));
    }
    let digests = made.join("\n");
    let made_from = root().join(PICTURES).join(MADE_FROM);
    if verify {
        ensure!(old == new, "README.md is stale; run `cargo xtask readme`");
        ensure!(steps == followed, "docs/ARCHITECTURE.md is stale; run `cargo xtask readme`");
        let noted = std::fs::read_to_string(&made_from).unwrap_or_default();
        ensure!(
            noted.trim() == digests,
            "the pictures show an older report or page; run `cargo xtask readme`"
        );
        return Ok(());
    }
    std::fs::write(&path, new).with_context(|| format!("{} cannot be written", path.display()))?;
    std::fs::write(&architecture, followed)
        .with_context(|| format!("{} cannot be written", architecture.display()))?;
    for shot in SHOTS {
        take(&format!("file://{}", report.display()), shot)?;
    }
    let served = Served::start(&program, &folder)?;
    refined(&served.link)?;
    for shot in PAGE_SHOTS {
        take(&served.link, shot)?;
    }
    std::fs::write(&made_from, digests + "\n")
        .with_context(|| format!("{} cannot be written", made_from.display()))
}

/// Says how many numbers of the demo's sheet cannot say how they came about.
fn every_number_has_a_derivation(sheet: &Value) -> anyhow::Result<()> {
    let without = sheet.get("numbers_without_derivation").and_then(Value::as_u64);
    let without = without.context("the sheet does not say how many numbers have no derivation")?;
    println!("numbers without derivation: {without}");
    ensure!(without == 0, "`silkfall assess --how` lists those that have one");
    Ok(())
}

fn program() -> anyhow::Result<PathBuf> {
    let status = Command::new(env!("CARGO"))
        // With the features that the tests are built with: what those built is not built again.
        .args(["build", "--workspace", "--bins", "--quiet", "--locked"])
        .current_dir(root())
        .status()
        .context("cargo could not be started")?;
    ensure!(status.success(), "the program does not build");
    Ok(root().join("target/debug/silkfall"))
}

/// What the program prints, as if it were installed. A limit that is missed (exit code 1) is an answer, too.
fn say(program: &Path, folder: &Path, arguments: &[&str]) -> anyhow::Result<String> {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .env_remove("CARGO_PKG_NAME")
        .env("COLUMNS", "100")
        .env("NO_COLOR", "1")
        .output()
        .with_context(|| format!("{} could not be started", program.display()))?;
    let code = output.status.code();
    ensure!(
        matches!(code, Some(0 | 1)),
        "silkfall {} ended with {code:?}: {}",
        arguments.join(" "),
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).context("the program printed something that is not UTF-8")
}

/// The text with every marked block filled anew.
fn filled(text: &str, say: &mut dyn FnMut(&[&str]) -> anyhow::Result<String>) -> anyhow::Result<String> {
    let mut out = String::new();
    let mut lines = text.lines();
    let mut blocks = 0;
    while let Some(line) = lines.next() {
        out.push_str(line);
        out.push('\n');
        let Some(command) = line.strip_prefix(MARK).and_then(|rest| rest.strip_suffix(" -->")) else {
            continue;
        };
        let open = lines.next().with_context(|| format!("nothing stands under {line}"))?;
        ensure!(open.starts_with("```"), "no fenced block stands under {line}");
        lines
            .by_ref()
            .find(|line| *line == "```")
            .with_context(|| format!("the block under {line} has no end"))?;
        let said = say(&words(command))?;
        out.push_str(&format!("{open}\n$ silkfall {command}\n{}```\n", trimmed(&said)));
        blocks += 1;
    }
    ensure!(blocks > 0, "README.md has no block that the program fills");
    Ok(out)
}

/// No blanks at line ends: editors take them away, and the comparison would fail for nothing.
fn trimmed(text: &str) -> String {
    text.lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// Words as a shell splits them, double quotes being the only quotes used here.
fn words(command: &str) -> Vec<&str> {
    let mut words = Vec::new();
    for (at, piece) in command.split('"').enumerate() {
        if at % 2 == 1 {
            words.push(piece);
        } else {
            words.extend(piece.split_whitespace());
        }
    }
    words
}

/// The demo's page, served until it is dropped.
struct Served {
    program: Child,
    link: String,
}

impl Served {
    fn start(program: &Path, folder: &Path) -> anyhow::Result<Self> {
        let mut program = Command::new(program)
            .args(["open", "silkfall-demo", "--no-browser"])
            .current_dir(folder)
            .stdout(Stdio::piped())
            .spawn()
            .context("the page could not be served")?;
        let out = program.stdout.take().context("its output is piped")?;
        let line = BufReader::new(out).lines().map_while(Result::ok).find(|line| line.starts_with("http://"));
        // Owned from here on, so that it ends whatever comes.
        let served = Served { program, link: line.unwrap_or_default() };
        ensure!(!served.link.is_empty(), "the program says no link");
        Ok(served)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.program.kill());
        drop(self.program.wait());
    }
}

/// Waits until the page shows full effort: a picture of figures that are being refined would be another each time.
fn refined(address: &str) -> anyhow::Result<()> {
    const LOOKS: usize = 120;
    for _ in 0..LOOKS {
        let page = browser().arg("--dump-dom").arg(address).output().context(NO_BROWSER)?;
        if String::from_utf8_lossy(&page.stdout).contains("data-effort=\"full\"") {
            return Ok(());
        }
    }
    bail!("the page is not refined after {LOOKS} looks at it")
}

const NO_BROWSER: &str = "chromium could not be started; on Debian: apt-get install chromium";

/// A browser that keeps what it was told from one look to the next.
fn browser() -> Command {
    let profile = root().join("target/readme/chromium");
    let mut browser = Command::new("chromium");
    browser
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args([
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
        ])
        .arg(format!("--user-data-dir={}", profile.display()))
        .stderr(Stdio::null());
    browser
}

fn take(
    address: &str,
    (name, anchor, width, height, dark): (&str, &str, u32, u32, bool),
) -> anyhow::Result<()> {
    let picture = root().join(PICTURES).join(name);
    // 0 is dark and 1 is light in this setting.
    let scheme = i32::from(!dark);
    let status = browser()
        .arg(format!("--blink-settings=preferredColorScheme={scheme}"))
        .arg(format!("--window-size={width},{height}"))
        .arg(format!("--screenshot={}", picture.display()))
        .arg(format!("{address}{anchor}"))
        .status()
        .context(NO_BROWSER)?;
    ensure!(status.success() && picture.exists(), "chromium took no picture for {name}");
    Ok(())
}

/// Told apart, not secured.
fn digest(bytes: &[u8]) -> String {
    format!("{:016x}", fnv_1a(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marked_blocks_are_filled_and_the_rest_stays() {
        let text = "a\n<!-- output: reduce x --air \"18 °C\" -->\n```text\nold\n```\nb\n";
        let new = filled(text, &mut |words| Ok(format!("{} \n", words.join("|")))).unwrap();
        let want = "a\n<!-- output: reduce x --air \"18 °C\" -->\n```text\n\
                    $ silkfall reduce x --air \"18 °C\"\nreduce|x|--air|18 °C\n```\nb\n";
        assert_eq!(new, want);
        assert_eq!(filled(&new, &mut |words| Ok(format!("{} \n", words.join("|")))).unwrap(), new);
        assert!(filled("no block\n", &mut |_| Ok(String::new())).is_err());
    }

    #[test]
    fn digests_tell_apart() {
        assert_eq!(digest(b"").len(), 16);
        assert_ne!(digest(b"a"), digest(b"b"));
    }
}
