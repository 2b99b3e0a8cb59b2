//! Kinds of quantity and the units each may be given in.

use std::sync::LazyLock;

/// What a number measures: picks the units it may be given in and is shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Lengths and heights; SI metre.
    Length,
    /// Speeds; SI metre a second.
    Speed,
    /// Masses; SI kilogram.
    Mass,
    /// Areas of cloth; SI square metre.
    Area,
    /// Drag areas, force over dynamic pressure; SI square metre.
    DragArea,
    /// Volumes; SI cubic metre.
    Volume,
    /// Times and durations; SI second.
    Time,
    /// Forces; SI newton.
    Force,
    /// Energies; SI joule.
    Energy,
    /// Absolute pressures; SI pascal.
    Pressure,
    /// Pressures over the one outside; SI pascal.
    OverPressure,
    /// Strengths of materials, force over the area that breaks; SI pascal.
    Stress,
    /// Temperatures on a scale with a zero; SI kelvin.
    Temperature,
    /// Differences of temperature; SI kelvin.
    TemperatureDifference,
    /// Densities; SI kilogram a cubic metre.
    Density,
    /// Accelerations; SI metre a second squared.
    Acceleration,
    /// Angles; SI radian.
    Angle,
    /// Pure numbers: coefficients, factors, exponents.
    Ratio,
    /// Shares and relative doubts, shown in percent.
    Share,
    /// Mass of cloth for its area; SI kilogram a square metre.
    AreaDensity,
    /// Strength of cloth and webbing for their width; SI newton a metre.
    ForcePerLength,
    /// What a thing feels when it is pulled or struck, in standard gravities; SI metre a second squared.
    Shock,
    /// Money in the currency of the offers; never converted.
    Money,
}

/// One way to write a kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// As printed.
    pub symbol: &'static str,
    /// As also accepted.
    pub also: &'static [&'static str],
    /// SI value of a difference of one.
    pub factor: f64,
    /// SI value of its zero: not 0 for temperatures only.
    pub zero: f64,
}

impl Unit {
    /// The SI value of `number` of this unit.
    pub fn to_si(&self, number: f64) -> f64 {
        // 95 % is 0.95 and not 0.950 000 000 000 000 1: where a whole number of it makes one, divide by that.
        let in_one = libm::round(1.0 / self.factor);
        let scaled = if (1.0 / in_one - self.factor).abs() < f64::EPSILON * self.factor {
            number / in_one
        } else {
            number * self.factor
        };
        scaled + self.zero
    }

    /// How many of this unit an SI value is.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.zero) / self.factor
    }

    fn is_called(&self, name: &str) -> bool {
        self.symbol == name || self.also.contains(&name)
    }
}

/// Exact by definition, in SI (NIST SP 811 (2008), appendix B.8, bold there). uom has the same to seven digits
/// only for pound, ounce and what is made of them, which is why the factors stand here; the tests hold them to both.
mod exact {
    pub const FOOT: f64 = 0.3048;
    pub const INCH: f64 = 0.0254;
    pub const YARD: f64 = 0.9144;
    pub const MILE: f64 = 1609.344;
    pub const POUND: f64 = 0.453_592_37;
    pub const OUNCE: f64 = POUND / 16.0;
    pub const STANDARD_GRAVITY: f64 = 9.806_65;
    pub const POUND_FORCE: f64 = POUND * STANDARD_GRAVITY;
    /// Conventional inch and millimetre of mercury: 13 595.1 kg/m³ under standard gravity.
    pub const MILLIMETRE_OF_MERCURY: f64 = 13.5951 * STANDARD_GRAVITY;
    pub const INCH_OF_MERCURY: f64 = 25.4 * MILLIMETRE_OF_MERCURY;
    pub const ZERO_CELSIUS: f64 = 273.15;
    pub const ZERO_FAHRENHEIT: f64 = 459.67 * 5.0 / 9.0;
}

fn unit(factor: f64, symbol: &'static str, also: &'static [&'static str]) -> Unit {
    Unit { symbol, also, factor, zero: 0.0 }
}

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 23] = [
        Kind::Length,
        Kind::Speed,
        Kind::Mass,
        Kind::Area,
        Kind::DragArea,
        Kind::Volume,
        Kind::Time,
        Kind::Force,
        Kind::Energy,
        Kind::Pressure,
        Kind::OverPressure,
        Kind::Stress,
        Kind::Temperature,
        Kind::TemperatureDifference,
        Kind::Density,
        Kind::Acceleration,
        Kind::Angle,
        Kind::Ratio,
        Kind::Share,
        Kind::AreaDensity,
        Kind::ForcePerLength,
        Kind::Shock,
        Kind::Money,
    ];

    /// The units it may be given in; the first is the SI unit.
    pub fn units(self) -> &'static [Unit] {
        static TABLE: LazyLock<Vec<Vec<Unit>>> =
            LazyLock::new(|| Kind::ALL.iter().map(|kind| kind.table()).collect());
        &TABLE[self as usize]
    }

    /// The unit to propose where none was written: the SI unit, but degrees for angles, megapascals for strengths and standard
    /// gravities for shocks.
    pub fn usual_unit(self) -> &'static Unit {
        &self.units()[usize::from(matches!(self, Kind::Angle | Kind::Stress | Kind::Shock))]
    }

    /// The unit of that name, exactly as written in its table.
    pub fn unit(self, name: &str) -> Option<&'static Unit> {
        self.units().iter().find(|unit| unit.is_called(name))
    }

    /// What it is called in messages: "a length".
    pub fn name(self) -> &'static str {
        match self {
            Kind::Length => "a length",
            Kind::Speed => "a speed",
            Kind::Mass => "a mass",
            Kind::Area => "an area",
            Kind::DragArea => "a drag area",
            Kind::Volume => "a volume",
            Kind::Time => "a time",
            Kind::Force => "a force",
            Kind::Energy => "an energy",
            Kind::Pressure => "a pressure",
            Kind::OverPressure => "a pressure over the one outside",
            Kind::Stress => "a material's strength",
            Kind::Temperature => "a temperature",
            Kind::TemperatureDifference => "a temperature difference",
            Kind::Density => "a density",
            Kind::Acceleration => "an acceleration",
            Kind::Angle => "an angle",
            Kind::Ratio => "a pure number",
            Kind::Share => "a share",
            Kind::AreaDensity => "a mass for an area of cloth",
            Kind::ForcePerLength => "a force for a width",
            Kind::Shock => "a shock",
            Kind::Money => "a price",
        }
    }

    fn table(self) -> Vec<Unit> {
        use exact::*;
        match self {
            Kind::Length => vec![
                unit(1.0, "m", &["metre", "metres", "meter", "meters"]),
                unit(0.01, "cm", &[]),
                unit(0.001, "mm", &[]),
                unit(1000.0, "km", &[]),
                unit(FOOT, "ft", &["feet", "foot", "'"]),
                unit(INCH, "in", &["inch", "inches", "\""]),
                unit(YARD, "yd", &["yard", "yards"]),
                unit(MILE, "mi", &["mile", "miles"]),
            ],
            Kind::Speed => vec![
                unit(1.0, "m/s", &["mps", "m s-1"]),
                unit(FOOT, "ft/s", &["fps", "ft/sec"]),
                unit(1.0 / 3.6, "km/h", &["kph", "kmh"]),
                unit(MILE / 3600.0, "mph", &["mi/h"]),
                unit(1852.0 / 3600.0, "kt", &["kn", "kts", "knot", "knots"]),
                unit(FOOT / 60.0, "ft/min", &["fpm"]),
            ],
            Kind::Mass => vec![
                unit(1.0, "kg", &[]),
                unit(0.001, "g", &["gram", "grams"]),
                unit(POUND, "lb", &["lbs", "lbm", "pound", "pounds"]),
                unit(OUNCE, "oz", &["ounce", "ounces"]),
            ],
            Kind::Area | Kind::DragArea => vec![
                unit(1.0, "m²", &["m2", "m^2", "sq m"]),
                unit(1e-4, "cm²", &["cm2", "cm^2"]),
                unit(FOOT * FOOT, "ft²", &["ft2", "ft^2", "sq ft"]),
                unit(INCH * INCH, "in²", &["in2", "in^2", "sq in"]),
            ],
            Kind::Volume => vec![
                unit(1.0, "m³", &["m3", "m^3"]),
                unit(0.001, "L", &["l", "litre", "litres", "liter", "liters"]),
                unit(1e-6, "mL", &["ml", "cm³", "cm3", "cc"]),
                unit(INCH * INCH * INCH, "in³", &["in3", "in^3", "cu in"]),
                unit(FOOT * FOOT * FOOT, "ft³", &["ft3", "ft^3", "cu ft"]),
            ],
            Kind::Time => vec![
                unit(1.0, "s", &["sec", "second", "seconds"]),
                unit(0.001, "ms", &[]),
                unit(1e-6, "µs", &["us", "μs"]),
                unit(60.0, "min", &["minute", "minutes"]),
                unit(3600.0, "h", &["hour", "hours"]),
            ],
            Kind::Force => vec![
                unit(1.0, "N", &["newton", "newtons"]),
                unit(1000.0, "kN", &[]),
                unit(POUND_FORCE, "lbf", &[]),
                unit(STANDARD_GRAVITY, "kgf", &[]),
            ],
            Kind::Energy => vec![
                unit(1.0, "J", &["joule", "joules"]),
                unit(FOOT * POUND_FORCE, "ft·lbf", &["ft-lbf", "ft lbf", "ft-lb", "ft·lb", "ftlbf"]),
            ],
            Kind::Pressure => vec![
                unit(1.0, "Pa", &[]),
                unit(100.0, "hPa", &[]),
                unit(100.0, "mbar", &["mb"]),
                unit(1000.0, "kPa", &[]),
                unit(INCH_OF_MERCURY, "inHg", &["in Hg"]),
                unit(MILLIMETRE_OF_MERCURY, "mmHg", &["mm Hg"]),
                unit(POUND_FORCE / (INCH * INCH), "psi", &[]),
            ],
            Kind::OverPressure => vec![
                unit(1.0, "Pa", &[]),
                unit(100.0, "hPa", &[]),
                unit(100.0, "mbar", &["mb"]),
                unit(1000.0, "kPa", &[]),
                unit(1e5, "bar", &[]),
                unit(POUND_FORCE / (INCH * INCH), "psi", &[]),
            ],
            Kind::Stress => vec![
                unit(1.0, "Pa", &[]),
                unit(1e6, "MPa", &["N/mm²", "N/mm2", "N/mm^2"]),
                unit(POUND_FORCE / (INCH * INCH), "psi", &[]),
                unit(1000.0 * POUND_FORCE / (INCH * INCH), "ksi", &[]),
            ],
            Kind::Temperature => vec![
                unit(1.0, "K", &[]),
                Unit { zero: ZERO_CELSIUS, ..unit(1.0, "°C", &["C", "degC", "deg C"]) },
                Unit { zero: ZERO_FAHRENHEIT, ..unit(5.0 / 9.0, "°F", &["F", "degF", "deg F"]) },
            ],
            Kind::TemperatureDifference => vec![
                unit(1.0, "K", &[]),
                unit(1.0, "°C", &["C", "degC", "deg C"]),
                unit(5.0 / 9.0, "°F", &["F", "degF", "deg F"]),
            ],
            Kind::Density => vec![
                unit(1.0, "kg/m³", &["kg/m3", "kg/m^3"]),
                unit(POUND / (FOOT * FOOT * FOOT), "lb/ft³", &["lb/ft3", "lb/ft^3"]),
            ],
            Kind::Acceleration => {
                vec![unit(1.0, "m/s²", &["m/s2", "m/s^2"]), unit(FOOT, "ft/s²", &["ft/s2", "ft/s^2"])]
            }
            Kind::Angle => vec![
                unit(1.0, "rad", &[]),
                unit(std::f64::consts::PI / 180.0, "°", &["deg", "degree", "degrees"]),
            ],
            Kind::Ratio => vec![unit(1.0, "", &[]), unit(0.01, "%", &["percent"])],
            Kind::Share => vec![unit(1.0, "", &[]), unit(0.01, "%", &["percent"])],
            Kind::AreaDensity => vec![
                unit(1.0, "kg/m²", &["kg/m2", "kg/m^2"]),
                unit(0.001, "g/m²", &["g/m2", "g/m^2", "gsm"]),
                unit(OUNCE / (YARD * YARD), "oz/yd²", &["oz/yd2", "oz/yd^2"]),
            ],
            Kind::ForcePerLength => vec![
                unit(1.0, "N/m", &[]),
                unit(1000.0, "kN/m", &["N/mm"]),
                unit(100.0, "N/cm", &[]),
                // What a strip of cloth of the usual width breaks at.
                unit(20.0, "N/50 mm", &["N/5 cm", "N/50mm", "N/5cm"]),
                unit(POUND_FORCE / INCH, "lbf/in", &["lb/in"]),
            ],
            Kind::Shock => vec![unit(1.0, "m/s²", &["m/s2", "m/s^2"]), unit(STANDARD_GRAVITY, "g", &["G"])],
            Kind::Money => vec![unit(1.0, "", &[])],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors as printed in NIST SP 811 (2008), appendix B.8 (exact ones in bold there), typed in by hand.
    #[test]
    fn factors_are_those_of_nist_sp_811() {
        for (kind, name, printed, half_digit) in [
            (Kind::Length, "ft", 3.048e-1, 0.0),
            (Kind::Length, "in", 2.54e-2, 0.0),
            (Kind::Length, "yd", 9.144e-1, 0.0),
            (Kind::Length, "mi", 1.609344e3, 0.0),
            (Kind::Speed, "ft/s", 3.048e-1, 0.0),
            (Kind::Speed, "mph", 4.4704e-1, 0.0),
            (Kind::Speed, "kt", 5.144444e-1, 5e-8),
            (Kind::Speed, "km/h", 2.777778e-1, 5e-8),
            (Kind::Speed, "ft/min", 5.08e-3, 0.0),
            (Kind::Mass, "lb", 4.535924e-1, 5e-8),
            (Kind::Mass, "oz", 2.834952e-2, 5e-9),
            (Kind::Area, "ft²", 9.290304e-2, 0.0),
            (Kind::Area, "in²", 6.4516e-4, 0.0),
            (Kind::Volume, "ft³", 2.831685e-2, 5e-9),
            (Kind::Volume, "in³", 1.638706e-5, 5e-12),
            (Kind::Force, "lbf", 4.448222, 5e-7),
            (Kind::Force, "kgf", 9.80665, 0.0),
            (Kind::Energy, "ft·lbf", 1.355818, 5e-7),
            (Kind::Pressure, "inHg", 3.386389e3, 5e-4),
            (Kind::Pressure, "mmHg", 1.333224e2, 5e-5),
            (Kind::Pressure, "psi", 6.894757e3, 5e-4),
            (Kind::OverPressure, "psi", 6.894757e3, 5e-4),
            (Kind::OverPressure, "bar", 1e5, 0.0),
            (Kind::Stress, "ksi", 6.894757e6, 0.5),
            (Kind::Density, "lb/ft³", 1.601846e1, 5e-6),
            (Kind::AreaDensity, "oz/yd²", 3.390575e-2, 5e-9),
            (Kind::ForcePerLength, "lbf/in", 1.751268e2, 5e-5),
            (Kind::Shock, "g", 9.80665, 0.0),
        ] {
            let factor = kind.unit(name).unwrap().factor;
            let exact = printed * 4.0 * f64::EPSILON;
            assert!((factor - printed).abs() <= half_digit + exact, "{name}: {factor} against {printed}");
        }
    }

    /// Independent leg: uom 0.38, whose factors are rounded to seven digits.
    #[test]
    fn factors_are_those_of_uom_to_its_seven_digits() {
        use uom::Conversion;
        fn factor<U: Conversion<f64, T = f64>>(_: U) -> f64 {
            U::coefficient()
        }
        use uom::si;
        for (kind, name, theirs) in [
            (Kind::Length, "ft", factor(si::length::foot)),
            (Kind::Speed, "kt", factor(si::velocity::knot)),
            (Kind::Mass, "lb", factor(si::mass::pound)),
            (Kind::Mass, "oz", factor(si::mass::ounce)),
            (Kind::Volume, "in³", factor(si::volume::cubic_inch)),
            (Kind::Force, "lbf", factor(si::force::pound_force)),
            (Kind::Energy, "ft·lbf", factor(si::energy::foot_pound)),
            (Kind::Pressure, "psi", factor(si::pressure::pound_force_per_square_inch)),
            (Kind::Pressure, "inHg", factor(si::pressure::inch_of_mercury)),
            (Kind::Density, "lb/ft³", factor(si::mass_density::pound_per_cubic_foot)),
            (Kind::Temperature, "°F", factor(si::thermodynamic_temperature::degree_fahrenheit)),
        ] {
            let ours = kind.unit(name).unwrap().factor;
            assert!((ours / theirs - 1.0).abs() < 2.5e-7, "{name}: {ours} against {theirs}");
        }
    }

    #[test]
    fn decimals_stay_what_they_were() {
        assert_eq!(Kind::Share.unit("%").unwrap().to_si(95.0).to_bits(), 0.95_f64.to_bits());
        assert_eq!(Kind::Mass.unit("g").unwrap().to_si(46.0).to_bits(), 0.046_f64.to_bits());
        assert_eq!(Kind::Length.unit("m").unwrap().to_si(1.84).to_bits(), 1.84_f64.to_bits());
    }

    #[test]
    fn angles_are_proposed_in_degrees_all_else_in_si() {
        assert_eq!(Kind::Angle.usual_unit().symbol, "°");
        assert_eq!(Kind::Speed.usual_unit().symbol, "m/s");
    }

    #[test]
    fn temperatures_have_their_zeros() {
        let fahrenheit = Kind::Temperature.unit("°F").unwrap();
        assert!((fahrenheit.to_si(32.0) - 273.15).abs() < 1e-12);
        assert!((fahrenheit.from_si(373.15) - 212.0).abs() < 1e-10);
        assert!((Kind::TemperatureDifference.unit("°F").unwrap().to_si(9.0) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn no_name_means_two_units_of_a_kind() {
        for kind in Kind::ALL {
            let mut names: Vec<&str> = kind
                .units()
                .iter()
                .flat_map(|u| std::iter::once(u.symbol).chain(u.also.iter().copied()))
                .collect();
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count, "{kind:?}");
            assert!((kind.units()[0].factor - 1.0).abs() < 1e-15, "{kind:?} starts with its SI unit");
        }
    }
}
