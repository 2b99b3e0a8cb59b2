//! Text with numbers in it: what a line is made of.

use silkfall_core::cases::Verdict;
use silkfall_core::derivation::NumberId;
use silkfall_core::quantity::Kind;
use silkfall_sheet::Number;

/// A run of text in one voice, or a number.
#[derive(Clone, Debug, PartialEq)]
pub enum Inline {
    /// As it is.
    Plain(String),
    /// Set off.
    Strong(String),
    /// In quiet ink.
    Quiet(String),
    /// To be typed, or as it stands in a file.
    Code(String),
    /// One of the four words.
    Verdict(Verdict),
    /// A number.
    Number(Shown),
    /// Two numbers, "2.99 to 3.51": one unit, digits by the half-width.
    Interval {
        /// Lower end.
        low: Shown,
        /// Upper end.
        high: Shown,
    },
    /// In a heading, the unit of its column.
    Unit,
}

/// A number as a face shows it: value, doubt and kind; the face picks unit and digits.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// Its path in the JSON.
    pub id: NumberId,
    /// SI value.
    pub si: f64,
    /// What rounds it: a half-width or standard uncertainty, SI; 0 without doubt (four significant digits).
    pub doubt_si: f64,
    /// What it measures.
    pub kind: Kind,
    /// How it is written.
    pub form: Form,
}

/// How a number is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// With its unit, unless its column states it.
    Full,
    /// Without a unit, in the unit that the given SI value of the same kind is shown in: the reader has just read it.
    Like(f64),
    /// With its unit and without its sign: the words beside it say "more" or "less".
    Magnitude,
    /// A whole number: "18 240".
    Count,
    /// A time in a recording: "7:40.1".
    Clock,
    /// An end of a range in which something holds, to a tenth of its unit: a lower end is rounded up and an upper one
    /// down, so that nothing is promised beyond it.
    Inward,
}

impl Shown {
    /// A number rounded by `doubt_si`.
    pub fn new(id: impl Into<NumberId>, si: f64, doubt_si: f64, kind: Kind) -> Self {
        Shown { id: id.into(), si, doubt_si, kind, form: Form::Full }
    }

    /// A count.
    pub fn count(id: impl Into<NumberId>, count: usize) -> Self {
        // Counts of samples and drops are far below 2^53.
        Shown { id: id.into(), si: count as f64, doubt_si: 0.0, kind: Kind::Ratio, form: Form::Count }
    }

    /// A time within a recording, to a tenth of a second.
    pub fn clock(id: impl Into<NumberId>, time_s: f64) -> Self {
        Shown { id: id.into(), si: time_s, doubt_si: 0.05, kind: Kind::Time, form: Form::Clock }
    }

    /// The number it belongs to: itself, or that whose interval it is an end of (`x.interval_95.0` belongs to `x`).
    pub fn owner(&self) -> NumberId {
        NumberId(self.id.0.split(".interval_95").next().unwrap_or_default().to_owned())
    }

    /// The same without a unit, in the unit `si` is shown in.
    #[must_use]
    pub fn like(mut self, si: f64) -> Self {
        self.form = Form::Like(si);
        self
    }
}

impl From<&Number> for Shown {
    fn from(number: &Number) -> Self {
        Shown::new(number.id.clone(), number.si, number.half_width(), number.kind)
    }
}

/// A line or paragraph.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rich(pub Vec<Inline>);

impl Rich {
    /// Nothing.
    pub fn new() -> Self {
        Rich::default()
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// With one more run.
    #[must_use]
    pub fn and(mut self, inline: Inline) -> Self {
        self.0.push(inline);
        self
    }

    /// With text as it is.
    #[must_use]
    pub fn plain(self, text: impl Into<String>) -> Self {
        self.and(Inline::Plain(text.into()))
    }

    /// With text set off.
    #[must_use]
    pub fn strong(self, text: impl Into<String>) -> Self {
        self.and(Inline::Strong(text.into()))
    }

    /// With quiet text.
    #[must_use]
    pub fn quiet(self, text: impl Into<String>) -> Self {
        self.and(Inline::Quiet(text.into()))
    }

    /// With text to be typed.
    #[must_use]
    pub fn code(self, text: impl Into<String>) -> Self {
        self.and(Inline::Code(text.into()))
    }

    /// With one of the four words.
    #[must_use]
    pub fn verdict(self, verdict: Verdict) -> Self {
        self.and(Inline::Verdict(verdict))
    }

    /// With a number.
    #[must_use]
    pub fn number(self, shown: Shown) -> Self {
        self.and(Inline::Number(shown))
    }

    /// With an interval.
    #[must_use]
    pub fn interval(self, low: Shown, high: Shown) -> Self {
        self.and(Inline::Interval { low, high })
    }

    /// With another line after it.
    #[must_use]
    pub fn then(mut self, other: Rich) -> Self {
        self.0.extend(other.0);
        self
    }

    /// The numbers in it, in order.
    pub fn numbers(&self) -> Vec<&Shown> {
        let mut found = Vec::new();
        for inline in &self.0 {
            match inline {
                Inline::Number(shown) => found.push(shown),
                Inline::Interval { low, high } => found.extend([low, high]),
                _ => {}
            }
        }
        found
    }
}

impl From<&str> for Rich {
    fn from(text: &str) -> Self {
        Rich::new().plain(text)
    }
}

impl From<String> for Rich {
    fn from(text: String) -> Self {
        Rich::new().plain(text)
    }
}

impl From<Shown> for Rich {
    fn from(shown: Shown) -> Self {
        Rich::new().number(shown)
    }
}

impl From<Verdict> for Rich {
    fn from(verdict: Verdict) -> Self {
        Rich::new().verdict(verdict)
    }
}
