//! Pooling: the rate of one configuration from its drops, with everything that is in doubt.
//!
//! Logarithms of the drops' rates are pooled by random effects ([`random_effects`]) whose scatter is partly stated
//! beforehand; one drop alone takes the stated scatter. What each fit owes to not knowing how the canopy fills is partly
//! alike in all of them and so far does not average out. Odd drops are set aside in the open ([`odd`]), and two groups of
//! rates are a finding. What the drops share - slow vertical air, the height scale, the clock - is added after pooling,
//! once: it does not average out. The interval is `rate · exp(± t u)` with Student's t at the effective degrees of freedom of
//! Welch and Satterthwaite (JCGM 100:2008, G.4.1).
//!
//! SI units. Assumes drops of one configuration on one day. The parts of the [`Estimate`] carry ledger ids, so that
//! what is truly shared cancels in ratios. Not here: density and mass, which belong to drag areas.

mod odd;
mod side_wind;

pub use crate::stats::random_effects::ScatterPrior;
pub use side_wind::slowed_by_side_wind;

use crate::finding::{Code, Finding, Subject};
use crate::ledger::{Estimate, LedgerId};
use crate::maths::{exp, ln, sqrt};
use crate::quantity::Velocity;
use crate::rates::DropRate;
use crate::stats::distribution::coverage_factor;
use crate::stats::random_effects::{self, Between, OfTheMean};
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

/// Settings of pooling; the defaults are stated judgements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolConfig {
    /// Scatter between drops, stated beforehand.
    pub scatter: ScatterPrior,
    /// A drop is odd when so far a difference has at most this chance.
    pub odd_chance: f64,
    /// A drop is not odd within this relative difference.
    pub odd_least: f64,
    /// Two groups differ by at least this share.
    pub group_least: f64,
    /// Two groups differ by at least so many standard deviations of their difference.
    pub group_times: f64,
}

impl Default for PoolConfig {
    fn default() -> Self {
        PoolConfig {
            scatter: ScatterPrior { standard_deviation: 0.03, degrees_of_freedom: 4.0 },
            odd_chance: 0.02,
            odd_least: 0.06,
            group_least: 0.08,
            group_times: 5.0,
        }
    }
}

/// One cause of doubt that all drops of a session share.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedPart {
    /// Its entry in the ledger.
    pub id: LedgerId,
    /// Its standard uncertainty in the rate.
    pub spread: SharedSpread,
    /// Degrees of freedom behind it; infinite for a stated spread.
    pub degrees_of_freedom: f64,
}

/// A standard uncertainty in a rate, by itself or as a share of the rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SharedSpread {
    /// A speed, whatever the rate: air that rises or sinks for minutes.
    Speed(Velocity),
    /// A share of the rate: a scale, a clock.
    Share(f64),
}

/// The spreads that hold where nobody says better: one place for ledger, program and coverage.
pub mod defaults {
    /// Air that rises or sinks for the minutes of a session, m/s (judgement: 1 to 2 % of a usual rate).
    pub const SLOW_AIR_M_PER_S: f64 = 0.05;
    /// Rate of a logger's clock, as a share (judgement: a ceramic resonator is good to 0.5 %, a crystal far better).
    pub const CLOCK_SHARE: f64 = 0.001;
    /// Height scale once the day's temperature is known to about 1 K, as a share (1 K in 288 K).
    pub const HEIGHT_SCALE_SHARE: f64 = 0.0035;
    /// Height scale when the day's temperature is not known: 10 K in 288 K.
    pub const HEIGHT_SCALE_UNKNOWN_DAY_SHARE: f64 = 0.035;
}

/// What a session's drops share, with the default spreads and ledger ids under `session.NAME`.
pub fn shared_by_default(session: &str, height_scale_share: f64) -> Vec<SharedPart> {
    let part = |name: &str, spread: SharedSpread| SharedPart {
        id: LedgerId::from(format!("session.{session}.{name}")),
        spread,
        degrees_of_freedom: f64::INFINITY,
    };
    vec![
        part("slow-air", SharedSpread::Speed(Velocity::new::<meter_per_second>(defaults::SLOW_AIR_M_PER_S))),
        part("height-scale", SharedSpread::Share(height_scale_share)),
        part("clock", SharedSpread::Share(defaults::CLOCK_SHARE)),
    ]
}

/// Whether a drop is to be used: decided here, or by the person.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// Decide here.
    Automatic,
    /// The person keeps it, odd or not.
    Keep,
    /// The person sets it aside, for a reason.
    SetAside(String),
}

/// A drop to be pooled.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate<'a> {
    /// Name of its recording, for findings.
    pub recording: &'a str,
    /// The drop.
    pub drop: &'a DropRate,
    /// Whether it is to be used.
    pub wanted: Wanted,
}

/// What became of a drop.
#[derive(Clone, Debug, PartialEq)]
pub enum Fate {
    /// It is in the pooled rate.
    Kept,
    /// It has no rate.
    NoRate,
    /// The person set it aside.
    SetAside(String),
    /// It was set aside here, for the reason given.
    Odd(String),
}

/// The pooled rate of a configuration.
#[derive(Clone, Debug, PartialEq)]
pub struct Pooled {
    /// Rate of descent in m/s, positive down, with its parts by cause: `NAME.between-drops`, `NAME.fits`,
    /// `NAME.filling` and the shared ids.
    pub rate: Estimate,
    /// 95 % interval.
    pub interval_95: (Velocity, Velocity),
    /// How many drops are in it.
    pub drops_kept: usize,
    /// Scatter between drops used, as a share of the rate (standard deviation).
    pub scatter_share: f64,
}

/// The outcome of pooling.
#[derive(Clone, Debug, PartialEq)]
pub struct Pooling {
    /// The pooled rate; `None` without a drop that has a rate and is kept.
    pub pooled: Option<Pooled>,
    /// One for each candidate, in their order.
    pub fates: Vec<Fate>,
    /// Two groups of candidates by number, slower first, where the rates fall into two: the pooled rate is then the
    /// mean of unlike things.
    pub groups: Option<(Vec<usize>, Vec<usize>)>,
    /// Odd drops and groups.
    pub findings: Vec<Finding>,
}

/// Pools drops of the configuration `name`.
pub fn pool(name: &str, drops: &[Candidate<'_>], shared: &[SharedPart], cfg: &PoolConfig) -> Pooling {
    let mut findings = Vec::new();
    let mut fates: Vec<Fate> = drops
        .iter()
        .map(|candidate| match (&candidate.wanted, candidate.drop.rate()) {
            (Wanted::SetAside(reason), _) => Fate::SetAside(reason.clone()),
            (_, None) => Fate::NoRate,
            _ => Fate::Kept,
        })
        .collect();
    let used: Vec<usize> = (0..drops.len()).filter(|&i| fates[i] == Fate::Kept).collect();
    let value = |i: usize| drops[i].drop.rate().expect("kept drops have a rate");
    let log_rate = |i: usize| ln(value(i).rate.get::<meter_per_second>());
    let alike = |i: usize| (value(i).alike / value(i).rate).value;
    let own = |i: usize| (value(i).standard_uncertainty / value(i).rate).value.powi(2) - alike(i).powi(2);
    let values: Vec<f64> = used.iter().map(|&i| log_rate(i)).collect();
    let variances: Vec<f64> = used.iter().map(|&i| own(i)).collect();
    let named = |part: Vec<usize>| part.into_iter().map(|j| used[j]).collect::<Vec<usize>>();
    let groups = odd::groups(&values, &variances, cfg).map(|(slow, fast)| (named(slow), named(fast)));
    if let Some((slow, fast)) = &groups {
        let side = |part: &[usize]| describe(part.iter().map(|&i| &drops[i]));
        let message = format!("the rates form two groups: {}, and {}", side(slow), side(fast));
        findings.push(Finding::new(Code::PoolTwoGroups, Subject::Whole, message));
    } else {
        for j in odd::odd(&values, &variances, cfg) {
            let i = used[j];
            if drops[i].wanted == Wanted::Keep {
                continue;
            }
            let others: Vec<f64> = used.iter().filter(|&&o| o != i).map(|&o| log_rate(o)).collect();
            let usual = exp(others.iter().sum::<f64>() / others.len() as f64);
            let rate = value(i).rate.get::<meter_per_second>();
            let reason = format!("falls at {rate:.2} m/s where the others fall at about {usual:.2} m/s");
            let subject = Subject::Drop {
                recording: drops[i].recording.to_owned(),
                release_ms: (drops[i].drop.release.get::<second>() * 1000.0).round() as i64,
            };
            findings.push(Finding::new(Code::PoolOddDrop, subject, format!("it {reason}")));
            fates[i] = Fate::Odd(reason);
        }
    }
    let kept: Vec<usize> = used.into_iter().filter(|&i| fates[i] == Fate::Kept).collect();
    let pooled = (!kept.is_empty()).then(|| {
        let values: Vec<f64> = kept.iter().map(|&i| log_rate(i)).collect();
        let variances: Vec<f64> = kept.iter().map(|&i| own(i)).collect();
        let own_dof = kept.iter().map(|&i| value(i).degrees_of_freedom).sum::<f64>();
        let alikes: Vec<f64> = kept.iter().map(|&i| alike(i)).collect();
        finish(name, (&values, &variances, &alikes), own_dof, shared, cfg)
    });
    Pooling { pooled, fates, groups, findings }
}

/// "4.01 m/s (12.3 s, 55.0 s)".
fn describe<'a>(drops: impl Iterator<Item = &'a Candidate<'a>> + Clone) -> String {
    let rates = drops.clone().filter_map(|c| c.drop.rate()).map(|r| r.rate.get::<meter_per_second>());
    let n = drops.clone().count() as f64;
    let times: Vec<String> =
        drops.map(|c| format!("{} at {:.1} s", c.recording, c.drop.release.get::<second>())).collect();
    format!("{:.2} m/s ({})", rates.sum::<f64>() / n, times.join(", "))
}

fn finish(
    name: &str,
    (values, variances, alikes): (&[f64], &[f64], &[f64]),
    own_dof: f64,
    shared: &[SharedPart],
    cfg: &PoolConfig,
) -> Pooled {
    let pool = pool_logs(values, variances, cfg.scatter);
    let rate_m_per_s = exp(pool.mean);
    let scatter_variance = pool.standard_error * pool.standard_error - pool.own_variance;
    let mut rate = Estimate::exact(rate_m_per_s)
        .with(
            format!("{name}.between-drops"),
            rate_m_per_s * sqrt(scatter_variance.max(0.0)),
            pool.degrees_of_freedom,
        )
        .with(format!("{name}.fits"), rate_m_per_s * sqrt(pool.own_variance), own_dof.max(1.0));
    let weights: Vec<f64> = variances.iter().map(|s2| 1.0 / (s2 + pool.between_variance)).collect();
    let alike = weights.iter().zip(alikes).map(|(w, a)| w * a).sum::<f64>() / weights.iter().sum::<f64>();
    rate = rate.with(format!("{name}.filling"), rate_m_per_s * alike, own_dof.max(1.0));
    for part in shared {
        let spread = match part.spread {
            SharedSpread::Speed(speed) => speed.get::<meter_per_second>(),
            SharedSpread::Share(share) => share * rate_m_per_s,
        };
        rate = rate.with(part.id.clone(), spread, part.degrees_of_freedom);
    }
    let reach = student_95(rate.dof()) * rate.standard_uncertainty() / rate_m_per_s;
    let interval_95 = (
        Velocity::new::<meter_per_second>(rate_m_per_s * exp(-reach)),
        Velocity::new::<meter_per_second>(rate_m_per_s * exp(reach)),
    );
    Pooled { rate, interval_95, drops_kept: values.len(), scatter_share: sqrt(pool.between_variance) }
}

/// Pools logarithms of rates, the scatter between them partly as stated beforehand.
fn pool_logs(values: &[f64], variances: &[f64], prior: ScatterPrior) -> random_effects::Pooled {
    let between = Between::PauleMandelWith(prior);
    random_effects::pool(values, variances, between, OfTheMean::HartungKnappAtLeastOne)
        .expect("at least one rate, and a scatter that is stated")
}

/// The two-sided 95 % point of Student's t, for at least one degree of freedom.
pub fn student_95(degrees_of_freedom: f64) -> f64 {
    coverage_factor(0.95, degrees_of_freedom.max(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Time;
    use crate::rates::{Answer, Rate, Reading};

    fn drop(release_s: f64, rate: f64) -> DropRate {
        DropRate {
            release: Time::new::<second>(release_s),
            steady_from: None,
            steady_to: None,
            ground: None,
            answer: Answer::Rate(Rate {
                rate: Velocity::new::<meter_per_second>(rate),
                standard_uncertainty: Velocity::new::<meter_per_second>(0.01 * rate),
                alike: Velocity::new::<meter_per_second>(0.0),
                degrees_of_freedom: 40.0,
                gust_scatter: Velocity::new::<meter_per_second>(0.0),
                reference_density: None,
            }),
            gravity: None,
            reading: Reading::Blocks,
            findings: Vec::new(),
        }
    }

    fn candidates(drops: &[DropRate]) -> Vec<Candidate<'_>> {
        drops.iter().map(|drop| Candidate { recording: "a.csv", drop, wanted: Wanted::Automatic }).collect()
    }

    #[test]
    fn one_drop_takes_the_stated_scatter_and_what_is_shared_comes_once() {
        let drops = [drop(10.0, 4.0)];
        let shared = shared_by_default("may", defaults::HEIGHT_SCALE_SHARE);
        let pooled = pool("two", &candidates(&drops), &shared, &PoolConfig::default()).pooled.unwrap();
        // 3 % of 4 m/s between drops, 1 % the fit's own, 0.05 m/s of slow air, 0.35 % and 0.1 % of 4 m/s.
        let expected =
            sqrt(0.12f64.powi(2) + 0.04f64.powi(2) + 0.05f64.powi(2) + 0.014f64.powi(2) + 0.004f64.powi(2));
        assert!((pooled.rate.standard_uncertainty() - expected).abs() < 1e-9);
        let eight: Vec<DropRate> = (0..8).map(|i| drop(f64::from(i), 4.0)).collect();
        let many = pool("two", &candidates(&eight), &shared, &PoolConfig::default()).pooled.unwrap();
        assert!(many.rate.standard_uncertainty() > 0.05, "slow air does not average out");
        assert!(many.rate.standard_uncertainty() < 0.07);
    }

    /// The drop with another doubt of its fit, and the part of it that all fits share, as shares of the rate.
    fn doubted(mut drop: DropRate, share: f64, alike: f64, degrees_of_freedom: f64) -> DropRate {
        let Answer::Rate(rate) = &mut drop.answer else { panic!("a rate") };
        (rate.standard_uncertainty, rate.alike) = (share * rate.rate, alike * rate.rate);
        rate.degrees_of_freedom = degrees_of_freedom;
        drop
    }

    /// Where the rates are equal, τ² = ν τ₀²/(k − 1 + ν) whatever the variances, and all else follows by hand.
    #[test]
    fn equal_rates_of_unequal_fits_pool_as_the_closed_form_says() {
        let drops = [doubted(drop(1.0, 4.0), 0.05, 0.03, 7.0), doubted(drop(9.0, 4.0), 0.013, 0.005, 11.0)];
        let pooled = pool("two", &candidates(&drops), &[], &PoolConfig::default()).pooled.unwrap();
        let tau2 = 4.0 * 0.03 * 0.03 / (1.0 + 4.0);
        let own = [0.04 * 0.04, 0.012 * 0.012];
        let weight = own.map(|own| 1.0 / (own + tau2));
        let sum = weight[0] + weight[1];
        let of_fits = (own[0] * weight[0] * weight[0] + own[1] * weight[1] * weight[1]) / (sum * sum);
        let filling = (0.03 * weight[0] + 0.005 * weight[1]) / sum;
        for (id, share, dof) in [
            ("two.between-drops", sqrt(1.0 / sum - of_fits), 5.0),
            ("two.fits", sqrt(of_fits), 18.0),
            ("two.filling", filling, 18.0),
        ] {
            let part = pooled.rate.parts[&LedgerId::from(id)];
            assert!((part.signed / (4.0 * share) - 1.0).abs() < 1e-9, "{id}: {} of {share}", part.signed);
            assert!((part.dof - dof).abs() < 1e-9, "{id}: {}", part.dof);
        }
        assert!((pooled.rate.value - 4.0).abs() < 1e-12);
        assert!((pooled.scatter_share - sqrt(tau2)).abs() < 1e-9);
    }

    #[test]
    fn the_interval_is_students_about_the_logarithm() {
        let exact = [doubted(drop(1.0, 4.0), 0.0, 0.0, 40.0)];
        let pooled = pool("two", &candidates(&exact), &[], &PoolConfig::default()).pooled.unwrap();
        // Only the stated scatter is left: 3 % with 4 degrees of freedom, t = 2.776 (JCGM 100:2008, table G.2, from memory).
        let (low, high) = pooled.interval_95;
        assert!((low.get::<meter_per_second>() - 4.0 * exp(-2.776 * 0.03)).abs() < 1e-4, "{low:?}");
        assert!((high.get::<meter_per_second>() - 4.0 * exp(2.776 * 0.03)).abs() < 1e-4, "{high:?}");
    }

    #[test]
    fn a_drop_without_a_rate_is_named_as_such_and_pools_nothing() {
        let mut drops = [drop(1.0, 4.0), drop(50.0, 9.0), drop(90.0, 4.0)];
        drops[1].answer = Answer::Nothing;
        let pooling = pool("two", &candidates(&drops), &[], &PoolConfig::default());
        assert_eq!(pooling.fates, [Fate::Kept, Fate::NoRate, Fate::Kept]);
        let pooled = pooling.pooled.unwrap();
        assert_eq!(pooled.drops_kept, 2);
        assert!((pooled.rate.value - 4.0).abs() < 1e-12);
    }

    #[test]
    fn an_odd_drop_is_set_aside_in_the_open_and_can_be_taken_back() {
        let drops = [drop(1.0, 4.0), drop(50.0, 4.05), drop(90.0, 5.0), drop(130.0, 3.97), drop(160.0, 4.02)];
        let mut given = candidates(&drops);
        let pooling = pool("two", &given, &[], &PoolConfig::default());
        assert!(matches!(pooling.fates[2], Fate::Odd(_)));
        assert_eq!(pooling.findings.len(), 1);
        // The others' geometric mean is 4.0099 m/s.
        assert_eq!(
            pooling.findings[0].message,
            "it falls at 5.00 m/s where the others fall at about 4.01 m/s"
        );
        let subject = Subject::Drop { recording: "a.csv".to_owned(), release_ms: 90_000 };
        assert_eq!(pooling.findings[0].subject, subject);
        assert_eq!(pooling.pooled.unwrap().drops_kept, 4);
        given[2].wanted = Wanted::Keep;
        assert_eq!(pool("two", &given, &[], &PoolConfig::default()).pooled.unwrap().drops_kept, 5);
        given[0].wanted = Wanted::SetAside("lines tangled".into());
        assert_eq!(pool("two", &given, &[], &PoolConfig::default()).pooled.unwrap().drops_kept, 4);
    }

    #[test]
    fn two_configurations_are_named_and_not_averaged_in_silence() {
        let drops: Vec<DropRate> = [4.0, 4.03, 3.96, 3.0, 3.02, 2.97]
            .iter()
            .enumerate()
            .map(|(i, v)| drop(40.0 * i as f64, *v))
            .collect();
        let pooling = pool("two", &candidates(&drops), &[], &PoolConfig::default());
        assert_eq!(pooling.findings.len(), 1);
        assert_eq!(pooling.findings[0].code, Code::PoolTwoGroups);
        let text = &pooling.findings[0].message;
        assert!(text.contains("3.00 m/s") && text.contains("4.00 m/s") && text.contains("120.0 s"), "{text}");
        assert!(pool("two", &[], &[], &PoolConfig::default()).pooled.is_none());
    }

    #[test]
    fn student_points_as_tabled() {
        // JCGM 100:2008, table G.2, from memory of that table: 2.78 at 4, 2.23 at 10.
        assert!((student_95(4.0) - 2.78).abs() < 0.005 && (student_95(10.0) - 2.23).abs() < 0.005);
        assert!((student_95(1e5) - student_95(f64::INFINITY)).abs() < 1e-4);
    }
}
