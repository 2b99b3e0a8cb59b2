//! An opening in two steps: held small by a reefing line or a slider, then let go.
//!
//! While held, the drag area fills to the share ζ of the full one over t_f1 = n D₀ √ζ/v_s; a line then holds it until it is cut, and
//! the rest fills over t_f2 = n D₀ √(1 − ζ)/v_r, v_r the speed at the cut. A slider comes down at once, in a time of its own. Each
//! step is stepped as any opening ([`super::Motion`]), the second from the speed at which the first ends; the air goes with
//! (C_D S)^(3/2), as everywhere. A line that would be cut before the held canopy is full is taken to be cut when it is.
//!
//! The line runs round the mouth: where the drag area goes with the area of the mouth, L = π D_m √ζ, D_m the mouth's diameter when all
//! is open. Cloth above a small mouth bulges, so that the wanted share asks for a shorter line: down to 0.7 of that, a judgement of
//! ours; only a drop with the line tells.
//!
//! Source: forms of t_f1 and t_f2 from memory of Knacke, Parachute Recovery Systems Design Manual (1992), section 5.4; the line's
//! length worked out here from the circle of the mouth. Not here: several lines cut one after the other, a slider's own drag.

use super::pflanz::{ballistic_parameter, least_fill_speed_m_per_s};
use super::{Growth, Motion, STEPS};
use crate::derivation::{Derivation, Input, num, sym};
use crate::landing::Holds;
use crate::ledger::Trust;
use crate::maths::sqrt;
use crate::quantity::Kind;

/// The line's length over that of the mouth's circle: from, best, to.
pub const LINE_OVER_CIRCLE: [f64; 3] = [0.7, 0.85, 1.0];

/// How long a whole canopy fills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Over {
    /// s.
    Time(f64),
    /// m of fall, n D₀.
    Distance(f64),
}

impl Over {
    /// Time for a part of it from a speed, s, and the speed that goes with it: from rest it gains some while it fills.
    pub fn from_speed(self, speed: f64, part: f64, gravity: f64) -> (f64, f64) {
        match self {
            Over::Time(time) => (part * time, speed.max(0.5 * gravity * part * time)),
            Over::Distance(distance) => {
                let scale = speed.max(least_fill_speed_m_per_s(gravity, part * distance));
                (part * distance / scale, scale)
            }
        }
    }
}

/// A load under its canopies; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slung {
    /// Of all that comes down, kg.
    pub mass_kg: f64,
    /// Of the air, kg/m³.
    pub density: f64,
    /// m/s².
    pub gravity: f64,
    /// Drag area of all canopies when open, m².
    pub area_m2: f64,
    /// Of what brakes beside them, m².
    pub beside_m2: f64,
    /// Air taken along when all is open, kg.
    pub air_kg: f64,
}

/// A load, its canopies, and how they are held; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reefed {
    /// The load.
    pub slung: Slung,
    /// Level and downward at line stretch, m/s.
    pub start: [f64; 2],
    /// ζ, above 0 and below 1.
    pub share: f64,
    /// What holds it.
    pub by: Holds,
    /// A line: from line stretch to the cut; a slider: how long it comes down, s.
    pub held_s: f64,
    /// Filling of the held part: over what a whole canopy would fill, and its exponent.
    pub first: (Over, f64),
    /// Filling of the rest.
    pub second: (Over, f64),
}

/// What an opening in two steps comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steps {
    /// Largest pull of all canopies while held, N.
    pub held_n: f64,
    /// Largest pull after, N.
    pub after_n: f64,
    /// Speed when it is let go, m/s.
    pub let_go_m_per_s: f64,
    /// Fallen from line stretch until all is open, m.
    pub lost_m: f64,
}

impl Steps {
    /// With pulls that many times as large.
    #[must_use]
    pub fn times(self, factor: f64) -> Steps {
        Steps { held_n: factor * self.held_n, after_n: factor * self.after_n, ..self }
    }
}

/// One step as [`Motion`], with its units.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    /// The motion.
    pub motion: Motion,
    /// What grows in it.
    pub growth: Growth,
    /// Until when, in `unit_s`.
    pub until: f64,
    /// Seconds of τ = 1.
    pub unit_s: f64,
    /// m/s of u = 1.
    pub unit_m_per_s: f64,
    /// N of a pull of 1.
    pub unit_n: f64,
}

impl Slung {
    /// The opening from a velocity, level and downward, of a part of all over so much, with its exponent; forces without the opening
    /// force factor.
    pub fn step(&self, start: [f64; 2], (over, exponent): (Over, f64), part: f64) -> Step {
        let speed = sqrt(start[0] * start[0] + start[1] * start[1]);
        let (unit_s, scale) = over.from_speed(speed, part, self.gravity);
        Step {
            motion: Motion {
                ballistic: ballistic_parameter(self.mass_kg, self.density, self.area_m2, scale, unit_s),
                gravity: self.gravity * unit_s / scale,
                air: self.air_kg / self.mass_kg,
                beside: self.beside_m2 / self.area_m2,
                start: start.map(|v| v / scale),
            },
            growth: Growth::single(exponent),
            until: 1.0,
            unit_s,
            unit_m_per_s: scale,
            unit_n: 0.5 * self.density * scale * scale * self.area_m2,
        }
    }
}

impl Reefed {
    /// The step in which it is held.
    pub fn held(&self) -> Step {
        let mut step = self.slung.step(self.start, self.first, sqrt(self.share));
        // Its air is that of a canopy of so small a drag area: ζ^(3/2), of which the growth gives ζ.
        step.motion.air *= sqrt(self.share);
        step.growth = Growth { gain: self.share, ..step.growth };
        step.until = match self.by {
            Holds::Line => (self.held_s / step.unit_s).max(1.0),
            Holds::Slider => 1.0,
        };
        step
    }

    /// The step after, from the velocity at which it is let go.
    pub fn after(&self, velocity: [f64; 2]) -> Step {
        let over = match self.by {
            Holds::Line => self.second,
            Holds::Slider => (Over::Time(self.held_s / sqrt(1.0 - self.share)), self.second.1),
        };
        let step = self.slung.step(velocity, over, sqrt(1.0 - self.share));
        Step { growth: Growth { already: self.share, gain: 1.0 - self.share, ..step.growth }, ..step }
    }

    /// Both steps.
    pub fn work(&self) -> Steps {
        let held = self.held();
        let first = held.motion.open(&[held.growth], held.until, STEPS);
        let velocity = first.end.velocity.map(|u| u * held.unit_m_per_s);
        let after = self.after(velocity);
        let second = after.motion.open(&[after.growth], after.until, STEPS);
        Steps {
            held_n: first.all.share * held.unit_n,
            after_n: second.all.share * after.unit_n,
            let_go_m_per_s: first.end.speed * held.unit_m_per_s,
            lost_m: first.end.fallen * held.unit_m_per_s * held.unit_s
                + second.end.fallen * after.unit_m_per_s * after.unit_s,
        }
    }
}

/// Length of the reefing line for a share of the drag area, m: L = k π D_m √ζ.
pub fn reefing_line_m(mouth_m: f64, share: f64, over_circle: f64) -> f64 {
    over_circle * std::f64::consts::PI * mouth_m * sqrt(share)
}

/// L with its derivation, at the best of k.
pub fn derive_reefing_line(mouth_m: f64, share: f64) -> Derivation {
    let [low, best, high] = LINE_OVER_CIRCLE;
    let judged = format!("{low} to {high}: cloth above a small mouth bulges, a judgement of ours");
    let inputs = vec![
        Input::new("k", "line over the circle of the mouth", best, Kind::Ratio, Trust::Assumed(judged)),
        Input::new("D_m", "mouth when all is open", mouth_m, Kind::Length, Trust::Given),
        Input::new("z", "share of the drag area while held", share, Kind::Share, Trust::Given),
    ];
    Derivation {
        symbol: "L",
        meaning: "length of the reefing line".to_owned(),
        si: reefing_line_m(mouth_m, share, best),
        kind: Kind::Length,
        expr: sym("k") * num(std::f64::consts::PI) * sym("D_m") * sym("z").root(),
        inputs,
        source: Trust::Assumed(
            "worked out from the circle of the mouth; only a drop with the line tells".to_owned(),
        ),
    }
}
