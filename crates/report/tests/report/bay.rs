//! Packing and getting it out, through every face, on the demo: what fits, what does not, and the cautions.

use scraper::{Html, Selector};
use serde_json::Value;
use silkfall_core::candidates::By;
use silkfall_core::deployment::PYROTECHNIC;
use silkfall_core::finding::Code;
use silkfall_core::quantity::System;
use silkfall_report::document::{Body, Document, numbers};
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::text::{Ink, TextOptions};
use silkfall_report::wire::sheet_json;
use silkfall_report::{assess_document, html, plan_document, text};
use silkfall_sheet::{CandidateStanding, Outcome, PartSheet, Sheet, Verdict};

use crate::whole::demo_with;

fn tube(sheet: &Sheet) -> &PartSheet {
    sheet.parts.iter().find(|part| part.name == "tube").expect("the demo has a tube")
}

fn on_terminal(sheet: &Sheet) -> String {
    let document = assess_document(sheet, "silkfall", ".");
    let plain = text::render(&document, TextOptions { width: 100, system: System::Si, ink: Ink::Plain });
    plain.replace('\u{a0}', " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

fn page(document: &Document) -> Html {
    Html::parse_document(&html::render(document, HtmlOptions { system: System::Si, theme: Theme::Reader }))
}

fn words(of: scraper::ElementRef) -> String {
    let text = of.text().collect::<String>().replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The bay's length with which 10 mm are wanting, by what the demo itself takes.
fn shortened() -> Sheet {
    let taken = tube(&demo_with(|text| text)).packing[0].taken.as_ref().expect("it is known").si;
    let length = format!("length = \"{:.4} mm ± 1 mm\"", taken * 1000.0 - 10.0);
    demo_with(|text| text.replacen("length = \"240 mm ± 1 mm\"", &length, 1))
}

#[test]
fn the_demo_fits_and_says_how_surely() {
    let sheet = demo_with(|text| text);
    let packing = &tube(&sheet).packing[0];
    assert_eq!((packing.verdict, sheet.outcome), (Verdict::Meets, Outcome::Done));
    let ends: Vec<f64> = packing.contents.iter().map(|content| content.to.si).collect();
    assert!(ends.windows(2).all(|pair| pair[0] < pair[1]), "one after the other: {ends:?}");
    assert!((ends[2] - packing.taken.as_ref().unwrap().si).abs() < 1e-12);
    assert!(packing.contents[2].canopies && packing.contents[2].basis.starts_with("measured roll of 1"));
    let spare = packing.spare.as_ref().unwrap();
    assert!(spare.interval_95.unwrap().low > 0.0);
}

#[test]
fn a_bay_a_centimetre_too_short_rules_the_canopies_out() {
    let sheet = shortened();
    let part = tube(&sheet);
    let packing = &part.packing[0];
    assert_eq!(packing.reason, "does not fit, 10 mm short");
    assert_eq!(packing.verdict, Verdict::Misses);
    assert_eq!(sheet.outcome, Outcome::LimitMissed);
    let entry = part.candidates.iter().find(|candidate| candidate.id == "plain-1.84x3").unwrap();
    let reason = "does not fit, 10 mm short".to_owned();
    assert_eq!(entry.standing, CandidateStanding::RuledOut { by: By::Bay, reason });
    let found: Vec<_> = sheet.findings.iter().filter(|f| f.code == Code::BayDoesNotFit).collect();
    assert_eq!(found.len(), 1);
    assert!(found[0].place.as_ref().unwrap().line.is_some(), "it says where");
    // Every face says it.
    let said = on_terminal(&sheet);
    assert!(said.contains("does not fit, 10 mm short: MISSES"), "{said}");
    let json = serde_json::to_value(sheet_json(&sheet)).unwrap();
    assert_eq!(json["parts"][0]["packing"][0]["reason"], "does not fit, 10 mm short");
    let of_offer = |entry: &&Value| entry["id"] == "plain-1.84x3";
    let candidates = json["parts"][0]["candidates"].as_array().unwrap();
    let candidate = candidates.iter().find(of_offer).unwrap();
    assert!(candidate.to_string().contains("does not fit, 10 mm short"), "{candidate}");
    let page = page(&assess_document(&sheet, "silkfall", "."));
    let answer = Selector::parse("section").unwrap();
    let first = words(page.select(&answer).next().unwrap());
    assert!(first.contains("does not fit, 10 mm short"), "the first page says it: {first}");
}

#[test]
fn what_is_not_known_of_a_bay_is_undecided_and_never_met() {
    for (from, to, reason) in [
        ("length = \"240 mm ± 1 mm\"", "length = \"?\"", "the bay's length is not known"),
        ("mass = \"120 g\"", "mass = \"?\"", "what riser takes of the bay is not known"),
        ("length = \"118 mm ± 2 mm\"", "length = \"?\"", "how these canopies pack is not known"),
    ] {
        let sheet = demo_with(|text| text.replacen(from, to, 1));
        let packing = &tube(&sheet).packing[0];
        assert_eq!((packing.verdict, packing.reason.as_str()), (Verdict::Undecided, reason));
        assert_ne!(sheet.outcome, Outcome::Done, "{reason}");
    }
    for (from, to, reason) in [
        ("friction = \"35 N ± 8 N\"\n", "", "the friction of the lid is not known"),
        ("pin_thread = \"M3\"\n", "", "what the pins are is not known: their thread or their diameter"),
        ("pushes = \"0.35 kg\"\n", "", "the mass that is pushed off is not known"),
    ] {
        let sheet = demo_with(|text| text.replacen(from, to, 1));
        let bay = &tube(&sheet).deployment[0];
        assert_eq!((bay.verdict, bay.reason.as_str()), (Verdict::Undecided, reason));
        assert_eq!(sheet.outcome, Outcome::LimitMissed, "{reason}");
    }
}

#[test]
fn a_weak_cartridge_a_sealed_bay_and_near_fins_miss() {
    let changed = |from: &str, to: &str| demo_with(|text| text.replacen(from, to, 1));
    for (from, to, at, code) in [
        ("mass = \"8 g\"", "mass = \"5 g\"", "bay", Code::BayPushTooWeak),
        (
            "vents = 1\nvent_diameter = \"2 mm\"\n",
            "vents = 1\nvent_diameter = \"0.7 mm\"\n",
            "vents",
            Code::BayOpensInClimb,
        ),
        ("to_fins = \"0.9 m\"", "to_fins = \"0.002 m\"", "door", Code::BayDoorHitsFins),
    ] {
        let sheet = changed(from, to);
        let found = tube(&sheet).deployment.iter().find(|sheet| sheet.name == at).unwrap();
        assert_eq!(found.verdict, Verdict::Misses, "{at}: {}", found.reason);
        assert!(sheet.findings.iter().any(|finding| finding.code == code), "{at}");
        assert_eq!(sheet.outcome, Outcome::LimitMissed);
    }
    // Without a vent at all it is a sealed room.
    let sealed = changed("vents = 1\nvent_diameter = \"2 mm\"\n", "vents = 0\n");
    let vents = tube(&sealed).deployment.iter().find(|sheet| sheet.name == "vents").unwrap();
    assert!(vents.reason.starts_with("sealed, "), "{}", vents.reason);
    // Without a climb nothing is asked of vents and ports, and nothing is met.
    let still = changed("fastest_climb = \"135 m/s ± 5 m/s\"\n", "");
    let breathing = still.parts.iter().flat_map(|part| &part.deployment);
    let breathing: Vec<_> = breathing.filter(|of| ["vents", "ports"].contains(&of.name.as_str())).collect();
    assert!(breathing.len() == 3 && breathing.iter().all(|of| of.verdict == Verdict::NotJudged));
    assert_eq!(still.outcome, Outcome::Done);
    // A room without a port cannot breathe.
    let closed = changed("ports = 3", "ports = 0");
    let ports = closed.parts[1].deployment.iter().find(|sheet| sheet.name == "ports").unwrap();
    assert_eq!(ports.reason, "the barometer's room has no port: it cannot breathe");
    assert!(closed.findings.iter().any(|finding| finding.code == Code::BayPortsLag));
}

/// A range, never one number, and the caution in the same block: in the document every face is made of, in the terminal's
/// text, on the page, in the JSON, and where "how?" is asked of an end.
#[test]
fn a_pyrotechnic_source_gives_a_range_with_its_caution_in_the_same_block() {
    let sheet = demo_with(|text| text);
    let of = sheet.parts[1].deployment.iter().find(|of| of.name == "bay").unwrap();
    let charge = of.charge.as_ref().expect("the demo's capsule plans one");
    assert!(charge.high.si > 2.0 * charge.low.si);
    assert_eq!(of.verdict, Verdict::NotJudged, "no sum says that it works");
    assert!(of.figures.iter().all(|figure| !figure.id.contains("charge")), "it is no figure among others");
    let document = plan_document(&sheet, "silkfall", ".");
    let mut blocks = 0;
    for block in document.sections.iter().flat_map(|section| &section.blocks) {
        let ids: Vec<&str> = block.body.numbers().iter().map(|shown| shown.id.0.as_str()).collect();
        if let Body::How(explained) = &block.body
            && explained.id.0.contains(".charge.")
        {
            assert!(format!("{:?}", explained.how).contains(PYROTECHNIC), "{}", explained.id.0);
        }
        if !ids.iter().any(|id| id.contains(".charge.")) {
            continue;
        }
        blocks += 1;
        assert!(
            ids.iter().any(|id| id.ends_with(".charge.low"))
                && ids.iter().any(|id| id.ends_with(".charge.high"))
        );
        assert!(matches!(&block.body, Body::Caution(said) if format!("{said:?}").contains(PYROTECHNIC)));
    }
    assert_eq!(blocks, 1);
    assert_eq!(numbers(&document).iter().filter(|shown| shown.id.0.contains(".charge.")).count(), 2);

    let caution = PYROTECHNIC.split_whitespace().collect::<Vec<_>>().join(" ");
    let terminal = on_terminal(&sheet);
    let (before, after) =
        terminal.split_once("The charge for that pressure lies between ").expect("it says so");
    assert!(after.split_once(&caution).is_some_and(|(between, _)| between.len() < 200), "right after it");
    assert!(!before.contains("charge for"));

    let page = page(&document);
    let cautions: Vec<String> = page.select(&Selector::parse("p.caution").unwrap()).map(words).collect();
    let with = |text: &&String| text.contains("The charge for that pressure lies between");
    let block = cautions.iter().find(with).expect("the page has it in a caution");
    assert!(block.contains(&caution), "{block}");
    let hows = Selector::parse("article.how").unwrap();
    let ends: Vec<String> =
        page.select(&hows).map(words).filter(|text| text.contains("bay.charge.")).collect();
    assert!(!ends.is_empty() && ends.iter().all(|text| text.contains(&caution)), "{ends:?}");

    let json = serde_json::to_value(sheet_json(&sheet)).unwrap();
    let bay = &json["parts"][1]["deployment"][0];
    assert!(bay["charge"]["low"]["value"].as_f64() < bay["charge"]["high"]["value"].as_f64());
    assert!(bay["cautions"].to_string().contains("Pyrotechnic charges maim and burn"));
}

/// Without offers' figures the looser of what is remembered is taken, and it says that nobody published it.
#[test]
fn what_was_only_weighed_packs_loosely_and_says_so() {
    let sheet = demo_with(|text| text);
    let riser = &tube(&sheet).packing[0].contents[1];
    assert_eq!(riser.trust.mark(), "common practice, no published source");
    let volume = riser.volume.as_ref().unwrap();
    assert!((volume.si - 0.120 / 230.0).abs() < 1e-9, "the middle of 180 to 280 kg/m³");
    assert!(volume.interval_95.is_some());
}
