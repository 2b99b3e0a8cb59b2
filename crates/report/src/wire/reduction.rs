//! `reduce --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{Doubt, Group, PooledRate, Reduction};

use super::common::{FindingJson, RecordingJson, each, ends};

/// The whole of `reduce --json`.
#[derive(Serialize, JsonSchema)]
pub struct ReductionJson {
    /// Version of these shapes.
    format: u32,
    /// The recordings, each with its drops.
    recordings: Vec<RecordingJson>,
    /// The rate of all drops kept; null without one.
    pooled: Option<PooledJson>,
    /// Groups that the rates fall into, where they are not one.
    groups: Vec<GroupJson>,
    /// The doubt of the pooled rate by cause, the largest first.
    doubts: Vec<DoubtJson>,
    /// What was taken because nothing was said.
    defaults: Vec<String>,
    /// Arguments that repeat this reading.
    repeat: String,
    /// What was noticed.
    findings: Vec<FindingJson>,
}

#[derive(Serialize, JsonSchema)]
struct PooledJson {
    rate_m_s: f64,
    standard_uncertainty_m_s: f64,
    degrees_of_freedom: Option<f64>,
    interval_95_m_s: [f64; 2],
    drops_kept: usize,
    drops_set_aside: usize,
    reference_density_kg_m3: Option<f64>,
    scatter: f64,
}

impl From<&PooledRate> for PooledJson {
    fn from(pooled: &PooledRate) -> Self {
        PooledJson {
            rate_m_s: pooled.m_per_s,
            standard_uncertainty_m_s: pooled.standard_uncertainty_m_per_s,
            degrees_of_freedom: pooled.degrees_of_freedom,
            interval_95_m_s: ends(&pooled.interval_95),
            drops_kept: pooled.drops_kept,
            drops_set_aside: pooled.drops_set_aside,
            reference_density_kg_m3: pooled.reference_density_kg_m3,
            scatter: pooled.scatter_relative,
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct GroupJson {
    drops: Vec<String>,
    rate_m_s: f64,
    command: String,
}

impl From<&Group> for GroupJson {
    fn from(group: &Group) -> Self {
        GroupJson { drops: group.letters.clone(), rate_m_s: group.m_per_s, command: group.command.clone() }
    }
}

/// One cause of doubt.
#[derive(Serialize, JsonSchema)]
pub struct DoubtJson {
    /// In words.
    cause: String,
    /// One standard uncertainty over the value.
    relative: f64,
    /// The option that takes it away.
    option: Option<String>,
    /// The 95 % interval that would be left.
    interval_95_without: Option<[f64; 2]>,
}

impl From<&Doubt> for DoubtJson {
    fn from(doubt: &Doubt) -> Self {
        DoubtJson {
            cause: doubt.cause.clone(),
            relative: doubt.relative,
            option: doubt.cure.as_ref().map(|cure| cure.option.clone()),
            interval_95_without: doubt.cure.as_ref().map(|cure| ends(&cure.interval_95)),
        }
    }
}

/// Projects a reduction.
pub fn reduction_json(reduction: &Reduction) -> ReductionJson {
    ReductionJson {
        format: 1,
        recordings: each(&reduction.recordings),
        pooled: reduction.pooled.as_ref().map(PooledJson::from),
        groups: each(&reduction.groups),
        doubts: each(&reduction.doubts),
        defaults: reduction.defaults.clone(),
        repeat: reduction.repeat.clone(),
        findings: each(&reduction.findings),
    }
}
