//! Pieces of a document for a page that is put together elsewhere: sections apart, each number with its id and an
//! address of its own for how it came about.

use std::collections::BTreeMap;

use maud::Markup;
use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::Finding;
use silkfall_core::quantity::System;

use super::inline::{Context, Links};
use super::{blocks, font};
use crate::document::{Body, Explained, Rich};

/// The style of reports, which a page builds on.
pub const STYLE: &str = super::STYLE;

/// The font file (WOFF2) that the style names `Inter`.
pub fn font() -> &'static [u8] {
    font::WOFF2
}

/// How pieces are set.
pub struct Pieces<'a>(Context<'a>);

impl<'a> Pieces<'a> {
    /// In these units; numbers that stand in `hows` lead to their derivation.
    pub fn new(system: System, hows: &'a BTreeMap<NumberId, How>) -> Self {
        Pieces(Context { system, links: Links::Apart(hows) })
    }

    /// A text.
    pub fn rich(&self, text: &Rich) -> Markup {
        self.0.rich(text)
    }

    /// A text without links.
    pub fn words(&self, text: &Rich) -> Markup {
        self.0.words(text)
    }

    /// A text as characters alone.
    pub fn plain(&self, text: &Rich) -> String {
        self.0.plain(text)
    }

    /// One thing said.
    pub fn block(&self, body: &Body) -> Markup {
        blocks::set(body, &self.0)
    }

    /// How a number came about.
    pub fn how(&self, explained: &Explained) -> Markup {
        blocks::how(explained, &self.0)
    }
}

/// One finding, as a list item.
pub fn finding(finding: &Finding) -> Markup {
    blocks::set_finding(finding)
}

/// Where it is said how a number came about: its id, percent-encoded, under `/how/`.
pub fn how_address(id: &NumberId) -> String {
    let mut address = String::from("/how/");
    for byte in id.0.bytes() {
        // Unreserved characters (RFC 3986, section 2.3).
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_id_has_an_address() {
        let address = |id: &str| how_address(&NumberId(id.to_owned()));
        assert_eq!(address("parts.tube.rate"), "/how/parts.tube.rate");
        assert_eq!(address("a b/../ü"), "/how/a%20b%2F..%2F%C3%BC");
    }
}
