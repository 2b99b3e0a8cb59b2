//! Geodesics, the plane about the pad, and shares of known shapes: tests/reference/geo.

use outside_check::check;
use silkfall_core::geo::{Cloud, Plane, Polygon, Position, Side, plane, regions};
use silkfall_core::quantity::Angle;
use silkfall_core::stats::stream::Stream;
use uom::si::angle::degree;
use uom::si::length::meter;

const GEODESICS: &str = include_str!("../reference/geo/geodesics.csv");
const PUBLISHED: &str = include_str!("../reference/geo/published.csv");
const ELLIPSES: &str = include_str!("../reference/geo/ellipses.csv");

/// Trials of a check by drawing.
const TRIALS: usize = 40_000;

fn rows<const N: usize>(table: &str) -> Vec<[f64; N]> {
    let row = |line: &str| {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        cells.try_into().expect("as many columns as asked for")
    };
    table.lines().skip(1).map(row).collect()
}

fn place(latitude_deg: f64, longitude_deg: f64) -> Position {
    Position::from_degrees(latitude_deg, longitude_deg).expect("the check names places")
}

fn turned(angle: Angle) -> f64 {
    (angle.get::<degree>() + 180.0).rem_euclid(360.0) - 180.0
}

#[test]
fn distances_and_bearings_are_the_published_ones() {
    let cases = rows::<7>(PUBLISHED);
    let ways: Vec<_> = cases
        .iter()
        .map(|[lat1, lon1, _, lat2, lon2, _, _]| plane::separation(place(*lat1, *lon1), place(*lat2, *lon2)))
        .collect();
    let against = "test cases of PyPI package geographiclib 2.1, made by C. F. F. Karney in higher precision";
    let distances = cases.iter().zip(&ways).enumerate();
    check! {
        area: "places", what: "length of geodesics over the whole Earth, m", against: against, leg: Published,
        rows: distances.map(|(row, (case, way))| (format!("row {row}"), way.distance.get::<meter>(), case[6])),
        within: 5e-8, because: "the method is stated to be good to 15 nm; some steps more for rounding",
    }
    let bearings = cases.iter().zip(&ways).enumerate();
    check! {
        area: "places", what: "bearing at the start of geodesics over the whole Earth, °", against: against, leg: Published,
        rows: bearings.map(|(row, (case, way))| (format!("row {row}"), turned(way.bearing), case[2])),
        within: 1e-12, because: "double precision of 180°, and some steps",
    }
    // New York to London, and to Singapore, as the program's manual prints them.
    let minutes = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
    let london = plane::separation(place(40.6, -73.8), place(51.6, -0.5));
    let singapore = plane::separation(
        place(minutes(40.0, 38.0, 23.0), -minutes(73.0, 46.0, 44.0)),
        place(minutes(1.0, 21.0, 33.0), minutes(103.0, 59.0, 22.0)),
    );
    let wellington = plane::separation(place(-41.32, 174.81), place(40.96, -5.50));
    check! {
        area: "places", what: "New York to London, km; to Singapore, m; Wellington to Salamanca, m",
        against: "from memory of the examples in GeographicLib's documentation", leg: Published,
        rows: [
            ("London", london.distance.get::<meter>() / 10.0, 555_176.0),
            ("Singapore", singapore.distance.get::<meter>(), 15_347_628.0),
            ("Salamanca", wellington.distance.get::<meter>(), 19_959_679.267),
        ],
        within: 0.5, because: "half a unit of the last printed digit, in m, and of 10 m for London",
    }
    check! {
        area: "places", what: "bearing of Singapore from New York, °",
        against: "from memory of GeographicLib's documentation: 3° 18' 29.9\"", leg: Published,
        got: singapore.bearing.get::<degree>(), want: minutes(3.0, 18.0, 29.9), within: 1.4e-5,
        because: "half a tenth of a second",
    }
}

#[test]
fn the_plane_about_the_pad_keeps_distances_and_bearings_from_it() {
    let cases = rows::<6>(GEODESICS);
    let against = "PyPI package geographiclib 2.1, tests/reference/geo/make.py";
    let label = |case: &[f64; 6]| format!("{}° {}°", case[0], case[1]);
    let seen = |case: &[f64; 6]| {
        plane::separation_from_pad(Plane::new(place(case[0], case[1])).to_plane(place(case[2], case[3])))
    };
    check! {
        area: "places", what: "distance in the plane, 50 m to 100 km, about pads over 180°, in the south, near a pole, m",
        against: against, leg: Independent,
        rows: cases.iter().map(|case| (label(case), seen(case).distance.get::<meter>(), case[4])),
        within: 3e-8, because: "the method is stated to be good to 15 nm on either side",
    }
    check! {
        area: "places", what: "the same: direction times distance, m", against: against, leg: Independent,
        rows: cases.iter().map(|case| {
            let off = turned(seen(case).bearing - Angle::new::<degree>(case[5]));
            (label(case), off.to_radians() * case[4], 0.0)
        }),
        within: 3e-8, because: "the method is stated to be good to 15 nm on either side",
    }
    // And the way back, from distance and bearing to the place.
    check! {
        area: "places", what: "from the plane back to the Earth, degrees of latitude", against: against, leg: Independent,
        rows: cases.iter().map(|case| {
            let bearing = case[5].to_radians();
            let back = Plane::new(place(case[0], case[1])).to_earth([case[4] * bearing.sin(), case[4] * bearing.cos()]);
            (label(case), back.latitude_deg(), case[2])
        }),
        within: 1e-12, because: "1e-12° is 0.1 µm",
    }
}

fn cloud(seed: u64, mean: [f64; 2], sd: [f64; 2]) -> Vec<[f64; 2]> {
    let mut stream = Stream::new(seed, 0);
    (0..TRIALS).map(|_| [mean[0] + sd[0] * stream.normal(), mean[1] + sd[1] * stream.normal()]).collect()
}

/// A circle as a polygon of so many corners that its area is short by 1 part in 10⁶.
fn circle(radius_m: f64) -> Polygon {
    let corners: Vec<[f64; 2]> = (0..2_600)
        .map(|k| {
            let turn = f64::from(k) * std::f64::consts::TAU / 2_600.0;
            [radius_m * turn.cos(), radius_m * turn.sin()]
        })
        .collect();
    Polygon::try_new(&corners, &[]).expect("a circle does not cross itself")
}

#[test]
fn chances_of_known_shapes_come_out() {
    // In standard errors of as many trials.
    let off = |points: &[[f64; 2]], polygon: &Polygon, want: f64| {
        let hits = points.iter().filter(|point| polygon.side(**point) == Side::Inside).count();
        (hits as f64 / TRIALS as f64 - want) / (want * (1.0 - want) / TRIALS as f64).sqrt()
    };
    let mut worst = Vec::new();
    for (row, [me, mn, se, sn, radius, want]) in rows::<6>(ELLIPSES).into_iter().enumerate() {
        let got = off(&cloud(100 + row as u64, [me, mn], [se, sn]), &circle(radius), want);
        worst.push((format!("{se} × {sn} m at {me}, {mn} in {radius} m"), got, 0.0));
    }
    check! {
        area: "places", what: "chance of a normal cloud in a circle, off by so many standard errors",
        against: "numerical integration by scipy 1.17.1, tests/reference/geo/make.py", leg: Independent,
        rows: worst, within: 3.0, because: "40,000 trials each with fixed seeds; 3 standard errors",
    }
    let points = cloud(200, [0.0, 0.0], [70.0, 70.0]);
    check! {
        area: "places", what: "share of a round normal cloud within 35 to 210 m at 70 m standard deviation",
        against: "Rayleigh: 1 - exp(-r²/2s²)", leg: Closed,
        rows: [0.5_f64, 1.0, 1.5, 2.0, 3.0].map(|r| {
            let want = 1.0 - (-0.5 * r * r).exp();
            (format!("{r} s"), off(&points, &circle(70.0 * r), want), 0.0)
        }),
        within: 3.0, because: "in standard errors of 40,000 trials",
    }
}

#[test]
fn regions_of_a_round_cloud_have_rayleighs_radii_and_hold_fresh_trials() {
    let (points, fresh) = (cloud(300, [40.0, -90.0], [70.0, 70.0]), cloud(301, [40.0, -90.0], [70.0, 70.0]));
    let mix = [Cloud::try_new(1.0, &points).unwrap()];
    let found = regions(&mix, &[0.5, 0.9, 0.99]);
    check! {
        area: "places", what: "radius of the 50, 90, 99 % regions of a round normal cloud, of its standard deviation",
        against: "Rayleigh: √(-2 ln(1 - q))", leg: Closed,
        rows: found.iter().map(|region| {
            let radius = (region.area_m2() / std::f64::consts::PI).sqrt() / 70.0;
            (format!("{} %", 100.0 * region.share), radius, (-2.0 * (1.0 - region.share).ln()).sqrt())
        }),
        within_relative: 0.02, because: "40,000 trials; half the share's standard error of the level, and the kernel",
    }
    check! {
        area: "places", what: "share of fresh trials in the 50, 90, 99 % regions",
        against: "the stated share", leg: Closed,
        rows: found.iter().map(|region| {
            let held = fresh.iter().filter(|point| region.holds(**point)).count() as f64;
            (format!("{} %", 100.0 * region.share), held / TRIALS as f64, region.share)
        }),
        within: 0.01, because: "the aim set before; 40,000 trials on either side have 0.0035 at 50 %",
    }
}

/// A still fall of 200 s in a steady wind that blows FROM the west, and what the map must show.
#[test]
fn wind_from_the_west_carries_to_the_east_in_the_south_and_at_180_degrees_too() {
    let from = Angle::new::<degree>(270.0).value;
    let (speed, time) = (6.0, 200.0);
    let drift = [-speed * time * from.sin(), -speed * time * from.cos()];
    let points = cloud(400, drift, [60.0, 60.0]);
    let found = regions(&[Cloud::try_new(1.0, &points).unwrap()], &[0.9]);
    for (latitude, longitude) in [(52.0, 5.0), (-34.0, 18.0), (-34.0, 180.0), (10.0, 180.0), (10.0, -179.999)]
    {
        let plane = Plane::new(place(latitude, longitude));
        for corner in found[0].polygons.iter().flat_map(Polygon::outer) {
            let seen = plane::separation(plane.pad(), plane.to_earth(*corner));
            let bearing = seen.bearing.get::<degree>();
            assert!((70.0..110.0).contains(&bearing), "{latitude} {longitude}: {bearing}");
            assert!((950.0..1_450.0).contains(&seen.distance.get::<meter>()));
            // East is a little more longitude, whichever way it is written at 180°.
            let more = (plane.to_earth(*corner).longitude_deg() - longitude).rem_euclid(360.0);
            assert!(more > 0.0 && more < 0.03, "{more}");
        }
    }
}
