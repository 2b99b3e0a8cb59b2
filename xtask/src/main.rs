//! The habits of this workspace.

fn main() {}
