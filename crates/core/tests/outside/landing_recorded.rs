//! The fall's own time by height against three recorded ones: tests/data/dropsondes.
//!
//! The air is each file's own: dry density from its pressures and temperatures by level. Each instrument starts at its
//! first level of 20 s after the release or later, when its canopy stands, with the speed it has there; times count
//! from the release. Its own drag area is the one that makes the largest relative difference least.

use outside_check::check;
use silkfall_core::landing::{Column, Descent, Point, Start, track};
use silkfall_core::quantity::Acceleration;
use silkfall_core::wind::Profile;
use uom::si::acceleration::meter_per_second_squared;

pub const SOURCE: &str = "PyPI pydropsonde 0.5.5, its example data: three instruments under 0.09 m² canopies";
pub const FILES: [(&str, &str); 3] = [
    ("a", include_str!("../data/dropsondes/a.csv")),
    ("b", include_str!("../data/dropsondes/b.csv")),
    ("c", include_str!("../data/dropsondes/c.csv")),
];
/// Gas constant of dry air, J/(kg K): US Standard Atmosphere 1976, R*/M₀ = 8314.32/28.9644.
const DRY_AIR_J_PER_KG_K: f64 = 287.053;
/// From the release to where the fall is taken up, s.
pub const TAKEN_UP_S: f64 = 20.0;
const GRAVITY_M_PER_S2: f64 = 9.79;

/// One row with all that is needed.
#[derive(Clone, Copy)]
pub struct Level {
    time_s: f64,
    height_m: f64,
    density_kg_per_m3: f64,
    pub climb_m_per_s: f64,
}

pub struct Recorded {
    name: &'static str,
    /// From the first taken down to the last, each lower than the one before.
    pub levels: Vec<Level>,
    pub column: Column,
}

pub fn read(name: &'static str, text: &'static str) -> Recorded {
    let names: Vec<&str> = text.lines().next().expect("a line of names").split(',').collect();
    let at = |name: &str| names.iter().position(|n| *n == name).expect("a column of that name");
    let wanted = ["time_s", "pressure_hPa", "temp_C", "alt_m", "dz_m_s"].map(at);
    let mut levels: Vec<Level> = Vec::new();
    for row in text.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let [Some(time_s), Some(hectopascal), Some(celsius), Some(height_m), Some(climb_m_per_s)] =
            wanted.map(|n| cells[n].parse::<f64>().ok())
        else {
            continue;
        };
        let density_kg_per_m3 = 100.0 * hectopascal / (DRY_AIR_J_PER_KG_K * (celsius + 273.15));
        if time_s >= TAKEN_UP_S && levels.last().is_none_or(|last| height_m < last.height_m) {
            levels.push(Level { time_s, height_m, density_kg_per_m3, climb_m_per_s });
        }
    }
    let upwards: Vec<(f64, f64)> =
        levels.iter().rev().map(|level| (level.height_m, level.density_kg_per_m3)).collect();
    let gravity = Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2);
    let column = Column::by_levels(&upwards, gravity).expect("levels that ascend");
    Recorded { name, levels, column }
}

/// At each level after the first: the forecast time over the recorded one, less 1, both from the release.
fn misses(recorded: &Recorded, k_per_m: f64) -> Vec<f64> {
    let first = recorded.levels[0];
    let still = Profile::still();
    let descent = Descent {
        start: Start {
            place_m: [0.0, 0.0, first.height_m],
            velocity_m_per_s: [0.0, 0.0, first.climb_m_per_s],
        },
        bare_k_per_m: k_per_m,
        stages: &[],
        column: &recorded.column,
        wind: &still,
        updraft_m_per_s: 0.0,
    };
    let points = track(&descent, 0.5).expect("it comes down");
    let mut next = 1;
    let time_at = |height_m: f64, next: &mut usize| {
        while *next + 1 < points.len() && points[*next].place_m[2] > height_m {
            *next += 1;
        }
        let [above, below]: [&Point; 2] = [&points[*next - 1], &points[*next]];
        let share = (above.place_m[2] - height_m) / (above.place_m[2] - below.place_m[2]);
        above.time_s + share * (below.time_s - above.time_s)
    };
    recorded.levels[1..]
        .iter()
        .map(|level| (first.time_s + time_at(level.height_m, &mut next)) / level.time_s - 1.0)
        .collect()
}

fn worst(misses: &[f64]) -> f64 {
    misses.iter().fold(0.0, |worst, miss| worst.max(miss.abs()))
}

/// The k with the least largest difference, by golden section between rates of 9 and 14 m/s at the ground.
pub fn own_k(recorded: &Recorded) -> f64 {
    let largest = |rate: f64| worst(&misses(recorded, GRAVITY_M_PER_S2 / (rate * rate)));
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut low, mut high) = (9.0, 14.0);
    while high - low > 1e-3 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if largest(left) < largest(right) {
            high = right;
        } else {
            low = left;
        }
    }
    let rate: f64 = 0.5 * (low + high);
    GRAVITY_M_PER_S2 / (rate * rate)
}

#[test]
fn time_at_every_level_is_the_recorded_one() {
    let recorded = FILES.map(|(name, text)| read(name, text));
    assert!(recorded.iter().all(|recorded| recorded.levels.len() > 1000));
    let own = recorded.each_ref().map(own_k);
    let with_own: Vec<_> =
        recorded.iter().zip(own).map(|(fall, k)| (fall.name, worst(&misses(fall, k)), 0.0)).collect();
    check! {
        area: "landing", what: "time since the release at every level, each instrument with its own drag area: worst relative difference",
        against: SOURCE, leg: Independent,
        rows: with_own, within: 0.015,
        because: "slow air of some decimetres a second, of which the falls know nothing, moves the first minute by a per cent",
    }
    // One drag area for all three, by the mass all share: k over ground density, geometric mean.
    let area = |(recorded, k): (&Recorded, f64)| (k / recorded.column.ground_density().value).ln();
    let one = recorded.iter().zip(own).map(area).sum::<f64>() / 3.0;
    let with_one = recorded
        .iter()
        .map(|fall| (fall.name, worst(&misses(fall, one.exp() * fall.column.ground_density().value)), 0.0));
    check! {
        area: "landing", what: "the same with one drag area for all three: worst relative difference",
        against: SOURCE, leg: Independent,
        rows: with_one.collect::<Vec<_>>(), within: 0.05,
        because: "the three drag areas differ by 19 %, so from their mean by up to 9 %, in time half of it",
    }
}
