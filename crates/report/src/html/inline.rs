//! Runs of text and numbers as HTML.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use silkfall_core::derivation::{How, NumberId};
use silkfall_core::quantity::{Kind, System, Unit};

use super::anchor;
use crate::document::{Inline, Rich, Verdict};
use crate::show;

/// What setting a text needs to know.
pub(super) struct Context<'a> {
    /// Units.
    pub(super) system: System,
    /// Where numbers lead.
    pub(super) links: Links<'a>,
}

/// Where a number leads that can say how it came about.
pub(super) enum Links<'a> {
    /// To the appendix of the same file, which explains these.
    Within(BTreeSet<NumberId>),
    /// To an address of its own, for these; numbers also say their id.
    Apart(&'a BTreeMap<NumberId, How>),
}

impl Links<'_> {
    fn of(&self, id: &NumberId) -> Option<String> {
        match self {
            Links::Within(explained) => explained.contains(id).then(|| format!("#{}", anchor("how", &id.0))),
            Links::Apart(hows) => hows.contains_key(id).then(|| super::page::how_address(id)),
        }
    }

    /// The id as an attribute, where numbers are asked for theirs.
    fn id<'i>(&self, id: &'i NumberId) -> Option<&'i str> {
        matches!(self, Links::Apart(_)).then_some(id.0.as_str())
    }
}

/// The unit a column states, and the kind it is for.
pub(super) type ColumnUnit = Option<(&'static Unit, Kind)>;

impl Context<'_> {
    /// A text.
    pub(super) fn rich(&self, text: &Rich) -> Markup {
        self.in_column(text, None)
    }

    /// A text without links: for the list of sections.
    pub(super) fn words(&self, text: &Rich) -> Markup {
        let plain = Context { system: self.system, links: Links::Within(BTreeSet::new()) };
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
                let own = self.links.id(&shown.id);
                self.linked(&shown.id, html! { data.n value=(shown.si) data-id=[own] { (text) } })
            }
            Inline::Interval { low, high } => {
                let text = show::interval(low, high, self.system, of_kind(high.kind));
                let owner = low.owner();
                let own = self.links.id(&owner);
                let ends = html! { span.n data-low=(low.si) data-high=(high.si) data-id=[own] { (text) } };
                self.linked(&owner, ends)
            }
            Inline::Unit => {
                html! { @if let Some((unit, _)) = unit { span.unit { (show::unit_name(unit)) } } }
            }
        }
    }

    /// A number, leading to how it came about where that is said.
    fn linked(&self, id: &NumberId, number: Markup) -> Markup {
        html! {
            @if let Some(address) = self.links.of(id) {
                a.how href=(address) { (number) }
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
