//! Time as loggers write it: plain numbers, h:m:s, m:s, dates with times; exact until the first sample is
//! subtracted.
//!
//! A stamp is an integer over a power of ten of a second, so that t - t0 is one exact subtraction and one rounding:
//! (m·10^(d0-d) - m0) / 10^d0. Epoch times with microseconds keep every digit that way, where `f64` would lose them.
//! Days are counted in the proleptic Gregorian calendar (ISO 8601:2004, 3.2.1); leap seconds are not counted.

use crate::number::{self, Decimal, Exact};
use crate::units::{Means, Unit};
use std::fmt;
use std::str::FromStr;

/// How the time of a row is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimeForm {
    /// A number in a unit of time.
    Number(Unit),
    /// `12:34:56.7`, with AM or PM or without.
    HourMinuteSecond,
    /// `34:56.7`
    MinuteSecond,
    /// Date and time, the year first: ISO 8601 and `2024/05/03 12:00:00`.
    YearFirst,
    /// Date and time, the day first: `3.5.2024 12:00:00`.
    DayFirst,
    /// Date and time, the month first: `5/3/2024 12:00:00`.
    MonthFirst,
    /// No time in the file: rows come at this rate, in hertz.
    Rows {
        /// Rows in a second.
        hertz: f64,
    },
}

/// Periods after which a counter or clock starts again, in seconds: a day, an hour (m:s), 2^32 ms, 2^32 us.
const DAY: f64 = 86_400.0;
const HOUR: f64 = 3_600.0;
const COUNTER_MS: f64 = 4_294_967.296;
const COUNTER_US: f64 = 4_294.967_296;

impl TimeForm {
    /// The period after which this form starts again from nothing, in seconds, if it has one.
    pub(crate) fn period_s(self) -> Option<f64> {
        match self {
            TimeForm::HourMinuteSecond => Some(DAY),
            TimeForm::MinuteSecond => Some(HOUR),
            TimeForm::Number(Unit::Millisecond) => Some(COUNTER_MS),
            TimeForm::Number(Unit::Microsecond) => Some(COUNTER_US),
            _ => None,
        }
    }

    /// The stamp of a cell without blanks around it.
    #[inline]
    pub(crate) fn stamp(self, cell: &[u8], mark: Decimal) -> Option<Exact> {
        match self {
            TimeForm::Number(unit) => {
                let e = match number::exact(cell, mark) {
                    Some(e) => e,
                    None => number::exact_any(cell, mark)?,
                };
                in_seconds(e, unit)
            }
            TimeForm::HourMinuteSecond => of_day(std::str::from_utf8(cell).ok()?, 3),
            TimeForm::MinuteSecond => of_day(std::str::from_utf8(cell).ok()?, 2),
            TimeForm::YearFirst | TimeForm::DayFirst | TimeForm::MonthFirst => {
                date_time(std::str::from_utf8(cell).ok()?, self)
            }
            TimeForm::Rows { .. } => None,
        }
    }

    /// The form of a cell that is not a plain number.
    pub(crate) fn of_cell(cell: &str) -> Option<TimeForm> {
        if of_day(cell, 3).is_some() {
            return Some(TimeForm::HourMinuteSecond);
        }
        if of_day(cell, 2).is_some() {
            return Some(TimeForm::MinuteSecond);
        }
        [TimeForm::YearFirst, TimeForm::DayFirst, TimeForm::MonthFirst]
            .into_iter()
            .find(|form| date_time(cell, *form).is_some())
    }
}

/// The same stamp in seconds.
#[inline]
pub(crate) fn in_seconds(e: Exact, unit: Unit) -> Option<Exact> {
    Some(match unit {
        Unit::Millisecond => Exact { decimals: e.decimals + 3, ..e },
        Unit::Microsecond => Exact { decimals: e.decimals + 6, ..e },
        Unit::Minute => Exact { mantissa: e.mantissa.checked_mul(60)?, ..e },
        _ => e,
    })
}

/// Seconds from `origin` to `stamp`, rounded once.
#[inline]
pub(crate) fn seconds_between(origin: Exact, stamp: Exact) -> f64 {
    if origin.decimals == stamp.decimals
        && let Some(ticks) = stamp.mantissa.checked_sub(origin.mantissa)
    {
        return ticks as f64 / number::power_of_ten(stamp.decimals);
    }
    seconds_between_unlike(origin, stamp)
}

#[cold]
fn seconds_between_unlike(origin: Exact, stamp: Exact) -> f64 {
    let decimals = origin.decimals.max(stamp.decimals);
    // 18 digits raised by at most 24 decimals could leave i128; digits that far down are dropped.
    let raise = |e: Exact| {
        let by = (decimals - e.decimals).min(19);
        i128::from(e.mantissa) * 10i128.pow(by)
    };
    if decimals - origin.decimals.min(stamp.decimals) > 19 {
        let seconds = |e: Exact| e.mantissa as f64 / number::power_of_ten(e.decimals);
        return seconds(stamp) - seconds(origin);
    }
    (raise(stamp) - raise(origin)) as f64 / number::power_of_ten(decimals)
}

/// `[h:]m:s[.fff]` with `parts` parts, or h:m:s:fff.
fn of_day(text: &str, parts: usize) -> Option<Exact> {
    let (text, noon) = half_day(text);
    if noon.is_some() && parts != 3 {
        return None;
    }
    let mut fields: Vec<&str> = text.split(':').collect();
    if parts == 3 && fields.len() == 4 && fields[3].len() == 3 {
        let millis = fields.pop()?;
        return with_fraction(whole_seconds(&fields, noon)?, millis);
    }
    if fields.len() != parts {
        return None;
    }
    let last = fields.pop()?;
    let (seconds, fraction) = last.split_once(['.', ',']).unwrap_or((last, ""));
    fields.push(seconds);
    with_fraction(whole_seconds(&fields, noon)?, fraction)
}

/// The text without AM or PM, and hours to add with the twelve-hour rule.
fn half_day(text: &str) -> (&str, Option<i64>) {
    let lower = text.len().checked_sub(2).and_then(|at| text.get(at..));
    match lower {
        Some(half) if half.eq_ignore_ascii_case("am") => (text[..text.len() - 2].trim_end(), Some(0)),
        Some(half) if half.eq_ignore_ascii_case("pm") => (text[..text.len() - 2].trim_end(), Some(12)),
        _ => (text, None),
    }
}

fn digits(text: &str, longest: usize) -> Option<i64> {
    ((1..=longest).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())?
}

/// Whole seconds of h:m:s or m:s; the leading field may run past its usual end.
fn whole_seconds(fields: &[&str], noon: Option<i64>) -> Option<i64> {
    let mut total = 0;
    for (at, field) in fields.iter().enumerate() {
        let mut n = digits(field, if at == 0 { 5 } else { 2 })?;
        if at > 0 && n > 59 && !(at + 1 == fields.len() && n == 60) {
            return None;
        }
        if at == 0
            && let Some(noon) = noon
        {
            n = if (1..=12).contains(&n) { n % 12 + noon } else { return None };
        }
        total = total * 60 + n;
    }
    Some(total)
}

/// Seconds with a fraction of up to nine digits; further digits are dropped.
fn with_fraction(seconds: i64, fraction: &str) -> Option<Exact> {
    let fraction = fraction.get(..fraction.len().min(9))?;
    let mut mantissa = seconds;
    for byte in fraction.bytes() {
        if !byte.is_ascii_digit() {
            return None;
        }
        mantissa = mantissa.checked_mul(10)?.checked_add(i64::from(byte - b'0'))?;
    }
    Some(Exact { mantissa, decimals: fraction.len() as u32 })
}

/// Days from 1970-01-01 to a date of the Gregorian calendar: 365 y + leap days up to the year before, plus the
/// days of the months before, with March as first month so that February's end is the year's.
fn days(year: i64, month: i64, day: i64) -> Option<i64> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = match month {
        2 => 28 + i64::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=length).contains(&day) || !(1..=9999).contains(&year) {
        return None;
    }
    let (y, m) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    Some(365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 719_469)
}

/// Date and time with `T`, blanks or a comma between; zone `Z` or an offset where the year is first.
fn date_time(text: &str, form: TimeForm) -> Option<Exact> {
    let text = text.trim();
    let split = text.find(['T', 't', ' '])?;
    let (date, rest) = (&text[..split], text[split + 1..].trim_start());
    let day = date_days(date.trim_end_matches(','), form)?;
    let (clock, offset_s) = zone(rest)?;
    let clock = if !clock.contains(':') && clock.split(['.', ',']).next().is_some_and(|c| c.len() == 6) {
        format!("{}:{}:{}", &clock[..2], clock.get(2..4)?, clock.get(4..)?)
    } else if clock.bytes().filter(|&b| b == b':').count() == 1 {
        format!("{clock}:00")
    } else {
        clock.to_owned()
    };
    let time = of_day(&clock, 3)?;
    if time.mantissa as f64 / number::power_of_ten(time.decimals) > DAY + 1.0 {
        return None;
    }
    let shift = (day * 86_400 - offset_s).checked_mul(10i64.pow(time.decimals))?;
    Some(Exact { mantissa: time.mantissa.checked_add(shift)?, ..time })
}

fn date_days(date: &str, form: TimeForm) -> Option<i64> {
    if form == TimeForm::YearFirst && date.len() == 8 && date.bytes().all(|b| b.is_ascii_digit()) {
        return days(digits(&date[..4], 4)?, digits(&date[4..6], 2)?, digits(&date[6..], 2)?);
    }
    let mark = date.chars().find(|c| matches!(c, '-' | '/' | '.'))?;
    let fields: Vec<&str> = date.split(mark).collect();
    let &[a, b, c] = fields.as_slice() else { return None };
    match form {
        TimeForm::YearFirst if a.len() == 4 => days(digits(a, 4)?, digits(b, 2)?, digits(c, 2)?),
        TimeForm::DayFirst if c.len() == 4 => days(digits(c, 4)?, digits(b, 2)?, digits(a, 2)?),
        TimeForm::MonthFirst if c.len() == 4 => days(digits(c, 4)?, digits(a, 2)?, digits(b, 2)?),
        _ => None,
    }
}

/// A clock text and the seconds that its zone is ahead of UTC.
fn zone(text: &str) -> Option<(&str, i64)> {
    if let Some(clock) = text.strip_suffix(['Z', 'z']) {
        return Some((clock.trim_end(), 0));
    }
    if let Some(clock) = text.strip_suffix("UTC") {
        return Some((clock.trim_end(), 0));
    }
    let Some(at) = text.find(['+', '-']) else { return Some((text, 0)) };
    let (clock, offset) = (text[..at].trim_end(), &text[at..]);
    let sign = if offset.starts_with('-') { -1 } else { 1 };
    let offset = &offset[1..];
    let (hours, minutes) = match offset.split_once(':') {
        Some((h, m)) => (h, m),
        None if offset.len() == 4 => (offset.get(..2)?, offset.get(2..)?),
        None => (offset, "0"),
    };
    Some((clock, sign * (digits(hours, 2)? * 3600 + digits(minutes, 2)? * 60)))
}

impl fmt::Display for TimeForm {
    /// The word that `--time` takes.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TimeForm::Number(unit) => write!(f, "{unit}"),
            TimeForm::HourMinuteSecond => f.write_str("h:m:s"),
            TimeForm::MinuteSecond => f.write_str("m:s"),
            TimeForm::YearFirst => f.write_str("iso"),
            TimeForm::DayFirst => f.write_str("d.m.y"),
            TimeForm::MonthFirst => f.write_str("m/d/y"),
            TimeForm::Rows { hertz } => write!(f, "row@{hertz}Hz"),
        }
    }
}

impl FromStr for TimeForm {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let lower = text.trim().to_lowercase();
        if let Some(rate) = lower.strip_prefix("row@") {
            let hertz = rate.strip_suffix("hz").unwrap_or(rate).trim().parse::<f64>().ok();
            return match hertz.filter(|h| h.is_finite() && *h > 0.0) {
                Some(hertz) => Ok(TimeForm::Rows { hertz }),
                None => {
                    Err(format!("`{rate}` is not a rate; expected a number of rows a second, as in row@10Hz"))
                }
            };
        }
        match lower.as_str() {
            "h:m:s" => Ok(TimeForm::HourMinuteSecond),
            "m:s" => Ok(TimeForm::MinuteSecond),
            "iso" => Ok(TimeForm::YearFirst),
            "d.m.y" => Ok(TimeForm::DayFirst),
            "m/d/y" => Ok(TimeForm::MonthFirst),
            _ => match Unit::of_word(&lower).filter(|u| u.means() == Means::Time) {
                Some(unit) => Ok(TimeForm::Number(unit)),
                None => Err(format!(
                    "`{text}` is not a form of time; expected s, ms, us, min, h:m:s, m:s, iso, d.m.y, m/d/y or row@10Hz"
                )),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seconds(form: TimeForm, from: &str, to: &str) -> f64 {
        let stamp = |s: &str| form.stamp(s.as_bytes(), Decimal::Point).expect(s);
        seconds_between(stamp(from), stamp(to))
    }

    #[test]
    fn a_tenth_of_a_second_is_a_tenth_in_every_form() {
        for (form, from, to) in [
            ("s", "1724000000.1", "1724000000.2"),
            ("s", "1.5", "1.60"),
            ("ms", "1724000000100", "1724000000200"),
            ("us", "100000", "200000"),
            ("h:m:s", "23:59:58.9", "23:59:59"),
            ("h:m:s", "11:59:59.950 am", "12:00:00.050 PM"),
            ("h:m:s", "1:02:03:900", "1:02:04:000"),
            ("m:s", "75:00.0", "75:00,1"),
            ("iso", "2024-02-28T23:59:59.95Z", "2024-02-29T00:00:00.05Z"),
            ("iso", "2024-05-03T12:00:00.0+02:00", "2024-05-03 10:00:00.1"),
            ("iso", "20240503T120000.0-0130", "2024-05-03T13:30:00.1Z"),
            ("d.m.y", "31.12.2023 23:59:59.9", "1.1.2024 0:00:00"),
            ("m/d/y", "12/31/2023 11:59:59.9 PM", "1/1/2024 12:00:00 AM"),
        ] {
            let got = seconds(form.parse().unwrap(), from, to);
            assert_eq!(got.to_bits(), 0.1f64.to_bits(), "{form}: {from} to {to} gave {got}");
        }
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for (form, cell) in [
            ("h:m:s", "12:34"),
            ("h:m:s", "1:60:00"),
            ("h:m:s", "13:00:00 pm"),
            ("m:s", "1:2:3"),
            ("iso", "2023-02-29T00:00:00"),
            ("iso", "2024-05-03"),
            ("d.m.y", "2024-05-03 1:00:00"),
            ("s", "12:00"),
        ] {
            let form: TimeForm = form.parse().unwrap();
            assert_eq!(form.stamp(cell.as_bytes(), Decimal::Point), None, "{form}: {cell}");
        }
    }

    /// The epoch is day 0, and 2000-03-01 is day 11017 (POSIX.1-2017, 4.16, seconds since the Epoch / 86400).
    #[test]
    fn days_count_from_the_epoch() {
        assert_eq!(days(1970, 1, 1), Some(0));
        assert_eq!(days(2000, 3, 1), Some(11_017));
        assert_eq!(days(1900, 2, 29), None);
    }

    proptest! {
        #[test]
        fn any_text_is_a_time_or_not_but_never_a_panic(text in "\\PC{0,30}") {
            for form in ["s", "us", "min", "h:m:s", "m:s", "iso", "d.m.y", "m/d/y"] {
                let form: TimeForm = form.parse().unwrap();
                if let Some(stamp) = form.stamp(text.as_bytes(), Decimal::Comma) {
                    let zero = Exact { mantissa: 0, decimals: 0 };
                    prop_assert!(seconds_between(zero, stamp).is_finite());
                }
            }
        }

        #[test]
        fn a_form_written_reads_as_itself(hertz in 0.1f64..1000.0) {
            let form = TimeForm::Rows { hertz };
            prop_assert_eq!(form.to_string().parse(), Ok(form));
        }
    }
}
