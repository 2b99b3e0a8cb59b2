//! Where one instrument comes down, forecast from the winds, air and drag area of another: tests/data/dropsondes.
//!
//! a and b were released 4 minutes and 66 km apart. Each is forecast from what the other recorded: its winds by height with a
//! doubt, its densities, its drag area with a doubt of 10 % (the three instruments of the files differ by 19 %). Only place,
//! height and speed at the start of the fall are the forecast one's own.
//!
//! The doubt of the winds is a judgement, made before looking at the ends: over tens of kilometres the free air differs by one to two
//! metres a second in layers one to two kilometres thick, so 1.5 m/s at each height, correlated over 1.5 km.

use outside_check::check;
use silkfall_core::geo::{Plane, Position};
use silkfall_core::landing::{Descent, Start, quick};
use silkfall_core::quantity::Angle;
use silkfall_core::stats::stream::Stream;
use silkfall_core::wind::{Doubt, Level, Profile, perturbed};

use crate::landing_recorded::{FILES, SOURCE, TAKEN_UP_S, own_k, read};

const DRAWS: u64 = 400;
/// Relative standard uncertainty of the other's drag area.
const DRAG_DOUBT: f64 = 0.1;
/// 95 % quantile of chi squared with two degrees of freedom, −2 ln 0.05.
const WITHIN_95: f64 = 5.991_465;

/// A fix of the satellite receiver.
#[derive(Clone, Copy)]
struct Fix {
    height_m: f64,
    wind_m_per_s: [f64; 2],
    place: Position,
}

/// All fixes of a fall with height and wind, each lower than the one before.
fn fixes(text: &str) -> Vec<Fix> {
    let names: Vec<&str> = text.lines().next().expect("the file has a heading").split(',').collect();
    let wanted = ["time_s", "alt_m", "u_m_s", "v_m_s", "lat", "lon"]
        .map(|name| names.iter().position(|known| *known == name).expect("the column is there"));
    let mut fixes: Vec<Fix> = Vec::new();
    for row in text.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let [Some(time_s), Some(height_m), Some(east), Some(north), Some(lat), Some(lon)] =
            wanted.map(|at| cells[at].parse::<f64>().ok())
        else {
            continue;
        };
        if time_s >= TAKEN_UP_S && fixes.last().is_none_or(|last| height_m < last.height_m) {
            let place = Position::from_degrees(lat, lon).expect("a fix is a place on Earth");
            fixes.push(Fix { height_m, wind_m_per_s: [east, north], place });
        }
    }
    fixes
}

/// Squared distance of the end of `theirs` from the middle of the forecast ends in their own covariance; the larger standard
/// deviation of those, m; and the drift, m.
fn forecast(known: usize, unknown: usize) -> (f64, f64, f64) {
    let recorded = read(FILES[known].0, FILES[known].1);
    let level = |fix: &Fix| Level {
        height_m: fix.height_m.max(0.0),
        east_m_per_s: fix.wind_m_per_s[0],
        north_m_per_s: fix.wind_m_per_s[1],
    };
    let winds =
        Profile::try_new(fixes(FILES[known].1).iter().rev().map(level).collect()).expect("levels ascend");
    let theirs = fixes(FILES[unknown].1);
    let (first, last) = (theirs[0], theirs[theirs.len() - 1]);
    let plane = Plane::new(first.place);
    let truth = plane.to_plane(last.place);
    let doubt = Doubt {
        speed_relative: 0.0,
        direction: Angle::default(),
        level_m_per_s: 1.5,
        level_correlation_m: 1500.0,
    };
    let k_per_m = own_k(&recorded);
    let ends: Vec<[f64; 2]> = (0..DRAWS)
        .map(|draw| {
            let mut stream = Stream::new(20_261_125, draw);
            let bare_k_per_m = stream.log_normal(k_per_m, DRAG_DOUBT);
            let wind = perturbed(&winds, &doubt, first.height_m, || stream.normal());
            let [east, north] = first.wind_m_per_s;
            let descent = Descent {
                start: Start {
                    place_m: [0.0, 0.0, first.height_m],
                    velocity_m_per_s: [east, north, recorded.levels[0].climb_m_per_s],
                },
                bare_k_per_m,
                stages: &[],
                column: &recorded.column,
                wind: &wind,
                updraft_m_per_s: 0.0,
            };
            quick(&descent).expect("it comes down").place_m
        })
        .collect();
    let count = DRAWS as f64;
    let mean = [0, 1].map(|axis| ends.iter().map(|end| end[axis]).sum::<f64>() / count);
    let product = |i: usize, j: usize| {
        ends.iter().map(|end| (end[i] - mean[i]) * (end[j] - mean[j])).sum::<f64>() / (count - 1.0)
    };
    let (xx, xy, yy) = (product(0, 0), product(0, 1), product(1, 1));
    let (dx, dy) = (truth[0] - mean[0], truth[1] - mean[1]);
    let squared = (yy * dx * dx - 2.0 * xy * dx * dy + xx * dy * dy) / (xx * yy - xy * xy);
    let largest = f64::midpoint(xx, yy) + (0.25 * (xx - yy) * (xx - yy) + xy * xy).sqrt();
    (squared, largest.sqrt(), truth[0].hypot(truth[1]))
}

#[test]
fn the_winds_of_one_hold_the_end_of_the_other() {
    for (known, unknown) in [(0, 1), (1, 0)] {
        let (squared, sd_m, drift_m) = forecast(known, unknown);
        let (name, other) = (FILES[known].0, FILES[unknown].0);
        check! {
            area: "landing", what: &format!("squared distance of {other}'s end from its forecast by {name}'s winds, in the forecast's own covariance"),
            against: SOURCE, leg: Independent,
            got: squared, at_most: WITHIN_95,
            because: "inside the 95 % region of the forecast, with 1.5 m/s over 1.5 km of height for the way between them (judgement)",
        }
        assert!(sd_m < 0.2 * drift_m, "a region that holds everything says nothing: {sd_m} m of {drift_m} m");
    }
}
