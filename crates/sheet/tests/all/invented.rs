//! Invented recordings of the generator as the program sees them.

use std::sync::Arc;

use pretend::{Campaign, DemoFile};
use silkfall_core::recording::{Channel, Recording, RowMap};
use silkfall_sheet::{Input, Loaded};

/// A campaign as intake hands it over.
pub fn input(name: &str, campaign: &Campaign) -> Input {
    Input {
        recording: Recording {
            name: name.to_owned(),
            time_s: Arc::new(campaign.time_s.clone()),
            value: Arc::new(campaign.value.clone()),
            channel: match campaign.channel {
                pretend::Channel::Height => Channel::PressureHeight,
                pretend::Channel::Pressure => Channel::Pressure,
            },
            temperature_k: None,
            segments: campaign.segments.clone(),
            rows: RowMap(vec![(0, 2)]),
        },
        columns: Vec::new(),
        reading: "--time 1:s --height 2:m".to_owned(),
        findings: Vec::new(),
    }
}

/// The demo's recording of that name.
pub fn demo(name: &str) -> DemoFile {
    pretend::demo().into_iter().find(|file| file.name == name).expect("a file of the demo")
}

/// Stretches of recordings one after the other, a rest of a minute between: several configurations in one file.
pub fn joined(parts: &[&Input]) -> Input {
    let mut time_s: Vec<f64> = Vec::new();
    let mut value: Vec<f64> = Vec::new();
    for part in parts {
        let start_s = time_s.last().map_or(0.0, |last| last + 0.1);
        time_s.extend(part.recording.time_s.iter().map(|t| start_s + t));
        value.extend(part.recording.value.iter());
    }
    let mut whole = parts[0].clone();
    whole.recording.time_s = time_s.into();
    whole.recording.value = value.into();
    whole.recording.segments = vec![0];
    whole
}

/// The same recording with the samples of one drop following each other faster: it falls by that factor faster.
pub fn hurried(mut input: Input, samples: &std::ops::Range<usize>, factor: f64) -> Input {
    let old = input.recording.time_s.clone();
    let mut now_s = old[0];
    let steps = old.windows(2).enumerate().map(|(i, pair)| {
        let step_s = pair[1] - pair[0];
        if samples.contains(&i) { step_s / factor } else { step_s }
    });
    let mut time_s = vec![now_s];
    for step_s in steps {
        now_s += step_s;
        time_s.push(now_s);
    }
    input.recording.time_s = time_s.into();
    input
}

/// The demo's project file, for tests that change it.
pub const DEMO: &str = include_str!("../../../cli/demo/silkfall.toml");
/// Its offers.
const OFFERS: &[u8] = include_bytes!("../../../cli/demo/canopies.csv");

/// Its winds by height.
const WINDS: &[u8] = include_bytes!("../../../cli/demo/winds.csv");
/// Its field.
const FIELD: &[u8] = include_bytes!("../../../cli/demo/field.geojson");

/// A project from text, with the demo's offers and recordings.
pub fn folder(text: &str) -> Loaded {
    folder_with(text, Some(OFFERS))
}

/// A project from text and an offers file, if there is one, with the demo's recordings.
pub fn folder_with(text: &str, offers: Option<&[u8]>) -> Loaded {
    let (offers, findings) =
        offers.map(|bytes| silkfall_project::offers::read("canopies.csv", bytes)).unzip();
    let parsed = silkfall_project::parse(text, offers);
    let mut findings = findings.unwrap_or_default();
    findings.extend(parsed.findings);
    let mut project = parsed.project.unwrap_or_else(|| panic!("{findings:?}"));
    if project.winds_file.given().is_some() {
        let (winds, found) = silkfall_project::winds::read("winds.csv", WINDS);
        project.winds = winds;
        findings.extend(found);
    }
    if project.field_file.given().is_some() {
        let (field, found) = silkfall_project::field::read_field(FIELD, "field.geojson");
        project.field = Some(field);
        findings.extend(found);
    }
    let used = pretend::demo().into_iter().filter(|file| text.contains(file.name));
    let recordings = used.map(|file| input(&format!("logs/{}", file.name), &file.campaign)).collect();
    Loaded { project, recordings, findings }
}
