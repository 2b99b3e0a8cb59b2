//! Getting it out: pressure on a bulkhead against pins, friction and weight; gas for that pressure; the bay's and the
//! barometer's vents in the climb; a pack thrown out sideways.
//!
//! Each is a closed form with its derivation; what rests on a range stands as a range. Nothing here replaces a test on the
//! ground: [`GROUND_TEST`] and [`PYROTECHNIC`] say so wherever a result is shown.

mod door;
mod force;
mod gas;
mod pins;
mod vents;

#[cfg(test)]
mod checks;

pub use door::{
    PACK_COEFFICIENT, door_area, drift_back, out_of_the_way, pack_drag_area, push_of_pressure, speed_of_push,
};
pub use force::{
    force_margin, force_of_pressure, force_wanted, holds, holds_least, pressure_allowed, pressure_wanted,
};
pub use gas::{Gas, PYROTECHNIC_SHARE, cold_gas_mass, cold_gas_pressure, pyrotechnic_mass, pyrotechnic_rule};
pub use pins::{NYLON_DRY_PA, NYLON_LEFT, THREADS, Thread, pin_force};
pub use vents::{
    DISCHARGE, Flow, climb_pressure, height_error, hole_wanted, lag_pressure, port_diameter_by_rule,
    sealed_pressure,
};

/// Stands beside every result on getting something out.
pub const GROUND_TEST: &str =
    "Before it flies, test it on the ground, packed as it flies, with nobody in front or behind.";

/// Stands in the same block as every result on a pyrotechnic source.
pub const PYROTECHNIC: &str = "Pyrotechnic charges maim and burn. The range says what to expect and is no loading \
     instruction: the effect of a charge scatters widely with grain, tamping and leaks. Only licensed practice under local law decides what \
     may be kept, loaded and fired. Test on the ground from the least effect upwards, fired remotely, interlocked so \
     that nothing can fire while anybody is near, with eyes and ears protected.";
