//! One test to its drag area: D = 2 m g/(ρ v²) of a steady fall, D = 2 F/(ρ v²) of a pull; m² (Newton's second
//! law without acceleration, and the definition of drag area).

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::{Estimate, Trust};
use crate::maths;
use crate::quantity::{Acceleration, Kind};
use uom::si::acceleration::meter_per_second_squared;

/// A steady fall.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// All that descends, kg.
    pub mass_kg: Estimate,
    /// Descent rate, m/s.
    pub rate_m_per_s: Estimate,
    /// Air density the rate is referred to, kg/m³.
    pub density_kg_per_m3: Estimate,
    /// Gravity of the place.
    pub gravity: Acceleration,
}

/// A canopy or body held in a stream with a load cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// Mean force, N.
    pub force_n: Estimate,
    /// Speed of the air past it, m/s.
    pub speed_m_per_s: Estimate,
    /// Air density, kg/m³.
    pub density_kg_per_m3: Estimate,
}

/// ln D of a fall, and how D came about. `rate_trust` says whether the rate is measured or given.
pub fn of_fall(fall: &Fall, rate_trust: Trust) -> (Estimate, Derivation) {
    let gravity = fall.gravity.get::<meter_per_second_squared>();
    let mass = fall.mass_kg.value;
    let mut ln_weight = logarithm(&fall.mass_kg);
    ln_weight.value += maths::ln(gravity);
    let ln_area = ln_of_force_over_pressure(
        &ln_weight,
        &logarithm(&fall.rate_m_per_s),
        &logarithm(&fall.density_kg_per_m3),
    );
    let how = Derivation {
        symbol: "D",
        meaning: "drag area of the test".to_owned(),
        si: maths::exp(ln_area.value),
        kind: Kind::DragArea,
        expr: num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("v") * sym("v")),
        inputs: vec![
            Input::new("m", "all that descends", mass, Kind::Mass, Trust::Given),
            Input::new("g", "gravity of the place", gravity, Kind::Acceleration, Trust::Given),
            Input::new("rho", "air density", fall.density_kg_per_m3.value, Kind::Density, Trust::Given),
            Input::new("v", "descent rate", fall.rate_m_per_s.value, Kind::Speed, rate_trust),
        ],
        source: Trust::Published("steady fall: weight equals drag, D ρ v²/2 = m g".to_owned()),
    };
    (ln_area, how)
}

/// ln D of a pull, and how D came about.
pub fn of_force(pull: &Pull) -> (Estimate, Derivation) {
    let force = pull.force_n.value;
    let ln_force = logarithm(&pull.force_n);
    let ln_area = ln_of_force_over_pressure(
        &ln_force,
        &logarithm(&pull.speed_m_per_s),
        &logarithm(&pull.density_kg_per_m3),
    );
    let how = Derivation {
        symbol: "D",
        meaning: "drag area of the test".to_owned(),
        si: maths::exp(ln_area.value),
        kind: Kind::DragArea,
        expr: num(2.0) * sym("F") / (sym("rho") * sym("v") * sym("v")),
        inputs: vec![
            Input::new("F", "mean force", force, Kind::Force, Trust::Given),
            Input::new("rho", "air density", pull.density_kg_per_m3.value, Kind::Density, Trust::Given),
            Input::new("v", "speed of the air", pull.speed_m_per_s.value, Kind::Speed, Trust::Given),
        ],
        source: Trust::Published("definition of drag area, F = D ρ v²/2".to_owned()),
    };
    (ln_area, how)
}

/// ln of a positive quantity.
fn logarithm(of: &Estimate) -> Estimate {
    of.mapped(maths::ln(of.value), 1.0 / of.value)
}

/// ln(2 F/(ρ v²)), parts by entry.
fn ln_of_force_over_pressure(ln_force: &Estimate, ln_speed: &Estimate, ln_density: &Estimate) -> Estimate {
    let value = maths::ln(2.0) + ln_force.value - ln_density.value - 2.0 * ln_speed.value;
    let mut sum = Estimate::exact(value);
    for (of, slope) in [(ln_force, 1.0), (ln_density, -1.0), (ln_speed, -2.0)] {
        for (id, part) in &of.parts {
            sum = sum.with(id.clone(), slope * part.signed, part.dof);
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stated(value: f64, id: &str, sd: f64) -> Estimate {
        Estimate::exact(value).with(id, sd, f64::INFINITY)
    }

    #[test]
    fn a_fall_weighs_against_its_drag() {
        let fall = Fall {
            mass_kg: stated(1.2, "mass", 0.012),
            rate_m_per_s: stated(4.0, "rate", 0.08),
            density_kg_per_m3: stated(1.2, "air", 0.0036),
            gravity: Acceleration::new::<meter_per_second_squared>(9.8),
        };
        let (ln_area, how) = of_fall(&fall, Trust::Measured);
        // 2 · 1.2 · 9.8/(1.2 · 16) = 1.225 m².
        assert!((maths::exp(ln_area.value) - 1.225).abs() < 1e-12);
        assert!((how.evaluate().unwrap() - how.si).abs() < 1e-12);
        let part = |id: &str| ln_area.parts[&id.into()].signed;
        assert!((part("mass") - 0.01).abs() < 1e-12);
        assert!((part("rate") + 0.04).abs() < 1e-12, "twice the doubt of the rate");
        assert!((part("air") + 0.003).abs() < 1e-12);
    }

    #[test]
    fn a_pull_gives_the_same_area_as_a_fall_of_that_weight() {
        let pull = Pull {
            force_n: stated(1.2 * 9.8, "cell", 0.1176),
            speed_m_per_s: stated(4.0, "wind", 0.08),
            density_kg_per_m3: stated(1.2, "air", 0.0036),
        };
        let (ln_area, how) = of_force(&pull);
        assert!((maths::exp(ln_area.value) - 1.225).abs() < 1e-12);
        assert!((how.evaluate().unwrap() - how.si).abs() < 1e-12);
        assert!((ln_area.parts[&"cell".into()].signed - 0.01).abs() < 1e-12);
    }

    /// An entry that moves mass and density alike (a common balance, say) partly cancels.
    #[test]
    fn parts_of_one_entry_add_with_their_signs() {
        let fall = Fall {
            mass_kg: stated(2.0, "shared", 0.02),
            rate_m_per_s: stated(3.0, "rate", 0.03),
            density_kg_per_m3: stated(1.25, "shared", 0.005),
            gravity: Acceleration::new::<meter_per_second_squared>(9.8),
        };
        let (ln_area, _) = of_fall(&fall, Trust::Measured);
        assert!((ln_area.parts[&"shared".into()].signed - (0.01 - 0.004)).abs() < 1e-14);
    }
}
