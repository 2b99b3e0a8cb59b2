//! What was taken because nothing was said, in sentences.

use silkfall_core::cases::{SHARED_CAUSE, WANTED_SHARE};
use silkfall_core::drag::ALIKE_CANOPIES_SD;
use silkfall_core::full_size::{CLUSTER_TRANSFER, SHIELD_TRANSFER};
use silkfall_core::ledger::{Distribution, Ledger, Trust};
use silkfall_core::pooling::{PoolConfig, slowed_by_side_wind};
use silkfall_core::quantity::Velocity;
use silkfall_project::Project;
use silkfall_project::project::Evidence;
use uom::si::velocity::meter_per_second;

/// The defaults that this project's sheet rests on.
pub(super) fn said(project: &Project, ledger: &Ledger) -> Vec<String> {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let mut said = Vec::new();
    if project.tests.iter().any(|test| matches!(test.evidence, Evidence::Logs { .. })) {
        let prior = PoolConfig::default().scatter;
        said.push(format!(
            "Drops of one test are taken to scatter by {} beforehand.",
            percent(prior.standard_deviation)
        ));
    }
    let assumed = |key: &str| {
        ledger.iter().find_map(|(id, entry)| match (&entry.trust, entry.distribution) {
            (Trust::Assumed(_), Distribution::Normal { sd }) if id.0.ends_with(key) => Some(sd),
            _ => None,
        })
    };
    if let Some(sd) = assumed(".slow-air") {
        said.push(format!(
            "Slow rising or sinking air that a session's drops share: {sd:.2} m/s, one standard uncertainty."
        ));
    }
    if project.sessions.iter().any(|session| session.wind.is_absent()) {
        let speed = Velocity::new::<meter_per_second>;
        said.push(format!(
            "Gusts from the side slow a canopy: where a session states no wind, nothing is put back ({:.1} % of 3.5 m/s in a wind of 4 m/s).",
            100.0 * slowed_by_side_wind(speed(3.5), speed(4.0))
        ));
    }
    if let Some(sd) = assumed(".height-scale") {
        said.push(format!("A logger's heights beside the day's air: {:.2} %.", sd * 100.0));
    }
    if let Some(sd) = assumed(".clock") {
        said.push(format!("A logger's clock: {:.1} %.", sd * 100.0));
    }
    if let Some(sd) = assumed(".air-temperature") {
        said.push(format!(
            "An air temperature that is not stated: the standard one, give or take {sd:.0} K."
        ));
    }
    if !project.canopies.is_empty() {
        let alike = percent(ALIKE_CANOPIES_SD);
        said.push(format!("Canopies sewn alike are taken to differ by {alike} in drag area."));
    }
    if project.tests.iter().any(|test| test.model.is_some()) {
        said.push(format!(
            "To another geometry a cluster factor carries over with {}, a share of the wake with {SHIELD_TRANSFER} (judgements of ours).",
            percent(CLUSTER_TRANSFER)
        ));
    }
    let cases = || project.parts.iter().flat_map(|part| part.cases.iter().map(move |case| (part, case)));
    if cases().any(|(part, case)| case.share_wanted.is_absent() && part.share_wanted.is_absent()) {
        said.push(format!(
            "A limit wants {} of flights within it where nothing else is said.",
            percent(WANTED_SHARE)
        ));
    }
    if cases().any(|(_, case)| case.shared_cause.is_absent()) {
        said.push(format!(
            "Failures have a common cause in {} of cases (a judgement of ours).",
            percent(SHARED_CAUSE)
        ));
    }
    said.push("Masses and lengths without a ± are taken as exact.".to_owned());
    said
}
