//! `assess --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_core::ledger::{Distribution, Entry, LedgerId, Sharing};
use silkfall_core::quantity::System;
use silkfall_sheet::{
    AtMedians, Beside, By, CandidateCase, CandidateSheet, CandidateStanding, CaseSheet, CostsSheet,
    DragSheet, Effort, Factor, Falls, FallsItem, FromMemory, FullSize, LimitSheet, NeighbourSheet,
    NotToldApart, PartSheet, Residual, RestsOn, Reynolds, SessionSheet, Sheet, TestSheet, Unknown,
};

use crate::builders::standing;
use crate::show;

use super::common::{FindingJson, NumberJson, RecordingJson, each, ends, number};
use super::hanging::{FailureJson, HangJson, HarnessJson, RiggingJson};
use super::landing::{GoNoGoJson, LandingJson};
use super::load_path::{MemberJson, ShockJson, StrengthJson};
use super::loads::LoadJson;
use super::opening::OpeningsJson;
use super::packing::{DeploymentJson, PackingJson};
use super::plan::PlanJson;
use super::reduction::DoubtJson;

/// The schema of `assess --json`, as JSON.
pub fn assess_schema() -> serde_json::Value {
    schemars::schema_for!(SheetJson).to_value()
}

/// The whole of `assess --json`.
#[derive(Serialize, JsonSchema)]
pub struct SheetJson {
    /// Version of these shapes.
    format: u32,
    /// The project's name.
    name: String,
    /// The same inputs have the same fingerprint.
    fingerprint: String,
    /// `quick` or `full`.
    effort: &'static str,
    /// Simulated worlds behind each share.
    trials: usize,
    /// Seed of their streams.
    seed: u64,
    /// `done`, `limit missed` or `no answer`.
    outcome: &'static str,
    /// The parts, in the order of the project.
    parts: Vec<PartJson>,
    /// How each part comes down, and where; quick effort without regions and winds.
    landing: Vec<LandingJson>,
    /// Winds that are allowed, by part, case and direction; empty at quick effort.
    go_no_go: Vec<GoNoGoJson>,
    /// What the paper that is handed over says beyond the parts themselves.
    plan: PlanJson,
    /// Days and places of the tests.
    sessions: Vec<SessionJson>,
    /// Where and in which air the real thing comes down.
    site: SessionJson,
    /// What was taken because nothing was said.
    defaults: Vec<String>,
    /// What the project does not know yet, the most valuable first.
    unknowns: Vec<UnknownJson>,
    /// Which figures rest on a value from memory, a line a section.
    from_memory: Vec<FromMemoryJson>,
    /// Every uncertain input.
    ledger: Vec<EntryJson>,
    /// Numbers above that cannot say how they came about: 0, or there is a defect.
    numbers_without_derivation: usize,
    /// What was noticed, the gravest first.
    findings: Vec<FindingJson>,
}

/// Projects a sheet.
pub fn sheet_json(sheet: &Sheet) -> SheetJson {
    SheetJson {
        format: 1,
        name: sheet.name.clone(),
        fingerprint: sheet.fingerprint.clone(),
        effort: match sheet.effort {
            Effort::Quick => "quick",
            Effort::Full => "full",
        },
        trials: sheet.trials,
        seed: sheet.seed,
        outcome: sheet.outcome.words(),
        parts: each(&sheet.parts),
        landing: each(&sheet.landing),
        go_no_go: each(&sheet.go_no_go),
        plan: (&sheet.plan).into(),
        sessions: each(&sheet.sessions),
        site: (&sheet.site).into(),
        defaults: sheet.defaults.clone(),
        unknowns: each(&sheet.unknowns),
        from_memory: each(&sheet.from_memory),
        ledger: sheet.ledger.iter().map(EntryJson::from).collect(),
        numbers_without_derivation: sheet.without_how().len(),
        findings: each(&sheet.findings),
    }
}

/// Figures of one section that rest on memory.
#[derive(Serialize, JsonSchema)]
struct FromMemoryJson {
    /// Path of the section.
    id: String,
    /// In words that stand alone.
    says: String,
    /// What is remembered, each document once.
    sources: Vec<String>,
    /// Paths of the figures.
    figures: Vec<String>,
}

impl From<&FromMemory> for FromMemoryJson {
    fn from(of: &FromMemory) -> Self {
        FromMemoryJson {
            id: of.id.clone(),
            says: of.says.clone(),
            sources: of.sources.clone(),
            figures: of.figures.iter().map(|id| id.0.clone()).collect(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct PartJson {
    name: String,
    /// All that descends under the canopies chosen.
    falls: Option<FallsJson>,
    tests: Vec<TestJson>,
    drag: Option<DragJson>,
    full_size: Option<FullSizeJson>,
    cases: Vec<CaseJson>,
    candidates: Vec<CandidateJson>,
    /// What pulls at opening under the canopies chosen: case × canopy × snatch or opening.
    loads: Vec<LoadJson>,
    /// Every member between cloth and part against the hardest pull on it; empty where none is judged.
    load_path: Vec<MemberJson>,
    /// How hard it is shaken, and what in it.
    shock: Option<ShockJson>,
    /// Whether it holds together.
    strength: StrengthJson,
    /// What was asked of the openings, and how they run at best values.
    openings: Option<OpeningsJson>,
    /// Its bay with what is packed in it; empty where none is stated.
    packing: Vec<PackingJson>,
    /// What opens the bay, how it and the barometer breathe, what is thrown out sideways.
    deployment: Vec<DeploymentJson>,
    /// How it is fastened to its riser.
    harness: Option<HarnessJson>,
    /// How it hangs: at rest, then in the steady descent of each case.
    hanging: Vec<HangJson>,
    /// Riser and cluster geometry under the canopies chosen.
    rigging: Option<RiggingJson>,
    /// What follows from each failure of a device, and from each shared cause.
    failure_tree: Vec<FailureJson>,
    choice: ChoiceJson,
    tally: TallyJson,
    rests_on: Vec<RestsOnJson>,
    doubts: Vec<DoubtJson>,
    /// The one thing to do next.
    next: Option<String>,
}

impl From<&PartSheet> for PartJson {
    fn from(part: &PartSheet) -> Self {
        PartJson {
            name: part.name.clone(),
            falls: part.falls.as_ref().map(FallsJson::from),
            tests: each(&part.tests),
            drag: part.drag.as_ref().map(DragJson::from),
            full_size: part.full_size.as_ref().map(FullSizeJson::from),
            cases: each(&part.cases),
            candidates: each(&part.candidates),
            loads: each(&part.loads),
            load_path: each(&part.load_path),
            shock: part.shock.as_ref().map(ShockJson::from),
            strength: (&part.strength).into(),
            openings: part.openings.as_ref().map(OpeningsJson::from),
            packing: each(&part.packing),
            deployment: each(&part.deployment),
            harness: part.harness.as_ref().map(HarnessJson::from),
            hanging: each(&part.hanging),
            rigging: part.rigging.as_ref().map(RiggingJson::from),
            failure_tree: each(&part.failure_tree),
            choice: ChoiceJson {
                id: part.choice.id().map(str::to_owned),
                chosen: matches!(part.choice, silkfall_sheet::Choice::Chosen(_)),
            },
            tally: TallyJson {
                meets: part.tally.meets,
                misses: part.tally.misses,
                undecided: part.tally.undecided,
                not_judged: part.tally.not_judged,
            },
            rests_on: each(&part.rests_on),
            doubts: each(&part.doubts),
            next: part.next.as_ref().map(|step| step.says.clone()),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct FallsJson {
    total: NumberJson,
    items: Vec<FallsItemJson>,
}

impl From<&Falls> for FallsJson {
    fn from(falls: &Falls) -> Self {
        FallsJson { total: (&falls.total).into(), items: each(&falls.items) }
    }
}

#[derive(Serialize, JsonSchema)]
struct FallsItemJson {
    name: String,
    mass: NumberJson,
}

impl From<&FallsItem> for FallsItemJson {
    fn from(item: &FallsItem) -> Self {
        FallsItemJson { name: item.name.clone(), mass: (&item.mass).into() }
    }
}

#[derive(Serialize, JsonSchema)]
struct TestJson {
    name: String,
    session: Option<String>,
    what: String,
    /// How many canopies were open; null where that is not known yet.
    canopies: Option<usize>,
    /// Their serials; null where they are not known yet.
    serials: Option<Vec<String>>,
    /// Whether the body hung below; null where that is not known yet.
    body: Option<bool>,
    riser_length: Option<NumberJson>,
    falls: Option<FallsJson>,
    recordings: Vec<RecordingJson>,
    drops_kept: usize,
    drops_set_aside: usize,
    /// In still air at the test's own density.
    rate: Option<NumberJson>,
    scatter: Option<NumberJson>,
    density: Option<NumberJson>,
    drag_area: Option<NumberJson>,
    doubts: Vec<DoubtJson>,
}

impl From<&TestSheet> for TestJson {
    fn from(test: &TestSheet) -> Self {
        TestJson {
            name: test.name.clone(),
            session: test.session.clone(),
            what: test.what.clone(),
            canopies: test.serials.as_ref().map(Vec::len),
            serials: test.serials.clone(),
            body: test.body,
            riser_length: number(&test.riser_length),
            falls: test.falls.as_ref().map(FallsJson::from),
            recordings: each(&test.recordings),
            drops_kept: test.drops_kept,
            drops_set_aside: test.drops_set_aside,
            rate: number(&test.rate),
            scatter: number(&test.scatter),
            density: number(&test.density),
            drag_area: number(&test.drag_area),
            doubts: each(&test.doubts),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct DragJson {
    factors: Vec<FactorJson>,
    not_told_apart: Vec<NotToldApartJson>,
    residuals: Vec<ResidualJson>,
}

impl From<&DragSheet> for DragJson {
    fn from(drag: &DragSheet) -> Self {
        DragJson {
            factors: each(&drag.factors),
            not_told_apart: each(&drag.not_told_apart),
            residuals: each(&drag.residuals),
        }
    }
}

/// A factor: value, interval, and `given`, `measured`, `handbook` or `assumed`.
#[derive(Serialize, JsonSchema)]
pub struct FactorJson {
    id: String,
    meaning: String,
    /// SI value; null where the tests do not tell it.
    value: Option<f64>,
    /// The SI unit; empty for a pure number or a share.
    unit: Option<&'static str>,
    /// Where it lies, 95 % sure.
    interval_95: Option<[f64; 2]>,
    origin: &'static str,
    source: String,
    basis: String,
}

impl From<&Factor> for FactorJson {
    fn from(factor: &Factor) -> Self {
        FactorJson {
            id: factor.id.clone(),
            meaning: factor.meaning.clone(),
            value: factor.number.as_ref().map(|number| number.si),
            unit: factor.number.as_ref().map(|number| number.kind.units()[0].symbol),
            interval_95: factor.number.as_ref().and_then(|number| number.interval_95.as_ref()).map(ends),
            origin: factor.trust.word(),
            source: factor.trust.mark(),
            basis: factor.basis.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct NotToldApartJson {
    factors: Vec<String>,
    test: String,
}

impl From<&NotToldApart> for NotToldApartJson {
    fn from(pair: &NotToldApart) -> Self {
        NotToldApartJson { factors: pair.factors.clone(), test: pair.test.clone() }
    }
}

#[derive(Serialize, JsonSchema)]
struct ResidualJson {
    /// The test.
    name: String,
    measured: NumberJson,
    fitted: NumberJson,
}

impl From<&Residual> for ResidualJson {
    fn from(residual: &Residual) -> Self {
        ResidualJson {
            name: residual.test.clone(),
            measured: (&residual.measured).into(),
            fitted: (&residual.fitted).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct FullSizeJson {
    scale: Option<NumberJson>,
    factors: Vec<FactorJson>,
    why_no_ratio: Option<String>,
    reynolds: Vec<ReynoldsJson>,
}

impl From<&FullSize> for FullSizeJson {
    fn from(full: &FullSize) -> Self {
        FullSizeJson {
            scale: number(&full.scale),
            factors: each(&full.factors),
            why_no_ratio: full.why_no_ratio.clone(),
            reynolds: each(&full.reynolds),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct ReynoldsJson {
    id: String,
    meaning: String,
    number: NumberJson,
}

impl From<&Reynolds> for ReynoldsJson {
    fn from(reynolds: &Reynolds) -> Self {
        ReynoldsJson {
            id: reynolds.id.clone(),
            meaning: reynolds.meaning.clone(),
            number: (&reynolds.number).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct CaseJson {
    id: String,
    title: String,
    chance: Option<NumberJson>,
    chance_says: Option<String>,
    /// Median, and where 95 of 100 flights lie.
    rate: Option<NumberJson>,
    rate_quantiles: BTreeMap<String, NumberJson>,
    energy: Option<NumberJson>,
    /// Everything at its median, by closed form.
    at_medians: Option<AtMediansJson>,
    size_wanted: Option<NumberJson>,
    limits: Vec<LimitJson>,
    /// `meets`, `misses`, `undecided` or `not judged`.
    verdict: &'static str,
    governs: bool,
    missing: Option<String>,
}

impl From<&CaseSheet> for CaseJson {
    fn from(case: &CaseSheet) -> Self {
        CaseJson {
            id: case.id.clone(),
            title: case.title.clone(),
            chance: number(&case.chance),
            chance_says: case.chance_says.clone(),
            rate: number(&case.rate),
            rate_quantiles: case.rate_quantiles.iter().map(|(name, n)| (name.clone(), n.into())).collect(),
            energy: number(&case.energy),
            at_medians: case.at_medians.as_ref().map(AtMediansJson::from),
            size_wanted: number(&case.size_wanted),
            limits: each(&case.limits),
            verdict: case.verdict.word(),
            governs: case.governs,
            missing: case.missing.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct AtMediansJson {
    drag_area: NumberJson,
    rate: NumberJson,
    energy: NumberJson,
}

impl From<&AtMedians> for AtMediansJson {
    fn from(at: &AtMedians) -> Self {
        AtMediansJson {
            drag_area: (&at.drag_area).into(),
            rate: (&at.rate).into(),
            energy: (&at.energy).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct LimitJson {
    /// `rate` or `energy`.
    id: String,
    limit: NumberJson,
    wanted: NumberJson,
    /// Share of flights within the limit; its interval is what is not known.
    share: NumberJson,
    /// 95 % sure that at least this share is within it.
    at_worst: NumberJson,
    /// Monte Carlo standard error of the share.
    standard_error: f64,
    verdict: &'static str,
    settle: Option<String>,
}

impl From<&LimitSheet> for LimitJson {
    fn from(limit: &LimitSheet) -> Self {
        LimitJson {
            id: limit.of.clone(),
            limit: (&limit.limit).into(),
            wanted: (&limit.wanted).into(),
            share: (&limit.share).into(),
            at_worst: (&limit.at_worst).into(),
            standard_error: limit.standard_error,
            verdict: limit.verdict.word(),
            settle: limit.settle.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct CandidateJson {
    id: String,
    offer: String,
    count: usize,
    diameter: Option<NumberJson>,
    stays: bool,
    reason: String,
    beaten_by: Option<String>,
    /// What the part allows of that which this one needs too much of.
    bound: Option<NumberJson>,
    /// What it takes more than the candidate that the cases stand for.
    over_choice: Option<CostsJson>,
    /// The next smaller of the same count that does worse.
    next_smaller: Option<NeighbourJson>,
    /// The next larger of the same count.
    next_larger: Option<NeighbourJson>,
    /// What other stages of the job say of it: loads, room in the bay.
    beside: Vec<BesideJson>,
    verdict: &'static str,
    cases: Vec<CandidateCaseJson>,
    margin: Option<NumberJson>,
    mass: Option<NumberJson>,
    volume: Option<NumberJson>,
    price: Option<NumberJson>,
}

impl From<&CandidateSheet> for CandidateJson {
    fn from(candidate: &CandidateSheet) -> Self {
        CandidateJson {
            id: candidate.id.clone(),
            offer: candidate.offer.clone(),
            count: candidate.count,
            diameter: number(&candidate.diameter),
            stays: candidate.stays(),
            // The one place where JSON carries a sentence with numbers: SI, and each stands beside it by itself.
            reason: show::plain(&standing::in_full(candidate), System::Si),
            beaten_by: match &candidate.standing {
                CandidateStanding::BeatenBy { id } => Some(id.clone()),
                _ => None,
            },
            beside: each(&candidate.beside),
            bound: match &candidate.standing {
                CandidateStanding::OutOfBounds { bound, .. } => Some(bound.into()),
                _ => None,
            },
            over_choice: candidate.over_choice.as_ref().map(CostsJson::from),
            next_smaller: candidate.next_smaller.as_ref().map(NeighbourJson::from),
            next_larger: candidate.next_larger.as_ref().map(NeighbourJson::from),
            verdict: candidate.verdict.word(),
            cases: each(&candidate.cases),
            margin: number(&candidate.margin),
            mass: number(&candidate.mass),
            volume: number(&candidate.volume),
            price: number(&candidate.price),
        }
    }
}

/// What another stage of the job says of a candidate.
#[derive(Serialize, JsonSchema)]
struct BesideJson {
    /// `loads` or `packing`: the section that works it.
    by: &'static str,
    verdict: &'static str,
    reason: String,
}

impl From<&Beside> for BesideJson {
    fn from(beside: &Beside) -> Self {
        let by = match beside.by {
            By::Load => "loads",
            By::Bay => "packing",
        };
        BesideJson { by, verdict: beside.verdict.word(), reason: beside.reason.clone() }
    }
}

/// What one candidate takes more than another; null where it is alike or not stated.
#[derive(Serialize, JsonSchema)]
struct CostsJson {
    mass: Option<NumberJson>,
    volume: Option<NumberJson>,
    price: Option<NumberJson>,
}

impl From<&CostsSheet> for CostsJson {
    fn from(costs: &CostsSheet) -> Self {
        CostsJson { mass: number(&costs.mass), volume: number(&costs.volume), price: number(&costs.price) }
    }
}

#[derive(Serialize, JsonSchema)]
struct NeighbourJson {
    id: String,
    verdict: &'static str,
    /// The case that decides it.
    case: Option<String>,
    /// What another stage of the job says of it, where that decides.
    beside: Option<BesideJson>,
    more: CostsJson,
}

impl From<&NeighbourSheet> for NeighbourJson {
    fn from(next: &NeighbourSheet) -> Self {
        NeighbourJson {
            id: next.id.clone(),
            verdict: next.verdict.word(),
            case: next.case.clone(),
            beside: next.beside.as_ref().map(BesideJson::from),
            more: (&next.more).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct CandidateCaseJson {
    id: String,
    rate: NumberJson,
    share: Option<NumberJson>,
    at_worst: Option<NumberJson>,
    verdict: &'static str,
}

impl From<&CandidateCase> for CandidateCaseJson {
    fn from(case: &CandidateCase) -> Self {
        CandidateCaseJson {
            id: case.case.clone(),
            rate: (&case.rate).into(),
            share: number(&case.share),
            at_worst: number(&case.at_worst),
            verdict: case.verdict.word(),
        }
    }
}

/// Which candidate the cases stand for.
#[derive(Serialize, JsonSchema)]
struct ChoiceJson {
    id: Option<String>,
    /// Whether the project chose it; otherwise it was taken as the best.
    chosen: bool,
}

#[derive(Serialize, JsonSchema)]
struct TallyJson {
    meets: usize,
    misses: usize,
    undecided: usize,
    not_judged: usize,
}

#[derive(Serialize, JsonSchema)]
struct RestsOnJson {
    meaning: String,
    /// Path of the number in this JSON.
    path: String,
    number: NumberJson,
    origin: &'static str,
    source: String,
    basis: String,
}

impl From<&RestsOn> for RestsOnJson {
    fn from(rest: &RestsOn) -> Self {
        RestsOnJson {
            meaning: rest.meaning.clone(),
            path: rest.number.id.0.clone(),
            number: (&rest.number).into(),
            origin: rest.trust.word(),
            source: rest.trust.mark(),
            basis: rest.basis.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct SessionJson {
    name: String,
    density: NumberJson,
    gravity: NumberJson,
    temperature: NumberJson,
    pressure: NumberJson,
    says: String,
}

impl From<&SessionSheet> for SessionJson {
    fn from(session: &SessionSheet) -> Self {
        SessionJson {
            name: session.name.clone(),
            density: (&session.density).into(),
            gravity: (&session.gravity).into(),
            temperature: (&session.temperature).into(),
            pressure: (&session.pressure).into(),
            says: session.says.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct UnknownJson {
    key: String,
    file: String,
    line: Option<u64>,
    column: Option<u64>,
    gives: String,
}

impl From<&Unknown> for UnknownJson {
    fn from(unknown: &Unknown) -> Self {
        UnknownJson {
            key: unknown.key.clone(),
            file: unknown.file.clone(),
            line: unknown.line,
            column: unknown.column,
            gives: unknown.gives.clone(),
        }
    }
}

/// An uncertain input.
#[derive(Serialize, JsonSchema)]
struct EntryJson {
    id: String,
    meaning: String,
    value: f64,
    distribution: DistributionJson,
    /// `knowledge`: fixed but not known, one draw for all flights; `flight`: drawn anew for each.
    sharing: &'static str,
    origin: &'static str,
    source: String,
}

impl From<(&LedgerId, &Entry)> for EntryJson {
    fn from((id, entry): (&LedgerId, &Entry)) -> Self {
        EntryJson {
            id: id.0.clone(),
            meaning: entry.meaning.clone(),
            value: entry.value,
            distribution: entry.distribution.into(),
            sharing: match entry.sharing {
                Sharing::Knowledge => "knowledge",
                Sharing::Flight => "flight",
            },
            origin: entry.trust.word(),
            source: entry.trust.mark(),
        }
    }
}

/// How an input is distributed: its kind, and the parameters that kind has.
#[derive(Serialize, JsonSchema, Default)]
struct DistributionJson {
    kind: &'static str,
    /// Standard deviation in the unit of the value; of its logarithm for `log-normal` and `log-t`, relative for
    /// `one-sided below`.
    sd: Option<f64>,
    degrees_of_freedom: Option<f64>,
    bounds: Option<[f64; 2]>,
}

impl From<Distribution> for DistributionJson {
    fn from(distribution: Distribution) -> Self {
        let of = |kind, sd| DistributionJson { kind, sd: Some(sd), ..DistributionJson::default() };
        match distribution {
            Distribution::Exact => DistributionJson { kind: "exact", ..DistributionJson::default() },
            Distribution::Normal { sd } => of("normal", sd),
            Distribution::LogNormal { sd_log } => of("log-normal", sd_log),
            Distribution::LogT { scale_log, dof } => DistributionJson {
                degrees_of_freedom: dof.is_finite().then_some(dof),
                ..of("log-t", scale_log)
            },
            Distribution::Rectangular { low, high } => DistributionJson {
                kind: "rectangular",
                bounds: Some([low, high]),
                ..DistributionJson::default()
            },
            Distribution::OneSidedBelow { sd_relative } => of("one-sided below", sd_relative),
        }
    }
}

#[cfg(test)]
mod tests {
    /// `cargo run -p silkfall-report --example assess_schema > docs/assess.schema.json` writes it anew.
    #[test]
    fn the_schema_under_docs_is_this_one() {
        let written: serde_json::Value =
            serde_json::from_str(include_str!("../../../../docs/assess.schema.json")).unwrap();
        assert!(written == super::assess_schema(), "docs/assess.schema.json is stale");
    }
}
