//! The load path in `assess --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{
    BorneSheet, DesignFactorSheet, MarginSheet, MemberSheet, ShakenSheet, ShockSheet, StrengthSheet,
};

use super::common::{NumberJson, each, number};

/// Whether a part holds together under the canopies chosen.
#[derive(Serialize, JsonSchema)]
pub struct StrengthJson {
    verdict: &'static str,
    /// Why, in words that stand alone.
    reason: String,
    /// Id of the weakest member of `load_path`.
    weakest: Option<String>,
    says: Vec<String>,
}

impl From<&StrengthSheet> for StrengthJson {
    fn from(of: &StrengthSheet) -> Self {
        StrengthJson {
            verdict: of.verdict.word(),
            reason: of.reason.clone(),
            weakest: of.weakest.clone(),
            says: of.says.clone(),
        }
    }
}

/// One member between cloth and part.
#[derive(Serialize, JsonSchema)]
pub struct MemberJson {
    id: String,
    /// `canopy`, `fabric`, `lines`, `skirt`, `riser`, `bridle`, `swivel`, `link`, `harness`, `eye bolt` or `bulkhead`.
    is: &'static str,
    /// `one canopy`, `all` or `one leg`.
    carries: &'static str,
    /// The hardest pull on it; null where it is not known.
    pull: Option<BorneJson>,
    /// Why it is not known.
    pull_missing: Option<String>,
    /// Strength of one as stated: a force, of cloth a force for its width.
    rated: Option<NumberJson>,
    /// Of cloth, the pull that it holds.
    holds: Option<NumberJson>,
    /// What one holds for sure; null where that is the same.
    surely_holds: Option<NumberJson>,
    /// How many share the pull.
    sharing: Option<usize>,
    /// Design factors that are not 1 by what the member is.
    factors: Vec<DesignFactorJson>,
    /// Their product at their best values.
    design_factor: Option<NumberJson>,
    /// Their product at the ends that ask for more.
    design_factor_at_worst: Option<NumberJson>,
    /// The pull that it may be given for sure.
    allowed: Option<NumberJson>,
    margin: Option<MarginJson>,
    /// Rated strength of one that would do for sure.
    would_do: Option<NumberJson>,
    verdict: &'static str,
    reason: String,
    /// Whether it is the weakest.
    weakest: bool,
    /// `given`, `measured`, `handbook` or `assumed`: the least trusted of what its strength and factors rest on.
    origin: &'static str,
    source: String,
}

impl From<&MemberSheet> for MemberJson {
    fn from(of: &MemberSheet) -> Self {
        let factor = |at: usize| of.design_factor.as_ref().map(|factors| (&factors[at]).into());
        MemberJson {
            id: of.id.clone(),
            is: of.kind.word(),
            carries: of.carries.word(),
            pull: of.pull.as_ref().ok().map(BorneJson::from),
            pull_missing: of.pull.as_ref().err().cloned(),
            rated: number(&of.rated),
            holds: number(&of.holds),
            surely_holds: number(&of.surely_holds),
            sharing: of.sharing,
            factors: each(&of.factors),
            design_factor: factor(0),
            design_factor_at_worst: factor(1),
            allowed: number(&of.allowed),
            margin: of.margin.as_ref().map(MarginJson::from),
            would_do: number(&of.would_do),
            verdict: of.verdict.word(),
            reason: of.reason.clone(),
            weakest: of.weakest,
            origin: of.trust.word(),
            source: of.trust.mark(),
        }
    }
}

/// A pull that has to be borne.
#[derive(Serialize, JsonSchema)]
struct BorneJson {
    force: NumberJson,
    /// 95 of 100 openings below: strength is checked here.
    at_95: NumberJson,
    /// `as planned`, `as measured`, or what was asked beside the plan.
    when: String,
    /// Its row of `loads`; null where it is measured.
    case: Option<String>,
    canopy: Option<String>,
    /// `snatch` or `opening`.
    event: Option<&'static str>,
}

impl From<&BorneSheet> for BorneJson {
    fn from(of: &BorneSheet) -> Self {
        BorneJson {
            force: (&of.force).into(),
            at_95: (&of.at_95).into(),
            when: of.when.clone(),
            case: of.of.as_ref().map(|row| row.case.clone()),
            canopy: of.of.as_ref().map(|row| row.canopy.clone()),
            event: of.of.as_ref().map(|row| row.event.word()),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct DesignFactorJson {
    /// `safety`, `asymmetry`, `convergence`, `joints`, `abrasion`, `fatigue`, `moisture` or `heat`.
    id: &'static str,
    /// What it is.
    meaning: &'static str,
    best: NumberJson,
    /// The end that asks for more strength; null where that is the same.
    worst: Option<NumberJson>,
    origin: &'static str,
    source: String,
}

impl From<&DesignFactorSheet> for DesignFactorJson {
    fn from(of: &DesignFactorSheet) -> Self {
        DesignFactorJson {
            id: of.factor.word(),
            meaning: of.factor.meaning(),
            best: (&of.best).into(),
            worst: number(&of.worst),
            origin: of.trust.word(),
            source: of.trust.mark(),
        }
    }
}

/// Strength over what is wanted of it; 1 is just enough.
#[derive(Serialize, JsonSchema)]
struct MarginJson {
    /// At the median of the pull, and where 95 of 100 openings lie.
    margin: NumberJson,
    /// At the 95th percentile of the pull: below 1 it misses.
    at_95: NumberJson,
    /// There, strength and factors at their bad ends: from 1 on it meets.
    at_worst: NumberJson,
}

impl From<&MarginSheet> for MarginJson {
    fn from(of: &MarginSheet) -> Self {
        MarginJson { margin: (&of.margin).into(), at_95: (&of.at_95).into(), at_worst: (&of.at_worst).into() }
    }
}

/// How hard a part is shaken.
#[derive(Serialize, JsonSchema)]
pub struct ShockJson {
    /// Of all canopies together.
    pull: BorneJson,
    shock: NumberJson,
    /// 95 of 100 openings below.
    at_95: NumberJson,
    contents: Vec<ShakenJson>,
}

impl From<&ShockSheet> for ShockJson {
    fn from(of: &ShockSheet) -> Self {
        ShockJson {
            pull: (&of.pull).into(),
            shock: (&of.shock).into(),
            at_95: (&of.at_95).into(),
            contents: each(&of.contents),
        }
    }
}

/// Something in the part that must not be shaken too hard.
#[derive(Serialize, JsonSchema)]
struct ShakenJson {
    id: String,
    limit: Option<NumberJson>,
    /// What it pulls with at its fastening.
    fastening: Option<NumberJson>,
    verdict: &'static str,
}

impl From<&ShakenSheet> for ShakenJson {
    fn from(of: &ShakenSheet) -> Self {
        ShakenJson {
            id: of.id.clone(),
            limit: number(&of.limit),
            fastening: number(&of.fastening),
            verdict: of.verdict.word(),
        }
    }
}
