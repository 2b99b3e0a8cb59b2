//! What a face shows, said once: sections of blocks, whatever renders them.
//!
//! A block says who it is for ([`Audience`]): the terminal prints the short selection, the report all of it, and
//! neither has words of its own. Numbers are data ([`Shown`]), figures are data ([`crate::figures::Figure`]);
//! units, digits and drawing belong to the renderers.

mod card;
mod inline;
mod table;

pub use card::{CardRow, FieldCard};
pub use inline::{Form, Inline, Rich, Shown};
pub use silkfall_core::cases::Verdict;
pub use table::{Align, Cell, Column, Fold, Range, Row, Scale, Stands, Table, Weight};

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::Finding;

/// Everything to be said about one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Its title: what it is about.
    pub title: String,
    /// What stands under the title in small: program, version, effort.
    pub subtitle: Rich,
    /// In the order of the job.
    pub sections: Vec<Section>,
    /// What stands at the foot of each page of paper, before its number; empty: the number alone.
    pub foot: Rich,
}

/// A heading and what stands under it.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// A short name for links: lower case, no spaces.
    pub id: String,
    /// A sentence with the answer, where there is one.
    pub heading: Rich,
    /// Whether it has its own place in the list of sections.
    pub rank: Rank,
    /// Where paper has it.
    pub place: Place,
    /// What stands under it.
    pub blocks: Vec<Block>,
}

/// Where paper has a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// One after the other, over the pages.
    Flow,
    /// On the first page, which holds these and nothing else: so wide, in sixths of it.
    Front(u8),
}

impl Place {
    /// How wide on the first page, in sixths of it; `None` elsewhere.
    pub fn sixths_of_front(self) -> Option<u8> {
        match self {
            Place::Front(sixths) => Some(sixths),
            Place::Flow => None,
        }
    }
}

/// The rank of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rank {
    /// Listed.
    Main,
    /// Part of the listed one before it.
    Under,
}

impl Section {
    /// An empty section.
    pub fn new(id: impl Into<String>, heading: impl Into<Rich>) -> Self {
        Section {
            id: id.into(),
            heading: heading.into(),
            rank: Rank::Main,
            place: Place::Flow,
            blocks: Vec::new(),
        }
    }

    /// The same as part of the section before it.
    #[must_use]
    pub fn under(mut self) -> Self {
        self.rank = Rank::Under;
        self
    }

    /// The same on the first page of paper, so many sixths of it wide.
    #[must_use]
    pub fn on_front(mut self, sixths: u8) -> Self {
        self.place = Place::Front(sixths);
        self
    }

    /// With a block for every face.
    #[must_use]
    pub fn everywhere(self, body: impl Into<Body>) -> Self {
        self.with(Audience::Everywhere, body)
    }

    /// With a block for the report alone.
    #[must_use]
    pub fn in_report(self, body: impl Into<Body>) -> Self {
        self.with(Audience::Report, body)
    }

    /// With a block for the terminal alone: what a page says by its shape.
    #[must_use]
    pub fn on_terminal(self, body: impl Into<Body>) -> Self {
        self.with(Audience::Terminal, body)
    }

    /// With its heading on the terminal too: nothing before it says what it is of.
    #[must_use]
    pub fn headed(mut self) -> Self {
        let body = Body::Paragraph(self.heading.clone());
        self.blocks.insert(0, Block { audience: Audience::Terminal, body });
        self
    }

    fn with(mut self, audience: Audience, body: impl Into<Body>) -> Self {
        self.blocks.push(Block { audience, body: body.into() });
        self
    }
}

/// Who a block is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Audience {
    /// Terminal, page and paper.
    Everywhere,
    /// The terminal alone: a command to type next.
    Terminal,
    /// Page and paper alone: what is long, or drawn.
    Report,
}

/// A block with its audience.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Who it is for.
    pub audience: Audience,
    /// What it is.
    pub body: Body,
}

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// The answer itself.
    Answer(Answer),
    /// Running text.
    Paragraph(Rich),
    /// Rows and columns.
    Table(Table),
    /// Something drawn.
    Figure(Box<crate::figures::Figure>),
    /// What was noticed, worst first.
    Findings(Vec<Finding>),
    /// What can hurt someone, and who decides.
    Caution(Rich),
    /// What to do next.
    Steps(Vec<Step>),
    /// How a number came about.
    How(Explained),
    /// Words and what stands to them: who, where, when.
    Facts(Vec<Step>),
    /// What is to be looked at and ticked, a box each.
    Checks(Vec<Rich>),
    /// Where somebody signs.
    Signatures(Vec<Signature>),
    /// The winds to fly in, to be asked at the field.
    Card(Box<FieldCard>),
}

/// A line to be signed, with what is decided by it.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// Who signs: "builder".
    pub role: String,
    /// By name, where that is known.
    pub name: Option<String>,
    /// What is ticked beside it: "accepted", "accepted if", "refused"; may be empty.
    pub boxes: Vec<String>,
}

/// The answer: a big result, what stands beside it, and quiet lines under that.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// In large: "3.25 m/s".
    pub result: Rich,
    /// On the same line: "95 % sure: 2.99 to 3.51", "4 drops kept".
    pub beside: Vec<Rich>,
    /// Below, in quiet ink.
    pub below: Vec<Rich>,
}

/// One thing to do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// One word: "next", "fill in", "ask".
    pub label: String,
    /// What to type or write.
    pub text: Rich,
}

/// A number's way of coming about, under the number's id.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    /// The number.
    pub id: NumberId,
    /// Others that came about in just that way.
    pub also: Vec<NumberId>,
    /// How it came about.
    pub how: How,
}

macro_rules! body_from {
    ($($variant:ident from $type:ty;)*) => {
        $( impl From<$type> for Body {
            fn from(value: $type) -> Self {
                Body::$variant(value.into())
            }
        } )*
    };
}
body_from! {
    Answer from Answer;
    Paragraph from Rich;
    Paragraph from &str;
    Table from Table;
    Figure from crate::figures::Figure;
    Findings from Vec<Finding>;
    Steps from Vec<Step>;
    How from Explained;
}

/// Every number a document shows, in the order it is read. Interval ends count as numbers of their own.
pub fn numbers(document: &Document) -> Vec<&Shown> {
    let mut found = document.subtitle.numbers();
    for section in &document.sections {
        found.extend(section.heading.numbers());
        for block in &section.blocks {
            found.extend(block.body.numbers());
        }
    }
    found
}

impl Body {
    /// The numbers in it, in the order they are read.
    pub fn numbers(&self) -> Vec<&Shown> {
        match self {
            Body::Answer(answer) => std::iter::once(&answer.result)
                .chain(&answer.beside)
                .chain(&answer.below)
                .flat_map(Rich::numbers)
                .collect(),
            Body::Paragraph(text) | Body::Caution(text) => text.numbers(),
            Body::Table(table) => table.numbers(),
            Body::Figure(figure) => {
                figure.caption.numbers().into_iter().chain(figure.alternative.numbers()).collect()
            }
            Body::Findings(_) | Body::How(_) | Body::Signatures(_) => Vec::new(),
            Body::Checks(checks) => checks.iter().flat_map(Rich::numbers).collect(),
            Body::Card(card) => card.numbers(),
            Body::Steps(steps) | Body::Facts(steps) => {
                steps.iter().flat_map(|step| step.text.numbers()).collect()
            }
        }
    }
}
