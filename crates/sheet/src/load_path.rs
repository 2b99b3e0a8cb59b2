//! The load path: what each member between cloth and part is pulled with, what it holds, and which is the weakest.

use silkfall_core::cases::Verdict;
use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{Carries, Factor, MemberKind};
use silkfall_core::loads::Event;

use crate::number::Number;

/// Whether a part holds together under the canopies chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct StrengthSheet {
    /// The worst word over the members and what must not be shaken.
    pub verdict: Verdict,
    /// Why, in words that stand alone.
    pub reason: String,
    /// Id of the weakest member: the first whose strength or pull is not known, else that with the least margin at worst.
    pub weakest: Option<String>,
    /// What is taken, and what is not looked at, in sentences.
    pub says: Vec<String>,
}

impl StrengthSheet {
    /// Nothing is stated that could hold or not.
    pub(crate) fn not_judged(reason: &str) -> Self {
        StrengthSheet {
            verdict: Verdict::NotJudged,
            reason: reason.to_owned(),
            weakest: None,
            says: Vec::new(),
        }
    }
}

/// One member of the load path.
#[derive(Clone, Debug, PartialEq)]
pub struct MemberSheet {
    /// Its name in the project; of a canopy by its maker's rating `canopy plain-1.84`.
    pub id: String,
    /// What it is.
    pub kind: MemberKind,
    /// What it carries.
    pub carries: Carries,
    /// What pulls at it the hardest, or why that is not known.
    pub pull: Result<BorneSheet, String>,
    /// Strength of one as stated: a force, of cloth a force for its width; `None` where it is not known.
    pub rated: Option<Number>,
    /// Of cloth, the pull that it holds, N: the best value.
    pub holds: Option<Number>,
    /// What one holds for sure, N: 95 % sure, at the bad end of what is not known; `None` where that is the same.
    pub surely_holds: Option<Number>,
    /// How many share the pull; `None` where it is not known.
    pub sharing: Option<usize>,
    /// The design factors that are not 1 by what the member is.
    pub factors: Vec<DesignFactorSheet>,
    /// Their product at the best values and at the bad ends; `None` where one cannot be told.
    pub design_factor: Option<[Number; 2]>,
    /// The pull that it may be given, N: strength and factors at their bad ends.
    pub allowed: Option<Number>,
    /// Margins; `None` where strength or pull is not known.
    pub margin: Option<MarginSheet>,
    /// The rated strength of one that would do for sure, N or N/m.
    pub would_do: Option<Number>,
    /// The word.
    pub verdict: Verdict,
    /// Why, in words that stand alone.
    pub reason: String,
    /// Whether it is the weakest of the part.
    pub weakest: bool,
    /// The least trusted of what its strength and factors rest on.
    pub trust: Trust,
}

/// What pulls at a member.
#[derive(Clone, Debug, PartialEq)]
pub struct BorneSheet {
    /// Pull, N: the median, and where 95 of 100 openings lie.
    pub force: Number,
    /// What 95 of 100 stay below, N: strength is checked here.
    pub at_95: Number,
    /// When: "as planned", "nothing opened before", "as measured".
    pub when: String,
    /// Its row in the loads; `None` where it is measured.
    pub of: Option<RowSheet>,
}

/// A row of the table of loads, by its names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowSheet {
    /// The case.
    pub case: String,
    /// A stage's own name, `each` or `leading`.
    pub canopy: String,
    /// What pulls.
    pub event: Event,
}

/// One design factor.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignFactorSheet {
    /// Which.
    pub factor: Factor,
    /// Its best value.
    pub best: Number,
    /// Its bad end, where that differs.
    pub worst: Option<Number>,
    /// Where it comes from.
    pub trust: Trust,
}

/// Strength over what is wanted of it; 1 is just enough.
#[derive(Clone, Debug, PartialEq)]
pub struct MarginSheet {
    /// At the median of the pull, and where 95 of 100 openings lie; strength and factors at their best values.
    pub margin: Number,
    /// At the 95th percentile of the pull, strength and factors at their best values: below 1 it misses.
    pub at_95: Number,
    /// There, strength and factors at their bad ends: from 1 on it meets.
    pub at_worst: Number,
}

/// How hard a part is shaken, as something that reads accelerations in it would say.
#[derive(Clone, Debug, PartialEq)]
pub struct ShockSheet {
    /// The pull of all canopies together that shakes it.
    pub pull: BorneSheet,
    /// Shock, m/s²: the median, and where 95 of 100 openings lie.
    pub shock: Number,
    /// What 95 of 100 stay below.
    pub at_95: Number,
    /// What in it must not be shaken too hard.
    pub contents: Vec<ShakenSheet>,
}

/// Something in a part, against the part's shock.
#[derive(Clone, Debug, PartialEq)]
pub struct ShakenSheet {
    /// Its name.
    pub id: String,
    /// What it is said to bear.
    pub limit: Option<Number>,
    /// What it pulls with at its fastening then, N, 95 of 100 below; `None` where its mass is not stated.
    pub fastening: Option<Number>,
    /// The word; not judged without a limit.
    pub verdict: Verdict,
}
