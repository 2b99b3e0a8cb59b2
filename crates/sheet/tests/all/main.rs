//! From recordings and projects to results, end to end without files.

mod forms;
mod hanging;
mod invented;
mod landing;
mod reducing;
mod working;
