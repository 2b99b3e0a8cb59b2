//! How wide text is in the embedded sans, and how many lines it takes: words are broken as a browser breaks them.

use crate::document::{Inline, Rich, Verdict};
use crate::html::inline::ColumnUnit;
use crate::show;
use silkfall_core::quantity::System;

/// Advance widths of the characters from space to tilde, thousandths of an em, figures tabular: read from
/// `assets/font/inter-subset.woff2` at the weights 400 and 600.
const REGULAR: [u16; 95] = [
    269, 288, 466, 633, 642, 982, 644, 300, 391, 391, 648, 648, 269, 648, 269, 360, 648, 648, 648, 648, 648,
    648, 648, 648, 648, 648, 269, 269, 648, 648, 648, 511, 966, 690, 654, 730, 722, 601, 590, 746, 743, 269,
    571, 672, 565, 903, 753, 765, 639, 765, 644, 642, 646, 744, 690, 985, 682, 679, 629, 391, 360, 391, 471,
    456, 323, 562, 612, 571, 612, 583, 370, 613, 591, 242, 242, 549, 242, 876, 591, 600, 612, 612, 376, 528,
    327, 591, 562, 818, 546, 562, 552, 391, 333, 391, 648,
];
const STRONG: [u16; 95] = [
    269, 321, 523, 644, 650, 1004, 663, 326, 391, 391, 647, 647, 269, 647, 269, 379, 647, 647, 647, 647, 647,
    647, 647, 647, 647, 647, 269, 269, 647, 647, 647, 543, 1000, 728, 659, 737, 722, 605, 588, 749, 746, 277,
    580, 704, 565, 922, 759, 769, 645, 773, 652, 650, 660, 736, 728, 1020, 720, 713, 652, 391, 379, 391, 481,
    469, 351, 574, 625, 583, 625, 591, 389, 625, 612, 261, 261, 570, 261, 900, 612, 609, 625, 625, 397, 549,
    353, 612, 587, 839, 569, 589, 566, 391, 358, 391, 647,
];
/// Of a space, also of one that does not break.
const SPACE: f64 = 0.269;
/// Low and high figures.
const SMALL: f64 = 0.46;
/// Of any other character: Latin and Greek letters and signs are narrower but for a few, other scripts come from another
/// font and are guessed.
const OTHER: f64 = 0.7;

/// A text as the widths of what may not be broken, ems.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Words(Vec<Word>);

#[derive(Clone, Copy, Debug, PartialEq)]
struct Word {
    width: f64,
    /// Whether a space stands before it, which a line's beginning swallows.
    spaced: bool,
}

impl Words {
    /// A text in a column that states a unit; `strong` where all of it is.
    pub(super) fn of(text: &Rich, unit: ColumnUnit, strong: bool, system: System) -> Words {
        let mut words = Words::default();
        let mut is_open = false;
        for inline in &text.0 {
            let (said, is_strong) = said(inline, unit, system);
            for c in said.chars() {
                words.take(c, strong || is_strong, &mut is_open);
            }
        }
        words
    }

    /// A text of characters alone.
    pub(super) fn plain(text: &str, strong: bool) -> Words {
        let mut words = Words::default();
        let mut is_open = false;
        text.chars().for_each(|c| words.take(c, strong, &mut is_open));
        words
    }

    /// The next character: `is_open` as long as it may lengthen the last word.
    fn take(&mut self, c: char, strong: bool, is_open: &mut bool) {
        if c == ' ' {
            *is_open = false;
            self.0.push(Word { width: 0.0, spaced: true });
            *is_open = true;
            return;
        }
        match self.0.last_mut() {
            Some(word) if *is_open => word.width += advance(c, strong),
            _ => self.0.push(Word { width: advance(c, strong), spaced: false }),
        }
        // A line may end after a hyphen.
        *is_open = c != '-';
    }

    /// On one line.
    pub(super) fn width(&self) -> f64 {
        self.0.iter().map(|word| word.width + if word.spaced { SPACE } else { 0.0 }).sum()
    }

    /// The widest of what may not be broken.
    pub(super) fn widest(&self) -> f64 {
        self.0.iter().map(|word| word.width).fold(0.0, f64::max)
    }

    /// Lines within that width, each filled before the next begins; at least one.
    pub(super) fn lines(&self, width: f64) -> f64 {
        let (mut lines, mut filled) = (1.0, 0.0);
        for word in &self.0 {
            let space = if word.spaced && filled > 0.0 { SPACE } else { 0.0 };
            if filled > 0.0 && filled + space + word.width > width {
                lines += 1.0;
                filled = word.width;
            } else {
                filled += space + word.width;
            }
            // What is wider than the line is broken anywhere.
            while filled > width.max(1.0) + 1e-9 {
                lines += 1.0;
                filled -= width.max(1.0);
            }
        }
        lines
    }
}

/// What a run says, and whether in the stronger weight.
fn said(inline: &Inline, unit: ColumnUnit, system: System) -> (String, bool) {
    let of_kind = |kind| unit.filter(|(_, of)| *of == kind).map(|(unit, _)| unit);
    match inline {
        Inline::Plain(text) | Inline::Quiet(text) => (text.clone(), false),
        // Its ground stands out a little at both ends.
        Inline::Code(text) => (format!("\u{a0}{text}\u{a0}"), false),
        Inline::Strong(text) => (text.clone(), true),
        Inline::Verdict(verdict) if matches!(verdict, Verdict::Meets | Verdict::NotJudged) => {
            (show::no_break(verdict.word()), false)
        }
        // With the square that stands before it.
        Inline::Verdict(verdict) => (show::no_break(&format!("\u{25a0} {}", verdict.word())), true),
        Inline::Number(shown) => (show::number(shown, system, of_kind(shown.kind)), false),
        Inline::Interval { low, high } => (show::interval(low, high, system, of_kind(high.kind)), false),
        Inline::Unit => (unit.map_or("", |(unit, _)| show::unit_name(unit)).to_owned(), false),
    }
}

fn advance(c: char, strong: bool) -> f64 {
    let widths = if strong { &STRONG } else { &REGULAR };
    let at = u32::from(c).checked_sub(0x20).and_then(|at| usize::try_from(at).ok());
    match (at.and_then(|at| widths.get(at)), c) {
        (Some(width), _) => f64::from(*width) / 1000.0,
        (None, '\u{a0}') => SPACE,
        (None, '²' | '³' | '¹' | '\u{2070}'..='\u{2089}' | '·' | '°') => SMALL,
        (None, '\u{2026}' | '\u{2014}' | '\u{2192}' | '\u{25a0}' | '\u{25a1}') => 1.0,
        (None, _) => OTHER,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_filled_before_the_next_begins() {
        let words = Words::plain("aaaa bbbb cc-dd", false);
        let four = 4.0 * advance('a', false);
        assert!((words.0[0].width - four).abs() < 1e-12);
        assert_eq!(words.0.len(), 4, "a line may end after the hyphen: {words:?}");
        let lines = |words: &Words, width: f64| words.lines(width).round() as usize;
        assert_eq!(lines(&words, words.width()), 1);
        assert_eq!(lines(&words, words.width() - 0.1), 2);
        assert_eq!(lines(&words, words.widest()), 4, "cc-dd is wider than bbbb, and may be broken");
        assert_eq!(lines(&Words::default(), 5.0), 1);
        assert_eq!(lines(&Words::plain("aaaaaaaa", false), four), 2, "broken anywhere");
    }
}
