//! Full size from offers, copies and tests.

use uom::si::length::meter;

use super::*;
use crate::cases::checks::{case, ledger as case_ledger, load, rate, rig, work};
use crate::cases::{CaseKind, Trials};
use crate::drag::{Below, Canopy, Configuration, Drag, Fall, TestArea, fit, of_fall};
use crate::finding::{Code, Subject};
use crate::ledger::{Distribution, Ledger, Trust};
use crate::maths;
use crate::quantity::Acceleration;

fn offer(value: f64, on: Option<Reference>, spread: Option<f64>) -> Offer {
    Offer {
        name: "plain".to_owned(),
        shape: Some(Shape::FlatCircular),
        diameter: Length::new::<meter>(2.0),
        diameter_means: Some(Reference::Nominal),
        coefficient: Some(StatedCoefficient { value, on, spread }),
        mass_kg: None,
        packed_volume_m3: None,
        rated_load_n: None,
        price: None,
        owned: 0,
    }
}

const NOMINAL: Option<Reference> = Some(Reference::Nominal);

fn moves(how: &[Derivation]) {
    for derivation in how {
        let stated = derivation.evaluate().unwrap();
        assert!((stated - derivation.si).abs() < 1e-12 * stated, "{}", derivation.meaning);
        for i in 0..derivation.inputs.len() {
            let mut moved = derivation.clone();
            moved.inputs[i].si *= 1.01;
            assert!((moved.evaluate().unwrap() / stated - 1.0).abs() > 0.004, "{}", derivation.meaning);
        }
    }
}

#[test]
fn a_coefficient_on_the_offers_own_area_is_its_area() {
    let mut ledger = Ledger::default();
    let canopy = canopy_of_offer(&offer(0.75, NOMINAL, Some(0.05)), &mut ledger).unwrap();
    // 0.75 · π · 2²/4 = 2.356194 m² (computed independently from the stated formula).
    assert!((canopy.area.value - 2.356_194).abs() < 1e-6);
    assert!((canopy.area.interval.high / canopy.area.value - maths::exp(1.96 * 0.05)).abs() < 1e-4);
    assert!((canopy.area.interval.low / canopy.area.value - maths::exp(-1.96 * 0.05)).abs() < 1e-4);
    assert_eq!((canopy.nominal_diameter_m, canopy.findings.len()), (Some(2.0), 0));
    assert_eq!(canopy.area.trust.word(), "assumed");
    assert!(ledger.get(&"offer.plain.coefficient".into()).is_some() && ledger.len() == 1);
    moves(&canopy.how);
}

#[test]
fn a_makers_figure_is_doubted_to_one_side() {
    let mut ledger = Ledger::default();
    let canopy = canopy_of_offer(&offer(0.75, NOMINAL, None), &mut ledger).unwrap();
    let stated = 2.356_194;
    // Half-normal of 10 %: median 0.6745, 95 % of it between 0.0313 and 2.2414.
    assert!((canopy.area.value / stated - (1.0 - 0.067_449)).abs() < 1e-6);
    assert!((canopy.area.interval.high / stated - (1.0 - 0.003_134)).abs() < 1e-5);
    assert!((canopy.area.interval.low / stated - (1.0 - 0.224_140)).abs() < 1e-5);
    let entry = ledger.get(&"offer.plain.coefficient".into()).unwrap();
    assert_eq!(entry.distribution, Distribution::OneSidedBelow { sd_relative: MAKER_DOUBT });
    moves(&canopy.how);
}

#[test]
fn a_projected_coefficient_is_brought_to_the_diameter_by_the_shape() {
    let mut ledger = Ledger::default();
    let canopy = canopy_of_offer(&offer(1.6, Some(Reference::Projected), Some(0.0)), &mut ledger).unwrap();
    // D_p/D₀ 0.67 to 0.70.
    let middle = 0.685;
    assert!((canopy.area.value - 1.6 * std::f64::consts::PI * middle * middle).abs() < 1e-9);
    let part = canopy.area.estimate.parts[&"offer.plain.diameter-ratio".into()].signed;
    assert!((part - 2.0 * 0.03 / maths::sqrt(12.0) / middle).abs() < 1e-9);
    assert!(ledger.get(&"offer.plain.diameter-ratio".into()).unwrap().trust.is_from_memory());
    assert!(canopy.findings.is_empty(), "1.6 is usual on the projected area");
    moves(&canopy.how);
    let odd = canopy_of_offer(&offer(1.6, NOMINAL, None), &mut Ledger::default()).unwrap();
    assert_eq!(odd.findings[0].code, Code::OfferCoefficientUnusual);
}

#[test]
fn without_a_coefficient_the_shape_stands_in_from_memory() {
    let mut shaped = offer(0.75, NOMINAL, None);
    shaped.coefficient = None;
    let mut ledger = Ledger::default();
    let canopy = canopy_of_offer(&shaped, &mut ledger).unwrap();
    assert!((canopy.area.value - 0.775 * std::f64::consts::PI).abs() < 1e-9);
    assert_eq!(canopy.area.trust.word(), "handbook");
    let reach = maths::ln(canopy.area.interval.high / canopy.area.value);
    assert!((reach - 0.95 * 0.025 / 0.775).abs() < 1e-9, "95 % of the half-width: {reach}");
}

#[test]
fn what_an_offer_leaves_open_is_refused() {
    let code = |offer: Offer| canopy_of_offer(&offer, &mut Ledger::default()).unwrap_err().code;
    assert_eq!(code(offer(0.75, None, None)), Code::OfferReferenceNotStated);
    assert_eq!(
        code(Offer { diameter_means: None, ..offer(0.75, NOMINAL, None) }),
        Code::OfferReferenceNotStated
    );
    assert_eq!(
        code(Offer { shape: None, ..offer(1.6, Some(Reference::Projected), None) }),
        Code::OfferReferenceNotStated
    );
    assert_eq!(
        code(Offer { shape: None, coefficient: None, ..offer(1.6, NOMINAL, None) }),
        Code::OfferReferenceNotStated
    );
    assert_eq!(code(offer(0.0, NOMINAL, None)), Code::OfferNotUsable);
    let nothing = Length::new::<meter>(0.0);
    assert_eq!(code(Offer { diameter: nothing, ..offer(0.75, NOMINAL, None) }), Code::OfferNotUsable);
}

fn geometry() -> Geometry {
    Geometry {
        shape: Some(Shape::FlatCircular),
        lines_over_diameter: Some(1.0),
        vent_over_diameter: Some(0.1),
        cloth: Some("37 g ripstop".to_owned()),
        distance_over_diameter: Some(2.0),
        diameter_over_body: Some(3.0),
    }
}

#[test]
fn only_a_scale_copy_carries_its_area_over() {
    let model = rig(1).canopy.area;
    let ln_scale = Estimate::exact(maths::ln(3.0)).with("scale", 0.01, f64::INFINITY);
    let copy = |full: &Geometry| canopy_of_scale_copy(&model, &ln_scale, &geometry(), full, Subject::Whole);
    let canopy = copy(&Geometry { lines_over_diameter: Some(1.05), ..geometry() }).unwrap();
    assert!((canopy.area.value - 18.0).abs() < 1e-9);
    assert!((canopy.area.estimate.parts[&"scale".into()].signed - 0.02).abs() < 1e-12);
    assert!((canopy.area.estimate.parts[&"area".into()].signed - 0.08).abs() < 1e-12);
    moves(&canopy.how);
    for (full, word) in [
        (Geometry { shape: None, ..geometry() }, "shape"),
        (Geometry { lines_over_diameter: Some(1.2), ..geometry() }, "line length"),
        (Geometry { vent_over_diameter: None, ..geometry() }, "vent"),
        (Geometry { cloth: Some("54 g twill".to_owned()), ..geometry() }, "cloth"),
    ] {
        let refused = copy(&full).unwrap_err();
        assert!(
            refused.code == Code::FullSizeNoCopy && refused.message.contains(word),
            "{}",
            refused.message
        );
    }
    assert_eq!(canopy_of_real_test(&model, Some(1.8)).area, model);
}

#[test]
fn mismatches_are_named() {
    assert!(cluster_mismatches(&geometry(), &geometry()).is_empty());
    assert!(body_mismatches(&geometry(), &geometry()).is_empty());
    let none = Geometry::default();
    assert_eq!(cluster_mismatches(&none, &none).len(), 3, "what is not stated is not alike");
    assert_eq!(body_mismatches(&none, &none).len(), 2);
    let other = Geometry { distance_over_diameter: Some(3.0), ..geometry() };
    assert_eq!(cluster_mismatches(&geometry(), &other).len(), 1);
    assert_eq!(body_mismatches(&geometry(), &other).len(), 1);
}

/// One canopy of 1.5 m² at model scale, η₂ 0.93, B 0.8 with half of it shielded under one at 2 m.
fn model(tests: &[(&str, usize, Below)]) -> Drag {
    let test = |&(name, count, below): &(&str, usize, Below)| {
        let net = match below {
            Below::Weight => 0.0,
            Below::Body { .. } if count == 0 => 0.8,
            Below::Body { .. } => 0.4,
        };
        let area = if count == 2 { 0.93 } else { 1.0 } * 1.5 * count as f64 + net;
        let rate = maths::sqrt(1.0 / area);
        let fall = Fall {
            mass_kg: Estimate::exact(1.0),
            rate_m_per_s: Estimate::exact(rate).with(format!("{name}.rate"), 0.01 * rate, f64::INFINITY),
            density_kg_per_m3: Estimate::exact(2.0 * 9.8),
            gravity: Acceleration::new::<uom::si::acceleration::meter_per_second_squared>(9.8),
        };
        let (ln_area, how) = of_fall(&fall, Trust::Measured);
        let canopies = (0..count).map(|i| Canopy { kind: "m".to_owned(), serial: i.to_string() }).collect();
        TestArea { name: name.to_owned(), configuration: Configuration { canopies, below }, ln_area, how }
    };
    fit(tests.iter().map(test).collect(), "tube.model", &mut Ledger::default())
}

const HUNG: Below = Below::Body { distance_m: Some(2.0) };
const WEIGHTS: [(&str, usize, Below); 2] = [("1", 1, Below::Weight), ("2", 2, Below::Weight)];

#[test]
fn cluster_factors_are_measured_where_they_are_and_remembered_elsewhere() {
    let drag = model(&WEIGHTS);
    let mut ledger = Ledger::default();
    let alike = cluster_factors(Some(&drag), &[], 9, &mut ledger);
    assert_eq!(alike.len(), 8, "nothing is remembered of nine");
    assert!((alike[0].factor.value - 1.0).abs() < 1e-15 && alike[0].factor.estimate.parts.is_empty());
    assert_eq!(alike[1].factor.trust, Trust::Measured);
    assert!((alike[1].factor.value - 0.93).abs() < 1e-9 && alike[1].mismatches.is_empty());
    assert!(!alike[1].factor.estimate.parts.contains_key(&"transfer.cluster-factor.2".into()));
    assert!(alike[2].factor.trust.is_from_memory());
    assert!((alike[2].factor.value - 0.945).abs() < 1e-12);
    let unlike = cluster_factors(Some(&drag), &["lines".to_owned()], 2, &mut ledger);
    let part = |cluster: &FullCluster, id: &str| cluster.factor.estimate.parts[&id.into()].signed;
    assert!((part(&unlike[1], "transfer.cluster-factor.2") - CLUSTER_TRANSFER).abs() < 1e-15);
    assert!((part(&alike[2], "transfer.cluster-factor.3") - CLUSTER_TRANSFER).abs() < 1e-15);
    assert!((part(&alike[2], "handbook.cluster-factor.3") - 0.05 / maths::sqrt(12.0) / 0.945).abs() < 1e-12);
    assert!(unlike[1].factor.interval.high > alike[1].factor.interval.high);
}

fn source<'a>(drag: Option<&'a Drag>, ln_scale: &'a Estimate, mismatches: &'a [String]) -> BodySource<'a> {
    let shape = Some(BodyShape::CylinderLevel { length_m: 6.0, diameter_m: 0.6 });
    BodySource { part: "tube", drag, ln_scale, mismatches, shape }
}

#[test]
fn a_net_area_goes_with_the_square_of_scale_at_its_own_count() {
    let drag = model(&[WEIGHTS[0], WEIGHTS[1], ("1s", 1, HUNG)]);
    let ln_scale = Estimate::exact(maths::ln(3.0)).with("scale", 0.01, f64::INFINITY);
    let mut ledger = Ledger::default();
    let under = body_under(&source(Some(&drag), &ln_scale, &[]), 2, &mut ledger);
    assert!((under[0].area.value - 9.0 * 0.4).abs() < 1e-9 && under[0].area.trust == Trust::Measured);
    assert!((under[0].area.estimate.parts[&"scale".into()].signed - 2.0 * 3.6 * 0.01).abs() < 1e-9);
    assert!(under[0].mismatches.is_empty() && under[1].mismatches == ["net area measured under 1"]);
    let width = |net: &FullNet| net.area.interval.high - net.area.interval.low;
    assert!(width(&under[1]) > width(&under[0]));
    let NetArea::Difference { ln_total, ln_canopies, change } = &under[1].form else { panic!("net only") };
    let net = maths::exp(ln_total.value) - maths::exp(ln_canopies.value);
    assert!((net - 3.6).abs() < 1e-9);
    assert!((change.standard_uncertainty() - SHIELD_TRANSFER).abs() < 1e-15);
}

#[test]
fn a_told_body_is_shielded_by_the_share_of_its_count() {
    let drag = model(&[WEIGHTS[0], WEIGHTS[1], ("1s", 1, HUNG), ("0", 0, HUNG)]);
    let ln_scale = Estimate::exact(maths::ln(3.0));
    let mut ledger = Ledger::default();
    let under = body_under(&source(Some(&drag), &ln_scale, &[]), 2, &mut ledger);
    assert!(matches!(under[0].form, NetArea::Difference { .. }), "measured as it is");
    assert!((under[0].area.value - 3.6).abs() < 1e-9 && under[0].mismatches.is_empty());
    let NetArea::Shielded { ln_body, share } = &under[1].form else { panic!("told apart") };
    assert!((maths::exp(ln_body.value) - 7.2).abs() < 1e-9 && (share.value - 0.5).abs() < 1e-9);
    assert!((under[1].area.value - 3.6).abs() < 1e-9);
    assert_eq!(under[1].mismatches, ["wake share measured under 1"]);
    assert!(under[1].area.interval.high > under[0].area.interval.high);
    let lines = ["lines".to_owned()];
    let unlike = body_under(&source(Some(&drag), &ln_scale, &lines), 1, &mut ledger);
    assert!(matches!(unlike[0].form, NetArea::Shielded { .. }) && unlike[0].mismatches == lines);
}

/// Deleting the body's test turns it to assumed and widens every case.
#[test]
fn without_its_test_the_body_is_assumed_and_every_case_is_wider() {
    let scale = Estimate::exact(maths::ln(3.0));
    let mut ledger = case_ledger();
    let cases = [case("all", CaseKind::AllOpen, rate(3.0)), case("shut", CaseKind::StayShut(1), rate(3.5))];
    let mut widths = |tests: &[(&str, usize, Below)]| -> Vec<f64> {
        let drag = model(tests);
        let mut load = load(2);
        load.under = body_under(&source(Some(&drag), &scale, &[]), 2, &mut ledger);
        let wanted = if tests.len() > 2 { "measured" } else { "assumed" };
        assert!(load.under.iter().all(|under| under.area.trust.word() == wanted));
        let mut rig = rig(2);
        rig.canopy.area.estimate = Estimate::exact(maths::ln(9.0 * 1.5));
        let worked = work(&load, &rig, &cases, &ledger, Trials::QUICK);
        let width = |q: crate::cases::Quantiles| maths::ln(q.high / q.low);
        worked.results.iter().map(|result| width(result.rate_m_per_s.unwrap())).collect()
    };
    let with = widths(&[WEIGHTS[0], WEIGHTS[1], ("1s", 1, HUNG), ("2s", 2, HUNG)]);
    let without = widths(&WEIGHTS);
    assert!(with.iter().zip(&without).all(|(with, without)| without > with), "{with:?} {without:?}");
}
