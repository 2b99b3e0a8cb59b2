//! True heights above the ground, from logged heights or pressures and the day's air.
//!
//! Hydrostatic balance dp = −ρ g dz with ρ = p / (R T_v) gives dz = −(R T_v / g) dp / p. The standard atmosphere has
//! dH = −(R T_std / g₀) dp / p over the same pressures, hence
//!
//! z = (g₀ / g) ∫ (1 + ΔT / T_std(H)) dH, taken in closed form layer by layer,
//!
//! where the air is taken to be warmer than the standard by the same ΔT at every height: ΔT = T_v − T_std at the
//! ground. T_v is the virtual temperature (vapour makes air lighter), g normal gravity at the ground. Heights in m,
//! pressures in Pa, temperatures in K.
//!
//! Source: the hydrostatic equation; standard atmosphere as in [`crate::air::standard`]. Meant for the lowest
//! kilometres: an inversion of 5 K that begins at the ground changes a fall from 10 m by nothing and one
//! from 1000 m by 1.8 %. Gravity is kept as at the ground (0.03 % per km).

use uom::si::acceleration::meter_per_second_squared;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::thermodynamic_temperature::kelvin;

use crate::air::{AirError, SiteDensity, SiteGravity, standard};
use crate::quantity::{Length, Pressure};

/// By which standard atmosphere a logger turned pressure into height.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoggerScale {
    /// Pressure height above 1013.25 hPa, set to zero on the ground afterwards: 2 K less per 300 m of elevation.
    StandardFromSeaLevel,
    /// The ground's pressure is taken for that of the height 0, 15 °C included.
    StandardFromGround,
    /// It is one of the two; the middle between them is taken.
    NotKnown,
}

impl LoggerScale {
    /// The geopotential height in the standard atmosphere at which this scale puts the ground, m.
    pub(super) fn datum_m(self, ground_pressure_pa: f64) -> Result<f64, AirError> {
        let pressure_height_m = standard::pressure_height_m(ground_pressure_pa)?;
        Ok(match self {
            LoggerScale::StandardFromSeaLevel => pressure_height_m,
            LoggerScale::StandardFromGround => 0.0,
            LoggerScale::NotKnown => pressure_height_m / 2.0,
        })
    }
}

/// The column of air above a site on the day of a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Where the logger's scale puts the ground, geopotential height in the standard atmosphere, m.
    datum_m: f64,
    /// Day's virtual temperature less the scale's at the ground, K.
    warmer_k: f64,
    /// g₀ / g.
    gravity_ratio: f64,
    /// Pressure on the ground, Pa.
    ground_pa: f64,
    /// Day's virtual temperature at the ground, K.
    virtual_k: f64,
}

impl Column {
    /// The column above a site for heights logged by the given scale.
    ///
    /// # Errors
    /// [`AirError::PressureOutOfRange`] where the site's pressure is none of the standard atmosphere's.
    pub fn new(air: &SiteDensity, gravity: &SiteGravity, scale: LoggerScale) -> Result<Column, AirError> {
        let ground_pa = air.pressure.get::<pascal>();
        let virtual_k = air.virtual_temperature.get::<kelvin>();
        let datum_m = scale.datum_m(ground_pa)?;
        Ok(Column {
            datum_m,
            warmer_k: virtual_k - standard::temperature_k(datum_m),
            gravity_ratio: standard::STANDARD_GRAVITY_M_PER_S2
                / gravity.gravity.get::<meter_per_second_squared>(),
            ground_pa,
            virtual_k,
        })
    }

    /// True height above the ground of a height that the logger set to zero on the ground.
    ///
    /// # Examples
    /// In standard air a pressure height is a true height, but for gravity.
    /// ```
    /// use silkfall_core::air::{self, Reading, SiteAir};
    /// use silkfall_core::finding::Subject;
    /// use silkfall_core::height::{Column, LoggerScale};
    /// use silkfall_core::quantity::{Length, Ratio, TemperatureInterval, ThermodynamicTemperature};
    /// use uom::si::{length::meter, ratio::percent, temperature_interval::kelvin, thermodynamic_temperature::degree_celsius};
    ///
    /// let warm = SiteAir {
    ///     temperature: Some(Reading {
    ///         value: ThermodynamicTemperature::new::<degree_celsius>(25.0),
    ///         standard_uncertainty: TemperatureInterval::new::<kelvin>(0.5),
    ///     }),
    ///     relative_humidity: Some(Reading {
    ///         value: Ratio::new::<percent>(0.0),
    ///         standard_uncertainty: Ratio::new::<percent>(0.0),
    ///     }),
    ///     ..SiteAir::UNKNOWN
    /// };
    /// let air = air::site::density(&warm, &Subject::Whole)?;
    /// let column = Column::new(&air, &air::site::gravity_at(&warm), LoggerScale::StandardFromGround)?;
    /// let true_height = column.true_height(Length::new::<meter>(10.0)).get::<meter>();
    /// assert!((true_height - 10.0 * 298.15 / 288.15).abs() < 0.002);
    /// # Ok::<(), air::AirError>(())
    /// ```
    pub fn true_height(&self, logged: Length) -> Length {
        Length::new::<meter>(self.true_height_m(logged.get::<meter>()))
    }

    /// True heights above the ground, m, of heights in m that the logger set to zero on the ground.
    pub fn true_heights_m(&self, logged_m: &[f64]) -> Vec<f64> {
        logged_m.iter().map(|&height_m| self.true_height_m(height_m)).collect()
    }

    /// True heights above the ground, m, of pressures in Pa; `ground` is the recording's own pressure on the ground,
    /// so that a sensor's offset cancels.
    ///
    /// # Errors
    /// [`AirError::PressureOutOfRange`] at the first pressure that is none of the standard atmosphere's.
    pub fn true_heights_of_pressures_m(
        &self,
        pressures_pa: &[f64],
        ground: Pressure,
    ) -> Result<Vec<f64>, AirError> {
        // A sensor that reads high reads high by the same share all the way up.
        let gain = self.ground_pa / ground.get::<pascal>();
        let ground_m = standard::pressure_height_m(self.ground_pa)?;
        let warmer_k = self.virtual_k - standard::temperature_k(ground_m);
        pressures_pa
            .iter()
            .map(|pressure_pa| {
                let height_m = standard::pressure_height_m(pressure_pa * gain)?;
                Ok(self.gravity_ratio * standard::thickness_m(ground_m, height_m, warmer_k))
            })
            .collect()
    }

    fn true_height_m(&self, logged_m: f64) -> f64 {
        self.gravity_ratio * standard::thickness_m(self.datum_m, self.datum_m + logged_m, self.warmer_k)
    }
}
