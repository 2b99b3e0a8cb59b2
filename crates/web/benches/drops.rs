//! Looking at drops in a browser that draws in software, in milliseconds: `cargo bench -p silkfall-web --bench drops`.
//!
//! A recording of 1,000,000 samples dragged at some zooms: from one frame to the next; beyond 17 ms in the median or 34 ms at
//! the 95th percentile it fails.
//!
//! It needs chromium and chromedriver.

#![expect(clippy::print_stdout, reason = "a bench prints what it found")]

#[expect(dead_code, reason = "the tests use the rest of it")]
#[path = "../tests/page/client.rs"]
mod client;
#[expect(dead_code, reason = "the tests use the rest of it")]
#[path = "../tests/page/driver.rs"]
mod driver;

use std::fmt::Write as _;

use client::Served;
use driver::Browser;

const SAMPLES: usize = 1_000_000;
const MEDIAN_MS: f64 = 17.0;
const P95_MS: f64 = 34.0;

fn main() {
    if !pans() {
        std::process::exit(1);
    }
}

/// Sorted times that a script gave.
fn times(found: &serde_json::Value) -> Vec<f64> {
    let mut times: Vec<f64> =
        found.as_array().into_iter().flatten().filter_map(serde_json::Value::as_f64).collect();
    times.sort_by(f64::total_cmp);
    assert!(!times.is_empty(), "nothing was measured");
    times
}

/// Whether a long recording moves as smoothly as it should.
fn pans() -> bool {
    let served = Served::demo("pan");
    served.write("logs/long.csv", &recording());
    let text = served.read("silkfall.toml");
    let test = "\n[[test]]\nname = \"a long day\"\npart = \"tube\"\nlogs = [\"logs/long.csv\"]\ncanopies = \"?\"\nbody = \"?\"\nload = \"?\"\n";
    served.write("silkfall.toml", &(text + test));
    let browser = Browser::started(1400, 900, false);
    browser.open(&served.link);
    browser.wait(
        "the recording is drawn",
        "return document.querySelector(\"figure.ribbon[data-log='logs/long.csv']\") !== null;",
    );
    let mut is_smooth = true;
    for closer in [2, 6, 12] {
        browser.run("const f = document.querySelector(\"figure.ribbon[data-log='logs/long.csv']\"); \
                     f.scrollIntoView({ block: 'center' }); f.querySelector('[data-look=whole]').click(); return true;");
        browser.wait("whole", "return document.querySelector(\"figure.ribbon[data-log='logs/long.csv'] .draw\").dataset.to === '1';");
        for _ in 0..closer {
            browser.run_until_called(
                "const done = arguments[arguments.length - 1]; \
                 document.querySelector(\"figure.ribbon[data-log='logs/long.csv'] [data-look=in]\").click(); \
                 setTimeout(done, 400);",
            );
        }
        let times = browser.run_until_called(PAN);
        let times = self::times(&times);
        let (median, p95) = (times[times.len() / 2], times[times.len() * 95 / 100]);
        println!(
            "pan {SAMPLES} samples, {closer} steps closer: median {median:.1} ms, 95th percentile {p95:.1} ms a frame ({} frames)",
            times.len()
        );
        is_smooth &= median <= MEDIAN_MS && p95 <= P95_MS;
    }
    if !is_smooth {
        println!("slower than {MEDIAN_MS} ms in the median or {P95_MS} ms at the 95th percentile");
    }
    is_smooth
}

/// 100 samples a second, a drop of 15 m every 200 s, in steps of a centimetre.
fn recording() -> String {
    let mut text = "t (s),height (m)\n".to_owned();
    for i in 0..SAMPLES {
        let t = i as f64 / 100.0;
        let h = match t % 200.0 {
            t if t < 30.0 => 0.0,
            t if t < 60.0 => 0.5 * (t - 30.0),
            t if t < 80.0 => 15.0,
            t if t < 85.0 => 15.0 - 3.0 * (t - 80.0),
            _ => 0.0,
        };
        // Noise without chance: whole-number hashing of the index.
        let noise = (i * 7919 % 1009) as f64 / 1009.0 - 0.5;
        writeln!(text, "{t:.2},{:.2}", h + 0.2 * noise).expect("a text can be written to");
    }
    text
}

const PAN: &str = "
  const done = arguments[arguments.length - 1];
  const stage = document.querySelector(\"figure.ribbon[data-log='logs/long.csv'] .stage\");
  const box = stage.getBoundingClientRect();
  const y = box.top + box.height / 2;
  let x = box.left + box.width * 0.7;
  const say = (type) => stage.dispatchEvent(new PointerEvent(type, {
    bubbles: true, clientX: x, clientY: y, button: 0, pointerId: 1, pointerType: 'mouse' }));
  say('pointerdown');
  const times = [];
  let last = performance.now();
  const frame = (now) => {
    times.push(now - last);
    last = now;
    x -= 6;
    say('pointermove');
    if (times.length < 300) requestAnimationFrame(frame);
    else {
      say('pointerup');
      done(times.slice(20));
    }
  };
  requestAnimationFrame(frame);";
