//! The first moments after release, against free fall: a bound on height scale and clock.
//!
//! Before the canopy carries, a load falls s = k g t² / 2 with k = 1; a recording whose heights are too long by the
//! factor H and whose clock counts C seconds for each shows k = H / C². With x = g t² / 2 of each sample,
//!
//! k = Σ x s / Σ x²,  u²(k) = u_s² / Σ x² + (k g Σ x t / Σ x² · u_t)²,
//!
//! u_s the standard uncertainty of a height, u_t that of the moment of release. t in s from release, s and x in m.
//!
//! Drag, a canopy held open, and a hand that follows only ever lessen k: k above 1 by two standard uncertainties is
//! a fault of scale or clock, k below 1 says nothing against them. That is a bound, H / C² ≥ k, and a coarse one:
//! with a release known to 0.02 s it is good to 10 %. It finds feet taken for metres (k = 3.3) and a clock at half speed (k = 4).
//!
//! Source: the law of falling bodies; uncertainty by JCGM 100:2008, 5.1.2. Only the first 0.4 s count: by then a bare
//! load that would be steady at 15 m/s has lost about 1 % to drag.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::ratio::ratio;
use uom::si::time::second;

use crate::air::Reading;
use crate::finding::{Code, Finding, Subject};
use crate::maths::sqrt;
use crate::quantity::{Acceleration, Length, Ratio, Time};
use crate::stats::distribution::normal_quantile;

/// How long after release a fall is looked at, s.
pub const WINDOW_S: f64 = 0.4;
/// Standard uncertainties above 1 that are a finding: 95 %.
const TOO_FAST: f64 = 2.0;

/// The samples of a fall from its release on.
#[derive(Clone, Copy, Debug)]
pub struct FirstMoments<'a> {
    /// Times after release, s; those outside 0 to [`WINDOW_S`] are left out.
    pub after_release_s: &'a [f64],
    /// Heights fallen since release, m, as many.
    pub fallen_m: &'a [f64],
    /// Standard uncertainty of one height: noise and step/√12 together.
    pub height_uncertainty: Length,
    /// Standard uncertainty of the moment of release.
    pub release_uncertainty: Time,
}

/// What the first moments say of scale and clock.
#[derive(Clone, Debug, PartialEq)]
pub struct FreeFallCheck {
    /// k: recorded fall over free fall.
    pub ratio: Reading<Ratio>,
    /// With 95 % on one side, the height scale over the square of the clock's is at least this.
    pub scale_over_clock_squared_at_least: Ratio,
    /// The finding where the fall is faster than free fall.
    pub finding: Option<Finding>,
}

/// Compares the first moments of a fall with free fall; `None` without a sample in the window, or where the lengths
/// differ.
///
/// # Examples
/// ```
/// use silkfall_core::finding::Subject;
/// use silkfall_core::height::{FirstMoments, check_free_fall};
/// use silkfall_core::quantity::{Acceleration, Length, Time};
/// use uom::si::{acceleration::meter_per_second_squared, length::meter, ratio::ratio, time::second};
///
/// // 10 m/s²: 0.05 m after 0.1 s, 0.8 m after 0.4 s.
/// let moments = FirstMoments {
///     after_release_s: &[0.1, 0.2, 0.3, 0.4],
///     fallen_m: &[0.05, 0.2, 0.45, 0.8],
///     height_uncertainty: Length::new::<meter>(0.05),
///     release_uncertainty: Time::new::<second>(0.02),
/// };
/// let gravity = Acceleration::new::<meter_per_second_squared>(10.0);
/// let check = check_free_fall(&moments, gravity, &Subject::Whole).unwrap();
/// assert!((check.ratio.value.get::<ratio>() - 1.0).abs() < 1e-12 && check.finding.is_none());
/// ```
pub fn check_free_fall(
    moments: &FirstMoments,
    gravity: Acceleration,
    subject: &Subject,
) -> Option<FreeFallCheck> {
    if moments.after_release_s.len() != moments.fallen_m.len() {
        return None;
    }
    let g = gravity.get::<meter_per_second_squared>();
    let (mut sum_xs, mut sum_xx, mut sum_xt) = (0.0, 0.0, 0.0);
    for (&t, &fallen_m) in moments.after_release_s.iter().zip(moments.fallen_m) {
        if t > 0.0 && t <= WINDOW_S {
            let x = 0.5 * g * t * t;
            sum_xs += x * fallen_m;
            sum_xx += x * x;
            sum_xt += x * t;
        }
    }
    let is_seen = sum_xx > 0.0;
    if !is_seen {
        return None;
    }
    let k = sum_xs / sum_xx;
    let by_heights = moments.height_uncertainty.get::<meter>() / sqrt(sum_xx);
    let by_release = k * g * sum_xt / sum_xx * moments.release_uncertainty.get::<second>();
    let uncertainty = sqrt(by_heights * by_heights + by_release * by_release);
    let finding = (k - 1.0 > TOO_FAST * uncertainty).then(|| {
        Finding::new(
            Code::HeightFallsTooFast,
            subject.clone(),
            format!(
                "the first {WINDOW_S} s after release go {k:.1} times as far as free fall, expected at most {:.1} times",
                1.0 + TOO_FAST * uncertainty
            ),
        )
    });
    let least = (k - normal_quantile(0.95) * uncertainty).max(0.0);
    Some(FreeFallCheck {
        ratio: Reading {
            value: Ratio::new::<ratio>(k),
            standard_uncertainty: Ratio::new::<ratio>(uncertainty),
        },
        scale_over_clock_squared_at_least: Ratio::new::<ratio>(least),
        finding,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::maths::{cosh, ln};
    use crate::stats::stream::{Stream, trials};

    const G: f64 = 9.806_65;

    fn check(times: &[f64], fallen: &[f64], height_m: f64, release_s: f64) -> Option<FreeFallCheck> {
        let moments = FirstMoments {
            after_release_s: times,
            fallen_m: fallen,
            height_uncertainty: Length::new::<meter>(height_m),
            release_uncertainty: Time::new::<second>(release_s),
        };
        check_free_fall(&moments, Acceleration::new::<meter_per_second_squared>(G), &Subject::Whole)
    }

    /// 50 samples a second until past the window.
    fn times() -> Vec<f64> {
        (0..30).map(|i| f64::from(i) * 0.02).collect()
    }

    fn fall_with_drag(t: f64, steady_m_per_s: f64) -> f64 {
        steady_m_per_s * steady_m_per_s / G * ln(cosh(G * t / steady_m_per_s))
    }

    #[test]
    fn feet_taken_for_metres_and_a_slow_clock_are_noticed() {
        let times = times();
        let feet: Vec<f64> = times.iter().map(|t| 0.5 * G * t * t / 0.3048).collect();
        let found = check(&times, &feet, 0.1, 0.03).unwrap();
        assert!((found.ratio.value.get::<ratio>() - 3.2808).abs() < 1e-3);
        assert_eq!(found.finding.unwrap().code, Code::HeightFallsTooFast);
        let slow: Vec<f64> = times.iter().map(|t| 0.5 * G * (2.0 * t) * (2.0 * t)).collect();
        assert!(check(&times, &slow, 0.1, 0.03).unwrap().finding.is_some());
    }

    #[test]
    fn drag_and_an_open_canopy_are_no_fault() {
        let times = times();
        for steady in [15.0, 4.0] {
            let fallen: Vec<f64> = times.iter().map(|&t| fall_with_drag(t, steady)).collect();
            let found = check(&times, &fallen, 0.02, 0.01).unwrap();
            assert!(found.ratio.value < Ratio::new::<ratio>(1.0) && found.finding.is_none());
            assert!(found.scale_over_clock_squared_at_least < Ratio::new::<ratio>(1.0));
        }
        // The claim of the module: 1 % by 0.4 s for a load that is steady at 15 m/s.
        assert!(fall_with_drag(0.4, 15.0) / (0.5 * G * 0.16) > 0.985);
    }

    #[test]
    fn nothing_in_the_window_is_no_check() {
        assert_eq!(check(&[0.0, 0.5, 1.0], &[0.0, 1.2, 4.9], 0.1, 0.02), None);
        assert_eq!(check(&[0.1], &[], 0.1, 0.02), None);
    }

    /// The stated uncertainty is that of 4000 invented releases, seed 40; the standard error of a standard deviation
    /// of n values is 1/√(2n) = 1.1 %, three of them allowed, and 2 % for the square of the release's error.
    #[test]
    fn the_stated_uncertainty_is_the_scatter() {
        let times = times();
        let (height_m, release_s) = (0.05, 0.01);
        let off: Vec<f64> = trials(0..4000, |trial| {
            let mut stream = Stream::new(40, trial);
            let late = release_s * stream.normal();
            let fallen: Vec<f64> = times
                .iter()
                .map(|t| 0.5 * G * (t + late).max(0.0) * (t + late).max(0.0) + height_m * stream.normal())
                .collect();
            let found = check(&times, &fallen, height_m, release_s).unwrap();
            (found.ratio.value.get::<ratio>() - 1.0) / found.ratio.standard_uncertainty.get::<ratio>()
        });
        let spread = sqrt(off.iter().map(|z| z * z).sum::<f64>() / off.len() as f64);
        assert!((spread - 1.0).abs() < 0.033 + 0.02, "{spread}");
    }
}
