//! What holds the canopies of a stage small at first, from the project: it falls and pulls alike by it.

use silkfall_core::landing::{Holds, Reefing};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::loads::{
    FILL_SOURCE, GROWTH_SOURCE, HELD_GROWTH, LINE_OVER_CIRCLE, in_steps, reefing_line_m,
};
use silkfall_core::shapes::Range;
use silkfall_project::landing::{Held, Stage};
use silkfall_project::project::Part;
use silkfall_project::value::Known;
use silkfall_project::words::HeldBy;

use super::canopy::{Canopy, anywhere, remembered_of};
use super::notes::Notes;
use super::tests::{entry, exact_or};

/// A share that a line makes is kept between these.
const SHARES: Range = Range { low: 0.01, high: 0.95 };

pub(super) fn key(part: &Part, stage: &Stage, name: &str) -> String {
    format!("part.{}.stage.{}.reefing.{name}", part.name.value, stage.name.value)
}

/// Share of the drag area by a line: ζ = (L/(k π D_m))².
pub(super) fn share_by_line(line_m: f64, mouth_m: f64, over_circle: f64) -> f64 {
    (line_m / reefing_line_m(mouth_m, 1.0, over_circle)).powi(2).clamp(SHARES.low, SHARES.high)
}

/// What holds a stage's canopies; `None` where the project does not say enough.
pub(super) fn held(stage: &Stage, part: &Part, canopy: &Canopy, notes: &mut Notes) -> Option<Reefing> {
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
            let of = |over_circle: f64| share_by_line(line.si(), canopy.mouth_m, over_circle);
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
    let of = canopy.named();
    // What a person says of the stage's own filling goes before what is remembered of its steps.
    let remembered = in_steps(canopy.shape).filter(|_| matches!(stage.fill, Known::Absent));
    let mut over =
        |what: &str, meaning: &str, range: Range| remembered_of(of, what, meaning, range, FILL_SOURCE, notes);
    let first = remembered.map(|[held, _]| over("held-diameters", "diameters to fill over while held", held));
    let second = remembered.map(|[_, after]| over("after-diameters", "diameters to fill over after", after));
    Some(Reefing {
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
