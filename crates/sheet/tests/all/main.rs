//! From recordings and projects to results, end to end without files.

mod forms;
mod invented;
mod reducing;
mod working;
