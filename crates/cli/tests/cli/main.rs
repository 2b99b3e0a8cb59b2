//! The program as it is used: run whole, its output and exit codes looked at.

mod hand;
mod land;
mod project;
mod reduce;
mod run;
mod sums;
mod walk;
