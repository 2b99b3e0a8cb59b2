//! How small it is worth to hold the canopies of a stage at first.

use silkfall_core::derivation::How;
use silkfall_core::drag::Interval;
use silkfall_core::ledger::{Estimate, LedgerId};
use silkfall_core::loads::{LINE_OVER_CIRCLE, Sweep, derive_reefing_line, reefing_line_m};
use silkfall_core::quantity::Kind;
use silkfall_project::landing::{Held, Stage};
use silkfall_project::project::Part;
use silkfall_project::value::Quantity;
use silkfall_project::words::HeldBy;

use super::super::notes::{Notes, linear, linked};
use super::super::reefing::{key, share_by_line};
use super::super::tests::exact_or;
use crate::number::Number;
use crate::opening::{ReefingRow, ReefingSheet};

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
