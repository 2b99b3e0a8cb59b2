//! Candidates on invented offers.

use std::ops::RangeInclusive;

use uom::si::length::meter;

use super::*;
use crate::cases::checks::{case, ledger, load, rate};
use crate::cases::{Case, CaseKind, Engine, Load, draw};
use crate::full_size::{Offer, StatedCoefficient};
use crate::ledger::Ledger;
use crate::quantity::Length;
use crate::shapes::{Reference, Shape};

fn offer(name: &str, diameter: f64, mass_kg: f64, price: f64) -> Offer {
    Offer {
        name: name.to_owned(),
        shape: Some(Shape::FlatCircular),
        diameter: Length::new::<meter>(diameter),
        diameter_means: Some(Reference::Nominal),
        coefficient: Some(StatedCoefficient {
            value: 0.75,
            on: Some(Reference::Nominal),
            spread: Some(0.05),
        }),
        mass_kg: Some(mass_kg),
        packed_volume_m3: Some(mass_kg / 250.0),
        rated_load_n: None,
        price: Some(price),
        owned: 0,
    }
}

fn series(count: usize, ledger: &mut Ledger) -> Vec<Offered> {
    (0..count)
        .map(|i| {
            let diameter = 1.0 + 0.05 * i as f64;
            let offer =
                offer(&format!("plain-{i}"), diameter, 0.05 * diameter * diameter, 30.0 + 10.0 * i as f64);
            Offered::by_its_figures(offer, ledger)
        })
        .collect()
}

fn two_cases() -> Vec<Case> {
    vec![
        case("all", CaseKind::AllOpen, rate(5.5)),
        case("one-shut", CaseKind::StayShut(1), rate(6.5)),
        case("nothing", CaseKind::Nothing, None),
    ]
}

fn work(
    load: &Load,
    offers: &[Offered],
    counts: RangeInclusive<usize>,
    cases: &[Case],
    ledger: &Ledger,
    trials: Trials,
) -> Candidates {
    let areas: Vec<_> = offers.iter().filter_map(Offered::ln_area).collect();
    let draws = draw(load, &areas, ledger, trials, None);
    super::work(&Engine::new(load, &draws), offers, counts, cases, &|| true).expect("nobody stops it")
}

fn worked(offers: usize) -> Candidates {
    let mut ledger = ledger();
    let offers = series(offers, &mut ledger);
    work(&load(6), &offers, 1..=6, &two_cases(), &ledger, Trials::QUICK)
}

#[test]
fn forty_offers_by_six_counts_are_all_answered_for() {
    let all = worked(40);
    assert_eq!(all.entries.len(), 240);
    let mut ids: Vec<&str> = all.entries.iter().map(|entry| entry.id.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), 240);
    for (i, entry) in all.entries.iter().enumerate() {
        match &entry.standing {
            Standing::Kept => assert!(all.kept.contains(&i)),
            Standing::Misses { case, margin } => {
                assert!(*margin < 0.0 && entry.verdict == Verdict::Misses);
                assert!(entry.cases.iter().any(|c| &c.case == case && c.best_margin == Some(*margin)));
            }
            Standing::BeatenBy { id } => {
                let better = all.kept.iter().map(|&k| &all.entries[k]).find(|k| &k.id == id).unwrap();
                assert!(
                    better.costs.mass_kg <= entry.costs.mass_kg && better.costs.price <= entry.costs.price
                );
                assert!(better.worst_margin >= entry.worst_margin);
            }
            other => panic!("{}: {other:?}", entry.id),
        }
    }
    assert!(!all.kept.is_empty());
}

#[test]
fn one_canopy_alone_that_stays_shut_is_nothing_open() {
    let all = worked(3);
    let single = all.entries.iter().find(|entry| entry.count == 1).unwrap();
    assert_eq!(single.cases[1].open, 0);
    assert_eq!(single.cases[1].rate_m_per_s, single.cases[2].rate_m_per_s);
    assert_eq!(single.cases[2].verdict, Verdict::NotJudged);
    assert!(matches!(&single.standing, Standing::Misses { .. }));
}

#[test]
fn candidates_are_worked_as_the_cases_are() {
    let mut ledger = ledger();
    let offers = series(30, &mut ledger);
    let all = work(&load(6), &offers, 3..=3, &two_cases(), &ledger, Trials::QUICK);
    let entry = all.entries.iter().find(|e| e.verdict == Verdict::Undecided).unwrap();
    let rig = crate::cases::Rig {
        offer: entry.offer.clone(),
        count: 3,
        canopy: entry.canopy.clone().unwrap(),
        mass_each_kg: entry.costs.mass_kg.unwrap() / 3.0,
    };
    let cases = crate::cases::checks::work(&load(6), &rig, &two_cases(), &ledger, Trials::QUICK);
    for (one, other) in entry.cases.iter().zip(&cases.results) {
        assert_eq!(one.rate_m_per_s, other.rate_m_per_s, "the same draws");
        assert_eq!(one.share, other.judged.first().map(|judged| judged.share));
        assert_eq!(one.verdict, other.verdict);
    }
}

#[test]
fn the_smallest_that_meets_stays_and_says_why_the_next_smaller_fails() {
    let all = worked(40);
    let best = &all.entries[all.kept[0]];
    assert_eq!(best.verdict, Verdict::Meets);
    let smaller = best.next_smaller.as_ref().unwrap();
    let failed = all.entries.iter().find(|entry| entry.id == smaller.id).unwrap();
    assert_eq!(failed.count, best.count);
    assert!(failed.verdict > best.verdict && smaller.verdict == failed.verdict);
    assert!(smaller.more.mass_kg.unwrap() < 0.0 && smaller.case.is_some());
    let larger = best.next_larger.as_ref().unwrap();
    assert!(larger.more.mass_kg.unwrap() > 0.0 && larger.more.price.unwrap() > 0.0);
    for pair in all.kept.windows(2) {
        assert!(all.entries[pair[0]].verdict <= all.entries[pair[1]].verdict);
    }
}

#[test]
fn a_dearer_twin_is_beaten_and_an_owned_one_costs_nothing() {
    let mut ledger = ledger();
    let mut owned = offer("owned", 2.6, 0.4, 90.0);
    owned.owned = 2;
    let offers: Vec<Offered> = [offer("cheap", 2.6, 0.4, 50.0), offer("dear", 2.6, 0.4, 90.0), owned]
        .map(|offer| Offered::by_its_figures(offer, &mut ledger))
        .into();
    let all = work(&load(3), &offers, 3..=3, &[], &ledger, Trials::QUICK);
    // Without a limit nothing is judged, and mass, volume and price alone decide.
    let price: Vec<f64> = all.entries.iter().map(|entry| entry.costs.price.unwrap()).collect();
    assert_eq!(price, [150.0, 270.0, 90.0], "one of three to buy");
    assert_eq!(all.entries[1].standing, Standing::BeatenBy { id: "ownedx3".to_owned() });
    assert_eq!(all.kept, [2]);
}

#[test]
fn what_needs_too_much_is_ruled_out_and_the_rest_settled_anew() {
    let all = worked(40);
    let lightest = &all.entries[all.kept[0]];
    let bound = lightest.costs.mass_kg.unwrap() * 0.999;
    let bounds = Costs { mass_kg: Some(bound), volume_m3: None, price: None };
    let fewer = within(all.clone(), &bounds);
    for (entry, before) in fewer.entries.iter().zip(&all.entries) {
        let over = before.costs.mass_kg.unwrap() > bound;
        assert_eq!(
            matches!(entry.standing, Standing::OutOfBounds { cost: Cost::Mass, .. }),
            over,
            "{}",
            entry.id
        );
    }
    assert!(fewer.kept.iter().all(|&k| fewer.entries[k].costs.mass_kg.unwrap() <= bound));
    assert_eq!(
        within(fewer, &Costs { mass_kg: None, volume_m3: None, price: None }),
        all,
        "and can be taken back"
    );
}

#[test]
fn what_another_stage_refuses_goes_with_its_reason_and_what_it_leaves_open_stays_open() {
    let all = worked(40);
    let (best, next) = (all.entries[all.kept[0]].id.clone(), all.entries[all.kept[1]].id.clone());
    let judged = weigh(all.clone(), &|entry| {
        let beside = |verdict, reason: &str| vec![Beside { by: By::Bay, verdict, reason: reason.to_owned() }];
        match &entry.id {
            id if *id == best => beside(Verdict::Misses, "does not fit, 10 mm short"),
            id if *id == next => beside(Verdict::Undecided, "the bay's length is not known"),
            _ => Vec::new(),
        }
    });
    let of = |id: &str| judged.entries.iter().find(|entry| entry.id == id).unwrap();
    let reason = "does not fit, 10 mm short".to_owned();
    assert_eq!(of(&best).standing, Standing::RuledOut { by: By::Bay, reason });
    assert_eq!(of(&best).verdict, Verdict::Misses);
    assert_eq!(of(&next).verdict, Verdict::Undecided);
    assert!(judged.kept.iter().all(|&kept| judged.entries[kept].id != best));
    // One that misses by its rate says that, whatever else is wrong with it.
    let missing = all.entries.iter().find(|entry| matches!(entry.standing, Standing::Misses { .. })).unwrap();
    assert_eq!(of(&missing.id).standing, missing.standing);
    // The one that has the refused one below it gives the stage's reason.
    let above = judged.entries.iter().filter_map(|entry| entry.next_smaller.as_ref());
    let above: Vec<&Neighbour> = above.filter(|next| next.id == best).collect();
    assert!(!above.is_empty() && above.iter().all(|next| next.beside.is_some()));
    assert_eq!(weigh(all.clone(), &|_| Vec::new()), all, "silence changes nothing");
}

#[test]
fn a_stage_that_takes_long_is_asked_of_those_that_stay_until_all_that_stay_are_asked() {
    let all = worked(40);
    let best = all.entries[all.kept[0]].id.clone();
    let beside = |verdict| vec![Beside { by: By::Load, verdict, reason: "as told".to_owned() }];
    let asked = std::sync::Mutex::new(Vec::new());
    let judged = weigh_those_that_stay(all.clone(), None, &|entry| {
        asked.lock().unwrap().push(entry.id.clone());
        beside(if entry.id == best { Verdict::Misses } else { Verdict::Meets })
    });
    let asked = asked.into_inner().unwrap();
    let once: std::collections::BTreeSet<&String> = asked.iter().collect();
    assert_eq!(once.len(), asked.len(), "nobody twice");
    assert!(judged.kept.iter().all(|&kept| once.contains(&judged.entries[kept].id)));
    assert!(matches!(judged.entries[all.kept[0]].standing, Standing::RuledOut { by: By::Load, .. }));
    // The same as asking everybody, but for what is heard of those that others beat.
    let everybody =
        weigh(all.clone(), &|entry| beside(if entry.id == best { Verdict::Misses } else { Verdict::Meets }));
    assert_eq!(judged.kept, everybody.kept);
    let beaten =
        all.entries.iter().find(|entry| matches!(entry.standing, Standing::BeatenBy { .. })).unwrap();
    assert!(!once.contains(&beaten.id) || judged.kept.iter().any(|&i| judged.entries[i].id == beaten.id));
    let also = weigh_those_that_stay(all.clone(), Some(&beaten.id), &|_| beside(Verdict::Undecided));
    let heard = also.entries.iter().find(|entry| entry.id == beaten.id).unwrap();
    assert_eq!(heard.beside.len(), 1, "the one named is asked too");
    // What is undecided throws out nothing that meets: all that meet are asked in the end.
    let open = weigh_those_that_stay(all, None, &|_| beside(Verdict::Undecided));
    assert!(open.entries.iter().all(|entry| entry.verdict != Verdict::Meets));
}

#[test]
fn what_is_not_stated_neither_beats_nor_is_beaten() {
    let mut ledger = ledger();
    let mut silent = offer("silent", 2.6, 0.4, 50.0);
    (silent.price, silent.mass_kg) = (None, None);
    let offers: Vec<Offered> = [offer("plain", 2.6, 0.4, 50.0), silent]
        .map(|offer| Offered::by_its_figures(offer, &mut ledger))
        .into();
    let all = work(&load(2), &offers, 2..=2, &[], &ledger, Trials::QUICK);
    assert_eq!(all.kept.len(), 2);
    assert_eq!(all.findings.len(), 1);
}

#[test]
fn nobody_waits_for_candidates_that_are_not_wanted_any_more() {
    let (mut ledger, load) = (ledger(), load(6));
    let offers = [Offered::by_its_figures(offer("plain", 2.6, 0.4, 50.0), &mut ledger)];
    let draws = draw(&load, &[offers[0].ln_area().unwrap()], &ledger, Trials::QUICK, None);
    let engine = Engine::new(&load, &draws);
    let left = std::sync::atomic::AtomicI32::new(3);
    let go_on = || left.fetch_sub(1, std::sync::atomic::Ordering::Relaxed) > 0;
    assert_eq!(super::work(&engine, &offers, 1..=6, &two_cases(), &go_on), None);
    assert_eq!(
        super::work(&engine, &offers, 1..=6, &two_cases(), &|| true).map(|all| all.entries.len()),
        Some(6)
    );
}

#[test]
fn offers_that_cannot_be_worked_say_why() {
    let mut ledger = ledger();
    let mut silent = offer("silent", 2.0, 0.3, 40.0);
    silent.coefficient.as_mut().unwrap().on = None;
    let offers: Vec<Offered> = [silent, offer("plain", 2.0, 0.3, 40.0)]
        .map(|offer| Offered::by_its_figures(offer, &mut ledger))
        .into();
    let all = work(&load(2), &offers, 2..=3, &two_cases(), &ledger, Trials::QUICK);
    let reasons: Vec<bool> =
        all.entries.iter().map(|entry| matches!(entry.standing, Standing::NoAnswer { .. })).collect();
    assert_eq!(reasons, [true, true, false, true], "no area; no cluster factor of three");
    assert!(all.findings.iter().any(|finding| finding.message.contains("which area")));
}

#[test]
fn what_rests_on_memory_says_so() {
    let mut ledger = ledger();
    let mut remembered = offer("remembered", 2.6, 0.4, 50.0);
    remembered.coefficient = None;
    let offers: Vec<Offered> = [remembered, offer("stated", 2.6, 0.4, 50.0)]
        .map(|offer| Offered::by_its_figures(offer, &mut ledger))
        .into();
    let all = work(&load(3), &offers, 3..=3, &two_cases(), &ledger, Trials::QUICK);
    assert!(all.entries[0].rests_on_memory && !all.entries[1].rests_on_memory);
}
