//! All landings of a part: case by case, the mix, the field, the winds that are allowed.

use super::Point;
use super::contributions::{Contribution, rank};
use super::falls::{Fall, Falls, bearing_rad, length};
use super::inputs::{CaseColumns, FLIGHTS, Frame, Inputs, draw};
use super::judged::{Judging, share as share_of};
use super::mix::{Sensitivity, Weights, mixed, sensitivity};
use super::opening::{Opening, opening};
use super::pad::{BetterPad, better_pad};
use super::plan::{Lean, Plan};
use super::side_by_side::all_falls;
use super::winds::{Allowed, allowed};
use crate::cases::chance::chance;
use crate::cases::draws::{Draws, Memory};
use crate::cases::engine::{Canopy, Engine};
use crate::cases::{Case, CaseKind, Chance, Quantiles, Share, Standards, Trials, Verdict, verdict};
use crate::geo::{Cloud, Field, KeepOut, Region, regions};
use crate::ledger::Ledger;

/// First look at landings: the first trials of [`FULL`].
pub const QUICK: Trials = Trials { count: 400, ..Trials::QUICK };
/// For what is printed and signed.
pub const FULL: Trials = Trials { count: 40_000, ..Trials::QUICK };
/// Trials behind the winds that are allowed.
pub const FOR_WINDS: Trials = Trials { count: 4_000, ..Trials::QUICK };
/// Shares of landings that regions hold.
pub const REGION_SHARES: [f64; 3] = [0.5, 0.9, 0.99];

/// Step of a track, s.
const TRACK_STEP_S: f64 = 0.5;

/// How much is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// Where it comes down and how hard. What a share owes to values from memory is asked at [`Depth::Everything`] only.
    Places,
    /// Regions, what contributes, the winds that are allowed, where to stand the pad, the lowest opening as well.
    Everything,
}

/// Where and how one case comes down.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseLanding {
    /// Its chance, where it can be told.
    pub chance: Option<Chance>,
    /// Its share of the mix.
    pub weight: Option<f64>,
    /// Every fall; `None` where what brakes is not known.
    pub falls: Option<Falls>,
    /// What the falls come to.
    pub summary: Option<Summary>,
    /// Share inside the field; `None` without a field.
    pub inside: Option<Share>,
    /// Share over each place to keep out of, in the order of the field.
    pub keep_outs: Vec<Share>,
    /// The word for the share inside.
    pub verdict: Verdict,
    /// What contributes most to its place.
    pub contributions: Vec<Contribution>,
    /// Regions of this case alone.
    pub regions: Vec<Region>,
    /// The fall nearest to the middle of all, from its start to the ground.
    pub track: Vec<Point>,
}

/// What many falls come to: 2.5, 50 and 97.5 %.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// s.
    pub time_aloft_s: Quantiles,
    /// Speed down at the ground, m/s.
    pub rate_m_per_s: Quantiles,
    /// Speed over ground there, m/s.
    pub over_ground_m_per_s: Quantiles,
    /// J, all of it.
    pub energy_j: Quantiles,
    /// J, of the speed down.
    pub energy_down_j: Quantiles,
    /// J, of the speed over ground.
    pub energy_over_j: Quantiles,
    /// Distance from the pad, m.
    pub drift_m: Quantiles,
    /// Mean place, m east and north of the pad.
    pub mean_place_m: [f64; 2],
}

/// All cases by their chances.
#[derive(Clone, Debug, PartialEq)]
pub struct Mix {
    /// The weight of each case.
    pub weights: Weights,
    /// Share inside the field; `None` without a field, or where a case that may happen could not be worked.
    pub inside: Option<Share>,
    /// Share over each place to keep out of.
    pub keep_outs: Vec<Option<Share>>,
    /// The word.
    pub verdict: Verdict,
    /// How much the chance of each failure matters.
    pub sensitivity: Vec<Sensitivity>,
    /// Regions that hold 50, 90 and 99 % of all landings.
    pub regions: Vec<Region>,
    /// Where the pad would better stand.
    pub better_pad: Option<BetterPad>,
}

/// Landings of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Landing {
    /// In the order of the plan's cases.
    pub cases: Vec<CaseLanding>,
    /// All by their chances; `None` where no chance is known.
    pub mix: Option<Mix>,
    /// Winds that are allowed; empty without a field or at [`Depth::Places`].
    pub allowed: Vec<Allowed>,
    /// The lowest safe height to open the main; `None` where no stage opens by height.
    pub opening: Option<Opening>,
    /// Share inside with the top of flight fixed, where the start follows the wind and there is a field.
    pub inside_with_top_fixed: Option<Share>,
    /// Trials behind places, and behind allowed winds.
    pub trials: Trials,
}

/// Works out all landings of a part, what is kept of an earlier job not drawn again; `None` where `go_on`, told how much is done, says no.
pub fn work(
    plan: Plan<'_>,
    (ledger, kept): (&Ledger, Option<&Standards>),
    trials: Trials,
    depth: Depth,
    go_on: &(dyn Fn(f64) -> bool + Sync),
) -> Option<Landing> {
    let draws = draw(&plan, (ledger, kept), trials);
    let engine = Engine::new(plan.load, &draws);
    let canopy = engine.canopy(&plan.rig.canopy.area.estimate);
    let inputs = Inputs::new(plan, (&draws, &engine, &canopy), trials, Memory::Drawn);
    let columns: Vec<Option<CaseColumns>> = plan.cases.iter().map(|case| inputs.case(case.kind)).collect();
    let falls = all_falls(&inputs, &columns, (None, Frame::Ground), trials.count, &|done| go_on(0.5 * done))?;
    let chance_of = |case: &Case| chance(case.kind, case.chance, &plan.load.failures, plan.rig.count);
    let chances: Vec<Option<Chance>> = plan.cases.iter().map(chance_of).collect();
    let kinds: Vec<CaseKind> = plan.cases.iter().map(|case| case.kind).collect();
    let by_chance: Vec<(CaseKind, Option<f64>)> = kinds
        .iter()
        .copied()
        .zip(chances.iter().map(|chance| chance.as_ref().map(|c| c.probability)))
        .collect();
    let weights = Weights::new(&by_chance);
    let judged = Judged { plan: &plan, falls: &falls };

    let remembered = depth == Depth::Everything && engine.rests_on_memory(&canopy);
    let ends = plan.field.filter(|_| remembered).map(|field| {
        let inputs = |memory| Inputs::new(plan, (&draws, &engine, &canopy), trials, memory);
        [Memory::Low, Memory::High]
            .map(|memory| hits(&inputs(memory), plan.cases, field, trials.count.min(AT_ENDS)))
    });
    let mut cases: Vec<CaseLanding> = Vec::new();
    for (i, falls) in falls.iter().enumerate() {
        if !go_on(0.5) {
            return None;
        }
        let mut inside = judged.inside(i);
        if let (Some(share), Some(ends)) = (&mut inside, &ends) {
            let of = |hits: &Hits| {
                let within = hits[i].as_ref()?;
                Some(share_of(&[Judging { weight: 1.0, within }], FLIGHTS).at_worst)
            };
            share.at_worst_without_memory = ends.iter().filter_map(of).min_by(f64::total_cmp);
        }
        cases.push(CaseLanding {
            chance: chances[i].clone(),
            weight: weights.as_ref().map(|weights| weights.of(i)),
            summary: falls.as_ref().and_then(summary),
            verdict: verdict(inside.as_ref().map(|share| (plan.wanted_inside, share))),
            inside,
            keep_outs: judged.keep_outs(i),
            contributions: match falls {
                Some(falls) if depth == Depth::Everything => rank(falls, &draws, FLIGHTS),
                _ => Vec::new(),
            },
            regions: match falls {
                Some(falls) if depth == Depth::Everything => drawn(&[(1.0, falls)]),
                _ => Vec::new(),
            },
            track: match (falls, &columns[i]) {
                (Some(falls), Some(case)) if depth == Depth::Everything => {
                    middle(falls).map(|trial| inputs.track(case, trial, TRACK_STEP_S)).unwrap_or_default()
                }
                _ => Vec::new(),
            },
            falls: None,
        });
    }
    let mix = weights.as_ref().map(|weights| judged.mix(weights, &kinds, ends.as_ref(), depth));
    let mut landing =
        Landing { cases, mix, allowed: Vec::new(), opening: None, inside_with_top_fixed: None, trials };
    if depth == Depth::Everything {
        let fewer = Trials { count: FOR_WINDS.count.min(trials.count), ..trials };
        if let Some(field) = plan.field {
            let told = |done: f64| go_on(0.5 + 0.5 * done);
            let wanted = (field, plan.wanted_inside);
            landing.allowed = allowed(&inputs, &columns, fewer.count, wanted, weights.as_ref(), &told)?;
        }
        landing.opening = opening(&plan, ledger, fewer, plan.reaction_s);
        landing.inside_with_top_fixed =
            with_top_fixed(&plan, (&draws, &engine, &canopy), fewer, weights.as_ref());
    }
    for (case, falls) in landing.cases.iter_mut().zip(falls) {
        case.falls = falls;
    }
    Some(landing)
}

/// The share inside over the mix if the top of flight did not follow the wind, from the first `trials` of those drawn.
fn with_top_fixed(
    plan: &Plan<'_>,
    drawn: (&Draws, &Engine<'_>, &Canopy),
    trials: Trials,
    weights: Option<&Weights>,
) -> Option<Share> {
    if plan.start.lean == Lean::NotStated {
        return None;
    }
    let (field, weights) = (plan.field?, weights?);
    let start = super::plan::StartLaw { lean: Lean::NotStated, ..plan.start.clone() };
    let plan = Plan { start: &start, ..*plan };
    let inputs = Inputs::new(plan, drawn, Trials { count: drawn.0.count, ..trials }, Memory::Drawn);
    mixed(weights, &hits(&inputs, plan.cases, field, trials.count), FLIGHTS)
}

/// Trials at each end of what is remembered: enough to tell a share at worst.
const AT_ENDS: usize = 2_000;

/// By case and trial, whether it comes down inside; `None` where what brakes is not known.
type Hits = Vec<Option<Vec<bool>>>;

/// The first `count` trials of every case against the field.
fn hits(inputs: &Inputs<'_>, cases: &[Case], field: &Field, count: usize) -> Hits {
    let columns: Vec<Option<CaseColumns>> = cases.iter().map(|case| inputs.case(case.kind)).collect();
    let falls = all_falls(inputs, &columns, (None, Frame::Ground), count, &|_| true).into_iter().flatten();
    falls.map(|falls| Some(falls?.within(|place| field.allows(place)))).collect()
}

/// Falls against the field.
struct Judged<'a> {
    plan: &'a Plan<'a>,
    falls: &'a [Option<Falls>],
}

impl Judged<'_> {
    fn all(&self, inside: impl Fn([f64; 2]) -> bool + Copy) -> Vec<Option<Vec<bool>>> {
        self.falls.iter().map(|falls| falls.as_ref().map(|falls| falls.within(inside))).collect()
    }

    fn share(&self, case: usize, inside: impl Fn([f64; 2]) -> bool) -> Option<Share> {
        let within = self.falls[case].as_ref()?.within(inside);
        Some(share_of(&[Judging { weight: 1.0, within: &within }], FLIGHTS))
    }

    fn inside(&self, case: usize) -> Option<Share> {
        let field = self.plan.field?;
        self.share(case, |place| field.allows(place))
    }

    fn areas(&self) -> &[KeepOut] {
        self.plan.field.map_or(&[], |field| &field.keep_outs)
    }

    fn keep_outs(&self, case: usize) -> Vec<Share> {
        self.areas().iter().filter_map(|area| self.share(case, |place| area.holds(place))).collect()
    }

    fn mix(&self, weights: &Weights, kinds: &[CaseKind], ends: Option<&[Hits; 2]>, depth: Depth) -> Mix {
        let inside = self.plan.field.map(|field| self.all(|place| field.allows(place)));
        let mut share = inside.as_ref().and_then(|inside| mixed(weights, inside, FLIGHTS));
        if let (Some(share), Some(ends)) = (&mut share, ends) {
            let worst = ends.iter().filter_map(|hits| Some(mixed(weights, hits, FLIGHTS)?.at_worst));
            share.at_worst_without_memory = worst.min_by(f64::total_cmp);
        }
        let everything = depth == Depth::Everything;
        let weighted: Vec<(f64, &Falls)> = (self.falls.iter().enumerate())
            .filter_map(|(i, falls)| Some((weights.of(i), falls.as_ref()?)))
            .collect();
        let over = |area: &KeepOut| mixed(weights, &self.all(|place| area.holds(place)), FLIGHTS);
        let to_move = self.plan.field.filter(|_| everything);
        Mix {
            keep_outs: self.areas().iter().map(over).collect(),
            verdict: verdict(share.as_ref().map(|share| (self.plan.wanted_inside, share))),
            sensitivity: inside
                .as_ref()
                .map(|inside| sensitivity(weights, kinds, inside, FLIGHTS))
                .unwrap_or_default(),
            inside: share,
            regions: if everything { drawn(&weighted) } else { Vec::new() },
            better_pad: to_move.and_then(|field| better_pad(self.falls, weights, field)),
            weights: weights.clone(),
        }
    }
}

/// The trial that came down nearest to the mean place, by place and time aloft alike.
fn middle(falls: &Falls) -> Option<usize> {
    let mean = falls.mean_place_m()?;
    let time = falls.quantiles(|fall| fall.time_s)?;
    let off = |fall: &Fall| {
        let [east, north] = fall.place_m;
        let place = length([east - mean[0], north - mean[1]]) / length(mean).max(1.0);
        place + (fall.time_s / time.median - 1.0).abs()
    };
    let landed = falls.trials().iter().enumerate().filter_map(|(i, fall)| Some((i, off(fall.as_ref()?))));
    landed.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
}

/// The regions of some cases by their weights.
fn drawn(cases: &[(f64, &Falls)]) -> Vec<Region> {
    let places: Vec<Vec<[f64; 2]>> =
        cases.iter().map(|(_, falls)| falls.landed().map(|fall| fall.place_m).collect()).collect();
    let clouds: Vec<Cloud<'_>> = cases
        .iter()
        .zip(&places)
        .filter(|(_, places)| !places.is_empty())
        .map(|((weight, _), places)| Cloud::try_new(*weight, places).expect("weights and places are finite"))
        .collect();
    regions(&clouds, &REGION_SHARES)
}

fn summary(falls: &Falls) -> Option<Summary> {
    let down = |fall: &Fall| 0.5 * fall.mass_kg * fall.down_m_per_s * fall.down_m_per_s;
    let over = |fall: &Fall| 0.5 * fall.mass_kg * fall.over_m_per_s * fall.over_m_per_s;
    Some(Summary {
        time_aloft_s: falls.quantiles(|fall| fall.time_s)?,
        rate_m_per_s: falls.quantiles(|fall| fall.down_m_per_s)?,
        over_ground_m_per_s: falls.quantiles(|fall| fall.over_m_per_s)?,
        energy_j: falls.quantiles(|fall| down(fall) + over(fall))?,
        energy_down_j: falls.quantiles(down)?,
        energy_over_j: falls.quantiles(over)?,
        drift_m: falls.quantiles(|fall| length(fall.place_m))?,
        mean_place_m: falls.mean_place_m()?,
    })
}

impl Summary {
    /// Bearing of the mean place from the pad, rad from north.
    pub fn bearing_rad(&self) -> f64 {
        bearing_rad(self.mean_place_m)
    }
}
