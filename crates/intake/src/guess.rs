//! Units that nobody stated: inferred where only one is plausible, else guessed with a warning; both say how to
//! state it.
//!
//! Plausible are 0.5 to 4,000 samples a second, and pressures whose highest value, near the recording's ground, is
//! between that of the Dead Sea (107 kPa) and of 4 km (62 kPa). Metres are told from feet only by a pressure beside them.

use crate::columns::Table;
use crate::look::Look;
use crate::notes::Notes;
use crate::units::{Means, Unit};
use silkfall_core::finding::Code;

/// A number to four significant digits, for a message.
fn four_digits(x: f64) -> f64 {
    format!("{x:.3e}").parse().unwrap_or(x)
}

/// The unit of numeric times from the usual step: 0.5 to 4,000 rows a second are plausible.
pub(crate) fn time_unit(table: &Table<'_>, at: usize, notes: &mut Notes) -> Unit {
    let look = &table.looks[at];
    let plausible = |unit: Unit| {
        (1.0 / 4000.0..=2.0).contains(&unit.quantity().to_si(look.step))
            && (unit == Unit::Second || look.whole)
    };
    let fits: Vec<Unit> =
        [Unit::Second, Unit::Millisecond, Unit::Microsecond].into_iter().filter(|u| plausible(*u)).collect();
    let rate = |unit: Unit| 1.0 / unit.quantity().to_si(look.step);
    match fits.as_slice() {
        &[unit] => {
            notes.say(
                Code::LogUnitInferred,
                None,
                at as u64 + 1,
                format!(
                    "{} states no unit; {} inferred, as its step of {} is {} samples a second",
                    table.title(at),
                    unit.name(),
                    four_digits(look.step),
                    four_digits(rate(unit))
                ),
                Some(format!("if it is another, --time {}:UNIT with s, ms, us or min", at + 1)),
            );
            unit
        }
        fits => {
            let span = (look.most - look.least).abs();
            // A step of 1 or 2 may be seconds or milliseconds; nobody records drops for two days at 1 Hz.
            let unit = match fits.first() {
                Some(&unit) if unit.quantity().to_si(span) > 172_800.0 => fits[1],
                Some(&unit) => unit,
                None => Unit::Second,
            };
            notes.say(
                Code::LogUnitGuessed,
                None,
                at as u64 + 1,
                format!(
                    "{} states no unit and its step of {} fits none alone; {} assumed",
                    table.title(at),
                    four_digits(look.step),
                    unit.name()
                ),
                Some(format!(
                    "state it: --time {}:s, --time {0}:ms or --time {0}:us; every rate goes with 1 / time",
                    at + 1
                )),
            );
            unit
        }
    }
}

/// Pascals or hectopascals near the ground, and more at the start than in the middle: a recording mostly begins on
/// the ground, where pressure is highest and height lowest.
pub(crate) fn looks_like_pressure(look: &Look) -> bool {
    let within = |low: f64, high: f64| look.least >= 0.3 * low && (low..=high).contains(&look.most);
    (within(600.0, 1100.0) || within(60_000.0, 110_000.0)) && look.first > 0.5 * (look.least + look.most)
}

/// The unit of pressures whose highest is `most`, and whether it is the only plausible one.
fn plausible_pressure(most: f64) -> (Unit, bool) {
    match most {
        m if (30_000.0..=110_000.0).contains(&m) => (Unit::Pascal, true),
        m if (830.0..=1_100.0).contains(&m) => (Unit::Hectopascal, true),
        m if (450.0..830.0).contains(&m) => (Unit::Hectopascal, false),
        m if (34.0..=110.0).contains(&m) => (Unit::Kilopascal, true),
        m if (17.0..34.0).contains(&m) => (Unit::InchOfMercury, true),
        m if (8.0..17.0).contains(&m) => (Unit::Psi, true),
        _ => (Unit::Hectopascal, false),
    }
}

pub(crate) fn pressure_unit(table: &Table<'_>, at: usize, notes: &mut Notes) -> Unit {
    let most = table.looks[at].most;
    let (unit, sure) = plausible_pressure(most);
    let (code, how) = if sure {
        (Code::LogUnitInferred, "inferred, since its highest value is")
    } else {
        (Code::LogUnitGuessed, "assumed, since its highest value is")
    };
    notes.say(
        code,
        None,
        at as u64 + 1,
        format!("{} states no unit; {} {how} {most}", table.title(at), unit.name()),
        Some(format!(
            "if it is another, --pressure {}:UNIT with Pa, hPa, kPa, mbar, inHg, mmHg or psi",
            at + 1
        )),
    );
    unit
}

/// Metres or feet, if a pressure beside the heights tells: pressure falls by p g / (R T) for a metre, p × 1.19e-4 at
/// 288 K (hydrostatic equation, dry air), and by 0.3048 of that for a foot. A quarter is left for weather and rounding.
fn unit_by_pressure(table: &Table<'_>, at: usize) -> Option<(Unit, usize)> {
    let height = table.looks[at].most - table.looks[at].least;
    (0..table.looks.len()).filter(|p| *p != at && table.said[*p].means == Some(Means::Pressure)).find_map(
        |p| {
            let look = &table.looks[p];
            let stated = table.said[p].unit.filter(|u| u.means() == Means::Pressure);
            let plausible =
                Some(plausible_pressure(look.most)).filter(|(_, sure)| *sure).map(|(unit, _)| unit);
            let pascals = stated.or(plausible)?.quantity().factor;
            let metres = (look.most - look.least) / (0.5 * (look.most + look.least) * 1.19e-4);
            let fits = |unit: Unit| (0.75..1.33).contains(&(height * unit.quantity().factor / metres));
            let believed = look.least * pascals > 10_000.0 && look.most > look.least;
            [Unit::Metre, Unit::Foot].into_iter().find(|unit| believed && fits(*unit)).map(|unit| (unit, p))
        },
    )
}

pub(crate) fn height_unit(table: &Table<'_>, at: usize, notes: &mut Notes) -> Unit {
    if let Some((unit, p)) = unit_by_pressure(table, at) {
        notes.say(
            Code::LogUnitInferred,
            None,
            at as u64 + 1,
            format!(
                "{} states no unit; {} inferred, as {} changes with it so",
                table.title(at),
                unit.name(),
                table.title(p)
            ),
            Some(format!("if it is another, --height {}:UNIT with m, ft, cm, mm or km", at + 1)),
        );
        return unit;
    }
    notes.say(
        Code::LogUnitGuessed,
        None,
        at as u64 + 1,
        format!("{} states no unit; metres assumed", table.title(at)),
        Some(format!("if it is feet, --height {}:ft makes every rate 0.3048 of this; if metres, --height {0}:m says so; if a pressure, --pressure {0}:kPa or its unit", at + 1)),
    );
    Unit::Metre
}
