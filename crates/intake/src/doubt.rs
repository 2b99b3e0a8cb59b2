//! Texts that could be read in two ways: a decimal comma between comma-separated cells, thousands or decimals.

use crate::delimiter::Delimiter;
use crate::number::{self, Decimal};
use crate::shape::{Shape, Unclear, Wanted, is_value};
use std::collections::BTreeSet;

/// Refuses what could be read in two ways, unless the person has said which.
pub(crate) fn doubt(shape: &Shape, wanted: &Wanted, head: &[(usize, &str)]) -> Result<(), Unclear> {
    let said = wanted.delimiter.is_some() && wanted.decimal.is_some();
    let pointed = shape.decimal == Decimal::Point;
    if shape.delimiter == Delimiter::Comma && pointed && !said && comma_twice(shape) {
        let at = shape.first_line as usize - 1;
        return Err(Unclear::CommaTwice { line: shape.first_line, text: head[at].1.trim().to_owned() });
    }
    if shape.decimal == Decimal::Comma && wanted.decimal.is_none() {
        let with_comma = || {
            shape
                .windows
                .iter()
                .flatten()
                .flatten()
                .filter(|c| c.contains(',') && number::surely(c, Decimal::Comma))
        };
        let grouped = |cell: &String| {
            let (whole, rest) = cell.trim_start_matches(['-', '+']).split_once(',').unwrap_or((cell, ""));
            (1..=3).contains(&whole.len()) && !whole.starts_with('0') && rest.len() == 3
        };
        if with_comma().all(grouped)
            && let Some(cell) = with_comma().next()
        {
            return Err(Unclear::Thousands { cell: cell.clone() });
        }
    }
    Ok(())
}

/// Whether commas seem to part both cells and decimals: hardly a decimal point anywhere, and either fewer names than
/// cells, or rows of several widths, or a column that looks like the decimals of the one before it.
fn comma_twice(shape: &Shape) -> bool {
    let all = || shape.windows.iter().flatten().flatten();
    let pointed = all().filter(|c| c.contains('.') && is_value(c, Decimal::Point)).count();
    if shape.width < 2 || pointed * 20 > all().count() {
        return false;
    }
    let named = shape.header.as_ref().map(|h| h.names.len());
    if named.is_some_and(|n| n < shape.width && shape.width <= 2 * n) {
        return true;
    }
    let lines: usize = shape.widths.iter().map(|(_, n)| n).sum();
    let often = shape.widths.iter().filter(|(_, n)| n * 20 > lines).count();
    if named != Some(shape.width) && often > 1 {
        return true;
    }
    named != Some(shape.width) && (1..shape.width).any(|at| looks_like_decimals(shape, at))
}

/// Whether a column of whole numbers looks like digits cut off by a decimal comma: always as many of them, with
/// zeros in front, or most of the ten digits if there is but one, or behind a column that never changes; or now more of them and
/// now fewer, and yet zeros in front of one in fifty or more; or the column before runs upward only with them.
fn looks_like_decimals(shape: &Shape, at: usize) -> bool {
    let column = || shape.windows.iter().flatten().map(|r| r[at].as_str());
    let length = column().next().map_or(0, str::len);
    let whole = column().all(|c| !c.is_empty() && c.bytes().all(|b| b.is_ascii_digit()));
    // A number with zeros in front is as long as all others; digits behind a comma lose theirs at the end.
    let led_by_zero = column().filter(|c| c.len() > 1 && c.starts_with('0')).count();
    if whole && column().any(|c| c.len() != length) && led_by_zero * 50 > column().count() {
        return true;
    }
    if column().all(|c| c.len() == length && c.bytes().all(|b| b.is_ascii_digit())) {
        let distinct: BTreeSet<&str> = column().collect();
        let zeros = length > 1 && column().any(|c| c.starts_with('0'));
        let before: BTreeSet<&str> = shape.windows.iter().flatten().map(|r| r[at - 1].as_str()).collect();
        if zeros || (length == 1 && distinct.len() > 5) || (distinct.len() > 1 && before.len() == 1) {
            return true;
        }
    }
    let rising = |value: &dyn Fn(&[String]) -> Option<f64>| {
        let long = || shape.windows.iter().filter(|w| w.len() > 8);
        let pair = |p: &[Vec<String>]| matches!((value(&p[0]), value(&p[1])), (Some(a), Some(b)) if b > a);
        long().count() > 0 && long().all(|w| w.windows(2).all(pair))
    };
    rising(&|r| format!("{}.{}", r[at - 1], r[at]).parse().ok()) && !rising(&|r| r[at - 1].parse().ok())
}
