//! The logger's true height over a whole campaign: rest, carrying about, stairs, hoisting, hanging, lowering by
//! hand, and the falls between them.
//!
//! A path is a polygon of true times (s) and heights above ground (m). People and hoists are unsteady: speeds are a
//! mean times an Ornstein-Uhlenbeck factor, hands hold a load about a metre up and move it by decimetres. None of it
//! is meant as biomechanics; it is there so that what is no drop looks like what it is.

use crate::draw::Draw;
use crate::gusts::OrnsteinUhlenbeck;

/// Distance of nodes while people or a hoist move the load, s.
const NODE_S: f64 = 0.1;
/// Height at which a load is held by hand, m.
const HAND_M: f64 = 1.0;

/// How the load is handled between drops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handling {
    /// Rest on the ground before each hoist, shortest and longest, s.
    pub rest_s: (f64, f64),
    /// Carrying about before each hoist, shortest and longest, s.
    pub carry_s: (f64, f64),
    /// Mean speed of the hoist, slowest and fastest, m/s.
    pub hoist_m_s: (f64, f64),
    /// Hanging at the top before letting go, shortest and longest, s.
    pub hang_s: (f64, f64),
    /// Chance before each drop that the load is hoisted and lowered again by hand.
    pub lowering_chance: f64,
    /// Chance before each drop that the load is carried up stairs and down again.
    pub stairs_chance: f64,
}

/// What was done with the load, besides dropping it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    /// Lowered by hand from the tower: not a drop.
    Lowering,
    /// Carried up stairs and down: not a drop.
    Stairs,
}

/// True heights over true time.
#[derive(Clone, Debug, Default)]
pub(crate) struct Path {
    time_s: Vec<f64>,
    height_m: Vec<f64>,
}

impl Path {
    pub(crate) fn new() -> Self {
        Self { time_s: vec![0.0], height_m: vec![0.0] }
    }

    pub(crate) fn end_s(&self) -> f64 {
        self.time_s[self.time_s.len() - 1]
    }

    pub(crate) fn height_m(&self) -> f64 {
        self.height_m[self.height_m.len() - 1]
    }

    /// Adds a node; times must grow.
    pub(crate) fn push(&mut self, time_s: f64, height_m: f64) {
        debug_assert!(time_s >= self.end_s());
        self.time_s.push(time_s);
        self.height_m.push(height_m);
    }

    /// Stays where it is.
    pub(crate) fn stay(&mut self, duration_s: f64) {
        self.push(self.end_s() + duration_s, self.height_m());
    }

    /// Walks about with the load in the hand, then stands with it at hand height.
    pub(crate) fn carry(&mut self, duration_s: f64, draw: &mut Draw) {
        self.lift_to(HAND_M, 0.7, draw);
        let mut sway = OrnsteinUhlenbeck::new(0.25, 1.0, NODE_S, draw);
        let base_m = self.height_m();
        let start_s = self.end_s();
        for k in 1..=(duration_s / NODE_S) as usize {
            let height_m = base_m + sway.step(draw) * (k as f64 * NODE_S).min(1.0);
            self.push(start_s + k as f64 * NODE_S, height_m.max(0.05));
        }
    }

    /// Moves unsteadily to a height at a mean speed.
    pub(crate) fn lift_to(&mut self, target_m: f64, speed_m_s: f64, draw: &mut Draw) {
        let direction = (target_m - self.height_m()).signum();
        let mut unsteady = OrnsteinUhlenbeck::new(0.3, 0.8, NODE_S, draw);
        loop {
            let step_m = NODE_S * speed_m_s * (1.0 + unsteady.step(draw)).clamp(0.1, 1.9);
            if (target_m - self.height_m()).abs() <= step_m {
                self.push(self.end_s() + NODE_S, target_m);
                return;
            }
            self.push(self.end_s() + NODE_S, self.height_m() + direction * step_m);
        }
    }

    /// Hangs and sways by a few centimetres; ends at the height it began with.
    pub(crate) fn hang(&mut self, duration_s: f64, draw: &mut Draw) {
        let (start_s, base_m) = (self.end_s(), self.height_m());
        let sway_m = 0.03 * draw.unit();
        let count = (duration_s / NODE_S).ceil().max(1.0);
        for k in 1..=count as usize {
            let part = k as f64 / count;
            let height_m = base_m + sway_m * libm::sin(2.5 * part * duration_s) * (1.0 - part);
            self.push(start_s + part * duration_s, height_m);
        }
    }

    /// Up some stairs and down again, by hand.
    pub(crate) fn stairs(&mut self, top_m: f64, draw: &mut Draw) {
        self.lift_to(top_m, draw.between(0.2, 0.4), draw);
        self.hang(draw.between(2.0, 10.0), draw);
        self.lift_to(HAND_M, draw.between(0.25, 0.5), draw);
    }

    /// A cursor that reads heights at times that never fall.
    pub(crate) fn reader(&self) -> PathReader<'_> {
        PathReader { path: self, node: 0 }
    }
}

/// Reads a path forwards.
pub(crate) struct PathReader<'a> {
    path: &'a Path,
    node: usize,
}

impl PathReader<'_> {
    /// Height at a time, linear between nodes; before the first and after the last node, that node's.
    pub(crate) fn at(&mut self, time_s: f64) -> f64 {
        let (times, heights) = (&self.path.time_s, &self.path.height_m);
        while self.node + 1 < times.len() && times[self.node + 1] <= time_s {
            self.node += 1;
        }
        if self.node + 1 == times.len() || time_s <= times[self.node] {
            return heights[self.node];
        }
        let part = (time_s - times[self.node]) / (times[self.node + 1] - times[self.node]);
        heights[self.node] + part * (heights[self.node + 1] - heights[self.node])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Purpose;

    #[test]
    fn a_reader_is_linear_between_nodes_and_flat_outside() {
        let mut path = Path::new();
        path.push(2.0, 4.0);
        path.push(3.0, 4.0);
        path.push(4.0, 0.0);
        let mut reader = path.reader();
        let read: Vec<f64> = [0.0, 0.5, 2.0, 2.5, 3.25, 9.0].iter().map(|&t| reader.at(t)).collect();
        assert_eq!(read, [0.0, 1.0, 4.0, 4.0, 3.0, 0.0]);
    }

    #[test]
    fn a_hoist_arrives_and_keeps_its_mean_speed() {
        let mut draw = Draw::new(9, Purpose::Handling);
        let mut total_s = 0.0;
        for _ in 0..200 {
            let mut path = Path::new();
            path.lift_to(12.0, 0.4, &mut draw);
            assert!((path.height_m() - 12.0).abs() < 1e-12);
            total_s += path.end_s();
        }
        assert!(
            (total_s / 200.0 / 30.0 - 1.0).abs() < 0.05,
            "12 m at 0.4 m/s take 30 s: {}",
            total_s / 200.0
        );
    }

    #[test]
    fn nothing_handled_moves_as_fast_as_a_drop() {
        let mut draw = Draw::new(10, Purpose::Handling);
        let mut path = Path::new();
        path.carry(20.0, &mut draw);
        path.stairs(6.0, &mut draw);
        path.lift_to(12.0, 0.6, &mut draw);
        path.lift_to(0.0, 1.2, &mut draw);
        // Mean over a second, as a drop's is: hand lowering stays below 2.3 m/s.
        let mut reader = path.reader();
        let heights: Vec<f64> = (0..path.end_s() as usize).map(|second| reader.at(second as f64)).collect();
        assert!(heights.windows(2).all(|pair| (pair[1] - pair[0]).abs() < 2.3));
    }
}
