//! The strength of cloth as a force: from its strength for a width and what of it carries.
//!
//! P = s b for a stated width b, m; else for the whole canopy P = s π D_p/q, N, from the tension for a width in a membrane
//! that holds F over its mouth: Δp = F/(π D_p²/4). A half sphere of that mouth has the tension Δp D_p/4 = F/(π D_p), so
//! q = 1; a cylinder of that diameter, the other end of what a bulging gore can be, Δp D_p/2 = 2 F/(π D_p), so q = 2.
//!
//! Source: membrane equilibrium, derived above. Assumed: a full canopy; where the pull is hardest before that, the mouth is
//! smaller and the tension larger, which is not worked out. Not here: local tension at vent, seams and corners.

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;
use crate::shapes::Range;

/// q from a half sphere to a cylinder.
pub const HOOP: Range = Range { low: 1.0, high: 2.0 };

/// P = s π D_p/q, N: strength for a width in N/m, mouth in m.
///
/// # Examples
/// ```
/// use silkfall_core::load_path::cloth_strength_n;
/// // 7 kN/m all round a mouth of 1 m, a half sphere.
/// assert!((cloth_strength_n(7000.0, 1.0, 1.0) - 21_991.0).abs() < 1.0);
/// ```
pub fn cloth_strength_n(strength_n_per_m: f64, mouth_m: f64, hoop: f64) -> f64 {
    strength_n_per_m * std::f64::consts::PI * mouth_m / hoop
}

/// The same with its derivation.
pub fn derive_cloth_strength(strength_n_per_m: f64, mouth_m: (f64, Trust), hoop: f64) -> Derivation {
    Derivation {
        symbol: "P",
        meaning: "pull of a canopy that its cloth carries".to_owned(),
        si: cloth_strength_n(strength_n_per_m, mouth_m.0, hoop),
        kind: Kind::Force,
        expr: sym("s") * num(std::f64::consts::PI) * sym("D_p") / sym("q"),
        inputs: vec![
            Input::new(
                "s",
                "strength of the cloth for a width",
                strength_n_per_m,
                Kind::ForcePerLength,
                Trust::Given,
            ),
            Input::new("D_p", "mouth of the canopy in flight", mouth_m.0, Kind::Length, mouth_m.1),
            Input::new(
                "q",
                "1 for a half sphere, 2 for a cylinder",
                hoop,
                Kind::Ratio,
                Trust::Assumed("between a half sphere and a cylinder".to_owned()),
            ),
        ],
        source: Trust::Published("equilibrium of a membrane".to_owned()),
    }
}

/// P = s b, N, with its derivation: strength for a width in N/m, width in m.
pub fn derive_strip_strength(strength_n_per_m: f64, width_m: f64) -> Derivation {
    Derivation {
        symbol: "P",
        meaning: "pull that a width of cloth carries".to_owned(),
        si: strength_n_per_m * width_m,
        kind: Kind::Force,
        expr: sym("s") * sym("b"),
        inputs: vec![
            Input::new(
                "s",
                "strength of the cloth for a width",
                strength_n_per_m,
                Kind::ForcePerLength,
                Trust::Given,
            ),
            Input::new("b", "width that carries", width_m, Kind::Length, Trust::Given),
        ],
        source: Trust::Published("definition of a strength for a width".to_owned()),
    }
}
