//! Decimal text to `f64`, correctly rounded, fast for what loggers write.
//!
//! A plain decimal is an integer m over a power of ten, x = m / 10^d. Where m < 2^53 and d <= 22 both are exact
//! in `f64`, so one division rounds once and gives the nearest `f64`, the same bits as `str::parse` (W. D.
//! Clinger, "How to read floating point numbers accurately", 1990, section 2: the exact case). Everything else
//! goes through `str::parse`.
//!
//! Also understood, on the slow way: exponents, grouped thousands (`1.234,5` with a decimal comma, `1,234.5`
//! with a point, `1'234.5`, `1 234,5`) and the true minus sign U+2212. Not understood: infinities, NaN, hex.

use std::str::FromStr;

/// The mark between whole and fraction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decimal {
    /// `12.5`
    Point,
    /// `12,5`
    Comma,
}

impl Decimal {
    /// The mark as a byte.
    pub fn byte(self) -> u8 {
        match self {
            Decimal::Point => b'.',
            Decimal::Comma => b',',
        }
    }
}

impl FromStr for Decimal {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text {
            "." | "point" => Ok(Decimal::Point),
            "," | "comma" => Ok(Decimal::Comma),
            _ => Err(format!("`{text}` is not a decimal mark; expected . or ,")),
        }
    }
}

/// A decimal number as written: mantissa / 10^decimals, exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Exact {
    pub mantissa: i64,
    pub decimals: u32,
}

const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// 10^n, exact up to n = 22.
pub(crate) fn power_of_ten(n: u32) -> f64 {
    POWERS.get(n as usize).copied().unwrap_or_else(|| 10f64.powi(n as i32))
}

/// The exact value of a plain decimal (sign, digits, mark, digits) of at most 18 digits.
#[inline]
pub(crate) fn exact(cell: &[u8], mark: Decimal) -> Option<Exact> {
    exact_start(cell, mark).filter(|(_, length)| *length == cell.len()).map(|(number, _)| number)
}

/// The plain decimal that a text begins with, and its length.
#[inline]
pub(crate) fn exact_start(text: &[u8], mark: Decimal) -> Option<(Exact, usize)> {
    let mark = mark.byte();
    let negative = text.first() == Some(&b'-');
    let sign = usize::from(negative || text.first() == Some(&b'+'));
    let mut mantissa = 0;
    let behind = digits(&text[sign..], &mut mantissa);
    let whole = text.len() - sign - behind.len();
    let (mut rest, mut decimals) = (behind, 0);
    if let Some((_, behind)) = behind.split_first().filter(|(byte, _)| **byte == mark) {
        rest = digits(behind, &mut mantissa);
        decimals = behind.len() - rest.len();
    }
    let at = text.len() - rest.len();
    if whole + decimals == 0 || whole + decimals > 18 {
        return None;
    }
    let mantissa = mantissa as i64;
    Some((Exact { mantissa: if negative { -mantissa } else { mantissa }, decimals: decimals as u32 }, at))
}

/// Appends the digits that a text begins with to a number, and gives what is behind them; more than nineteen in all wrap.
#[inline]
fn digits<'t>(text: &'t [u8], number: &mut u64) -> &'t [u8] {
    let mut rest = text;
    while let Some((digit, behind)) = rest
        .split_first()
        .map(|(byte, behind)| (byte.wrapping_sub(b'0'), behind))
        .filter(|(digit, _)| *digit < 10)
    {
        *number = number.wrapping_mul(10).wrapping_add(u64::from(digit));
        rest = behind;
    }
    rest
}

/// The nearest `f64` to an exact number whose text begins with `text`; `None` where one division is not enough.
#[inline]
pub(crate) fn nearest(e: Exact, text: &[u8]) -> Option<f64> {
    if e.mantissa == 0 {
        // The sign of zero is kept, as `str::parse` keeps it.
        return Some(if text.first() == Some(&b'-') { -0.0 } else { 0.0 });
    }
    (e.mantissa.unsigned_abs() < 1 << 53).then(|| e.mantissa as f64 / POWERS[e.decimals as usize])
}

/// The number in a cell without blanks around it, or `None` if it is not one finite number.
#[inline]
pub(crate) fn parse(cell: &[u8], mark: Decimal) -> Option<f64> {
    match exact(cell, mark).and_then(|e| nearest(e, cell)) {
        Some(x) => Some(x),
        None => parse_any(cell, mark),
    }
}

/// The slow way: everything that is a number at all.
#[cold]
fn parse_any(cell: &[u8], mark: Decimal) -> Option<f64> {
    let plain = plain_text(cell, mark)?;
    plain.parse::<f64>().ok().filter(|x| x.is_finite())
}

/// The cell as `str::parse` wants it: a decimal point, no groups, an ASCII minus; `None` if it is no number.
fn plain_text(cell: &[u8], mark: Decimal) -> Option<String> {
    let text = std::str::from_utf8(cell).ok()?;
    let (sign, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => ("-", rest),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let body = ungrouped(body, mark)?;
    let mut plain = String::with_capacity(body.len() + 1);
    plain.push_str(sign);
    for c in body.chars() {
        match c {
            '0'..='9' | 'e' | 'E' | '+' | '-' => plain.push(c),
            _ if c == char::from(mark.byte()) => plain.push('.'),
            _ => return None,
        }
    }
    // A sign inside is only an exponent's; `str::parse` refuses the rest.
    plain.bytes().any(|b| b.is_ascii_digit()).then_some(plain)
}

/// Thousands marks taken out of `1,234.5`, `12 345`, `1'234'567,8`; a body that uses none comes back as it is,
/// one that uses them wrongly is `None`.
fn ungrouped(body: &str, mark: Decimal) -> Option<String> {
    let other = match mark {
        Decimal::Point => ',',
        Decimal::Comma => '.',
    };
    let group = |c: char| c == other || matches!(c, '\'' | '\u{2019}' | ' ' | '\u{a0}' | '\u{202f}');
    let Some(first) = body.chars().find(|&c| group(c)) else { return Some(body.to_owned()) };
    let (whole, fraction) = match body.split_once(char::from(mark.byte())) {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (body, None),
    };
    let groups: Vec<&str> = whole.split(first).collect();
    let digits = |g: &str| g.bytes().all(|b| b.is_ascii_digit());
    let well = groups.len() > 1
        && (1..=3).contains(&groups[0].len())
        && !groups[0].starts_with('0')
        && groups[1..].iter().all(|g| g.len() == 3)
        && groups.iter().all(|g| digits(g))
        && fraction.is_none_or(digits);
    well.then(|| match fraction {
        Some(fraction) => format!("{}{}{fraction}", groups.concat(), char::from(mark.byte())),
        None => groups.concat(),
    })
}

/// A number of any form, as mantissa and decimals where that is exact enough for a time (18 digits).
pub(crate) fn exact_any(cell: &[u8], mark: Decimal) -> Option<Exact> {
    if let Some(e) = exact(cell, mark) {
        return Some(e);
    }
    let plain = plain_text(cell, mark)?;
    let value: f64 = plain.parse().ok().filter(|x: &f64| x.is_finite())?;
    let (digits, power) = match plain.split_once(['e', 'E']) {
        Some((digits, power)) => (digits, power.parse::<i32>().ok()?),
        None => (plain.as_str(), 0),
    };
    let negative = digits.starts_with('-');
    let (whole, fraction) =
        digits.trim_start_matches('-').split_once('.').unwrap_or((digits.trim_start_matches('-'), ""));
    let mut mantissa: i64 = 0;
    let mut decimals = fraction.len() as i32 - power;
    let mut room = true;
    for digit in whole.bytes().chain(fraction.bytes()).map(|b| i64::from(b - b'0')) {
        // Digits beyond the eighteenth are below the resolution of any clock.
        match mantissa
            .checked_mul(10)
            .and_then(|m| m.checked_add(digit))
            .filter(|&m| room && m < 1_000_000_000_000_000_000)
        {
            Some(longer) => mantissa = longer,
            None => {
                room = false;
                decimals -= 1;
            }
        }
    }
    while decimals < 0 {
        mantissa = mantissa.checked_mul(10)?;
        decimals += 1;
    }
    while decimals > 18 {
        mantissa /= 10;
        decimals -= 1;
    }
    debug_assert!(value.is_finite());
    Some(Exact { mantissa: if negative { -mantissa } else { mantissa }, decimals: decimals as u32 })
}

/// Whether a cell is a number under this mark beyond doubt: a lone group of three digits behind the other mark
/// (`1,234` with a point) may be either, and blanks may part cells, so that such are not.
pub(crate) fn surely(cell: &str, mark: Decimal) -> bool {
    let other = match mark {
        Decimal::Point => ',',
        Decimal::Comma => '.',
    };
    let others = cell.matches(other).count();
    (others != 1 || cell.contains(char::from(mark.byte())))
        && !cell.contains(' ')
        && parse(cell.as_bytes(), mark).is_some()
}

/// How many digits stand behind the mark.
pub(crate) fn decimals_written(cell: &[u8], mark: Decimal) -> usize {
    cell.iter().position(|&b| b == mark.byte()).map_or(0, |at| cell.len() - at - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Independent leg: the standard library's parser.
        #[test]
        fn the_fast_way_has_the_bits_of_the_standard_library(text in "[-+]?[0-9]{1,20}(\\.[0-9]{0,20})?") {
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(parse(text.as_bytes(), Decimal::Point).map(f64::to_bits), Some(expected.to_bits()));
            let comma = text.replace('.', ",");
            prop_assert_eq!(parse(comma.as_bytes(), Decimal::Comma).map(f64::to_bits), Some(expected.to_bits()));
        }

        #[test]
        fn an_exact_value_is_the_number(text in "-?[0-9]{1,9}\\.[0-9]{1,9}(e-?[0-9])?") {
            let e = exact_any(text.as_bytes(), Decimal::Point).unwrap();
            let expected: f64 = text.parse().unwrap();
            let got = e.mantissa as f64 / power_of_ten(e.decimals);
            prop_assert!((got - expected).abs() <= 1e-15 * expected.abs());
        }
    }

    #[test]
    fn forms_that_people_write() {
        let point = |s: &str| parse(s.as_bytes(), Decimal::Point);
        let comma = |s: &str| parse(s.as_bytes(), Decimal::Comma);
        assert_eq!(point("1.5e3"), Some(1500.0));
        assert_eq!(point(".5"), Some(0.5));
        assert_eq!(point("5."), Some(5.0));
        assert_eq!(point("\u{2212}2.5"), Some(-2.5));
        assert_eq!(point("1,234.5"), Some(1234.5));
        assert_eq!(comma("1.234,5"), Some(1234.5));
        assert_eq!(comma("12 345,25"), Some(12345.25));
        for no in ["", ".", "-", "nan", "inf", "1,5", "12,34.5", "0x10", "1e", "--1", "1.2.3", "1-2", "1e999"]
        {
            assert_eq!(point(no), None, "{no}");
        }
    }
}
