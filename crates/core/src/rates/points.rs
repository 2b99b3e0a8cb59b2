//! What the samples of a fall say, as a few dozen heights with their noise.
//!
//! Two ways, chosen by the logger. **Blocks**: means over about a twentieth of a second; the noise of a mean of n is
//! s_w/sqrt(n), averaging loses nothing against a slope. **Crossings**: where a fast sampler meets a coarse step, the
//! recorded height stands still between steps and the samples between tell only that no boundary was crossed; what
//! informs are the times at which the boundaries b between two steps were crossed. With
//! `T(b) = start + sum of dt over the samples still above b`, white noise that makes the value chatter about the
//! boundary adds no bias, whatever its size, because above and below errors cancel sample by sample. The height at
//! T(b) is b with variance `v² dt²/12 + v dt s/sqrt(pi)`: the sampling interval, and the sum of the chances
//! Phi (1 - Phi) of the chattering samples. This is the interval-censored likelihood reduced to its informative part.
//!
//! Units: metres, seconds. Assumes a descent (each boundary is crossed once but for noise).

use crate::drops::Noise;
use crate::maths::sqrt;

/// One height with the white part of its noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub time_s: f64,
    pub height_m: f64,
    pub white_m2: f64,
}

/// Which way the samples of a fall are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// Means over short blocks.
    Blocks,
    /// Times at which the boundaries between height steps were crossed.
    Crossings,
}

/// The reading that suits a logger at a rate of descent: crossings where a step takes at least a sample and a half
/// to fall through and noise alone does not carry a sample over most of a step.
pub(crate) fn reading(noise: &Noise, rate_m_per_s: f64) -> Reading {
    let fast = rate_m_per_s * noise.interval_s * 1.5 < noise.step_m;
    if fast && noise.white_m < 0.6 * noise.step_m { Reading::Crossings } else { Reading::Blocks }
}

/// The usable samples `first..end` as (time, height).
pub(crate) fn samples(
    time_s: &[f64],
    height_m: &[f64],
    (first, end): (usize, usize),
    masked: &[usize],
) -> Vec<(f64, f64)> {
    let mut masked = masked.iter().copied().peekable();
    (first..end)
        .filter(|i| {
            while masked.peek().is_some_and(|m| m < i) {
                masked.next();
            }
            masked.peek() != Some(i)
        })
        .map(|i| (time_s[i], height_m[i]))
        .collect()
}

/// Means of samples over about `block_s`, with at least one sample each.
pub(crate) fn blocks(samples: &[(f64, f64)], noise: &Noise, rate_m_per_s: f64, block_s: f64) -> Vec<Point> {
    let mut points = Vec::new();
    let mut i = 0;
    while i < samples.len() {
        let start = samples[i].0;
        let first = i;
        while i < samples.len() && samples[i].0 - start < block_s * 0.999 {
            i += 1;
        }
        let n = (i - first) as f64;
        let time_s = samples[first..i].iter().map(|s| s.0).sum::<f64>() / n;
        let height_m = samples[first..i].iter().map(|s| s.1).sum::<f64>() / n;
        // Rounding averages out only over the steps that are passed, not over samples within one step.
        let rounding_m2 = noise.step_m * noise.step_m / 12.0;
        let passed = (rate_m_per_s * (n - 1.0) * noise.interval_s / noise.step_m.max(1e-9) + 1.0).min(n);
        let free_m2 = (noise.white_m * noise.white_m - rounding_m2).max(0.0);
        let rounding_n = if free_m2 > 0.25 * noise.step_m * noise.step_m { n } else { passed };
        points.push(Point { time_s, height_m, white_m2: free_m2 / n + rounding_m2 / rounding_n });
    }
    points
}

/// Times at which the boundaries between height steps were crossed on the way down.
pub(crate) fn crossings(samples: &[(f64, f64)], noise: &Noise, rate_m_per_s: f64) -> Vec<Point> {
    let step = noise.step_m;
    let Some(&(_, origin)) = samples.first() else { return Vec::new() };
    let low = samples.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    let steps = ((origin - low) / step).round() as usize;
    let dt = noise.interval_s;
    let white2 = noise.white_m * noise.white_m - step * step / 12.0;
    // Noise too small to be seen at rest is still somewhere below the step.
    let chatter = sqrt(white2.max(0.0)).max(0.06 * step);
    let variance =
        (rate_m_per_s * dt).powi(2) / 12.0 + rate_m_per_s * dt * chatter / sqrt(std::f64::consts::PI);
    let mut points = Vec::new();
    for k in 0..steps {
        let boundary = origin - (k as f64 + 0.5) * step;
        let Some(first_below) = samples.iter().position(|s| s.1 < boundary) else { break };
        let Some(last_above) = samples.iter().rposition(|s| s.1 > boundary) else { continue };
        if first_below == 0 || last_above + 1 >= samples.len() {
            continue;
        }
        let (from, to) = (first_below.min(last_above), first_below.max(last_above));
        let gap = (from..to).map(|i| samples[i + 1].0 - samples[i].0).fold(0.0, f64::max);
        if gap > 2.2 * dt {
            continue; // The crossing lies in a gap.
        }
        let start = 0.5 * (samples[first_below - 1].0 + samples[first_below].0);
        let above: f64 = (first_below..=last_above)
            .filter(|&i| samples[i].1 > boundary)
            .map(|i| 0.5 * (samples[i + 1].0 - samples[i - 1].0))
            .sum();
        points.push(Point { time_s: start + above, height_m: boundary, white_m2: variance });
    }
    points.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    points
}

/// Means of samples at rest over about `block_s`. Where noise does not carry the value over a step, all of them share
/// one rounding error, which their mean must keep.
pub(crate) fn rest(samples: &[(f64, f64)], noise: &Noise, block_s: f64) -> Vec<Point> {
    let mut points = blocks(samples, noise, 0.0, block_s);
    let rounding_m2 = noise.step_m * noise.step_m / 12.0;
    let free_m2 = noise.total_m().powi(2) - rounding_m2;
    if free_m2 < 0.25 * noise.step_m * noise.step_m {
        let number = points.len() as f64;
        for point in &mut points {
            point.white_m2 = point.white_m2.max(rounding_m2 * number);
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drops::line;
    use crate::stats::stream::Stream;

    const FOOT_M: f64 = 0.3048;

    /// Relative errors of the rate, by crossings and by a straight line through all samples, of one invented steady
    /// fall on whole feet.
    fn errors(trial: u64, lasts_s: f64) -> (f64, f64) {
        let mut draw = Stream::new(2_026, trial);
        let rate = draw.rectangular(2.5, 4.0);
        let interval_s = 1.0 / draw.rectangular(50.0, 100.0);
        let white_m = draw.rectangular(0.003, 0.015);
        let top_m = draw.rectangular(20.0, 20.0 + FOOT_M);
        let samples: Vec<(f64, f64)> = (0..(lasts_s / interval_s) as usize)
            .map(|i| {
                let time_s = i as f64 * interval_s;
                let height = top_m - rate * time_s + white_m * draw.normal();
                (time_s, FOOT_M * (height / FOOT_M).round())
            })
            .collect();
        let noise = Noise {
            step_m: FOOT_M,
            interval_s,
            white_m: sqrt(white_m * white_m + FOOT_M * FOOT_M / 12.0),
            correlated_m: 0.0,
            correlation_s: 1.0,
            degrees_of_freedom: 100.0,
        };
        assert_eq!(reading(&noise, rate), Reading::Crossings);
        let slope = |points: &[(f64, f64)]| {
            let (times, heights): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
            line(&times, &heights).expect("more than two points").2
        };
        let crossed: Vec<(f64, f64)> =
            crossings(&samples, &noise, rate).iter().map(|p| (p.time_s, p.height_m)).collect();
        (-slope(&crossed) / rate - 1.0, -slope(&samples) / rate - 1.0)
    }

    /// Root mean square errors by crossings and by a line, of many falls; crossings are without bias.
    fn rms(lasts_s: f64) -> (f64, f64) {
        const TRIALS: u64 = 1000;
        let all: Vec<(f64, f64)> = (0..TRIALS).map(|trial| errors(trial, lasts_s)).collect();
        let mean = |value: &dyn Fn(&(f64, f64)) -> f64| all.iter().map(value).sum::<f64>() / TRIALS as f64;
        let by_crossings = sqrt(mean(&|e| e.0 * e.0));
        let bias = mean(&|e| e.0);
        assert!(bias.abs() < 3.0 * by_crossings / sqrt(TRIALS as f64), "bias {bias} of {by_crossings}");
        (by_crossings, sqrt(mean(&|e| e.1 * e.1)))
    }

    /// The steady part of a drop from a tower lasts about a second: half a dozen to a dozen steps. A line through
    /// samples then takes the steps it begins and ends in for slope; over longer stretches that averages out.
    #[test]
    fn crossings_beat_a_line_through_all_samples_of_a_short_stretch() {
        for (lasts_s, at_most) in [(0.7, 0.92), (1.0, 0.95), (2.0, 1.03)] {
            let (by_crossings, by_line) = rms(lasts_s);
            assert!(by_crossings < at_most * by_line, "{lasts_s} s: rms {by_crossings} against {by_line}");
        }
    }
}
