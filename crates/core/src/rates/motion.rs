//! How a filled canopy comes to its steady rate: the exact solution, and its derivatives.
//!
//! With drag area constant, `w' = g' (1 - w²/v²)`, g' = g m/(m + m_air) (the air in and around the canopy is carried
//! along but not pulled), the height is
//!
//! `h(s) = h1 - v s - (v²/g') ln(1 + c e^(-2 g' s/v))`,  `c = (v - w0)/(v + w0)`,
//!
//! s seconds after the beginning and w0 the speed there: c is 1 from rest, 0 at the steady rate v, negative when the
//! load came faster than that (it fell freely while the canopy filled). `h1 - v s` is the line the fall ends on.
//! Units: metres, seconds. Source: integration of the stated equation. Assumes still air of constant density.

use crate::maths::{exp, ln, log1p};

/// Standard gravity, m/s²: what a free load gains a second.
pub(crate) const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Parameters of the motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Motion {
    /// Where the final line stands at s = 0, m.
    pub line_m: f64,
    /// Steady rate of descent, m/s.
    pub rate_m_per_s: f64,
    /// What is left of the way to the steady rate at s = 0, between -1 and 1.
    pub lead: f64,
    /// Mass of air moved along, over the mass that falls.
    pub air_share: f64,
}

/// Number of parameters, in the order of the fields.
pub(crate) const PARAMETERS: usize = 4;

impl Motion {
    /// Rate at which the deviation dies away, 1/s: 2 g'/v.
    pub(crate) fn decay_per_s(&self) -> f64 {
        2.0 * GRAVITY_M_PER_S2 / (1.0 + self.air_share) / self.rate_m_per_s
    }

    /// Share by which the speed at s is below the steady rate (negative: above).
    pub(crate) fn short_of_steady(&self, s: f64) -> f64 {
        let left = self.lead * exp(-self.decay_per_s() * s);
        2.0 * left / (1.0 + left)
    }

    /// Height at s and its derivatives by the four parameters.
    pub(crate) fn slopes(&self, s: f64) -> (f64, [f64; PARAMETERS]) {
        let (v, share) = (self.rate_m_per_s, 1.0 + self.air_share);
        let pull = GRAVITY_M_PER_S2 / share;
        let fade = exp(-self.decay_per_s() * s);
        let left = (self.lead * fade).max(-0.999);
        let log = log1p(left);
        let height = self.line_m - v * s - v * v / pull * log;
        let fraction = left / (1.0 + left);
        let by_rate = -s - 2.0 * v / pull * log - 2.0 * s * fraction;
        let by_lead = -v * v / pull * fade / (1.0 + left);
        let by_share = -v * v / GRAVITY_M_PER_S2 * log - 2.0 * v * s / share * fraction;
        (height, [1.0, by_rate, by_lead, by_share])
    }

    /// Time after s = 0 from which the speed stays within a share `within` of steady, s.
    pub(crate) fn settled_after_s(&self, within: f64) -> f64 {
        (ln((2.0 * self.lead.abs() / within).max(1.0)) / self.decay_per_s()).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn height_m(motion: &Motion, s: f64) -> f64 {
        motion.slopes(s).0
    }

    const MOTION: Motion = Motion { line_m: 10.0, rate_m_per_s: 4.0, lead: 0.6, air_share: 0.25 };

    /// Independent: fourth-order Runge-Kutta of the stated equation in 1 ms steps.
    #[test]
    fn the_closed_form_is_the_integrated_motion() {
        for (lead, share) in [(1.0, 0.0), (0.4, 0.3), (-0.35, 0.2)] {
            let motion = Motion { lead, air_share: share, ..MOTION };
            let pull = GRAVITY_M_PER_S2 / (1.0 + share);
            let gain = |w: f64| pull * (1.0 - w * w / 16.0);
            let (mut w, mut fallen) = (4.0 * (1.0 - lead) / (1.0 + lead), 0.0);
            let dt = 0.001;
            for _ in 0..1500 {
                let k1 = gain(w);
                let k2 = gain(w + 0.5 * dt * k1);
                let k3 = gain(w + 0.5 * dt * k2);
                let k4 = gain(w + dt * k3);
                fallen += dt * (w + dt / 6.0 * (k1 + k2 + k3));
                w += dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            }
            let closed = height_m(&motion, 0.0) - height_m(&motion, 1.5);
            assert!((closed - fallen).abs() < 1e-6, "{lead}: {closed} {fallen}");
            assert!((1.0 - w / 4.0 - motion.short_of_steady(1.5)).abs() < 1e-6);
        }
    }

    #[test]
    fn slopes_are_the_differences() {
        let step = 1e-6;
        for s in [0.0, 0.3, 1.4] {
            let (_, slopes) = MOTION.slopes(s);
            let moved = [
                Motion { line_m: MOTION.line_m + step, ..MOTION },
                Motion { rate_m_per_s: MOTION.rate_m_per_s + step, ..MOTION },
                Motion { lead: MOTION.lead + step, ..MOTION },
                Motion { air_share: MOTION.air_share + step, ..MOTION },
            ];
            for (slope, other) in slopes.iter().zip(moved) {
                let difference = (height_m(&other, s) - height_m(&MOTION, s)) / step;
                assert!((slope - difference).abs() < 1e-4, "at {s}: {slope} {difference}");
            }
        }
    }
}
