//! The drops of one configuration on one day: from recordings to the pooled rate with its parts by ledger entry.
//!
//! find → the same fall twice counts once → fit together → pool → ask for gross faults. `reduce` works one configuration so, a project one
//! for each test with recordings. What the drops of a session share enters once, by its id in the ledger: slow air,
//! the clock, the logger's height scale and, through true height, the day's air.

use silkfall_core::air::{AirError, Contribution, SiteAir, site};
use silkfall_core::drops::{self, Fall, FindConfig, Noise};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::height::{self, LoggerScale};
use silkfall_core::ledger::{Distribution, Entry, LedgerId, Sharing, Trust};
use silkfall_core::maths::sqrt;
use silkfall_core::pooling::{
    self, Candidate, Fate, PoolConfig, Pooled, SharedPart, SharedSpread, Wanted, defaults,
};
use silkfall_core::quantity::Velocity;
use silkfall_core::rates::{self, Answer, DropRate, RateConfig};
use silkfall_core::recording::Channel;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::ratio::ratio;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

use super::options::{Input, clock};
use super::{drop_line, twins};
use crate::place;
use crate::reduction::ReducedRecording;

/// A spread as stated, or the default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Said {
    /// By the person.
    Given(f64),
    /// Nothing was said.
    Default,
}

impl Said {
    fn or(self, default: f64) -> (f64, Trust) {
        match self {
            Said::Given(spread) => (spread, Trust::Given),
            Said::Default => (default, Trust::Assumed("the usual spread, nothing is stated".to_owned())),
        }
    }
}

/// What the drops of a session share, as standard uncertainties about zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spreads {
    /// Air that rises or sinks for minutes, m/s.
    pub slow_air_m_per_s: Said,
    /// The logger's clock, relative.
    pub clock: Said,
    /// The logger's heights beyond what the air explains, relative.
    pub height_scale: Said,
    /// Mean wind near the ground; `None` where it is not stated, and nothing is made of it.
    pub wind: Option<Velocity>,
}

impl Spreads {
    /// Nothing is stated.
    pub const DEFAULT: Spreads = Spreads {
        slow_air_m_per_s: Said::Default,
        clock: Said::Default,
        height_scale: Said::Default,
        wind: None,
    };
}

/// What the person said of one drop.
pub(crate) struct SaidOfDrop {
    /// Whether it is looked at.
    pub looked_at: bool,
    /// Whether it counts.
    pub wanted: Wanted,
    /// A window of their own.
    pub window: Option<rates::Window>,
    /// What its rate is multiplied by to stand for the configuration's mass: √(m/m_drop).
    pub rate_factor: f64,
}

/// One configuration to work.
pub(crate) struct Job<'a> {
    /// Prefix of its own ledger ids: `test.two`.
    pub name: &'a str,
    /// What the configuration is called where there are several; `None` where there is one.
    pub test: Option<&'a str>,
    /// Prefix of what its session shares: `session.may`.
    pub session: &'a str,
    /// What the session is called where there are several; `None` where there is one.
    pub day: Option<&'a str>,
    /// The day's air.
    pub air: &'a SiteAir,
    /// What the drops of the session share.
    pub spreads: Spreads,
    /// Its recordings.
    pub inputs: &'a [&'a Input],
    /// What was said of the drop in this recording between these times, s.
    pub said: &'a (dyn Fn(usize, f64, f64) -> SaidOfDrop + Sync),
}

/// One configuration, worked.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Worked {
    /// Its recordings with their drops.
    pub recordings: Vec<ReducedRecording>,
    /// Its rate in m/s, with parts by ledger id.
    pub pooled: Option<Pooled>,
    /// Drops in two groups, slower first, each as (recording, drop).
    pub groups: Option<(Vec<DropIndex>, Vec<DropIndex>)>,
    /// Entries of the ledger that the rate rests on.
    pub entries: Vec<(LedgerId, Entry)>,
    /// Density that the rate is referred to where it is not the place's, kg/m³.
    pub reference_density_kg_m3: Option<f64>,
    /// True over recorded height by recording.
    pub height_factors: Vec<f64>,
    /// Relative standard uncertainty of true heights.
    pub height_relative_uncertainty: f64,
    /// All findings with their places, drops' included.
    pub findings: Vec<Finding>,
}

impl Worked {
    /// Drops kept and drops set aside.
    pub fn counts(&self) -> (usize, usize) {
        let drops = || self.recordings.iter().flat_map(|recording| &recording.drops);
        (drops().filter(|drop| drop.kept).count(), drops().filter(|drop| drop.set_aside.is_some()).count())
    }
}

/// A drop by the number of its recording and its own within that.
pub(crate) type DropIndex = (usize, usize);

/// A fall in its recording.
struct Found {
    recording: usize,
    fall: Fall,
    said: SaidOfDrop,
    /// The earlier fall it is a copy of.
    twin: Option<usize>,
}

/// Works the drops of one configuration.
pub(crate) fn work(job: &Job<'_>) -> Worked {
    let mut findings: Vec<Finding> = Vec::new();
    let mut noises: Vec<Noise> = Vec::new();
    let mut recordings: Vec<ReducedRecording> = Vec::new();
    let mut found: Vec<Found> = Vec::new();
    for (number, input) in job.inputs.iter().enumerate() {
        let recording = &input.recording;
        findings.extend(input.findings.iter().cloned());
        let looked = drops::find(recording, &FindConfig::default());
        recordings.push(drop_line::recording(input, &looked));
        let drops::Found { falls, noise, findings: noticed, .. } = looked;
        noises.push(noise);
        if recording.is_empty() {
            continue;
        }
        findings.extend(noticed);
        if falls.is_empty() {
            let about = Subject::Recording(recording.name.clone());
            let message = "no drop is in it: nothing falls that was not lowered or carried";
            findings.push(
                Finding::new(Code::DropNone, about, message)
                    .hint("check that the right column is read, in its right unit"),
            );
        }
        for fall in falls {
            let end = fall.ground.unwrap_or(fall.last);
            let said = (job.said)(number, recording.time_s[fall.release], recording.time_s[end]);
            if said.looked_at {
                found.push(Found { recording: number, fall, said, twin: None });
            }
        }
    }
    mark_twins(job, &mut found, &mut findings);

    let scales: Vec<Scale> = job.inputs.iter().map(|input| scale(job, input, &mut findings)).collect();
    let own: Vec<usize> = (0..found.len()).filter(|&i| found[i].twin.is_none()).collect();
    let given: Vec<rates::Given<'_>> = own
        .iter()
        .map(|&i| rates::Given {
            recording: &job.inputs[found[i].recording].recording,
            fall: &found[i].fall,
            noise: &noises[found[i].recording],
            scale: rates::HeightScale { factor: scales[found[i].recording].factor },
            window: found[i].said.window,
        })
        .collect();
    let mut fitted = rates::fit_together(&given, &RateConfig::default());
    let mut slowed = 0.0;
    for (drop, &i) in fitted.iter_mut().zip(&own) {
        let of_drop = slowed_by_wind(drop, job.spreads.wind);
        referred(drop, found[i].said.rate_factor * (1.0 + of_drop));
        slowed += of_drop / own.len() as f64;
    }
    let (shared, mut entries) = shared(job, &found, &own, &scales, slowed);
    let candidates: Vec<Candidate<'_>> = fitted
        .iter()
        .zip(&own)
        .map(|(drop, &i)| Candidate {
            recording: &job.inputs[found[i].recording].recording.name,
            drop,
            wanted: found[i].said.wanted.clone(),
        })
        .collect();
    let pooling = pooling::pool(job.name, &candidates, &shared, &PoolConfig::default());
    findings.extend(fitted.iter().flat_map(|drop| drop.findings.iter().cloned()));
    findings.extend(pooling.findings);
    for (number, input) in job.inputs.iter().enumerate() {
        let counts = |j: &usize| {
            found[own[*j]].recording == number && matches!(pooling.fates[*j], Fate::Kept | Fate::NoRate)
        };
        let seen: Vec<_> = (0..own.len()).filter(counts).filter_map(|j| fitted[j].gravity).collect();
        findings.extend(rates::check_gravity(&seen, &Subject::Recording(input.recording.name.clone())));
    }
    if let Some(pooled) = &pooling.pooled {
        entries.extend(own_entries(job.name, job.test, pooled));
    }
    for finding in &mut findings {
        name_drop(finding, job, &found);
        place::in_recordings(finding, job.inputs);
    }

    let mut indices = Vec::new();
    for (i, drop) in found.iter().enumerate() {
        let source = drop.twin.unwrap_or(i);
        let j = own.binary_search(&source).expect("a twin's source is no twin itself");
        let fate = match drop.twin {
            Some(first) => {
                let name = &job.inputs[found[first].recording].recording.name;
                Fate::SetAside(format!("it also stands in {name} and counts once"))
            }
            None => pooling.fates[j].clone(),
        };
        let letter = drop_line::letter(i);
        let input = job.inputs[drop.recording];
        let line = drop_line::Line {
            letter,
            input,
            fall: &drop.fall,
            scale: scales[drop.recording].factor,
            rate: &fitted[j],
            is_twin: drop.twin.is_some(),
            fate,
            findings: &findings,
        };
        recordings[drop.recording].drops.push(line.drop());
        indices.push((drop.recording, recordings[drop.recording].drops.len() - 1));
    }
    let named = |part: Vec<usize>| part.into_iter().map(|j| indices[own[j]]).collect();
    Worked {
        recordings,
        reference_density_kg_m3: reference_density(&fitted),
        height_factors: scales.iter().map(|scale| scale.factor).collect(),
        height_relative_uncertainty: height_doubt(&shared, job.session),
        pooled: pooling.pooled,
        groups: pooling.groups.map(|(slow, fast)| (named(slow), named(fast))),
        entries,
        findings,
    }
}

/// Says which drop a finding is about by its letter and clock time, as the table of drops does.
fn name_drop(finding: &mut Finding, job: &Job<'_>, found: &[Found]) {
    let is_it = |f: &Found| subject(&job.inputs[f.recording].recording, &f.fall) == finding.subject;
    if let Some(i) = found.iter().position(is_it) {
        let release_s = job.inputs[found[i].recording].recording.time_s[found[i].fall.release];
        let (letter, at) = (drop_line::letter(i), clock(release_s));
        finding.message = format!("drop {letter}, let go at {at}: {}", finding.message);
    }
}

/// Marks falls that stand in an earlier recording too.
fn mark_twins(job: &Job<'_>, found: &mut [Found], findings: &mut Vec<Finding>) {
    for i in 0..found.len() {
        let at = |f: &Found| &job.inputs[f.recording].recording;
        let twin = (0..i).find(|&j| {
            found[j].twin.is_none()
                && found[j].recording != found[i].recording
                && twins::same((at(&found[j]), &found[j].fall), (at(&found[i]), &found[i].fall))
        });
        if let Some(first) = twin {
            let (recording, earlier) = (at(&found[i]), at(&found[first]));
            let message = format!(
                "it also stands in {}, let go at {}, and counts once",
                earlier.name,
                clock(earlier.time_s[found[first].fall.release])
            );
            findings.push(Finding::new(Code::PoolSameFall, subject(recording, &found[i].fall), message));
            found[i].twin = Some(first);
        }
    }
}

fn subject(recording: &silkfall_core::recording::Recording, fall: &Fall) -> Subject {
    let release_ms = (recording.time_s[fall.release] * 1000.0).round() as i64;
    Subject::Drop { recording: recording.name.clone(), release_ms }
}

/// True over recorded heights of one recording.
struct Scale {
    factor: f64,
    contributions: Vec<Contribution>,
    /// Whether heights come from pressure.
    barometric: bool,
}

fn scale(job: &Job<'_>, input: &Input, findings: &mut Vec<Finding>) -> Scale {
    let logger = match input.recording.channel {
        Channel::TrueHeight => return Scale { factor: 1.0, contributions: Vec::new(), barometric: false },
        Channel::Pressure => LoggerScale::StandardFromSeaLevel,
        Channel::PressureHeight => LoggerScale::NotKnown,
    };
    let about = Subject::Key(job.session.to_owned());
    let worked = height::scale(job.air, logger, &about).unwrap_or_else(|error| {
        findings.push(impossible(&error, &about));
        height::scale(&SiteAir::UNKNOWN, logger, &about)
            .expect("the air assumed where nothing is known is one")
    });
    for finding in worked.findings {
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
    Scale { factor: worked.factor.get::<ratio>(), contributions: worked.contributions, barometric: true }
}

/// The finding for air that cannot be.
pub(crate) fn impossible(error: &AirError, about: &Subject) -> Finding {
    Finding::new(Code::AirImpossible, about.clone(), error.to_string())
}

/// The share by which the day's wind is expected to have slowed a drop.
fn slowed_by_wind(drop: &DropRate, wind: Option<Velocity>) -> f64 {
    match (drop.rate(), wind) {
        (Some(rate), Some(wind)) => pooling::slowed_by_side_wind(rate.rate, wind),
        _ => 0.0,
    }
}

/// The rate in air at rest, referred to the configuration's mass.
fn referred(drop: &mut DropRate, factor: f64) {
    match &mut drop.answer {
        Answer::Rate(rate) => {
            rate.rate *= factor;
            rate.standard_uncertainty *= factor;
            rate.gust_scatter *= factor;
        }
        Answer::AtLeast(bound) | Answer::AtMost(bound) => *bound *= factor,
        Answer::Nothing => {}
    }
}

/// What the drops share. A cause that is in some recordings only (two loggers) counts with its share of the drops. `slowed` is
/// the share by which the wind slowed them and which was put right.
fn shared(
    job: &Job<'_>,
    found: &[Found],
    own: &[usize],
    scales: &[Scale],
    slowed: f64,
) -> (Vec<SharedPart>, Vec<(LedgerId, Entry)>) {
    let mut parts: Vec<SharedPart> = Vec::new();
    let mut entries = Vec::new();
    let mut add = |id: LedgerId, spread: SharedSpread, entry: Entry| match (
        parts.iter_mut().find(|part| part.id == id),
        spread,
    ) {
        (Some(SharedPart { spread: SharedSpread::Share(sum), .. }), SharedSpread::Share(more)) => {
            *sum += more
        }
        _ => {
            parts.push(SharedPart { id: id.clone(), spread, degrees_of_freedom: f64::INFINITY });
            entries.push((id, entry));
        }
    };
    let entry = |meaning: &str, sd: f64, trust: Trust| Entry {
        meaning: meaning.to_owned(),
        value: 0.0,
        distribution: Distribution::Normal { sd },
        sharing: Sharing::Knowledge,
        trust,
    };
    let id = |name: &str| LedgerId(format!("{}.{name}", job.session));
    let of_day = |meaning: &str| match job.day {
        Some(day) => format!("{meaning}, {day}"),
        None => meaning.to_owned(),
    };
    let (slow, trust) = job.spreads.slow_air_m_per_s.or(defaults::SLOW_AIR_M_PER_S);
    let speed = SharedSpread::Speed(Velocity::new::<meter_per_second>(slow));
    add(id("slow-air"), speed, entry(&of_day("slow air, shared by all drops"), slow, trust));
    let (clock, trust) = job.spreads.clock.or(defaults::CLOCK_SHARE);
    add(id("clock"), SharedSpread::Share(clock), entry(&of_day("the logger's clock"), clock, trust));
    if slowed > 0.0 {
        let entry = Entry {
            meaning: of_day("gusts from the side, which slow a canopy"),
            value: slowed,
            distribution: Distribution::Rectangular { low: 0.0, high: 2.0 * slowed },
            sharing: Sharing::Knowledge,
            trust: Trust::Assumed("gusts of a quarter of the stated wind, a judgement of ours".to_owned()),
        };
        add(id("side-wind"), SharedSpread::Share(slowed / sqrt(3.0)), entry);
    }
    let weight = 1.0 / own.len().max(1) as f64;
    for &i in own {
        let scale = &scales[found[i].recording];
        if scale.barometric {
            let (share, trust) = job.spreads.height_scale.or(defaults::HEIGHT_SCALE_SHARE);
            let entry = entry(&of_day("the logger's heights"), share, trust);
            add(id("height-scale"), SharedSpread::Share(share * weight), entry);
        }
        for contribution in &scale.contributions {
            let share = contribution.relative.get::<ratio>() * weight;
            add(
                contribution.ledger_id(job.session),
                SharedSpread::Share(share),
                named(contribution, job.day),
            );
        }
    }
    (parts, entries)
}

/// The entry of an input of the air, with the name of its day where there are several.
pub(crate) fn named(contribution: &Contribution, day: Option<&str>) -> Entry {
    let entry = contribution.entry();
    match day {
        Some(day) => Entry { meaning: format!("{}, {day}", entry.meaning), ..entry },
        None => entry,
    }
}

/// Root sum of squares of what all heights share: everything that scales a rate but the clock and the wind.
fn height_doubt(shared: &[SharedPart], session: &str) -> f64 {
    let others = ["clock", "side-wind"].map(|name| LedgerId(format!("{session}.{name}")));
    let square = |part: &SharedPart| match part.spread {
        SharedSpread::Share(share) if !others.contains(&part.id) => share * share,
        _ => 0.0,
    };
    sqrt(shared.iter().map(square).sum())
}

/// Entries of what is this configuration's own.
fn own_entries(name: &str, test: Option<&str>, pooled: &Pooled) -> impl Iterator<Item = (LedgerId, Entry)> {
    let entry = move |key: &str, meaning: &str| {
        let id = LedgerId(format!("{name}.{key}"));
        let part = pooled.rate.parts.get(&id)?;
        let distribution =
            Distribution::LogT { scale_log: part.signed.abs() / pooled.rate.value, dof: part.dof.max(1.0) };
        let meaning = match test {
            Some(test) => format!("{meaning}, {test}"),
            None => meaning.to_owned(),
        };
        Some((
            id,
            Entry { meaning, value: 1.0, distribution, sharing: Sharing::Knowledge, trust: Trust::Measured },
        ))
    };
    [
        ("between-drops", "between the drops"),
        ("fits", "noise and steps of the logger"),
        ("filling", "how the canopy fills"),
    ]
    .into_iter()
    .filter_map(move |(key, meaning)| entry(key, meaning))
}

fn reference_density(drops: &[DropRate]) -> Option<f64> {
    drops
        .iter()
        .filter_map(DropRate::rate)
        .find_map(|rate| rate.reference_density)
        .map(|density| density.get::<kilogram_per_cubic_meter>())
}

/// Density of the day's air, kg/m³, or of the air assumed where nothing, or nothing possible, is stated.
pub(crate) fn day_density(air: &SiteAir, about: &Subject, findings: &mut Vec<Finding>) -> site::SiteDensity {
    site::density(air, about).unwrap_or_else(|error| {
        findings.push(impossible(&error, about));
        site::density(&SiteAir::UNKNOWN, about).expect("the air assumed where nothing is known is one")
    })
}

/// Seconds of a core time.
pub(crate) fn seconds(time: silkfall_core::quantity::Time) -> f64 {
    time.get::<second>()
}
