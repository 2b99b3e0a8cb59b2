//! The force on a load while its canopies fill, step by step, with gravity, finite mass and the air that is taken along.
//!
//! In the time to fill t_f and the scale of speed v_f, with u = v/v_f, τ = t/t_f, G = g t_f/v_f,
//! A = 2 m/(ρ (C_D S)₀ v_f t_f), μ = filled canopies' air over m, b = drag area of what brakes beside them over (C_D S)₀:
//!
//! d[(1 + μ a) u]/dτ = G ẑ − (1/A) (c + b) |u| u,
//!
//! c = Σ cᵢ the share of the drag area that is open, cᵢ = wᵢ ((τ − δᵢ)/φᵢ)^j between its own beginning and end, and
//! aᵢ = wᵢ (cᵢ/wᵢ)^(3/2), the air in it going with the cube of its width where its drag area goes with the square. What a canopy
//! pulls with is its drag and what it gives to its air:
//!
//! xᵢ = |cᵢ |u| u + A μ d(aᵢ u)/dτ|, over ½ ρ v_f² (C_D S)₀.
//!
//! Stepped with the classical Runge-Kutta of order four over s, τ = τ₀ + L s² from every kink on: equal steps of s are small where
//! a canopy begins, and a power of τ is smooth in s for every j of ½ or more. The peak is read off a parabola through its three nodes.
//!
//! Source: Newton's second law; Kutta's fourth-order rule (1901). Assumed: one point for canopies and load (no elastic lines, no
//! canopy mass of its own), drag along the way, C_D S a power of time, air at rest that is taken along and not left behind. For
//! j below 2/3 the air grows with τ: its pull would have no bound else. Not here: the opening force factor C_X, which multiplies the peak.

use super::pflanz::Peak;
use crate::maths::{pow, sqrt};

/// Steps between two kinks: peaks are then within a part in a thousand of a fine solution (see the checks beside this).
pub const STEPS: usize = 32;

/// A load and what it meets, in pure numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// A of all canopies together.
    pub ballistic: f64,
    /// G.
    pub gravity: f64,
    /// μ of all canopies together.
    pub air: f64,
    /// b.
    pub beside: f64,
    /// Level and downward speed at the beginning over v_f.
    pub start: [f64; 2],
}

/// How one canopy's share of the drag area grows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// Open before: a reefed canopy.
    pub already: f64,
    /// Added while it fills.
    pub gain: f64,
    /// When it begins.
    pub from: f64,
    /// How long it fills, above 0.
    pub over: f64,
    /// Exponent j, ½ or more.
    pub exponent: f64,
}

impl Growth {
    /// A single canopy that fills in the unit of time.
    pub fn single(exponent: f64) -> Growth {
        Growth { already: 0.0, gain: 1.0, from: 0.0, over: 1.0, exponent }
    }

    fn full(&self) -> f64 {
        self.already + self.gain
    }

    /// Share of the drag area, share of the air, and the slope of the latter; `rising` from where on it is asked.
    fn at(&self, tau: f64, rising: bool) -> [f64; 3] {
        let part = ((tau - self.from) / self.over).clamp(0.0, 1.0);
        let grown = pow(part, self.exponent);
        let open = self.already + self.gain * grown;
        let full = self.full();
        let filled = open / full;
        let power = if self.already > 0.0 { 1.5 } else { (1.0 / self.exponent).max(1.5) };
        let air = full * pow(filled, power);
        let slope = if rising && part < 1.0 && (part > 0.0 || self.already <= 0.0) {
            let growing =
                if part > 0.0 { self.gain * self.exponent * grown / (part * self.over) } else { 0.0 };
            match part > 0.0 {
                true => power * pow(filled, power - 1.0) * growing,
                // At its beginning: 0, but for air that grows with τ.
                false if power * self.exponent > 1.0 => 0.0,
                false => full / self.over,
            }
        } else {
            0.0
        };
        [open, air, slope]
    }
}

/// What the march needs at a half step.
#[derive(Clone, Copy, Debug)]
struct Node {
    tau: f64,
    /// dτ/ds times the step of s.
    weight: f64,
    open: f64,
    air: f64,
    air_slope: f64,
}

/// The nodes between two kinks.
#[derive(Clone, Debug)]
struct Piece(Vec<Node>);

impl Piece {
    fn new(canopies: &[Growth], from: f64, to: f64, steps: usize) -> Piece {
        let (length, halves) = (to - from, 2 * steps);
        let node = |i: usize| {
            let s = i as f64 / halves as f64;
            let tau = if i == halves { to } else { from + length * s * s };
            let mut node =
                Node { tau, weight: 2.0 * s * length / steps as f64, open: 0.0, air: 0.0, air_slope: 0.0 };
            for canopy in canopies {
                let [open, air, slope] = canopy.at(tau, true);
                // The end of a piece still belongs to it: the slope from before.
                let slope = if i == halves { canopy.at(tau - 1e-12 * length, true)[2] } else { slope };
                node.open += open;
                node.air += air;
                node.air_slope += slope;
            }
            node
        };
        Piece((0..=halves).map(node).collect())
    }
}

/// A single canopy's nodes, which serve every load that it opens for.
#[derive(Clone, Debug)]
pub struct Ramp(Piece);

impl Ramp {
    /// For an exponent of ½ or more.
    pub fn new(exponent: f64) -> Ramp {
        Ramp::with_steps(exponent, STEPS)
    }

    /// With another number of steps.
    pub fn with_steps(exponent: f64, steps: usize) -> Ramp {
        Ramp(Piece::new(&[Growth::single(exponent)], 0.0, 1.0, steps))
    }
}

/// Where the loads are and how fast, or how that changes: L openings side by side, so that no step of one waits for a root of another.
#[derive(Clone, Copy, Debug, PartialEq)]
struct State<const L: usize> {
    /// (1 + μ a) u.
    momentum: [[f64; L]; 2],
    /// Fallen, in v_f t_f.
    fallen: [f64; L],
}

impl<const L: usize> State<L> {
    fn plus(&self, slope: &State<L>, by: f64) -> State<L> {
        let add = |at: &[f64; L], slope: &[f64; L]| std::array::from_fn(|l| at[l] + by * slope[l]);
        State {
            momentum: [0, 1].map(|i| add(&self.momentum[i], &slope.momentum[i])),
            fallen: add(&self.fallen, &slope.fallen),
        }
    }
}

/// What a node makes of each opening.
struct At<const L: usize> {
    /// 1/(1 + μ a).
    over: [f64; L],
    /// (c + b)/A.
    drag: [f64; L],
}

impl<const L: usize> At<L> {
    fn new(motions: &[Motion; L], node: &Node) -> Self {
        At {
            over: motions.each_ref().map(|motion| 1.0 / (1.0 + motion.air * node.air)),
            drag: motions.each_ref().map(|motion| (node.open + motion.beside) / motion.ballistic),
        }
    }

    fn u(&self, state: &State<L>) -> [[f64; L]; 2] {
        [0, 1].map(|i| std::array::from_fn(|l| state.momentum[i][l] * self.over[l]))
    }

    fn slope(&self, motions: &[Motion; L], state: &State<L>) -> State<L> {
        let u = self.u(state);
        let drag: [f64; L] = std::array::from_fn(|l| self.drag[l] * length([u[0][l], u[1][l]]));
        State {
            momentum: [
                std::array::from_fn(|l| -drag[l] * u[0][l]),
                std::array::from_fn(|l| motions[l].gravity - drag[l] * u[1][l]),
            ],
            fallen: u[1],
        }
    }

    /// How each moves at the node, with the slope there.
    fn moves(&self, motions: &[Motion; L], node: &Node, state: &State<L>, slope: &State<L>) -> [Moves; L] {
        let u = self.u(state);
        std::array::from_fn(|l| {
            let given = motions[l].air * node.air_slope;
            Moves {
                u: [u[0][l], u[1][l]],
                change: [0, 1].map(|i| (slope.momentum[i][l] - given * u[i][l]) * self.over[l]),
                fallen: state.fallen[l],
            }
        })
    }
}

/// How one opening moves at a node.
struct Moves {
    u: [f64; 2],
    /// du/dτ.
    change: [f64; 2],
    fallen: f64,
}

/// Marches through a piece; every node is shown once with what moves there.
fn march<const L: usize>(
    motions: &[Motion; L],
    piece: &Piece,
    mut state: State<L>,
    mut seen: impl FnMut(&Node, [Moves; L]),
) -> State<L> {
    let nodes = &piece.0;
    let Some(first) = nodes.first() else { return state };
    let mut at_begin = At::new(motions, first);
    for three in nodes.windows(3).step_by(2) {
        let [begin, middle, end] = three else { unreachable!("windows of three") };
        let (at_middle, at_end) = (At::new(motions, middle), At::new(motions, end));
        let first = at_begin.slope(motions, &state);
        seen(begin, at_begin.moves(motions, begin, &state, &first));
        let second = at_middle.slope(motions, &state.plus(&first, 0.5 * begin.weight));
        let third = at_middle.slope(motions, &state.plus(&second, 0.5 * middle.weight));
        let fourth = at_end.slope(motions, &state.plus(&third, middle.weight));
        state = state.plus(&first, begin.weight / 6.0);
        state = state.plus(&second, middle.weight / 3.0);
        state = state.plus(&third, middle.weight / 3.0);
        state = state.plus(&fourth, end.weight / 6.0);
        at_begin = at_end;
    }
    if let Some(last) = nodes.last() {
        seen(last, at_begin.moves(motions, last, &state, &at_begin.slope(motions, &state)));
    }
    state
}

/// Openings that are stepped side by side.
const SIDE_BY_SIDE: usize = 8;

/// One instant of an opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// τ.
    pub tau: f64,
    /// |u|.
    pub speed: f64,
    /// u, level and downward.
    pub velocity: [f64; 2],
    /// Fallen since the beginning, in v_f t_f.
    pub fallen: f64,
    /// Pull of all canopies, over ½ ρ v_f² (C_D S)₀.
    pub all: f64,
}

/// An opening to its end.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The largest pull of each canopy, in the order given.
    pub each: Vec<Peak>,
    /// Of all together.
    pub all: Peak,
    /// How it moves then.
    pub end: Moment,
}

impl Motion {
    /// Pull of a canopy that is so far open, holds so much air and gains it so fast.
    fn pull(&self, [open, air, air_slope]: [f64; 3], Moves { u, change, .. }: &Moves) -> f64 {
        let (drag, of_air) = (open * length(*u), self.ballistic * self.air);
        length([0, 1].map(|i| drag * u[i] + of_air * (air_slope * u[i] + air * change[i])))
    }

    fn begin(&self, canopies: &[Growth]) -> State<1> {
        let air: f64 = canopies.iter().map(|canopy| canopy.at(0.0, true)[1]).sum();
        State { momentum: self.start.map(|u| [u * (1.0 + self.air * air)]), fallen: [0.0] }
    }

    /// The largest pull of a single canopy between line stretch and full.
    ///
    /// Where the load is still gaining speed when the canopy is full, its weight is the larger pull and comes later: never less
    /// than the share of the weight that it bears in the end is returned.
    pub fn peak(&self, ramp: &Ramp) -> Peak {
        let [filling] = Motion::filling(&[*self], ramp);
        filling.or_steady(self.steady())
    }

    /// The largest pull of a single canopy while it fills, of each in order.
    pub fn filling_peaks(motions: &[Motion], ramp: &Ramp) -> Vec<Peak> {
        let (chunks, rest) = motions.as_chunks::<SIDE_BY_SIDE>();
        let mut peaks: Vec<Peak> = chunks.iter().flat_map(|chunk| Motion::filling(chunk, ramp)).collect();
        peaks.extend(rest.iter().flat_map(|motion| Motion::filling(&[*motion], ramp)));
        peaks
    }

    fn filling<const L: usize>(motions: &[Motion; L], ramp: &Ramp) -> [Peak; L] {
        let mut best = [Highest::default(); L];
        let momentum = [0, 1].map(|i| motions.each_ref().map(|motion| motion.start[i]));
        march(motions, &ramp.0, State { momentum, fallen: [0.0; L] }, |node, moves| {
            let of_all = [node.open, node.air, node.air_slope];
            for ((best, motion), moves) in best.iter_mut().zip(motions).zip(&moves) {
                best.see(node.tau, motion.pull(of_all, moves));
            }
        });
        best.map(|best| best.peak())
    }

    /// Share of the weight that canopies bear in the end, over ½ ρ v_f² (C_D S)₀.
    pub fn steady(&self) -> f64 {
        self.ballistic * self.gravity / (1.0 + self.beside)
    }

    /// Each canopy's largest pull, in the order given, and all together; to the end of the last filling.
    pub fn peaks(&self, canopies: &[Growth], steps: usize) -> (Vec<Peak>, Peak) {
        let opened = self.open(canopies, 0.0, steps);
        let steady = self.steady_of(canopies);
        let one = |(best, canopy): (&Peak, &Growth)| best.or_steady(steady * canopy.full());
        let all: f64 = canopies.iter().map(Growth::full).sum();
        (opened.each.iter().zip(canopies).map(one).collect(), opened.all.or_steady(steady * all))
    }

    /// What canopies pull with in the end, over their open share.
    fn steady_of(&self, canopies: &[Growth]) -> f64 {
        let open: f64 = canopies.iter().map(Growth::full).sum();
        self.ballistic * self.gravity / (open + self.beside)
    }

    /// The largest pulls to the end of the last filling, or to `until` where that is later, and how it moves then.
    pub fn open(&self, canopies: &[Growth], until: f64, steps: usize) -> Opened {
        let mut each = vec![Highest::default(); canopies.len()];
        let mut all = Highest::default();
        let mut state = self.begin(canopies);
        let mut end =
            Moment { tau: 0.0, speed: length(self.start), velocity: self.start, fallen: 0.0, all: 0.0 };
        for (from, to) in pieces(canopies, until) {
            each.iter_mut().chain([&mut all]).for_each(Highest::fresh);
            state = march(&[*self], &Piece::new(canopies, from, to, steps), state, |node, [moves]| {
                let last = node.tau >= to;
                for (canopy, best) in canopies.iter().zip(&mut each) {
                    let asked = if last { node.tau - 1e-12 * (to - from) } else { node.tau };
                    best.see(node.tau, self.pull(canopy.at(asked, true), &moves));
                }
                end = self.moment(node, &moves);
                all.see(node.tau, end.all);
            });
        }
        Opened { each: each.iter().map(Highest::peak).collect(), all: all.peak(), end }
    }

    /// Moments from the beginning to `until`, for a figure or to go on from; with each canopy's own pull.
    pub fn trace(&self, canopies: &[Growth], until: f64, steps: usize) -> Vec<(Moment, Vec<f64>)> {
        let mut trace = Vec::new();
        let mut state = self.begin(canopies);
        for (from, to) in pieces(canopies, until) {
            state = march(&[*self], &Piece::new(canopies, from, to, steps), state, |node, [moves]| {
                let own = canopies.iter().map(|canopy| self.pull(canopy.at(node.tau, node.tau < to), &moves));
                trace.push((self.moment(node, &moves), own.collect()));
            });
        }
        trace
    }

    fn moment(&self, node: &Node, moves: &Moves) -> Moment {
        let all = self.pull([node.open, node.air, node.air_slope], moves);
        Moment { tau: node.tau, speed: length(moves.u), velocity: moves.u, fallen: moves.fallen, all }
    }
}

fn length([a, b]: [f64; 2]) -> f64 {
    sqrt(a * a + b * b)
}

/// The stretches between kinks from 0 to the end of the last filling, or to `until` where that is later.
fn pieces(canopies: &[Growth], until: f64) -> Vec<(f64, f64)> {
    let mut kinks: Vec<f64> = canopies.iter().flat_map(|c| [c.from, c.from + c.over]).collect();
    kinks.extend([0.0, until]);
    kinks.retain(|kink| *kink >= 0.0);
    kinks.sort_unstable_by(f64::total_cmp);
    kinks.windows(2).map(|pair| (pair[0], pair[1])).filter(|(from, to)| to - from > 1e-9).collect()
}

/// The highest of nodes at equal distances of s, a parabola through its neighbours.
#[derive(Clone, Copy, Debug, Default)]
struct Highest {
    before: Option<(f64, f64)>,
    last: Option<(f64, f64)>,
    best: Option<Peak>,
}

impl Highest {
    /// A new piece: its first node has no neighbour before it.
    fn fresh(&mut self) {
        (self.before, self.last) = (None, None);
    }

    fn see(&mut self, tau: f64, pull: f64) {
        if let (Some((tau_0, f0)), Some((tau_1, f1))) = (self.before, self.last)
            && f1 >= f0
        {
            // Parabola over the number of the node; its τ from the same three nodes. Between the last two nodes too.
            let bend = f0 - 2.0 * f1 + pull;
            let at = if bend < 0.0 { 0.5 * (f0 - pull) / bend } else { f64::INFINITY };
            if at <= 1.0 {
                let share = f1 - 0.25 * (f0 - pull) * at;
                let tau = tau_1 + 0.5 * (tau - tau_0) * at + 0.5 * (tau_0 - 2.0 * tau_1 + tau) * at * at;
                self.offer(Peak { share, at: tau });
            }
        }
        self.offer(Peak { share: pull, at: tau });
        (self.before, self.last) = (self.last, Some((tau, pull)));
    }

    fn offer(&mut self, peak: Peak) {
        if self.best.is_none_or(|best| peak.share > best.share) {
            self.best = Some(peak);
        }
    }

    fn peak(&self) -> Peak {
        self.best.unwrap_or(Peak { share: 0.0, at: 0.0 })
    }
}

impl Peak {
    fn or_steady(self, steady: f64) -> Peak {
        if steady > self.share { Peak { share: steady, at: self.at.max(1.0) } } else { self }
    }
}
