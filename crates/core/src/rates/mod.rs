//! Rates: the steady rate of descent of each drop, with its own doubt.
//!
//! The heights from shortly before the release to shortly before the ground ([`points`]: blocks, or crossings of a coarse
//! step) are fitted by the motion of a load under a filling canopy ([`motion`]) with generalised least squares ([`gls`]).
//! How the canopy fills and how much air goes along are nuisances with a stated prior, so that early heights count for
//! what they are worth and no more. The size of gusts is unknown; the falls fitted together vote for it by their
//! restricted likelihoods, and the answer is the mean over the levels. The steady stretch is where the fitted motion
//! has come within a stated share of its rate.
//!
//! Assumes one drag area through the window and air at rest but for gusts. A height scale (true over recorded height)
//! is applied here, once; its own doubt is shared by drops and added in `pooling`. A long fall, in which density
//! changes, goes through [`long_fall`]. Range: falls of about a second and more, rates of 1.4 to 60 m/s. Not here:
//! scatter between drops, slow air, clock.

mod errors;
mod gls;
mod gravity;
mod long_fall;
mod motion;
mod points;
mod slopes;

pub use gravity::{GravitySeen, check_gravity};
pub use long_fall::REFERENCE_DENSITY_KG_PER_M3;
pub(crate) use motion::GRAVITY_M_PER_S2;

use std::borrow::Cow;
use std::sync::Arc;

use rayon::prelude::*;

use crate::drops::{Fall, Noise, heights_m, subject};
use crate::finding::{Code, Finding, Subject};
use crate::maths::{exp, sqrt};
use crate::quantity::{MassDensity, Time, Velocity};
use crate::recording::Recording;
use errors::{Errors, Gust};
use gls::{Fit, Known, Prior};
use motion::Motion;
use points::Point;
pub use points::Reading;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

/// True height over recorded height, the same for all drops of a session: T_true/T_standard for pressure heights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeightScale {
    /// True over recorded.
    pub factor: f64,
}

impl HeightScale {
    /// Heights are taken as recorded.
    pub const AS_RECORDED: HeightScale = HeightScale { factor: 1.0 };
}

/// Settings of the fit; the defaults are judgements, stated beside each.
#[derive(Clone, Debug, PartialEq)]
pub struct RateConfig {
    /// Sizes of gusts that are weighed, m/s, with the odds given to each beforehand. Calm to brisk days below trees
    /// and towers (judgement).
    pub gusts_m_per_s: Vec<(f64, f64)>,
    /// Time over which a gust forgets itself, s (judgement; half a second to three seconds is usual near the ground).
    pub gust_correlation_s: f64,
    /// Mass of air carried along over the mass that falls: middle, and standard deviation of its logarithm (judgement:
    /// a model of 0.2 kg under 0.6 m carries near a quarter, a heavy load a tenth).
    pub air_share: (f64, f64),
    /// Share of the drag area already there at release: middle, and standard deviation of ln(f/(1 - f)) (judgement:
    /// anything from a closed to a mostly open canopy).
    pub open_share: (f64, f64),
    /// Way in which the canopy fills, m: middle, and standard deviation of its logarithm (about 8 diameters of half a
    /// metre, from memory of NWC TP 6575, table 5-6, within a factor of two; judgement).
    pub filling_m: (f64, f64),
    /// Exponent with which the drag area grows along the filling way: middle, and standard deviation of its logarithm
    /// (judgement: handbooks give 1 to 2 over time, which is about half of that over the way).
    pub growth: (f64, f64),
    /// Standard deviation of the logarithm of the steady rate over the mean speed of the whole fall (judgement: gaining
    /// speed makes the fall slower than steady, filling faster).
    pub rate_over_mean: f64,
    /// Share of the doubt about filling that repeats from drop to drop (judgement: the same canopy, packed anew).
    pub filling_repeats: f64,
    /// Standard deviation of the release as the finder gives it, s; what noise hides of it is added.
    pub release_doubt_s: f64,
    /// Time at rest before the release that is fitted along, s.
    pub rest_s: f64,
    /// Time before the ground that is left out, s: its moment is known no better.
    pub before_ground_s: f64,
    /// The steady stretch begins where the speed is within this share of steady.
    pub settled_within: f64,
    /// A drop whose speed may still be further than this from steady at its end gives a bound and no rate.
    pub furthest_at_end: f64,
    /// A rate that is known worse than this share gives a bound instead.
    pub most_doubt: f64,
    /// Number of blocks a fall is cut into, at most.
    pub most_blocks: usize,
    /// Number of blocks the rest is cut into, at most.
    pub most_rest_blocks: usize,
    /// Shortest block, s.
    pub block_s: f64,
    /// Falls through more height than this go piece by piece against density, m.
    pub long_fall_m: f64,
}

impl Default for RateConfig {
    fn default() -> Self {
        RateConfig {
            gusts_m_per_s: vec![(0.01, 0.2), (0.05, 0.25), (0.12, 0.3), (0.25, 0.25)],
            gust_correlation_s: 1.2,
            air_share: (0.25, 0.45),
            open_share: (0.33, 1.5),
            filling_m: (3.5, 0.8),
            growth: (1.0, 0.7),
            rate_over_mean: 0.35,
            filling_repeats: 0.15,
            release_doubt_s: 0.25,
            rest_s: 3.0,
            before_ground_s: 0.15,
            settled_within: 0.01,
            furthest_at_end: 0.15,
            most_doubt: 0.5,
            most_blocks: 64,
            most_rest_blocks: 20,
            block_s: 0.05,
            long_fall_m: 250.0,
        }
    }
}

/// A stretch of time chosen by the person, seconds from the recording's first sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Beginning.
    pub from: Time,
    /// End.
    pub to: Time,
}

/// A fall to be fitted.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
    /// The recording that holds it.
    pub recording: &'a Recording,
    /// The fall.
    pub fall: &'a Fall,
    /// Noise of that recording.
    pub noise: &'a Noise,
    /// True over recorded height.
    pub scale: HeightScale,
    /// The person's own window, if any.
    pub window: Option<Window>,
}

/// What a drop says about the steady rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Answer {
    /// A rate.
    Rate(Rate),
    /// No steady stretch: the steady rate is at least this, 95 % sure (the load was still gaining speed).
    AtLeast(Velocity),
    /// No steady stretch: the steady rate is at most this, 95 % sure (the load was still slowing down).
    AtMost(Velocity),
    /// Too few samples for either.
    Nothing,
}

/// A steady rate with its own fit's doubt; the scatter between drops is not in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Rate of descent, positive down, in true heights.
    pub rate: Velocity,
    /// Standard uncertainty of the fit: noise, rounding, the way to the steady rate.
    pub standard_uncertainty: Velocity,
    /// Part of that which drops of one configuration share: how the canopy fills, how much air goes along.
    pub alike: Velocity,
    /// Degrees of freedom behind the standard uncertainty.
    pub degrees_of_freedom: f64,
    /// What gusts of the size seen in the falls are expected to make of this rate: part of the scatter between drops.
    pub gust_scatter: Velocity,
    /// The density it is referred to, for a fall through much height; `None`: the air of the place.
    pub reference_density: Option<MassDensity>,
}

/// One drop, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct DropRate {
    /// Release, seconds from the recording's first sample.
    pub release: Time,
    /// Beginning of the steady stretch; `None` without one.
    pub steady_from: Option<Time>,
    /// End of the steady stretch, shortly before the ground.
    pub steady_to: Option<Time>,
    /// Touch-down; `None` for a fall that ends in the air.
    pub ground: Option<Time>,
    /// The rate, a bound, or nothing.
    pub answer: Answer,
    /// What the way to the steady rate says of gravity; `None` where the release is not in it.
    pub gravity: Option<GravitySeen>,
    /// How the samples were read.
    pub reading: Reading,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

impl DropRate {
    /// The rate, if there is one.
    pub fn rate(&self) -> Option<&Rate> {
        match &self.answer {
            Answer::Rate(rate) => Some(rate),
            Answer::AtLeast(_) | Answer::AtMost(_) | Answer::Nothing => None,
        }
    }
}

/// Fits one drop by itself. See [`fit_together`] for the drops of one configuration, which tell each other how gusty
/// the day was.
pub fn fit(given: &Given<'_>, cfg: &RateConfig) -> DropRate {
    fit_together(std::slice::from_ref(given), cfg).pop().expect("one drop in, one out")
}

/// Fits drops of one configuration on one day, in their order.
pub fn fit_together(given: &[Given<'_>], cfg: &RateConfig) -> Vec<DropRate> {
    let heights = heights_of(given);
    let prepared: Vec<Result<Prepared, DropRate>> =
        given.par_iter().zip(&heights).map(|(g, heights)| prepare(g, heights, cfg)).collect();
    let levels = cfg.gusts_m_per_s.len();
    let mut odds: Vec<f64> = cfg.gusts_m_per_s.iter().map(|level| crate::maths::ln(level.1)).collect();
    for drop in prepared.iter().flatten() {
        if drop.fits.iter().all(Option::is_some) {
            for (sum, fit) in odds.iter_mut().zip(drop.fits.iter().flatten()) {
                *sum += fit.restricted_log_likelihood;
            }
        }
    }
    let most = odds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let shares: Vec<f64> = odds.iter().map(|o| exp(o - most)).collect();
    let total: f64 = shares.iter().sum();
    let shares: Vec<f64> = shares.iter().map(|s| s / total).collect();
    debug_assert_eq!(shares.len(), levels);
    prepared
        .into_iter()
        .map(|drop| match drop {
            Ok(drop) => drop.conclude(&shares, cfg),
            Err(done) => done,
        })
        .collect()
}

/// The heights of each drop's recording, worked out once for a recording however many drops it holds.
fn heights_of<'a>(given: &[Given<'a>]) -> Vec<Arc<Cow<'a, [f64]>>> {
    let mut all: Vec<Arc<Cow<'a, [f64]>>> = Vec::with_capacity(given.len());
    for (at, one) in given.iter().enumerate() {
        let before = given[..at].iter().position(|other| std::ptr::eq(other.recording, one.recording));
        let heights = match before {
            Some(before) => Arc::clone(&all[before]),
            None => Arc::new(heights_m(one.recording)),
        };
        all.push(heights);
    }
    all
}

/// How many residuals the noise at rest counts for when the fit's own are compared with it.
const MISFIT_PRIOR: f64 = 20.0;

/// A drop with one fit for each size of gusts.
struct Prepared {
    blank: DropRate,
    fits: Vec<Option<Fit>>,
    start_s: f64,
    end_s: f64,
    scale: f64,
    points: usize,
    /// First and last sample of a stretch given by hand, s.
    by_hand: Option<(f64, f64)>,
    subject: Subject,
    degrees_of_freedom: f64,
    last_third_m_per_s: f64,
    findings: Vec<Finding>,
}

fn prepare(given: &Given<'_>, heights: &[f64], cfg: &RateConfig) -> Result<Prepared, DropRate> {
    let Given { recording, fall, noise, scale, window } = *given;
    let time = |sample: usize| Time::new::<second>(recording.time_s[sample]);
    let mut blank = DropRate {
        release: time(fall.release),
        steady_from: None,
        steady_to: None,
        ground: fall.ground.map(time),
        answer: Answer::Nothing,
        gravity: None,
        reading: points::reading(noise, fall.guess_m_per_s),
        findings: Vec::new(),
    };
    let lost_m = heights[fall.release] - heights[fall.last];
    if lost_m * scale.factor > cfg.long_fall_m && window.is_none() {
        return Err(long_fall::fit(given, heights, blank, cfg));
    }
    let release_s = recording.time_s[fall.release];
    let ground_s = fall.ground.map(|g| recording.time_s[g]);
    let end_s = match (window, ground_s) {
        (Some(window), _) => window.to.get::<second>(),
        (None, Some(ground)) => ground,
        (None, None) => recording.time_s[fall.last] - noise.interval_s,
    };
    let begin_s = match window {
        Some(window) => window.from.get::<second>(),
        None if fall.starts_in_air => release_s + noise.interval_s,
        None => release_s - cfg.rest_s,
    };
    let points = points_of(given, heights, (begin_s, end_s), blank.reading, cfg);
    let in_air = |p: &&Point| p.time_s >= release_s && ground_s.is_none_or(|g| p.time_s < g);
    let falling: Vec<Point> = points.iter().filter(in_air).copied().collect();
    if falling.len() < 5 {
        blank.findings.push(too_short(recording, fall, "too few samples lie in it"));
        return Err(blank);
    }
    let start = if fall.starts_in_air || window.is_some() { points[0].time_s } else { release_s };
    let (prior, guess) = beforehand(cfg, given, start, &points);
    let mut from = guess.course(points.iter().map(|p| p.time_s));
    let mut fits = Vec::with_capacity(cfg.gusts_m_per_s.len());
    for (n, level) in cfg.gusts_m_per_s.iter().enumerate() {
        let gust = Gust { deviation_m_per_s: level.0, correlation_s: cfg.gust_correlation_s };
        let rounds = if n == 0 { 12 } else { 4 };
        let fit = Errors::new(&points, start, noise, gust)
            .and_then(|errors| gls::fit(&points, &errors, &from, &prior, rounds));
        if let Some(fit) = &fit {
            from.clone_from(&fit.course);
        }
        fits.push(fit);
    }
    if !fall.starts_in_air && window.is_none() {
        blank.gravity = gravity::seen(&fits, &points, (start, noise), &prior, cfg);
    }
    let span_s = points[points.len() - 1].time_s - points[0].time_s;
    let block_s = cfg.block_s;
    let independent =
        (span_s / (2.0 * noise.correlation_s * correlated_share(noise) + block_s)).min(points.len() as f64);
    Ok(Prepared {
        fits,
        start_s: start,
        end_s: falling[falling.len() - 1].time_s,
        last_third_m_per_s: slope_of(&falling[falling.len() - (falling.len() / 3).max(3)..]),
        points: points.len(),
        scale: scale.factor,
        by_hand: window.map(|_| within(&recording.time_s, begin_s, end_s)),
        subject: subject(recording, fall),
        degrees_of_freedom: noise.degrees_of_freedom + (independent - 3.0).max(0.0),
        findings: if window.is_some() {
            let message = "the window of this drop was given by hand".to_owned();
            vec![Finding::new(Code::RateWindowByHand, subject(recording, fall), message)]
        } else {
            Vec::new()
        },
        blank: DropRate { findings: bound_findings(recording, fall), ..blank },
    })
}

/// The first and the last time within a stretch.
fn within(time_s: &[f64], from_s: f64, to_s: f64) -> (f64, f64) {
    let first = time_s.partition_point(|&t| t < from_s).min(time_s.len() - 1);
    let end = time_s.partition_point(|&t| t <= to_s).max(first + 1);
    (time_s[first], time_s[end - 1])
}

/// What the samples between two times say: at rest before release and after the ground, and falling.
fn points_of(
    given: &Given<'_>,
    heights: &[f64],
    (begin_s, end_s): (f64, f64),
    reading: Reading,
    cfg: &RateConfig,
) -> Vec<Point> {
    let Given { recording, fall, noise, window, .. } = *given;
    let time = &recording.time_s;
    let segment = recording.segments.iter().copied().take_while(|&s| s <= fall.release).last().unwrap_or(0);
    let segment_end =
        recording.segments.iter().copied().find(|&s| s > fall.release).unwrap_or(recording.len());
    // A stretch given by hand begins within the fall.
    let reach = if window.is_some() { segment_end } else { fall.release };
    let first = segment + time[segment..reach].partition_point(|&t| t < begin_s);
    let end = first + time[first..segment_end].partition_point(|&t| t <= end_s);
    let mut samples = points::samples(time, heights, (first, end), &fall.masked);
    drop_outliers(&mut samples, noise);
    let until_s =
        if window.is_none() && !fall.starts_in_air { time[fall.release] } else { f64::NEG_INFINITY };
    let from_s = fall.ground.filter(|_| window.is_none()).map_or(f64::INFINITY, |g| time[g]);
    let hang = samples.partition_point(|s| s.0 < until_s);
    let ground = samples.partition_point(|s| s.0 < from_s).max(hang);
    let falling_s =
        samples[hang..ground].last().map_or(0.0, |s| s.0) - samples.get(hang).map_or(0.0, |s| s.0);
    let block_s = cfg.block_s.max(falling_s / cfg.most_blocks as f64);
    let rest_block_s = block_s.max(cfg.rest_s / cfg.most_rest_blocks as f64);
    let mut points = points::rest(&samples[..hang], noise, rest_block_s);
    match reading {
        Reading::Crossings => points.extend(points::crossings(&samples[hang..], noise, fall.guess_m_per_s)),
        Reading::Blocks => {
            points.extend(points::blocks(&samples[hang..ground], noise, fall.guess_m_per_s, block_s));
        }
    }
    // The moment of the ground is known no better, and crossings near it are those of the rest.
    points.retain(|p| p.time_s < from_s - cfg.before_ground_s);
    points.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    points
}

/// What is known of the motion before the heights are looked at, and a first guess of it.
fn beforehand(cfg: &RateConfig, given: &Given<'_>, start_s: f64, points: &[Point]) -> (Prior, Motion) {
    let fall = given.fall;
    let by_hand = given.window.is_some();
    let hidden_s = 1.5 * given.noise.total_m() / fall.guess_m_per_s;
    let release_doubt_s = sqrt(cfg.release_doubt_s.powi(2) + hidden_s * hidden_s);
    let log = |about: (f64, f64)| Known::About(crate::maths::ln(about.0), about.1);
    let open = crate::maths::ln(cfg.open_share.0 / (1.0 - cfg.open_share.0));
    let full = (Known::Fixed(20.0), Known::Fixed(-5.0));
    let (release, (opening, filling), speed) = if by_hand {
        (Known::Fixed(start_s), full, Known::Fixed(1.0))
    } else if fall.starts_in_air {
        (Known::Fixed(start_s), full, Known::About(1.0, 0.4))
    } else {
        let filling = (Known::About(open, cfg.open_share.1), log(cfg.filling_m));
        (Known::About(start_s, release_doubt_s), filling, Known::Fixed(0.0))
    };
    let mean = fall.mean_m_per_s.filter(|_| !by_hand);
    let rate = mean.map_or(Known::Free, |mean| Known::About(mean, cfg.rate_over_mean * mean));
    let growth = log(cfg.growth);
    let air = log(cfg.air_share);
    let prior = [Known::Free, release, rate, air, opening, filling, speed, growth, Known::Fixed(0.0)];
    let value = |known: &Known, free: f64| match known {
        Known::Free => free,
        Known::About(value, _) | Known::Fixed(value) => *value,
    };
    let mut guess = [0.0; motion::PARAMETERS];
    for (k, known) in prior.iter().enumerate() {
        let free = match k {
            motion::RATE => fall.guess_m_per_s,
            _ => points[0].height_m,
        };
        guess[k] = value(known, free);
    }
    guess[motion::RATE] = fall.guess_m_per_s;
    (prior, Motion(guess))
}

/// Findings that every drop of this kind carries.
fn bound_findings(recording: &Recording, fall: &Fall) -> Vec<Finding> {
    if fall.starts_in_air {
        let message = "the fall is already going on when it comes into sight".to_owned();
        vec![Finding::new(Code::DropStartsInAir, subject(recording, fall), message)]
    } else {
        Vec::new()
    }
}

fn too_short(recording: &Recording, fall: &Fall, why: &str) -> Finding {
    let message = format!("no steady stretch in this drop: {why}");
    Finding::new(Code::RateNotSteady, subject(recording, fall), message)
}

fn correlated_share(noise: &Noise) -> f64 {
    let total = noise.total_m().max(1e-9);
    (noise.correlated_m / total).powi(2)
}

/// Leaves out samples far from the course of their neighbours: what is left of a spike's edges.
fn drop_outliers(samples: &mut Vec<(f64, f64)>, noise: &Noise) {
    const REACH: usize = 4;
    if samples.len() < 3 * REACH {
        return;
    }
    let limit = 7.0 * noise.total_m() + 1.5 * noise.step_m;
    let far: Vec<bool> = (0..samples.len())
        .map(|i| {
            let from = i.saturating_sub(REACH).min(samples.len() - 2 * REACH - 1);
            let around = &samples[from..=from + 2 * REACH];
            let slope = {
                let (a, b) = (around[0], around[2 * REACH]);
                if b.0 > a.0 { (b.1 - a.1) / (b.0 - a.0) } else { 0.0 }
            };
            let mut level: Vec<f64> = around.iter().map(|s| s.1 - slope * (s.0 - samples[i].0)).collect();
            let reach_m = 4.9 * (around[2 * REACH].0 - around[0].0).powi(2);
            let middle = crate::drops::median(&mut level).unwrap_or(samples[i].1);
            (samples[i].1 - middle).abs() > limit + reach_m
        })
        .collect();
    let mut i = 0;
    samples.retain(|_| {
        i += 1;
        !far[i - 1]
    });
}

/// Rate of a straight line by least squares, m/s, positive down.
fn slope_of(points: &[Point]) -> f64 {
    let time: Vec<f64> = points.iter().map(|p| p.time_s).collect();
    let height: Vec<f64> = points.iter().map(|p| p.height_m).collect();
    crate::drops::line(&time, &height).map_or(0.0, |l| -l.2)
}

impl Prepared {
    fn conclude(mut self, shares: &[f64], cfg: &RateConfig) -> DropRate {
        let mut done = self.blank;
        done.findings.append(&mut self.findings);
        let level: Vec<(f64, &Fit)> = shares
            .iter()
            .zip(&self.fits)
            .filter_map(|(share, fit)| fit.as_ref().map(|f| (*share, f)))
            .collect();
        let total: f64 = level.iter().map(|l| l.0).sum();
        let mean = |value: &dyn Fn(&Fit) -> f64| {
            level.iter().map(|(share, fit)| share * value(fit)).sum::<f64>() / total
        };
        if level.is_empty() || total <= 0.0 {
            return done;
        }
        let rate = mean(&|f| f.motion().rate());
        let between = mean(&|f| (f.motion().rate() - rate).powi(2));
        let best = level.iter().max_by(|a, b| a.0.total_cmp(&b.0)).expect("not empty").1;
        // Residuals larger than the noise at rest say that the noise, or the motion, is not quite as assumed.
        let excess = (best.chi2 + MISFIT_PRIOR) / (self.points as f64 - 3.0 + MISFIT_PRIOR);
        let noise_variance = mean(&|f| f.noise_variance) * excess.max(1.0) + between;
        let release = best.motion().0[motion::RELEASE];
        let far = best.motion().short_of_steady(self.end_s - release).abs();
        let uncertainty = sqrt(noise_variance);
        let settled = release + best.motion().settled_after_s(cfg.settled_within);
        if self.by_hand.is_none() && (far > cfg.furthest_at_end || uncertainty > cfg.most_doubt * rate) {
            let bound = Velocity::new::<meter_per_second>(self.scale * self.last_third_m_per_s);
            let doubt = Velocity::new::<meter_per_second>(self.scale * 1.645 * uncertainty.min(0.15 * rate));
            done.answer = if best.motion().short_of_steady(self.end_s - release) >= 0.0 {
                Answer::AtLeast(bound - doubt)
            } else {
                Answer::AtMost(bound + doubt)
            };
            let message = format!(
                "no steady stretch in this drop: at its end the speed may still be {:.0} % from steady, and the rate is known to {:.0} %",
                100.0 * far,
                100.0 * uncertainty / rate
            );
            done.findings.push(Finding::new(Code::RateNotSteady, self.subject.clone(), message));
            return done;
        }
        let (from, to) = self.by_hand.unwrap_or((settled.clamp(self.start_s, self.end_s), self.end_s));
        done.steady_from = Some(Time::new::<second>(from));
        done.steady_to = Some(Time::new::<second>(to));
        let velocity = |m_per_s: f64| Velocity::new::<meter_per_second>(self.scale * m_per_s);
        done.answer = Answer::Rate(Rate {
            rate: velocity(rate),
            standard_uncertainty: velocity(uncertainty),
            alike: velocity(sqrt(
                (cfg.filling_repeats * mean(&|f| f.filling_variance)).min(0.9 * noise_variance),
            )),
            degrees_of_freedom: self.degrees_of_freedom,
            gust_scatter: velocity(sqrt(mean(&|f| f.gust_variance))),
            reference_density: None,
        });
        done
    }
}

#[cfg(test)]
mod tests;
