//! The four verdict words, the same on every surface.

/// Whether a stated limit is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// The at-worst share of flights reaches the wanted share.
    Meets,
    /// Between the two: a named test would settle it.
    Undecided,
    /// The best estimate of the share does not reach the wanted share.
    Misses,
    /// No limit is stated; never counted as met.
    NotJudged,
}

impl Verdict {
    /// The word as printed and as it stands in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Meets => "meets",
            Verdict::Undecided => "undecided",
            Verdict::Misses => "misses",
            Verdict::NotJudged => "not judged",
        }
    }
}
