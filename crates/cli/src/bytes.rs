//! A recording from a file: a regular file is fetched in stretches, so that a long text is never held whole; what has no
//! length (a pipe, a terminal) is read as it comes.

use silkfall_core::finding::Finding;
use silkfall_intake::{Read, Reading};
use std::io;
use std::path::Path;

/// Reads a recording; `name` is used in findings only.
///
/// # Errors
/// Outside what the system says, also of a file that changes while it is read; inside the findings when it gives no
/// recording.
#[cfg(not(unix))]
pub fn recording(path: &Path, name: &str, reading: &Reading) -> io::Result<Result<Read, Vec<Finding>>> {
    Ok(silkfall_intake::read(name, &std::fs::read(path)?, reading))
}

/// Reads a recording; `name` is used in findings only. Everything comes through one handle, so that a file put in its
/// place meanwhile is not mixed in.
///
/// # Errors
/// Outside what the system says, also of a file that changes while it is read; inside the findings when it gives no
/// recording.
#[cfg(unix)]
pub fn recording(path: &Path, name: &str, reading: &Reading) -> io::Result<Result<Read, Vec<Finding>>> {
    use silkfall_intake::Fetch;
    use std::fs::File;
    use std::io::Read as _;
    use std::os::unix::fs::FileExt as _;

    struct Opened {
        file: File,
        length: usize,
    }

    impl Fetch for Opened {
        fn length(&self) -> usize {
            self.length
        }

        fn fetch(&self, from: usize, into: &mut [u8]) -> io::Result<()> {
            self.file.read_exact_at(into, from as u64)
        }
    }

    let mut file = File::open(path)?;
    let about = file.metadata()?;
    if about.is_file() && about.len() > 0 {
        let length = usize::try_from(about.len()).map_err(|_| io::ErrorKind::FileTooLarge)?;
        return silkfall_intake::read_from(name, &Opened { file, length }, reading);
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    Ok(silkfall_intake::read(name, &bytes, reading))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_file_reads_as_its_bytes_do_and_a_missing_one_is_an_error() {
        let path = std::env::temp_dir().join(format!("silkfall-bytes-{}", std::process::id()));
        let text: String =
            (0..700_000).map(|n| format!("{}.{:02};{}.5\n", n / 100, n % 100, n / 7 % 90)).collect();
        assert!(text.len() > 1 << 22, "long enough to be fetched in stretches");
        std::fs::write(&path, &text).unwrap();
        let read = recording(&path, "log", &Reading::default());
        std::fs::remove_file(&path).unwrap();
        let (read, whole) = (
            read.unwrap().unwrap(),
            silkfall_intake::read("log", text.as_bytes(), &Reading::default()).unwrap(),
        );
        assert_eq!(read.recording, whole.recording);
        assert_eq!(read.understood, whole.understood);
        let missing = recording(&path, "log", &Reading::default()).map(|_| ());
        assert_eq!(missing.unwrap_err().kind(), io::ErrorKind::NotFound);
    }
}
