//! Pieces that both projections share.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_core::finding::Finding;
use silkfall_sheet::{ColumnRead, DropRate, Interval, Number, ReducedDrop, ReducedRecording, SpellRead};

/// A number of the sheet, SI.
#[derive(Serialize, JsonSchema)]
pub struct NumberJson {
    /// SI value.
    value: f64,
    /// The SI unit; empty for a pure number or a share.
    unit: &'static str,
    /// Where the true value lies with 95 % assurance, or 95 of 100 flights where the owner says so.
    interval_95: Option<[f64; 2]>,
}

impl From<&Number> for NumberJson {
    fn from(number: &Number) -> Self {
        NumberJson {
            value: number.si,
            unit: number.kind.units()[0].symbol,
            interval_95: number.interval_95.as_ref().map(ends),
        }
    }
}

/// A number that may not be known.
pub fn number(number: &Option<Number>) -> Option<NumberJson> {
    number.as_ref().map(NumberJson::from)
}

/// Both ends, the smaller first.
pub fn ends(interval: &Interval) -> [f64; 2] {
    [interval.low, interval.high]
}

/// A finding with its place.
#[derive(Serialize, JsonSchema)]
pub struct FindingJson {
    /// `note`, `warning` or `error`.
    severity: &'static str,
    /// The stable name that `explain` takes.
    code: &'static str,
    /// What was found and what was expected.
    message: String,
    /// The file, where one is concerned.
    file: Option<String>,
    /// Line from 1.
    line: Option<u64>,
    /// Column from 1.
    column: Option<u64>,
    /// The cure.
    hint: String,
    /// How many of the same were folded into this one.
    count: usize,
}

impl From<&Finding> for FindingJson {
    fn from(finding: &Finding) -> Self {
        let place = finding.place.as_ref();
        FindingJson {
            severity: finding.severity().word(),
            code: finding.code.name(),
            message: finding.message.clone(),
            file: place.map(|place| place.file.clone()),
            line: place.and_then(|place| place.line),
            column: place.and_then(|place| place.column),
            hint: finding.hint.clone().unwrap_or_else(|| finding.code.cure().to_owned()),
            count: finding.count,
        }
    }
}

/// A list, projected.
pub fn each<'a, T, J: From<&'a T>>(items: &'a [T]) -> Vec<J> {
    items.iter().map(J::from).collect()
}

/// A recording as read, with its drops.
#[derive(Serialize, JsonSchema)]
pub struct RecordingJson {
    /// The path as given.
    path: String,
    /// Samples used.
    samples: usize,
    /// Samples a second.
    sample_rate_hz: Option<f64>,
    /// Smallest step of height written, m.
    height_step_m: Option<f64>,
    /// The columns as understood.
    columns: Vec<ColumnJson>,
    /// What it does from its first to its last sample, in the order of time.
    spells: Vec<SpellJson>,
    /// Its drops in the order of time.
    drops: Vec<DropJson>,
}

impl From<&ReducedRecording> for RecordingJson {
    fn from(recording: &ReducedRecording) -> Self {
        RecordingJson {
            path: recording.path.clone(),
            samples: recording.samples,
            sample_rate_hz: recording.sample_rate_hz,
            height_step_m: recording.height_step_m,
            columns: each(&recording.columns),
            spells: each(&recording.spells),
            drops: each(&recording.drops),
        }
    }
}

/// What a recording does for a while.
#[derive(Serialize, JsonSchema)]
pub struct SpellJson {
    /// `ground`, `hoist`, `hang`, `fall` or `lowering`.
    is: &'static str,
    /// Its beginning, s from the recording's first sample.
    from_s: f64,
    /// Its end, s.
    to_s: f64,
}

impl From<&SpellRead> for SpellJson {
    fn from(spell: &SpellRead) -> Self {
        SpellJson { is: spell.is, from_s: spell.from_s, to_s: spell.to_s }
    }
}

/// A column as understood.
#[derive(Serialize, JsonSchema)]
pub struct ColumnJson {
    /// Its number, from 1.
    index: usize,
    /// Its heading, where the file has one.
    name: Option<String>,
    /// What it was taken for.
    means: String,
    /// The unit it was taken to be in.
    unit: Option<String>,
}

impl From<&ColumnRead> for ColumnJson {
    fn from(column: &ColumnRead) -> Self {
        ColumnJson {
            index: column.index,
            name: column.name.clone(),
            means: column.means.clone(),
            unit: column.unit.clone(),
        }
    }
}

/// A drop. Its uncertainty is its own fit's; the scatter between drops enters in the pooled rate.
#[derive(Serialize, JsonSchema)]
pub struct DropJson {
    /// Its letter.
    id: String,
    /// When it was let go, s from the recording's first sample.
    release_s: f64,
    /// Begin of the steady stretch, s.
    steady_from_s: Option<f64>,
    /// Its end, s.
    steady_to_s: Option<f64>,
    /// When it came to the ground, s; null where the recording ends in the air.
    ground_s: Option<f64>,
    /// Descent rate, m/s.
    rate_m_s: Option<f64>,
    /// Standard uncertainty of its own fit, m/s.
    standard_uncertainty_m_s: Option<f64>,
    /// Degrees of freedom behind that; null where nothing limits them.
    degrees_of_freedom: Option<f64>,
    /// 95 % interval of its own fit, m/s.
    interval_95_m_s: Option<[f64; 2]>,
    /// Where there is no rate, but a bound, 95 % sure: `at most` or `at least` ...
    bound: Option<&'static str>,
    /// ... this, m/s.
    bound_m_s: Option<f64>,
    /// Whether it enters the pooled rate.
    kept: bool,
    /// Why it does not.
    set_aside: Option<String>,
    /// What was noticed about it.
    findings: Vec<FindingJson>,
}

impl From<&ReducedDrop> for DropJson {
    fn from(drop: &ReducedDrop) -> Self {
        let rate = |pick: fn(&DropRate) -> Option<f64>| drop.rate.as_ref().and_then(pick);
        DropJson {
            id: drop.letter.clone(),
            release_s: drop.release_s,
            steady_from_s: drop.steady_from_s,
            steady_to_s: drop.steady_to_s,
            ground_s: drop.ground_s,
            rate_m_s: rate(|r| Some(r.m_per_s)),
            standard_uncertainty_m_s: rate(|r| Some(r.standard_uncertainty_m_per_s)),
            degrees_of_freedom: rate(|r| r.degrees_of_freedom),
            interval_95_m_s: drop.rate.as_ref().map(|r| ends(&r.interval_95)),
            bound: drop.bound.map(|bound| bound.side.words()),
            bound_m_s: drop.bound.map(|bound| bound.m_per_s),
            kept: drop.kept,
            set_aside: drop.set_aside.clone(),
            findings: each(&drop.findings),
        }
    }
}
