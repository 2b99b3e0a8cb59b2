//! `cargo xtask demo [--verify]`: the demo's recordings from the generator, as the program carries them.

use anyhow::{Context as _, bail, ensure};

use crate::checks::root;

/// Writes the recordings, or compares the committed ones.
///
/// # Errors
/// When a file cannot be written, or is not what the generator makes.
pub fn run(arguments: &[String]) -> anyhow::Result<()> {
    let verify = match arguments {
        [] => false,
        [flag] if flag == "--verify" => true,
        other => bail!("demo takes --verify or nothing, not {other:?}"),
    };
    let folder = root().join("crates/cli/demo/logs");
    let files = pretend::demo();
    for file in &files {
        let path = folder.join(file.name);
        if verify {
            let committed = std::fs::read(&path).unwrap_or_default();
            ensure!(committed == file.bytes, "{} is stale; run `cargo xtask demo`", path.display());
        } else {
            std::fs::write(&path, &file.bytes)
                .with_context(|| format!("{} cannot be written", path.display()))?;
        }
    }
    let present =
        std::fs::read_dir(&folder).with_context(|| format!("{} cannot be read", folder.display()))?.count();
    ensure!(present == files.len(), "{} holds a file that the generator does not make", folder.display());
    Ok(())
}
