//! From recordings and projects to results, end to end without files.

mod invented;
mod reducing;
mod working;
