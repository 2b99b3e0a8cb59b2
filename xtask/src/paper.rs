//! `cargo xtask paper`: the plans that the tests of `report` left in the target folder, printed as a reader would: on A4
//! and on Letter, and their first page looked at.
//!
//! Chromium prints, poppler reads the text back; `cargo xtask setup` installs both.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context as _, bail, ensure};

use crate::checks::root;

/// The sheets, by the names that style sheets give them.
const SHEETS: [&str; 2] = ["A4", "Letter"];
/// The pages left by the tests, and the smallest type that their first page may be set in, pt.
const PAGES: [(&str, f64); 4] =
    [("plan-small-si", 8.4), ("plan-small-us", 8.4), ("plan-large-si", 6.4), ("plan-large-us", 6.4)];
/// Of the type, pt: the foot, which a browser never shrinks; the title.
const FOOT: f64 = 7.0;
const TITLE: f64 = 12.0;
/// Words that stand for the ten things of the first page, in their order.
const TEN: [&str; 10] = [
    "Void if",
    "Caution.",
    "What falls",
    "What may happen",
    "Ground winds to fly in",
    "Where it comes down",
    "Weakest part",
    "What this rests on",
    "To check at the pad",
    "Signatures",
];
/// What item 6 says where there are several parts.
const SEVERAL: &str = "inside least often";

/// Prints the plans and looks at them.
///
/// # Errors
/// When a program cannot be had, a plan is missing, or its first page is not what it is to be.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    ensure!(arguments.is_empty(), "paper takes no arguments");
    let folder = root().join("target/paper");
    std::fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    for (page, least) in PAGES {
        let path = root().join("target/tmp").join(format!("{page}.html"));
        let html = std::fs::read_to_string(&path).with_context(|| {
            format!("{} is missing; `cargo test -p silkfall-report` writes it", path.display())
        })?;
        for sheet in SHEETS {
            let name = format!("{page}-{sheet}");
            let printed = print(&html, sheet, &folder, &name)?;
            first_page(&printed).with_context(|| format!("{}", printed.display()))?;
            let size = type_size(&printed).with_context(|| format!("{}", printed.display()))?;
            ensure!(size >= least, "{}: the first page is set in {size:.1} pt", printed.display());
            println!("{name}: the first page is set in {size:.1} pt");
        }
    }
    Ok(())
}

/// The page on sheets of that size, as a PDF.
fn print(html: &str, sheet: &str, folder: &Path, name: &str) -> anyhow::Result<PathBuf> {
    let page = folder.join(format!("{name}.html"));
    let printed = folder.join(format!("{name}.pdf"));
    // The reader's printer says the size of the sheet; here a rule does.
    let sized = html.replacen("</style>", &format!("@page{{size:{sheet}}}</style>"), 1);
    std::fs::write(&page, sized).with_context(|| format!("{} cannot be written", page.display()))?;
    let status = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .arg(format!("--user-data-dir={}", folder.join("chromium").display()))
        .arg("--no-pdf-header-footer")
        .arg(format!("--print-to-pdf={}", printed.display()))
        .arg(format!("file://{}", page.display()))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .context("chromium could not be started")?;
    ensure!(status.success() && printed.exists(), "chromium did not print {}", page.display());
    Ok(printed)
}

/// The ten things stand on the first page in their order, its foot says which of how many it is, and the second page
/// begins with something else.
///
/// # Errors
/// When that is not so, or the text cannot be read back.
pub fn first_page(printed: &Path) -> anyhow::Result<()> {
    let (first, second) = (text(printed, 1)?, text(printed, 2)?);
    for words in TEN {
        let found = first.contains(words) || (words == "Where it comes down" && first.contains(SEVERAL));
        ensure!(found, "the first page has no \"{words}\"");
    }
    ensure!(first.contains("page 1 of "), "the first page does not say which of how many it is");
    if let Some(words) = TEN.iter().find(|words| **words == "Signatures" && second.contains(**words)) {
        bail!("\"{words}\" stands on the second page");
    }
    ensure!(second.contains("At the field"), "the first page runs over onto the second");
    Ok(())
}

/// The size of the first page's type, pt, told by the heights of its words; a title that is smaller than it was set means
/// that something is wider than the sheet and that the browser shrank all pages to hold it.
fn type_size(printed: &Path) -> anyhow::Result<f64> {
    let output = Command::new("pdftotext")
        .args(["-bbox", "-f", "1", "-l", "1"])
        .arg(printed)
        .arg("-")
        .output()
        .context("pdftotext could not be started")?;
    ensure!(output.status.success(), "pdftotext failed: {}", String::from_utf8_lossy(&output.stderr));
    let boxes = String::from_utf8(output.stdout).context("pdftotext printed something that is not UTF-8")?;
    let words: Vec<(f64, &str)> = boxes.lines().filter_map(word).collect();
    let high = |wanted: &str| {
        words
            .iter()
            .find(|(_, word)| *word == wanted)
            .map(|(high, _)| *high)
            .with_context(|| format!("no word {wanted}"))
    };
    let (title, foot) = (words.first().context("the page is empty")?.0, high("page")?);
    let shrunk = title / foot / (TITLE / FOOT);
    ensure!(shrunk > 0.99, "something is wider than the sheet: all is printed {shrunk:.2} as large");
    Ok(FOOT * high("Void")? / foot)
}

/// The height and the text of `<word xMin=".." yMin=".." xMax=".." yMax="..">text</word>`.
fn word(line: &str) -> Option<(f64, &str)> {
    let (attributes, rest) = line.trim().strip_prefix("<word ")?.split_once('>')?;
    let value = |name: &str| -> Option<f64> {
        attributes.split_once(&format!("{name}=\""))?.1.split_once('"')?.0.parse().ok()
    };
    Some((value("yMax")? - value("yMin")?, rest.strip_suffix("</word>")?))
}

/// The text of a page, its spaces made single.
fn text(printed: &Path, page: u32) -> anyhow::Result<String> {
    let page = page.to_string();
    let output = Command::new("pdftotext")
        .args(["-f", &page, "-l", &page])
        .arg(printed)
        .arg("-")
        .output()
        .context("pdftotext could not be started")?;
    ensure!(output.status.success(), "pdftotext failed: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).context("pdftotext printed something that is not UTF-8")?;
    Ok(text.split_whitespace().collect::<Vec<_>>().join(" "))
}
