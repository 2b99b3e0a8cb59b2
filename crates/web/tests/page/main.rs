//! The page from outside: attacks over plain HTTP.

mod attack;
mod client;
mod scripts;
