//! Every offer × count on the same draws.

use std::ops::RangeInclusive;

use rayon::prelude::*;

use super::{Candidates, Costs, Entry, EntryCase, Standing, standing};
use crate::cases::engine::{Canopy, Engine, State, Worlds};
use crate::cases::work::{Bench, worst};
use crate::cases::{Case, Load, Rig, Share, verdict};
use crate::finding::{Code, Finding, Subject};
use crate::full_size::{FullCanopy, Offer, canopy_of_offer};
use crate::ledger::{Estimate, Ledger};

/// An offer with the drag area of one of its canopies, or why it has none.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// The offer.
    pub offer: Offer,
    /// From its own figures, from a scale copy or from a test of the real canopy.
    pub canopy: Result<FullCanopy, Finding>,
}

impl Offered {
    /// The offer by its own figures; see [`canopy_of_offer`].
    pub fn by_its_figures(offer: Offer, ledger: &mut Ledger) -> Self {
        let canopy = canopy_of_offer(&offer, ledger);
        Offered { offer, canopy }
    }

    /// So many of its canopies; `None` without a drag area.
    pub fn rig(&self, count: usize) -> Option<Rig> {
        let (offer, canopy) = (&self.offer, self.canopy.as_ref().ok()?.clone());
        Some(Rig { offer: offer.name.clone(), count, canopy, mass_each_kg: offer.mass_kg.unwrap_or(0.0) })
    }

    /// The ln area of its canopy, which the part's draws have to hold; `None` without an area.
    pub fn ln_area(&self) -> Option<&Estimate> {
        Some(&self.canopy.as_ref().ok()?.area.estimate)
    }
}

/// Works every offer at every count in every case, on draws of the part's load and of every offer's canopy.
///
/// The load has to hold cluster factors and net areas up to the largest count; a count beyond them gives no answer. A
/// canopy whose mass is not stated weighs nothing here. `None` where `go_on`, asked before each candidate, says no.
///
/// # Panics
/// Without a trial. If a canopy of an offer was not drawn.
pub fn work(
    engine: &Engine,
    offers: &[Offered],
    counts: RangeInclusive<usize>,
    cases: &[Case],
    go_on: &(dyn Fn() -> bool + Sync),
) -> Option<Candidates> {
    let load = engine.load();
    let drawn: Vec<Option<Canopy>> = offers
        .par_iter()
        .map(|offered| offered.canopy.as_ref().ok().map(|canopy| engine.canopy(&canopy.area.estimate)))
        .collect();
    // The bare body is the same under every rig.
    let bare = engine.worlds(State::Nothing, &Canopy::none());
    let all: Vec<(usize, usize)> =
        (0..offers.len()).flat_map(|offer| counts.clone().map(move |count| (offer, count))).collect();
    let one =
        |(i, count): (usize, usize)| match (&offers[i].canopy, offers[i].rig(count).zip(drawn[i].as_ref())) {
            (Ok(_), Some((rig, areas))) => {
                entry(engine, load, &offers[i].offer, (rig, areas), (cases, bare.as_ref()))
            }
            (Err(finding), _) => no_answer(&offers[i].offer, count, finding.message.clone()),
            (Ok(_), None) => unreachable!("every canopy with an area was drawn"),
        };
    let mut entries: Vec<Entry> =
        all.into_par_iter().map(|of| go_on().then(|| one(of))).collect::<Option<_>>()?;
    let kept = standing::settle(&mut entries);
    Some(Candidates { entries, kept, trials: engine.trials(), findings: findings(offers) })
}

fn findings(offers: &[Offered]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for Offered { offer, canopy } in offers {
        match canopy {
            Ok(canopy) => findings.extend(canopy.findings.iter().cloned()),
            Err(finding) => findings.push(finding.clone()),
        }
        if offer.mass_kg.is_none() {
            let subject = Subject::Key(format!("offer.{}", offer.name));
            let message = format!("{}: its mass is not stated and counts as nothing", offer.name);
            findings.push(Finding::new(Code::OfferMassNotStated, subject, message));
        }
    }
    findings
}

fn costs(offer: &Offer, count: usize) -> Costs {
    let bought = count.saturating_sub(offer.owned);
    Costs {
        mass_kg: offer.mass_kg.map(|mass| mass * count as f64),
        volume_m3: offer.packed_volume_m3.map(|volume| volume * count as f64),
        price: if bought == 0 { Some(0.0) } else { offer.price.map(|price| price * bought as f64) },
    }
}

/// The id of so many canopies of an offer.
pub fn id(offer: &str, count: usize) -> String {
    format!("{offer}x{count}")
}

fn no_answer(offer: &Offer, count: usize, reason: String) -> Entry {
    Entry {
        id: id(&offer.name, count),
        offer: offer.name.clone(),
        count,
        canopy: None,
        cases: Vec::new(),
        beside: Vec::new(),
        verdict: worst(std::iter::empty()),
        worst_margin: None,
        costs: costs(offer, count),
        standing: Standing::NoAnswer { reason },
        rests_on_memory: false,
        next_smaller: None,
        next_larger: None,
    }
}

fn entry(
    engine: &Engine,
    load: &Load,
    offer: &Offer,
    (rig, areas): (Rig, &Canopy),
    (cases, bare): (&[Case], Option<&Worlds>),
) -> Entry {
    let count = rig.count;
    if !load.answers(count) {
        return no_answer(offer, count, format!("no cluster factor is known for {count} canopies"));
    }
    let bench = Bench::new(engine, load, &rig, areas);
    // Several cases end in one state, which is worked once.
    let mut states: Vec<State> = cases.iter().map(|case| State::of(case.kind, count)).collect();
    let of_cases = states.clone();
    states.sort_unstable();
    states.dedup();
    let own: Vec<Option<Worlds>> = states
        .iter()
        .map(|state| (*state != State::Nothing).then(|| bench.worlds(*state)).flatten())
        .collect();
    let worlds = |state: State| match state {
        State::Nothing => bare,
        _ => states.binary_search(&state).ok().and_then(|at| own[at].as_ref()),
    };
    let worked: Vec<EntryCase> = cases
        .iter()
        .zip(of_cases)
        .map(|(case, state)| entry_case(&bench, case, state, worlds(state)))
        .collect();
    let worst_margin = worked.iter().filter_map(|case| case.margin).min_by(f64::total_cmp);
    Entry {
        id: id(&offer.name, count),
        offer: offer.name.clone(),
        count,
        canopy: Some(rig.canopy),
        beside: Vec::new(),
        verdict: worst(worked.iter().map(|case| case.verdict)),
        worst_margin,
        costs: costs(offer, count),
        standing: Standing::Kept,
        rests_on_memory: areas.rests_on_memory,
        next_smaller: None,
        next_larger: None,
        cases: worked,
    }
}

fn entry_case(bench: &Bench, case: &Case, state: State, worlds: Option<&Worlds>) -> EntryCase {
    let judged: Vec<(f64, Share)> = match worlds {
        Some(worlds) => {
            case.limits.iter().map(|limit| (limit.wanted_share, bench.share(limit, worlds))).collect()
        }
        None => Vec::new(),
    };
    let least = judged.iter().min_by(|a, b| (a.1.surely() - a.0).total_cmp(&(b.1.surely() - b.0)));
    EntryCase {
        case: case.name.clone(),
        open: state.open(),
        rate_m_per_s: worlds.map(|worlds| bench.rates(worlds)),
        share: least.map(|(_, share)| *share),
        verdict: worst(judged.iter().map(|(wanted, share)| verdict(Some((*wanted, share))))),
        margin: least.map(|(wanted, share)| share.surely() - wanted),
        best_margin: judged.iter().map(|(wanted, share)| share.best - wanted).min_by(f64::total_cmp),
    }
}
