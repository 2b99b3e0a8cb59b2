//! Files are written whole or not at all.

use std::path::Path;

use anyhow::Context as _;

/// Writes a file beside its place and moves it there, so that an old one stays as it was when something fails.
///
/// # Errors
/// When it cannot be written, with its path.
pub fn write(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    let beside = path.with_file_name(name);
    std::fs::write(&beside, bytes).with_context(|| format!("cannot write {}", beside.display()))?;
    std::fs::rename(&beside, path).with_context(|| format!("cannot write {}", path.display()))
}
