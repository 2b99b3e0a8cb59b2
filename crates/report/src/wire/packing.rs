//! Packing and getting it out in `assess --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{ChargeSheet, ContentSheet, DeploymentSheet, OfferFitSheet, PackingSheet};

use super::common::{NumberJson, each, number};
use super::sheet::FactorJson;

/// A bay and what is packed in it.
#[derive(Serialize, JsonSchema)]
pub struct PackingJson {
    name: String,
    diameter: Option<NumberJson>,
    length: Option<NumberJson>,
    volume: Option<NumberJson>,
    /// From the bulkhead to the lid; the canopies last.
    contents: Vec<ContentJson>,
    /// Length that all of it takes.
    taken: Option<NumberJson>,
    /// Below 0 where it is wanting.
    spare: Option<NumberJson>,
    /// Density that what is soft must be packed to.
    density_wanted: Option<NumberJson>,
    /// How hard that is to press.
    pressed: Option<String>,
    verdict: &'static str,
    reason: String,
    /// How many of each offer fit.
    offers: Vec<OfferFitJson>,
    says: Vec<String>,
}

impl From<&PackingSheet> for PackingJson {
    fn from(of: &PackingSheet) -> Self {
        PackingJson {
            name: of.name.clone(),
            diameter: number(&of.diameter),
            length: number(&of.length),
            volume: number(&of.volume),
            contents: each(&of.contents),
            taken: number(&of.taken),
            spare: number(&of.spare),
            density_wanted: number(&of.density_wanted),
            pressed: of.pressed.clone(),
            verdict: of.verdict.word(),
            reason: of.reason.clone(),
            offers: each(&of.offers),
            says: of.says.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct ContentJson {
    name: String,
    canopies: bool,
    /// Of one, as packed; null for what takes a length whole.
    volume: Option<NumberJson>,
    length: NumberJson,
    /// Where it ends, from the bulkhead.
    to: NumberJson,
    basis: String,
    /// `given`, `measured`, `handbook` or `assumed`.
    origin: &'static str,
    source: String,
}

impl From<&ContentSheet> for ContentJson {
    fn from(of: &ContentSheet) -> Self {
        ContentJson {
            name: of.name.clone(),
            canopies: of.canopies,
            volume: number(&of.volume),
            length: (&of.length).into(),
            to: (&of.to).into(),
            basis: of.basis.clone(),
            origin: of.trust.word(),
            source: of.trust.mark(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct OfferFitJson {
    name: String,
    volume: NumberJson,
    basis: String,
    origin: &'static str,
    source: String,
    /// The most of them that fit, by best estimate.
    most: usize,
    /// The most that surely fit.
    surely: usize,
}

impl From<&OfferFitSheet> for OfferFitJson {
    fn from(of: &OfferFitSheet) -> Self {
        OfferFitJson {
            name: of.name.clone(),
            volume: (&of.volume).into(),
            basis: of.basis.clone(),
            origin: of.trust.word(),
            source: of.trust.mark(),
            most: of.most,
            surely: of.surely,
        }
    }
}

/// One thing that must work: opening the bay, its vents, the ports, the door.
#[derive(Serialize, JsonSchema)]
pub struct DeploymentJson {
    /// `bay`, `vents`, `ports` or `door`.
    name: String,
    title: String,
    figures: Vec<FactorJson>,
    /// Of a pyrotechnic source: a range, never one number.
    charge: Option<ChargeJson>,
    verdict: &'static str,
    reason: String,
    /// What can hurt someone.
    cautions: Vec<String>,
    says: Vec<String>,
}

impl From<&DeploymentSheet> for DeploymentJson {
    fn from(of: &DeploymentSheet) -> Self {
        DeploymentJson {
            name: of.name.clone(),
            title: of.title.clone(),
            figures: each(&of.figures),
            charge: of.charge.as_ref().map(ChargeJson::from),
            verdict: of.verdict.word(),
            reason: of.reason.clone(),
            cautions: of.cautions.clone(),
            says: of.says.clone(),
        }
    }
}

/// The range of a charge; `cautions` beside it belong to it.
#[derive(Serialize, JsonSchema)]
struct ChargeJson {
    low: NumberJson,
    high: NumberJson,
}

impl From<&ChargeSheet> for ChargeJson {
    fn from(of: &ChargeSheet) -> Self {
        ChargeJson { low: (&of.low).into(), high: (&of.high).into() }
    }
}
