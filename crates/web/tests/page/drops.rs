//! A browser looks at drops: handles by pointer and by key, a drop set aside, a recording brought, drawings that keep apart.

use serde_json::{Value, json};

use crate::client::Served;
use crate::driver::{Browser, key};

const TEST: &str = "one with a weight";
/// Drop a's line in the margin of the first test.
const LINE: &str = "details.drop-line[data-drop='a']";

fn opened(name: &str, width: u32) -> (Served, Browser) {
    let served = Served::demo(name);
    let browser = Browser::start(width, 900);
    browser.open(&served.link);
    started(&browser);
    (served, browser)
}

fn started(browser: &Browser) {
    let has = "return document.documentElement.classList.contains('script') \
               && document.querySelector('.handle') !== null;";
    browser.wait("the script has started", has);
    browser.run("document.querySelector('figure.overlay').scrollIntoView({ block: 'start' }); return true;");
}

/// An expression for the drawing that is seen, of the first test.
const SEEN: &str =
    "[...document.querySelectorAll('figure.overlay .draw svg')].find((s) => s.getClientRects().length)";

/// What the handle of an end says.
fn handle(browser: &Browser, end: &str, name: &str) -> String {
    let script =
        format!("return {SEEN}.querySelector('.now .handle[data-end={end}]').getAttribute('{name}');");
    browser.run(&script).as_str().unwrap_or_default().to_owned()
}

fn sequence(browser: &Browser) -> String {
    browser
        .run("return document.querySelector('#desk').dataset.sequence;")
        .as_str()
        .unwrap_or_default()
        .to_owned()
}

fn changed(browser: &Browser, before: &str) {
    let script = format!("return document.querySelector('#desk').dataset.sequence !== {before:?};");
    browser.wait("the edit has come back", &script);
}

/// The rate of drop a as the page shows it.
fn rate(browser: &Browser) -> String {
    browser.text(&format!("{LINE} summary"))
}

#[test]
fn a_handle_that_is_dragged_changes_the_rate_and_is_one_step_back() {
    let (_served, browser) = opened("drag", 1400);
    let (before, was, value) = (sequence(&browser), rate(&browser), handle(&browser, "to", "aria-valuenow"));
    let place = browser.run(&format!(
        "const g = {SEEN}.querySelector('.now .handle[data-end=to] .grip').getBoundingClientRect(); \
         return [g.left + g.width / 2, g.top + g.height / 2];"
    ));
    let (x, y) = (place[0].as_f64().unwrap(), place[1].as_f64().unwrap());
    browser.drag((x, y), (x - 45.0, y + 4.0));
    changed(&browser, &before);
    let moved = format!(
        "return {SEEN}.querySelector('.now .handle[data-end=to]').getAttribute('aria-valuenow') !== {value:?};"
    );
    browser.wait("the handle stands elsewhere", &moved);
    assert_ne!(rate(&browser), was, "the rate follows");
    assert!(browser.text("#desk").contains("not saved"));
    browser.click("form[action='/undo'] button");
    browser.wait("undone", "return document.querySelector('#desk').textContent.includes('as in the file');");
    assert_eq!(rate(&browser), was);
    assert_eq!(browser.console(), Vec::<String>::new());
}

#[test]
fn an_arrow_key_is_one_sample_and_time_and_rate_are_spoken() {
    let (_served, browser) = opened("keys", 1400);
    let first: usize = handle(&browser, "from", "aria-valuenow").parse().unwrap();
    let spoken = handle(&browser, "from", "aria-valuetext");
    assert!(spoken.contains("after release") && spoken.contains("m/s"), "{spoken}");
    browser.run(&format!("{SEEN}.querySelector('.now .handle[data-end=from]').focus(); return true;"));
    for (keys, expected) in [(key::RIGHT.repeat(3), first + 3), (key::LEFT.to_owned(), first + 2)] {
        browser.press(&keys);
        let there = format!(
            "return {SEEN}.querySelector('.now .handle[data-end=from]').getAttribute('aria-valuenow') === '{expected}';"
        );
        browser.wait("one sample a press", &there);
    }
    assert_ne!(handle(&browser, "from", "aria-valuetext"), spoken);
    let focused = browser.run("return document.activeElement.getAttribute('data-end');");
    assert_eq!(focused, "from", "the handle stays in the hand");
}

#[test]
fn a_drop_is_set_aside_with_a_reason_and_taken_back() {
    let (served, browser) = opened("aside", 1400);
    let file = served.read("silkfall.toml");
    let before = sequence(&browser);
    browser.click(&format!("{LINE} summary"));
    browser.fill(&format!("{LINE} input[name=reason]"), "lines tangled");
    browser.press(key::ENTER);
    changed(&browser, &before);
    browser.wait(
        "said so",
        &format!(
            "return document.querySelector(\"{LINE}\").textContent.includes('set aside: lines tangled');"
        ),
    );
    let hollow = format!(
        "return {SEEN}.closest('section').querySelector('.margin figure').textContent.includes('lines tangled');"
    );
    assert_eq!(browser.run(&hollow), true, "the rates say why");
    let before = sequence(&browser);
    let offered = || {
        browser.run(&format!(
            "return [...document.querySelectorAll(\"{LINE} .say button\")] \
             .filter((one) => one.checkVisibility()).map((one) => one.value);"
        ))
    };
    assert_eq!(offered(), json!(["back"]), "only what can be said now is offered");
    browser.click(&format!("{LINE} button[value=back]"));
    changed(&browser, &before);
    browser.wait(
        "taken back",
        &format!("return !document.querySelector(\"{LINE}\").textContent.includes('lines tangled');"),
    );
    assert_eq!(offered(), json!(["aside"]));
    browser.click("form[action='/undo'] button");
    browser.click("form[action='/undo'] button");
    browser.wait("undone", "return document.querySelector('#desk').textContent.includes('as in the file');");
    assert_eq!(served.read("silkfall.toml"), file);
}

#[test]
fn what_is_known_of_one_drop_is_typed_in_its_line() {
    let (served, browser) = opened("line", 1400);
    let file = served.read("silkfall.toml");
    let said = |says: &str, text: &str| {
        let before = sequence(&browser);
        browser.fill(&format!("{LINE} div.input[data-path$='-{says}'] input"), text);
        browser.press(key::TAB);
        changed(&browser, &before);
    };
    let saved = || {
        browser.click("form[action='/save'] button");
        browser
            .wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
        served.read("silkfall.toml")
    };
    let rate = |name: &str| {
        browser.wait(name, "return document.getElementById('desk').dataset.sequence === document.getElementById('block-made').dataset.sequence;");
        rate(&browser)
    };
    browser.click(&format!("{LINE} summary"));
    let before = rate("at rest");
    said("ballast", "100 g");
    assert_ne!(rate("heavier"), before, "rates are those of one load");
    said("fell", "14.9 m");
    let text = saved();
    let row = text.lines().skip_while(|line| *line != "[[test.drop]]").collect::<Vec<_>>();
    assert!(row.contains(&"ballast = \"100 g\"") && row.contains(&"fell = \"14.9 m\""), "{row:?}");
    let twice = "return document.querySelector(\"[id^='i-test.'][id*='.drop.']\") !== null;";
    assert_eq!(browser.run(twice), false, "it is said in one place");
    said("ballast", "a stone");
    let noticed =
        "closest('section').querySelector('.margin .findings')?.textContent.includes('a stone') === true;";
    browser
        .wait("what cannot be read is said", &format!("return document.querySelector(\"{LINE}\").{noticed}"));
    said("ballast", key::BACKSPACE);
    said("fell", key::BACKSPACE);
    assert_eq!(saved(), file, "of what nothing is said there is no row");
    assert_eq!(browser.console(), Vec::<String>::new());
}

#[test]
fn what_is_pointed_at_is_tied_everywhere_and_read_off() {
    let (_served, browser) = opened("ties", 1400);
    let tied = browser.run(&format!(
        "const section = {SEEN}.closest('section'); \
         section.querySelector(\"details.drop-line[data-drop='b'] summary\").focus(); \
         return ['.figure figure.overlay g', '.figure figure.ribbon g', '.margin figure g', '.figure tr'].map((where) => \
           section.querySelector(where + \".tied[data-drop='b']\") !== null);"
    ));
    assert_eq!(tied, json!([true, true, true, true]));
    let place = browser.run(&format!(
        "const b = {SEEN}.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 3];"
    ));
    browser.point((place[0].as_f64().unwrap(), place[1].as_f64().unwrap()));
    browser.wait("values are read off", "return document.querySelector('.cross .values') !== null;");
    assert!(browser.text(".cross").contains("after release"));
    // Closer and closer, and back to the whole.
    browser.click("figure.overlay [data-look=in]");
    browser
        .wait("closer", "return document.querySelector('figure.overlay .draw').dataset.whole === 'false';");
    browser.click("figure.overlay [data-look=whole]");
    browser.wait("whole", "return document.querySelector('figure.overlay .draw').dataset.whole === 'true';");
    browser.click("figure.ribbon [data-look=in]");
    browser.wait("closer", "return Number(document.querySelector('figure.ribbon .draw').dataset.to) < 1;");
    assert_eq!(browser.console(), Vec::<String>::new());
}

#[test]
fn a_recording_is_brought_corrected_and_kept() {
    let (served, browser) = opened("bring", 1400);
    let file = served.read("silkfall.toml");
    let log = std::env::temp_dir().join(format!("silkfall-brought-{}.csv", std::process::id()));
    std::fs::copy(served.folder.join("logs/one-weight.csv"), &log).unwrap();
    browser.upload("#bring-files", &log);
    browser.wait("it was looked at", "return document.querySelector('section.brought form') !== null;");
    assert!(browser.text("section.brought").contains("samples"));
    let drawn = "return document.querySelectorAll('section.brought g[data-drop]').length > 0;";
    assert_eq!(browser.run(drawn), true, "the drops found are drawn");
    browser.fill("section.brought input[name=test]", "brought <b>");
    browser.click("section.brought button[value=look]");
    browser.wait(
        "looked at again",
        "return document.querySelector('section.brought input[name=test]').value === 'brought <b>';",
    );
    let before = sequence(&browser);
    browser.click("section.brought button[value=keep]");
    changed(&browser, &before);
    browser.wait("a section of its own", "return [...document.querySelectorAll('section h2')].some((h) => h.textContent.includes('brought <b>'));");
    // The section may be told of before the answer to the press is there.
    browser.wait("it waits no more", "return document.querySelector('section.brought') === null;");
    std::fs::remove_file(&log).unwrap();
    assert_eq!(served.read("silkfall.toml"), file, "nothing is saved until asked");
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let saved = served.read("silkfall.toml");
    assert!(saved.starts_with(file.trim_end()) && saved.contains("brought <b>"), "comments and order stay");
    assert_eq!(browser.console(), Vec::<String>::new());
}

/// Texts of every drawing that stand on one another as the browser sets them, and figures without their table.
const APART: &str = "
  const found = [];
  for (const svg of document.querySelectorAll('main svg.fig')) {
    if (svg.getClientRects().length === 0) continue;
    const boxes = [...svg.querySelectorAll('text:not([aria-hidden])')]
      .map((text) => [text.textContent, text.getBoundingClientRect()]).filter(([, box]) => box.width > 0);
    for (const [i, [a, p]] of boxes.entries()) for (const [b, q] of boxes.slice(i + 1)) {
      const across = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const down = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (across > 1.5 && down > 4) found.push(`${svg.querySelector('title')?.textContent}: ${a} on ${b}`);
    }
  }
  for (const figure of document.querySelectorAll('main figure')) {
    if (!figure.querySelector('details table')) found.push(`no table: ${figure.textContent.slice(0, 60)}`);
  }
  return found;";

#[test]
fn texts_of_drawings_keep_apart_and_every_figure_has_its_table() {
    let (_served, browser) = opened("apart", 1400);
    for width in [1400, 360] {
        browser.viewport(width, 900);
        // Sections out of sight are not laid out until they are looked for.
        browser.run("for (const s of document.querySelectorAll('section.sheet')) s.style.contentVisibility = 'visible'; return true;");
        assert_eq!(browser.run(APART), Value::Array(Vec::new()), "{width} px wide, test {TEST}");
        let sideways = browser.run("return document.documentElement.scrollWidth <= window.innerWidth;");
        assert_eq!(sideways, true, "nothing scrolls sideways at {width} px");
    }
}
