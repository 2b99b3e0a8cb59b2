//! Properties of margins, and derivations that give what they state.

use super::*;
use crate::cases::Verdict;
use crate::ledger::Trust;
use crate::loads::Quantiles;
use crate::quantity::Spread;
use crate::stats::stream::Stream;

fn pull(stream: &mut Stream) -> Quantiles {
    let value = 10.0 + 5_000.0 * stream.uniform();
    stated_pull(value, Spread::Standard(0.3 * value * stream.uniform()))
}

fn strength(stream: &mut Stream) -> Strength {
    let value = 10.0 + 20_000.0 * stream.uniform();
    Strength::rated(value, Spread::Within(0.2 * value * stream.uniform()))
}

#[test]
fn a_margin_falls_as_the_pull_grows_and_rises_with_the_strength() {
    let mut stream = Stream::new(3, 1);
    for kind in MemberKind::ALL.into_iter().cycle().take(2_000) {
        let factors = Factors::remembered(kind);
        let (pull, strength) = (pull(&mut stream), strength(&mut stream));
        let grown = 1.0 + stream.uniform();
        let harder = Quantiles {
            low: pull.low * grown,
            median: pull.median * grown,
            p95: pull.p95 * grown,
            high: pull.high * grown,
            standard_error: 0.0,
        };
        let stronger = Strength { best_n: strength.best_n * grown, worst_n: strength.worst_n * grown };
        let now = margin(strength, 3, &factors, &pull);
        let after = margin(strength, 3, &factors, &harder);
        assert!(after.at_p95 < now.at_p95 && after.at_worst < now.at_worst && after.median < now.median);
        let back = margin(stronger, 3, &factors, &harder);
        assert!(
            (back.at_p95 / now.at_p95 - 1.0).abs() < 1e-12
                && (back.at_worst / now.at_worst - 1.0).abs() < 1e-12
        );
        assert!(now.at_worst <= now.at_p95 && now.low <= now.at_p95 && now.at_p95 <= now.median);
        assert!(verdict(Some(&after)) >= verdict(Some(&now)), "no word gets better under a harder pull");
    }
}

#[test]
fn the_weakest_has_the_least_margin_and_what_is_not_known_never_meets() {
    let mut stream = Stream::new(5, 1);
    for _ in 0..500 {
        let mut margins: Vec<Option<Margin>> = (0..6)
            .map(|_| {
                let factors = Factors::remembered(MemberKind::Riser);
                Some(margin(strength(&mut stream), 1, &factors, &pull(&mut stream)))
            })
            .collect();
        let least = margins[weakest(&margins).unwrap()].unwrap().at_worst;
        assert!(margins.iter().all(|margin| margin.unwrap().at_worst >= least));
        margins[3] = None;
        assert_eq!(weakest(&margins), Some(3));
        assert_ne!(worst_of(margins.iter().map(|margin| verdict(margin.as_ref()))), Verdict::Meets);
    }
    assert_eq!(weakest(&[]), None);
    assert_eq!(verdict(None), Verdict::Undecided);
    assert_eq!(worst_of([]), Verdict::NotJudged);
    assert_eq!(worst_of([Verdict::Meets, Verdict::NotJudged]), Verdict::Meets);
}

#[test]
fn the_strength_that_would_do_does_just_so() {
    let mut stream = Stream::new(7, 1);
    for kind in MemberKind::ALL {
        let (factors, pull) = (Factors::remembered(kind), pull(&mut stream));
        let wanted = strength_that_would_do(4, &factors, &pull);
        let at = |share: f64| {
            verdict(Some(&margin(Strength::rated(wanted * share, Spread::NotSaid), 4, &factors, &pull)))
        };
        assert_eq!((at(1.0 + 1e-9), at(0.5)), (Verdict::Meets, Verdict::Misses));
        let how = derive_strength_that_would_do(4, &factors, &pull);
        assert!((how.evaluate().unwrap() / wanted - 1.0).abs() < 1e-12);
    }
    // Between the best and the bad end of what is remembered it is undecided: memory alone never makes it hold.
    let factors = Factors::remembered(MemberKind::Lines);
    let pull = stated_pull(1_000.0, Spread::NotSaid);
    let between = f64::midpoint(factors.best(), factors.worst()) * pull.p95;
    let word = verdict(Some(&margin(Strength::rated(between, Spread::NotSaid), 1, &factors, &pull)));
    assert_eq!(word, Verdict::Undecided);
}

#[test]
fn metal_is_wanted_safety_of_alone_and_a_rating_nothing() {
    for kind in MemberKind::ALL {
        let factors = Factors::remembered(kind);
        match kind {
            MemberKind::Canopy => {
                assert!((factors.worst() - 1.0).abs() < 1e-15 && !factors.rests_on_memory())
            }
            _ if kind.is_textile() => assert!(factors.best() > 1.9 && factors.rests_on_memory(), "{kind:?}"),
            _ => assert!((factors.best() - 1.5).abs() < 1e-15 && factors.rests_on_memory(), "{kind:?}"),
        }
    }
    let own = Factors::remembered(MemberKind::Riser).with(Factor::Joints, Bounded::exact(1.0, Trust::Given));
    assert!(own.best() < Factors::remembered(MemberKind::Riser).best());
    assert_eq!(own.get(Factor::Joints).trust, Trust::Given);
}

#[test]
fn doubts_reach_as_far_as_is_said() {
    let pull = stated_pull(1_000.0, Spread::Standard(100.0));
    assert!((pull.p95 - 1_164.485).abs() < 1e-3 && (pull.high - 1_195.996).abs() < 1e-3);
    let pull = stated_pull(1_000.0, Spread::Within(100.0));
    assert!((pull.low - 905.0).abs() < 1e-9 && (pull.p95 - 1_090.0).abs() < 1e-9);
    assert!(stated_pull(1.0, Spread::Standard(5.0)).low > 0.0, "a pull is above nothing");
    assert!((Strength::rated(100.0, Spread::Standard(10.0)).worst_n - 83.551).abs() < 1e-3);
    assert!(Strength::rated(100.0, Spread::Standard(100.0)).worst_n == 0.0);
}

#[test]
fn derivations_give_what_they_state() {
    let factors = Factors::remembered(MemberKind::Lines);
    for how in [
        derive_design_factor(&factors, false),
        derive_design_factor(&factors, true),
        derive_margin(400.0, 12, 2.4, 700.0),
        derive_cloth_strength(7_360.0, (1.34, Trust::Given), 1.5),
        derive_strip_strength(7_360.0, 0.02),
        derive_shock(463.45, 10.0),
    ] {
        assert!((how.evaluate().unwrap() / how.si - 1.0).abs() < 1e-12, "{}", how.meaning);
    }
}

#[test]
fn short_lines_cannot_meet_and_what_is_not_stated_is_bracketed() {
    use crate::shapes::Shape;
    assert_eq!(convergence_of(Some(Shape::FlatCircular), Some(0.34)), None);
    let stated = convergence_of(Some(Shape::FlatCircular), Some(1.0)).unwrap();
    let open = convergence_of(Some(Shape::FlatCircular), None).unwrap();
    let unknown = convergence_of(None, Some(1.0)).unwrap();
    assert!(stated.best <= stated.worst && open.worst > stated.worst && unknown.worst > stated.worst);
    assert!(stated.trust.is_from_memory());
}
