//! The demo's project, worked and said: every number stands in the JSON, and the page holds together.

use std::collections::BTreeSet;

use scraper::{Html, Selector};
use silkfall_core::quantity::System;
use silkfall_report::assess_document;
use silkfall_report::html::{self, HtmlOptions, Theme};
use silkfall_report::text::{Ink, TextOptions, render};
use silkfall_report::wire::sheet_json;

use crate::{json, whole};

#[test]
fn the_demo_said_on_terminal_and_page() {
    let sheet = whole::demo();
    let document = assess_document(&sheet, "silkfall", ".");
    let projected = serde_json::to_value(sheet_json(&sheet)).unwrap();
    assert!(json::check_numbers(&document, &projected) > 300);

    for width in [60, 80, 120] {
        let text = render(&document, TextOptions { width, system: System::Si, ink: Ink::Plain });
        for part in &sheet.parts {
            assert!(text.contains(&part.name), "{} is not told", part.name);
        }
        assert!(text.contains("range safety officer"));
        // Narrower, cells break into lines.
        for said in (width >= 80)
            .then_some([
                "front strap",
                "tilts it by",
                "single points",
                "undone by one cause",
                "no case covers",
            ])
            .into_iter()
            .flatten()
        {
            assert!(text.contains(said), "{said} at {width}");
        }
    }

    let page = html::render(&document, HtmlOptions { system: System::Us, theme: Theme::Reader });
    let page = Html::parse_document(&page);
    let ids: Vec<&str> = page
        .select(&Selector::parse("[id]").unwrap())
        .filter_map(|element| element.value().attr("id"))
        .collect();
    let once: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(once.len(), ids.len(), "an id stands twice");
    for link in page.select(&Selector::parse("a[href]").unwrap()) {
        let target = link.value().attr("href").unwrap().strip_prefix('#').expect("nothing leads outside");
        assert!(once.contains(target), "{target} leads nowhere");
    }
    for figure in ["tube-hanging", "tube-failures"] {
        assert!(ids.contains(&format!("f-{figure}").as_str()), "{figure} is not drawn");
    }
    let figures = page.select(&Selector::parse("figure > svg.wide").unwrap()).count();
    assert!(figures > sheet.parts.len() * 2, "{figures} figures");
}
