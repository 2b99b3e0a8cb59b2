//! A sheet said once, as a document, and rendered as text, HTML and figures.

pub mod wire;
