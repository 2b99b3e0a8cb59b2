//! A number of the sheet: its id, SI value, what it measures and how far it may be off.
//!
//! Every face shows the same [`Number`]s; the id is the path at which the JSON holds it, with elements of arrays
//! addressed by their `name` or `id`: `parts.tube.cases.all-open.rate`. An interval is stated as its two ends and
//! never as a bare ±, since with few drops it is no normal distribution.

use silkfall_core::derivation::NumberId;
use silkfall_core::drag::Interval;
use silkfall_core::quantity::Kind;

/// One number of the sheet or of a reduction.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its path in the JSON.
    pub id: NumberId,
    /// SI value; for a simulated quantity the median.
    pub si: f64,
    /// What it measures.
    pub kind: Kind,
    /// Where the true value lies with 95 % assurance (or 95 of 100 flights, where the owner says so); `None` for
    /// a number without doubt.
    pub interval_95: Option<Interval>,
}

impl Number {
    /// A number without doubt.
    pub fn exact(id: impl Into<NumberId>, si: f64, kind: Kind) -> Self {
        Number { id: id.into(), si, kind, interval_95: None }
    }

    /// A number with its 95 % interval.
    pub fn between(id: impl Into<NumberId>, si: f64, interval_95: Interval, kind: Kind) -> Self {
        Number { id: id.into(), si, kind, interval_95: Some(interval_95) }
    }

    /// Half the width of its interval, for choosing digits; 0 without doubt.
    pub fn half_width(&self) -> f64 {
        self.interval_95.map_or(0.0, |interval| (interval.high - interval.low) / 2.0)
    }
}
