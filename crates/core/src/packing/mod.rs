//! Packing: what canopies and all that lies with them take of a round bay, whether it fits, and how hard it is pressed.
//!
//! V = m/ρ_p for a canopy of mass m (kg) packed to ρ_p (kg/m³), or V = π d² l/4 of a measured roll; in a bay of diameter
//! D (m) of whose section the share φ is filled, V takes the length L = 4 V/(φ π D²). What lies in the bay lies end on end:
//! the spare length is that of the bay less the sum, below 0 where it does not fit.
//!
//! Source: mass balance. Packing densities: [`practices`], from memory of handbooks for large canopies and common practice
//! for small ones. Doubt is carried to first order (JCGM 100).
//!
//! Assumes that packs are soft and take the shape of the bay; what keeps its own shape is given by its length. Does not do:
//! creases, heat of pressing, and whether a pack that fits comes out.

use std::f64::consts::PI;

use crate::cases::Verdict;
use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::{Estimate, Trust};
use crate::pooling::student_95;
use crate::quantity::Kind;

/// A way of packing, and the densities it reaches.
#[derive(Clone, Debug, PartialEq)]
pub struct Practice {
    /// In words: "by hand, small canopies in a tube".
    pub name: &'static str,
    /// Lowest and highest density, kg/m³.
    pub kg_per_m3: [f64; 2],
    /// How far to trust that.
    pub trust: Trust,
}

/// kg/m³ of one lb/ft³ (NIST SP 811 (2008), B.8).
const POUND_A_CUBIC_FOOT: f64 = 16.018_463;

/// Density of solid nylon, kg/m³: 71 lb/ft³, from memory of T. W. Knacke, NWC TP 6575 (1991). Nothing packs closer.
pub const SOLID_NYLON_KG_PER_M3: f64 = 1140.0;

fn knacke() -> Trust {
    Trust::Memory("T. W. Knacke, NWC TP 6575 (1991), packing densities of large canopies".to_owned())
}

/// The ways of packing, the loosest first. The first is common practice, no published source: small canopies with their
/// lines in a tube. The others are 18 to 25, 28 to 32, 35 to 40 and 42 to 47 lb/ft³, from memory of T. W. Knacke, NWC TP
/// 6575 (1991), and of large canopies.
pub fn practices() -> [Practice; 5] {
    let of = |name, low: f64, high: f64| Practice {
        name,
        kg_per_m3: [low * POUND_A_CUBIC_FOOT, high * POUND_A_CUBIC_FOOT],
        trust: knacke(),
    };
    [
        Practice {
            name: "by hand, a small canopy in a tube",
            kg_per_m3: [180.0, 280.0],
            trust: Trust::Practice,
        },
        of("by hand as large canopies are", 18.0, 25.0),
        of("under vacuum", 28.0, 32.0),
        of("in a press", 35.0, 40.0),
        of("in a hydraulic press with heat", 42.0, 47.0),
    ]
}

/// How hard something must be pressed to reach a density.
#[derive(Clone, Debug, PartialEq)]
pub enum Pressed {
    /// Looser than anybody packs: no pressing.
    Loose,
    /// So: the way of packing whose upper end it does not pass.
    By(Practice),
    /// Denser than any way of packing.
    Beyond,
}

/// How hard it must be pressed for this density, kg/m³.
///
/// # Examples
/// ```
/// use silkfall_core::packing::{Pressed, pressed};
/// let Pressed::By(practice) = pressed(240.0) else { panic!() };
/// assert_eq!(practice.name, "by hand, a small canopy in a tube");
/// assert_eq!(pressed(100.0), Pressed::Loose);
/// assert_eq!(pressed(1000.0), Pressed::Beyond);
/// ```
pub fn pressed(kg_per_m3: f64) -> Pressed {
    let ways = practices();
    if kg_per_m3 < ways[0].kg_per_m3[0] {
        return Pressed::Loose;
    }
    ways.into_iter().find(|way| kg_per_m3 <= way.kg_per_m3[1]).map_or(Pressed::Beyond, Pressed::By)
}

impl Pressed {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Pressed::Loose => "nothing need be pressed".to_owned(),
            Pressed::By(practice) => format!("packed {} ({})", practice.name, practice.trust.mark()),
            Pressed::Beyond => "denser than any way of packing reaches".to_owned(),
        }
    }
}

fn balance() -> Trust {
    Trust::Published("mass and volume balance".to_owned())
}

/// V = π d² l/4, m³: a roll's volume.
pub fn volume_of_roll(diameter_m: f64, length_m: f64, canopies: f64) -> Derivation {
    Derivation::of(
        "V",
        "packed volume of one",
        Kind::Volume,
        num(PI / 4.0) * sym("d").pow(2.0) * sym("l") / sym("k"),
        vec![
            Input::new("d", "diameter of the measured roll", diameter_m, Kind::Length, Trust::Given),
            Input::new("l", "length of the measured roll", length_m, Kind::Length, Trust::Given),
            Input::new("k", "how many it holds", canopies, Kind::Ratio, Trust::Given),
        ],
        balance(),
    )
    .expect("a roll holds at least one")
}

/// V = m/ρ_p, m³.
pub fn volume_of_mass(mass_kg: f64, density_kg_per_m3: f64, trust: Trust) -> Derivation {
    Derivation::of(
        "V",
        "packed volume of one",
        Kind::Volume,
        sym("m") / sym("rho_p"),
        vec![
            Input::new("m", "its mass", mass_kg, Kind::Mass, Trust::Given),
            Input::new("rho_p", "density it is packed to", density_kg_per_m3, Kind::Density, trust),
        ],
        balance(),
    )
    .expect("a packing density is above 0")
}

/// L = 4 n V/(φ π D²), m: what n volumes take of the bay's length.
pub fn length_in_bay(count: f64, volume_m3: f64, bay: &Bay) -> Derivation {
    Derivation::of(
        "L",
        "length taken in the bay",
        Kind::Length,
        num(4.0 / PI) * sym("n") * sym("V") / (sym("phi") * sym("D").pow(2.0)),
        vec![
            Input::new("n", "how many", count, Kind::Ratio, Trust::Given),
            Input::new("V", "packed volume of one", volume_m3, Kind::Volume, Trust::Given),
            Input::new("phi", "share of the section filled", bay.filled.value, Kind::Share, Trust::Given),
            Input::new("D", "inner diameter of the bay", bay.diameter_m.value, Kind::Length, Trust::Given),
        ],
        balance(),
    )
    .expect("a bay has a section")
}

/// ρ = m/(V_b − V_h), kg/m³: how dense what is soft must be packed to fill what is left of the bay; `None` where nothing is left.
pub fn density_wanted(soft_kg: f64, bay_m3: f64, hard_m3: f64) -> Option<Derivation> {
    (bay_m3 > hard_m3).then_some(())?;
    Derivation::of(
        "rho_w",
        "density that what is soft must be packed to",
        Kind::Density,
        sym("m_s") / (sym("V_b") - sym("V_h")),
        vec![
            Input::new("m_s", "mass of all that is soft", soft_kg, Kind::Mass, Trust::Given),
            Input::new("V_b", "volume of the bay that is filled", bay_m3, Kind::Volume, Trust::Given),
            Input::new("V_h", "volume of what is not pressed", hard_m3, Kind::Volume, Trust::Given),
        ],
        balance(),
    )
}

/// A round bay.
#[derive(Clone, Debug, PartialEq)]
pub struct Bay {
    /// Inner diameter, m, above 0.
    pub diameter_m: Estimate,
    /// Length free for what is packed, m, above 0.
    pub length_m: Estimate,
    /// Share of its section that what is soft fills, above 0 and at most 1.
    pub filled: Estimate,
}

impl Bay {
    /// A_b = π D²/4, m².
    pub fn section_m2(&self) -> f64 {
        PI / 4.0 * self.diameter_m.value * self.diameter_m.value
    }

    /// V_b = A_b L_b, m³, with its doubt.
    pub fn volume_m3(&self) -> Estimate {
        let volume = self.section_m2() * self.length_m.value;
        Estimate::made_of(
            volume,
            &[(&self.diameter_m, 2.0 * volume / self.diameter_m.value), (&self.length_m, self.section_m2())],
        )
    }

    /// Length that so many volumes take, m, with its doubt. See [`length_in_bay`].
    pub fn length_of(&self, count: f64, volume_m3: &Estimate) -> Estimate {
        let per_m3 = count / (self.filled.value * self.section_m2());
        let length = per_m3 * volume_m3.value;
        Estimate::made_of(
            length,
            &[
                (volume_m3, per_m3),
                (&self.filled, -length / self.filled.value),
                (&self.diameter_m, -2.0 * length / self.diameter_m.value),
            ],
        )
    }

    /// Spare length, m, below 0 where it is wanting.
    pub fn spare(&self, taken_m: &Estimate) -> Estimate {
        let spare = self.length_m.value - taken_m.value;
        Estimate::made_of(spare, &[(&self.length_m, 1.0), (taken_m, -1.0)])
    }

    /// Most canopies of one volume that fit beside the length taken by others: by best estimate.
    pub fn most(&self, others_m: f64, volume_m3: f64) -> u32 {
        let each = self.length_of(1.0, &Estimate::exact(volume_m3)).value;
        let room = self.length_m.value - others_m;
        if each > 0.0 && room > 0.0 { (room / each + 1e-9).floor().min(1000.0) as u32 } else { 0 }
    }
}

/// Whether it fits: the word, and why in words that stand alone.
///
/// It misses where the best estimate is wanting, meets where the lower end of the 95 % interval is not, and is undecided
/// between.
///
/// # Examples
/// ```
/// use silkfall_core::cases::Verdict;
/// use silkfall_core::ledger::Estimate;
/// use silkfall_core::packing::fits;
/// assert_eq!(fits(&Estimate::exact(-0.010)), (Verdict::Misses, "does not fit, 10 mm short".to_owned()));
/// assert_eq!(fits(&Estimate::exact(0.025)), (Verdict::Meets, "fits with 25 mm to spare".to_owned()));
/// ```
pub fn fits(spare_m: &Estimate) -> (Verdict, String) {
    let half = student_95(spare_m.dof()) * spare_m.standard_uncertainty();
    let millimetres = |m: f64| format!("{:.0} mm", (m.abs() * 1000.0).max(f64::from(u8::from(m < 0.0))));
    if spare_m.value < 0.0 {
        (Verdict::Misses, format!("does not fit, {} short", millimetres(spare_m.value)))
    } else if spare_m.value - half >= 0.0 {
        (Verdict::Meets, format!("fits with {} to spare", millimetres(spare_m.value)))
    } else {
        let short = millimetres(spare_m.value - half);
        let says = format!("{} to spare by best estimate, may be {short} short", millimetres(spare_m.value));
        (Verdict::Undecided, says)
    }
}

#[cfg(test)]
mod checks;
