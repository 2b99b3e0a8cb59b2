//! Samples that are no heights: the spikes of a deployment bang.
//!
//! The course goes on from the good samples of the last moments in a straight line; gravity bends it by `g t²/2` at
//! most. A sample further from it than that and six times the noise begins an excursion, and the excursion is a spike
//! if the heights are back on the course within `longest` seconds. One that stays is a step, not a spike, and is left to
//! whoever fits. What a smoothing logger makes of the spike's end is masked along. One pass, O(n), that steps over the pieces
//! in which no sample is far from the course: they are found on every core, and are nearly all of a day's recording.

use super::FindConfig;
use rayon::prelude::*;

/// First and last sample of a masked run.
pub(crate) type Run = (usize, usize);

/// Time over which the course's speed is taken, s.
const COURSE_S: f64 = 0.5;
/// How fast the course may stray from its straight line under a spike, m/s: gravity, gusts and noise of the speed.
const STRAY_M_PER_S: f64 = 6.0;
/// No speed beyond this is carried on, m/s.
const FASTEST_M_PER_S: f64 = 60.0;

/// How far behind a sample the course ends, s: a smoothing logger makes a slope of a spike's edge.
const BEHIND_S: f64 = 0.15;

/// Samples of a piece that may be stepped over.
const PIECE: usize = 1 << 14;

/// How far a course bends in a time, m.
fn bend(seconds: f64) -> f64 {
    5.0 * seconds * seconds
}

/// Where the course ends for sample `i` if nothing is masked: at the last sample [`BEHIND_S`] before it, or the first.
fn course_end(time_s: &[f64], i: usize) -> usize {
    time_s[..i].partition_point(|t| time_s[i] - t >= BEHIND_S).saturating_sub(1)
}

/// For each piece whether no sample is further than `least` and the bend from the end of its course, nothing masked.
fn calm(time_s: &[f64], height_m: &[f64], least: f64) -> Vec<bool> {
    let piece = |first: usize| {
        let mut good = course_end(time_s, first);
        (first..height_m.len().min(first + PIECE)).all(|i| {
            while good + 1 < i && time_s[i] - time_s[good + 1] >= BEHIND_S {
                good += 1;
            }
            (height_m[i] - height_m[good]).abs() <= least + bend(time_s[i] - time_s[good])
        })
    };
    (0..height_m.len().div_ceil(PIECE)).into_par_iter().map(|n| piece(n * PIECE)).collect()
}

/// Runs of spikes within one segment; indices count from the segment's first sample.
pub(crate) fn spikes(
    time_s: &[f64],
    height_m: &[f64],
    noise_m: f64,
    step_m: f64,
    cfg: &FindConfig,
) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let least = (6.0 * noise_m + 1.5 * step_m).max(cfg.least_spike_m);
    let clean = (3.0 * noise_m + step_m).max(0.15 * cfg.least_spike_m);
    let calm = calm(time_s, height_m, least);
    let (mut good, mut old, mut i) = (0, 0, 1);
    while i < height_m.len() {
        // `good` follows at its distance and steps over what is masked.
        loop {
            let next = match runs.last() {
                Some(run) if good < run.0 && good + 1 >= run.0 => run.1 + 1,
                _ => good + 1,
            };
            if next >= i || time_s[i] - time_s[next] < BEHIND_S {
                break;
            }
            good = next;
        }
        if i % PIECE == 0
            && calm[i / PIECE]
            && runs.last().is_none_or(|run| run.1 < good)
            && good == course_end(time_s, i)
        {
            i = height_m.len().min(i + PIECE);
            good = course_end(time_s, i.min(height_m.len() - 1));
            continue;
        }
        let since = time_s[i] - time_s[good];
        if (height_m[i] - height_m[good]).abs() <= least + bend(since) {
            i += 1;
            continue;
        }
        // Only now is the course worth its cost.
        while old + 1 < good && time_s[good] - time_s[old] > COURSE_S {
            old += 1;
        }
        let span = time_s[good] - time_s[old];
        let masked = runs.last().is_some_and(|run| run.1 >= old);
        let speed =
            if span > 0.4 * COURSE_S && !masked { (height_m[good] - height_m[old]) / span } else { 0.0 };
        let course = |to: usize| {
            height_m[good] + speed.clamp(-FASTEST_M_PER_S, FASTEST_M_PER_S) * (time_s[to] - time_s[good])
        };
        let off = height_m[i] - course(i);
        if off.abs() <= least + bend(since) {
            i += 1;
            continue;
        }
        let near = |to: usize, limit: f64| {
            let away = height_m[to] - course(to);
            away.abs() <= limit + STRAY_M_PER_S * (time_s[to] - time_s[i]).max(0.0)
                && away * off.signum() < 0.5 * off.abs()
        };
        let within = |to: usize| to < height_m.len() && time_s[to] - time_s[i] <= cfg.longest_spike_s;
        let mut back = i + 1;
        while within(back) && !near(back, least) {
            back += 1;
        }
        if within(back) {
            while within(back) && !near(back, clean) {
                back += 1;
            }
            let start = (good + 1..i).find(|&k| !near(k, clean)).unwrap_or(i);
            runs.push((start, back - 1));
            i = back;
        } else {
            good = i; // A step: the new level is the course from here.
            i += 1;
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each spike stands as it does in a recording too short to be stepped over.
    #[test]
    fn spikes_beside_calm_pieces_are_the_same() {
        let cfg = FindConfig::default();
        let time: Vec<f64> = (0..5 * PIECE).map(|i| i as f64 * 0.01).collect();
        let mut height: Vec<f64> = (0..5 * PIECE).map(|i| (i % 7) as f64 * 0.1).collect();
        let at = [3, PIECE - 1, PIECE, 2 * PIECE - 9, 3 * PIECE + 2, 4 * PIECE - 1, 5 * PIECE - 30];
        for &spike in &at {
            height[spike] += 9.0;
        }
        // A step that stays, just before a piece ends.
        for h in &mut height[3 * PIECE - 5..] {
            *h += 4.0;
        }
        let alone = |&spike: &usize| {
            let from = spike.saturating_sub(2_000);
            let near = from..(spike + 200).min(time.len());
            let runs = spikes(&time[near.clone()], &height[near], 0.05, 0.1, &cfg);
            *runs
                .iter()
                .map(|run| (run.0 + from, run.1 + from))
                .find(|run| run.0 <= spike && spike <= run.1)
                .as_ref()
                .unwrap()
        };
        let mut expected: Vec<Run> = at.iter().map(alone).collect();
        expected.dedup();
        assert_eq!(spikes(&time, &height, 0.05, 0.1, &cfg), expected);
    }

    #[test]
    fn a_spike_is_masked_and_a_step_is_not() {
        let time: Vec<f64> = (0..100).map(|i| f64::from(i) * 0.02).collect();
        let mut height = vec![10.0; 100];
        height[40] = 31.0;
        height[41] = 27.0;
        for h in &mut height[70..] {
            *h = 2.0;
        }
        let cfg = FindConfig::default();
        assert_eq!(spikes(&time, &height, 0.05, 0.0, &cfg), [(40, 41)]);
        let falling: Vec<f64> = time.iter().map(|t| 30.0 - 25.0 * t).collect();
        assert_eq!(spikes(&time, &falling, 0.05, 0.0, &cfg), []);
        let slow: Vec<f64> = (0..60).map(|i| f64::from(i) * 0.1).collect();
        let mut fall: Vec<f64> = slow.iter().map(|t| 30.0 - 4.0 * t).collect();
        fall[30] += 4.0;
        assert_eq!(spikes(&slow, &fall, 0.05, 0.3, &cfg), [(30, 30)]);
        // A moving average over 0.2 s makes slopes of the edges: 1 m from sample to sample.
        let fast: Vec<f64> = (0..300).map(|i| f64::from(i) * 0.01).collect();
        let smooth: Vec<f64> =
            fast.iter().map(|t| 20.0 - 4.0 * t + (10.0 - 80.0 * (t - 1.5).abs()).max(0.0)).collect();
        let found = spikes(&fast, &smooth, 0.05, 0.1, &cfg);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].0 <= 140 && found[0].1 >= 160, "{found:?}");
    }
}
