//! Collecting problems: every one that a text has, each with line and column, up to a stated number.

use std::ops::Range;

use silkfall_core::finding::{Code, Finding, Subject};

use crate::value::Spot;

/// How many problems of one text are listed; what is beyond is counted.
pub const PROBLEMS_LISTED: usize = 100;

/// Turns byte offsets of a text into lines and columns, in a time that does not grow with the length of a line.
#[derive(Debug)]
pub struct Lines<'a> {
    text: &'a str,
    starts: Vec<usize>,
    /// Characters before each multiple of [`STRIDE`] bytes.
    counted: Vec<usize>,
}

const STRIDE: usize = 256;

fn characters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|byte| (**byte & 0xc0) != 0x80).count()
}

impl<'a> Lines<'a> {
    /// Of that text.
    pub fn new(text: &'a str) -> Self {
        let after_breaks = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        let starts = std::iter::once(0).chain(after_breaks).collect();
        let mut counted = vec![0];
        let mut so_far = 0;
        for stride in text.as_bytes().chunks_exact(STRIDE) {
            so_far += characters(stride);
            counted.push(so_far);
        }
        Lines { text, starts, counted }
    }

    /// The place of a byte offset at the start of a character; an offset past the end is the end.
    pub fn spot(&self, offset: usize) -> Spot {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= offset);
        let column = self.characters_before(offset) - self.characters_before(self.starts[line - 1]) + 1;
        Spot { line: line as u64, column: column as u64 }
    }

    fn characters_before(&self, offset: usize) -> usize {
        let stride = offset / STRIDE;
        self.counted[stride] + characters(&self.text.as_bytes()[stride * STRIDE..offset])
    }

    /// The text of a span.
    pub fn slice(&self, span: Range<usize>) -> &'a str {
        self.text.get(span).unwrap_or_default()
    }
}

/// The problems found so far in one file.
#[derive(Debug)]
pub struct Notes {
    file: String,
    findings: Vec<Finding>,
    beyond: usize,
    folds: bool,
}

impl Notes {
    /// None yet, in that file.
    pub fn new(file: impl Into<String>) -> Self {
        Notes { file: file.into(), findings: Vec::new(), beyond: 0, folds: false }
    }

    /// None yet; the same said again is counted with the first instead of listed.
    pub fn folding(file: impl Into<String>) -> Self {
        Notes { folds: true, ..Notes::new(file) }
    }

    /// The file they are about.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Whether further problems are only counted, so that looking for a cure is in vain.
    pub fn is_full(&self) -> bool {
        self.findings.len() >= PROBLEMS_LISTED
    }

    /// Counts a problem that is not listed.
    pub fn count_one_more(&mut self) {
        self.beyond += 1;
    }

    /// Notes a problem of `key` (a dotted path; empty for the whole file) at `spot`.
    pub fn add(
        &mut self,
        code: Code,
        key: &str,
        spot: Option<Spot>,
        message: impl Into<String>,
        hint: Option<String>,
    ) {
        let message = message.into();
        // The file of offers says the same of many rows; a project says each thing where it is to be mended.
        if self.folds
            && let Some(same) = self.findings.iter_mut().find(|f| f.code == code && f.message == message)
        {
            same.count += 1;
            return;
        }
        if self.is_full() {
            self.count_one_more();
            return;
        }
        let subject = if key.is_empty() { Subject::Whole } else { Subject::Key(key.to_owned()) };
        let (line, column) = (spot.map(|spot| spot.line), spot.map(|spot| spot.column));
        let finding = Finding::new(code, subject, message).at(self.file.clone(), line, column);
        self.findings.push(match hint {
            Some(hint) => finding.hint(hint),
            None => finding,
        });
    }

    /// All problems in the order of their places, with one at the end that counts those not listed.
    pub fn finish(mut self) -> Vec<Finding> {
        let place = |finding: &Finding| finding.place.as_ref().map(|place| (place.line, place.column));
        self.findings.sort_by_key(place);
        if self.beyond > 0 {
            let message = format!("{} more problems are not listed", self.beyond);
            let mut finding =
                Finding::new(Code::ProjectTooMuch, Subject::Whole, message).at(self.file.clone(), None, None);
            finding.count = self.beyond;
            self.findings.push(finding);
        }
        self.findings
    }
}

/// Near misses are looked for among so many names; no project has more.
const MOST_COMPARED: usize = 2000;

/// The known word most like `word`: one that differs in case, spaces, `-` and `_` only, or by at most a third of its
/// letters added, left out, changed or swapped.
pub fn near<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |text: &str| -> String {
        text.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).collect()
    };
    // The distance takes time with the product of the lengths; nothing longer than this is a slip of a known word.
    if word.len() > 200 {
        return None;
    }
    let wanted = plain(word);
    let most = (wanted.chars().count() / 3).clamp(1, 4);
    known
        .into_iter()
        .take(MOST_COMPARED)
        .map(|candidate| (strsim::osa_distance(&wanted, &plain(candidate)), candidate))
        .filter(|(distance, _)| *distance <= most && *distance < wanted.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The hint for a word that is not among `known`: the near miss, else what there is.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>, what: &str) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    match near(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.is_empty() => format!("there are no {what} yet"),
        None if known.len() <= 40 => format!("{what}: {}", known.join(", ")),
        None => format!("{what}: {} and {} more", known[..40].join(", "), known.len() - 40),
    }
}

/// A text as it may stand in a message: on one line, not longer than 60 characters, control characters left out.
pub fn quoted(text: &str) -> String {
    let mut clean: String = text.chars().filter(|c| !c.is_control()).take(61).collect();
    if clean.chars().count() > 60 {
        clean = clean.chars().take(57).collect::<String>() + "...";
    }
    format!("`{clean}`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_become_lines_and_columns_in_characters() {
        let lines = Lines::new("a = 1\nµ = 2\r\n\nend");
        assert_eq!(lines.spot(0), Spot { line: 1, column: 1 });
        assert_eq!(lines.spot(6), Spot { line: 2, column: 1 });
        assert_eq!(lines.spot(9), Spot { line: 2, column: 3 }, "µ takes two bytes and one column");
        assert_eq!(lines.spot(15), Spot { line: 4, column: 1 });
        assert_eq!(lines.spot(99), Spot { line: 4, column: 4 });
        assert_eq!(Lines::new("").spot(0), Spot { line: 1, column: 1 });
    }

    #[test]
    fn columns_are_right_far_into_a_long_line() {
        let text = format!("x\n{}", "aµ€🪂".repeat(500));
        let lines = Lines::new(&text);
        for (column, (offset, _)) in text[2..].char_indices().enumerate() {
            assert_eq!(lines.spot(offset + 2), Spot { line: 2, column: column as u64 + 1 });
        }
    }

    #[test]
    fn near_misses_are_slips_not_guesses() {
        let keys = ["mass", "riser_length", "line_length", "logger"];
        assert_eq!(near("riserlength", keys), Some("riser_length"));
        assert_eq!(near("Mass", keys), Some("mass"));
        assert_eq!(near("mas", keys), Some("mass"));
        assert_eq!(near("loger", keys), Some("logger"));
        assert_eq!(near("x", keys), None);
        assert_eq!(near("colour", keys), None);
        assert_eq!(near(&"m".repeat(1_000_000), keys), None);
    }

    #[test]
    fn problems_beyond_the_cap_are_counted() {
        let mut notes = Notes::new("silkfall.toml");
        for line in (1..=130).rev() {
            notes.add(Code::ProjectRange, "a", Some(Spot { line, column: 1 }), "too large", None);
        }
        let findings = notes.finish();
        assert_eq!(findings.len(), PROBLEMS_LISTED + 1);
        assert_eq!(findings[0].place.as_ref().unwrap().line, Some(31), "in the order of their places");
        assert_eq!(findings[100].count, 30);
    }

    #[test]
    fn a_quoted_text_cannot_spoil_a_message() {
        assert_eq!(quoted("a\nb\u{1b}[31m"), "`ab[31m`");
        assert_eq!(quoted(&"é".repeat(300)).chars().count(), 62);
    }
}
