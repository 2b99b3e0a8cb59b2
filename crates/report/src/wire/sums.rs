//! `size --json` and `rate --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_core::finding::Finding;
use silkfall_core::shapes::{Range, Reference};
use silkfall_core::sums;
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use super::common::{FindingJson, each};

/// The whole of `size --json`.
#[derive(Serialize, JsonSchema)]
pub struct SizeJson {
    format: u32,
    /// The diameter; null where it cannot be told.
    diameter_m: Option<f64>,
    /// The same over the range of the shape's ratio; null where nothing was converted by a range.
    diameter_range_m: Option<[f64; 2]>,
    /// Which diameter it is: `nominal`, `constructed`, `projected` or `not stated`.
    refers_to: &'static str,
    findings: Vec<FindingJson>,
}

/// The whole of `rate --json`.
#[derive(Serialize, JsonSchema)]
pub struct RateJson {
    format: u32,
    /// The descent rate; null where it cannot be told.
    rate_m_s: Option<f64>,
    /// The same over the range of the shape's ratio; null where nothing was converted by a range.
    rate_range_m_s: Option<[f64; 2]>,
    findings: Vec<FindingJson>,
}

/// The answer of `size`, or why there is none.
pub fn size_json(answer: &Result<sums::Size, Finding>) -> SizeJson {
    let size = answer.as_ref().ok();
    SizeJson {
        format: 1,
        diameter_m: size.map(|size| size.diameter.get::<meter>()),
        diameter_range_m: size.and_then(|size| size.range_m).map(ends),
        refers_to: size.and_then(|size| size.refers_to).map_or("not stated", Reference::word),
        findings: findings(answer, |size| &size.findings),
    }
}

/// The answer of `rate`, or why there is none.
pub fn rate_json(answer: &Result<sums::Rate, Finding>) -> RateJson {
    let rate = answer.as_ref().ok();
    RateJson {
        format: 1,
        rate_m_s: rate.map(|rate| rate.rate.get::<meter_per_second>()),
        rate_range_m_s: rate.and_then(|rate| rate.range_m_per_s).map(ends),
        findings: findings(answer, |rate| &rate.findings),
    }
}

fn ends(range: Range) -> [f64; 2] {
    [range.low, range.high]
}

fn findings<T>(answer: &Result<T, Finding>, of: impl Fn(&T) -> &Vec<Finding>) -> Vec<FindingJson> {
    match answer {
        Ok(answer) => each(of(answer)),
        Err(finding) => vec![FindingJson::from(finding)],
    }
}
