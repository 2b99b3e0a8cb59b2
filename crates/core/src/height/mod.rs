//! True height: what a pressure height is worth on the day.
//!
//! A logger turns pressure into height by a standard atmosphere. On a day that is warmer, the same pressures
//! lie further apart: dz = (T_v / T_std) (g₀ / g) dH, about 3.5 % per 10 K. A rate read from the logger is short
//! by that factor, and a drag area goes with its square.
//!
//! - [`Column`]: true heights above the ground from logged heights or pressures, for the day's air;
//! - [`scale`](fn@scale): the factor itself with its uncertainty, by input; without the day's air, how large the error may be;
//! - [`compare_with_tape`]: the recorded fall against a tape measure.
//!
//! Whether a fall gains speed as gravity lets it is asked where falls are fitted, by [`crate::rates::check_gravity`].

mod column;
mod scale;
mod tape;

pub use column::{Column, LoggerScale};
pub use scale::{HeightScale, scale};
pub use tape::{TapeCheck, compare_with_tape};
