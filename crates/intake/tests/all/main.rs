//! Integration tests of the readers: one binary.

#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

mod corpus;
mod dressing;
mod promises;
mod stretches;
