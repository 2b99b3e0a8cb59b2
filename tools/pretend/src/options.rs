//! Everything a campaign is made from, and draws of it over all nuisances.
//!
//! A campaign is one long recording of one configuration. [`draw_options`] draws the nuisances; [`Cell`] names the
//! factors by which coverage is counted: drops × logger × gusts. The draws (all uniform unless said otherwise):
//!
//! | what | drawn from |
//! |---|---|
//! | rate | log-uniform 2.5 to 7 m/s |
//! | tower | 8 to 14 m; each drop from within 0.2 m of it |
//! | canopy | 0.3 to 0.9 m nominal; filled after 3 to 8 diameters; 5 to 70 % open at letting go |
//! | carried air | log-uniform 0.1 to 0.6 of the model's mass |
//! | mass | the rate's, for a coefficient 0.6 to 0.9 on the nominal area |
//! | scatter of the rate from drop to drop | none in half of the campaigns, else up to 1.5 % |
//! | swing | none in 3 of 10, else to 25° (square of a uniform draw), decaying in half of those over 2 to 8 s |
//! | gusts | by the cell: still 0; light to 0.1; fresh 0.1 to 0.25 m/s, log-uniform 0.5 to 3 s; sideways 0.5 to 1.5 times that |
//! | white noise | log-uniform 0.03 to 0.15 m |
//! | port noise | 0.1 to 1 m with the square of a uniform draw on the logarithm (median 0.18 m), log-uniform 0.3 to 3 s |
//! | tangled | one drop of a campaign of three or more, in 1 of 8 of them, 1.12 to 1.3 times faster |
//! | starts, ends in the air | each in 1 of 25 campaigns of two or more drops |
//! | spikes, gaps, clock jumps | in 15 %, 12 %, 6 % of campaigns |
//!
//! Nine campaigns in ten are such that the fall has at least 1 s within 1 % of the terminal rate in still air
//! (rate, tower, canopy and carried air are drawn anew until that holds); one in ten is left as drawn, and
//! its drops are flagged hard where the steady stretch is short.

use crate::draw::{Draw, Purpose};
use crate::gusts::{AirMotion, Gusts};
use crate::logger::{Filter, Logger, Resolution};
use crate::path::Handling;
use crate::physics::{self, Model, Surroundings, Swinging};

/// What all drops of a campaign share: each realised value is normal about a mean, with a standard uncertainty.
/// The mean is what is known to be so (a warm day, one session's air in several files); mostly 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// Slow vertical air of the whole session, downward, m/s: standard uncertainty.
    pub slow_air_sd_m_s: f64,
    /// The same: mean.
    pub slow_air_mean_m_s: f64,
    /// Clock error, written seconds over true seconds, less 1: standard uncertainty.
    pub clock_sd_relative: f64,
    /// The same: mean.
    pub clock_mean_relative: f64,
    /// Height scale error, counted metres over true metres, less 1: standard uncertainty.
    pub height_scale_sd_relative: f64,
    /// The same: mean.
    pub height_scale_mean_relative: f64,
}

impl Shared {
    /// Nothing shared: a perfect clock and scale in still air.
    pub const NONE: Self = Self {
        slow_air_sd_m_s: 0.0,
        slow_air_mean_m_s: 0.0,
        clock_sd_relative: 0.0,
        clock_mean_relative: 0.0,
        height_scale_sd_relative: 0.0,
        height_scale_mean_relative: 0.0,
    };
}

/// Mean swing of the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// Largest swing angle of any drop, degrees; each drop draws 0.5 to 1 of it.
    pub peak_deg: f64,
    /// Length of the pendulum, m.
    pub pendulum_m: f64,
    /// Time in which the swing falls to 1/e, s; `None` for a swing that sustains itself.
    pub decay_s: Option<f64>,
}

/// What is wrong with a recording.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flaws {
    /// Bangs: false heights for a sample or a few.
    pub spikes: usize,
    /// Runs of missing samples.
    pub gaps: usize,
    /// Whether and how the clock jumps once.
    pub clock_jump: Option<ClockJump>,
    /// The drop (from 0) that falls with tangled lines, and how much faster.
    pub tangled: Option<(usize, f64)>,
    /// Share of the first fall that was over when the recording began.
    pub starts_in_air: Option<f64>,
    /// Share of the last fall that was over when the recording ended.
    pub ends_in_air: Option<f64>,
}

/// How a clock jumps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClockJump {
    /// The logger restarts and counts from zero.
    Restart,
    /// The clock is set by so many seconds, forward or backward.
    Set(f64),
}

/// How many drops a campaign has, as coverage counts it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DropsClass {
    /// One drop.
    One,
    /// Two drops.
    Two,
    /// Three to seven drops.
    ThreeToSeven,
}

/// Kinds of logger, as coverage counts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoggerClass {
    /// Heights in whole feet, 10 a second.
    Foot,
    /// Heights in steps of 0.1 m, 10 to 100 a second.
    Decimetre,
    /// Raw pressure in steps of 1 to 10 Pa, 10 to 100 a second.
    Pressure,
}

/// Kinds of air, as coverage counts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GustClass {
    /// No gusts.
    Still,
    /// Vertical standard deviation up to 0.1 m/s.
    Light,
    /// Vertical standard deviation 0.1 to 0.25 m/s.
    Fresh,
}

/// A cell of the factorial: drops × logger × gusts, 27 in all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cell {
    /// How many drops.
    pub drops: DropsClass,
    /// Which logger.
    pub logger: LoggerClass,
    /// Which air.
    pub gusts: GustClass,
}

impl Cell {
    /// All cells, in order.
    pub fn all() -> Vec<Self> {
        let mut cells = Vec::new();
        for drops in [DropsClass::One, DropsClass::Two, DropsClass::ThreeToSeven] {
            for logger in [LoggerClass::Foot, LoggerClass::Decimetre, LoggerClass::Pressure] {
                for gusts in [GustClass::Still, GustClass::Light, GustClass::Fresh] {
                    cells.push(Self { drops, logger, gusts });
                }
            }
        }
        cells
    }
}

/// Everything a campaign is made from; [`crate::campaign`](fn@crate::campaign) draws only what differs from drop to drop.
#[derive(Clone, Debug, PartialEq)]
pub struct CampaignOptions {
    /// What falls.
    pub model: Model,
    /// Scatter of the rate from drop to drop, relative, one standard deviation (of its logarithm).
    pub rate_scatter_relative: f64,
    /// Density and gravity.
    pub surroundings: Surroundings,
    /// Height from which the load is let go, m.
    pub tower_m: f64,
    /// Height of the ground above the standard sea level, m: what a pressure logger sees.
    pub ground_m: f64,
    /// Number of drops.
    pub drops: usize,
    /// Gusts.
    pub gusts: Gusts,
    /// Swing.
    pub swing: Swing,
    /// Logger.
    pub logger: Logger,
    /// Flaws.
    pub flaws: Flaws,
    /// Handling between drops.
    pub handling: Handling,
    /// What all drops share.
    pub shared: Shared,
}

impl CampaignOptions {
    /// Three drops from 14 m of a small model, without flaws, gusts, swing or scatter; a quiet logger that writes
    /// steps of 0.1 m 50 times a second. What a test varies, it sets.
    pub fn plain(rate_m_s: f64) -> Self {
        Self {
            model: Model {
                mass_kg: 0.15,
                rate_m_s,
                canopy_diameter_m: 0.5,
                air_mass_ratio: 0.2,
                fill_diameters: 4.0,
                open_at_release: 0.4,
            },
            rate_scatter_relative: 0.0,
            surroundings: Surroundings { density_kg_m3: 1.2, gravity_m_s2: 9.81 },
            tower_m: 14.0,
            ground_m: 200.0,
            drops: 3,
            gusts: Gusts::STILL,
            swing: Swing { peak_deg: 0.0, pendulum_m: 1.0, decay_s: None },
            logger: Logger {
                rate_hz: 50.0,
                resolution: Resolution::Height { step_m: 0.1 },
                filter: Filter::None,
                white_sd_m: 0.03,
                port_sd_m: 0.0,
                port_correlation_s: 1.0,
                drift_m_per_h: 0.0,
            },
            flaws: Flaws::default(),
            handling: USUAL_HANDLING,
            shared: Shared::NONE,
        }
    }
}

/// Handling as at an unhurried range.
const USUAL_HANDLING: Handling = Handling {
    rest_s: (4.0, 20.0),
    carry_s: (2.0, 15.0),
    hoist_m_s: (0.2, 0.6),
    hang_s: (3.0, 12.0),
    lowering_chance: 0.08,
    stairs_chance: 0.08,
};

/// Shortest steady stretch, s, that nine campaigns in ten have in still air.
const USUAL_STEADY_S: f64 = 1.0;
/// Share of campaigns left as drawn, however short their steady stretch.
const HARD_SHARE: f64 = 0.1;

/// Draws options over all nuisances; the cell is drawn evenly.
pub fn draw_options(seed: u64) -> (Cell, CampaignOptions) {
    let cells = Cell::all();
    let cell = Draw::new(seed, Purpose::Session).pick(&cells);
    (cell, draw_options_in(seed, cell))
}

/// Draws options over all nuisances within one cell. Nothing is shared ([`Shared::NONE`]): the caller sets
/// `shared` to the spread that stands in the ledger of the program under test.
pub fn draw_options_in(seed: u64, cell: Cell) -> CampaignOptions {
    let mut draw = Draw::new(seed, Purpose::Options);
    let surroundings =
        Surroundings { density_kg_m3: draw.between(1.08, 1.28), gravity_m_s2: draw.between(9.78, 9.83) };
    let leave_as_drawn = draw.chance(HARD_SHARE);
    let (model, tower_m) = loop {
        let (model, tower_m) = draw_model(&surroundings, &mut draw);
        if leave_as_drawn || still_air_steady_s(&model, &surroundings, tower_m) >= USUAL_STEADY_S {
            break (model, tower_m);
        }
    };
    let drops = match cell.drops {
        DropsClass::One => 1,
        DropsClass::Two => 2,
        DropsClass::ThreeToSeven => 3 + draw.index(5),
    };
    let logger = draw_logger(cell.logger, &mut draw);
    CampaignOptions {
        model,
        rate_scatter_relative: if draw.chance(0.5) { draw.between(0.0, 0.015) } else { 0.0 },
        surroundings,
        tower_m,
        ground_m: draw.between(0.0, 800.0),
        drops,
        gusts: draw_gusts(cell.gusts, &mut draw),
        swing: draw_swing(&mut draw),
        logger,
        flaws: draw_flaws(drops, &mut draw),
        handling: USUAL_HANDLING,
        shared: Shared::NONE,
    }
}

fn draw_model(surroundings: &Surroundings, draw: &mut Draw) -> (Model, f64) {
    let rate_m_s = draw.log_between(2.5, 7.0);
    let canopy_diameter_m = draw.between(0.3, 0.9);
    let coefficient = draw.between(0.6, 0.9);
    let drag_area_m2 = coefficient * std::f64::consts::FRAC_PI_4 * canopy_diameter_m * canopy_diameter_m;
    let mass_kg =
        drag_area_m2 * surroundings.density_kg_m3 * rate_m_s * rate_m_s / (2.0 * surroundings.gravity_m_s2);
    let model = Model {
        mass_kg,
        rate_m_s,
        canopy_diameter_m,
        air_mass_ratio: draw.log_between(0.1, 0.6),
        fill_diameters: draw.between(3.0, 8.0),
        open_at_release: draw.between(0.05, 0.7),
    };
    (model, draw.between(8.0, 14.0))
}

/// Length of the stretch within 1 % of the terminal rate, without gusts, swing and logger, s.
fn still_air_steady_s(model: &Model, surroundings: &Surroundings, tower_m: f64) -> f64 {
    let fall = physics::fall(model, surroundings, &Swinging::NONE, tower_m, AirMotion::default);
    physics::settled_s(&fall.speed_m_s, model.rate_m_s).map_or(0.0, |settled_s| fall.ground_s - settled_s)
}

fn draw_logger(class: LoggerClass, draw: &mut Draw) -> Logger {
    let (rate_hz, resolution) = match class {
        LoggerClass::Foot => (10.0, Resolution::Height { step_m: 0.3048 }),
        LoggerClass::Decimetre => (draw.pick(&[10.0, 20.0, 50.0, 100.0]), Resolution::Height { step_m: 0.1 }),
        LoggerClass::Pressure => {
            let step_pa = draw.pick(&[1.0, 2.0, 5.0, 10.0]);
            (draw.pick(&[10.0, 20.0, 50.0, 100.0]), Resolution::Pressure { step_pa })
        }
    };
    let filter = match draw.index(4) {
        0 | 1 => Filter::None,
        2 => Filter::MovingAverage { window_s: draw.log_between(0.1, 0.5) },
        _ => Filter::Lag { time_constant_s: draw.log_between(0.05, 0.3) },
    };
    let low = draw.unit();
    Logger {
        rate_hz,
        resolution,
        filter,
        white_sd_m: draw.log_between(0.03, 0.15),
        port_sd_m: 0.1 * libm::pow(10.0, low * low),
        port_correlation_s: draw.log_between(0.3, 3.0),
        drift_m_per_h: draw.between(-8.0, 8.0),
    }
}

fn draw_gusts(class: GustClass, draw: &mut Draw) -> Gusts {
    let vertical_sd_m_s = match class {
        GustClass::Still => return Gusts::STILL,
        GustClass::Light => draw.between(0.01, 0.1),
        GustClass::Fresh => draw.between(0.1, 0.25),
    };
    Gusts {
        vertical_sd_m_s,
        correlation_s: draw.log_between(0.5, 3.0),
        sideways_sd_m_s: vertical_sd_m_s * draw.between(0.5, 1.5),
    }
}

fn draw_swing(draw: &mut Draw) -> Swing {
    let part = draw.unit();
    let peak_deg = if draw.chance(0.7) { 25.0 * part * part } else { 0.0 };
    let decay_s = draw.between(2.0, 8.0);
    Swing { peak_deg, pendulum_m: draw.between(0.4, 1.5), decay_s: draw.chance(0.5).then_some(decay_s) }
}

fn draw_flaws(drops: usize, draw: &mut Draw) -> Flaws {
    let spikes = if draw.chance(0.15) { 1 + draw.index(3) } else { 0 };
    let gaps = if draw.chance(0.12) { 1 + draw.index(2) } else { 0 };
    let clock_jump = draw.chance(0.06).then(|| {
        if draw.chance(0.5) { ClockJump::Restart } else { ClockJump::Set(draw.between(-30.0, 300.0)) }
    });
    let tangled = (drops >= 3 && draw.chance(0.125)).then(|| (draw.index(drops), draw.between(1.12, 1.3)));
    let starts_in_air = (drops >= 2 && draw.chance(0.04)).then(|| draw.between(0.2, 0.6));
    let ends_in_air = (drops >= 2 && draw.chance(0.04)).then(|| draw.between(0.5, 0.95));
    Flaws { spikes, gaps, clock_jump, tangled, starts_in_air, ends_in_air }
}
