//! What falls, and through which winds.

use std::path::Path;

use silkfall_core::landing::{
    Begins, Column, Descent, FILL_GROWTH, Fill, GroundAir, STANDARD_LAPSE_K_PER_M, Stage, Start,
};
use silkfall_core::quantity::{Acceleration, Length, MassDensity, ThermodynamicTemperature};
use silkfall_core::stats::stream::Stream;
use silkfall_core::wind::{Level, Profile};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::thermodynamic_temperature::kelvin;

const TRIALS: u64 = 100_000;
/// Winds, each flown in by many trials.
const WINDS: u64 = 1000;
const LEVELS: usize = 51;
const BETWEEN_LEVELS_M: f64 = 30.0;
const GROUND_K: f64 = 290.0;
const GRAVITY_M_PER_S2: f64 = 9.806;
const ELEVATION_M: f64 = 200.0;
/// The drogue fills in a time, the main canopy over a distance.
const DROGUE_FILL_S: f64 = 0.4;
const MAIN_FILL_M: f64 = 20.0;

pub struct Trial {
    start: Start,
    bare_k_per_m: f64,
    stages: Vec<Stage>,
    wind: usize,
    updraft_m_per_s: f64,
}

pub struct Scene {
    column: Column,
    winds: Vec<Profile>,
    pub trials: Vec<Trial>,
}

fn k_of(rate_m_per_s: f64) -> f64 {
    GRAVITY_M_PER_S2 / (rate_m_per_s * rate_m_per_s)
}

impl Scene {
    pub fn draw() -> Scene {
        let ground = GroundAir {
            density: MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            virtual_temperature: ThermodynamicTemperature::new::<kelvin>(GROUND_K),
            gravity: Acceleration::new::<meter_per_second_squared>(GRAVITY_M_PER_S2),
            elevation: Length::new::<meter>(ELEVATION_M),
            lapse_k_per_m: STANDARD_LAPSE_K_PER_M,
        };
        Scene {
            column: Column::new(&ground, Length::new::<meter>(2000.0)),
            winds: (0..WINDS).map(wind).collect(),
            trials: (0..TRIALS).map(trial).collect(),
        }
    }

    pub fn descent(&self, i: usize) -> Descent<'_> {
        let trial = &self.trials[i];
        Descent {
            start: trial.start,
            bare_k_per_m: trial.bare_k_per_m,
            stages: &trial.stages,
            column: &self.column,
            wind: &self.winds[trial.wind],
            updraft_m_per_s: trial.updraft_m_per_s,
        }
    }

    /// For the peer: day, winds, and a row a trial, with 0, 1, 2 for no stage, one by time, one by height.
    pub fn write(&self, folder: &Path) {
        let day = [GROUND_K, GRAVITY_M_PER_S2, ELEVATION_M, BETWEEN_LEVELS_M, DROGUE_FILL_S, MAIN_FILL_M];
        crate::write(&folder.join("day.f64"), day.into_iter());
        let levels = self.winds.iter().flat_map(|wind| wind.levels());
        let winds = levels.flat_map(|level| [level.east_m_per_s, level.north_m_per_s]);
        crate::write(&folder.join("winds.f64"), winds);
        let rows = self.trials.iter().flat_map(|trial| {
            let ([x, y, z], [a, b, c]) = (trial.start.place_m, trial.start.velocity_m_per_s);
            let mut row =
                vec![x, y, z, a, b, c, trial.bare_k_per_m, trial.updraft_m_per_s, trial.wind as f64];
            for i in 0..2 {
                row.extend(trial.stages.get(i).map_or([0.0; 4], |stage| {
                    let (kind, at) = match stage.begins {
                        Begins::Start => (1.0, 0.0),
                        Begins::After { s } => (1.0, s),
                        Begins::Below { height_m } => (2.0, height_m),
                    };
                    let by_distance = matches!(stage.fill, Fill::Distance { .. });
                    [kind, at, stage.k_per_m, f64::from(u8::from(by_distance))]
                }));
            }
            row
        });
        crate::write(&folder.join("trials.f64"), rows);
    }
}

/// A logarithmic wind that turns with height, with a factor, a turn and correlated errors by level.
fn wind(index: u64) -> Profile {
    let mut draw = Stream::new(1, index);
    let (factor, turn) = (1.0 + 0.1 * draw.normal(), 0.17 * draw.normal());
    let kept = (-BETWEEN_LEVELS_M / 200.0_f64).exp();
    let mut error = [draw.normal(), draw.normal()];
    let levels = (0..LEVELS).map(|i| {
        let height_m = BETWEEN_LEVELS_M * i as f64;
        let speed = factor * 5.0 * ((height_m + 2.0) / 0.1).ln() / 100.0_f64.ln();
        let way = turn + height_m / 3000.0;
        for error in &mut error {
            *error = kept * *error + (1.0 - kept * kept).sqrt() * draw.normal();
        }
        Level {
            height_m,
            east_m_per_s: speed * way.cos() + error[0],
            north_m_per_s: speed * way.sin() + error[1],
        }
    });
    Profile::try_new(levels.collect()).expect("levels that ascend")
}

fn trial(index: u64) -> Trial {
    let mut draw = Stream::new(2, index);
    let drogue = Stage {
        begins: Begins::After { s: (1.5 + 0.3 * draw.normal()).max(0.0) },
        k_per_m: k_of(18.0) * (0.1 * draw.normal()).exp(),
        fill: Fill::Time { s: DROGUE_FILL_S, growth: FILL_GROWTH },
        held: None,
    };
    let main = Stage {
        begins: Begins::Below { height_m: 300.0 + 10.0 * draw.normal() },
        k_per_m: k_of(6.0) * (0.08 * draw.normal()).exp(),
        fill: Fill::Distance { diameters_m: MAIN_FILL_M, growth: FILL_GROWTH },
        held: None,
    };
    let bare_k_per_m = k_of(45.0) * (0.2 * draw.normal()).exp();
    let start = Start {
        place_m: [20.0 * draw.normal(), 20.0 * draw.normal(), 1500.0 + 30.0 * draw.normal()],
        velocity_m_per_s: [10.0 * draw.normal(), 10.0 * draw.normal(), 0.0],
    };
    let updraft_m_per_s = 0.3 * draw.normal();
    let failure = draw.uniform();
    let stages = if failure < 0.03 {
        vec![main]
    } else if failure < 0.06 {
        vec![drogue]
    } else if failure < 0.09 {
        vec![Stage { begins: drogue.begins, ..main }]
    } else if failure < 0.10 {
        vec![]
    } else {
        vec![drogue, main]
    };
    Trial { start, bare_k_per_m, stages, wind: (index % WINDS) as usize, updraft_m_per_s }
}
