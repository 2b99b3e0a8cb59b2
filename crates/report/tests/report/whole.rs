//! The demo's whole sheet against its JSON.

use std::sync::Arc;

use serde_json::Value;
use silkfall_core::recording::{Channel, Recording, RowMap};
use silkfall_report::wire::{find, sheet_json};
use silkfall_sheet::{Effort, Input, Loaded, Memo, Sheet, Unwatched, work};

const PROJECT: &str = include_str!("../../../cli/demo/silkfall.toml");
const OFFERS: &str = include_str!("../../../cli/demo/canopies.csv");

/// The demo, worked quickly.
pub fn demo() -> Sheet {
    demo_with(|text| text)
}

/// The demo with its project's text changed, worked quickly.
pub fn demo_with(change: impl FnOnce(String) -> String) -> Sheet {
    demo_of(change, |offers| offers)
}

/// The demo with its project's text and its offers changed, worked quickly.
pub fn demo_of(change: impl FnOnce(String) -> String, change_offers: impl FnOnce(String) -> String) -> Sheet {
    let (offers, _) =
        silkfall_project::offers::read("canopies.csv", change_offers(OFFERS.to_owned()).as_bytes());
    let parsed = silkfall_project::parse(&change(PROJECT.to_owned()), Some(offers));
    let recordings = pretend::demo().into_iter().map(|file| Input {
        recording: Recording {
            name: format!("logs/{}", file.name),
            time_s: Arc::new(file.campaign.time_s.clone()),
            value: Arc::new(file.campaign.value.clone()),
            channel: match file.campaign.channel {
                pretend::Channel::Height => Channel::PressureHeight,
                pretend::Channel::Pressure => Channel::Pressure,
            },
            temperature_k: None,
            segments: file.campaign.segments,
            rows: RowMap::default(),
        },
        columns: Vec::new(),
        reading: String::new(),
        findings: Vec::new(),
    });
    let loaded = Loaded {
        project: parsed.project.expect("the demo is a project"),
        recordings: recordings.collect(),
        findings: parsed.findings,
    };
    work(&loaded, Effort::Quick, &mut Memo::default(), &Unwatched).expect("nobody stops it")
}

/// Every number stands in the JSON at its own path, and so does every number that says how it came about.
#[test]
fn every_number_stands_at_its_path() {
    let sheet = demo();
    let json = serde_json::to_value(sheet_json(&sheet)).expect("plain data");
    let value = |found: &Value| found.as_f64().or_else(|| found.get("value")?.as_f64());
    for number in sheet.numbers() {
        let found = find(&json, &number.id.0).unwrap_or_else(|| panic!("{} is not in the JSON", number.id.0));
        assert_eq!(value(found), Some(number.si), "{}", number.id.0);
    }
    for id in sheet.hows.keys() {
        let found = find(&json, &id.0).unwrap_or_else(|| panic!("{} is not in the JSON", id.0));
        assert!(value(found).is_some(), "{} is no number", id.0);
    }
    assert_eq!(json["format"], 1);
    assert_eq!(json["parts"][0]["candidates"].as_array().map(Vec::len), Some(48));
}
