//! Figures of the openings, each with what it says in words and as a table: force against time, the leading canopy by the lag of
//! the others, and a held canopy by how small it is held. All at best values; tables of loads say what 95 of 100 stay below.

use silkfall_core::quantity::{Kind, System};
use silkfall_sheet::{ForceLine, LagSheet, OpeningsSheet, PartSheet, ReefingRow, ReefingSheet, TraceSheet};

use crate::document::{Cell, Column, Rich, Row, Shown, Table};
use crate::figures::{Curve, CurvePanel, CurvePanels, Drawing, Figure};
use crate::show;

/// Rows of a curve's table.
const ROWS: usize = 8;
/// Doubts by which points of a figure are written.
const SECONDS: f64 = 0.02;
const METRES: f64 = 0.5;

/// To three digits.
fn force(id: String, si: f64) -> Shown {
    Shown::new(id, si, 0.01 * si.abs(), Kind::Force)
}

fn path(part: &PartSheet) -> String {
    format!("parts.{}.openings", part.name)
}

fn curve(line: &ForceLine) -> Curve {
    Curve { label: line.id.clone(), points: line.points.iter().map(|[t, f]| (*t, *f)).collect() }
}

fn highest(line: &ForceLine) -> Option<[f64; 2]> {
    line.points.iter().copied().max_by(|a, b| a[1].total_cmp(&b[1]))
}

/// Force against time, a canopy a panel.
pub(super) fn traces(part: &PartSheet, openings: &OpeningsSheet) -> Option<Figure> {
    let traces: Vec<&TraceSheet> = openings.traces.iter().filter(|trace| !trace.lines.is_empty()).collect();
    let first = traces.first()?;
    let panel = |trace: &&TraceSheet| CurvePanel {
        label: format!("{}, {}", trace.id, trace.case),
        across: (Kind::Time, "since line stretch".to_owned()),
        up: (Kind::Force, "force".to_owned()),
        curves: trace.lines.iter().map(curve).collect(),
        bound: Some((trace.weight.si, "borne in the end".to_owned())),
    };
    let peaks = traces.iter().flat_map(|trace| trace.lines.iter().map(move |line| (trace, line)));
    let says: Vec<String> = peaks
        .filter_map(|(trace, line)| {
            let [_, f] = highest(line)?;
            let f = show::number(&force(String::new(), f), System::Si, None);
            Some(format!("{} {}: up to {f}", trace.id, line.id))
        })
        .collect();
    let columns = vec![
        Column::text("Canopy"),
        Column::text("asked"),
        Column::numbers("since line stretch", Kind::Time),
        Column::numbers("force", Kind::Force),
    ];
    let mut table = Table::new("Force on one canopy while it fills", columns);
    for (trace, line) in traces.iter().flat_map(|trace| trace.lines.iter().map(move |line| (trace, line))) {
        let base = format!("{}.traces.{}.lines.{}.points", path(part), trace.id, line.id);
        for (row, (at, [t, f])) in picked(&line.points).into_iter().enumerate() {
            let name = |text: &str| -> Cell { if row == 0 { text } else { "" }.into() };
            table = table.row(Row::new(vec![
                name(&trace.id),
                name(&line.id),
                Shown::new(format!("{base}.{at}.0"), t, SECONDS, Kind::Time).into(),
                force(format!("{base}.{at}.1"), f).into(),
            ]));
        }
    }
    Some(Figure {
        id: format!("{}-openings", part.name),
        caption: Rich::from(format!(
            "Force on one canopy against time at best values, in the case that is the hardest for it{}.",
            if traces.iter().any(|trace| trace.lines.len() > 1) {
                ": as planned, and at the worst asked"
            } else {
                ""
            }
        )),
        description: format!(
            "Force against time from line stretch, beginning with {}. {}.",
            first.id,
            says.join("; ")
        ),
        alternative: table,
        drawing: Drawing::Curves(CurvePanels { panels: traces.iter().map(panel).collect() }),
    })
}

/// Some points of a curve, the highest among them, with their place.
fn picked(points: &[[f64; 2]]) -> Vec<(usize, [f64; 2])> {
    let every = points.len().saturating_sub(1).div_ceil(ROWS).max(1);
    let highest = (0..points.len()).max_by(|a, b| points[*a][1].total_cmp(&points[*b][1]));
    let last = points.len().saturating_sub(1);
    let kept = |at: &usize| at.is_multiple_of(every) || *at == last || Some(*at) == highest;
    (0..points.len()).filter(kept).map(|at| (at, points[at])).collect()
}

/// The leading canopy by the lag of the others.
pub(super) fn lag(part: &PartSheet, lag: &LagSheet) -> Figure {
    let columns = vec![
        Column::numbers("Others lag by", Kind::Time),
        Column::numbers("on the leading one", Kind::Force),
    ];
    let mut table = Table::new("The leading canopy by the lag of all others", columns);
    let base = format!("{}.lag.points", path(part));
    for (at, [t, f]) in picked(&lag.points) {
        table = table.row(Row::new(vec![
            Shown::new(format!("{base}.{at}.0"), t, SECONDS, Kind::Time).into(),
            force(format!("{base}.{at}.1"), f).into(),
        ]));
    }
    let number = |si: f64| show::number(&force(String::new(), si), System::Si, None);
    let (together, late) =
        (lag.points.first().map_or(0.0, |p| p[1]), lag.points.last().map_or(0.0, |p| p[1]));
    Figure {
        id: format!("{}-lag", part.name),
        caption: Rich::from(format!(
            "What the leading one of {} canopies pulls with when all others lag behind it ({}), at best values. Never more than one \
             that catches the whole mass: ",
            lag.filled, lag.case
        ))
        .number((&lag.bound).into())
        .plain("."),
        description: format!(
            "Load on the leading canopy by the lag of the others: {} when they fill together, {} when they lag longest, {} \
             for one that catches all.",
            number(together),
            number(late),
            number(lag.bound.si)
        ),
        alternative: table,
        drawing: Drawing::Curves(CurvePanels {
            panels: vec![CurvePanel {
                label: "by lag".to_owned(),
                across: (Kind::Time, "lag of all others".to_owned()),
                up: (Kind::Force, "force".to_owned()),
                curves: vec![Curve {
                    label: "leading canopy".to_owned(),
                    points: lag.points.iter().map(|[t, f]| (*t, *f)).collect(),
                }],
                bound: Some((lag.bound.si, "one canopy that catches all".to_owned())),
            }],
        }),
    }
}

/// A held canopy by how small it is held: pulls, and height lost.
pub(super) fn reefing(part: &PartSheet, held: &ReefingSheet) -> Figure {
    let line = held.by == "line";
    let mut columns = vec![
        Column::numbers("Held to", Kind::Share),
        Column::numbers("while held", Kind::Force),
        Column::numbers("after", Kind::Force),
        Column::numbers("height lost", Kind::Length),
    ];
    if line {
        columns.push(Column::text("reefing line").in_unit_of(Kind::Length).right());
    }
    let mut table = Table::new("A held canopy by how small it is held, at best values", columns);
    let base = format!("{}.reefing.{}.rows", path(part), held.id);
    for (at, row) in held.rows.iter().enumerate() {
        let id = |field: &str| format!("{base}.{at}.{field}");
        let mut cells: Vec<Cell> = vec![
            Shown::new(id("share"), row.share, 0.0, Kind::Share).into(),
            force(id("held_n"), row.held_n).into(),
            force(id("after_n"), row.after_n).into(),
            Shown::new(id("lost_m"), row.lost_m, METRES, Kind::Length).into(),
        ];
        if line {
            let end = |place: usize| {
                Shown::new(id(&format!("line_m.{place}")), row.line_m[place], 0.05, Kind::Length)
            };
            let length = if row.share < 1.0 { Rich::new().interval(end(0), end(2)) } else { Rich::new() };
            cells.push(length.into());
        }
        table = table.row(Row::new(cells));
    }
    let (whole, small): (Vec<&ReefingRow>, Vec<&ReefingRow>) =
        held.rows.iter().partition(|row| row.share >= 1.0);
    let curve = |label: &str, of: fn(&ReefingRow) -> f64| Curve {
        label: label.to_owned(),
        points: small.iter().map(|row| (row.share, of(row))).collect(),
    };
    let not_held = |of: fn(&ReefingRow) -> f64| whole.first().map(|row| (of(row), "not held".to_owned()));
    let across = || (Kind::Share, "share of the drag area while held".to_owned());
    let least = held.rows.iter().min_by(|a, b| a.held_n.max(a.after_n).total_cmp(&b.held_n.max(b.after_n)));
    let least = least.map_or_else(String::new, |row| {
        let share = Shown::new(String::new(), row.share, 0.0, Kind::Share);
        format!(" Least at {}.", show::number(&share, System::Si, None))
    });
    Figure {
        id: format!("{}-reefing-{}", part.name, held.id),
        caption: Rich::from(format!(
            "{} by how small a {} holds it ({}): the larger of the two pulls counts, and the smaller it is held, the more height \
             it takes. The landing does not know of that height.",
            held.id, held.by, held.case
        )),
        description: format!(
            "Pull while held and after, and height lost, against the share of the drag area.{least}"
        ),
        alternative: table,
        drawing: Drawing::Curves(CurvePanels {
            panels: vec![
                CurvePanel {
                    label: "pull on one canopy".to_owned(),
                    across: across(),
                    up: (Kind::Force, "force".to_owned()),
                    curves: vec![curve("while held", |row| row.held_n), curve("after", |row| row.after_n)],
                    bound: not_held(|row| row.after_n),
                },
                CurvePanel {
                    label: "height until all is open".to_owned(),
                    across: across(),
                    up: (Kind::Length, "height lost".to_owned()),
                    curves: vec![curve("height lost", |row| row.lost_m)],
                    bound: not_held(|row| row.lost_m),
                },
            ],
        }),
    }
}
