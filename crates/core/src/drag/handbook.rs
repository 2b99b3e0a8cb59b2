//! What the handbooks say where no test does: cluster factors and the drag of a cylinder.

use crate::shapes::Range;

/// Where the cluster factors stand, as `Trust::Memory` prints it.
pub const CLUSTER_SOURCE: &str =
    "Ewing, Bixby and Knacke, Recovery Systems Design Guide (AFFDL-TR-78-151), section on clusters";

/// Range of η_n, drag efficiency of a cluster of `count` canopies; `None` above 8, where nothing is remembered.
/// From memory of [`CLUSTER_SOURCE`], with low confidence; 7 lies between its neighbours.
pub fn published_cluster_factor(count: usize) -> Option<Range> {
    let (low, high) = match count {
        1 => (1.0, 1.0),
        2 => (0.95, 1.00),
        3 => (0.92, 0.97),
        4 => (0.90, 0.95),
        5 | 6 => (0.85, 0.92),
        7 => (0.825, 0.885),
        8 => (0.80, 0.85),
        _ => return None,
    };
    Some(Range { low, high })
}

/// Drag coefficient on length × diameter of a cylinder across the stream, below the drag crisis, by its
/// length over diameter: straight lines in ln(l/d) between the rows of the Aeronautical Engineer's Data Book,
/// p. 95; at the ends the end rows hold.
pub fn cylinder_crosswise(length_over_diameter: f64) -> f64 {
    const ROWS: [(f64, f64); 6] =
        [(1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98), (1000.0, 1.20)];
    let rows = ROWS.map(|(ratio, coefficient)| (crate::maths::ln(ratio), coefficient));
    between_rows(&rows, crate::maths::ln(length_over_diameter.max(1.0)))
}

/// Drag coefficient on π d²/4 of a cylinder along the stream, by its length over diameter: straight lines between the rows of
/// the Aeronautical Engineer's Data Book, p. 95; at the ends the end rows hold.
pub fn cylinder_endwise(length_over_diameter: f64) -> f64 {
    const ROWS: [(f64, f64); 4] = [(1.0, 0.91), (2.0, 0.85), (4.0, 0.87), (7.0, 0.99)];
    between_rows(&ROWS, length_over_diameter)
}

/// On straight lines between rows of x, rising, and y; beyond the ends the end rows hold.
fn between_rows(rows: &[(f64, f64)], at: f64) -> f64 {
    let last = rows.len() - 1;
    let at = at.clamp(rows[0].0, rows[last].0);
    let above = rows.iter().skip(1).position(|(x, _)| at <= *x).unwrap_or(last - 1);
    let ((x0, y0), (x1, y1)) = (rows[above], rows[above + 1]);
    y0 + (y1 - y0) * (at - x0) / (x1 - x0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;

    #[test]
    fn a_cylinder_across_the_stream_is_as_tabulated() {
        let rows = [(1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98)];
        check! {
            area: "drag areas", what: "drag coefficient of a cylinder across the stream by length over diameter",
            against: "Aeronautical Engineer's Data Book, p. 95", leg: Published,
            rows: rows.map(|(ratio, want)| (format!("{ratio}"), cylinder_crosswise(ratio), want)),
            within: 1e-9, because: "the rows themselves; between them straight lines in ln(l/d)",
        }
        assert!(
            (cylinder_crosswise(0.2) - 0.63).abs() < 1e-12 && (cylinder_crosswise(1e6) - 1.20).abs() < 1e-12
        );
        // Half way in ln between 10 and 40.
        assert!((cylinder_crosswise(20.0) - 0.90).abs() < 1e-9);
    }

    #[test]
    fn a_cylinder_along_the_stream_is_as_tabulated() {
        check! {
            area: "drag areas", what: "drag coefficient of a cylinder along the stream by length over diameter",
            against: "Aeronautical Engineer's Data Book, p. 95", leg: Published,
            rows: [(1.0, 0.91), (2.0, 0.85), (4.0, 0.87), (7.0, 0.99)]
                .map(|(ratio, want)| (format!("{ratio}"), cylinder_endwise(ratio), want)),
            within: 1e-9, because: "the rows themselves; between them straight lines",
        }
        assert!(
            (cylinder_endwise(0.5) - 0.91).abs() < 1e-12 && (cylinder_endwise(20.0) - 0.99).abs() < 1e-12
        );
        assert!((cylinder_endwise(3.0) - 0.86).abs() < 1e-12);
    }

    #[test]
    fn cluster_factors_fall_with_the_count_and_end_at_eight() {
        let ranges: Vec<Range> = (1..=8).map(|count| published_cluster_factor(count).unwrap()).collect();
        assert_eq!(ranges[0], Range { low: 1.0, high: 1.0 });
        for pair in ranges.windows(2) {
            assert!(pair[1].low <= pair[0].low && pair[1].high <= pair[0].high && pair[1].low < pair[1].high);
        }
        assert_eq!(ranges[1], Range { low: 0.95, high: 1.00 });
        assert_eq!(ranges[2], Range { low: 0.92, high: 0.97 });
        assert_eq!(ranges[3], Range { low: 0.90, high: 0.95 });
        assert_eq!(ranges[5], Range { low: 0.85, high: 0.92 });
        assert_eq!(ranges[7], Range { low: 0.80, high: 0.85 });
        assert_eq!((published_cluster_factor(0), published_cluster_factor(9)), (None, None));
    }
}
