//! The parts of a [`super::Dress`]: delimiters, decimal signs, encodings, units, time forms, headers.
//!
//! Unit factors: foot 0.3048 m (exact); inch of mercury 13 595.1 kg/m³ × 9.80665 m/s² × 25.4 mm; pound-force per
//! square inch 0.45359237 kg × 9.80665 m/s² / (25.4 mm)² (definitions; NIST SP 811 prints them to seven digits). Heights
//! become pressures, and pressures heights, through the standard atmosphere with height 0 at sea level.

use crate::air;
use crate::campaign::Channel;

/// What stands between fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tabulator.
    Tab,
    /// One space.
    Space,
}

/// What stands before the fraction of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `.`
    Point,
    /// `,`
    Comma,
}

/// How characters become bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8 without a mark.
    Utf8,
    /// UTF-8 with a byte order mark.
    Utf8Marked,
    /// UTF-16, little end first, with a mark.
    Utf16Le,
    /// UTF-16, big end first, with a mark.
    Utf16Be,
    /// ISO 8859-1.
    Latin1,
}

/// Units of the second column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Unit {
    Metre,
    Foot,
    Centimetre,
    Pascal,
    Hectopascal,
    Kilopascal,
    Millibar,
    InchOfMercury,
    PoundPerSquareInch,
}

/// How many digits a value gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digits {
    /// As few as give the same number back.
    Shortest,
    /// So many after the decimal sign.
    Fixed(usize),
}

/// How a time is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeForm {
    /// Seconds from the start.
    Seconds,
    /// Milliseconds from the start.
    Milliseconds,
    /// Microseconds from the start.
    Microseconds,
    /// `0:03:12.35` from the start.
    HoursMinutesSeconds,
    /// `2026-05-16T08:03:12.35Z`, always with a point.
    Iso8601,
}

/// The words over the columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Header {
    /// None.
    Missing,
    /// English, units in brackets.
    English,
    /// German, with letters beyond ASCII.
    German,
}

/// Which column comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Time, then value.
    TimeFirst,
    /// Value, then time.
    ValueFirst,
}

/// What ends a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineEnd {
    /// Line feed.
    Lf,
    /// Carriage return and line feed.
    CrLf,
}

pub(super) const DELIMITERS: [Delimiter; 4] =
    [Delimiter::Comma, Delimiter::Semicolon, Delimiter::Tab, Delimiter::Space];
pub(super) const DECIMALS: [Decimal; 2] = [Decimal::Point, Decimal::Comma];
pub(super) const ENCODINGS: [Encoding; 5] =
    [Encoding::Utf8, Encoding::Utf8Marked, Encoding::Utf16Le, Encoding::Utf16Be, Encoding::Latin1];
pub(super) const UNITS: [Unit; 9] = [
    Unit::Metre,
    Unit::Foot,
    Unit::Centimetre,
    Unit::Pascal,
    Unit::Hectopascal,
    Unit::Kilopascal,
    Unit::Millibar,
    Unit::InchOfMercury,
    Unit::PoundPerSquareInch,
];
pub(super) const TIMES: [TimeForm; 5] = [
    TimeForm::Seconds,
    TimeForm::Milliseconds,
    TimeForm::Microseconds,
    TimeForm::HoursMinutesSeconds,
    TimeForm::Iso8601,
];
pub(super) const HEADERS: [Header; 3] = [Header::Missing, Header::English, Header::German];
pub(super) const ORDERS: [Order; 2] = [Order::TimeFirst, Order::ValueFirst];

impl Delimiter {
    pub(super) fn char(self) -> char {
        match self {
            Self::Comma => ',',
            Self::Semicolon => ';',
            Self::Tab => '\t',
            Self::Space => ' ',
        }
    }
}

impl Decimal {
    pub(super) fn of(self, number: String) -> String {
        match self {
            Self::Point => number,
            Self::Comma => number.replace('.', ","),
        }
    }
}

impl Unit {
    /// Symbol, and whether it is one of pressure.
    pub(super) fn symbol(self) -> (&'static str, bool) {
        match self {
            Self::Metre => ("m", false),
            Self::Foot => ("ft", false),
            Self::Centimetre => ("cm", false),
            Self::Pascal => ("Pa", true),
            Self::Hectopascal => ("hPa", true),
            Self::Kilopascal => ("kPa", true),
            Self::Millibar => ("mbar", true),
            Self::InchOfMercury => ("inHg", true),
            Self::PoundPerSquareInch => ("psi", true),
        }
    }

    fn in_si(self) -> f64 {
        match self {
            Self::Metre | Self::Pascal => 1.0,
            Self::Foot => 0.3048,
            Self::Centimetre => 0.01,
            Self::Hectopascal | Self::Millibar => 100.0,
            Self::Kilopascal => 1000.0,
            Self::InchOfMercury => 13_595.1 * 9.806_65 * 0.0254,
            Self::PoundPerSquareInch => 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254),
        }
    }

    pub(super) fn convert(self, value: f64, channel: Channel) -> f64 {
        let si = match (channel, self.symbol().1) {
            (Channel::Height, false) | (Channel::Pressure, true) => value,
            (Channel::Height, true) => air::standard_pressure_pa(value),
            (Channel::Pressure, false) => air::standard_height_m(value),
        };
        // A hundredth is no binary number, a hundred is.
        if self == Self::Centimetre { si * 100.0 } else { si / self.in_si() }
    }
}

impl Encoding {
    pub(super) fn bytes(self, text: &str) -> Vec<u8> {
        match self {
            Self::Utf8 => text.as_bytes().to_vec(),
            Self::Utf8Marked => [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat(),
            Self::Utf16Le => {
                "\u{FEFF}".encode_utf16().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
            }
            Self::Utf16Be => {
                "\u{FEFF}".encode_utf16().chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect()
            }
            Self::Latin1 => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect(),
        }
    }
}
