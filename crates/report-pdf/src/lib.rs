//! A document as a PDF.
//!
//! ```text
//! Document ──► markup ──► (feature `typeset`) ──► PDF
//! ```
//!
//! The markup holds what the page holds, block for block, from the same document; figures are the page's own drawings.
//! Every text is a quoted literal, so that nothing of a file's names is read as markup. No clock, no fonts of the system,
//! no network: the same document gives the same bytes.

mod markup;
mod math;
mod table;
#[cfg(feature = "typeset")]
mod typeset;

pub use markup::markup;
#[cfg(feature = "typeset")]
pub use typeset::{Pdf, PdfError, render};

use silkfall_core::quantity::System;

/// How to set it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PdfOptions {
    /// Units.
    pub system: System,
    /// The sheets it is printed on.
    pub paper: Paper,
}

/// Sheets of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 mm × 297 mm.
    A4,
    /// 8.5 in × 11 in.
    Letter,
}

impl Paper {
    /// What is usual where those units are.
    pub fn usual(system: System) -> Self {
        match system {
            System::Si => Paper::A4,
            System::Us => Paper::Letter,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "us-letter",
        }
    }
}
