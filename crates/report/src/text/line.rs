//! Lines of voiced runs: measuring, wrapping, escape codes.

use unicode_width::UnicodeWidthStr;

use crate::show::NO_BREAK;

/// Whether escape codes may be used. The caller decides: a terminal, and no NO_COLOR.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Text alone.
    Plain,
    /// With colour and weight.
    Ansi,
}

/// How a run is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Voice {
    Plain,
    Strong,
    Quiet,
    Code,
    Misses,
    Undecided,
}

impl Voice {
    /// Select Graphic Rendition parameters (from memory of ECMA-48, 8.3.117).
    fn codes(self) -> Option<&'static str> {
        match self {
            Voice::Plain | Voice::Code => None,
            Voice::Strong => Some("1"),
            Voice::Quiet => Some("2"),
            Voice::Misses => Some("1;35"),
            Voice::Undecided => Some("33"),
        }
    }
}

/// A line, not yet broken or broken already.
#[derive(Clone, Debug, Default)]
pub(super) struct Line(Vec<(Voice, String)>);

impl Line {
    pub(super) fn of(voice: Voice, text: &str) -> Line {
        let mut line = Line::default();
        line.push(voice, text);
        line
    }

    pub(super) fn space(width: usize) -> Line {
        Line(vec![(Voice::Plain, " ".repeat(width))])
    }

    /// Adds a run; control characters become escapes.
    pub(super) fn push(&mut self, voice: Voice, text: &str) {
        if !text.is_empty() {
            self.0.push((voice, harmless(text)));
        }
    }

    pub(super) fn append(&mut self, other: &Line) {
        self.0.extend(other.0.iter().cloned());
    }

    pub(super) fn width(&self) -> usize {
        self.0.iter().map(|(_, text)| text.width()).sum()
    }

    /// The width of its longest unbreakable piece.
    pub(super) fn longest_word(&self) -> usize {
        words(self).iter().map(Line::width).max().unwrap_or(0)
    }

    /// The same without the spaces that an alignment put before it.
    pub(super) fn without_lead(&self) -> Line {
        let mut runs = self.0.clone();
        while let Some((_, text)) = runs.first_mut() {
            *text = text.trim_start_matches([' ', NO_BREAK]).to_owned();
            if !text.is_empty() {
                break;
            }
            runs.remove(0);
        }
        Line(runs)
    }

    pub(super) fn plain_text(&self) -> String {
        self.0.iter().map(|(_, text)| text.as_str()).collect()
    }

    /// Plain runs take the voice; those that say something of their own keep theirs.
    pub(super) fn all_in(mut self, voice: Voice) -> Line {
        for run in &mut self.0 {
            if run.0 == Voice::Plain {
                run.0 = voice;
            }
        }
        self
    }

    pub(super) fn to_text(&self, ink: Ink) -> String {
        let mut out = String::new();
        for (voice, text) in &self.0 {
            match voice.codes().filter(|_| ink == Ink::Ansi) {
                Some(codes) => out.push_str(&format!("\u{1b}[{codes}m{text}\u{1b}[0m")),
                None => out.push_str(text),
            }
        }
        out.truncate(out.trim_end_matches([' ', NO_BREAK]).len());
        out.replace(NO_BREAK, " ")
    }
}

/// What a file holds must not steer a terminal: control characters and marks that turn the direction of writing
/// are written as escapes.
fn harmless(text: &str) -> String {
    let steers = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars()
        .flat_map(|c| if steers(c) { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect()
}

/// Breaks a line at its spaces: the first line begins at `first`, the rest at `hang`; nothing passes `width` but
/// a word that is too long by itself.
pub(super) fn wrap(line: &Line, first: usize, hang: usize, width: usize) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut current = Line::space(first);
    let mut used = first;
    let mut empty = true;
    for word in words(line) {
        let size = word.width();
        if !empty && used + 1 + size > width {
            lines.push(std::mem::replace(&mut current, Line::space(hang)));
            used = hang;
            empty = true;
        }
        if !empty {
            current.append(&Line::space(1));
            used += 1;
        }
        current.append(&word);
        used += size;
        empty = false;
    }
    if !empty {
        lines.push(current);
    }
    lines
}

/// Words in the sense of wrapping; a run may end within one.
fn words(line: &Line) -> Vec<Line> {
    let mut words = Vec::new();
    let mut current = Line::default();
    for (voice, text) in &line.0 {
        for (at, piece) in text.split(' ').enumerate() {
            if at > 0 && !current.0.is_empty() {
                words.push(std::mem::take(&mut current));
            }
            if !piece.is_empty() {
                current.0.push((*voice, piece.to_owned()));
            }
        }
    }
    if !current.0.is_empty() {
        words.push(current);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_keep_numbers_with_units() {
        let line = Line::of(Voice::Plain, "the rate is 3.25\u{a0}m/s that day");
        let lines: Vec<String> = wrap(&line, 2, 4, 18).iter().map(|l| l.to_text(Ink::Plain)).collect();
        assert_eq!(lines, ["  the rate is", "    3.25 m/s that", "    day"]);
    }

    #[test]
    fn a_word_may_change_its_voice() {
        let mut line = Line::of(Voice::Plain, "it ");
        line.push(Voice::Misses, "MISSES");
        line.push(Voice::Plain, "; more");
        let lines = wrap(&line, 0, 0, 80);
        assert_eq!(lines[0].to_text(Ink::Plain), "it MISSES; more");
        assert_eq!(lines[0].to_text(Ink::Ansi), "it \u{1b}[1;35mMISSES\u{1b}[0m; more");
    }

    #[test]
    fn escape_codes_of_a_file_stay_text() {
        let line = Line::of(Voice::Plain, "Alt\u{1b}[2J\u{202e}(ft)");
        assert_eq!(line.to_text(Ink::Ansi), "Alt\\u{1b}[2J\\u{202e}(ft)");
    }
}
