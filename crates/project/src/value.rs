//! What a project can say of one thing: a value with its place, "not known yet", or nothing.
//!
//! Quantities are typed by what they measure: `Quantity<Mass>` is read with the units of masses and gives a
//! [`Mass`] back. "±" is a standard uncertainty, "within" a tolerance; which one was said is kept. Nothing is
//! converted, defaulted or guessed here.

use std::marker::PhantomData;

use silkfall_core::quantity::{
    Acceleration, Angle, Area, DragArea, Energy, Force, ForcePerLength, Given, Kind, Length, Mass,
    MassDensity, OverPressure, Pressure, QuantityError, Ratio, Shock, Spread, Stress,
    ThermodynamicTemperature, Time, Velocity, Volume, parse,
};
use uom::si;

/// A place in `silkfall.toml` (or another text of the project); both count from 1, columns in characters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// Line from 1.
    pub line: u64,
    /// Column from 1.
    pub column: u64,
}

/// A value and where it is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said<T> {
    /// The value.
    pub value: T,
    /// Where it is written.
    pub spot: Spot,
}

/// What the project says of one thing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Known<T> {
    /// A value, with its place.
    Given(Said<T>),
    /// `"?"`: wanted, not known yet. A value that could not be read counts as unknown too, so that no default
    /// ever stands in for something a person wrote; that it could not be read is a finding of its own.
    Unknown {
        /// Where it is written.
        spot: Spot,
        /// Whether it is a plain `"?"`, not something unreadable.
        asked: bool,
    },
    /// Not written: a default, if there is one, may stand in.
    #[default]
    Absent,
}

impl<T> Known<T> {
    /// The value, if one is given.
    pub fn given(&self) -> Option<&T> {
        match self {
            Known::Given(said) => Some(&said.value),
            Known::Unknown { .. } | Known::Absent => None,
        }
    }

    /// Where it is written; `None` if it is not.
    pub fn spot(&self) -> Option<Spot> {
        match self {
            Known::Given(said) => Some(said.spot),
            Known::Unknown { spot, .. } => Some(*spot),
            Known::Absent => None,
        }
    }

    /// Whether it is written as not known yet (or could not be read).
    pub fn is_unknown(&self) -> bool {
        matches!(self, Known::Unknown { .. })
    }

    /// Whether it is not written at all.
    pub fn is_absent(&self) -> bool {
        matches!(self, Known::Absent)
    }
}

/// What a [`Quantity`] may be of.
pub trait Measured: Copy + std::fmt::Debug {
    /// Its units.
    const KIND: Kind;
    /// From the SI value.
    fn from_si(si: f64) -> Self;
    /// Reads it from text.
    ///
    /// # Errors
    /// As [`parse`](fn@parse).
    fn read(text: &str) -> Result<Given, QuantityError> {
        parse(text, Self::KIND)
    }
}

/// A quantity as written, typed by what it measures.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity<Q> {
    given: Given,
    of: PhantomData<Q>,
}

impl<Q: Measured> Quantity<Q> {
    /// Reads "4.1 kg ± 20 g".
    ///
    /// # Errors
    /// As [`Measured::read`].
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::quantity::Mass;
    /// use silkfall_project::value::Quantity;
    /// let load = Quantity::<Mass>::try_read("4.0 kg ± 1 %").unwrap();
    /// assert_eq!((load.si(), load.standard_uncertainty_si()), (4.0, 0.04));
    /// ```
    pub fn try_read(text: &str) -> Result<Self, QuantityError> {
        Ok(Quantity { given: Q::read(text)?, of: PhantomData })
    }

    /// The value with its unit as a type.
    pub fn value(&self) -> Q {
        Q::from_si(self.given.si)
    }

    /// The value in SI.
    pub fn si(&self) -> f64 {
        self.given.si
    }

    /// The standard uncertainty in SI; 0 where nothing was said.
    pub fn standard_uncertainty_si(&self) -> f64 {
        self.given.standard_uncertainty()
    }

    /// What was said of its doubt, SI.
    pub fn spread(&self) -> Spread {
        self.given.spread
    }

    /// As it was written.
    pub fn text(&self) -> &str {
        &self.given.text
    }
}

/// A share, a chance or a relative doubt, 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Share(pub f64);

/// Money in the currency of the offers.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Money(pub f64);

/// Model length over full length; written "1/2", "1:2", "0.5" or "50 %".
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Scale(pub f64);

/// A day of the calendar, written year, month, day: "2026-05-03".
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(String);

impl Day {
    /// The day of that text; `None` if the calendar has none such.
    pub fn try_new(text: &str) -> Option<Day> {
        let date: toml_edit::Datetime = text.trim().parse().ok()?;
        (date.date.is_some() && date.time.is_none()).then(|| Day(date.to_string()))
    }

    /// As written: "2026-05-03".
    pub fn text(&self) -> &str {
        &self.0
    }
}

macro_rules! measured {
    ($($of:ty: $kind:ident, |$si:ident| $make:expr;)*) => {
        $(impl Measured for $of {
            const KIND: Kind = Kind::$kind;
            fn from_si($si: f64) -> Self {
                $make
            }
        })*
    };
}

measured! {
    Length: Length, |si| Length::new::<si::length::meter>(si);
    Velocity: Speed, |si| Velocity::new::<si::velocity::meter_per_second>(si);
    Mass: Mass, |si| Mass::new::<si::mass::kilogram>(si);
    Area: Area, |si| Area::new::<si::area::square_meter>(si);
    DragArea: DragArea, |si| DragArea(Area::new::<si::area::square_meter>(si));
    Volume: Volume, |si| Volume::new::<si::volume::cubic_meter>(si);
    Time: Time, |si| Time::new::<si::time::second>(si);
    Force: Force, |si| Force::new::<si::force::newton>(si);
    Energy: Energy, |si| Energy::new::<si::energy::joule>(si);
    Pressure: Pressure, |si| Pressure::new::<si::pressure::pascal>(si);
    OverPressure: OverPressure, |si| OverPressure(Pressure::new::<si::pressure::pascal>(si));
    ForcePerLength: ForcePerLength, |si| ForcePerLength(si);
    Shock: Shock, |si| Shock(Acceleration::new::<si::acceleration::meter_per_second_squared>(si));
    Stress: Stress, |si| Stress(Pressure::new::<si::pressure::pascal>(si));
    MassDensity: Density, |si| MassDensity::new::<si::mass_density::kilogram_per_cubic_meter>(si);
    ThermodynamicTemperature: Temperature,
        |si| ThermodynamicTemperature::new::<si::thermodynamic_temperature::kelvin>(si);
    Angle: Angle, |si| Angle::new::<si::angle::radian>(si);
    Ratio: Ratio, |si| Ratio::new::<si::ratio::ratio>(si);
    Share: Share, |si| Share(si);
    Money: Money, |si| Money(si);
}

impl Measured for Scale {
    const KIND: Kind = Kind::Ratio;

    fn from_si(si: f64) -> Self {
        Scale(si)
    }

    fn read(text: &str) -> Result<Given, QuantityError> {
        let Some((top, rest)) = text.split_once(['/', ':']) else { return parse(text, Kind::Ratio) };
        let rest = rest.trim_start();
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let (bottom, doubt) = rest.split_at(end);
        let (top, bottom) = (parse(top, Kind::Ratio)?.si, parse(bottom, Kind::Ratio)?.si);
        if bottom == 0.0 {
            return Err(QuantityError::NotUsable { text: text.trim().to_owned() });
        }
        let mut given = parse(&format!("{}{doubt}", top / bottom), Kind::Ratio)?;
        given.text = text.trim().to_owned();
        Ok(given)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_may_be_a_fraction() {
        let scale = |text| Quantity::<Scale>::try_read(text).unwrap();
        assert!((scale("1/4").si() - 0.25).abs() < 1e-15);
        assert!((scale("1 : 3 ± 1 %").standard_uncertainty_si() - 0.01 / 3.0).abs() < 1e-15);
        assert!((scale("50 %").value().0 - 0.5).abs() < 1e-15);
        assert_eq!(scale("1/4").text(), "1/4");
        assert!(Quantity::<Scale>::try_read("1/0").is_err(), "no finite scale");
        assert!(Quantity::<Scale>::try_read("half").is_err());
    }

    #[test]
    fn a_day_is_in_the_calendar() {
        assert_eq!(Day::try_new("2028-02-29").unwrap().text(), "2028-02-29");
        for text in ["2026-02-29", "2026-13-01", "3 May", "07:30:00", "2026-05-03T10:00:00"] {
            assert_eq!(Day::try_new(text), None, "{text}");
        }
    }

    #[test]
    fn a_quantity_keeps_its_type_text_and_doubt() {
        let fell = Quantity::<Length>::try_read("36 ft within 3 in").unwrap();
        assert!((fell.value().get::<si::length::foot>() - 36.0).abs() < 1e-12);
        assert_eq!(fell.spread(), Spread::Within(3.0 * 0.0254));
        assert_eq!(fell.text(), "36 ft within 3 in");
    }

    #[test]
    fn unknown_is_not_absent() {
        let spot = Spot { line: 3, column: 8 };
        let unknown: Known<u8> = Known::Unknown { spot, asked: true };
        assert!(unknown.is_unknown() && !unknown.is_absent() && unknown.given().is_none());
        assert_eq!(unknown.spot(), Some(spot));
        assert_eq!(Known::<u8>::Absent.spot(), None);
    }
}
