//! A document on a terminal: plain text that carries everything, wrapped to the width given.
//!
//! Blocks for the report alone are left out. Colour only underlines what the words say and is the caller's choice
//! ([`Ink`]); ranges are drawn beside a table only where the width leaves room. Control characters of names and
//! headings, which come from files, are written as escapes, never sent to the terminal.

mod line;
mod table;

pub use line::Ink;

use silkfall_core::derivation::How;
use silkfall_core::finding::Finding;
use silkfall_core::quantity::{System, Unit};

use crate::derivations;
use crate::document::{Answer, Audience, Body, Document, Explained, Inline, Rich, Signature, Step, Verdict};
use crate::show;
use line::{Line, Voice, wrap};

/// How to print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TextOptions {
    /// Columns of the terminal; below 40 is taken as 40; what is to be typed is never broken.
    pub width: usize,
    /// Units.
    pub system: System,
    /// Whether escape codes may be used.
    pub ink: Ink,
}

const MARGIN: usize = 2;

/// The document's short selection as text, ending in a line end.
pub fn render(document: &Document, options: TextOptions) -> String {
    let bodies = document
        .sections
        .iter()
        .flat_map(|section| &section.blocks)
        .filter(|block| block.audience != Audience::Report)
        .map(|block| &block.body);
    let mut out = String::new();
    let mut before: Option<&Body> = None;
    for body in bodies {
        let lines = block(body, options);
        if lines.is_empty() {
            continue;
        }
        if before.is_some_and(|before| !(stands_close(before) && stands_close(body))) {
            out.push('\n');
        }
        print(&lines, options, &mut out);
        before = Some(body);
    }
    out
}

/// How one number came about, as text: the equation, the same with its numbers, and each input's source.
pub fn explain(explained: &Explained, options: TextOptions) -> String {
    let mut out = String::new();
    print(&how(explained, options), options, &mut out);
    out
}

/// A paragraph broken at the width, without an end of line.
pub fn wrapped(text: &str, width: usize) -> String {
    let lines = wrap(&Line::of(Voice::Plain, text), 0, 0, width);
    lines.iter().map(|line| line.to_text(Ink::Plain)).collect::<Vec<_>>().join("\n")
}

/// One finding in full: what, where, and the cure on a line of its own.
pub fn finding(finding: &Finding, options: TextOptions) -> String {
    let mut out = String::new();
    print(&finding_lines(finding, options, 0), options, &mut out);
    out
}

/// Findings, steps and cautions follow one another without a blank line.
fn stands_close(body: &Body) -> bool {
    matches!(body, Body::Findings(_) | Body::Steps(_) | Body::Caution(_))
}

fn print(lines: &[Line], options: TextOptions, out: &mut String) {
    for line in lines {
        out.push_str(&line.to_text(options.ink));
        out.push('\n');
    }
}

fn block(body: &Body, options: TextOptions) -> Vec<Line> {
    match body {
        Body::Answer(given) => answer(given, options),
        Body::Paragraph(text) | Body::Caution(text) => paragraph(text, options),
        Body::Table(given) => table::lines(given, options, MARGIN),
        // What a figure shows stands in tables; a terminal draws the ranges of those.
        Body::Figure(_) => Vec::new(),
        Body::Findings(findings) => {
            findings.iter().flat_map(|finding| finding_lines(finding, options, MARGIN)).collect()
        }
        Body::Steps(given) | Body::Facts(given) => steps(given, options),
        Body::Checks(checks) => checks.iter().flat_map(|check| box_line(check, options)).collect(),
        Body::Signatures(lines) => lines.iter().flat_map(|line| signature(line, options)).collect(),
        // A card is picked from; what it holds stands in its table.
        Body::Card(card) => table::lines(&card.table, options, MARGIN),
        Body::How(explained) => how(explained, options),
    }
}

/// The runs of a text, numbers printed; `unit` is that of the column it stands in.
fn spans(text: &Rich, options: TextOptions, unit: Option<(&Unit, silkfall_core::quantity::Kind)>) -> Line {
    let mut line = Line::default();
    for inline in &text.0 {
        match inline {
            Inline::Plain(text) => line.push(Voice::Plain, text),
            Inline::Strong(text) => line.push(Voice::Strong, text),
            Inline::Quiet(text) => line.push(Voice::Quiet, text),
            Inline::Code(text) => line.push(Voice::Code, &show::no_break(text)),
            Inline::Verdict(verdict) => match verdict {
                // In capitals, so that plain text carries it.
                Verdict::Misses => line.push(Voice::Misses, &verdict.word().to_uppercase()),
                _ => line.push(voice_of(*verdict), verdict.word()),
            },
            Inline::Number(shown) => {
                let column = unit.filter(|(_, kind)| *kind == shown.kind).map(|(unit, _)| unit);
                line.push(Voice::Plain, &show::number(shown, options.system, column));
            }
            Inline::Interval { low, high } => {
                let column = unit.filter(|(_, kind)| *kind == high.kind).map(|(unit, _)| unit);
                line.push(Voice::Plain, &show::interval(low, high, options.system, column));
            }
            Inline::Unit => line.push(Voice::Plain, unit.map_or("", |(unit, _)| show::unit_name(unit))),
        }
    }
    line
}

fn voice_of(verdict: Verdict) -> Voice {
    match verdict {
        Verdict::Meets => Voice::Plain,
        Verdict::Misses => Voice::Misses,
        Verdict::Undecided => Voice::Undecided,
        Verdict::NotJudged => Voice::Quiet,
    }
}

/// A box and what is looked at.
fn box_line(text: &Rich, options: TextOptions) -> Vec<Line> {
    let mut line = Line::of(Voice::Plain, "[\u{a0}]\u{a0}");
    line.append(&spans(text, options, None));
    wrap(&line, MARGIN, MARGIN + 4, options.usable_width())
}

fn signature(of: &Signature, options: TextOptions) -> Vec<Line> {
    let name = of.name.as_ref().map_or_else(String::new, |name| format!(", {name}"));
    let boxes: String = of.boxes.iter().map(|text| format!("   [ ] {text}")).collect();
    let text = format!("{}{name}: ____________________{boxes}", of.role);
    wrap(&Line::of(Voice::Plain, &text), MARGIN, MARGIN + 2, options.usable_width())
}

fn paragraph(text: &Rich, options: TextOptions) -> Vec<Line> {
    wrap(&spans(text, options, None), MARGIN, MARGIN, options.usable_width())
}

fn answer(answer: &Answer, options: TextOptions) -> Vec<Line> {
    let width = options.usable_width();
    let mut first = Line::space(MARGIN);
    first.append(&spans(&answer.result, options, None).all_in(Voice::Strong));
    let beside: Vec<Line> = answer.beside.iter().map(|text| spans(text, options, None)).collect();
    let fits = beside.first().is_none_or(|part| first.width() + 5 + part.width() <= width);
    let hang = if fits { first.width() + 5 } else { MARGIN + 2 };
    let mut lines = Vec::new();
    let mut current = first;
    let mut at_start = true;
    for part in &beside {
        let gap = if at_start { hang.saturating_sub(current.width()).max(3) } else { 7 };
        if current.width() + gap + part.width() <= width {
            current.append(&Line::space(gap));
            current.append(part);
        } else {
            lines.push(std::mem::take(&mut current));
            let mut wrapped = wrap(part, hang, hang, width);
            current = wrapped.pop().unwrap_or_default();
            lines.extend(wrapped);
        }
        at_start = false;
    }
    lines.push(current);
    for text in &answer.below {
        lines.extend(wrap(&spans(text, options, None).all_in(Voice::Quiet), hang, hang, width));
    }
    lines
}

fn steps(steps: &[Step], options: TextOptions) -> Vec<Line> {
    let label_width =
        steps.iter().map(|step| Line::of(Voice::Strong, &step.label).width()).max().unwrap_or(0);
    let hang = MARGIN + label_width + 2;
    steps
        .iter()
        .flat_map(|step| {
            let mut line = Line::of(Voice::Strong, &show::no_break(&step.label));
            // Unbreakable, so that wrapping keeps the text beside its label.
            line.push(Voice::Plain, &"\u{a0}".repeat(hang - MARGIN - line.width()));
            line.append(&spans(&step.text, options, None));
            wrap(&line, MARGIN, hang, options.usable_width())
        })
        .collect()
}

fn finding_lines(finding: &Finding, options: TextOptions, margin: usize) -> Vec<Line> {
    use silkfall_core::finding::Severity;
    let width = options.usable_width();
    let voice = match finding.severity() {
        Severity::Error if finding.is_wrong() => Voice::Misses,
        Severity::Error | Severity::Warning => Voice::Undecided,
        Severity::Note => Voice::Strong,
    };
    let mut first = Line::of(voice, &format!("{}[{}]", finding.word(), finding.code.name()));
    first.push(Voice::Plain, &format!(": {}", finding.message));
    if finding.count > 1 {
        first.push(Voice::Quiet, &format!(" (and {} more of the same)", finding.count - 1));
    }
    let hang = margin + 2;
    let mut lines = wrap(&first, margin, hang, width);
    if let Some(place) = &finding.place {
        let mut text = format!("--> {}", place.file);
        if let Some(line) = place.line {
            text += &format!(":{line}");
        }
        if let Some(column) = place.column {
            text += &format!(", column {column}");
        }
        lines.extend(wrap(&Line::of(Voice::Quiet, &text), hang, hang + 4, width));
    }
    // What stops an answer always comes with its cure.
    let usual = || (finding.severity() == Severity::Error).then(|| finding.code.cure());
    if let Some(hint) = finding.hint.as_deref().or_else(usual) {
        lines.extend(wrap(&Line::of(Voice::Plain, &format!("hint: {hint}")), margin, hang, width));
    }
    lines
}

fn how(explained: &Explained, options: TextOptions) -> Vec<Line> {
    let width = options.usable_width();
    let mut lines = wrap(&Line::of(Voice::Code, &explained.id.0), MARGIN, MARGIN, width);
    let mut say = |text: &str, voice: Voice, margin: usize| {
        lines.extend(wrap(&Line::of(voice, text), margin, margin + 2, width));
    };
    match &explained.how {
        How::Closed(derivation) => {
            let said = derivations::text(derivation, options.system);
            say(&said.meaning, Voice::Plain, MARGIN + 2);
            say(&said.equation, Voice::Plain, MARGIN + 4);
            say(&said.with_numbers, Voice::Plain, MARGIN + 4);
            say(&format!("equation: {}", said.source), Voice::Quiet, MARGIN + 2);
            lines.extend(table::lines(
                &derivations::inputs_table(&explained.id, derivation),
                options,
                MARGIN + 2,
            ));
        }
        How::Fit { procedure, data, count } => {
            say(procedure, Voice::Plain, MARGIN + 2);
            say(&format!("fitted to {data} ({count})"), Voice::Quiet, MARGIN + 2);
        }
        How::Simulation { procedure, trials, seed } => {
            say(procedure, Voice::Plain, MARGIN + 2);
            say(&format!("{trials} trials, seed {seed}"), Voice::Quiet, MARGIN + 2);
        }
        How::Given { key, text } => say(&format!("given: {key} = {text}"), Voice::Plain, MARGIN + 2),
    }
    lines
}

impl TextOptions {
    fn usable_width(self) -> usize {
        self.width.max(40)
    }
}
