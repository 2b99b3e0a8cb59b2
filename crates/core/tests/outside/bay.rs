//! Packing and getting it out against the values of a handbook's formulas, worked out apart from this program.

use std::f64::consts::PI;

use outside_check::check;
use silkfall_core::deployment::{
    Flow, Gas, THREADS, Thread, cold_gas_mass, height_error, lag_pressure, pin_force, port_diameter_by_rule,
    pyrotechnic_rule, sealed_pressure,
};
use silkfall_core::ledger::Trust;
use silkfall_core::packing::{SOLID_NYLON_KG_PER_M3, practices};
use silkfall_core::quantity::{Kind, Length};
use uom::si::length::meter;

const APART: &str = "computed independently from the stated formula";
const HALF_DIGIT: &str = "half a unit of the last digit given";

#[test]
fn packing_densities_are_those_remembered() {
    let from_pounds = Kind::Density.unit("lb/ft³").expect("a unit of density").factor;
    check! {
        area: "packing", what: "kg/m³ of 1 lb/ft³", against: "NIST SP 811 (2008), appendix B.8", leg: Published,
        got: from_pounds, want: 16.018_46, within: 5e-6, because: HALF_DIGIT,
    }
    let wanted = [[288.0, 400.0], [450.0, 510.0], [560.0, 640.0], [670.0, 750.0]];
    let rows = practices().into_iter().skip(1).zip(wanted).flat_map(|(way, want)| {
        [
            (format!("{}, low", way.name), way.kg_per_m3[0], want[0]),
            (format!("{}, high", way.name), way.kg_per_m3[1], want[1]),
        ]
    });
    check! {
        area: "packing", what: "packing densities of large canopies, kg/m³",
        against: "from memory of T. W. Knacke, NWC TP 6575 (1991): 18-25, 28-32, 35-40, 42-47 lb/ft³", leg: Published,
        rows: rows, within: 5.0, because: "half a unit of the tens they are given in",
    }
    check! {
        area: "packing", what: "solid nylon, 71 lb/ft³ in kg/m³", against: "from memory of T. W. Knacke, NWC TP 6575 (1991)", leg: Published,
        got: SOLID_NYLON_KG_PER_M3, want: 71.0 * from_pounds, within: 5.0, because: "half a unit of its tens",
    }
}

#[test]
fn pins_break_at_the_forces_of_their_root_areas() {
    let ksi = Kind::Stress.unit("ksi").expect("a unit of strength").factor;
    let at = |name: &str| {
        let thread = Thread::by_name(name).expect("a thread of the table");
        pin_force(1.0, 10.0 * ksi, thread.minor_m(), "one pin", Trust::Given, Trust::Given).si
    };
    let pound = Kind::Force.unit("lbf").expect("a unit of force").factor;
    let rows = [("#2-56", 32.3), ("#4-40", 51.9), ("#6-32", 78.1), ("#8-32", 124.0)];
    let because = "half a unit of the last digit given, and 0.1 % since the root was rounded to 0.0001 in or 0.001 mm there";
    check! {
        area: "deployment", what: "pin of 10 ksi in shear over its root, lbf", against: APART, leg: Closed,
        rows: rows.map(|(name, want)| (name.to_owned(), at(name) / pound, want)), within_relative: 2e-3, because: because,
    }
    check! {
        area: "deployment", what: "metric pins of 10 ksi, N", against: APART, leg: Closed,
        rows: [("M2", 123.0), ("M3", 309.0)].map(|(name, want)| (name.to_owned(), at(name), want)),
        within_relative: 4.1e-3, because: because,
    }
    let thread = Thread::by_name("#2-56").expect("a thread of the table");
    check! {
        area: "deployment", what: "outside over root area of a small screw", against: APART, leg: Closed,
        got: (thread.major_m / thread.minor_m()).powi(2), want: 1.8, within: 0.05, because: HALF_DIGIT,
    }
    // ISO 965-1 prints the root diameter d3 of these (from memory of its tables).
    let printed = [("M2", 1.509), ("M2.5", 1.948), ("M3", 2.387), ("M5", 4.019)];
    check! {
        area: "deployment", what: "root diameters d₃ of metric threads, mm", against: "from memory of ISO 724 and its tables", leg: Published,
        rows: printed.map(|(name, want)| (name.to_owned(), Thread::by_name(name).expect("in the table").minor_m() * 1000.0, want)),
        within: 6e-4, because: "half a unit of the last printed digit, and rounding on the way to it",
    }
    assert_eq!(THREADS.len(), 9);
}

#[test]
fn gas_for_a_pressure() {
    let gram = cold_gas_mass(Gas::CarbonDioxide, 1e5, 1e-3, 288.0).si * 1000.0;
    check! {
        area: "deployment", what: "CO₂ for 100 kPa in 1 L at 288 K, g", against: APART, leg: Closed,
        got: gram, want: 1.837, within: 1.1e-3, because: "half a unit of the last digit given, and 0.0417 mol rounded on the way",
    }
    let mol = gram / 1000.0 / Gas::CarbonDioxide.kg_per_mol();
    check! {
        area: "deployment", what: "the same, mol", against: APART, leg: Closed,
        got: mol, want: 0.0417, within: 1e-4, because: "a unit of the last digit given",
    }
    // N [g] = 0.006075 D² L, inches, at 15 psi.
    let psi = Kind::OverPressure.unit("psi").expect("a unit of pressure").factor;
    let (d, l) = (4.0, 12.0);
    let volume = PI / 4.0 * d * d * l * 0.0254f64.powi(3);
    check! {
        area: "deployment", what: "the amateurs' rule behind the range of a charge: factor of D² L at 15 psi, g/in³",
        against: APART, leg: Closed,
        got: pyrotechnic_rule(15.0 * psi, volume) * 1000.0 / (d * d * l), want: 0.006_075, within: 5e-7, because: HALF_DIGIT,
    }
}

#[test]
fn rooms_in_a_climb() {
    let ground = Length::new::<meter>(0.0);
    let sealed = |climb: f64| sealed_pressure(ground, Length::new::<meter>(climb)).expect("in range");
    let rows = [(500.0, 5864.0), (1000.0, 11450.0), (3000.0, 31216.0)];
    check! {
        area: "deployment", what: "sealed bay after a climb from sea level, Pa", against: APART, leg: Closed,
        rows: rows.map(|(climb, want)| (format!("{climb:.0} m"), sealed(climb), want)), within: 20.0,
        because: "geometric here, geopotential there: 0.05 % of 3 km is 15 Pa; half a unit more",
    }
    let area = PI / 4.0 * 0.1 * 0.1;
    let rows = [(500.0, 46.0), (1000.0, 90.0), (3000.0, 245.0)];
    check! {
        area: "deployment", what: "the same on a bulkhead of 100 mm, N", against: APART, leg: Closed,
        rows: rows.map(|(climb, want)| (format!("{climb:.0} m"), sealed(climb) * area, want)), within: 0.6, because: HALF_DIGIT,
    }
    let lag = |litres: f64, holes: f64, mm: f64, speed: f64| {
        let flow = Flow {
            volume_m3: litres * 1e-3,
            density_kg_per_m3: 1.225,
            gravity: 9.806_65,
            speed_m_per_s: speed,
            temperature_k: 288.15,
            discharge: 0.6,
        };
        lag_pressure(&flow, holes, mm * 1e-3).expect("there is a hole").si
    };
    let cases = [
        ("1 L, 3 mm, 50 m/s", lag(1.0, 1.0, 3.0, 50.0), 1.20, 0.10),
        ("1 L, 3 mm, 300 m/s", lag(1.0, 1.0, 3.0, 300.0), 43.0, 3.6),
        ("1.639 L, 6.35 mm, 300 m/s", lag(1.639, 1.0, 6.35, 300.0), 5.77, 0.48),
        ("1.639 L, three of 3.667 mm, 300 m/s", lag(1.639, 3.0, 3.667, 300.0), 5.77, 0.48),
    ];
    check! {
        area: "deployment", what: "lag behind static ports, Pa", against: APART, leg: Closed,
        rows: cases.map(|(name, got, want, _)| (name.to_owned(), got, want)), within_relative: 4.2e-3,
        because: "half a unit of the last digit given",
    }
    check! {
        area: "deployment", what: "the same as height, m", against: APART, leg: Closed,
        rows: cases.map(|(name, got, _, want)| (name.to_owned(), height_error(got, 1.225, 9.806_65).si, want)),
        within: 0.02, because: HALF_DIGIT,
    }
    check! {
        area: "deployment", what: "three ports for 100 in³ by the amateurs' rule, mm", against: APART, leg: Closed,
        got: port_diameter_by_rule(100.0 * 0.0254f64.powi(3), 3.0).si * 1000.0, want: 3.667, within: 2e-3,
        because: "rounded up there",
    }
}
