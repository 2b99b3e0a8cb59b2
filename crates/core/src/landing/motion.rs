//! What every way of integrating a fall shares: the state, the wind's layer, the brake, the stages and the acceleration.
//!
//! a = −k σ |w| w − g e_z with w = v − W − u e_z: see the parent for the symbols. In m, s, m/s, 1/m.

use super::{Begins, Begun, Descent, Fill, Held, Landed, MOST_STAGES, NoLanding, Stage};
use crate::maths::{pow, sqrt};
use crate::wind::Level;

/// A height counts as met within this, m: far below what a step's end is told to.
const SAME_HEIGHT_M: f64 = 1e-9;
/// An instant counts as met within this, s.
const SAME_TIME_S: f64 = 1e-12;

/// Time, place and velocity over ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct State {
    pub time_s: f64,
    pub place_m: [f64; 3],
    pub velocity_m_per_s: [f64; 3],
}

impl State {
    pub fn height_m(&self) -> f64 {
        self.place_m[2]
    }

    pub fn climb_m_per_s(&self) -> f64 {
        self.velocity_m_per_s[2]
    }
}

/// The air between two levels of the wind, or above the last.
#[derive(Clone, Copy, Debug)]
pub(super) struct Layer<'a> {
    levels: &'a [Level],
    index: usize,
    pub bottom_m: f64,
    pub top_m: f64,
    /// Wind at the bottom, m/s.
    bottom_m_per_s: [f64; 2],
    /// Change of the wind by height, 1/s.
    pub shear_per_s: [f64; 2],
}

impl<'a> Layer<'a> {
    /// The layer that holds a height; at a level, the one above it.
    pub fn holding(levels: &'a [Level], height_m: f64) -> Self {
        let above = levels.partition_point(|level| level.height_m <= height_m);
        Layer::of(levels, above.saturating_sub(1))
    }

    fn of(levels: &'a [Level], index: usize) -> Self {
        let low = levels[index];
        let (top_m, shear_per_s) = match levels.get(index + 1) {
            Some(high) => {
                let per_m = 1.0 / (high.height_m - low.height_m);
                let east = (high.east_m_per_s - low.east_m_per_s) * per_m;
                (high.height_m, [east, (high.north_m_per_s - low.north_m_per_s) * per_m])
            }
            None => (f64::INFINITY, [0.0, 0.0]),
        };
        let bottom_m_per_s = [low.east_m_per_s, low.north_m_per_s];
        Layer { levels, index, bottom_m: low.height_m, top_m, bottom_m_per_s, shear_per_s }
    }

    pub fn is_lowest(&self) -> bool {
        self.index == 0
    }

    /// The layer below; the lowest is carried on below the ground.
    pub fn below(&self) -> Self {
        Layer::of(self.levels, self.index.saturating_sub(1))
    }

    pub fn above(&self) -> Self {
        Layer::of(self.levels, (self.index + 1).min(self.levels.len() - 1))
    }

    /// Goes to the layer that holds a height, from one near it.
    pub fn follow(&mut self, height_m: f64) {
        while height_m < self.bottom_m && !self.is_lowest() {
            *self = self.below();
        }
        while height_m > self.top_m {
            *self = self.above();
        }
    }

    /// Wind at a height, by the straight lines of this layer even outside it, m/s.
    pub fn wind_m_per_s(&self, height_m: f64) -> [f64; 2] {
        let up_m = height_m - self.bottom_m;
        [
            self.bottom_m_per_s[0] + self.shear_per_s[0] * up_m,
            self.bottom_m_per_s[1] + self.shear_per_s[1] * up_m,
        ]
    }
}

/// The air's motion with its rise, m/s east, north, up.
pub(super) fn rising_m_per_s([east, north]: [f64; 2], updraft_m_per_s: f64) -> [f64; 3] {
    [east, north, updraft_m_per_s]
}

/// k by time: what it was, what it grows to, and how.
#[derive(Clone, Copy, Debug)]
pub(super) struct Brake {
    from_per_m: f64,
    to_per_m: f64,
    begin_s: f64,
    fill_s: f64,
    growth: f64,
}

impl Brake {
    pub fn k_per_m(&self, time_s: f64) -> f64 {
        let since_s = time_s - self.begin_s;
        if since_s >= self.fill_s {
            return self.to_per_m;
        }
        let share = (since_s / self.fill_s).max(0.0);
        // The usual square without a power.
        let grown =
            if (self.growth - 2.0).abs() < f64::EPSILON { share * share } else { pow(share, self.growth) };
        self.from_per_m + (self.to_per_m - self.from_per_m) * grown
    }

    /// t_f, s; 0 when filled.
    pub fn fill_s(&self) -> f64 {
        self.fill_s
    }

    fn filled_s(&self) -> f64 {
        self.begin_s + self.fill_s
    }
}

/// Drag and gravity on a body at a velocity over ground in air that moves, m/s².
pub(super) fn acceleration_m_per_s2(
    kappa_per_m: f64,
    gravity_m_per_s2: f64,
    air_m_per_s: [f64; 3],
    velocity_m_per_s: [f64; 3],
) -> [f64; 3] {
    let w = through_air_m_per_s(air_m_per_s, velocity_m_per_s);
    let drag_per_s = kappa_per_m * length(w);
    [-drag_per_s * w[0], -drag_per_s * w[1], -drag_per_s * w[2] - gravity_m_per_s2]
}

pub(super) fn through_air_m_per_s(air: [f64; 3], velocity: [f64; 3]) -> [f64; 3] {
    [velocity[0] - air[0], velocity[1] - air[1], velocity[2] - air[2]]
}

pub(super) fn length(vector: [f64; 3]) -> f64 {
    sqrt(vector[0] * vector[0] + vector[1] * vector[1] + vector[2] * vector[2])
}

/// Which stages have begun, which may yet, and the brake of the moment.
#[derive(Clone, Debug)]
pub(super) struct Stages<'a> {
    descent: &'a Descent<'a>,
    /// The first that may still begin.
    next: usize,
    pub brake: Brake,
    /// Whether the last to begin is still filling, or the part of it that is held small.
    pub is_filling: bool,
    /// When that is let go, s, if it is held still.
    let_go_s: Option<f64>,
    begun: [Begun; MOST_STAGES],
    count: usize,
}

impl<'a> Stages<'a> {
    /// Before the start; refuses what is no fall.
    pub fn new(descent: &'a Descent<'a>) -> Result<Self, NoLanding> {
        check(descent)?;
        let bare = descent.bare_k_per_m;
        let brake = Brake { from_per_m: bare, to_per_m: bare, begin_s: 0.0, fill_s: 0.0, growth: 1.0 };
        Ok(Stages {
            descent,
            next: 0,
            brake,
            is_filling: false,
            let_go_s: None,
            begun: [Begun::default(); MOST_STAGES],
            count: 0,
        })
    }

    fn pending(&self) -> &'a [Stage] {
        &self.descent.stages[self.next..]
    }

    /// The next instant at which something begins or ends, s; infinite where there is none.
    pub fn next_instant_s(&self) -> f64 {
        let filled_s = match self.let_go_s {
            _ if self.is_filling => self.brake.filled_s(),
            Some(let_go_s) => let_go_s,
            None => f64::INFINITY,
        };
        self.pending().iter().fold(filled_s, |first_s, stage| match stage.begins {
            Begins::After { s } => first_s.min(s),
            Begins::Start | Begins::Below { .. } => first_s,
        })
    }

    /// The next height on the way down from here at which something happens, m: a stage or the ground.
    pub fn next_height_m(&self, from_m: f64) -> f64 {
        self.pending().iter().fold(0.0, |highest_m, stage| match stage.begins {
            Begins::Below { height_m } if height_m < from_m => f64::max(highest_m, height_m),
            Begins::Start | Begins::After { .. } | Begins::Below { .. } => highest_m,
        })
    }

    /// Ends a filling that is over, lets go what was held long enough and begins the last of the stages that are due; tells
    /// whether the brake changed.
    pub fn update(&mut self, state: &State, air_m_per_s: [f64; 3]) -> bool {
        let height_m = state.height_m();
        let mut changed = self.is_filling && state.time_s >= self.brake.filled_s() - SAME_TIME_S;
        if changed {
            self.filled(height_m);
        }
        changed |= self.let_go(state, air_m_per_s);
        let is_due = |stage: &Stage| match stage.begins {
            Begins::Start => true,
            Begins::After { s } => state.time_s >= s - SAME_TIME_S,
            Begins::Below { height_m: below_m } => {
                height_m <= below_m + SAME_HEIGHT_M && state.climb_m_per_s() <= 0.0
            }
        };
        match self.pending().iter().rposition(is_due) {
            Some(due) => {
                self.begin(self.next + due, state, air_m_per_s);
                true
            }
            None => changed,
        }
    }

    fn filled(&mut self, height_m: f64) {
        self.is_filling = false;
        self.brake.from_per_m = self.brake.to_per_m;
        self.brake.fill_s = 0.0;
        if self.let_go_s.is_none() {
            self.begun[self.count - 1].filled_height_m = Some(height_m);
        }
    }

    /// Lets the last stage go, where the time of that has come and what was held is filled.
    fn let_go(&mut self, state: &State, air_m_per_s: [f64; 3]) -> bool {
        let due = self.let_go_s.is_some_and(|let_go_s| state.time_s >= let_go_s - SAME_TIME_S);
        if !due || self.is_filling {
            return false;
        }
        self.let_go_s = None;
        let Stage { fill, k_per_m, .. } = self.descent.stages[self.next - 1];
        self.fill(fill, k_per_m, state, air_m_per_s);
        true
    }

    fn begin(&mut self, index: usize, state: &State, air_m_per_s: [f64; 3]) {
        let stage = self.descent.stages[index];
        self.begun[self.count] = Begun {
            stage: index,
            time_s: state.time_s,
            height_m: state.height_m(),
            airspeed_m_per_s: length(through_air_m_per_s(air_m_per_s, state.velocity_m_per_s)),
            filled_height_m: None,
        };
        self.count += 1;
        self.next = index + 1;
        self.let_go_s = stage.held.map(|held| state.time_s + held.held_s);
        match stage.held {
            Some(Held { fill, k_per_m, .. }) => {
                self.fill(fill, k_per_m, state, air_m_per_s);
                self.let_go(state, air_m_per_s);
            }
            None => self.fill(stage.fill, stage.k_per_m, state, air_m_per_s),
        }
    }

    /// Begins to fill to a brake from the one of the moment.
    fn fill(&mut self, fill: Fill, to_per_m: f64, state: &State, air_m_per_s: [f64; 3]) {
        let (fill_s, growth) = match fill {
            Fill::Time { s, growth } => (s, growth),
            Fill::Distance { diameters_m, growth } if diameters_m > 0.0 => {
                let gravity = self.descent.column.gravity_m_per_s2(state.height_m());
                let from_rest_m_per_s = sqrt(0.5 * gravity * diameters_m);
                let airspeed_m_per_s = length(through_air_m_per_s(air_m_per_s, state.velocity_m_per_s));
                (diameters_m / airspeed_m_per_s.max(from_rest_m_per_s), growth)
            }
            Fill::Distance { growth, .. } => (0.0, growth),
        };
        self.brake = Brake {
            from_per_m: self.brake.k_per_m(state.time_s),
            to_per_m,
            begin_s: state.time_s,
            fill_s,
            growth,
        };
        self.is_filling = true;
        if fill_s <= SAME_TIME_S {
            self.filled(state.height_m());
        }
    }

    /// What is told of a fall that has come to the ground.
    pub fn landed(&self, state: &State) -> Landed {
        Landed {
            time_s: state.time_s,
            place_m: [state.place_m[0], state.place_m[1]],
            velocity_m_per_s: state.velocity_m_per_s,
            begun: self.begun,
            count: self.count,
        }
    }
}

fn check(descent: &Descent) -> Result<(), NoLanding> {
    let height_m = descent.start.place_m[2];
    if descent.stages.len() > MOST_STAGES {
        return Err(NoLanding::TooManyStages { count: descent.stages.len() });
    }
    let not_a_number = |what: &'static str| Err(NoLanding::NotANumber { what });
    let start = descent.start.place_m.iter().chain(&descent.start.velocity_m_per_s);
    if !start.chain([&descent.updraft_m_per_s]).all(|x| x.is_finite()) {
        return not_a_number("start or rising air");
    }
    if height_m <= 0.0 {
        return Err(NoLanding::NotAboveGround { height_m });
    }
    let is_k = |k: f64| k.is_finite() && k >= 0.0;
    let of_stages =
        descent.stages.iter().flat_map(|stage| [Some(stage.k_per_m), stage.held.map(|held| held.k_per_m)]);
    if !of_stages.flatten().chain([descent.bare_k_per_m]).all(is_k) {
        return not_a_number("drag over mass");
    }
    for stage in descent.stages {
        let begins = match stage.begins {
            Begins::Start => 0.0,
            Begins::After { s } => s,
            Begins::Below { height_m } => height_m,
        };
        if !begins.is_finite() {
            return not_a_number("begin of a stage");
        }
        for fill in [Some(stage.fill), stage.held.map(|held| held.fill)].into_iter().flatten() {
            let (Fill::Time { s: length, growth } | Fill::Distance { diameters_m: length, growth }) = fill;
            if !(length.is_finite() && length >= 0.0 && growth.is_finite() && growth > 0.0) {
                return not_a_number("filling");
            }
        }
        if !stage.held.is_none_or(|held| held.held_s.is_finite() && held.held_s >= 0.0) {
            return not_a_number("time for which a stage is held");
        }
    }
    Ok(())
}
