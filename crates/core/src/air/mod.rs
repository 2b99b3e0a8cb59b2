//! Air: the standard atmosphere, moist air, gravity, and the air of a site from what is known of it.
//!
//! - [`standard`]: the U.S. Standard Atmosphere 1976 both ways, height to air and pressure to height;
//! - [`moist`]: the density of moist air (CIPM-2007) from temperature, pressure and humidity;
//! - [`gravity`]: normal gravity by latitude and height (WGS 84);
//! - [`contribution`]: what each input contributes to a result, under the same name wherever it is used;
//! - [`site`]: density and gravity at a site from what a person knows, with what each unknown contributes;
//! - `pressure_check`: whether a stated pressure and a stated elevation can both be right.
//!
//! None of it forecasts weather, and none of it knows the air above the site: how heights follow from
//! pressures on a day that is not standard stands in [`crate::height`].

pub mod contribution;
pub mod gravity;
pub mod moist;
mod pressure_check;
pub mod site;
pub mod standard;

use thiserror::Error;

pub use contribution::{Contribution, Input, Origin, Reading};
pub use site::{SiteAir, SiteDensity, SiteGravity, SitePressure};

/// Why no air could be worked out.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum AirError {
    /// A height outside the layers of the standard atmosphere that are kept here.
    #[error(
        "a height of {height_m:.0} m; the standard atmosphere is kept from {lowest_m:.0} m to {highest_m:.0} m"
    )]
    HeightOutOfRange {
        /// Geopotential height asked for, m.
        height_m: f64,
        /// Lowest geopotential height, m.
        lowest_m: f64,
        /// Highest geopotential height, m.
        highest_m: f64,
    },
    /// A pressure outside the layers of the standard atmosphere that are kept here.
    #[error(
        "a pressure of {pressure_pa:.1} Pa; the standard atmosphere is kept from {highest_pa:.0} Pa down to {lowest_pa:.0} Pa"
    )]
    PressureOutOfRange {
        /// Pressure asked for, Pa.
        pressure_pa: f64,
        /// Lowest pressure, Pa.
        lowest_pa: f64,
        /// Highest pressure, Pa.
        highest_pa: f64,
    },
    /// A relative humidity that is none.
    #[error("a relative humidity of {percent:.1} %; it lies between 0 % and 100 %")]
    HumidityOutOfRange {
        /// Relative humidity asked for, %.
        percent: f64,
    },
    /// A temperature at which no canopy is tested and the formulas do not hold.
    #[error("an air temperature of {celsius:.1} °C; it is looked for between -60 °C and 60 °C")]
    TemperatureOutOfRange {
        /// Temperature asked for, °C.
        celsius: f64,
    },
}
