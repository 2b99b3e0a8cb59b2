//! Text to quantity: "60 in", "4.1 kg ± 20 g", "1.2 m within 1 %", "0.90 to 1.00".

use super::kinds::{Kind, Unit};

/// How far the true value may be from the one given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Nothing was said.
    NotSaid,
    /// "±": a standard uncertainty, SI.
    Standard(f64),
    /// "within": a tolerance, rectangular with this half-width, SI.
    Within(f64),
}

/// A quantity as given: SI value, and what was said of its doubt.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// SI value; the middle for "a to b".
    pub si: f64,
    /// What was said of its doubt.
    pub spread: Spread,
    /// The text it was read from, trimmed.
    pub text: String,
}

impl Given {
    /// The standard uncertainty in SI; 0 where nothing was said. A half-width a of a rectangle counts a/√3
    /// (JCGM 100:2008, 4.3.7).
    pub fn standard_uncertainty(&self) -> f64 {
        match self.spread {
            Spread::NotSaid => 0.0,
            Spread::Standard(u) => u,
            Spread::Within(a) => a / 3f64.sqrt(),
        }
    }
}

/// Why a text is not a quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// Nothing there.
    #[error("nothing is written here, {} was expected", kind.name())]
    Empty {
        /// What was wanted.
        kind: Kind,
    },
    /// No number at the start.
    #[error("`{text}` does not start with a number, {} was expected", kind.name())]
    NoNumber {
        /// What was written.
        text: String,
        /// What was wanted.
        kind: Kind,
    },
    /// A number without its unit.
    #[error("`{text}` has no unit, {} was expected", kind.name())]
    NoUnit {
        /// What was written.
        text: String,
        /// What was wanted.
        kind: Kind,
    },
    /// A unit that is not of this kind.
    #[error("`{unit}` is not a unit of {}", kind.name().trim_start_matches("a ").trim_start_matches("an "))]
    UnknownUnit {
        /// What was written.
        unit: String,
        /// What was wanted.
        kind: Kind,
        /// A unit that is written much like it.
        near: Option<&'static str>,
    },
    /// "5 kg to 4 kg".
    #[error("`{text}` runs backwards: the smaller value comes first")]
    Backwards {
        /// What was written.
        text: String,
    },
    /// A doubt below zero, or a number that is not finite.
    #[error("`{text}` is not a usable number")]
    NotUsable {
        /// What was written.
        text: String,
    },
}

impl QuantityError {
    /// The cure, to be printed as a hint.
    pub fn hint(&self) -> String {
        let units = |kind: &Kind| {
            let names: Vec<&str> = kind.units().iter().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
            names.join(", ")
        };
        match self {
            QuantityError::NoUnit { text, kind } => {
                let symbol = kind.usual_unit().symbol;
                format!("write the unit: \"{text} {symbol}\", or one of {}", units(kind))
            }
            QuantityError::UnknownUnit { near: Some(near), .. } => format!("did you mean `{near}`?"),
            QuantityError::UnknownUnit { kind, .. } => format!("known units: {}", units(kind)),
            QuantityError::Backwards { .. } => "write the smaller value first".to_owned(),
            QuantityError::Empty { kind } | QuantityError::NoNumber { kind, .. } => {
                let symbol = kind.usual_unit().symbol;
                format!("for instance \"1.5 {symbol}\"")
                    .replace(" \"", "\"")
                    .replace("instance\"", "instance \"")
            }
            QuantityError::NotUsable { .. } => "doubts are positive and numbers finite".to_owned(),
        }
    }
}

/// Reads a quantity of `kind`. A pure number needs no unit; everything else does. After "±" or "within" stands a
/// quantity of the same kind (in the first unit if none is written) or a percentage of the value.
///
/// # Errors
/// See [`QuantityError`]; the text is not changed and nothing is guessed.
///
/// # Examples
/// ```
/// use silkfall_core::quantity::{parse, Kind, Spread};
/// let given = parse("4.0 kg ± 1 %", Kind::Mass).unwrap();
/// assert_eq!(given.si, 4.0);
/// assert_eq!(given.spread, Spread::Standard(0.04));
/// ```
pub fn parse(text: &str, kind: Kind) -> Result<Given, QuantityError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty { kind });
    }
    if let Some((low, high)) = text.split_once(" to ") {
        return parse_range(text, low, high, kind);
    }
    let (body, doubt) = split_doubt(text);
    let (number, unit) = number_and_unit(body, kind, None)?;
    let si = finite(unit.to_si(number), text)?;
    let size = |part: &str| -> Result<f64, QuantityError> {
        let part = part.trim();
        let absolute = if let Some(percent) = part.strip_suffix('%').filter(|_| kind != Kind::Share) {
            let percent: f64 = leading_number(percent.trim(), kind)?.0;
            percent / 100.0 * (si - unit.zero).abs()
        } else {
            let (number, own) = number_and_unit(part, kind, Some(unit))?;
            number * own.factor
        };
        if absolute >= 0.0 {
            finite(absolute, text)
        } else {
            Err(QuantityError::NotUsable { text: text.to_owned() })
        }
    };
    let spread = match doubt {
        None => Spread::NotSaid,
        Some(Doubt::Standard(part)) => Spread::Standard(size(part)?),
        Some(Doubt::Within(part)) => Spread::Within(size(part)?),
    };
    Ok(Given { si, spread, text: text.to_owned() })
}

/// "a to b" is a tolerance about its middle.
fn parse_range(text: &str, low: &str, high: &str, kind: Kind) -> Result<Given, QuantityError> {
    let (top, unit) = number_and_unit(high.trim(), kind, None)?;
    let (bottom, low_unit) = number_and_unit(low.trim(), kind, Some(unit))?;
    let (bottom, top) = (finite(low_unit.to_si(bottom), text)?, finite(unit.to_si(top), text)?);
    if bottom > top {
        return Err(QuantityError::Backwards { text: text.to_owned() });
    }
    let (si, half) = ((bottom + top) / 2.0, (top - bottom) / 2.0);
    Ok(Given { si, spread: Spread::Within(half), text: text.to_owned() })
}

enum Doubt<'a> {
    Standard(&'a str),
    Within(&'a str),
}

fn split_doubt(text: &str) -> (&str, Option<Doubt<'_>>) {
    for mark in ["±", "+/-", "+-"] {
        if let Some((body, part)) = text.split_once(mark) {
            return (body.trim(), Some(Doubt::Standard(part)));
        }
    }
    match text.split_once(" within ") {
        Some((body, part)) => (body.trim(), Some(Doubt::Within(part))),
        None => (text, None),
    }
}

fn number_and_unit(
    text: &str,
    kind: Kind,
    default: Option<&'static Unit>,
) -> Result<(f64, &'static Unit), QuantityError> {
    let (number, rest) = leading_number(text, kind)?;
    let name = rest.trim();
    if let Some(unit) = kind.unit(name) {
        return Ok((number, unit));
    }
    if name.is_empty() {
        return default
            .map(|unit| (number, unit))
            .ok_or_else(|| QuantityError::NoUnit { text: text.to_owned(), kind });
    }
    Err(QuantityError::UnknownUnit { unit: name.to_owned(), kind, near: near_unit(name, kind) })
}

/// A unit that differs in case, spaces or a plural only.
fn near_unit(name: &str, kind: Kind) -> Option<&'static str> {
    let plain = |s: &str| {
        let s: String = s.to_lowercase().chars().filter(|c| !c.is_whitespace() && *c != '.').collect();
        s.strip_suffix('s').map(str::to_owned).filter(|s| !s.is_empty()).unwrap_or(s)
    };
    let wanted = plain(name);
    kind.units()
        .iter()
        .find(|unit| plain(unit.symbol) == wanted || unit.also.iter().any(|also| plain(also) == wanted))
        .map(|unit| unit.symbol)
}

fn leading_number(text: &str, kind: Kind) -> Result<(f64, &str), QuantityError> {
    let text = text.trim();
    let mut end = 0;
    let bytes = text.as_bytes();
    while end < bytes.len() {
        let digit = bytes[end].is_ascii_digit() || bytes[end] == b'.';
        let sign =
            (bytes[end] == b'-' || bytes[end] == b'+') && (end == 0 || matches!(bytes[end - 1], b'e' | b'E'));
        let exponent = matches!(bytes[end], b'e' | b'E')
            && end > 0
            && bytes.get(end + 1).is_some_and(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+'));
        if !(digit || sign || exponent) {
            break;
        }
        end += 1;
    }
    let number = text[..end].parse().map_err(|_| QuantityError::NoNumber { text: text.to_owned(), kind })?;
    Ok((number, &text[end..]))
}

fn finite(value: f64, text: &str) -> Result<f64, QuantityError> {
    if value.is_finite() { Ok(value) } else { Err(QuantityError::NotUsable { text: text.to_owned() }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn si(text: &str, kind: Kind) -> f64 {
        parse(text, kind).unwrap().si
    }

    #[test]
    fn any_unit_with_or_without_a_space() {
        assert!((si("60in", Kind::Length) - 1.524).abs() < 1e-12);
        assert!((si("13 lb", Kind::Mass) - 5.896_700_8).abs() < 1e-6);
        assert!((si("18 °C", Kind::Temperature) - 291.15).abs() < 1e-12);
        assert!((si("95 %", Kind::Share) - 0.95).abs() < 1e-15);
        assert!((si("2.2", Kind::Ratio) - 2.2).abs() < 1e-15);
        assert!((si("1e3 mm", Kind::Length) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn doubts_in_their_own_unit_or_in_percent() {
        assert_eq!(parse("0.30 kg ± 5 g", Kind::Mass).unwrap().spread, Spread::Standard(0.005));
        assert_eq!(parse("2 m +/- 1%", Kind::Length).unwrap().spread, Spread::Standard(0.02));
        assert_eq!(parse("2 kg within 20 g", Kind::Mass).unwrap().spread, Spread::Within(0.02));
        assert_eq!(parse("18 °C ± 2 °C", Kind::Temperature).unwrap().spread, Spread::Standard(2.0));
        let range = parse("0.90 to 1.00", Kind::Ratio).unwrap();
        assert!(
            (range.si - 0.95).abs() < 1e-15
                && (range.standard_uncertainty() - 0.05 / 3f64.sqrt()).abs() < 1e-15
        );
    }

    #[test]
    fn what_is_wrong_is_named_with_its_cure() {
        let error = parse("4.1", Kind::Mass).unwrap_err();
        assert_eq!(error.to_string(), "`4.1` has no unit, a mass was expected");
        assert_eq!(error.hint(), "write the unit: \"4.1 kg\", or one of kg, g, lb, oz");
        let error = parse("4.1 KG", Kind::Mass).unwrap_err();
        assert_eq!(error.to_string(), "`KG` is not a unit of mass");
        assert_eq!(error.hint(), "did you mean `kg`?");
        assert!(matches!(parse("heavy", Kind::Mass), Err(QuantityError::NoNumber { .. })));
        assert!(matches!(parse(" ", Kind::Mass), Err(QuantityError::Empty { .. })));
        assert!(matches!(parse("5 kg to 4 kg", Kind::Mass), Err(QuantityError::Backwards { .. })));
        assert!(matches!(parse("1 kg ± -2 g", Kind::Mass), Err(QuantityError::NotUsable { .. })));
        assert_eq!(parse("", Kind::Ratio).unwrap_err().hint(), "for instance \"1.5\"");
    }
}
