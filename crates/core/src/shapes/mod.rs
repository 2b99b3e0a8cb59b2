//! Canopy shapes: what a shape says about its sizes and its drag coefficient, and how the three diameters convert.
//!
//! D₀ = √(4 S₀/π), S₀ being the constructed area with vent and slots (nominal diameter, m); D_c is the diameter
//! as cut, D_p the diameter of the mouth in flight. A coefficient belongs to one of the three areas:
//! C_D,b = C_D,a (D_a/D_b)².
//!
//! Source: from memory of Knacke, Parachute Recovery Systems Design Manual (NWC TP 6575), tables 5-1 to 5-3; so
//! every range here carries [`Trust::Memory`], slips of 0.02 are possible, and the ranges are for a first look
//! only. Not here: porosity, line length, rate of descent, all of which move a coefficient inside its range.

mod table;

pub use table::{SHAPES, Shape, ShapeRow};

use crate::derivation::{Derivation, Input, num, sym};
use crate::ledger::Trust;
use crate::quantity::Kind;

/// Where the table stands, as [`Trust::Memory`] prints it.
pub const TABLE_SOURCE: &str =
    "Knacke, Parachute Recovery Systems Design Manual (NWC TP 6575), tables 5-1 to 5-3";

/// A range of a pure number, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Range {
    /// Standard uncertainty of what lies anywhere in it alike: width/√12 (JCGM 100:2008, 4.3.7).
    pub fn standard_uncertainty(self) -> f64 {
        (self.high - self.low) / crate::maths::sqrt(12.0)
    }

    /// Its middle.
    pub fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// Whether `value` lies in it.
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// This over `other`, end against end, so that every quotient of the two is inside.
    #[must_use]
    pub fn over(self, other: Range) -> Range {
        Range { low: self.low / other.high, high: self.high / other.low }
    }
}

/// Which diameter is meant, or to the area of which diameter a coefficient refers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reference {
    /// D₀ of the whole constructed area, vent and slots included.
    Nominal,
    /// D_c, as cut.
    Constructed,
    /// D_p, of the mouth in flight.
    Projected,
}

impl Reference {
    /// All three.
    pub const ALL: [Reference; 3] = [Reference::Nominal, Reference::Constructed, Reference::Projected];

    /// The word of JSON, options and files.
    pub fn word(self) -> &'static str {
        match self {
            Reference::Nominal => "nominal",
            Reference::Constructed => "constructed",
            Reference::Projected => "projected",
        }
    }
}

/// The ratio D_to/D_from of a shape; `None` where the table has none. Exactly 1 where both are the same.
pub fn diameter_ratio(shape: Shape, from: Reference, to: Reference) -> Option<Range> {
    if from == to {
        return Some(Range { low: 1.0, high: 1.0 });
    }
    let over_nominal = |reference| match reference {
        Reference::Nominal => Some(Range { low: 1.0, high: 1.0 }),
        Reference::Constructed => Some(shape.row().constructed_over_nominal),
        Reference::Projected => shape.row().projected_over_nominal,
    };
    Some(over_nominal(to)?.over(over_nominal(from)?))
}

/// A coefficient on the area of `from` as a coefficient on the area of `to`: C (D_from/D_to)², with
/// `ratio` = D_to/D_from.
pub fn converted_coefficient(coefficient: f64, ratio: f64) -> f64 {
    coefficient / (ratio * ratio)
}

/// The same with its derivation; `ratio_trust` says where the ratio comes from.
pub fn derive_converted_coefficient(coefficient: f64, ratio: f64, ratio_trust: Trust) -> Derivation {
    Derivation {
        symbol: "C_D,b",
        meaning: "drag coefficient on the other area".to_owned(),
        si: converted_coefficient(coefficient, ratio),
        kind: Kind::Ratio,
        expr: sym("C_D") / (sym("r") * sym("r")),
        inputs: vec![
            Input {
                symbol: "C_D",
                meaning: "drag coefficient as stated".to_owned(),
                si: coefficient,
                kind: Kind::Ratio,
                trust: Trust::Given,
                number: None,
            },
            Input {
                symbol: "r",
                meaning: "wanted diameter over the diameter of the stated area".to_owned(),
                si: ratio,
                kind: Kind::Ratio,
                trust: ratio_trust,
                number: None,
            },
        ],
        source: Trust::Published(
            "definition: equal force, C_D S is the same whichever area is meant".to_owned(),
        ),
    }
}

/// Area of a circle of that diameter: S = π D²/4, m².
pub fn circle_area_m2(diameter_m: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m
}

/// Diameter of the circle of that area: D = √(4 S/π), m.
pub fn circle_diameter_m(area_m2: f64) -> f64 {
    crate::maths::sqrt(area_m2 / std::f64::consts::FRAC_PI_4)
}

/// S₀ = π D₀²/4 with its derivation.
pub fn derive_circle_area(diameter_m: f64, trust: Trust) -> Derivation {
    Derivation {
        symbol: "S",
        meaning: "area of the reference circle".to_owned(),
        si: circle_area_m2(diameter_m),
        kind: Kind::Area,
        expr: num(std::f64::consts::FRAC_PI_4) * sym("D") * sym("D"),
        inputs: vec![Input {
            symbol: "D",
            meaning: "diameter".to_owned(),
            si: diameter_m,
            kind: Kind::Length,
            trust,
            number: None,
        }],
        source: Trust::Published("definition of the nominal diameter, D₀ = √(4 S₀/π)".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;

    #[test]
    fn a_projected_coefficient_is_larger_than_a_nominal_one() {
        // 0.75 on the nominal area of a flat circular canopy with D_p/D₀ = 0.67.
        check! {
            area: "shapes", what: "projected-area coefficient of a flat circular canopy",
            against: "closed form 0.75/0.67², computed independently from the stated formula", leg: Closed,
            got: converted_coefficient(0.75, 0.67), want: 1.67, within: 0.005,
            because: "half a unit of the last printed digit",
        }
        let how = derive_converted_coefficient(0.75, 0.67, Trust::Given);
        assert!((how.evaluate().unwrap() - how.si).abs() < 1e-12);
    }

    /// Independent anchor: Dc/D0 0.73, Dp/D0 0.65, C_D0 0.53 to 0.58 for a disk-gap-band, quoted from
    /// AGARD-AG-319, p. 15, in a university project note.
    #[test]
    fn the_disk_gap_band_row_agrees_with_another_quotation() {
        let row = Shape::DiskGapBand.row();
        assert!(row.constructed_over_nominal.holds(0.73));
        assert!(row.projected_over_nominal.unwrap().holds(0.65));
        assert!(row.coefficient.holds(0.53) && row.coefficient.holds(0.58));
    }

    #[test]
    fn ratios_invert_and_chain() {
        for row in SHAPES {
            for from in Reference::ALL {
                for to in Reference::ALL {
                    let Some(there) = diameter_ratio(row.shape, from, to) else {
                        assert_eq!(row.shape, Shape::VortexRing, "only this row has no projected diameter");
                        continue;
                    };
                    let back = diameter_ratio(row.shape, to, from).unwrap();
                    assert!((there.low * back.high - 1.0).abs() < 1e-12, "{}", row.name);
                    assert!(there.low <= there.high);
                }
            }
        }
        let constructed = diameter_ratio(Shape::Hemispherical, Reference::Nominal, Reference::Constructed);
        assert_eq!(constructed, Some(Range { low: 0.71, high: 0.71 }));
    }

    /// Closed form: a hemisphere of diameter D has the area πD²/2, so D/D₀ = 1/√2.
    #[test]
    fn the_hemisphere_row_agrees_with_geometry() {
        check! {
            area: "shapes", what: "constructed over nominal diameter of a hemisphere",
            against: "geometry of the half sphere, 1/√2", leg: Closed,
            got: Shape::Hemispherical.row().constructed_over_nominal.middle(),
            want: std::f64::consts::FRAC_1_SQRT_2, within: 0.005,
            because: "half a unit of the table's last digit",
        }
    }

    #[test]
    fn circles_go_there_and_back() {
        assert!((circle_diameter_m(circle_area_m2(1.72)) - 1.72).abs() < 1e-14);
        let how = derive_circle_area(2.0, Trust::Given);
        assert!((how.evaluate().unwrap() - std::f64::consts::PI).abs() < 1e-14);
    }
}
