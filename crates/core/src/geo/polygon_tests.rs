use super::*;
use crate::stats::stream::Stream;

fn polygon(outer: &[Point], holes: &[Vec<Point>]) -> Polygon {
    Polygon::try_new(outer, holes).unwrap()
}

fn refused(outer: &[Point], holes: &[Vec<Point>]) -> PolygonError {
    Polygon::try_new(outer, holes).unwrap_err()
}

fn square(west: f64, south: f64, side: f64) -> Vec<Point> {
    vec![[west, south], [west + side, south], [west + side, south + side], [west, south + side]]
}

/// Twelve corners, some of them reaching inwards.
fn star(radius: f64) -> Vec<Point> {
    (0..12)
        .map(|k| {
            let (turn, reach) =
                (f64::from(k) * std::f64::consts::TAU / 12.0, if k % 2 == 0 { 1.0 } else { 0.6 });
            [radius * reach * turn.cos(), radius * reach * turn.sin()]
        })
        .collect()
}

#[test]
fn every_corner_and_edge_is_on_the_edge_and_a_hairs_breadth_beside_it_is_not() {
    let field = polygon(&square(0.0, 0.0, 100.0), &[square(40.0, 40.0, 20.0)]);
    for (x, y) in [
        (0.0, 0.0),
        (100.0, 100.0),
        (0.0, 37.0),
        (100.0, 1.0),
        (55.0, 0.0),
        (40.0, 40.0),
        (60.0, 55.0),
        (50.0, 60.0),
    ] {
        assert_eq!(field.side([x, y]), Side::OnEdge, "{x} {y}");
    }
    assert_eq!(field.side([1e-300, 50.0]), Side::Inside);
    assert_eq!(field.side([-1e-300, 50.0]), Side::Outside);
    assert_eq!(field.side([50.0, 40.0_f64.next_down()]), Side::Inside);
    assert_eq!(field.side([50.0, 40.0_f64.next_up()]), Side::Outside);
}

#[test]
fn the_side_of_a_slanted_edge_is_exact() {
    // On the line y = x/3 only multiples that rounding leaves alone are; the sign must say which.
    let wedge = polygon(&[[0.0, 0.0], [300.0, 100.0], [0.0, 100.0]], &[]);
    let mut on_edge = 0;
    for k in 1..300 {
        let y = f64::from(k) / 3.0;
        let want = match () {
            _ if k % 3 == 0 => Side::OnEdge,
            // The rounding of k/3: exact by one fused step.
            _ if 3.0_f64.mul_add(y, -f64::from(k)) > 0.0 => Side::Inside,
            _ => Side::Outside,
        };
        on_edge += u32::from(want == Side::OnEdge);
        assert_eq!(wedge.side([f64::from(k), y]), want, "{k}");
    }
    assert_eq!(on_edge, 99);
}

/// Whether a point is inside by the angle that the ring turns through as seen from it: another way to the same.
fn turns_around(corners: &[Point], p: Point) -> bool {
    let mut turned = 0.0;
    for (index, a) in corners.iter().enumerate() {
        let b = corners[(index + 1) % corners.len()];
        let (u, v) = ([a[0] - p[0], a[1] - p[1]], [b[0] - p[0], b[1] - p[1]]);
        turned += (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1]);
    }
    turned.abs() > std::f64::consts::PI
}

#[test]
fn inside_agrees_with_the_winding_angle_and_area_with_the_share_of_points() {
    let corners = star(100.0);
    let field = polygon(&corners, &[square(-20.0, -10.0, 30.0)]);
    let mut stream = Stream::new(11, 0);
    let (mut hits, n) = (0_u32, 40_000_u32);
    for _ in 0..n {
        let p = [stream.rectangular(-100.0, 100.0), stream.rectangular(-100.0, 100.0)];
        let in_hole = p[0] > -20.0 && p[0] < 10.0 && p[1] > -10.0 && p[1] < 20.0;
        let want = turns_around(&corners, p) && !in_hole;
        assert_eq!(field.side(p) == Side::Inside, want, "{p:?}");
        hits += u32::from(want);
    }
    let share = f64::from(hits) / f64::from(n);
    let expected = field.area_m2() / 40_000.0;
    let standard_error = (expected * (1.0 - expected) / f64::from(n)).sqrt();
    assert!((share - expected).abs() < 3.0 * standard_error, "{share} {expected}");
}

#[test]
fn area_is_that_of_the_outer_ring_less_its_holes_whichever_way_they_turn() {
    let mut turned = square(40.0, 40.0, 20.0);
    turned.reverse();
    for hole in [square(40.0, 40.0, 20.0), turned] {
        let mut outer = square(0.0, 0.0, 100.0);
        for _ in 0..2 {
            outer.reverse();
            let field = polygon(&outer, std::slice::from_ref(&hole));
            assert!((field.area_m2() - 9_600.0).abs() < 1e-9);
            assert!(signed_area_m2(field.outer()) > 0.0);
            assert!(field.holes().all(|hole| signed_area_m2(hole) < 0.0));
        }
    }
    // A square metre, 3,000 km away.
    let far = polygon(&square(3e6, -3e6, 1.0), &[]);
    assert!((far.area_m2() - 1.0).abs() < 1e-9);
}

#[test]
fn distance_is_to_the_nearest_edge_of_any_ring() {
    let field = polygon(&square(0.0, 0.0, 100.0), &[square(40.0, 40.0, 20.0)]);
    for (p, want) in [
        ([10.0, 50.0], 10.0),
        ([35.0, 50.0], 5.0),
        ([50.0, 50.0], 10.0),
        ([103.0, 104.0], 5.0),
        ([100.0, 70.0], 0.0),
    ] {
        assert!((field.distance_to_edge_m(p) - want).abs() < 1e-12, "{p:?}");
    }
}

#[test]
fn a_closed_ring_and_doubled_corners_are_the_same_polygon() {
    let plain = polygon(&square(0.0, 0.0, 10.0), &[]);
    let mut closed = square(0.0, 0.0, 10.0);
    closed.insert(2, [10.0, 0.0]);
    closed.push([0.0, 0.0]);
    assert_eq!(polygon(&closed, &[]), plain);
    assert_eq!(plain.outer().len(), 4);
}

#[test]
fn a_ring_that_crosses_itself_is_refused_with_the_place() {
    let bow = [[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]];
    let PolygonError::CrossesItself { ring, edges, place_m } = refused(&bow, &[]) else { panic!() };
    assert_eq!((ring, edges, place_m), (RingName(0), [0, 2], [5.0, 5.0]));
    assert_eq!(refused(&bow, &[]).to_string(), "the outer ring crosses or touches itself");
    // A spike that goes back along itself, and a corner that touches an edge.
    let spike = [[0.0, 0.0], [10.0, 0.0], [20.0, 0.0], [10.0, 0.0], [10.0, 10.0]];
    assert!(matches!(refused(&spike, &[]), PolygonError::CrossesItself { .. }));
    let touch = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [5.0, 0.0], [0.0, 10.0]];
    assert!(matches!(refused(&touch, &[]), PolygonError::CrossesItself { place_m: [5.0, 0.0], .. }));
    let line = [[0.0, 0.0], [5.0, 5.0], [10.0, 10.0]];
    assert!(matches!(refused(&line, &[]), PolygonError::CrossesItself { .. }));
}

#[test]
fn edges_are_named_as_the_caller_counts_corners() {
    // The first corner stands twice, so that what is kept is numbered otherwise than what was given.
    let bow = [[0.0, 0.0], [0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0], [0.0, 0.0]];
    let PolygonError::CrossesItself { edges, .. } = refused(&bow, &[]) else { panic!() };
    assert_eq!(edges, [0, 3]);
}

#[test]
fn of_several_crossings_the_first_in_the_file_is_told() {
    let mut corners = Vec::new();
    // Bows in a row from east to west: the sweep meets the last one first.
    for k in 0..5 {
        let x = -20.0 * f64::from(k);
        corners.extend([[x, 0.0], [x - 10.0, 10.0], [x - 10.0, 0.0], [x, 10.0], [x - 15.0, 20.0 + x.abs()]]);
    }
    let PolygonError::CrossesItself { edges, place_m, .. } = refused(&corners, &[]) else { panic!() };
    assert_eq!((edges, place_m), ([0, 2], [-5.0, 5.0]));
}

#[test]
fn holes_lie_inside_the_ring_and_outside_one_another() {
    let outer = square(0.0, 0.0, 100.0);
    let error = |holes: &[Vec<Point>]| refused(&outer, holes);
    assert_eq!(error(&[square(200.0, 0.0, 10.0)]), PolygonError::HoleOutside { ring: RingName(1) });
    assert_eq!(
        error(&[square(10.0, 10.0, 50.0), square(20.0, 20.0, 5.0)]),
        PolygonError::HoleInHole { rings: [RingName(1), RingName(2)] }
    );
    assert_eq!(
        error(&[square(20.0, 20.0, 5.0), square(10.0, 10.0, 50.0)]),
        PolygonError::HoleInHole { rings: [RingName(1), RingName(2)] }
    );
    assert!(matches!(
        error(&[square(90.0, 10.0, 20.0)]),
        PolygonError::RingsCross { rings: [RingName(0), RingName(1)], .. }
    ));
    assert!(matches!(
        error(&[square(10.0, 10.0, 20.0), square(20.0, 20.0, 20.0)]),
        PolygonError::RingsCross { rings: [RingName(1), RingName(2)], .. }
    ));
    assert!(
        matches!(error(std::slice::from_ref(&outer)), PolygonError::RingsCross { .. }),
        "a hole as large as the field"
    );
    assert_eq!(error(&[square(90.0, 10.0, 20.0)]).to_string(), "the outer ring and hole 1 cross");
    // A hole that touches the ring or another hole in a point is sound.
    let touching = vec![[0.0, 50.0], [10.0, 40.0], [10.0, 60.0]];
    let beside = vec![[10.0, 40.0], [20.0, 40.0], [20.0, 30.0]];
    assert_eq!(polygon(&outer, &[touching, beside]).holes().len(), 2);
    // A hole that crosses the ring through two of its corners.
    let through = vec![[100.0, 0.0], [120.0, 120.0], [100.0, 100.0], [50.0, 50.0]];
    assert!(matches!(error(&[through]), PolygonError::RingsCross { .. }));
}

#[test]
fn too_few_corners_and_no_numbers_are_refused() {
    assert_eq!(
        refused(&[[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]], &[]),
        PolygonError::TooFew { ring: RingName(0), corners: 2 }
    );
    assert_eq!(refused(&[], &[]), PolygonError::TooFew { ring: RingName(0), corners: 0 });
    let broken = vec![[1.0, 1.0], [f64::NAN, 2.0], [2.0, 1.0]];
    assert_eq!(
        refused(&square(0.0, 0.0, 10.0), &[broken]).to_string(),
        "corner 2 of hole 1 is not a finite number"
    );
}

#[test]
fn a_ring_of_twenty_thousand_corners_is_checked_without_comparing_all_pairs() {
    let corners: Vec<Point> = (0..20_000)
        .map(|k| {
            let turn = f64::from(k) * std::f64::consts::TAU / 20_000.0;
            [1_000.0 * turn.cos(), 1_000.0 * turn.sin()]
        })
        .collect();
    let circle = polygon(&corners, &[]);
    assert!((circle.area_m2() / (std::f64::consts::PI * 1e6) - 1.0).abs() < 1e-6);
}
