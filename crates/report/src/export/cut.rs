//! Cutting polygons at 180° of longitude (RFC 7946, 3.1.9).
//!
//! On either side of the seam the rings fall into chains that begin and end on it. With the inside to the left of every ring, the
//! inside west of the seam is walked round by going north along the seam from where a chain ends to where the next begins, that
//! east of it by going south. Rings that do not meet the seam stay whole; holes go to the part they lie in.

use super::{Degrees, Rings};

/// A polygon whose longitudes run on beyond ±180° to its parts within them. Rings without their first position
/// again at the end; the outer one anticlockwise, holes clockwise.
pub(super) fn at_180(rings: Rings) -> Vec<Rings> {
    let longitudes = || rings.iter().flatten().map(|place| place[0]);
    let (least, greatest) =
        (longitudes().fold(f64::INFINITY, f64::min), longitudes().fold(f64::NEG_INFINITY, f64::max));
    let seam = match (least < -180.0, greatest > 180.0) {
        (false, false) => return vec![rings],
        (true, _) => -180.0,
        (false, true) => 180.0,
    };
    let west = side(&rings, seam, Side::West);
    let east = side(&rings, seam, Side::East);
    let turned = |parts: Vec<Rings>, by: f64| {
        let moved = move |ring: Vec<Degrees>| ring.into_iter().map(|[x, y]| [x + by, y]).collect();
        parts.into_iter().map(move |part| part.into_iter().map(moved).collect::<Rings>()).collect::<Vec<_>>()
    };
    // Beyond -180° the western part is the one to move, beyond 180° the eastern.
    let (west, east) = if seam < 0.0 { (turned(west, 360.0), east) } else { (west, turned(east, -360.0)) };
    west.into_iter().chain(east).collect()
}

#[derive(Clone, Copy, PartialEq)]
enum Side {
    West,
    East,
}

impl Side {
    fn holds(self, longitude: f64, seam: f64) -> bool {
        (longitude > seam) == (self == Side::East)
    }
}

/// The parts of a polygon on one side of the seam.
fn side(rings: &Rings, seam: f64, side: Side) -> Vec<Rings> {
    let (mut outer, mut holes) = (Vec::new(), Vec::new());
    let mut chains: Vec<Vec<Degrees>> = Vec::new();
    for (number, ring) in rings.iter().enumerate() {
        let meets = ring.iter().any(|place| !side.holds(place[0], seam));
        let kept = ring.iter().any(|place| side.holds(place[0], seam));
        match (meets, kept) {
            (false, _) if number == 0 => outer.push(ring.clone()),
            (false, _) => holes.push(ring.clone()),
            (true, true) => chains.extend(chains_of(ring, seam, side)),
            (true, false) => {}
        }
    }
    // How far along the seam, in the direction in which it is walked.
    let along = |place: Degrees| if side == Side::West { place[1] } else { -place[1] };
    while let Some(first) = chains.pop() {
        let begin = along(first[0]);
        let mut ring = first;
        loop {
            let end = along(ring[ring.len() - 1]);
            // The nearest beginning ahead; its own beginning closes the ring.
            let next = (0..chains.len())
                .map(|index| (along(chains[index][0]), index))
                .filter(|(start, _)| *start >= end && (begin < end || *start < begin))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            match next {
                Some((_, index)) => ring.extend(chains.swap_remove(index)),
                None => break,
            }
        }
        ring.dedup();
        if ring.first() == ring.last() {
            ring.pop();
        }
        if ring.len() >= 3 {
            outer.push(ring);
        }
    }
    let mut parts: Vec<Rings> = outer.into_iter().map(|ring| vec![ring]).collect();
    for hole in holes {
        if let Some(part) = parts.iter_mut().find(|part| inside(&part[0], hole[0])) {
            part.push(hole);
        }
    }
    parts
}

/// The stretches of a ring on one side, from the seam to the seam.
fn chains_of(ring: &[Degrees], seam: f64, side: Side) -> Vec<Vec<Degrees>> {
    let crossing = |a: Degrees, b: Degrees| {
        let share = (seam - a[0]) / (b[0] - a[0]);
        [seam, a[1] + share * (b[1] - a[1])]
    };
    // Begin where the ring comes over to this side, so that no chain is split.
    let count = ring.len();
    let holds = |index: usize| side.holds(ring[index % count][0], seam);
    let start = (0..count).find(|index| !holds(*index) && holds(index + 1)).unwrap_or(0);
    let mut chains: Vec<Vec<Degrees>> = Vec::new();
    for index in start..start + count {
        let (a, b) = (ring[index % count], ring[(index + 1) % count]);
        match (holds(index), holds(index + 1)) {
            (false, true) => chains.push(vec![crossing(a, b), b]),
            (true, true) => chains.last_mut().expect("a chain has begun").push(b),
            (true, false) => chains.last_mut().expect("a chain has begun").push(crossing(a, b)),
            (false, false) => {}
        }
    }
    chains
}

/// Whether a place is inside a ring, even-odd.
fn inside(ring: &[Degrees], [x, y]: Degrees) -> bool {
    let mut odd = false;
    let mut a = ring[ring.len() - 1];
    for &b in ring {
        if (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
            odd = !odd;
        }
        a = b;
    }
    odd
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(rings: &Rings) -> f64 {
        let ring = |ring: &Vec<Degrees>| {
            let next = ring.iter().skip(1).chain(ring.first());
            0.5 * ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>()
        };
        rings.iter().map(ring).sum()
    }

    /// The parts lie within ±180°, turn anticlockwise and have the area of the whole.
    fn assert_sound(whole: Rings, parts: usize) -> Vec<Rings> {
        let want = area(&whole);
        let cut = at_180(whole);
        assert_eq!(cut.len(), parts, "{cut:?}");
        assert!(cut.iter().flatten().flatten().all(|place| place[0].abs() <= 180.0), "{cut:?}");
        assert!(cut.iter().all(|part| area(part) > 0.0), "{cut:?}");
        assert!((cut.iter().map(area).sum::<f64>() - want).abs() < 1e-9, "{want} {cut:?}");
        cut
    }

    #[test]
    fn a_square_becomes_two_halves_whichever_way_its_longitudes_run_on() {
        for west in [179.0, -181.0] {
            let ring = vec![[west, 0.0], [west + 2.0, 0.0], [west + 2.0, 1.0], [west, 1.0]];
            let cut = assert_sound(vec![ring], 2);
            assert!(
                cut[0][0].iter().all(|place| place[0] >= 179.0),
                "the western half ends at 180°: {cut:?}"
            );
            assert!(
                cut[1][0].iter().all(|place| place[0] <= -179.0),
                "the eastern half begins at -180°: {cut:?}"
            );
        }
    }

    #[test]
    fn what_does_not_cross_stays_as_it_is() {
        let ring = vec![[178.0, 0.0], [180.0, 0.0], [180.0, 1.0]];
        assert_eq!(at_180(vec![ring.clone()]), [vec![ring]]);
    }

    #[test]
    fn a_comb_over_the_seam_falls_into_its_teeth() {
        // Two teeth reach east over the seam from a back in the west.
        let comb = vec![
            [178.0, 0.0],
            [182.0, 0.0],
            [182.0, 1.0],
            [179.0, 1.0],
            [179.0, 2.0],
            [181.0, 2.0],
            [181.0, 3.0],
            [178.0, 3.0],
        ];
        assert_sound(vec![comb.clone()], 3);
        // And from a back in the east.
        let mirrored = comb.iter().rev().map(|[x, y]| [360.0 - x, *y]).collect();
        assert_sound(vec![mirrored], 3);
    }

    #[test]
    fn holes_are_kept_on_their_side_and_opened_where_they_meet_the_seam() {
        let outer = vec![[170.0, -5.0], [190.0, -5.0], [190.0, 5.0], [170.0, 5.0]];
        let hole = |west: f64, east: f64| vec![[west, -1.0], [west, 1.0], [east, 1.0], [east, -1.0]];
        let cut =
            assert_sound(vec![outer.clone(), hole(172.0, 174.0), hole(186.0, 188.0), hole(179.0, 181.0)], 2);
        assert_eq!(cut.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2]);
        // Two holes over the seam, one above the other.
        let upper = vec![[179.0, 2.0], [179.0, 3.0], [181.0, 3.0], [181.0, 2.0]];
        assert_sound(vec![outer, hole(179.0, 181.0), upper], 2);
    }

    #[test]
    fn corners_on_the_seam_itself_do_no_harm() {
        assert_sound(vec![vec![[179.0, 0.0], [180.0, -1.0], [181.0, 0.0], [180.0, 1.0]]], 2);
        assert_sound(vec![vec![[180.0, 0.0], [182.0, 0.0], [182.0, 1.0], [180.0, 1.0]]], 1);
    }
}
