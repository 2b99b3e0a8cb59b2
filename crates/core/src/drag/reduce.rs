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
    /// ln of the descent rate, rate in m/s.
    pub ln_rate: Estimate,
    /// ln of the air density the rate is referred to, density in kg/m³.
    pub ln_density: Estimate,
    /// Gravity of the place.
    pub gravity: Acceleration,
}

/// A canopy or body held in a stream with a load cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// Mean force, N.
    pub force_n: Estimate,
    /// ln of the speed of the air past it, m/s.
    pub ln_speed: Estimate,
    /// ln of the air density, kg/m³.
    pub ln_density: Estimate,
}

/// ln D of a fall, and how D came about. `rate_trust` says whether the rate is measured or given.
pub fn of_fall(fall: &Fall, rate_trust: Trust) -> (Estimate, Derivation) {
    let gravity = fall.gravity.get::<meter_per_second_squared>();
    let mass = fall.mass_kg.value;
    let ln_weight = fall.mass_kg.mapped(maths::ln(mass * gravity), 1.0 / mass);
    let ln_area = ln_of_force_over_pressure(&ln_weight, &fall.ln_rate, &fall.ln_density);
    let how = Derivation {
        symbol: "D",
        meaning: "drag area of the test".to_owned(),
        si: maths::exp(ln_area.value),
        kind: Kind::DragArea,
        expr: num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("v") * sym("v")),
        inputs: vec![
            input("m", "all that descends", mass, Kind::Mass, Trust::Given),
            input("g", "gravity of the place", gravity, Kind::Acceleration, Trust::Given),
            input("rho", "air density", maths::exp(fall.ln_density.value), Kind::Density, Trust::Given),
            input("v", "descent rate", maths::exp(fall.ln_rate.value), Kind::Speed, rate_trust),
        ],
        source: Trust::Published("steady fall: weight equals drag, D ρ v²/2 = m g".to_owned()),
    };
    (ln_area, how)
}

/// ln D of a pull, and how D came about.
pub fn of_force(pull: &Pull) -> (Estimate, Derivation) {
    let force = pull.force_n.value;
    let ln_force = pull.force_n.mapped(maths::ln(force), 1.0 / force);
    let ln_area = ln_of_force_over_pressure(&ln_force, &pull.ln_speed, &pull.ln_density);
    let how = Derivation {
        symbol: "D",
        meaning: "drag area of the test".to_owned(),
        si: maths::exp(ln_area.value),
        kind: Kind::DragArea,
        expr: num(2.0) * sym("F") / (sym("rho") * sym("v") * sym("v")),
        inputs: vec![
            input("F", "mean force", force, Kind::Force, Trust::Given),
            input("rho", "air density", maths::exp(pull.ln_density.value), Kind::Density, Trust::Given),
            input("v", "speed of the air", maths::exp(pull.ln_speed.value), Kind::Speed, Trust::Given),
        ],
        source: Trust::Published("definition of drag area, F = D ρ v²/2".to_owned()),
    };
    (ln_area, how)
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

fn input(symbol: &'static str, meaning: &str, si: f64, kind: Kind, trust: Trust) -> Input {
    Input { symbol, meaning: meaning.to_owned(), si, kind, trust, number: None }
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
            ln_rate: stated(maths::ln(4.0), "rate", 0.02),
            ln_density: stated(maths::ln(1.2), "air", 0.003),
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
            ln_speed: stated(maths::ln(4.0), "wind", 0.02),
            ln_density: stated(maths::ln(1.2), "air", 0.003),
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
            ln_rate: stated(1.0, "rate", 0.01),
            ln_density: stated(0.2, "shared", 0.004),
            gravity: Acceleration::new::<meter_per_second_squared>(9.8),
        };
        let (ln_area, _) = of_fall(&fall, Trust::Measured);
        assert!((ln_area.parts[&"shared".into()].signed - (0.01 - 0.004)).abs() < 1e-14);
    }
}
