//! `silkfall explain CODE`: what a finding means and what to do.

use anyhow::bail;
use silkfall_core::finding::Code;
use silkfall_report::text;
use silkfall_sheet::Outcome;

use crate::terminal;

/// Prints the entry of the catalogue, or all codes when none is named.
///
/// # Errors
/// When there is no such code; the nearest names are given.
pub fn run(code: Option<&str>) -> anyhow::Result<Outcome> {
    let Some(name) = code else {
        terminal::print(&catalogue())?;
        return Ok(Outcome::Done);
    };
    let name = name.trim_matches(|c| c == '[' || c == ']');
    let Some(code) = Code::by_name(name) else {
        bail!("there is no finding `{name}`{}", near(name));
    };
    let (word, means, cure) = (code.severity().word(), code.means(), code.cure());
    let fill = |sentences| text::wrapped(sentences, terminal::width());
    terminal::print(&format!("{word}[{}]\n\n{}\n\n{}\n", code.name(), fill(means), fill(cure)))?;
    Ok(Outcome::Done)
}

fn catalogue() -> String {
    let width = Code::ALL.iter().map(|code| code.name().len()).max().unwrap_or(0);
    let line = |code: &Code| {
        format!("{:<8} {:<width$}  {}\n", code.severity().word(), code.name(), first_sentence(code))
    };
    Code::ALL.iter().map(line).collect()
}

fn first_sentence(code: &Code) -> &'static str {
    let means = code.means();
    means.find(". ").map_or(means, |end| &means[..=end])
}

/// Names that share a word with the one asked for.
fn near(name: &str) -> String {
    let words: Vec<&str> = name.split('-').filter(|word| word.len() > 2).collect();
    let alike: Vec<&str> = Code::ALL
        .iter()
        .map(|code| code.name())
        .filter(|other| other.split('-').any(|word| words.contains(&word)))
        .collect();
    if alike.is_empty() {
        "; `explain` alone lists all".to_owned()
    } else {
        format!("; near it: {}", alike.join(", "))
    }
}
