//! What the logger does when nothing moves: its step, its interval, its noise.
//!
//! Noise is told from the half mean squared difference at a lag (the variogram), which does not ask for the level:
//! `gamma(l) = s_w^2 + s_c^2 (1 - exp(-l/tau))`, with s_w the white part (rounding q^2/12 included), s_c and tau
//! the correlated part (pressure noise of the wind, a logger's smoothing), all in metres and seconds. It is fitted
//! to the rests of the recording: stretches of some seconds whose slope is far below a fall's.
//!
//! Assumes the same noise in rest and in the fall. A logger whose step is coarser than its noise shows none at
//! rest; then the white part is the rounding alone. Range: 1 to 1000 Hz. It does not tell slow drift of the weather.

use super::FindConfig;
use crate::maths::{exp, sqrt};
use rayon::prelude::*;

/// Noise of a recording's heights, in SI units: metres and seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Height step of the logger, m; 0 where the values stand on no grid.
    pub step_m: f64,
    /// Usual time between samples, s.
    pub interval_s: f64,
    /// Standard deviation of the part that is new in every sample, rounding included, m.
    pub white_m: f64,
    /// Standard deviation of the part that is correlated in time, m.
    pub correlated_m: f64,
    /// Time in which the correlation falls to 1/e, s.
    pub correlation_s: f64,
    /// Roughly how many independent values of noise the rests held: the degrees of freedom of the above.
    pub degrees_of_freedom: f64,
}

impl Noise {
    /// Covariance of the correlated part at a lag, m².
    pub fn correlated_covariance_m2(&self, lag_s: f64) -> f64 {
        self.correlated_m * self.correlated_m * exp(-lag_s.abs() / self.correlation_s)
    }

    /// Standard deviation of a single sample, m.
    pub fn total_m(&self) -> f64 {
        sqrt(self.white_m * self.white_m + self.correlated_m * self.correlated_m)
    }
}

/// Median of a slice, which is reordered; `None` if it is empty.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len().checked_sub(1)? / 2;
    let (_, &mut value, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    Some(value)
}

/// The median time between samples, s; 1 s for fewer than two samples.
pub(crate) fn interval_s(time_s: &[f64]) -> f64 {
    let pairs = time_s.len().saturating_sub(1);
    let stride = (pairs / 20_000).max(1);
    let mut steps: Vec<f64> =
        (0..pairs).step_by(stride).map(|i| time_s[i + 1] - time_s[i]).filter(|&dt| dt > 0.0).collect();
    median(&mut steps).unwrap_or(1.0)
}

/// The step on which nearly all values stand, in the unit of the values; 0 where there is none.
///
/// The smallest change between neighbours is the candidate; it is the step if 99 of 100 changes are whole
/// multiples of it. A step below a thousandth of the usual change is taken for printing, not for the logger's.
pub fn step(values: &[f64]) -> f64 {
    let stride_count = 40_000;
    let pairs = values.len().saturating_sub(1);
    let stride = (pairs / stride_count).max(1);
    let mut changes: Vec<f64> = (0..pairs)
        .step_by(stride)
        .map(|i| (values[i + 1] - values[i]).abs())
        .filter(|&change| change > 1e-9)
        .collect();
    if changes.len() < 8 {
        return 0.0;
    }
    changes.sort_unstable_by(f64::total_cmp);
    let smallest = changes[changes.len() / 200];
    // The mean of the changes that are one step refines the candidate beyond the digits printed.
    let ones: Vec<f64> = changes.iter().copied().filter(|&c| c < 1.5 * smallest).collect();
    let candidate = ones.iter().sum::<f64>() / ones.len() as f64;
    let on_grid = changes
        .iter()
        .filter(|&&change| {
            let multiple = change / candidate;
            // Far multiples add up the rounding of printed digits.
            (multiple - multiple.round()).abs() < 0.08 + 0.002 * multiple
        })
        .count();
    if on_grid * 100 >= changes.len() * 98 { candidate } else { 0.0 }
}

/// Pairs of samples looked at for each lag, about: more tell no more of the noise, and a day at 100 a second has millions.
const MOST_PAIRS: usize = 40_000;

/// Fits the noise to rests given as index ranges `first..last` of `time_s` and `height_m`.
pub(crate) fn measure(
    time_s: &[f64],
    height_m: &[f64],
    rests: &[(usize, usize)],
    step_m: f64,
    interval_s: f64,
    cfg: &FindConfig,
) -> Noise {
    let lags = lags_s(interval_s);
    let samples: usize = rests.iter().map(|&(first, last)| last - first).sum();
    let stride = (samples / MOST_PAIRS).max(1);
    let detrended: Vec<Detrended<'_>> = rests
        .par_iter()
        .filter_map(|&(first, last)| Detrended::new(&time_s[first..last], &height_m[first..last]))
        .collect();
    let seconds: f64 = detrended.iter().map(|rest| rest.time_s[rest.time_s.len() - 1] - rest.time_s[0]).sum();
    // Each lag is summed by itself and in order, so that the number of threads changes nothing.
    let sums: Vec<(f64, f64)> = lags
        .par_iter()
        .map(|&lag_s| {
            let apart = (lag_s / interval_s).round() as usize;
            let mut sum = (0.0, 0.0);
            for rest in &detrended {
                rest.add_pairs(apart, stride, lag_s, interval_s, &mut sum);
            }
            sum
        })
        .collect();
    let points: Vec<(f64, f64, f64)> = lags
        .iter()
        .zip(&sums)
        .filter(|(_, sum)| sum.1 >= 8.0)
        .map(|(&lag, sum)| (lag, sum.0 / sum.1, sum.1))
        .collect();
    let rounding = step_m / sqrt(12.0);
    let floor = rounding.max(cfg.least_noise_m);
    let (white2, correlated2, correlation_s) = fit_variogram(&points).unwrap_or((floor * floor, 0.0, 1.0));
    Noise {
        step_m,
        interval_s,
        white_m: sqrt(white2.max(floor * floor)),
        correlated_m: sqrt(correlated2),
        correlation_s,
        degrees_of_freedom: (seconds / (2.0 * correlation_s + interval_s)).max(1.0),
    }
}

/// A rest and the straight line through it.
struct Detrended<'a> {
    time_s: &'a [f64],
    height_m: &'a [f64],
    mean_time_s: f64,
    mean_m: f64,
    slope_m_per_s: f64,
}

impl<'a> Detrended<'a> {
    fn new(time_s: &'a [f64], height_m: &'a [f64]) -> Option<Self> {
        let (mean_time_s, mean_m, slope_m_per_s) = line(time_s, height_m)?;
        Some(Detrended { time_s, height_m, mean_time_s, mean_m, slope_m_per_s })
    }

    fn at(&self, i: usize) -> f64 {
        self.height_m[i] - self.mean_m - self.slope_m_per_s * (self.time_s[i] - self.mean_time_s)
    }

    /// Adds the half squared differences of samples `apart` and their number, from every `stride`-th on.
    fn add_pairs(&self, apart: usize, stride: usize, lag_s: f64, interval_s: f64, sum: &mut (f64, f64)) {
        let count = self.time_s.len();
        if 2 * apart >= count {
            return;
        }
        for i in (0..count - apart).step_by(stride) {
            // A gap between the two makes the lag another one.
            if (self.time_s[i + apart] - self.time_s[i] - lag_s).abs() < 0.5 * interval_s + 1e-9 {
                sum.0 += 0.5 * (self.at(i + apart) - self.at(i)).powi(2);
                sum.1 += 1.0;
            }
        }
    }
}

fn lags_s(interval_s: f64) -> Vec<f64> {
    let mut lags = Vec::new();
    let mut apart = 1.0_f64;
    while apart * interval_s < 5.0 || lags.len() < 4 {
        lags.push(apart.round() * interval_s);
        apart = (apart * 1.35).max(apart + 1.0).round();
    }
    lags
}

/// Least squares of white and correlated variance over a grid of correlation times, each lag weighted by the
/// inverse square of its own value (a variance is known in proportion).
fn fit_variogram(points: &[(f64, f64, f64)]) -> Option<(f64, f64, f64)> {
    let scale = points.iter().map(|p| p.1).fold(0.0, f64::max);
    if points.len() < 3 || scale <= 0.0 {
        return None;
    }
    let mut best: Option<(f64, (f64, f64, f64))> = None;
    let mut tau = 0.02;
    while tau < 6.0 {
        let mut a = [[0.0_f64; 2]; 2];
        let mut b = [0.0_f64; 2];
        let row = |lag: f64| [1.0, 1.0 - exp(-lag / tau)];
        let weight = |value: f64, lag: f64| 1.0 / ((value + 0.05 * scale).powi(2) * (1.0 + lag));
        for &(lag, value, _) in points {
            let (x, w) = (row(lag), weight(value, lag));
            for i in 0..2 {
                b[i] += w * x[i] * value;
                for j in 0..2 {
                    a[i][j] += w * x[i] * x[j];
                }
            }
        }
        let det = a[0][0] * a[1][1] - a[0][1] * a[1][0];
        let both = [(b[0] * a[1][1] - b[1] * a[0][1]) / det, (b[1] * a[0][0] - b[0] * a[1][0]) / det];
        for solution in [both, [b[0] / a[0][0], 0.0], [0.0, b[1] / a[1][1]]] {
            if !(solution[0] >= 0.0 && solution[1] >= 0.0) {
                continue;
            }
            let cost: f64 = points
                .iter()
                .map(|&(lag, value, _)| {
                    let x = row(lag);
                    weight(value, lag) * (value - x[0] * solution[0] - x[1] * solution[1]).powi(2)
                })
                .sum();
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, (solution[0], solution[1], tau)));
            }
        }
        tau *= 1.25;
    }
    best.map(|(_, fit)| fit)
}

/// Mean time, mean height and slope of a straight line; `None` below three samples or without a span of time.
pub(crate) fn line(time_s: &[f64], height_m: &[f64]) -> Option<(f64, f64, f64)> {
    let n = time_s.len() as f64;
    if time_s.len() < 3 {
        return None;
    }
    let mean_t = time_s.iter().sum::<f64>() / n;
    let mean_h = height_m.iter().sum::<f64>() / n;
    let (mut tt, mut th) = (0.0, 0.0);
    for (t, h) in time_s.iter().zip(height_m) {
        tt += (t - mean_t).powi(2);
        th += (t - mean_t) * (h - mean_h);
    }
    (tt > 0.0).then(|| (mean_t, mean_h, th / tt))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};

    fn normal(rng: &mut rand_chacha::ChaCha8Rng) -> f64 {
        let (a, b): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
        sqrt(-2.0 * crate::maths::ln(a)) * crate::maths::cos(std::f64::consts::TAU * b)
    }

    #[test]
    fn white_and_correlated_noise_are_told_apart() {
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(3);
        let (dt, tau, white, correlated) = (0.05, 0.6, 0.08, 0.30);
        let time: Vec<f64> = (0..12_000).map(|i| i as f64 * dt).collect();
        let keep = exp(-dt / tau);
        let mut state = correlated * normal(&mut rng);
        let height: Vec<f64> = time
            .iter()
            .map(|_| {
                state = keep * state + correlated * sqrt(1.0 - keep * keep) * normal(&mut rng);
                state + white * normal(&mut rng)
            })
            .collect();
        let noise = measure(&time, &height, &[(0, 12_000)], 0.0, dt, &FindConfig::default());
        // 600 s hold about 500 correlation times: each standard deviation is known to about 3 to 5 %.
        assert!((noise.white_m - white).abs() < 0.012, "{noise:?}");
        assert!((noise.correlated_m - correlated).abs() < 0.05, "{noise:?}");
        assert!((noise.correlation_s - tau).abs() < 0.2, "{noise:?}");
    }

    #[test]
    fn the_step_is_found_and_free_values_have_none() {
        let feet: Vec<f64> = (0..400).map(|i| f64::from(i % 7) * 0.3048).collect();
        assert!((step(&feet) - 0.3048).abs() < 1e-6);
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(4);
        let free: Vec<f64> = (0..400).map(|_| rng.random::<f64>()).collect();
        assert!(step(&free) < 0.02, "{}", step(&free));
        assert!(step(&[1.0; 50]).abs() < f64::EPSILON);
    }
}
