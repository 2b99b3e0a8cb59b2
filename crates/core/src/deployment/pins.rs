//! Pins in shear: F = n τ π d²/4, N, for n pins of strength τ (Pa) that break over the diameter d (m).
//!
//! A thread breaks somewhere between its root and its outside, whose areas differ by 1.8 for small screws: both ends are
//! worked, and a test decides. Root: d₃ = d − 1.226 87 P, from the profile of ISO 68-1 and ASME B1.1 (H = P √3/2, root
//! rounded at H/4 and H/8: d₃ = d − 17 H/12), worked out from the geometry. Pitches and diameters are those of the
//! named threads in ISO 261 and ASME B1.1, from memory of these.
//!
//! Does not do: screws in worn or soft holes, which bend and tear instead.

use std::f64::consts::PI;

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

/// Strength in shear of dry nylon 6/6, low and high: 9.5 and 10 ksi, from memory of data sheets after ASTM D732.
pub const NYLON_DRY_PA: [f64; 2] = [9.5 * KSI, 10.0 * KSI];
/// Share of it left when moist and warm, at least: assumed. Nylon loses strength with both; how much is a test's to say.
pub const NYLON_LEFT: f64 = 0.6;
/// Pa of 1000 lbf/in² (NIST SP 811).
const KSI: f64 = 6.894_757_293_168e6;
/// Inch, m.
const INCH: f64 = 0.0254;

/// A thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// As it is called.
    pub name: &'static str,
    /// Outside diameter, m.
    pub major_m: f64,
    /// From turn to turn, m.
    pub pitch_m: f64,
}

const fn metric(name: &'static str, major_mm: f64, pitch_mm: f64) -> Thread {
    Thread { name, major_m: major_mm * 1e-3, pitch_m: pitch_mm * 1e-3 }
}

const fn inch(name: &'static str, major_in: f64, turns_an_inch: f64) -> Thread {
    Thread { name, major_m: major_in * INCH, pitch_m: INCH / turns_an_inch }
}

/// Threads of pins that are used, by name.
pub const THREADS: [Thread; 9] = [
    metric("M2", 2.0, 0.4),
    metric("M2.5", 2.5, 0.45),
    metric("M3", 3.0, 0.5),
    metric("M4", 4.0, 0.7),
    metric("M5", 5.0, 0.8),
    inch("#2-56", 0.086, 56.0),
    inch("#4-40", 0.112, 40.0),
    inch("#6-32", 0.138, 32.0),
    inch("#8-32", 0.164, 32.0),
];

impl Thread {
    /// The thread of that name.
    pub fn by_name(name: &str) -> Option<Thread> {
        THREADS.into_iter().find(|thread| thread.name == name)
    }

    /// Diameter of its root, m: d − 17 H/12 with H = P √3/2.
    pub fn minor_m(&self) -> f64 {
        self.major_m - 17.0 / 12.0 * 0.75f64.sqrt() * self.pitch_m
    }
}

/// F = n τ π d²/4, N. `of` says which end of the range it is.
pub fn pin_force(
    count: f64,
    strength_pa: f64,
    diameter_m: f64,
    of: &str,
    strength: Trust,
    diameter: Trust,
) -> Derivation {
    Derivation::of(
        "F_p",
        of,
        Kind::Force,
        num(PI / 4.0) * sym("n") * sym("tau") * sym("d").pow(2.0),
        vec![
            Input::new("n", "pins that must break", count, Kind::Ratio, Trust::Given),
            Input::new("tau", "strength in shear", strength_pa, Kind::Stress, strength),
            Input::new("d", "diameter that breaks", diameter_m, Kind::Length, diameter),
        ],
        Trust::Published("force over area in shear".to_owned()),
    )
    .expect("a product is finite")
}
