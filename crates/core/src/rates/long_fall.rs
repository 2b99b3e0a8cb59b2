//! A fall through so much height that density changes: rate referred to one density.
//!
//! With a steady rate everywhere, `v = v_ref sqrt(rho_ref/rho)`. In the stretched height `dZ = sqrt(rho/rho_ref) dz` the
//! load falls at v_ref throughout, so that the pieces of the fall (about five seconds each) are so many readings of
//! one rate. Their mean is the rate; their scatter, with the correlation from one piece to the next, is its doubt:
//! `u = s sqrt((1 + r)/(1 - r)/n)`. Pieces at the beginning, where the canopy still fills and slows the load, are left
//! out as long as they differ by more than a tenth from the middle of the later ones.
//!
//! Pressures give density with the recorded temperature, `rho = p/(R T)`, and true height by hydrostatics,
//! `dz = dH T/T_standard`; without temperatures the standard one times the height scale is taken. R is
//! that of the standard's dry air ([`crate::air::standard`]). Not here: vertical air motion, which
//! stands in the scatter; moisture (1 % of density at most in the tropics).

use super::{Answer, DropRate, Given, Rate, RateConfig};
use crate::air::standard;
use crate::drops::{line, median, subject};
use crate::finding::{Code, Finding};
use crate::maths::sqrt;
use crate::quantity::{MassDensity, Time, Velocity};
use crate::recording::Channel;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

/// The density rates of long falls are referred to: the standard one at sea level, kg/m³.
pub const REFERENCE_DENSITY_KG_PER_M3: f64 = 1.225;
const PIECE_S: f64 = 5.0;

/// One sample on the stretched height.
struct Stretched {
    time_s: f64,
    height_m: f64,
}

/// A piece of the fall: its first and last sample, and its rate at the reference density.
struct Piece {
    from_s: f64,
    to_s: f64,
    rate_m_per_s: f64,
}

pub(crate) fn fit(given: &Given<'_>, heights: &[f64], blank: DropRate, cfg: &RateConfig) -> DropRate {
    let mut done = blank;
    let course = stretched(given, heights);
    let rates = pieces(&course);
    let Some(settled) = first_settled(&rates) else {
        let message = "no steady stretch in this long fall".to_owned();
        done.findings.push(Finding::new(Code::RateNotSteady, subject(given.recording, given.fall), message));
        return done;
    };
    let used = &rates[settled..];
    let n = used.len() as f64;
    let mean = used.iter().map(|p| p.rate_m_per_s).sum::<f64>() / n;
    let off = |piece: &Piece| piece.rate_m_per_s - mean;
    let variance = used.iter().map(|p| off(p) * off(p)).sum::<f64>() / (n - 1.0);
    let product: f64 = used.windows(2).map(|w| off(&w[0]) * off(&w[1])).sum();
    let correlation = (product / (n - 1.0) / variance.max(1e-12)).clamp(0.0, 0.9);
    let inflation = (1.0 + correlation) / (1.0 - correlation);
    done.steady_from = Some(Time::new::<second>(used[0].from_s));
    done.steady_to = Some(Time::new::<second>(used[used.len() - 1].to_s));
    done.answer = Answer::Rate(Rate {
        rate: Velocity::new::<meter_per_second>(mean),
        standard_uncertainty: Velocity::new::<meter_per_second>(sqrt(variance * inflation / n)),
        alike: Velocity::new::<meter_per_second>(0.0),
        degrees_of_freedom: (n / inflation - 1.0).max(1.0),
        gust_scatter: Velocity::new::<meter_per_second>(0.0),
        reference_density: Some(MassDensity::new::<kilogram_per_cubic_meter>(REFERENCE_DENSITY_KG_PER_M3)),
    });
    let message = format!(
        "the fall crosses more than {:.0} m, in which its rate changes with density; it is referred to {} kg/m3",
        cfg.long_fall_m, REFERENCE_DENSITY_KG_PER_M3
    );
    done.findings.push(Finding::new(Code::RateLongFall, subject(given.recording, given.fall), message));
    done
}

/// The fall on the stretched height, one sample a half second at most.
fn stretched(given: &Given<'_>, heights: &[f64]) -> Vec<Stretched> {
    let Given { recording, fall, scale, .. } = *given;
    let mut course: Vec<Stretched> = Vec::new();
    let mut masked = fall.masked.iter().copied().peekable();
    let mut before: Option<(f64, f64)> = None; // height and stretch factor of the sample before
    let mut warmth = scale.factor;
    let mut z = 0.0;
    for (i, &height) in heights.iter().enumerate().take(fall.last + 1).skip(fall.release) {
        while masked.peek().is_some_and(|&m| m < i) {
            masked.next();
        }
        if masked.peek() == Some(&i) {
            continue;
        }
        let standard_k = standard::temperature_k(height);
        // A height beyond the atmosphere's is no sample of a fall.
        let Ok(standard_pa) = standard::pressure_pa(height) else { continue };
        if recording.channel != Channel::TrueHeight
            && let Some(temperature) = recording.temperature_k.as_ref().and_then(|t| t.at(i))
        {
            warmth = temperature / standard_k;
        }
        let density = standard_pa / (standard::DRY_AIR_J_PER_KG_K * standard_k * warmth);
        let metres = if recording.channel == Channel::TrueHeight { scale.factor } else { warmth };
        let stretch = sqrt(density / REFERENCE_DENSITY_KG_PER_M3) * metres;
        if let Some((height_before, stretch_before)) = before {
            z += (height - height_before) * 0.5 * (stretch + stretch_before);
        }
        before = Some((height, stretch));
        course.push(Stretched { time_s: recording.time_s[i], height_m: z });
    }
    course
}

/// The fall in pieces; one with hardly a sample, or a gap at its end, is left out.
fn pieces(course: &[Stretched]) -> Vec<Piece> {
    let mut rates = Vec::new();
    let mut i = 0;
    while i < course.len() {
        let start = course[i].time_s;
        let length = course[i..].partition_point(|s| s.time_s - start < PIECE_S);
        let time: Vec<f64> = course[i..i + length].iter().map(|s| s.time_s).collect();
        let height: Vec<f64> = course[i..i + length].iter().map(|s| s.height_m).collect();
        let (from_s, to_s) = (start, time[length - 1]);
        if let Some((_, _, slope)) = line(&time, &height).filter(|_| to_s - from_s > 0.7 * PIECE_S) {
            rates.push(Piece { from_s, to_s, rate_m_per_s: -slope });
        }
        i += length;
    }
    rates
}

/// The first piece from which on the rate is near that of the later half; `None` with fewer than four such pieces.
fn first_settled(rates: &[Piece]) -> Option<usize> {
    let mut later: Vec<f64> = rates[rates.len() / 2..].iter().map(|r| r.rate_m_per_s).collect();
    let usual = median(&mut later)?;
    let first = rates.iter().position(|r| (r.rate_m_per_s / usual - 1.0).abs() < 0.1)?;
    (rates.len() - first >= 4).then_some(first)
}
