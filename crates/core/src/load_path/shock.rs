//! What the part and what is in it feel when it is pulled.
//!
//! a = F/m, m/s²: pull of all canopies over the mass it shakes, as an accelerometer in the part reads it; 0 in free fall, 1 g at
//! rest and in steady descent.
//!
//! Source: Newton's second law. Assumed: a stiff part, pulled at its centre of mass. Not here: what a soft mount adds or takes.

use crate::derivation::{Derivation, Input, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

/// a = F/m, m/s².
///
/// # Examples
/// ```
/// use silkfall_core::load_path::shock_m_per_s2;
/// // 463.45 N on 10 kg: 4.726 standard gravities.
/// assert!((shock_m_per_s2(463.45, 10.0) / 9.80665 - 4.726).abs() < 5e-4);
/// ```
pub fn shock_m_per_s2(pull_n: f64, mass_kg: f64) -> f64 {
    pull_n / mass_kg
}

/// The same with its derivation.
pub fn derive_shock(pull_n: f64, mass_kg: f64) -> Derivation {
    let input = |symbol, meaning: &str, si, kind| Input::new(symbol, meaning, si, kind, Trust::Given);
    Derivation {
        symbol: "a",
        meaning: "shock".to_owned(),
        si: shock_m_per_s2(pull_n, mass_kg),
        kind: Kind::Shock,
        expr: sym("F") / sym("m"),
        inputs: vec![
            input("F", "pull of all canopies together", pull_n, Kind::Force),
            input("m", "mass that is shaken", mass_kg, Kind::Mass),
        ],
        source: Trust::Published("Newton's second law".to_owned()),
    }
}
