//! The bytes of a file, long ones fetched in pieces on every core: copying a day's recording out of the system's cache
//! takes a good part of the time of reading it.

use std::io;
use std::path::Path;

/// Reads a file.
///
/// # Errors
/// What the system says; also a file that is cut shorter while it is read.
#[cfg(not(unix))]
pub fn of(path: &Path) -> io::Result<Vec<u8>> {
    std::fs::read(path)
}

/// Reads a file. All pieces come through one handle, so that a file put in its place meanwhile is not mixed in.
///
/// # Errors
/// What the system says; also a file that is cut shorter while it is read.
#[cfg(unix)]
pub fn of(path: &Path) -> io::Result<Vec<u8>> {
    use rayon::prelude::*;
    use std::os::unix::fs::FileExt as _;

    const PIECE: usize = 1 << 22;
    let file = std::fs::File::open(path)?;
    let about = file.metadata()?;
    let length = usize::try_from(about.len()).map_err(|_| io::ErrorKind::FileTooLarge)?;
    // Pipes and terminals have no length, and are read as they come.
    if !about.is_file() || length <= PIECE {
        return std::fs::read(path);
    }
    let mut bytes = vec![0; length];
    bytes
        .par_chunks_mut(PIECE)
        .enumerate()
        .try_for_each(|(n, piece)| file.read_exact_at(piece, (n * PIECE) as u64))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_file_is_whole_and_a_missing_one_is_an_error() {
        let path = std::env::temp_dir().join(format!("silkfall-bytes-{}", std::process::id()));
        let written: Vec<u8> =
            (0..9_000_001u32).map(|n| n.wrapping_mul(2_654_435_761).to_le_bytes()[3]).collect();
        std::fs::write(&path, &written).unwrap();
        let read = of(&path);
        std::fs::remove_file(&path).unwrap();
        assert!(read.unwrap() == written);
        assert_eq!(of(&path).unwrap_err().kind(), io::ErrorKind::NotFound);
    }
}
