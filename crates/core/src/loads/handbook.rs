//! What is remembered of how canopies of a shape fill: constant n, exponent j, opening force factor C_X.
//!
//! t_f = n D₀/v_s; C_D S = (C_D S)₀ (t/t_f)^j; F = C_X q (C_D S)₀ at infinite mass.
//!
//! Source: from memory of Knacke, Parachute Recovery Systems Design Manual (1992): tables 5-1 to 5-3 (C_X), table 5-6 (n), figure
//! 5-51 (j). The tables give mostly one number; the widths are judgements of ours about them: 3/8 of n either side, as wide as
//! n = 5 to 11 about 8 for solid flat cloth, a quarter of j, a tenth of C_X. A shape whose n is not remembered takes that of solid flat
//! cloth, with the width; one that is not known, the widest of each.

use crate::ledger::{Distribution, Entry, Sharing, Trust};
use crate::shapes::{Range, Shape};

/// Where the constants stand.
pub const FILL_SOURCE: &str = "Knacke, Parachute Recovery Systems Design Manual (1992), table 5-6";
/// Where the exponents stand.
pub const GROWTH_SOURCE: &str = "Knacke, Parachute Recovery Systems Design Manual (1992), figure 5-51";
/// Where the factors stand.
pub const FACTOR_SOURCE: &str = "Knacke, Parachute Recovery Systems Design Manual (1992), tables 5-1 to 5-3";

const N_WIDTH: f64 = 0.375;
const J_WIDTH: f64 = 0.25;
const FACTOR_WIDTH: f64 = 0.1;

/// n, j and C_X of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inflation {
    /// n.
    pub diameters: Range,
    /// j.
    pub growth: Range,
    /// C_X.
    pub factor: Range,
}

fn about(value: f64, width: f64) -> Range {
    Range { low: value * (1.0 - width), high: value * (1.0 + width) }
}

/// By shape; `None`: not known.
pub fn inflation(shape: Option<Shape>) -> Inflation {
    use Shape::*;
    let Some(shape) = shape else {
        return Inflation {
            diameters: Range { low: 4.0, high: 14.0 },
            growth: Range { low: 1.0, high: 2.5 },
            factor: Range { low: 1.05, high: 1.98 },
        };
    };
    let n = match shape {
        ExtendedSkirtFlat => 10.0,
        ExtendedSkirtFull => 12.0,
        Cross => 11.7,
        FlatRibbon | ConicalRibbon | ConicalRibbonVaried | HemisfloRibbon | Ringslot => 14.0,
        Ringsail => 7.0,
        _ => 8.0,
    };
    let j = match shape {
        FlatRibbon | ConicalRibbon | ConicalRibbonVaried | HemisfloRibbon | Ringslot => 1.0,
        _ => 2.0,
    };
    let said = shape.row().opening_force;
    let factor = if said.high > said.low { said } else { about(said.middle(), FACTOR_WIDTH) };
    Inflation { diameters: about(n, N_WIDTH), growth: about(j, J_WIDTH), factor }
}

/// Diameters that a held canopy of a shape fills over, and those that the rest of it does; `None` where not remembered.
///
/// Source: from memory of Knacke, table 5-6: reefed 16 to 18, 10, 7 to 8, and after 4 to 5, 6, 2 for extended skirt, ribbon, ringsail.
pub fn in_steps(shape: Option<Shape>) -> Option<[Range; 2]> {
    use Shape::*;
    let (held, after) = match shape? {
        ExtendedSkirtFlat | ExtendedSkirtFull => (17.0, 4.5),
        FlatRibbon | ConicalRibbon | ConicalRibbonVaried | HemisfloRibbon => (10.0, 6.0),
        Ringsail => (7.5, 2.0),
        _ => return None,
    };
    Some([about(held, N_WIDTH), about(after, N_WIDTH)])
}

/// Exponent with which a held canopy grows: from memory of Knacke, figure 5-51, one half; upwards a judgement of ours.
pub const HELD_GROWTH: Range = Range { low: 0.5, high: 0.625 };

/// The entry of a range from memory: anywhere in it alike, one draw for all canopies of the shape.
pub fn remembered(meaning: String, range: Range, source: &str) -> Entry {
    Entry {
        meaning,
        value: range.middle(),
        distribution: Distribution::Rectangular { low: range.low, high: range.high },
        sharing: Sharing::Knowledge,
        trust: Trust::Memory(source.to_owned()),
    }
}
