//! The single values that a key may hold: how each is read from TOML, and what editors are told of it.

use serde_json::{Value as Json, json};
use silkfall_core::finding::Code;
use silkfall_core::quantity::{Angle, Energy, Force, ForcePerLength, Kind, QuantityError, Unit, Velocity};
use toml_edit::{Item, Value};

use crate::landing::Towards;
use crate::load_path::Strength;
use crate::notes::{Notes, did_you_mean, near, quoted};
use crate::project::Limit;
use crate::value::{Day, Measured, Quantity};
use crate::walk::{At, Key, Reader, sort_of};
use crate::words::{Opens, Word};

/// One value.
pub trait Leaf: Sized {
    /// Reads it; problems are noted.
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self>;
    /// What editors are told.
    fn schema(key: &Key) -> Json;
}

/// The text of a value, or a note that a text was expected.
fn text_of<'a>(value: &'a Value, at: &At, read: &mut Reader) -> Option<&'a str> {
    let text = value.as_str();
    if text.is_none() {
        let written = value.span().map(|span| read.lines.slice(span)).unwrap_or_default();
        let hint = (!written.is_empty() && !value.is_array() && !value.is_inline_table())
            .then(|| format!("write it in quotes: \"{}\"", written.trim()));
        read.wrong(at, sort_of(&Item::Value(value.clone())), "a text in quotes", hint);
    }
    text
}

impl Leaf for String {
    fn read(value: &Value, _: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = text_of(value, at, read)?;
        let problem = if text.trim().is_empty() {
            "the text is empty, expected something"
        } else if text.chars().any(char::is_control) {
            "the text has line breaks or control characters, expected one line"
        } else if text.chars().count() > 500 {
            "the text is too long, expected at most 500 characters"
        } else {
            return Some(text.trim().to_owned());
        };
        read.notes.add(Code::ProjectWrongType, &at.path, Some(at.spot), problem, None);
        None
    }

    fn schema(_: &Key) -> Json {
        json!({ "type": "string", "minLength": 1, "maxLength": 500 })
    }
}

impl Leaf for bool {
    fn read(value: &Value, _: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let truth = value.as_bool();
        if truth.is_none() {
            let found = sort_of(&Item::Value(value.clone()));
            read.wrong(at, found, "true or false", Some("write it without quotes".to_owned()));
        }
        truth
    }

    fn schema(_: &Key) -> Json {
        json!({ "type": "boolean" })
    }
}

impl Leaf for u32 {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let (least, most) = whole_bounds(key);
        let Some(number) = value.as_integer() else {
            let found = sort_of(&Item::Value(value.clone()));
            read.wrong(at, found, "a whole number", Some("write it without quotes and point".to_owned()));
            return None;
        };
        let whole = u32::try_from(number).ok().filter(|n| (least..=most).contains(n));
        if whole.is_none() {
            let message = if least == most {
                format!("{number} stands here, expected {least}")
            } else {
                format!("{number} is out of range, expected {least} to {most}")
            };
            read.notes.add(Code::ProjectRange, &at.path, Some(at.spot), message, None);
        }
        whole
    }

    fn schema(key: &Key) -> Json {
        let (least, most) = whole_bounds(key);
        json!({ "type": "integer", "minimum": least, "maximum": most })
    }
}

fn whole_bounds(key: &Key) -> (u32, u32) {
    let (low, high) = key.bounds.expect("every whole number of the project file has bounds");
    let bounds = low.parse().ok().zip(high.parse().ok());
    bounds.expect("bounds of whole numbers are whole numbers")
}

impl Leaf for Day {
    fn read(value: &Value, _: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = match value {
            Value::Datetime(date) => date.value().to_string(),
            other => text_of(other, at, read)?.to_owned(),
        };
        let day = Day::try_new(&text);
        if day.is_none() {
            let message = format!("{} is not a day", quoted(&text));
            let hint = "write year, month and day: \"2026-05-03\"".to_owned();
            read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(hint));
        }
        day
    }

    fn schema(_: &Key) -> Json {
        json!({ "type": "string", "format": "date" })
    }
}

impl<W: Word> Leaf for W {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = text_of(value, at, read)?;
        let choice = W::of(text.trim());
        if choice.is_none() {
            let words: Vec<&str> = W::WORDS.iter().map(|(word, _)| *word).collect();
            let message = format!("{} is not a word for `{}`", quoted(text), key.name);
            let hint = did_you_mean(text, words, "words here");
            read.notes.add(Code::ProjectWord, &at.path, Some(at.spot), message, Some(hint));
        }
        choice
    }

    fn schema(_: &Key) -> Json {
        json!({ "enum": W::WORDS.iter().map(|(word, _)| *word).collect::<Vec<_>>() })
    }
}

impl Leaf for Opens {
    fn read(value: &Value, _: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = match value.as_integer() {
            Some(number) => number.to_string(),
            None => text_of(value, at, read)?.trim().to_owned(),
        };
        let opens = Opens::of(&text);
        if opens.is_none() {
            let message = format!("{} does not say what opens", quoted(&text));
            let hint = did_you_mean(&text, Opens::phrases(), "what may open");
            read.notes.add(Code::ProjectWord, &at.path, Some(at.spot), message, Some(hint));
        }
        opens
    }

    fn schema(_: &Key) -> Json {
        json!({ "anyOf": [
            { "enum": Opens::phrases().collect::<Vec<_>>() },
            { "type": "string", "pattern": "^(all but )?[0-9]{1,3}$" },
            { "type": "integer", "minimum": 1, "maximum": 100 },
        ] })
    }
}

/// The text of a quantity. A pure number, share or price may stand bare; what needs a unit may not.
fn quantity_text(value: &Value, kind: Kind, key: &Key, at: &At, read: &mut Reader) -> Option<String> {
    if let Some(text) = value.as_str() {
        return Some(text.to_owned());
    }
    let written = value.span().map(|span| read.lines.slice(span).trim().to_owned()).unwrap_or_default();
    if !matches!(value, Value::Integer(_) | Value::Float(_)) {
        read.wrong(at, sort_of(&Item::Value(value.clone())), &format!("{} in quotes", kind.name()), None);
        return None;
    }
    let symbol = kind.usual_unit().symbol;
    if symbol.is_empty() {
        return Some(written.replace('_', ""));
    }
    let message = format!("{} is a bare number, expected {} with its unit", quoted(&written), kind.name());
    let hint = format!("write it in quotes with its unit: {} = \"{written} {symbol}\"", key.name);
    read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(hint));
    None
}

fn unreadable(error: &QuantityError, at: &At, read: &mut Reader) {
    let message = error.to_string();
    read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(error.hint()));
}

/// Whether a quantity lies within its key's bounds; if not, that is noted.
pub(crate) fn within<Q: Measured>(
    quantity: Quantity<Q>,
    code: Code,
    key: &Key,
    at: &At,
    notes: &mut Notes,
) -> Option<Quantity<Q>> {
    let Some((low, high)) = key.bounds else { return Some(quantity) };
    let bound = |text| Quantity::<Q>::try_read(text).expect("bounds are quantities, a test holds it").si();
    if (bound(low)..=bound(high)).contains(&quantity.si()) {
        return Some(quantity);
    }
    let message = format!("{} is out of range, expected {low} to {high}", quoted(quantity.text()));
    let hint = "check its sign and its unit".to_owned();
    notes.add(code, &at.path, Some(at.spot), message, Some(hint));
    None
}

impl<Q: Measured> Leaf for Quantity<Q> {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = quantity_text(value, Q::KIND, key, at, read)?;
        match Quantity::try_read(&text) {
            Ok(quantity) => within(quantity, Code::ProjectRange, key, at, &mut read.notes),
            Err(error) => {
                unreadable(&error, at, read);
                None
            }
        }
    }

    fn schema(_: &Key) -> Json {
        let units: Vec<&str> = Q::KIND.units().iter().map(|unit| unit.symbol).collect();
        if units[0].is_empty() {
            return json!({ "type": ["string", "number"], "pattern": "[0-9]" });
        }
        let title = format!("{} in {}", Q::KIND.name(), units.join(", "));
        json!({ "type": "string", "title": title, "pattern": quantity_pattern(&[Q::KIND]) })
    }
}

/// What every quantity of these kinds looks like to an editor: a number and a unit, or "a to b"; what follows is for
/// the reader to judge.
fn quantity_pattern(kinds: &[Kind]) -> String {
    let named = |unit: &'static Unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied());
    let mut names: Vec<&str> = kinds.iter().flat_map(|kind| kind.units().iter().flat_map(named)).collect();
    names.sort_by_key(|name| (std::cmp::Reverse(name.len()), *name));
    let literal = |name: &&str| -> String {
        name.chars()
            .flat_map(|c| "^$.|+*?()[]{}\\/".contains(c).then_some('\\').into_iter().chain([c]))
            .collect()
    };
    let names: Vec<String> = names.iter().map(literal).collect();
    format!(r"^\s*[-+]?[0-9.]+([eE][-+]?[0-9]+)?\s*({}|to )", names.join("|"))
}

impl Leaf for Limit {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = quantity_text(value, Kind::Speed, key, at, read)?;
        let rate = match Quantity::<Velocity>::try_read(&text) {
            Ok(rate) => Ok(Limit::Rate(rate)),
            Err(error) => Quantity::<Energy>::try_read(&text).map(Limit::Energy).map_err(|_| error),
        };
        match rate {
            Ok(Limit::Rate(rate)) if rate.si() > 0.0 => Some(Limit::Rate(rate)),
            Ok(Limit::Energy(energy)) if energy.si() > 0.0 => Some(Limit::Energy(energy)),
            Ok(_) => {
                let message = format!("{} is no limit, expected more than zero", quoted(&text));
                read.notes.add(Code::ProjectRange, &at.path, Some(at.spot), message, None);
                None
            }
            Err(error) => {
                let message = format!("{}; a limit is a speed or an energy", error);
                let hint = "for instance \"5.8 m/s\", \"19 ft/s\" or \"150 J\"".to_owned();
                read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(hint));
                None
            }
        }
    }

    fn schema(_: &Key) -> Json {
        let title = "a speed in m/s, ft/s or an energy in J, ft·lbf";
        json!({ "type": "string", "title": title, "pattern": quantity_pattern(&[Kind::Speed, Kind::Energy]) })
    }
}

impl Leaf for Strength {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = quantity_text(value, Kind::Force, key, at, read)?;
        let strength = match Quantity::<Force>::try_read(&text) {
            Ok(force) => Ok((force.si(), Strength::Force(force))),
            Err(error) => Quantity::<ForcePerLength>::try_read(&text)
                .map(|of| (of.si(), Strength::PerLength(of)))
                .map_err(|_| error),
        };
        match strength {
            Ok((si, strength)) if si > 0.0 => Some(strength),
            Ok(_) => {
                let message = format!("{} is no strength, expected more than zero", quoted(&text));
                read.notes.add(Code::ProjectRange, &at.path, Some(at.spot), message, None);
                None
            }
            Err(error) => {
                let message = format!("{error}; a strength is a force, or a force for a width of cloth");
                let hint = "for instance \"2400 N\", \"550 lbf\", \"7.4 kN/m\" or \"42 lbf/in\"".to_owned();
                read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(hint));
                None
            }
        }
    }

    fn schema(_: &Key) -> Json {
        let title = "a force in N, kN, lbf, or for a width of cloth in N/m, kN/m, lbf/in";
        let pattern = quantity_pattern(&[Kind::Force, Kind::ForcePerLength]);
        json!({ "type": "string", "title": title, "pattern": pattern })
    }
}

/// Where a speed over ground may lead to, other than in a direction.
const TOWARDS: [(&str, Towards); 2] = [("into the wind", Towards::IntoTheWind), ("any", Towards::Any)];

impl Leaf for Towards {
    fn read(value: &Value, key: &'static Key, at: &At, read: &mut Reader) -> Option<Self> {
        let text = quantity_text(value, Kind::Angle, key, at, read)?;
        if let Some((_, towards)) = TOWARDS.iter().find(|(word, _)| *word == text.trim()) {
            return Some(towards.clone());
        }
        match Quantity::<Angle>::try_read(&text) {
            Ok(bearing) => {
                within(bearing, Code::ProjectRange, key, at, &mut read.notes).map(Towards::Bearing)
            }
            Err(error) => {
                let message = format!("{error}; a direction is an angle or a word");
                let words = TOWARDS.iter().map(|(word, _)| *word);
                let hint = match near(&text, words) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "for instance \"70 °\", \"into the wind\" or \"any\"".to_owned(),
                };
                read.notes.add(Code::ProjectQuantity, &at.path, Some(at.spot), message, Some(hint));
                None
            }
        }
    }

    fn schema(_: &Key) -> Json {
        json!({ "anyOf": [
            { "enum": TOWARDS.iter().map(|(word, _)| *word).collect::<Vec<_>>() },
            { "type": "string", "title": "an angle in °, rad", "pattern": quantity_pattern(&[Kind::Angle]) },
        ] })
    }
}
