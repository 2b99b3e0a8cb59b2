//! Gusts of seconds: the Dryden form of turbulence near the ground.
//!
//! With h in ft from 10 to 1000 ft, and W the mean wind at 20 ft:
//!
//! - lengths (ft): L_w = h, L_u = L_v = h / (0.177 + 0.000823 h)^1.2;
//! - intensities: σ_w = 0.1 W, σ_u = σ_v = σ_w / (0.177 + 0.000823 h)^0.4.
//!
//! Along the mean wind (u), across it (v) and up (w), one-sided spectra of the wave number Ω (rad/m):
//!
//! - Φ_u = σ_u² (2 L_u/π) / (1 + (L_u Ω)²), so the correlation over a way r is e^(−r/L_u);
//! - Φ_v,w = σ² (L/π) (1 + 3 (L Ω)²) / (1 + (L Ω)²)², so it is e^(−r/L) (1 − r/(2L)).
//!
//! These are drawn exactly for any step: u as one Gauss-Markov process, v and w as two in a row (p′ = −p + white noise, q′ = −q + p
//! over r/L, gust = σ (√3 p + (1 − √3) q)). A step takes the scales at its height, states carry no unit.
//!
//! Source: MIL-F-8785C (1980), 3.7.3.4, seen quoted, not in the original. MIL-HDBK-1797 writes L_v and L_w as twice these with other
//! forms of the same spectra; lengths of the one in forms of the other double the scale.
//!
//! Assumptions and limits: frozen turbulence, met along the way r that the fall makes through the air. The form is made for
//! flight along the wind; along a steep fall the wind's u has the longer correlation of the two horizontal components, which makes
//! drift by gusts rather too large than too small. Below 10 ft the scales of 10 ft hold. From 1000 to 2000 ft lengths go
//! in a straight line to 1750 ft (from memory of the same standard), and above that stay; intensities of 1000 ft are held, as
//! only tables of chance are given there. Not here: thermals, rotors, anything discrete.

use uom::si::length::{foot, meter};
use uom::si::velocity::{knot, meter_per_second};

use crate::maths::{exp, expm1, pow, sqrt};
use crate::quantity::{Length, Velocity};

/// Where the form stands.
pub const SOURCE: &str = "MIL-F-8785C (1980), 3.7.3.4 (quoted)";

/// Heights between which the form holds, ft.
const LOWEST_FT: f64 = 10.0;
const HIGHEST_FT: f64 = 1000.0;
/// From here upwards all lengths are [`LENGTH_ALOFT_FT`].
const ALOFT_FT: f64 = 2000.0;
const LENGTH_ALOFT_FT: f64 = 1750.0;

/// How strong the turbulence is, by the mean wind at 20 ft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// 15 kt.
    Light,
    /// 30 kt.
    Moderate,
    /// 45 kt.
    Severe,
}

impl Severity {
    /// The mean wind at 20 ft that stands for it.
    pub fn wind_at_20_ft(self) -> Velocity {
        Velocity::new::<knot>(match self {
            Severity::Light => 15.0,
            Severity::Moderate => 30.0,
            Severity::Severe => 45.0,
        })
    }
}

/// Lengths and intensities at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// L_u = L_v, m.
    pub horizontal_m: f64,
    /// L_w, m.
    pub vertical_m: f64,
    /// σ_u = σ_v, m/s.
    pub horizontal_m_per_s: f64,
    /// σ_w, m/s.
    pub vertical_m_per_s: f64,
}

/// The scales at a height above the ground, for a mean wind at 20 ft.
///
/// # Examples
/// ```
/// use silkfall_core::quantity::Length;
/// use silkfall_core::wind::dryden::{Severity, scales};
/// use uom::si::length::foot;
///
/// let at = scales(Length::new::<foot>(1000.0), Severity::Light.wind_at_20_ft());
/// // 0.177 + 0.823 = 1: every length is 1000 ft, every intensity a tenth of 15 kt.
/// assert!((at.horizontal_m - 304.8).abs() < 1e-9 && (at.vertical_m - 304.8).abs() < 1e-9);
/// assert!((at.horizontal_m_per_s - at.vertical_m_per_s).abs() < 1e-12);
/// ```
pub fn scales(height: Length, wind_at_20_ft: Velocity) -> Scales {
    let height_ft = height.get::<foot>();
    let low_ft = height_ft.clamp(LOWEST_FT, HIGHEST_FT);
    let base = 0.177 + 0.000_823 * low_ft;
    let aloft = ((height_ft - HIGHEST_FT) / (ALOFT_FT - HIGHEST_FT)).clamp(0.0, 1.0);
    let length_m =
        |low_ft: f64| Length::new::<foot>(low_ft + aloft * (LENGTH_ALOFT_FT - low_ft)).get::<meter>();
    let vertical_m_per_s = 0.1 * wind_at_20_ft.get::<meter_per_second>();
    Scales {
        horizontal_m: length_m(low_ft / pow(base, 1.2)),
        vertical_m: length_m(low_ft),
        horizontal_m_per_s: vertical_m_per_s / pow(base, 0.4),
        vertical_m_per_s,
    }
}

/// A gust: what is added to the mean wind, m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gust {
    /// The way the mean wind goes.
    pub along_m_per_s: f64,
    /// To the left of that.
    pub across_m_per_s: f64,
    /// Up.
    pub up_m_per_s: f64,
}

impl Gust {
    /// The gust in m/s towards east, north and up, where the mean wind is `wind_m_per_s` (east, north); in still air along
    /// is east.
    pub fn components(&self, wind_m_per_s: [f64; 2]) -> [f64; 3] {
        let [east, north] = wind_m_per_s;
        let speed = sqrt(east * east + north * north);
        let [cosine, sine] = if speed > 0.0 { [east / speed, north / speed] } else { [1.0, 0.0] };
        [
            cosine * self.along_m_per_s - sine * self.across_m_per_s,
            sine * self.along_m_per_s + cosine * self.across_m_per_s,
            self.up_m_per_s,
        ]
    }
}

/// The state of a transverse component: two processes in a row, in units in which the gust has the variance 1.
#[derive(Clone, Copy, Debug)]
struct Transverse {
    p: f64,
    q: f64,
}

/// Stationary var p; cov pq and var q are half of it. From ∫₀^∞ e^(−2x) (1, x, x²) dx = 1/2, 1/4, 1/4.
const VAR_P: f64 = 0.5;
const COV_PQ: f64 = 0.25;
const VAR_Q: f64 = 0.25;

impl Transverse {
    /// A state with the covariance given, from two normals.
    fn drawn(var_p: f64, cov: f64, var_q: f64, normals: [f64; 2]) -> Transverse {
        let sd_p = sqrt(var_p);
        let share = if sd_p > 0.0 { cov / sd_p } else { 0.0 };
        // What rounding leaves of a difference of like terms may be below 0 for the smallest steps.
        let rest = sqrt((var_q - share * share).max(0.0));
        Transverse { p: sd_p * normals[0], q: share * normals[0] + rest * normals[1] }
    }

    fn stationary(normals: [f64; 2]) -> Transverse {
        Transverse::drawn(VAR_P, COV_PQ, VAR_Q, normals)
    }

    /// After a way of `x` lengths. The noise is ∫₀ˣ e^(−2s) (1, s, s²) ds.
    fn after(self, x: f64, normals: [f64; 2]) -> Transverse {
        let (fade, fade_twice) = (exp(-x), exp(-2.0 * x));
        let var_p = -expm1(-2.0 * x) / 2.0;
        let cov = COV_PQ - fade_twice * (x / 2.0 + COV_PQ);
        let var_q = VAR_Q - fade_twice * (x * x / 2.0 + x / 2.0 + VAR_Q);
        let noise = Transverse::drawn(var_p, cov, var_q, normals);
        Transverse { p: fade * self.p + noise.p, q: fade * (self.q + x * self.p) + noise.q }
    }

    fn gust(self) -> f64 {
        let root = sqrt(3.0);
        root * self.p + (1.0 - root) * self.q
    }
}

/// Gusts along one fall.
#[derive(Clone, Copy, Debug)]
pub struct Gusts {
    along: f64,
    across: Transverse,
    up: Transverse,
}

/// Standard normals that a [`Gusts`] takes at its start and at each step.
pub const NORMALS: usize = 5;

impl Gusts {
    /// At the start of a fall, in gusts that have always been there; takes [`NORMALS`] standard normals.
    pub fn start(normals: [f64; NORMALS]) -> Gusts {
        let [a, b, c, d, e] = normals;
        Gusts { along: a, across: Transverse::stationary([b, c]), up: Transverse::stationary([d, e]) }
    }

    /// The same after a way of `way_m` through the air, in turbulence of those scales.
    #[must_use]
    pub fn after(self, way_m: f64, scales: &Scales, normals: [f64; NORMALS]) -> Gusts {
        let [a, b, c, d, e] = normals;
        let (x, x_up) = (way_m / scales.horizontal_m, way_m / scales.vertical_m);
        Gusts {
            along: exp(-x) * self.along + sqrt(-expm1(-2.0 * x)) * a,
            across: self.across.after(x, [b, c]),
            up: self.up.after(x_up, [d, e]),
        }
    }

    /// The gust in turbulence of those scales.
    pub fn gust(&self, scales: &Scales) -> Gust {
        Gust {
            along_m_per_s: scales.horizontal_m_per_s * self.along,
            across_m_per_s: scales.horizontal_m_per_s * self.across.gust(),
            up_m_per_s: scales.vertical_m_per_s * self.up.gust(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::stream::Stream;
    use outside_check::check;
    use uom::si::velocity::foot_per_second;

    const TRIALS: u64 = 40_000;

    /// L_u, σ_u in ft and ft/s in light turbulence.
    fn at_ft(height_ft: f64) -> (Scales, f64, f64, f64) {
        let at = scales(Length::new::<foot>(height_ft), Severity::Light.wind_at_20_ft());
        let ft = |m: f64| m / 0.3048;
        (at, ft(at.horizontal_m), ft(at.horizontal_m_per_s), ft(at.vertical_m_per_s))
    }

    #[test]
    fn lengths_and_intensities_are_as_tabulated() {
        let against = "MIL-F-8785C 3.7.3.4, low altitude, computed independently from the stated formula";
        let because = "half a unit of the last digit";
        assert!((Severity::Light.wind_at_20_ft().get::<foot_per_second>() - 25.3172).abs() < 1e-4);
        check! {
            area: "wind", what: "Dryden length of the horizontal gusts at 20, 100, 164.04, 500, 1000 ft, ft",
            against: against, leg: Closed,
            rows: [(20.0, 143.59), (100.0, 505.17), (164.04, 663.68), (500.0, 944.66), (1000.0, 1000.0)]
                .map(|(height, want)| (height, at_ft(height).1, want)),
            within: 5e-3, because: because,
        }
        check! {
            area: "wind", what: "Dryden intensity of the horizontal gusts at 20, 164.04, 500 ft in 15 kt, ft/s",
            against: against, leg: Closed,
            rows: [(20.0, 4.8840), (164.04, 4.0341), (500.0, 3.1298)].map(|(height, want)| (height, at_ft(height).2, want)),
            within: 5e-5, because: because,
        }
        check! {
            area: "wind", what: "Dryden intensity of the vertical gusts in 15 kt, ft/s; horizontal over vertical at 100 and 1000 ft",
            against: against, leg: Closed,
            rows: [
                ("vertical", at_ft(20.0).3, 2.5317),
                ("100 ft", at_ft(100.0).2 / at_ft(100.0).3, 1.7158),
                ("1000 ft", at_ft(1000.0).2 / at_ft(1000.0).3, 1.0),
            ],
            within: 5e-5, because: because,
        }
    }

    #[test]
    fn outside_the_form_scales_are_held_or_go_to_those_aloft() {
        assert_eq!(at_ft(3.0).0, at_ft(10.0).0);
        assert!((at_ft(1500.0).1 - 1375.0).abs() < 1e-9);
        let aloft = at_ft(9000.0).0;
        assert!(
            (aloft.horizontal_m - 1750.0 * 0.3048).abs() < 1e-9
                && (aloft.vertical_m - 1750.0 * 0.3048).abs() < 1e-9
        );
        assert!((aloft.horizontal_m_per_s - at_ft(1000.0).0.horizontal_m_per_s).abs() < 1e-12);
    }

    /// A stationary state stays stationary over steps of any size: Φ P Φᵀ + Q = P, by variances and gusts.
    #[test]
    fn gusts_have_the_variance_and_correlation_of_the_spectra() {
        let (at, _, _, _) = at_ft(200.0);
        // One step, and three of it: exact for any step.
        let ways_m = [0.02, 0.3, 1.0].map(|lengths| lengths * at.vertical_m);
        let mut products = vec![[[0.0; 2]; 3]; ways_m.len()];
        for trial in 0..TRIALS {
            let mut stream = Stream::new(20_261_125, trial);
            let mut normals = || std::array::from_fn(|_| stream.normal());
            for (way_m, product) in ways_m.iter().zip(&mut products) {
                let start = Gusts::start(normals());
                let end = (0..3).fold(start, |gusts, _| gusts.after(way_m / 3.0, &at, normals()));
                let parts = |gusts: Gusts| {
                    let gust = gusts.gust(&at);
                    [
                        gust.along_m_per_s / at.horizontal_m_per_s,
                        gust.across_m_per_s / at.horizontal_m_per_s,
                        gust.up_m_per_s / at.vertical_m_per_s,
                    ]
                };
                for (sum, (a, b)) in product.iter_mut().zip(parts(start).into_iter().zip(parts(end))) {
                    sum[0] += b * b / TRIALS as f64;
                    sum[1] += a * b / TRIALS as f64;
                }
            }
        }
        let error = sqrt(2.0 / TRIALS as f64);
        let names = ["along", "across", "up"];
        let mut variances = Vec::new();
        let mut correlations = Vec::new();
        for (way_m, product) in ways_m.iter().zip(&products) {
            for (axis, [variance, correlation]) in product.iter().enumerate() {
                let x = way_m / if axis == 2 { at.vertical_m } else { at.horizontal_m };
                let want = if axis == 0 { exp(-x) } else { exp(-x) * (1.0 - x / 2.0) };
                let label = format!("{} {way_m:.0} m", names[axis]);
                variances.push((label.clone(), *variance, 1.0));
                correlations.push((label, *correlation, want));
            }
        }
        check! {
            area: "wind", what: "variance of drawn gusts after three steps over sigma squared, 40 000 falls",
            against: "the intensities of the spectra", leg: Closed,
            rows: variances, within: 4.0 * error, because: "4 standard errors of a variance, sqrt(2/N)",
        }
        check! {
            area: "wind", what: "correlation of drawn gusts over a way, 40 000 falls",
            against: "exp(-r/L) along, exp(-r/L)(1 - r/2L) across and up (the spectra transformed)", leg: Closed,
            rows: correlations, within: 4.0 * error, because: "4 standard errors of a variance, sqrt(2/N)",
        }
    }

    #[test]
    fn noise_of_a_step_keeps_the_stationary_covariance() {
        for x in [1e-6, 1e-3, 0.1, 1.0, 7.0] {
            let from_p = Transverse { p: 1.0, q: 0.0 }.after(x, [0.0; 2]);
            let from_q = Transverse { p: 0.0, q: 1.0 }.after(x, [0.0; 2]);
            let (first, second) = (
                Transverse { p: 0.0, q: 0.0 }.after(x, [1.0, 0.0]),
                Transverse { p: 0.0, q: 0.0 }.after(x, [0.0, 1.0]),
            );
            let carried =
                |a: f64, b: f64, c: f64, d: f64| VAR_P * a * c + COV_PQ * (a * d + b * c) + VAR_Q * b * d;
            let (p, q) = ((from_p.p, from_q.p), (from_p.q, from_q.q));
            let var_p = carried(p.0, p.1, p.0, p.1) + first.p * first.p + second.p * second.p;
            let cov = carried(p.0, p.1, q.0, q.1) + first.p * first.q + second.p * second.q;
            let var_q = carried(q.0, q.1, q.0, q.1) + first.q * first.q + second.q * second.q;
            for (got, want) in [(var_p, VAR_P), (cov, COV_PQ), (var_q, VAR_Q)] {
                assert!((got - want).abs() < 1e-12, "{x}: {got} {want}");
            }
        }
        // No way, no change: the gust is still the same one.
        let (at, _, _, _) = at_ft(200.0);
        let start = Gusts::start([0.3, -1.0, 0.4, 2.0, 0.1]);
        assert_eq!(start.after(0.0, &at, [1.0; NORMALS]).gust(&at), start.gust(&at));
    }

    #[test]
    fn a_gust_is_turned_with_the_mean_wind() {
        let gust = Gust { along_m_per_s: 2.0, across_m_per_s: 1.0, up_m_per_s: -0.5 };
        for (wind, want) in [([0.0, 3.0], [-1.0, 2.0, -0.5]), ([0.0, 0.0], [2.0, 1.0, -0.5])] {
            let got = gust.components(wind);
            // Along is north, its left is west; in still air along is east.
            assert!(got.iter().zip(want).all(|(got, want)| (got - want).abs() < 1e-12), "{got:?}");
        }
    }
}
