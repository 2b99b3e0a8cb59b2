//! The order of the job: from a project to everything worked out.
//!
//! [`Reduction`] is what recordings of one configuration come to without a project, [`Sheet`] what a whole project
//! comes to. Both are plain values: faces show them and work out nothing.

mod number;
mod outcome;
mod reduction;
mod sheet;
mod verdict;

pub use number::{Interval, Number};
pub use outcome::Outcome;
pub use reduction::{
    Bound, ColumnRead, Doubt, DoubtCure, DropRate, Group, PooledRate, ReducedDrop, ReducedRecording,
    Reduction, Trace, TraceLine,
};
pub use sheet::{
    CandidateCase, CandidateSheet, CaseSheet, Choice, DragSheet, Effort, Factor, Falls, FallsItem, FullSize,
    LimitSheet, NotToldApart, PartSheet, Residual, RestsOn, Reynolds, SessionSheet, Sheet, Step, Tally,
    TestSheet, Unknown,
};
pub use verdict::Verdict;
