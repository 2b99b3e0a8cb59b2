//! Lines to look at: the head of a text, and short runs of neighbours from all over the rest.

const HEAD_LINES: usize = 1_000;
const HEAD_BYTES: usize = 1 << 18;
const WINDOWS: usize = 48;
const WINDOW_LINES: usize = 12;

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

/// Runs of whole lines spread evenly over what is behind the head.
pub(crate) fn windows(text: &[u8], from: usize) -> Vec<Vec<&str>> {
    let rest = text.len().saturating_sub(from);
    if rest < HEAD_BYTES / 8 {
        return Vec::new();
    }
    (0..WINDOWS)
        .map(|n| {
            let mut at = from + rest / WINDOWS * n;
            let mut lines = Vec::new();
            while let Some(begin) = memchr::memchr(b'\n', &text[at..]).map(|n| at + n + 1) {
                // The line that a window falls into is not whole; a very long one ends the window.
                let Some(length) = memchr::memchr(b'\n', &text[begin..]) else { break };
                if lines.len() == WINDOW_LINES || length > 4096 {
                    break;
                }
                lines.push(line_text(&text[begin..begin + length]));
                at = begin + length;
            }
            lines
        })
        .collect()
}
