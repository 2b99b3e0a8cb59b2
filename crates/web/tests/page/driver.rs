//! A browser, driven over WebDriver (W3C) by the client of a few lines: Debian's chromium and chromium-driver.

use std::io::{BufRead, BufReader, Read};
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Stdio};

use serde_json::{Value, json};

use crate::client::Client;

/// How WebDriver calls an element in JSON.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// Keys, as WebDriver names them.
pub mod key {
    pub const DOWN: &str = "\u{e015}";
    pub const BACKSPACE: &str = "\u{e003}";
    pub const TAB: &str = "\u{e004}";
    pub const ENTER: &str = "\u{e007}";
    pub const ESCAPE: &str = "\u{e00c}";
    pub const RIGHT: &str = "\u{e014}";
    pub const LEFT: &str = "\u{e012}";
}

/// A browser of its own, with nothing kept from another.
pub struct Browser {
    driver: Child,
    /// Kept open: what it writes must have somewhere to go.
    _out: BufReader<ChildStdout>,
    client: Client,
    session: String,
    profile: PathBuf,
}

impl Browser {
    /// Starts one; chromium and chromedriver must be there (`cargo xtask setup` sees to it).
    pub fn start(width: u32, height: u32) -> Self {
        Browser::started(width, height, true)
    }

    /// The same. Keeping all of its requests for [`Self::requests`] takes time that a bench would measure.
    pub fn started(width: u32, height: u32, keeps_requests: bool) -> Self {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is there: `cargo xtask setup`");
        let mut out = BufReader::new(driver.stdout.take().expect("its output is piped"));
        let port = out
            .by_ref()
            .lines()
            .map_while(Result::ok)
            .find_map(|line| line.split_once("successfully on port ")?.1.trim_end_matches('.').parse().ok())
            .expect("chromedriver says its port");
        let client = Client::local(port);
        let profile = std::env::temp_dir().join(format!("silkfall-chromium-{}-{port}", std::process::id()));
        let args = [
            "headless".to_owned(),
            "no-sandbox".to_owned(),
            "disable-gpu".to_owned(),
            "disable-quic".to_owned(),
            "no-first-run".to_owned(),
            "disable-background-networking".to_owned(),
            "disable-component-update".to_owned(),
            "disable-sync".to_owned(),
            "disable-dev-shm-usage".to_owned(),
            format!("user-data-dir={}", profile.display()),
            format!("window-size={width},{height}"),
        ];
        let asked = json!({ "capabilities": { "alwaysMatch": {
            "browserName": "chrome",
            "goog:chromeOptions": { "args": args },
            "goog:loggingPrefs": { "browser": "ALL", "performance": if keeps_requests { "ALL" } else { "OFF" } },
        }}});
        let answer = client.post("/session", "application/json", &asked.to_string());
        let session = answer.json()["value"]["sessionId"].as_str().map(str::to_owned);
        let session = session.unwrap_or_else(|| panic!("no browser: {}", answer.body));
        let browser = Browser { driver, _out: out, client, session, profile };
        browser.ask("POST", "/timeouts", &json!({ "script": 300_000 }));
        browser.viewport(width, height);
        // Without it some versions tell a page without a window nothing of its focus.
        browser.devtools("Emulation.setFocusEmulationEnabled", json!({ "enabled": true }));
        browser
    }

    fn ask(&self, method: &str, path: &str, body: &Value) -> Value {
        self.try_ask(method, path, body).unwrap_or_else(|| panic!("{method} {path} {body} is refused"))
    }

    fn try_ask(&self, method: &str, path: &str, body: &Value) -> Option<Value> {
        let path = format!("/session/{}{path}", self.session);
        let body = if method == "GET" { String::new() } else { body.to_string() };
        let answer = self.client.request(method, &path, "application/json", &body);
        (answer.status == 200).then(|| answer.json()["value"].clone())
    }

    /// A command of the browser's own protocol.
    pub fn devtools(&self, command: &str, params: Value) {
        self.ask("POST", "/goog/cdp/execute", &json!({ "cmd": command, "params": params }));
    }

    /// Size of what is looked at, CSS px.
    pub fn viewport(&self, width: u32, height: u32) {
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics);
    }

    /// As a reader that prefers dark.
    pub fn dark(&self, is_dark: bool) {
        let value = if is_dark { "dark" } else { "light" };
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] });
        self.devtools("Emulation.setEmulatedMedia", features);
    }

    pub fn open(&self, address: &str) {
        self.ask("POST", "/url", &json!({ "url": address }));
    }

    pub fn reload(&self) {
        self.ask("POST", "/refresh", &json!({}));
    }

    /// Runs a function body in the page and gives what it returns.
    pub fn run(&self, script: &str) -> Value {
        self.ask("POST", "/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// Runs a function body whose last argument is called with the result.
    pub fn run_until_called(&self, script: &str) -> Value {
        self.ask("POST", "/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// Waits until a function body returns something true.
    pub fn wait(&self, what: &str, script: &str) {
        for _ in 0..600 {
            if self.run(script) == Value::Bool(true) {
                return;
            }
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
        panic!("it never came to that: {what}");
    }

    fn find(&self, css: &str) -> String {
        let found = self.ask("POST", "/element", &json!({ "using": "css selector", "value": css }));
        found[ELEMENT].as_str().expect("an element").to_owned()
    }

    /// Clicks; what is swapped in that moment is looked for again.
    pub fn click(&self, css: &str) {
        for _ in 0..10 {
            // What stands behind the title block is brought out first.
            let bring = format!(
                "document.querySelector({css:?})?.scrollIntoView({{ block: 'center' }}); return true;"
            );
            self.run(&bring);
            let found = self.try_ask("POST", "/element", &json!({ "using": "css selector", "value": css }));
            let clicked = found.and_then(|found| {
                let element = found[ELEMENT].as_str()?;
                self.try_ask("POST", &format!("/element/{element}/click"), &json!({}))
            });
            if clicked.is_some() {
                return;
            }
            std::thread::sleep(std::time::Duration::from_millis(100));
        }
        panic!("{css} cannot be clicked");
    }

    /// Types into a field in the place of what is there, as a hand does: what is there is selected and typed over.
    pub fn fill(&self, css: &str, text: &str) {
        self.run(&format!("const e = document.querySelector({css:?}); e.focus(); e.select(); return true;"));
        self.press(text);
    }

    /// Presses keys wherever the focus is.
    pub fn press(&self, keys: &str) {
        let actions: Vec<Value> = keys
            .chars()
            .flat_map(|key| {
                ["keyDown", "keyUp"].map(|kind| json!({ "type": kind, "value": key.to_string() }))
            })
            .collect();
        let source = json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] });
        self.ask("POST", "/actions", &source);
    }

    /// Moves the pointer to a place of what is seen, CSS px.
    pub fn point(&self, (x, y): (f64, f64)) {
        self.pointer(&[json!({ "type": "pointerMove", "duration": 0, "x": x.round(), "y": y.round() })]);
    }

    /// Drags from one place to another, over places between.
    pub fn drag(&self, from: (f64, f64), to: (f64, f64)) {
        let moved = |share: f64| {
            let at = |a: f64, b: f64| (a + share * (b - a)).round();
            json!({ "type": "pointerMove", "duration": 40, "x": at(from.0, to.0), "y": at(from.1, to.1) })
        };
        let down = json!({ "type": "pointerDown", "button": 0 });
        let up = json!({ "type": "pointerUp", "button": 0 });
        self.pointer(&[moved(0.0), down, moved(0.25), moved(0.5), moved(0.75), moved(1.0), up]);
    }

    fn pointer(&self, actions: &[Value]) {
        let parameters = json!({ "pointerType": "mouse" });
        let source = json!({ "actions": [{ "type": "pointer", "id": "mouse", "parameters": parameters, "actions": actions }] });
        self.ask("POST", "/actions", &source);
    }

    /// Picks a file.
    pub fn upload(&self, css: &str, file: &std::path::Path) {
        let element = self.find(css);
        let text = file.display().to_string();
        self.ask("POST", &format!("/element/{element}/value"), &json!({ "text": text }));
    }

    pub fn text(&self, css: &str) -> String {
        // In one step: an element found first may have been swapped when it is asked.
        let script = "return document.querySelector(arguments[0]).innerText;";
        let text = self.ask("POST", "/execute/sync", &json!({ "script": script, "args": [css] }));
        text.as_str().unwrap_or_default().to_owned()
    }

    /// What the browser wrote to its console since it was asked last, from warnings up.
    pub fn console(&self) -> Vec<String> {
        let entries = self.ask("POST", "/se/log", &json!({ "type": "browser" }));
        entries
            .as_array()
            .into_iter()
            .flatten()
            .filter(|entry| matches!(entry["level"].as_str(), Some("SEVERE" | "WARNING")))
            .map(|entry| entry["message"].as_str().unwrap_or_default().to_owned())
            .collect()
    }

    /// Every address that was asked for since this was asked last.
    pub fn requests(&self) -> Vec<String> {
        let entries = self.ask("POST", "/se/log", &json!({ "type": "performance" }));
        entries
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|entry| serde_json::from_str::<Value>(entry["message"].as_str()?).ok())
            .filter(|message| message["message"]["method"] == "Network.requestWillBeSent")
            .filter_map(|message| message["message"]["params"]["request"]["url"].as_str().map(str::to_owned))
            .collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let path = format!("/session/{}", self.session);
        drop(std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            self.client.request("DELETE", &path, "application/json", "")
        })));
        drop(self.driver.kill());
        drop(self.driver.wait());
        drop(std::fs::remove_dir_all(&self.profile));
    }
}
