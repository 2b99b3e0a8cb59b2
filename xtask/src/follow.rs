//! "Follow one number" of docs/ARCHITECTURE.md: every function named must be there, every value must be the demo's.

use anyhow::{Context as _, bail, ensure};
use serde_json::Value;

use crate::checks::root;

/// The text with the last column of the table filled from the demo's `assess --json`.
///
/// # Errors
/// When a row names a function that is not in its file, or a path that is not in the JSON.
pub fn filled(text: &str, sheet: &Value) -> anyhow::Result<String> {
    let mut out = String::new();
    let mut rows = 0;
    for line in text.lines() {
        match steps(line) {
            Some((head, file, function, path)) => {
                is_there(file, function)?;
                out.push_str(&format!("{head}| {} |\n", value(sheet, path)?));
                rows += 1;
            }
            None => out.push_str(&format!("{line}\n")),
        }
    }
    ensure!(rows > 3, "docs/ARCHITECTURE.md follows no number");
    Ok(out)
}

/// A row of the table: all but its last cell, the file, the function, the path.
fn steps(line: &str) -> Option<(&str, &str, &str, &str)> {
    let cells: Vec<&str> = line.strip_prefix('|')?.strip_suffix('|')?.split('|').collect();
    let [_, function, path, last] = cells.as_slice() else { return None };
    let mut names = function.split('`').filter(|piece| !piece.trim().is_empty());
    let (file, name) = (names.next()?, names.next()?);
    let path = path.trim().strip_prefix('`')?.strip_suffix('`')?;
    let head = &line[..line.len() - last.len() - 2];
    file.ends_with(".rs").then_some((head, file, name, path))
}

fn is_there(file: &str, function: &str) -> anyhow::Result<()> {
    let text =
        std::fs::read_to_string(root().join(file)).with_context(|| format!("{file} cannot be read"))?;
    ensure!(text.contains(&format!("pub fn {function}(")), "{file} has no public function `{function}`");
    Ok(())
}

fn value(sheet: &Value, path: &str) -> anyhow::Result<String> {
    let found =
        silkfall_report::wire::find(sheet, path).with_context(|| format!("{path} is not in the JSON"))?;
    Ok(match found {
        Value::String(text) => text.clone(),
        Value::Number(number) => rounded(number.as_f64().unwrap_or_default()),
        Value::Object(fields) => {
            let number = fields
                .get("value")
                .and_then(Value::as_f64)
                .with_context(|| format!("{path} has no value"))?;
            let unit = fields.get("unit").and_then(Value::as_str).unwrap_or_default();
            format!("{} {unit}", rounded(number)).trim_end().to_owned()
        }
        other => bail!("{path} is {other}, not a number"),
    })
}

/// Five significant digits: the same on every platform.
fn rounded(number: f64) -> String {
    if number == 0.0 {
        return "0".to_owned();
    }
    let exponent = number.abs().log10().floor() as i32;
    let digits = (4 - exponent).clamp(0, 9) as usize;
    let text = format!("{number:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_filled_and_other_lines_stay() {
        let row = "| a | `xtask/src/follow.rs` `filled` | `parts.tube.rate` | old |";
        let sheet =
            serde_json::json!({"parts": [{"name": "tube", "rate": {"value": 3.535_372, "unit": "m/s"}}]});
        let text = format!(
            "| step | function | path | value |\n|---|---|---|---|\n{row}\n{row}\n{row}\n{row}\nend\n"
        );
        let new = filled(&text, &sheet).unwrap();
        assert!(new.contains("| `parts.tube.rate` | 3.5354 m/s |"), "{new}");
        assert_eq!(filled(&new, &sheet).unwrap(), new);
        assert!(filled(&text.replace("`filled`", "`emptied`"), &sheet).is_err());
        assert!(filled(&text.replace("tube.rate", "tube.speed"), &sheet).is_err());
    }
}
