//! Snatch: what a cord bears when two things that fly apart come to its end.
//!
//! Two masses m₁, m₂ that part with Δv stretch a cord of stiffness k: half a swing of the reduced mass
//! m = m₁ m₂/(m₁ + m₂), so
//!
//! F = Δv √(k m),  E = ½ m Δv²,
//!
//! and a cord of strength F_b that breaks at the stretch ε over its length L has k = F_b/(ε L) and takes E_b = ½ F_b ε L at most.
//! Over the rim of a tube, bent by the angle θ, it presses with N = 2 F sin(θ/2); on a cord of width w over a wall of thickness t
//! that is the pressure N/(w t).
//!
//! Source: energy of a spring and of two masses about their common centre; equilibrium of a cord over an edge without friction.
//! Assumed: a cord straight in force against stretch up to its break, without mass and damping: real webbing takes up more and
//! gives back less. Not here: the stretch that is left after a snatch, knots and seams (design factors of the load path).

use crate::derivation::{Derivation, Expr, Function, Input, num, sym};
use crate::ledger::Trust;
use crate::maths::{sin, sqrt};
use crate::quantity::Kind;

/// m₁ m₂/(m₁ + m₂), kg.
pub fn reduced_mass_kg(one_kg: f64, other_kg: f64) -> f64 {
    one_kg * other_kg / (one_kg + other_kg)
}

/// F = Δv √(k m), N, for a reduced mass in kg, Δv in m/s and k in N/m.
///
/// # Examples
/// ```
/// // 1.5 kg, 12 m/s, 5 kN/m.
/// let force = silkfall_core::loads::snatch_n(1.5, 12.0, 5_000.0);
/// assert!((force - 1039.2).abs() < 0.1);
/// ```
pub fn snatch_n(reduced_kg: f64, apart_m_per_s: f64, stiffness_n_per_m: f64) -> f64 {
    apart_m_per_s * sqrt(stiffness_n_per_m * reduced_kg)
}

/// E = ½ m Δv², J.
pub fn snatch_energy_j(reduced_kg: f64, apart_m_per_s: f64) -> f64 {
    0.5 * reduced_kg * apart_m_per_s * apart_m_per_s
}

/// N = 2 F sin(θ/2), N.
pub fn edge_load_n(force_n: f64, bend_rad: f64) -> f64 {
    2.0 * force_n * sin(0.5 * bend_rad)
}

/// A cord, straight in force against stretch up to its break.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cord {
    /// Length, m.
    pub length_m: f64,
    /// Stretch at its break over its length.
    pub stretch: f64,
    /// Strength, N.
    pub strength_n: f64,
}

impl Cord {
    /// k = F_b/(ε L), N/m.
    pub fn stiffness_n_per_m(&self) -> f64 {
        self.strength_n / (self.stretch * self.length_m)
    }

    /// E_b = ½ F_b ε L, J.
    pub fn energy_to_break_j(&self) -> f64 {
        0.5 * self.strength_n * self.stretch * self.length_m
    }
}

fn input(symbol: &'static str, meaning: &str, si: f64, kind: Kind) -> Input {
    Input::new(symbol, meaning, si, kind, Trust::Given)
}

fn derivation(
    symbol: &'static str,
    meaning: &str,
    si: f64,
    kind: Kind,
    expr: Expr,
    inputs: Vec<Input>,
) -> Derivation {
    let source =
        Trust::Published("energy of a spring and of two masses about their common centre".to_owned());
    Derivation { symbol, meaning: meaning.to_owned(), si, kind, expr, inputs, source }
}

/// The masses that part, how fast, and the cord between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parting {
    /// One, kg.
    pub one_kg: f64,
    /// The other, kg.
    pub other_kg: f64,
    /// Δv, m/s.
    pub apart_m_per_s: f64,
    /// Between them.
    pub cord: Cord,
}

impl Parting {
    /// F, N.
    pub fn force_n(&self) -> f64 {
        let reduced = reduced_mass_kg(self.one_kg, self.other_kg);
        snatch_n(reduced, self.apart_m_per_s, self.cord.stiffness_n_per_m())
    }

    /// E, J.
    pub fn energy_j(&self) -> f64 {
        snatch_energy_j(reduced_mass_kg(self.one_kg, self.other_kg), self.apart_m_per_s)
    }

    fn masses(&self) -> Vec<Input> {
        vec![
            input("m_1", "all that comes down on it", self.one_kg, Kind::Mass),
            input("m_2", "what is thrown out", self.other_kg, Kind::Mass),
            input("v_r", "speed at which they part", self.apart_m_per_s, Kind::Speed),
        ]
    }

    fn stretched(&self) -> Vec<Input> {
        vec![
            input("F_b", "strength of the cord", self.cord.strength_n, Kind::Force),
            input("e", "stretch at its break", self.cord.stretch, Kind::Share),
            input("L", "its length", self.cord.length_m, Kind::Length),
        ]
    }

    /// F with its derivation.
    pub fn derive_force(&self) -> Derivation {
        let reduced = sym("m_1") * sym("m_2") / (sym("m_1") + sym("m_2"));
        let stiffness = sym("F_b") / (sym("e") * sym("L"));
        let inputs = [self.masses(), self.stretched()].concat();
        let expr = sym("v_r") * (stiffness * reduced).root();
        derivation("F_s", "snatch", self.force_n(), Kind::Force, expr, inputs)
    }

    /// E with its derivation.
    pub fn derive_energy(&self) -> Derivation {
        let expr = num(0.5) * (sym("m_1") * sym("m_2") / (sym("m_1") + sym("m_2"))) * sym("v_r").pow(2.0);
        derivation("E", "energy of the snatch", self.energy_j(), Kind::Energy, expr, self.masses())
    }

    /// E_b with its derivation.
    pub fn derive_energy_to_break(&self) -> Derivation {
        let expr = num(0.5) * sym("F_b") * sym("e") * sym("L");
        let si = self.cord.energy_to_break_j();
        derivation("E_b", "energy that breaks the cord", si, Kind::Energy, expr, self.stretched())
    }
}

/// N with its derivation.
pub fn derive_edge_load(force_n: f64, bend_rad: f64, trust: Trust) -> Derivation {
    let inputs = vec![
        input("F_s", "snatch", force_n, Kind::Force),
        Input { trust, ..input("theta", "bend of the cord over the rim", bend_rad, Kind::Angle) },
    ];
    let expr = num(2.0) * sym("F_s") * (num(0.5) * sym("theta")).call(Function::Sin);
    let what = "load on the rim where the cord leaves the tube";
    derivation("N", what, edge_load_n(force_n, bend_rad), Kind::Force, expr, inputs)
}
