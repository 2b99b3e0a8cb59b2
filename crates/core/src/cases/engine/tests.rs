use super::super::checks;
use super::*;

#[test]
fn quantiles_are_those_of_the_sorted_values() {
    let values = (0..=1000).map(|i| f64::from((i * 379) % 1001));
    let got = quantiles(values, [0.025, 0.05, 0.5, 0.975]);
    assert_eq!(got.map(f64::to_bits), [25.0f64, 50.0, 500.0, 975.0].map(f64::to_bits));
}

#[test]
fn equal_ranks_have_one_value() {
    let values = [3.0, 1.0, 2.0].into_iter();
    let got = quantiles(values, [0.1, 0.5, 0.6, 0.7]);
    assert_eq!(got.map(f64::to_bits), [1.0f64, 2.0, 2.0, 2.0].map(f64::to_bits));
}

#[test]
fn the_body_adds_what_its_form_says_and_never_less_than_nothing() {
    let under = |form| FullNet { form, ..checks::load(1).under[0].clone() };
    // Every estimate is off by a tenth of itself in the second world.
    let known = |estimate: &Estimate| vec![0.0, 0.1 * estimate.value];
    let close = |got: Vec<f64>, want: [f64; 2]| {
        assert!(got.len() == 2 && got.iter().zip(want).all(|(g, w)| (g - w).abs() < 1e-12), "{got:?}");
    };
    let exact = Estimate::exact;
    let difference = |total, canopies, change| NetArea::Difference {
        ln_total: exact(total),
        ln_canopies: exact(canopies),
        change: exact(change),
    };
    let e = maths::exp;
    close(
        nets(&under(difference(2.0, 1.0, 0.5)), 2, &known),
        [(e(2.0) - e(1.0)) * 1.5, (e(2.2) - e(1.1)) * 1.55],
    );
    close(nets(&under(difference(1.0, 2.0, 0.0)), 2, &known), [0.0, 0.0]);
    let shielded = |share| NetArea::Shielded { ln_body: exact(-1.0), share: exact(share) };
    close(nets(&under(shielded(0.4)), 2, &known), [e(-1.0) * 0.6, e(-1.1) * 0.56]);
    close(nets(&under(shielded(0.95)), 2, &known), [e(-1.0) * 0.05, 0.0]);
    close(nets(&under(NetArea::Nothing), 2, &known), [0.0, 0.0]);
}

#[test]
fn what_is_open_is_what_the_case_leaves() {
    for (kind, state) in [
        (CaseKind::Only(0), State::Nothing),
        (CaseKind::Only(1), State::Open(1)),
        (CaseKind::Only(5), State::Open(3)),
        (CaseKind::StayShut(2), State::Open(1)),
        (CaseKind::StayShut(3), State::Nothing),
        (CaseKind::NotFilled, State::Unfilled(3)),
    ] {
        assert_eq!(State::of(kind, 3), state);
    }
}

#[test]
fn shares_and_bounds_of_flights_answer_each_other() {
    let flights = Sorted::new(vec![4.0, 1.0, 3.0, 2.0]);
    for (bound, share) in [(0.5, 0.0), (1.0, 0.25), (2.5, 0.5), (4.0, 1.0), (9.0, 1.0)] {
        assert!((flights.share(bound) - share).abs() < 1e-15, "{bound}");
    }
    for (wanted, bound) in [(0.0, 1.0), (0.25, 1.0), (0.26, 2.0), (0.75, 3.0), (1.0, 4.0)] {
        assert!((flights.reaching(wanted) - bound).abs() < 1e-15, "{wanted}");
    }
}

/// v² = 2 m g/(ρ D) e^(2 f) with each flight's own mass and density, against 2 m g/(ρ y e^(−f)) with the mean ones.
#[test]
fn a_flight_falls_as_its_own_mass_and_air_say() {
    use crate::ledger::{Distribution, Sharing};
    let mut ledger = checks::ledger();
    let normal = Distribution::Normal { sd: 1.0 };
    for (id, sharing) in [
        ("scales", Sharing::Knowledge),
        ("fuel", Sharing::Flight),
        ("place", Sharing::Knowledge),
        ("day", Sharing::Flight),
    ] {
        ledger.enter(id.into(), checks::entry(normal, sharing));
    }
    let mut load = checks::load(2);
    let stated = f64::INFINITY;
    load.mass_kg = load.mass_kg.with("scales", 0.5, stated).with("fuel", 0.2, stated);
    load.density_kg_per_m3 = load.density_kg_per_m3.with("place", 0.03, stated).with("day", 0.02, stated);
    load.clusters[1].factor.estimate = Estimate::exact(-0.05);
    load.under[1].form =
        NetArea::Shielded { ln_body: Estimate::exact(maths::ln(0.3)), share: Estimate::exact(0.4) };
    let area = checks::rig(2).canopy.area.estimate;
    let drogue = Estimate::exact(-1.0).with("area", 0.1, stated).with("scatter", 0.05, stated);
    let draws = draw(&load, &[&area, &drogue], &ledger, Trials { count: 6, seed: 3 }, None);
    let engine = Engine::new(&load, &draws);
    let canopy = engine.canopy(&area);
    let known =
        |of: &Estimate, trial: usize| draws.column(of, Doubt::Knowledge, Memory::Drawn)[trial / 2] / of.value;
    let flown =
        |of: &Estimate, trial: usize| draws.column(of, Doubt::Flight, Memory::Drawn)[trial] / of.value;
    let both = |of: &Estimate, trial: usize| of.value * maths::exp(known(of, trial) + flown(of, trial));
    let same_rate = |drag_area: f64, trial: usize| {
        let scatter = draws.column(&load.ln_flight_scatter, Doubt::Flight, Memory::Drawn)[trial];
        let mass_over_density = both(&load.mass_kg, trial) / both(&load.density_kg_per_m3, trial);
        drag_area * (10.0 / 1.225) / (mass_over_density * maths::exp(2.0 * scatter))
    };
    let close = |got: Option<Vec<f64>>, want: &dyn Fn(usize) -> f64| {
        let got = got.unwrap();
        assert_eq!(got.len(), 6);
        assert!(got.iter().enumerate().all(|(i, got)| (got / want(i) - 1.0).abs() < 1e-12), "{got:?}");
    };
    let pair = |trial: usize| {
        let alike = alike_canopies(2);
        let alike = draws.column(&alike, Doubt::Knowledge, Memory::Drawn)[trial / 2];
        let one = maths::exp(area.value + known(&area, trial) * area.value);
        2.0 * one * maths::exp(alike - 0.05)
    };
    let ballistic = |state| engine.ballistic(state, &canopy, Memory::Drawn, 2);
    close(ballistic(State::Open(2)), &|i| same_rate(pair(i) + 0.18, i));
    close(ballistic(State::Unfilled(2)), &|i| same_rate(0.1 * pair(i) + 0.18, i));
    close(ballistic(State::Nothing), &|i| same_rate(0.2, i));
    assert!(ballistic(State::Open(3)).is_none() && ballistic(State::Open(0)).is_none());
    close(Some(engine.ballistic_of(&drogue, Memory::Drawn, 2)), &|i| {
        same_rate(maths::exp(drogue.value * (1.0 + known(&drogue, i) + flown(&drogue, i))), i)
    });
    close(Some(engine.masses(2)), &|i| both(&load.mass_kg, i) / 10.0);
}

#[test]
fn memory_is_found_in_the_canopy_and_in_the_load_and_not_where_there_is_none() {
    let remembered = |value| Estimate::exact(value).with("remembered", 0.05, f64::INFINITY);
    let plain = checks::load(1);
    let mut of_load = checks::load(1);
    of_load.clusters[0].factor.estimate = remembered(0.0);
    for (load, area, of_bare, of_canopy) in [
        (&plain, Estimate::exact(0.7), false, false),
        (&plain, remembered(0.7), false, true),
        (&of_load, Estimate::exact(0.7), true, true),
    ] {
        let draws = draw(load, &[&area], &checks::ledger(), Trials { count: 4, seed: 1 }, None);
        let engine = Engine::new(load, &draws);
        assert_eq!(engine.rests_on_memory(&Canopy::none()), of_bare);
        assert_eq!(engine.rests_on_memory(&engine.canopy(&area)), of_canopy);
        // What is remembered stands 5 % · √3 from its middle at either end.
        let end = |memory| engine.ballistic(State::Open(1), &engine.canopy(&area), memory, 1).unwrap()[0];
        let apart = maths::ln(end(Memory::High) / end(Memory::Low));
        let want = if of_canopy { 0.1 * 3f64.sqrt() } else { 0.0 };
        assert!((apart - want).abs() < 1e-12, "{apart}");
    }
}

/// The share within a limit is that of the flights whose own rate, v² = 2 m̄ g/(ρ̄ y e^(−f)), or energy keeps it.
#[test]
fn shares_count_the_flights_that_landings_fly() {
    use crate::ledger::{Distribution, Sharing};
    let mut ledger = checks::ledger();
    ledger.enter("fuel".into(), checks::entry(Distribution::Normal { sd: 1.0 }, Sharing::Flight));
    let mut load = checks::load(1);
    load.mass_kg = load.mass_kg.with("fuel", 0.4, f64::INFINITY);
    let area = checks::rig(1).canopy.area.estimate;
    let draws = draw(&load, &[&area], &ledger, Trials { count: 500, seed: 4 }, None);
    let engine = Engine::new(&load, &draws);
    let canopy = engine.canopy(&area);
    let worlds = engine.worlds(State::Open(1), &canopy).unwrap();
    let flown = engine.ballistic(State::Open(1), &canopy, Memory::Drawn, 1).unwrap();
    let squared: Vec<f64> = flown.iter().map(|area| 2.0 * 10.0 * 9.8 / (1.225 * area)).collect();
    let energy: Vec<f64> = squared.iter().zip(engine.masses(1)).map(|(v2, mass)| 5.0 * mass * v2).collect();
    let within = |of: &[f64], limit: f64| of.iter().filter(|v| **v <= limit).count() as f64 / 500.0;
    let judged = |on| engine.share(&Limit { on, wanted_share: 0.95 }, &worlds, &canopy, 10.0).best;
    for v in [8.5, 9.0, 9.5_f64] {
        let rate = LimitOn::Rate(crate::quantity::Velocity::new::<meter_per_second>(v));
        assert!((judged(rate) - within(&squared, v * v)).abs() < 1e-12, "{v} m/s");
        let joules = 5.0 * v * v;
        let on = LimitOn::Energy(crate::quantity::Energy::new::<joule>(joules));
        assert!((judged(on) - within(&energy, joules)).abs() < 1e-12, "{joules} J");
    }
}
