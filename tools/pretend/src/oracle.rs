//! The estimate of one who knows the times: a straight line by least squares through the truly steady stretch.
//!
//! Recorded heights over written times (pressures through the standard atmosphere first), samples falsified by a
//! bang left out; the slope's sign is turned to a descent rate, m/s. Nothing that the session shares is corrected, so
//! the oracle carries the same clock, scale and slow air as any reader of the recording.

use crate::air;
use crate::campaign::{Campaign, Channel};
use crate::truth::Kind;

/// Rates by least squares through the truly steady stretches.
#[derive(Clone, Debug, PartialEq)]
pub struct Oracle {
    /// For each drop of the truth; `None` with fewer than three usable samples.
    pub drops: Vec<Option<f64>>,
    /// Mean over the good drops, m/s; `None` if there is none.
    pub mean_m_s: Option<f64>,
}

/// Works out the oracle's rates.
pub fn oracle(campaign: &Campaign) -> Oracle {
    let truth = &campaign.truth;
    let drops: Vec<Option<f64>> = truth
        .drops
        .iter()
        .map(|drop| {
            let points: Vec<(f64, f64)> = drop
                .steady_samples
                .clone()
                .filter(|&sample| !truth.spiked[sample])
                .map(|sample| (campaign.time_s[sample], height_m(campaign, sample)))
                .collect();
            slope(&points).map(|slope| -slope)
        })
        .collect();
    let good: Vec<f64> = drops
        .iter()
        .zip(&truth.drops)
        .filter_map(|(rate, drop)| rate.filter(|_| drop.kind == Kind::Good))
        .collect();
    let mean_m_s = (!good.is_empty()).then(|| good.iter().sum::<f64>() / good.len() as f64);
    Oracle { drops, mean_m_s }
}

fn height_m(campaign: &Campaign, sample: usize) -> f64 {
    match campaign.channel {
        Channel::Height => campaign.value[sample],
        Channel::Pressure => air::standard_height_m(campaign.value[sample]),
    }
}

/// Least-squares slope, `None` with fewer than three points.
fn slope(points: &[(f64, f64)]) -> Option<f64> {
    if points.len() < 3 {
        return None;
    }
    let n = points.len() as f64;
    let mean_x = points.iter().map(|point| point.0).sum::<f64>() / n;
    let mean_y = points.iter().map(|point| point.1).sum::<f64>() / n;
    let square: f64 = points.iter().map(|point| (point.0 - mean_x) * (point.0 - mean_x)).sum();
    let product: f64 = points.iter().map(|point| (point.0 - mean_x) * (point.1 - mean_y)).sum();
    Some(product / square)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_slope_is_that_of_a_sum_done_by_hand() {
        // x = 0, 1, 2, 3; y = 5, 3, 2, 0: Sxx = 5, Sxy = -8.
        assert_eq!(slope(&[(0.0, 5.0), (1.0, 3.0), (2.0, 2.0), (3.0, 0.0)]), Some(-1.6));
        assert_eq!(slope(&[(0.0, 5.0), (1.0, 3.0)]), None);
    }
}
