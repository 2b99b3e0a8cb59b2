//! One fall under a canopy, from letting go to the ground, on a fixed step of 4 ms.
//!
//! With v the descent speed, w the air's downward motion, u = v - w, m the mass of all that descends and a(s) the
//! air that the canopy carries, the momentum P = m v + a u (kg m/s) obeys
//!
//! dP/dt = m g - ½ ρ D(s) sqrt(u² + side²) u,   dh/dt = -v,
//!
//! which is (m + a) dv/dt = m g - (da/dt) v - ½ ρ D v |v| in still air, and needs no derivative of a gust.
//! The share s of the full drag area grows with the distance fallen, s = s0 + (1 - s0)(x/x_f)² up to x_f (a fill
//! distance in nominal diameters), and the carried air with its power 3/2 (volume over area). D follows from the
//! stated rate: D = 2 m g/(ρ v²). Classical fourth-order Runge-Kutta; gusts are linear within a step.
//!
//! A load that swings by the angle θ under a pendulum of length L lifts the logger by L (1 - cos θ); the tilt lets
//! the system through the air a little faster when it is largest: the drag area is D (1 - 3/2 ε² (1 - G))/(1 + ε cos 2φ)²
//! with ε = θ0²/4 (twice the share that cos² θ takes) and G = 1/(1 + (2ωT)²), T = (1 + a) v/2g the time in which the
//! speed answers; the bracket keeps the mean rate at v to second order in ε (balance of the mean drag over a swing). **The true rate is thus the time mean in still air of the steadily falling system,
//! swing included**; what the still-decaying swing and sideways wind do to the mean is error, not truth.
//!
//! Range: rates 2 to 10 m/s, falls to some 20 m (constant density). Not modelled: glide, canopy breathing, the shape
//! of the drag area against the load's inclination, buoyancy.

use crate::gusts::AirMotion;

/// Step of the integration, s.
pub(crate) const STEP_S: f64 = 0.004;
/// A fall that has not met the ground after so long is a mistake in the options.
const LONGEST_FALL_S: f64 = 60.0;
/// A rate counts as steady within this share of the terminal rate.
pub(crate) const STEADY_WITHIN: f64 = 0.01;

/// What falls, all at its still-air terminal rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Model {
    /// All that descends, kg.
    pub mass_kg: f64,
    /// True still-air rate under the full canopy, m/s: the time mean of the steadily falling system.
    pub rate_m_s: f64,
    /// Nominal diameter of a canopy, m; it scales the fill distance.
    pub canopy_diameter_m: f64,
    /// Air carried by the full canopy over the model's mass; 0.1 to 0.6 in the coverage table.
    pub air_mass_ratio: f64,
    /// Distance over which the canopy fills, nominal diameters.
    pub fill_diameters: f64,
    /// Share of the full drag area at letting go, 0 to 1: a canopy hung by its crown is half open already.
    pub open_at_release: f64,
}

/// The air a model falls through and the pull on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Air density, kg/m³.
    pub density_kg_m3: f64,
    /// Gravity, m/s².
    pub gravity_m_s2: f64,
}

impl Model {
    /// Drag area of the full canopy, m²: D = 2 m g/(ρ v²).
    pub fn drag_area_m2(&self, surroundings: &Surroundings) -> f64 {
        2.0 * self.mass_kg * surroundings.gravity_m_s2
            / (surroundings.density_kg_m3 * self.rate_m_s * self.rate_m_s)
    }

    fn open_share(&self, fallen_m: f64) -> f64 {
        let fill_m = self.fill_diameters * self.canopy_diameter_m;
        if fallen_m >= fill_m {
            return 1.0;
        }
        let part = fallen_m.max(0.0) / fill_m;
        self.open_at_release + (1.0 - self.open_at_release) * part * part
    }
}

/// How the load swings during one fall. The swing grows from nothing within about half a second of letting go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Swinging {
    pub(crate) peak_rad: f64,
    pub(crate) pendulum_m: f64,
    pub(crate) decay_s: Option<f64>,
    pub(crate) phase_rad: f64,
}

impl Swinging {
    pub(crate) const NONE: Self = Self { peak_rad: 0.0, pendulum_m: 1.0, decay_s: None, phase_rad: 0.0 };

    /// Lift of the logger in metres and the factor on the drag area, at a time since letting go; `answer_s` is the
    /// time in which the speed answers to a change of drag.
    fn at(&self, time_s: f64, gravity_m_s2: f64, answer_s: f64) -> (f64, f64) {
        if self.peak_rad <= 0.0 {
            return (0.0, 1.0);
        }
        let decayed = self.decay_s.map_or(1.0, |decay_s| libm::exp(-time_s / decay_s));
        let amplitude = self.peak_rad * decayed * (1.0 - libm::exp(-time_s / 0.25));
        let turning_per_s = (gravity_m_s2 / self.pendulum_m).sqrt();
        let phase = turning_per_s * time_s + self.phase_rad;
        let angle = amplitude * libm::cos(phase);
        let lift_m = self.pendulum_m * (1.0 - libm::cos(angle));
        let depth = 0.25 * amplitude * amplitude;
        let followed = 1.0 / (1.0 + libm::pow(2.0 * turning_per_s * answer_s, 2.0));
        let faster = 1.0 + depth * libm::cos(2.0 * phase);
        (lift_m, (1.0 - 1.5 * depth * depth * (1.0 - followed)) / (faster * faster))
    }
}

/// One fall on the fixed step; the last node is the ground.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fall {
    /// Height of the logger above ground at k [`STEP_S`], m; the last one, 0, is at `ground_s`.
    pub(crate) height_m: Vec<f64>,
    /// Descent speed of the system (without the load's swing), m/s.
    pub(crate) speed_m_s: Vec<f64>,
    /// The air met, each step.
    pub(crate) air: Vec<AirMotion>,
    /// Time from letting go to full drag area, s; `None` if the ground came first.
    pub(crate) filled_s: Option<f64>,
    /// Time from letting go to the ground, s.
    pub(crate) ground_s: f64,
}

#[derive(Clone, Copy)]
struct State {
    fallen_m: f64,
    momentum: f64,
}

struct Kernel<'a> {
    model: &'a Model,
    surroundings: &'a Surroundings,
    swinging: &'a Swinging,
    drag_area_m2: f64,
}

impl Kernel<'_> {
    fn swing(&self, time_s: f64) -> (f64, f64) {
        let gravity_m_s2 = self.surroundings.gravity_m_s2;
        let answer_s = (1.0 + self.model.air_mass_ratio) * self.model.rate_m_s / (2.0 * gravity_m_s2);
        self.swinging.at(time_s, gravity_m_s2, answer_s)
    }

    fn carried_kg(&self, fallen_m: f64) -> f64 {
        let share = self.model.open_share(fallen_m);
        self.model.air_mass_ratio * self.model.mass_kg * share * share.sqrt()
    }

    fn speed(&self, state: State, air: AirMotion) -> f64 {
        let carried = self.carried_kg(state.fallen_m);
        (state.momentum + carried * air.down_m_s) / (self.model.mass_kg + carried)
    }

    fn slope(&self, swing_factor: f64, state: State, air: AirMotion) -> State {
        let speed = self.speed(state, air);
        let relative = speed - air.down_m_s;
        let airspeed = (relative * relative + air.sideways_m_s * air.sideways_m_s).sqrt();
        let area = self.drag_area_m2 * self.model.open_share(state.fallen_m) * swing_factor;
        let drag = 0.5 * self.surroundings.density_kg_m3 * area * airspeed * relative;
        let weight = self.model.mass_kg * self.surroundings.gravity_m_s2;
        State { fallen_m: speed, momentum: weight - drag }
    }

    /// One step; `swing_factors` on the drag area at its start, middle and end.
    fn step(&self, swing_factors: [f64; 3], state: State, from: AirMotion, to: AirMotion) -> State {
        let middle = AirMotion {
            down_m_s: 0.5 * (from.down_m_s + to.down_m_s),
            sideways_m_s: 0.5 * (from.sideways_m_s + to.sideways_m_s),
        };
        let half = 0.5 * STEP_S;
        let ahead = |slope: State, step_s: f64| State {
            fallen_m: state.fallen_m + step_s * slope.fallen_m,
            momentum: state.momentum + step_s * slope.momentum,
        };
        let a = self.slope(swing_factors[0], state, from);
        let b = self.slope(swing_factors[1], ahead(a, half), middle);
        let c = self.slope(swing_factors[1], ahead(b, half), middle);
        let d = self.slope(swing_factors[2], ahead(c, STEP_S), to);
        let mean = State {
            fallen_m: (a.fallen_m + 2.0 * (b.fallen_m + c.fallen_m) + d.fallen_m) / 6.0,
            momentum: (a.momentum + 2.0 * (b.momentum + c.momentum) + d.momentum) / 6.0,
        };
        ahead(mean, STEP_S)
    }
}

/// Lets a model go at rest at a height; `air` gives the air's motion at letting go and then after each step.
///
/// # Panics
/// If the ground is not reached within a minute: the options describe no fall.
pub(crate) fn fall(
    model: &Model,
    surroundings: &Surroundings,
    swinging: &Swinging,
    release_height_m: f64,
    mut air: impl FnMut() -> AirMotion,
) -> Fall {
    let drag_area_m2 = model.drag_area_m2(surroundings);
    let kernel = Kernel { model, surroundings, swinging, drag_area_m2 };
    let mut now = air();
    // At rest in moving air the carried air already has momentum relative to the ground's frame: P = a (0 - w).
    let mut state = State { fallen_m: 0.0, momentum: -kernel.carried_kg(0.0) * now.down_m_s };
    let fill_m = model.fill_diameters * model.canopy_diameter_m;
    let mut out = Fall {
        height_m: vec![release_height_m],
        speed_m_s: vec![0.0],
        air: vec![now],
        filled_s: (fill_m <= 0.0).then_some(0.0),
        ground_s: 0.0,
    };
    let mut time_s = 0.0;
    let (_, mut factor) = kernel.swing(time_s);
    loop {
        assert!(time_s < LONGEST_FALL_S, "a fall from {release_height_m} m has not ended after {time_s} s");
        let next = air();
        let (_, factor_middle) = kernel.swing(time_s + 0.5 * STEP_S);
        let (lift_m, factor_end) = kernel.swing(time_s + STEP_S);
        state = kernel.step([factor, factor_middle, factor_end], state, now, next);
        factor = factor_end;
        now = next;
        let height_before = out.height_m[out.height_m.len() - 1];
        let height = release_height_m - state.fallen_m + lift_m;
        if out.filled_s.is_none() && state.fallen_m >= fill_m {
            out.filled_s = Some(time_s + STEP_S);
        }
        out.air.push(now);
        out.speed_m_s.push(kernel.speed(state, now));
        if height <= 0.0 {
            out.ground_s = time_s + STEP_S * height_before / (height_before - height);
            out.height_m.push(0.0);
            return out;
        }
        out.height_m.push(height);
        time_s += STEP_S;
    }
}

/// The time from which on a speed stays within 1 % of the terminal rate, s from letting go, or `None` if never;
/// `speeds_m_s` stand [`STEP_S`] apart.
pub(crate) fn settled_s(speeds_m_s: &[f64], rate_m_s: f64) -> Option<f64> {
    let last_off = speeds_m_s.iter().rposition(|speed| (speed / rate_m_s - 1.0).abs() > STEADY_WITHIN);
    let first_steady = last_off.map_or(0, |index| index + 1);
    (first_steady < speeds_m_s.len()).then_some(first_steady as f64 * STEP_S)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::{Draw, Purpose};
    use crate::gusts::{Gusts, MovingAir};

    const SURROUNDINGS: Surroundings = Surroundings { density_kg_m3: 1.2, gravity_m_s2: 9.8 };
    const BARE: Model = Model {
        mass_kg: 0.3,
        rate_m_s: 4.0,
        canopy_diameter_m: 0.6,
        air_mass_ratio: 0.0,
        fill_diameters: 0.0,
        open_at_release: 1.0,
    };

    fn still() -> AirMotion {
        AirMotion::default()
    }

    #[test]
    fn constant_drag_follows_the_closed_form() {
        // Closed form of m dv/dt = m g - c v²: v = vt tanh(g t/vt), x = vt²/g ln cosh(g t/vt).
        let fall = fall(&BARE, &SURROUNDINGS, &Swinging::NONE, 12.0, still);
        for (k, (speed, height)) in fall.speed_m_s.iter().zip(&fall.height_m).enumerate() {
            if k + 1 == fall.height_m.len() {
                break;
            }
            let reduced = 9.8 * k as f64 * STEP_S / 4.0;
            assert!((speed - 4.0 * reduced.tanh()).abs() < 1e-9);
            assert!((12.0 - height - 16.0 / 9.8 * reduced.cosh().ln()).abs() < 1e-9);
        }
        let exact_ground = 4.0 / 9.8 * (12.0 * 9.8 / 16.0_f64).exp().acosh();
        assert!((fall.ground_s - exact_ground).abs() < 1e-5, "{} {exact_ground}", fall.ground_s);
    }

    #[test]
    fn carried_air_slows_the_settling_by_its_share_and_leaves_the_terminal_rate() {
        // With constant added air the closed form has g/(1 + a) in place of g and the same terminal rate.
        let model = Model { air_mass_ratio: 0.4, ..BARE };
        let fall = fall(&model, &SURROUNDINGS, &Swinging::NONE, 12.0, still);
        let k = 100;
        let reduced = 9.8 / 1.4 * k as f64 * STEP_S / 4.0;
        assert!((fall.speed_m_s[k] - 4.0 * reduced.tanh()).abs() < 1e-9);
        assert!((fall.speed_m_s[fall.speed_m_s.len() - 1] / 4.0 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn momentum_and_energy_balance_while_the_canopy_fills() {
        // Impulse of weight and drag, by the trapezoidal rule, equals the momentum of model and carried air.
        let model = Model { air_mass_ratio: 0.5, fill_diameters: 8.0, open_at_release: 0.1, ..BARE };
        let fall = fall(&model, &SURROUNDINGS, &Swinging::NONE, 12.0, still);
        let force = |k: usize| {
            let fallen = 12.0 - fall.height_m[k];
            let area = model.drag_area_m2(&SURROUNDINGS) * model.open_share(fallen);
            0.3 * 9.8 - 0.6 * area * fall.speed_m_s[k] * fall.speed_m_s[k]
        };
        let last = fall.height_m.len() - 2;
        let impulse: f64 = (0..last).map(|k| 0.5 * STEP_S * (force(k) + force(k + 1))).sum();
        let share = model.open_share(12.0 - fall.height_m[last]);
        let momentum = 0.3 * (1.0 + 0.5 * share.powf(1.5)) * fall.speed_m_s[last];
        assert!((impulse - momentum).abs() < 2e-4 * momentum, "{impulse} {momentum}");
        let filled = fall.filled_s.unwrap();
        let at_fill = fall.height_m[(filled / STEP_S).round() as usize];
        assert!((12.0 - at_fill - 4.8).abs() < 0.03, "filled after 8 diameters: {at_fill}");
    }

    #[test]
    fn a_filling_fall_agrees_with_an_independent_integrator() {
        // tests/reference/fall.py: scipy's DOP853 on the equation for the speed. A fixed step of 4 ms that runs across
        // the end of filling, where the drag area's slope jumps, leaves errors of the order of 1e-6.
        let cases = [
            (0.22, 3.2, 0.6, 0.3, 8.0, 0.10),
            (0.40, 4.5, 0.5, 0.6, 5.0, 0.40),
            (0.10, 2.5, 0.4, 0.1, 3.0, 0.70),
        ];
        let mut compared = 0;
        for line in include_str!("../tests/reference/fall.csv").lines().skip(1) {
            let row: Vec<f64> = line.split(',').map(|field| field.parse().unwrap()).collect();
            let (mass_kg, rate_m_s, canopy_diameter_m, air_mass_ratio, fill_diameters, open_at_release) =
                cases[row[0] as usize];
            let model = Model {
                mass_kg,
                rate_m_s,
                canopy_diameter_m,
                air_mass_ratio,
                fill_diameters,
                open_at_release,
            };
            let fall = fall(&model, &SURROUNDINGS, &Swinging::NONE, 14.0, still);
            let k = (row[1] / STEP_S).round() as usize;
            assert!((14.0 - fall.height_m[k] - row[2]).abs() < 2e-6, "{line}: {}", 14.0 - fall.height_m[k]);
            assert!((fall.speed_m_s[k] - row[3]).abs() < 2e-5, "{line}: {}", fall.speed_m_s[k]);
            compared += 1;
        }
        assert_eq!(compared, 24);
    }

    #[test]
    fn steady_air_carries_the_model_whole() {
        let air = || AirMotion { down_m_s: 0.2, sideways_m_s: 0.0 };
        let fall = fall(&BARE, &SURROUNDINGS, &Swinging::NONE, 20.0, air);
        assert!((fall.speed_m_s[fall.speed_m_s.len() - 1] - 4.2).abs() < 1e-4);
    }

    #[test]
    fn sideways_wind_slows_the_descent_to_one_side() {
        // Exact: w sqrt(w² + u²) = v²; near w = v (1 - u²/4v²).
        let air = || AirMotion { down_m_s: 0.0, sideways_m_s: 0.8 };
        let fall = fall(&BARE, &SURROUNDINGS, &Swinging::NONE, 20.0, air);
        let speed = fall.speed_m_s[fall.speed_m_s.len() - 1];
        assert!((speed * (speed * speed + 0.64).sqrt() - 16.0).abs() < 1e-3);
        assert!((speed - 4.0 * (1.0 - 0.64 / 64.0)).abs() < 1e-3);
    }

    #[test]
    fn a_sustained_swing_keeps_the_mean_rate() {
        // The widest swing, 25°, over whole swings late in a long fall, slow and fast. What is left is of third order
        // in ε = 0.048, that is 1e-4, and the rounding of the span to whole steps.
        for (pendulum_m, air_mass_ratio) in [(0.5, 0.6), (1.0, 0.0), (3.0, 0.3)] {
            let peak_rad = 25_f64.to_radians();
            let swinging = Swinging { peak_rad, pendulum_m, decay_s: None, phase_rad: 0.7 };
            let model = Model { air_mass_ratio, ..BARE };
            let fall = fall(&model, &SURROUNDINGS, &swinging, 120.0, still);
            let period_s = 2.0 * std::f64::consts::PI * (pendulum_m / 9.8_f64).sqrt();
            let from = (5.0 / STEP_S) as usize;
            let span = (6.0 * period_s / STEP_S).round();
            let mean = (fall.height_m[from] - fall.height_m[from + span as usize]) / (span * STEP_S);
            assert!((mean / 4.0 - 1.0).abs() < 2e-4, "mean rate {mean} with a pendulum of {pendulum_m} m");
        }
    }

    #[test]
    fn gusts_move_the_rate_by_their_mean() {
        // Over many seeds the mean speed late in the fall is the still-air rate within 4 standard errors.
        let gusts = Gusts { vertical_sd_m_s: 0.2, correlation_s: 1.0, sideways_sd_m_s: 0.0 };
        let count = 200;
        let speeds: Vec<f64> = (0..count)
            .map(|seed| {
                let mut draw = Draw::new(seed, Purpose::Air);
                let mut air = MovingAir::new(&gusts, 0.0, STEP_S, &mut draw);
                let fall = fall(&BARE, &SURROUNDINGS, &Swinging::NONE, 12.0, || air.step());
                fall.speed_m_s[fall.speed_m_s.len() - 2]
            })
            .collect();
        let mean = speeds.iter().sum::<f64>() / count as f64;
        assert!((mean - 4.0).abs() < 4.0 * 0.2 / (count as f64).sqrt(), "{mean}");
        let spread = speeds.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (count - 1) as f64;
        assert!(spread.sqrt() > 0.12 && spread.sqrt() < 0.21, "{}", spread.sqrt());
    }

    #[test]
    fn settling_is_the_last_time_off_by_a_hundredth() {
        let speeds = [0.0, 3.0, 4.1, 4.03, 3.99, 4.0];
        assert_eq!(settled_s(&speeds, 4.0), Some(3.0 * STEP_S));
        assert_eq!(settled_s(&[1.0, 2.0], 4.0), None);
    }
}
