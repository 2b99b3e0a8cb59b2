//! Landings of a whole plan held against what can be said by hand.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::mass_density::kilogram_per_cubic_meter;

use super::winds::DIRECTIONS;
use super::*;
use crate::cases::checks::{case, ledger, load, rig};
use crate::cases::{Case, CaseKind, Load, Rig, Trials, Verdict};
use crate::geo::{Field, KeepOut, Polygon};
use crate::ledger::{Distribution, Entry, Estimate, Ledger, Sharing, Trust};
use crate::maths;
use crate::quantity::{Acceleration, MassDensity};
use crate::wind::{Level, Profile};

const TRIALS: Trials = Trials { count: 4_000, seed: 23 };

/// A part of 10 kg that opens three canopies at the start, 300 m up.
struct Job {
    load: Load,
    rig: Rig,
    cases: Vec<Case>,
    column: Column,
    stages: Vec<PlannedStage>,
    start: StartLaw,
    wind: DayWind,
    field: Option<Field>,
    ledger: Ledger,
}

fn exact(value: f64) -> Estimate {
    Estimate::exact(value)
}

fn canopies(begins: PlannedBegin) -> PlannedStage {
    PlannedStage {
        name: "canopies".to_owned(),
        brakes: Brakes::Canopies,
        begins,
        fill: PlannedFill::Time { s: exact(0.5) },
        growth: FILL_GROWTH,
        keeps_last: false,
        reefing: None,
    }
}

/// Wind at all heights alike, blowing towards (east, north).
fn uniform(towards: [f64; 2]) -> DayWind {
    DayWind {
        profile: Profile::uniform(towards),
        ground_height_m: 10.0,
        ln_speed_factor: exact(0.0).with("wind.speed", 0.1, f64::INFINITY),
        turn_rad: exact(0.0).with("wind.from", 0.15, f64::INFINITY),
        level_m_per_s: 0.5,
        level_correlation_m: 400.0,
        rising_m_per_s: exact(0.0),
        gusts: Gusts::Off,
        scaled: Scaled::All,
    }
}

fn square(west: f64, south: f64, side: f64) -> Polygon {
    let corners = [[west, south], [west + side, south], [west + side, south + side], [west, south + side]];
    Polygon::try_new(&corners, &[]).unwrap()
}

fn field(edge: Polygon) -> Option<Field> {
    Some(Field { edges: vec![edge], keep_outs: Vec::new() })
}

impl Job {
    fn new(wind: DayWind) -> Self {
        let mut ledger = ledger();
        for id in ["wind.speed", "wind.from", "lean"] {
            let entry = Entry {
                meaning: id.to_owned(),
                value: 0.0,
                distribution: Distribution::Normal { sd: 0.1 },
                sharing: Sharing::Flight,
                trust: Trust::Given,
            };
            ledger.enter(id.into(), entry);
        }
        let density = MassDensity::new::<kilogram_per_cubic_meter>(1.225);
        let gravity = Acceleration::new::<meter_per_second_squared>(9.8);
        let mut all = case("all open", CaseKind::AllOpen, None);
        all.chance = Some(0.97);
        let mut shut = case("one shut", CaseKind::StayShut(1), None);
        shut.chance = Some(0.03);
        Job {
            load: load(3),
            rig: rig(3),
            cases: vec![all, shut],
            column: Column::uniform(density, gravity),
            stages: vec![canopies(PlannedBegin::Start)],
            start: StartLaw {
                top_m: exact(300.0),
                east_m: exact(0.0),
                north_m: exact(0.0),
                speed_m_per_s: exact(0.0),
                towards: Towards::Any,
                lean: Lean::NotStated,
            },
            wind,
            field: None,
            ledger,
        }
    }

    fn fly(&self, trials: Trials, depth: Depth) -> Landing {
        let plan = Plan {
            load: &self.load,
            rig: &self.rig,
            cases: &self.cases,
            column: &self.column,
            stages: &self.stages,
            start: &self.start,
            wind: &self.wind,
            field: self.field.as_ref(),
            wanted_inside: 0.9,
            reaction_s: 2.0,
        };
        work(plan, (&self.ledger, None), trials, depth, &|_| true).expect("nobody stops it")
    }
}

/// Under 6 m² in air of 1.225 kg/m³ 10 kg fall at √(2 · 10 · 9.8/(1.225 · 6)) = 5.164 m/s: 300 m take 58 s, and a wind
/// of 5 m/s carries 290 m, less what the fall under no wind yet gains while it settles.
#[test]
fn a_west_wind_carries_it_east_by_wind_times_time() {
    let landing = Job::new(uniform([5.0, 0.0])).fly(TRIALS, Depth::Places);
    let summary = landing.cases[0].summary.as_ref().unwrap();
    assert!((summary.rate_m_per_s.median - 5.164).abs() < 0.02, "{summary:?}");
    assert!((summary.time_aloft_s.median - 58.1).abs() < 1.0);
    let [east, north] = summary.mean_place_m;
    assert!((east - 5.0 * 58.1).abs() < 8.0 && north.abs() < 5.0, "{east} {north}");
    assert!((summary.bearing_rad() - std::f64::consts::FRAC_PI_2).abs() < 0.02);
    // 5.164 m/s down in 5 m/s of wind: the energy of both.
    let both = summary.energy_down_j.median + summary.energy_over_j.median;
    assert!((summary.energy_j.median / both - 1.0).abs() < 0.02);
    assert_eq!(landing.cases[0].verdict, Verdict::NotJudged, "without a field there is no verdict");
    assert!(landing.mix.unwrap().inside.is_none());
}

/// 5 m/s down in 6 m/s of wind has 2.44 times the energy of 5 m/s alone.
#[test]
fn energy_counts_the_speed_over_ground() {
    let landing = Job::new(uniform([6.0, 0.0])).fly(TRIALS, Depth::Places);
    let summary = landing.cases[0].summary.as_ref().unwrap();
    let ratio = summary.energy_j.median / summary.energy_down_j.median;
    assert!((ratio / (1.0 + 36.0 / 5.164f64.powi(2)) - 1.0).abs() < 0.03, "{ratio}");
}

/// A pad at the west edge of a field, under a wind from the west: calm and little wind leave it on the edge, more wind
/// carries it in, much wind out at the other side.
#[test]
fn calm_can_fail_where_some_wind_holds() {
    let mut job = Job::new(uniform([3.0, 0.0]));
    job.field = field(square(60.0, -400.0, 800.0));
    let landing = job.fly(TRIALS, Depth::Everything);
    let west = landing
        .allowed
        .iter()
        .find(|allowed| {
            allowed.case == Some(0) && (allowed.from_rad - 1.5 * std::f64::consts::PI).abs() < 1e-9
        })
        .unwrap();
    assert_eq!(west.ranges_m_per_s.len(), 1, "{west:?}");
    let [low, high] = west.ranges_m_per_s[0];
    // 60 m over 58 s need 1.03 m/s, 860 m allow 14.8 m/s; the doubt of the wind narrows both.
    assert!(low > 1.0 && low < 2.0, "{low}");
    assert!(high > 10.0 && high < 14.8, "{high}");
    assert!(west.shares[0] < 0.1 && west.shares[4] > 0.97);
    let east = landing
        .allowed
        .iter()
        .find(|a| a.case == Some(0) && (a.from_rad - 0.5 * std::f64::consts::PI).abs() < 1e-9);
    assert!(east.unwrap().ranges_m_per_s.is_empty(), "an east wind never carries it in");
}

/// Eight directions and three speeds against runs of their own, with a keep-out off the middle, a start beside the pad
/// and a climb that leans into the wind.
#[test]
fn one_set_of_falls_for_all_winds_agrees_with_runs_of_their_own() {
    let levels = [(0.0, 3.0), (100.0, 4.0), (400.0, 6.0)].map(|(height_m, speed)| Level {
        height_m,
        east_m_per_s: speed,
        north_m_per_s: 0.0,
    });
    let mut job =
        Job::new(DayWind { profile: Profile::try_new(levels.to_vec()).unwrap(), ..uniform([0.0, 0.0]) });
    job.start.east_m = exact(40.0);
    job.start.lean = Lean::Linear {
        upwind_s: exact(12.0).with("lean", 3.0, f64::INFINITY),
        top_s: exact(-4.0),
        speed: exact(0.5),
    };
    job.start.towards = Towards::IntoWind;
    let keep_out = KeepOut { name: "barn".to_owned(), polygon: square(80.0, 60.0, 70.0) };
    job.field = Some(Field { edges: vec![square(-260.0, -260.0, 520.0)], keep_outs: vec![keep_out] });
    let landing = job.fly(TRIALS, Depth::Everything);
    let mut compared = 0;
    for at in (0..DIRECTIONS).step_by(2) {
        for speed in [2usize, 5, 8] {
            let allowed = &landing.allowed[at];
            assert_eq!(allowed.case, Some(0));
            let other = OtherWind { speed_m_per_s: SPEEDS_M_PER_S[speed], from_rad: allowed.from_rad };
            let own = Job {
                wind: DayWind { profile: job.wind.with_ground(other), ..job.wind.clone() },
                load: job.load.clone(),
                rig: job.rig.clone(),
                cases: job.cases.clone(),
                column: job.column.clone(),
                stages: job.stages.clone(),
                start: job.start.clone(),
                field: job.field.clone(),
                ledger: job.ledger.clone(),
            };
            let own = own.fly(Trials { seed: 99 + at as u64, ..TRIALS }, Depth::Places);
            let share = own.cases[0].inside.as_ref().unwrap();
            let both = maths::sqrt(2.0) * share.standard_error.max(0.002);
            assert!(
                (share.best - allowed.shares[speed]).abs() < 3.0 * both,
                "{other:?}: {} against {}",
                share.best,
                allowed.shares[speed]
            );
            compared += 1;
        }
    }
    assert_eq!(compared, 24);
}

#[test]
fn the_main_open_at_the_top_drifts_further_and_one_shut_less_far() {
    let mut job = Job::new(uniform([5.0, 0.0]));
    let drogue = PlannedStage {
        name: "drogue".to_owned(),
        brakes: Brakes::Own { ln_area: exact(maths::ln(0.4)) },
        ..canopies(PlannedBegin::Start)
    };
    job.stages = vec![drogue, canopies(PlannedBegin::Below { height_m: exact(120.0) })];
    job.cases = [
        CaseKind::AllOpen,
        CaseKind::MainAtTop,
        CaseKind::StayShut(1),
        CaseKind::NoDrogue,
        CaseKind::Nothing,
    ]
    .map(|kind| case(&kind.words(), kind, None))
    .into();
    let landing = job.fly(TRIALS, Depth::Everything);
    let east = |i: usize| landing.cases[i].summary.as_ref().unwrap().mean_place_m[0];
    assert!(east(1) > 1.5 * east(0), "main at the top: {} against {}", east(1), east(0));
    assert!(east(2) < east(0) && east(3) < east(0) && east(4) < east(3));
    let opening = landing.opening.as_ref().unwrap();
    assert!(opening.lowest_m > 40.0 && opening.lowest_m < 110.0, "{opening:?}");
    assert!(opening.curve.windows(2).all(|pair| pair[1].drift_m > pair[0].drift_m));
    assert!(opening.curve.windows(2).all(|pair| pair[1].in_time >= pair[0].in_time));
    let track = &landing.cases[0].track;
    assert!((track[0].place_m[2] - 300.0).abs() < 1e-9 && track.last().unwrap().place_m[2].abs() < 1e-6);
}

#[test]
fn the_wind_is_named_as_what_contributes_most() {
    let landing = Job::new(uniform([5.0, 0.0])).fly(Trials { count: 20_000, ..TRIALS }, Depth::Everything);
    let names: Vec<Option<&str>> =
        landing.cases[0].contributions.iter().map(|c| c.id.as_ref().map(|id| id.0.as_str())).collect();
    assert_eq!(names[0], Some("wind.from"), "{:?}", landing.cases[0].contributions);
    assert!(
        names.contains(&Some("wind.speed")) && names.contains(&Some("area")) && names.last() == Some(&None)
    );
    let sum: f64 = landing.cases[0].contributions.iter().map(|c| c.share).sum();
    assert!((sum - 1.0).abs() < 0.02);
}

#[test]
fn fewer_trials_are_the_first_of_more_and_threads_change_no_digit() {
    let job = Job::new(uniform([4.0, 1.0]));
    let places = |landing: &Landing| -> Vec<[u64; 2]> {
        landing.cases[0].falls.as_ref().unwrap().landed().map(|fall| fall.place_m.map(f64::to_bits)).collect()
    };
    let few = places(&job.fly(Trials { count: 200, ..TRIALS }, Depth::Places));
    let many = places(&job.fly(Trials { count: 1_000, ..TRIALS }, Depth::Places));
    assert_eq!(few[..], many[..200]);
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(alone.install(|| places(&job.fly(Trials { count: 1_000, ..TRIALS }, Depth::Places))), many);
}

#[test]
fn a_case_of_which_nothing_is_known_changes_no_other() {
    let mut job = Job::new(uniform([4.0, 1.0]));
    job.field = field(square(-100.0, -100.0, 500.0));
    job.load.ln_bare = None;
    let known = job.fly(Trials { count: 1_000, ..TRIALS }, Depth::Everything);
    job.cases.insert(1, case("nothing opens", CaseKind::StayShut(3), None));
    let all = job.fly(Trials { count: 1_000, ..TRIALS }, Depth::Everything);
    assert_eq!(all.cases[1].falls, None);
    let falls = |landing: &Landing, at: usize| landing.cases[at].falls.clone().expect("it is known");
    for (before, after) in [(0, 0), (1, 2)] {
        assert_eq!(falls(&known, before), falls(&all, after));
        let allowed = |landing: &Landing, case: usize| -> Vec<Vec<f64>> {
            let of_case = landing.allowed.iter().filter(|allowed| allowed.case == Some(case));
            of_case.map(|allowed| allowed.shares.clone()).collect()
        };
        assert_eq!(allowed(&known, before), allowed(&all, after));
        assert_eq!(allowed(&known, before).len(), DIRECTIONS);
    }
}

#[test]
fn a_watch_stops_it() {
    let job = Job::new(uniform([4.0, 1.0]));
    let plan = Plan {
        load: &job.load,
        rig: &job.rig,
        cases: &job.cases,
        column: &job.column,
        stages: &job.stages,
        start: &job.start,
        wind: &job.wind,
        field: None,
        wanted_inside: 0.9,
        reaction_s: 2.0,
    };
    assert!(work(plan, (&job.ledger, None), TRIALS, Depth::Places, &|_| false).is_none());
}
