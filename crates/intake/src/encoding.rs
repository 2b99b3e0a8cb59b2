//! Bytes to text: which encoding a file is in, and the text as UTF-8 with one kind of line end.
//!
//! Looked for in this order: a byte order mark; NUL bytes in every other place (UTF-16 without a mark); valid
//! UTF-8; else Windows-1252, of which Latin-1 is the part in use. What is no text at all (an image, an archive, a
//! web page) is refused by its first bytes. Clean UTF-8 is borrowed, never copied.

use crate::content::Held;
use crate::pieces::pieces;
use rayon::prelude::*;
use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

/// How a file's text is coded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Encoding {
    /// UTF-8, with or without a byte order mark.
    Utf8,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// Windows-1252, which holds Latin-1's printable letters.
    Windows1252,
}

impl Encoding {
    /// The name, as `--encoding` takes it.
    pub fn name(self) -> &'static str {
        match self {
            Encoding::Utf8 => "utf-8",
            Encoding::Utf16Le => "utf-16le",
            Encoding::Utf16Be => "utf-16be",
            Encoding::Windows1252 => "windows-1252",
        }
    }
}

impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Encoding {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_lowercase().as_str() {
            "utf-8" | "utf8" => Ok(Encoding::Utf8),
            "utf-16le" => Ok(Encoding::Utf16Le),
            "utf-16be" => Ok(Encoding::Utf16Be),
            "windows-1252" | "cp1252" | "latin-1" | "latin1" | "iso-8859-1" => Ok(Encoding::Windows1252),
            _ => Err(format!("`{text}` is not an encoding; expected utf-8, utf-16le, utf-16be or latin-1")),
        }
    }
}

/// A file's text.
pub(crate) struct Text<C> {
    pub content: C,
    pub encoding: Encoding,
    /// Lines (from 1) that held NUL bytes or stray byte order marks: the first, and how many bytes in all.
    pub stray: Option<(u64, usize)>,
    /// Whether bytes had no meaning in the encoding and were replaced.
    pub replaced: bool,
}

/// Why bytes are no text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NotText {
    Empty,
    /// A kind of file known by its first bytes.
    Kind(&'static str),
    /// Control bytes throughout.
    Binary,
}

const MARK: [u8; 3] = [0xEF, 0xBB, 0xBF];
/// How much of a file is looked at to tell text from binary and UTF-16 from UTF-8.
const LOOKED_AT: usize = 1 << 13;

/// The text of `bytes`, in `forced` encoding if one is given.
pub(crate) fn decode(bytes: &[u8], forced: Option<Encoding>) -> Result<Text<Held<'_>>, NotText> {
    if let Some(kind) = kind_of(bytes) {
        return Err(NotText::Kind(kind));
    }
    let body = bytes.strip_prefix(&MARK).unwrap_or(bytes);
    let (encoding, text, replaced) = match forced.or_else(|| wide(bytes)) {
        Some(Encoding::Utf16Le) => {
            let (text, replaced) =
                owned(encoding_rs::UTF_16LE, bytes.strip_prefix(&[0xFF, 0xFE]).unwrap_or(bytes));
            (Encoding::Utf16Le, text, replaced)
        }
        Some(Encoding::Utf16Be) => {
            let (text, replaced) =
                owned(encoding_rs::UTF_16BE, bytes.strip_prefix(&[0xFE, 0xFF]).unwrap_or(bytes));
            (Encoding::Utf16Be, text, replaced)
        }
        Some(Encoding::Utf8) => match String::from_utf8_lossy(body) {
            Cow::Borrowed(_) => (Encoding::Utf8, Cow::Borrowed(body), false),
            Cow::Owned(fixed) => (Encoding::Utf8, Cow::Owned(fixed.into_bytes()), true),
        },
        None if is_utf8(body) => (Encoding::Utf8, Cow::Borrowed(body), false),
        Some(Encoding::Windows1252) | None => {
            let (text, replaced) = owned(encoding_rs::WINDOWS_1252, bytes);
            (Encoding::Windows1252, text, replaced)
        }
    };
    if text.iter().all(|b| b.is_ascii_whitespace() || *b == 0) {
        return Err(NotText::Empty);
    }
    if looks_binary(&text) {
        return Err(NotText::Binary);
    }
    let (bytes, stray) = without_strays(with_line_feeds(text));
    if let Some(kind) = markup(&bytes) {
        return Err(NotText::Kind(kind));
    }
    Ok(Text { content: Held(bytes), encoding, stray, replaced })
}

/// Where the text begins whose first bytes are `head`, if nothing in them speaks against UTF-8 text in lines.
pub(crate) fn plain_begin(head: &[u8]) -> Option<usize> {
    let body = head.strip_prefix(&MARK).unwrap_or(head);
    let is_blank = || body.iter().all(|b| b.is_ascii_whitespace() || *b == 0);
    let is_plain = kind_of(head).is_none()
        && wide(head).is_none()
        && memchr::memchr(b'\n', body).is_some()
        && !is_blank()
        && !looks_binary(body)
        && markup(body).is_none();
    is_plain.then(|| head.len() - body.len())
}

/// Whether lines are UTF-8 and hold neither NUL bytes nor byte order marks.
pub(crate) fn is_clean(lines: &[u8]) -> bool {
    let is_ascii = lines.is_ascii();
    memchr::memchr(0, lines).is_none()
        && (is_ascii || std::str::from_utf8(lines).is_ok() && memchr::memmem::find(lines, &MARK).is_none())
}

/// Long texts are looked through in pieces of so many bytes.
const PIECE: usize = 1 << 20;

fn is_utf8(text: &[u8]) -> bool {
    pieces(text, PIECE).par_iter().all(|piece| std::str::from_utf8(piece).is_ok())
}

fn owned(encoding: &'static encoding_rs::Encoding, bytes: &[u8]) -> (Cow<'static, [u8]>, bool) {
    let (text, replaced) = encoding.decode_without_bom_handling(bytes);
    (Cow::Owned(text.into_owned().into_bytes()), replaced)
}

/// UTF-16, by its mark or by its NUL bytes.
fn wide(bytes: &[u8]) -> Option<Encoding> {
    match bytes {
        [0xFF, 0xFE, ..] => return Some(Encoding::Utf16Le),
        [0xFE, 0xFF, ..] => return Some(Encoding::Utf16Be),
        _ => {}
    }
    // Digits and marks in UTF-16 have a NUL byte each; a run of NULs in other text fills both places alike.
    let head = &bytes[..bytes.len().min(LOOKED_AT)];
    let nul = |from: usize| head.iter().skip(from).step_by(2).filter(|b| **b == 0).count();
    let (even, odd, half) = (nul(0), nul(1), head.len() / 2);
    if half >= 4 && odd * 10 > half * 7 && even * 10 < half {
        return Some(Encoding::Utf16Le);
    }
    if half >= 4 && even * 10 > half * 7 && odd * 10 < half {
        return Some(Encoding::Utf16Be);
    }
    None
}

/// Kinds of files that people hand over by mistake, by their first bytes (each format's own specification).
fn kind_of(bytes: &[u8]) -> Option<&'static str> {
    const KINDS: [(&[u8], &str); 8] = [
        (b"\x89PNG\r\n", "a PNG image"),
        (b"\xFF\xD8\xFF", "a JPEG image"),
        (b"GIF8", "a GIF image"),
        (b"%PDF-", "a PDF document"),
        (b"\x1F\x8B", "a gzip archive"),
        (b"7z\xBC\xAF\x27\x1C", "a 7z archive"),
        (b"\xD0\xCF\x11\xE0", "a workbook of the old binary kind (xls)"),
        (b"SQLite format 3", "a database"),
    ];
    KINDS.iter().find(|(start, _)| bytes.starts_with(start)).map(|(_, kind)| *kind)
}

fn markup(text: &[u8]) -> Option<&'static str> {
    let head = text.trim_ascii_start();
    let starts = |tag: &str| head.get(..tag.len()).is_some_and(|h| h.eq_ignore_ascii_case(tag.as_bytes()));
    if starts("<!doctype html") || starts("<html") {
        Some("a web page")
    } else if starts("<?xml") || starts("<svg") || starts("<kml") || starts("<gpx") {
        Some("an XML document")
    } else if starts("{\"") || starts("{\n") || starts("[{") {
        Some("a JSON document")
    } else {
        None
    }
}

/// More than one control byte in fifty, NUL bytes apart: a logger that lost power leaves runs of those.
fn looks_binary(text: &[u8]) -> bool {
    let head = &text[..text.len().min(LOOKED_AT)];
    let said = head.iter().filter(|b| **b != 0).count();
    let control =
        head.iter().filter(|b| **b != 0 && **b < 0x20 && !b.is_ascii_whitespace() && **b != 0x0B).count();
    let replaced = memchr::memmem::find_iter(head, "\u{fffd}").count();
    // A few (an end-of-file mark, an escape) may stand in a short text.
    (control > 3 && control * 50 > said) || replaced * 10 > said
}

/// A text that ends its lines with CR alone, with LF instead.
fn with_line_feeds(mut text: Cow<'_, [u8]>) -> Cow<'_, [u8]> {
    let lone = memchr::memchr(b'\n', &text).is_none() && memchr::memchr(b'\r', &text).is_some();
    if lone {
        for byte in text.to_mut() {
            if *byte == b'\r' {
                *byte = b'\n';
            }
        }
    }
    text
}

/// NUL bytes and byte order marks inside become blanks, so that every other byte stays in its line.
fn without_strays(mut text: Cow<'_, [u8]>) -> (Cow<'_, [u8]>, Option<(u64, usize)>) {
    let clean =
        |piece: &&[u8]| memchr::memchr(0, piece).is_none() && memchr::memmem::find(piece, &MARK).is_none();
    if pieces(&text, PIECE).par_iter().all(clean) {
        return (text, None);
    }
    let marks: Vec<usize> = memchr::memmem::find_iter(&text, &MARK).collect();
    let first = memchr::memchr(0, &text).into_iter().chain(marks.first().copied()).min();
    let Some(first) = first else { return (text, None) };
    let line = 1 + memchr::memchr_iter(b'\n', &text[..first]).count() as u64;
    let nuls = memchr::memchr_iter(0, &text).count();
    let bytes = text.to_mut();
    for &at in &marks {
        bytes[at..at + MARK.len()].fill(b' ');
    }
    for byte in bytes.iter_mut().filter(|b| **b == 0) {
        *byte = b' ';
    }
    let count = nuls + marks.len() * MARK.len();
    (text, Some((line, count)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16(text: &str, low_first: bool) -> Vec<u8> {
        text.encode_utf16().flat_map(|u| if low_first { u.to_le_bytes() } else { u.to_be_bytes() }).collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let text = "Zeit;Höhe\n0,1;12,5\n0,2;12,4\n";
        let latin: Vec<u8> = text.chars().map(|c| u32::from(c) as u8).collect();
        let cases = [
            (text.as_bytes().to_vec(), Encoding::Utf8),
            ([&MARK[..], text.as_bytes()].concat(), Encoding::Utf8),
            (utf16(text, true), Encoding::Utf16Le),
            ([&[0xFF, 0xFE][..], &utf16(text, true)].concat(), Encoding::Utf16Le),
            (utf16(text, false), Encoding::Utf16Be),
            ([&[0xFE, 0xFF][..], &utf16(text, false)].concat(), Encoding::Utf16Be),
            (latin, Encoding::Windows1252),
        ];
        for (bytes, encoding) in cases {
            let read = decode(&bytes, None).unwrap_or_else(|e| panic!("{encoding}: {e:?}"));
            assert_eq!((std::str::from_utf8(&read.content.0).unwrap(), read.encoding), (text, encoding));
            assert_eq!(read.stray, None);
        }
    }

    #[test]
    fn strays_become_blanks_and_are_placed() {
        let read = decode(b"0.1,5\n0.2,\0\0\0\n\xEF\xBB\xBF0.3,4\n", None).unwrap();
        assert_eq!(&*read.content.0, b"0.1,5\n0.2,   \n   0.3,4\n");
        assert_eq!(read.stray, Some((2, 6)));
        let read = decode(b"1\r2\r", None).unwrap();
        assert_eq!(&*read.content.0, b"1\n2\n");
    }

    #[test]
    fn what_is_no_text_is_named() {
        assert_eq!(decode(b"\x89PNG\r\n\x1a\n", None).err(), Some(NotText::Kind("a PNG image")));
        assert_eq!(decode(b" \n<!DOCTYPE html><p>", None).err(), Some(NotText::Kind("a web page")));
        assert_eq!(decode(b"", None).err(), Some(NotText::Empty));
        assert_eq!(decode(b"\xEF\xBB\xBF \n\0", None).err(), Some(NotText::Empty));
        assert_eq!(decode(&[1u8, 2, 3, 4, 200, 6, 7, 8].repeat(20), None).err(), Some(NotText::Binary));
    }
}
