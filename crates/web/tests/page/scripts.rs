//! No script works out a number: it sends texts and swaps what the server has set.

/// What arithmetic on quantities would be written with.
const FORBIDDEN: [&str; 10] =
    ["Math.", "parseFloat", "parseInt", "toFixed", "Intl.", " * ", " / ", " - ", "**", " % "];

/// Modules that reckon with places on the screen, and with nothing else.
const PLACES: [&str; 2] = ["place.js", "ribbon.js"];
/// How a script would get at a number of the sheet.
const NUMBERS: [&str; 6] = ["data-id", "dataset.id", "textContent", "aria-value", "innerText", ".value"];

#[test]
fn places_on_the_screen_are_no_numbers_of_the_sheet() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/js/");
    for name in PLACES {
        let text = std::fs::read_to_string(format!("{folder}{name}")).unwrap();
        for sign in NUMBERS {
            assert!(!text.contains(sign), "{name} knows {sign}");
        }
    }
}

#[test]
fn no_script_does_arithmetic() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/js");
    let mut looked_at = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if PLACES.contains(&name.as_str()) {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        for (at, line) in text.lines().enumerate() {
            // A comment and a quoted text may say anything.
            let code = line.split("//").next().unwrap_or_default();
            let code: String =
                code.split("/*").map(|piece| piece.rsplit("*/").next().unwrap_or_default()).collect();
            let bare: String = code.split(['"', '`']).step_by(2).collect();
            if let Some(sign) = FORBIDDEN.iter().find(|sign| bare.contains(**sign)) {
                panic!("{}:{}: `{sign}` in {line}", path.display(), at + 1);
            }
        }
        looked_at += 1;
    }
    assert!(looked_at > 3);
}
