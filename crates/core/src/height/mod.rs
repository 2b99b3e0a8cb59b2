//! True height: what a pressure height is worth on the day.
//!
//! A logger turns pressure into height by a standard atmosphere. On a day that is warmer, the same pressures
//! lie further apart: dz = (T_v / T_std) (g₀ / g) dH, about 3.5 % per 10 K. A rate read from the logger is short
//! by that factor, and a drag area goes with its square.
//!
//! - [`Column`]: true heights above the ground from logged heights or pressures, for the day's air;
//! - [`scale`](fn@scale): the factor itself with its uncertainty, by input; without the day's air, how large the error may be;
//! - [`compare_with_tape`]: the recorded fall against a tape measure;
//! - [`check_free_fall`]: the first moments after release against free fall, a bound on height scale and clock.

mod column;
mod free_fall;
mod scale;
mod tape;

pub use column::{Column, LoggerScale};
pub use free_fall::{FirstMoments, FreeFallCheck, WINDOW_S, check_free_fall};
pub use scale::{HeightScale, scale};
pub use tape::{TapeCheck, compare_with_tape};
