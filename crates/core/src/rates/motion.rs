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

use nalgebra::DMatrix;

use super::slopes::{Real, Sloped};
use crate::maths::{exp, ln};

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

/// A moment of the motion: time from release, way and speed.
#[derive(Clone, Copy, Debug)]
struct Moment<R> {
    after_s: R,
    way_m: R,
    speed_m_per_s: R,
}

/// A motion worked out at given times.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    /// The motion.
    pub motion: Motion,
    /// Heights, m.
    pub heights_m: Vec<f64>,
    /// Slopes of the heights by the parameters: a row a time, a column a parameter.
    pub slopes: DMatrix<f64>,
}

impl Motion {
    pub(crate) fn rate(&self) -> f64 {
        self.0[RATE]
    }

    /// Heights in metres, and their slopes, at times in ascending order.
    pub(crate) fn course(&self, time_s: impl ExactSizeIterator<Item = f64>) -> Course {
        let mut course = Course {
            motion: *self,
            heights_m: Vec::with_capacity(time_s.len()),
            slopes: DMatrix::zeros(time_s.len(), PARAMETERS),
        };
        // The height at release is added to all others: its slope is one.
        let parameters = std::array::from_fn(|k| match k {
            TOP => Sloped::of(self.0[TOP]),
            _ => Sloped::<{ PARAMETERS - 1 }>::parameter(self.0[k], k - 1),
        });
        let mut stepper = Stepper::new(parameters);
        for (row, time_s) in time_s.enumerate() {
            let way = stepper.way_m(Sloped::of(time_s) - parameters[RELEASE]);
            course.heights_m.push(self.0[TOP] - way.value());
            course.slopes[(row, TOP)] = 1.0;
            for (k, slope) in way.slopes().iter().enumerate() {
                course.slopes[(row, k + 1)] = -slope;
            }
        }
        course
    }

    /// Time from release after which the speed stays within a share `within` of steady, s.
    pub(crate) fn settled_after_s(&self, within: f64) -> f64 {
        let closed = Stepper::new(self.0).closed();
        let lead = self.lead(&closed.full);
        closed.full.after_s - ln((2.0 * lead.abs() / within).max(1.0)) / closed.fading
    }

    /// Share by which the speed is below steady at a time from release; negative above. 1 while the canopy fills.
    pub(crate) fn short_of_steady(&self, after_s: f64) -> f64 {
        let closed = Stepper::new(self.0).closed();
        let since_s = after_s - closed.full.after_s;
        if since_s < 0.0 {
            return 1.0;
        }
        let left = self.lead(&closed.full) * exp(closed.fading * since_s);
        2.0 * left / (1.0 + left)
    }

    fn lead(&self, full: &Moment<f64>) -> f64 {
        (self.rate() - full.speed_m_per_s) / (self.rate() + full.speed_m_per_s)
    }
}

/// The closed form from where the canopy is full, with what is the same for all times worked out once.
struct Closed<R> {
    full: Moment<R>,
    /// c, and ln(1 + c).
    lead: R,
    ln_lead: R,
    /// -2 g'/v, 1/s.
    fading: R,
    /// v²/g', m.
    scale_m: R,
}

/// Steps through the filling as far as it is asked, then gives the closed form.
struct Stepper<R> {
    rate: R,
    /// 1/v².
    of_steady: R,
    pull: R,
    open: R,
    still_shut: R,
    ln_filling: R,
    filling_m: f64,
    growth: R,
    moves_at_first: bool,
    at: Moment<R>,
    /// Gain of speed at `at`: every time within a step begins with it.
    gain_at: R,
    closed: Option<Closed<R>>,
}

impl<R: Real> Stepper<R> {
    fn new(parameters: [R; PARAMETERS]) -> Self {
        let [rate, air, open, ln_filling, start, growth, gravity] =
            [RATE, AIR, OPEN, FILLING, START, GROWTH, GRAVITY].map(|k| parameters[k]);
        let one = R::of(1.0);
        let open = one / (one + (R::of(0.0) - open).exp());
        let pull = gravity.exp() * R::of(GRAVITY_M_PER_S2) / (one + air.exp());
        let at = Moment { after_s: R::of(0.0), way_m: R::of(0.0), speed_m_per_s: start * rate };
        let mut stepper = Stepper {
            rate,
            of_steady: one / (rate * rate),
            pull,
            open,
            still_shut: one - open,
            ln_filling,
            filling_m: exp(ln_filling.value()),
            growth: growth.exp(),
            moves_at_first: start.value() > 0.0,
            at,
            gain_at: pull,
            closed: None,
        };
        stepper.gain_at = stepper.gain(at.way_m, at.speed_m_per_s);
        stepper
    }

    fn gain(&self, way_m: R, speed: R) -> R {
        let share = if way_m.value() <= 0.0 {
            self.open
        } else if way_m.value() >= self.filling_m {
            R::of(1.0)
        } else {
            // x^j as e^(j ln x): half the time of a general power, and this is the innermost line of every fit.
            self.open + self.still_shut * (self.growth * (way_m.ln() - self.ln_filling)).exp()
        };
        self.pull - self.pull * share * (speed * speed * self.of_steady)
    }

    /// One midpoint step of `dt` from the present state.
    fn stepped(&self, dt: R) -> Moment<R> {
        let Moment { after_s, way_m, speed_m_per_s } = self.at;
        let half = R::of(0.5) * dt;
        let middle_speed = speed_m_per_s + half * self.gain_at;
        let middle_gain = self.gain(way_m + half * speed_m_per_s, middle_speed);
        Moment {
            after_s: after_s + dt,
            way_m: way_m + dt * middle_speed,
            speed_m_per_s: speed_m_per_s + dt * middle_gain,
        }
    }

    /// Way fallen at a time from release; times must not fall.
    fn way_m(&mut self, after_s: R) -> R {
        if after_s.value() <= 0.0 {
            return if self.moves_at_first { self.at.speed_m_per_s * after_s } else { R::of(0.0) };
        }
        while self.closed.is_none() && self.at.after_s.value() + STEP_S <= after_s.value() {
            self.step();
        }
        match &self.closed {
            Some(closed) => closed.way_m(self.rate, after_s - closed.full.after_s),
            None => self.stepped(after_s - self.at.after_s).way_m,
        }
    }

    fn step(&mut self) {
        let next = self.stepped(R::of(STEP_S));
        if next.way_m.value() < self.filling_m && next.after_s.value() < 20.0 {
            self.at = next;
            self.gain_at = self.gain(next.way_m, next.speed_m_per_s);
            return;
        }
        // The canopy is full within this step: where, to second order.
        let gained = next.way_m - self.at.way_m;
        let share =
            if gained.value() > 1e-9 { (self.ln_filling.exp() - self.at.way_m) / gained } else { R::of(1.0) };
        let share = match share.value() {
            low if low <= 0.0 => R::of(0.0),
            high if high >= 1.0 => R::of(1.0),
            _ => share,
        };
        self.closed = Some(Closed::new(self.stepped(share * R::of(STEP_S)), self.rate, self.pull));
    }

    /// The closed form that the filling leads to.
    fn closed(mut self) -> Closed<R> {
        loop {
            if let Some(closed) = self.closed {
                return closed;
            }
            self.step();
        }
    }
}

impl<R: Real> Closed<R> {
    fn new(full: Moment<R>, v: R, pull: R) -> Self {
        let lead = (v - full.speed_m_per_s) / (v + full.speed_m_per_s);
        let lead = if lead.value() > -0.95 { lead } else { R::of(-0.95) };
        Closed { full, lead, ln_lead: lead.log1p(), fading: R::of(-2.0) * pull / v, scale_m: v * v / pull }
    }

    /// Way fallen a time after the canopy was full.
    fn way_m(&self, v: R, s: R) -> R {
        let fade = (self.fading * s).exp();
        self.full.way_m + v * s + self.scale_m * ((self.lead * fade).log1p() - self.ln_lead)
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
            let heights = motion.course([0.5, 0.8, 1.1, 1.5, 2.5, 3.2].into_iter()).heights_m;
            for (t, h) in [0.5, 0.8, 1.1, 1.5, 2.5, 3.2].iter().zip(&heights) {
                let exact = reference(&motion, *t);
                assert!((h - exact).abs() < 0.003, "{motion:?} at {t}: {h} {exact}");
            }
        }
    }

    /// Independent: central differences of the heights themselves.
    #[test]
    fn slopes_are_those_of_the_heights() {
        // Between the steps, at whose ends the slopes of a stepped motion jump.
        let times = [0.3, 0.53, 0.81, 1.12, 1.51, 2.51, 3.21];
        for (open, filling, start, gravity) in
            [(-1.0, 0.9, 0.2, 0.0), (1.0, -1.0, 0.1, -0.4), (9.0, -9.0, 1.3, 0.3)]
        {
            let motion = Motion([12.0, 0.5, 4.0, -1.3, open, filling, start, 0.4, gravity]);
            let course = motion.course(times.into_iter());
            for k in 0..PARAMETERS {
                let step = 1e-5;
                let [above, below] = [step, -step].map(|step| {
                    let mut moved = motion;
                    moved.0[k] += step;
                    moved.course(times.into_iter()).heights_m
                });
                for (row, (above, below)) in above.iter().zip(&below).enumerate() {
                    let expected = (above - below) / (2.0 * step);
                    let got = course.slopes[(row, k)];
                    assert!((got - expected).abs() < 1e-6, "{k} at {}: {got} {expected}", times[row]);
                }
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
