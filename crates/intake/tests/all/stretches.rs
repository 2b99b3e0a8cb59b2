//! A long text read in stretches is read as the same text at hand, and clean ones are never held whole.

use silkfall_intake::{Encoding, Fetch, Reading, read, read_from};
use std::io;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Bytes that remember the longest stretch asked for.
struct Watched {
    bytes: Vec<u8>,
    longest: AtomicUsize,
}

impl Fetch for Watched {
    fn length(&self) -> usize {
        self.bytes.len()
    }

    fn fetch(&self, from: usize, into: &mut [u8]) -> io::Result<()> {
        self.longest.fetch_max(into.len(), Ordering::Relaxed);
        let bytes = self.bytes.get(from..from + into.len()).ok_or(io::ErrorKind::UnexpectedEof)?;
        into.copy_from_slice(bytes);
        Ok(())
    }
}

/// Ten samples a second that go up and down, 4.4 MB.
fn day() -> String {
    let row = |n: u32| format!("{}.{};{}.{};{}\n", n / 10, n % 10, n / 37 % 90, n % 7, n % 3);
    let rows: String = (0..330_000).map(row).collect();
    format!("t (s);height (m);state\n{rows}")
}

/// The longest stretch fetched while the same was read as from the bytes at hand.
fn longest(bytes: Vec<u8>, wanted: &Reading) -> usize {
    assert!(bytes.len() > 1 << 22);
    let source = Watched { bytes, longest: AtomicUsize::new(0) };
    let far = read_from("log", &source, wanted).unwrap();
    match (far, read("log", &source.bytes, wanted)) {
        (Ok(far), Ok(held)) => {
            assert_eq!(far.recording, held.recording);
            assert_eq!(far.understood, held.understood);
            assert_eq!(far.findings, held.findings);
        }
        (far, held) => assert_eq!(far.unwrap_err(), held.unwrap_err()),
    }
    source.longest.into_inner()
}

/// The text with `what` put in its last third, at a line end.
fn with(text: &str, what: &[u8]) -> Vec<u8> {
    let at = text[text.len() / 3 * 2..].find('\n').unwrap() + text.len() / 3 * 2 + 1;
    [&text.as_bytes()[..at], what, &text.as_bytes()[at..]].concat()
}

#[test]
fn clean_text_is_never_held_whole() {
    let day = day();
    let forced = Reading { encoding: Some(Encoding::Utf8), ..Reading::default() };
    let marked = [b"\xEF\xBB\xBF", day.as_bytes()].concat();
    for (bytes, wanted) in [
        (day.clone().into_bytes(), &Reading::default()),
        (day.clone().into_bytes(), &forced),
        (marked, &Reading::default()),
        (day.replace('\n', "\r\n").into_bytes(), &Reading::default()),
        (with(&day, "# 19 °C, \"calm\"\nx;y;z\n\n12;4\n".as_bytes()), &Reading::default()),
        (with(&day, b"\"1\";\"2,5\";\"3\"\n"), &Reading::default()),
        (day.trim_end().as_bytes().to_vec(), &Reading::default()),
        (format!("{day}33000.0;8").into_bytes(), &Reading::default()),
        (format!("{day}33000.0;82.1;1").into_bytes(), &Reading::default()),
    ] {
        assert!(longest(bytes, wanted) <= 1 << 20);
    }
}

#[test]
fn any_other_text_is_read_as_at_hand() {
    let day = day();
    let wide: Vec<u8> = day.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let mut spoilt = with(&day, b"");
    spoilt[3_000_000..3_000_400].fill(0);
    for bytes in [
        wide,
        spoilt,
        with(&day, b"\xEF\xBB\xBF1.0;2.0;3\n"),
        with(&day, b"# 19 \xB0C\n"),
        [day.as_bytes(), &vec![b'7'; 1 << 21]].concat(),
        day.replace('\n', "\r").into_bytes(),
        [&vec![b' '; 1 << 21], day.as_bytes()].concat(),
        vec![b'\n'; 5_000_000],
    ] {
        assert!(longest(bytes, &Reading::default()) > 1 << 20);
    }
}

/// Bytes in the middle of which the line ends vanish once all lines can have been counted.
struct Changing(Watched, AtomicUsize);

impl Fetch for Changing {
    fn length(&self) -> usize {
        self.0.length()
    }

    fn fetch(&self, from: usize, into: &mut [u8]) -> io::Result<()> {
        self.0.fetch(from, into)?;
        let fetched = self.1.fetch_add(into.len(), Ordering::Relaxed);
        let middle = self.length() / 3..self.length() / 3 * 2;
        if fetched > 2 * self.length() + (1 << 20) && middle.contains(&from) {
            into.iter_mut().filter(|b| **b == b'\n').for_each(|b| *b = b'0');
        }
        Ok(())
    }
}

#[test]
fn a_file_that_changes_meanwhile_is_an_error() {
    let source = Watched { bytes: day().into_bytes(), longest: AtomicUsize::new(0) };
    let read = read_from("log", &Changing(source, AtomicUsize::new(0)), &Reading::default());
    assert_eq!(read.map(|_| ()).unwrap_err().to_string(), "it changed while it was read");
}
