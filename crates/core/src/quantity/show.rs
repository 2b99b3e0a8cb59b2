//! Quantity to text: a unit system, and digits that follow the doubt.

use super::kinds::{Kind, Unit};

/// Which units results are shown in. Files and JSON are SI whatever this says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum System {
    /// Metre, kilogram, second.
    #[default]
    Si,
    /// Foot, pound, second.
    Us,
}

impl System {
    /// The unit of `kind` for a value of this size.
    pub fn unit(self, kind: Kind, si: f64) -> &'static Unit {
        let size = si.abs();
        let name = match (self, kind) {
            (System::Si, Kind::Mass) if size < 0.9995 && size > 0.0 => "g",
            // Pins, ports and gaps; what is a centimetre or more stays in metres beside what is longer.
            (System::Si, Kind::Length) if size < 0.00995 && size > 0.0 => "mm",
            (System::Si, Kind::Volume) => "L",
            (System::Si, Kind::Pressure) => "hPa",
            (System::Si, Kind::OverPressure) if size >= 999.5 => "kPa",
            (System::Si, Kind::Stress) => "MPa",
            (System::Us, Kind::OverPressure) => "psi",
            (System::Us, Kind::Stress) => "ksi",
            (System::Si, Kind::Temperature) => "°C",
            (System::Si, Kind::AreaDensity) => "g/m²",
            (System::Us, Kind::Length) if size < 3.0 => "in",
            (System::Us, Kind::Length) => "ft",
            (System::Us, Kind::Speed) => "ft/s",
            (System::Us, Kind::Mass) if size < 0.4535 && size > 0.0 => "oz",
            (System::Us, Kind::Mass) => "lb",
            (System::Us, Kind::Area | Kind::DragArea) => "ft²",
            (System::Us, Kind::Volume) => "in³",
            (System::Us, Kind::Force) => "lbf",
            (System::Us, Kind::Energy) => "ft·lbf",
            (System::Us, Kind::Pressure) => "inHg",
            (System::Us, Kind::Temperature | Kind::TemperatureDifference) => "°F",
            (System::Us, Kind::Density) => "lb/ft³",
            (System::Us, Kind::Acceleration) => "ft/s²",
            (System::Us, Kind::AreaDensity) => "oz/yd²",
            (System::Us, Kind::ForcePerLength) => "lbf/in",
            (System::Si, Kind::ForcePerLength) if size >= 999.5 => "kN/m",
            (_, Kind::Shock) => "g",
            (_, Kind::Angle) => "°",
            (_, Kind::Share) => "%",
            _ => kind.units()[0].symbol,
        };
        kind.unit(name).expect("every name above stands in the table of its kind")
    }
}

/// How many digits after the point to print so that the doubt has one digit, or two where its first is 1 or 2.
/// `doubt` is in the unit printed. Without a doubt (0) the value gets four significant digits.
pub fn digits(value: f64, doubt: f64) -> usize {
    wanted_digits(value, doubt).clamp(0, 6) as usize
}

/// As [`digits`], below 0 where not even the units are known: -1 rounds to tens.
fn wanted_digits(value: f64, doubt: f64) -> i32 {
    let place = |x: f64| libm::floor(libm::log10(x)) as i32;
    if doubt > 0.0 {
        let exponent = place(doubt);
        let lead = doubt / libm::pow(10.0, f64::from(exponent));
        if lead < 2.95 { 1 - exponent } else { -exponent }
    } else if value.abs() > 0.0 {
        3 - place(value.abs())
    } else {
        0
    }
}

/// A value whose doubt reaches the tens or beyond, rounded there: 824 with a doubt of 31 is 820.
fn rounded(value: f64, doubt: f64) -> f64 {
    let wanted = wanted_digits(value, doubt);
    if doubt > 0.0 && wanted < 0 {
        let step = libm::pow(10.0, f64::from(-wanted));
        libm::round(value / step) * step
    } else {
        value
    }
}

fn with_unit(number: String, unit: &Unit) -> String {
    match unit.symbol {
        "" => number,
        "°" => number + "°",
        symbol => format!("{number} {symbol}"),
    }
}

/// A minus sign that is none is dropped: "-0.0" is "0.0".
fn fixed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    if text.starts_with('-') && !text.contains(|c: char| ('1'..='9').contains(&c)) {
        text[1..].to_owned()
    } else {
        text
    }
}

/// `si` with its unit, rounded by `doubt_si` (0: four significant digits).
///
/// # Examples
/// ```
/// use silkfall_core::quantity::{show, Kind, System};
/// assert_eq!(show(3.2468, 0.08, Kind::Speed, System::Si), "3.25 m/s");
/// assert_eq!(show(0.14, 0.0, Kind::Mass, System::Si), "140 g");
/// ```
pub fn show(si: f64, doubt_si: f64, kind: Kind, system: System) -> String {
    let unit = system.unit(kind, si);
    with_unit(number_in(si, doubt_si, unit), unit)
}

/// `si` as a bare number of that unit, rounded like [`show`]: for columns that state their unit once.
pub fn number_in(si: f64, doubt_si: f64, unit: &Unit) -> String {
    let value = unit.from_si(si);
    let doubt = doubt_si / unit.factor;
    let mut number = fixed(rounded(value, doubt), digits(value, doubt));
    if doubt_si == 0.0 && number.contains('.') {
        number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
    }
    number
}

/// "2.99 to 3.51 m/s": digits follow the half-width, one unit for both ends.
pub fn show_interval(low_si: f64, high_si: f64, kind: Kind, system: System) -> String {
    let unit = system.unit(kind, high_si);
    with_unit(interval_in(low_si, high_si, unit), unit)
}

/// "2.99 to 3.51" in that unit, rounded like [`show_interval`].
pub fn interval_in(low_si: f64, high_si: f64, unit: &Unit) -> String {
    let (low, high) = (unit.from_si(low_si), unit.from_si(high_si));
    let half = (high - low) / 2.0;
    let digits = digits(high, half);
    format!("{} to {}", fixed(rounded(low, half), digits), fixed(rounded(high, half), digits))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_doubt() {
        assert_eq!(show_interval(2.991, 3.512, Kind::Speed, System::Si), "2.99 to 3.51 m/s");
        assert_eq!(show_interval(4.31, 5.12, Kind::Speed, System::Si), "4.3 to 5.1 m/s");
        assert_eq!(show_interval(0.881, 0.994, Kind::Share, System::Si), "88 to 99 %");
        assert_eq!(show(824.4, 31.0, Kind::Energy, System::Si), "820 J");
        assert_eq!(show(12_345.0, 130.0, Kind::Ratio, System::Si), "12350");
        assert_eq!(show_interval(1_231.0, 1_877.0, Kind::Energy, System::Si), "1200 to 1900 J");
        assert_eq!(show(820.4, 31.0, Kind::Energy, System::Si), "820 J");
        assert_eq!(show(-0.0001, 0.1, Kind::Speed, System::Si), "0.00 m/s");
    }

    #[test]
    fn each_system_has_its_units() {
        assert_eq!(show(4.8768, 0.0, Kind::Speed, System::Us), "16 ft/s");
        assert_eq!(show(1.72, 0.0, Kind::Length, System::Us), "67.72 in");
        assert_eq!(show(291.15, 0.0, Kind::Temperature, System::Si), "18 °C");
        assert_eq!(show(5.8967008, 0.0, Kind::Mass, System::Us), "13 lb");
    }
}
