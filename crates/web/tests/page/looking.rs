//! Looking at drops over plain HTTP: ends that move, drops set aside and taken back, tiles, and recordings brought.

use crate::client::{Answer, Client, Served};
use serde_json::{Value, json};

const TEST: &str = "one with a weight";

fn demo() -> (Served, Client) {
    let served = Served::demo("looking");
    let client = served.client();
    (served, client)
}

fn says(client: &Client, says: &str, more: &Value) -> Answer {
    let mut said = json!({ "do": "drop", "test": TEST, "drop": "a", "says": says });
    for (name, value) in more.as_object().into_iter().flatten() {
        said[name] = value.clone();
    }
    client.edits("test", u64::MAX, &[said])
}

fn json_of(answer: &Answer) -> Value {
    serde_json::from_str(&answer.body).expect("the answer is JSON")
}

/// The text as it is now.
fn text(served: &Served, client: &Client) -> String {
    assert_eq!(client.post("/save", "application/json", &step()).status, 200);
    served.read("silkfall.toml")
}

fn step() -> String {
    json!({ "window": "test", "shows": { "revision": 0 }, "keep": null }).to_string()
}

fn of_drop(client: &Client, key: &str) -> f64 {
    let json = json_of(&client.get("/sheet.json"));
    let path = format!("parts.tube.tests.{TEST}.recordings.logs/one-weight.csv.drops.a.{key}");
    silkfall_report::wire::find(&json, &path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path}"))
}

/// The number of an attribute of drop a's handle.
fn handle(client: &Client, end: &str, name: &str) -> usize {
    let page = client.get(&format!("/drops/overlay?test={}", TEST.replace(' ', "%20"))).body;
    let at = page.find(&format!("-a-{end}\"")).expect("there is a handle");
    let rest = &page[at..];
    let from = rest.find(&format!("{name}=\"")).expect("it has that") + name.len() + 2;
    rest[from..].split('"').next().and_then(|number| number.parse().ok()).expect("a number")
}

#[test]
fn an_end_moves_by_one_sample_and_the_rate_follows() {
    let (served, client) = demo();
    let rate = of_drop(&client, "rate_m_s");
    let now = handle(&client, "from", "aria-valuenow");
    let answer = says(&client, "move", &json!({ "end": "from", "sample": now + 1 }));
    assert_eq!((answer.status, &json_of(&answer)["refused"]), (200, &Value::Null), "{}", answer.body);
    assert_eq!(handle(&client, "from", "aria-valuenow"), now + 1);
    // What was found begins between two samples, what is moved at one. The demo's logger writes 20 a second.
    let moved_s = of_drop(&client, "steady_from_s");
    says(&client, "move", &json!({ "end": "from", "sample": now + 2 }));
    let step_s = of_drop(&client, "steady_from_s") - moved_s;
    assert!((0.02..0.08).contains(&step_s), "one sample later, not {step_s} s");
    says(&client, "move", &json!({ "end": "from", "sample": now + 30 }));
    assert!((of_drop(&client, "rate_m_s") - rate).abs() > 1e-9, "the rate is another");
    let edited = text(&served, &client);
    assert!(edited.contains("window = [\"") && edited.contains("log = \"logs/one-weight.csv\""), "{edited}");
    // However far it is moved, some samples are left.
    says(&client, "move", &json!({ "end": "from", "sample": 999_999_999_u64 }));
    assert!(handle(&client, "from", "aria-valuenow") < handle(&client, "to", "aria-valuenow"));
    let answer = says(&client, "auto", &json!({}));
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert!((of_drop(&client, "rate_m_s") - rate).abs() < 1e-12, "found again as it was");
}

#[test]
fn an_end_can_be_put_where_a_pointer_is() {
    let (_served, client) = demo();
    let before = handle(&client, "to", "aria-valuenow");
    let answer = says(&client, "move", &json!({ "end": "to", "share": 0.5 }));
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_ne!(handle(&client, "to", "aria-valuenow"), before);
    for wrong in [json!({ "end": "middle", "sample": 3 }), json!({ "end": "to" })] {
        assert_eq!(says(&client, "move", &wrong).status, 400, "{wrong}");
    }
}

#[test]
fn a_drop_is_set_aside_with_its_reason_and_taken_back_to_the_letter() {
    let (served, client) = demo();
    let (first, rate) = (served.read("silkfall.toml"), of_drop(&client, "rate_m_s"));
    let kept = |client: &Client| {
        let json = json_of(&client.get("/sheet.json"));
        let path = format!("parts.tube.tests.{TEST}.drops_kept");
        silkfall_report::wire::find(&json, &path).and_then(Value::as_u64).expect("a count")
    };
    let all = kept(&client);
    assert_eq!(says(&client, "aside", &json!({ "reason": " " })).status, 400, "a reason is owed");
    says(&client, "aside", &json!({ "reason": "gust <b>\"x\"</b>" }));
    assert_eq!(kept(&client), all - 1);
    let page = client.get("/").body;
    assert!(page.contains("gust &lt;b&gt;") && !page.contains("gust <b>"));
    assert!(text(&served, &client).contains("set_aside = "));
    says(&client, "back", &json!({}));
    assert_eq!(kept(&client), all);
    assert!((of_drop(&client, "rate_m_s") - rate).abs() < 1e-12);
    assert_eq!(text(&served, &client).trim_end(), first.trim_end());
}

#[test]
fn tiles_figures_and_values_are_given_and_nothing_else() {
    let (_served, client) = demo();
    let test = TEST.replace(' ', "%20");
    let of = format!("test={test}&log=logs/one-weight.csv");
    for (path, status) in [
        (format!("/drops/ribbon?{of}"), 200),
        (format!("/drops/ribbon?{of}&drop=b"), 200),
        (format!("/drops/ribbon?{of}&from=0.2&to=0.1"), 200),
        (format!("/drops/ribbon?{of}&from=NaN&to=inf"), 200),
        (format!("/drops/overlay?test={test}&from=1&to=2&look=in&share=0.5"), 200),
        (format!("/drops/overlay?test={test}&look=by&share=1e300"), 200),
        (format!("/drops/values?test={test}&share=0.4"), 200),
        ("/drops/tile?log=logs/one-weight.csv&level=9&at=0".to_owned(), 200),
        ("/drops/tile?log=logs/one-weight.csv&level=4000000000&at=18446744073709551615".to_owned(), 200),
        ("/drops/tile?log=../silkfall.toml&level=0&at=0".to_owned(), 404),
        ("/drops/tile?log=/etc/passwd&level=0&at=0".to_owned(), 404),
        ("/drops/overlay?test=nobody".to_owned(), 404),
        (format!("/drops/ribbon?test={test}&log=../x"), 404),
    ] {
        let answer = client.get(&path);
        assert_eq!(answer.status, status, "{path}: {}", answer.body);
    }
    let values = client.get(&format!("/drops/values?test={test}&share=0.4")).body;
    assert!(values.contains("after release") && values.contains("data-drop=\"a\""), "{values}");
}

#[test]
fn a_page_for_reading_has_no_handles_and_takes_nothing() {
    let served = Served::on_network("looking");
    let client = served.client();
    assert_eq!(says(&client, "aside", &json!({ "reason": "x" })).status, 403);
    assert_eq!(client.post("/bring?name=a.csv", "application/octet-stream", "t,h\n").status, 403);
    let page = client.get("/").body;
    assert!(!page.contains("role=\"slider\"") && !page.contains("id=\"bring\""));
}

/// Ten samples a second: rest, a rise, a hang, a fall of 15 m at 3 m/s, rest.
fn log() -> String {
    let mut text = "t (s),<script>alert(1)</script> (m)\n".to_owned();
    for i in 0..900 {
        let t = f64::from(i) / 10.0;
        let h = match t {
            t if t < 20.0 => 0.0,
            t if t < 35.0 => t - 20.0,
            t if t < 50.0 => 15.0,
            t if t < 55.0 => 15.0 - 3.0 * (t - 50.0),
            _ => 0.0,
        };
        text.push_str(&format!("{t},{h:.2}\n"));
    }
    text
}

fn number(piece: &str) -> String {
    let at = piece.find("data-number=\"").expect("a piece with its number");
    piece[at + 13..].split('"').next().unwrap_or_default().to_owned()
}

#[test]
fn a_recording_is_looked_at_corrected_and_kept_under_a_name_that_stays_inside() {
    let (served, client) = demo();
    let before = served.read("silkfall.toml");
    let form = "application/x-www-form-urlencoded";
    let piece = client.post("/bring?name=..%2F..%2Fevil.csv", "application/octet-stream", &log());
    assert_eq!(piece.status, 200, "{}", piece.body);
    assert!(!piece.body.contains("<script") && piece.body.contains("&lt;script&gt;"));
    let number = number(&piece.body);
    let again = client.post("/bring/look", form, &format!("number={number}&time=1:s&height=2:ft"));
    assert!(again.body.contains("value=\"2:ft\""), "{}", again.body);
    let kept = client.post(
        "/bring/keep",
        form,
        &format!("number={number}&time=1:s&height=2:m&test=brought&revision=0"),
    );
    assert_eq!(kept.status, 200, "{}", kept.body);
    assert_eq!(served.read("logs/evil.csv"), log());
    assert!(!served.folder.join("../../evil.csv").exists() && !served.folder.join("../evil.csv").exists());
    assert_eq!(served.read("silkfall.toml"), before, "nothing is saved until asked");
    let json = json_of(&client.get("/sheet.json"));
    assert!(silkfall_report::wire::find(&json, "parts.tube.tests.brought").is_some());
    let after = text(&served, &client);
    assert!(after.starts_with(before.trim_end()) && after.contains("height = \"2:m\""), "{after}");
    // What was kept waits no more, and a name that is taken by a test is refused before anything is copied.
    assert_eq!(client.post("/bring/keep", form, &format!("number={number}")).status, 404);
    let piece = client.post("/bring?name=two.csv", "application/octet-stream", &log()).body;
    let number = self::number(&piece);
    assert_eq!(client.post("/bring/keep", form, &format!("number={number}&test=brought")).status, 422);
    assert!(!served.folder.join("logs/two.csv").exists());
    assert_eq!(client.post("/bring/leave", form, &format!("number={number}")).status, 204);
}

#[test]
fn what_is_too_large_or_never_ends_is_refused() {
    let (served, client) = demo();
    let head = client.with("Content-Length", &(1_u64 << 40).to_string());
    let answer = head.post("/bring?name=big.csv", "application/octet-stream", "t,h\n");
    assert!(matches!(answer.status, 400 | 413), "{}", answer.status);
    assert_eq!(client.get("/").status, 200, "it still serves");
    assert!(!served.folder.join("logs/big.csv").exists());
}

#[test]
fn tables_of_winds_and_canopies_are_known_taken_and_named() {
    let (served, client) = demo();
    let form = "application/x-www-form-urlencoded";
    client.edit("wind", "wind", "speed", "3 m/s");
    let piece = client.post(
        "/bring?name=winds.csv",
        "application/octet-stream",
        "from (°),speed (kt),height above ground (m)\n200,8,10\n210,14,300\n220,18,1000\n",
    );
    assert!(piece.body.contains("Winds at 3 heights") && piece.body.contains("4.1 m/s"), "{}", piece.body);
    let number = number(&piece.body);
    assert_eq!(client.post("/bring/keep", form, &format!("number={number}&revision=0")).status, 200);
    let piece = client.post(
        "/bring?name=shop.csv",
        "application/octet-stream",
        "id,shape,diameter (m),mass (g)\nplain-1.20,flat circular,1.2,72\nplain-1.84,flat circular,1.84,164\n",
    );
    for said in ["2 kinds of canopy", "plain-1.20", "1.84 m", "164 g"] {
        assert!(piece.body.contains(said), "{said}: {}", piece.body);
    }
    let number = self::number(&piece.body);
    assert_eq!(client.post("/bring/keep", form, &format!("number={number}&revision=0")).status, 200);
    // What is there already stays as it is; a reading at the ground makes room for winds by height.
    let text = text(&served, &client);
    assert!(text.contains("winds = \"winds-2.csv\"") && text.contains("offers = \"shop.csv\""), "{text}");
    let project = silkfall_project::parse(&text, None).project.expect("it can be read");
    assert!(project.wind.speed.is_absent() && project.wind.speed_doubt.given().is_some());
    assert!(served.read("winds-2.csv").starts_with("from") && served.read("winds.csv").contains("height"));
    let json = json_of(&client.get("/sheet.json"));
    let from =
        silkfall_report::wire::find(&json, "landing.tube.wind_from").and_then(|from| from["value"].as_f64());
    assert!((from.unwrap().to_degrees() - 200.0).abs() < 0.1, "{from:?}");
}
