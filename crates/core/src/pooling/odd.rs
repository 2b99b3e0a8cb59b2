//! Drops that are not like the others, and drops that fall into two groups.
//!
//! **Odd**: each drop is compared with the pool of the others, `t = (y_i - mu)/sqrt(s_i² + tau² + var mu)`, scatter
//! partly as stated beforehand. The worst goes if its chance, times the number of drops looked at, is below a limit
//! and it differs by more than a limit; then the rest is looked at again, never down to half of them.
//!
//! **Groups**: the drops in the order of rate are cut where the squares within become least. Two groups need two drops
//! each (or one each of two), a difference above a limit, and far more of it than the scatter within explains.
//! Numbers without unit (logarithms of rates). The limits are judgements, checked by the coverage campaigns.

use statrs::distribution::{ContinuousCDF, StudentsT};

use super::{PoolConfig, pool_logs};
use crate::maths::sqrt;

/// Indices of odd drops among values with variances, worst first.
pub(crate) fn odd(values: &[f64], variances: &[f64], cfg: &PoolConfig) -> Vec<usize> {
    let mut kept: Vec<usize> = (0..values.len()).collect();
    let mut odd = Vec::new();
    while kept.len() >= 3 && 2 * (kept.len() - 1) > values.len() {
        let worst = kept
            .iter()
            .map(|&i| {
                let others =
                    |of: &[f64]| kept.iter().filter(|&&j| j != i).map(|&j| of[j]).collect::<Vec<f64>>();
                let rest = pool_logs(&others(values), &others(variances), cfg.scatter);
                let difference = values[i] - rest.mean;
                let t = difference.abs()
                    / sqrt(variances[i] + rest.between_variance + rest.standard_error.powi(2));
                let free = kept.len() as f64 - 2.0 + cfg.scatter.degrees_of_freedom;
                (chance_beyond(t, free) * kept.len() as f64, difference.abs(), i)
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .expect("three or more are kept");
        if worst.0 > cfg.odd_chance || worst.1 < cfg.odd_least {
            break;
        }
        kept.retain(|&i| i != worst.2);
        odd.push(worst.2);
    }
    odd
}

/// Chance of a value of Student's distribution beyond ±t.
fn chance_beyond(t: f64, degrees_of_freedom: f64) -> f64 {
    let student = StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1.0)).expect("positive degrees of freedom");
    2.0 * student.sf(t)
}

/// Two groups of indices, slower first, if the values fall into two.
pub(crate) fn groups(
    values: &[f64],
    variances: &[f64],
    cfg: &PoolConfig,
) -> Option<(Vec<usize>, Vec<usize>)> {
    let k = values.len();
    let mut order: Vec<usize> = (0..k).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let least = if k == 2 { 1 } else { 2 };
    let squares = |part: &[usize]| {
        let mean = part.iter().map(|&i| values[i]).sum::<f64>() / part.len() as f64;
        (mean, part.iter().map(|&i| (values[i] - mean).powi(2)).sum::<f64>())
    };
    let cut = (least..=k.checked_sub(least)?).min_by(|&a, &b| {
        let within = |cut: usize| squares(&order[..cut]).1 + squares(&order[cut..]).1;
        within(a).total_cmp(&within(b))
    })?;
    let ((slow, slow2), (fast, fast2)) = (squares(&order[..cut]), squares(&order[cut..]));
    let nu = cfg.scatter.degrees_of_freedom;
    let own = variances.iter().sum::<f64>() / k as f64;
    let stated = cfg.scatter.standard_deviation.powi(2) + own;
    let within = (nu * stated + slow2 + fast2) / (nu + k as f64 - 2.0);
    let of_difference = within * (1.0 / cut as f64 + 1.0 / (k - cut) as f64);
    let gap = values[order[cut]] - values[order[cut - 1]];
    let apart = fast - slow > cfg.group_least
        && fast - slow > cfg.group_times * sqrt(of_difference)
        && gap > 0.5 * (fast - slow);
    apart.then(|| (order[..cut].to_vec(), order[cut..].to_vec()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const OWN: [f64; 6] = [1e-4; 6];

    #[test]
    fn a_tangled_drop_is_odd_and_gusts_are_not() {
        let cfg = PoolConfig::default();
        let calm = [1.39, 1.40, 1.38, 1.66, 1.395, 1.385];
        assert_eq!(odd(&calm, &OWN, &cfg), [3]);
        let gusty = [1.33, 1.45, 1.38, 1.42, 1.34, 1.39];
        assert!(odd(&gusty, &OWN, &cfg).is_empty());
        assert!(odd(&calm[2..4], &OWN[..2], &cfg).is_empty(), "of two nobody can say which");
    }

    #[test]
    fn three_at_four_and_three_at_three_are_two_groups() {
        let cfg = PoolConfig::default();
        let both = [4.0_f64, 4.05, 3.95, 3.0, 3.02, 2.97].map(f64::ln);
        assert_eq!(groups(&both, &OWN, &cfg), Some((vec![5, 3, 4], vec![2, 0, 1])));
        let one = [4.0_f64, 4.2, 3.8, 4.1, 3.9, 3.7].map(f64::ln);
        assert_eq!(groups(&one, &OWN, &cfg), None);
    }

    /// Two drops at 0 and one at d: the two make τ² = ν τ₀²/(1 + ν) and a mean of variance (v + τ²)/2.
    #[test]
    fn a_drop_is_odd_from_the_chance_of_students_t_on() {
        let tau2 = 4.0 * 0.03 * 0.03 / 5.0;
        let variances = [1e-4, 1e-4, 4e-4];
        // 2.571: Student's t of 5 degrees of freedom, 95 % two-sided (JCGM 100:2008, table G.2, from memory).
        let d = 2.571 * sqrt(4e-4 + tau2 + 0.5 * (1e-4 + tau2));
        let with = |odd_chance| PoolConfig { odd_chance, ..PoolConfig::default() };
        for values in [[0.0, 0.0, d], [0.0, 0.0, -d]] {
            assert_eq!(odd(&values, &variances, &with(0.151)), [2], "three times 5 %");
            assert!(odd(&values, &variances, &with(0.149)).is_empty());
        }
        let near = PoolConfig { odd_least: 1.01 * d, ..with(0.151) };
        assert!(odd(&[0.0, 0.0, d], &variances, &near).is_empty(), "whatever the chance");
    }

    #[test]
    fn never_half_of_the_drops_are_set_aside() {
        let all = PoolConfig { odd_chance: f64::INFINITY, odd_least: 0.0, ..PoolConfig::default() };
        let values = [0.0, 0.01, 0.03, 0.07, 0.15, 0.31, 0.63, 1.27];
        for count in 0..=values.len() {
            let least = [1e-4; 8];
            let gone = odd(&values[..count], &least[..count], &all).len();
            assert_eq!(gone, count.saturating_sub(1) / 2, "of {count}");
        }
    }

    #[test]
    fn groups_are_told_apart_from_the_stated_multiple_of_their_scatter_on() {
        let values = [1.39, 1.68, 1.72, 1.41, 1.68, 1.72];
        let variances = [0.5e-4, 1.5e-4, 1e-4, 1e-4, 0.2e-4, 1.8e-4];
        let expected = Some((vec![0, 3], vec![1, 4, 2, 5]));
        // Squares within: 2·0.01² and 4·0.02²; stated 4·(0.03² + 10⁻⁴); over 4 + 6 − 2.
        let within: f64 = (4.0 * 0.001 + 2.0 * 1e-4 + 4.0 * 4e-4) / 8.0;
        let times = 0.3 / sqrt(within * (1.0 / 2.0 + 1.0 / 4.0));
        let by = |group_times| PoolConfig { group_times, ..PoolConfig::default() };
        assert_eq!(groups(&values, &variances, &by(0.999 * times)), expected);
        assert_eq!(groups(&values, &variances, &by(1.001 * times)), None);
        let from = |group_least| PoolConfig { group_least, ..PoolConfig::default() };
        assert_eq!(groups(&values, &variances, &from(0.299)), expected);
        assert_eq!(groups(&values, &variances, &from(0.301)), None);
    }

    #[test]
    fn between_two_groups_lies_a_gap_of_more_than_half_their_difference() {
        let cfg = PoolConfig { group_times: 1.0, ..PoolConfig::default() };
        // The gap is d − 0.2.
        let apart = |d: f64| groups(&[1.3, 1.5, d + 1.3, d + 1.5], &OWN[..4], &cfg);
        assert_eq!(apart(0.41), Some((vec![0, 1], vec![2, 3])));
        assert_eq!(apart(0.39), None);
    }

    #[test]
    fn two_make_a_group_each_only_where_there_are_no_more() {
        let cfg = PoolConfig::default();
        assert_eq!(groups(&[0.5, 0.0], &OWN[..2], &cfg), Some((vec![1], vec![0])));
        assert_eq!(groups(&[0.2, 0.0], &OWN[..2], &cfg), None, "5 √(2 · 0.001) is 0.224");
        assert_eq!(groups(&[0.5, 0.0, 0.5], &OWN[..3], &cfg), None);
        assert_eq!(groups(&[0.0, 0.5, 0.0, 0.0], &OWN[..4], &cfg), None, "one apart is odd, not a group");
        assert_eq!(groups(&[0.5], &OWN[..1], &cfg), None);
        assert_eq!(groups(&[], &[], &cfg), None);
    }
}
