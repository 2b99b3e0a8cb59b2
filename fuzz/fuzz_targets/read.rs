//! Any bytes keep the promises that the tests of intake ask of the corpus.

#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../../crates/intake/tests/all/promises.rs"]
mod promises;

fuzz_target!(|bytes: &[u8]| promises::are_kept(bytes));
