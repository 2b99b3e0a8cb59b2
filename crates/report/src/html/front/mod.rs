//! The size of type in which a first page stays one page, on A4 and on Letter, and how large it draws then.
//!
//! A style sheet cannot fit a page, and paper need have no script, so the page is laid out here as a browser does it: words
//! by their widths, columns of tables by theirs. `cargo xtask paper` prints pages and looks whether it holds, and whether
//! they are full. The lengths are those of `style.css`, for print.

mod measure;
mod table;

use std::collections::BTreeMap;

use self::measure::Words;
use super::inline::Context;
use crate::document::{Audience, Body, Rich, Section};
use crate::figures::{self, Figure};

/// Sizes that are tried, pt, and the step between them.
const LARGEST: f64 = 8.6;
const SMALLEST: f64 = 4.5;
const STEP: f64 = 0.1;
/// What both sheets have between their margins, pt: the width of A4, the height of Letter.
const WIDTH: f64 = (210.0 - 22.0) * MM;
const HEIGHT: f64 = (279.4 - 19.0) * MM;
const MM: f64 = 72.0 / 25.4;
/// Kept free: a browser rounds every line to a fraction of a pixel, and kerns.
const SPARE: f64 = 0.998;
/// The title, pt.
const TITLE: f64 = 12.0;
/// Ems of the type.
const LINE: f64 = 1.12;
const GUTTER: f64 = 1.2;
const BETWEEN: f64 = 0.15;
/// Of figures: the smallest that their text may become as long as type has room, pt; the size they are drawn in, px.
const FIGURE_TEXT: f64 = 4.3;
const DRAWN_TEXT: f64 = 12.5;

/// How a first page is set.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fit {
    /// The size of its type, pt.
    pub(super) type_pt: f64,
    /// Heights of the drawings, pt, by the section they stand in.
    pub(super) drawings: BTreeMap<String, f64>,
}

/// The largest type in which the sections fill no more than a page under the title, and drawings in what is left over.
pub(super) fn fit(title: &str, front: &[(&Section, u8)], context: &Context<'_>) -> Fit {
    let title = Words::plain(title, true).lines(WIDTH / TITLE) * TITLE * 1.25;
    let room = (HEIGHT - title) * SPARE;
    let steps = ((LARGEST - SMALLEST) / STEP).round() as u32;
    let sizes = (0..=steps).map(|step| LARGEST - STEP * f64::from(step));
    let laid = sizes.map(|size| rows(front, size, context));
    let mut last = None;
    for rows in laid {
        let fits = rows.iter().map(Laid::height).sum::<f64>() <= room;
        last = Some(rows);
        if fits {
            break;
        }
    }
    let rows = last.unwrap_or_default();
    let size = rows.first().map_or(LARGEST, |row| row.size);
    Fit { type_pt: (size / STEP).round() * STEP, drawings: drawings(&rows, room) }
}

/// A row of the page's grid.
#[derive(Default)]
struct Laid {
    size: f64,
    sections: Vec<Block>,
}

/// A section as high as it is with its drawing as small as may be, pt.
struct Block {
    id: String,
    height: f64,
    drawing: Option<Span>,
}

/// From how high to how high a drawing may be, pt.
#[derive(Clone, Copy)]
struct Span {
    least: f64,
    most: f64,
}

impl Laid {
    fn height(&self) -> f64 {
        self.sections.iter().map(|section| section.height).fold(0.0, f64::max)
    }

    /// What it would be with its drawings as large as they may be.
    fn wanted(&self) -> f64 {
        let wanted = |of: &Block| of.height + of.drawing.map_or(0.0, |span| span.most - span.least);
        self.sections.iter().map(wanted).fold(0.0, f64::max)
    }
}

/// What is left over goes to the drawings, in equal parts of what they lack.
fn drawings(rows: &[Laid], room: f64) -> BTreeMap<String, f64> {
    let left = room - rows.iter().map(Laid::height).sum::<f64>();
    let lack: f64 = rows.iter().map(|row| row.wanted() - row.height()).sum();
    let part = if lack > 0.0 { (left / lack).clamp(0.0, 1.0) } else { 0.0 };
    let mut heights = BTreeMap::new();
    for row in rows {
        let height = row.height() + part * (row.wanted() - row.height());
        for section in &row.sections {
            if let Some(span) = section.drawing {
                let own = (span.least + height - section.height).clamp(span.least, span.most);
                heights.insert(section.id.clone(), own);
            }
        }
    }
    heights
}

fn rows(front: &[(&Section, u8)], size: f64, context: &Context<'_>) -> Vec<Laid> {
    let mut rows = vec![Laid { size, sections: Vec::new() }];
    let mut filled = 0;
    for (section, sixths) in front {
        if filled + sixths > 6 {
            rows.push(Laid { size, sections: Vec::new() });
            filled = 0;
        }
        filled += sixths;
        if let Some(row) = rows.last_mut() {
            row.sections.push(block(section, *sixths, size, context));
        }
    }
    rows
}

fn block(section: &Section, sixths: u8, size: f64, context: &Context<'_>) -> Block {
    let page = Page { size, context };
    let column = (WIDTH / size - 5.0 * GUTTER) / 6.0;
    let width = f64::from(sixths) * column + f64::from(sixths - 1) * GUTTER;
    let heading = page.words(&section.heading, true).lines(width / 1.1) * LINE * 1.1 + 0.11;
    // A drawing that has room has its table or its words beside it.
    let is_shared = sixths > 2 && section.blocks.iter().any(|block| matches!(block.body, Body::Figure(_)));
    let half = if is_shared { width / 2.0 - GUTTER / 2.0 } else { width };
    let mut drawing = None;
    let (mut drawn, mut beside, mut below) = (0.0, 0.0, 0.0);
    for block in section.blocks.iter().filter(|block| block.audience != Audience::Terminal) {
        match &block.body {
            Body::Figure(figure) => {
                let span = page.span(figure, sixths == 6, half);
                drawn += span.least / size + page.text(&figure.caption, half / 0.92) * 0.92 + BETWEEN;
                drawing = Some(span);
            }
            body if is_shared && (sixths == 6 || matches!(body, Body::Table(_))) => {
                beside += page.height(body, half) + BETWEEN;
            }
            body => below += page.height(body, width) + BETWEEN,
        }
    }
    let body = if is_shared { f64::max(drawn, beside) + below } else { drawn + beside + below };
    // What lies below does not shrink while the drawing grows beside a table.
    let spare = if is_shared { (beside - drawn).max(0.0) * size } else { 0.0 };
    let drawing = drawing.map(|span| Span { least: (span.least + spare).min(span.most), ..span });
    // Paddings, and the rule above it.
    Block { id: section.id.clone(), height: (heading + body - BETWEEN + 0.4) * size + 0.75, drawing }
}

/// What setting a block needs to know.
struct Page<'a> {
    size: f64,
    context: &'a Context<'a>,
}

impl Page<'_> {
    fn words(&self, text: &Rich, strong: bool) -> Words {
        Words::of(text, None, strong, self.context.system)
    }

    fn text(&self, text: &Rich, width: f64) -> f64 {
        self.words(text, false).lines(width) * LINE
    }

    /// From text that can just be read to the width there is, or text as large as the page's.
    fn span(&self, figure: &Figure, is_wide: bool, width: f64) -> Span {
        let (across, high) = figures::size(figure, is_wide, self.context.system);
        let most = high * (width * self.size / across).min(1.1 * self.size / DRAWN_TEXT);
        Span { least: most.min(high * FIGURE_TEXT / DRAWN_TEXT), most }
    }

    /// Ems.
    fn height(&self, body: &Body, width: f64) -> f64 {
        let pt = |pt: f64| pt / self.size;
        match body {
            Body::Table(given) => table::height(given, width, self.size, self.context),
            Body::Facts(facts) => facts.iter().map(|fact| self.text(&fact.text, width - 6.4 - pt(4.0))).sum(),
            Body::Checks(checks) => checks.iter().map(|check| self.text(check, width - pt(10.0) - 0.3)).sum(),
            Body::Signatures(all) => {
                let one = |has_boxes| LINE * if has_boxes { 2.0 } else { 1.0 } + 2.5 + pt(0.75);
                all.iter().map(|of| one(!of.boxes.is_empty())).sum::<f64>() + 0.2
            }
            Body::Caution(of) => {
                self.text(&Rich::new().strong("Caution. ").then(of.clone()), width - pt(5.5))
            }
            Body::Paragraph(of) => self.text(of, width),
            _ => LINE,
        }
    }
}
