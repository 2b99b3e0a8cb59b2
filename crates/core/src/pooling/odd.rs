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
}
