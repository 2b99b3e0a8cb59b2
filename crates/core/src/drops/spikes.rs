//! Samples that are no heights: spikes of a deployment bang, sensors that are stuck at an end of their range.
//!
//! A spike leaves the recording's course faster than anything falls and comes back to it: the change between two
//! neighbours exceeds `least + fastest · dt`, and within `longest` seconds the values are back within that distance
//! of where they left. A change that stays is a step, not a spike, and is left to whoever fits. One pass, O(n).
//!
//! A stuck sensor repeats one value through a time in which the heights on both sides differ by more than noise and
//! the step explain.

use super::FindConfig;

/// How fast the course itself may move on under a spike, m/s: a model falls at 2 to 15.
const RETURN_M_PER_S: f64 = 12.0;

/// First and last sample of a masked run.
pub(crate) type Run = (usize, usize);

/// Runs of spikes within one segment; indices count from the segment's first sample.
pub(crate) fn spikes(
    time_s: &[f64],
    height_m: &[f64],
    noise_m: f64,
    step_m: f64,
    cfg: &FindConfig,
) -> Vec<Run> {
    let mut runs = Vec::new();
    let least = (6.0 * noise_m + 1.5 * step_m).max(cfg.least_spike_m);
    let allowed = |from: usize, to: usize| least + cfg.fastest_fall_m_per_s * (time_s[to] - time_s[from]);
    let mut good = 0;
    let mut i = 1;
    while i < height_m.len() {
        if (height_m[i] - height_m[good]).abs() <= allowed(good, i) {
            good = i;
            i += 1;
            continue;
        }
        let returned = |to: usize| {
            (height_m[to] - height_m[good]).abs() <= least + RETURN_M_PER_S * (time_s[to] - time_s[good])
                && (height_m[to] - height_m[i]).abs() > 0.5 * (height_m[i] - height_m[good]).abs()
        };
        let mut back = i + 1;
        while back < height_m.len() && time_s[back] - time_s[good] <= cfg.longest_spike_s && !returned(back) {
            back += 1;
        }
        if back < height_m.len() && time_s[back] - time_s[good] <= cfg.longest_spike_s {
            runs.push((i, back - 1));
            good = back;
        } else {
            good = i; // A step: the new level is the course from here.
        }
        i = good + 1;
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

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
    }
}
