//! What candidates are weighed by that opens hard.

use silkfall_core::candidates::{self, Beside, Candidates, Entry, Offered};

use super::flown::Flight;
use super::load_path::{self, Path};
use super::loads;
use super::notes::Notes;
use super::under::{chosen_id, rig_of};

/// What a candidate's canopies and all below them bear, against what pulls.
pub(super) struct Bears<'a> {
    /// `None` without a load.
    pub flight: Option<&'a Flight<'a>>,
    pub path: &'a Path<'a>,
    pub offered: &'a [Offered],
}

/// All loads of the candidate that the project chooses, worked once for its weighing and its sheet.
pub(super) struct OfChosen {
    pub id: String,
    pub loads: loads::Loads,
    pub notes: Notes,
}

impl Bears<'_> {
    /// `None` where nothing is chosen, or the chosen one cannot be worked.
    pub fn of_chosen(&self, candidates: &Candidates) -> Option<OfChosen> {
        let flight = self.flight?;
        let chosen = chosen_id(flight.given.project, &flight.given.part.name.value)?;
        let entry = candidates.entries.iter().find(|entry| entry.id == chosen)?;
        let rig = rig_of(entry, self.offered)?;
        let mut notes = Notes::default();
        let loads = flight.loads(&flight.fall(&rig), &rig, flight.cases).work(&mut notes);
        Some(OfChosen { id: entry.id.clone(), loads, notes })
    }

    /// Those that stay, and the chosen one, against what their canopies and all below them bear.
    pub fn weigh(&self, candidates: Candidates, chosen: Option<&OfChosen>) -> Candidates {
        let Some(flight) = self.flight.filter(|_| self.path.is_stated()) else { return candidates };
        let hardest = load_path::hardest_cases(flight.cases);
        let judge = |entry: &Entry| -> Option<Beside> {
            let rig = &rig_of(entry, self.offered)?;
            let judged =
                |rows: &[_]| self.path.judge(load_path::Under { rig, offer: flight.offer(rig), rows });
            match chosen.filter(|chosen| chosen.id == entry.id) {
                Some(chosen) => judged(&chosen.loads.entries),
                None => {
                    judged(&flight.loads(&flight.fall(rig), rig, &hardest).hardest(&mut Notes::default()))
                }
            }
        };
        let also = chosen.map(|chosen| chosen.id.as_str());
        candidates::weigh_those_that_stay(candidates, also, &|entry| judge(entry).into_iter().collect())
    }
}
