//! Scaling laws and the closed forms of a fall, each with its derivation.

use uom::si::velocity::meter_per_second;

use super::RatioOfRates;
use crate::derivation::{Derivation, Expr, Input, num, sym};
use crate::finding::{Code, Finding, Subject};
use crate::ledger::Trust;
use crate::maths;
use crate::quantity::{Kind, Velocity};
use crate::shapes::Range;

/// Reynolds numbers between which the drag of a smooth cylinder falls to a third: from memory of textbooks 2 to
/// 4 · 10⁵, from 10⁵ on where it is rough or the stream turbulent.
pub const DRAG_CRISIS: Range = Range { low: 1e5, high: 4e5 };

fn input(symbol: &'static str, meaning: &str, si: f64, kind: Kind, trust: &Trust) -> Input {
    Input::new(symbol, meaning, si, kind, trust.clone())
}

fn derived(
    symbol: &'static str,
    meaning: &str,
    kind: Kind,
    expr: Expr,
    inputs: Vec<Input>,
    source: &str,
) -> Derivation {
    let mut derivation = Derivation {
        symbol,
        meaning: meaning.to_owned(),
        si: 0.0,
        kind,
        expr,
        inputs,
        source: Trust::Published(source.to_owned()),
    };
    derivation.si = derivation.evaluate().expect("positive inputs of a closed form");
    derivation
}

/// v = √(2 m g/(ρ D)), m/s. All inputs above 0.
pub fn rate_of_fall(mass_kg: f64, gravity: f64, density: f64, drag_area_m2: f64) -> Derivation {
    derived(
        "v",
        "descent rate",
        Kind::Speed,
        (num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("D"))).root(),
        vec![
            input("m", "all that descends", mass_kg, Kind::Mass, &Trust::Given),
            input("g", "gravity of the place", gravity, Kind::Acceleration, &Trust::Given),
            input("rho", "air density", density, Kind::Density, &Trust::Given),
            input("D", "all that brakes", drag_area_m2, Kind::DragArea, &Trust::Measured),
        ],
        "steady fall: weight equals drag, m g = D ρ v²/2",
    )
}

/// E = m v²/2, J: of the fall alone, without drift.
pub fn energy(mass_kg: f64, rate_m_per_s: f64) -> Derivation {
    derived(
        "E",
        "energy at the ground, without drift",
        Kind::Energy,
        num(0.5) * sym("m") * sym("v").pow(2.0),
        vec![
            input("m", "all that descends", mass_kg, Kind::Mass, &Trust::Given),
            input("v", "descent rate", rate_m_per_s, Kind::Speed, &Trust::Measured),
        ],
        "kinetic energy",
    )
}

/// m_full = m_model s³ ρ_full/ρ_model, kg, with s full over model length and the densities of the air at both.
pub fn mass_at_scale(model_kg: f64, scale: f64, density_ratio: f64) -> Derivation {
    derived(
        "m_f",
        "mass at full size",
        Kind::Mass,
        sym("m_m") * sym("s").pow(3.0) * sym("q"),
        vec![
            input("m_m", "mass of the model", model_kg, Kind::Mass, &Trust::Given),
            input("s", "full over model length", scale, Kind::Ratio, &Trust::Given),
            input(
                "q",
                "air density at full size over that at the model",
                density_ratio,
                Kind::Ratio,
                &Trust::Given,
            ),
        ],
        "Froude scaling (NASA TP-1435)",
    )
}

/// v_full = v_model √s, m/s, for a model of scaled mass.
pub fn rate_at_scale(model_m_per_s: f64, scale: f64) -> Derivation {
    derived(
        "v_f",
        "rate at full size of a model of scaled mass",
        Kind::Speed,
        sym("v_m") * sym("s").root(),
        vec![
            input("v_m", "rate of the model", model_m_per_s, Kind::Speed, &Trust::Measured),
            input("s", "full over model length", scale, Kind::Ratio, &Trust::Given),
        ],
        "Froude scaling (NASA TP-1435)",
    )
}

/// Re = v L/ν, with the kinematic viscosity in m²/s.
pub fn reynolds(rate_m_per_s: f64, length_m: f64, viscosity_m2_per_s: f64) -> Derivation {
    derived(
        "Re",
        "Reynolds number",
        Kind::Ratio,
        sym("v") * sym("L") / sym("nu"),
        vec![
            input("v", "descent rate", rate_m_per_s, Kind::Speed, &Trust::Measured),
            input("L", "length across the stream", length_m, Kind::Length, &Trust::Given),
            input("nu", "kinematic viscosity of air, m²/s", viscosity_m2_per_s, Kind::Ratio, &Trust::Given),
        ],
        "definition of the Reynolds number",
    )
}

/// A finding where the drag crisis of a cylinder lies between the Reynolds numbers of model and full size, or one of
/// them in it: then the body's area does not simply scale.
pub fn reynolds_caution(model: f64, full: f64, subject: Subject) -> Option<Finding> {
    let (low, high) = (model.min(full), model.max(full));
    (low <= DRAG_CRISIS.high && high >= DRAG_CRISIS.low).then(|| {
        let message = format!(
            "the body's Reynolds number is {model:.1e} at model scale and {full:.1e} at full size, and the drag crisis \
             of a cylinder lies between {:.0e} and {:.0e}",
            DRAG_CRISIS.low, DRAG_CRISIS.high
        );
        Finding::new(Code::FullSizeDragCrisis, subject, message)
    })
}

/// What [`why_no_ratio`] compares: all drag areas with the body, m².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatesCompared {
    /// Number of canopies of the second configuration.
    pub count: usize,
    /// One canopy, model.
    pub model_one_m2: f64,
    /// `count` canopies, model.
    pub model_many_m2: f64,
    /// One canopy, full size.
    pub full_one_m2: f64,
    /// `count` canopies, full size.
    pub full_many_m2: f64,
    /// Rate at full size under one canopy.
    pub full_one_rate: Velocity,
}

/// Why the ratio of two rates of the model is not that at full size: v_n/v_1 = √(D_1/D_n), and the body's part of D is
/// another at both scales unless every area scales alike.
pub fn why_no_ratio(compared: &RatesCompared) -> RatioOfRates {
    let one = compared.full_one_rate.get::<meter_per_second>();
    let predicted = |meaning: &str, from: f64, to: f64| {
        derived(
            "v_n",
            meaning,
            Kind::Speed,
            sym("v_1") * (sym("D_1") / sym("D_n")).root(),
            vec![
                input("v_1", "rate under one canopy at full size", one, Kind::Speed, &Trust::Measured),
                input("D_1", "all that brakes with one canopy", from, Kind::DragArea, &Trust::Measured),
                input("D_n", "all that brakes with all of them", to, Kind::DragArea, &Trust::Measured),
            ],
            "steady fall, equal mass: rates go with the inverse root of drag areas",
        )
    };
    let by_ratio = predicted("rate if the model's ratio held", compared.model_one_m2, compared.model_many_m2);
    let by_areas = predicted("rate from the areas at full size", compared.full_one_m2, compared.full_many_m2);
    let ratio = maths::sqrt(compared.model_one_m2 / compared.model_many_m2);
    let because = format!(
        "At model scale {} canopies fell at {:.2} of the rate under one; carried over that would make {:.2} m/s, \
         while the areas make {:.2} m/s: the body is another share of what brakes at the two sizes.",
        compared.count, ratio, by_ratio.si, by_areas.si
    );
    RatioOfRates {
        at_model_scale: ratio,
        count: compared.count,
        by_ratio: Velocity::new::<meter_per_second>(by_ratio.si),
        by_areas: Velocity::new::<meter_per_second>(by_areas.si),
        how: [by_ratio, by_areas],
        because,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;

    #[test]
    fn a_third_scale_model_of_six_kilograms() {
        check! {
            area: "full size", what: "mass of a third-scale model of a 6 kg body, kg",
            against: "common practice, no published source", leg: Published,
            got: 6.0 / mass_at_scale(1.0, 3.0, 1.0).si, want: 0.22, within: 0.005,
            because: "half a unit of the last digit told",
        }
    }

    #[test]
    fn froude_factors() {
        check! {
            area: "full size", what: "model over full size at one quarter: rate, mass, energy, mass with full size at 1000 m",
            against: "Froude scaling of NASA TP-1435, computed independently from the stated formulas", leg: Closed,
            rows: [
                ("rate", 1.0 / rate_at_scale(1.0, 4.0).si, 0.5),
                ("mass", 1.0 / mass_at_scale(1.0, 4.0, 1.0).si, 0.015_625),
                ("energy", energy(1.0, 1.0).si / energy(mass_at_scale(1.0, 4.0, 1.0).si, rate_at_scale(1.0, 4.0).si).si, 0.003_906_25),
                ("high ground", 1.0 / mass_at_scale(1.0, 4.0, 1.1116 / 1.225).si, 0.017_219_0),
            ],
            within: 5e-7, because: "half a unit of the last printed digit",
        }
    }

    #[test]
    fn energies_and_rates_worked_out_independently() {
        let rows = [
            (10.0, 2.356_194, 8.2433, 339.8),
            (25.0, 0.8 * 9.621_128, 7.2114, 650.1),
            (1.0, 0.212_058, 8.6892, 37.75),
        ];
        check! {
            area: "full size", what: "energy at the ground of 10, 25 and 1 kg, J",
            against: "v = √(2 W/(ρ D)), E = m v²/2, computed independently from the stated formulas", leg: Closed,
            rows: rows.map(|(mass, area, rate, want)| {
                let fall = rate_of_fall(mass, 9.806_65, 1.225, area);
                assert!((fall.si - rate).abs() < 6e-5, "{}", fall.si);
                (format!("{mass} kg"), energy(mass, fall.si).si, want)
            }),
            within: 0.05, because: "half a unit of the last printed digit",
        }
    }

    #[test]
    fn a_level_tube_in_the_drag_crisis() {
        let fall = rate_of_fall(10.0, 9.806_65, 1.225, 0.8 * 2.0 * 0.15);
        let number = reynolds(fall.si, 0.15, 1.4607e-5).si;
        check! {
            area: "full size", what: "Reynolds number of a bare 10 kg tube of 2.0 m by 0.15 m",
            against: "v = √(2 W/(ρ D)), Re = v d/ν, computed independently from the stated formulas", leg: Closed,
            got: number, want: 2.65e5, within: 500.0, because: "half a unit of the last printed digit",
        }
        let warned = |model, full| reynolds_caution(model, full, Subject::Whole).is_some();
        assert!(warned(number, 2e4) && warned(2e4, 1e6) && warned(1e5, 1e4) && warned(1e6, 4e5));
        assert!(!warned(2e4, 8e4) && !warned(5e5, 1e6));
    }

    #[test]
    fn every_input_moves_its_number() {
        let speed = Velocity::new::<meter_per_second>(6.0);
        let why = why_no_ratio(&RatesCompared {
            count: 2,
            model_one_m2: 0.3,
            model_many_m2: 0.5,
            full_one_m2: 2.0,
            full_many_m2: 3.9,
            full_one_rate: speed,
        });
        assert!((why.by_ratio.get::<meter_per_second>() - 6.0 * (0.6f64).sqrt()).abs() < 1e-12);
        assert!(why.because.contains("0.77 of the rate"));
        let mut all = vec![
            rate_of_fall(10.0, 9.8, 1.2, 2.0),
            energy(10.0, 8.0),
            mass_at_scale(0.2, 3.0, 0.9),
            rate_at_scale(3.0, 3.0),
            reynolds(5.0, 0.2, 1.5e-5),
        ];
        all.extend(why.how);
        for derivation in all {
            for i in 0..derivation.inputs.len() {
                let mut moved = derivation.clone();
                moved.inputs[i].si *= 1.01;
                assert!(
                    (moved.evaluate().unwrap() / derivation.si - 1.0).abs() > 0.004,
                    "{}",
                    derivation.meaning
                );
            }
        }
    }
}
