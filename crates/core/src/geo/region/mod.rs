//! The regions in which things come down: rings that hold, say, 50, 90 and 99 % of all landings.
//!
//! From clouds of trial landings, one a case, each with the chance of that case:
//!
//! 1. Each cloud becomes a density by a Gaussian kernel of its OWN width ([`density`]), so that a rare case far away neither
//!    blurs the main one nor is sharpened to it. The mix is f(x) = Σ wᵢ fᵢ(x), in 1/m².
//! 2. The region of a share q is where f is at least c, c being the value that a share q of the landings themselves reach: the
//!    (1 - q) quantile of f at the landings, each weighted by its cloud's chance over its count, and each without what it
//!    adds to f at its own place. Of all regions that hold q it is the smallest, in as many parts as that takes, holes included.
//! 3. The rings are the contours of f at c on one grid for all clouds ([`contour`]). The grid's own interpolation stands in the
//!    quantile too, so that a coarse grid makes rings coarse but not wrong in what they hold.
//!
//! Sources: R. J. Hyndman, "Computing and graphing highest density regions", The American Statistician 50 (1996) 120-126, section 3
//! (the quantile); B. W. Silverman, "Density Estimation for Statistics and Data Analysis" (1986).
//!
//! Assumptions: trials of a cloud are independent and equally likely. Range: some hundred trials a cloud give rings worth drawing;
//! a cloud of few is drawn as wide as it is uncertain. Places nearer than 0.1 m are one. Where trials lie so far apart that
//! a grid of [`NODES`] nodes is coarser than a cloud's width, that cloud is widened to the grid, and its rings hold rather too much.
//! Not done: an edge of the density (a fence does not stop a canopy), doubt of the chances themselves.

mod contour;
mod density;

use super::polygon::Bounds;
use super::{Point, Polygon, Side};
use crate::maths::sqrt;
use density::Smooth;

/// Nodes of the grid on which all clouds are drawn together, about.
pub const NODES: usize = 200_000;

/// Nodes of the grid to one kernel width.
const NODES_A_WIDTH: f64 = 2.0;

/// A cloud's kernel is never narrower than this share of the grid's spacing, so that none falls between nodes.
const WIDTH_OVER_SPACING: f64 = 0.75;

/// A landing alone counts at least as its own kernel two widths away, as a share of the kernel's middle: exp(-2²/2).
const ALONE: f64 = 0.135;

/// The landings of one case and the chance of that case.
#[derive(Clone, Copy, Debug)]
pub struct Cloud<'a> {
    weight: f64,
    points: &'a [Point],
}

/// Why landings make no cloud.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CloudError {
    /// A chance below 0, or no number.
    #[error("the weight of a cloud is {0}, expected 0 or more")]
    Weight(f64),
    /// A chance above 0 without a landing.
    #[error("a cloud of weight {0} has no landing")]
    Empty(f64),
    /// A landing that is no place.
    #[error("landing {} of a cloud is not finite", .0 + 1)]
    NotFinite(usize),
}

impl<'a> Cloud<'a> {
    /// A cloud of landings, m, with the chance of its case. Chances need not add up to 1.
    ///
    /// # Errors
    /// [`CloudError`] if the weight is below 0 or not finite, or above 0 without a point, or a point is not finite.
    pub fn try_new(weight: f64, points: &'a [Point]) -> Result<Cloud<'a>, CloudError> {
        if !(weight >= 0.0 && weight.is_finite()) {
            return Err(CloudError::Weight(weight));
        }
        if weight > 0.0 && points.is_empty() {
            return Err(CloudError::Empty(weight));
        }
        match points.iter().position(|[x, y]| !x.is_finite() || !y.is_finite()) {
            Some(index) => Err(CloudError::NotFinite(index)),
            None => Ok(Cloud { weight, points }),
        }
    }

    /// The chance as given.
    pub fn weight(&self) -> f64 {
        self.weight
    }

    /// The landings, m.
    pub fn points(&self) -> &'a [Point] {
        self.points
    }
}

/// The smallest region that holds a share of all landings.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// The share held, 0 to 1.
    pub share: f64,
    /// The least density in it, 1/m².
    pub level_per_m2: f64,
    /// Its parts.
    pub polygons: Vec<Polygon>,
}

impl Region {
    /// Whether a place is in it.
    pub fn holds(&self, point: Point) -> bool {
        self.polygons.iter().any(|polygon| polygon.side(point) != Side::Outside)
    }

    /// Its area, m².
    pub fn area_m2(&self) -> f64 {
        self.polygons.iter().map(Polygon::area_m2).sum()
    }
}

/// The regions that hold the given shares of the mix, in the order of the shares; without polygons if no cloud has a weight.
///
/// # Panics
/// If a share is not between 0 and 1.
pub fn regions(clouds: &[Cloud<'_>], shares: &[f64]) -> Vec<Region> {
    assert!(shares.iter().all(|share| *share > 0.0 && *share < 1.0), "shares lie between 0 and 1");
    let clouds: Vec<Cloud<'_>> = clouds.iter().copied().filter(|cloud| cloud.weight > 0.0).collect();
    let greatest = shares.iter().copied().fold(0.0, f64::max);
    let empty = |share: &f64| Region { share: *share, level_per_m2: 0.0, polygons: Vec::new() };
    if clouds.is_empty() {
        return shares.iter().map(empty).collect();
    }
    let mut mix = Mix::new(&clouds);
    // Where the grid has to reach: landings dense enough to be in the largest region.
    let dense = mix.at_landings(|point| mix.density(point), 0.0);
    let floor = level(&dense, greatest);
    let reach = mix.reach(&dense, floor);
    let spacing_m = mix.spacing_m(reach);
    let least_m = WIDTH_OVER_SPACING * spacing_m;
    mix.widen(least_m);
    let reach = reach.wider(density::REACH_WIDTHS * least_m);
    let grid = contour::Grid::fill(reach, spacing_m, |point| mix.density(point));
    let landings = mix.at_landings(|point| grid.at(point), spacing_m);
    let draw = |share: &f64| {
        let level_per_m2 = level(&landings, *share);
        Region { share: *share, level_per_m2, polygons: contour::polygons(&grid, level_per_m2) }
    };
    shares.iter().map(draw).collect()
}

/// A landing's density without its own kernel, 1/m², and its weight.
#[derive(Clone, Copy)]
struct Landing {
    density_per_m2: f64,
    weight: f64,
    cloud: usize,
    index: usize,
}

/// The density that a share of the weighted landings reach: between the last that is needed and the first that is not.
fn level(landings: &[Landing], share: f64) -> f64 {
    // Sorted already, the densest first.
    let total: f64 = landings.iter().map(|landing| landing.weight).sum();
    let mut held = 0.0;
    for pair in landings.windows(2) {
        held += pair[0].weight;
        if held >= share * total {
            return 0.5 * (pair[0].density_per_m2 + pair[1].density_per_m2);
        }
    }
    landings.last().map_or(0.0, |last| last.density_per_m2)
}

/// The clouds as densities.
struct Mix<'a> {
    clouds: Vec<(f64, &'a [Point], Smooth)>,
}

impl<'a> Mix<'a> {
    fn new(clouds: &[Cloud<'a>]) -> Mix<'a> {
        let total: f64 = clouds.iter().map(|cloud| cloud.weight).sum();
        let smooth = |cloud: &Cloud<'a>| (cloud.weight / total, cloud.points, Smooth::of(cloud.points));
        Mix { clouds: clouds.iter().map(smooth).collect() }
    }

    fn density(&self, point: Point) -> f64 {
        self.clouds.iter().map(|(weight, _, smooth)| weight * smooth.at(point)).sum()
    }

    /// All landings with their density by `read` less their own kernel there, the densest first. The kernel is
    /// as flattened as reading from a grid of `spacing_m` makes it.
    fn at_landings(&self, read: impl Fn(Point) -> f64, spacing_m: f64) -> Vec<Landing> {
        let mut all = Vec::with_capacity(self.clouds.iter().map(|(_, points, _)| points.len()).sum());
        for (cloud, (weight, points, smooth)) in self.clouds.iter().enumerate() {
            let each = weight / points.len() as f64;
            let own = each * smooth.kernel_at_0(spacing_m);
            all.extend(points.iter().enumerate().map(|(index, point)| Landing {
                density_per_m2: (read(smooth.reading_place(index, *point)) - own).max(own * ALONE),
                weight: each,
                cloud,
                index,
            }));
        }
        all.sort_by(|a, b| b.density_per_m2.total_cmp(&a.density_per_m2));
        all
    }

    /// The rectangle around the landings at least so dense, with room for their kernels.
    fn reach(&self, landings: &[Landing], floor_per_m2: f64) -> Bounds {
        let dense = landings.iter().take_while(|landing| landing.density_per_m2 >= floor_per_m2);
        let corners = dense.flat_map(|landing| {
            let (_, points, smooth) = &self.clouds[landing.cloud];
            let [x, y] = points[landing.index];
            let room = density::REACH_WIDTHS * smooth.greatest_width_m();
            [[x - room, y - room], [x + room, y + room]]
        });
        Bounds::of(corners).expect("the densest landing reaches the floor")
    }

    /// Fine enough for the narrowest kernel, and not more nodes than [`NODES`].
    fn spacing_m(&self, Bounds { least_m, greatest_m }: Bounds) -> f64 {
        let least = |width: f64, (_, _, smooth): &(f64, &[Point], Smooth)| width.min(smooth.least_width_m());
        let narrowest_m = self.clouds.iter().fold(f64::INFINITY, least);
        let area_m2 = (greatest_m[0] - least_m[0]) * (greatest_m[1] - least_m[1]);
        (narrowest_m / NODES_A_WIDTH).max(sqrt(area_m2 / NODES as f64))
    }

    /// Widens every kernel that is narrower than so much.
    fn widen(&mut self, least_m: f64) {
        for (_, points, smooth) in &mut self.clouds {
            if smooth.least_width_m() < least_m {
                *smooth = smooth.widened(points, least_m);
            }
        }
    }
}

#[cfg(test)]
mod tests;
