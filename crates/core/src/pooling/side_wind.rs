//! Wind from the side slows a canopy, whichever way it blows.
//!
//! Drag goes with the whole speed through the air: with u sideways a canopy sinks at w, `w √(w² + u²) = v²`, so that
//! `w ≈ v (1 - u²/4v²)`. A steady wind carries the load along and leaves no u; a gust does until the load follows it, which takes
//! `τ = v (1 + a)/g`, a the mass of air carried along over the mass that falls. Of gusts of deviation `s = i W` that forget
//! themselves in T, in both directions of the plane, there is left (first-order lag behind an exponential covariance)
//!
//! `E(u²) = 2 s² τ/(τ + T)`, and the share by which the canopy is slowed is `x = E(u²)/4v²`.
//!
//! W is the mean wind near the ground, i = 0.25 (judgement: open ground at the height of towers; 0.1 to 0.4 is met), T and a as
//! the fits take them ([`RateConfig`]). Since i is not known, x lies anywhere between none and twice this. At 4 m/s of wind
//! x is 1.1 % of 3.5 m/s, and drag areas come out twice that too large where it is left out. Range: W up to twice v. Not
//! here: glide, and the wind that grows with height, which leaves some 0.1 % at a tower's height.

use uom::si::velocity::meter_per_second;

use crate::quantity::Velocity;
use crate::rates::{GRAVITY_M_PER_S2, RateConfig};

/// Deviation of gusts over the mean wind.
const GUSTS_OF_WIND: f64 = 0.25;

/// The share of its steady rate by which gusts of a wind are expected to slow a canopy; it may be none or twice that.
///
/// # Examples
/// ```
/// use silkfall_core::pooling::slowed_by_side_wind;
/// use silkfall_core::quantity::Velocity;
/// use uom::si::velocity::meter_per_second;
///
/// let speed = Velocity::new::<meter_per_second>;
/// // τ = 3.5·1.25/9.80665 = 0.446 s; 2·1²·0.446/1.646 = 0.542 m²/s²; over 4·3.5² that is 1.1 %.
/// assert!((slowed_by_side_wind(speed(3.5), speed(4.0)) - 0.01106).abs() < 1e-5);
/// assert_eq!(slowed_by_side_wind(speed(3.5), speed(0.0)), 0.0);
/// ```
pub fn slowed_by_side_wind(rate: Velocity, wind: Velocity) -> f64 {
    let cfg = RateConfig::default();
    let rate_m_per_s = rate.get::<meter_per_second>();
    let gust_m_per_s = GUSTS_OF_WIND * wind.get::<meter_per_second>();
    let follows_s = rate_m_per_s * (1.0 + cfg.air_share.0) / GRAVITY_M_PER_S2;
    let left_m2_per_s2 = 2.0 * gust_m_per_s * gust_m_per_s * follows_s / (follows_s + cfg.gust_correlation_s);
    left_m2_per_s2 / (4.0 * rate_m_per_s * rate_m_per_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::stream::Stream;

    /// Independent: a load under a canopy in gusts of the plane, stepped through hours of them: `(1 + a) V' = g - g |V| V/v²` with V the
    /// velocity through the air. Within 8 %: some 2 % of chance, and what the first order of the formula leaves out.
    #[test]
    fn a_canopy_flown_through_gusts_is_slowed_by_as_much() {
        let cfg = RateConfig::default();
        let speed = Velocity::new::<meter_per_second>;
        for (rate, wind) in [(3.5, 4.0), (5.0, 5.0), (3.0, 2.0)] {
            let (a, t, s) = (cfg.air_share.0, cfg.gust_correlation_s, GUSTS_OF_WIND * wind);
            let (dt, hours) = (0.01, 8.0);
            let (mut down, mut sideways, mut air) = (rate, [0.0_f64; 2], [0.0_f64; 2]);
            let mut stream = Stream::new(3, 0);
            let keep = f64::exp(-dt / t);
            let steps = (hours * 3600.0 / dt) as usize;
            let mut sum = 0.0;
            for _ in 0..steps {
                let through = [air[0] - sideways[0], air[1] - sideways[1]];
                let whole = (down * down + through[0].powi(2) + through[1].powi(2)).sqrt();
                let pull = GRAVITY_M_PER_S2 * whole / (rate * rate) / (1.0 + a);
                down += dt * (GRAVITY_M_PER_S2 / (1.0 + a) - pull * down);
                for k in 0..2 {
                    sideways[k] += dt * pull * through[k];
                    air[k] = keep * air[k] + s * (1.0 - keep * keep).sqrt() * stream.normal();
                }
                sum += down;
            }
            let slowed = 1.0 - sum / steps as f64 / rate;
            let expected = slowed_by_side_wind(speed(rate), speed(wind));
            assert!((slowed / expected - 1.0).abs() < 0.08, "{rate} {wind}: {slowed} {expected}");
        }
    }
}
