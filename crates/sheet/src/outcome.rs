//! What a job came to, which fixes the exit code; warnings never change it.

/// The outcome of a whole job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Everything asked for was worked out, and every stated limit is met.
    Done,
    /// Worked out, and a limit that the project states is missed or undecided.
    LimitMissed,
    /// An input gave no answer: something unknown, unreadable, or without a drop.
    NoAnswer,
}

impl Outcome {
    /// As it stands in JSON.
    pub fn words(self) -> &'static str {
        match self {
            Outcome::Done => "done",
            Outcome::LimitMissed => "limit missed",
            Outcome::NoAnswer => "no answer",
        }
    }

    /// The exit code: 0, 1 or 2.
    pub fn exit_code(self) -> u8 {
        match self {
            Outcome::Done => 0,
            Outcome::LimitMissed => 1,
            Outcome::NoAnswer => 2,
        }
    }
}
