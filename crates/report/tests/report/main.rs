//! Documents in, text and HTML out.

mod fixture;
mod json;
mod reduced;
mod text;
