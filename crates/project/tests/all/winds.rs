//! Tables of winds: a weather balloon's recording, and tables that are wrong on purpose, a folder a case.

use std::path::Path;

use silkfall_core::quantity::Length;
use silkfall_core::wind::{Foot, HeightIs, Profile, from_of};
use silkfall_project::winds::{Winds, read};
use uom::si::angle::degree;
use uom::si::length::meter;
use uom::si::velocity::meter_per_second;

use crate::corpus::lines;

/// See `tests/data/winds/README.md`.
const SOUNDING: &[u8] = include_bytes!("../data/winds/inland.csv");

fn rows(winds: &Winds) -> Vec<[f64; 3]> {
    let row = |level: &silkfall_core::wind::Reading| {
        [level.height.get::<meter>(), level.from.get::<degree>(), level.speed.get::<meter_per_second>()]
    };
    winds.levels.iter().map(row).collect()
}

/// The winds of a text that gives no cause for a finding.
fn clean(text: &str) -> Winds {
    let (winds, findings) = read("winds.csv", text.as_bytes());
    assert_eq!(findings, [], "{text}");
    winds.expect("no error, so winds")
}

#[test]
fn a_sounding_is_read_as_the_weather_service_writes_it() {
    let (winds, findings) = read("inland.csv", SOUNDING);
    // The balloon burst there: the last level has no wind.
    assert_eq!(
        lines(&findings),
        "note[winds-blank-cell] inland.csv:257:13: the speed is blank; the row is not used\n"
    );
    let winds = winds.unwrap();
    assert_eq!((winds.levels.len(), winds.height_is), (255, HeightIs::AboveSeaLevel));
    let near = |at: usize, want: [f64; 3]| {
        rows(&winds)[at].iter().zip(want).all(|(got, want)| (got - want).abs() < 1e-9)
    };
    assert!(near(0, [345.0, 0.0, 0.0]) && near(1, [397.0, 145.0, 5.2]) && near(27, [1540.0, 296.0, 0.6]));
    assert_eq!(winds.highest.line, 256);
}

/// Reference values by numpy, see `tests/reference/winds/make.py`.
#[test]
fn the_profile_of_a_sounding_agrees_with_numpy() {
    let winds = read("inland.csv", SOUNDING).0.unwrap();
    let reference = include_str!("../reference/winds/inland.csv");
    let mut compared = 0;
    for line in reference.lines().skip(1) {
        let [elevation, height, east, north] =
            line.split(',').map(|cell| cell.parse::<f64>().unwrap()).collect::<Vec<_>>()[..]
        else {
            panic!("{line}")
        };
        let ground = winds.height_is.of_ground(Length::new::<meter>(elevation));
        let profile = Profile::of_readings(&winds.levels, ground, Foot::Held).unwrap();
        let got = profile.at(height);
        assert!((got[0] - east).abs() < 1e-9 && (got[1] - north).abs() < 1e-9, "{line}: {got:?}");
        compared += 1;
    }
    assert_eq!(compared, 24);
}

#[test]
fn columns_in_any_order_and_units_in_headings_or_cells_are_the_same() {
    let want = rows(&clean(
        "height above ground (m),from (°),speed (m/s)\n30.48,270,5.144444444444444\n60.96,300,10.288888888888888\n",
    ));
    for text in [
        "speed (kt);from;height above ground (ft)\n10;270;100\n20;300;200\n",
        "speed_kt\tdir_deg\theight_ft_agl\n10\t270\t100\n20\t300\t200\n",
        "wind [knots],wind [degrees],height [ft agl]\n10,270,100\n20,300,200\n",
        "height above ground,wind from,wind speed\n100 ft,270°,10 kt\n200 ft,300 deg,20 kn\n",
        "# morning\nheight above ground in ft;direction;speed in km/h\n100;270;18,52\n200;300;37,04\n",
        "height agl (km),from (°),gust speed (kt),speed (mph)\n0.03048,270,99,11.507794480235425\n0.06096,300,99,23.01558896047085\n",
        // As an instrument under a parachute writes it, from the top down.
        "height above ground (ft),from (°),speed (kt)\n200,300,20\n100,270,10\n",
    ] {
        let winds = clean(text);
        assert_eq!(winds.height_is, HeightIs::AboveGround, "{text}");
        for (got, want) in rows(&winds).iter().flatten().zip(want.iter().flatten()) {
            assert!((got - want).abs() < 1e-6, "{text}: {got} {want}");
        }
    }
}

#[test]
fn headings_say_from_where_heights_count() {
    for (heading, want) in [
        ("height above sea level (m)", HeightIs::AboveSeaLevel),
        ("Altitude (ft)", HeightIs::AboveSeaLevel),
        ("alt_m_msl", HeightIs::AboveSeaLevel),
        ("height (m amsl)", HeightIs::AboveSeaLevel),
        ("geopotential height (m)", HeightIs::AboveSeaLevel),
        ("altitude above ground (m)", HeightIs::AboveGround),
        ("height (m AGL)", HeightIs::AboveGround),
    ] {
        assert_eq!(clean(&format!("{heading},from,speed (kt)\n100,20,5\n")).height_is, want, "{heading}");
    }
}

#[test]
fn calm_air_needs_no_direction_and_360_is_north() {
    let winds = clean("height above ground (m),from (°),speed (m/s)\n0,,0\n50,360,4\n");
    let profile = Profile::of_readings(&winds.levels, Length::new::<meter>(0.0), Foot::Held).unwrap();
    assert_eq!(from_of(profile.at(0.0)).0, None);
    let [east, north] = profile.at(50.0);
    assert!(east.abs() < 1e-9 && (north + 4.0).abs() < 1e-9);
}

#[test]
fn every_case_of_the_corpus_of_winds_gives_the_problems_expected() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus-winds");
    let mut cases: Vec<_> = std::fs::read_dir(corpus).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 20, "only {} cases", cases.len());
    for case in cases {
        let (winds, findings) = read("winds.csv", &std::fs::read(case.join("winds.csv")).unwrap());
        let answer = winds.map_or("no wind\n".to_owned(), |winds| {
            rows(&winds)
                .iter()
                .map(|[height, from, speed]| format!("{height:.1} m, from {from:.1}°, {speed:.2} m/s\n"))
                .collect()
        });
        let found = lines(&findings) + &answer;
        let expected = std::fs::read_to_string(case.join("expected.txt")).unwrap_or_default();
        assert!(!findings.is_empty(), "{}: no problem found", case.display());
        assert_eq!(found, expected, "{}", case.display());
    }
}
