//! The load path through every face, on the demo: what holds, what does not, and what is not known.

use scraper::{Html, Selector};
use silkfall_core::candidates::By;
use silkfall_core::finding::Code;
use silkfall_core::quantity::System;
use silkfall_report::html::{HtmlOptions, Theme};
use silkfall_report::text::{Ink, TextOptions};
use silkfall_report::wire::sheet_json;
use silkfall_report::{assess_document, html, text};
use silkfall_sheet::{CandidateStanding, MemberSheet, Outcome, PartSheet, Sheet, Verdict};

use crate::whole::{demo_of, demo_with};

fn tube(sheet: &Sheet) -> &PartSheet {
    sheet.parts.iter().find(|part| part.name == "tube").expect("the demo has a tube")
}

fn member<'a>(part: &'a PartSheet, id: &str) -> &'a MemberSheet {
    part.load_path.iter().find(|member| member.id == id).unwrap_or_else(|| panic!("no {id}"))
}

fn on_terminal(sheet: &Sheet) -> String {
    let document = assess_document(sheet, "silkfall", ".");
    let plain = text::render(&document, TextOptions { width: 100, system: System::Si, ink: Ink::Plain });
    plain.replace('\u{a0}', " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What the report's first section says.
fn first_page(sheet: &Sheet) -> String {
    let page = html::render(
        &assess_document(sheet, "silkfall", "."),
        HtmlOptions { system: System::Si, theme: Theme::Reader },
    );
    let page = Html::parse_document(&page);
    let section = Selector::parse("section").expect("it is a selector");
    let text = page
        .select(&section)
        .next()
        .expect("a report has sections")
        .text()
        .collect::<String>()
        .replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_demo_holds_and_names_its_weakest() {
    let sheet = demo_with(|text| text);
    assert_eq!(sheet.outcome, Outcome::Done, "{:?}", tube(&sheet).strength);
    for part in &sheet.parts {
        assert_eq!(part.strength.verdict, Verdict::Meets, "{}: {}", part.name, part.strength.reason);
        let worst = |member: &MemberSheet| member.margin.as_ref().expect("all is known").at_worst.si;
        let least = part.load_path.iter().map(worst).fold(f64::INFINITY, f64::min);
        let weakest: Vec<&MemberSheet> = part.load_path.iter().filter(|member| member.weakest).collect();
        assert_eq!(weakest.len(), 1);
        assert!((worst(weakest[0]) - least).abs() < 1e-12 && least >= 1.0);
        assert_eq!(part.strength.weakest.as_deref(), Some(weakest[0].id.as_str()));
        assert!(on_terminal(&sheet).contains(&format!("The weakest is {}", weakest[0].id)));
    }
    let tube = tube(&sheet);
    assert_eq!(tube.load_path.len(), 9, "the canopy by its rating and what is stated");
    // Pull and pull of the loads are one: the leading canopy with nothing opened before is the hardest on one.
    let canopy = member(tube, "canopy plain-1.84").pull.as_ref().unwrap();
    let of_loads = tube.loads.iter().filter_map(|row| row.load.as_ref().ok());
    let hardest = of_loads
        .flat_map(|pull| [Some(&pull.at_95), pull.worst.as_ref().map(|worst| &worst.at_95)])
        .flatten()
        .map(|number| number.si)
        .fold(0.0, f64::max);
    assert!((canopy.at_95.si - hardest).abs() < 1e-9, "{} {hardest}", canopy.at_95.si);
    assert_eq!(canopy.when, "nothing opened before");
    // Weighed as a candidate by the hardest rows alone, it comes to the same.
    let chosen = tube.candidates.iter().find(|candidate| candidate.id == "plain-1.84x3").unwrap();
    let of_load = chosen.beside.iter().find(|beside| beside.by == By::Load).unwrap();
    assert_eq!((of_load.verdict, &of_load.reason), (tube.strength.verdict, &tube.strength.reason));
    // What all carry is more than what one does, and the drogue's bridle carries the drogue alone.
    let of = |id: &str| member(tube, id).pull.as_ref().unwrap().at_95.si;
    assert!(of("swivel") > of("lines") && of("drogue bridle") < of("lines"));
    assert!((of("swivel") - of("straps")).abs() < 1e-9, "one leg may take all");
    // Margins by hand, of metal: rated over 1.5 times the pull.
    let swivel = member(tube, "swivel");
    let by_hand = 7500.0 / (1.5 * of("swivel"));
    assert!((swivel.margin.as_ref().unwrap().at_95.si / by_hand - 1.0).abs() < 1e-12);
    assert!((swivel.would_do.as_ref().unwrap().si / (1.5 * of("swivel")) - 1.0).abs() < 1e-12);
    // The shock is the pull of all over all that falls.
    let shock = tube.shock.as_ref().unwrap();
    let by_hand = of("swivel") / tube.falls.as_ref().unwrap().total.si;
    assert!((shock.at_95.si / by_hand - 1.0).abs() < 1e-9, "{} {by_hand}", shock.at_95.si);
    assert_eq!(shock.contents[0].verdict, Verdict::Meets);
}

/// One rated strength deleted: "not known", no candidate holds, the exit code of a limit that is not met, and the first page
/// says so.
#[test]
fn a_strength_that_is_not_known_leaves_nothing_that_holds() {
    let sheet =
        demo_with(|text| text.replacen("is = \"swivel\"\nstrength = \"7.5 kN\"\n", "is = \"swivel\"\n", 1));
    assert_eq!(sheet.outcome, Outcome::LimitMissed);
    let part = tube(&sheet);
    let reason = "the strength of swivel is not known";
    assert_eq!((part.strength.verdict, part.strength.reason.as_str()), (Verdict::Undecided, reason));
    assert_eq!(part.strength.weakest.as_deref(), Some("swivel"));
    assert!(member(part, "swivel").would_do.is_some(), "what would do is known though");
    assert!(part.candidates.iter().all(|candidate| candidate.verdict != Verdict::Meets));
    let chosen = part.candidates.iter().find(|candidate| candidate.id == "plain-1.84x3").unwrap();
    assert_eq!(chosen.verdict, Verdict::Undecided);
    assert!(chosen.beside.iter().any(|beside| beside.by == By::Load && beside.reason == reason));
    let found: Vec<_> = sheet.findings.iter().filter(|f| f.code == Code::PathStrengthNotKnown).collect();
    assert_eq!(found.len(), 1);
    assert!(found[0].place.as_ref().unwrap().line.is_some(), "it says where");
    for said in [on_terminal(&sheet), first_page(&sheet)] {
        assert!(said.contains(reason) && said.contains("no candidate holds"), "{said}");
    }
    let json = serde_json::to_value(sheet_json(&sheet)).unwrap();
    assert_eq!(json["parts"][0]["strength"]["reason"], reason);
    assert_eq!(json["outcome"], "limit missed");
    assert!(part.next.as_ref().unwrap().says.contains(reason), "{:?}", part.next);
}

/// A canopy that is not rated, and one that is rated too low, of which the rates are kept.
#[test]
fn a_canopy_is_weighed_by_what_it_is_rated_for() {
    let sheet = demo_of(|text| text, |offers| offers.replacen("164,0.92,2200,", "164,0.92,,", 1));
    let part = tube(&sheet);
    let reason = "the rated load of plain-1.84 is not known";
    assert_eq!((part.strength.verdict, part.strength.reason.as_str()), (Verdict::Undecided, reason));
    assert_eq!(sheet.outcome, Outcome::LimitMissed);
    let other = part.candidates.iter().find(|candidate| candidate.id == "plain-2.00x3").unwrap();
    let of_load = other.beside.iter().find(|beside| beside.by == By::Load).unwrap();
    assert_eq!(of_load.verdict, Verdict::Meets, "{}", of_load.reason);

    let sheet = demo_of(|text| text, |offers| offers.replacen("164,0.92,2200,", "164,0.92,1300,", 1));
    let part = tube(&sheet);
    assert_eq!((part.strength.verdict, sheet.outcome), (Verdict::Misses, Outcome::LimitMissed));
    let chosen = part.candidates.iter().find(|candidate| candidate.id == "plain-1.84x3").unwrap();
    let CandidateStanding::RuledOut { by: By::Load, reason } = &chosen.standing else {
        panic!("it is ruled out: {:?}", chosen.standing)
    };
    assert!(reason.starts_with("canopy plain-1.84 is rated 1300"), "{reason}");
    assert_eq!(*reason, part.strength.reason, "one reason everywhere");
    assert!(chosen.cases.iter().all(|case| case.verdict != Verdict::Misses), "its rates are kept");
    assert_eq!(sheet.findings.iter().filter(|f| f.code == Code::PathTooWeak).count(), 1);
    let json = serde_json::to_value(sheet_json(&sheet)).unwrap();
    let of_offer = |entry: &&serde_json::Value| entry["id"] == "plain-1.84x3";
    let candidates = json["parts"][0]["candidates"].as_array().unwrap();
    assert!(candidates.iter().find(of_offer).unwrap().to_string().contains(reason.as_str()));
    for said in [on_terminal(&sheet), first_page(&sheet)] {
        assert!(said.contains(&reason.replace('\u{a0}', " ")), "{said}");
    }
}

#[test]
fn what_is_shaken_too_hard_misses() {
    let sheet = demo_with(|text| text.replacen("limit = \"60 g\"", "limit = \"5 g\"", 1));
    let part = tube(&sheet);
    assert_eq!((part.strength.verdict, sheet.outcome), (Verdict::Misses, Outcome::LimitMissed));
    assert!(part.strength.reason.starts_with("sampler bears 5"), "{}", part.strength.reason);
    assert!(sheet.findings.iter().any(|finding| finding.code == Code::ShockTooHard));
}

#[test]
fn without_a_strength_nothing_is_judged_and_nothing_is_met() {
    let no_members = |text: String| {
        let mut kept = Vec::new();
        for table in text.split("\n[[") {
            if !table.starts_with("part.member]]") && !table.starts_with("part.content]]") {
                kept.push(table.to_owned());
            }
        }
        kept.join("\n[[")
    };
    let unrated = |offers: String| {
        let rows = offers.lines().map(|line| {
            let mut cells: Vec<&str> = line.split(',').collect();
            if cells.len() > 10 {
                cells.remove(10);
            }
            cells.join(",")
        });
        rows.collect::<Vec<_>>().join("\n") + "\n"
    };
    let sheet = demo_of(no_members, unrated);
    let part = tube(&sheet);
    assert_eq!(part.strength.verdict, Verdict::NotJudged, "{}", part.strength.reason);
    assert!(part.load_path.is_empty() && part.shock.is_some());
    assert_eq!(sheet.outcome, Outcome::Done, "{:?}", sheet.findings);
    assert!(on_terminal(&sheet).contains("Load path: not judged, no strength is stated of any member"));
}

/// Every figure whose own derivation has a value from memory is in the list by name, each once, and each is a number of the sheet.
#[test]
fn every_figure_that_rests_on_memory_is_listed() {
    use silkfall_core::derivation::How;
    let sheet = demo_with(|text| text);
    let listed: Vec<&str> =
        sheet.from_memory.iter().flat_map(|line| &line.figures).map(|id| id.0.as_str()).collect();
    let mut once = listed.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), listed.len(), "each once");
    let known: Vec<&str> = sheet.numbers().iter().map(|number| number.id.0.as_str()).collect();
    assert!(listed.iter().all(|id| known.contains(id)));
    for number in sheet.numbers() {
        let Some(How::Closed(form)) = sheet.hows.get(&number.id) else { continue };
        let own =
            form.inputs.iter().any(|input| input.trust.is_from_memory()) || form.source.is_from_memory();
        assert!(!own || listed.contains(&number.id.0.as_str()), "{}", number.id.0);
    }
    // What pulls rests on memory, how fast it is then does not.
    let loads =
        sheet.from_memory.iter().find(|line| line.id == "parts.tube.loads").expect("fillings are remembered");
    assert!(loads.figures.iter().all(|id| !id.0.ends_with(".speed")));
    assert!(
        loads.says.starts_with("tube, loads: ") && loads.says.contains("from memory of Knacke"),
        "{}",
        loads.says
    );
    // What is measured is not in it.
    assert!(!listed.iter().any(|id| id.starts_with("parts.tube.cases")), "{listed:?}");
    let page = first_page(&sheet);
    assert!(sheet.from_memory.iter().all(|line| page.contains(&line.says)), "{page}");
    let json = serde_json::to_value(sheet_json(&sheet)).unwrap();
    assert_eq!(json["from_memory"].as_array().map(Vec::len), Some(sheet.from_memory.len()));
}
