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
/// length over diameter: straight lines in ln(l/d) between the rows of Matthews, Aeronautical Engineer's Data Book
/// (2002), p. 95; at the ends the end rows hold.
pub fn cylinder_crosswise(length_over_diameter: f64) -> f64 {
    const ROWS: [(f64, f64); 6] =
        [(1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98), (1000.0, 1.20)];
    let at = crate::maths::ln(length_over_diameter.clamp(1.0, 1000.0));
    let above = ROWS.iter().skip(1).position(|(ratio, _)| at <= crate::maths::ln(*ratio)).unwrap_or(4);
    let ((x0, y0), (x1, y1)) = (ROWS[above], ROWS[above + 1]);
    let (x0, x1) = (crate::maths::ln(x0), crate::maths::ln(x1));
    y0 + (y1 - y0) * (at - x0) / (x1 - x0)
}
