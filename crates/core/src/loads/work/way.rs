//! The way down to an opening, and the speed at line stretch.
//!
//! With v_t² = 2 m g/(ρ D) and k = g/v_t²: v² = v_t² + (v₀² − v_t²) e^(−2 k s) after a fall of s,
//! v = v_t (v₀ + v_t tanh(g t/v_t))/(v_t + v₀ tanh(g t/v_t)) after a time, both exact at one density, for which that at the opening
//! is taken; level speed fades with e^(−k s), or 1/(1 + k v t).
//!
//! Source: Newton's second law with drag by the square of speed. Assumed: what braked before fills at once.

use crate::landing::PlannedBegin;
use crate::maths::{exp, sqrt, tanh};

/// Level and downward, m/s.
pub(super) type Speed = [f64; 2];

/// Without its direction, m/s.
pub(super) fn size([level, down]: Speed) -> f64 {
    sqrt(level * level + down * down)
}

/// The way down to an opening.
pub(super) struct Way {
    /// Height, where known, m.
    pub at_m: Option<f64>,
    /// Since the start, where known, s.
    pub after_s: Option<f64>,
    pub speed: Speed,
    /// g, m/s².
    pub pull: f64,
    /// ρ/(2 m), 1/m³·m².
    pub over: f64,
}

impl Way {
    /// Under what brakes, m², to where a stage begins; `None` where nothing tells how fast it is then.
    pub fn to(&mut self, begins: &PlannedBegin, drawn: Option<f64>, brakes_m2: f64) -> Option<()> {
        match (begins, drawn) {
            (PlannedBegin::Below { .. }, Some(height)) => {
                match self.at_m {
                    Some(at) => self.fall((at - height).max(0.0), brakes_m2),
                    None if brakes_m2 > 0.0 => self.speed = [0.0, self.settled(brakes_m2)],
                    None => return None,
                }
                (self.at_m, self.after_s) = (Some(height), None);
            }
            (PlannedBegin::After { .. }, Some(at_s)) => match self.after_s {
                Some(after) => self.time((at_s - after).max(0.0), brakes_m2),
                None if brakes_m2 > 0.0 => self.speed = [0.0, self.settled(brakes_m2)],
                None => return None,
            },
            _ => self.at_m.map(|_| ())?,
        }
        Some(())
    }

    fn settled(&self, brakes_m2: f64) -> f64 {
        sqrt(self.pull / (self.over * brakes_m2))
    }

    fn fall(&mut self, way_m: f64, brakes_m2: f64) {
        let [level, down] = self.speed;
        let k = self.over * brakes_m2;
        let down = if k > 0.0 {
            let square = self.pull / k;
            sqrt(square + (down * down - square) * exp(-2.0 * k * way_m))
        } else {
            sqrt(down * down + 2.0 * self.pull * way_m)
        };
        self.speed = [level * exp(-k * way_m), down];
    }

    pub fn time(&mut self, time_s: f64, brakes_m2: f64) {
        let [level, down] = self.speed;
        let k = self.over * brakes_m2;
        let next = if k > 0.0 {
            let rate = sqrt(self.pull / k);
            let bent = tanh(self.pull * time_s / rate);
            rate * (down + rate * bent) / (rate + down * bent)
        } else {
            down + self.pull * time_s
        };
        self.speed = [level / (1.0 + k * sqrt(level * level + down * down) * time_s), next];
        let fallen = 0.5 * (down + next) * time_s;
        self.at_m = self.at_m.map(|at| at - fallen);
        self.after_s = self.after_s.map(|after| after + time_s);
    }
}
