//! Lines to look at: the head of a text, and short runs of neighbours from all over the rest.

use crate::content::Content;

const HEAD_LINES: usize = 1_000;
/// Lines of the head begin within so many bytes.
pub(crate) const HEAD_BYTES: usize = 1 << 18;
const WINDOWS: usize = 48;
const WINDOW_LINES: usize = 12;
/// A longer line ends a window.
const LONGEST_LINE: usize = 4096;
/// Room for the lines of a window and for the rest of the line that it falls into.
const WINDOW_BYTES: usize = 1 << 16;

/// Offset and text of the first lines.
pub(crate) fn head_lines(text: &[u8]) -> Vec<(usize, &str)> {
    let mut lines = Vec::new();
    let mut at = 0;
    while at < text.len() && at < HEAD_BYTES && lines.len() < HEAD_LINES {
        let end = memchr::memchr(b'\n', &text[at..]).map_or(text.len(), |n| at + n);
        lines.push((at, line_text(&text[at..end])));
        at = end + 1;
    }
    lines
}

fn line_text(bytes: &[u8]) -> &str {
    let line = std::str::from_utf8(bytes).expect("decoded text is UTF-8 and lines end at ASCII bytes");
    line.strip_suffix('\r').unwrap_or(line)
}

/// Runs of whole lines spread evenly over what is behind the head, which ends at byte `from`.
pub(crate) fn windows<C: Content>(text: &C, from: usize) -> Result<Vec<Vec<u8>>, C::Stop> {
    let rest = text.len().saturating_sub(from);
    if rest < HEAD_BYTES / 8 {
        return Ok(Vec::new());
    }
    let mut buffer = Vec::new();
    let window = |n: usize| {
        let at = from + rest / WINDOWS * n;
        let lines = whole_lines(text.bytes(at..text.len().min(at + WINDOW_BYTES), &mut buffer)?);
        let lines = first_lines(lines);
        text.approve(lines)?;
        Ok(lines.to_vec())
    };
    (0..WINDOWS).map(window).collect()
}

/// The lines of a window.
pub(crate) fn window_lines(window: &[u8]) -> Vec<&str> {
    let mut lines: Vec<&str> = window.split(|b| *b == b'\n').map(line_text).collect();
    // Behind the last line end stands no line.
    lines.pop();
    lines
}

/// The whole lines of a stretch: the line that it falls into is not, nor the one that it ends in.
fn whole_lines(stretch: &[u8]) -> &[u8] {
    let ends = memchr::memchr(b'\n', stretch).zip(memchr::memrchr(b'\n', stretch));
    ends.map_or(&[], |(first, last)| &stretch[first + 1..=last.max(first)])
}

/// As many lines as a window has.
fn first_lines(lines: &[u8]) -> &[u8] {
    let mut end = 0;
    for _ in 0..WINDOW_LINES {
        match memchr::memchr(b'\n', &lines[end..]) {
            Some(length) if length <= LONGEST_LINE => end += length + 1,
            _ => break,
        }
    }
    &lines[..end]
}
