//! `-v`: stages and times on stderr. The clock lives here, the work knows none.

use std::io::Write as _;
use std::time::Instant;

use silkfall_sheet::{Stage, Watch};

/// Tells of stages as they begin, if asked to.
#[derive(Debug)]
pub struct Teller {
    begin: Instant,
    is_asked: bool,
}

impl Teller {
    /// One that tells if `is_asked`.
    pub fn new(is_asked: bool) -> Self {
        Teller { begin: Instant::now(), is_asked }
    }

    /// Says what begins now.
    pub fn says(&self, what: &str) {
        if self.is_asked {
            let milliseconds = self.begin.elapsed().as_secs_f64() * 1e3;
            // Talk that nobody can hear is no reason to fail.
            drop(writeln!(std::io::stderr(), "{milliseconds:>8.1} ms  {what}"));
        }
    }
}

impl Watch for Teller {
    fn stage(&self, stage: Stage) {
        self.says(stage.name());
    }

    fn progress(&self, _share: f64) {}

    fn stopped(&self) -> bool {
        false
    }
}
