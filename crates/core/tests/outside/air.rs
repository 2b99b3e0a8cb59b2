//! Air against tables, an independent package and closed forms.

use outside_check::check;
use silkfall_core::air::standard::{self, StandardAir};
use silkfall_core::air::{gravity, moist};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::angle::degree;
use uom::si::dynamic_viscosity::pascal_second;
use uom::si::f64::{Angle, Length, Pressure, Ratio, ThermodynamicTemperature};
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::ratio::{percent, ratio};
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};
use uom::si::velocity::meter_per_second;

const STANDARD: &str =
    "U.S. Standard Atmosphere 1976, printed tables, by an independent working of its equations";
const HALF_DIGIT: &str = "half a unit of the last printed digit";

fn m(height_m: f64) -> Length {
    Length::new::<meter>(height_m)
}

/// Geopotential height m, temperature K, pressure Pa, density kg/m³, as printed.
const GEOPOTENTIAL: [(f64, f64, f64, f64); 8] = [
    (0.0, 288.150, 101_325.000, 1.225_00),
    (500.0, 284.900, 95_460.839, 1.167_268),
    (1000.0, 281.650, 89_874.571, 1.111_642),
    (2000.0, 275.150, 79_495.216, 1.006_490),
    (3000.0, 268.650, 70_108.545, 0.909_121),
    (5000.0, 255.650, 54_019.912, 0.736_115),
    (11_000.0, 216.650, 22_632.064, 0.363_918),
    (20_000.0, 216.650, 5_474.889, 0.088_035),
];

/// Geometric height m, geopotential height m, temperature K, pressure Pa, density kg/m³, as printed.
const GEOMETRIC: [(f64, f64, f64, f64, f64); 6] = [
    (500.0, 499.961, 284.900, 95_461.289, 1.167_273),
    (1000.0, 999.843, 281.651, 89_876.285, 1.111_659),
    (2000.0, 1999.371, 275.154, 79_501.425, 1.006_553),
    (3000.0, 2998.585, 268.659, 70_121.162, 0.909_254),
    (5000.0, 4996.070, 255.676, 54_048.286, 0.736_428),
    (11_000.0, 10_980.998, 216.774, 22_699.961, 0.364_802),
];

#[test]
fn standard_atmosphere_by_geopotential_height() {
    let air = |height_m| standard::at_geopotential(m(height_m)).unwrap();
    check! {
        area: "air", what: "temperature, 0 to 20 km geopotential, K", against: STANDARD, leg: Published,
        rows: GEOPOTENTIAL.map(|(h, t, ..)| (h, air(h).temperature.get::<kelvin>(), t)),
        within: 5e-4, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "pressure, 0 to 20 km geopotential, Pa", against: STANDARD, leg: Published,
        rows: GEOPOTENTIAL.map(|(h, _, p, _)| (h, air(h).pressure.get::<pascal>(), p)),
        within: 5e-4, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "density, 0 to 20 km geopotential, kg/m³", against: STANDARD, leg: Published,
        rows: GEOPOTENTIAL.map(|(h, _, _, d)| (h, air(h).density.get::<kilogram_per_cubic_meter>(), d)),
        within: 1e-6, because: "half a unit of the last printed digit; at sea level five decimals are printed",
    }
    let sound = [
        (0.0, 340.294),
        (500.0, 338.370),
        (1000.0, 336.434),
        (2000.0, 332.529),
        (3000.0, 328.578),
        (5000.0, 320.530),
        (11_000.0, 295.070),
    ];
    check! {
        area: "air", what: "speed of sound, 0 to 11 km geopotential, m/s", against: STANDARD, leg: Published,
        rows: sound.map(|(h, a)| (h, air(h).speed_of_sound.get::<meter_per_second>(), a)),
        within: 5e-4, because: HALF_DIGIT,
    }
    let viscosity = [
        (0.0, 1.7894e-5),
        (500.0, 1.7737e-5),
        (2000.0, 1.7260e-5),
        (3000.0, 1.6937e-5),
        (5000.0, 1.6281e-5),
        (11_000.0, 1.4216e-5),
    ];
    check! {
        area: "air", what: "viscosity, 0 to 11 km geopotential, Pa s", against: STANDARD, leg: Published,
        rows: viscosity.map(|(h, mu)| (h, air(h).viscosity.get::<pascal_second>(), mu)),
        within: 5e-10, because: HALF_DIGIT,
    }
}

#[test]
fn standard_atmosphere_by_geometric_height() {
    let air = |height_m| standard::at_geometric(m(height_m)).unwrap();
    check! {
        area: "air", what: "geopotential of geometric height to 11 km, m", against: STANDARD, leg: Published,
        rows: GEOMETRIC.map(|(z, h, ..)| (z, standard::geopotential_of(m(z)).get::<meter>(), h)),
        within: 5e-4, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "temperature, 0.5 to 11 km geometric, K", against: STANDARD, leg: Published,
        rows: GEOMETRIC.map(|(z, _, t, ..)| (z, air(z).temperature.get::<kelvin>(), t)),
        within: 5e-4, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "viscosity, 1 km geometric, Pa s", against: STANDARD, leg: Published,
        got: air(1000.0).viscosity.get::<pascal_second>(), want: 1.7579e-5, within: 5e-10, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "pressure, 0.5 to 11 km geometric, Pa", against: STANDARD, leg: Published,
        rows: GEOMETRIC.map(|(z, _, _, p, _)| (z, air(z).pressure.get::<pascal>(), p)),
        within: 5e-4, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "density, 0.5 to 11 km geometric, kg/m³", against: STANDARD, leg: Published,
        rows: GEOMETRIC.map(|(z, _, _, _, d)| (z, air(z).density.get::<kilogram_per_cubic_meter>(), d)),
        within: 5e-7, because: HALF_DIGIT,
    }
}

#[test]
fn pressure_height() {
    let table = [
        (100_000.0, 110.885),
        (95_000.0, 540.337),
        (90_000.0, 988.501),
        (85_000.0, 1457.300),
        (70_000.0, 3012.183),
        (50_000.0, 5574.437),
    ];
    let height = |p: f64| standard::pressure_height(Pressure::new::<pascal>(p)).unwrap().get::<meter>();
    check! {
        area: "air", what: "pressure height, 1000 to 500 hPa, m", against: STANDARD, leg: Published,
        rows: table.map(|(p, h)| (p, height(p), h)),
        within: 5e-4, because: HALF_DIGIT,
    }
    let there_and_back =
        [-4999.0, -500.0, 0.0, 10_999.0, 11_001.0, 19_999.0, 20_001.0, 31_999.0, 32_001.0, 46_999.0];
    check! {
        area: "air", what: "height to pressure and back, -5 to 47 km, m", against: "the inverse", leg: Closed,
        rows: there_and_back.map(|h| {
            let air = standard::at_geopotential(m(h)).unwrap();
            (h, standard::pressure_height(air.pressure).unwrap().get::<meter>(), h)
        }),
        within: 1e-7, because: "rounding of powers in double precision",
    }
    let slope = (height(101_330.0) - height(101_320.0)) / 10.0;
    check! {
        area: "air", what: "height per pressure at sea level, m/Pa", against: STANDARD, leg: Closed,
        got: slope, want: -0.083_24, within: 5e-6, because: HALF_DIGIT,
    }
}

#[test]
fn standard_atmosphere_against_an_independent_package() {
    let file = include_str!("../reference/air/ambiance.csv");
    let rows: Vec<[f64; 7]> = file
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            cells.try_into().unwrap()
        })
        .collect();
    assert_eq!(rows.len(), 30);
    let against = "PyPI package ambiance 1.3.1";
    let column = |index: usize, value: fn(StandardAir) -> f64| {
        rows.iter()
            .map(move |row| (row[0], value(standard::at_geometric(m(row[0])).unwrap()), row[index]))
            .collect::<Vec<_>>()
    };
    let because = "DIFFERENCE: the package takes R = 287.05287 J/(kg K), the standard R*/M0 = 287.05307 \
                   (7e-7 for each of up to 7 scale heights), and it starts layers at pressures of six digits";
    check! {
        area: "air", what: "temperature, -4 to 47 km geometric", against: against, leg: Independent,
        rows: column(2, |air| air.temperature.get::<kelvin>()), within_relative: 1e-9,
        because: "both work in double precision",
    }
    check! {
        area: "air", what: "pressure, -4 to 47 km geometric", against: against, leg: Independent,
        rows: column(3, |air| air.pressure.get::<pascal>()), within_relative: 8e-6, because: because,
    }
    check! {
        area: "air", what: "density, -4 to 47 km geometric", against: against, leg: Independent,
        rows: column(4, |air| air.density.get::<kilogram_per_cubic_meter>()), within_relative: 8e-6,
        because: because,
    }
    check! {
        area: "air", what: "speed of sound, -4 to 47 km geometric", against: against, leg: Independent,
        rows: column(5, |air| air.speed_of_sound.get::<meter_per_second>()), within_relative: 5e-7,
        because: because,
    }
    check! {
        area: "air", what: "viscosity, -4 to 47 km geometric", against: against, leg: Independent,
        rows: column(6, |air| air.viscosity.get::<pascal_second>()), within_relative: 1e-9,
        because: "both work in double precision",
    }
}

#[test]
fn moist_air() {
    let against =
        "CIPM-2007, Picard et al., Metrologia 45 (2008) 149 (worked out independently from its equations)";
    let air = |celsius, pressure_pa, humidity| {
        moist::at(
            ThermodynamicTemperature::new::<degree_celsius>(celsius),
            Pressure::new::<pascal>(pressure_pa),
            Ratio::new::<percent>(humidity),
        )
        .unwrap()
    };
    let table = [
        (20.0, 101_325.0, 50.0, 1.199_313_9),
        (20.0, 100_000.0, 50.0, 1.183_556_6),
        (20.0, 101_325.0, 0.0, 1.204_557_3),
        (25.0, 101_325.0, 50.0, 1.177_315_4),
        (20.0, 75_000.0, 50.0, 0.886_276_6),
    ];
    check! {
        area: "air", what: "density of moist air, 20 and 25 °C, 750 to 1013 hPa, kg/m³", against: against, leg: Closed,
        rows: table.map(|(t, p, h, d)| {
            (format!("{t} °C {p} Pa {h} %"), air(t, p, h).density.get::<kilogram_per_cubic_meter>(), d)
        }),
        within: 5e-8, because: HALF_DIGIT,
    }
    let middle = air(20.0, 101_325.0, 50.0);
    let parts = [
        ("saturation pressure / Pa", middle.saturation_pressure.get::<pascal>(), 2339.163, 5e-4),
        ("enhancement factor", middle.enhancement.get::<ratio>(), 1.004_025_6, 5e-8),
        ("vapour fraction", middle.vapour_fraction.get::<ratio>(), 0.011_589_34, 5e-9),
        ("compressibility", middle.compressibility.get::<ratio>(), 0.999_614_77, 5e-9),
    ];
    for (what, got, want, half_digit) in parts {
        check! {
            area: "air", what: &format!("moist air at 20 °C, 1013.25 hPa, 50 %: {what}"), against: against, leg: Closed,
            got: got, want: want, within: half_digit, because: HALF_DIGIT,
        }
    }
    let short_form: f64 = (0.348_48 * 1013.25 - 0.009 * 50.0 * (0.061f64 * 20.0).exp()) / 293.15;
    check! {
        area: "air", what: "density of moist air at 20 °C, 1013.25 hPa, 50 %, kg/m³",
        against: "the short form used in weighing, (0.34848 p - 0.009 h exp(0.061 t)) / (273.15 + t)", leg: Independent,
        got: middle.density.get::<kilogram_per_cubic_meter>(), want: short_form, within_relative: 2e-4,
        because: "the short form is stated to be good to 2e-4",
    }
}

#[test]
fn normal_gravity() {
    let table = [
        (0.0, 0.0, 9.780_325),
        (0.0, 1000.0, 9.777_238),
        (0.0, 3000.0, 9.771_069),
        (0.0, 5000.0, 9.764_905),
        (30.0, 0.0, 9.793_247),
        (45.0, 0.0, 9.806_198),
        (45.0, 1000.0, 9.803_113),
        (45.0, 3000.0, 9.796_948),
        (45.0, 5000.0, 9.790_788),
        (60.0, 0.0, 9.819_177),
        (90.0, 0.0, 9.832_185),
    ];
    let pull = |latitude, height_m| {
        gravity::normal(Angle::new::<degree>(latitude), m(height_m)).get::<meter_per_second_squared>()
    };
    check! {
        area: "air", what: "normal gravity, equator to pole, 0 to 5 km, m/s²",
        against: "WGS 84, NIMA TR8350.2 (2000), equations 4-1 and 4-3 (worked out independently)", leg: Closed,
        rows: table.map(|(latitude, h, g)| (format!("{latitude}° {h} m"), pull(latitude, h), g)),
        within: 5e-7, because: HALF_DIGIT,
    }
    check! {
        area: "air", what: "normal gravity at the pole, m/s²", against: "WGS 84, NIMA TR8350.2 (2000), derived constants",
        leg: Published, got: pull(90.0, 0.0), want: 9.832_184_937_8, within: 5e-10,
        because: "Somigliana's k is rounded at its eleventh digit",
    }
}
