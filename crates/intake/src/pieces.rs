//! A text cut at line ends into pieces of about one size, for both cores to share.
//!
//! Where it is cut depends on the text alone, so that the number of threads changes nothing. A line end stands inside no
//! character of UTF-8, so that the whole is UTF-8 exactly where every piece is.

use crate::content::Content;
use rayon::prelude::*;
use std::ops::Range;

/// Whole lines of a text.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    /// Its bytes.
    pub range: Range<usize>,
    /// How many lines.
    pub lines: usize,
}

/// The text from byte `start` on in pieces that end with the last line end of each `size` bytes; the last piece ends
/// with the text.
pub(crate) fn cut<C: Content>(text: &C, start: usize, size: usize) -> Result<Vec<Piece>, C::Stop> {
    let places: Vec<usize> = (start..text.len()).step_by(size).collect();
    let ends: Vec<Option<(usize, usize)>> = places
        .into_par_iter()
        .map_init(Vec::new, |buffer, at| {
            let bytes = text.bytes(at..text.len().min(at + size), buffer)?;
            let last = memchr::memrchr(b'\n', bytes);
            Ok(last.map(|last| (at + last + 1, memchr::memchr_iter(b'\n', bytes).count())))
        })
        .collect::<Result<_, _>>()?;
    let mut pieces = Vec::with_capacity(ends.len() + 1);
    let mut from = start;
    for (end, lines) in ends.into_iter().flatten() {
        pieces.push(Piece { range: from..end, lines });
        from = end;
    }
    if from < text.len() {
        pieces.push(Piece { range: from..text.len(), lines: 1 });
    }
    Ok(pieces)
}

/// Lines of a piece, the last of which may have no end.
pub(crate) fn line_count(piece: &[u8]) -> usize {
    memchr::memchr_iter(b'\n', piece).count() + usize::from(!piece.is_empty() && !piece.ends_with(b"\n"))
}

/// Pieces of `size` bytes and up to the next line end; the last may be shorter, and a text without line ends is one.
pub(crate) fn pieces(text: &[u8], size: usize) -> Vec<&[u8]> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while rest.len() > size {
        let Some(end) = memchr::memchr(b'\n', &rest[size..]) else { break };
        let (piece, behind) = rest.split_at(size + end + 1);
        pieces.push(piece);
        rest = behind;
    }
    pieces.push(rest);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::content::Held;
    use std::borrow::Cow;

    #[test]
    fn pieces_end_with_lines_and_miss_nothing() {
        let text = b"one\ntwo\nthree\nfour";
        assert_eq!(pieces(text, 5), [&b"one\ntwo\n"[..], b"three\n", b"four"]);
        assert_eq!(pieces(b"one", 1), [&b"one"[..]]);
    }

    #[test]
    fn a_cut_text_keeps_every_line_whole_and_counts_them() {
        let text = b"head\none\ntwo\nthree is longer than a piece\n\nfour\nfive";
        for size in 1..text.len() + 2 {
            let held = Held(Cow::Borrowed(text));
            let Ok(pieces) = cut(&held, 5, size);
            let mut from = 5;
            for piece in &pieces {
                assert_eq!(piece.range.start, from, "size {size}");
                from = piece.range.end;
                let lines = &text[piece.range.clone()];
                assert_eq!(line_count(lines), piece.lines, "size {size}");
                assert!(lines.ends_with(b"\n") || from == text.len(), "size {size}");
            }
            assert_eq!(from, text.len());
            assert_eq!(pieces.iter().map(|piece| piece.lines).sum::<usize>(), 6);
        }
    }
}
