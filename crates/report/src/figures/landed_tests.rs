//! Figures of landings: what points where, equal scales, rings and their labels, ends of bands.

use std::f64::consts::{PI, TAU};

use silkfall_core::quantity::System;

use super::landings::*;
use super::*;

fn ring(middle: [f64; 2], half: [f64; 2]) -> Patch {
    let at = |step: i32| {
        let angle = TAU * f64::from(step % 36) / 36.0;
        [middle[0] + half[0] * angle.cos(), middle[1] + half[1] * angle.sin()]
    };
    Patch { name: None, rings_m: vec![(0..=36).map(at).collect()] }
}

/// Two clusters 400 m apart: two rings a share.
fn field(from_rad: f64, speed_m_per_s: f64) -> FieldMap {
    let clusters = [[140.0, 0.0], [540.0, 30.0]];
    let region = |share, half: f64| ShareRegion {
        share,
        polygons: clusters.map(|middle| ring(middle, [half, 0.7 * half])).to_vec(),
    };
    FieldMap {
        edges: vec![ring([200.0, 0.0], [700.0, 420.0])],
        keep_outs: vec![Patch { name: Some("car park".to_owned()), ..ring([300.0, -250.0], [80.0, 50.0]) }],
        regions: vec![region(0.5, 60.0), region(0.9, 110.0), region(0.99, 160.0)],
        worst: Some(NamedRegion {
            label: "99 % if nothing opens".to_owned(),
            polygons: vec![ring([60.0, 0.0], [50.0, 40.0])],
        }),
        samples_m: vec![[140.0, 0.0], [540.0, 30.0]],
        better_pad_m: Some([-90.0, 20.0]),
        wind: GroundWind { from_rad, speed_m_per_s },
    }
}

fn set(drawing: Drawing, width: f64) -> String {
    canvas(&drawing, &[], "f", width, System::Si).finish("wide", "t", "d").0
}

fn attribute(element: &str, name: &str) -> f64 {
    let from = element.find(&format!(" {name}=\"")).unwrap_or_else(|| panic!("no {name} in {element}"));
    element[from..].split('"').nth(1).unwrap().parse().unwrap()
}

fn elements<'a>(svg: &'a str, name: &str) -> Vec<&'a str> {
    let begin = format!("{name} ");
    svg.split('<').filter(|element| element.starts_with(&begin)).collect()
}

/// How often a text is written in ink; its rims do not count.
fn written(svg: &str, text: &str) -> usize {
    let end = format!(">{text}");
    elements(svg, "text").iter().filter(|of| of.contains("fill=\"#17212B\"") && of.ends_with(&end)).count()
}

/// Places of a path's or polyline's corners.
fn places(of: &str) -> Vec<(f64, f64)> {
    of.trim_matches(['M', 'Z'])
        .split(' ')
        .map(|place| place.split_once(',').unwrap())
        .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
        .collect()
}

fn path_of(element: &str) -> &str {
    element.split(" d=\"").nth(1).unwrap().split('"').next().unwrap()
}

#[test]
fn the_arrow_points_where_the_air_goes() {
    for (from_rad, says, east, south) in [
        (1.5 * PI, "from W 4 m/s", 1.0, 0.0),
        (0.0, "from N 4 m/s", 0.0, 1.0),
        (0.5 * PI, "from E 4 m/s", -1.0, 0.0),
        (1.25 * PI, "from SW 4 m/s", 0.5_f64.sqrt(), -(0.5_f64.sqrt())),
    ] {
        let svg = set(Drawing::Map(field(from_rad, 4.0)), WIDE);
        assert!(svg.replace('\u{a0}', " ").contains(says), "{says}");
        let shaft = elements(&svg, "line")[0];
        let (dx, dy) = (
            attribute(shaft, "x2") - attribute(shaft, "x1"),
            attribute(shaft, "y2") - attribute(shaft, "y1"),
        );
        let length = dx.hypot(dy);
        assert!((dx / length - east).abs() < 0.01 && (dy / length - south).abs() < 0.01, "{says}: {dx} {dy}");
        // The tip with its barbs is at the end where the air goes.
        let barbs = elements(&svg, "polyline")[0];
        let tip = places(barbs.split(" points=\"").nth(1).unwrap().split('"').next().unwrap())[1];
        assert!(
            (tip.0 - attribute(shaft, "x2")).abs() < 0.11 && (tip.1 - attribute(shaft, "y2")).abs() < 0.11
        );
    }
    assert!(set(Drawing::Map(field(0.0, 0.0)), WIDE).contains(">calm<"));
}

/// A wind from the west carries to the east: the region of the fixture, which lies east, is drawn right of the pad.
#[test]
fn east_is_right_and_north_is_up_at_one_scale() {
    for width in [WIDE, NARROW] {
        let mut map = field(1.5 * PI, 4.0);
        map.regions.truncate(1);
        map.regions[0].polygons = vec![ring([140.0, 60.0], [50.0, 50.0])];
        map.worst = None;
        map.keep_outs.clear();
        let svg = set(Drawing::Map(map), width);
        // The pad's circle, and the ring of the share: a circle on the ground is one on the map.
        let pad = elements(&svg, "circle")[0];
        let strong =
            elements(&svg, "path").into_iter().find(|path| path.contains("stroke-width=\"2.4\"")).unwrap();
        let corners = places(path_of(strong));
        let span = |of: &dyn Fn(&(f64, f64)) -> f64| {
            let low = corners.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            (high - low, f64::midpoint(low, high))
        };
        let ((across, x), (up, y)) = (span(&|at| at.0), span(&|at| at.1));
        assert!((across - up).abs() < 0.21, "{width}: {across} by {up}");
        let (east, north) = (x - attribute(pad, "cx"), attribute(pad, "cy") - y);
        let px_per_m = across / 100.0;
        assert!(
            (east - 140.0 * px_per_m).abs() < 0.3 && (north - 60.0 * px_per_m).abs() < 0.3,
            "{east} {north}"
        );
        // The bar is as long as it says.
        let bar = elements(&svg, "polyline").into_iter().next_back().unwrap();
        let bar = places(bar.split(" points=\"").nth(1).unwrap().split('"').next().unwrap());
        let metres: f64 =
            svg.rsplit(" m</text>").nth(1).unwrap().rsplit('>').next().unwrap().parse().unwrap();
        assert!((bar[3].0 - bar[0].0 - metres * px_per_m).abs() < 0.3, "{metres} m on {bar:?}");
    }
}

#[test]
fn each_share_has_its_rings_and_labels() {
    let svg = set(Drawing::Map(field(1.5 * PI, 4.0)), WIDE);
    let rings = |stroke: &str| elements(&svg, "path").iter().filter(|path| path.contains(stroke)).count();
    assert_eq!((rings("stroke-width=\"2.4\""), rings("stroke-dasharray=\"7 3\"")), (2, 2));
    assert_eq!(rings("stroke-dasharray=\"1.5 3.5\""), 1, "the worst case's outline is dotted");
    let said = |text: &str| written(&svg, text);
    for share in ["50\u{a0}%", "90\u{a0}%", "99\u{a0}%"] {
        let plain = share.replace('\u{a0}', " ");
        assert_eq!(said(share) + said(&plain), 2, "{share}");
    }
    assert!(svg.contains(">99 % if nothing opens</text>") && svg.contains(">car park</text>"));
    assert!(svg.contains("url(#f-keep-out)"), "places to keep out of are hatched");
    assert!(!svg.contains("beyond the map"));
}

#[test]
fn a_patch_far_off_does_not_dwarf_the_field_and_is_named() {
    let mut map = field(1.5 * PI, 4.0);
    map.regions[2].polygons.push(ring([20_000.0, 0.0], [30.0, 30.0]));
    let svg = set(Drawing::Map(map), WIDE).replace('\u{a0}', " ");
    assert!(svg.contains("beyond the map: 99 %, as far as 20000 m E"), "{svg}");
    let strong =
        elements(&svg, "path").into_iter().find(|path| path.contains("stroke-width=\"2.4\"")).unwrap();
    let xs = places(path_of(strong)).into_iter().map(|at| at.0);
    let across = xs.clone().fold(f64::NEG_INFINITY, f64::max) - xs.fold(f64::INFINITY, f64::min);
    assert!(across > 30.0, "{across}");
}

fn roses(count: usize) -> WindRoses {
    let range = |low_m_per_s, high_m_per_s| WindRange {
        low_m_per_s,
        high_m_per_s,
        reaches_beyond: high_m_per_s >= 15.0,
    };
    let sector = |at: usize| RoseSector {
        from_rad: TAU * at as f64 / 16.0,
        ranges: match at {
            0 => vec![range(2.0, 6.0)],
            4 => vec![range(0.0, 15.0)],
            8 => Vec::new(),
            _ => vec![range(0.0, 3.0 + at as f64 / 4.0)],
        },
        sure: if at == 0 { vec![range(3.0, 5.0)] } else { Vec::new() },
    };
    let rose = |at: usize| WindRose {
        label: format!("case {at}: one stays shut and the other opens late"),
        sectors: (0..16).map(sector).collect(),
    };
    WindRoses {
        roses: (0..count).map(rose).collect(),
        strongest_m_per_s: 15.0,
        dress: RoseDress::Pickable,
        today: Today {
            wind: GroundWind { from_rad: 1.5 * PI, speed_m_per_s: 4.0 },
            speeds_m_per_s: Some((2.5, 6.0)),
            from_rad: Some((1.3 * PI, 1.7 * PI)),
        },
    }
}

/// The radii of a band, from its arcs.
fn radii(element: &str) -> Vec<f64> {
    let arcs = path_of(element).split('A').skip(1);
    arcs.map(|arc| arc.split(',').next().unwrap().parse().unwrap()).collect()
}

#[test]
fn bands_of_the_rose_run_between_both_ends() {
    for width in [WIDE, NARROW] {
        let svg = set(Drawing::Roses(roses(1)), width);
        let rim = elements(&svg, "circle")
            .into_iter()
            .filter(|circle| circle.contains("fill=\"none\""))
            .map(|circle| attribute(circle, "r"))
            .fold(0.0, f64::max);
        let striped: Vec<&str> =
            elements(&svg, "path").into_iter().filter(|path| path.contains("url(#f-stripes)")).collect();
        assert_eq!(striped.len(), 15, "a band a direction, none from the south");
        // From the north 2 to 6 m/s, on a rim of 15 m/s: it begins away from the middle.
        let north = radii(striped[0]);
        assert!((north[0] - rim * 6.0 / 15.0).abs() < 0.11 && (north[1] - rim * 2.0 / 15.0).abs() < 0.11);
        assert_eq!(radii(striped[1]).len(), 1, "from calm on it begins in the middle");
        let sure =
            elements(&svg, "path").into_iter().find(|path| path.contains("fill-opacity=\"0.5\"")).unwrap();
        let sure = radii(sure);
        assert!((sure[0] - rim * 5.0 / 15.0).abs() < 0.11 && (sure[1] - rim * 3.0 / 15.0).abs() < 0.11);
        // Today's wind from the west stands left of the middle, 4 m/s out.
        let centre = elements(&svg, "circle").into_iter().find(|c| c.contains("fill=\"none\"")).unwrap();
        let today = elements(&svg, "circle").into_iter().find(|c| !c.contains("fill=\"none\"")).unwrap();
        assert!((attribute(centre, "cx") - attribute(today, "cx") - rim * 4.0 / 15.0).abs() < 0.11);
        assert!((attribute(centre, "cy") - attribute(today, "cy")).abs() < 0.11);
        for speed in ["5 m/s", "10 m/s", "15 m/s"] {
            assert!(svg.contains(&format!(">{speed}</text>")), "{width}: {speed}");
        }
    }
}

fn descent(count: usize) -> DescentLines {
    let line = |at: usize| DescentLine {
        label: format!("case {at} opens late"),
        points: (0..=60)
            .map(|step| f64::from(step) / 60.0)
            .map(|done| DescentPoint {
                time_s: done * (20.0 + 17.0 * at as f64),
                height_m: 450.0 * (1.0 - done),
                drift_m: (30.0 + 40.0 * at as f64) * done * (2.0 - done),
            })
            .collect(),
    };
    DescentLines { cases: (0..count).map(line).collect() }
}

fn opening() -> OpeningCurve {
    let mark = |step: i32| {
        let height_m = 60.0 + 30.0 * f64::from(step);
        OpeningMark { height_m, drift_m: 40.0 + 0.8 * height_m, in_time: 0.99, inside: Some(0.985) }
    };
    OpeningCurve { points: (0..12).map(mark).collect(), lowest_m: 112.0, planned_m: 118.0 }
}

#[test]
fn a_line_a_case_told_apart_by_dashes_and_named() {
    for width in [WIDE, NARROW] {
        let svg = set(Drawing::Descent(descent(3)), width);
        for case in 0..3 {
            let named = written(&svg, &format!("case {case} opens late"));
            assert_eq!(named, 2, "{width}: case {case} is named in both panels");
        }
        assert_eq!(svg.matches("stroke-dasharray=\"7 4\"").count(), 2);
        assert_eq!(svg.matches("stroke-dasharray=\"1.5 3.5\"").count(), 2);
    }
}

#[test]
fn below_the_lowest_safe_height_is_hatched() {
    let svg = set(Drawing::Opening(opening()), WIDE);
    let hatched: Vec<&str> =
        elements(&svg, "rect").into_iter().filter(|rect| rect.contains("url(#f-too-low)")).collect();
    let ruled =
        elements(&svg, "line").into_iter().find(|line| line.contains("stroke-width=\"1.8\"")).unwrap();
    assert_eq!(hatched.len(), 2);
    for rect in hatched {
        let right = attribute(rect, "x") + attribute(rect, "width");
        assert!((right - attribute(ruled, "x1")).abs() < 0.21, "{right}");
    }
    assert!(svg.contains(">lowest safe 112 m</text>") && svg.contains(">planned 118 m</text>"));
}

#[test]
fn texts_keep_apart_and_inside() {
    for width in [WIDE, NARROW] {
        for system in [System::Si, System::Us] {
            for drawing in [
                Drawing::Map(field(1.5 * PI, 4.0)),
                Drawing::Descent(descent(1)),
                Drawing::Descent(descent(6)),
                Drawing::Roses(roses(1)),
                Drawing::Roses(roses(5)),
                Drawing::Opening(opening()),
            ] {
                let canvas = canvas(&drawing, &[], "f", width, system);
                for (at, one) in canvas.boxes().iter().enumerate() {
                    assert!(
                        one.left >= -0.5 && one.right <= canvas.width + 0.5,
                        "{width}: {one:?} in {drawing:?}"
                    );
                    assert!(one.top >= -0.5 && one.bottom <= canvas.height + 0.5, "{width}: {one:?}");
                    for other in &canvas.boxes()[at + 1..] {
                        assert!(!one.meets(other), "{width}: {one:?} on {other:?} in {drawing:?}");
                    }
                }
            }
        }
    }
}
