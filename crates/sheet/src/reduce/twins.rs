//! Falls that stand in two recordings: a copied or overlapping file must not count a drop twice.
//!
//! Two falls are the same when the recorded values of one stand in the other, shifted by a few samples at most, over
//! nine tenths of its length, at the same intervals of time. Values are compared as read, so that a copy in other units,
//! rounded anew, is not recognised.

use silkfall_core::drops::Fall;
use silkfall_core::recording::Recording;

/// How far the samples of a copy may be shifted: a copy that begins elsewhere may find its fall a sample apart.
const MOST_SHIFT: isize = 20;
/// Relative difference below which two recorded values are the same.
const SAME: f64 = 1e-9;

/// Whether two falls are the same fall.
pub(crate) fn same(a: (&Recording, &Fall), b: (&Recording, &Fall)) -> bool {
    (-MOST_SHIFT..=MOST_SHIFT).any(|shift| same_at(a, b, shift))
}

fn same_at((a, fall_a): (&Recording, &Fall), (b, fall_b): (&Recording, &Fall), shift: isize) -> bool {
    let length = fall_a.last - fall_a.release + 1;
    let in_b = |i: usize| {
        let at = fall_b.release.checked_add_signed(i as isize + shift)?;
        (at < b.len()).then_some(at)
    };
    let mut matched = 0;
    let mut offset_s = None;
    for i in 0..length {
        let Some(other) = in_b(i) else { continue };
        let sample = fall_a.release + i;
        let close = |x: f64, y: f64| (x - y).abs() <= SAME * x.abs().max(y.abs()).max(1.0);
        if !close(a.value[sample], b.value[other]) {
            return false;
        }
        let difference_s = a.time_s[sample] - b.time_s[other];
        if (difference_s - *offset_s.get_or_insert(difference_s)).abs() > 1e-6 {
            return false;
        }
        matched += 1;
    }
    matched >= 5 && 10 * matched >= 9 * length
}

#[cfg(test)]
mod tests {
    use super::*;
    use silkfall_core::recording::{Channel, RowMap};

    fn recording(value: Vec<f64>, first_s: f64) -> Recording {
        Recording {
            name: "a".to_owned(),
            time_s: (0..value.len()).map(|i| first_s + 0.1 * i as f64).collect::<Vec<_>>().into(),
            value: value.into(),
            channel: Channel::PressureHeight,
            temperature_k: None,
            segments: vec![0],
            rows: RowMap::default(),
        }
    }

    fn fall(release: usize, last: usize) -> Fall {
        Fall {
            release,
            last,
            ground: None,
            starts_in_air: false,
            guess_m_per_s: 4.0,
            mean_m_per_s: None,
            masked: Vec::new(),
        }
    }

    #[test]
    fn a_copy_cut_elsewhere_is_the_same_and_another_drop_is_not() {
        let heights: Vec<f64> = (0..60).map(|i| (i * i % 17) as f64 * 0.3).collect();
        let whole = recording(heights.clone(), 0.0);
        let cut = recording(heights[7..].to_vec(), 0.0);
        assert!(same((&whole, &fall(20, 50)), (&cut, &fall(14, 43))), "found a sample later");
        let mut other = heights.clone();
        other[30] += 0.1;
        assert!(!same((&whole, &fall(20, 50)), (&recording(other, 0.0), &fall(20, 50))));
    }
}
