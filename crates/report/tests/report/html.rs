//! The page's structure, asked of a parser.

use scraper::{Html, Selector};
use silkfall_core::quantity::System;
use silkfall_report::html::{HtmlOptions, Theme, render};
use silkfall_report::{document::Document, reduction_document};

use crate::{fixture, reduced};

fn page(document: &Document) -> (String, Html) {
    let text = render(document, HtmlOptions { system: System::Si, theme: Theme::Reader });
    let parsed = Html::parse_document(&text);
    (text, parsed)
}

fn count(page: &Html, selector: &str) -> usize {
    page.select(&Selector::parse(selector).expect("a selector of this file")).count()
}

fn texts(page: &Html, selector: &str) -> Vec<String> {
    page.select(&Selector::parse(selector).expect("a selector of this file"))
        .map(|e| e.text().collect())
        .collect()
}

fn documents() -> [Document; 2] {
    [fixture::document(), reduction_document(&reduced::reduction(), "silkfall")]
}

#[test]
fn headings_language_skip_link_and_captions() {
    for document in documents() {
        let (_, page) = page(&document);
        assert_eq!(count(&page, "html[lang=en] > head > title"), 1);
        assert_eq!(count(&page, "h1"), 1);
        assert_eq!(count(&page, "main section > h2"), count(&page, "main section"));
        assert_eq!(count(&page, "body > a.skip[href='#main']"), 1);
        assert_eq!(count(&page, "table > caption"), count(&page, "table"));
        assert!(texts(&page, "caption").iter().all(|caption| !caption.trim().is_empty()));
        assert_eq!(count(&page, "thead th:not([scope=col])"), 0);
        assert_eq!(count(&page, "tbody > tr > th[scope=row]:first-child"), count(&page, "tbody > tr"));
    }
}

#[test]
fn ids_stand_once_and_every_link_within_the_page_arrives() {
    for document in documents() {
        let (_, page) = page(&document);
        let mut ids: Vec<&str> = page
            .select(&Selector::parse("[id]").unwrap())
            .filter_map(|element| element.value().attr("id"))
            .collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "an id stands twice");
        let mut links = 0;
        for link in page.select(&Selector::parse("a[href]").unwrap()) {
            let target = link.value().attr("href").unwrap().strip_prefix('#').expect("nothing leads outside");
            assert!(ids.binary_search(&target).is_ok(), "{target} leads nowhere");
            links += 1;
        }
        assert!(links > document.sections.len(), "sections and explained numbers");
    }
}

#[test]
fn nothing_is_fetched_and_nothing_runs() {
    for document in documents() {
        let (text, page) = page(&document);
        assert_eq!(count(&page, "script, link, img, iframe, object, embed"), 0);
        for (at, _) in text.match_indices("url(") {
            let rest = &text[at..(at + 40).min(text.len())];
            assert!(rest.starts_with("url(data:") || rest.starts_with("url(#"), "{rest}");
        }
        assert!(!text.contains("@import"));
        assert!(text.len() < 250_000, "{} bytes", text.len());
    }
}

#[test]
fn a_figure_is_drawn_for_pages_and_phones_and_said_as_a_table() {
    for document in documents() {
        let (text, page) = page(&document);
        let figures = count(&page, "figure");
        assert!(figures >= 2);
        assert_eq!(count(&page, "figure > svg.wide[role=img]"), figures);
        assert_eq!(count(&page, "figure > svg.narrow[role=img]"), figures);
        assert_eq!(count(&page, "figure > svg > title"), 2 * figures);
        assert_eq!(count(&page, "figure > svg > desc"), 2 * figures);
        assert_eq!(count(&page, "figure > details > summary"), figures);
        assert_eq!(count(&page, "figure > details table"), figures);
        for svg in text.split("<svg").skip(1) {
            assert!(!svg.split("</svg>").next().unwrap().contains("var("));
        }
    }
}

#[test]
fn what_a_file_says_stays_text() {
    let mut reduction = reduced::reduction();
    let evil = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>";
    reduction.recordings[0].path = evil.to_owned();
    reduction.recordings[0].columns[1].name = Some(evil.to_owned());
    reduction.findings[0].message = evil.to_owned();
    reduction.findings[0] = reduction.findings[0].clone().at(evil, Some(1), None).hint(evil);
    reduction.recordings[0].drops[3].set_aside = Some(evil.to_owned());
    reduction.recordings[0].drops[3].letter = evil.to_owned();
    let (_, page) = page(&reduction_document(&reduction, evil));
    assert_eq!(count(&page, "script, img"), 0);
    assert!(texts(&page, "h1")[0].contains(evil), "it is shown as it was written");
    assert_eq!(count(&page, "[onerror]"), 0);
}

#[test]
fn a_number_leads_to_how_it_came_about_and_keeps_its_value() {
    let (_, page) = page(&fixture::document());
    let link = Selector::parse("p.result a.how[href='#how-pooled.rate_m_s'] data").unwrap();
    let number = page.select(&link).next().expect("the answer is explained");
    assert_eq!(number.value().attr("value"), Some("3.248"));
    assert_eq!(number.text().collect::<String>(), "3.25\u{a0}m/s");
    assert_eq!(count(&page, "article.how math"), 2, "in symbols and with numbers");
    assert_eq!(count(&page, "article.how math msqrt mfrac"), 2);
    assert_eq!(count(&page, "article.how tbody tr"), 4, "an input a row");
}

#[test]
fn blocks_for_the_terminal_alone_are_not_on_the_page() {
    let (text, _) = page(&fixture::document());
    assert!(!text.contains("silkfall new mytube"));
}

/// Relative luminance and contrast ratio as WCAG 2.2 defines them (from memory of it); AA asks 4.5 of text.
#[test]
fn text_has_the_contrast_that_wcag_asks() {
    let luminance = |hex: &str| {
        let channel = |at: usize| {
            let c = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
    };
    let contrast = |a: &str, b: &str| {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    };
    outside_check::check! {
        area: "report", what: "contrast of black on white", against: "WCAG 2.2, contrast ratio, from memory of it: 21 to 1",
        leg: Published, got: contrast("000000", "FFFFFF"), want: 21.0, within: 1e-9,
        because: "double precision",
    }
    let (text, _) = page(&fixture::document());
    let style = text.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    let blocks: Vec<&str> = style.split("--ground: #").skip(1).collect();
    let mut seen = 0;
    for block in blocks.iter().filter(|block| block.contains("--misses")) {
        let ground = &block[..6];
        for role in ["--ink: #", "--quiet: #", "--measured: #", "--misses: #", "--undecided: #"] {
            let colour = &block.split(role).nth(1).unwrap()[..6];
            assert!(contrast(ground, colour) >= 4.5, "{role}{colour} on {ground}");
            seen += 1;
        }
    }
    assert_eq!(seen, 15, "light, dark by preference, dark by class");
}
