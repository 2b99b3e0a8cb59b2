use outside_check::check;
use uom::si::length::inch;
use uom::si::mass::pound;
use uom::si::velocity::foot_per_second;

use super::*;

fn common(mass: Mass, coefficient: f64) -> Common {
    Common {
        mass,
        coefficient,
        reference: None,
        diameter_kind: None,
        shape: None,
        ratio: None,
        density: MassDensity::new::<kilogram_per_cubic_meter>(DEFAULT_DENSITY_KG_PER_M3),
        gravity: Acceleration::new::<meter_per_second_squared>(DEFAULT_GRAVITY_M_PER_S2),
    }
}

fn kg(mass: f64) -> Mass {
    Mass::new::<kilogram>(mass)
}

fn metres(diameter: f64) -> Length {
    Length::new::<meter>(diameter)
}

fn moves_with_each_input(derivations: &[Derivation]) {
    for derivation in derivations {
        let stated = derivation.evaluate().unwrap();
        assert!((stated - derivation.si).abs() < 1e-12 * stated.abs(), "{}", derivation.symbol);
        for i in 0..derivation.inputs.len() {
            let mut moved = derivation.clone();
            moved.inputs[i].si *= 1.01;
            let change = moved.evaluate().unwrap() / stated - 1.0;
            assert!(change.abs() > 0.004, "{} does not move {}", moved.inputs[i].symbol, moved.symbol);
        }
    }
}

#[test]
fn the_size_everybody_works_out() {
    let answer = size(&common(kg(5.9), 2.2), Velocity::new::<meter_per_second>(4.3)).unwrap();
    check! {
        area: "sums by hand", what: "diameter for 5.9 kg at 4.3 m/s with coefficient 2.2, m and in",
        against: "common practice, no published source", leg: Published,
        rows: [("m", answer.diameter.get::<meter>() / 1.72, 1.0), ("in", answer.diameter.get::<inch>() / 67.7, 1.0)],
        within: 0.003, because: "half a unit of the last digit told",
    }
    assert_eq!(answer.refers_to, None);
    assert_eq!(answer.findings.len(), 1);
    assert_eq!(answer.findings[0].code, Code::SumReferenceNotStated);
    assert!(answer.findings[0].message.contains("no nominal-area coefficient of a usual canopy is near it"));
    moves_with_each_input(&answer.how);
}

#[test]
fn the_rate_everybody_works_out() {
    let answer = rate(&common(Mass::new::<pound>(13.0), 2.2), Length::new::<inch>(60.0)).unwrap();
    check! {
        area: "sums by hand", what: "rate of 13 lb under 60 in with coefficient 2.2, ft/s",
        against: "common practice, no published source", leg: Published,
        got: answer.rate.get::<foot_per_second>(), want: 16.0, within: 0.5, because: "told as about 16",
    }
    moves_with_each_input(&answer.how);
}

#[test]
fn rates_worked_out_independently() {
    let rows = [(10.0, 0.75, 2.0, 8.2433), (25.0, 0.80, 3.5, 7.2114), (1.0, 0.75, 0.6, 8.6892)];
    check! {
        area: "sums by hand", what: "rate of 10, 25 and 1 kg under 2.0, 3.5 and 0.6 m, m/s",
        against: "v = √(2 W/(ρ C_D S)), computed independently from the stated formula", leg: Closed,
        rows: rows.map(|(mass, coefficient, diameter, want)| {
            let answer = rate(&common(kg(mass), coefficient), metres(diameter)).unwrap();
            (format!("{mass} kg"), answer.rate.get::<meter_per_second>(), want)
        }),
        within: 5.1e-5, because: "half a unit of the last printed digit",
    }
}

#[test]
fn size_and_rate_undo_each_other_on_any_area() {
    for (reference, kind) in [
        (Reference::Nominal, Reference::Projected),
        (Reference::Projected, Reference::Nominal),
        (Reference::Nominal, Reference::Constructed),
        (Reference::Projected, Reference::Projected),
    ] {
        let stated = Common {
            reference: Some(reference),
            diameter_kind: Some(kind),
            shape: Some(Shape::Hemispherical),
            ..common(kg(4.0), 0.7)
        };
        let sized = size(&stated, Velocity::new::<meter_per_second>(5.0)).unwrap();
        assert_eq!(sized.refers_to, Some(kind));
        let rated = rate(&stated, sized.diameter).unwrap();
        assert!((rated.rate.get::<meter_per_second>() - 5.0).abs() < 1e-12);
        moves_with_each_input(&sized.how);
        moves_with_each_input(&rated.how);
    }
}

#[test]
fn a_shapes_range_gives_a_range_and_a_stated_ratio_does_not() {
    let shaped = Common {
        reference: Some(Reference::Nominal),
        diameter_kind: Some(Reference::Projected),
        shape: Some(Shape::FlatCircular),
        ..common(kg(10.0), 0.75)
    };
    let answer = size(&shaped, Velocity::new::<meter_per_second>(8.2433)).unwrap();
    let range = answer.range_m.unwrap();
    // D₀ = 2 m there; D_p/D₀ 0.67 to 0.70.
    assert!((range.low - 1.34).abs() < 1e-4 && (range.high - 1.40).abs() < 1e-4);
    assert!((answer.diameter.get::<meter>() - 1.37).abs() < 1e-4);
    assert!(answer.findings.is_empty());
    let stated = Common { ratio: Some(0.68), ..shaped };
    let answer = size(&stated, Velocity::new::<meter_per_second>(8.2433)).unwrap();
    assert!((answer.diameter.get::<meter>() - 1.36).abs() < 1e-4 && answer.range_m.is_none());
    let falls = rate(&Common { ratio: None, ..stated }, metres(1.37)).unwrap().range_m_per_s.unwrap();
    assert!(falls.low < 8.2433 && 8.2433 < falls.high, "a larger mouth over the cloth means less cloth");
}

#[test]
fn what_cannot_be_told_is_refused() {
    let rate = Velocity::new::<meter_per_second>(5.0);
    let code = |common: Common| size(&common, rate).unwrap_err().code;
    let base = || common(kg(4.0), 0.75);
    assert_eq!(code(common(kg(0.0), 0.75)), Code::SumNotPositive);
    assert_eq!(code(common(kg(f64::NAN), 0.75)), Code::SumNotPositive);
    assert_eq!(code(Common { ratio: Some(-1.0), ..base() }), Code::SumNotPositive);
    assert_eq!(
        code(Common { diameter_kind: Some(Reference::Projected), ..base() }),
        Code::SumReferenceWanted
    );
    let differing =
        Common { reference: Some(Reference::Nominal), diameter_kind: Some(Reference::Projected), ..base() };
    assert_eq!(code(differing.clone()), Code::SumRatioWanted);
    assert_eq!(code(Common { shape: Some(Shape::VortexRing), ..differing }), Code::SumRatioWanted);
}

#[test]
fn unusual_coefficients_are_noticed_on_their_own_area() {
    let rate = Velocity::new::<meter_per_second>(5.0);
    let codes = |coefficient, reference, shape| -> Vec<Code> {
        let stated = Common { reference: Some(reference), shape, ..common(kg(4.0), coefficient) };
        size(&stated, rate).unwrap().findings.iter().map(|finding| finding.code).collect()
    };
    assert_eq!(codes(2.2, Reference::Nominal, None), [Code::SumCoefficientUnusual]);
    assert_eq!(codes(0.75, Reference::Nominal, None), []);
    assert_eq!(codes(1.5, Reference::Nominal, Some(Shape::Hemispherical)), [Code::SumCoefficientUnusual]);
    assert_eq!(codes(1.5, Reference::Projected, Some(Shape::Hemispherical)), []);
    let not_said = size(&common(kg(4.0), 0.75), rate).unwrap();
    assert!(
        not_said.findings[0].message.contains("suit a flat circular canopy"),
        "{}",
        not_said.findings[0].message
    );
}
