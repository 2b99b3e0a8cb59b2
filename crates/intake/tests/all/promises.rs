//! What holds for any bytes: they are read or refused with an error, without a panic, and what is read keeps the promises of a
//! recording. The fuzz target `read` asks this of bytes of its own; here it is asked of the corpus, cut and spoilt.

use silkfall_core::finding::Severity;
use silkfall_intake::{Reading, read, read_table};

/// Panics where a promise is broken.
pub fn are_kept(bytes: &[u8]) {
    match read("any", bytes, &Reading::default()) {
        Ok(read) => {
            let r = &read.recording;
            assert!(!r.is_empty() && r.segments[0] == 0);
            assert_eq!(r.time_s.len(), r.value.len());
            assert!(r.value.iter().chain(r.time_s.iter()).all(|x| x.is_finite()));
            for (n, pair) in r.time_s.windows(2).enumerate() {
                assert!(pair[1] > pair[0] || r.segments.contains(&(n + 1)));
            }
            assert!(
                (0..r.len()).all(|n| r.rows.line_of(n).is_some_and(|line| line <= read.understood.lines))
            );
        }
        Err(findings) => assert!(findings.iter().any(|f| f.severity() == Severity::Error)),
    }
    if let Err(findings) = read_table("any", bytes) {
        assert!(findings.iter().any(|f| f.severity() == Severity::Error));
    }
}
