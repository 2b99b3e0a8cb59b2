//! Many falls, drawn: the quick scheme against the reference, and what must not depend on the frame or the scale.

use outside_check::check;
use silkfall_core::landing::{
    Begins, Column, Descent, FILL_GROWTH, Fill, GroundAir, Landed, NoLanding, STANDARD_LAPSE_K_PER_M, Stage,
    Start, quick, quick_in_gusts, reference, track,
};
use silkfall_core::quantity::{Acceleration, Angle, Length, MassDensity, ThermodynamicTemperature, Velocity};
use silkfall_core::stats::stream::Stream;
use silkfall_core::wind::{Level, Profile, dryden};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::radian;
use uom::si::length::{foot, meter};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::thermodynamic_temperature::kelvin;
use uom::si::velocity::meter_per_second;

const GRAVITY_M_PER_S2: f64 = 9.8;
const TIGHT: f64 = 1e-9;

fn column() -> Column {
    let ground = GroundAir {
        density: MassDensity::new::<kilogram_per_cubic_meter>(1.17),
        virtual_temperature: ThermodynamicTemperature::new::<kelvin>(293.0),
        gravity: Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2),
        elevation: Length::new::<meter>(240.0),
        lapse_k_per_m: STANDARD_LAPSE_K_PER_M,
    };
    Column::new(&ground, Length::new::<meter>(2000.0))
}

fn k_of(rate_m_per_s: f64) -> f64 {
    GRAVITY_M_PER_S2 / (rate_m_per_s * rate_m_per_s)
}

/// A fall of its own; all of it is invented.
struct Drawn {
    start: Start,
    bare_k_per_m: f64,
    stages: Vec<Stage>,
    wind: Profile,
    updraft_m_per_s: f64,
}

impl Drawn {
    fn descent<'a>(&'a self, column: &'a Column) -> Descent<'a> {
        Descent {
            start: self.start,
            bare_k_per_m: self.bare_k_per_m,
            stages: &self.stages,
            column,
            wind: &self.wind,
            updraft_m_per_s: self.updraft_m_per_s,
        }
    }
}

/// From some 1500 m under a drogue and a main canopy, each of which may fail, in a wind of fifty levels.
fn drawn(index: u64) -> Drawn {
    let mut draw = Stream::new(20_260_503, index);
    let (speed, turn) = (6.0 * draw.uniform(), std::f64::consts::TAU * draw.uniform());
    let mut bumps = [draw.normal(), draw.normal()];
    let levels = (0..50).map(|i| {
        let height_m = 32.0 * f64::from(i);
        let (strength, way) = (speed * (0.3 + 0.12 * f64::from(i).sqrt()), turn + 0.01 * f64::from(i));
        for bump in &mut bumps {
            *bump = 0.85 * *bump + 0.53 * draw.normal();
        }
        Level {
            height_m,
            east_m_per_s: strength * way.cos() + bumps[0],
            north_m_per_s: strength * way.sin() + bumps[1],
        }
    });
    let wind = Profile::try_new(levels.collect()).expect("levels that ascend");
    let drogue = Stage {
        begins: Begins::After { s: 1.0 + draw.uniform() },
        k_per_m: k_of(15.0 + 8.0 * draw.uniform()),
        fill: Fill::Time { s: 0.2 + 0.5 * draw.uniform(), growth: FILL_GROWTH },
        held: None,
    };
    let main = Stage {
        begins: Begins::Below { height_m: 250.0 + 100.0 * draw.uniform() },
        k_per_m: k_of(4.0 + 4.0 * draw.uniform()),
        fill: Fill::Distance { diameters_m: 10.0 + 15.0 * draw.uniform(), growth: FILL_GROWTH },
        held: None,
    };
    let failure = draw.uniform();
    let stages = if failure < 0.1 {
        vec![main]
    } else if failure < 0.2 {
        vec![Stage { begins: drogue.begins, ..main }]
    } else if failure < 0.25 {
        vec![drogue]
    } else if failure < 0.28 {
        vec![]
    } else {
        vec![drogue, main]
    };
    Drawn {
        start: Start {
            place_m: [30.0 * draw.normal(), 30.0 * draw.normal(), 1400.0 + 150.0 * draw.uniform()],
            velocity_m_per_s: [15.0 * draw.normal(), 15.0 * draw.normal(), 4.0 * draw.normal()],
        },
        bare_k_per_m: k_of(35.0 + 25.0 * draw.uniform()),
        stages,
        wind,
        updraft_m_per_s: 0.5 * draw.normal(),
    }
}

fn apart_m(one: &Landed, other: &Landed) -> f64 {
    (one.place_m[0] - other.place_m[0]).hypot(one.place_m[1] - other.place_m[1])
}

#[test]
fn quick_lands_within_half_a_metre_of_the_reference() {
    let column = column();
    let (mut farthest_m, mut slowest_s, mut fastest) = (0.0_f64, 0.0_f64, 0.0_f64);
    for index in 0..400 {
        let fall = drawn(index);
        let descent = fall.descent(&column);
        let (soon, truth) = (quick(&descent).unwrap(), reference(&descent, TIGHT).unwrap());
        farthest_m = farthest_m.max(apart_m(&soon, &truth));
        slowest_s = slowest_s.max((soon.time_s - truth.time_s).abs());
        for (ours, theirs) in soon.velocity_m_per_s.iter().zip(truth.velocity_m_per_s) {
            fastest = fastest.max((ours - theirs).abs());
        }
        assert_eq!(soon.stages().len(), truth.stages().len(), "fall {index}");
        for (ours, theirs) in soon.stages().iter().zip(truth.stages()) {
            assert_eq!(ours.stage, theirs.stage, "fall {index}");
            assert!((ours.height_m - theirs.height_m).abs() < 0.2, "fall {index}: {ours:?} {theirs:?}");
            assert_eq!(ours.filled_height_m.is_some(), theirs.filled_height_m.is_some(), "fall {index}");
        }
    }
    let against = "the reference at 1e-9: order 5 in adaptive steps, every kink on its instant";
    let because = "what a landing region is told to; the bench asks the same of 100,000 falls";
    check! {
        area: "landing", what: "quick scheme, 400 falls of two stages with failures: farthest place, m",
        against: against, leg: Closed, got: farthest_m, at_most: 0.5, because: because,
    }
    check! {
        area: "landing", what: "quick scheme, the same falls: largest difference of time, s",
        against: against, leg: Closed, got: slowest_s, at_most: 0.02, because: because,
    }
    check! {
        area: "landing", what: "quick scheme, the same falls: largest difference of velocity at the ground, m/s",
        against: against, leg: Closed, got: fastest, at_most: 0.05, because: because,
    }
}

#[test]
fn a_turned_frame_turns_the_landing() {
    let column = column();
    for index in 0..40 {
        let fall = drawn(index);
        let turn: f64 = 0.3 + f64::from(index as u32);
        // Clockwise as seen from above, as the profile turns.
        let turned = |[east, north]: [f64; 2]| {
            [turn.cos() * east + turn.sin() * north, turn.cos() * north - turn.sin() * east]
        };
        let ([x, y, z], [a, b, c]) = (fall.start.place_m, fall.start.velocity_m_per_s);
        let ([x, y], [a, b]) = (turned([x, y]), turned([a, b]));
        let other = Drawn {
            start: Start { place_m: [x, y, z], velocity_m_per_s: [a, b, c] },
            wind: fall.wind.turned(Angle::new::<radian>(turn)),
            stages: fall.stages.clone(),
            ..fall
        };
        for scheme in [quick as fn(&Descent) -> Result<Landed, NoLanding>, |d| reference(d, TIGHT)] {
            let (before, after) =
                (scheme(&fall.descent(&column)).unwrap(), scheme(&other.descent(&column)).unwrap());
            let [east, north] = turned(before.place_m);
            assert!((after.place_m[0] - east).abs() < 1e-4 && (after.place_m[1] - north).abs() < 1e-4);
            assert!((after.time_s - before.time_s).abs() < 1e-6, "fall {index}");
        }
    }
}

#[test]
fn four_times_the_height_at_twice_the_speeds_lands_four_times_as_far() {
    // Froude's similitude: in air of one density, lengths by 4, times and speeds by 2, k by 1/4.
    let column = Column::uniform(
        MassDensity::new::<kilogram_per_cubic_meter>(1.2),
        Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2),
    );
    let mut rows = Vec::new();
    for index in 0..20 {
        let mut small = drawn(index);
        small.start.place_m[2] *= 0.25;
        let stage = |stage: &Stage| Stage {
            begins: match stage.begins {
                Begins::After { s } => Begins::After { s: 2.0 * s },
                Begins::Below { height_m } => Begins::Below { height_m: 4.0 * height_m },
                Begins::Start => Begins::Start,
            },
            k_per_m: 0.25 * stage.k_per_m,
            fill: match stage.fill {
                Fill::Time { s, growth } => Fill::Time { s: 2.0 * s, growth },
                Fill::Distance { diameters_m, growth } => {
                    Fill::Distance { diameters_m: 4.0 * diameters_m, growth }
                }
            },
            held: None,
        };
        let level = |level: &Level| Level {
            height_m: 4.0 * level.height_m,
            east_m_per_s: 2.0 * level.east_m_per_s,
            north_m_per_s: 2.0 * level.north_m_per_s,
        };
        let large = Drawn {
            start: Start {
                place_m: small.start.place_m.map(|x| 4.0 * x),
                velocity_m_per_s: small.start.velocity_m_per_s.map(|v| 2.0 * v),
            },
            bare_k_per_m: 0.25 * small.bare_k_per_m,
            stages: small.stages.iter().map(stage).collect(),
            wind: Profile::try_new(small.wind.levels().iter().map(level).collect()).unwrap(),
            updraft_m_per_s: 2.0 * small.updraft_m_per_s,
        };
        let [small, large] = [&small, &large].map(|fall| reference(&fall.descent(&column), TIGHT).unwrap());
        rows.push((index, large.time_s, 2.0 * small.time_s));
        rows.push((index, large.place_m[0], 4.0 * small.place_m[0]));
        rows.push((index, large.place_m[1], 4.0 * small.place_m[1]));
        rows.push((index, large.velocity_m_per_s[2], 2.0 * small.velocity_m_per_s[2]));
    }
    check! {
        area: "landing", what: "falls four times as high, at twice the speeds, under a quarter of k: time, place, speed",
        against: "Froude's similitude: times and speeds by 2, lengths by 4", leg: Closed,
        rows: rows, within: 1e-4,
        because: "a step is allowed 1e-9 of 1 + 1500 m; a fall has some thousands",
    }
}

#[test]
fn track_begins_at_the_start_and_ends_at_the_landing() {
    let column = column();
    let fall = drawn(7);
    let descent = fall.descent(&column);
    let (points, landed) = (track(&descent, 0.7).unwrap(), reference(&descent, TIGHT).unwrap());
    assert!((points[0].place_m[2] - fall.start.place_m[2]).abs() < 1e-12);
    let last = points[points.len() - 1];
    assert!((last.time_s - landed.time_s).abs() < 1e-3);
    assert!((last.place_m[0] - landed.place_m[0]).abs() < 1e-2);
    assert_eq!(points.len() - 1, (landed.time_s / 0.7) as usize + 1);
    for (i, point) in points[..points.len() - 1].iter().enumerate() {
        assert!((point.time_s - 0.7 * i as f64).abs() < 1e-9, "{i}");
    }
    // Each point lies where the velocities of the two say.
    for pair in points.windows(2) {
        let seconds = pair[1].time_s - pair[0].time_s;
        for i in 0..3 {
            let mean = 0.5 * (pair[0].velocity_m_per_s[i] + pair[1].velocity_m_per_s[i]);
            assert!((pair[1].place_m[i] - pair[0].place_m[i] - seconds * mean).abs() < 1.0);
        }
    }
}

#[test]
fn a_later_stage_passes_over_an_earlier_one() {
    let column = column();
    let mut fall = drawn(7);
    // The drogue would open only after the main canopy's height is met.
    fall.stages = vec![
        Stage {
            begins: Begins::After { s: 100.0 },
            k_per_m: k_of(20.0),
            fill: Fill::Time { s: 0.5, growth: 2.0 },
            held: None,
        },
        Stage {
            begins: Begins::Below { height_m: 200.0 },
            k_per_m: k_of(5.0),
            fill: Fill::Time { s: 0.5, growth: 2.0 },
            held: None,
        },
    ];
    for landed in [quick(&fall.descent(&column)), reference(&fall.descent(&column), TIGHT)] {
        let landed = landed.unwrap();
        assert_eq!(landed.stages().len(), 1);
        assert_eq!(landed.stages()[0].stage, 1);
        assert!((landed.stages()[0].height_m - 200.0).abs() < 1e-9);
    }
    // A stage by height waits for the top where the start is below it.
    fall.start.place_m[2] = 150.0;
    fall.start.velocity_m_per_s = [0.0, 0.0, 9.8];
    for landed in [quick(&fall.descent(&column)), reference(&fall.descent(&column), TIGHT)] {
        let begun = landed.unwrap().stages()[0];
        assert!((begun.time_s - 1.0).abs() < 0.03, "{begun:?}");
        assert!((begun.height_m - 154.9).abs() < 0.2, "{begun:?}");
    }
}

#[test]
fn what_has_no_landing_says_why() {
    let column = column();
    let fall = drawn(3);
    let refused = |change: &dyn Fn(&mut Drawn)| {
        let mut fall = drawn(3);
        change(&mut fall);
        let (soon, truth) = (quick(&fall.descent(&column)), reference(&fall.descent(&column), 1e-6));
        let refusal = truth.expect_err("no landing");
        let quick_refusal = soon.expect_err("no landing");
        assert_eq!(std::mem::discriminant(&refusal), std::mem::discriminant(&quick_refusal));
        refusal.to_string()
    };
    assert!(quick(&fall.descent(&column)).is_ok());
    assert_eq!(
        refused(&|fall| fall.start.place_m[2] = -3.0),
        "a fall that begins -3.0 m above the field's ground; it has to begin above it"
    );
    assert_eq!(
        refused(&|fall| fall.stages = vec![Stage::NONE; 7]),
        "a fall of 7 stages; at most 6 are followed"
    );
    assert_eq!(
        refused(&|fall| fall.bare_k_per_m = f64::NAN),
        "a fall whose drag over mass is not a number it can have"
    );
    assert!(refused(&|fall| fall.updraft_m_per_s = 80.0).contains("the air rises about as fast as it sinks"));
}

#[test]
fn in_gusts_a_light_canopy_goes_with_the_air() {
    let column = column();
    let wind = Profile::uniform([8.0, 0.0]);
    let stages = [];
    // A rate of 1 m/s answers within v²/g = 0.1 m: at the ground its velocity is that of the air.
    let descent = Descent {
        start: Start { place_m: [0.0, 0.0, 12.0], velocity_m_per_s: [8.0, 0.0, -1.0] },
        bare_k_per_m: k_of(1.0),
        stages: &stages,
        column: &column,
        wind: &wind,
        updraft_m_per_s: 0.0,
    };
    let falls = 4000_u32;
    let mut sums = [[0.0; 2]; 2];
    for index in 0..falls {
        let mut draw = Stream::new(11, u64::from(index));
        let landed = quick_in_gusts(&descent, &mut || draw.normal()).unwrap();
        for (sums, speed) in sums.iter_mut().zip(landed.velocity_m_per_s) {
            sums[0] += speed;
            sums[1] += speed * speed;
        }
    }
    let scales = dryden::scales(Length::new::<foot>(10.0), Velocity::new::<meter_per_second>(8.0));
    let n = f64::from(falls);
    let rows = ["along", "across"].iter().zip(sums).map(|(name, [sum, squares])| {
        (*name, (squares / n - (sum / n) * (sum / n)).sqrt(), scales.horizontal_m_per_s)
    });
    check! {
        area: "landing", what: "spread of a light canopy's velocity over ground in gusts, at the ground, m/s",
        against: "the intensity of MIL-F-8785C (1980), 3.7.3.4 (quoted), at 10 ft", leg: Closed,
        rows: rows.collect::<Vec<_>>(), within_relative: 0.06,
        because: "4000 falls tell a standard deviation to 1.1 %, three times that; landing is likelier in sinking air, and the answer takes 0.1 m of 24 m",
    }
    let mean = sums[0][0] / n;
    assert!((mean - 8.0).abs() < 4.0 * scales.horizontal_m_per_s / n.sqrt(), "{mean}");
}
