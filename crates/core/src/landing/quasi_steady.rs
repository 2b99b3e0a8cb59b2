//! The stretch of a fall that is near its rate: layer by layer in closed form.
//!
//! With k fixed, let κ = k σ(z), q the sink and h the sideways motion through the air (m/s), u the rise of the air, s = q − u
//! the sink over ground, and ζ the way down. Along it, exactly,
//!
//! dP/dζ = (2 q/s) (g − κ |w| q),  P = q²;      dh/dζ = −(κ |w|/s) h + W',
//!
//! W' the shear dW/dz (coming down out of a stronger wind, h lags along it). With |w| q = P + h²/2 − h⁴/(8 P) .. and the
//! depth m = ∫ κ dζ, these are linear where h² ≪ P and r = q/s is steady; without rising air r = 1 and the first holds
//! however far P is from steady:
//!
//! dP/dm = −2 r (P + h²/2 − g/κ),      dh/dm = −r h + W'/κ.
//!
//! Inside a layer W' is fixed, and 1/κ changes with the density by β = −σ'/σ ≈ 1e-4/m, so to first order in it
//!
//! H = (W'/(r κ)) (1 + β/(r κ)),      P_s = (g/κ) (1 + β/(2 r κ)) − H²/2
//!
//! are followed once the difference d = h − H at the top, and p = P − P_s, have died away:
//!
//! h = H + d E,   E = e^(−r m),      p = p₀ E² − 2 H·d (E − E²) − r m d² E².
//!
//! In other words: the rate is √(g/κ) (1 + β q s/(4 g)), since it comes out of thinner air, and the wind is that of q s/g
//! higher up. Time and way are ∫ dζ/s and ∫ (W + h) dζ/s: the steady part by the middle of the layer, what dies away to first
//! order in p and d, in closed form:
//!
//! κ ∫ p dζ = p₀ (1 − E²)/(2 r) − 2 H·d (1 − E)²/(2 r) − d² ((1 − E²)/(4 r) − m E²/2).
//!
//! Left out, in time over one settling: (3/32) (p/P)² q/g s; in rate: h⁴/(16 P²) of it; by the middle of a layer of
//! thickness Δ: W' β Δ³/(24 s) m. With the bounds below these are 0.5 ms at 20 m/s, 1e-4 of the rate, and 0.02 m under a
//! shear of 0.02/s at 5 m/s; the fall goes on in small steps ([`super::quick()`]) where a bound is passed.

use super::motion::{Layer, State};
use super::{Column, Descent};
use crate::maths::{exp, sqrt};

/// Largest share of P by which a fall may miss its steady value.
const NEAR: f64 = 0.05;
/// Largest share of P that h² may be.
const LITTLE_SIDEWAYS: f64 = 0.04;
/// Least sink over ground as a share of that through the air: r stays below 5 and is steady.
const LEAST_SINK: f64 = 0.2;
/// Thickest layer in one piece, m.
const THICKEST_M: f64 = 60.0;

/// Where a stretch has to end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Until {
    pub height_m: f64,
    pub time_s: f64,
}

/// The air of a layer and the steady fall through it, at its middle.
struct Steady {
    kappa_per_m: f64,
    /// β, 1/m.
    thinning_per_m: f64,
    /// r.
    ratio: f64,
    /// P_s, m²/s².
    pressure: f64,
    /// H, m/s.
    lag_m_per_s: [f64; 2],
}

impl Steady {
    /// `None` where the sink over ground is too slow, or the shear too strong.
    fn at(
        column: &Column,
        k_per_m: f64,
        updraft: f64,
        shear_per_s: [f64; 2],
        height_m: f64,
    ) -> Option<Steady> {
        let (sigma, slope) = column.density_and_slope(height_m);
        let kappa_per_m = k_per_m * sigma;
        let thinning_per_m = -slope / sigma;
        let balance = column.gravity_m_per_s2(height_m) / kappa_per_m;
        let sink = sqrt(balance);
        let over_ground = sink - updraft;
        // Also where k is 0 and the sink has no bound.
        if !(over_ground > LEAST_SINK * sink && sink.is_finite()) {
            return None;
        }
        let ratio = if updraft.abs() > 0.0 { sink / over_ground } else { 1.0 };
        let settling_m = 1.0 / (ratio * kappa_per_m);
        let thins = thinning_per_m * settling_m;
        let lag = settling_m * (1.0 + thins);
        let lag_m_per_s = [shear_per_s[0] * lag, shear_per_s[1] * lag];
        let sideways = square(lag_m_per_s);
        (sideways <= LITTLE_SIDEWAYS * balance).then_some(Steady {
            kappa_per_m,
            thinning_per_m,
            ratio,
            pressure: balance * (1.0 + 0.5 * thins) - 0.5 * sideways,
            lag_m_per_s,
        })
    }
}

/// Whether a fall at a state is near enough to its rate.
pub(super) fn is_near(descent: &Descent, k_per_m: f64, layer: &Layer, state: &State) -> bool {
    let height_m = state.height_m();
    let sink = descent.updraft_m_per_s - state.climb_m_per_s();
    let [east, north] = layer.wind_m_per_s(height_m);
    let h = [state.velocity_m_per_s[0] - east, state.velocity_m_per_s[1] - north];
    let p = sink * sink;
    if sink <= 0.0 || square(h) > LITTLE_SIDEWAYS * p {
        return false;
    }
    Steady::at(descent.column, k_per_m, descent.updraft_m_per_s, layer.shear_per_s, height_m)
        .is_some_and(|steady| (p - steady.pressure).abs() <= NEAR * steady.pressure)
}

/// Goes down to a height or an instant, whichever is first, or to where the bounds no longer hold.
pub(super) fn go(descent: &Descent, k_per_m: f64, layer: &mut Layer, state: &mut State, until: Until) {
    let updraft = descent.updraft_m_per_s;
    let sink = updraft - state.climb_m_per_s();
    let [wind_east, wind_north] = layer.wind_m_per_s(state.height_m());
    let mut p = sink * sink;
    let mut h = [state.velocity_m_per_s[0] - wind_east, state.velocity_m_per_s[1] - wind_north];
    let [mut east_m, mut north_m, mut height_m] = state.place_m;
    let mut time_s = state.time_s;
    while height_m > until.height_m && time_s < until.time_s {
        if height_m <= layer.bottom_m {
            *layer = layer.below();
        }
        let bottom_m = until.height_m.max(layer.bottom_m).max(height_m - THICKEST_M);
        let Some(piece) = piece(descent, k_per_m, layer, (p, h), height_m, bottom_m) else { break };
        if time_s + piece.time_s <= until.time_s {
            height_m = bottom_m;
            time_s += piece.time_s;
            east_m += piece.way_m[0];
            north_m += piece.way_m[1];
            (p, h) = (piece.pressure, piece.sideways_m_per_s);
        } else {
            // Regula falsi on the thickness: time grows with it all but evenly.
            let left_s = until.time_s - time_s;
            let mut cut_m = (height_m - bottom_m) * left_s / piece.time_s;
            let mut cut = piece;
            for _ in 0..3 {
                let Some(again) = self::piece(descent, k_per_m, layer, (p, h), height_m, height_m - cut_m)
                else {
                    break;
                };
                cut_m *= left_s / again.time_s;
                cut = again;
            }
            height_m -= cut_m;
            time_s = until.time_s;
            east_m += cut.way_m[0];
            north_m += cut.way_m[1];
            (p, h) = (cut.pressure, cut.sideways_m_per_s);
        }
        if square(h) > LITTLE_SIDEWAYS * p {
            break;
        }
    }
    let [wind_east, wind_north] = layer.wind_m_per_s(height_m);
    *state = State {
        time_s,
        place_m: [east_m, north_m, height_m],
        velocity_m_per_s: [wind_east + h[0], wind_north + h[1], updraft - sqrt(p)],
    };
}

/// What one piece of a layer adds, and P and h at its bottom.
struct Piece {
    time_s: f64,
    way_m: [f64; 2],
    pressure: f64,
    sideways_m_per_s: [f64; 2],
}

/// One piece of a layer from its top to its bottom; `None` where the bounds do not hold in it.
fn piece(
    descent: &Descent,
    k_per_m: f64,
    layer: &Layer,
    (pressure, sideways): (f64, [f64; 2]),
    top_m: f64,
    bottom_m: f64,
) -> Option<Piece> {
    let updraft = descent.updraft_m_per_s;
    let thickness_m = top_m - bottom_m;
    let middle_m = top_m - 0.5 * thickness_m;
    let steady = Steady::at(descent.column, k_per_m, updraft, layer.shear_per_s, middle_m)?;
    let Steady { kappa_per_m: kappa, ratio: r, lag_m_per_s: lag, .. } = steady;
    // From the middle to either edge, κ⁻¹ changes by this share.
    let edge = 0.5 * thickness_m * steady.thinning_per_m;
    let depth = kappa * thickness_m;
    let left = exp(-r * depth);
    let (gone, left_twice) = (1.0 - left, left * left);
    let gone_twice = 1.0 - left_twice;

    let d = [sideways[0] - lag[0] * (1.0 + edge), sideways[1] - lag[1] * (1.0 + edge)];
    let (across, d_squared) = (lag[0] * d[0] + lag[1] * d[1], square(d));
    let off = pressure - steady.pressure * (1.0 + edge);
    let off_end = off * left_twice - 2.0 * across * left * gone - r * depth * d_squared * left_twice;
    let off_sum = (0.5 * off * gone_twice
        - across * gone * gone
        - d_squared * (0.25 * gone_twice - 0.5 * r * depth * left_twice))
        / (r * kappa);

    let sink = sqrt(steady.pressure);
    let per_s = 1.0 / (sink - updraft);
    let passing_s = thickness_m * per_s;
    let sooner_s = off_sum * per_s * per_s / (2.0 * sink);
    let slip_s = gone * per_s / (r * kappa);
    let wind = layer.wind_m_per_s(middle_m);
    let way = |i: usize| wind[i] * (passing_s - sooner_s) + lag[i] * passing_s + d[i] * slip_s;
    Some(Piece {
        time_s: passing_s - sooner_s,
        way_m: [way(0), way(1)],
        pressure: steady.pressure * (1.0 - edge) + off_end,
        sideways_m_per_s: [lag[0] * (1.0 - edge) + d[0] * left, lag[1] * (1.0 - edge) + d[1] * left],
    })
}

fn square(vector: [f64; 2]) -> f64 {
    vector[0] * vector[0] + vector[1] * vector[1]
}
