//! Tables as markup. Ranges are not drawn here: their numbers stand in the row.

use silkfall_report::document::{Align, Audience, Cell, Rich, Table, Weight};
use silkfall_report::show;

use crate::markup::{ColumnUnit, Writer};

/// A text longer than this gets a share of the width, not its own, where a line does not hold all columns.
const LONG: usize = 26;
const OF_A_LINE: usize = 96;

/// The table under its caption.
pub(crate) fn set(writer: &Writer, table: &Table) -> String {
    let has_caption = !table.caption.is_empty() && table.caption_for != Audience::Terminal;
    let caption = if has_caption { writer.rich(&table.caption) } else { "none".to_owned() };
    format!("tabled({caption}, {})", bare(writer, table))
}

/// The table alone.
pub(crate) fn bare(writer: &Writer, table: &Table) -> String {
    let kept: Vec<usize> = (0..table.columns.len()).filter(|at| table.columns[*at].scale.is_none()).collect();
    let units: Vec<ColumnUnit> = table
        .columns
        .iter()
        .enumerate()
        .map(|(at, column)| {
            let kind = column.unit?;
            Some((writer.system.unit(kind, table.largest_of_column(at).unwrap_or(1.0)), kind))
        })
        .collect();
    let text = |at: usize, row: usize| match table.rows[row].cells.get(at) {
        Some(Cell::Text(text)) => Some(text),
        _ => None,
    };
    let longest = |at: usize| {
        let all = (0..table.rows.len()).filter_map(|row| text(at, row));
        all.map(|text| show::plain(text, writer.system).chars().count()).max().unwrap_or(0)
    };
    let fits = kept.iter().map(|at| longest(*at) + 3).sum::<usize>() <= OF_A_LINE;
    let is_shared = |at: &usize| !fits && longest(*at) > LONG;
    let widths: Vec<&str> = kept.iter().map(|at| if is_shared(at) { "1fr" } else { "auto" }).collect();
    let aligns: Vec<&str> = kept
        .iter()
        .map(|at| if table.columns[*at].align == Align::Right { "right" } else { "left" })
        .collect();
    let mut out = format!("rows(columns: ({},), align: ({},), ", widths.join(", "), aligns.join(", "));
    let says_nothing = |text: &Rich| show::plain(text, writer.system).is_empty();
    // What is said over a range says what its numbers are, which stand behind it.
    let heading = |at: usize| match (&table.columns[at].heading, at.checked_sub(1)) {
        (own, Some(before)) if says_nothing(own) && table.columns[before].scale.is_some() => {
            &table.columns[before].heading
        }
        (own, _) => own,
    };
    if kept.iter().any(|at| !heading(*at).is_empty()) {
        let headings: Vec<String> =
            kept.iter().map(|at| format!("q({})", writer.in_column(heading(*at), units[*at]))).collect();
        out += &format!("table.header({}), table.hline(stroke: 0.5pt + rule-ink), ", headings.join(", "));
    }
    for (index, row) in table.rows.iter().enumerate() {
        for at in &kept {
            let Some(of) = text(*at, index) else {
                out += "[], ";
                continue;
            };
            let set = writer.in_column(of, units[*at]);
            let set = match row.weight {
                Weight::Counts => set,
                Weight::Aside => format!("q({set})"),
                Weight::Chosen => format!("s({set})"),
            };
            let lead = lead_missing(writer, table, *at, of, units[*at]);
            out += &match lead {
                0 => format!("{set}, "),
                lead => format!("{{ shift({lead}); {set} }}, "),
            };
        }
    }
    out + ")"
}

/// What goes into an equation, without headings: the row says it.
pub(crate) fn inputs(writer: &Writer, table: &Table) -> String {
    let mut out = String::from("inputs(");
    for cell in table.rows.iter().flat_map(|row| &row.cells) {
        if let Cell::Text(text) = cell {
            out += &format!("{}, ", writer.rich(text));
        }
    }
    out + ")"
}

/// How many figures before the point this text has less than the longest of its column.
fn lead_missing(writer: &Writer, table: &Table, at: usize, text: &Rich, unit: ColumnUnit) -> usize {
    if table.columns[at].align != Align::Point {
        return 0;
    }
    let lead = |text: &Rich| -> Option<usize> {
        let first = text.numbers().into_iter().next()?;
        let unit = unit.filter(|(_, kind)| *kind == first.kind).map(|(unit, _)| unit);
        let printed = show::number(first, writer.system, unit);
        Some(printed.chars().take_while(|c| *c != '.').filter(|c| !c.is_alphabetic()).count())
    };
    let Some(own) = lead(text) else { return 0 };
    let all = table.rows.iter().filter_map(|row| match row.cells.get(at) {
        Some(Cell::Text(text)) => lead(text),
        _ => None,
    });
    all.max().unwrap_or(own) - own
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::markup::quoted;
    use crate::{Paper, PdfOptions, markup};
    use silkfall_core::quantity::System;
    use silkfall_report::document::{Column, Document, Row, Section};

    #[test]
    fn a_text_of_a_file_stays_text() {
        assert_eq!(quoted("#let x = \"1\" \\ $"), "\"#let x = \\\"1\\\" \\\\ $\"");
        let table = Table::new("", vec![Column::text("a"), Column::text("")])
            .row(Row::new(vec!["#pagebreak()".into(), "] } ) \"".into()]));
        let document = Document {
            title: "*x*".to_owned(),
            subtitle: Rich::new(),
            sections: vec![Section::new("s", "h").in_report(table)],
            foot: Rich::new(),
        };
        let said = markup(&document, PdfOptions { system: System::Si, paper: Paper::A4 });
        assert!(said.contains("\"#pagebreak()\"") && said.contains("\"] } ) \\\"\""), "{said}");
        assert!(said.contains("paper: \"a4\"") && said.contains("title: \"*x*\""));
    }
}
