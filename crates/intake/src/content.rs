//! A text at hand, or one so long that it is fetched in stretches.
//!
//! A day's recording is 180 MB of text and 170 MB of samples, and fresh memory for the text costs as much time as reading
//! it. So the text of a long file is looked at through small buffers: its head and short stretches of the rest tell its
//! shape, its lines are counted, and then it is read piece by piece. That is done only with clean UTF-8 (no NUL byte, no
//! stray mark) whose lines are of usual length; any other text is brought to hand whole. What is read is the same either
//! way.

use crate::encoding::{self, Encoding};
use crate::options::Reading;
use crate::pieces::{Piece, line_count};
use crate::sample::HEAD_BYTES;
use crate::sheets;
use rayon::prelude::*;
use std::borrow::Cow;
use std::convert::Infallible;
use std::io;
use std::ops::Range;

/// Bytes that can be fetched from any place, such as those of a file.
pub trait Fetch: Sync {
    /// How many bytes there are.
    fn length(&self) -> usize;

    /// Fills `into` with the bytes from `from` on.
    ///
    /// # Errors
    /// What the system says, and where there are fewer bytes than asked for.
    fn fetch(&self, from: usize, into: &mut [u8]) -> io::Result<()>;
}

/// A text: UTF-8 without marks and NUL bytes, lines ending with LF or CRLF.
pub(crate) trait Content: Sync {
    /// Why a text cannot be read on.
    type Stop: Send;

    fn len(&self) -> usize;

    /// Whole lines from the beginning: all that begin within the first [`HEAD_BYTES`], or more.
    fn head(&self) -> &[u8];

    /// At least the last two lines of those from byte `start` on.
    fn tail<'s>(&'s self, start: usize, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Self::Stop>;

    /// The bytes of a range, which may cut lines and characters.
    fn bytes<'s>(&'s self, range: Range<usize>, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Self::Stop>;

    /// Stops at lines that are not as a text's have to be.
    fn approve(&self, lines: &[u8]) -> Result<(), Self::Stop>;

    /// The lines of a piece.
    fn piece<'s>(&'s self, piece: &Piece, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Self::Stop>;
}

/// A text at hand.
#[derive(Debug)]
pub(crate) struct Held<'a>(pub Cow<'a, [u8]>);

impl Content for Held<'_> {
    type Stop = Infallible;

    fn len(&self) -> usize {
        self.0.len()
    }

    fn head(&self) -> &[u8] {
        &self.0
    }

    fn tail<'s>(&'s self, start: usize, _: &'s mut Vec<u8>) -> Result<&'s [u8], Infallible> {
        Ok(&self.0[start..])
    }

    fn bytes<'s>(&'s self, range: Range<usize>, _: &'s mut Vec<u8>) -> Result<&'s [u8], Infallible> {
        Ok(&self.0[range])
    }

    fn approve(&self, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }

    fn piece<'s>(&'s self, piece: &Piece, _: &'s mut Vec<u8>) -> Result<&'s [u8], Infallible> {
        Ok(&self.0[piece.range.clone()])
    }
}

/// Why a text is not read in stretches to its end.
#[derive(Debug)]
pub(crate) enum Stop {
    /// It cannot be fetched.
    Io(io::Error),
    /// It has to be at hand: it is no clean UTF-8, or has very long lines.
    Unfit,
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Stop::Io(error)
    }
}

/// A text that is fetched in stretches.
pub(crate) struct Far<'a> {
    source: &'a dyn Fetch,
    /// Where the text begins: behind a byte order mark.
    begin: usize,
    head: Vec<u8>,
}

/// A shorter file is brought to hand.
const SHORT: usize = 1 << 22;
/// So much is fetched of the head, to find the lines that begin in the first [`HEAD_BYTES`] whole.
const HEAD: usize = 2 * HEAD_BYTES;
/// So much is fetched of the tail, to find its last two lines.
const TAIL: usize = 1 << 16;
/// Bytes that one core fetches at a time where all are wanted.
const STRETCH: usize = 1 << 22;

impl<'a> Far<'a> {
    /// The text if it may be read in stretches, as far as its head tells.
    pub fn of(source: &'a dyn Fetch, wanted: &Reading) -> io::Result<Option<Far<'a>>> {
        if source.length() <= SHORT {
            return Ok(None);
        }
        let mut head = vec![0; HEAD];
        source.fetch(0, &mut head)?;
        let asked = wanted.sheet.is_none() && matches!(wanted.encoding, None | Some(Encoding::Utf8));
        let begin = encoding::plain_begin(&head).filter(|_| asked && !sheets::may_be(&head));
        let end = memchr::memrchr(b'\n', &head).filter(|end| *end > HEAD_BYTES + 3);
        let (Some(begin), Some(end)) = (begin, end) else { return Ok(None) };
        head.truncate(end + 1);
        head.drain(..begin);
        Ok(encoding::is_clean(&head).then_some(Far { source, begin, head }))
    }
}

impl Content for Far<'_> {
    type Stop = Stop;

    fn len(&self) -> usize {
        self.source.length() - self.begin
    }

    fn head(&self) -> &[u8] {
        &self.head
    }

    fn tail<'s>(&'s self, start: usize, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Stop> {
        let from = start.max(self.len().saturating_sub(TAIL));
        let tail = self.bytes(from..self.len(), buffer)?;
        let two_lines = memchr::memrchr_iter(b'\n', tail).nth(1).is_some();
        if two_lines || from == start { Ok(tail) } else { Err(Stop::Unfit) }
    }

    fn bytes<'s>(&'s self, range: Range<usize>, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Stop> {
        if buffer.len() < range.len() {
            buffer.resize(range.len(), 0);
        }
        let bytes = &mut buffer[..range.len()];
        self.source.fetch(self.begin + range.start, bytes)?;
        Ok(bytes)
    }

    fn approve(&self, lines: &[u8]) -> Result<(), Stop> {
        if encoding::is_clean(lines) { Ok(()) } else { Err(Stop::Unfit) }
    }

    /// The lines were counted before; another number of them has no room.
    fn piece<'s>(&'s self, piece: &Piece, buffer: &'s mut Vec<u8>) -> Result<&'s [u8], Stop> {
        let lines = self.bytes(piece.range.clone(), buffer)?;
        if line_count(lines) != piece.lines {
            return Err(Stop::Io(io::Error::other("it changed while it was read")));
        }
        self.approve(lines)?;
        Ok(lines)
    }
}

/// All bytes, fetched on every core.
pub(crate) fn whole(source: &dyn Fetch) -> io::Result<Vec<u8>> {
    let mut bytes = vec![0; source.length()];
    bytes.par_chunks_mut(STRETCH).enumerate().try_for_each(|(n, part)| source.fetch(n * STRETCH, part))?;
    Ok(bytes)
}
