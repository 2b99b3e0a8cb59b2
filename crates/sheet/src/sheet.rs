//! The sheet: everything worked out of a project, in the order of the job.
//!
//! parts, each with tests → drag → full size → cases → candidates → choice; then sessions, findings, unknowns. Every
//! [`Number`] carries the path at which the JSON holds it, and [`Sheet::hows`] says of each how it came about.

use std::collections::BTreeMap;

use silkfall_core::candidates::{Beside, By, Cost};
use silkfall_core::cases::Verdict;
use silkfall_core::derivation::{How, NumberId};
use silkfall_core::finding::Finding;
use silkfall_core::ledger::{Ledger, Trust};

use crate::deployment::DeploymentSheet;
use crate::failure_tree::FailureSheet;
use crate::from_memory::FromMemory;
use crate::hanging::{HangSheet, HarnessSheet, RiggingSheet};
use crate::landing::{GoNoGoSheet, LandingSheet};
use crate::load_path::{MemberSheet, ShockSheet, StrengthSheet};
use crate::loads::LoadSheet;
use crate::number::Number;
use crate::opening::OpeningsSheet;
use crate::outcome::Outcome;
use crate::packing::PackingSheet;
use crate::plan::PlanSheet;
use crate::reduction::{Doubt, ReducedRecording};

/// How many trials a simulation takes. Quick is the first trials of Full from the same streams, so that digits
/// refine and never jump.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Effort {
    /// For looking and editing.
    Quick,
    /// For plans and before a launch.
    Full,
}

/// A whole project, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The project's name.
    pub name: String,
    /// How hard it was worked.
    pub effort: Effort,
    /// Simulated worlds behind each probability.
    pub trials: usize,
    /// Seed of the simulation's streams.
    pub seed: u64,
    /// A hash of all inputs, in hexadecimal: the same inputs have the same fingerprint.
    pub fingerprint: String,
    /// The parts that come down on their own, in the order of the project.
    pub parts: Vec<PartSheet>,
    /// How each part comes down, and where; empty where no start of the fall is stated.
    pub landing: Vec<LandingSheet>,
    /// In which winds it may fly, by part, case and direction; empty without a field, or at quick effort.
    pub go_no_go: Vec<GoNoGoSheet>,
    /// What the paper that is handed over says beyond the parts themselves.
    pub plan: PlanSheet,
    /// The days and places of the tests.
    pub sessions: Vec<SessionSheet>,
    /// Where and in which air the real thing comes down.
    pub site: SessionSheet,
    /// What was taken because nothing was said, in full sentences.
    pub defaults: Vec<String>,
    /// What the project does not know yet, the most valuable to know first.
    pub unknowns: Vec<Unknown>,
    /// Which figures rest on a value from memory, a line a section.
    pub from_memory: Vec<FromMemory>,
    /// Every uncertain input.
    pub ledger: Ledger,
    /// How each number came about, by its path in the JSON.
    pub hows: BTreeMap<NumberId, How>,
    /// All findings, placed in their files, the gravest first.
    pub findings: Vec<Finding>,
    /// Done, a limit missed or undecided, or no answer.
    pub outcome: Outcome,
}

/// One part that comes down on its own.
#[derive(Clone, Debug, PartialEq)]
pub struct PartSheet {
    /// Its name in the project, which is its id in paths.
    pub name: String,
    /// All that descends under the canopies chosen; `None` where an item of it is not known.
    pub falls: Option<Falls>,
    /// The tests of it and of its model, in the order of the project.
    pub tests: Vec<TestSheet>,
    /// Drag areas; `None` without a test that gives one.
    pub drag: Option<DragSheet>,
    /// What the real canopies brake with, at the size chosen; `None` where nothing says.
    pub full_size: Option<FullSize>,
    /// The cases, in the order of the project; the last is "nothing opens" where none is named.
    pub cases: Vec<CaseSheet>,
    /// Every offer and count: those that stay first, then the rest with the reason.
    pub candidates: Vec<CandidateSheet>,
    /// What pulls at opening under the canopies chosen: case × canopy × snatch or opening.
    pub loads: Vec<LoadSheet>,
    /// Every member between cloth and part against the hardest pull on it; empty where none is judged.
    pub load_path: Vec<MemberSheet>,
    /// How hard it is shaken, and what in it; `None` where nothing is known to pull.
    pub shock: Option<ShockSheet>,
    /// Whether it holds together.
    pub strength: StrengthSheet,
    /// What was asked of the openings, and how they run; `None` where no load could be looked at.
    pub openings: Option<OpeningsSheet>,
    /// Its bay with what is packed in it; empty where none is stated.
    pub packing: Vec<PackingSheet>,
    /// What opens the bay, how it and the barometer breathe, what is thrown out sideways: what is stated of it.
    pub deployment: Vec<DeploymentSheet>,
    /// How it is fastened to its riser; `None` where no harness is stated, or it says too little.
    pub harness: Option<HarnessSheet>,
    /// How it hangs: at rest, then in the steady descent of each case.
    pub hanging: Vec<HangSheet>,
    /// Riser and cluster geometry under the canopies chosen; `None` where none could be worked.
    pub rigging: Option<RiggingSheet>,
    /// What follows from each failure of a device, and from each shared cause.
    pub failure_tree: Vec<FailureSheet>,
    /// Which canopies the cases were worked with.
    pub choice: Choice,
    /// How many limits are met, missed, undecided, and cases not judged.
    pub tally: Tally,
    /// What the answer rests on, the heaviest first.
    pub rests_on: Vec<RestsOn>,
    /// Where the doubt of the governing case's rate comes from, the largest first.
    pub doubts: Vec<Doubt>,
    /// The one thing to do next.
    pub next: Option<Step>,
}

/// What comes down, item by item: "falls: 1.20 kg = 1.02 load + 0.14 canopies + 0.04 logger".
#[derive(Clone, Debug, PartialEq)]
pub struct Falls {
    /// The sum.
    pub total: Number,
    /// Its items in the order of the project, each with what it is.
    pub items: Vec<FallsItem>,
}

/// One item of what comes down.
#[derive(Clone, Debug, PartialEq)]
pub struct FallsItem {
    /// `load`, `canopies`, `lines`, `logger`, `ballast`: what it is.
    pub name: String,
    /// Its mass.
    pub mass: Number,
}

/// One test.
#[derive(Clone, Debug, PartialEq)]
pub struct TestSheet {
    /// Its name in the project.
    pub name: String,
    /// The session it was made in.
    pub session: Option<String>,
    /// What was tested, in words: "two canopies P1, P2 and the body, model at 1 : 3".
    pub what: String,
    /// Serials of the canopies that were open; `None` where that is not known yet.
    pub serials: Option<Vec<String>>,
    /// Whether the body hung below as it will in flight; `None` where that is not known yet.
    pub body: Option<bool>,
    /// Riser between canopies and body, where it is stated.
    pub riser_length: Option<Number>,
    /// What came down; `None` where an item is not known, or for a force at a speed.
    pub falls: Option<Falls>,
    /// Its recordings, each with its drops; empty for a stated rate or a force.
    pub recordings: Vec<ReducedRecording>,
    /// Drops in the rate, and drops set aside.
    pub drops_kept: usize,
    /// Drops set aside.
    pub drops_set_aside: usize,
    /// Its rate in still air at the test's own density; `None` for a force, or where nothing gives one.
    pub rate: Option<Number>,
    /// Scatter between its drops, relative standard deviation; `None` with fewer than two.
    pub scatter: Option<Number>,
    /// Its air's density.
    pub density: Option<Number>,
    /// Its drag area, all that brakes together.
    pub drag_area: Option<Number>,
    /// Where the doubt of its drag area comes from, the largest first.
    pub doubts: Vec<Doubt>,
}

/// Drag areas and factors of a part's model or real canopies.
#[derive(Clone, Debug, PartialEq)]
pub struct DragSheet {
    /// Area of each canopy, cluster factors, body area, shares of the wake, net body areas: each with its origin.
    pub factors: Vec<Factor>,
    /// What the tests cannot tell apart, and the test that would, in sentences.
    pub not_told_apart: Vec<NotToldApart>,
    /// Measured against fitted drag area of each test.
    pub residuals: Vec<Residual>,
}

/// One factor.
#[derive(Clone, Debug, PartialEq)]
pub struct Factor {
    /// Its id within the list: `area.P1`, `cluster.2`, `body`, `wake.2`, `net-body.2`.
    pub id: String,
    /// In words: "cluster factor of two".
    pub meaning: String,
    /// Its value; `None` where the tests do not give it and nothing else does.
    pub number: Option<Number>,
    /// Measured, handbook or assumed, and from where.
    pub trust: Trust,
    /// What its value rests on: "9 drops at half scale".
    pub basis: String,
}

/// Two factors that the tests do not part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotToldApart {
    /// Ids of the factors.
    pub factors: Vec<String>,
    /// The test that would tell them apart, in a sentence.
    pub test: String,
}

/// How one test sits to the fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// The test.
    pub test: String,
    /// Its measured drag area.
    pub measured: Number,
    /// The fit's.
    pub fitted: Number,
}

/// What the real canopies brake with.
#[derive(Clone, Debug, PartialEq)]
pub struct FullSize {
    /// Length scale of the real thing over the model; `None` where no model was tested.
    pub scale: Option<Number>,
    /// Factors carried over or taken from the offer, each with its transfer doubt in the interval.
    pub factors: Vec<Factor>,
    /// Why the ratio of the model's rates is not carried over, with this project's numbers; `None` where there is
    /// no such ratio.
    pub why_no_ratio: Option<String>,
    /// Reynolds numbers of body and canopies, at model and at full size.
    pub reynolds: Vec<Reynolds>,
}

/// A Reynolds number.
#[derive(Clone, Debug, PartialEq)]
pub struct Reynolds {
    /// Its id within the list: `body-model`, `body-full`.
    pub id: String,
    /// Of what, in words.
    pub meaning: String,
    /// The number.
    pub number: Number,
}

/// One case at full size.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseSheet {
    /// Its id: `all-open`, `one-shut`, `nothing`.
    pub id: String,
    /// In words: "one stays shut".
    pub title: String,
    /// Chance that a flight is of this case, where one is known.
    pub chance: Option<Number>,
    /// How that chance was taken: independence, or a shared cause.
    pub chance_says: Option<String>,
    /// Descent rate at the ground: the median, and where 95 of 100 flights lie.
    pub rate: Option<Number>,
    /// Other quantiles of the rate, by their name: `p05`, `p95`.
    pub rate_quantiles: Vec<(String, Number)>,
    /// Energy of the descent at the ground: the median, and where 95 of 100 flights lie.
    pub energy: Option<Number>,
    /// Drag area, rate and energy at the median inputs, by closed form.
    pub at_medians: Option<AtMedians>,
    /// Canopy size (nominal diameter) that would just meet the limit with the wanted share.
    pub size_wanted: Option<Number>,
    /// Each limit stated for it, with its verdict.
    pub limits: Vec<LimitSheet>,
    /// The verdict of the case: its worst.
    pub verdict: Verdict,
    /// Whether it asks for the largest canopies of all cases.
    pub governs: bool,
    /// What is missing, where it could not be worked.
    pub missing: Option<String>,
}

/// A case worked by hand: all inputs at their medians.
#[derive(Clone, Debug, PartialEq)]
pub struct AtMedians {
    /// All that brakes.
    pub drag_area: Number,
    /// Descent rate.
    pub rate: Number,
    /// Energy at the ground.
    pub energy: Number,
}

/// A limit and how it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitSheet {
    /// `rate` or `energy`.
    pub of: String,
    /// The limit.
    pub limit: Number,
    /// Wanted share of flights within it.
    pub wanted: Number,
    /// Best estimate of the share of flights within it; its interval is what is not known (95 %).
    pub share: Number,
    /// The share at worst: 95 % sure that at least so many are within it.
    pub at_worst: Number,
    /// Monte Carlo standard error of `share`.
    pub standard_error: f64,
    /// The verdict.
    pub verdict: Verdict,
    /// The test that would settle an undecided limit.
    pub settle: Option<String>,
}

/// An offer at a count.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateSheet {
    /// Its id: the offer's id and the count, `plain-18x3`.
    pub id: String,
    /// The offer's name.
    pub offer: String,
    /// How many of it.
    pub count: usize,
    /// Its nominal diameter.
    pub diameter: Option<Number>,
    /// Why it stays or goes.
    pub standing: CandidateStanding,
    /// What other stages of the job say of it.
    pub beside: Vec<Beside>,
    /// The worst verdict over the cases and what other stages say.
    pub verdict: Verdict,
    /// In each case: rate, shares and verdict.
    pub cases: Vec<CandidateCase>,
    /// The least of wanted-rate margins over the cases, relative: how far the rate at worst is below the limit.
    pub margin: Option<Number>,
    /// Mass of the canopies.
    pub mass: Option<Number>,
    /// Packed volume.
    pub volume: Option<Number>,
    /// Price, in the currency of the offers.
    pub price: Option<Number>,
    /// What it takes more than the candidate that the cases stand for; `None` for that one, and for those that go.
    pub over_choice: Option<CostsSheet>,
    /// The next smaller of the same count that does worse, for those that stay.
    pub next_smaller: Option<NeighbourSheet>,
    /// The next larger of the same count, for those that stay.
    pub next_larger: Option<NeighbourSheet>,
}

impl CandidateSheet {
    /// Nobody beats it on all counts, and nothing rules it out.
    pub fn stays(&self) -> bool {
        self.standing == CandidateStanding::Stays
    }
}

/// Why a candidate stays or goes.
#[derive(Clone, Debug, PartialEq)]
pub enum CandidateStanding {
    /// Nobody beats it on all counts, and nothing rules it out.
    Stays,
    /// It misses a limit.
    Misses {
        /// The case that it misses by most.
        case: String,
    },
    /// Another is at least as good in everything and better in something.
    BeatenBy {
        /// Its id.
        id: String,
    },
    /// It needs more than the part allows.
    OutOfBounds {
        /// Of what.
        cost: Cost,
        /// How much the part allows.
        bound: Number,
    },
    /// Another stage of the job rules it out.
    RuledOut {
        /// Which.
        by: By,
        /// Why, in words that stand alone.
        reason: String,
    },
    /// It cannot be worked.
    NoAnswer {
        /// Why, in a sentence.
        reason: String,
    },
}

/// What one candidate takes more than another, below 0 where it takes less; `None` where it is alike or not stated.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CostsSheet {
    /// Mass of the canopies.
    pub mass: Option<Number>,
    /// Packed volume.
    pub volume: Option<Number>,
    /// Price, in the currency of the offers.
    pub price: Option<Number>,
}

/// A candidate beside another of the same count.
#[derive(Clone, Debug, PartialEq)]
pub struct NeighbourSheet {
    /// Its id.
    pub id: String,
    /// The offer's name.
    pub offer: String,
    /// How many of it.
    pub count: usize,
    /// Its verdict over all cases.
    pub verdict: Verdict,
    /// The case that decides it, where one is judged.
    pub case: Option<String>,
    /// What another stage of the job says of it, where that decides.
    pub beside: Option<Beside>,
    /// What it takes more than the one beside it.
    pub more: CostsSheet,
}

/// A candidate in one case.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateCase {
    /// The case's id.
    pub case: String,
    /// Median and 95-of-100 interval of the rate.
    pub rate: Number,
    /// Best estimate of the share within the limit, where there is one.
    pub share: Option<Number>,
    /// The share at worst.
    pub at_worst: Option<Number>,
    /// The verdict.
    pub verdict: Verdict,
}

/// Which canopies the cases stand for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The project chose this candidate.
    Chosen(String),
    /// Not yet chosen: this one was taken as the best that stays.
    NotYet(String),
    /// No candidate could be worked.
    Nothing,
}

impl Choice {
    /// The candidate's id.
    pub fn id(&self) -> Option<&str> {
        match self {
            Choice::Chosen(id) | Choice::NotYet(id) => Some(id),
            Choice::Nothing => None,
        }
    }
}

/// Verdicts counted over the limits of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Limits met.
    pub meets: usize,
    /// Limits missed.
    pub misses: usize,
    /// Limits undecided.
    pub undecided: usize,
    /// Cases without a limit.
    pub not_judged: usize,
}

/// Something the answer rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct RestsOn {
    /// In words: "cluster factor of three".
    pub meaning: String,
    /// Its value.
    pub number: Number,
    /// From where.
    pub trust: Trust,
    /// "measured, 9 drops at half scale".
    pub basis: String,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// In a sentence.
    pub says: String,
    /// Arguments of the command, without the program's name, where a command does it.
    pub command: Option<String>,
}

/// A day and place of tests.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionSheet {
    /// Its name in the project.
    pub name: String,
    /// Density of its air.
    pub density: Number,
    /// Gravity there.
    pub gravity: Number,
    /// Air temperature, as stated or as assumed.
    pub temperature: Number,
    /// Pressure at the place, as stated, worked out or assumed.
    pub pressure: Number,
    /// How the air was had, in a sentence.
    pub says: String,
}

/// Something the project does not know yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// Its dotted key.
    pub key: String,
    /// The project file.
    pub file: String,
    /// Line from 1.
    pub line: Option<u64>,
    /// Column from 1.
    pub column: Option<u64>,
    /// What knowing it would give, in a sentence.
    pub gives: String,
}
