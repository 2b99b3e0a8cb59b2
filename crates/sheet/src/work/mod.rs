//! `work`: a whole project, in the order in which a person does the job.

mod notes;
mod session;
mod tests;

pub(crate) use tests::TestWorked;

/// A part, worked.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PartWorked;
