//! The page from outside: attacks over plain HTTP, and a browser that works on it.

mod attack;
mod browser;
mod client;
mod driver;
mod drops;
mod looking;
mod scripts;
mod start;
mod swapping;
