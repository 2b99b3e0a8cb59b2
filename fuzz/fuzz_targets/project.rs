//! Any bytes keep the promises that the tests of project ask of the corpus.

#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../../crates/project/tests/all/promises.rs"]
mod promises;

fuzz_target!(|bytes: &[u8]| promises::are_kept(bytes));
