//! Polygons in the plane: an outer ring and holes. What is inside, how far it is to the edge, how large it is,
//! and where a ring crosses itself.
//!
//! - Inside: even-odd over all rings, by the sign of (b - a) × (p - a) for the edges that pass p's north coordinate. That sign is
//!   exact, however near the point is to an edge.
//! - Distance to the edge, m: the least over all edges of |p - q|, q the nearest point of the edge.
//! - Area, m²: ½ Σ (xᵢ yᵢ₊₁ - xᵢ₊₁ yᵢ) of the outer ring less that of the holes.
//!
//! Sources: J. R. Shewchuk, "Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates", Discrete &
//! Computational Geometry 18 (1997) 305-363, by the crate robust; what makes a polygon valid: OGC 06-103r4 (ISO 19125-1), 6.1.11.
//!
//! A polygon is checked when it is made, once: rings do not touch or cross themselves, do not cross one another, and holes lie
//! inside the outer ring and outside one another. Two rings may touch in single points. Not done: curved edges, unions.

use std::fmt;

use robust::{Coord, orient2d};

use super::Point;
use crate::maths::sqrt;

/// A ring of a polygon in words: the outer one is 0, the holes follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RingName(pub usize);

impl fmt::Display for RingName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("the outer ring"),
            hole => write!(f, "hole {hole}"),
        }
    }
}

/// Why rings make no polygon. Rings count from 0, the outer one; edges are named by the corner they start at, from 0.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PolygonError {
    /// A ring of fewer than three different corners.
    #[error("{ring} has {corners} different corners, where at least 3 are needed")]
    TooFew {
        /// Which ring.
        ring: RingName,
        /// How many corners differ from the one before them.
        corners: usize,
    },
    /// A coordinate that is no number.
    #[error("corner {} of {ring} is not a finite number", corner + 1)]
    NotFinite {
        /// Which ring.
        ring: RingName,
        /// Which corner, from 0.
        corner: usize,
    },
    /// Two edges of one ring meet elsewhere than in a corner that they share.
    #[error("{ring} crosses or touches itself")]
    CrossesItself {
        /// Which ring.
        ring: RingName,
        /// The first corners of the two edges, from 0, the lesser first.
        edges: [usize; 2],
        /// Where they meet, m.
        place_m: Point,
    },
    /// Two rings cross, or run along one another.
    #[error("{} and {} cross", rings[0], rings[1])]
    RingsCross {
        /// Which rings, the lesser first.
        rings: [RingName; 2],
        /// Where, m.
        place_m: Point,
    },
    /// A hole that lies outside the outer ring.
    #[error("{ring} lies outside the outer ring")]
    HoleOutside {
        /// Which ring.
        ring: RingName,
    },
    /// A hole within a hole.
    #[error("{} and {} lie one in the other", rings[0], rings[1])]
    HoleInHole {
        /// Which rings, the lesser first.
        rings: [RingName; 2],
    },
}

/// On which side of a polygon's edge a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Inside the outer ring and in no hole.
    Inside,
    /// Exactly on an edge or a corner.
    OnEdge,
    /// Outside, or in a hole.
    Outside,
}

/// The corners of a ring, without the first one again at the end.
#[derive(Clone, Debug, PartialEq)]
struct Ring {
    corners: Vec<Point>,
}

/// A polygon with holes, in plane metres. The outer ring runs anticlockwise, holes clockwise, whichever way they were given.
#[derive(Clone, Debug, PartialEq)]
pub struct Polygon {
    rings: Vec<Ring>,
    bounds: Bounds,
}

/// The least rectangle along the axes that holds a polygon, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Westernmost and southernmost.
    pub least_m: Point,
    /// Easternmost and northernmost.
    pub greatest_m: Point,
}

impl Bounds {
    /// Of some points; `None` without any.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Option<Bounds> {
        points.into_iter().fold(None, |bounds: Option<Bounds>, [x, y]| match bounds {
            None => Some(Bounds { least_m: [x, y], greatest_m: [x, y] }),
            Some(Bounds { least_m: [w, s], greatest_m: [e, n] }) => {
                Some(Bounds { least_m: [w.min(x), s.min(y)], greatest_m: [e.max(x), n.max(y)] })
            }
        })
    }

    /// The same with so much more room on every side, m.
    #[must_use]
    pub fn wider(self, by_m: f64) -> Bounds {
        let Bounds { least_m: [w, s], greatest_m: [e, n] } = self;
        Bounds { least_m: [w - by_m, s - by_m], greatest_m: [e + by_m, n + by_m] }
    }

    /// Whether a point is inside or on it.
    pub fn hold(&self, [x, y]: Point) -> bool {
        // One test without branches in between: most points of a cloud are inside.
        (x >= self.least_m[0])
            & (x <= self.greatest_m[0])
            & (y >= self.least_m[1])
            & (y <= self.greatest_m[1])
    }
}

impl Polygon {
    /// A polygon from its outer ring and holes. A ring may bear its first corner again at its end, and corners may stand twice in a
    /// row; both are dropped. Either sense of turning is taken.
    ///
    /// # Errors
    /// [`PolygonError`], for the first ring that is wrong.
    pub fn try_new(outer: &[Point], holes: &[Vec<Point>]) -> Result<Polygon, PolygonError> {
        let mut rings = Vec::with_capacity(1 + holes.len());
        // Edges are named as the caller numbers corners, so that a reader of files finds them.
        let mut given: Vec<Vec<usize>> = Vec::with_capacity(1 + holes.len());
        for (number, corners) in std::iter::once(outer).chain(holes.iter().map(Vec::as_slice)).enumerate() {
            let ring = RingName(number);
            if let Some(corner) = corners.iter().position(|[x, y]| !x.is_finite() || !y.is_finite()) {
                return Err(PolygonError::NotFinite { ring, corner });
            }
            let mut kept: Vec<usize> = Vec::with_capacity(corners.len());
            for (index, corner) in corners.iter().enumerate() {
                if kept.last().is_none_or(|&last| !same(corners[last], *corner)) {
                    kept.push(index);
                }
            }
            while kept.len() > 1 && same(corners[kept[0]], corners[kept[kept.len() - 1]]) {
                kept.pop();
            }
            if kept.len() < 3 {
                return Err(PolygonError::TooFew { ring, corners: kept.len() });
            }
            rings.push(Ring { corners: kept.iter().map(|&index| corners[index]).collect() });
            given.push(kept);
        }
        meetings(&rings, &given)?;
        nesting(&rings)?;
        Ok(Polygon::of_sound_rings(rings.into_iter().map(|ring| ring.corners).collect()))
    }

    /// A polygon of rings that are known to be sound, as contours are: the outer one first.
    pub(super) fn of_sound_rings(rings: Vec<Vec<Point>>) -> Polygon {
        let mut rings: Vec<Ring> = rings.into_iter().map(|corners| Ring { corners }).collect();
        for (number, ring) in rings.iter_mut().enumerate() {
            if (signed_area_m2(&ring.corners) < 0.0) == (number == 0) {
                ring.corners.reverse();
            }
        }
        let bounds = Bounds::of(rings[0].corners.iter().copied()).expect("a ring has corners");
        Polygon { rings, bounds }
    }

    /// The outer ring, anticlockwise, without its first corner again at the end.
    pub fn outer(&self) -> &[Point] {
        &self.rings[0].corners
    }

    /// The holes, clockwise.
    pub fn holes(&self) -> impl ExactSizeIterator<Item = &[Point]> {
        self.rings[1..].iter().map(|ring| ring.corners.as_slice())
    }

    /// The least rectangle along the axes around it.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Inside, outside or exactly on the edge.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::geo::{Polygon, Side};
    ///
    /// let square = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
    /// let pond = vec![[40.0, 40.0], [60.0, 40.0], [60.0, 60.0], [40.0, 60.0]];
    /// let field = Polygon::try_new(&square, &[pond]).unwrap();
    /// assert_eq!(field.side([20.0, 50.0]), Side::Inside);
    /// assert_eq!(field.side([50.0, 50.0]), Side::Outside);
    /// assert_eq!(field.side([40.0, 50.0]), Side::OnEdge);
    /// ```
    pub fn side(&self, point: Point) -> Side {
        if !self.bounds.hold(point) {
            return Side::Outside;
        }
        let mut inside = false;
        for ring in &self.rings {
            match passes(&ring.corners, point) {
                Some(odd) => inside ^= odd,
                None => return Side::OnEdge,
            }
        }
        if inside { Side::Inside } else { Side::Outside }
    }

    /// Distance to the nearest edge of any ring, m, from either side.
    pub fn distance_to_edge_m(&self, point: Point) -> f64 {
        sqrt(self.edges().map(|(a, b)| square_to_segment(point, a, b)).fold(f64::INFINITY, f64::min))
    }

    /// Area of the outer ring less that of the holes, m².
    pub fn area_m2(&self) -> f64 {
        self.rings.iter().map(|ring| signed_area_m2(&ring.corners)).sum()
    }

    /// All edges of all rings.
    fn edges(&self) -> impl Iterator<Item = (Point, Point)> {
        self.rings.iter().flat_map(|ring| {
            let next = ring.corners.iter().skip(1).chain(ring.corners.first());
            ring.corners.iter().copied().zip(next.copied())
        })
    }
}

/// The sign of (b - a) × (p - a): above 0 where p lies left of the way from a to b, exactly 0 on their line.
fn left_of(a: Point, b: Point, p: Point) -> f64 {
    let coord = |[x, y]: Point| Coord { x, y };
    orient2d(coord(a), coord(b), coord(p))
}

/// Whether two places are one to the last bit.
#[expect(clippy::float_cmp, reason = "a corner that stands twice is the same number twice; near is not on")]
fn same(a: Point, b: Point) -> bool {
    a == b
}

/// Whether a ray to the east from `p` meets the ring an odd number of times; `None` on an edge or a corner.
fn passes(corners: &[Point], p: Point) -> Option<bool> {
    let mut odd = false;
    let mut a = *corners.last()?;
    for &b in corners {
        let above = a[1] > p[1];
        if above != (b[1] > p[1]) {
            // An edge wholly to the east is met, one wholly to the west is not.
            let (east, west) = (a[0].min(b[0]) > p[0], a[0].max(b[0]) < p[0]);
            if east {
                odd = !odd;
            } else if !west {
                let side = left_of(a, b, p);
                if side == 0.0 {
                    return None;
                }
                odd ^= (side > 0.0) == (b[1] > a[1]);
            }
        } else if !above && (a[1] >= p[1] || b[1] >= p[1]) {
            // One end or both are level with p, and none above: on the edge only at that end or along a level edge.
            let level = a[1] >= p[1] && b[1] >= p[1];
            let along = level && (a[0].min(b[0])..=a[0].max(b[0])).contains(&p[0]);
            if along || same(a, p) || same(b, p) {
                return None;
            }
        }
        a = b;
    }
    Some(odd)
}

/// ½ Σ (xᵢ yᵢ₊₁ - xᵢ₊₁ yᵢ), from the first corner so that little is lost far from the pad; above 0 anticlockwise.
pub(super) fn signed_area_m2(corners: &[Point]) -> f64 {
    let [x0, y0] = corners[0];
    let from_first = |[x, y]: Point| [x - x0, y - y0];
    let doubled: f64 = corners
        .windows(2)
        .map(|pair| {
            let ([ax, ay], [bx, by]) = (from_first(pair[0]), from_first(pair[1]));
            ax * by - bx * ay
        })
        .sum();
    0.5 * doubled
}

/// Square of the distance from `p` to the segment from `a` to `b`, m².
fn square_to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (ab, ap) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let length2 = ab[0] * ab[0] + ab[1] * ab[1];
    let along = if length2 > 0.0 { ((ap[0] * ab[0] + ap[1] * ab[1]) / length2).clamp(0.0, 1.0) } else { 0.0 };
    let off = [ap[0] - along * ab[0], ap[1] - along * ab[1]];
    off[0] * off[0] + off[1] * off[1]
}

/// How two segments meet.
enum Meeting {
    /// Not at all.
    None,
    /// In one point, which is an end of at least one of them.
    Touch(Point),
    /// In one point inside both, or along a stretch (then one of its ends).
    Cross(Point),
}

/// Where two segments meet, decided by exact signs; the place itself is rounded.
fn meet([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Meeting {
    let (c_side, d_side) = (left_of(a, b, c), left_of(a, b, d));
    let (a_side, b_side) = (left_of(c, d, a), left_of(c, d, b));
    let between = |p: Point, [s, e]: [Point; 2]| {
        (s[0].min(e[0])..=s[0].max(e[0])).contains(&p[0]) && (s[1].min(e[1])..=s[1].max(e[1])).contains(&p[1])
    };
    let ends = [(a, [c, d], a_side), (b, [c, d], b_side), (c, [a, b], c_side), (d, [a, b], d_side)];
    let mut on: Vec<Point> = ends
        .iter()
        .filter(|(p, segment, side)| *side == 0.0 && between(*p, *segment))
        .map(|end| end.0)
        .collect();
    on.dedup();
    let first = on.first().copied();
    if on.iter().any(|p| Some(*p) != first) {
        return Meeting::Cross(on[0]);
    }
    if let Some(place) = first {
        return Meeting::Touch(place);
    }
    if (c_side > 0.0) == (d_side > 0.0) || (a_side > 0.0) == (b_side > 0.0) {
        return Meeting::None;
    }
    let share = c_side / (c_side - d_side);
    Meeting::Cross([c[0] + share * (d[0] - c[0]), c[1] + share * (d[1] - c[1])])
}

/// Refuses rings that meet themselves or cross one another. Edges are sorted from west to east, and each is held only against
/// those that begin before it ends.
fn meetings(rings: &[Ring], given: &[Vec<usize>]) -> Result<(), PolygonError> {
    struct Edge {
        ring: usize,
        index: usize,
        ends: [Point; 2],
        x: [f64; 2],
        y: [f64; 2],
    }
    let mut edges: Vec<Edge> = Vec::new();
    for (ring, Ring { corners }) in rings.iter().enumerate() {
        for (index, &a) in corners.iter().enumerate() {
            let b = corners[(index + 1) % corners.len()];
            let (x, y) = ([a[0].min(b[0]), a[0].max(b[0])], [a[1].min(b[1]), a[1].max(b[1])]);
            edges.push(Edge { ring, index, ends: [a, b], x, y });
        }
    }
    edges.sort_by(|a, b| a.x[0].total_cmp(&b.x[0]));
    // The first fault in the order of the file, so that what is said does not depend on the sorting.
    let mut worst: Option<([(usize, usize); 2], PolygonError)> = None;
    for (at, one) in edges.iter().enumerate() {
        for other in edges[at + 1..].iter().take_while(|other| other.x[0] <= one.x[1]) {
            if other.y[0] > one.y[1] || other.y[1] < one.y[0] {
                continue;
            }
            let (first, second) =
                if (one.ring, one.index) < (other.ring, other.index) { (one, other) } else { (other, one) };
            let order = [(first.ring, first.index), (second.ring, second.index)];
            if worst.as_ref().is_some_and(|(known, _)| *known < order) {
                continue;
            }
            let meeting = meet(first.ends, second.ends);
            let fault = if first.ring == second.ring {
                let count = rings[first.ring].corners.len();
                let neighbours =
                    second.index == first.index + 1 || (first.index == 0 && second.index == count - 1);
                match meeting {
                    Meeting::None => None,
                    Meeting::Touch(_) if neighbours => None,
                    Meeting::Touch(place_m) | Meeting::Cross(place_m) => {
                        let edges = [given[first.ring][first.index], given[first.ring][second.index]];
                        Some(PolygonError::CrossesItself { ring: RingName(first.ring), edges, place_m })
                    }
                }
            } else if let Meeting::Cross(place_m) = meeting {
                let rings = [RingName(first.ring), RingName(second.ring)];
                Some(PolygonError::RingsCross { rings, place_m })
            } else {
                None
            };
            worst = fault.map(|fault| (order, fault)).or(worst);
        }
    }
    worst.map_or(Ok(()), |(_, fault)| Err(fault))
}

/// Refuses holes outside the outer ring, holes in holes, and rings that cross through corners. No two edges cross any more.
fn nesting(rings: &[Ring]) -> Result<(), PolygonError> {
    // Corners and middles of the edges of `ring`, that are inside `of` and outside it.
    let sides = |ring: &Ring, of: &Ring| -> (Option<Point>, Option<Point>) {
        let corners = &ring.corners;
        let next = corners.iter().skip(1).chain(corners.first());
        let middles = corners.iter().zip(next).map(|(a, b)| [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
        let mut found = (None, None);
        for point in corners.iter().copied().chain(middles) {
            match passes(&of.corners, point) {
                Some(true) => found.0 = found.0.or(Some(point)),
                Some(false) => found.1 = found.1.or(Some(point)),
                None => {}
            }
        }
        found
    };
    for (number, hole) in rings.iter().enumerate().skip(1) {
        let crossing = |other: usize, place_m| PolygonError::RingsCross {
            rings: [RingName(other), RingName(number)],
            place_m,
        };
        match sides(hole, &rings[0]) {
            (Some(_), Some(outside)) => return Err(crossing(0, outside)),
            (None, _) => return Err(PolygonError::HoleOutside { ring: RingName(number) }),
            (Some(_), None) => {}
        }
        for (other, earlier) in rings.iter().enumerate().take(number).skip(1) {
            match (sides(hole, earlier), sides(earlier, hole)) {
                ((None, _), (None, _)) => {}
                ((Some(inside), Some(_)), _) | (_, (Some(inside), Some(_))) => {
                    return Err(crossing(other, inside));
                }
                _ => return Err(PolygonError::HoleInHole { rings: [RingName(other), RingName(number)] }),
            }
        }
    }
    Ok(())
}

#[cfg(test)]
#[path = "polygon_tests.rs"]
mod tests;
