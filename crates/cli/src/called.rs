//! How the program was called, so that hints can be typed as they stand.

/// `silkfall`, or `cargo run --release --` as long as it runs under cargo and is not installed.
pub fn name() -> &'static str {
    match (std::env::var_os("CARGO_PKG_NAME"), cfg!(debug_assertions)) {
        (None, _) => "silkfall",
        (Some(_), false) => "cargo run --release --",
        (Some(_), true) => "cargo run --",
    }
}
