//! `cargo xtask pdf`: the demo's plan typeset, and its text compared with the page's.
//!
//! Builds the program with the feature `pdf`, lets it write the demo's plan as HTML and as PDF, and reads the PDF back with
//! poppler (`cargo xtask setup` installs it): whatever the page says, heading, paragraph, cell or caption, stands in the PDF
//! too, in the same order. The same plan gives the same bytes.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, bail, ensure};
use scraper::{ElementRef, Html, Selector};

use crate::checks::root;
use crate::paper;

/// Least of what is compared: a demo that says less has lost something.
const LEAST: usize = 1500;

/// Typesets and compares.
///
/// # Errors
/// When a program fails, the PDF lacks something, or two runs differ.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    ensure!(arguments.is_empty(), "pdf takes no arguments");
    let folder = root().join("target/pdf");
    if folder.exists() {
        std::fs::remove_dir_all(&folder)
            .with_context(|| format!("{} cannot be emptied", folder.display()))?;
    }
    std::fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let program = program()?;
    call(&program, &folder, &["demo", "demo"])?;
    for (html, pdf, units) in [("si.html", "si.pdf", "si"), ("us.html", "us.pdf", "us")] {
        for file in [html, pdf] {
            call(&program, &folder, &["plan", "demo", "-o", file, "--units", units])?;
        }
        let page = folder.join(html);
        let page =
            std::fs::read_to_string(&page).with_context(|| format!("{} is missing", page.display()))?;
        let printed = folder.join(pdf);
        paper::first_page(&printed).with_context(|| format!("{}", printed.display()))?;
        let found = compare(&page, &printed).with_context(|| format!("{}", printed.display()))?;
        ensure!(found >= LEAST, "{html} says only {found} things");
        println!("{found} things of {html} stand in {pdf}");
    }
    call(&program, &folder, &["plan", "demo", "-o", "again.pdf", "--units", "si"])?;
    let read =
        |name: &str| std::fs::read(folder.join(name)).with_context(|| format!("{name} cannot be read"));
    ensure!(read("si.pdf")? == read("again.pdf")?, "two runs wrote different bytes");
    Ok(())
}

fn program() -> anyhow::Result<PathBuf> {
    let status = Command::new(env!("CARGO"))
        .args(["build", "--workspace", "--bins", "--features", "silkfall/pdf", "--locked", "--quiet"])
        .current_dir(root())
        .status()
        .context("cargo could not be started")?;
    ensure!(status.success(), "the program could not be built with the feature `pdf`");
    Ok(root().join("target/debug/silkfall"))
}

fn call(program: &Path, folder: &Path, arguments: &[&str]) -> anyhow::Result<()> {
    let output = Command::new(program).args(arguments).current_dir(folder).output();
    let output = output.with_context(|| format!("{} could not be started", program.display()))?;
    let said = String::from_utf8_lossy(&output.stderr);
    // 1: done, and a limit is missed or undecided.
    ensure!(matches!(output.status.code(), Some(0 | 1)), "silkfall {} failed: {said}", arguments.join(" "));
    Ok(())
}

/// What the page says, one after the other, each found behind the one before; how many they are.
fn compare(page: &str, printed: &Path) -> anyhow::Result<usize> {
    let page = Html::parse_document(page);
    let title = dense(&text_of(one(&page, "title")?));
    let text = read_back(printed, &title)?;
    let mut at = 0;
    let said = said(&page)?;
    for (number, words) in said.iter().enumerate() {
        match text[at..].find(words.as_str()) {
            Some(found) => at += found + words.len(),
            None => bail!(
                "`{words}` is not there behind `{}`, where it says `{}`",
                number.checked_sub(1).map_or("the beginning", |before| &said[before]),
                text[at..].chars().take(120).collect::<String>()
            ),
        }
    }
    Ok(said.len())
}

/// All text of the PDF in the order in which it was set, without spaces and without the foot of each page.
fn read_back(printed: &Path, title: &str) -> anyhow::Result<String> {
    let output = Command::new("pdftotext").arg("-raw").arg(printed).arg("-").output();
    let output = output.context("pdftotext could not be started")?;
    ensure!(output.status.success(), "pdftotext failed: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).context("pdftotext printed something that is not UTF-8")?;
    let pages: Vec<String> = text.split('\u{c}').map(dense).filter(|page| !page.is_empty()).collect();
    let mut whole = String::new();
    for (at, page) in pages.iter().enumerate() {
        let number = format!("page{}of{}", at + 1, pages.len());
        let end = page.rfind(&number).with_context(|| format!("page {} has no `{number}`", at + 1))?;
        let begin = page[..end].rfind(&format!("{title};Silkfall"));
        let begin = begin.with_context(|| format!("page {} has no foot", at + 1))?;
        whole += &page[..begin];
        whole += &page[end + number.len()..];
    }
    Ok(whole)
}

/// Headings, paragraphs, cells and captions of the page in their order, each without spaces.
fn said(page: &Html) -> anyhow::Result<Vec<String>> {
    const SAID: &str = "h2, h3, p:not(.ids, .boxes, .line), .ids code, .boxes > span, .line > span, dt, dd, li label, \
                        figcaption, caption, th, td";
    // What opens on a screen, what is asked there, the other names of what an equation says, and its headings.
    const NOT_PRINTED: &str =
        "figure details, summary, .picks, .said, .rows, .how thead, .how caption, .front caption";
    let selector = |wanted: &str| {
        Selector::parse(wanted).map_err(|error| anyhow::anyhow!("`{wanted}` selects nothing: {error}"))
    };
    let (wanted, left_out) = (selector(SAID)?, selector(NOT_PRINTED)?);
    let main = one(page, "main")?;
    let is_left_out = |element: &ElementRef<'_>| {
        left_out.matches(element)
            || element.ancestors().filter_map(ElementRef::wrap).any(|above| left_out.matches(&above))
    };
    let is_within = |element: &ElementRef<'_>| {
        element.ancestors().filter_map(ElementRef::wrap).any(|above| wanted.matches(&above))
    };
    let all = main.select(&wanted).filter(|element| !is_left_out(element) && !is_within(element));
    Ok(all.map(|element| dense(&text_of(element))).filter(|text| !text.is_empty()).collect())
}

fn one<'a>(page: &'a Html, name: &str) -> anyhow::Result<ElementRef<'a>> {
    let selector = Selector::parse(name).map_err(|error| anyhow::anyhow!("{error}"))?;
    page.select(&selector).next().with_context(|| format!("the page has no {name}"))
}

fn text_of(element: ElementRef<'_>) -> String {
    element.text().collect()
}

fn dense(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_is_told_in_its_order_and_once() {
        let page = Html::parse_document(
            "<main><section><h2>A b</h2><p>one <b>two</b></p><ul><li><p>found</p></li></ul><table><caption>c</caption>\
             <thead><tr><th>h</th></tr></thead><tr><td>1&nbsp;m</td></tr></table><figure><svg><text>x</text></svg>\
             <figcaption>f</figcaption><details><table><tr><td>no</td></tr></table></details></figure></section></main>",
        );
        assert_eq!(said(&page).unwrap(), ["Ab", "onetwo", "found", "c", "h", "1m", "f"]);
    }
}
