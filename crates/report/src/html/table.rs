//! Tables as HTML: a caption, headings with their scope, the first cell naming its row, drawn ranges.

use maud::{Markup, html};
use silkfall_core::quantity::Unit;

use super::inline::{ColumnUnit, Context};
use crate::document::{Align, Cell, Fold, Inline, Range, Table, Weight};
use crate::figures::scale::Linear;
use crate::show;

/// As many steps of indent as the style has classes for.
const MOST_LEAD: usize = 9;

pub(super) fn set(table: &Table, context: &Context<'_>) -> Markup {
    match table.fold {
        Fold::Open => set_open(table, context),
        Fold::Shut => {
            html! { details { summary { (context.rich(&table.caption)) } (set_open(table, context)) } }
        }
    }
}

fn set_open(table: &Table, context: &Context<'_>) -> Markup {
    let units: Vec<ColumnUnit> = (0..table.columns.len())
        .map(|at| {
            let kind = table.columns[at].unit?;
            Some((context.system.unit(kind, table.largest_of_column(at).unwrap_or(1.0)), kind))
        })
        .collect();
    let columns = Columns { table, context, units };
    let has_headings = table.columns.iter().any(|column| !column.heading.is_empty());
    html! {
        // Focusable, so that a keyboard can scroll a table that is wider than the page.
        div.scroll tabindex="0" role="group" aria-label="table" {
            table {
                caption { span { (context.rich(&table.caption)) } }
                @if has_headings { thead { tr { @for at in 0..table.columns.len() { (columns.heading(at)) } } } }
                tbody {
                    @for row in &table.rows {
                        tr class=[class_of(row.weight)] data-drop=[row.drop.as_deref()] {
                            @for (at, cell) in row.cells.iter().enumerate() { (columns.cell(at, cell, row.weight)) }
                            @for _ in row.cells.len()..table.columns.len() { td {} }
                        }
                    }
                }
            }
        }
    }
}

fn class_of(weight: Weight) -> Option<&'static str> {
    match weight {
        Weight::Counts => None,
        Weight::Aside => Some("aside"),
        Weight::Chosen => Some("chosen"),
    }
}

struct Columns<'a> {
    table: &'a Table,
    context: &'a Context<'a>,
    units: Vec<ColumnUnit>,
}

impl Columns<'_> {
    fn heading(&self, at: usize) -> Markup {
        let column = &self.table.columns[at];
        html! {
            @if column.heading.is_empty() { td class=(self.class(at)) {} }
            @else { th scope="col" class=(self.class(at)) { (self.context.in_column(&column.heading, self.units[at])) } }
        }
    }

    /// The heading as characters, for a phone, where a row is set as lines of "heading value".
    fn label(&self, at: usize) -> Option<String> {
        let unit = self.units[at].map_or("", |(unit, _)| show::unit_name(unit));
        let heading = &self.table.columns[at].heading;
        let mut label = self.context.plain(heading);
        if heading.0.contains(&Inline::Unit) {
            label.push_str(unit);
        }
        (!label.is_empty()).then_some(label)
    }

    fn class(&self, at: usize) -> &'static str {
        match self.table.columns[at].align {
            Align::Left if self.table.columns[at].unit.is_some() => "left whole",
            Align::Left => "left",
            Align::Right => "right",
            Align::Point => "point",
        }
    }

    fn cell(&self, at: usize, cell: &Cell, weight: Weight) -> Markup {
        let class = self.class(at);
        match cell {
            Cell::Text(text) => {
                let set = self.context.in_column(text, self.units[at]);
                let lead = self.lead_missing(at, cell);
                // By class, since a page that lets no text run or style it takes no style attributes.
                let lead = if lead > 0 { format!(" lead-{}", lead.min(MOST_LEAD)) } else { String::new() };
                // Long text gets room of its own before the table scrolls.
                let length = self.context.plain(text).chars().count();
                let room = match self.table.columns[at].align {
                    Align::Left if length > 18 => " long",
                    _ => "",
                };
                let class = format!("{class}{room}{lead}");
                html! {
                    @if at == 0 { th scope="row" class=(class) { (set) } }
                    @else { td class=(class) data-label=[self.label(at)] { (set) } }
                }
            }
            Cell::Range(range) => {
                html! { td.range data-label=[self.label(at)] { (self.range(at, range, weight)) } }
            }
        }
    }

    /// How many figures before the point this cell has less than the longest of its column.
    fn lead_missing(&self, at: usize, cell: &Cell) -> usize {
        if self.table.columns[at].align != Align::Point {
            return 0;
        }
        let Some(own) = self.lead(at, cell) else { return 0 };
        let all = self.table.rows.iter().filter_map(|row| self.lead(at, row.cells.get(at)?));
        all.max().unwrap_or(own) - own
    }

    fn lead(&self, at: usize, cell: &Cell) -> Option<usize> {
        let Cell::Text(text) = cell else { return None };
        let first = text.numbers().into_iter().next()?;
        let unit: Option<&Unit> =
            self.units[at].filter(|(_, kind)| *kind == first.kind).map(|(unit, _)| unit);
        let printed = show::number(first, self.context.system, unit);
        let whole = printed.chars().take_while(|c| !matches!(c, '.')).filter(|c| !c.is_alphabetic()).count();
        Some(whole)
    }

    /// The range, drawn small; hidden from those who listen, since its numbers stand in the row.
    fn range(&self, at: usize, range: &Range, weight: Weight) -> Markup {
        const WIDTH: f64 = 120.0;
        let Some((low, high)) = self.table.span_of_column(at) else { return html! {} };
        let scale = Linear::around(low, high, (6.0, WIDTH - 6.0));
        let place = |si: f64| format!("{:.1}", scale.at(si).clamp(1.0, WIDTH - 1.0));
        // Off the scale of those that are judged.
        let beyond = scale.at(range.mid) > WIDTH;
        let dot = if weight == Weight::Aside { "s-ink f-ground" } else { "s-ink f-ink" };
        let fill = if weight == Weight::Aside { "#F5F7F8" } else { "#17212B" };
        html! {
            svg.fig.small viewBox={ "0 0 " (WIDTH) " 18" } width=(WIDTH) height="18" aria-hidden="true" {
                @if let Some(limit) = range.limit {
                    line.s-ink x1=(place(limit)) x2=(place(limit)) y1="1" y2="17" stroke="#17212B" stroke-width="1.5" {}
                }
                @if beyond {
                    path.s-ink d={ "M" (WIDTH - 14.0) ",9 h12 m-4,-4 l4,4 l-4,4" } fill="none" stroke="#17212B" stroke-width="1.5" {}
                } @else {
                    line.s-ink x1=(place(range.low)) x2=(place(range.high)) y1="9" y2="9" stroke="#17212B" stroke-width="1.5" {}
                    circle class=(dot) cx=(place(range.mid)) cy="9" r="3.2" fill=(fill) stroke="#17212B" stroke-width="1.2" {}
                }
            }
        }
    }
}
