//! Random effects with a scatter that is partly known beforehand.
//!
//! `y_i = mu + e_i + d_i`, e_i of known variance s_i², d_i scatter between drops of variance tau². The estimating
//! equation of Paule and Mandel 1982, with `nu` drops' worth of stated scatter tau_0 added,
//!
//! `sum (y_i - mu)²/(s_i² + tau²) + nu tau_0²/tau² = k - 1 + nu`,
//!
//! has one root: its left side falls in tau². With nu = 0 it is theirs; with one drop it gives tau_0. The variance of
//! mu is `q / sum w`, w = 1/(s² + tau²), with the factor of Hartung and Knapp 2001 and its usual floor,
//! `q = max(1, (Q + nu)/(k - 1 + nu))`. Numbers without unit (logarithms of rates). Sources from memory of those papers;
//! checked against printed results for the vaccine trials below.

use crate::maths::sqrt;

/// Scatter stated beforehand: its standard deviation and for how many drops that counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScatterPrior {
    /// Standard deviation of the logarithm of the rate between drops.
    pub relative: f64,
    /// Its weight, in degrees of freedom.
    pub degrees_of_freedom: f64,
}

/// The pooled mean and its variance, apart by cause.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pool {
    pub mean: f64,
    pub tau2: f64,
    /// Variance of the mean that comes from the drops' own doubts.
    pub own: f64,
    /// Variance of the mean that comes from the scatter between drops.
    pub scatter: f64,
}

impl Pool {
    pub(crate) fn variance(&self) -> f64 {
        self.own + self.scatter
    }
}

/// Sum of weighted squares about the weighted mean, and that mean.
fn weighted(values: &[f64], variances: &[f64], tau2: f64) -> (f64, f64, f64) {
    let weights = || variances.iter().map(|s2| 1.0 / (s2 + tau2));
    let total: f64 = weights().sum();
    let mean = values.iter().zip(weights()).map(|(y, w)| w * y).sum::<f64>() / total;
    let squares = values.iter().zip(weights()).map(|(y, w)| w * (y - mean) * (y - mean)).sum();
    (mean, squares, total)
}

/// The root of the estimating equation; 0 where there is none above.
pub(crate) fn scatter_variance(values: &[f64], variances: &[f64], prior: ScatterPrior) -> f64 {
    let nu = prior.degrees_of_freedom;
    let wanted = values.len() as f64 - 1.0 + nu;
    let stated = nu * prior.relative * prior.relative;
    let excess = |tau2: f64| {
        let from_prior = if stated > 0.0 { stated / tau2.max(1e-300) } else { 0.0 };
        weighted(values, variances, tau2).1 + from_prior - wanted
    };
    let (mut low, mut high) = (1e-14, 1e-6);
    if excess(low) <= 0.0 {
        return 0.0;
    }
    while excess(high) > 0.0 && high < 1e6 {
        high *= 4.0;
    }
    // Bisection in the logarithm: sixty halvings leave no digit in doubt.
    for _ in 0..60 {
        let middle = sqrt(low * high);
        if excess(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    sqrt(low * high)
}

/// Pools values with their variances at a given scatter.
pub(crate) fn pool_at(values: &[f64], variances: &[f64], tau2: f64, nu: f64) -> Pool {
    let (mean, squares, total) = weighted(values, variances, tau2);
    let free = values.len() as f64 - 1.0 + nu;
    let factor = if free > 0.0 { ((squares + nu) / free).max(1.0) } else { 1.0 };
    let own: f64 = variances.iter().map(|s2| s2 / ((s2 + tau2) * (s2 + tau2))).sum::<f64>() / (total * total);
    Pool { mean, tau2, own: factor * own, scatter: factor * (1.0 / total - own).max(0.0) }
}

/// Pools values with their variances.
pub(crate) fn pool(values: &[f64], variances: &[f64], prior: ScatterPrior) -> Pool {
    pool_at(values, variances, scatter_variance(values, variances, prior), prior.degrees_of_freedom)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The thirteen BCG vaccine trials (Colditz 1994): vaccinated cases and others, control cases and others.
    const TRIALS: [[f64; 4]; 13] = [
        [4.0, 119.0, 11.0, 128.0],
        [6.0, 300.0, 29.0, 274.0],
        [3.0, 228.0, 11.0, 209.0],
        [62.0, 13536.0, 248.0, 12619.0],
        [33.0, 5036.0, 47.0, 5761.0],
        [180.0, 1361.0, 372.0, 1079.0],
        [8.0, 2537.0, 10.0, 619.0],
        [505.0, 87886.0, 499.0, 87892.0],
        [29.0, 7470.0, 45.0, 7232.0],
        [17.0, 1699.0, 65.0, 1600.0],
        [186.0, 50448.0, 141.0, 27197.0],
        [5.0, 2493.0, 3.0, 2338.0],
        [27.0, 16886.0, 29.0, 17825.0],
    ];
    const NONE: ScatterPrior = ScatterPrior { relative: 0.0, degrees_of_freedom: 0.0 };

    fn trials() -> (Vec<f64>, Vec<f64>) {
        TRIALS
            .iter()
            .map(|&[a, b, c, d]| {
                let ratio = crate::maths::ln(a / (a + b) / (c / (c + d)));
                (ratio, 1.0 / a - 1.0 / (a + b) + 1.0 / c - 1.0 / (c + d))
            })
            .unzip()
    }

    #[test]
    fn the_vaccine_trials_give_the_published_scatter_and_mean() {
        let (y, v) = trials();
        // Paule-Mandel, computed independently from the stated equation: 0.318068.
        assert!((scatter_variance(&y, &v, NONE) - 0.318_068).abs() < 5e-7);
        // At the restricted-likelihood scatter 0.3132 the printed results of a meta-analysis package's documentation
        // are -0.7145, Q = 152.2330, and the Hartung-Knapp standard error 0.1808; half a unit of the last digit.
        assert!((weighted(&y, &v, 0.0).1 - 152.2330).abs() < 5e-5);
        let pooled = pool_at(&y, &v, 0.3132, 0.0);
        assert!((pooled.mean + 0.7145).abs() < 5e-5, "{pooled:?}");
        assert!((sqrt(pooled.variance()) - 0.1808).abs() < 5e-5, "{pooled:?}");
    }

    #[test]
    fn one_value_takes_the_stated_scatter_and_many_overrule_it() {
        let prior = ScatterPrior { relative: 0.03, degrees_of_freedom: 4.0 };
        assert!((scatter_variance(&[1.0], &[1e-4], prior) - 9e-4).abs() < 1e-12);
        let many: Vec<f64> = (0..400).map(|i| if i % 2 == 0 { 0.1 } else { -0.1 }).collect();
        let tau2 = scatter_variance(&many, &[0.0; 400], prior);
        assert!((tau2 - 0.01).abs() < 2e-4, "{tau2}");
    }
}
