//! Markup to pages to PDF, with the fonts that come with the program and nothing else.

use std::collections::BTreeSet;

use silkfall_report::document::Document;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;

use crate::{PdfOptions, markup};

const FONTS: [&[u8]; 3] = [
    include_bytes!("../assets/inter-400.ttf"),
    include_bytes!("../assets/inter-600.ttf"),
    include_bytes!("../assets/math.otf"),
];

/// Why there is no PDF: a defect, since every document can be set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PdfError(Vec<String>);

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the PDF could not be set: {}", self.0.join("; "))
    }
}

impl std::error::Error for PdfError {}

impl PdfError {
    fn of(errors: impl IntoIterator<Item = SourceDiagnostic>) -> Self {
        PdfError(errors.into_iter().map(|error| error.message.to_string()).collect())
    }
}

/// A document as it was set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pdf {
    /// The file.
    pub bytes: Vec<u8>,
    /// Letters and signs that no font here has, each once: empty boxes stand for them.
    pub undrawn: Vec<char>,
}

/// The document as a PDF: the same bytes for the same document.
///
/// # Errors
/// Where the typesetter refuses its markup, which is a defect of ours.
pub fn render(document: &Document, options: PdfOptions) -> Result<Pdf, PdfError> {
    let text = markup(document, options);
    let letters: BTreeSet<char> = text.chars().filter(|c| !c.is_whitespace()).collect();
    let sheet = Desk::new(text);
    let pages = typst::compile::<PagedDocument>(&sheet).output.map_err(PdfError::of)?;
    let options = typst_pdf::PdfOptions {
        creator: Smart::Custom(Some(format!("Silkfall {}", env!("CARGO_PKG_VERSION")))),
        ..typst_pdf::PdfOptions::default()
    };
    let bytes = typst_pdf::pdf(&pages, &options).map_err(PdfError::of)?;
    Ok(Pdf { bytes, undrawn: letters.into_iter().filter(|c| !sheet.has(*c)).collect() })
}

/// All that the typesetter may see: one text, three fonts.
struct Desk {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    source: Source,
}

impl Desk {
    fn new(text: String) -> Self {
        let fonts: Vec<Font> = FONTS.into_iter().flat_map(|font| Font::iter(Bytes::new(font))).collect();
        Desk {
            library: LazyHash::new(<Library as LibraryExt>::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            source: Source::detached(text),
        }
    }

    fn has(&self, letter: char) -> bool {
        self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(letter)))
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.source.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.source.id() { Ok(self.source.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Paper;
    use silkfall_core::quantity::System;
    use silkfall_report::document::{Column, Rich, Row, Section, Table};

    #[test]
    fn the_same_document_gives_the_same_bytes_on_either_paper() {
        let table = Table::new("what", vec![Column::text("a"), Column::text("b")])
            .row(Row::new(vec!["#pagebreak()".into(), "] } ) \"$x$".into()]));
        let document = Document {
            title: "*x*, plan 1, 山".to_owned(),
            subtitle: Rich::new(),
            sections: vec![
                Section::new("one", "First").on_front(6).in_report("a page of its own"),
                Section::new("two", "Then").in_report(table),
            ],
            foot: Rich::from("foot"),
        };
        for paper in [Paper::A4, Paper::Letter] {
            let options = PdfOptions { system: System::Si, paper };
            let pdf = render(&document, options).unwrap();
            assert!(pdf.bytes.starts_with(b"%PDF-"));
            assert_eq!(pdf.undrawn, ['山']);
            assert_eq!(pdf, render(&document, options).unwrap());
        }
    }
}
