//! The order of the job: from a project to everything worked out.
