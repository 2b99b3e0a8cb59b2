//! A browser works on the page as a builder would.

use serde_json::Value;
use silkfall_folder::Loader;
use silkfall_report::wire::{find, sheet_json};
use silkfall_sheet::{Effort, Memo, Unwatched, work};

use crate::client::Served;
use crate::driver::{Browser, key};

const MASS: &str = "#w-part\\.tube\\.mass";

fn opened(name: &str) -> (Served, Browser) {
    let served = Served::demo(name);
    let browser = Browser::start(1280, 900);
    browser.open(&served.link);
    browser.wait("the script has started", "return document.documentElement.classList.contains('script');");
    (served, browser)
}

/// The figures are those of the text.
const SETTLED: &str = "return document.querySelector('#desk').dataset.sequence === document.querySelector('#block-made').dataset.sequence;";

/// Does something that changes the text, and waits until the page shows the sheet of it.
fn answered(browser: &Browser, act: impl FnOnce()) {
    let before = browser.run("return document.querySelector('#desk').dataset.sequence;");
    act();
    let before = before.as_str().unwrap_or_default();
    let is_new = format!("return document.querySelector('#desk').dataset.sequence !== {before:?};");
    browser.wait("the edit has come back", &is_new);
    browser.wait("all of it is worked", SETTLED);
}

/// Types a value for a what-if and waits until the page shows the sheet of it.
fn set(browser: &Browser, css: &str, text: &str) {
    answered(browser, || {
        browser.fill(css, text);
        browser.press(key::ENTER);
    });
}

/// The sheet that `assess --json` gives of a text in the served folder.
fn assessed(served: &Served, text: &str) -> Value {
    let loading = Loader::new(&served.folder).read_with(text);
    let sheet =
        work(&loading.loaded, Effort::Quick, &mut Memo::default(), &Unwatched).expect("nobody stops it");
    serde_json::to_value(sheet_json(&sheet)).expect("a sheet is JSON")
}

/// Every number of the page with its id and values, as the page holds them.
const NUMBERS: &str = "return [...document.querySelectorAll('[data-id]')].map((n) => \
                       [n.dataset.id, n.getAttribute('value'), n.dataset.low ?? null, n.dataset.high ?? null]);";

/// Compares every number of the page with the JSON; how many there were.
fn compare(browser: &Browser, sheet: &Value) -> usize {
    let numbers = browser.run(NUMBERS);
    let numbers = numbers.as_array().expect("a list");
    for number in numbers {
        let id = number[0].as_str().expect("an id");
        let part = |at: usize| number[at].as_str().map(|text| text.parse::<f64>().expect("a number"));
        let there = find(sheet, id).unwrap_or_else(|| panic!("{id} is not in the JSON"));
        let same = |got: f64, want: &Value, what: &str| {
            let want = want.as_f64().unwrap_or_else(|| panic!("{id} {what}: {want}"));
            assert!(
                (got - want).abs() <= 1e-9 * want.abs().max(1e-9),
                "{id} {what}: {got} on the page, {want} in the JSON"
            );
        };
        match (part(1), part(2), part(3)) {
            (Some(value), _, _) => same(value, there.get("value").unwrap_or(there), "value"),
            (None, Some(low), Some(high)) => {
                let ends = there.get("interval_95").unwrap_or(there);
                if let Some(ends) = ends.as_array() {
                    same(low, &ends[0], "low");
                    same(high, &ends[1], "high");
                }
            }
            other => panic!("{id}: {other:?}"),
        }
    }
    numbers.len()
}

/// What of the page differs from a page that is given: pieces by their ids, without what a window adds to them.
const DIFFERS: &str = "
  const fresh = new DOMParser().parseFromString(GIVEN, 'text/html');
  const bare = (piece) => {
    const copy = piece.cloneNode(true);
    for (const was of copy.querySelectorAll('.was-number')) was.remove();
    // Fields stand without their forms.
    for (const field of copy.querySelectorAll('.input')) {
      for (const unseen of field.querySelectorAll('input[type=hidden], button.set')) unseen.remove();
      const bare = document.createElement('div');
      bare.append(...field.childNodes);
      field.replaceWith(bare);
    }
    for (const one of [copy, ...copy.querySelectorAll('*')]) {
      one.classList.remove('now', 'tied', 'ties', 'over');
      if (!one.classList.length) one.removeAttribute('class');
      // Where a form begins is not where the figures end; a canvas holds what a script draws.
      for (const name of ['open', 'data-sequence', 'data-state', 'tabindex']) one.removeAttribute(name);
      // Their order says nothing.
      const all = [...one.attributes].filter(({ name }) => name !== 'style').sort((a, b) => (a.name < b.name ? -1 : 1));
      for (const { name } of all) one.removeAttribute(name);
      for (const { name, value } of all) one.setAttribute(name, value);
    }
    for (const canvas of copy.querySelectorAll('canvas')) canvas.remove();
    return copy.innerHTML;
  };
  const wanted = [...fresh.querySelectorAll('#top, #block-parts, main [id^=h-], main [id^=body-], main [id^=m-]')];
  const gone = [...document.querySelectorAll('main section')].filter((one) => !fresh.getElementById(one.id));
  const differs = wanted.filter((one) => {
    const here = document.getElementById(one.id);
    return !here || bare(here) !== bare(one);
  });
  // Where the first of them begins to differ, for whoever reads that it does.
  const about = (one) => {
    const [is, should] = [document.getElementById(one.id), one].map((piece) => piece ? bare(piece) : '');
    let at = 0;
    while (at < should.length && is[at] === should[at]) at += 1;
    return `${one.id}: ${is.slice(Math.max(at - 60, 0), at + 60)} | ${should.slice(Math.max(at - 60, 0), at + 60)}`;
  };
  return [wanted.length, [...gone.map((one) => one.id), ...differs.map(about)]];";

/// Every number and every figure of the page is that of the text: the numbers beside `assess`, all of it beside a page that
/// was served for that text from the beginning.
fn is_the_page_of(served: &Served, browser: &Browser, text: &str) {
    let fresh = Served::text("fresh", text);
    let page = fresh.client().get("/").body;
    // Commands name the folder.
    let page = page.replace(&fresh.folder.display().to_string(), &served.folder.display().to_string());
    assert!(compare(browser, &assessed(served, text)) > 300);
    let page = serde_json::to_string(&page).expect("a text is JSON");
    let found = browser.run(&format!("const GIVEN = {page};{DIFFERS}"));
    assert!(found[0].as_u64().is_some_and(|pieces| pieces > 40), "{found}");
    let file = served.read("silkfall.toml");
    let changed = text.lines().filter(|line| !file.lines().any(|other| other == *line)).collect::<Vec<_>>();
    assert_eq!(found[1], Value::Array(Vec::new()), "they show another text than that of {changed:?}");
}

#[test]
fn a_what_if_moves_every_number_and_figure_to_those_of_the_text_and_nothing_is_saved() {
    let (served, browser) = opened("what-if");
    let file = served.read("silkfall.toml");
    is_the_page_of(&served, &browser, &file);
    let twice = browser.run(
        "const ids = [...document.querySelectorAll('[id]')].map((one) => one.id); \
         return ids.filter((id, at) => ids.indexOf(id) !== at);",
    );
    assert_eq!(twice, Value::Array(Vec::new()), "a piece is swapped by its id, which is of one element");
    let mut text = file.clone();
    // One upon the other, each as a hand or a script does it; what the text is then, written by hand.
    let typed = |css: &str, value: &str| set(&browser, css, value);
    let picked = |css: &str, value: &str| {
        let done = format!(
            "const e = document.querySelector({css:?}); e.value = {value:?}; \
             e.dispatchEvent(new Event('change', {{ bubbles: true }})); return true;"
        );
        answered(&browser, || drop(browser.run(&done)));
    };
    type Turn<'a> = (&'a dyn Fn(&str, &str), &'a str, &'a str, [&'a str; 2]);
    let turns: [Turn<'_>; 6] = [
        (&typed, MASS, "12 kg ± 50 g", ["mass = \"9.2 kg ± 50 g\"", "mass = \"12 kg ± 50 g\""]),
        (
            &typed,
            "#w-site\\.temperature",
            "31 °C ± 5 °C",
            ["temperature = \"20 °C ± 5 °C\"", "temperature = \"31 °C ± 5 °C\""],
        ),
        (&picked, "#w-choice-tube", "plain-2.00", ["offer = \"plain-1.84\"", "offer = \"plain-2.00\""]),
        (&picked, "#w-choice-tube-n", "4", ["count = 3", "count = 4"]),
        (
            &picked,
            "#w-wind\\.speed",
            "4 m/s",
            // From where the lowest wind of the file blows, and as doubtful.
            ["scaled = \"all\"\n", "scaled = \"all\"\nfrom = \"250 ° ± 10 °\"\nspeed = \"4 m/s ± 15 %\"\n"],
        ),
        (&picked, MASS, "11 kg", ["mass = \"12 kg ± 50 g\"", "mass = \"11 kg\""]),
    ];
    for (turn, css, value, [old, new]) in turns {
        turn(css, value);
        let edited = text.replacen(old, new, 1);
        assert_ne!(edited, text, "{old}");
        text = match css.contains("wind") {
            true => ["winds = \"winds.csv\"\n", "speed_doubt = \"15 %\"\n", "direction_doubt = \"10 °\"\n"]
                .iter()
                .fold(edited, |text, gone| text.replace(gone, "")),
            false => edited,
        };
        is_the_page_of(&served, &browser, &text);
        assert!(browser.text("#desk").contains("not saved"));
    }
    for _ in 0..6 {
        answered(&browser, || browser.click("form[action='/undo'] button"));
    }
    assert!(browser.text("#desk").contains("as in the file"));
    is_the_page_of(&served, &browser, &file);
    assert!(served.read("silkfall.toml") == file, "nothing is saved");
    let forms =
        browser.run("return [document.querySelectorAll('form.input').length, document.forms.length];");
    assert!(
        forms[0] == 0 && forms[1].as_u64().is_some_and(|forms| forms < 200),
        "a browser looks all through: {forms}"
    );
    assert_eq!(browser.console(), Vec::<String>::new());
    let strange: Vec<String> = browser
        .requests()
        .into_iter()
        // The browser's own first page comes from the browser itself.
        .filter(|url| !["data:", "chrome:", "chrome-untrusted:"].iter().any(|own| url.starts_with(own)))
        .filter(|url| !url.starts_with(&format!("http://127.0.0.1:{}/", served.port())))
        .collect();
    assert_eq!(strange, Vec::<String>::new(), "every request stays on the loopback address");
}

#[test]
fn rows_are_added_and_taken_away_where_they_stand() {
    let (served, browser) = opened("rows");
    let file = served.read("silkfall.toml");
    let form = "form.add:has(input[value='part.tube.case'])";
    browser.run(&format!("document.querySelector(\"{form}\").closest('details').open = true; return true;"));
    browser.fill(&format!("{form} input[name=first]"), "two stay shut, one opens");
    answered(&browser, || {
        browser.fill(&format!("{form} input[name=second]"), "1");
        browser.press(key::ENTER);
    });
    assert!(browser.text("#block-parts").contains("two stay shut, one opens"));
    let row = "[[part.case]]\nname = \"two stay shut, one opens\"\nopens = \"1\"\n";
    is_the_page_of(
        &served,
        &browser,
        &with_row(&file, "# Not judged: the field", row, "chance = \"0.1 %\"\nchance_source = \"assumed\"\n"),
    );
    // A device that needs two, one of which has a comma in its name.
    let needs = "div.input[data-path='part.tube.device.\"altimeter A\".needs'] input[type=text]";
    browser.run(&format!("document.querySelector({needs:?}).closest('details').open = true; return true;"));
    set(&browser, needs, "battery A, \"battery, spare\"");
    answered(&browser, || {
        browser.click("form.away button[aria-label='Take away case: two stay shut, one opens']");
    });
    assert!(!browser.text("#block-parts").contains("two stay shut"));
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let saved = file.replace("needs = [\"battery A\"]", "needs = [\"battery A\", \"battery, spare\"]");
    assert!(served.read("silkfall.toml") == saved, "one line differs");
    assert_eq!(browser.console(), Vec::<String>::new());
}

/// A text with a row behind the first place where `end` stands after `begin`.
fn with_row(text: &str, begin: &str, row: &str, end: &str) -> String {
    let at = text.find(begin).expect("it stands there");
    let at = at + text[at..].find(end).expect("it ends so") + end.len();
    format!("{}\n{row}{}", &text[..at], &text[at..])
}

#[test]
fn a_slider_shows_what_was_before_and_is_one_step_back() {
    let (_served, browser) = opened("slider");
    browser.run("document.querySelector('#w-part\\\\.tube\\\\.mass-s').focus(); return true;");
    let before = browser.text("#block-parts");
    browser.press(&key::RIGHT.repeat(3));
    browser.wait("moved", "return document.querySelector('#block-parts .was-number') !== null;");
    assert_ne!(browser.text("#block-parts"), before);
    let focused = browser.run("return document.activeElement.id;");
    assert_eq!(focused, "w-part.tube.mass-s", "the slider stays in the hand");
    let spoken = browser.run("return document.activeElement.getAttribute('aria-valuetext');");
    assert!(spoken.as_str().unwrap().contains("kg"), "{spoken}");
}

#[test]
fn a_wrong_entry_keeps_its_section_and_is_the_next_doubt() {
    let (_served, browser) = opened("wrong");
    let field = "[id='i-test.~22~one~20~with~20~a~20~weight~22~.canopies']";
    let section = "[id='s-tube-test-one~20~with~20~a~20~weight']";
    let holds = |of: &str, text: &str| -> bool {
        browser.run(&format!("return document.querySelector(\"{of}\").textContent.includes('{text}');"))
            == true
    };
    let rate = |what: &str| assert!(holds(&format!("{section} h2"), "3.54"), "{what}");
    rate("what was measured");
    set(&browser, field, "K9");
    rate("what was measured stays");
    assert!(holds(section, "there is no canopy"), "and says what is wrong");
    browser.run("document.activeElement.blur(); return true;");
    browser.click("#doubt");
    let focused = browser.run("return document.activeElement.id;");
    assert_eq!(focused, "i-test.~22~one~20~with~20~a~20~weight~22~.canopies");
    // Of a test in which nothing brakes nothing is told, and the page goes on.
    set(&browser, field, key::BACKSPACE);
    rate("but its rate");
    set(&browser, field, "K1");
    assert!(!holds(section, "there is no canopy"));
    assert_eq!(browser.console(), Vec::<String>::new());
}

#[test]
fn saved_into_the_same_file_with_every_comment() {
    let (served, browser) = opened("save");
    let file = served.read("silkfall.toml");
    set(&browser, MASS, "9.4 kg ± 50 g");
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let saved = served.read("silkfall.toml");
    assert!(
        saved == file.replace("mass = \"9.2 kg ± 50 g\"", "mass = \"9.4 kg ± 50 g\""),
        "one line differs"
    );
    browser.reload();
    let typed = browser.run("return document.querySelector('#w-part\\\\.tube\\\\.mass').value;");
    assert_eq!(typed, "9.4 kg ± 50 g");
}

#[test]
fn an_edit_made_in_an_editor_is_seen_and_a_conflict_is_offered() {
    let (served, browser) = opened("editor");
    let file = served.read("silkfall.toml");
    let elsewhere = file.replace("mass = \"0.66 kg ± 5 g\"", "mass = \"0.70 kg ± 5 g\"");
    served.write("silkfall.toml", &elsewhere);
    // Read while it is being written the file may have no capsule.
    browser.wait(
        "seen",
        "return document.querySelector('#w-part\\\\.capsule\\\\.mass')?.value === '0.70 kg ± 5 g';",
    );

    set(&browser, MASS, "9.9 kg ± 50 g");
    let again =
        elsewhere.replace("# Not judged: the field is kept clear for it.", "# Not judged. Keep clear!");
    assert_ne!(again, elsewhere);
    served.write("silkfall.toml", &again);
    browser.wait("offered", "return document.querySelector('#desk .conflict') !== null;");
    assert!(served.read("silkfall.toml") == again, "nothing is written over");
    browser.click("form[action='/settle'] button[value=both]");
    browser.wait("settled", "return document.querySelector('#desk .conflict') === null;");
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let both = again.replace("9.2 kg ± 50 g", "9.9 kg ± 50 g");
    assert!(served.read("silkfall.toml") == both, "both edits, and every comment");
}

#[test]
fn two_windows_and_an_editor_lose_no_text() {
    let served = Served::demo("windows");
    let client = served.client();
    let file = served.read("silkfall.toml");
    let state = client.get("/state?revision=0").json();
    let base = state["sequence"].as_u64().unwrap();
    let said = |key: &str, text: &str| serde_json::json!({ "do": "set", "kind": "site", "path": "site", "key": key, "text": text });
    let first = client.edits("one", base, &[said("humidity", "60 % ± 15 %")]).json();
    assert_eq!(first["refused"], Value::Null);
    let late = client.edits("two", base, &[said("temperature", "22 °C ± 5 °C")]).json();
    assert!(late["refused"].as_str().unwrap().contains("another window"), "the later is told: {late}");
    let base = late["sequence"].as_u64().unwrap();
    let second = client.edits("two", base, &[said("temperature", "22 °C ± 5 °C")]).json();
    assert_eq!(second["refused"], Value::Null);
    let elsewhere = file.replace("elevation = \"372 m ± 5 m\"", "elevation = \"380 m ± 5 m\"");
    served.write("silkfall.toml", &elsewhere);
    served.settle();
    let texts = client.get("/texts").body;
    assert!(
        texts.contains("380 m") && texts.contains("60 %") && texts.contains("22 °C"),
        "all three can be had"
    );
    let both = client.post(
        "/settle",
        "application/json",
        "{\"window\":\"one\",\"shows\":{\"revision\":0},\"keep\":\"both\"}",
    );
    assert_eq!(both.json()["refused"], Value::Null);
    assert_eq!(
        client
            .post(
                "/save",
                "application/json",
                "{\"window\":\"one\",\"shows\":{\"revision\":0},\"keep\":null}"
            )
            .status,
        200
    );
    let want = elsewhere.replace("55 % ± 15 %", "60 % ± 15 %").replacen("20 °C ± 5 °C", "22 °C ± 5 °C", 1);
    assert!(served.read("silkfall.toml") == want, "comments and all else to the byte");
}

#[test]
fn a_click_on_a_number_says_how_and_every_number_can_be_asked() {
    let (served, browser) = opened("how");
    browser.click("#body-answer a.how");
    browser.wait("opened", "return document.querySelector('dialog.how[open] article') !== null;");
    browser.press(key::ESCAPE);
    browser.wait("shut", "return document.querySelector('dialog.how[open]') === null;");
    let links = browser.run(
        "return [...new Set([...document.querySelectorAll('a.how')].map((a) => a.getAttribute('href')))];",
    );
    let links = links.as_array().unwrap();
    assert!(links.len() > 100, "{}", links.len());
    let client = served.client();
    for link in links {
        let answer = client.get(link.as_str().unwrap());
        assert!(answer.status == 200 && answer.body.contains("class=\"how"), "{link}");
    }
    let without = browser.run(
        "return [...document.querySelectorAll('data[data-id]')].filter((n) => !n.closest('a.how')).map((n) => n.dataset.id);",
    );
    // What is counted, and what a recording states by itself, stands in the JSON and has nothing to derive.
    for id in without.as_array().unwrap() {
        assert_eq!(client.get("/sheet.json").json()["numbers_without_derivation"], 0, "{id}");
    }
}

#[test]
fn what_is_typed_goes_on_wherever_its_table_goes() {
    let (served, browser) = opened("goes-on");
    let field = |name: &str| format!("i-part.capsule.harness.{name}");
    // Folded and behind all others while nothing is stated of it.
    let group = "details#t-part\\.capsule\\.harness";
    let open = format!(
        "const group = document.querySelector({group:?}); group.open = true; \
         document.getElementById({:?}).focus(); return true;",
        field("angle")
    );
    browser.run(&open);
    answered(&browser, || {
        browser.press("45 °");
        browser.press(key::TAB);
        // What is half typed when the answer comes is not lost.
        browser.press("0.");
    });
    let now = browser.run(
        "const e = document.activeElement; const top = e.getBoundingClientRect().top; \
         return [e.id, e.value, e.closest('details').open, top > 0 && top < window.innerHeight];",
    );
    assert_eq!(now, serde_json::json!([field("confluence"), "0.", true, true]));
    answered(&browser, || {
        browser.press("4 m");
        browser.press(key::TAB);
    });
    browser.click("form[action='/save'] button");
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let text = served.read("silkfall.toml");
    assert!(text.contains("angle = \"45 °\"") && text.contains("confluence = \"0.4 m\""), "{text}");
}

#[test]
fn refining_ends() {
    let served = Served::with("refining", |options| {
        options.refine_after = Some(std::time::Duration::from_millis(1));
    });
    let browser = Browser::start(1280, 900);
    browser.open(&served.link);
    browser.wait(
        "it is refined, and says no more that it is being",
        "return document.getElementById('block-made').textContent.includes('full') \
         && document.getElementById('progress').textContent === '';",
    );
}

/// Goes on by the tab key until that element has the focus.
fn reach(browser: &Browser, css: &str) {
    let is_there = format!("return document.activeElement?.matches({css:?}) ?? false;");
    for _ in 0..90 {
        browser.press(key::TAB);
        if browser.run(&is_there) == true {
            let outlined = "return getComputedStyle(document.activeElement).outlineStyle;";
            assert_eq!(browser.run(outlined), "solid", "the focus is seen on {css}");
            return;
        }
    }
    panic!("{css} is not reached by the tab key");
}

/// From the top of the page, whatever was looked at last, to its foot and on to an element there.
fn reach_at_the_foot(browser: &Browser, css: &str) {
    browser.run("document.querySelector('a.skip[href=\"#desk\"]').focus(); return true;");
    browser.press(key::ENTER);
    reach(browser, css);
}

/// Goes to a section by the list of them.
fn jump(browser: &Browser, heading: &str) {
    reach_at_the_foot(browser, "#jump");
    let chosen = "return document.querySelector('#jump').selectedOptions[0].textContent;";
    for _ in 0..40 {
        if browser.run(chosen).as_str().is_some_and(|name| name.contains(heading)) {
            browser.press(key::ENTER);
            let there = format!("return document.activeElement.textContent.includes({heading:?});");
            browser.wait("the section is gone to", &there);
            return;
        }
        browser.press(key::DOWN);
    }
    panic!("no section is called {heading}");
}

#[test]
fn the_keyboard_alone_does_the_job() {
    let served = Served::with("keyboard", |options| options.here = options.folder.take());
    let browser = Browser::start(1400, 900);
    browser.open(&served.link);
    browser.wait("the script has started", "return document.documentElement.classList.contains('script');");
    // The demo, from the first page on.
    reach(&browser, "#demo");
    browser.press(key::ENTER);
    browser.wait("the sheet is open", "return document.querySelector('.now .handle') !== null;");
    browser.press(key::TAB);
    assert_eq!(browser.run("return document.activeElement.className;"), "skip");
    reach(&browser, "#w-part\\.tube\\.mass");
    // What is there is selected, as everywhere when one comes by the tab key.
    answered(&browser, || {
        browser.press("9.5 kg");
        browser.press(key::ENTER);
    });
    // A drop is set aside with a reason.
    jump(&browser, "tube: 7 tests");
    reach(&browser, "details.drop-line[data-drop='a'] > summary");
    browser.press(key::ENTER);
    reach(&browser, "details.drop-line[data-drop='a'] input[name=reason]");
    answered(&browser, || {
        browser.press("lines tangled");
        browser.press(key::ENTER);
    });
    // A case is added.
    jump(&browser, " limit");
    reach(&browser, "details.new:has(input[value='part.tube.case']) > summary");
    browser.press(key::ENTER);
    reach(&browser, "form.add:has(input[value='part.tube.case']) input[name=first]");
    browser.press("all stay shut");
    reach(&browser, "form.add:has(input[value='part.tube.case']) input[name=second]");
    answered(&browser, || {
        browser.press("0");
        browser.press(key::ENTER);
    });
    reach_at_the_foot(&browser, "#desk form[action='/save'] button");
    browser.press(key::ENTER);
    browser.wait("saved", "return document.querySelector('#desk').textContent.includes('as in the file');");
    let text = served.read("silkfall-demo/silkfall.toml");
    for said in ["mass = \"9.5 kg\"", "set_aside = \"lines tangled\"", "name = \"all stay shut\""] {
        assert!(text.contains(said), "{said}: {text}");
    }
    assert_eq!(browser.console(), Vec::<String>::new());
}

#[test]
fn a_phone_scrolls_one_way_and_has_room_for_a_thumb() {
    let (_served, browser) = opened("phone");
    for (width, height) in [(360, 740), (640, 450)] {
        browser.viewport(width, height);
        let wide = browser.run("return document.documentElement.scrollWidth;");
        assert!(wide.as_u64().unwrap() <= u64::from(width), "{wide} px of {width}");
    }
    browser.viewport(360, 740);
    let small = browser.run(
        "return [...document.querySelectorAll('input:not([type=hidden]), select, button, summary')] \
         .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height > 0 && e.getBoundingClientRect().height < 43.5) \
         .map((e) => e.outerHTML.slice(0, 120));",
    );
    assert_eq!(small, Value::Array(Vec::new()));
}

#[test]
fn dark_where_the_reader_prefers_it() {
    let (_served, browser) = opened("dark");
    let ground = "return getComputedStyle(document.documentElement).backgroundColor;";
    browser.dark(false);
    assert_eq!(browser.run(ground), "rgb(245, 247, 248)");
    browser.dark(true);
    assert_eq!(browser.run(ground), "rgb(17, 23, 29)");
}

#[test]
fn the_plan_of_what_is_here_is_had_from_the_page() {
    let (served, browser) = opened("plan");
    set(&browser, MASS, "9.3 kg ± 50 g");
    browser.wait("edited", "return document.querySelector('#desk').textContent.includes('not saved');");
    browser.click("#desk a[href='/plan']");
    browser.wait("the plan", "return document.querySelector('.front') !== null;");
    let text = browser.text("body");
    assert!(text.contains("9.3 kg") && text.contains("Void if") && text.contains("Signatures"), "{text}");
    // Its own script works, and reaches nobody.
    browser
        .wait("the card is picked from", "return document.querySelector('.picks:not([hidden])') !== null;");
    assert_eq!(browser.console(), Vec::<String>::new());
    let plan = served.client().get("/plan");
    assert!(plan.header("content-security-policy").starts_with("sandbox "));
}

#[test]
fn without_a_script_it_is_read_and_edited() {
    let served = Served::demo("no-script");
    let client = served.client();
    let page = client.get("/").body;
    for said in ["one stays shut", "What if", "canopy release", "</svg>", "Next doubt", "not saved"] {
        assert_eq!(page.contains(said), said != "not saved", "{said}");
    }
    let form = "do=set&kind=part&path=part.tube&key=mass&text=9.3+kg";
    assert_eq!(client.post("/edit", "application/x-www-form-urlencoded", form).status, 303);
    assert!(client.get("/").body.contains("not saved"));
    assert_eq!(client.post("/save", "application/x-www-form-urlencoded", "").status, 303);
    assert!(served.read("silkfall.toml").contains("mass = \"9.3 kg\""));
    let choose = "do=choose&part=tube&offer=plain-2.00&count=3";
    assert_eq!(client.post("/edit", "application/x-www-form-urlencoded", choose).status, 303);
    assert!(client.get("/compare").body.contains("plain-2.00"));
}

#[test]
fn an_accessibility_checker_finds_nothing_serious() {
    let path = std::env::var("SILKFALL_AXE").unwrap_or_else(|_| {
        concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/browser/axe.min.js").to_owned()
    });
    let axe =
        std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{path} is missing: `cargo xtask setup`"));
    let (_served, browser) = opened("axe");
    for (width, is_dark) in [(1280, false), (1280, true), (360, false)] {
        browser.viewport(width, 900);
        browser.dark(is_dark);
        browser.run(&format!("{axe}; return true;"));
        let found = browser.run_until_called(
            "const done = arguments[arguments.length - 1]; \
             document.querySelectorAll('section.sheet').forEach((s) => { s.style.contentVisibility = 'visible'; }); \
             axe.run(document, { resultTypes: ['violations'] }).then((r) => done(r.violations \
             .filter((v) => v.impact === 'serious' || v.impact === 'critical') \
             .map((v) => v.id + ': ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' | '))));",
        );
        assert_eq!(found, Value::Array(Vec::new()), "{width} px, dark: {is_dark}");
    }
}
