//! `reduce`: the rate, the doubt by cause, how the recordings were read, the drops.

use silkfall_core::finding::Code;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{Group, PooledRate, Reduction};

use super::shared;
use crate::document::{Answer, Body, Document, Rich, Section, Shown, Step};

const RECORDINGS: &str = "recordings";

/// The document of recordings reduced without a project. `program` is the program as it was called, for the
/// commands it names.
pub fn reduction_document(reduction: &Reduction, program: &str) -> Document {
    let names: Vec<&str> = reduction.recordings.iter().map(|recording| recording.path.as_str()).collect();
    let sections = [
        Some(answer(reduction)),
        Some(readings(reduction)),
        drops(reduction),
        Some(noticed(reduction, program)),
    ];
    let mut sections: Vec<Section> = sections.into_iter().flatten().collect();
    sections.extend(shared::appendix(&reduction.hows, &sections));
    Document {
        title: format!("Descent rate from {}", names.join(", ")),
        subtitle: Rich::new(),
        sections,
        foot: Rich::new(),
    }
}

fn answer(reduction: &Reduction) -> Section {
    let Some(pooled) = &reduction.pooled else {
        return Section::new("answer", "No rate").in_report(Body::Caution(shared::caution())).everywhere(
            Answer { result: "no rate".into(), beside: vec![why_none(reduction).into()], below: Vec::new() },
        );
    };
    let rate = || Shown::new("pooled.rate_m_s", pooled.m_per_s, half_width(pooled), Kind::Speed);
    let sure =
        shared::interval_like("pooled.interval_95_m_s", &pooled.interval_95, Kind::Speed, pooled.m_per_s);
    let answer = Answer {
        result: rate().into(),
        beside: vec![Rich::from("95 % sure: ").then(sure), kept(pooled)],
        below: vec![air(pooled)],
    };
    let section = Section::new("answer", Rich::from("They come down at ").number(rate()))
        .in_report(Body::Caution(shared::caution()))
        .everywhere(answer);
    match shared::doubts_table("doubts", "rate", &reduction.doubts, Kind::Speed, pooled.m_per_s) {
        Some(table) => section.everywhere(table),
        None => section,
    }
}

fn half_width(pooled: &PooledRate) -> f64 {
    (pooled.interval_95.high - pooled.interval_95.low) / 2.0
}

fn kept(pooled: &PooledRate) -> Rich {
    let drops = if pooled.drops_kept == 1 { " drop kept" } else { " drops kept" };
    let kept = Rich::new().number(Shown::count("pooled.drops_kept", pooled.drops_kept)).plain(drops);
    if pooled.drops_set_aside == 0 {
        return kept;
    }
    kept.plain(", ")
        .number(Shown::count("pooled.drops_set_aside", pooled.drops_set_aside))
        .plain(" set aside")
}

fn air(pooled: &PooledRate) -> Rich {
    match pooled.reference_density_kg_m3 {
        Some(density) => {
            let density = Shown::new("pooled.reference_density_kg_m3", density, 0.0, Kind::Density);
            Rich::from("in air of ").number(density)
        }
        None => "as it fell that day; day's air not given".into(),
    }
}

fn why_none(reduction: &Reduction) -> &'static str {
    let drops: usize = reduction.recordings.iter().map(|recording| recording.drops.len()).sum();
    if drops == 0 { "no drop was found" } else { "no drop gives a rate" }
}

fn readings(reduction: &Reduction) -> Section {
    let mut section = Section::new("reading", "How the recordings were read");
    for recording in &reduction.recordings {
        let path = format!("{RECORDINGS}.{}", recording.path);
        let (table, repeat) = shared::reading(&path, recording);
        section = section.everywhere(table).everywhere(repeat);
        if let Some(figure) = shared::ribbon(&format!("ribbon-{}", recording.path), RECORDINGS, recording) {
            section = section.in_report(figure);
        }
    }
    if !reduction.defaults.is_empty() {
        section = section.everywhere(Rich::new().quiet(reduction.defaults.join(" ")));
    }
    section
}

fn drops(reduction: &Reduction) -> Option<Section> {
    let table = shared::drops_table(RECORDINGS, &reduction.recordings)?;
    let pooled = reduction.pooled.as_ref().map(|pooled| shared::range(pooled.m_per_s, &pooled.interval_95));
    let mut section = Section::new("drops", "The drops").everywhere(table);
    if let Some(figure) = shared::overlay("overlay", RECORDINGS, &reduction.recordings) {
        section = section.in_report(figure);
    }
    if let Some(figure) = shared::rate_dots("rates", RECORDINGS, &reduction.recordings, pooled) {
        section = section.in_report(figure);
    }
    Some(section)
}

fn noticed(reduction: &Reduction, program: &str) -> Section {
    let mut section = Section::new("findings", "What was noticed");
    let mut findings = shared::gravest_first(&reduction.findings);
    for finding in findings.iter_mut().filter(|finding| finding.code == Code::PoolTwoGroups) {
        // The commands stand below, each whole on its line.
        finding.hint = None;
    }
    if findings.is_empty() {
        section = section.in_report("Nothing was noticed.");
    } else {
        section = section.everywhere(findings);
    }
    let group = |(at, group): (usize, &Group)| {
        // The mean of a few drops, told to what their own intervals allow.
        let rate =
            Shown::new(format!("groups.{at}.rate_m_s"), group.m_per_s, group.m_per_s * 0.03, Kind::Speed);
        let text = Rich::from("about ").number(rate).plain(": ").code(format!("{program} {}", group.command));
        Step { label: format!("only {}", group.letters.join(", ")), text }
    };
    if !reduction.groups.is_empty() {
        let steps: Vec<Step> = reduction.groups.iter().enumerate().map(group).collect();
        section = section.everywhere(steps);
    }
    if let Some(next) = &reduction.next {
        let step = Step { label: "next".to_owned(), text: Rich::new().code(format!("{program} {next}")) };
        section = section.on_terminal(vec![step]);
    }
    section
}
