//! True height against an identity, a numerical integration and aviation's cold-temperature corrections.

use outside_check::check;
use silkfall_core::air::{self, Reading, SiteAir, SitePressure, moist, standard};
use silkfall_core::finding::Subject;
use silkfall_core::height::{self, Column, LoggerScale};
use silkfall_core::quantity::{
    Angle, Length, Pressure, Ratio, TemperatureInterval, ThermodynamicTemperature,
};
use uom::si::angle::degree;
use uom::si::length::{foot, meter};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::ratio::{percent, ratio};
use uom::si::temperature_interval::kelvin as kelvin_interval;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

/// Where normal gravity is g₀ at sea level: γ(45.497°) = 9.80665 m/s² to 1e-6 of it.
const STANDARD_LATITUDE_DEG: f64 = 45.497;

/// Dry air at sea level, at the latitude of standard gravity.
fn dry_site(celsius: f64) -> SiteAir {
    SiteAir {
        temperature: Some(Reading {
            value: ThermodynamicTemperature::new::<degree_celsius>(celsius),
            standard_uncertainty: TemperatureInterval::new::<kelvin_interval>(0.5),
        }),
        pressure: SitePressure::Station(Reading {
            value: Pressure::new::<pascal>(101_325.0),
            standard_uncertainty: Pressure::new::<pascal>(50.0),
        }),
        relative_humidity: Some(Reading {
            value: Ratio::new::<ratio>(0.0),
            standard_uncertainty: Ratio::new::<ratio>(0.0),
        }),
        elevation: Some(Reading {
            value: Length::new::<meter>(0.0),
            standard_uncertainty: Length::new::<meter>(1.0),
        }),
        latitude: Some(Angle::new::<degree>(STANDARD_LATITUDE_DEG)),
    }
}

fn column(site: &SiteAir, scale: LoggerScale) -> Column {
    let air = air::site::density(site, &Subject::Whole).expect("the site is an ordinary one");
    Column::new(&air, &air::site::gravity_at(site), scale).expect("its pressure is an ordinary one")
}

/// True over logged height less one, %, for a day warmer than standard by `warmer_k`.
fn stretch_percent(logged_m: f64, warmer_k: f64) -> f64 {
    let column = column(&dry_site(15.0 + warmer_k), LoggerScale::StandardFromSeaLevel);
    (column.true_height(Length::new::<meter>(logged_m)).get::<meter>() / logged_m - 1.0) * 100.0
}

#[test]
fn ten_kelvin_are_three_and_a_half_percent() {
    check! {
        area: "true height", what: "stretch of 300, 1000, 3000 m of pressure height on a day 10 K warmer, %",
        against: "hydrostatic balance with a constant offset (worked out independently)", leg: Closed,
        rows: [(300.0, 3.48), (1000.0, 3.51), (3000.0, 3.59)].map(|(h, want)| (h, stretch_percent(h, 10.0), want)),
        within: 5e-3, because: "half a unit of the last digit",
    }
    check! {
        area: "true height", what: "height lost per 10 K below standard at 1000 m, %",
        against: "ICAO Doc 8168 (quoted): about 4 per cent per 10 °C, safe above -15 °C", leg: Published,
        got: -stretch_percent(1000.0, -10.0), at_most: 4.0,
        because: "the rule is rounded up to be on the safe side",
    }
}

/// Standard height scale and standard density in air warmer by dT: v is short by T/(T + dT), and the drag area is
/// too large by (T + dT)/T; with the density alone put right, by its square.
#[test]
fn errors_of_height_and_density_partly_cancel() {
    let (t_k, warmer_k) = (288.15, 10.0);
    let warm = dry_site(15.0 + warmer_k);
    let factor = height::scale(&warm, LoggerScale::StandardFromSeaLevel, &Subject::Whole)
        .unwrap()
        .factor
        .get::<ratio>();
    let density = |celsius: f64| {
        let temperature = ThermodynamicTemperature::new::<degree_celsius>(celsius);
        let air =
            moist::at(temperature, Pressure::new::<pascal>(101_325.0), Ratio::new::<ratio>(0.0)).unwrap();
        air.density.get::<kilogram_per_cubic_meter>()
    };
    let v_true = 5.0;
    let v_indicated = v_true / factor;
    let area = |v: f64, rho: f64| 2.0 * 9.806_65 / (rho * v * v);
    let truth = area(v_true, density(25.0));
    let because = "moist air is not quite ideal: Z differs by 9.8e-5 over 10 K; gravity to 1e-6";
    check! {
        area: "true height", what: "rate by the standard scale over the true rate, 10 K warmer",
        against: "T / (T + dT)", leg: Closed,
        got: v_indicated / v_true, want: t_k / (t_k + warmer_k), within: 2e-6, because: because,
    }
    check! {
        area: "true height", what: "drag area by standard scale and standard density over the true one, 10 K warmer",
        against: "(T + dT) / T", leg: Closed,
        got: area(v_indicated, density(15.0)) / truth, want: (t_k + warmer_k) / t_k, within: 1.1e-4, because: because,
    }
    let square = ((t_k + warmer_k) / t_k).powi(2);
    check! {
        area: "true height", what: "drag area with only the density put right over the true one, 10 K warmer",
        against: "((T + dT) / T)²", leg: Closed,
        got: area(v_indicated, density(25.0)) / truth, want: square, within: 1e-5, because: because,
    }
}

/// The correction to add to a wanted height so that the true height is at least that, ft.
fn correction_ft(wanted_ft: f64, celsius: f64) -> f64 {
    let column = column(&dry_site(celsius), LoggerScale::StandardFromSeaLevel);
    let true_ft = |logged_ft: f64| column.true_height(Length::new::<foot>(logged_ft)).get::<foot>();
    // The column is monotone; a few secant steps on a nearly straight line.
    let mut logged_ft = wanted_ft;
    for _ in 0..20 {
        logged_ft += wanted_ft - true_ft(logged_ft);
    }
    logged_ft - wanted_ft
}

#[test]
fn cold_temperature_corrections_of_aviation() {
    let cases = [
        (-40.0, 2000.0, 476.0),
        (-10.0, 1000.0, 95.0),
        (-20.0, 3000.0, 420.0),
        (-30.0, 500.0, 93.0),
        (0.0, 1000.0, 55.0),
    ];
    check! {
        area: "true height", what: "altimeter correction at -40 to 0 °C and 500 to 3000 ft, ft",
        against: "ICAO Doc 8168, section 4.3, from memory of its equation", leg: Closed,
        rows: cases.map(|(t, h, want)| (format!("{t} °C {h} ft"), correction_ft(h, t), want)),
        within: 1.0,
        because: "half a unit of the last digit, and the equation takes the mean of temperatures where we take the integral",
    }
    check! {
        area: "true height", what: "altimeter correction at -40 °C and 2000 ft, ft",
        against: "ICAO Doc 8168, table (quoted)", leg: Published,
        got: correction_ft(2000.0, -40.0), want: 480.0, within: 5.0, because: "the table is rounded to 10 ft",
    }
}

/// dp/dz = -ρ g for moist air, by the classical fourth-order method of Runge and Kutta in small steps.
#[test]
fn pressures_integrate_to_heights() {
    let mut site = dry_site(28.0);
    site.relative_humidity = Some(Reading {
        value: Ratio::new::<percent>(70.0),
        standard_uncertainty: Ratio::new::<percent>(5.0),
    });
    site.pressure = SitePressure::Station(Reading {
        value: Pressure::new::<pascal>(94_000.0),
        standard_uncertainty: Pressure::new::<pascal>(50.0),
    });
    let air = air::site::density(&site, &Subject::Whole).unwrap();
    let virtual_k = air.virtual_temperature.get::<kelvin>();
    let ground_m = standard::pressure_height(air.pressure).unwrap().get::<meter>();
    let offset_k = virtual_k - (288.15 - 0.0065 * ground_m);
    // The day's temperature by the standard's at the same pressure, as the column takes it.
    let slope = |pressure_pa: f64| {
        let standard_k = 288.15
            - 0.0065
                * standard::pressure_height(Pressure::new::<pascal>(pressure_pa)).unwrap().get::<meter>();
        let gas_constant = 8314.32 / 28.9644;
        -9.806_65 * pressure_pa / (gas_constant * (standard_k + offset_k))
    };
    let step_m = 0.5;
    let mut pressure_pa = 94_000.0;
    for _ in 0..4000 {
        let k1 = slope(pressure_pa);
        let k2 = slope(pressure_pa + 0.5 * step_m * k1);
        let k3 = slope(pressure_pa + 0.5 * step_m * k2);
        let k4 = slope(pressure_pa + step_m * k3);
        pressure_pa += step_m / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    let column = column(&site, LoggerScale::StandardFromSeaLevel);
    // A sensor with a gain error of 0.2 % on the ground and at the top alike.
    let heights = column
        .true_heights_of_pressures_m(&[pressure_pa * 1.002], Pressure::new::<pascal>(94_000.0 * 1.002))
        .unwrap();
    check! {
        area: "true height", what: "2000 m above a warm, moist ground of 940 hPa, from pressure, m",
        against: "step-by-step integration of dp/dz = -rho g", leg: Independent,
        got: heights[0], want: 2000.0, within: 0.005, because: "gravity at the site's latitude differs from g0 by 1e-6",
    }
}
