//! `reduce`: recordings of one configuration in, drops and the pooled rate out; no project needed.
//!
//! The drops of all recordings are worked as one configuration on one day ([`configuration`]). What was not said is
//! taken as stated in the result, with its doubt by cause and the option that would take it away. Assumes that all
//! recordings are of one configuration: rates in two groups are said, with the command for each. SI units, times in
//! seconds from each recording's first sample.

pub(crate) mod configuration;
mod drop_line;
mod options;
mod twins;

pub use options::{DayAir, Input, Moment, ReduceOptions, Stretch, quoted};

use std::collections::BTreeMap;

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::{Code, Finding, Severity, Subject};
use silkfall_core::ledger::{Distribution, Ledger, LedgerId, Trust};
use silkfall_core::pooling::{Pooled, ScatterPrior, Wanted};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::velocity::meter_per_second;

use crate::doubts;
use crate::outcome::Outcome;
use crate::reduction::{Doubt, Group, PooledRate, ReducedDrop, ReducedRecording, Reduction};
use configuration::{DropIndex, Job, SaidOfDrop, Spreads, Worked};
use options::{clock, command_start, repeat};
use silkfall_core::drag::Interval;

const SESSION: &str = "session.day";
const CONFIGURATION: &str = "pooled";

/// Works recordings of one configuration.
///
/// A recording without samples or without a drop is in the result with what was found; without any drop that has a
/// rate the pooled rate is `None` and the outcome [`Outcome::NoAnswer`].
pub fn reduce(inputs: &[Input], options: &ReduceOptions) -> Reduction {
    let all: Vec<&Input> = inputs.iter().collect();
    let said = |recording: usize, from_s: f64, to_s: f64| {
        let name = &inputs[recording].recording.name;
        let middle_s = f64::midpoint(from_s, to_s);
        let named = |moments: &[Moment]| moments.iter().any(|moment| moment.is_in(name, from_s, to_s));
        SaidOfDrop {
            looked_at: options.between.as_ref().is_none_or(|b| (b.from_s..=b.to_s).contains(&middle_s)),
            wanted: match (named(&options.set_aside), named(&options.keep)) {
                (true, _) => Wanted::SetAside("as you said".to_owned()),
                (false, true) => Wanted::Keep,
                (false, false) => Wanted::Automatic,
            },
            window: None,
            rate_factor: 1.0,
        }
    };
    let air = options.air.site();
    let mut worked = configuration::work(&Job {
        name: CONFIGURATION,
        test: None,
        session: SESSION,
        day: None,
        air: &air,
        spreads: Spreads::DEFAULT,
        inputs: &all,
        said: &said,
    });
    unmet_moments(&mut worked, options);
    let mut ledger = Ledger::default();
    for (id, entry) in std::mem::take(&mut worked.entries) {
        ledger.enter(id, entry);
    }
    let groups = groups(&worked, inputs, options);
    for finding in &mut worked.findings {
        if finding.code == Code::PoolTwoGroups && !groups.is_empty() {
            let said = |group: &Group| format!("{:.2} m/s ({})", group.m_per_s, group.letters.join(", "));
            let sides: Vec<String> = groups.iter().map(said).collect();
            finding.message = format!("the rates form two groups: {}", sides.join(" and "));
            let each: Vec<&str> = groups.iter().map(|group| group.command.as_str()).collect();
            finding.hint = Some(format!("reduce each by itself: {}", each.join("; and ")));
        }
    }
    let (kept, aside) = worked.counts();
    let pooled = worked.pooled.as_ref().map(|pooled| {
        let density = worked.reference_density_kg_m3.or_else(|| {
            let is_stated = options.air.temperature.is_some();
            let about = Subject::Key(SESSION.to_owned());
            is_stated
                .then(|| configuration::day_density(&air, &about, &mut worked.findings))
                .map(|air| air.density.get::<kilogram_per_cubic_meter>())
        });
        pooled_rate(pooled, kept, aside, density)
    });
    let doubts = worked.pooled.as_ref().map(|pooled| doubts_of(pooled, kept, &ledger)).unwrap_or_default();
    let no_answer = pooled.is_none() || worked.findings.iter().any(|f| f.severity() == Severity::Error);
    let files: Vec<String> = inputs.iter().map(|input| quoted(&input.recording.name)).collect();
    // Two groups have a command each; a project comes after those.
    let next =
        (groups.is_empty() && pooled.is_some()).then(|| format!("new mytube --from {}", files.join(" ")));
    Reduction {
        hows: hows(&worked.recordings, kept, aside, pooled.is_some()),
        defaults: if pooled.is_some() { defaults(&ledger) } else { Vec::new() },
        recordings: worked.recordings,
        pooled,
        groups,
        doubts,
        repeat: repeat(inputs, options),
        next,
        findings: worked.findings,
        outcome: if no_answer { Outcome::NoAnswer } else { Outcome::Done },
    }
}

/// Moments that meet no drop are findings.
fn unmet_moments(worked: &mut Worked, options: &ReduceOptions) {
    for (option, moments) in [("--set-aside", &options.set_aside), ("--keep", &options.keep)] {
        for moment in moments {
            let meets = |recording: &ReducedRecording, drop: &ReducedDrop| {
                moment.is_in(&recording.path, drop.release_s, end_s(recording, drop))
            };
            let met = worked.recordings.iter().any(|r| r.drops.iter().any(|drop| meets(r, drop)));
            if !met {
                let message = format!("{option} {} meets no drop", moment.text);
                worked.findings.push(Finding::new(Code::DropNotMet, Subject::Whole, message));
            }
        }
    }
}

/// When a drop ends: on the ground, or where its last sample is.
fn end_s(recording: &ReducedRecording, drop: &ReducedDrop) -> f64 {
    let last = drop.trace.time_s.last().map(|t| drop.release_s + t);
    drop.ground_s.or(last).unwrap_or(recording.duration_s)
}

fn pooled_rate(pooled: &Pooled, kept: usize, aside: usize, density_kg_m3: Option<f64>) -> PooledRate {
    let (low, high) = pooled.interval_95;
    let dof = pooled.rate.dof();
    PooledRate {
        m_per_s: pooled.rate.value,
        standard_uncertainty_m_per_s: pooled.rate.standard_uncertainty(),
        degrees_of_freedom: dof.is_finite().then_some(dof),
        interval_95: Interval { low: low.get::<meter_per_second>(), high: high.get::<meter_per_second>() },
        drops_kept: kept,
        drops_set_aside: aside,
        reference_density_kg_m3: density_kg_m3,
        scatter_relative: pooled.scatter_share,
    }
}

/// Causes of doubt, with the option that takes each away where there is one.
fn doubts_of(pooled: &Pooled, kept: usize, ledger: &Ledger) -> Vec<Doubt> {
    let options = [
        ("air-temperature", "--air \"18 °C\""),
        ("air-pressure", "--air-pressure \"985 hPa\""),
        ("humidity", "--humidity \"60 %\""),
        ("elevation", "--elevation \"310 m\""),
    ];
    doubts::by_cause(&pooled.rate, pooled.rate.value, ledger)
        .into_iter()
        .map(|(id, mut doubt)| {
            let key = id.0.rsplit('.').next().unwrap_or_default();
            let assumed = ledger.get(&id).is_some_and(|entry| matches!(entry.trust, Trust::Assumed(_)));
            doubt.cure = options
                .iter()
                .find(|(name, _)| assumed && *name == key)
                .map(|(_, option)| doubts::cure(&pooled.rate, &id, option));
            if key == "between-drops" {
                let drops = if kept == 1 { "1 drop".to_owned() } else { format!("{kept} drops") };
                doubt.remark = Some(format!("{drops}, scatter {:.1} %", pooled.scatter_share * 100.0));
            }
            doubt
        })
        .collect()
}

/// What was taken because nothing was said.
fn defaults(ledger: &Ledger) -> Vec<String> {
    let prior: ScatterPrior = silkfall_core::pooling::PoolConfig::default().scatter;
    let mut said = vec![format!(
        "Drops of one configuration are taken to scatter by {:.0} % beforehand, which counts like {:.0} drops.",
        prior.standard_deviation * 100.0,
        prior.degrees_of_freedom
    )];
    let assumed = |name: &str| {
        let entry = ledger.get(&LedgerId(format!("{SESSION}.{name}")))?;
        match (&entry.trust, entry.distribution) {
            (Trust::Assumed(_), Distribution::Normal { sd }) => Some((entry.value, sd)),
            _ => None,
        }
    };
    if let Some((_, sd)) = assumed("slow-air") {
        said.push(format!(
            "Air that rises or sinks for minutes is taken to be within {sd:.2} m/s, one standard uncertainty."
        ));
    }
    if let Some((_, sd)) = assumed("clock") {
        said.push(format!("The logger's clock is taken to be right to {:.1} %.", sd * 100.0));
    }
    if let Some((_, sd)) = assumed("height-scale") {
        said.push(format!(
            "The logger's heights are taken to be right to {:.2} % beside the day's air.",
            sd * 100.0
        ));
    }
    if let Some((value, sd)) = assumed("air-temperature") {
        said.push(format!(
            "The day's temperature is taken as {:.0} °C, give or take {sd:.0} K.",
            value - 273.15
        ));
    }
    said
}

/// The groups with the command for each.
fn groups(worked: &Worked, inputs: &[Input], options: &ReduceOptions) -> Vec<Group> {
    let Some((slow, fast)) = &worked.groups else { return Vec::new() };
    let one = |part: &[DropIndex], others: &[DropIndex]| {
        let drop = |&(r, d): &DropIndex| &worked.recordings[r].drops[d];
        let rates = || part.iter().filter_map(|index| drop(index).rate).map(|rate| rate.m_per_s);
        let mut in_order = part.to_vec();
        in_order.sort_unstable();
        Group {
            letters: in_order.iter().map(|index| drop(index).letter.clone()).collect(),
            m_per_s: rates().sum::<f64>() / rates().count().max(1) as f64,
            command: group_command(part, others, worked, inputs, options),
        }
    };
    vec![one(slow, fast), one(fast, slow)]
}

/// `--between` where the group stands by itself in time in one recording, else the recordings that hold nothing else,
/// else every other drop set aside.
fn group_command(
    part: &[DropIndex],
    others: &[DropIndex],
    worked: &Worked,
    inputs: &[Input],
    options: &ReduceOptions,
) -> String {
    let span = |&(r, d): &DropIndex| {
        let recording = &worked.recordings[r];
        (recording.drops[d].release_s, end_s(recording, &recording.drops[d]))
    };
    let mine: Vec<usize> = (0..inputs.len()).filter(|r| part.iter().any(|index| index.0 == *r)).collect();
    let chosen: Vec<Input> = mine.iter().map(|&r| inputs[r].clone()).collect();
    let start = command_start(&chosen, options);
    let mixed: Vec<&DropIndex> = others.iter().filter(|index| mine.contains(&index.0)).collect();
    if mixed.is_empty() {
        return start;
    }
    let from_s = part.iter().map(|index| span(index).0).fold(f64::INFINITY, f64::min);
    let to_s = part.iter().map(|index| span(index).1).fold(0.0, f64::max);
    if mixed.iter().all(|index| span(index).1 < from_s || span(index).0 > to_s) {
        return format!("{start} --between {}..{}", clock((from_s - 1.0).max(0.0)), clock(to_s + 1.0));
    }
    let aside: String = mixed
        .iter()
        .map(|index| {
            let moment = clock(f64::midpoint(span(index).0, span(index).1));
            let name = quoted(&inputs[index.0].recording.name);
            if mine.len() > 1 {
                format!(" --set-aside {name}@{moment}")
            } else {
                format!(" --set-aside {moment}")
            }
        })
        .collect();
    start + &aside
}

/// How the rates came about.
fn hows(recordings: &[ReducedRecording], kept: usize, aside: usize, pooled: bool) -> BTreeMap<NumberId, How> {
    let mut hows = BTreeMap::new();
    for recording in recordings {
        for drop in recording.drops.iter().filter(|drop| drop.rate.is_some()) {
            let id = format!("recordings.{}.drops.{}.rate_m_s", recording.path, drop.letter);
            hows.insert(NumberId(id), fit_of_drop(recording, drop));
        }
    }
    if pooled {
        hows.insert("pooled.rate_m_s".into(), fit_of_pool(kept, aside));
    }
    hows
}

/// How one drop's rate came about.
pub(crate) fn fit_of_drop(recording: &ReducedRecording, drop: &ReducedDrop) -> How {
    let inside = |t: f64| {
        let at = t + drop.release_s;
        drop.steady_from_s.is_some_and(|from| at >= from) && drop.steady_to_s.is_some_and(|to| at <= to)
    };
    How::Fit {
        procedure: "The motion of a filled canopy near its steady rate is fitted to the recorded heights by \
                    generalised least squares, with noise, height steps and gusts as correlated errors; heights are \
                    true heights for the day's air. What the gusts of a stated wind slow a canopy by is put back."
            .to_owned(),
        data: format!(
            "{}, released at {}, steady from {} to {}",
            recording.path,
            clock(drop.release_s),
            drop.steady_from_s.map_or("-".to_owned(), clock),
            drop.steady_to_s.map_or("-".to_owned(), clock)
        ),
        count: drop.trace.time_s.iter().filter(|t| inside(**t)).count(),
    }
}

/// How a pooled rate came about.
pub(crate) fn fit_of_pool(kept: usize, aside: usize) -> How {
    How::Fit {
        procedure: "Logarithms of the drops' rates are pooled by random effects with a partly stated scatter; what \
                    all drops share is added once; the interval is Student's at the effective degrees of freedom \
                    (JCGM 100:2008, G.4.1)."
            .to_owned(),
        data: format!("{kept} drops kept, {aside} set aside"),
        count: kept,
    }
}
