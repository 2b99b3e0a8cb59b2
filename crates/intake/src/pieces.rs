//! A text cut at line ends into pieces of about one size, for both cores to share.
//!
//! Where it is cut depends on the text alone, so that the number of threads changes nothing. A line end stands inside no
//! character of UTF-8, so that the whole is UTF-8 exactly where every piece is.

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

    #[test]
    fn pieces_end_with_lines_and_miss_nothing() {
        let text = b"one\ntwo\nthree\nfour";
        assert_eq!(pieces(text, 5), [&b"one\ntwo\n"[..], b"three\n", b"four"]);
        assert_eq!(pieces(b"one", 1), [&b"one"[..]]);
    }
}
