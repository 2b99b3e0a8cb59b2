//! The field and what to keep out of within it or beside it.
//!
//! A point counts against the person where it is in doubt: exactly on the edge it is outside the field, and inside a place to keep
//! out of. A field of several edges holds what is inside any of them. Landing on a road inside the field is both inside the field
//! and in a keep-out.
//!
//! Not done: height of trees and masts (a load that comes down beside a wood may still meet it), rights of way, airspace.

use super::{Point, Polygon, Side};

/// A place to keep out of: a road, a house, water, a neighbour's crop.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOut {
    /// What the person calls it.
    pub name: String,
    /// Where it is.
    pub polygon: Polygon,
}

/// Where a load may come down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Field {
    /// The field's edge; more than one where it has parts.
    pub edges: Vec<Polygon>,
    /// What to keep out of.
    pub keep_outs: Vec<KeepOut>,
}

impl Field {
    /// Whether a point is inside the field; exactly on its edge counts as outside.
    pub fn inside_field(&self, point: Point) -> bool {
        self.edges.iter().any(|edge| edge.side(point) == Side::Inside)
    }

    /// The first place to keep out of that a point is in, by its index; exactly on the edge counts as in.
    pub fn in_keep_out(&self, point: Point) -> Option<usize> {
        self.keep_outs.iter().position(|keep_out| keep_out.holds(point))
    }

    /// Whether a load may come down there: inside the field and in no keep-out.
    pub fn allows(&self, point: Point) -> bool {
        self.inside_field(point) && self.in_keep_out(point).is_none()
    }

    /// Distance to the field's edge, m: above 0 inside, below 0 outside; `None` without an edge.
    pub fn margin_m(&self, point: Point) -> Option<f64> {
        let distance = self.edges.iter().map(|edge| edge.distance_to_edge_m(point)).min_by(f64::total_cmp)?;
        Some(if self.inside_field(point) { distance } else { -distance })
    }
}

impl KeepOut {
    /// Whether a point is in it; exactly on its edge counts as in.
    pub fn holds(&self, point: Point) -> bool {
        self.polygon.side(point) != Side::Outside
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(west: f64, south: f64, side: f64) -> Polygon {
        let corners =
            [[west, south], [west + side, south], [west + side, south + side], [west, south + side]];
        Polygon::try_new(&corners, &[]).unwrap()
    }

    fn two_parts() -> Field {
        let barn = KeepOut { name: "barn".to_owned(), polygon: square(10.0, 10.0, 20.0) };
        Field { edges: vec![square(0.0, 0.0, 100.0), square(200.0, 0.0, 50.0)], keep_outs: vec![barn] }
    }

    #[test]
    fn an_edge_counts_against_the_person() {
        let field = two_parts();
        assert!(field.inside_field([50.0, 50.0]) && field.inside_field([225.0, 25.0]));
        assert!(!field.inside_field([0.0, 50.0]), "on the field's edge");
        assert_eq!(field.in_keep_out([10.0, 15.0]), Some(0), "on the barn's wall");
        assert_eq!(field.in_keep_out([9.999, 15.0]), None);
        assert!(field.allows([50.0, 50.0]) && !field.allows([15.0, 15.0]) && !field.allows([150.0, 50.0]));
    }

    #[test]
    fn the_margin_is_signed_and_to_the_nearest_part() {
        let field = two_parts();
        let margin = |x, y| field.margin_m([x, y]).unwrap();
        assert!((margin(50.0, 30.0) - 30.0).abs() < 1e-12);
        assert!((margin(130.0, 50.0) + 30.0).abs() < 1e-12);
        assert!((margin(180.0, 20.0) + 20.0).abs() < 1e-12);
        assert_eq!(Field::default().margin_m([0.0, 0.0]), None);
    }
}
