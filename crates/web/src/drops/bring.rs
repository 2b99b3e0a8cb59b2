//! Recordings brought to the page: looked at, corrected, and only then kept.
//!
//! What is brought waits in memory, a few at a time and of a limited size; nothing of it is written before it is kept, and
//! nothing in it is run: its text is shown escaped, as data.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use maud::{Markup, html};
use silkfall_core::finding::Finding;
use silkfall_core::quantity::System;
use silkfall_intake::Reading;
use silkfall_report::document::Audience;
use silkfall_report::html::page::{Pieces, finding};
use silkfall_report::reduction_document;
use silkfall_sheet::{ReduceOptions, Reduction, reduce};

use crate::tables;

/// A larger recording is not taken over the page: it is copied into the folder and named there.
pub(crate) const LARGEST: usize = 256 << 20;
/// All that waits together.
const MOST_WAITING: usize = 512 << 20;
/// How many may wait.
const MOST: usize = 24;
/// A longer value of an option is none.
const LONGEST_OPTION: usize = 200;

/// A recording that waits to be kept.
#[derive(Clone, Debug)]
pub(crate) struct Brought {
    pub(crate) name: String,
    pub(crate) bytes: Arc<Vec<u8>>,
    /// What was said last of how it is to be read, and of which test it is.
    pub(crate) fields: BTreeMap<String, String>,
}

impl Brought {
    /// The name of the test that it is of.
    pub(crate) fn test(&self) -> String {
        let said = self.fields.get("test").map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
        said.unwrap_or_else(|| silkfall_project::import::test_name(&self.name))
    }
}

/// What becomes of a recording that waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meant {
    /// A test of the project that is open.
    ToBeKept,
    /// A test of a project that is about to begin.
    ToBeginWith,
}

/// Those that wait, by number.
#[derive(Debug, Default)]
pub(crate) struct Waiting(Mutex<(u64, BTreeMap<u64, Brought>)>);

impl Waiting {
    /// Takes one in; its number.
    ///
    /// # Errors
    /// What is too much, in words.
    pub(crate) fn take(&self, name: &str, bytes: Vec<u8>) -> Result<u64, String> {
        let mut held = self.0.lock().expect("nobody panics while holding it");
        let size: usize = held.1.values().map(|one| one.bytes.len()).sum();
        if held.1.len() >= MOST || size + bytes.len() > MOST_WAITING {
            return Err("too much waits already; keep or leave out what is there first".to_owned());
        }
        held.0 += 1;
        let number = held.0;
        let name: String = name.chars().filter(|c| !c.is_control()).take(120).collect();
        held.1.insert(number, Brought { name, bytes: Arc::new(bytes), fields: BTreeMap::new() });
        Ok(number)
    }

    /// What is said of one now.
    pub(crate) fn say(&self, number: u64, fields: BTreeMap<String, String>) -> Option<Brought> {
        let mut held = self.0.lock().expect("nobody panics while holding it");
        let brought = held.1.get_mut(&number)?;
        brought.fields = fields;
        Some(brought.clone())
    }

    /// All of them, in the order in which they came.
    pub(crate) fn all(&self) -> Vec<(u64, Brought)> {
        let held = self.0.lock().expect("nobody panics while holding it");
        held.1.iter().map(|(number, brought)| (*number, brought.clone())).collect()
    }

    /// Leaves one out, or it is kept.
    pub(crate) fn leave(&self, number: u64) {
        self.0.lock().expect("nobody panics while holding it").1.remove(&number);
    }
}

/// How it is to be read, from the fields of the form: what is empty is found by looking.
///
/// # Errors
/// What an option does not take.
pub(crate) fn reading(fields: &BTreeMap<String, String>) -> Result<Reading, String> {
    let mut reading = Reading::default();
    for option in Reading::OPTIONS {
        let value = fields.get(option).map(|value| value.trim()).filter(|value| !value.is_empty());
        if let Some(value) = value {
            if value.len() > LONGEST_OPTION {
                return Err(format!("{option}: this is too long"));
            }
            reading.set(option, value).map_err(|problem| format!("{option}: {problem}"))?;
        }
    }
    Ok(reading)
}

/// What a file turns out to be.
pub(crate) enum Seen {
    /// A recording: the options that read it, and its drops.
    Recording(Vec<String>, Box<Reduction>),
    /// Winds, canopies or the field.
    Table(tables::Found),
    /// None of these.
    Nothing(Vec<Finding>),
}

/// What one is. A table of heights and speeds reads as a recording too: it is one only if something falls in it.
///
/// # Errors
/// What an option does not take.
pub(crate) fn seen(brought: &Brought, system: System) -> Result<Seen, String> {
    let (name, bytes) = (&brought.name, &brought.bytes);
    let read = silkfall_intake::read(name, bytes, &reading(&brought.fields)?);
    let read = read.map(|read| {
        let options = read.understood.repeat_options();
        (options, Box::new(reduce(&[silkfall_folder::input(read)], &ReduceOptions::default())))
    });
    let falls = |of: &Reduction| of.recordings.iter().any(|recording| !recording.drops.is_empty());
    Ok(match read {
        Ok((options, reduction)) if falls(&reduction) => Seen::Recording(options, reduction),
        other => match (tables::found(name, bytes, system), other) {
            (Some(found), _) => Seen::Table(found),
            (None, Ok((options, reduction))) => Seen::Recording(options, reduction),
            (None, Err(findings)) => Seen::Nothing(findings),
        },
    })
}

/// What was understood of one, with the form that corrects it.
pub(crate) fn preview(number: u64, brought: &Brought, meant: Meant, system: System) -> Markup {
    let fields = &brought.fields;
    let (understood, shown) = match seen(brought, system) {
        Ok(Seen::Recording(options, reduction)) => (Some(pairs(&options)), reduced(&reduction, system)),
        Ok(Seen::Table(found)) => return tables::preview((number, &brought.name), &found, meant),
        Ok(Seen::Nothing(findings)) => (None, refused(&findings)),
        Err(problem) => (None, html! { p.misses role="alert" { "\u{25a0} " (problem) } }),
    };
    let can_be_kept = understood.is_some();
    let values = understood.unwrap_or_else(|| fields.clone());
    let test = brought.test();
    let named = match meant {
        Meant::ToBeKept => "keep as test ",
        Meant::ToBeginWith => "test ",
    };
    let asked = html! {
        fieldset {
            legend { "As understood; correct what was misread" }
            div.options {
                @for option in Reading::OPTIONS {
                    (field(number, option, values.get(option).map_or("", String::as_str)))
                }
            }
            button type="submit" name="do" value="look" { "Look again" }
        }
        p {
            label for={ "brought-" (number) "-test" } { (named) }
            input #{ "brought-" (number) "-test" } name="test" type="text" value=(test) maxlength="60" autocomplete="off";
        }
    };
    let keep = (meant == Meant::ToBeKept).then_some(("Keep it", can_be_kept));
    set((number, &brought.name), &shown, &asked, keep)
}

/// A file that was brought: what it shows, what is asked of it, and the words by which it is kept, where it may be, with
/// whether it can be.
pub(crate) fn set(
    (number, name): (u64, &str),
    shows: &Markup,
    asked: &Markup,
    keep: Option<(&str, bool)>,
) -> Markup {
    html! {
        section.brought #{ "brought-" (number) } aria-labelledby={ "brought-" (number) "-h" } {
            h3 #{ "brought-" (number) "-h" } tabindex="-1" { "Brought: " (name) }
            div.body { (shows) }
            form.brought method="post" action="/bring/look" data-number=(number) {
                input type="hidden" name="number" value=(number);
                (asked)
                p.steps-now {
                    @if let Some((words, can_be)) = keep {
                        button.strong type="submit" name="do" value="keep" disabled[!can_be] { (words) } " "
                    }
                    button type="submit" name="do" value="leave" { "Leave it out" }
                }
                p.misses.problem role="alert" {}
            }
        }
    }
}

fn field(number: u64, option: &str, value: &str) -> Markup {
    let id = format!("brought-{number}-{option}");
    let hint = match option {
        "time" => "1:s",
        "height" => "2:ft",
        "pressure" => "3:hPa",
        "temperature" => "4:°C",
        "delimiter" => ", or ; or tab",
        "decimal" => ". or ,",
        "header-lines" => "3",
        "encoding" => "utf-8",
        _ => "found by looking",
    };
    html! {
        label for=(id) { (option.replace('-', " ")) }
        input #(id) name=(option) type="text" value=(value) placeholder=(hint) autocomplete="off" spellcheck="false";
    }
}

/// Options as words of a command line, by their names.
fn pairs(words: &[String]) -> BTreeMap<String, String> {
    let name = |word: &str| word.trim_start_matches('-').to_owned();
    words.chunks_exact(2).map(|pair| (name(&pair[0]), pair[1].clone())).collect()
}

/// Columns, drops and findings, as `reduce` says them.
fn reduced(reduction: &Reduction, system: System) -> Markup {
    let document = reduction_document(reduction, "silkfall");
    let none = BTreeMap::new();
    let pieces = Pieces::new(system, &none);
    let wanted = ["reading", "drops", "findings"];
    let sections = document.sections.iter().filter(|section| wanted.contains(&section.id.as_str()));
    html! {
        @for section in sections {
            @for block in section.blocks.iter().filter(|block| block.audience != Audience::Terminal) {
                (pieces.block(&block.body))
            }
        }
    }
}

fn refused(findings: &[Finding]) -> Markup {
    html! {
        p { "No recording could be read from it as it was understood, and it is no table of winds, of canopies or of the field." }
        ul.findings { @for one in findings { (finding(one)) } }
    }
}

/// What the place is called where they are brought.
pub(crate) const HEADING: &str = "Bring recordings and tables";

/// Where recordings are brought.
pub(crate) fn place() -> Markup {
    html! {
        section.sheet.bring #bring aria-labelledby="bring-h" {
            h2 #bring-h { (HEADING) }
            div.figure { (picker(&[], Meant::ToBeKept)) }
        }
    }
}

/// Picks recordings, and shows those that wait.
pub(crate) fn picker(waiting: &[Markup], meant: Meant) -> Markup {
    html! {
        p {
            label for="bring-files" { "Recordings of drops, as the logger wrote them: " }
            input #bring-files type="file" multiple accept=".csv,.txt,.tsv,.dat,.log,.xlsx,.ods,.json,.geojson,text/*";
        }
        @if meant == Meant::ToBeKept {
            p.quiet { "Three tables as well, known by what they hold:" }
            dl.looks {
                dt { "winds by height" } dd { code { "height above ground (m),from (°),speed (m/s)" } }
                dt { "canopies that can be had" }
                dd { code { "id,shape,diameter (m),diameter_is,mass (g),packed_volume (L),price" } "; what is left out is asked for" }
                dt { "the field" }
                dd { "GeoJSON: a polygon with the property " code { "\"kind\": \"edge\"" } ", others with " code { "\"keep out\"" } ", a point " code { "\"pad\"" } }
            }
        }
        p.quiet { "Or drop them anywhere on this page. They are looked at first; nothing is kept until you say so." }
        div #bring-going role="status" {}
        div #brought { @for one in waiting { (one) } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str, fields: &[(&str, &str)]) -> String {
        let fields = fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
        let brought =
            Brought { name: "a<b>.csv".to_owned(), bytes: Arc::new(text.as_bytes().to_vec()), fields };
        preview(7, &brought, Meant::ToBeKept, System::Si).into_string()
    }

    #[test]
    fn a_table_in_which_nothing_falls_is_no_recording() {
        let winds = shown("height (m),speed (m/s),direction (deg)\n10,3,230\n100,4.5,235\n400,7,240\n", &[]);
        assert!(winds.contains("project's winds") && winds.contains("Winds at 3 heights"), "{winds}");
        let prices = "name,size (cm),mass (g),price\nflat-120,120,118,59\nflat-150,150,176,89\n";
        let prices = shown(prices, &[]);
        assert!(prices.contains("project's offers") && prices.contains("flat-150"), "{prices}");
    }

    /// 10 samples a second: rest, a rise, a hang, a fall of some metres, rest.
    fn log(delimiter: &str) -> String {
        let mut text = format!("t{delimiter}<script>alert(1)</script>\n");
        for i in 0..900 {
            let t = f64::from(i) / 10.0;
            let h = match t {
                t if t < 20.0 => 0.0,
                t if t < 35.0 => t - 20.0,
                t if t < 50.0 => 15.0,
                t if t < 55.0 => 15.0 - 3.0 * (t - 50.0),
                _ => 0.0,
            };
            text.push_str(&format!("{t}{delimiter}{h:.2}\n"));
        }
        text
    }

    #[test]
    fn what_is_understood_is_shown_and_no_text_of_it_is_markup() {
        let html = shown(&log(","), &[("height", "2:m")]);
        assert!(!html.contains("<script") && html.contains("&lt;script&gt;"), "{html}");
        assert!(
            html.contains("a&lt;b&gt;.csv")
                && html.contains("value=\"1:s\"")
                && html.contains("value=\"2:m\"")
        );
        assert!(html.contains("data-drop=\"a\""), "the drop that was found is drawn");
        assert!(!html.contains("disabled"), "it can be kept");
    }

    #[test]
    fn what_cannot_be_read_says_why_and_cannot_be_kept() {
        let html = shown("no numbers here\nat all\n", &[]);
        assert!(html.contains("No recording could be read") && html.contains("disabled"));
        let html = shown(&log(","), &[("height", "2:furlongs"), ("time", "1:s")]);
        assert!(html.contains("furlongs") && html.contains("disabled"), "{html}");
        let html = shown(&log(","), &[("delimiter", &"x".repeat(5000))]);
        assert!(html.contains("too long"));
    }

    #[test]
    fn no_more_waits_than_may() {
        let waiting = Waiting::default();
        for _ in 0..MOST {
            waiting.take("a.csv", Vec::new()).unwrap();
        }
        assert!(waiting.take("a.csv", Vec::new()).is_err());
        waiting.leave(1);
        assert!(waiting.take("a\n\u{7}.csv", Vec::new()).is_ok());
        let said = BTreeMap::from([("test".to_owned(), " a test ".to_owned())]);
        let brought = waiting.say(MOST as u64 + 1, said).unwrap();
        assert_eq!((brought.name.as_str(), brought.test().as_str()), ("a.csv", "a test"));
        assert!(waiting.say(1, BTreeMap::new()).is_none() && waiting.all().len() == MOST);
    }
}
