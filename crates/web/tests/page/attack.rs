//! Attacks over plain HTTP, by a client of a few lines: what no page of another site and no odd body may do.

use std::time::Duration;

use crate::client::{Answer, Client, Served};

fn demo() -> (Served, Client) {
    let served = Served::demo("attack");
    let client = served.client();
    (served, client)
}

#[test]
fn without_the_link_nothing_is_told() {
    let (served, _) = demo();
    let stranger = Client::stranger(&served);
    for path in
        ["/", "/sheet.json", "/state?revision=0", "/events", "/how/parts.tube.rate", "/texts", "/style.css"]
    {
        let answer = stranger.get(path);
        assert_eq!(answer.status, 403, "{path}");
        assert!(!answer.body.contains("Heron"), "{path}");
    }
    assert_eq!(stranger.get("/?token=00").status, 403);
    assert_eq!(stranger.post("/edit", "application/json", "{}").status, 403);
}

#[test]
fn another_sites_page_may_not_ask() {
    let (served, client) = demo();
    let evil = "http://evil.example";
    assert_eq!(client.with("Origin", evil).get("/sheet.json").status, 403);
    assert_eq!(client.with("Origin", "null").post("/undo", "application/json", "{}").status, 403);
    assert_eq!(client.with("Sec-Fetch-Site", "cross-site").get("/sheet.json").status, 403);
    assert_eq!(client.with("Host", "evil.example").get("/").status, 421);
    let port = served.port();
    assert_eq!(client.with("Host", &format!("evil.example:{port}")).get("/").status, 421);
    assert_eq!(client.with("Host", &format!("localhost:{port}")).get("/").status, 200);
    assert_eq!(client.with("Origin", &format!("http://127.0.0.1:{port}")).get("/").status, 200);
}

#[test]
fn every_answer_forbids_what_is_not_of_the_page() {
    let (_served, client) = demo();
    for path in ["/", "/style.css", "/js/main.js", "/nowhere", "/sheet.json"] {
        let answer = client.get(path);
        let policy = answer.header("content-security-policy");
        assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("cache-control"), "no-store", "{path}");
    }
    let page = client.get("/").body;
    assert!(!page.contains(" style=") && !page.contains(" onclick"), "the policy would refuse it");
    assert!(!page.contains("http://") || !page.contains("src=\"http"));
}

#[test]
fn paths_do_not_leave_the_page() {
    let (_served, client) = demo();
    for path in [
        "/../Cargo.toml",
        "/js/../../Cargo.toml",
        "/js/%2e%2e/%2e%2e/etc/passwd",
        "/logs/one-weight.csv",
        "/how/..%2F..%2Fetc%2Fpasswd",
    ] {
        let status = client.get(path).status;
        assert!(matches!(status, 400 | 404), "{path}: {status}");
    }
}

#[test]
fn a_huge_body_is_refused_and_the_page_stays() {
    let (_served, client) = demo();
    let huge = format!("{{\"window\":\"{}\"}}", "x".repeat(1 << 20));
    assert_eq!(client.post("/edit", "application/json", &huge).status, 413);
    // It says that it is short and never ends.
    let endless = client.endless("/edit", 4 << 20);
    assert!(endless.is_none_or(|answer| answer.status == 413));
    assert_eq!(client.get("/").status, 200);
}

#[test]
fn a_head_that_never_ends_is_given_up_and_the_page_stays() {
    let (_served, client) = demo();
    // A line now and then, so that something always comes.
    let taken = client.drips("GET / HTTP/1.1\r\n", "X-Slow: x\r\n", Duration::from_secs(1), 40);
    assert!(taken < 40, "it is shut within seconds, after {taken} lines");
    assert_eq!(client.get("/").status, 200);
}

#[test]
fn texts_run_nowhere_and_bombs_do_not_go_off() {
    let (served, client) = demo();
    let evil = "<script>alert(1)</script><img src=x onerror=alert(1)>";
    let answer = client.edit("site", "site", "place", evil);
    assert_eq!(answer.status, 200);
    let page = client.get("/").body;
    assert!(
        page.contains("&lt;script&gt;alert(1)") && !page.contains("<script>alert") && !page.contains("<img")
    );
    // A value that is TOML is written as a value.
    client.edit("site", "site", "place", "\"\n[[part]]\nname = \"evil\"\nmass = \"1 kg\"\n");
    assert!(!client.get("/sheet.json").body.contains("\"evil\""));
    // A file that nests deeply, that repeats, that is no text: told, not worked.
    for bomb in [format!("a = {}", "[".repeat(100_000)), "a = 1\n".repeat(50_000), "\u{0}\u{1}".repeat(1000)]
    {
        served.write("silkfall.toml", &bomb);
        served.settle();
        let answer = client.get("/");
        assert_eq!(answer.status, 200);
    }
}

#[test]
fn a_header_cell_of_a_recording_is_text() {
    let served = Served::demo("header-cell");
    let log = served.read("logs/one-weight.csv");
    let evil = "\"<script>alert(1)</script>\"";
    let spoilt: String = log
        .lines()
        .map(|line| match line.split_once(',') {
            Some((first, rest))
                if first.chars().all(|c| c.is_alphabetic() || c == ' ') && !first.is_empty() =>
            {
                format!("{first},{evil},{rest}\n")
            }
            Some((first, rest)) if !line.starts_with('#') => format!("{first},1,{rest}\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    served.write("logs/one-weight.csv", &spoilt);
    let page = served.client().get("/").body;
    assert!(!page.contains("<script>alert"));
}

#[test]
fn on_a_network_it_is_for_reading_unless_asked() {
    let served = Served::on_network("network");
    let client = served.client();
    assert_eq!(client.get("/").status, 200);
    let refused: Answer = client.edit("site", "site", "place", "elsewhere");
    assert_eq!(refused.status, 403);
    for path in ["/save", "/undo", "/redo", "/discard", "/settle", "/start"] {
        assert_eq!(client.post(path, "application/json", "{}").status, 403, "{path}");
    }
    assert!(!client.get("/").body.contains("<form"), "nothing is offered that would be refused");
}
