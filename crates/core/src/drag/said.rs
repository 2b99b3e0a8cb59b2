//! What the fit says in words: what is not told apart, and what is unusual with its likely causes.

use super::handbook::CLUSTER_SOURCE;
use super::{Drag, Factor, Interval, Known, NotTold, TestArea};
use crate::finding::{Code, Finding, Subject};
use crate::ledger::Trust;

pub(super) fn kind_not_told(kind: &str) -> NotTold {
    NotTold {
        reason: format!(
            "Canopies of the kind {kind} came down only with the body, whose area is mixed with theirs."
        ),
        would_tell: format!("A drop of one {kind} under a small weight would tell."),
    }
}

/// Of a kind that came down without the body too, but never alone.
pub(super) fn kind_in_company_not_told(kind: &str) -> NotTold {
    NotTold {
        reason: format!(
            "Canopies of the kind {kind} came down without the body only together with others, whose area is mixed with theirs."
        ),
        ..kind_not_told(kind)
    }
}

pub(super) fn cluster_not_told(count: usize) -> NotTold {
    NotTold {
        reason: format!(
            "No test tells the cluster factor of {count}, and no handbook range is remembered for it."
        ),
        would_tell: format!(
            "A drop of one canopy and one of {count}, both under a small weight, would tell."
        ),
    }
}

pub(super) fn net_not_told(count: usize, kinds: &[&str]) -> NotTold {
    let alike = kinds.first().filter(|first| kinds.iter().all(|kind| kind == *first));
    let what = match (count, alike) {
        (1, Some(kind)) => format!("one {kind}"),
        (_, Some(kind)) => format!("{count} of the kind {kind}"),
        (_, None) => format!("{count} of these canopies"),
    };
    NotTold {
        reason: format!("The body's area under {count} is mixed with that of the canopies above it."),
        would_tell: format!("A drop of {what} under a small weight would tell."),
    }
}

pub(super) fn body_not_told() -> NotTold {
    NotTold {
        reason: "With the body at one distance under each count only the net area (1 − κ) B shows: κ and B are not \
                 told apart."
            .to_owned(),
        would_tell: "A drop with another riser length under the same canopies, or of the body alone, would tell."
            .to_owned(),
    }
}

/// A measured cluster factor whose doubt holds 1: message and hint.
fn within_doubt(count: usize, factor: &Factor) -> Option<(String, String)> {
    let Interval { low, high } = factor.interval;
    if factor.trust != Trust::Measured || low > 1.0 || high < 1.0 {
        return None;
    }
    let message = format!(
        "cluster factor of {count} is {:.2} (95 % sure: {low:.2} to {high:.2}): whether these canopies take drag from one \
         another is within its doubt",
        factor.value
    );
    let hint = format!(
        "more drops of one canopy and of {count} together, on one day with one mass, would narrow it"
    );
    Some((message, hint))
}

/// Of a test whose drag area belongs to nothing.
pub(super) fn nothing_brakes(test: &TestArea) -> Finding {
    let message = format!(
        "{}: neither a canopy nor the body is named, so that nothing is told of what braked it",
        test.name
    );
    Finding::new(Code::DragNothingBrakes, Subject::Key(format!("test.{}", test.name)), message)
}

/// Findings of a fit; `label` is the subject.
pub(super) fn findings(drag: &Drag, label: &str) -> Vec<Finding> {
    let subject = || Subject::Key(label.to_owned());
    let mut findings = Vec::new();
    for cluster in &drag.clusters {
        let (Some(factor), Some(range)) = (cluster.factor.factor(), cluster.handbook) else { continue };
        // Above 1 canopies would help one another, which nobody has shown: always said. Else only what doubt
        // does not explain.
        let reaches = factor.interval.low <= range.high && factor.interval.high >= range.low;
        if range.holds(factor.value) || (reaches && factor.value <= 1.0) {
            findings.extend(within_doubt(cluster.count, factor).map(|(message, hint)| {
                Finding::new(Code::DragClusterWithinDoubt, subject(), message).hint(hint)
            }));
            continue;
        }
        let (side, causes) = if factor.value > range.high {
            (
                "above",
                "likely causes: unequal masses between the tests; the single canopy not yet at terminal speed; \
                 rising air between the sets; swing or glide, either sign; unequal canopies",
            )
        } else {
            (
                "below",
                "likely causes: canopies crowding each other on short lines; unequal masses between the tests; \
                 sinking air between the sets; swing or glide, either sign; unequal canopies; one not filled",
            )
        };
        let message = format!(
            "cluster factor of {} is {:.2} (95 % sure: {:.2} to {:.2}), {side} the {:.2} to {:.2} from memory of {}",
            cluster.count,
            factor.value,
            factor.interval.low,
            factor.interval.high,
            range.low,
            range.high,
            CLUSTER_SOURCE
        );
        findings.push(Finding::new(Code::DragClusterUnusual, subject(), message).hint(causes));
    }
    let mut mixed: Vec<&NotTold> = Vec::new();
    let kinds = drag.kinds.iter().map(|kind| &kind.mean);
    let clusters = drag.clusters.iter().map(|cluster| &cluster.factor);
    let nets = drag.net.iter().map(|net| &net.area);
    let body = drag.body.iter().flat_map(|body| {
        std::iter::once(&body.area).chain(body.shielded.iter().map(|shielded| &shielded.share))
    });
    for known in kinds.chain(clusters).chain(nets).chain(body) {
        if let Known::NotTold(not_told) = known
            && !mixed.contains(&not_told)
        {
            mixed.push(not_told);
        }
    }
    for not_told in mixed {
        // A sentence as a finding says it: lower case, without a full stop.
        let plain = |text: &str| {
            let text = text.trim_end_matches('.');
            text.chars().take(1).flat_map(char::to_lowercase).chain(text.chars().skip(1)).collect::<String>()
        };
        findings.push(
            Finding::new(Code::DragNotToldApart, subject(), plain(&not_told.reason))
                .hint(plain(&not_told.would_tell)),
        );
    }
    for net in &drag.net {
        if let Some(factor) = net.area.factor()
            && factor.estimate.value < -factor.estimate.standard_uncertainty()
        {
            let message = format!(
                "the body under {} takes drag away ({:.3} m², where nothing is the least it can add)",
                net.count, factor.estimate.value
            );
            findings.push(Finding::new(Code::DragBodyNegative, subject(), message));
        }
    }
    findings
}
