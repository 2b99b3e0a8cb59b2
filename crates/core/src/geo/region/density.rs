//! A cloud of landings to a density, by a Gaussian kernel along the cloud's own axes.
//!
//! f(x) = 1/n Σ K(x - xᵢ), K the normal density with standard deviations hⱼ = s n^(-1/6) σⱼ along the principal axes of the cloud, σⱼ its
//! standard deviations (Silverman 1986, eq. 4.14 with d = 2: (4/(d + 2))^(1/(d + 4)) = 1). That rule is right for a normal cloud and too wide
//! for a bent or divided one, so s is 1, 1/√2, 1/2, 1/√8 or 1/4: narrowed as long as that lessens the cross-validation score
//! ∫f² - 2/n Σ f₋ᵢ(xᵢ), f₋ᵢ being f without landing i (M. Rudemo, "Empirical choice of histograms and kernel density estimators", Scand. J.
//! Statist. 9 (1982) 65-78; A. W. Bowman, Biometrika 71 (1984) 353-360).
//!
//! Worked on a grid along the axes: landings are shared among the four nodes around them (linear binning), which spreads them by a variance of
//! Δ²/6, and reading between nodes spreads by as much again; the kernel on the grid is narrower by both (M. P. Wand, J. Comput. Graph.
//! Statist. 3 (1994) 433-445). Kernels end at 4 h, where they are down to 3 parts in 10⁴.

use super::Point;
use crate::maths::{atan2, ceil, cos, exp, pow, sin, sqrt};
use crate::stats::distribution::normal_quantile;

/// Kernels end so many widths away.
pub(super) const REACH_WIDTHS: f64 = 4.0;

/// A kernel is never narrower, m: places nearer than that are one.
const LEAST_WIDTH_M: f64 = 0.1;

/// Nodes to one kernel width on the cloud's own grid.
const NODES_A_WIDTH: f64 = 2.0;

/// No more nodes along an axis: a cloud with a lone landing a hundred widths away gets wider kernels instead.
const MOST_NODES: f64 = 640.0;

/// 1/p and 1/p² of the plastic number p = 1.32471795724474602596.
const PLASTIC: [f64; 2] = [0.754_877_666_246_692_7, 0.569_840_290_998_053_2];

/// Kernel widths tried, as shares of the normal rule's.
const NARROWINGS: [f64; 4] = [std::f64::consts::FRAC_1_SQRT_2, 0.5, 0.353_553_390_593_273_8, 0.25];

/// A cloud's density on a grid along its principal axes.
#[derive(Clone, Debug)]
pub(super) struct Smooth {
    frame: Frame,
    /// Widths of the kernel along the axes.
    width_m: [f64; 2],
    /// What they would be without a least width.
    wanted_m: [f64; 2],
    spacing_m: [f64; 2],
    /// Place of the first node along the axes, m from the cloud's middle.
    low_m: [f64; 2],
    nodes: [usize; 2],
    /// Density at the nodes, 1/m²; the first axis runs fastest.
    values: Vec<f64>,
}

/// The cloud's middle and principal axes.
#[derive(Clone, Copy, Debug)]
struct Frame {
    middle: Point,
    /// Cosine and sine of the first axis.
    axis: [f64; 2],
    /// Standard deviations along the axes, m.
    sd_m: [f64; 2],
    /// Least and greatest place along each axis, m from the middle.
    range_m: [[f64; 2]; 2],
}

impl Frame {
    fn of(points: &[Point]) -> Frame {
        let n = points.len() as f64;
        let [sx, sy] = points.iter().fold([0.0, 0.0], |[sx, sy], [x, y]| [sx + x, sy + y]);
        let middle = [sx / n, sy / n];
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for [x, y] in points {
            let (dx, dy) = (x - middle[0], y - middle[1]);
            (xx, xy, yy) = (xx + dx * dx, xy + dx * dy, yy + dy * dy);
        }
        let freedom = (n - 1.0).max(1.0);
        let angle = 0.5 * atan2(2.0 * xy, xx - yy);
        let mut frame = Frame {
            middle,
            axis: [cos(angle), sin(angle)],
            sd_m: [0.0; 2],
            range_m: [[f64::INFINITY, f64::NEG_INFINITY]; 2],
        };
        let mut squares = [0.0; 2];
        for point in points {
            for (j, along) in frame.along(*point).into_iter().enumerate() {
                squares[j] += along * along;
                let [least, greatest] = frame.range_m[j];
                frame.range_m[j] = [least.min(along), greatest.max(along)];
            }
        }
        frame.sd_m = squares.map(|square| sqrt(square / freedom));
        frame
    }

    /// A place along the axes, m from the middle.
    fn along(&self, [x, y]: Point) -> [f64; 2] {
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        let [c, s] = self.axis;
        [c * dx + s * dy, c * dy - s * dx]
    }
}

impl Smooth {
    /// The density of a cloud of at least one landing.
    pub(super) fn of(points: &[Point]) -> Smooth {
        let frame = Frame::of(points);
        let normal = frame.sd_m.map(|sd| sd * pow(points.len() as f64, -1.0 / 6.0));
        let (mut best, mut least) = Smooth::with_widths(frame, points, normal);
        for narrowing in NARROWINGS {
            let (next, score) = Smooth::with_widths(frame, points, normal.map(|width| width * narrowing));
            if score >= least {
                break;
            }
            (best, least) = (next, score);
        }
        best
    }

    /// The same cloud with no kernel width below `least_m`.
    pub(super) fn widened(&self, points: &[Point], least_m: f64) -> Smooth {
        let (smooth, _) =
            Smooth::with_widths(self.frame, points, self.width_m.map(|width| width.max(least_m)));
        Smooth { wanted_m: self.wanted_m, ..smooth }
    }

    /// Where a landing is read: at its own place, or, where the kernel had to be wider than the cloud wants, away from it by
    /// as much as the widening moves it, in a pattern that fills a normal density evenly.
    pub(super) fn reading_place(&self, index: usize, [x, y]: Point) -> Point {
        let moved = [0, 1].map(|j| {
            sqrt((self.width_m[j] * self.width_m[j] - self.wanted_m[j] * self.wanted_m[j]).max(0.0))
        });
        if moved.iter().all(|by| *by <= 0.0) {
            return [x, y];
        }
        // M. Roberts' sequence: multiples of 1/p and 1/p² with p³ = p + 1, without their whole parts.
        let turn = index as f64 + 0.5;
        let [u, v] = [0, 1].map(|j| moved[j] * normal_quantile((turn * PLASTIC[j]) % 1.0));
        let [c, s] = self.frame.axis;
        [x + c * u - s * v, y + s * u + c * v]
    }

    pub(super) fn least_width_m(&self) -> f64 {
        self.width_m[0].min(self.width_m[1])
    }

    pub(super) fn greatest_width_m(&self) -> f64 {
        self.width_m[0].max(self.width_m[1])
    }

    /// The kernel at its own middle, 1/m², when read from a further grid of `spacing_m`.
    pub(super) fn kernel_at_0(&self, spacing_m: f64) -> f64 {
        let variance = self.width_m.map(|width| width * width + spacing_m * spacing_m / 6.0);
        1.0 / (std::f64::consts::TAU * sqrt(variance[0] * variance[1]))
    }

    /// The density at a place, 1/m².
    pub(super) fn at(&self, point: Point) -> f64 {
        let along = self.frame.along(point);
        let [u, v] = [0, 1].map(|j| (along[j] - self.low_m[j]) / self.spacing_m[j]);
        between(&self.values, self.nodes, [u, v])
    }

    /// The density with kernels of the given widths, and its cross-validation score, 1/m².
    fn with_widths(frame: Frame, points: &[Point], wanted_m: [f64; 2]) -> (Smooth, f64) {
        let mut width_m = wanted_m.map(|width| width.max(LEAST_WIDTH_M));
        let (mut spacing_m, mut low_m, mut nodes) = ([0.0; 2], [0.0; 2], [0; 2]);
        for j in 0..2 {
            let [least, greatest] = frame.range_m[j];
            let ends = greatest - least + 2.0 * REACH_WIDTHS * width_m[j];
            spacing_m[j] = (width_m[j] / NODES_A_WIDTH).max(ends / MOST_NODES);
            width_m[j] = width_m[j].max(1.25 * spacing_m[j]);
            let room = REACH_WIDTHS * width_m[j] + spacing_m[j];
            low_m[j] = least - room;
            nodes[j] = ceil((greatest - least + 2.0 * room) / spacing_m[j]) as usize + 1;
        }
        let mut smooth = Smooth { frame, width_m, wanted_m, spacing_m, low_m, nodes, values: Vec::new() };
        let shares = smooth.binned(points);
        let taps = [0, 1].map(|j| kernel(width_m[j] / spacing_m[j]));
        smooth.values = smoothed(&shares, nodes, &taps);
        let cell_m2 = spacing_m[0] * spacing_m[1];
        for value in &mut smooth.values {
            *value /= cell_m2;
        }
        let n = points.len() as f64;
        let square: f64 = smooth.values.iter().map(|value| value * value).sum::<f64>() * cell_m2;
        let mean: f64 = smooth.values.iter().zip(&shares).map(|(value, share)| value * share).sum();
        let left_out = (n * mean - smooth.kernel_at_0(0.0)) / (n - 1.0).max(1.0);
        (smooth, square - 2.0 * left_out)
    }

    /// The cloud's landings shared among the nodes around them; all shares add up to 1.
    fn binned(&self, points: &[Point]) -> Vec<f64> {
        let across = self.nodes[0];
        let mut shares = vec![0.0; across * self.nodes[1]];
        let one = 1.0 / points.len() as f64;
        for point in points {
            let along = self.frame.along(*point);
            let [u, v] = [0, 1].map(|j| (along[j] - self.low_m[j]) / self.spacing_m[j]);
            // The grid has room around every landing, so that truncation is rounding down.
            let (i, j) = (u as usize, v as usize);
            let (p, q) = (u - i as f64, v - j as f64);
            let at = j * across + i;
            shares[at] += one * (1.0 - p) * (1.0 - q);
            shares[at + 1] += one * p * (1.0 - q);
            shares[at + across] += one * (1.0 - p) * q;
            shares[at + across + 1] += one * p * q;
        }
        shares
    }
}

/// A value between the nodes of a grid, linear along each axis, at the given place in steps from its first node; 0 outside.
pub(super) fn between(values: &[f64], nodes: [usize; 2], [u, v]: [f64; 2]) -> f64 {
    if !(u >= 0.0 && v >= 0.0 && u < (nodes[0] - 1) as f64 && v < (nodes[1] - 1) as f64) {
        return 0.0;
    }
    let (i, j) = (u as usize, v as usize);
    let (p, q) = (u - i as f64, v - j as f64);
    let at = j * nodes[0] + i;
    let low = values[at] + p * (values[at + 1] - values[at]);
    let (next, last) = (values[at + nodes[0]], values[at + nodes[0] + 1]);
    let high = next + p * (last - next);
    low + q * (high - low)
}

/// The right half of a kernel of so many steps' width, its middle first, the whole adding up to 1. Sharing landings among
/// nodes and reading between nodes each add a variance of 1/6 step², and are taken off.
fn kernel(width_steps: f64) -> Vec<f64> {
    let variance = width_steps * width_steps - 1.0 / 3.0;
    let reach = ceil(REACH_WIDTHS * width_steps) as usize;
    let mut taps: Vec<f64> = (0..=reach).map(|k| exp(-0.5 * (k * k) as f64 / variance)).collect();
    let whole = 2.0 * taps.iter().sum::<f64>() - taps[0];
    for tap in &mut taps {
        *tap /= whole;
    }
    taps
}

/// The grid smoothed along both axes. Its margin is as wide as the kernel, so that nothing runs over the end.
fn smoothed(shares: &[f64], nodes: [usize; 2], taps: &[Vec<f64>; 2]) -> Vec<f64> {
    let across = nodes[0];
    let mut rows = vec![0.0; shares.len()];
    for (from, to) in shares.chunks_exact(across).zip(rows.chunks_exact_mut(across)) {
        if from.iter().any(|share| *share != 0.0) {
            add_shifted(from, to, &taps[0]);
        }
    }
    let mut values = vec![0.0; shares.len()];
    let reach = taps[1].len() - 1;
    for (j, to) in values.chunks_exact_mut(across).enumerate() {
        for from in j.saturating_sub(reach)..=(j + reach).min(nodes[1] - 1) {
            let tap = taps[1][from.abs_diff(j)];
            for (value, row) in to.iter_mut().zip(&rows[from * across..(from + 1) * across]) {
                *value += tap * row;
            }
        }
    }
    values
}

/// Adds a row to another, moved by each step of the kernel either way and weighted by it.
fn add_shifted(from: &[f64], to: &mut [f64], taps: &[f64]) {
    for (value, share) in to.iter_mut().zip(from) {
        *value += taps[0] * share;
    }
    for (shift, tap) in taps.iter().enumerate().skip(1).take(from.len().saturating_sub(1)) {
        for (value, share) in to[shift..].iter_mut().zip(from) {
            *value += tap * share;
        }
        for (value, share) in to.iter_mut().zip(&from[shift..]) {
            *value += tap * share;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(values: &[f64], nodes: [usize; 2], axis: usize) -> (f64, f64) {
        let place = |index: usize| if axis == 0 { index % nodes[0] } else { index / nodes[0] } as f64;
        let whole: f64 = values.iter().sum();
        let mean = values.iter().enumerate().map(|(index, value)| place(index) * value).sum::<f64>() / whole;
        let square = values
            .iter()
            .enumerate()
            .map(|(index, value)| (place(index) - mean).powi(2) * value)
            .sum::<f64>();
        (mean, square / whole)
    }

    #[test]
    fn one_landing_becomes_its_kernel_wherever_it_lies_between_nodes() {
        // Two landings ten widths apart: the first on a node, the second anywhere along a step of 0.05 m.
        let peaks: Vec<f64> = (0..10)
            .map(|k| {
                let points = [[700.0, -20.0], [701.0 + 5e-3 * f64::from(k), -20.0]];
                let (smooth, _) = Smooth::with_widths(Frame::of(&points), &points, [0.1, 0.1]);
                let whole: f64 =
                    smooth.values.iter().sum::<f64>() * smooth.spacing_m[0] * smooth.spacing_m[1];
                assert!((whole - 1.0).abs() < 1e-12, "{whole}");
                smooth.at(points[1]) / (0.5 * smooth.kernel_at_0(0.0))
            })
            .collect();
        // On a node nothing is spread, half way twice a quarter step². Across, both are on a node: 1/√(1 - Δ²/3h²) = 1.044.
        assert!(peaks.iter().all(|peak| (peak - 1.044).abs() < 0.05), "{peaks:?}");
        assert!((peaks.iter().sum::<f64>() / 10.0 - 1.044).abs() < 0.01, "{peaks:?}");
    }

    #[test]
    fn smoothing_adds_the_kernels_variance_along_the_axes() {
        // A slanted line of landings: its own spread along the axes is known, and the kernel's is added.
        let points: Vec<Point> = (0..400).map(|k| [f64::from(k) * 0.3, f64::from(k) * 0.4]).collect();
        let (smooth, _) = Smooth::with_widths(Frame::of(&points), &points, [5.0, 2.0]);
        let sd = smooth.frame.sd_m;
        assert!((sd[0] - 0.5 * sqrt(400.0 * 401.0 / 12.0)).abs() < 1e-9 && sd[1] < 1e-9, "{sd:?}");
        for (axis, (own, width)) in
            [(0.25 * (400.0 * 400.0 - 1.0) / 12.0, 5.0), (0.0, 2.0)].into_iter().enumerate()
        {
            let (_, steps2) = spread(&smooth.values, smooth.nodes, axis);
            let step = smooth.spacing_m[axis];
            // Reading between nodes adds the last sixth of a step², sharing among them up to a quarter.
            let got = (steps2 + 1.0 / 6.0) * step * step;
            let want = own + width * width;
            assert!((got - want).abs() < 0.25 * step * step + 0.002 * width * width, "{axis}: {got} {want}");
        }
    }

    #[test]
    fn a_bent_cloud_gets_a_narrower_kernel_than_the_normal_rule() {
        let normal_rule =
            |points: &[Point]| Frame::of(points).sd_m.map(|sd| sd * pow(points.len() as f64, -1.0 / 6.0));
        // A ring of 100 m with 2 m of scatter by a low-discrepancy sequence.
        let ring: Vec<Point> = (0..5_000)
            .map(|k| {
                let (turn, out) =
                    (f64::from(k) * 0.618_033_988_749_895, (f64::from(k) * 0.754_877_666_246_693) % 1.0);
                let radius = 100.0 + 7.0 * (out - 0.5);
                [radius * (turn * std::f64::consts::TAU).cos(), radius * (turn * std::f64::consts::TAU).sin()]
            })
            .collect();
        let smooth = Smooth::of(&ring);
        assert!((smooth.width_m[0] / normal_rule(&ring)[0] - 0.25).abs() < 1e-9, "{:?}", smooth.width_m);
    }

    #[test]
    fn a_lone_landing_far_away_costs_no_memory() {
        let mut points: Vec<Point> = (0..1_000).map(|k| [f64::from(k % 40), f64::from(k / 40)]).collect();
        points.push([1e7, 1e7]);
        let smooth = Smooth::of(&points);
        assert!(smooth.nodes.iter().all(|nodes| *nodes < 700), "{:?}", smooth.nodes);
        assert!(smooth.width_m[0] >= 1.25 * smooth.spacing_m[0] - 1e-9);
    }
}
