//! Documents in, text and HTML out.

mod bay;
mod demo;
mod export;
mod figures;
mod fixture;
mod html;
mod json;
mod landed;
mod load_path;
mod loads;
mod openings;
mod plan;
mod reduced;
mod text;
mod whole;
mod worked;
