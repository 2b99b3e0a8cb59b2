//! Cluster factors at full size, and what makes two geometries unlike.

use super::canopy::ratios_alike;
use super::{CLUSTER_TRANSFER, FullCluster, Geometry};
use crate::derivation::How;
use crate::drag::intervals::{combined, log};
use crate::drag::{ALIKE_CANOPIES_SD, CLUSTER_SOURCE, Drag, Factor, Scale, cluster_entry, cluster_id};
use crate::ledger::{Distribution, Entry, Estimate, Ledger, LedgerId, Sharing, Trust};
use crate::maths;

/// η_k for k from 1 to `up_to`: measured on the model where its tests tell it, else the handbook's; `None` from the
/// first count on of which nothing is remembered. Each mismatch, and every handbook value, adds the transfer's
/// 4 %, entered as `transfer.cluster-factor.K`.
pub fn cluster_factors(
    drag: Option<&Drag>,
    mismatches: &[String],
    up_to: usize,
    ledger: &mut Ledger,
) -> Vec<FullCluster> {
    (1..=up_to).map_while(|count| one(drag, mismatches, count, ledger)).collect()
}

fn one(drag: Option<&Drag>, mismatches: &[String], count: usize, ledger: &mut Ledger) -> Option<FullCluster> {
    enter_alike(count, ledger);
    if count == 1 {
        let how = How::Fit {
            procedure: "One canopy is no cluster: the factor is 1 by definition.".to_owned(),
            data: "none".to_owned(),
            count: 0,
        };
        let factor = of_log(Estimate::exact(0.0), Trust::Published("definition".to_owned()), how);
        return Some(FullCluster { count, factor, mismatches: Vec::new() });
    }
    let measured = drag
        .and_then(|drag| drag.clusters.iter().find(|cluster| cluster.count == count))
        .and_then(|cluster| cluster.factor.factor())
        .filter(|factor| factor.trust == Trust::Measured);
    let (mut ln_factor, trust, how, mismatches) = match measured {
        Some(factor) => (factor.estimate.clone(), Trust::Measured, factor.how.clone(), mismatches.to_vec()),
        None => {
            let entry = cluster_entry(count)?;
            let Distribution::Rectangular { low, high } = entry.distribution else { return None };
            let relative = (high - low) / maths::sqrt(12.0) / entry.value;
            let ln_factor =
                Estimate::exact(maths::ln(entry.value)).with(cluster_id(count), relative, f64::INFINITY);
            ledger.enter(cluster_id(count), entry);
            let how = How::Fit {
                procedure:
                    "No test tells it: the middle of the handbook's range, anywhere in it alike, with the \
                            transfer's 4 %."
                        .to_owned(),
                data: format!("from memory of {CLUSTER_SOURCE}"),
                count: 0,
            };
            let trust = Trust::Memory(CLUSTER_SOURCE.to_owned());
            (ln_factor, trust, how, vec!["not measured at this count".to_owned()])
        }
    };
    if !mismatches.is_empty() {
        let id = LedgerId(format!("transfer.cluster-factor.{count}"));
        ledger.enter(
            id.clone(),
            Entry {
                meaning: format!("cluster factor of {count} carried to another geometry"),
                value: 1.0,
                distribution: Distribution::LogNormal { sd_log: CLUSTER_TRANSFER },
                sharing: Sharing::Knowledge,
                trust: Trust::Assumed("4 %, a judgement of ours".to_owned()),
            },
        );
        ln_factor = ln_factor.with(id, CLUSTER_TRANSFER, f64::INFINITY);
    }
    Some(FullCluster { count, factor: of_log(ln_factor, trust, how), mismatches })
}

fn of_log(ln_factor: Estimate, trust: Trust, how: How) -> Factor {
    Factor {
        value: maths::exp(ln_factor.value),
        interval: log(&ln_factor),
        scale: Scale::Log,
        estimate: ln_factor,
        trust,
        how,
    }
}

/// The mean of `count` canopies sewn alike about the mean of their kind: 2 %/√count.
pub(crate) fn alike_canopies(count: usize) -> Estimate {
    let sd = ALIKE_CANOPIES_SD / maths::sqrt(count as f64);
    Estimate::exact(0.0).with(alike_id(count), sd, f64::INFINITY)
}

fn alike_id(count: usize) -> LedgerId {
    LedgerId(format!("alike-canopies.{count}"))
}

fn enter_alike(count: usize, ledger: &mut Ledger) {
    ledger.enter(
        alike_id(count),
        Entry {
            meaning: format!("mean of {count} canopies sewn alike against that of their kind"),
            value: 1.0,
            distribution: Distribution::LogNormal { sd_log: ALIKE_CANOPIES_SD / maths::sqrt(count as f64) },
            sharing: Sharing::Knowledge,
            trust: Trust::Assumed("canopies sewn alike differ by 2 %, a judgement of ours".to_owned()),
        },
    );
}

/// What makes the cluster of the model another one than that at full size.
pub fn cluster_mismatches(model: &Geometry, full: &Geometry) -> Vec<String> {
    let mut found = Vec::new();
    if model.shape.is_none() || model.shape != full.shape {
        found.push("shape not stated alike".to_owned());
    }
    if !ratios_alike(model.lines_over_diameter, full.lines_over_diameter) {
        found.push("line length over diameter not stated alike".to_owned());
    }
    if !ratios_alike(model.distance_over_diameter, full.distance_over_diameter) {
        found.push("body to skirt over diameter not stated alike".to_owned());
    }
    found
}

/// What makes the body's wake on the canopies of the model another one than that at full size.
pub fn body_mismatches(model: &Geometry, full: &Geometry) -> Vec<String> {
    let mut found = Vec::new();
    if !ratios_alike(model.distance_over_diameter, full.distance_over_diameter) {
        found.push("body to skirt over diameter not stated alike".to_owned());
    }
    if !ratios_alike(model.diameter_over_body, full.diameter_over_body) {
        found.push("canopy over body not stated alike".to_owned());
    }
    found
}

/// `ln` + `times` · `ln_scale`: an area (2) or a length (1) brought to full size.
pub(super) fn scaled(ln: &Estimate, times: f64, ln_scale: &Estimate) -> Estimate {
    combined(ln.value + times * ln_scale.value, ln, times, ln_scale)
}
