//! How hard the part is shaken when it is pulled, and what in it must not be shaken too hard.

use silkfall_core::cases::Verdict;
use silkfall_core::derivation::sym;
use silkfall_core::drag::Interval;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{Carries, Strength, derive_shock, shock_m_per_s2};
use silkfall_core::quantity::{Kind, System, show};
use silkfall_project::load_path::Content;
use silkfall_project::value::{Known, Quantity};

use super::pulls::hardest;
use super::told::of_number;
use super::{Path, Under};
use crate::load_path::{ShakenSheet, ShockSheet};
use crate::number::Number;
use crate::work::notes::{Notes, PROJECT_FILE, closed, linked};

impl Path<'_> {
    /// The shock under the canopies chosen; `None` where nothing is known to pull.
    pub(super) fn shock(&self, under: Under<'_>, seed: u64, notes: &mut Notes) -> Option<ShockSheet> {
        let part = &self.part.name.value;
        let path = format!("parts.{part}.shock");
        let borne = hardest(under.rows, Carries::All, &|_| true).ok().flatten()?;
        let mass_kg = borne.row.as_ref()?.mass_kg;
        let pull = self.borne(&borne, &path, &path, seed, notes);
        let total = format!("parts.{part}.falls.total").into();
        let mut one = |name: &str, force: &Number, interval_95: Option<Interval>| {
            let how = linked(derive_shock(force.si, mass_kg), &[("F", &force.id), ("m", &total)]);
            let number = Number::exact(format!("{path}.{name}"), how.si, Kind::Shock);
            notes.derived(Number { interval_95, ..number }, how)
        };
        let by_mass = |of: &Interval| Interval {
            low: shock_m_per_s2(of.low, mass_kg),
            high: shock_m_per_s2(of.high, mass_kg),
        };
        let shock = one("shock", &pull.force, pull.force.interval_95.as_ref().map(by_mass));
        let at_95 = one("at_95", &pull.at_95, pull.at_95.interval_95.as_ref().map(by_mass));
        let contents =
            self.part.contents.iter().map(|content| self.shaken(content, &at_95, &path, notes)).collect();
        Some(ShockSheet { pull, shock, at_95, contents })
    }

    fn shaken(&self, content: &Content, at_95: &Number, path: &str, notes: &mut Notes) -> ShakenSheet {
        let name = &content.name.value;
        let path = format!("{path}.contents.{name}");
        let key = format!("part.{}.content.{name}", self.part.name.value);
        let limit = content.limit.given().map(|limit| {
            let number = Number::exact(format!("{path}.limit"), limit.si(), Kind::Shock);
            notes.given(number, &format!("{key}.limit"), limit.text())
        });
        let fastening = content.mass.given().map(|mass| {
            let how = closed(
                "F_c",
                "what it pulls with at its fastening",
                Kind::Force,
                sym("m_c") * sym("a"),
                vec![
                    crate::work::notes::input("m_c", "its mass", mass.si(), Kind::Mass, Trust::Given, None),
                    of_number("a", "shock, 95 of 100 below", at_95),
                ],
                Trust::Published("Newton's second law".to_owned()),
            );
            notes.derived(Number::exact(format!("{path}.fastening"), how.si, Kind::Force), how)
        });
        let verdict = match &content.limit {
            Known::Absent => Verdict::NotJudged,
            Known::Unknown { .. } => Verdict::Undecided,
            Known::Given(limit) => against(&limit.value, at_95.si),
        };
        let sheet = ShakenSheet { id: name.clone(), limit, fastening, verdict };
        if verdict == Verdict::Misses {
            let message = reason(&sheet, Some(at_95.si));
            let spot = content.name.spot;
            let finding = Finding::new(Code::ShockTooHard, Subject::Key(key), message);
            notes.find(finding.at(PROJECT_FILE, Some(spot.line), Some(spot.column)));
        }
        sheet
    }
}

/// A limit on the shock against what 95 of 100 stay below.
fn against(limit: &Quantity<silkfall_core::quantity::Shock>, at_95: f64) -> Verdict {
    let limit = Strength::rated(limit.si(), limit.spread());
    match at_95 {
        hard if hard > limit.best_n => Verdict::Misses,
        soft if soft <= limit.worst_n => Verdict::Meets,
        _ => Verdict::Undecided,
    }
}

/// "logger bears 40 g, it is shaken with 52 g".
pub(super) fn reason(content: &ShakenSheet, at_95: Option<f64>) -> String {
    let text = |si: f64| show(si, 0.02 * si, Kind::Shock, System::Si);
    match (&content.limit, at_95) {
        (Some(limit), Some(at_95)) => {
            format!("{} bears {}, it is shaken with {}", content.id, text(limit.si), text(at_95))
        }
        _ => format!("the shock that {} bears is not known", content.id),
    }
}
