//! Gas for a pressure in a bay.
//!
//! Cold gas, ideal and come to the bay's temperature: m = M Δp V/(R T), kg, with M its molar mass (kg/mol), R the molar gas
//! constant (exact in the SI since 2019). Let out fast it is colder and gives less: a test decides.
//!
//! Pyrotechnic: the same with an effective R_e and T_e of the burnt powder, 266 in·lbf/(lbm °R) and 3307 °R, an amateur's
//! rule without a primary source (common practice). It is known to scatter widely, so that only a range is given, between
//! [`PYROTECHNIC_SHARE`] of that effect; never one number.

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

/// Molar gas constant, J/(mol K): N_A k, exact (SI Brochure, 9th edition (2019)).
const MOLAR_GAS_CONSTANT: f64 = 8.314_462_618_153_24;
/// R_e T_e of the rule, J/kg: 266 in·lbf/(lbm °R) × 3307 °R.
const PYROTECHNIC_J_PER_KG: f64 = 266.0 * 3307.0 * 0.0254 * 4.448_221_615_260_5 / 0.453_592_37;
/// Least and most of the rule's effect that a charge is taken to have: assumed, a judgement of ours.
pub const PYROTECHNIC_SHARE: [f64; 2] = [0.5, 1.25];

/// A gas of cartridges and bottles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gas {
    /// CO₂, 44.0095 g/mol.
    CarbonDioxide,
    /// N₂, 28.0134 g/mol.
    Nitrogen,
    /// Ar, 39.948 g/mol.
    Argon,
    /// Dry air, 28.9647 g/mol.
    Air,
}

impl Gas {
    /// Molar mass, kg/mol: IUPAC standard atomic weights, conventional values, from memory of these; air as in CIPM-2007.
    pub fn kg_per_mol(self) -> f64 {
        match self {
            Gas::CarbonDioxide => 0.044_009,
            Gas::Nitrogen => 0.028_014,
            Gas::Argon => 0.039_948,
            Gas::Air => 0.028_965,
        }
    }
}

fn ideal_gas() -> Trust {
    Trust::Published("ideal gas, p V = n R T".to_owned())
}

/// m = M Δp V/(R T), kg.
///
/// # Examples
/// One litre of carbon dioxide at 288 K: 100 kPa take 1.837 g.
/// ```
/// use silkfall_core::deployment::{Gas, cold_gas_mass};
/// let mass = cold_gas_mass(Gas::CarbonDioxide, 1e5, 1e-3, 288.0);
/// assert!((mass.si * 1000.0 - 1.837).abs() < 1e-3);
/// ```
pub fn cold_gas_mass(gas: Gas, pressure_pa: f64, volume_m3: f64, temperature_k: f64) -> Derivation {
    Derivation::of(
        "m_g",
        "cold gas wanted",
        Kind::Mass,
        sym("M") * sym("p_w") * sym("V") / (num(MOLAR_GAS_CONSTANT) * sym("T")),
        vec![molar_mass(gas), wanted(pressure_pa), filled(volume_m3), temperature(temperature_k)],
        ideal_gas(),
    )
    .expect("a temperature is above 0")
}

fn molar_mass(gas: Gas) -> Input {
    let weights = Trust::Memory("IUPAC standard atomic weights".to_owned());
    Input::new("M", "molar mass of the gas, kg/mol", gas.kg_per_mol(), Kind::Ratio, weights)
}

fn wanted(pressure_pa: f64) -> Input {
    Input::new("p_w", "pressure wanted over the outside", pressure_pa, Kind::OverPressure, Trust::Given)
}

fn filled(volume_m3: f64) -> Input {
    Input::new("V", "volume the gas fills", volume_m3, Kind::Volume, Trust::Given)
}

fn temperature(temperature_k: f64) -> Input {
    Input::new("T", "temperature it comes to", temperature_k, Kind::Temperature, Trust::Given)
}

/// p = m R T/(M V), Pa over the outside.
pub fn cold_gas_pressure(gas: Gas, mass_kg: f64, volume_m3: f64, temperature_k: f64) -> Derivation {
    Derivation::of(
        "p",
        "pressure the gas makes, over the outside",
        Kind::OverPressure,
        sym("m_g") * num(MOLAR_GAS_CONSTANT) * sym("T") / (sym("M") * sym("V")),
        vec![
            Input::new("m_g", "mass of gas let out", mass_kg, Kind::Mass, Trust::Given),
            temperature(temperature_k),
            molar_mass(gas),
            filled(volume_m3),
        ],
        ideal_gas(),
    )
    .expect("a bay has a volume")
}

fn rule() -> Trust {
    Trust::Practice
}

/// m = Δp V/(R_e T_e s), kg: one end of the range, for the share s of the rule's effect. Show both ends or none, with
/// [`super::PYROTECHNIC`] beside them.
pub fn pyrotechnic_mass(pressure_pa: f64, volume_m3: f64, share: f64) -> Derivation {
    let judged = Trust::Assumed("half to five quarters of the rule's effect, a judgement of ours".to_owned());
    Derivation::of(
        "m_c",
        "one end of the range of the charge",
        Kind::Mass,
        sym("p_w") * sym("V") / (sym("h") * sym("s")),
        vec![
            wanted(pressure_pa),
            filled(volume_m3),
            Input::new("h", "R_e T_e of the amateurs' rule, J/kg", PYROTECHNIC_J_PER_KG, Kind::Ratio, rule()),
            Input::new("s", "share of the rule's effect", share, Kind::Ratio, judged),
        ],
        rule(),
    )
    .expect("a share is above 0")
}

/// The rule itself, kg: what the share 1 gives. For checks against the rule as amateurs print it; never shown.
pub fn pyrotechnic_rule(pressure_pa: f64, volume_m3: f64) -> f64 {
    pressure_pa * volume_m3 / PYROTECHNIC_J_PER_KG
}
