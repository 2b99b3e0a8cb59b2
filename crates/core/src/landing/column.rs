//! Density and gravity by height above a field, from the air of its day.
//!
//! Over the ground's virtual temperature T_0 (K), falling by the lapse L (K/m) up to 11 km above sea level and staying
//! from there on, with geopotential heights H above sea level and h = H − H_ground:
//!
//! σ = (1 − L h/T_0)^(g₀/(R L) − 1);   above 11 km σ = σ₁₁ exp(−g₀ (h − h₁₁)/(R T₁₁)).
//!
//! L = 6.5 K/km, g₀ and R are those of the U.S. Standard Atmosphere 1976, whose layers these are; only the ground's state is
//! the day's. Gravity falls with (r₀/(r₀ + z))², r₀ as there.
//!
//! For speed the curve is kept as cubics between heights 250 m apart that meet it in value and slope; the error is at most
//! s⁴/384 of the fourth derivative, some 1e-9 of σ; two meet at 11 km. Where the air was measured by height ([`Column::by_levels`]) ln ρ goes
//! straight between the levels and the cubics stand 50 m apart.
//!
//! Range: 0 to 20 km above sea level. Not here: inversions and humidity by height, unless they were measured.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::thermodynamic_temperature::kelvin;

use crate::air::{SiteDensity, SiteGravity, standard};
use crate::maths::{ceil, exp, ln, pow};
use crate::quantity::{Acceleration, DragArea, Length, Mass, MassDensity, ThermodynamicTemperature};

/// Fall of temperature by height, K/m. U.S. Standard Atmosphere 1976, lowest layer; from memory.
pub const STANDARD_LAPSE_K_PER_M: f64 = 0.0065;
/// Geopotential height above sea level from which temperature stays, m. The same source.
const TROPOPAUSE_M: f64 = 11_000.0;
/// Distance of the cubics' ends under a law, m.
const LAW_STEP_M: f64 = 250.0;
/// Distance of the cubics' ends over measured levels, m.
const LEVELS_STEP_M: f64 = 50.0;

/// The air at the ground of a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundAir {
    /// Density.
    pub density: MassDensity,
    /// Temperature at which dry air would be as light.
    pub virtual_temperature: ThermodynamicTemperature,
    /// Gravity.
    pub gravity: Acceleration,
    /// Height of the ground above sea level.
    pub elevation: Length,
    /// Fall of temperature by height, K/m; 0: the same all the way up.
    pub lapse_k_per_m: f64,
}

impl GroundAir {
    /// From the air of a site.
    pub fn of_site(density: &SiteDensity, gravity: &SiteGravity, elevation: Length) -> Self {
        GroundAir {
            density: density.density,
            virtual_temperature: density.virtual_temperature,
            gravity: gravity.gravity,
            elevation,
            lapse_k_per_m: STANDARD_LAPSE_K_PER_M,
        }
    }
}

/// Density and gravity by height above the ground of a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    ground_density_kg_per_m3: f64,
    ground_gravity_m_per_s2: f64,
    /// 1/r₀, 1/m; 0 where gravity stays.
    per_radius_per_m: f64,
    per_step_per_m: f64,
    step_m: f64,
    /// σ as cubics of the share of a step, from the ground upwards; never empty.
    cubics: Vec<[f64; 4]>,
    /// −d ln σ/dz at the top, 1/m: above it density falls by that.
    thinning_per_m: f64,
}

impl Column {
    /// From the air at the ground, kept up to a height above it and carried on beyond.
    pub fn new(ground: &GroundAir, top: Length) -> Column {
        let law = Law::of(ground);
        let top_m = top.get::<meter>();
        // The kink of the tropopause lies where two cubics meet.
        let step_m = if law.stays_above_m > 0.0 && law.stays_above_m < top_m {
            law.stays_above_m / steps(law.stays_above_m, LAW_STEP_M) as f64
        } else {
            LAW_STEP_M
        };
        let cells = (0..steps(top_m, step_m)).map(|i| law.ends(i as f64 * step_m, (i + 1) as f64 * step_m));
        Column::of_cells(
            ground.density.get::<kilogram_per_cubic_meter>(),
            ground.gravity.get::<meter_per_second_squared>(),
            step_m,
            cells,
        )
    }

    /// Density measured by height above the ground: pairs of m and kg/m³, heights ascending, two at least. Below the first
    /// and above the last level ln ρ goes on with the slope it had.
    ///
    /// `None` where there are fewer than two levels, heights do not ascend, or a density is not above 0.
    pub fn by_levels(levels: &[(f64, f64)], gravity: Acceleration) -> Option<Column> {
        let ascend = levels.windows(2).all(|pair| pair[0].0 < pair[1].0);
        let sound = levels.iter().all(|(height_m, density)| height_m.is_finite() && *density > 0.0);
        if levels.len() < 2 || !ascend || !sound {
            return None;
        }
        let ln_density = |height_m: f64| {
            let above = levels.partition_point(|level| level.0 < height_m).clamp(1, levels.len() - 1);
            let ((low_m, low), (high_m, high)) = (levels[above - 1], levels[above]);
            ln(low) + ln(high / low) * (height_m - low_m) / (high_m - low_m)
        };
        let ground = ln_density(0.0);
        let node = |i: usize| {
            let height_m = i as f64 * LEVELS_STEP_M;
            let sigma = exp(ln_density(height_m) - ground);
            let rise =
                ln_density(height_m + 0.5 * LEVELS_STEP_M) - ln_density(height_m - 0.5 * LEVELS_STEP_M);
            (sigma, sigma * rise / LEVELS_STEP_M)
        };
        let cells = (0..steps(levels[levels.len() - 1].0, LEVELS_STEP_M)).map(|i| [node(i), node(i + 1)]);
        Some(Column::of_cells(exp(ground), gravity.get::<meter_per_second_squared>(), LEVELS_STEP_M, cells))
    }

    /// The same density and gravity at all heights: low falls, and closed forms.
    pub fn uniform(density: MassDensity, gravity: Acceleration) -> Column {
        let cells = [[(1.0, 0.0), (1.0, 0.0)]].into_iter();
        let mut column = Column::of_cells(
            density.get::<kilogram_per_cubic_meter>(),
            gravity.get::<meter_per_second_squared>(),
            LAW_STEP_M,
            cells,
        );
        column.per_radius_per_m = 0.0;
        column
    }

    /// From (σ, dσ/dz) at both ends of cells of a height, from the ground upwards; one at least.
    fn of_cells(
        ground_density_kg_per_m3: f64,
        ground_gravity_m_per_s2: f64,
        step_m: f64,
        cells: impl Iterator<Item = [(f64, f64); 2]>,
    ) -> Column {
        let mut thinning_per_m = 0.0;
        let cubics = cells
            .map(|[(low, low_slope), (high, high_slope)]| {
                thinning_per_m = -high_slope / high;
                let (a, b) = (low_slope * step_m, high_slope * step_m);
                [low, a, 3.0 * (high - low) - 2.0 * a - b, 2.0 * (low - high) + a + b]
            })
            .collect();
        Column {
            ground_density_kg_per_m3,
            ground_gravity_m_per_s2,
            per_radius_per_m: 1.0 / standard::EARTH_RADIUS_M,
            per_step_per_m: 1.0 / step_m,
            step_m,
            cubics,
            thinning_per_m,
        }
    }

    /// Density at the ground.
    pub fn ground_density(&self) -> MassDensity {
        MassDensity::new::<kilogram_per_cubic_meter>(self.ground_density_kg_per_m3)
    }

    /// k = ρ_ground D/(2 m) of a mass under a drag area, 1/m.
    ///
    /// # Examples
    /// ```
    /// use silkfall_core::landing::Column;
    /// use silkfall_core::quantity::{Acceleration, Area, DragArea, Mass, MassDensity};
    /// use uom::si::{acceleration::meter_per_second_squared, area::square_meter, mass::kilogram};
    /// use uom::si::mass_density::kilogram_per_cubic_meter;
    ///
    /// let air = MassDensity::new::<kilogram_per_cubic_meter>(1.2);
    /// let column = Column::uniform(air, Acceleration::new::<meter_per_second_squared>(9.8));
    /// let area = DragArea(Area::new::<square_meter>(2.0));
    /// // 1.2 · 2/(2 · 4) = 0.3 per metre, so a rate of √(9.8/0.3) = 5.7 m/s.
    /// assert!((column.k_per_m(Mass::new::<kilogram>(4.0), area) - 0.3).abs() < 1e-15);
    /// ```
    pub fn k_per_m(&self, mass: Mass, drag_area: DragArea) -> f64 {
        let per_mass = self.ground_density() * drag_area.0 / mass;
        0.5 * per_mass.get::<uom::si::reciprocal_length::reciprocal_meter>()
    }

    /// Density over that of the ground at a height above it, m.
    pub fn relative_density(&self, height_m: f64) -> f64 {
        self.density_and_slope(height_m).0
    }

    /// Gravity at a height above the ground, m/s².
    pub fn gravity_m_per_s2(&self, height_m: f64) -> f64 {
        // (1 + z/r₀)⁻² to the second order: 4 (z/r₀)³ is left out, 1e-7 at 20 km.
        let x = height_m * self.per_radius_per_m;
        self.ground_gravity_m_per_s2 * (1.0 - x * (2.0 - 3.0 * x))
    }

    /// σ and dσ/dz, 1/m, at a height above the ground, m.
    pub(super) fn density_and_slope(&self, height_m: f64) -> (f64, f64) {
        let share = height_m * self.per_step_per_m;
        // A cast of a negative number gives 0: below the ground the lowest cubic goes on.
        let cell = share as usize;
        match self.cubics.get(cell) {
            Some([a, b, c, d]) => {
                let x = share - cell as f64;
                (a + x * (b + x * (c + x * d)), (b + x * (2.0 * c + x * 3.0 * d)) * self.per_step_per_m)
            }
            None => self.above_top(height_m),
        }
    }

    #[cold]
    fn above_top(&self, height_m: f64) -> (f64, f64) {
        let top: f64 = self.cubics[self.cubics.len() - 1].iter().sum();
        let above_m = height_m - self.cubics.len() as f64 * self.step_m;
        let sigma = top * exp(-self.thinning_per_m * above_m);
        (sigma, -self.thinning_per_m * sigma)
    }
}

fn steps(top_m: f64, step_m: f64) -> usize {
    (ceil(top_m / step_m) as usize).max(1)
}

/// σ by height from the ground's air.
struct Law {
    elevation_m: f64,
    ground_k: f64,
    lapse_k_per_m: f64,
    /// Height above the ground from which temperature stays, m; infinite where it is the same all the way up.
    stays_above_m: f64,
}

impl Law {
    fn of(ground: &GroundAir) -> Law {
        let tropopause = standard::geometric_of(Length::new::<meter>(TROPOPAUSE_M));
        let changes = ground.lapse_k_per_m.abs() > 1e-9;
        Law {
            elevation_m: ground.elevation.get::<meter>(),
            ground_k: ground.virtual_temperature.get::<kelvin>(),
            lapse_k_per_m: ground.lapse_k_per_m,
            stays_above_m: if changes {
                (tropopause - ground.elevation).get::<meter>().max(0.0)
            } else {
                f64::INFINITY
            },
        }
    }

    /// (σ, dσ/dz) at two heights of one layer.
    fn ends(&self, low_m: f64, high_m: f64) -> [(f64, f64); 2] {
        let stays = 0.5 * (low_m + high_m) > self.stays_above_m;
        [low_m, high_m].map(|height_m| if stays { self.above(height_m) } else { self.below(height_m) })
    }

    /// Where temperature falls by the lapse.
    fn below(&self, height_m: f64) -> (f64, f64) {
        let (geopotential_m, stretch) = self.geopotential(height_m);
        if self.stays_above_m.is_infinite() {
            let per_m = standard::COLUMN_K_PER_M / self.ground_k;
            let sigma = exp(-per_m * geopotential_m);
            return (sigma, -per_m * stretch * sigma);
        }
        let warmth = 1.0 - self.lapse_k_per_m * geopotential_m / self.ground_k;
        let sigma = pow(warmth, standard::COLUMN_K_PER_M / self.lapse_k_per_m - 1.0);
        let per_m = (standard::COLUMN_K_PER_M - self.lapse_k_per_m) / (warmth * self.ground_k);
        (sigma, -per_m * stretch * sigma)
    }

    /// Where temperature stays.
    fn above(&self, height_m: f64) -> (f64, f64) {
        let (foot, _) = self.below(self.stays_above_m);
        let (foot_m, _) = self.geopotential(self.stays_above_m);
        let (geopotential_m, stretch) = self.geopotential(height_m);
        let per_m = standard::COLUMN_K_PER_M / (self.ground_k - self.lapse_k_per_m * foot_m);
        let sigma = foot * exp(-per_m * (geopotential_m - foot_m));
        (sigma, -per_m * stretch * sigma)
    }

    /// H(z) − H(ground), and dH/dz.
    fn geopotential(&self, height_m: f64) -> (f64, f64) {
        let radius_m = standard::EARTH_RADIUS_M;
        let from_centre_m = radius_m + self.elevation_m + height_m;
        let stretch = radius_m / from_centre_m;
        // Without the cancellation of two large numbers.
        (stretch * radius_m * height_m / (radius_m + self.elevation_m), stretch * stretch)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use outside_check::check;

    fn standard_column(elevation_m: f64) -> Column {
        let elevation = Length::new::<meter>(elevation_m);
        let air = standard::at_geometric(elevation).unwrap();
        let ground = GroundAir {
            density: air.density,
            virtual_temperature: air.temperature,
            gravity: Acceleration::new::<meter_per_second_squared>(9.8),
            elevation,
            lapse_k_per_m: STANDARD_LAPSE_K_PER_M,
        };
        Column::new(&ground, Length::new::<meter>(15_000.0))
    }

    #[test]
    fn over_a_standard_ground_it_is_the_standard_atmosphere() {
        let mut rows = Vec::new();
        for elevation_m in [0.0, 1200.0] {
            let column = standard_column(elevation_m);
            for height_m in [1.0, 130.0, 777.0, 1500.0, 4321.0, 9000.0, 10_990.0, 12_400.0] {
                let there = standard::at_geometric(Length::new::<meter>(elevation_m + height_m)).unwrap();
                let want = (there.density / column.ground_density()).value;
                rows.push((height_m, column.relative_density(height_m), want));
            }
        }
        check! {
            area: "landing", what: "density by height over a standard ground, over that of the ground",
            against: "U.S. Standard Atmosphere 1976, by the equations of the module air::standard", leg: Closed,
            rows: rows, within_relative: 1e-8,
            because: "cubics 250 m apart: 250⁴/384 of the fourth derivative",
        }
    }

    #[test]
    fn slope_is_that_of_the_density() {
        let column = standard_column(300.0);
        for height_m in [-2.0, 0.0, 240.0, 260.0, 3333.0, 14_999.0, 15_001.0, 18_000.0] {
            let rise = column.relative_density(height_m + 0.5) - column.relative_density(height_m - 0.5);
            let slope = column.density_and_slope(height_m).1;
            assert!((rise - slope).abs() < 1e-9, "{height_m}: {rise} {slope}");
        }
    }

    #[test]
    fn measured_levels_are_met() {
        let levels: Vec<(f64, f64)> =
            (0..200).map(|i| (37.0 * f64::from(i), 1.2 * exp(-0.0042 * f64::from(i)))).collect();
        let gravity = Acceleration::new::<meter_per_second_squared>(9.8);
        let column = Column::by_levels(&levels, gravity).unwrap();
        for (height_m, density) in levels {
            let got = column.relative_density(height_m) * column.ground_density_kg_per_m3;
            assert!((got / density - 1.0).abs() < 1e-9, "{height_m}");
        }
        assert!(Column::by_levels(&[(0.0, 1.2)], gravity).is_none());
        assert!(Column::by_levels(&[(0.0, 1.2), (0.0, 1.1)], gravity).is_none());
        assert!(Column::by_levels(&[(0.0, 1.2), (50.0, 0.0)], gravity).is_none());
    }

    #[test]
    fn gravity_falls_as_the_square_of_the_distance() {
        let column = standard_column(0.0);
        for height_m in [0.0, 3000.0, 14_000.0] {
            let ratio: f64 = standard::EARTH_RADIUS_M / (standard::EARTH_RADIUS_M + height_m);
            assert!((column.gravity_m_per_s2(height_m) / (9.8 * ratio * ratio) - 1.0).abs() < 1e-7);
        }
    }
}
