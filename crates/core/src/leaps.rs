//! Samples that a large step leads to, found on every core.
//!
//! Nearly all of a day's recording has no step that is worth a look, so that its pieces are first asked for their largest
//! one. Steps are worked out as they are asked for: nothing is kept.

use rayon::prelude::*;

/// Samples that one core looks through at a time.
const PIECE: usize = 1 << 14;

/// Of the samples 1 to `count - 1` those that a step of more than `least` leads to, ascending. A step that is NaN is none.
pub fn leaps(count: usize, step_to: impl Fn(usize) -> f64 + Sync, least: f64) -> Vec<usize> {
    let piece = |n: usize| {
        let samples = (n * PIECE).max(1)..count.min((n + 1) * PIECE);
        let largest = samples.clone().map(&step_to).fold(f64::NEG_INFINITY, f64::max);
        let looked_at = if largest > least { samples } else { 0..0 };
        looked_at.filter(|sample| step_to(*sample) > least)
    };
    (0..count.div_ceil(PIECE)).into_par_iter().flat_map_iter(piece).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_large_step_is_found_once_wherever_pieces_meet() {
        let places = [1, 2, PIECE - 1, PIECE, PIECE + 1, 3 * PIECE, 3 * PIECE + 6];
        let step_to = |sample: usize| match sample {
            0 => panic!("nothing leads to the first sample"),
            7 => f64::NAN,
            _ if places.contains(&sample) => 2.5,
            _ => 2.0,
        };
        assert_eq!(leaps(3 * PIECE + 7, step_to, 2.0), places);
        assert_eq!(leaps(3 * PIECE + 6, step_to, 2.0), places[..6]);
        for count in [0, 1] {
            assert!(leaps(count, step_to, 2.0).is_empty());
        }
    }
}
