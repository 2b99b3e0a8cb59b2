//! The two sums everybody does by hand: the size for a rate, and the rate of a size.
//!
//! D = √(8 m g/(π ρ v² C_D)), m, and back; the coefficient on the area of the diameter meant, else converted by the
//! shape's ratio (see [`crate::shapes`]). Steady fall, no drag but the canopy's, one canopy.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::mass::kilogram;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::velocity::meter_per_second;

use crate::derivation::{Derivation, Input, num, sym};
use crate::finding::{Code, Finding, Subject};
use crate::ledger::Trust;
use crate::maths;
use crate::quantity::{Acceleration, Kind, Length, Mass, MassDensity, Velocity};
use crate::shapes::{Range, Reference, SHAPES, Shape, TABLE_SOURCE, diameter_ratio};

/// Standard sea-level air, kg/m³ (US Standard Atmosphere 1976).
pub const DEFAULT_DENSITY_KG_PER_M3: f64 = 1.225;
/// Standard gravity, m/s² (exact, CGPM 1901).
pub const DEFAULT_GRAVITY_M_PER_S2: f64 = 9.806_65;

/// What both sums share.
#[derive(Clone, Debug, PartialEq)]
pub struct Common {
    /// All that descends.
    pub mass: Mass,
    /// Drag coefficient.
    pub coefficient: f64,
    /// The area the coefficient is on, where stated.
    pub reference: Option<Reference>,
    /// Which diameter is wanted or given, where stated; else that of the coefficient's area.
    pub diameter_kind: Option<Reference>,
    /// Shape, to convert by.
    pub shape: Option<Shape>,
    /// Wanted or given diameter over that of the coefficient's area, where stated.
    pub ratio: Option<f64>,
    /// Air density.
    pub density: MassDensity,
    /// Gravity.
    pub gravity: Acceleration,
}

/// Answer of [`size()`].
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// The diameter.
    pub diameter: Length,
    /// The same over the range of the shape's ratio, m; `None` where nothing was converted by a range.
    pub range_m: Option<Range>,
    /// Which diameter it is; `None`: not stated.
    pub refers_to: Option<Reference>,
    /// First step first.
    pub how: Vec<Derivation>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Answer of [`rate()`].
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// The descent rate.
    pub rate: Velocity,
    /// The same over the range of the shape's ratio, m/s.
    pub range_m_per_s: Option<Range>,
    /// First step first.
    pub how: Vec<Derivation>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// The diameter that falls at `rate`.
///
/// # Errors
/// An error finding where an input is not above 0, or where the diameter wanted is not that of the coefficient's area
/// and neither shape nor ratio tells how they compare.
///
/// # Examples
/// 5.9 kg at 4.3 m/s with 2.2 wants √(8 · 5.9 · 9.80665/(π · 1.225 · 4.3² · 2.2)) = 1.72 m.
pub fn size(common: &Common, rate: Velocity) -> Result<Size, Finding> {
    let rate = rate.get::<meter_per_second>();
    let numbers = Numbers::of(common, "rate", rate)?;
    let (ratio, mut findings) = ratio(common)?;
    let reference = maths::sqrt(numbers.eight_weights() / (numbers.pi_rho_c() * rate * rate));
    let expr = (num(8.0) * sym("m") * sym("g")
        / (num(std::f64::consts::PI) * sym("rho") * sym("v").pow(2.0) * sym("C_D")))
    .root();
    let mut inputs = numbers.inputs();
    inputs.push(Input::new("v", "descent rate", rate, Kind::Speed, Trust::Given));
    let mut how = vec![Derivation {
        symbol: "D_r",
        meaning: diameter_words(common.reference),
        si: reference,
        kind: Kind::Length,
        expr,
        inputs,
        source: steady(),
    }];
    if let Some((middle, trust)) = ratio.used() {
        how.push(Derivation {
            symbol: "D",
            meaning: diameter_words(common.diameter_kind),
            si: middle * reference,
            kind: Kind::Length,
            expr: sym("r") * sym("D_r"),
            inputs: vec![
                Input::new(
                    "r",
                    "wanted diameter over that of the coefficient's area",
                    middle,
                    Kind::Ratio,
                    trust,
                ),
                Input::new(
                    "D_r",
                    "diameter of the coefficient's area",
                    reference,
                    Kind::Length,
                    Trust::Given,
                ),
            ],
            source: Trust::Published("definition of the ratio".to_owned()),
        });
    }
    findings.extend(unusual(common));
    Ok(Size {
        diameter: Length::new::<meter>(ratio.middle() * reference),
        range_m: ratio.spread().map(|r| Range { low: r.low * reference, high: r.high * reference }),
        refers_to: common.diameter_kind.or(common.reference),
        how,
        findings,
    })
}

/// The rate at which a canopy of `diameter` falls.
///
/// # Errors
/// As [`size()`].
///
/// # Examples
/// 13 lb under 60 in with 2.2: about 16 ft/s.
pub fn rate(common: &Common, diameter: Length) -> Result<Rate, Finding> {
    let diameter = diameter.get::<meter>();
    let numbers = Numbers::of(common, "diameter", diameter)?;
    let (ratio, mut findings) = ratio(common)?;
    let at = |ratio: f64| {
        let reference = diameter / ratio;
        maths::sqrt(numbers.eight_weights() / (numbers.pi_rho_c() * reference * reference))
    };
    let mut how = Vec::new();
    if let Some((middle, trust)) = ratio.used() {
        how.push(Derivation {
            symbol: "D_r",
            meaning: diameter_words(common.reference),
            si: diameter / middle,
            kind: Kind::Length,
            expr: sym("D") / sym("r"),
            inputs: vec![
                Input::new("D", "diameter given", diameter, Kind::Length, Trust::Given),
                Input::new(
                    "r",
                    "given diameter over that of the coefficient's area",
                    middle,
                    Kind::Ratio,
                    trust,
                ),
            ],
            source: Trust::Published("definition of the ratio".to_owned()),
        });
    }
    let mut inputs = numbers.inputs();
    inputs.push(Input::new(
        "D_r",
        "diameter of the coefficient's area",
        diameter / ratio.middle(),
        Kind::Length,
        Trust::Given,
    ));
    how.push(Derivation {
        symbol: "v",
        meaning: "descent rate".to_owned(),
        si: at(ratio.middle()),
        kind: Kind::Speed,
        expr: (num(8.0) * sym("m") * sym("g")
            / (num(std::f64::consts::PI) * sym("rho") * sym("D_r").pow(2.0) * sym("C_D")))
        .root(),
        inputs,
        source: steady(),
    });
    findings.extend(unusual(common));
    Ok(Rate {
        rate: Velocity::new::<meter_per_second>(at(ratio.middle())),
        range_m_per_s: ratio.spread().map(|r| Range { low: at(r.low), high: at(r.high) }),
        how,
        findings,
    })
}

/// The inputs as plain numbers.
struct Numbers {
    mass_kg: f64,
    gravity_m_per_s2: f64,
    density_kg_per_m3: f64,
    coefficient: f64,
}

impl Numbers {
    fn of(common: &Common, other_name: &str, other: f64) -> Result<Numbers, Finding> {
        let numbers = Numbers {
            mass_kg: common.mass.get::<kilogram>(),
            gravity_m_per_s2: common.gravity.get::<meter_per_second_squared>(),
            density_kg_per_m3: common.density.get::<kilogram_per_cubic_meter>(),
            coefficient: common.coefficient,
        };
        for (name, value) in [
            ("mass", numbers.mass_kg),
            ("gravity", numbers.gravity_m_per_s2),
            ("density", numbers.density_kg_per_m3),
            ("drag coefficient", numbers.coefficient),
            (other_name, other),
            ("ratio", common.ratio.unwrap_or(1.0)),
        ] {
            if !(value > 0.0 && value.is_finite()) {
                let message = format!("{name} is {value}, expected more than 0");
                return Err(Finding::new(Code::SumNotPositive, Subject::Whole, message));
            }
        }
        Ok(numbers)
    }

    fn eight_weights(&self) -> f64 {
        8.0 * self.mass_kg * self.gravity_m_per_s2
    }

    fn pi_rho_c(&self) -> f64 {
        std::f64::consts::PI * self.density_kg_per_m3 * self.coefficient
    }

    fn inputs(&self) -> Vec<Input> {
        let given = |value: f64, default: f64, text: &str| {
            let is_default = (value - default).abs() <= f64::EPSILON * default;
            if is_default { Trust::Assumed(text.to_owned()) } else { Trust::Given }
        };
        let air = given(
            self.density_kg_per_m3,
            DEFAULT_DENSITY_KG_PER_M3,
            "standard air at sea level, the default",
        );
        let gravity = given(self.gravity_m_per_s2, DEFAULT_GRAVITY_M_PER_S2, "standard gravity, the default");
        vec![
            Input::new("m", "all that descends", self.mass_kg, Kind::Mass, Trust::Given),
            Input::new("g", "gravity", self.gravity_m_per_s2, Kind::Acceleration, gravity),
            Input::new("rho", "air density", self.density_kg_per_m3, Kind::Density, air),
            Input::new("C_D", "drag coefficient", self.coefficient, Kind::Ratio, Trust::Given),
        ]
    }
}

fn steady() -> Trust {
    Trust::Published("steady fall: weight equals drag, m g = C_D (π D²/4) ρ v²/2".to_owned())
}

fn diameter_words(reference: Option<Reference>) -> String {
    match reference {
        Some(reference) => format!("{} diameter", reference.word()),
        None => "diameter of the coefficient's area, which is not stated".to_owned(),
    }
}

/// Diameter meant over diameter of the coefficient's area.
enum DiameterRatio {
    Same,
    Stated(f64),
    OfShape(Range),
}

impl DiameterRatio {
    fn middle(&self) -> f64 {
        match self {
            DiameterRatio::Same => 1.0,
            DiameterRatio::Stated(ratio) => *ratio,
            DiameterRatio::OfShape(range) => range.middle(),
        }
    }

    fn used(&self) -> Option<(f64, Trust)> {
        match self {
            DiameterRatio::Same => None,
            DiameterRatio::Stated(ratio) => Some((*ratio, Trust::Given)),
            DiameterRatio::OfShape(range) => Some((range.middle(), Trust::Memory(TABLE_SOURCE.to_owned()))),
        }
    }

    fn spread(&self) -> Option<Range> {
        match self {
            DiameterRatio::OfShape(range) => Some(*range),
            _ => None,
        }
    }
}

fn ratio(common: &Common) -> Result<(DiameterRatio, Vec<Finding>), Finding> {
    let Some(reference) = common.reference else {
        if let Some(kind) = common.diameter_kind {
            let message =
                format!("a {} diameter is meant, but not which area the coefficient is on", kind.word());
            return Err(Finding::new(Code::SumReferenceWanted, Subject::Whole, message));
        }
        return Ok((DiameterRatio::Same, vec![not_stated(common.coefficient)]));
    };
    let kind = common.diameter_kind.unwrap_or(reference);
    if kind == reference {
        return Ok((DiameterRatio::Same, Vec::new()));
    }
    if let Some(ratio) = common.ratio {
        return Ok((DiameterRatio::Stated(ratio), Vec::new()));
    }
    match common.shape.and_then(|shape| diameter_ratio(shape, reference, kind)) {
        Some(range) => Ok((DiameterRatio::OfShape(range), Vec::new())),
        None => {
            let message = format!(
                "the coefficient is on the {} area and a {} diameter is meant: how they compare is not known",
                reference.word(),
                kind.word()
            );
            Err(Finding::new(Code::SumRatioWanted, Subject::Whole, message))
        }
    }
}

/// Without a reference: which usual canopies have such a coefficient on their nominal area.
fn not_stated(coefficient: f64) -> Finding {
    let message = match fitting(coefficient) {
        None => format!(
            "it is not said which area the coefficient {coefficient} is on, and no nominal-area coefficient of a \
             usual canopy is near it"
        ),
        Some(name) => format!(
            "it is not said which area the coefficient {coefficient} is on; on the nominal area it would suit a \
             {name} canopy"
        ),
    };
    Finding::new(Code::SumReferenceNotStated, Subject::Whole, message)
}

/// The first usual shape with this coefficient on its nominal area, 5 % let in at both ends.
fn fitting(coefficient: f64) -> Option<&'static str> {
    let near = |range: Range| range.low * 0.95 <= coefficient && coefficient <= range.high * 1.05;
    SHAPES.iter().find(|row| near(row.coefficient)).map(|row| row.name)
}

/// A coefficient outside what is remembered of its shape, or of any, on the area it is said to be on.
fn unusual(common: &Common) -> Option<Finding> {
    let reference = common.reference?;
    let on_reference = |shape: Shape| {
        let ratio = diameter_ratio(shape, Reference::Nominal, reference)?;
        let range = shape.row().coefficient;
        Some(Range { low: range.low / (ratio.high * ratio.high), high: range.high / (ratio.low * ratio.low) })
    };
    let message = match common.shape {
        Some(shape) => {
            let range = on_reference(shape)?;
            (!range.holds(common.coefficient)).then(|| {
                format!(
                    "a coefficient of {} on the {} area, where {} canopies have {:.2} to {:.2} from memory of {}",
                    common.coefficient,
                    reference.word(),
                    shape.name(),
                    range.low,
                    range.high,
                    TABLE_SOURCE
                )
            })
        }
        None => {
            let near = |range: Range| {
                range.low * 0.95 <= common.coefficient && common.coefficient <= range.high * 1.05
            };
            let any = SHAPES.iter().filter_map(|row| on_reference(row.shape)).any(near);
            (!any).then(|| {
                format!(
                    "no {}-area coefficient of a usual canopy is near {}",
                    reference.word(),
                    common.coefficient
                )
            })
        }
    }?;
    Some(Finding::new(Code::SumCoefficientUnusual, Subject::Whole, message))
}

#[cfg(test)]
mod tests;
