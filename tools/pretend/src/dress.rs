//! Writes columns of time and height or pressure in the many forms that loggers and spreadsheets use.
//!
//! The values are the recording's; only the clothes differ. With [`Digits::Shortest`] nothing is lost but the last
//! bit of a conversion. Times are written from whole nanoseconds.
//!
//! A field that holds the delimiter is quoted, as a spreadsheet would.

mod parts;

use crate::campaign::Channel;
use parts::{DECIMALS, DELIMITERS, ENCODINGS, HEADERS, ORDERS, TIMES, UNITS};
pub use parts::{Decimal, Delimiter, Digits, Encoding, Header, LineEnd, Order, TimeForm, Unit};

/// A form of text file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dress {
    /// What stands between fields.
    pub delimiter: Delimiter,
    /// What stands before a fraction.
    pub decimal: Decimal,
    /// Characters to bytes.
    pub encoding: Encoding,
    /// Unit of the value.
    pub unit: Unit,
    /// Digits of the value.
    pub digits: Digits,
    /// Form of the time.
    pub time: TimeForm,
    /// Digits of its fraction; at most as many as reach a nanosecond.
    pub time_digits: Digits,
    /// Words over the columns.
    pub header: Header,
    /// Order of the columns.
    pub order: Order,
    /// End of a line.
    pub line_end: LineEnd,
    /// Lines at the top, each written behind `# `.
    pub preamble: Vec<String>,
}

impl Dress {
    /// The plainest form: UTF-8, comma, point, seconds, an English header.
    pub fn plain(unit: Unit) -> Self {
        Self {
            delimiter: Delimiter::Comma,
            decimal: Decimal::Point,
            encoding: Encoding::Utf8,
            unit,
            digits: Digits::Shortest,
            time: TimeForm::Seconds,
            time_digits: Digits::Shortest,
            header: Header::English,
            order: Order::TimeFirst,
            line_end: LineEnd::Lf,
            preamble: Vec::new(),
        }
    }

    /// Every delimiter × decimal × encoding × unit × time form × header × order: 4 × 2 × 5 × 9 × 5 × 3 × 2 = 10,800,
    /// with line ends in turn.
    pub fn every() -> impl Iterator<Item = Self> {
        let (delimiters, decimals) = (DELIMITERS.len(), DECIMALS.len());
        let (encodings, units, times) = (ENCODINGS.len(), UNITS.len(), TIMES.len());
        let (headers, orders) = (HEADERS.len(), ORDERS.len());
        (0..delimiters * decimals * encodings * units * times * headers * orders).map(move |number| {
            let mut rest = number;
            let mut digit = |base: usize| {
                let digit = rest % base;
                rest /= base;
                digit
            };
            Self {
                delimiter: DELIMITERS[digit(delimiters)],
                decimal: DECIMALS[digit(decimals)],
                encoding: ENCODINGS[digit(encodings)],
                unit: UNITS[digit(units)],
                digits: Digits::Shortest,
                time: TIMES[digit(times)],
                time_digits: Digits::Shortest,
                header: HEADERS[digit(headers)],
                order: ORDERS[digit(orders)],
                line_end: if (number / 7).is_multiple_of(2) { LineEnd::Lf } else { LineEnd::CrLf },
                preamble: Vec::new(),
            }
        })
    }

    /// Writes a recording; times and values must be equally many, times within 14 hours of the start for ISO 8601.
    pub fn write(&self, time_s: &[f64], value: &[f64], channel: Channel) -> Vec<u8> {
        let mut text = String::with_capacity(24 * time_s.len() + 200);
        let end = match self.line_end {
            LineEnd::Lf => "\n",
            LineEnd::CrLf => "\r\n",
        };
        for line in &self.preamble {
            text.push_str("# ");
            text.push_str(line);
            text.push_str(end);
        }
        let mut row = |first: &str, second: &str| {
            self.field(&mut text, first);
            text.push(self.delimiter.char());
            self.field(&mut text, second);
            text.push_str(end);
        };
        let mut ordered = |time: &str, value: &str| match self.order {
            Order::TimeFirst => row(time, value),
            Order::ValueFirst => row(value, time),
        };
        if let Some((time, value)) = self.words() {
            ordered(&time, &value);
        }
        for (&time_s, &value) in time_s.iter().zip(value) {
            // A height of -0.0 is written without its sign.
            let converted = self.unit.convert(value, channel) + 0.0;
            let number = match self.digits {
                Digits::Shortest => format!("{converted}"),
                Digits::Fixed(count) => format!("{converted:.count$}"),
            };
            ordered(&self.time_text(time_s), &self.decimal.of(number));
        }
        self.encoding.bytes(&text)
    }

    fn field(&self, text: &mut String, field: &str) {
        if field.contains(self.delimiter.char()) {
            text.push('"');
            text.push_str(field);
            text.push('"');
        } else {
            text.push_str(field);
        }
    }

    fn words(&self) -> Option<(String, String)> {
        let (time, height, pressure) = match self.header {
            Header::Missing => return None,
            Header::English => ("time", "height", "pressure"),
            Header::German => ("Zeit", "Höhe", "Luftdruck"),
        };
        let time = match self.time {
            TimeForm::Seconds => format!("{time} (s)"),
            TimeForm::Milliseconds => format!("{time} (ms)"),
            TimeForm::Microseconds => format!("{time} (µs)"),
            TimeForm::HoursMinutesSeconds => time.to_string(),
            TimeForm::Iso8601 => format!("{time} (UTC)"),
        };
        let (symbol, of_pressure) = self.unit.symbol();
        let value = format!("{} ({symbol})", if of_pressure { pressure } else { height });
        // Between spaces, words have none.
        let join = |word: String| match self.delimiter {
            Delimiter::Space => word.replace(' ', ""),
            _ => word,
        };
        Some((join(time), join(value)))
    }

    fn time_text(&self, time_s: f64) -> String {
        let nanoseconds = (time_s * 1e9).round() as i64;
        let sign = if nanoseconds < 0 { "-" } else { "" };
        let (whole, digits) = (nanoseconds.unsigned_abs(), self.time_digits);
        match self.time {
            TimeForm::Seconds => self.decimal.of(format!("{sign}{}", decimals(whole, 9, digits))),
            TimeForm::Milliseconds => self.decimal.of(format!("{sign}{}", decimals(whole, 6, digits))),
            TimeForm::Microseconds => self.decimal.of(format!("{sign}{}", decimals(whole, 3, digits))),
            TimeForm::HoursMinutesSeconds => {
                self.decimal.of(format!("{sign}{}", clock(whole, digits, ClockHours::Short)))
            }
            TimeForm::Iso8601 => {
                let of_day = (8 * 3_600_000_000_000_i64 + nanoseconds).max(0).unsigned_abs();
                format!("2026-05-16T{}Z", clock(of_day, digits, ClockHours::TwoDigits))
            }
        }
    }
}

#[derive(Clone, Copy)]
enum ClockHours {
    Short,
    TwoDigits,
}

/// A whole number of 10^-places as text; digits beyond those wanted are cut off.
fn decimals(number: u64, places: usize, digits: Digits) -> String {
    let base = 10_u64.pow(places as u32);
    let text = format!("{}.{:0places$}", number / base, number % base);
    let kept = match digits {
        Digits::Shortest => text.trim_end_matches('0'),
        Digits::Fixed(count) => &text[..text.len() - places.saturating_sub(count)],
    };
    kept.trim_end_matches('.').to_string()
}

fn clock(nanoseconds: u64, digits: Digits, hours: ClockHours) -> String {
    let minutes = nanoseconds / 60_000_000_000;
    let seconds = decimals(nanoseconds % 60_000_000_000, 9, digits);
    let seconds =
        if seconds.find('.').unwrap_or(seconds.len()) < 2 { format!("0{seconds}") } else { seconds };
    match hours {
        ClockHours::Short => format!("{}:{:02}:{seconds}", minutes / 60, minutes % 60),
        ClockHours::TwoDigits => format!("{:02}:{:02}:{seconds}", minutes / 60, minutes % 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIME_S: [f64; 3] = [0.0, 0.07, 192.35];
    const HEIGHT_M: [f64; 3] = [0.0, -0.1, 12.3];

    fn text(dress: &Dress) -> String {
        String::from_utf8(dress.write(&TIME_S, &HEIGHT_M, Channel::Height)).unwrap()
    }

    #[test]
    fn the_plain_form_reads_as_expected() {
        assert_eq!(text(&Dress::plain(Unit::Metre)), "time (s),height (m)\n0,0\n0.07,-0.1\n192.35,12.3\n");
    }

    #[test]
    fn a_spreadsheet_of_another_country_reads_as_expected() {
        let dress = Dress {
            delimiter: Delimiter::Semicolon,
            decimal: Decimal::Comma,
            digits: Digits::Fixed(1),
            time: TimeForm::HoursMinutesSeconds,
            header: Header::German,
            order: Order::ValueFirst,
            line_end: LineEnd::CrLf,
            preamble: vec!["invented".into()],
            ..Dress::plain(Unit::Centimetre)
        };
        let expected =
            "# invented\r\nHöhe (cm);Zeit\r\n0,0;0:00:00\r\n-10,0;0:00:00,07\r\n1230,0;0:03:12,35\r\n";
        assert_eq!(text(&dress), expected);
    }

    #[test]
    fn times_are_written_in_every_form() {
        let last = |time| {
            let dress = Dress { time, header: Header::Missing, ..Dress::plain(Unit::Metre) };
            text(&dress).lines().last().unwrap().split(',').next().unwrap().to_string()
        };
        let dress = Dress { time_digits: Digits::Fixed(2), ..Dress::plain(Unit::Metre) };
        assert_eq!(text(&dress), "time (s),height (m)\n0.00,0\n0.07,-0.1\n192.35,12.3\n");
        assert_eq!(last(TimeForm::Milliseconds), "192350");
        assert_eq!(last(TimeForm::Microseconds), "192350000");
        assert_eq!(last(TimeForm::HoursMinutesSeconds), "0:03:12.35");
        assert_eq!(last(TimeForm::Iso8601), "2026-05-16T08:03:12.35Z");
    }

    #[test]
    fn nothing_is_minus_zero() {
        for digits in [Digits::Shortest, Digits::Fixed(1)] {
            let dress = Dress { digits, header: Header::Missing, ..Dress::plain(Unit::Foot) };
            assert!(!dress.write(&[0.0], &[-0.0], Channel::Height).contains(&b'-'));
        }
    }

    #[test]
    fn a_comma_between_commas_is_quoted() {
        let dress = Dress { decimal: Decimal::Comma, ..Dress::plain(Unit::Metre) };
        assert!(text(&dress).ends_with("\"192,35\",\"12,3\"\n"));
    }

    #[test]
    fn pressures_come_from_the_standard_atmosphere() {
        // 1013.25 hPa at sea level is 29.9213 inHg and 14.69595 psi (NIST SP 811 factors: 3386.389 Pa, 6894.757 Pa).
        for (unit, sea_level) in [
            (Unit::Hectopascal, 1013.25),
            (Unit::Kilopascal, 101.325),
            (Unit::InchOfMercury, 101_325.0 / 3386.389),
            (Unit::PoundPerSquareInch, 101_325.0 / 6894.757),
        ] {
            assert!((unit.convert(0.0, Channel::Height) / sea_level - 1.0).abs() < 2e-7, "{unit:?}");
        }
        assert!((Unit::Foot.convert(101_325.0 - 1200.0, Channel::Pressure) - 100.15 / 0.3048).abs() < 1.5);
    }

    #[test]
    fn encodings_carry_their_marks() {
        let bytes = |encoding| {
            let dress = Dress { encoding, header: Header::German, ..Dress::plain(Unit::Metre) };
            dress.write(&TIME_S, &HEIGHT_M, Channel::Height)
        };
        assert_eq!(bytes(Encoding::Utf8Marked)[..3], [0xEF, 0xBB, 0xBF]);
        assert_eq!(bytes(Encoding::Utf16Le)[..4], [0xFF, 0xFE, b'Z', 0]);
        assert_eq!(bytes(Encoding::Utf16Be)[..4], [0xFE, 0xFF, 0, b'Z']);
        assert!(bytes(Encoding::Latin1).contains(&0xF6), "ö is one byte");
        assert!(std::str::from_utf8(&bytes(Encoding::Latin1)).is_err());
    }

    #[test]
    fn every_dress_is_another() {
        let all: Vec<Dress> = Dress::every().collect();
        assert_eq!(all.len(), 10_800);
        let worn = |dress: &Dress| Dress { line_end: LineEnd::Lf, ..dress.clone() };
        assert!(all.windows(2).all(|pair| worn(&pair[0]) != worn(&pair[1])));
        assert_eq!(all.iter().filter(|dress| dress.line_end == LineEnd::CrLf).count(), 5_397);
    }
}
