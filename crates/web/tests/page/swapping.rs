//! What a window is told over plain HTTP leaves it with what the page says, however soon the next edit comes.

use std::collections::BTreeSet;
use std::ops::Range;

use serde_json::{Value, json};

use crate::client::{Client, Served};

/// A window, as the page's script keeps it.
struct Window {
    client: Client,
    revision: u64,
    sequence: u64,
    seen: u64,
    glimpsed: BTreeSet<String>,
    /// The page as it is after all that was swapped.
    page: String,
}

/// Where an element stands in a page whose tags are all closed.
fn element(page: &str, id: &str) -> Option<Range<usize>> {
    let start = page[..page.find(&format!(" id=\"{id}\""))?].rfind('<')?;
    let tag = page[start + 1..].split([' ', '>']).next()?;
    let (opens, closes) = (format!("<{tag}"), format!("</{tag}>"));
    let (mut at, mut depth) = (start, 0_u32);
    loop {
        let rest = &page[at..];
        let close = rest.find(&closes)?;
        match rest.find(&opens).filter(|open| *open < close) {
            Some(open) => {
                depth += u32::from(rest[open + opens.len()..].starts_with([' ', '>']));
                at += open + opens.len();
            }
            None => {
                depth -= 1;
                at += close + closes.len();
                if depth == 0 {
                    return Some(start..at);
                }
            }
        }
    }
}

fn number(page: &str, name: &str) -> u64 {
    let rest = page.split(&format!("{name}=\"")).nth(1).expect("the page has it");
    rest.split('"').next().and_then(|text| text.parse().ok()).expect("a number")
}

impl Window {
    fn open(served: &Served) -> Self {
        let client = served.client();
        let page = client.get("/").body;
        let (revision, sequence) = (number(&page, "data-revision"), number(&page, "data-sequence"));
        Window { client, revision, sequence, seen: 0, glimpsed: BTreeSet::new(), page }
    }

    fn glimpsed(&self) -> String {
        self.glimpsed.iter().map(String::as_str).collect::<Vec<_>>().join(" ")
    }

    fn shows(&self) -> Value {
        json!({ "revision": self.revision, "sequence": self.sequence, "seen": self.seen, "glimpsed": self.glimpsed() })
    }

    fn take(&mut self, answer: &Value) {
        assert_eq!(answer["refused"], Value::Null);
        let of = |name: &str| answer[name].as_u64().expect("a number");
        let is_view = of("revision") != self.revision;
        if is_view {
            self.glimpsed.clear();
        }
        if let Some(main) = answer["main"].as_str() {
            let place = element(&self.page, "main").expect("there is a sheet");
            self.page.replace_range(place, main);
        }
        for fragment in answer["fragments"].as_array().expect("there are fragments") {
            let of = |name: &str| fragment[name].as_str().expect("a text");
            let (id, html) = (of("id"), of("html"));
            if id == "desk" {
                continue;
            }
            if !is_view {
                self.glimpsed.insert(id.to_owned());
            }
            if let Some(place) = element(&self.page, id) {
                self.page.replace_range(place, html);
            }
        }
        (self.revision, self.sequence, self.seen) = (of("revision"), of("sequence"), of("seen"));
    }

    fn post(&mut self, path: &str, mut body: Value) {
        body["window"] = json!("swapping");
        body["shows"] = self.shows();
        let answer = self.client.post(path, "application/json", &body.to_string());
        assert_eq!(answer.status, 200, "{}", answer.body);
        self.take(&answer.json());
    }

    fn edit(&mut self, said: &Value) {
        self.post("/edit", json!({ "base": self.sequence, "gesture": null, "edits": [said] }));
    }

    fn undo(&mut self) {
        self.post("/undo", json!({ "keep": null }));
    }

    /// Asks once for more.
    fn follow(&mut self) {
        let query = [
            format!("revision={}&sequence={}&seen={}", self.revision, self.sequence, self.seen),
            format!("glimpsed={}", self.glimpsed().replace(' ', "+")),
        ];
        let answer = self.client.get(&format!("/state?{}", query.join("&")));
        assert_eq!(answer.status, 200, "{}", answer.body);
        self.take(&answer.json());
    }

    /// All is told, and what is shown is what a page that is loaded now shows.
    fn is_the_page(&mut self, after: &str) {
        while self.seen > 0 {
            self.follow();
        }
        let page = self.client.get("/").body;
        for id in ["top", "main", "block-parts", "block-made"] {
            let of = |page: &str| page[element(page, id).expect("every page has it")].to_owned();
            let (here, there) = (of(&self.page), of(&page));
            let same = here.chars().zip(there.chars()).take_while(|(a, b)| a == b).count();
            let near = |text: &str| text.chars().skip(same.saturating_sub(200)).take(400).collect::<String>();
            assert!(here == there, "{id} after {after}: {}\nis not\n{}", near(&here), near(&there));
        }
    }
}

fn drop(says: &str, more: (&str, Value)) -> Value {
    let mut said = json!({ "do": "drop", "test": "one with a weight", "drop": "a", "says": says });
    said[more.0] = more.1;
    said
}

#[test]
fn what_an_overtaken_glimpse_showed_is_put_back() {
    let served = Served::demo("swapping");
    let mut window = Window::open(&served);
    let aside = drop("aside", ("reason", json!("gust")));
    // On a machine that is busy elsewhere all may be there before anybody is woken for the drop.
    for _ in 0..20 {
        window.edit(&aside);
        if window.seen > 0 {
            break;
        }
        window.undo();
    }
    assert!(window.seen > 0, "a drop is shown before the rest");
    let body = window.glimpsed.iter().any(|id| id.starts_with("body-tube-test-"));
    assert!(body, "{:?}", window.glimpsed);
    window.undo();
    window.is_the_page("a drop set aside and at once undone");
    assert!(!window.client.get("/").body.contains("set aside: gust"));
}

#[test]
fn a_hurried_hand_is_left_with_what_the_page_says() {
    let served = Served::demo("hurried");
    let mut window = Window::open(&served);
    let set = |kind: &str, path: &str, key: &str, text: &str| -> Value {
        json!({ "do": "set", "kind": kind, "path": path, "key": key, "text": text })
    };
    for round in 0..3_u32 {
        window.edit(&set("part", "part.tube", "mass", &format!("{} kg", 8 + round)));
        window.edit(&drop("aside", ("reason", json!(format!("gust {round}")))));
        window.follow();
        window.edit(&set("wind", "wind", "speed_doubt", &format!("{} %", 12 + round)));
        window.undo();
        let mut to = drop("move", ("end", json!("from")));
        to["share"] = json!(0.45 + 0.01 * f64::from(round));
        window.edit(&to);
        window.edit(&drop("back", ("reason", Value::Null)));
        window.is_the_page("a round");
        window.edit(&set("part", "part.capsule", "mass", "0.7 kg"));
        window.undo();
        window.undo();
    }
    window.is_the_page("all");
}
