//! Elementary functions that give the same digits on every platform.
//!
//! The standard library hands these to the system's C library, whose last digits differ between systems;
//! `libm` is compiled in. Use these for every result that is printed.

pub use libm::{
    acos, asin, atan, atan2, ceil, cos, cosh, exp, expm1, floor, log as ln, log1p, log10, pow, sin, sinh,
    sqrt, tan, tanh,
};
