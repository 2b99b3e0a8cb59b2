//! Elementary functions that give the same digits on every platform.
//!
//! The standard library hands these to the system's C library, whose last digits differ between systems;
//! `libm` is compiled in. Use these for every result that is printed.

pub use libm::{
    acos, asin, atan, atan2, cos, cosh, exp, expm1, log as ln, log1p, pow, sin, sinh, sqrt, tan, tanh,
};
