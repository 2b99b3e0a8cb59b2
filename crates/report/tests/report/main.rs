//! Documents in, text and HTML out.

mod fixture;
mod text;
