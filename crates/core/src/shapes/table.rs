//! The rows, in the order of the tables they are remembered from.

use super::Range;

/// A shape of canopy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shape {
    /// Flat circular.
    FlatCircular,
    /// Conical.
    Conical,
    /// Biconical.
    Biconical,
    /// Polyconical.
    Polyconical,
    /// Extended skirt, 10 % flat.
    ExtendedSkirtFlat,
    /// Extended skirt, 14.3 % full.
    ExtendedSkirtFull,
    /// Hemispherical.
    Hemispherical,
    /// Guide surface, ribbed.
    GuideSurfaceRibbed,
    /// Guide surface, ribless.
    GuideSurfaceRibless,
    /// Annular.
    Annular,
    /// Cross.
    Cross,
    /// Flat ribbon.
    FlatRibbon,
    /// Conical ribbon.
    ConicalRibbon,
    /// Conical ribbon, varied porosity.
    ConicalRibbonVaried,
    /// Hemisflo ribbon.
    HemisfloRibbon,
    /// Ringslot.
    Ringslot,
    /// Ringsail.
    Ringsail,
    /// Disk-gap-band.
    DiskGapBand,
    /// Rotafoil.
    Rotafoil,
    /// Vortex ring.
    VortexRing,
}

/// What is remembered of one shape. All pure numbers, angles in degrees either side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShapeRow {
    /// Which.
    pub shape: Shape,
    /// As printed and as read in files.
    pub name: &'static str,
    /// D_c/D₀.
    pub constructed_over_nominal: Range,
    /// D_p/D₀, where the table has one.
    pub projected_over_nominal: Option<Range>,
    /// C_D0, on the nominal area.
    pub coefficient: Range,
    /// Peak over steady force at infinite mass.
    pub opening_force: Range,
    /// Average swing either side, degrees.
    pub swing_degrees: Range,
}

impl Shape {
    /// Its row.
    pub fn row(self) -> &'static ShapeRow {
        &SHAPES[self as usize]
    }

    /// As printed and as read in files.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// The one of that name, whatever the case of its letters, with spaces and hyphens alike and commas left out.
    pub fn by_name(name: &str) -> Option<Shape> {
        let wanted = plain(name);
        SHAPES.iter().find(|row| plain(row.name) == wanted).map(|row| row.shape)
    }
}

fn plain(name: &str) -> String {
    let spaced: String = name
        .chars()
        .filter(|c| !matches!(c, ',' | '%'))
        .map(|c| if matches!(c, '-' | '_') { ' ' } else { c.to_ascii_lowercase() })
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

const fn range(low: f64, high: f64) -> Range {
    Range { low, high }
}

/// All rows, in the order of [`Shape`].
pub const SHAPES: &[ShapeRow] = &[
    ShapeRow {
        shape: Shape::FlatCircular,
        name: "flat circular",
        constructed_over_nominal: range(1.0, 1.0),
        projected_over_nominal: Some(range(0.67, 0.7)),
        coefficient: range(0.75, 0.8),
        opening_force: range(1.7, 1.7),
        swing_degrees: range(10.0, 40.0),
    },
    ShapeRow {
        shape: Shape::Conical,
        name: "conical",
        constructed_over_nominal: range(0.93, 0.95),
        projected_over_nominal: Some(range(0.7, 0.7)),
        coefficient: range(0.75, 0.9),
        opening_force: range(1.8, 1.8),
        swing_degrees: range(10.0, 30.0),
    },
    ShapeRow {
        shape: Shape::Biconical,
        name: "biconical",
        constructed_over_nominal: range(0.9, 0.95),
        projected_over_nominal: Some(range(0.7, 0.7)),
        coefficient: range(0.75, 0.92),
        opening_force: range(1.8, 1.8),
        swing_degrees: range(10.0, 30.0),
    },
    ShapeRow {
        shape: Shape::Polyconical,
        name: "polyconical",
        constructed_over_nominal: range(0.9, 0.95),
        projected_over_nominal: Some(range(0.7, 0.7)),
        coefficient: range(0.8, 0.96),
        opening_force: range(1.8, 1.8),
        swing_degrees: range(10.0, 20.0),
    },
    ShapeRow {
        shape: Shape::ExtendedSkirtFlat,
        name: "extended skirt, 10 % flat",
        constructed_over_nominal: range(0.86, 0.86),
        projected_over_nominal: Some(range(0.66, 0.7)),
        coefficient: range(0.78, 0.87),
        opening_force: range(1.4, 1.4),
        swing_degrees: range(10.0, 15.0),
    },
    ShapeRow {
        shape: Shape::ExtendedSkirtFull,
        name: "extended skirt, 14.3 % full",
        constructed_over_nominal: range(0.81, 0.85),
        projected_over_nominal: Some(range(0.66, 0.7)),
        coefficient: range(0.75, 0.9),
        opening_force: range(1.4, 1.4),
        swing_degrees: range(10.0, 15.0),
    },
    ShapeRow {
        shape: Shape::Hemispherical,
        name: "hemispherical",
        constructed_over_nominal: range(0.71, 0.71),
        projected_over_nominal: Some(range(0.66, 0.66)),
        coefficient: range(0.62, 0.77),
        opening_force: range(1.6, 1.6),
        swing_degrees: range(10.0, 15.0),
    },
    ShapeRow {
        shape: Shape::GuideSurfaceRibbed,
        name: "guide surface, ribbed",
        constructed_over_nominal: range(0.63, 0.63),
        projected_over_nominal: Some(range(0.62, 0.62)),
        coefficient: range(0.28, 0.42),
        opening_force: range(1.2, 1.2),
        swing_degrees: range(0.0, 2.0),
    },
    ShapeRow {
        shape: Shape::GuideSurfaceRibless,
        name: "guide surface, ribless",
        constructed_over_nominal: range(0.66, 0.66),
        projected_over_nominal: Some(range(0.63, 0.63)),
        coefficient: range(0.3, 0.34),
        opening_force: range(1.4, 1.4),
        swing_degrees: range(0.0, 3.0),
    },
    ShapeRow {
        shape: Shape::Annular,
        name: "annular",
        constructed_over_nominal: range(1.04, 1.04),
        projected_over_nominal: Some(range(0.94, 0.94)),
        coefficient: range(0.85, 0.95),
        opening_force: range(1.4, 1.4),
        swing_degrees: range(0.0, 6.0),
    },
    ShapeRow {
        shape: Shape::Cross,
        name: "cross",
        constructed_over_nominal: range(1.15, 1.19),
        projected_over_nominal: Some(range(0.66, 0.72)),
        coefficient: range(0.6, 0.85),
        opening_force: range(1.1, 1.2),
        swing_degrees: range(0.0, 3.0),
    },
    ShapeRow {
        shape: Shape::FlatRibbon,
        name: "flat ribbon",
        constructed_over_nominal: range(1.0, 1.0),
        projected_over_nominal: Some(range(0.67, 0.67)),
        coefficient: range(0.45, 0.5),
        opening_force: range(1.05, 1.05),
        swing_degrees: range(0.0, 3.0),
    },
    ShapeRow {
        shape: Shape::ConicalRibbon,
        name: "conical ribbon",
        constructed_over_nominal: range(0.95, 0.97),
        projected_over_nominal: Some(range(0.7, 0.7)),
        coefficient: range(0.5, 0.55),
        opening_force: range(1.05, 1.05),
        swing_degrees: range(0.0, 3.0),
    },
    ShapeRow {
        shape: Shape::ConicalRibbonVaried,
        name: "conical ribbon, varied porosity",
        constructed_over_nominal: range(0.97, 0.97),
        projected_over_nominal: Some(range(0.7, 0.7)),
        coefficient: range(0.55, 0.65),
        opening_force: range(1.05, 1.3),
        swing_degrees: range(0.0, 3.0),
    },
    ShapeRow {
        shape: Shape::HemisfloRibbon,
        name: "hemisflo ribbon",
        constructed_over_nominal: range(0.62, 0.62),
        projected_over_nominal: Some(range(0.62, 0.62)),
        coefficient: range(0.3, 0.46),
        opening_force: range(1.0, 1.3),
        swing_degrees: range(2.0, 2.0),
    },
    ShapeRow {
        shape: Shape::Ringslot,
        name: "ringslot",
        constructed_over_nominal: range(1.0, 1.0),
        projected_over_nominal: Some(range(0.67, 0.7)),
        coefficient: range(0.56, 0.65),
        opening_force: range(1.05, 1.05),
        swing_degrees: range(0.0, 5.0),
    },
    ShapeRow {
        shape: Shape::Ringsail,
        name: "ringsail",
        constructed_over_nominal: range(1.16, 1.16),
        projected_over_nominal: Some(range(0.69, 0.69)),
        coefficient: range(0.75, 0.9),
        opening_force: range(1.1, 1.1),
        swing_degrees: range(5.0, 10.0),
    },
    ShapeRow {
        shape: Shape::DiskGapBand,
        name: "disk-gap-band",
        constructed_over_nominal: range(0.73, 0.73),
        projected_over_nominal: Some(range(0.65, 0.65)),
        coefficient: range(0.52, 0.58),
        opening_force: range(1.3, 1.3),
        swing_degrees: range(10.0, 15.0),
    },
    ShapeRow {
        shape: Shape::Rotafoil,
        name: "rotafoil",
        constructed_over_nominal: range(1.0, 1.0),
        projected_over_nominal: Some(range(0.9, 0.9)),
        coefficient: range(0.85, 0.99),
        opening_force: range(1.05, 1.05),
        swing_degrees: range(0.0, 2.0),
    },
    ShapeRow {
        shape: Shape::VortexRing,
        name: "vortex ring",
        constructed_over_nominal: range(1.0, 1.9),
        projected_over_nominal: None,
        coefficient: range(1.5, 1.8),
        opening_force: range(1.1, 1.2),
        swing_degrees: range(0.0, 2.0),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shape_stands_at_its_place_and_is_found_by_its_name() {
        for (index, row) in SHAPES.iter().enumerate() {
            assert_eq!(row.shape as usize, index);
            assert_eq!(Shape::by_name(row.name), Some(row.shape));
        }
        assert_eq!(Shape::by_name("Disk gap band"), Some(Shape::DiskGapBand));
        assert_eq!(Shape::by_name("extended-skirt 10% flat"), Some(Shape::ExtendedSkirtFlat));
        assert_eq!(Shape::by_name("round"), None);
    }
}
