//! Numbers to text: the one place where a face's digits are made.
//!
//! Units and digits follow [`silkfall_core::quantity`]; here come what a table or a sentence adds: a unit said once
//! in a heading, counts with spaces, clock times, and shares that must not round to certainty: 0.9997 known to
//! 0.5 % is "> 99 %", never "100 %".

use silkfall_core::maths;
use silkfall_core::quantity::{Kind, System, Unit, digits, interval_in, number_in};

use crate::document::{Form, Inline, Rich, Shown};

/// Keeps a number and its unit on one line; the terminal turns it into a space at the very end.
pub const NO_BREAK: char = '\u{a0}';

/// A number as text; `column` is the unit that its column states.
pub fn number(shown: &Shown, system: System, column: Option<&Unit>) -> String {
    match shown.form {
        Form::Count => grouped(shown.si),
        Form::Clock => clock(shown.si),
        Form::Magnitude => {
            let size = Shown { si: shown.si.abs(), form: Form::Full, ..shown.clone() };
            number(&size, system, column)
        }
        Form::Like(si) => bare(shown, system.unit(shown.kind, si)),
        Form::Full | Form::Inward => match column {
            Some(unit) => bare(shown, unit),
            None => {
                let unit = system.unit(shown.kind, shown.si);
                with_unit(&bare(shown, unit), unit)
            }
        },
    }
}

/// Two numbers as text: "2.99 to 3.51 m/s".
pub fn interval(low: &Shown, high: &Shown, system: System, column: Option<&Unit>) -> String {
    if high.form == Form::Clock {
        return format!("{}{NO_BREAK}to{NO_BREAK}{}", clock(low.si), clock(high.si));
    }
    let largest = if low.si.abs() > high.si.abs() { low.si } else { high.si };
    let (unit, stated) = match (high.form, column) {
        (Form::Like(si), _) => (system.unit(high.kind, si), true),
        (_, Some(unit)) => (unit, true),
        _ => (system.unit(high.kind, largest), false),
    };
    let half = (high.si - low.si).abs() / 2.0;
    let ends = if high.form == Form::Inward {
        inward(low.si, high.si, unit)
    } else if high.kind == Kind::Share && half < TENTH_OF_PERCENT {
        let end = |shown: &Shown| number_in(shown.si, TENTH_OF_PERCENT, unit);
        format!("{} to {}", end(low), end(high))
    } else {
        interval_in(low.si, high.si, unit)
    };
    let ends = no_break(&ends);
    if stated { ends } else { with_unit(&ends, unit) }
}

/// The tenths between two ends; ends that no tenth lies between are told more closely.
fn inward(low_si: f64, high_si: f64, unit: &Unit) -> String {
    // What was worked out to stand on a tenth may lie beside it by the last digits of a double; the sum rids nothing of its sign.
    const NO_LESS: f64 = 1e-9;
    let low = (unit.from_si(low_si) * 10.0 - NO_LESS).ceil() / 10.0 + 0.0;
    let high = (unit.from_si(high_si) * 10.0 + NO_LESS).floor() / 10.0;
    if low > high { interval_in(low_si, high_si, unit) } else { format!("{low:.1} to {high:.1}") }
}

/// A text as characters alone.
pub fn plain(text: &Rich, system: System) -> String {
    let mut out = String::new();
    for inline in &text.0 {
        match inline {
            Inline::Plain(text) | Inline::Strong(text) | Inline::Quiet(text) | Inline::Code(text) => {
                out.push_str(text);
            }
            Inline::Verdict(verdict) => out.push_str(verdict.word()),
            Inline::Number(shown) => out.push_str(&number(shown, system, None)),
            Inline::Interval { low, high } => out.push_str(&interval(low, high, system, None)),
            Inline::Unit => {}
        }
    }
    out
}

/// The system of units in words.
pub fn units_of(system: System) -> &'static str {
    match system {
        System::Si => "units SI",
        System::Us => "units US",
    }
}

/// A unit as a heading says it.
pub fn unit_name(unit: &Unit) -> &'static str {
    unit.symbol
}

fn bare(shown: &Shown, unit: &Unit) -> String {
    if shown.kind == Kind::Share && shown.doubt_si > 0.0 {
        // Nobody acts on a hundredth of a percent, however many trials would tell it.
        let coarse = shown.doubt_si.max(TENTH_OF_PERCENT);
        let rounding = Shown { doubt_si: coarse, ..shown.clone() };
        return short_of_certain(shown, &rounding, unit).unwrap_or_else(|| number_in(shown.si, coarse, unit));
    }
    number_in(shown.si, shown.doubt_si, unit)
}

/// A doubt that rounds percents to one digit after the point.
const TENTH_OF_PERCENT: f64 = 0.003;

/// "> 99.9" where rounding would say 100, "< 0.1" where it would say 0; no closer to certainty than the doubt allows:
/// 0.5 % of it speaks of 99 %, not of 99.9 %.
fn short_of_certain(shown: &Shown, rounding: &Shown, unit: &Unit) -> Option<String> {
    let places = digits(0.0, rounding.doubt_si / unit.factor);
    let rounded: f64 = number_in(shown.si, rounding.doubt_si, unit).parse().ok()?;
    let step = maths::pow(10.0, -(places as f64));
    let doubt = shown.doubt_si / unit.factor;
    let short = maths::pow(10.0, maths::ceil(maths::log10(doubt))).max(step);
    let places = digits(0.0, 3.0 * short);
    let whole = unit.from_si(1.0);
    if short > whole / 2.0 {
        return None;
    }
    // Half a step, so that neither comparison hangs on the last bit.
    if (rounded - whole).abs() < step / 2.0 {
        Some(format!(">{NO_BREAK}{:.places$}", whole - short))
    } else if rounded.abs() < step / 2.0 {
        Some(format!("<{NO_BREAK}{short:.places$}"))
    } else {
        None
    }
}

fn with_unit(number: &str, unit: &Unit) -> String {
    match unit.symbol {
        "" => number.to_owned(),
        "°" => format!("{number}°"),
        symbol => format!("{number}{NO_BREAK}{symbol}"),
    }
}

/// The same text with every space unbreakable.
pub fn no_break(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// 18240 as "18 240"; four digits stay together.
fn grouped(count: f64) -> String {
    let plain = format!("{count:.0}");
    if plain.len() < 5 {
        return plain;
    }
    let mut out = String::new();
    for (at, digit) in plain.chars().enumerate() {
        if at > 0 && (plain.len() - at).is_multiple_of(3) {
            out.push(NO_BREAK);
        }
        out.push(digit);
    }
    out
}

/// 460.13 s as "7:40.1", 5025.0 s as "1:23:45.0".
pub fn clock(time_s: f64) -> String {
    let sign = if time_s <= -0.05 { "-" } else { "" };
    // Whole tenths first, so that 59.96 s is 1:00.0 and not 0:60.0.
    let tenths = (time_s.abs() * 10.0).round() as u64;
    let (hours, minutes, rest) = (tenths / 36_000, tenths / 600 % 60, tenths % 600);
    let seconds = format!("{:02}.{}", rest / 10, rest % 10);
    if hours > 0 {
        format!("{sign}{hours}:{minutes:02}:{seconds}")
    } else {
        format!("{sign}{minutes}:{seconds}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(si: f64, doubt: f64) -> String {
        number(&Shown::new("x", si, doubt, Kind::Share), System::Si, None).replace(NO_BREAK, " ")
    }

    #[test]
    fn a_share_never_rounds_to_certainty() {
        assert_eq!(share(0.9997, 0.005), "> 99 %");
        assert_eq!(share(0.99999, 0.0005), "> 99.9 %");
        assert_eq!(share(0.99975, 0.000_3), "> 99.9 %");
        assert_eq!(share(0.994, 0.0004), "99.4 %", "a tenth of a percent is enough");
        assert_eq!(share(1.0, 0.005), "> 99 %");
        assert_eq!(share(0.0004, 0.005), "< 1 %");
        assert_eq!(share(1.0, 0.0), "100 %", "without doubt it is so");
        assert_eq!(share(0.0, 0.0), "0 %");
        assert_eq!(share(0.88, 0.005), "88.0 %");
    }

    #[test]
    fn an_interval_of_shares_may_reach_both_ends() {
        let end = |si| Shown::new("x", si, 0.0, Kind::Share);
        let said = |low, high| interval(&end(low), &end(high), System::Si, None).replace(NO_BREAK, " ");
        assert_eq!(said(0.0, 1.0), "0 to 100 %");
        assert_eq!(said(0.88, 0.994), "88 to 99 %");
        assert_eq!(said(0.9412, 0.9414), "94.1 to 94.1 %");
        assert_eq!(share(0.6, 0.5), "60 %");
    }

    #[test]
    fn a_range_that_holds_is_never_told_wider_than_it_is() {
        let end = |si| Shown { form: Form::Inward, ..Shown::new("x", si, 0.0, Kind::Speed) };
        let said = |low, high| interval(&end(low), &end(high), System::Si, None).replace(NO_BREAK, " ");
        assert_eq!(said(0.0, 6.592), "0.0 to 6.5 m/s");
        assert_eq!(said(1.01, 14.0), "1.1 to 14.0 m/s");
        assert_eq!(said(0.1 + 0.2, 2.3 / 0.1 * 0.1), "0.3 to 2.3 m/s");
        assert_eq!(said(2.31, 2.38), "2.31 to 2.38 m/s", "narrower than a tenth");
        let mph = interval(&end(0.0), &end(3.0), System::Us, None).replace(NO_BREAK, " ");
        assert_eq!(mph, "0.0 to 9.8 ft/s");
    }

    #[test]
    fn counts_and_clocks() {
        let count = |n| number(&Shown::count("n", n), System::Us, None).replace(NO_BREAK, " ");
        assert_eq!((count(7), count(4000), count(18_240)), ("7".into(), "4000".into(), "18 240".into()));
        assert_eq!(count(8_640_000), "8 640 000");
        let at = |s| number(&Shown::clock("t", s), System::Si, None);
        assert_eq!(
            (at(460.13), at(59.96), at(5025.0)),
            ("7:40.1".into(), "1:00.0".into(), "1:23:45.0".into())
        );
    }

    #[test]
    fn a_unit_is_said_once() {
        let low = Shown::new("low", 2.991, 0.0, Kind::Speed).like(3.25);
        let high = Shown::new("high", 3.512, 0.0, Kind::Speed).like(3.25);
        assert_eq!(interval(&low, &high, System::Si, None).replace(NO_BREAK, " "), "2.99 to 3.51");
        assert_eq!(interval(&low, &high, System::Us, None).replace(NO_BREAK, " "), "9.8 to 11.5");
        let mass = Shown::new("m", 0.98, 0.01, Kind::Mass).like(1.2);
        assert_eq!(number(&mass, System::Si, None), "0.980", "in the kilograms of the number before");
    }
}
