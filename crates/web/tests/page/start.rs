//! Where nothing is open: recordings are brought, looked at and corrected, and a job begins with them.

use crate::client::{Client, Served};
use crate::driver::{Browser, key};

const FORM: &str = "application/x-www-form-urlencoded";

/// A recording of the demo, as somebody has it in a folder of downloads.
fn log(name: &str) -> String {
    let path = format!("{}/../cli/demo/logs/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("the demo's recordings are there")
}

fn nothing_open(name: &str) -> Served {
    Served::with(name, |options| {
        options.here = options.folder.take();
    })
}

fn number(piece: &str) -> String {
    let at = piece.find("data-number=\"").expect("a piece with its number");
    piece[at + 13..].split('"').next().unwrap_or_default().to_owned()
}

fn bring(client: &Client, name: &str, text: &str) -> String {
    let piece = client.post(&format!("/bring?name={name}"), "application/octet-stream", text);
    assert_eq!(piece.status, 200, "{}", piece.body);
    number(&piece.body)
}

#[test]
fn a_browser_begins_a_job_from_three_recordings() {
    let served = nothing_open("start");
    let browser = Browser::start(1280, 900);
    browser.open(&served.link);
    browser.wait("the script has started", "return document.documentElement.classList.contains('script');");
    for (at, name) in ["one-weight.csv", "two-weight.csv", "three-weight.csv"].iter().enumerate() {
        browser.upload("#bring-files", &served.folder.join("logs").join(name));
        let here = format!("return document.querySelectorAll('section.brought').length === {};", at + 1);
        browser.wait("it is looked at", &here);
    }
    assert!(browser.text("#brought").contains("drop"), "{}", browser.text("#brought"));
    assert_eq!(
        browser.run("return document.querySelector('#brought button[value=keep]');"),
        serde_json::Value::Null
    );
    // One is called otherwise, and the job begins without asking again.
    browser.fill("#brought section:nth-of-type(2) input[name=test]", "a pair, with a weight");
    browser.fill("#new", "my-tube");
    browser.press(key::ENTER);
    browser.wait("the sheet is open", "return document.querySelector('#desk') !== null;");
    let text = served.read("my-tube/silkfall.toml");
    for said in [
        "name = \"my-tube\"",
        "name = \"one-weight\"",
        "name = \"a pair, with a weight\"",
        "logs/three-weight.csv",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    assert_eq!(served.read("my-tube/logs/one-weight.csv"), log("one-weight.csv"));
    assert_eq!(browser.console(), Vec::<String>::new());
    // A wind typed in where there is none yet.
    browser.fill("#w-wind\\.speed", "4.5 m/s");
    browser.press(key::ENTER);
    browser.wait("edited", "return document.querySelector('#desk').textContent.includes('not saved');");
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let text = served.read("my-tube/silkfall.toml");
    assert!(text.contains("speed = \"4.5 m/s\""), "{text}");
}

#[test]
fn what_is_misread_is_corrected_or_left_out_before_a_job_begins() {
    let served = nothing_open("misread");
    let client = served.client();
    let good = bring(&client, "fall.csv", &log("capsule.csv"));
    let bad = bring(&client, "notes.csv", "no numbers here\nat all\n");
    let begin = |folder: &str| client.post("/start", FORM, &format!("with=new&folder={folder}"));
    let refused = begin("job");
    assert_eq!(refused.status, 422);
    assert!(
        refused.body.contains("notes.csv gives no recording") && refused.body.contains("Brought: fall.csv")
    );
    assert!(!served.folder.join("job").exists());
    assert_eq!(client.post("/bring/leave", FORM, &format!("number={bad}")).status, 204);
    // Two of one name.
    let twin = bring(&client, "fall.csv", &log("one-weight.csv"));
    assert!(begin("job").body.contains("two recordings are called test `fall`"));
    let named = client.post("/bring/look", FORM, &format!("number={twin}&test=the+other"));
    assert!(named.status == 200 && named.body.contains("value=\"the other\""));
    for out in ["../job", "/tmp/job", "a/../../job"] {
        assert_eq!(begin(out).status, 422, "{out}");
    }
    assert_eq!(begin("job").status, 303);
    let text = served.read("job/silkfall.toml");
    assert!(
        text.contains("name = \"fall\"")
            && text.contains("name = \"the other\"")
            && text.contains("logs/fall-2.csv")
    );
    // What it began with waits no more.
    assert_eq!(client.post("/bring/look", FORM, &format!("number={good}")).status, 404);
    assert!(client.get("/").body.contains("the other"));
    // A project that is there is never written over.
    assert_eq!(begin("job").status, 422);
}

/// A window that was left open on a folder does not write into the one that was opened after it.
#[test]
fn a_window_of_a_folder_that_was_open_before_changes_nothing() {
    let served = nothing_open("two-folders");
    let client = served.client();
    let begin = |with: &str, folder: &str| {
        let answer = client.post("/start", FORM, &format!("with={with}&folder={folder}"));
        assert_eq!(answer.status, 303, "{}", answer.body);
        let page = client.get("/").body;
        let at = page.find("data-desk=\"").expect("the page says of which desk it is") + 11;
        page[at..].split('"').next().unwrap_or_default().to_owned()
    };
    let (before, now) = (begin("demo", "one"), begin("demo", "two"));
    assert_ne!(before, now);
    let heavier =
        |desk: &str| client.with("silkfall-desk", desk).edit("part", "part.tube", "mass", "9.5 kg ± 50 g");
    let refused = heavier(&before);
    assert_eq!(refused.status, 409);
    assert!(refused.body.contains("Another folder is open now"), "{}", refused.body);
    for step in ["/undo", "/save", "/discard"] {
        let body = "{\"window\":\"w\",\"shows\":{\"revision\":0},\"keep\":null}";
        let answer = client.with("silkfall-desk", &before).post(step, "application/json", body);
        assert_eq!(answer.status, 409, "{step}");
    }
    assert!(!client.get("/texts").body.contains("9.5 kg"));
    assert_eq!(heavier(&now).status, 200);
    assert_eq!(
        served.read("one/silkfall.toml"),
        served.read("two/silkfall.toml"),
        "nothing is saved unasked"
    );
}
