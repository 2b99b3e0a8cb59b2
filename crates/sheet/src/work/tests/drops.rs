//! A test's recordings to its rate, with what was said of single drops, and the taped height against the recorded.

use silkfall_core::air::Reading;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::height;
use silkfall_core::ledger::Trust;
use silkfall_core::maths::{ln, sqrt};
use silkfall_core::pooling::Wanted;
use silkfall_core::quantity::{Kind, Length, Time};
use silkfall_core::rates::Window;
use silkfall_project::project::{self, DropNote};
use silkfall_project::value::Quantity;
use uom::si::length::meter;
use uom::si::time::second;

use super::{Found, Path};
use crate::number::Number;
use crate::reduce::configuration::{self, Job, SaidOfDrop};
use crate::reduce::{Input, fit_of_drop, fit_of_pool};
use crate::sheet::TestSheet;
use crate::work::notes::{Notes, logarithmic};
use crate::work::session::PlaceWorked;

/// What is said beside a test's recordings.
pub(super) struct Logs<'a> {
    pub drops: &'a [DropNote],
    pub between: Option<&'a project::Window>,
    /// The test's own mass, for drops with ballast.
    pub mass_kg: Option<f64>,
}

pub(super) fn logs(
    at: &Path<'_>,
    place: &PlaceWorked,
    inputs: &[&Input],
    logs: &Logs<'_>,
    sheet: &mut TestSheet,
    notes: &mut Notes,
) -> Option<Found> {
    let note_of = |recording: usize, from_s: f64, to_s: f64| {
        let name = &inputs[recording].recording.name;
        logs.drops
            .iter()
            .find(|note| note.log.value == *name && (from_s..=to_s).contains(&note.at.value.si()))
    };
    let said = |recording: usize, from_s: f64, to_s: f64| {
        let note = note_of(recording, from_s, to_s);
        let middle_s = f64::midpoint(from_s, to_s);
        let window = |w: &project::Window| Window {
            from: Time::new::<second>(w.from.si()),
            to: Time::new::<second>(w.to.si()),
        };
        let own = note.and_then(|note| note.ballast.given()).map_or(0.0, Quantity::si);
        SaidOfDrop {
            looked_at: logs.between.is_none_or(|b| (b.from.si()..=b.to.si()).contains(&middle_s)),
            wanted: match note {
                Some(DropNote { set_aside: Some(reason), .. }) => Wanted::SetAside(reason.value.clone()),
                Some(DropNote { keep: true, .. }) => Wanted::Keep,
                _ => Wanted::Automatic,
            },
            window: note.and_then(|note| note.window.as_ref()).map(|said| window(&said.value)),
            rate_factor: logs.mass_kg.map_or(1.0, |mass| sqrt(mass / (mass + own))),
        }
    };
    let name = at.key("drops");
    let worked = configuration::work(&Job {
        name: &name,
        test: Some(&at.test.name.value),
        session: &place.prefix,
        day: Some(&place.sheet.name),
        air: &place.air,
        spreads: place.spreads,
        inputs,
        said: &said,
    });
    for (id, entry) in &worked.entries {
        notes.enter(id, entry.clone());
    }
    (sheet.drops_kept, sheet.drops_set_aside) = worked.counts();
    for recording in &worked.recordings {
        for drop in recording.drops.iter().filter(|drop| drop.rate.is_some()) {
            let id = at.id(&format!("recordings.{}.drops.{}.rate_m_s", recording.path, drop.letter));
            notes.hows.insert(id, fit_of_drop(recording, drop));
        }
    }
    for (nth, note) in logs.drops.iter().enumerate() {
        let met = worked.recordings.iter().filter(|r| r.path == note.log.value).flat_map(|r| &r.drops).any(
            |drop| {
                let last = drop.trace.time_s.last().map_or(drop.release_s, |t| drop.release_s + t);
                (drop.release_s..=drop.ground_s.unwrap_or(last)).contains(&note.at.value.si())
            },
        );
        if !met {
            let message = format!("{} in {} meets no drop", note.at.value.text(), note.log.value);
            let subject = Subject::Key(at.key(&format!("drop.{nth}")));
            notes.find(Finding::new(Code::DropNotMet, subject, message));
        }
    }
    tape(at, inputs, &worked, logs, notes);
    worked.findings.into_iter().for_each(|finding| notes.find(finding));
    sheet.recordings = worked.recordings;
    let Some(pooled) = worked.pooled else {
        let message = "no drop of this test has a rate";
        notes.find(Finding::new(Code::TestNoRate, Subject::Key(at.key("logs")), message));
        return None;
    };
    let how = fit_of_pool(sheet.drops_kept, sheet.drops_set_aside);
    let ln_rate = pooled.rate.mapped(ln(pooled.rate.value), 1.0 / pooled.rate.value);
    sheet.rate = Some(notes.number(logarithmic(at.id("rate"), &ln_rate, Kind::Speed), how.clone()));
    if sheet.drops_kept > 1 {
        sheet.scatter =
            Some(notes.number(Number::exact(at.id("scatter"), pooled.scatter_share, Kind::Share), how));
    }
    let rate = match worked.reference_density_kg_m3 {
        // A long fall's rate is at a density of its own: referred to the session's, v goes with 1/√ρ.
        Some(reference) => {
            let factor = sqrt(reference / place.density_kg_per_m3.value);
            pooled.rate.mapped(pooled.rate.value * factor, factor)
        }
        None => pooled.rate,
    };
    Some(Found::Rate { rate, trust: Trust::Measured })
}

/// The taped height against the recordings'.
fn tape(
    at: &Path<'_>,
    inputs: &[&Input],
    worked: &configuration::Worked,
    logs: &Logs<'_>,
    notes: &mut Notes,
) {
    let of_test = at.test.fell.given();
    let mut pairs: Vec<(f64, f64, f64)> = Vec::new();
    for (recording, reduced) in worked.recordings.iter().enumerate() {
        for drop in reduced.drops.iter().filter(|drop| drop.ground_s.is_some()) {
            let own = logs.drops.iter().find(|note| {
                note.log.value == inputs[recording].recording.name
                    && (drop.release_s..=drop.ground_s.unwrap_or(drop.release_s))
                        .contains(&note.at.value.si())
            });
            let taped = own.and_then(|note| note.fell.given()).or(of_test);
            let mut before: Vec<f64> = drop
                .trace
                .time_s
                .iter()
                .zip(drop.trace.height_m.iter())
                .filter(|(t, _)| **t <= 0.0)
                .map(|p| *p.1)
                .collect();
            let mut after: Vec<f64> = {
                let ground = drop.ground_s.unwrap_or(drop.release_s) - drop.release_s;
                let there = drop.trace.time_s.iter().zip(drop.trace.height_m.iter());
                there.filter(|(t, _)| **t >= ground + 0.2).map(|p| *p.1).collect()
            };
            let (Some(taped), false, false) = (taped, before.is_empty(), after.is_empty()) else { continue };
            // Medians, since a bang at release is a spike of some samples.
            let recorded = (median(&mut before) - median(&mut after)) * worked.height_factors[recording];

            let step = reduced.height_step_m.unwrap_or(0.0);
            pairs.push((recorded, taped.si(), taped.standard_uncertainty_si().max(0.3 * step)));
        }
    }
    if pairs.is_empty() {
        return;
    }
    let count = pairs.len() as f64;
    let mean = |pick: fn(&(f64, f64, f64)) -> f64| pairs.iter().map(pick).sum::<f64>() / count;
    let reading = |value: f64, u: f64| Reading {
        value: Length::new::<meter>(value),
        standard_uncertainty: Length::new::<meter>(u),
    };
    let scatter =
        sqrt(pairs.iter().map(|p| (p.0 - p.1 - mean(|p| p.0) + mean(|p| p.1)).powi(2)).sum::<f64>() / count);
    let recorded = mean(|p| p.0);
    // Noise of a single reading of the ground or the platform: judged, a barometer wanders by some decimetres.
    let wander_m = 0.3 / sqrt(count);
    let u = sqrt(
        (recorded * worked.height_relative_uncertainty).powi(2)
            + scatter * scatter / count
            + wander_m * wander_m,
    );
    let about = Subject::Key(at.key("fell"));
    let check =
        height::compare_with_tape(reading(recorded, u), reading(mean(|p| p.1), mean(|p| p.2)), &about);
    check.and_then(|check| check.finding).into_iter().for_each(|finding| notes.find(finding));
}

/// The middle one of some values.
fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}
