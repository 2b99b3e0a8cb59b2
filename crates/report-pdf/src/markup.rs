//! Document to markup: a program of the typesetter's that draws block after block.

use std::collections::BTreeSet;

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::{Finding, Severity};
use silkfall_core::quantity::{Kind, System, Unit};
use silkfall_report::document::{
    Answer, Audience, Body, Document, Explained, Inline, Place, Rank, Rich, Section, Signature, Step, Verdict,
};
use silkfall_report::figures::{self, Figure};
use silkfall_report::{derivations, show};

use crate::PdfOptions;
use crate::{math, table};

const PRELUDE: &str = include_str!("prelude.typ");

/// The document as markup for the typesetter.
pub fn markup(document: &Document, options: PdfOptions) -> String {
    let writer = Writer { system: options.system, explained: explained(document) };
    let sections: Vec<&Section> = document.sections.iter().filter(|section| is_printed(section)).collect();
    let front: Vec<(&Section, u8)> =
        sections.iter().filter_map(|section| Some((*section, section.place.sixths_of_front()?))).collect();
    let mut out = String::from(PRELUDE);
    out += &format!("#set document(title: {})\n", quoted(&document.title));
    out += &format!(
        "#set page(paper: {}, footer: {})\n",
        quoted(options.paper.name()),
        writer.foot(document, options)
    );
    let title = format!("title({}, {})", quoted(&document.title), writer.rich(&document.subtitle));
    if front.is_empty() {
        out += &format!("#{title}\n");
    } else {
        let cells: String = front.iter().map(|(section, sixths)| writer.on_front(section, *sixths)).collect();
        out += &format!("#front({title}, (\n{cells}))\n#pagebreak(weak: true)\n");
    }
    for section in sections.iter().filter(|section| section.place == Place::Flow) {
        out += &format!("#{}\n", writer.section(section));
    }
    out
}

fn is_printed(section: &Section) -> bool {
    section.blocks.iter().any(|block| block.audience != Audience::Terminal)
}

/// The numbers whose derivation stands in the document.
fn explained(document: &Document) -> BTreeSet<NumberId> {
    let blocks = document.sections.iter().flat_map(|section| &section.blocks);
    blocks
        .filter_map(|block| match &block.body {
            Body::How(explained) if block.audience != Audience::Terminal => Some(explained),
            _ => None,
        })
        .flat_map(|explained| std::iter::once(&explained.id).chain(&explained.also))
        .cloned()
        .collect()
}

/// A text as a literal: whatever stands in it is text.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '\\' => out.push_str("\\\\"),
            '"' => out.push_str("\\\""),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => out.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// What setting needs to know.
pub(crate) struct Writer {
    pub(crate) system: System,
    explained: BTreeSet<NumberId>,
}

/// The unit a column states, and the kind it is for.
pub(crate) type ColumnUnit = Option<(&'static Unit, Kind)>;

impl Writer {
    fn foot(&self, document: &Document, options: PdfOptions) -> String {
        let said = match document.foot.is_empty() {
            true => String::new(),
            false => {
                format!("{}; {}", show::plain(&document.foot, self.system), show::units_of(options.system))
            }
        };
        format!(
            "context text(size: 7pt, q({{ {}; h(1fr); \"page \"; counter(page).display(); \" of \"; \
             str(counter(page).final().first()) }}))",
            quoted(&said)
        )
    }

    /// A section of the first page: a drawing that has room has its table or its words beside it.
    fn on_front(&self, section: &Section, sixths: u8) -> String {
        let (mut drawn, mut beside, mut below) = ("none".to_owned(), String::new(), String::new());
        for block in section.blocks.iter().filter(|block| block.audience != Audience::Terminal) {
            match &block.body {
                Body::Figure(figure) => {
                    let (wide, high) = figures::size(figure, sixths == 6, self.system);
                    drawn = format!(
                        "(svg: {}, alt: {}, wide: {wide}, high: {high}, caption: {})",
                        quoted(&self.svg(figure, sixths == 6)),
                        quoted(&figure.description),
                        self.rich(&figure.caption)
                    );
                }
                body if sixths == 6 || (sixths > 2 && matches!(body, Body::Table(_))) => {
                    beside += &format!("{{ {} }},\n", self.body_on_front(body));
                }
                body => below += &format!("{{ {} }},\n", self.body_on_front(body)),
            }
        }
        format!(
            "(sixths: {sixths}, head: {}, drawn: {drawn}, beside: ({beside}), below: ({below})),\n",
            self.rich(&section.heading)
        )
    }

    /// Headings say there what captions say elsewhere.
    fn body_on_front(&self, body: &Body) -> String {
        match body {
            Body::Table(of) => table::bare(self, of),
            body => self.body(body),
        }
    }

    fn svg(&self, figure: &Figure, is_wide: bool) -> String {
        figures::svg_alone(figure, is_wide, &show::plain(&figure.caption, self.system), self.system)
    }

    fn section(&self, section: &Section) -> String {
        let level = match section.rank {
            Rank::Main => 1,
            Rank::Under => 2,
        };
        let mut out = format!("{{ heading(level: {level}, {});\n", self.rich(&section.heading));
        let mut blocks = String::new();
        let mut is_how = false;
        for block in section.blocks.iter().filter(|block| block.audience != Audience::Terminal) {
            is_how |= matches!(block.body, Body::How(_));
            blocks += &self.body(&block.body);
            blocks += ";\n";
        }
        // Derivations are many and short.
        out += &if is_how { format!("hows({{ {blocks} }})") } else { blocks };
        out + "}"
    }

    fn body(&self, body: &Body) -> String {
        match body {
            Body::Answer(answer) => self.answer(answer),
            Body::Paragraph(text) => format!("para({})", self.rich(text)),
            Body::Table(of) => table::set(self, of),
            Body::Figure(figure) => self.drawing(figure),
            Body::Findings(findings) => findings.iter().map(finding).collect::<Vec<_>>().join("; "),
            Body::Caution(text) => format!("caution({{ s(\"Caution. \"); {} }})", self.rich(text)),
            Body::Steps(steps) | Body::Facts(steps) => {
                let steps: Vec<String> = steps.iter().map(|step| self.step(step)).collect();
                format!("pairs({})", steps.join(", "))
            }
            Body::How(explained) => self.how(explained),
            Body::Checks(checks) => {
                let checks: Vec<String> =
                    checks.iter().map(|text| format!("tick({})", self.rich(text))).collect();
                format!("ticks({})", checks.join(", "))
            }
            Body::Signatures(lines) => lines.iter().map(signature).collect::<Vec<_>>().join("; "),
            Body::Card(card) => {
                let mut out: Vec<String> = card.compass.iter().map(|figure| self.drawing(figure)).collect();
                out.push(format!("para({})", self.rich(&card.worst)));
                out.extend(card.valid.iter().map(|text| format!("para({})", self.rich(text))));
                out.push(table::set(self, &card.table));
                out.join("; ")
            }
        }
    }

    /// A text as an expression.
    pub(crate) fn rich(&self, text: &Rich) -> String {
        self.in_column(text, None)
    }

    /// A text in a column that states a unit.
    pub(crate) fn in_column(&self, text: &Rich, unit: ColumnUnit) -> String {
        let runs: Vec<String> = text.0.iter().map(|inline| self.inline(inline, unit)).collect();
        format!("{{ []; {} }}", runs.join("; "))
    }

    fn inline(&self, inline: &Inline, unit: ColumnUnit) -> String {
        let of_kind = |kind: Kind| unit.filter(|(_, of)| *of == kind).map(|(unit, _)| unit);
        match inline {
            Inline::Plain(text) => quoted(text),
            Inline::Strong(text) => format!("s({})", quoted(text)),
            Inline::Quiet(text) => format!("q({})", quoted(text)),
            Inline::Code(text) => format!("c({})", quoted(text)),
            Inline::Verdict(verdict) => said(*verdict),
            Inline::Number(shown) => {
                self.linked(&shown.id, &show::number(shown, self.system, of_kind(shown.kind)))
            }
            Inline::Interval { low, high } => {
                self.linked(&low.owner(), &show::interval(low, high, self.system, of_kind(high.kind)))
            }
            Inline::Unit => quoted(unit.map_or("", |(unit, _)| show::unit_name(unit))),
        }
    }

    /// A number that leads to how it came about.
    fn linked(&self, id: &NumberId, text: &str) -> String {
        if self.explained.contains(id) {
            format!("link(label({}), {})", quoted(&format!("how-{}", id.0)), quoted(text))
        } else {
            quoted(text)
        }
    }

    fn answer(&self, answer: &Answer) -> String {
        let mut out = format!("para(text(size: 1.3em, weight: 600, {}))", self.rich(&answer.result));
        for text in &answer.beside {
            out += &format!("; para({})", self.rich(text));
        }
        for text in &answer.below {
            out += &format!("; para(q({}))", self.rich(text));
        }
        out
    }

    fn step(&self, step: &Step) -> String {
        format!("q({}), {}", quoted(&step.label), self.rich(&step.text))
    }

    fn drawing(&self, figure: &Figure) -> String {
        let (_, high) = figures::size(figure, true, self.system);
        format!(
            "drawing({}, {}, {high}, {})",
            quoted(&self.svg(figure, true)),
            quoted(&figure.description),
            self.rich(&figure.caption)
        )
    }

    fn how(&self, explained: &Explained) -> String {
        let named = std::iter::once(&explained.id).chain(&explained.also);
        let names: Vec<String> = named
            .map(|id| format!("[#q({})#label({})]", quoted(&id.0), quoted(&format!("how-{}", id.0))))
            .collect();
        let names = names.join("; \", \"; ");
        let inside = match &explained.how {
            How::Closed(derivation) => {
                let math::Lines { symbols, whole, apart: [numbers, result] } =
                    math::lines(derivation, self.system);
                format!(
                    "s({}); \" \"; {names}; equations({symbols}, {whole}, {numbers}, {result}); {}; q({})",
                    quoted(&derivation.meaning),
                    table::inputs(self, &derivations::inputs_table(&explained.id, derivation)),
                    quoted(&format!("Equation: {}", derivation.source.mark()))
                )
            }
            How::Fit { procedure, data, count } => format!(
                "s(\"fit\"); \" \"; {names}; para({}); q({})",
                quoted(procedure),
                quoted(&format!("Fitted to {data} ({count})."))
            ),
            How::Simulation { procedure, trials, seed } => format!(
                "s(\"simulation\"); \" \"; {names}; para({}); q({})",
                quoted(procedure),
                quoted(&format!("{trials} trials, seed {seed}."))
            ),
            How::Given { key, text } => {
                format!("s(\"given\"); \" \"; {names}; \" \"; {}", quoted(&format!("{key} = {text}")))
            }
        };
        format!("how({{ {inside} }})")
    }
}

fn said(verdict: Verdict) -> String {
    let square = match verdict {
        Verdict::Misses => "\u{25a0}\u{a0}",
        Verdict::Undecided => "\u{25a1}\u{a0}",
        Verdict::Meets | Verdict::NotJudged => "",
    };
    let word = quoted(&format!("{square}{}", show::no_break(verdict.word())));
    match verdict {
        Verdict::Misses | Verdict::Undecided => format!("s({word})"),
        Verdict::NotJudged => format!("q({word})"),
        Verdict::Meets => word,
    }
}

fn finding(finding: &Finding) -> String {
    let square = match finding.severity() {
        Severity::Error if finding.is_wrong() => "\u{25a0}\u{a0}",
        Severity::Error | Severity::Warning => "\u{25a1}\u{a0}",
        Severity::Note => "",
    };
    let first = format!("{square}{}", finding.word());
    let folded = if finding.count > 1 {
        format!(" and {} more of the same", finding.count - 1)
    } else {
        String::new()
    };
    let mut out = format!(
        "para({{ s({}); {}; q({})",
        quoted(&first),
        quoted(&format!(": {} ", finding.message)),
        quoted(&format!("{}{folded}", finding.code.name()))
    );
    if let Some(place) = &finding.place {
        let line = place.line.map_or_else(String::new, |line| format!(":{line}"));
        let column = place.column.map_or_else(String::new, |column| format!(", column {column}"));
        out += &format!("; linebreak(); q({})", quoted(&format!("{}{line}{column}", place.file)));
    }
    if let Some(hint) = &finding.hint {
        out += &format!("; linebreak(); {}", quoted(hint));
    }
    out + " })"
}

fn signature(of: &Signature) -> String {
    let who = of.name.as_ref().map_or_else(|| of.role.clone(), |name| format!("{}, {name}", of.role));
    let boxes: String = of.boxes.iter().map(|text| format!("{}, ", quoted(text))).collect();
    format!("sign({}, ({boxes}))", quoted(&who))
}
