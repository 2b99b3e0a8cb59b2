//! How a load comes to its steady rate under a canopy that fills while it falls.
//!
//! `w' = g' (1 - f w²/v²)`, `x' = w`, from rest at the release, with w the speed, x the way fallen, v the steady rate and
//! `g' = k g/(1 + a)`: the air in and around the canopy (a times the mass that falls) is carried along but not pulled.
//! The drag area grows with the way fallen, `f = f0 + (1 - f0) (x/X)^j` up to the filling way X: a canopy takes in a
//! column of air of so many diameters (about 8 of a flat circular canopy, from memory of NWC TP 6575, table 5-6). Once
//! f = 1 the motion is closed,
//!
//! `x = x1 + v s + (v²/g') ln((1 + c e^(-2 g' s/v))/(1 + c))`, `c = (v - w1)/(v + w1)`;
//!
//! before, it is stepped by the midpoint rule (second order, 25 ms: 1 mm of height). Units: metres, seconds. k is 1 where heights and times are
//! read right ([`super::gravity`] asks whether they are). Assumes still air of constant density. A fall already going on has f = 1 and a speed of its own at the beginning.

use crate::maths::{exp, ln, log1p};

/// Standard gravity, m/s²: what a free load gains a second.
pub(crate) const GRAVITY_M_PER_S2: f64 = 9.806_65;
const STEP_S: f64 = 0.025;

/// Parameters of the motion, in the order of the fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Motion(pub [f64; PARAMETERS]);

/// Number of parameters.
pub(crate) const PARAMETERS: usize = 9;
/// Height at release, m.
pub(crate) const TOP: usize = 0;
/// Time of release, s.
pub(crate) const RELEASE: usize = 1;
/// Steady rate of descent, m/s.
pub(crate) const RATE: usize = 2;
/// Logarithm of the mass of air carried along over the mass that falls.
pub(crate) const AIR: usize = 3;
/// Share of the drag area at release, as ln(f0/(1 - f0)).
pub(crate) const OPEN: usize = 4;
/// Logarithm of the filling way in metres.
pub(crate) const FILLING: usize = 5;
/// Speed at release over the steady rate.
pub(crate) const START: usize = 6;
/// Logarithm of the exponent with which the drag area grows along the filling way.
pub(crate) const GROWTH: usize = 7;
/// Logarithm of k: gravity as the recording has it over gravity.
pub(crate) const GRAVITY: usize = 8;

/// Where the canopy is full: time from release, way and speed there.
#[derive(Clone, Copy, Debug)]
struct Full {
    after_s: f64,
    way_m: f64,
    speed_m_per_s: f64,
}

impl Motion {
    pub(crate) fn rate(&self) -> f64 {
        self.0[RATE]
    }

    fn pull(&self) -> f64 {
        exp(self.0[GRAVITY]) * GRAVITY_M_PER_S2 / (1.0 + exp(self.0[AIR]))
    }

    /// Heights in metres at times in ascending order.
    pub(crate) fn heights(&self, time_s: impl Iterator<Item = f64>, out: &mut Vec<f64>) {
        out.clear();
        let mut stepper = Stepper::new(self);
        out.extend(time_s.map(|t| self.0[TOP] - stepper.way_m(t - self.0[RELEASE])));
    }

    /// Time from release after which the speed stays within a share `within` of steady, s.
    pub(crate) fn settled_after_s(&self, within: f64) -> f64 {
        let full = Stepper::new(self).full();
        let lead = self.lead(&full);
        let decay = 2.0 * self.pull() / self.rate();
        full.after_s + ln((2.0 * lead.abs() / within).max(1.0)) / decay
    }

    /// Share by which the speed is below steady at a time from release; negative above. 1 while the canopy fills.
    pub(crate) fn short_of_steady(&self, after_s: f64) -> f64 {
        let full = Stepper::new(self).full();
        if after_s < full.after_s {
            return 1.0;
        }
        let left = self.lead(&full) * exp(-2.0 * self.pull() / self.rate() * (after_s - full.after_s));
        2.0 * left / (1.0 + left)
    }

    fn lead(&self, full: &Full) -> f64 {
        (self.rate() - full.speed_m_per_s) / (self.rate() + full.speed_m_per_s)
    }
}

/// The closed form from where the canopy is full, with what is the same for all times worked out once.
struct Closed {
    full: Full,
    /// c, and ln(1 + c).
    lead: f64,
    ln_lead: f64,
    /// -2 g'/v, 1/s.
    fading: f64,
    /// v²/g', m.
    scale_m: f64,
}

/// Steps through the filling as far as it is asked, then gives the closed form.
struct Stepper<'a> {
    motion: &'a Motion,
    pull: f64,
    open: f64,
    filling_m: f64,
    growth: f64,
    at: Full,
    /// Gain of speed at `at`: every time within a step begins with it.
    gain_at: f64,
    closed: Option<Closed>,
}

impl<'a> Stepper<'a> {
    fn new(motion: &'a Motion) -> Self {
        let at = Full { after_s: 0.0, way_m: 0.0, speed_m_per_s: motion.0[START] * motion.rate() };
        let open = 1.0 / (1.0 + exp(-motion.0[OPEN]));
        let (filling_m, growth) = (exp(motion.0[FILLING]), exp(motion.0[GROWTH]));
        let pull = motion.pull();
        let mut stepper = Stepper { motion, pull, open, filling_m, growth, at, gain_at: 0.0, closed: None };
        stepper.gain_at = stepper.gain(at.way_m, at.speed_m_per_s);
        stepper
    }

    fn gain(&self, way_m: f64, speed: f64) -> f64 {
        // x^j as e^(j ln x): half the time of a general power, and this is the innermost line of every fit.
        let part = exp(self.growth * ln((way_m / self.filling_m).clamp(0.0, 1.0)));
        let share = self.open + (1.0 - self.open) * part;
        let ratio = speed / self.motion.rate();
        self.pull * (1.0 - share * ratio * ratio)
    }

    /// One midpoint step of `dt` from the present state.
    fn stepped(&self, dt: f64) -> Full {
        let Full { after_s, way_m, speed_m_per_s } = self.at;
        let middle_speed = speed_m_per_s + 0.5 * dt * self.gain_at;
        let middle_gain = self.gain(way_m + 0.5 * dt * speed_m_per_s, middle_speed);
        Full {
            after_s: after_s + dt,
            way_m: way_m + dt * middle_speed,
            speed_m_per_s: speed_m_per_s + dt * middle_gain,
        }
    }

    /// Way fallen at a time from release; times must not fall.
    fn way_m(&mut self, after_s: f64) -> f64 {
        if after_s <= 0.0 {
            return if self.motion.0[START] > 0.0 { self.at.speed_m_per_s * after_s } else { 0.0 };
        }
        while self.closed.is_none() && self.at.after_s + STEP_S <= after_s {
            self.step();
        }
        match &self.closed {
            Some(closed) => closed.way_m(self.motion.rate(), after_s - closed.full.after_s),
            None => self.stepped(after_s - self.at.after_s).way_m,
        }
    }

    fn step(&mut self) {
        let next = self.stepped(STEP_S);
        if next.way_m < self.filling_m && next.after_s < 20.0 {
            self.at = next;
            self.gain_at = self.gain(next.way_m, next.speed_m_per_s);
            return;
        }
        // The canopy is full within this step: where, to second order.
        let share =
            ((self.filling_m - self.at.way_m) / (next.way_m - self.at.way_m).max(1e-9)).clamp(0.0, 1.0);
        self.closed = Some(Closed::new(self.stepped(share * STEP_S), self.motion.rate(), self.pull));
    }

    fn full(&mut self) -> Full {
        loop {
            if let Some(closed) = &self.closed {
                return closed.full;
            }
            self.step();
        }
    }
}

impl Closed {
    fn new(full: Full, v: f64, pull: f64) -> Self {
        let lead = ((v - full.speed_m_per_s) / (v + full.speed_m_per_s)).max(-0.95);
        Closed { full, lead, ln_lead: log1p(lead), fading: -2.0 * pull / v, scale_m: v * v / pull }
    }

    /// Way fallen a time after the canopy was full.
    fn way_m(&self, v: f64, s: f64) -> f64 {
        let fade = exp(self.fading * s);
        self.full.way_m + v * s + self.scale_m * (log1p(self.lead * fade) - self.ln_lead)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Independent: fourth-order Runge-Kutta of the stated equations in 1 ms steps.
    fn reference(motion: &Motion, until_s: f64) -> f64 {
        let [top, release, v, air, open, filling, start, growth, gravity] = motion.0;
        let growth = exp(growth);
        let (pull, open, filling) =
            (exp(gravity) * GRAVITY_M_PER_S2 / (1.0 + exp(air)), 1.0 / (1.0 + exp(-open)), exp(filling));
        let gain = |x: f64, w: f64| {
            pull * (1.0 - (open + (1.0 - open) * (x / filling).min(1.0).powf(growth)) * (w / v).powi(2))
        };
        let (mut x, mut w, dt) = (0.0, start * v, 0.001);
        for _ in 0..((until_s - release) / dt).round() as usize {
            let (k1, l1) = (w, gain(x, w));
            let (k2, l2) = (w + 0.5 * dt * l1, gain(x + 0.5 * dt * k1, w + 0.5 * dt * l1));
            let (k3, l3) = (w + 0.5 * dt * l2, gain(x + 0.5 * dt * k2, w + 0.5 * dt * l2));
            let (k4, l4) = (w + dt * l3, gain(x + dt * k3, w + dt * l3));
            x += dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            w += dt / 6.0 * (l1 + 2.0 * l2 + 2.0 * l3 + l4);
        }
        top - x
    }

    #[test]
    fn heights_are_those_of_the_stated_equation() {
        for (open, filling, start, air, gravity) in
            [(-1.0, 0.9, 0.0, -1.3, 0.0), (1.0, -1.0, 0.0, -2.0, -0.4), (9.0, -9.0, 1.3, -1.0, 0.3)]
        {
            let motion = Motion([12.0, 0.5, 4.0, air, open, filling, start, 0.4, gravity]);
            let mut heights = Vec::new();
            motion.heights([0.5, 0.8, 1.1, 1.5, 2.5, 3.2].into_iter(), &mut heights);
            for (t, h) in [0.5, 0.8, 1.1, 1.5, 2.5, 3.2].iter().zip(&heights) {
                let exact = reference(&motion, *t);
                assert!((h - exact).abs() < 0.003, "{motion:?} at {t}: {h} {exact}");
            }
        }
    }

    #[test]
    fn a_full_canopy_from_rest_settles_as_the_hyperbolic_tangent() {
        // Full from the beginning: w = v tanh(g' t / v), so 1 % is left after (v/2g') ln(199) = 0.540 s · 4/(9.80665/1.25).
        let motion = Motion([10.0, 0.0, 4.0, ln(0.25), 30.0, -9.0, 0.0, 0.0, 0.0]);
        let expected = 0.5 * 4.0 * 1.25 / GRAVITY_M_PER_S2 * ln(199.0);
        // `within` counts 2 c e^..: the exact deviation is that over (1 + c e^..), half a per cent of a per cent less.
        assert!((motion.settled_after_s(0.01) - expected).abs() < 0.01);
        assert!((motion.short_of_steady(expected) - 0.01).abs() < 1e-3);
    }
}
