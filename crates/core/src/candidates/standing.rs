//! Who stays: Pareto over mass, volume, price and worst margin among those that miss nothing; and the neighbours.

use rayon::prelude::*;

use super::{Beside, Candidates, Cost, Costs, Entry, Neighbour, Standing};
use crate::cases::Verdict;
use crate::cases::work::worst;

/// Sets every entry's standing and the neighbours of those that stay; returns these, best first.
pub(super) fn settle(entries: &mut [Entry]) -> Vec<usize> {
    let is_able = |entry: &Entry| entry.canopy.is_some() && entry.standing == Standing::Kept;
    let able: Vec<usize> = (0..entries.len()).filter(|&i| is_able(&entries[i])).collect();
    for &i in &able {
        if let Some(standing) = missed(&entries[i]) {
            entries[i].standing = standing;
        }
    }
    let running: Vec<usize> = able.into_iter().filter(|&i| entries[i].standing == Standing::Kept).collect();
    let mut kept: Vec<usize> = running
        .iter()
        .copied()
        .filter(|&i| !running.iter().any(|&j| beats(&entries[j], &entries[i])))
        .collect();
    kept.sort_by(|&a, &b| order(&entries[a], &entries[b]));
    for &i in &running {
        // What beats is itself beaten at most by one that stays, and that one beats this one too.
        if let Some(&better) = kept.iter().find(|&&j| beats(&entries[j], &entries[i])) {
            entries[i].standing = Standing::BeatenBy { id: entries[better].id.clone() };
        }
    }
    for &i in &kept {
        entries[i].next_smaller = smaller(entries, i);
        entries[i].next_larger = larger(entries, i);
    }
    kept
}

/// The same candidates with those out of bounds ruled out, and the rest settled without them. A bound that is `None`, or
/// a cost that is not stated, rules nothing out.
#[must_use]
pub fn within(mut candidates: Candidates, bounds: &Costs) -> Candidates {
    for entry in &mut candidates.entries {
        if entry.canopy.is_none() {
            continue;
        }
        (entry.next_smaller, entry.next_larger) = (None, None);
        let over =
            |needs: Option<f64>, bound: Option<f64>| needs.zip(bound).filter(|(needs, bound)| needs > bound);
        let costs = entry.costs;
        entry.standing = if let Some((needs, bound)) = over(costs.volume_m3, bounds.volume_m3) {
            Standing::OutOfBounds { cost: Cost::Volume, needs, bound }
        } else if let Some((needs, bound)) = over(costs.mass_kg, bounds.mass_kg) {
            Standing::OutOfBounds { cost: Cost::Mass, needs, bound }
        } else if let Some((needs, bound)) = over(costs.price, bounds.price) {
            Standing::OutOfBounds { cost: Cost::Price, needs, bound }
        } else {
            Standing::Kept
        };
    }
    candidates.kept = settle(&mut candidates.entries);
    candidates
}

/// The same candidates as another stage of the job sees them, and the rest settled anew: what it says `misses` of is ruled
/// out with its reason, what it leaves undecided is undecided as a whole. What has no answer, or is out of bounds,
/// is not asked about.
#[must_use]
pub fn weigh(mut candidates: Candidates, judge: &dyn Fn(&Entry) -> Vec<Beside>) -> Candidates {
    for entry in &mut candidates.entries {
        if !matches!(entry.standing, Standing::NoAnswer { .. } | Standing::OutOfBounds { .. }) {
            let said = judge(entry);
            hear(entry, said);
        }
    }
    candidates.kept = settle(&mut candidates.entries);
    candidates
}

/// As [`weigh`], for a stage that takes long: it is asked of those that stay and of the one named alone, and again of those
/// that stay once others are ruled out. What another beats goes whatever this stage would say of it.
#[must_use]
pub fn weigh_those_that_stay(
    mut candidates: Candidates,
    also: Option<&str>,
    judge: &(dyn Fn(&Entry) -> Vec<Beside> + Sync),
) -> Candidates {
    let mut asked = vec![false; candidates.entries.len()];
    loop {
        let named = |at: &usize| {
            let entry = &candidates.entries[*at];
            also == Some(entry.id.as_str())
                && !matches!(entry.standing, Standing::NoAnswer { .. } | Standing::OutOfBounds { .. })
        };
        let now: Vec<usize> = (0..asked.len())
            .filter(|at| !asked[*at] && (candidates.kept.contains(at) || named(at)))
            .collect();
        if now.is_empty() {
            return candidates;
        }
        let said: Vec<Vec<Beside>> = now.par_iter().map(|at| judge(&candidates.entries[*at])).collect();
        for entry in &mut candidates.entries {
            (entry.next_smaller, entry.next_larger) = (None, None);
            if matches!(entry.standing, Standing::BeatenBy { .. }) {
                entry.standing = Standing::Kept;
            }
        }
        for (at, said) in now.into_iter().zip(said) {
            asked[at] = true;
            hear(&mut candidates.entries[at], said);
        }
        candidates.kept = settle(&mut candidates.entries);
    }
}

/// Counts in what another stage says of an entry.
fn hear(entry: &mut Entry, said: Vec<Beside>) {
    (entry.next_smaller, entry.next_larger) = (None, None);
    entry.beside.extend(said);
    let words = entry.cases.iter().map(|case| case.verdict);
    entry.verdict = worst(words.chain(entry.beside.iter().map(|beside| beside.verdict)));
    let refused = entry.beside.iter().find(|beside| beside.verdict == Verdict::Misses);
    let ruled_out =
        refused.map(|Beside { by, reason, .. }| Standing::RuledOut { by: *by, reason: reason.clone() });
    entry.standing = missed(entry).or(ruled_out).unwrap_or(Standing::Kept);
}

/// The case with the largest lack, where one is missed.
fn missed(entry: &Entry) -> Option<Standing> {
    entry
        .cases
        .iter()
        .filter(|case| case.verdict == Verdict::Misses)
        .filter_map(|case| Some((case, case.best_margin?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(case, margin)| Standing::Misses { case: case.case.clone(), margin })
}

/// At least as good in everything and better in something. What is not stated compares with nothing stated only; what is
/// undecided beats nothing that meets.
fn beats(a: &Entry, b: &Entry) -> bool {
    if a.verdict > b.verdict && a.verdict != Verdict::NotJudged {
        return false;
    }
    let less = |entry: &Entry| {
        let Costs { mass_kg, volume_m3, price } = entry.costs;
        [mass_kg, volume_m3, price, entry.worst_margin.map(|margin| -margin)]
    };
    let pairs = less(a).into_iter().zip(less(b));
    let mut better = false;
    for pair in pairs {
        match pair {
            (None, None) => {}
            (Some(a), Some(b)) if a <= b => better |= a < b,
            _ => return false,
        }
    }
    better
}

/// Meets first, then the lightest, cheapest, smallest; what is not stated comes last.
fn order(a: &Entry, b: &Entry) -> std::cmp::Ordering {
    let key = |value: Option<f64>| value.unwrap_or(f64::INFINITY);
    a.verdict
        .cmp(&b.verdict)
        .then_with(|| key(a.costs.mass_kg).total_cmp(&key(b.costs.mass_kg)))
        .then_with(|| key(a.costs.price).total_cmp(&key(b.costs.price)))
        .then_with(|| key(a.costs.volume_m3).total_cmp(&key(b.costs.volume_m3)))
}

fn area(entry: &Entry) -> Option<f64> {
    entry.canopy.as_ref().map(|canopy| canopy.area.value)
}

/// The largest of the same count with less area and a worse word.
fn smaller(entries: &[Entry], of: usize) -> Option<Neighbour> {
    let this = &entries[of];
    let own = area(this)?;
    let next = entries
        .iter()
        .filter(|other| other.count == this.count && other.verdict > this.verdict)
        .filter(|other| other.verdict != Verdict::NotJudged)
        .filter_map(|other| Some((other, area(other)?)))
        .filter(|(_, area)| *area < own)
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(neighbour(this, next.0))
}

/// The smallest of the same count with more area.
fn larger(entries: &[Entry], of: usize) -> Option<Neighbour> {
    let this = &entries[of];
    let own = area(this)?;
    let next = entries
        .iter()
        .filter(|other| other.count == this.count)
        .filter_map(|other| Some((other, area(other)?)))
        .filter(|(_, area)| *area > own)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(neighbour(this, next.0))
}

fn neighbour(this: &Entry, other: &Entry) -> Neighbour {
    let less = |a: Option<f64>, b: Option<f64>| Some(a? - b?);
    // What the cases do not account for, another stage does.
    let by_cases = worst(other.cases.iter().map(|case| case.verdict));
    let beside = (by_cases != other.verdict)
        .then(|| other.beside.iter().find(|beside| beside.verdict == other.verdict).cloned());
    Neighbour {
        id: other.id.clone(),
        verdict: other.verdict,
        case: other
            .cases
            .iter()
            .filter_map(|case| Some((case, case.margin?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(case, _)| case.case.clone()),
        beside: beside.flatten(),
        more: Costs {
            mass_kg: less(other.costs.mass_kg, this.costs.mass_kg),
            volume_m3: less(other.costs.volume_m3, this.costs.volume_m3),
            price: less(other.costs.price, this.costs.price),
        },
    }
}
