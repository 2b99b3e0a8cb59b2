//! What the cases are held against: closed forms of a lognormal world.

use outside_check::check;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::energy::joule;
use uom::si::velocity::meter_per_second;

use super::*;
use crate::derivation::How;
use crate::drag::{Factor, Scale};
use crate::full_size::NetArea;
use crate::ledger::{Distribution, Entry, Ledger, Sharing};
use crate::maths;
use crate::stats::distribution::normal_quantile;

pub(crate) fn factor(ln_estimate: Estimate) -> Factor {
    let value = maths::exp(ln_estimate.value);
    Factor {
        value,
        interval: Interval { low: value, high: value },
        scale: Scale::Log,
        estimate: ln_estimate,
        trust: Trust::Given,
        how: How::Given { key: "x".to_owned(), text: "x".to_owned() },
    }
}

pub(crate) fn entry(distribution: Distribution, sharing: Sharing) -> Entry {
    Entry { meaning: "x".to_owned(), value: 1.0, distribution, sharing, trust: Trust::Given }
}

pub(crate) fn ledger() -> Ledger {
    let mut ledger = Ledger::default();
    ledger.enter("area".into(), entry(Distribution::LogNormal { sd_log: 0.08 }, Sharing::Knowledge));
    ledger.enter("scatter".into(), entry(Distribution::LogNormal { sd_log: 0.03 }, Sharing::Flight));
    let remembered = Entry {
        trust: Trust::Memory("a table".to_owned()),
        ..entry(Distribution::Rectangular { low: 0.9, high: 1.1 }, Sharing::Knowledge)
    };
    ledger.enter("remembered".into(), remembered);
    ledger
}

/// The cases of one rig, with draws of its own.
pub(crate) fn work(load: &Load, rig: &Rig, cases: &[Case], ledger: &Ledger, trials: Trials) -> Cases {
    let draws = draw(load, &[&rig.canopy.area.estimate], ledger, trials, None);
    super::work(&Engine::new(load, &draws), rig, cases)
}

/// 10 kg under canopies of 2 m² each, cluster factors of 1, no body.
pub(crate) fn load(largest: usize) -> Load {
    let how = || How::Given { key: "x".to_owned(), text: "x".to_owned() };
    let cluster = |count| FullCluster { count, factor: factor(Estimate::exact(0.0)), mismatches: Vec::new() };
    let under = |count| FullNet {
        count,
        form: NetArea::Nothing,
        area: Factor { value: 0.0, how: how(), ..factor(Estimate::exact(0.0)) },
        mismatches: Vec::new(),
    };
    Load {
        part: "tube".to_owned(),
        mass_kg: Estimate::exact(10.0),
        density_kg_per_m3: Estimate::exact(1.225),
        gravity: Acceleration::new::<meter_per_second_squared>(9.8),
        ln_flight_scatter: Estimate::exact(0.0).with("scatter", 0.03, f64::INFINITY),
        clusters: (1..=largest).map(cluster).collect(),
        under: (1..=largest).map(under).collect(),
        ln_bare: Some(Estimate::exact(maths::ln(0.2))),
        ln_unfilled_share: Estimate::exact(maths::ln(0.1)),
        failures: Failures { each: 0.02, shared: 0.1, trust: Trust::Given },
    }
}

pub(crate) fn rig(count: usize) -> Rig {
    let area = factor(Estimate::exact(maths::ln(2.0)).with("area", 0.08, f64::INFINITY));
    Rig {
        offer: "plain".to_owned(),
        count,
        canopy: FullCanopy { area, nominal_diameter_m: Some(1.8), how: Vec::new(), findings: Vec::new() },
        mass_each_kg: 0.0,
    }
}

pub(crate) fn case(name: &str, kind: CaseKind, limit: Option<LimitOn>) -> Case {
    let limits = limit.map(|on| Limit { on, wanted_share: WANTED_SHARE }).into_iter().collect();
    Case { name: name.to_owned(), kind, limits, chance: None }
}

pub(crate) fn rate(limit: f64) -> Option<LimitOn> {
    Some(LimitOn::Rate(Velocity::new::<meter_per_second>(limit)))
}

const MANY: Trials = Trials { count: 40_000, seed: 11 };

/// One canopy, no body: ln v is normal about ½ ln(2 m g/(ρ A)), knowledge 0.04 and 0.01 of alike canopies, flight 0.03.
#[test]
fn shares_are_those_of_the_lognormal_closed_form() {
    let known = 0.5 * maths::sqrt(0.08 * 0.08 + 0.02 * 0.02);
    let flown = 0.03;
    let median = maths::sqrt(2.0 * 10.0 * 9.8 / (1.225 * 2.0));
    let limit = median * 1.06;
    let cases = [case("all", CaseKind::AllOpen, rate(limit))];
    let result = &work(&load(1), &rig(1), &cases, &ledger(), MANY).results[0];
    let share = &result.judged[0].share;
    let phi = crate::drag::intervals::normal_cdf;
    let lead = maths::ln(limit / median);
    let at = |share: f64| phi((lead - normal_quantile(share) * known) / flown);
    check! {
        area: "cases", what: "share of flights within a limit: best, at worst 95 % sure, ends of its 95 % interval",
        against: "closed form, ln rate normal between worlds and between flights", leg: Closed,
        rows: [
            ("best", share.best, phi(lead / known.hypot(flown))),
            ("at worst", share.at_worst, at(0.95)),
            ("low", share.interval.low, at(0.975)),
            ("high", share.interval.high, at(0.025)),
        ],
        within: 0.012, because: "three Monte Carlo standard errors of 40 000 trials for the share at a quantile of the worlds",
    }
    let quantiles = result.rate_m_per_s.unwrap();
    let spread = known.hypot(flown);
    check! {
        area: "cases", what: "rate in 2.5, 50 and 97.5 % of flights, over the closed form",
        against: "closed form, ln rate normal", leg: Closed,
        rows: [(-1.959_964, quantiles.low), (0.0, quantiles.median), (1.959_964, quantiles.high)]
            .map(|(z, got)| (format!("{z}"), got / (median * maths::exp(z * spread)), 1.0)),
        within: 0.002, because: "three Monte Carlo standard errors of 40 000 trials",
    }
    let se = maths::sqrt(share.best * (1.0 - share.best) / 40_000.0);
    assert!((share.standard_error - se).abs() < 1e-12);
    assert_eq!(result.verdict, Verdict::Misses);
}

#[test]
fn an_energy_limit_is_the_rate_limit_of_that_energy() {
    let limit = 9.6;
    let cases = [
        case("rate", CaseKind::AllOpen, rate(limit)),
        case(
            "energy",
            CaseKind::AllOpen,
            Some(LimitOn::Energy(Energy::new::<joule>(0.5 * 10.0 * limit * limit))),
        ),
    ];
    let worked = work(&load(1), &rig(1), &cases, &ledger(), Trials::QUICK);
    let share = |i: usize| worked.results[i].judged[0].share;
    assert_eq!(share(0), share(1), "the mass is exact");
    let (rate, energy) = (worked.results[0].rate_m_per_s.unwrap(), worked.results[0].energy_j.unwrap());
    for (v, e) in [(rate.low, energy.low), (rate.median, energy.median), (rate.high, energy.high)] {
        assert!((5.0 * v * v / e - 1.0).abs() < 1e-12);
    }
}

/// Load and rig in which nothing is in doubt but the alike canopies' 0.02, and what the test adds.
fn certain() -> (Load, Rig) {
    let mut load = load(1);
    load.ln_flight_scatter = Estimate::exact(0.0);
    let mut rig = rig(1);
    rig.canopy.area.estimate = Estimate::exact(maths::ln(2.0));
    (load, rig)
}

#[test]
fn an_uncertain_mass_moves_energy_twice_and_rate_half_and_density_both_half() {
    for sharing in [Sharing::Flight, Sharing::Knowledge] {
        let mut ledger = ledger();
        ledger.enter("one".into(), entry(Distribution::Normal { sd: 0.2 }, sharing));
        let (certain, rig) = certain();
        let mass = Load { mass_kg: Estimate::exact(10.0).with("one", 1.0, f64::INFINITY), ..certain.clone() };
        let density = Estimate::exact(1.225).with("one", 0.1225, f64::INFINITY);
        let density = Load { density_kg_per_m3: density, ..certain };
        // A tenth of either; alike canopies add 0.01 to ln v.
        for (load, in_rate, in_energy) in [(mass, 0.05, 0.2), (density, 0.05, 0.1)] {
            let worked = work(&load, &rig, &[case("all", CaseKind::AllOpen, None)], &ledger, MANY);
            let result = &worked.results[0];
            let (rate, energy) = (result.rate_m_per_s.unwrap(), result.energy_j.unwrap());
            let ln_rate = maths::ln(rate.high / rate.low) / (2.0 * 1.959_964);
            let ln_energy = maths::ln(energy.high / energy.low) / (2.0 * 1.959_964);
            assert!((ln_rate - 0.01f64.hypot(in_rate)).abs() < 0.001, "{ln_rate}");
            assert!((ln_energy - 0.02f64.hypot(in_energy)).abs() < 0.004, "{ln_energy}");
        }
    }
}

/// ln E = 2 ln m − ln ρ − ln A and twice the scatter of the flight's ln rate.
#[test]
fn shares_within_an_energy_are_those_of_the_lognormal_closed_form() {
    let mut ledger = ledger();
    ledger.enter("scales".into(), entry(Distribution::Normal { sd: 0.3 }, Sharing::Knowledge));
    ledger.enter("fuel".into(), entry(Distribution::Normal { sd: 0.2 }, Sharing::Flight));
    let mut load = load(1);
    load.mass_kg = Estimate::exact(10.0).with("scales", 0.3, f64::INFINITY).with("fuel", 0.2, f64::INFINITY);
    let known = 0.06f64.hypot(0.08).hypot(0.02);
    let flown = 0.04f64.hypot(0.06);
    let median = 10.0 * 10.0 * 9.8 / (1.225 * 2.0);
    let limit = LimitOn::Energy(Energy::new::<joule>(median * 1.15));
    let worked = work(&load, &rig(1), &[case("all", CaseKind::AllOpen, Some(limit))], &ledger, MANY);
    let share = &worked.results[0].judged[0].share;
    let phi = crate::drag::intervals::normal_cdf;
    let lead = maths::ln(1.15);
    let at = |share: f64| phi((lead - normal_quantile(share) * known) / flown);
    for (name, got, want) in [
        ("best", share.best, phi(lead / known.hypot(flown))),
        ("at worst", share.at_worst, at(0.95)),
        ("low", share.interval.low, at(0.975)),
        ("high", share.interval.high, at(0.025)),
    ] {
        // Three Monte Carlo standard errors of 40 000 trials: 0.0011 of ln area at the worlds' 5 % quantile, over 0.072.
        assert!((got - want).abs() < 0.017, "{name}: {got} against {want}");
    }
}

#[test]
fn states_brake_with_what_is_open() {
    let kinds = [
        ("all", CaseKind::AllOpen, 3, 6.0),
        ("one-shut", CaseKind::StayShut(1), 2, 4.0),
        ("top", CaseKind::MainAtTop, 3, 6.0),
        ("no-drogue", CaseKind::NoDrogue, 3, 6.0),
        ("early", CaseKind::EarlyOpening, 3, 6.0),
        ("unfilled", CaseKind::NotFilled, 0, 0.6),
        ("all-shut", CaseKind::StayShut(3), 0, 0.2),
        ("nothing", CaseKind::Nothing, 0, 0.2),
    ];
    let cases: Vec<Case> = kinds.iter().map(|(name, kind, ..)| case(name, *kind, None)).collect();
    let worked = work(&load(3), &rig(3), &cases, &ledger(), Trials::QUICK);
    for (result, (name, _, open, area)) in worked.results.iter().zip(kinds) {
        assert_eq!(result.open, open, "{name}");
        let [brakes, rate, energy] = &result.how[..] else { panic!("three steps") };
        assert!((brakes.si - area).abs() < 1e-12, "{name}");
        assert!((rate.si - maths::sqrt(2.0 * 98.0 / (1.225 * area))).abs() < 1e-9, "{name}");
        assert!((energy.si - 5.0 * rate.si * rate.si).abs() < 1e-9, "{name}");
        let median = result.rate_m_per_s.unwrap().median;
        assert!((median / rate.si - 1.0).abs() < 0.005, "{name}: {median} against {}", rate.si);
        assert_eq!(result.verdict, Verdict::NotJudged);
        for derivation in &result.how {
            for i in 0..derivation.inputs.len() {
                let mut moved = derivation.clone();
                moved.inputs[i].si *= 1.01;
                assert!((moved.evaluate().unwrap() / derivation.si - 1.0).abs() > 0.004);
            }
        }
    }
    assert!(worked.findings.is_empty() && worked.governing.is_none());
}

#[test]
fn the_size_wanted_just_meets() {
    let cases =
        [case("all", CaseKind::AllOpen, rate(5.5)), case("one-shut", CaseKind::StayShut(1), rate(5.8))];
    let trials = Trials::QUICK;
    let worked = work(&load(3), &rig(3), &cases, &ledger(), trials);
    assert_eq!(worked.governing, Some(1), "one of three shut wants more than a twelfth less of rate");
    for i in 0..2 {
        let wanted = worked.results[i].judged[0].wanted.clone().unwrap();
        let diameter = wanted.nominal_diameter_m.unwrap();
        assert!((wanted.area_each_m2 / 2.0 - (diameter / 1.8).powi(2)).abs() < 1e-9);
        for (times, word) in [(1.0, Verdict::Meets), (0.999, Verdict::Undecided)] {
            let mut sized = rig(3);
            sized.canopy.area.estimate.value = maths::ln(times * wanted.area_each_m2);
            let again = work(&load(3), &sized, &cases, &ledger(), trials);
            assert_eq!(again.results[i].verdict, word, "{times}");
        }
    }
    let nothing = [case("nothing", CaseKind::Nothing, rate(5.8))];
    let worked = work(&load(3), &rig(3), &nothing, &ledger(), trials);
    assert_eq!(worked.results[0].judged[0].wanted, None, "no canopy helps there");
    assert_eq!(worked.results[0].verdict, Verdict::Misses);
}

#[test]
fn an_undecided_case_names_the_test_against_its_largest_doubt() {
    let median = maths::sqrt(2.0 * 98.0 / (1.225 * 6.0));
    let settle = |load: &Load, ledger: &Ledger, limit: f64| {
        let cases = [case("all", CaseKind::AllOpen, rate(median * limit))];
        let worked = work(load, &rig(3), &cases, ledger, Trials::QUICK);
        assert_eq!(worked.results[0].verdict, Verdict::Undecided);
        worked.results[0].judged[0].would_settle.clone().unwrap()
    };
    assert_eq!(
        settle(&load(3), &ledger(), 1.10),
        "A drop of one real plain under a known mass would settle it."
    );
    let mut doubtful = ledger();
    doubtful.enter("eta".into(), entry(Distribution::LogNormal { sd_log: 0.09 }, Sharing::Knowledge));
    let mut load = load(3);
    load.clusters[2].factor.estimate = Estimate::exact(0.0).with("eta", 0.09, f64::INFINITY);
    assert_eq!(
        settle(&load, &doubtful, 1.125),
        "Drops of one canopy alone and of 3 together would settle it."
    );
}

#[test]
fn memory_at_its_worse_end_keeps_a_hold_undecided() {
    let mut load = load(1);
    load.clusters[0].factor.estimate =
        Estimate::exact(0.0).with("remembered", 0.1 / 3f64.sqrt(), f64::INFINITY);
    let mut rig = rig(1);
    rig.canopy.area.estimate = Estimate::exact(maths::ln(2.0));
    let word = |limit: f64| {
        let worked = work(&load, &rig, &[case("all", CaseKind::AllOpen, rate(limit))], &ledger(), MANY);
        let judged = &worked.results[0].judged[0];
        (judged.verdict, judged.share.at_worst, judged.share.at_worst_without_memory.unwrap())
    };
    let median = maths::sqrt(2.0 * 98.0 / (1.225 * 2.0));
    // At the low end of the range the area is 10 % less, the rate 5 % more; flights scatter by 3 %, alike canopies
    // by 1 % of the rate.
    let phi = crate::drag::intervals::normal_cdf;
    let limit = median * 1.112;
    let (verdict, drawn, at_the_end) = word(limit);
    assert_eq!(verdict, Verdict::Undecided);
    assert!(drawn >= 0.95 && at_the_end < 0.95, "{drawn}, {at_the_end}");
    let lead = maths::ln(limit / median) - 0.05 - 1.644_854 * 0.01;
    assert!((at_the_end - phi(lead / 0.03)).abs() < 0.02, "{at_the_end} against {}", phi(lead / 0.03));
    assert_eq!(word(median * 1.14).0, Verdict::Meets);
    // Nothing is asked of memory where the limit is missed anyhow, nor where nothing is remembered.
    let without = |load: &Load, limit: f64| {
        let cases = [case("all", CaseKind::AllOpen, rate(limit))];
        work(load, &rig, &cases, &ledger(), Trials::QUICK).results[0].judged[0].share.at_worst_without_memory
    };
    assert_eq!(without(&load, median), None);
    assert_eq!(without(&self::load(1), median * 1.2), None);
    assert!(without(&load, median * 1.2).is_some());
}

#[test]
fn more_trials_begin_with_the_fewer_and_threads_change_nothing() {
    let cases =
        [case("all", CaseKind::AllOpen, rate(5.5)), case("one-shut", CaseKind::StayShut(1), rate(6.5))];
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| work(&load(3), &rig(3), &cases, &ledger(), Trials::QUICK))
    };
    assert_eq!(run(1), run(2));
    let (first, all) = (Trials::QUICK, Trials::FULL);
    assert!(first.count < all.count && first.seed == all.seed, "a first look is the beginning of the whole");
}

#[test]
fn what_is_not_known_is_no_answer() {
    let mut load = load(2);
    load.ln_bare = None;
    let cases = [case("nothing", CaseKind::Nothing, rate(9.0)), case("three", CaseKind::AllOpen, rate(9.0))];
    let worked = work(&load, &rig(3), &cases, &ledger(), Trials::QUICK);
    for result in &worked.results {
        assert!(result.rate_m_per_s.is_none() && result.judged.is_empty() && result.how.is_empty());
        assert_eq!(result.verdict, Verdict::NotJudged);
    }
    assert_eq!(worked.findings.len(), 2);
}

#[test]
fn a_load_answers_for_the_counts_whose_cluster_and_body_it_holds() {
    let answered = |load: &Load| (0..5).filter(|count| load.answers(*count)).collect::<Vec<usize>>();
    let mut load = load(3);
    assert_eq!(answered(&load), [1, 2, 3]);
    load.under.pop();
    assert_eq!(answered(&load), [1, 2]);
    load.clusters.clear();
    assert_eq!(answered(&load), [0; 0]);
}
