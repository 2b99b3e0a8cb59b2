//! Whether a recording falls as gravity lets it: a check of height scale and clock for gross faults.
//!
//! A load that is let go gains speed by g, less what its canopy and the air that goes along take. Heights too long by the
//! factor H, and a clock that counts C seconds for each, make of it k g with
//!
//! k = H / C²: 3.3 for feet read as metres, 0.3 for metres read as feet, 4 for a clock at half its speed.
//!
//! Each drop is fitted once more with ln k as a parameter of its own ([`super::motion`]), beside level, release, rate and all
//! that is not known of the canopy. Of the drops of a recording, x = ln k and its information i = 1/u²(x) without the
//! prior, the mean is
//!
//! m = Σ w x / Σ w, w = 1/(1/i + s²), u²(m) = 1/Σ w + c²,
//!
//! s = 0.4 for what the motion leaves out (a swing, a logger's smoothing), c = 0.1 for what of that all drops share: judgements.
//! A fault is claimed where |m| > ln 2.5 and |m| > 2.5 u(m): that is far from what canopies do (a part-open one and the air it carries pull k
//! to between 0.58 and 0.91 in the first 0.4 s) and from anything smaller than a mistaken unit. docs/checks/coverage.md counts
//! false claims and faults noticed; docs/DESIGN.md says why no finer check is made. A drop beyond e^2 tells of no unit or
//! clock but of a bang at release, and is not counted.
//!
//! Dimensionless. Source: the law of falling bodies. Not here: drops whose release is not in the recording.

use super::RateConfig;
use super::errors::{Errors, Gust};
use super::gls::{self, Fit, Known, Prior};
use super::motion::GRAVITY;
use super::points::Point;
use crate::drops::Noise;
use crate::finding::{Code, Finding, Subject};
use crate::maths::{exp, ln, sqrt};

/// Standard deviation of ln k beforehand: it keeps the fit from running away, and is taken out again.
const BEFOREHAND: f64 = 1.0;
/// s and c of the module.
const OF_A_DROP: f64 = 0.4;
const OF_ALL_DROPS: f64 = 0.1;
/// Standard uncertainties beyond which a fault is claimed.
const CLAIM: f64 = 2.5;
/// The smallest factor that is claimed.
const GROSS: f64 = 2.5;
/// |ln k| beyond which a drop tells of something else.
const FURTHEST: f64 = 2.0;
/// Rounds of the fit, from where the fit without ln k ended.
const ROUNDS: usize = 8;

/// What one drop says of gravity as recorded, over gravity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GravitySeen {
    /// ln k: 0 where heights and clock are right.
    pub log_ratio: f64,
    /// 1/u²(ln k), without the prior.
    pub information: f64,
}

/// Fits a drop once more, with gravity not known, from its best fit with gravity known.
pub(super) fn seen(
    fits: &[Option<Fit>],
    points: &[Point],
    (start_s, noise): (f64, &Noise),
    prior: &Prior,
    cfg: &RateConfig,
) -> Option<GravitySeen> {
    let (level, best) = fits
        .iter()
        .enumerate()
        .filter_map(|(n, fit)| fit.as_ref().map(|fit| (n, fit)))
        .max_by(|a, b| a.1.restricted_log_likelihood.total_cmp(&b.1.restricted_log_likelihood))?;
    let gust = Gust { deviation_m_per_s: cfg.gusts_m_per_s[level].0, correlation_s: cfg.gust_correlation_s };
    let mut asked = *prior;
    asked[GRAVITY] = Known::About(0.0, BEFOREHAND);
    let errors = Errors::new(points, start_s, noise, gust)?;
    let fit = gls::fit(points, &errors, &best.course, &asked, ROUNDS)?;
    let of_prior = 1.0 / (BEFOREHAND * BEFOREHAND);
    let information = 1.0 / fit.gravity_variance - of_prior;
    // A drop that says next to nothing has nothing to divide by.
    (information > 1e-3).then(|| GravitySeen {
        log_ratio: fit.motion().0[GRAVITY] * (information + of_prior) / information,
        information,
    })
}

/// Asks the drops of one recording together whether its height scale or clock is grossly wrong.
///
/// # Examples
/// ```
/// use silkfall_core::finding::{Code, Subject};
/// use silkfall_core::rates::{GravitySeen, check_gravity};
///
/// // Four drops, k = 3.3 known to a half each; and the same of k = 1.2.
/// let drops = |k: f64| [GravitySeen { log_ratio: k.ln(), information: 1.0 / 0.25 }; 4];
/// assert_eq!(check_gravity(&drops(3.3), &Subject::Whole).unwrap().code, Code::HeightFallsTooFast);
/// assert!(check_gravity(&drops(1.2), &Subject::Whole).is_none());
/// ```
pub fn check_gravity(drops: &[GravitySeen], subject: &Subject) -> Option<Finding> {
    let (mut sum, mut weights, mut count) = (0.0, 0.0, 0);
    for drop in drops.iter().filter(|drop| drop.log_ratio.abs() < FURTHEST) {
        let weight = 1.0 / (1.0 / drop.information + OF_A_DROP * OF_A_DROP);
        sum += weight * drop.log_ratio;
        weights += weight;
        count += 1;
    }
    let is_asked = weights > 0.0;
    if !is_asked {
        return None;
    }
    let mean = sum / weights;
    let uncertainty = sqrt(1.0 / weights + OF_ALL_DROPS * OF_ALL_DROPS);
    if mean.abs() <= ln(GROSS) || mean.abs() <= CLAIM * uncertainty {
        return None;
    }
    let (code, cause) = if mean > 0.0 {
        (Code::HeightFallsTooFast, "feet read as metres make 3.3, a clock at half its speed 4")
    } else {
        (Code::HeightFallsTooSlow, "metres read as feet make 0.3, a clock at twice its speed 0.25")
    };
    let message = format!(
        "{} as if gravity were {:.1} times what it is ({:.1} to {:.1}); {cause}",
        if count == 1 {
            "its one drop gains speed".to_owned()
        } else {
            format!("its {count} drops gain speed")
        },
        exp(mean),
        exp(mean - 1.96 * uncertainty),
        exp(mean + 1.96 * uncertainty)
    );
    Some(Finding::new(code, subject.clone(), message))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drops(log_ratios: &[f64], u: f64) -> Vec<GravitySeen> {
        log_ratios.iter().map(|&log_ratio| GravitySeen { log_ratio, information: 1.0 / (u * u) }).collect()
    }

    fn code(log_ratios: &[f64], u: f64) -> Option<Code> {
        check_gravity(&drops(log_ratios, u), &Subject::Whole).map(|finding| finding.code)
    }

    /// One drop with u = 0.4: √(0.16 + 0.16 + 0.01) = 0.57, so that 2.5 u = 1.44; four of them √(0.32/4 + 0.01) = 0.30, 0.75,
    /// where ln 2.5 = 0.916 is what counts.
    #[test]
    fn a_claim_needs_a_gross_factor_and_certainty() {
        assert_eq!(code(&[1.4], 0.4), None);
        assert_eq!(code(&[1.5], 0.4), Some(Code::HeightFallsTooFast));
        assert_eq!(code(&[0.9; 4], 0.4), None);
        assert_eq!(code(&[0.95; 4], 0.4), Some(Code::HeightFallsTooFast));
        assert_eq!(code(&[-0.95; 4], 0.4), Some(Code::HeightFallsTooSlow));
        assert_eq!(code(&[], 0.4), None);
    }

    #[test]
    fn a_bang_at_release_is_not_counted() {
        assert_eq!(code(&[6.0, 0.1, -0.1], 0.2), None);
        assert_eq!(code(&[6.0], 0.2), None);
    }

    #[test]
    fn the_claim_names_the_likely_mistake() {
        let finding = check_gravity(&drops(&[1.19; 4], 0.4), &Subject::Whole).unwrap();
        assert_eq!(
            finding.message,
            "its 4 drops gain speed as if gravity were 3.3 times what it is (1.8 to 5.9); feet read as metres make 3.3, a \
             clock at half its speed 4"
        );
    }
}
