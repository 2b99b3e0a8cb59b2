//! Figures with invented numbers, for the page's tests.

use silkfall_core::quantity::Kind;
use silkfall_report::document::*;
use silkfall_report::figures::*;

fn figure(id: &str, caption: &str, drawing: Drawing) -> Figure {
    Figure {
        id: id.to_owned(),
        caption: caption.into(),
        description: format!("{caption}, drawn from invented numbers."),
        alternative: Table::new(caption, vec![Column::text("what"), Column::text("value")])
            .row(Row::new(vec!["canopy".into(), Shown::new("a", 1.1, 0.05, Kind::DragArea).into()])),
        drawing,
    }
}

fn range(low: f64, mid: f64, high: f64, limit: Option<f64>) -> Range {
    Range { low, mid, high, limit }
}

/// One figure each of parts, candidates and cases.
pub fn section() -> Section {
    Section::new("figures", "Three canopies brake like 2.8 of one")
        .in_report(figure("parts", "Drag areas by part, each with how far it can be trusted.", parts()))
        .in_report(figure("field", "Every offer and count: those that stay are joined.", candidates()))
        .in_report(figure("limits", "Cases against their limits.", cases()))
}

fn parts() -> Drawing {
    let piece = |label: &str, si, fill| PartPiece { label: label.to_owned(), si, fill };
    let row = |label: &str, pieces, total| PartRow { label: label.to_owned(), pieces, total: Some(total) };
    Drawing::Parts(PartStacks {
        rows: vec![
            row("one canopy", vec![piece("P1", 2.2, Fill::Solid)], range(2.1, 2.2, 2.3, None)),
            row(
                "two canopies and the body",
                vec![
                    piece("P1", 2.2, Fill::Solid),
                    piece("P2", 2.1, Fill::Stripes),
                    piece("lines", 0.15, Fill::Stipple),
                    piece("body", 0.6, Fill::Outline),
                ],
                range(4.3, 4.75, 5.2, None),
            ),
        ],
        kind: Kind::DragArea,
    })
}

fn candidates() -> Drawing {
    let offers = [
        ("Plain 1.5 m", 0.11, 1.5),
        ("Plain 1.8 m", 0.16, 1.8),
        ("Plain 2.0 m", 0.2, 2.0),
        ("Vent 2.4 m", 0.3, 2.4),
    ];
    let mut marks = Vec::new();
    for (name, mass, diameter) in offers {
        for count in 1..=6_usize {
            let n = count as f64;
            let rate = 12.2 / (diameter * n.sqrt());
            marks.push(CandidateMark {
                label: format!("{count} × {name}"),
                count,
                cost_si: mass * n,
                rate_m_per_s: rate,
                stays: rate < 5.0 && mass * n < 0.75,
                chosen: count == 3 && name == "Plain 1.8 m",
                verdict: if rate < 4.6 {
                    Verdict::Meets
                } else if rate < 5.0 {
                    Verdict::Undecided
                } else {
                    Verdict::Misses
                },
            });
        }
    }
    Drawing::Candidates(CandidateField {
        marks,
        cost: Kind::Mass,
        cost_words: "mass of the canopies".to_owned(),
        rate_words: "rate with one shut, at worst".to_owned(),
        limit_m_per_s: Some(4.8),
    })
}

fn cases() -> Drawing {
    let case = |label: &str, range, verdict| CaseMark { label: label.to_owned(), range, verdict };
    Drawing::Cases(CaseBars {
        cases: vec![
            case("all three open", range(4.3, 4.7, 5.1, Some(5.5)), Verdict::Meets),
            case("one stays shut", range(5.0, 5.51, 6.0, Some(5.8)), Verdict::Misses),
            case("early opening in the climb", range(4.8, 5.2, 5.7, Some(5.8)), Verdict::Undecided),
            case("nothing opens", range(11.8, 13.1, 14.6, None), Verdict::NotJudged),
        ],
        kind: Kind::Speed,
        words: "descent rate, 95 of 100 flights".to_owned(),
    })
}
