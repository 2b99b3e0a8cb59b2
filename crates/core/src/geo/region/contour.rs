//! Rings at one level of a grid of values: marching squares.
//!
//! Between two neighbouring nodes, one at or above the level and one below, a ring passes at the place where the straight
//! line between their values meets it. In a cell whose corners alternate, the mean of the four says whether the high ones are
//! joined. Rings run with the high side to their left, so that those around high ground turn anticlockwise and those
//! around a hollow clockwise. The outermost nodes are 0, so that every ring closes.
//!
//! Source: W. E. Lorensen, H. E. Cline, "Marching Cubes", Computer Graphics 21 (1987) 163-169, in two dimensions.

use super::super::polygon::{Bounds, signed_area_m2};
use super::density::between;
use super::{Point, Polygon, Side};
use crate::maths::ceil;

/// Values at the nodes of a grid along the plane's axes.
pub(super) struct Grid {
    low_m: Point,
    spacing_m: f64,
    nodes: [usize; 2],
    /// The east axis runs fastest.
    values: Vec<f64>,
}

impl Grid {
    /// A grid over `reach` with the values of `f` at its nodes; the outermost are 0.
    pub(super) fn fill(reach: Bounds, spacing_m: f64, f: impl Fn(Point) -> f64) -> Grid {
        let low_m = reach.least_m.map(|least| least - spacing_m);
        let nodes = [0, 1].map(|j| ceil((reach.greatest_m[j] - reach.least_m[j]) / spacing_m) as usize + 3);
        let mut grid = Grid { low_m, spacing_m, nodes, values: vec![0.0; nodes[0] * nodes[1]] };
        for j in 1..nodes[1] - 1 {
            for i in 1..nodes[0] - 1 {
                grid.values[j * nodes[0] + i] = f(grid.place(i as f64, j as f64));
            }
        }
        grid
    }

    fn place(&self, i: f64, j: f64) -> Point {
        [self.low_m[0] + i * self.spacing_m, self.low_m[1] + j * self.spacing_m]
    }

    /// The value at a place, linear between nodes; 0 outside.
    pub(super) fn at(&self, point: Point) -> f64 {
        let steps = [0, 1].map(|j| (point[j] - self.low_m[j]) / self.spacing_m);
        between(&self.values, self.nodes, steps)
    }

    /// Where a ring passes between two nodes, by the number of their connection.
    fn passage(&self, connection: usize, level: f64) -> Point {
        let node = connection / 2;
        let (i, j) = (node % self.nodes[0], node / self.nodes[0]);
        let upward = connection % 2 == 1;
        let (from, to) =
            (self.values[node], self.values[if upward { node + self.nodes[0] } else { node + 1 }]);
        let share = (level - from) / (to - from);
        if upward { self.place(i as f64, j as f64 + share) } else { self.place(i as f64 + share, j as f64) }
    }
}

/// The parts of the plane where the grid is at or above `level`, which is above 0.
pub(super) fn polygons(grid: &Grid, level: f64) -> Vec<Polygon> {
    let (around, hollow): (Vec<Vec<Point>>, Vec<Vec<Point>>) =
        rings(grid, level).into_iter().partition(|ring| signed_area_m2(ring) > 0.0);
    let mut parts: Vec<(Polygon, Vec<Vec<Point>>)> =
        around.into_iter().map(|ring| (Polygon::of_sound_rings(vec![ring]), Vec::new())).collect();
    for hole in hollow {
        // The smallest that holds it; rings at one level do not meet, so that any corner tells.
        let home = parts
            .iter_mut()
            .filter(|(part, _)| part.side(hole[0]) != Side::Outside)
            .min_by(|(a, _), (b, _)| a.area_m2().total_cmp(&b.area_m2()));
        if let Some((_, holes)) = home {
            holes.push(hole);
        }
    }
    let whole = |(part, holes): (Polygon, Vec<Vec<Point>>)| {
        let rings = std::iter::once(part.outer().to_vec()).chain(holes).collect();
        Polygon::of_sound_rings(rings)
    };
    parts.into_iter().map(whole).collect()
}

/// No connection.
const NONE: u32 = u32::MAX;

/// All rings at a level, high side to the left.
fn rings(grid: &Grid, level: f64) -> Vec<Vec<Point>> {
    let across = grid.nodes[0];
    // From the connection where a ring enters a cell to that where it leaves it.
    let mut next = vec![NONE; 2 * grid.values.len()];
    let mut starts = Vec::new();
    let mut join = |from: usize, to: usize| {
        next[from] = to as u32;
        starts.push(from);
    };
    for j in 0..grid.nodes[1] - 1 {
        for i in 0..across - 1 {
            let node = j * across + i;
            let corners = [node, node + 1, node + across + 1, node + across].map(|at| grid.values[at]);
            let high = corners.map(|value| value >= level);
            let pattern = high.iter().rev().fold(0, |bits, high| 2 * bits + u8::from(*high));
            let (bottom, left) = (2 * node, 2 * node + 1);
            let (right, top) = (2 * (node + 1) + 1, 2 * (node + across));
            let joined = || 0.25 * corners.iter().sum::<f64>() >= level;
            match pattern {
                1 => join(bottom, left),
                2 => join(right, bottom),
                3 => join(right, left),
                4 => join(top, right),
                6 => join(top, bottom),
                7 => join(top, left),
                8 => join(left, top),
                9 => join(bottom, top),
                11 => join(right, top),
                12 => join(left, right),
                13 => join(bottom, right),
                14 => join(left, bottom),
                5 if joined() => {
                    join(bottom, right);
                    join(top, left);
                }
                5 => {
                    join(bottom, left);
                    join(top, right);
                }
                10 if joined() => {
                    join(left, bottom);
                    join(right, top);
                }
                10 => {
                    join(right, bottom);
                    join(left, top);
                }
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    for start in starts {
        let mut ring: Vec<Point> = Vec::new();
        let mut at = start;
        while next[at] != NONE {
            let point = grid.passage(at, level);
            if ring.last() != Some(&point) {
                ring.push(point);
            }
            at = std::mem::replace(&mut next[at], NONE) as usize;
        }
        if ring.first() == ring.last() {
            ring.pop();
        }
        if ring.len() >= 3 && signed_area_m2(&ring) != 0.0 {
            found.push(ring);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(size: f64, spacing_m: f64, f: impl Fn(f64, f64) -> f64) -> Grid {
        let reach = Bounds { least_m: [-size, -size], greatest_m: [size, size] };
        Grid::fill(reach, spacing_m, |[x, y]| f(x, y))
    }

    #[test]
    fn a_cone_gives_one_circle_of_the_right_area() {
        // 100 - r is at least 40 within 60 m: 11,310 m². A chord's sagitta is spacing²/8r, 2 parts in 10⁴ of the area here.
        let found = polygons(&grid(110.0, 1.0, |x, y| 100.0 - x.hypot(y)), 40.0);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].holes().len(), 0);
        let want = std::f64::consts::PI * 3_600.0;
        assert!((found[0].area_m2() / want - 1.0).abs() < 5e-4, "{}", found[0].area_m2());
    }

    #[test]
    fn a_hollow_is_a_hole_and_an_island_in_it_a_part_of_its_own() {
        // High between 60 and 80 m from the middle and within 20 m of it.
        let found = polygons(
            &grid(110.0, 1.0, |x, y| {
                let r = x.hypot(y);
                (20.0 - r).max(10.0 - (r - 70.0).abs()) + 100.0
            }),
            100.0,
        );
        let mut areas: Vec<(f64, usize)> =
            found.iter().map(|part| (part.area_m2(), part.holes().len())).collect();
        areas.sort_by(|a, b| a.0.total_cmp(&b.0));
        let pi = std::f64::consts::PI;
        assert_eq!(areas.iter().map(|part| part.1).collect::<Vec<_>>(), [0, 1]);
        assert!(
            (areas[0].0 / (pi * 400.0) - 1.0).abs() < 3e-3
                && (areas[1].0 / (pi * 2_800.0) - 1.0).abs() < 3e-3,
            "{areas:?}"
        );
    }

    #[test]
    fn corners_that_alternate_are_joined_by_their_mean() {
        // Two peaks on a diagonal, with a pass between them at (high + high + low + low) / 4.
        let peaks = |pass: f64| {
            move |x: f64, y: f64| match (x as i32, y as i32) {
                (0, 0) | (1, 1) => 10.0,
                (0, 1) | (1, 0) => pass,
                _ => 0.0,
            }
        };
        assert_eq!(polygons(&grid(2.0, 1.0, peaks(1.0)), 6.0).len(), 2);
        assert_eq!(polygons(&grid(2.0, 1.0, peaks(3.0)), 6.0).len(), 1);
    }

    #[test]
    fn what_reaches_the_grids_end_is_closed_there() {
        let found = polygons(&grid(10.0, 1.0, |_, _| 5.0), 1.0);
        assert_eq!(found.len(), 1);
        assert!(found[0].area_m2() > 400.0 && found[0].area_m2() < 22.0 * 22.0);
    }

    #[test]
    fn nothing_is_above_the_highest_value() {
        assert!(polygons(&grid(10.0, 1.0, |_, _| 5.0), 5.1).is_empty());
    }
}
