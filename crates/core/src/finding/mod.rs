//! What was noticed on the way: data, said in the same words on every face.
//!
//! A [`Finding`] names its [`Code`] (one catalogue, see [`codes`]), what it is about ([`Subject`]) and, where
//! one is known, the cure. Core does not know files: intake and project turn a subject into a [`Place`].

pub mod codes;

pub use codes::Code;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; the answer stands.
    Note,
    /// Answered, in doubt.
    Warning,
    /// This input gave no answer.
    Error,
}

impl Severity {
    /// The word printed before the code.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// What a finding is about, in the terms of the stage that made it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// The whole job.
    Whole,
    /// A recording by its name.
    Recording(String),
    /// Samples of a recording, first to last, counted from 0.
    Samples {
        /// The recording's name.
        recording: String,
        /// First sample concerned.
        first: usize,
        /// Last sample concerned.
        last: usize,
    },
    /// A drop, by its recording and the time of its release in whole milliseconds from the first sample.
    Drop {
        /// The recording's name.
        recording: String,
        /// Release, ms from the recording's first sample.
        release_ms: i64,
    },
    /// A key of the project, as a dotted path: `part.tube.mass`.
    Key(String),
}

/// Where in a file a finding stands; lines and columns count from 1.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The file as the person named it, or relative to the project folder.
    pub file: String,
    /// Line from 1, where one is known.
    pub line: Option<u64>,
    /// Column of a text from 1, or the number of a table's column from 1.
    pub column: Option<u64>,
}

/// One thing noticed.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which kind of finding: its severity, meaning and cure stand in the catalogue.
    pub code: Code,
    /// What was found and what was expected, lower case, without a full stop.
    pub message: String,
    /// What it is about.
    pub subject: Subject,
    /// Where it stands, once intake or project has worked that out.
    pub place: Option<Place>,
    /// The cure in this very case; `None` where only the catalogue's general one is known.
    pub hint: Option<String>,
    /// How many of the same were folded into this one, itself included.
    pub count: usize,
}

impl Finding {
    /// A finding about `subject` without place or hint.
    pub fn new(code: Code, subject: Subject, message: impl Into<String>) -> Self {
        Finding { code, message: message.into(), subject, place: None, hint: None, count: 1 }
    }

    /// The same with a cure for this very case.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// The same with its place in a file.
    #[must_use]
    pub fn at(mut self, file: impl Into<String>, line: Option<u64>, column: Option<u64>) -> Self {
        self.place = Some(Place { file: file.into(), line, column });
        self
    }

    /// How much it matters: fixed by the code.
    pub fn severity(&self) -> Severity {
        self.code.severity()
    }

    /// Whether something is wrong, and not only wanted and not known yet: both keep an answer back.
    pub fn is_wrong(&self) -> bool {
        self.severity() == Severity::Error && self.code != Code::ProjectUnknown
    }

    /// The word before its message.
    pub fn word(&self) -> &'static str {
        if self.code == Code::ProjectUnknown { "missing" } else { self.severity().word() }
    }
}
