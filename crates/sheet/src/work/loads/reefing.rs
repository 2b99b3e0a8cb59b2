//! What holds the canopies of a stage small at first, from the project, and how small is worth what.

use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::loads::{
    FILL_SOURCE, GROWTH_SOURCE, HELD_GROWTH, Holds, LINE_OVER_CIRCLE, ReefedStage, Sweep,
    derive_reefing_line, in_steps, reefing_line_m,
};
use silkfall_core::quantity::Kind;
use silkfall_core::shapes::{Range, Shape};
use silkfall_project::landing::{Held, Stage};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Quantity};
use silkfall_project::words::HeldBy;

use super::super::notes::{Notes, linear, linked};
use super::super::tests::{entry, exact_or};
use super::{anywhere, remembered_of};
use crate::number::Number;
use crate::opening::{ReefingRow, ReefingSheet};

/// A share that a line makes is kept between these.
const SHARES: Range = Range { low: 0.01, high: 0.95 };

fn key(part: &Part, stage: &Stage, name: &str) -> String {
    format!("part.{}.stage.{}.reefing.{name}", part.name.value, stage.name.value)
}

/// Share of the drag area by a line: ζ = (L/(k π D_m))².
fn share_by_line(line_m: f64, mouth_m: f64, over_circle: f64) -> f64 {
    (line_m / reefing_line_m(mouth_m, 1.0, over_circle)).powi(2).clamp(SHARES.low, SHARES.high)
}

/// What holds a stage's canopies; `None` where the project does not say enough.
pub(super) fn held(
    stage: &Stage,
    part: &Part,
    (shape, mouth_m): (Option<Shape>, f64),
    notes: &mut Notes,
) -> Option<ReefedStage> {
    let said = &stage.reefing;
    said.spot?;
    let name = &stage.name.value;
    let share = match said.held.given()? {
        Held::Share(share) => {
            let id = LedgerId(key(part, stage, "share"));
            notes.enter(&id, entry(format!("share of the drag area of {name} while held"), share));
            exact_or(share.si(), id, share.standard_uncertainty_si())
        }
        Held::Line(line) => {
            let [shortest, best, longest] = LINE_OVER_CIRCLE;
            let of = |over_circle: f64| share_by_line(line.si(), mouth_m, over_circle);
            let id = LedgerId(key(part, stage, "line"));
            let (low, high) = (of(longest), of(shortest));
            let why = "from the circle of the mouth, give or take what the cloth above it bulges: a judgement of ours";
            notes.enter(
                &id,
                Entry {
                    meaning: format!("share of the drag area of {name} that its line holds"),
                    value: of(best),
                    distribution: Distribution::Rectangular { low, high },
                    sharing: Sharing::Knowledge,
                    trust: Trust::Assumed(why.to_owned()),
                },
            );
            Estimate { value: of(best), ..anywhere(id, Range { low, high }) }
        }
    };
    let held_for = said.held_for.given()?;
    let id = LedgerId(key(part, stage, "held_for"));
    let flown = Entry { sharing: Sharing::Flight, ..entry(format!("how long {name} is held"), held_for) };
    notes.enter(&id, flown);
    let held_s = exact_or(held_for.si(), id, held_for.standard_uncertainty_si());
    let of = shape.map_or("a canopy of no stated shape", Shape::name);
    // What a person says of the stage's own filling goes before what is remembered of its steps.
    let remembered = in_steps(shape).filter(|_| matches!(stage.fill, Known::Absent));
    let mut over =
        |what: &str, meaning: &str, range: Range| remembered_of(of, what, meaning, range, FILL_SOURCE, notes);
    let first = remembered.map(|[held, _]| over("held-diameters", "diameters to fill over while held", held));
    let second = remembered.map(|[_, after]| over("after-diameters", "diameters to fill over after", after));
    Some(ReefedStage {
        by: match said.by.given() {
            Some(HeldBy::Slider) => Holds::Slider,
            Some(HeldBy::Line) | None => Holds::Line,
        },
        share,
        held_s,
        growth: remembered_of(
            of,
            "held-growth",
            "exponent by which it grows while held",
            HELD_GROWTH,
            GROWTH_SOURCE,
            notes,
        ),
        first,
        second,
    })
}

/// How small is worth what, of every canopy that is held.
pub(super) fn sheets(part: &Part, sweeps: &[Sweep], notes: &mut Notes) -> Vec<ReefingSheet> {
    sweeps.iter().filter_map(|sweep| sheet(part, sweep, notes)).collect()
}

fn sheet(part: &Part, sweep: &Sweep, notes: &mut Notes) -> Option<ReefingSheet> {
    let own = |stage: &&Stage| stage.name.value == sweep.canopy && !stage.opens_canopies();
    let stage = part.stages.iter().find(own).or_else(|| part.stages.iter().find(|s| s.opens_canopies()))?;
    let path = format!("parts.{}.openings.reefing.{}", part.name.value, sweep.canopy);
    let slider = stage.reefing.by.given() == Some(&HeldBy::Slider);
    let (share, line) = match stage.reefing.held.given()? {
        Held::Share(said) => {
            let share = linear(format!("{path}.share"), &doubted(said), Kind::Share);
            let share = notes.given(share, &key(part, stage, "share"), said.text());
            let line = (!slider).then(|| {
                let of = |over| reefing_line_m(sweep.mouth_m, said.si(), over);
                let [low, best, high] = LINE_OVER_CIRCLE.map(of);
                let line =
                    Number::between(format!("{path}.line"), best, Interval { low, high }, Kind::Length);
                let how = linked(derive_reefing_line(sweep.mouth_m, said.si()), &[("z", &share.id)]);
                notes.derived(line, how)
            });
            (share, line)
        }
        Held::Line(said) => {
            let line = linear(format!("{path}.line"), &doubted(said), Kind::Length);
            let line = notes.given(line, &key(part, stage, "line"), said.text());
            let [low, best, high] =
                LINE_OVER_CIRCLE.map(|over| share_by_line(said.si(), sweep.mouth_m, over));
            let between = Interval { low: high, high: low };
            let share = Number::between(format!("{path}.share"), best, between, Kind::Share);
            let how = How::Fit {
                procedure: "ζ = (L/(k π D_m))², k from 0.7 to 1 and 0.85 at best (a judgement of ours): the circle of the \
                            mouth, give or take what the cloth above it bulges."
                    .to_owned(),
                data: line.id.0.clone(),
                count: 1,
            };
            (notes.number(share, how), Some(line))
        }
    };
    let rows = sweep
        .rows
        .iter()
        .map(|row| ReefingRow {
            share: row.share,
            held_n: row.held_n,
            after_n: row.after_n,
            lost_m: row.lost_m,
            line_m: LINE_OVER_CIRCLE.map(|over| reefing_line_m(sweep.mouth_m, row.share, over)),
        })
        .collect();
    let by = if slider { "slider" } else { "line" };
    Some(ReefingSheet { id: sweep.canopy.clone(), case: sweep.case.clone(), by, share, line, rows })
}

fn doubted<Q: silkfall_project::value::Measured>(said: &Quantity<Q>) -> Estimate {
    exact_or(said.si(), LedgerId("as written".to_owned()), said.standard_uncertainty_si())
}
