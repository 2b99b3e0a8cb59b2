//! The one thing to do next with a part.

use silkfall_core::candidates::{self, Candidates};
use silkfall_core::cases::Verdict;
use silkfall_project::Project;

use crate::load_path::{MemberSheet, StrengthSheet};
use crate::packing::PackingSheet;
use crate::sheet::{CaseSheet, Choice, Step};

/// What the next step follows from.
pub(super) struct Settled<'a> {
    pub choice: &'a Choice,
    pub cases: &'a [CaseSheet],
    pub candidates: Option<&'a Candidates>,
    pub packing: Option<&'a PackingSheet>,
    pub strength: &'a StrengthSheet,
    pub members: &'a [MemberSheet],
}

impl Settled<'_> {
    /// The one thing to do next: what is missing, then what is missed, then what is undecided, then the choice.
    pub fn next(&self, part: &str, project: &Project) -> Option<Step> {
        let step = |says: String| Some(Step { says, command: None });
        if let Some(unknown) = project.unknowns.first() {
            return step(format!("fill in {} in {}:{}", unknown.path, unknown.file, unknown.spot.line));
        }
        if project.offers.is_empty() && *self.choice == Choice::Nothing {
            return step(
                "say which canopies can be had: write canopies.csv, a line for each, and offers = \"canopies.csv\" near the \
                 top of silkfall.toml, or drop such a table on the page"
                    .to_owned(),
            );
        }
        if let Some(missing) = self.cases.iter().find_map(|case| case.missing.as_ref()) {
            return step(missing.clone());
        }
        let best = self.candidates.and_then(|all| all.kept.first().map(|&i| &all.entries[i]));
        let judged = || self.cases.iter().flat_map(|case| case.limits.iter().map(move |limit| (case, limit)));
        if judged().any(|(_, limit)| limit.verdict == Verdict::Misses) {
            return match best {
                Some(entry) if Some(entry.id.as_str()) != self.choice.id() => step(format!(
                    "choose {} × {} for {part}: it {}",
                    entry.count,
                    entry.offer,
                    entry.verdict.word()
                )),
                _ => step(format!(
                    "no candidate keeps every limit of {part}: add larger offers, or allow more of them"
                )),
            };
        }
        if self.strength.verdict == Verdict::Misses {
            let holds = |entry: &&candidates::Entry| {
                entry.verdict == Verdict::Meets && Some(entry.id.as_str()) != self.choice.id()
            };
            return match best.filter(holds) {
                Some(entry) => step(format!("choose {} × {} for {part}: it holds", entry.count, entry.offer)),
                None => step(format!("strengthen the load path of {part}: {}", self.strength.reason)),
            };
        }
        if let Some(packing) = self.packing.filter(|packing| packing.verdict == Verdict::Misses) {
            return match best.filter(|entry| Some(entry.id.as_str()) != self.choice.id()) {
                Some(entry) => {
                    step(format!("choose {} × {} for {part}, or lengthen its bay", entry.count, entry.offer))
                }
                None => step(format!("lengthen the bay of {part}: what is packed {}", packing.reason)),
            };
        }
        if self.strength.verdict == Verdict::Undecided {
            let not_known = self.members.iter().any(|member| member.weakest && member.margin.is_none());
            let first = if not_known { "state what is not known of" } else { "take what surely holds in" };
            return step(format!("{first} the load path of {part}: {}", self.strength.reason));
        }
        if let Some(settle) = judged().find_map(|(_, limit)| limit.settle.clone()) {
            return step(settle);
        }
        match (self.choice, best) {
            (Choice::NotYet(_), Some(entry)) => step(format!(
                "choose {0} × {1} for {part}: [choice.{part}] offer = \"{1}\", count = {0}",
                entry.count, entry.offer
            )),
            _ => Some(Step {
                says: "write the report".to_owned(),
                command: Some("plan -o plan.html".to_owned()),
            }),
        }
    }
}
