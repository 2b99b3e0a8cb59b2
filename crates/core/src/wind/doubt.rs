//! How the wind of one flight may differ from the one that was read or forecast.
//!
//! w(z) = e^(s ξ) R(t η) w₀(z) + e(z)
//!
//! s: relative doubt of all speeds together, t: doubt of all directions together (R turns clockwise), e(z): an error at
//! each height, east and north each by itself and alike, normal with the standard deviation σ (m/s) and the correlation
//! exp(−|z − z′|/L) over height. ξ, η and what drives e are standard normals, given by the caller, so that a trial can
//! be repeated. The factor is log-normal: no draw turns the wind round.
//!
//! e is drawn exactly at nodes L/4 apart, by e(z + d) = ρ e(z) + σ √(1 − ρ²) ξ with ρ = exp(−d/L), and is straight between
//! them: a little too smooth halfway (94 % of σ), while the drift that it makes is right to 0.5 % (tested).
//!
//! Source: none published for s, t, σ and L; they are the user's or a judgement that says so. The process is the
//! stationary Gauss-Markov process of any textbook.

use uom::si::angle::radian;

use super::{Level, Profile};
use crate::maths::{exp, sqrt};
use crate::quantity::Angle;

/// The doubt of a wind in one flight, as standard uncertainties.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// s, of all speeds together, as a share.
    pub speed_relative: f64,
    /// t, of all directions together.
    pub direction: Angle,
    /// σ, of each component at each height, m/s.
    pub level_m_per_s: f64,
    /// L, over which errors at heights are correlated, m. Below 40 m it is taken as 40 m.
    pub level_correlation_m: f64,
}

/// Nodes are never nearer than this, m: errors that change faster average out in any fall.
const NEAREST_NODES_M: f64 = 10.0;

impl Doubt {
    /// How far apart the nodes of the error by height are, m.
    fn spacing_m(&self) -> f64 {
        (self.level_correlation_m / 4.0).max(NEAREST_NODES_M)
    }

    /// The error by height alone, from the ground to `up_to_m`. Takes two normals a node, east first, from the ground up.
    fn by_level(&self, up_to_m: f64, mut normal: impl FnMut() -> f64) -> Profile {
        let spacing_m = self.spacing_m();
        let correlation = exp(-spacing_m / (4.0 * NEAREST_NODES_M).max(self.level_correlation_m));
        let fresh = self.level_m_per_s * sqrt(1.0 - correlation * correlation);
        let mut level = Level {
            height_m: 0.0,
            east_m_per_s: self.level_m_per_s * normal(),
            north_m_per_s: self.level_m_per_s * normal(),
        };
        let mut levels = Vec::with_capacity((up_to_m / spacing_m) as usize + 2);
        levels.push(level);
        while level.height_m < up_to_m {
            level = Level {
                height_m: level.height_m + spacing_m,
                east_m_per_s: correlation * level.east_m_per_s + fresh * normal(),
                north_m_per_s: correlation * level.north_m_per_s + fresh * normal(),
            };
            levels.push(level);
        }
        Profile::ascending(levels)
    }
}

/// The wind of one flight: `profile` with one draw of its doubt, to the height `up_to_m` of the fall and beyond.
///
/// Takes standard normals in a fixed order: speed, turn, and where errors by height are in doubt two for each of
/// their nodes. The number of them depends on `up_to_m`, so give the wind a stream of its own or draw it last.
///
/// # Examples
/// ```
/// use silkfall_core::quantity::Angle;
/// use silkfall_core::wind::{Doubt, Profile, perturbed};
/// use uom::si::angle::degree;
///
/// let doubt = Doubt {
///     speed_relative: 0.1,
///     direction: Angle::new::<degree>(90.0),
///     level_m_per_s: 0.0,
///     level_correlation_m: 1000.0,
/// };
/// // One standard deviation up: e^0.1 times as strong and turned clockwise by 90°.
/// let wind = perturbed(&Profile::uniform([5.0, 0.0]), &doubt, 300.0, || 1.0);
/// let [east, north] = wind.at(100.0);
/// assert!(east.abs() < 1e-12 && (north + 5.0 * 0.1_f64.exp()).abs() < 1e-12);
/// ```
pub fn perturbed(profile: &Profile, doubt: &Doubt, up_to_m: f64, mut normal: impl FnMut() -> f64) -> Profile {
    let factor = exp(doubt.speed_relative * normal());
    let clockwise = Angle::new::<radian>(doubt.direction.get::<radian>() * normal());
    let shared = profile.turned_and_scaled(clockwise, factor);
    if doubt.level_m_per_s > 0.0 {
        shared.plus(&doubt.by_level(up_to_m.max(profile.top_m()), normal))
    } else {
        shared
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::stream::Stream;
    use outside_check::check;
    use uom::si::angle::degree;

    const SEED: u64 = 20_261_125;
    const TRIALS: u64 = 20_000;

    fn doubt(speed_relative: f64, degrees: f64, level_m_per_s: f64, level_correlation_m: f64) -> Doubt {
        let direction = Angle::new::<degree>(degrees);
        Doubt { speed_relative, direction, level_m_per_s, level_correlation_m }
    }

    fn drawn<T>(doubt: &Doubt, base: &Profile, up_to_m: f64, read: impl Fn(&Profile) -> T) -> Vec<T> {
        let one = |trial| {
            let mut stream = Stream::new(SEED, trial);
            read(&perturbed(base, doubt, up_to_m, || stream.normal()))
        };
        (0..TRIALS).map(one).collect()
    }

    fn mean(values: &[f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    /// Standard error of an estimated variance over the variance, and of a correlation: √(2/N) and below.
    fn error() -> f64 {
        sqrt(2.0 / TRIALS as f64)
    }

    #[test]
    fn errors_by_height_have_the_variance_and_correlation_stated() {
        let base = Profile::uniform([3.0, -1.0]);
        let doubt = doubt(0.0, 0.0, 1.7, 800.0);
        let heights = [0.0, 200.0, 1000.0, 2000.0];
        let errors = drawn(&doubt, &base, 2000.0, |wind| {
            heights.map(|height| {
                let [east, north] = wind.at(height);
                [east - 3.0, north + 1.0]
            })
        });
        let product = |i: usize, j: usize, a: usize, b: usize| {
            mean(&errors.iter().map(|error| error[i][a] * error[j][b]).collect::<Vec<_>>()) / (1.7 * 1.7)
        };
        let pairs = [(0, 0), (3, 3), (0, 1), (1, 2), (0, 2), (0, 3)];
        check! {
            area: "wind", what: "correlation of errors of the wind at two heights, 20 000 draws",
            against: "exp(-d/L), L = 800 m", leg: Closed,
            rows: pairs.iter().flat_map(|&(i, j)| [0, 1].map(|component| {
                let apart: f64 = heights[j] - heights[i];
                (format!("{apart} m"), product(i, j, component, component), exp(-apart / 800.0))
            })),
            within: 4.0 * error(), because: "4 standard errors of a variance, sqrt(2/N)",
        }
        assert!(product(2, 2, 0, 1).abs() < 4.0 * error(), "components are independent");
    }

    /// Variance of ∫e dz over [0, T] is 2 σ² L² (T/L − 1 + exp(−T/L)).
    #[test]
    fn the_drift_of_the_errors_has_the_variance_of_the_process() {
        let top_m = 1500.0;
        let doubt = doubt(0.0, 0.0, 1.5, 1000.0);
        let drifts = drawn(&doubt, &Profile::still(), top_m, |wind| {
            wind.levels()
                .windows(2)
                .map(|pair| {
                    (pair[1].height_m - pair[0].height_m)
                        * f64::midpoint(pair[0].east_m_per_s, pair[1].east_m_per_s)
                })
                .sum::<f64>()
        });
        let got = mean(&drifts.iter().map(|drift| drift * drift).collect::<Vec<_>>());
        let (l, t) = (1000.0_f64, top_m);
        let want = 2.0 * 1.5 * 1.5 * l * l * (t / l - 1.0 + exp(-t / l));
        check! {
            area: "wind", what: "variance of the drift that errors by height make over 1500 m, over its closed form",
            against: "2 s^2 L^2 (T/L - 1 + exp(-T/L))", leg: Closed,
            got: got / want, want: 1.0, within: 4.0 * error() + 0.005,
            because: "4 standard errors of a variance, and 0.5 % for straight lines between nodes",
        }
    }

    #[test]
    fn speed_and_turn_are_shared_by_all_heights() {
        let base = Profile::try_new(vec![
            Level { height_m: 0.0, east_m_per_s: 4.0, north_m_per_s: 0.0 },
            Level { height_m: 900.0, east_m_per_s: 0.0, north_m_per_s: 8.0 },
        ])
        .unwrap();
        let doubt = doubt(0.2, 12.0, 0.0, 1000.0);
        let draws = drawn(&doubt, &base, 900.0, |wind| {
            let ([e0, n0], [e1, n1]) = (wind.at(0.0), wind.at(900.0));
            let factors = [(e0 * e0 + n0 * n0).sqrt() / 4.0, (e1 * e1 + n1 * n1).sqrt() / 8.0];
            assert!((factors[0] - factors[1]).abs() < 1e-12 && (e0 * e1 + n0 * n1).abs() < 1e-12);
            // Clockwise from east is towards south.
            [factors[0].ln(), (-n0).atan2(e0)]
        });
        for (which, sd) in [(0, 0.2), (1, 12.0_f64.to_radians())] {
            let values: Vec<f64> = draws.iter().map(|draw| draw[which]).collect();
            let variance = mean(&values.iter().map(|value| value * value).collect::<Vec<_>>());
            assert!((variance / (sd * sd) - 1.0).abs() < 4.0 * error(), "{which}: {variance}");
            assert!(mean(&values).abs() < 4.0 * sd / sqrt(TRIALS as f64), "{which}");
        }
    }

    #[test]
    fn no_doubt_changes_nothing_and_one_stream_repeats() {
        let base = Profile::uniform([2.0, 1.0]);
        assert_eq!(perturbed(&base, &doubt(0.0, 0.0, 0.0, 500.0), 1000.0, || 0.7), base);
        let some = doubt(0.1, 5.0, 1.0, 500.0);
        let run = || {
            let mut stream = Stream::new(3, 9);
            perturbed(&base, &some, 1000.0, || stream.normal())
        };
        assert_eq!(run(), run());
        assert!(run().top_m() >= 1000.0, "the error reaches the top of the fall");
        // Errors that change from one height to the next have nodes 10 m apart, and no more of them.
        let rough = perturbed(&base, &doubt(0.0, 0.0, 1.0, 0.0), 100.0, || 1.0);
        assert_eq!(rough.levels().len(), 11);
    }
}
