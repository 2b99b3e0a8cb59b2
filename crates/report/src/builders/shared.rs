//! Pieces that more than one document says: readings, drops, doubts, what a number rests on.

use std::collections::BTreeMap;

use silkfall_core::derivation::{How, NumberId};
use silkfall_core::drag::Interval;
use silkfall_core::finding::Finding;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{ColumnRead, Doubt, Falls, ReducedDrop, ReducedRecording, SpellRead};

use crate::document::{Cell, Column, Explained, Range, Rich, Row, Section, Shown, Step, Table, Weight};
use crate::figures::{
    Drawing, DropLine, DropRate, Figure, Overlay, RateDots, Ribbon, RibbonSpell, SteadyLine,
};

/// Shares of doubt are told to a tenth of a percent: this rounds them so.
const TENTH_OF_PERCENT: f64 = 0.003;

/// What intake says of a column that it passes over.
const NOT_USED: &str = "not used";

/// An interval under its path, each end in the unit of the number before it.
pub(super) fn interval_like(path: &str, interval: &Interval, kind: Kind, like: f64) -> Rich {
    let end = |at: usize, si: f64| Shown::new(format!("{path}.{at}"), si, 0.0, kind).like(like);
    Rich::new().interval(end(0, interval.low), end(1, interval.high))
}

/// An interval under its path.
pub(super) fn interval(path: &str, interval: &Interval, kind: Kind) -> Rich {
    let end = |at: usize, si: f64| Shown::new(format!("{path}.{at}"), si, 0.0, kind);
    Rich::new().interval(end(0, interval.low), end(1, interval.high))
}

pub(super) fn range(mid: f64, interval: &Interval) -> Range {
    Range { low: interval.low, mid, high: interval.high, limit: None }
}

/// The doubt by cause, the largest first; what is under a fifth of the largest (a twenty-fifth of its share in the sum of squares) is left to the JSON.
pub(super) fn doubts_table(path: &str, of: &str, doubts: &[Doubt], kind: Kind, like: f64) -> Option<Table> {
    let largest = doubts.first()?.relative;
    let columns = vec![Column::text(""), Column::numbers("", Kind::Share).headless(), Column::text("")];
    let caption = format!("Most of the doubt, as ± % of the {of} (one standard uncertainty)");
    let mut table = Table::new(caption, columns).beside();
    for (at, doubt) in doubts.iter().enumerate().filter(|(_, doubt)| doubt.relative > 0.2 * largest) {
        let share =
            Shown::new(format!("{path}.{at}.relative"), doubt.relative, TENTH_OF_PERCENT, Kind::Share);
        let mut remark = Rich::new();
        if let Some(cure) = &doubt.cure {
            let left = format!("{path}.{at}.interval_95_without");
            remark = remark.code(&cure.option).plain(": ").then(interval_like(
                &left,
                &cure.interval_95,
                kind,
                like,
            ));
        } else if let Some(text) = &doubt.remark {
            remark = remark.plain(text);
        }
        table = table.row(Row::new(vec![doubt.cause.clone().into(), share.into(), remark.into()]));
    }
    Some(table)
}

/// How a recording was read: its columns, and the options that repeat it.
pub(super) fn reading(path: &str, recording: &ReducedRecording) -> (Table, Vec<Step>) {
    let mut caption = Rich::from("Read ")
        .code(&recording.path)
        .plain(": ")
        .number(Shown::count(format!("{path}.samples"), recording.samples))
        .plain(" samples");
    if let Some(rate) = recording.sample_rate_hz {
        let rate = Shown::new(format!("{path}.sample_rate_hz"), rate, 0.0, Kind::Ratio);
        caption = caption.plain(", ").number(rate).plain(" a second");
    }
    let mut table = Table::new(caption, vec![Column::text(""), Column::text("")]);
    let is_used = |column: &ColumnRead| column.means != NOT_USED;
    for columns in recording.columns.chunk_by(|a, b| !is_used(a) && !is_used(b)) {
        let [column] = columns else {
            let (first, last) = (columns[0].index, columns[columns.len() - 1].index);
            let name = format!("columns {first} to {last}");
            table = table.row(Row::new(vec![name.into(), NOT_USED.into()]));
            continue;
        };
        let heading = column.name.as_ref().map(|heading| format!(" `{heading}`")).unwrap_or_default();
        let name = format!("column {}{heading}", column.index);
        let mut means = Rich::from(column.means.as_str());
        if let Some(unit) = &column.unit {
            means = means.plain(format!(", {unit}"));
        }
        if let Some(step) = recording.height_step_m.filter(|_| column.means.starts_with("height")) {
            let step = Shown::new(format!("{path}.height_step_m"), step, 0.0, Kind::Length);
            means = means.plain(", in steps of ").number(step);
        }
        table = table.row(Row::new(vec![name.into(), means.into()]));
    }
    let repeat = Step { label: "repeat exactly".to_owned(), text: Rich::new().code(&recording.repeat) };
    (table, vec![repeat])
}

/// All drops of some recordings, a row each.
pub(super) fn drops_table(path: &str, recordings: &[ReducedRecording]) -> Option<Table> {
    let several = recordings.len() > 1;
    let mut columns = vec![Column::text("Drop")];
    if several {
        columns.push(Column::text("recording"));
    }
    columns.extend([
        Column::text("let go").right(),
        Column::text("steady").right(),
        Column::numbers("", Kind::Speed),
        Column::text("95 % of its own fit").in_unit_of(Kind::Speed),
        Column::text(""),
        Column::ranges("", Kind::Speed),
    ]);
    let mut table = Table::new("Drops, each by its own fit", columns).quiet_caption();
    for recording in recordings {
        for drop in &recording.drops {
            table = table.row(drop_row(path, recording, drop, several));
        }
    }
    (!table.rows.is_empty()).then_some(table)
}

fn drop_row(path: &str, recording: &ReducedRecording, drop: &ReducedDrop, with_recording: bool) -> Row {
    let id = |field: &str| format!("{path}.{}.drops.{}.{field}", recording.path, drop.letter);
    let mut cells: Vec<Cell> = vec![drop.letter.as_str().into()];
    if with_recording {
        cells.push(recording.path.as_str().into());
    }
    cells.push(Shown::clock(id("release_s"), drop.release_s).into());
    cells.push(match (drop.steady_from_s, drop.steady_to_s) {
        (Some(from), Some(to)) => Rich::new()
            .interval(Shown::clock(id("steady_from_s"), from), Shown::clock(id("steady_to_s"), to))
            .into(),
        _ => Rich::new().quiet("none").into(),
    });
    match (&drop.rate, &drop.bound) {
        (Some(rate), _) => {
            let shown =
                Shown::new(id("rate_m_s"), rate.m_per_s, rate.standard_uncertainty_m_per_s, Kind::Speed);
            cells.push(shown.into());
            cells.push(interval(&id("interval_95_m_s"), &rate.interval_95, Kind::Speed).into());
        }
        (None, Some(bound)) => {
            let shown = Shown::new(id("bound_m_s"), bound.m_per_s, bound.m_per_s * 0.03, Kind::Speed);
            cells.push(Rich::new().quiet("-").into());
            cells.push(Rich::from(format!("{} ", bound.side.words())).number(shown).into());
        }
        (None, None) => cells.extend([Rich::new().quiet("-").into(), Rich::new().quiet("-").into()]),
    }
    let mark = match (&drop.set_aside, drop.kept) {
        (Some(reason), _) => format!("set aside: {reason}"),
        (None, false) => "set aside".to_owned(),
        (None, true) => String::new(),
    };
    cells.push(mark.into());
    if let Some(rate) = &drop.rate {
        cells.push(range(rate.m_per_s, &rate.interval_95).into());
    }
    let weight = if drop.kept { Weight::Counts } else { Weight::Aside };
    Row::new(cells).weighing(weight).of_drop(&drop.letter)
}

/// All drops laid over one another, where there is one with samples.
pub(super) fn overlay(id: &str, path: &str, recordings: &[ReducedRecording]) -> Option<Figure> {
    let drops: Vec<DropLine> = recordings
        .iter()
        .flat_map(|recording| &recording.drops)
        .filter(|drop| drop.trace.time_s.len() > 1)
        .map(|drop| DropLine {
            letter: drop.letter.clone(),
            time_s: drop.trace.time_s.clone(),
            height_m: drop.trace.height_m.clone(),
            steady: drop.trace.line.map(|line| SteadyLine {
                from_s: line.from_s,
                to_s: line.to_s,
                height_m: line.height_m,
                slope_m_per_s: line.slope_m_per_s,
            }),
            kept: drop.kept,
        })
        .collect();
    if drops.is_empty() {
        return None;
    }
    // The coarsest step, so that no rule is finer than what a logger could tell.
    let height_step_m =
        recordings.iter().filter_map(|recording| recording.height_step_m).max_by(f64::total_cmp);
    Some(Figure {
        id: id.to_owned(),
        caption: "Every drop from its release: the stretch that counts is thick; below, what its fitted line leaves."
            .into(),
        description: format!(
            "Height over time of {} drops, laid over one another from release, with the differences from each \
             fitted line below.",
            drops.len()
        ),
        alternative: drops_table(path, recordings)?,
        drawing: Drawing::Overlay(Overlay { drops, height_step_m, span_s: None }),
    })
}

/// A whole recording; `None` with fewer than two samples.
pub(super) fn ribbon(id: &str, path: &str, recording: &ReducedRecording) -> Option<Figure> {
    if recording.spells.is_empty() || recording.duration_s <= 0.0 {
        return None;
    }
    let path = format!("{path}.{}", recording.path);
    let spells: Vec<RibbonSpell> =
        recording.spells.iter().map(|spell| ribbon_spell(recording, spell)).collect();
    let mut alternative = Table::new(
        Rich::from("What ").code(&recording.path).plain(" does, in the order of time"),
        vec![
            Column::text(""),
            Column::text("from").right(),
            Column::text("to").right(),
            Column::text("drop"),
        ],
    );
    for (at, spell) in spells.iter().enumerate() {
        let time = |end: &str, si: f64| Shown::clock(format!("{path}.spells.{at}.{end}_s"), si);
        let drop = spell.drop.as_ref().map_or("", |(letter, _)| letter.as_str());
        alternative = alternative.row(Row::new(vec![
            spell.is.as_str().into(),
            time("from", spell.from_s).into(),
            time("to", spell.to_s).into(),
            drop.into(),
        ]));
    }
    let caption =
        Rich::from("The whole of ").code(&recording.path).plain(": drops are shaded, set aside only framed.");
    Some(Figure {
        id: id.to_owned(),
        caption,
        description: format!("Height over time of {}, with what the logger did in words.", recording.path),
        alternative,
        drawing: Drawing::Ribbon(Ribbon {
            time_s: recording.outline.time_s.clone(),
            low_m: recording.outline.low_m.clone(),
            high_m: recording.outline.high_m.clone(),
            spells,
            span_s: (0.0, recording.duration_s),
        }),
    })
}

fn ribbon_spell(recording: &ReducedRecording, spell: &SpellRead) -> RibbonSpell {
    // Two falls of one flight share a moment, so that the letter is that of the release within the spell.
    let within = |drop: &&ReducedDrop| (spell.from_s..spell.to_s).contains(&drop.release_s);
    let drop = recording.drops.iter().find(within).filter(|_| spell.is == "fall");
    RibbonSpell {
        is: spell.is.to_owned(),
        from_s: spell.from_s,
        to_s: spell.to_s,
        drop: drop.map(|drop| (drop.letter.clone(), drop.kept)),
    }
}

/// The rates with their intervals, and the pooled one.
pub(super) fn rate_dots(
    id: &str,
    path: &str,
    recordings: &[ReducedRecording],
    pooled: Option<Range>,
) -> Option<Figure> {
    let drops: Vec<DropRate> = recordings
        .iter()
        .flat_map(|recording| &recording.drops)
        .filter_map(|drop| {
            let rate = drop.rate.as_ref()?;
            let reason = || drop.set_aside.clone().unwrap_or_else(|| "set aside".to_owned());
            Some(DropRate {
                letter: drop.letter.clone(),
                rate: range(rate.m_per_s, &rate.interval_95),
                set_aside: (!drop.kept).then(reason),
            })
        })
        .collect();
    if drops.is_empty() {
        return None;
    }
    Some(Figure {
        id: id.to_owned(),
        caption: "Each drop's rate with the 95 % interval of its own fit; the band is the rate of those that count."
            .into(),
        description: format!("Rates of {} drops with their intervals, and the pooled rate.", drops.len()),
        alternative: drops_table(path, recordings)?,
        drawing: Drawing::Rates(RateDots { drops, pooled }),
    })
}

/// "falls: 1.20 kg = 1.02 kg load + 0.14 kg canopies".
pub(super) fn falls(falls: &Falls) -> Rich {
    let mut said = Rich::from("falls: ").number((&falls.total).into());
    for (at, item) in falls.items.iter().enumerate() {
        said = said.plain(if at == 0 { " = " } else { " + " });
        said = said.number((&item.mass).into()).plain(format!(" {}", item.name));
    }
    said
}

/// The gravest first; within a severity as they came.
pub(super) fn gravest_first(findings: &[Finding]) -> Vec<Finding> {
    let mut sorted = findings.to_vec();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.severity()));
    sorted
}

/// The appendix: how each number that is shown came about, and each that one of those rests on.
pub(super) fn appendix(hows: &BTreeMap<NumberId, How>, sections: &[Section]) -> Option<Section> {
    let bodies = sections.iter().flat_map(|section| &section.blocks).flat_map(|block| block.body.numbers());
    let headings = sections.iter().flat_map(|section| section.heading.numbers());
    let mut wanted: Vec<NumberId> = bodies.chain(headings).map(Shown::owner).collect();
    let mut told: BTreeMap<&NumberId, &How> = BTreeMap::new();
    while let Some(id) = wanted.pop() {
        let Some((id, how)) = hows.get_key_value(&id) else { continue };
        if told.insert(id, how).is_none()
            && let How::Closed(derivation) = how
        {
            wanted.extend(derivation.inputs.iter().filter_map(|input| input.number.clone()));
        }
    }
    // What many numbers share is said once: a simulation gives hundreds.
    let mut all: Vec<Explained> = Vec::new();
    let mut shared: Vec<usize> = Vec::new();
    for (id, how) in told {
        let same = shared.iter().find(|at| all[**at].how == *how);
        match same {
            Some(at) => all[*at].also.push(id.clone()),
            None => {
                if matches!(how, How::Simulation { .. } | How::Fit { .. }) {
                    shared.push(all.len());
                }
                all.push(Explained { id: id.clone(), also: Vec::new(), how: how.clone() });
            }
        }
    }
    let section = Section::new("how", "How the numbers came about");
    (!all.is_empty()).then(|| all.into_iter().fold(section, Section::in_report))
}

/// The caution that stands wherever a descent is worked out.
pub(super) fn caution() -> Rich {
    Rich::from("Falling loads and towers injure. Local codes and the range safety officer decide.")
}
