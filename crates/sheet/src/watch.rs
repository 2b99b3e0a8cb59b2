//! Watching a job and stopping it. The caller owns clock and flag, so that the work itself stays pure.

use std::collections::BTreeMap;

use silkfall_core::derivation::{How, NumberId};

use crate::landing::LandingSheet;
use crate::sheet::{CaseSheet, Choice, Falls, TestSheet};

/// Told how a job goes on; asked whether to stop.
pub trait Watch: Sync {
    /// A stage begins.
    fn stage(&self, stage: Stage);

    /// So much of the stage is done, 0 to 1.
    fn progress(&self, share: f64);

    /// All tests are worked; of those that the memo did not know, what they came to. Parts come after.
    fn tests(&self, _fresh: &[TestTold<'_>]) {}

    /// The cases of a part are worked; its landing, its loads and the rest come after.
    fn cases(&self, _worked: &CasesWorked<'_>) {}

    /// The landing of a part is worked; its loads and the rest come after.
    fn landing(&self, _told: &LandingTold<'_>) {}

    /// Whether the job is to stop; asked between tests, parts and stages.
    fn stopped(&self) -> bool;
}

/// A test before the rest of the sheet is worked. What is told here stands in the sheet to the digit, unless the job is
/// stopped.
#[derive(Clone, Copy, Debug)]
pub struct TestTold<'a> {
    /// The name of its part.
    pub part: &'a str,
    /// The test.
    pub sheet: &'a TestSheet,
    /// How its numbers came about.
    pub hows: &'a BTreeMap<NumberId, How>,
}

/// The cases of a part before the rest of its sheet is worked. What is told here stands in the sheet to the digit, unless
/// the job is stopped.
#[derive(Clone, Copy, Debug)]
pub struct CasesWorked<'a> {
    /// The part's name.
    pub part: &'a str,
    /// All that descends.
    pub falls: Option<&'a Falls>,
    /// Under which canopies.
    pub choice: &'a Choice,
    /// The cases.
    pub cases: &'a [CaseSheet],
}

/// The landing of a part before the rest of its sheet is worked. What is told here stands in the sheet to the digit, unless
/// the job is stopped.
#[derive(Clone, Copy, Debug)]
pub struct LandingTold<'a> {
    /// The landing; it names its part.
    pub sheet: &'a LandingSheet,
    /// How its numbers came about.
    pub hows: &'a BTreeMap<NumberId, How>,
}

/// The stages of a job in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Recordings to rates to drag areas of the tests.
    Tests,
    /// Drag areas to factors to full size.
    Drag,
    /// Every offer and count against every case.
    Candidates,
    /// Falls to the ground, against the field and the winds.
    Landing,
    /// Everything put together.
    Sheet,
}

impl Stage {
    /// As printed.
    pub fn name(self) -> &'static str {
        match self {
            Stage::Tests => "tests",
            Stage::Drag => "drag areas",
            Stage::Candidates => "candidates",
            Stage::Landing => "landing",
            Stage::Sheet => "sheet",
        }
    }
}

/// Nobody watches.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn stage(&self, _: Stage) {}

    fn progress(&self, _: f64) {}

    fn stopped(&self) -> bool {
        false
    }
}

/// The job was stopped by its watch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("stopped before the sheet was done")]
pub struct Stopped;

/// Goes on, or not.
pub(crate) fn go_on(watch: &dyn Watch) -> Result<(), Stopped> {
    if watch.stopped() { Err(Stopped) } else { Ok(()) }
}
