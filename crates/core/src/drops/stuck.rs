//! Samples that a sensor held while the load fell on: a flat run, then a jump to where the fall has got.
//!
//! A run of equal values is no height but a held one if the next sample lies J below it, with
//!
//! J > max(6 s + 2.5 q, 0.5 m)
//!
//! (s the noise, q the height step: neither makes such a jump from one sample to the next, nor does a fall that a step
//! hides for the time q/v), and the fall was going on before at a speed v with which J over the time held agrees: between 0.4 and
//! 2.5 times. What comes back within 0.6 s is a spike ([`super::spikes`]). Its samples are left out and the rest of the fall is used.
//!
//! A run that began at rest hides the release too. If the fall goes on after the jump at a speed v, the last J/v of the
//! run are left out, and the fall begins, in the air, after the jump.
//!
//! Metres and seconds; one pass. Not found: a sensor at the end of its range that never comes back within the fall, which
//! looks like the ground; and a hold that is shorter than 0.3 s or four samples, which does little.

use super::FindConfig;
use super::spikes::Run;
use crate::leaps::leaps;

/// A held run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Held {
    /// Samples that are no heights.
    pub run: Run,
    /// How far the height jumps after it, m.
    pub jump_m: f64,
    /// Whether it began at rest, so that the release is hidden.
    pub hides_release: bool,
}

/// A shorter run is not looked at, s and samples.
const LEAST_S: f64 = 0.3;
const LEAST_SAMPLES: usize = 4;
/// A smaller jump is not looked at, m.
const LEAST_JUMP_M: f64 = 0.5;
/// Time over which the speed before and after a run is taken, s.
const BESIDE_S: f64 = 0.6;
/// The speed through the run over that before it.
const AGREES: std::ops::Range<f64> = 0.4..2.5;
/// More usual intervals than this between run and jump are a gap, across which anything may have happened.
const GAP: f64 = 2.5;

/// Held runs within one segment; indices count from the segment's first sample.
pub(crate) fn held(
    time_s: &[f64],
    height_m: &[f64],
    (noise_m, step_m, interval_s): (f64, f64, f64),
    cfg: &FindConfig,
) -> Vec<Held> {
    let least_m = (6.0 * noise_m + 2.5 * step_m).max(LEAST_JUMP_M);
    let mut found = Vec::new();
    for next in leaps(height_m.len(), |next| height_m[next - 1] - height_m[next], least_m) {
        let last = next - 1;
        // The same value, not a near one: what is held is repeated bit for bit.
        let held = |&&height: &&f64| height.to_bits() == height_m[last].to_bits();
        let first = next - height_m[..next].iter().rev().take_while(held).count();
        let jump_m = height_m[last] - height_m[next];
        if next - first >= LEAST_SAMPLES
            && time_s[last] - time_s[first] >= LEAST_S
            && time_s[next] - time_s[last] <= GAP * interval_s
        {
            found.extend(looked_at(time_s, height_m, (first, last), jump_m, cfg));
        }
    }
    found
}

/// Whether a run before a jump was held during a fall.
fn looked_at(
    time_s: &[f64],
    height_m: &[f64],
    (first, last): Run,
    jump_m: f64,
    cfg: &FindConfig,
) -> Option<Held> {
    // Hardly slower than a fall: speeds over a moment carry noise.
    let moves_m_per_s = 0.6 * cfg.slowest_fall_m_per_s;
    let speed = |from: usize, to: usize| {
        let span_s = time_s[to] - time_s[from];
        (span_s >= 0.4 * BESIDE_S).then(|| (height_m[from] - height_m[to]) / span_s)
    };
    let next = last + 1;
    let to = next + time_s[next..].partition_point(|t| t - time_s[next] < BESIDE_S);
    let to = to.min(time_s.len() - 1);
    if height_m[to] > height_m[next] + 0.5 * jump_m {
        return None; // A spike: it comes back.
    }
    let from = time_s[..first].partition_point(|t| time_s[first] - t > BESIDE_S);
    let before = speed(from, first).unwrap_or(0.0);
    if before >= moves_m_per_s {
        let through = jump_m / (time_s[next] - time_s[first]);
        return AGREES.contains(&(through / before)).then_some(Held {
            run: (first, last),
            jump_m,
            hides_release: false,
        });
    }
    let after = speed(next, to)?;
    if after < cfg.slowest_fall_m_per_s {
        return None;
    }
    let since_s = time_s[next] - jump_m / after;
    let start = first + time_s[first..next].partition_point(|&t| t < since_s);
    (start > first && start <= last).then_some(Held { run: (start, last), jump_m, hides_release: true })
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: f64 = 4.0;

    /// Rest at 12 m for 3 s, a fall at 4 m/s, rest; 20 samples a second in steps of 0.1 m.
    fn fall() -> (Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..160).map(|i| f64::from(i) * 0.05).collect();
        let height = time.iter().map(|t| 0.1 * ((12.0 - RATE * (t - 3.0)).clamp(0.0, 12.0) / 0.1).round());
        (time.clone(), height.collect())
    }

    fn hold(height: &mut [f64], from: usize, to: usize) {
        let value = height[from];
        height[from..=to].fill(value);
    }

    fn found(time: &[f64], height: &[f64]) -> Vec<Held> {
        held(time, height, (0.03, 0.1, 0.05), &FindConfig::default())
    }

    #[test]
    fn a_value_held_in_the_fall_is_found_and_the_rest_is_not() {
        let (time, mut height) = fall();
        assert_eq!(found(&time, &height), []);
        hold(&mut height, 80, 95); // 0.75 s: 3.2 m at once
        let [one] = found(&time, &height)[..] else { panic!("{:?}", found(&time, &height)) };
        assert_eq!((one.run, one.hides_release), ((80, 95), false));
        assert!((one.jump_m - 3.2).abs() < 0.11, "{}", one.jump_m);
    }

    #[test]
    fn held_since_before_the_release_hides_it() {
        let (time, mut height) = fall();
        hold(&mut height, 40, 80); // the fall begins at sample 60
        let [one] = found(&time, &height)[..] else { panic!("{:?}", found(&time, &height)) };
        assert!(one.hides_release && one.run.1 == 80, "{one:?}");
        assert!(one.run.0.abs_diff(60) <= 2, "what was rest is kept: {one:?}");
    }

    /// Whole feet and a slow canopy stand still for longer than four samples, and step by no more than a foot; a hoist jumps
    /// up; a gap ends a flat stretch without having been held.
    #[test]
    fn steps_hoists_and_gaps_are_not_held() {
        const FOOT_M: f64 = 0.3048;
        let time: Vec<f64> = (0..2_000).map(|i| f64::from(i) * 0.02).collect();
        let slow: Vec<f64> = time.iter().map(|t| FOOT_M * ((60.0 - 0.7 * t) / FOOT_M).round()).collect();
        let cfg = FindConfig::default();
        assert_eq!(held(&time, &slow, (0.02, FOOT_M, 0.02), &cfg), []);
        let (time, mut height) = fall();
        hold(&mut height, 80, 95);
        let up: Vec<f64> = height.iter().map(|h| 12.0 - h).collect();
        assert_eq!(found(&time, &up), []);
        // A spike after a landing, of 8 samples on the ground: it comes back.
        let (time, mut height) = fall();
        height[128..132].fill(-5.0);
        assert_eq!(found(&time, &height), []);
        let (time, mut height) = fall();
        hold(&mut height, 80, 95);
        let late: Vec<f64> =
            time.iter().enumerate().map(|(i, t)| if i > 95 { t + 1.0 } else { *t }).collect();
        assert_eq!(found(&late, &height), []);
    }
}
