//! Falls against closed forms, scipy and recorded falls.

use differential_equations::prelude::{Event, EventConfig, ExplicitRungeKutta, IVP, ODE};
use outside_check::check;
use silkfall_core::air::standard;
use silkfall_core::landing::{
    Begins, Column, Descent, Fill, GroundAir, Held, Landed, STANDARD_LAPSE_K_PER_M, Stage, Start, quick,
    reference, track,
};
use silkfall_core::quantity::{Acceleration, Length, MassDensity, ThermodynamicTemperature};
use silkfall_core::wind::{Level, Profile};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::thermodynamic_temperature::kelvin;

const GRAVITY_M_PER_S2: f64 = 9.8;
/// Error allowed in a step of the reference.
const TIGHT: f64 = 1e-9;

fn uniform() -> Column {
    Column::uniform(
        MassDensity::new::<kilogram_per_cubic_meter>(1.2),
        Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2),
    )
}

/// k of a body with a rate at the ground.
fn k_of(rate_m_per_s: f64) -> f64 {
    GRAVITY_M_PER_S2 / (rate_m_per_s * rate_m_per_s)
}

fn from_rest(height_m: f64) -> Start {
    Start { place_m: [0.0, 0.0, height_m], velocity_m_per_s: [0.0; 3] }
}

/// A body without a stage.
fn bare<'a>(start: Start, k_per_m: f64, column: &'a Column, wind: &'a Profile) -> Descent<'a> {
    Descent { start, bare_k_per_m: k_per_m, stages: &[], column, wind, updraft_m_per_s: 0.0 }
}

#[test]
fn a_fall_from_rest_is_the_closed_form() {
    let (column, wind) = (uniform(), Profile::still());
    let rate = 25.0;
    let descent = bare(from_rest(400.0), k_of(rate), &column, &wind);
    let points = track(&descent, 0.5).unwrap();
    let settle_s = rate / GRAVITY_M_PER_S2;
    let speeds = points
        .iter()
        .map(|point| (point.time_s, -point.velocity_m_per_s[2], rate * (point.time_s / settle_s).tanh()));
    check! {
        area: "landing", what: "speed of a fall from rest, m/s", against: "v_t tanh(g t/v_t)", leg: Closed,
        rows: speeds.collect::<Vec<_>>(), within: 1e-4,
        because: "a track allows a step 1e-6 of 1 + 400 m",
    }
    let heights = points.iter().map(|point| {
        let fallen_m = rate * settle_s * (point.time_s / settle_s).cosh().ln();
        (point.time_s, point.place_m[2], 400.0 - fallen_m)
    });
    check! {
        area: "landing", what: "height of a fall from rest, m", against: "h − (v_t²/g) ln cosh(g t/v_t)", leg: Closed,
        rows: heights.collect::<Vec<_>>(), within: 1e-3,
        because: "a track allows a step 1e-6 of 1 + 400 m",
    }
    let time_s = settle_s * (400.0 / (rate * settle_s)).exp().acosh();
    for (name, landed) in [("reference", reference(&descent, TIGHT)), ("quick", quick(&descent))] {
        check! {
            area: "landing", what: &format!("time of a fall from rest over 400 m, {name}, s"),
            against: "(v_t/g) arcosh e^(g h/v_t²)", leg: Closed,
            got: landed.unwrap().time_s, want: time_s, within: if name == "quick" { 2e-3 } else { 1e-6 },
            because: "the reference allows a step 1e-9 of 1 + 400 m; the quick scheme is meant for decimetres: 25 m/s for 2 ms is 5 cm",
        }
    }
}

#[test]
fn a_slow_fall_through_thinning_air_is_the_closed_form() {
    // Isothermal air at 250 K: σ = e^(−z/H), H = R T/g₀.
    let ground = GroundAir {
        density: MassDensity::new::<kilogram_per_cubic_meter>(1.3),
        virtual_temperature: ThermodynamicTemperature::new::<kelvin>(250.0),
        gravity: Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2),
        elevation: Length::new::<meter>(0.0),
        lapse_k_per_m: 0.0,
    };
    let top_m = 3000.0;
    let column = Column::new(&ground, Length::new::<meter>(top_m));
    let rate = 3.0;
    let mut start = from_rest(top_m);
    start.velocity_m_per_s[2] = -rate * (top_m / (2.0 * 7317.0_f64)).exp();
    let still = Profile::still();
    let descent = bare(start, k_of(rate), &column, &still);
    // g₀ and R* / M₀ of the U.S. Standard Atmosphere 1976.
    let scale_m = 8314.32 / 28.9644 * 250.0 / standard::STANDARD_GRAVITY_M_PER_S2;
    let time_s = 2.0 * scale_m / rate * (1.0 - (-top_m / (2.0 * scale_m)).exp());
    for (name, landed) in [("reference", reference(&descent, TIGHT)), ("quick", quick(&descent))] {
        check! {
            area: "landing", what: &format!("time of a slow fall of 3000 m through isothermal air, {name}, s"),
            against: "(2 H/v₀)(1 − e^(−h/2H)), H = R T/g₀", leg: Closed,
            got: landed.unwrap().time_s, want: time_s, within_relative: 3e-4,
            because: "the closed form has fixed gravity, which loses 5e-4 over the 3000 m (half of it in the rate), and no inertia, 3e-5",
        }
    }
}

#[test]
fn drift_in_an_even_wind_is_wind_times_time() {
    let column = uniform();
    let wind = Profile::uniform([4.0, -7.0]);
    let still = Profile::still();
    // Carried by the wind from the start, it never feels it.
    let mut start = from_rest(700.0);
    start.velocity_m_per_s = [4.0, -7.0, 0.0];
    let stages = [Stage {
        begins: Begins::After { s: 2.5 },
        k_per_m: k_of(6.0),
        fill: Fill::Time { s: 0.9, growth: 2.0 },
        held: None,
    }];
    let calm = Descent { stages: &stages, ..bare(from_rest(700.0), k_of(40.0), &column, &still) };
    let windy = Descent { start, wind: &wind, ..calm };
    let mut rows = Vec::new();
    for fall in [|d: &Descent| reference(d, TIGHT), quick as fn(&Descent) -> Result<Landed, _>] {
        let (calm, windy) = (fall(&calm).unwrap(), fall(&windy).unwrap());
        assert!((calm.time_s - windy.time_s).abs() < 1e-6);
        rows.push(("east", windy.place_m[0], 4.0 * calm.time_s));
        rows.push(("north", windy.place_m[1], -7.0 * calm.time_s));
    }
    check! {
        area: "landing", what: "drift in an even wind by which it is carried from the start, m",
        against: "wind × time", leg: Closed,
        rows: rows, within: 1e-5,
        because: "the same steps in calm and wind, but for those that the wind's own size shortens",
    }
}

/// A table with names in its first line.
fn table(text: &str) -> Vec<Vec<&str>> {
    text.lines().skip(1).map(|row| row.split(',').collect()).collect()
}

fn number(cell: &str) -> f64 {
    cell.parse().expect("a number")
}

/// A fall of the reference files with what scipy says of it.
struct Known {
    name: &'static str,
    start: Start,
    bare_k_per_m: f64,
    updraft_m_per_s: f64,
    column: Column,
    wind: Profile,
    stages: Vec<Stage>,
    /// time, east, north, velocity
    landed: [f64; 6],
    /// Begin, height, speed, filled height by stage.
    begun: Vec<[f64; 4]>,
}

impl Known {
    fn descent(&self) -> Descent<'_> {
        Descent {
            start: self.start,
            bare_k_per_m: self.bare_k_per_m,
            stages: &self.stages,
            column: &self.column,
            wind: &self.wind,
            updraft_m_per_s: self.updraft_m_per_s,
        }
    }
}

fn known() -> Vec<Known> {
    let falls = table(include_str!("../reference/landing/falls.csv"));
    let stages = table(include_str!("../reference/landing/stages.csv"));
    let winds = table(include_str!("../reference/landing/winds.csv"));
    let known = |row: Vec<&'static str>| {
        let name = row[0];
        let n: Vec<f64> = row[1..].iter().map(|cell| number(cell)).collect();
        let of_fall = |rows: &[Vec<&'static str>]| -> Vec<Vec<&'static str>> {
            rows.iter().filter(|row| row[0] == name).cloned().collect()
        };
        let ground = GroundAir {
            density: MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            virtual_temperature: ThermodynamicTemperature::new::<kelvin>(n[8]),
            gravity: Acceleration::new::<meter_per_second_squared>(n[9]),
            elevation: Length::new::<meter>(n[10]),
            lapse_k_per_m: n[11],
        };
        assert!(n[11].abs() < 1e-12 || (n[11] - STANDARD_LAPSE_K_PER_M).abs() < 1e-12);
        let stage_rows = of_fall(&stages);
        let stage = |row: &Vec<&str>| {
            let filling = |kind: &str, fill: &str, growth: &str| match (kind, number(fill), number(growth)) {
                ("time", s, growth) => Fill::Time { s, growth },
                ("distance", diameters_m, growth) => Fill::Distance { diameters_m, growth },
                (other, ..) => panic!("{other}"),
            };
            let value = number(row[2]);
            Stage {
                begins: match row[1] {
                    "start" => Begins::Start,
                    "after" => Begins::After { s: value },
                    "below" => Begins::Below { height_m: value },
                    other => panic!("{other}"),
                },
                k_per_m: number(row[3]),
                fill: filling(row[4], row[5], row[6]),
                held: (!row[7].is_empty()).then(|| Held {
                    k_per_m: number(row[7]),
                    fill: filling(row[8], row[9], row[10]),
                    held_s: number(row[11]),
                }),
            }
        };
        let level = |row: &Vec<&str>| Level {
            height_m: number(row[1]),
            east_m_per_s: number(row[2]),
            north_m_per_s: number(row[3]),
        };
        Known {
            name,
            start: Start { place_m: [n[0], n[1], n[2]], velocity_m_per_s: [n[3], n[4], n[5]] },
            bare_k_per_m: n[6],
            updraft_m_per_s: n[7],
            column: Column::new(&ground, Length::new::<meter>(n[2])),
            wind: Profile::try_new(of_fall(&winds).iter().map(level).collect()).expect("levels that ascend"),
            stages: stage_rows.iter().map(stage).collect(),
            landed: n[12..18].try_into().expect("six cells"),
            begun: stage_rows.iter().map(|row| [12, 13, 14, 15].map(|i| number(row[i]))).collect(),
        }
    };
    falls.into_iter().map(known).collect()
}

const SCIPY: &str =
    "tests/reference/landing/make.py: scipy 1.17.1, DOP853 at rtol 1e-12, the air worked out there anew";

#[test]
fn falls_are_those_of_scipy() {
    let (mut times, mut places, mut speeds, mut stages) = (vec![], vec![], vec![], vec![]);
    let (mut quick_times, mut quick_places) = (vec![], vec![]);
    for fall in known() {
        let (landed, soon) = (reference(&fall.descent(), TIGHT).unwrap(), quick(&fall.descent()).unwrap());
        let [time_s, east_m, north_m, east, north, up] = fall.landed;
        times.push((fall.name, landed.time_s, time_s));
        quick_times.push((fall.name, soon.time_s, time_s));
        for (ours, theirs) in landed.place_m.into_iter().zip([east_m, north_m]) {
            places.push((fall.name, ours, theirs));
        }
        for (ours, theirs) in soon.place_m.into_iter().zip([east_m, north_m]) {
            quick_places.push((fall.name, ours, theirs));
        }
        for (ours, theirs) in landed.velocity_m_per_s.into_iter().zip([east, north, up]) {
            speeds.push((fall.name, ours, theirs));
        }
        assert_eq!(landed.stages().len(), fall.begun.len(), "{}", fall.name);
        for (ours, theirs) in landed.stages().iter().zip(&fall.begun) {
            let filled_m = ours.filled_height_m.expect("it filled");
            let ours = [ours.time_s, ours.height_m, ours.airspeed_m_per_s, filled_m];
            stages.extend(ours.into_iter().zip(theirs).map(|(ours, theirs)| (fall.name, ours, *theirs)));
        }
    }
    let because = "a thousandth of what a landing is told to; the scheme itself is nearer by far";
    check! {
        area: "landing", what: "eight falls: time to the ground, s", against: SCIPY, leg: Independent,
        rows: times, within: 1e-4, because: because,
    }
    check! {
        area: "landing", what: "eight falls: place, m", against: SCIPY, leg: Independent,
        rows: places, within: 2e-3, because: because,
    }
    check! {
        area: "landing", what: "eight falls: velocity at the ground, m/s", against: SCIPY, leg: Independent,
        rows: speeds, within: 1e-5, because: because,
    }
    check! {
        area: "landing", what: "eight falls: begin, height, speed and filled height of each stage", against: SCIPY, leg: Independent,
        rows: stages, within: 1e-4, because: because,
    }
    check! {
        area: "landing", what: "eight falls by the quick scheme: time to the ground, s", against: SCIPY, leg: Independent,
        rows: quick_times, within: 0.02, because: "the quick scheme is to be within 0.5 m of the place",
    }
    check! {
        area: "landing", what: "eight falls by the quick scheme: place, m", against: SCIPY, leg: Independent,
        rows: quick_places, within: 0.35, because: "each way within 0.5 m together",
    }
}

/// A fall with its brake by time: what the crate is given.
struct ByTime<'a> {
    fall: &'a Known,
    /// k before and after, begin and end of the filling, growth.
    brake: [f64; 5],
}

impl ODE<f64, [f64; 6]> for ByTime<'_> {
    fn diff(&self, t: f64, y: &[f64; 6], dydt: &mut [f64; 6]) {
        let [from, to, begin, end, growth] = self.brake;
        let share = if t >= end { 1.0 } else { ((t - begin) / (end - begin)).max(0.0).powf(growth) };
        let (column, [east, north]) = (&self.fall.column, self.fall.wind.at(y[2]));
        let w = [y[3] - east, y[4] - north, y[5] - self.fall.updraft_m_per_s];
        let speed = w.iter().map(|w| w * w).sum::<f64>().sqrt();
        let drag = (from + (to - from) * share) * column.relative_density(y[2]) * speed;
        for i in 0..3 {
            dydt[i] = y[3 + i];
            dydt[3 + i] = -drag * w[i];
        }
        dydt[5] -= column.gravity_m_per_s2(y[2]);
    }
}

impl Event<f64, [f64; 6]> for ByTime<'_> {
    fn config(&self) -> EventConfig {
        EventConfig::default().terminal()
    }

    fn event(&self, _t: f64, y: &[f64; 6]) -> f64 {
        y[2]
    }
}

#[test]
fn six_falls_are_those_of_another_integrator() {
    let mut rows = Vec::new();
    let let_go = |fall: &Known| fall.stages.iter().any(|stage| stage.held.is_some());
    for fall in known().into_iter().filter(|fall| !let_go(fall)) {
        let landed = reference(&fall.descent(), TIGHT).unwrap();
        let Start { place_m: [x, y, z], velocity_m_per_s: [a, b, c] } = fall.start;
        let (mut time_s, mut state, mut k) = (0.0, [x, y, z, a, b, c], fall.bare_k_per_m);
        let mut brake = [k, k, 0.0, 0.0, 1.0];
        let mut begins: Vec<f64> = landed.stages().iter().map(|begun| begun.time_s).collect();
        begins.push(1e4);
        for (i, end_s) in begins.iter().enumerate() {
            if *end_s > time_s {
                let model = ByTime { fall: &fall, brake };
                let method =
                    ExplicitRungeKutta::dop853().rtol(1e-10).atol(1e-10).h_max(0.3).max_steps(1_000_000);
                let solved = IVP::ode(&model, time_s, *end_s, state).event(&model).method(method).solve();
                let solved = solved.unwrap_or_else(|error| panic!("{}: {error:?}", fall.name));
                (time_s, state) = (*solved.t.last().unwrap(), *solved.y.last().unwrap());
            }
            let (Some(begun), Some(stage)) = (landed.stages().get(i), fall.stages.get(i)) else { break };
            // The instant is ours, so that the brake is a function of time; that the stage belongs there is the height.
            rows.push((fall.name, begun.height_m, state[2]));
            let (fill_s, growth) = match stage.fill {
                Fill::Time { s, growth } => (s, growth),
                Fill::Distance { diameters_m, growth } => (diameters_m / begun.airspeed_m_per_s, growth),
            };
            let rest = (0.5 * fall.column.gravity_m_per_s2(begun.height_m)).sqrt();
            let fill_s = match stage.fill {
                Fill::Distance { diameters_m, .. } => fill_s.min(diameters_m.sqrt() / rest),
                Fill::Time { .. } => fill_s,
            };
            brake = [k, stage.k_per_m, *end_s, end_s + fill_s, growth];
            k = stage.k_per_m;
        }
        rows.push((fall.name, landed.time_s, time_s));
        rows.push((fall.name, landed.place_m[0], state[0]));
        rows.push((fall.name, landed.place_m[1], state[1]));
    }
    check! {
        area: "landing", what: "six falls: time, place and the heights at which stages begin, s and m",
        against: "crate differential-equations 0.7.0, its DOP853 at 1e-10 with steps of at most 0.3 s", leg: Independent,
        rows: rows, within: 5e-3,
        because: "it is not told of the wind's kinks: a step across one is wrong by some 1e-4",
    }
}
