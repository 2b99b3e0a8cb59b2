//! What every face does with a project folder: a text in it to what is worked, and the demo's files.
//!
//! A face that works once ([`Loader`] used once) and a page that works after every keystroke read a folder the same
//! way. Recordings are kept between readings as long as their file and the way of reading it stay the same.

pub mod demo;
pub mod fresh;
mod input;
mod load;

pub use input::input;
pub use load::{Loader, Loading};
