//! Runs of text and numbers as HTML.

use std::collections::BTreeSet;

use maud::{Markup, html};
use silkfall_core::derivation::NumberId;
use silkfall_core::quantity::{Kind, System, Unit};

use super::anchor;
use crate::document::{Inline, Rich, Verdict};
use crate::show;

/// What setting a text needs to know.
pub(super) struct Context {
    /// Units.
    pub(super) system: System,
    /// Numbers that the appendix explains.
    pub(super) explained: BTreeSet<NumberId>,
}

/// The unit a column states, and the kind it is for.
pub(super) type ColumnUnit = Option<(&'static Unit, Kind)>;

impl Context {
    /// A text.
    pub(super) fn rich(&self, text: &Rich) -> Markup {
        self.in_column(text, None)
    }

    /// A text without links: for the list of sections.
    pub(super) fn words(&self, text: &Rich) -> Markup {
        let plain = Context { system: self.system, explained: BTreeSet::new() };
        plain.rich(text)
    }

    /// A text as characters alone: for the title of a figure.
    pub(super) fn plain(&self, text: &Rich) -> String {
        show::plain(text, self.system)
    }

    /// A text in a column that states a unit.
    pub(super) fn in_column(&self, text: &Rich, unit: ColumnUnit) -> Markup {
        html! { @for inline in &text.0 { (self.inline(inline, unit)) } }
    }

    fn inline(&self, inline: &Inline, unit: ColumnUnit) -> Markup {
        let of_kind = |kind: Kind| unit.filter(|(_, of)| *of == kind).map(|(unit, _)| unit);
        match inline {
            Inline::Plain(text) => html! { (text) },
            Inline::Strong(text) => html! { strong { (text) } },
            Inline::Quiet(text) => html! { span.quiet { (text) } },
            Inline::Code(text) => html! { code { (text) } },
            Inline::Verdict(verdict) => set_verdict(*verdict),
            Inline::Number(shown) => {
                let text = show::number(shown, self.system, of_kind(shown.kind));
                self.linked(&shown.id, html! { data.n value=(shown.si) { (text) } })
            }
            Inline::Interval { low, high } => {
                let text = show::interval(low, high, self.system, of_kind(high.kind));
                let ends = html! { span.n data-low=(low.si) data-high=(high.si) { (text) } };
                self.linked(&low.owner(), ends)
            }
            Inline::Unit => {
                html! { @if let Some((unit, _)) = unit { span.unit { (show::unit_name(unit)) } } }
            }
        }
    }

    /// A number, leading to how it came about where the appendix says so.
    fn linked(&self, id: &NumberId, number: Markup) -> Markup {
        html! {
            @if self.explained.contains(id) {
                a.how href={ "#" (anchor("how", &id.0)) } { (number) }
            } @else { (number) }
        }
    }
}

fn set_verdict(verdict: Verdict) -> Markup {
    // The square repeats what the word says, for those who skim.
    let (class, square) = match verdict {
        Verdict::Meets => ("meets", None),
        Verdict::Misses => ("misses", Some("\u{25a0}")),
        Verdict::Undecided => ("undecided", Some("\u{25a1}")),
        Verdict::NotJudged => ("not-judged", None),
    };
    html! {
        span class={ "verdict " (class) } {
            @if let Some(square) = square { span aria-hidden="true" { (square) "\u{a0}" } }
            (verdict.word())
        }
    }
}
